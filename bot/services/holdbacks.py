"""Young kept back from a brood: a bin of their own that knows its parents and its brood."""

from collections.abc import Mapping, Sequence

from bot.records import BinRow, BreederRole, BroodRow, ParentRole, Sex, Shown, State, Subject, WriteBook
from bot.services.before import question_before
from bot.services.bin_marks import carry_marks
from bot.services.bin_views import BinView, view_of
from bot.services.bins import BIN
from bot.services.broods import brood_named, require_brood_keeper
from bot.services.desk import Desk
from bot.services.heredity import trait_of
from bot.services.refusals import TakenBack
from bot.services.refusals_bins import Disturb
from bot.services.refusals_breeding import MoreThanScored, NothingScored
from bot.services.request import Request
from bot.services.scored_text import Look, read_scored
from bot.services.texts import checked
from genetics import Appearance


async def keep_back(
    desk: Desk, request: Request, *, brood_text: str, keep_text: str, name: str = "", sure: bool = False
) -> BinView:
    """Open a bin with young of a brood. Its parents are the bins that the brood's breeders came from.

    Where their bin is on hold or in quarantine, or had better be left alone, the person is asked first, until they are `sure`.

    Young that show a trait in full are recorded as visual, those that show it in part as carrying one copy; of the others
    nothing is recorded, for wild-looking young may carry it or not.

    Raises:
        NoSuchBrood, NotYours, ScoresNotRead, ScoresUnclear, LookHasDoses, CountNotRead, NothingScored, MoreThanScored,
            LookFirst, TextTooLong, TakenBack: nothing was written.
    """
    name = checked("name", name)
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            brood = await brood_named(book, brood_text)
            await require_brood_keeper(book, request, brood)
            traits = await book.traits()
            looks = read_scored(keep_text, [trait_of(trait) for trait in traits]).looks
            if not sum(look.number for look in looks):
                raise NothingScored
            ids = {trait.name: trait.id for trait in traits}
            await _require_scored(book, brood, looks, ids)
            place = await _place(book, brood)
            question = await question_before(book, request, Disturb.KEEP_BACK, (place,))
            if question.pressing and not sure:
                raise question
            row = await _open(book, brood, place, looks, ids, name)
            await carry_marks(book, request, place.id, row.id)
            event = await book.log("brood.kept", Subject(BIN, row.id))
        opened = await book.bin(event.subject.id)
        if opened is None:
            raise TakenBack("bin")
        return await view_of(desk, book, request, opened, event.seq)


async def _require_scored(book: WriteBook, brood: BroodRow, looks: Sequence[Look], ids: Mapping[str, int]) -> None:
    """No more of a look may be kept than were scored; young that nobody scored yet may be kept as they are."""
    scorings = await book.scorings_of(brood.id)
    if not scorings:
        return
    scored: dict[frozenset[Shown], int] = {}
    for score in scorings[-1].scores:
        scored[frozenset(score.shown)] = scored.get(frozenset(score.shown), 0) + score.number
    before = await _kept_before(book, brood)
    wanted: dict[frozenset[Shown], int] = {}
    for look in looks:
        wanted[_shown(look, ids)] = wanted.get(_shown(look, ids), 0) + look.number
    for shown, number in wanted.items():
        left = scored.get(shown, 0) - before.get(shown, 0)
        if number > left:
            raise MoreThanScored(wanted=number, scored=max(left, 0))


async def _kept_before(book: WriteBook, brood: BroodRow) -> dict[frozenset[Shown], int]:
    """How many young of each look were kept back of a brood already."""
    before: dict[frozenset[Shown], int] = {}
    for founder in await book.all_founders():
        if founder.brood_id == brood.id:
            looks = {State.VISUAL: Appearance.FULL, State.HET: Appearance.PARTIAL}
            shown = frozenset(Shown(s.trait_id, looks[s.state]) for s in founder.states if s.state in looks)
            before[shown] = before.get(shown, 0) + (founder.number or 0)
    return before


def _shown(look: Look, ids: Mapping[str, int]) -> frozenset[Shown]:
    return frozenset(Shown(ids[trait.name], appearance) for trait, appearance in look.shown)


async def _place(book: WriteBook, brood: BroodRow) -> BinRow:
    place = await book.bin(brood.bin_id)
    if place is None:
        raise LookupError(f"bin {brood.bin_id} of brood {brood.id} is gone")
    return place


async def _open(
    book: WriteBook, brood: BroodRow, place: BinRow, looks: Sequence[Look], ids: Mapping[str, int], name: str
) -> BinRow:
    row = await book.add_bin(species_key=place.species_key, name=name or None)
    for look in looks:
        founder = await book.add_founder(
            row.id, number=look.number, sex=Sex(look.sex), described=bool(look.shown), brood_id=brood.id
        )
        for trait, appearance in look.shown:
            state = State.VISUAL if appearance is Appearance.FULL else State.HET
            await book.add_founder_state(founder, ids[trait.name], state)
    for parent, role in await _parents(book, brood):
        await book.add_parent(row.id, parent, role)
    return row


async def _parents(book: WriteBook, brood: BroodRow) -> list[tuple[int, ParentRole]]:
    """The bins that the brood's dams and sires came from; for a brood of no pairing the bin where it was found."""
    if brood.pairing_id is None:
        return [(brood.bin_id, ParentRole.BOTH)]
    paired = await book.paired(brood.pairing_id)
    sources = {one.id: one.from_bin_id for one in await book.breeders([p.breeders_id for p in paired])}
    roles: dict[int, set[BreederRole]] = {}
    for one in paired:
        source = sources[one.breeders_id]
        if source is not None:
            roles.setdefault(source, set()).add(one.role)
    return [
        (source, ParentRole.BOTH if len(given) > 1 else ParentRole.DAM if BreederRole.DAM in given else ParentRole.SIRE)
        for source, given in roles.items()
    ]
