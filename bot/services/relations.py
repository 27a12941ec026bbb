"""What traits are to each other: linked on one chromosome, alleles of one locus, or makers of one look."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from bot.records import Heredity, RelationKind, RelationRow, Subject, TraitRow, WriteBook
from bot.services.desk import Desk
from bot.services.heredity import Relation, known_of, require_sound, trait_of
from bot.services.refusals import NotYours, Outlived, TakenBack, TraitTaken, WordNotKnown
from bot.services.refusals_traits import InheritanceOpen, LooksNotRead, ModelNotPossible, NoSuchTrait, Related
from bot.services.request import Request, Role
from bot.services.texts import checked
from bot.services.trait_models import (
    Doses,
    Linkage,
    Series,
    Together,
    read_model,
    write_linkage,
    write_series,
    write_together,
)
from bot.services.trait_words import match_names, read_gaps, read_names
from bot.services.traits import row_named
from genetics import (
    Dominance,
    Interaction,
    ModelFault,
    ModelRefused,
    NotationError,
    OutOfRange,
    State,
    Trait,
    read_side,
)
from genetics.words import WILD_ALLELE

RELATION = "relation"
_WILD = frozenset({"wild", "wild type", WILD_ALLELE})
_REST = frozenset({"else", "otherwise", "rest", "any other", "all others"})
_EQUALS = re.compile(r"\s*(?:=|→|->|:)\s*")
_COPIES = {State.WILD: 0, State.HET: 1, State.VISUAL: 2, State.HOMOZYGOUS: 2}
_MOST_MADE = 3
"""The most traits that make one look together: a table of 27 genotypes (judgement)."""


@dataclass(frozen=True, slots=True)
class Tied:
    """A relation as it stands in the book, and the event that can take it back."""

    relation: Relation
    event: int


@dataclass(frozen=True, slots=True)
class Parted:
    """Traits that are nothing to each other any more, and the event that can take that back."""

    traits: tuple[str, ...]
    event: int


async def link_traits(desk: Desk, request: Request, *, traits: str, distance: str, sires: str = "") -> Tied:
    """Record that traits lie on one chromosome, in map order, with the distance between neighbours; `sires`: in sires.

    Raises:
        NoSuchTrait, ShareNotRead, ModelNotPossible, Related, TakenBack: nothing was written.
    """
    dam, sire = read_gaps(distance), read_gaps(sires) if sires.strip() else None
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            heredity = await book.heredity()
            members = _members(traits, heredity)
            _refuse_related(heredity, RelationKind.LINKED, members)
            ids = [row.id for row in members]
            made = await book.add_relation(RelationKind.LINKED, ids, write_linkage(Linkage(dam, sire)))
            await _require_sound(book, members)
            event = await book.log("trait.linked", Subject(RELATION, made))
        return await _tied(book, event.subject.id, event.seq)


async def series_of(desk: Desk, request: Request, *, order: str, name: str = "") -> Tied:
    """Record that traits are alleles of one locus; `order` names them, the one that shows over all others first.

    Wild stands in the order too; where it is left out it comes after the dominant traits and before the recessive ones.

    Raises:
        NoSuchTrait, ModelNotPossible, Related, TraitTaken, TextTooLong, Uneven, TakenBack: nothing was written.
    """
    name = checked("name", name)
    names = read_names(order)
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            heredity = await book.heredity()
            wild = next((at for at, one in enumerate(names) if one.casefold() in _WILD), None)
            members = _rows([one for one in names if one.casefold() not in _WILD], heredity)
            _refuse_related(heredity, RelationKind.SERIES, members)
            _require_free_name(name, heredity)
            before = sum(row.dominance is not Dominance.RECESSIVE for row in members) if wild is None else wild
            made = await book.add_relation(
                RelationKind.SERIES, [row.id for row in members], write_series(Series(before)), name=name or None
            )
            await _require_sound(book, members)
            event = await book.log("trait.series", Subject(RELATION, made))
        return await _tied(book, event.subject.id, event.seq)


async def combine_traits(
    desk: Desk, request: Request, *, name: str, traits: str, looks: str, way: str = "", table: str = ""
) -> Tied:
    """Record that traits make a look together, in one of the known ways (`way`), or by a table.

    `looks` are the names of the classes in the order of the way. A table has a line for each look, like "visual ember,
    visual frost = ghost": what is not named may be anything, the first line that fits counts, "else = grey" is last.

    Raises:
        NoSuchTrait, WordNotKnown, LooksNotRead, ModelNotPossible, Related, TraitTaken, TextTooLong, Uneven, TakenBack:
            nothing was written.
    """
    name = checked("name", name)
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            heredity = await book.heredity()
            members = _members(traits, heredity)
            _refuse_related(heredity, RelationKind.TOGETHER, members)
            _require_free_name(name, heredity, needed=True)
            says, called = _made(table, way, looks, members)
            if len(members) > _MOST_MADE or (says.kind is not None and len(members) != 2):
                raise LooksNotRead(text=traits, rest=", ".join(row.name for row in members[2:]), most=_MOST_MADE)
            ids = [row.id for row in members]
            made = await book.add_relation(RelationKind.TOGETHER, ids, write_together(says), name=name, looks=called)
            await _require_sound(book, members)
            event = await book.log("trait.combined", Subject(RELATION, made))
        return await _tied(book, event.subject.id, event.seq)


async def part_traits(desk: Desk, request: Request, *, relation: str) -> Parted:
    """End a relation, named by its number or by the names of its traits. What was counted before stays as it is.

    Raises:
        NoSuchTrait, Related, NotYours, Outlived: nothing was written.
    """
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            row = _relation_named(relation, await book.heredity())
            await _require_author(book, request, row)
            await book.end_relation(row.id)
            event = await book.log("trait.parted", Subject(RELATION, row.id))
        members = await book.relation_members(event.subject.id)
        names = {row.id: row.name for row in await book.traits()}
        return Parted(tuple(names[one] for one in members if one in names), event.seq)


async def choose_relation(desk: Desk, request: Request, text: str) -> tuple[tuple[str, str], ...]:
    """Relations whose traits or name hold `text`: what is shown, and the number that stands for it."""
    async with desk.records.read(request.server, request.actor) as book:
        heredity = await book.heredity()
    names = {row.id: row.name for row in heredity.traits}
    wanted = text.strip().casefold()
    shown = [(f"{row.kind}: {', '.join(names[one] for one in row.members)}", str(row.id)) for row in heredity.relations]
    return tuple((said, number) for said, number in shown if wanted in said.casefold())


# ---- reading what was typed


def _members(text: str, heredity: Heredity) -> list[TraitRow]:
    return _rows(read_names(text), heredity)


def _rows(names: Sequence[str], heredity: Heredity) -> list[TraitRow]:
    rows = [row_named(name, heredity.traits) for name in names]
    if len(rows) < 2:
        raise ModelNotPossible(ModelRefused(names[0] if names else "it", ModelFault.EMPTY, ""))
    twice = next((row for at, row in enumerate(rows) if row in rows[:at]), None)
    if twice is not None:
        raise ModelNotPossible(ModelRefused(twice.name, ModelFault.LOCUS_TWICE, twice.name))
    return rows


def _made(table: str, way: str, looks: str, members: Sequence[TraitRow]) -> tuple[Together, tuple[str, ...]]:
    """How the look is made, and the names of its classes."""
    if not table.strip():
        kinds = {kind.value: kind for kind in Interaction}
        if way.strip() not in kinds:
            raise WordNotKnown(what="way of acting together", text=way, known=tuple(kinds))
        return Together(kinds[way.strip()]), tuple(checked("name", one) for one in read_names(looks))
    rules: list[tuple[Doses, str]] = []
    for line in re.split(r"[;\n]", table):
        if line.strip():
            rules.append(_rule(line.strip(), table, members))
    called = tuple(dict.fromkeys(look for _, look in rules))
    return Together(None, tuple((doses, called.index(look)) for doses, look in rules)), called


def _rule(line: str, table: str, members: Sequence[TraitRow]) -> tuple[Doses, str]:
    parts = _EQUALS.split(line)
    if len(parts) != 2 or not parts[1]:
        raise LooksNotRead(text=table, rest=line)
    look = checked("name", parts[1])
    if parts[0].casefold() in _REST:
        return (None,) * len(members), look
    traits = [trait_of(row) for row in members]
    try:
        side = read_side(parts[0].replace("+", ","), traits)
    except NotationError as error:
        raise LooksNotRead(text=table, rest=line) from error
    doses: dict[Trait, int] = {}
    for item in side.stated:
        if item.state not in _COPIES:
            raise LooksNotRead(text=table, rest=line)
        doses[item.trait] = _COPIES[item.state]
    if not doses and parts[0].casefold() not in _WILD:
        raise LooksNotRead(text=table, rest=line)
    return tuple(doses.get(trait, None if doses else 0) for trait in traits), look


def _refuse_related(heredity: Heredity, kind: RelationKind, members: Sequence[TraitRow]) -> None:
    """A trait stands on one map and in one series; the same traits make one look. What is open is none of it yet."""
    unknown = tuple(row.name for row in members if read_model(row.model).open)
    if unknown:
        raise InheritanceOpen(unknown)
    names = {row.id: row.name for row in heredity.traits}
    ids = {row.id for row in members}
    for relation in heredity.relations:
        if relation.kind is not kind:
            continue
        shared = ids.intersection(relation.members)
        if shared and (kind is not RelationKind.TOGETHER or ids == set(relation.members)):
            raise Related(kind=kind.value, names=tuple(names[one] for one in relation.members))


def _require_free_name(name: str, heredity: Heredity, *, needed: bool = False) -> None:
    """What traits make has a name that no trait and nothing else made has: a cross is told by these names."""
    if needed and not name:
        raise ModelNotPossible(ModelRefused("the look", ModelFault.LABELS, ""))
    taken = [row.name for row in heredity.traits] + [row.name for row in heredity.relations if row.name]
    for other in taken:
        if name and other.casefold() == name.casefold():
            raise TraitTaken(text=name, is_symbol=False, holder=other)


def _relation_named(text: str, heredity: Heredity) -> RelationRow:
    for row in heredity.relations:
        if str(row.id) == text.strip() or (row.name or "").casefold() == text.strip().casefold():
            return row
    names: Mapping[str, int] = {row.name: row.id for row in heredity.traits}
    wanted, strange = match_names(read_names(text), names)
    if strange is not None:
        row_named(strange, heredity.traits)
        raise NoSuchTrait(text=strange)
    found = [row for row in heredity.relations if wanted and set(wanted) <= set(row.members)]
    if not found:
        raise Outlived("relation")
    if len(found) > 1:
        raise Related(kind="several", names=tuple(f"{row.kind} ({row.id})" for row in found))
    return found[0]


async def _require_author(book: WriteBook, request: Request, row: RelationRow) -> None:
    if request.actor != row.author_id and Role.STEWARD not in request.roles:
        keeper = await book.keeper(row.author_id)
        raise NotYours(what="relation", keeper_name=keeper.name if keeper else "")


async def _require_sound(book: WriteBook, members: Sequence[TraitRow]) -> None:
    try:
        require_sound(await book.heredity(), [row.id for row in members])
    except (ModelRefused, OutOfRange) as error:
        raise ModelNotPossible(error) from error


async def _tied(book: WriteBook, relation: int, event: int) -> Tied:
    known = known_of(await book.heredity())
    found = next((one for one in known.relations if one.id == relation), None)
    if found is None:
        raise TakenBack("relation")
    return Tied(found, event)
