"""Species cards as a server has them: the shipped ones, with what its stewards set otherwise. All is read through `card_of`."""

import re
from dataclasses import dataclass, replace
from fractions import Fraction
from types import MappingProxyType

from bot.records import Book, CardRow, SexSystem, Subject, Units
from bot.services.access import require_steward
from bot.services.desk import Desk
from bot.services.keepers import units_of
from bot.services.refusals import FigureNotRead, NoOwnCard, NothingSet, WordNotKnown
from bot.services.request import Request
from bot.services.species import LIFE, SHARES, Confidence, Figure, SpeciesCard, figure_of
from bot.services.texts import checked

CARD = "species card"
SET, RESET = "species.set", "species.reset"
VERSION = 1

_PARTS = re.compile(r"\s*(?:-|–|/|,|\bto\b|\s)\s*", re.IGNORECASE)
_NUMBER = re.compile(r"[0-9]{1,5}(?:\.[0-9]{1,4})?")
_MOST = Fraction(5000)


@dataclass(frozen=True, slots=True)
class CardView:
    """A species card as the server has it; `own` are the figures that its stewards set. `event` can take a change back."""

    card: SpeciesCard
    own: frozenset[str]
    event: int | None = None
    units: Units | None = None


async def card_of(desk: Desk, book: Book, key: str) -> SpeciesCard:
    """The card of a species as this server has it: what a steward set, else what is shipped."""
    return _merged(desk.species.of(key), await book.card(key))


async def show_card(desk: Desk, request: Request, text: str) -> CardView:
    """A species card.

    Raises:
        NoSuchSpecies: there is none of that name.
    """
    shipped = desk.species.named(text)
    async with desk.records.read(request.server, request.actor) as book:
        return replace(_view(shipped, await book.card(shipped.key)), units=await units_of(book, request))


async def set_card(
    desk: Desk, request: Request, *, species: str, figure: str = "", value: str = "", sex: str = "", source: str = ""
) -> CardView:
    """Set one figure of a species' card for this server, or how its sex is inherited; the rest stays.

    `value` is the usual figure, or the lowest, the usual and the highest: "30", "20-30-45"; shares are like 0.3 or 30 %.

    Raises:
        StewardsOnly, NoSuchSpecies, WordNotKnown, FigureNotRead, NothingSet, TextTooLong: nothing was written.
    """
    require_steward(request, "change species cards")
    shipped = desk.species.named(species)
    system = _system(sex) if sex.strip() else None
    said = checked("origin", source) or "set by a steward"
    chosen = _chosen(figure, value, said)
    if system is None and chosen is None:
        raise NothingSet
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            before = _merged(shipped, await book.card(shipped.key))
            figures = {name: each for name, each in before.figures.items() if each.confidence is Confidence.OWN}
            figures |= dict([chosen]) if chosen else {}
            body = {"v": VERSION, "figures": {name: _written(each) for name, each in figures.items()}}
            card = await book.set_card(shipped.key, system or before.sex_system, body, said)
            event = await book.log(SET, Subject(CARD, card))
        return _view(shipped, await book.card(shipped.key), event.seq)


async def reset_card(desk: Desk, request: Request, text: str) -> CardView:
    """Go back to the shipped card of a species.

    Raises:
        StewardsOnly, NoSuchSpecies, NoOwnCard: nothing was written.
    """
    require_steward(request, "change species cards")
    shipped = desk.species.named(text)
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            row = await book.card(shipped.key)
            if row is None:
                raise NoOwnCard(species=shipped.name)
            await book.remove_card(row.id)
            event = await book.log(RESET, Subject(CARD, row.id))
        return _view(shipped, await book.card(shipped.key), event.seq)


def _view(shipped: SpeciesCard, row: CardRow | None, event: int | None = None) -> CardView:
    card = _merged(shipped, row)
    own = {name for name, figure in card.figures.items() if figure.confidence is Confidence.OWN}
    return CardView(card, frozenset(own), event)


def _merged(shipped: SpeciesCard, row: CardRow | None) -> SpeciesCard:
    if row is None:
        return shipped
    own = {name: figure_of(each, Confidence.OWN, row.source or "") for name, each in row.body["figures"].items()}
    changed = row.sex_system is not shipped.sex_system
    return replace(
        shipped,
        sex_system=row.sex_system,
        sex_system_source=row.source or "set by a steward" if changed else shipped.sex_system_source,
        figures=MappingProxyType({**shipped.figures, **own}),
    )


def _written(figure: Figure) -> list[str]:
    return [str(figure.low), str(figure.usual), str(figure.high)]


def _system(text: str) -> SexSystem:
    for system in SexSystem:
        if system.value.casefold() == text.strip().casefold():
            return system
    raise WordNotKnown(what="way to inherit sex", text=text, known=tuple(SexSystem))


def _chosen(figure: str, value: str, source: str) -> tuple[str, Figure] | None:
    if not figure.strip() and not value.strip():
        return None
    if figure not in LIFE:
        raise WordNotKnown(what="figure of a species card", text=figure, known=LIFE)
    return figure, read_figure(figure, value, source)


def read_figure(name: str, value: str, source: str) -> Figure:
    """A figure as typed: the usual one, or the lowest, the usual and the highest.

    Raises:
        FigureNotRead: it is not one or three numbers in growing order, or a share is over 1.
    """
    share = name in SHARES
    bare = value.replace("%", " ").strip() if share else value.strip()
    pieces = _PARTS.split(bare)
    if len(pieces) not in (1, 3) or not all(_NUMBER.fullmatch(piece) for piece in pieces):
        raise FigureNotRead(text=value, share=share)
    scale = 100 if share and "%" in value else 1
    numbers = [Fraction(piece) / scale for piece in pieces] * (3 if len(pieces) == 1 else 1)
    if numbers != sorted(numbers) or numbers[-1] > (1 if share else _MOST):
        raise FigureNotRead(text=value, share=share)
    low, usual, high = numbers
    return Figure(low, usual, high, Confidence.OWN, source)
