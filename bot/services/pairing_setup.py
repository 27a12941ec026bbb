"""Setting up a pairing: reading who goes in, and writing it down before its result is known."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from bot.records import (
    BinRow,
    BreederRole,
    BreedersRow,
    DamHistory,
    Sex,
    SexSystem,
    Subject,
    TraitRow,
    WriteBook,
)
from bot.services.access import require_keeper
from bot.services.before import question_before
from bot.services.bin_marks import carry_marks
from bot.services.breeder_text import Again, Fresh, Group, Odd, read_breeders
from bot.services.days import read_day, zone_of
from bot.services.desk import Desk
from bot.services.finding import bin_named
from bot.services.finds import find_named
from bot.services.heredity import trait_of
from bot.services.pairings import PairingView, pairing_code, pairing_named, pairing_view, require_pairing_keeper
from bot.services.rearing_tasks import PAIRING
from bot.services.refusals import TraitOfAnother, TwoSpecies, WordNotKnown
from bot.services.refusals_bins import Disturb
from bot.services.refusals_breeding import (
    BreedersLookNotRead,
    BreedersNotRead,
    BreedersProblem,
    ClonalPairing,
    DamElsewhere,
    NobodyOn,
    PairingOver,
    SpeciesNotSaid,
)
from bot.services.request import Request
from bot.services.species import SpeciesCard
from bot.services.species_cards import card_of
from bot.services.texts import checked
from genetics import NotationError, Side, read_side

HISTORIES = {"isolated unmated": DamHistory.UNMATED, "had males": DamHistory.HAD_MALES, "unknown": DamHistory.UNKNOWN}
"""What a dam may be said to be, in words."""

_SEX_OF = {BreederRole.DAM: Sex.FEMALE, BreederRole.SIRE: Sex.MALE}


@dataclass(frozen=True, slots=True)
class NewPairing:
    """What a person typed to set up a pairing; only the dams are always needed."""

    dams: str
    sires: str = ""
    dams_were: str = ""
    question: str = ""
    place: str = ""
    species: str = ""
    day: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class _Chosen:
    """A group that was typed, found in the book or about to be written."""

    role: BreederRole
    history: DamHistory | None
    known: BreedersRow | None = None
    fresh: Fresh | None = None
    source: BinRow | None = None
    side: Side | None = None


async def set_up(desk: Desk, request: Request, new: NewPairing, *, sure: bool = False) -> PairingView:
    """Set up a pairing, in a bin of its own unless one is named. Its breeders keep their identity.

    Where the book knows why a bin had better be left alone the person is asked first, until they are `sure`.

    Raises:
        BreedersNotRead, BreedersLookNotRead, NobodyOn, DamElsewhere, ClonalPairing, SpeciesNotSaid, NoSuchBin, NoSuchPairing, NoSuchFind,
            NotYours, TwoSpecies, TraitOfAnother, WordNotKnown, DayNotRead, DayAhead, ClosedBin, LookFirst, TextTooLong, TakenBack: nothing was
            written.
    """
    note = checked("note", new.note)
    dams, sires = read_breeders(new.dams, BreederRole.DAM), read_breeders(new.sires, BreederRole.SIRE)
    history = _history(new.dams_were)
    if not dams:
        raise NobodyOn(BreederRole.DAM)
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            at = read_day(new.day, request.now, await zone_of(book, request))
            traits = await book.traits()
            chosen = [await _choose(book, group, BreederRole.DAM, history, traits) for group in dams]
            chosen += [await _choose(book, group, BreederRole.SIRE, None, traits) for group in sires]
            members = [one for groups in chosen for one in groups]
            _require_each_once(members)
            place = await bin_named(book, new.place) if new.place.strip() else None
            await _require_free(book, members, place)
            named = _species(desk, members, place, new.species, await book.bins(open_only=False))
            species = await card_of(desk, book, named.key)
            _require_possible(species, members)
            _require_traits(desk, species, members, traits)
            trait = _trait(new.question, traits)
            if place is not None:
                require_keeper(request, place)
            sources = _sources(members)
            if not sure:
                await _ask_first(book, request, sources, place, members)
            if place is None:
                place = await _open_place(book, species, members, traits)
            pairing = await book.add_pairing(
                bin_id=place.id, trait_id=trait.id if trait else None, note=note or None, set_up_at=at
            )
            for member in members:
                await _put_in(book, pairing, member, traits)
            for source in sources:
                await carry_marks(book, request, source.id, place.id)
            event = await book.log("pairing.set_up", Subject(PAIRING, pairing))
        return await pairing_view(desk, book, request, event.subject.id, event.seq)


def _sources(members: Sequence[_Chosen]) -> tuple[BinRow, ...]:
    """The bins that animals are taken from, each once."""
    return tuple({member.source.id: member.source for member in members if member.source is not None}.values())


async def _ask_first(
    book: WriteBook, request: Request, sources: Sequence[BinRow], place: BinRow | None, members: Sequence[_Chosen]
) -> None:
    taken: dict[int, int] = {}
    for member in members:
        if member.source is not None and (place is None or member.source.id != place.id):
            taken[member.source.id] = taken.get(member.source.id, 0) + _number(member)
    rows = {row.id: row for row in (*sources, *((place,) if place is not None else ()))}
    question = await question_before(book, request, Disturb.TAKE_FROM, tuple(rows.values()), taken=taken)
    if question.pressing:
        raise question


async def _choose(
    book: WriteBook, group: Group, role: BreederRole, history: DamHistory | None, traits: tuple[TraitRow, ...]
) -> list[_Chosen]:
    """The breeders that a typed group stands for."""
    if role is BreederRole.SIRE and not isinstance(group, Again) and group.history is not None:
        raise BreedersNotRead(role, str(group.history), BreedersProblem.WRONG_SEX)
    if isinstance(group, Fresh):
        source = await bin_named(book, group.bin_text) if group.bin_text else None
        if source is None and not group.what:
            raise BreedersNotRead(role, group.name or str(group.number), BreedersProblem.NO_STOCK)
        side = _side(group.what, traits)
        return [_Chosen(role, group.history or history, fresh=group, source=source, side=side)]
    if isinstance(group, Odd):
        return [await _odd(book, group, role, history)]
    if isinstance(group, Again):
        earlier = await book.paired((await pairing_named(book, group.pairing_text)).id)
        known = await book.breeders([p.breeders_id for p in earlier if p.role is group.role])
        part = group.pairing_text
    else:
        seen = await _known_to_reader(book)
        known = tuple(b for b in seen if (b.name or "").casefold() == group.name.casefold() != "")
        known, part = known[-1:], group.name
    if not known:
        raise BreedersNotRead(role, part, BreedersProblem.NO_NUMBER)
    if any(one.sex is not _SEX_OF[role] for one in known):
        raise BreedersNotRead(role, part, BreedersProblem.WRONG_SEX)
    # Whoever was in a pairing before has met its males.
    before = DamHistory.HAD_MALES if role is BreederRole.DAM else None
    return [_Chosen(role, group.history or before, known=one) for one in known]


async def _known_to_reader(book: WriteBook) -> list[BreedersRow]:
    """Who can be called by name: what comes from, or is paired in, a bin that is not there for the person is not known to them."""
    seen = {row.id for row in await book.pairings()}
    places: dict[int, set[int]] = {}
    for one in await book.all_paired():
        places.setdefault(one.breeders_id, set()).add(one.pairing_id)
    return [
        one
        for one in await book.all_breeders()
        if one.from_code != "" and (one.id not in places or not places[one.id].isdisjoint(seen))
    ]


async def _odd(book: WriteBook, group: Odd, role: BreederRole, history: DamHistory | None) -> _Chosen:
    """The animal of a find. One that could not be sexed before is of the sex of its side from now on."""
    find = await find_named(book, str(group.number))
    (known,) = await book.breeders([find.breeders_id])
    if known.sex not in (Sex.UNKNOWN, _SEX_OF[role]):
        raise BreedersNotRead(role, f"find {find.number}", BreedersProblem.WRONG_SEX)
    source = await book.bin(find.bin_id)
    if role is BreederRole.SIRE:
        return _Chosen(role, None, known=known, source=source)
    bred = any(one.breeders_id == known.id for one in await book.all_paired())
    # Eggs stand for a male that she met, and so does an earlier pairing.
    met = DamHistory.HAD_MALES if bred or find.pouch_filled else None
    return _Chosen(role, group.history or met or history, known=known, source=source)


def _side(what: str, traits: tuple[TraitRow, ...]) -> Side | None:
    if not what:
        return None
    try:
        return read_side(what, [trait_of(trait) for trait in traits])
    except NotationError as error:
        raise BreedersLookNotRead(error=error, known=tuple(trait.name for trait in traits)) from error


def _history(text: str) -> DamHistory:
    wanted = text.strip().casefold() or "unknown"
    for word, history in HISTORIES.items():
        if wanted in (word, history.value):
            return history
    raise WordNotKnown(what="history of a dam", text=text, known=tuple(HISTORIES))


def _trait(text: str, traits: Sequence[TraitRow]) -> TraitRow | None:
    wanted = text.strip().casefold()
    if not wanted:
        return None
    for trait in traits:
        if wanted in (trait.name.casefold(), trait.symbol.casefold()):
            return trait
    raise WordNotKnown(what="trait", text=text, known=tuple(trait.name for trait in traits))


def _require_each_once(members: Sequence[_Chosen]) -> None:
    known = [member.known.id for member in members if member.known is not None]
    for member in members:
        if member.known is not None and known.count(member.known.id) > 1:
            raise BreedersNotRead(member.role, member.known.name or str(member.known.number), BreedersProblem.TWICE)


async def _require_free(book: WriteBook, members: Sequence[_Chosen], place: BinRow | None) -> None:
    """A dam is in one bin at a time."""
    dams = {m.known.id: m.known for m in members if m.known is not None and m.role is BreederRole.DAM}
    for pairing in await book.running_with(dams):
        if place is None or pairing.bin_id != place.id:
            inside = {paired.breeders_id for paired in await book.paired(pairing.id)} & dams.keys()
            raise DamElsewhere(code=pairing_code(pairing.number), name=dams[min(inside)].name)


async def say_history(desk: Desk, request: Request, text: str, history: str) -> PairingView:
    """Say of the dams of a pairing whose history is not known what it is: the question that its setting up has asked.

    Raises:
        NoSuchPairing, NotYours, PairingOver, WordNotKnown, TakenBack: nothing was written.
    """
    said = _history(history)
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            row = await pairing_named(book, text)
            await require_pairing_keeper(book, request, row)
            if row.ended_at is not None:
                raise PairingOver(code=pairing_code(row.number), ended_at=row.ended_at)
            for dam in await book.paired(row.id):
                if dam.history is DamHistory.UNKNOWN:
                    await book.set_history(row.id, dam.breeders_id, said)
            event = await book.log("pairing.history", Subject(PAIRING, row.id))
        return await pairing_view(desk, book, request, event.subject.id, event.seq)


def _species(
    desk: Desk, members: Sequence[_Chosen], place: BinRow | None, text: str, bins: Collection[BinRow]
) -> SpeciesCard:
    """The one species of all that is named."""
    by_id = {row.id: row.species_key for row in bins}
    known = [by_id[m.known.from_bin_id] for m in members if m.known is not None and m.known.from_bin_id in by_id]
    keys = dict.fromkeys([m.source.species_key for m in members if m.source is not None] + known)
    if place is not None:
        keys[place.species_key] = None
    if text.strip():
        keys[desk.species.named(text).key] = None
    if not keys:
        raise SpeciesNotSaid
    cards = [desk.species.of(key) for key in keys]
    if len(cards) > 1:
        raise TwoSpecies(first=cards[0].name, second=cards[1].name)
    return cards[0]


def _require_possible(species: SpeciesCard, members: Sequence[_Chosen]) -> None:
    sires = [member for member in members if member.role is BreederRole.SIRE]
    if species.sex_system is SexSystem.THELYTOKOUS:
        if sires:
            raise ClonalPairing(species=species.name)
    elif not sires and not any(member.history is DamHistory.HAD_MALES for member in members):
        raise NobodyOn(BreederRole.SIRE)


def _require_traits(desk: Desk, species: SpeciesCard, members: Sequence[_Chosen], traits: Sequence[TraitRow]) -> None:
    keys = {trait.name: trait.species_key for trait in traits}
    for member in members:
        for item in member.side.stated if member.side is not None else ():
            key = keys[item.trait.name]
            if key not in (None, species.key):
                raise TraitOfAnother(item.trait.name, species=desk.species.of(str(key)).name, other=species.name)


async def _open_place(
    book: WriteBook, species: SpeciesCard, members: Sequence[_Chosen], traits: Sequence[TraitRow]
) -> BinRow:
    """A bin of the pairing's own, founded by its breeders."""
    place = await book.add_bin(species_key=species.key)
    ids = {trait.name: trait.id for trait in traits}
    for member in members:
        founder = await book.add_founder(
            place.id,
            number=_number(member),
            sex=_SEX_OF[member.role],
            described=member.side is not None or (member.known is not None and member.known.described),
        )
        for item in member.side.stated if member.side is not None else ():
            await book.add_founder_state(founder, ids[item.trait.name], item.state, item.chance)
        for state in member.known.states if member.known is not None else ():
            await book.add_founder_state(founder, state.trait_id, state.state, state.chance)
    return place


def _number(member: _Chosen) -> int:
    if member.fresh is not None:
        return member.fresh.number
    if member.known is not None:
        return member.known.number
    raise ValueError("breeders are known or fresh")


async def _put_in(book: WriteBook, pairing_id: int, member: _Chosen, traits: Sequence[TraitRow]) -> None:
    if member.known is not None:
        if member.known.sex is Sex.UNKNOWN:
            await book.set_breeders_sex(member.known.id, _SEX_OF[member.role])
        await book.put_in(pairing_id, member.known.id, member.role, member.history)
        return
    ids = {trait.name: trait.id for trait in traits}
    breeders = await book.add_breeders(
        sex=_SEX_OF[member.role],
        number=_number(member),
        from_bin_id=member.source.id if member.source is not None else None,
        described=member.side is not None,
        name=(member.fresh.name if member.fresh is not None else "") or None,
    )
    for item in member.side.stated if member.side is not None else ():
        await book.add_breeder_state(breeders, ids[item.trait.name], item.state, item.chance)
    await book.put_in(pairing_id, breeders, member.role, member.history)
