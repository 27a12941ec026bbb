"""With which priors and figures a trait is weighed: shown to everybody, set by stewards."""

from dataclasses import dataclass
from fractions import Fraction

from bot.records import Subject, TraitRow, WriteBook
from bot.services.access import require_steward
from bot.services.desk import Desk
from bot.services.refusals import TakenBack
from bot.services.request import Request
from bot.services.traits import TRAIT, row_named
from bot.services.tuning import DEFAULT, Tuning, read_tuning, write_tuning
from bot.services.tuning_text import read_figures, read_priors

SET = "trait.weighed"


@dataclass(frozen=True, slots=True)
class Priors:
    """What a trait is weighed with. `came`: what priors that were typed came to before they were brought to the sum 1.

    `event` is the one that set it, where this answers that.
    """

    trait: TraitRow
    tuning: Tuning
    came: Fraction = Fraction(1)
    event: int | None = None


async def show_priors(desk: Desk, request: Request, text: str) -> Priors:
    """What a trait is weighed with.

    Raises:
        NoSuchTrait: there is none of the name.
    """
    async with desk.records.read(request.server, request.actor) as book:
        trait = row_named(text, await book.traits())
        row = await book.weighing(trait.id)
    return Priors(trait, read_tuning(row.body if row is not None else None))


async def set_priors(desk: Desk, request: Request, *, name: str, priors: str = "", figures: str = "") -> Priors:
    """Set priors, figures or both; what is left empty stays as it is.

    Raises:
        NoSuchTrait, StewardsOnly, PriorsNotRead, WordNotKnown, SpanNotPossible, TakenBack: nothing was written.
    """
    require_steward(request, "set priors")
    came = Fraction(1)
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            trait = row_named(name, await book.traits())
            row = await book.weighing(trait.id)
            tuning = read_tuning(row.body if row is not None else None)
            if priors.strip():
                tuning, came = read_priors(priors, tuning)
            if figures.strip():
                tuning = read_figures(figures, tuning)
            await book.set_weighing(trait.id, write_tuning(tuning))
            event = await book.log(SET, Subject(TRAIT, trait.id))
        return await _view(book, event.subject.id, came, event.seq)


async def reset_priors(desk: Desk, request: Request, trait: int) -> Priors:
    """Weigh a trait with the defaults again.

    Raises:
        StewardsOnly, NoSuchTrait, TakenBack: nothing was written.
    """
    require_steward(request, "set priors")
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            row = next((row for row in await book.traits() if row.id == trait), None)
            if row is None:
                raise TakenBack("trait")
            await book.set_weighing(row.id, write_tuning(DEFAULT))
            event = await book.log(SET, Subject(TRAIT, row.id))
        return await _view(book, event.subject.id, Fraction(1), event.seq)


async def _view(book: WriteBook, trait_id: int, came: Fraction, event: int) -> Priors:
    trait = await book.trait(trait_id)
    row = await book.weighing(trait_id)
    if trait is None or row is None:
        raise TakenBack("trait")
    return Priors(trait, read_tuning(row.body), came, event)
