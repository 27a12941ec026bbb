"""Bins with several kinds of founders, put into the book."""

from fractions import Fraction

from bot.records import Sex, Subject
from bot.services.bins import NewBin, open_bin
from bot.services.heredity import trait_of
from bot.services.traits import define_trait
from genetics import Side, read_side
from tests.support.asking import Asking

Group = tuple[str, int | None] | tuple[str, int | None, Sex]
"""What a group of founders is, how many, and of which sex."""


async def with_recessives(asking: Asking, *names: str) -> None:
    """Recessive traits, each with its first letter as symbol."""
    for name in names:
        await define_trait(asking.desk, asking.by(), name=name, dominance="recessive", symbol=name[0])


async def with_mixed_bin(asking: Asking, *groups: Group, name: str = "") -> str:
    """A bin founded by several groups; its code."""
    opened = await open_bin(asking.desk, asking.by(), NewBin(species="Porcellio scaber", name=name))
    async with asking.desk.records.write(asking.by().stamp) as book:
        ids = {trait_of(row): row.id for row in await book.traits()}
        for text, number, *sex in groups:
            founder = await book.add_founder(
                opened.row.id, number=number, sex=sex[0] if sex else Sex.UNKNOWN, described=True
            )
            side: Side = read_side(text, ids)
            for item in side.stated:
                chance: Fraction | None = item.chance
                await book.add_founder_state(founder, ids[item.trait], item.state, chance)
        await book.log("founders.added", Subject("bin", opened.row.id))
    return opened.row.code
