"""Defining, changing and showing traits: names, gene symbols, and how they are inherited and shown."""

import difflib
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from bot.records import Book, Dominance, FollowedRow, Heredity, Subject, TraitRow, WriteBook
from bot.services.blind_errors import ScoringError, scoring_error_of
from bot.services.desk import Desk
from bot.services.heredity import Known, Relation, known_of, require_sound
from bot.services.refusals import NotYours, TakenBack, TraitNotNamed, TraitTaken, WordNotKnown
from bot.services.refusals_traits import ModelNotPossible, NoSuchTrait
from bot.services.request import Request, Role
from bot.services.telling_apart import Contrast, contrast_of
from bot.services.texts import checked
from bot.services.trait_models import TraitModel, read_model, write_model
from bot.services.trait_words import ModelText, read_model_text
from genetics import GeneticsError, ModelRefused, OutOfRange, Sex, SexSystem, Trait, TraitRefused, Where, read_dominance

TRAIT = "trait"
MOST_LISTED = 200
NO_MODEL = ModelText()


@dataclass(frozen=True, slots=True)
class TraitView:
    """A trait as it stands in the book: how it is inherited and shown, and what it is to others.

    `event` is the one that wrote it, where this view answers that; `changed`: it was there before. `contrast` tells a
    trait shown in one sex only from one on a sex chromosome, where it is one of them and the species is known. `error` is
    how far keepers agree on it, where they scored photos blind and are asked about; `told`: where new words of its verdict
    are told, where this was asked.
    """

    row: TraitRow
    trait: Trait
    model: TraitModel
    relations: tuple[Relation, ...]
    species: str | None
    system: SexSystem = SexSystem.UNKNOWN
    contrast: Contrast | None = None
    event: int | None = None
    changed: bool = False
    error: ScoringError | None = None
    told: FollowedRow | None = None


async def define_trait(
    desk: Desk,
    request: Request,
    *,
    name: str,
    dominance: str,
    symbol: str = "",
    species: str = "",
    model: ModelText = NO_MODEL,
) -> TraitView:
    """Write a new trait into the book. Without a symbol, the shortest free beginning of the name is taken.

    `dominance` is a keeper's word for how the trait shows, the trade's loose ones included; `model` is what else was typed.

    Raises:
        WordNotKnown, TraitNotNamed, TraitTaken, TextTooLong, NoSuchSpecies, ShareNotRead, TraitTextNotRead,
        ModelNotPossible, TakenBack: nothing was written.
    """
    how = _dominance(dominance)
    told = read_model_text(model, TraitModel())
    name = " ".join(checked("name", name).split())
    species_key = desk.species.named(species).key if species.strip() else None
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            known = await book.traits()
            chosen = symbol.strip() or _free_symbol(name, known)
            _require_free(name, chosen, known)
            trait = _named(name, chosen, how, told)
            made = await book.add_trait(
                name=trait.name,
                symbol=trait.symbol,
                dominance=trait.dominance,
                species_key=species_key,
                model=write_model(told),
            )
            await _require_sound(book, made)
            event = await book.log("trait.defined", Subject(TRAIT, made))
        return await _view(desk, book, event.subject.id, event.seq)


async def change_trait(
    desk: Desk,
    request: Request,
    *,
    name: str,
    dominance: str = "",
    symbol: str = "",
    species: str = "",
    model: ModelText = NO_MODEL,
) -> TraitView:
    """Say anew how a trait is inherited or shown; what is left empty stays as it was.

    Raises:
        NoSuchTrait, NotYours, WordNotKnown, TraitNotNamed, TraitTaken, NoSuchSpecies, ShareNotRead, TraitTextNotRead,
        ModelNotPossible, Uneven, TakenBack: nothing was written.
    """
    how = _dominance(dominance) if dominance.strip() else None
    keys = _species_keys(desk, species)
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            rows = await book.traits()
            row = row_named(name, rows)
            await require_author(book, request, row)
            told = read_model_text(model, read_model(row.model))
            if how is not None:
                told = replace(told, open=False)
            chosen = symbol.strip() or row.symbol
            _require_free("", chosen, [other for other in rows if other.id != row.id])
            trait = _named(row.name, chosen, how or row.dominance, told)
            await book.change_trait(
                row.id,
                symbol=trait.symbol,
                dominance=trait.dominance,
                species_key=(*keys, row.species_key)[0],
                model=write_model(told),
            )
            await _require_sound(book, row.id)
            event = await book.log("trait.changed", Subject(TRAIT, row.id))
        return replace(await _view(desk, book, event.subject.id, event.seq), changed=True)


def _species_keys(desk: Desk, text: str) -> tuple[str | None, ...]:
    """The species that a trait is to belong to from now on; "any" is none in particular, and nothing typed is no change."""
    if not text.strip():
        return ()
    return (None,) if text.strip().casefold() in ("any", "any species") else (desk.species.named(text).key,)


async def record_instead(desk: Desk, request: Request, trait: int, instead: str) -> TraitView:
    """Record the other of two that are easily confused: on a sex chromosome ("X or Z"), or shown in one sex only.

    Raises:
        WordNotKnown, NoSuchTrait, and as `change_trait`: nothing was written.
    """
    texts = {
        Where.SHARED.value: ModelText(place="X or Z", sex="both sexes"),
        Sex.FEMALE.value: ModelText(place="ordinary chromosome", sex="females only"),
        Sex.MALE.value: ModelText(place="ordinary chromosome", sex="males only"),
    }
    if instead not in texts:
        raise WordNotKnown(what="way of showing", text=instead, known=tuple(texts))
    return await change_trait(desk, request, name=await name_of(desk, request, trait), model=texts[instead])


