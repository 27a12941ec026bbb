"""What a bin is founded with: groups of animals as typed, as stored, and as they go along into another bin."""

from dataclasses import dataclass
from fractions import Fraction

from bot.records import FounderRow, Sex, TraitRow, WriteBook
from bot.services.count_text import CountRead
from bot.services.heredity import trait_of
from bot.services.refusals import HoldingNotRead
from genetics import NotationError, Side, State, Stated, read_side, write_side


@dataclass(frozen=True, slots=True)
class Founders:
    """A group of alike founders: how many, what they are in the notation of a cross (None: not said), from where."""

    row: FounderRow
    stated: str | None


def stated_of(founder: FounderRow, traits: dict[int, TraitRow]) -> str | None:
    """What a group is, in the notation of a cross; None where it was not said."""
    if not founder.described:
        return None
    return write_side(
        side_of([(traits[s.trait_id], s.state, s.chance) for s in founder.states if s.trait_id in traits])
    )


def side_of(states: list[tuple[TraitRow, State, Fraction | None]]) -> Side:
    """One side of a cross from what the book states of a group of animals."""
    return Side(tuple(Stated(trait_of(trait), state, chance) for trait, state, chance in states))


def read_holds(text: str, traits: tuple[TraitRow, ...]) -> Side | None:
    """What lives in a bin as typed; None if nothing was said.

    Raises:
        HoldingNotRead: it is no side of a cross.
    """
    if not text.strip():
        return None
    try:
        return read_side(text, [trait_of(t) for t in traits])
    except NotationError as error:
        raise HoldingNotRead(error=error, known=tuple(t.name for t in traits)) from error


async def found(
    book: WriteBook,
    bin_id: int,
    side: Side | None,
    traits: tuple[TraitRow, ...],
    number: int | None,
    *,
    sex: Sex = Sex.UNKNOWN,
    origin: str = "",
    length: Fraction | None = None,
) -> None:
    """Write a group of founders: what they are (None: not said), how many (None or 0: not said), where from, how long."""
    founder = await book.add_founder(
        bin_id,
        number=number or None,
        sex=sex,
        origin=origin or None,
        described=side is not None,
        length_mm=length,
    )
    ids = {trait_of(t): t.id for t in traits}
    for item in side.stated if side else ():
        await book.add_founder_state(founder, ids[item.trait], item.state, item.chance)


async def take_along(book: WriteBook, source: int, target: int, read: CountRead | None) -> None:
    """Write the founders of one bin as those of another that got some of its animals.

    Of a single group the number that went is known; of several nobody said which ones went.
    """
    groups = await book.founders(source)
    for group in groups:
        number = read.whole.total if read is not None and len(groups) == 1 else None
        founder = await book.add_founder(
            target, number=number or None, sex=group.sex, described=group.described, brood_id=group.brood_id
        )
        for state in group.states:
            await book.add_founder_state(founder, state.trait_id, state.state, state.chance)
