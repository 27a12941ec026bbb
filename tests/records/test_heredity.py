"""Traits and what they are to each other: read in one statement, ended, undone, kept apart by server."""

from collections.abc import Callable
from contextlib import AbstractContextManager

import pytest
from sqlalchemy.exc import IntegrityError

from bot.records import Depended, Dominance, Missing, Records, RelationKind, RelationRow, Subject
from tests.support.filled import KEEPER, SERVER, Stamps, fill

OTHER = SERVER + 5


async def define(records: Records, stamps: Stamps, *names: str) -> list[int]:
    made = []
    for name in names:
        async with records.write(stamps.next()) as book:
            made.append(await book.add_trait(name=name, symbol=name[0], dominance=Dominance.RECESSIVE))
            await book.log("trait.defined", Subject("trait", made[-1]))
    return made


async def relate(records: Records, stamps: Stamps, kind: RelationKind, *members: int) -> tuple[int, int]:
    async with records.write(stamps.next()) as book:
        made = await book.add_relation(kind, members, {"v": 1}, name="glow", looks=["bright", "dull"])
        return made, (await book.log("trait.linked", Subject("relation", made))).seq


async def test_relations_come_with_the_traits_in_one_statement(
    records: Records, database_url: str, statements: Callable[[], AbstractContextManager[list[str]]]
) -> None:
    await fill(records, database_url, Stamps())
    async with records.read(SERVER) as book:
        with statements() as seen:
            heredity = await book.heredity()
        assert len(seen) == 1
        assert heredity.traits == await book.traits()
    ember, _, ink = (trait.id for trait in heredity.traits)
    linked, together = heredity.relations
    assert linked == RelationRow(
        linked.id, RelationKind.LINKED, None, (), '{"dam":["1/10"],"v":1}', KEEPER, (ember, ink)
    )
    assert together == RelationRow(
        together.id, RelationKind.TOGETHER, "glow", ("bright", "dull"), '{"as":"9:7","v":1}', KEEPER, (ember, ink)
    )


async def test_members_stand_in_the_order_given_whatever_their_names_and_ages(records: Records) -> None:
    stamps = Stamps()
    ash, birch, cedar = await define(records, stamps, "ash", "birch", "cedar")
    await relate(records, stamps, RelationKind.SERIES, cedar, ash, birch)
    async with records.read(SERVER) as book:
        (series,) = (await book.heredity()).relations
    assert series.members == (cedar, ash, birch)


async def test_a_relation_that_ended_is_read_no_more(records: Records) -> None:
    stamps = Stamps()
    members = await define(records, stamps, "ash", "birch")
    made, _ = await relate(records, stamps, RelationKind.LINKED, *members)
    async with records.write(stamps.next()) as book:
        await book.end_relation(made)
        ended = await book.log("trait.parted", Subject("relation", made))
    async with records.read(SERVER) as book:
        assert (await book.heredity()).relations == ()
        assert len((await book.heredity()).traits) == 2
    async with records.write(stamps.next()) as book:
        await book.undo(ended)
    async with records.read(SERVER) as book:
        assert [relation.id for relation in (await book.heredity()).relations] == [made]


async def test_a_relation_is_undone_with_its_members_and_a_trait_in_it_is_not(records: Records) -> None:
    stamps = Stamps()
    async with records.write(stamps.next()) as book:
        ash = await book.add_trait(name="ash", symbol="a", dominance=Dominance.RECESSIVE)
        defined = await book.log("trait.defined", Subject("trait", ash))
    (birch,) = await define(records, stamps, "birch")
    _, seq = await relate(records, stamps, RelationKind.LINKED, ash, birch)
    with pytest.raises(Depended):
        async with records.write(stamps.next()) as book:
            await book.undo(defined)
    async with records.write(stamps.next()) as book:
        related = await book.event(seq)
        assert related is not None
        await book.undo(related)
    async with records.write(stamps.next()) as book:
        await book.undo(defined)
    async with records.read(SERVER) as book:
        heredity = await book.heredity()
    assert ([trait.id for trait in heredity.traits], heredity.relations) == ([birch], ())


async def test_a_changed_trait_is_put_back_as_it_was(records: Records) -> None:
    stamps = Stamps()
    (ash,) = await define(records, stamps, "ash")
    async with records.write(stamps.next()) as book:
        before = await book.trait(ash)
        await book.change_trait(
            ash, symbol="as", dominance=Dominance.DOMINANT, species_key="porcellio-scaber", model={"v": 1, "week": 8}
        )
        changed = await book.log("trait.changed", Subject("trait", ash))
        after = await book.trait(ash)
    assert before is not None
    assert after is not None
    assert (after.symbol, after.dominance, after.model) == ("as", Dominance.DOMINANT, '{"v":1,"week":8}')
    async with records.write(stamps.next()) as book:
        await book.undo(changed)
    async with records.read(SERVER) as book:
        assert await book.trait(ash) == before


async def test_nothing_of_another_server_can_be_related_changed_or_ended(records: Records) -> None:
    here, there = Stamps(), Stamps(OTHER)
    ash, birch = await define(records, here, "ash", "birch")
    made, _ = await relate(records, here, RelationKind.LINKED, ash, birch)
    (far,) = await define(records, there, "far")
    with pytest.raises(IntegrityError):
        await relate(records, there, RelationKind.LINKED, far, birch)
    for wrong in (birch, 10**6):
        with pytest.raises(Missing):
            async with records.write(there.next()) as book:
                await book.change_trait(wrong, symbol="q", dominance=Dominance.DOMINANT, species_key=None, model=None)
    with pytest.raises(Missing):
        async with records.write(there.next()) as book:
            await book.end_relation(made)
    async with records.read(OTHER) as book:
        heredity = await book.heredity()
    assert ([trait.id for trait in heredity.traits], heredity.relations) == ([far], ())


async def test_an_erased_person_s_words_for_traits_and_looks_stay(records: Records) -> None:
    stamps = Stamps()
    members = await define(records, stamps, "ash", "birch")
    await relate(records, stamps, RelationKind.TOGETHER, *members)
    async with records.write(stamps.next()) as book:
        await book.set_keeper(zone="Europe/Lisbon")
        await book.erase_keeper_texts(stamps.actor)
        await book.log("keeper.erased", Subject("keeper", stamps.actor))
    async with records.read(SERVER) as book:
        heredity = await book.heredity()
    assert [trait.name for trait in heredity.traits] == ["ash", "birch"]
    assert (heredity.relations[0].name, heredity.relations[0].looks) == ("glow", ("bright", "dull"))