async def show_trait(desk: Desk, request: Request, text: str) -> TraitView:
    """All that the book says of a trait.

    Raises:
        NoSuchTrait: there is none of the name.
    """
    async with desk.records.read(request.server, request.actor) as book:
        heredity = await book.heredity()
        row = row_named(text, heredity.traits)
        error = await scoring_error_of(book, row.id)
        told = await book.followed(row.id)
    return replace(_view_of(desk, heredity, row, None), error=error, told=told)


async def name_of(desk: Desk, request: Request, trait: int) -> str:
    """The name of the trait with this id.

    Raises:
        NoSuchTrait: there is none in this server, or it was taken back.
    """
    async with desk.records.read(request.server, request.actor) as book:
        row = await book.trait(trait)
    if row is None:
        raise NoSuchTrait("")
    return row.name


async def list_traits(desk: Desk, request: Request) -> tuple[TraitView, ...]:
    """Every trait in use, by name."""
    async with desk.records.read(request.server, request.actor) as book:
        heredity = await book.heredity()
    known = known_of(heredity)
    return tuple(
        TraitView(
            row=row,
            trait=known.by_id[row.id],
            model=known.model(known.by_id[row.id]),
            relations=known.relations_of([known.by_id[row.id]]),
            species=None if row.species_key is None else desk.species.of(row.species_key).name,
        )
        for row in heredity.traits[:MOST_LISTED]
    )


async def choose_trait(desk: Desk, request: Request, text: str) -> tuple[str, ...]:
    """Names of traits that hold `text`."""
    wanted = text.strip().casefold()
    async with desk.records.read(request.server, request.actor) as book:
        return tuple(row.name for row in await book.traits() if wanted in row.name.casefold())


async def choose_traits(desk: Desk, request: Request, text: str) -> tuple[str, ...]:
    """The text with its last name completed, in several ways; names are parted by commas."""
    head, comma, last = text.rpartition(",")
    before = [name.strip().casefold() for name in head.split(",")]
    names = [name for name in await choose_trait(desk, request, last) if name.casefold() not in before]
    return tuple(f"{head}{comma} {name}".strip() for name in names)


def row_named(text: str, rows: Iterable[TraitRow]) -> TraitRow:
    """The trait of this name or symbol.

    Raises:
        NoSuchTrait: there is none; it holds the nearest names.
    """
    wanted = " ".join(text.split())
    every = list(rows)
    for row in every:
        if row.name.casefold() == wanted.casefold():
            return row
    for row in every:
        if row.symbol == wanted:
            return row
    by_name = {row.name.casefold(): row.name for row in every}
    close = difflib.get_close_matches(wanted.casefold(), by_name, n=3)
    raise NoSuchTrait(text=wanted, nearest=tuple(by_name[name] for name in close))


async def open_trait(book: WriteBook, name: str, species_key: str) -> int:
    """Write a trait of which only the name is known, and the species in which it turned up; returns its id.

    Raises:
        TraitTaken, TraitNotNamed: nothing was written.
    """
    rows = await book.traits()
    symbol = _free_symbol(name, rows)
    _require_free(name, symbol, rows)
    model = TraitModel(open=True)
    trait = _named(name, symbol, Dominance.RECESSIVE, model)
    return await book.add_trait(
        name=trait.name,
        symbol=trait.symbol,
        dominance=trait.dominance,
        species_key=species_key,
        model=write_model(model),
    )


def _dominance(text: str) -> Dominance:
    how = read_dominance(text)
    if how is None:
        raise WordNotKnown(what="way of showing", text=text, known=tuple(Dominance))
    return how


def _named(name: str, symbol: str, dominance: Dominance, model: TraitModel) -> Trait:
    try:
        return Trait(name, symbol, dominance, model.where)
    except TraitRefused as error:
        raise TraitNotNamed(name=name, symbol=symbol, error=error) from error


async def require_author(book: Book, request: Request, row: TraitRow) -> None:
    """Let those pass who may say how a trait is: who wrote it, and stewards.

    Raises:
        NotYours: the person is neither.
    """
    if request.actor != row.author_id and Role.STEWARD not in request.roles:
        keeper = await book.keeper(row.author_id)
        raise NotYours(what=f"trait {row.name}", keeper_name=keeper.name if keeper else "")


async def _require_sound(book: Book, trait: int) -> None:
    try:
        require_sound(await book.heredity(), [trait])
    except (ModelRefused, OutOfRange) as error:
        raise ModelNotPossible(error) from error


async def _view(desk: Desk, book: Book, trait: int, event: int) -> TraitView:
    heredity = await book.heredity()
    row = next((row for row in heredity.traits if row.id == trait), None)
    if row is None:
        raise TakenBack("trait")
    return _view_of(desk, heredity, row, event)


def _view_of(desk: Desk, heredity: Heredity, row: TraitRow, event: int | None) -> TraitView:
    known: Known = known_of(heredity)
    trait = known.by_id[row.id]
    model = known.model(trait)
    card: Any = None if row.species_key is None else desk.species.of(row.species_key)
    system = SexSystem.UNKNOWN if card is None else SexSystem(card.sex_system.value)
    return TraitView(
        row=row,
        trait=trait,
        model=model,
        relations=known.relations_of([trait]),
        species=None if card is None else card.name,
        system=system,
        contrast=None if model.open else contrast_of(trait.dominance, model, system),
        event=event,
    )


def _require_free(name: str, symbol: str, known: Iterable[TraitRow]) -> None:
    for row in known:
        if row.name.casefold() == name.casefold():
            raise TraitTaken(text=name, is_symbol=False, holder=row.name)
        if row.symbol.casefold() == symbol.casefold():
            raise TraitTaken(text=symbol, is_symbol=True, holder=row.name)


def _free_symbol(name: str, known: Iterable[TraitRow]) -> str:
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
