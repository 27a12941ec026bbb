"""Defining a trait: its name, its gene symbol, and how it shows."""

from dataclasses import dataclass

from bot.records import Book, Dominance, Subject, TraitRow
from bot.services.desk import Desk
from bot.services.refusals import TakenBack, TraitNotNamed, TraitTaken, WordNotKnown
from bot.services.request import Request
from bot.services.texts import checked
from genetics import GeneticsError, Trait, read_dominance

TRAIT = "trait"


@dataclass(frozen=True, slots=True)
class TraitDefined:
    """A trait as it stands in the book, and the event that can take it back."""

    trait: TraitRow
    event: int


async def define_trait(
    desk: Desk, request: Request, *, name: str, dominance: str, symbol: str = "", species: str = ""
) -> TraitDefined:
    """Write a new trait into the book. Without a symbol, the shortest free beginning of the name is taken.

    `dominance` is a keeper's word for how the trait shows, the trade's loose ones included.

    Raises:
        WordNotKnown, TraitNotNamed, TraitTaken, TextTooLong, NoSuchSpecies, TakenBack: nothing was written.
    """
    how = read_dominance(dominance)
    if how is None:
        raise WordNotKnown(what="way of showing", text=dominance, known=tuple(Dominance))
    name = " ".join(checked("name", name).split())
    species_key = desk.species.named(species).key if species.strip() else None
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            known = await book.traits()
            chosen = symbol.strip() or _free_symbol(name, known)
            _require_free(name, chosen, known)
            try:
                trait = Trait(name=name, symbol=chosen, dominance=how)
            except GeneticsError as error:
                raise TraitNotNamed(name=name, symbol=chosen, error=error) from error
            made = await book.add_trait(
                name=trait.name,
                symbol=trait.symbol,
                dominance=trait.dominance,
                species_key=species_key,
            )
            event = await book.log("trait.defined", Subject(TRAIT, made))
        return TraitDefined(await _row(book, event.subject.id), event.seq)


async def _row(book: Book, trait: int) -> TraitRow:
    row = await book.trait(trait)
    if row is None:
        raise TakenBack("trait")
    return row


def _require_free(name: str, symbol: str, known: tuple[TraitRow, ...]) -> None:
    for row in known:
        if row.name.casefold() == name.casefold():
            raise TraitTaken(text=name, is_symbol=False, holder=row.name)
        if row.symbol.casefold() == symbol.casefold():
            raise TraitTaken(text=symbol, is_symbol=True, holder=row.name)


def _free_symbol(name: str, known: tuple[TraitRow, ...]) -> str:
    """The shortest beginning of the name that can be a symbol and is free; "t" with a number where none is."""
    letters = "".join(c for c in name.casefold() if c.isascii() and c.isalpha())
    taken = {row.symbol.casefold() for row in known}
    beginnings = [letters[:n] for n in range(1, min(4, len(letters)) + 1)]
    numbered = (f"t{n}" for n in range(1, len(taken) + 2))
    return next(symbol for symbol in (*beginnings, *numbered) if symbol not in taken and _is_symbol(symbol))


def _is_symbol(text: str) -> bool:
    try:
        Trait(name="any", symbol=text, dominance=Dominance.RECESSIVE)
    except GeneticsError:
        return False
    return True
