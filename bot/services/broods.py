"""Broods: young seen, how many of them look how, and what is kept back of them."""

from collections.abc import Sequence
from dataclasses import dataclass

from bot.records import (
    BinRow,
    Book,
    BroodReason,
    BroodRow,
    PairingRow,
    ScoringRow,
    Shown,
    Subject,
    TraitRow,
    WriteBook,
)
from bot.services.access import require_keeper
from bot.services.brood_text import NewBrood
from bot.services.days import read_day, zone_of
from bot.services.desk import Desk
from bot.services.finding import MOST_CHOICES, bin_named, row_id
from bot.services.heredity import trait_of
from bot.services.pairings import pairing_code, pairing_named, require_pairing_keeper
from bot.services.rearing import is_mixed
from bot.services.rearing_tasks import young_told
from bot.services.refusals import TakenBack, WordNotKnown
from bot.services.refusals_breeding import (
    MoreThanBorn,
    NoSuchBrood,
    NoSuchPairing,
    NothingScored,
    NotInOrder,
    ScoresNotRead,
)
from bot.services.request import Request
from bot.services.scored_text import Scored, read_scored
from bot.services.tally import read_tally
from bot.services.texts import checked
from bot.workers import AllBusy, Overdue, WorkerLost
from genetics import OutOfRange, TooLarge, ratios_of
from genetics.ratios import Ratios

BROOD = "brood"
A_PAGE = 12
"""How many broods are listed at once."""
SCORING = "scoring"
REASONS = {"planned before": BroodReason.PLANNED, "found by chance": BroodReason.FOUND}
"""Why a brood may be in the book, in words."""


@dataclass(frozen=True, slots=True)
class BroodView:
    """All that the book says of a brood.

    Attributes:
        scorings: every look at it, oldest first; the last is what counts.
        ratios: which simple ratios the last look fits, where it told two to four looks apart.
        event: the event that this view answers, if it answers one.
    """

    brood: BroodRow
    pairing: PairingRow | None
    traits: tuple[TraitRow, ...]
    scorings: tuple[ScoringRow, ...]
    ratios: Ratios | None = None
    event: int | None = None

    @property
    def code(self) -> str:
        """What people call the brood: "P-3.1", or "B-4.1" where it belongs to no pairing."""
        return brood_code(self.brood)

    @property
    def mixed(self) -> bool:
        """Whether it may be young of the pairing's young: then it says nothing of the breeders."""
        return self.pairing is not None and is_mixed(self.pairing, self.brood.seen_on)

    @property
    def latest(self) -> ScoringRow | None:
        """The look that counts."""
        return self.scorings[-1] if self.scorings else None


def brood_code(brood: BroodRow) -> str:
    """The code of a brood: that of its pairing or bin, and its number there."""
    of = pairing_code(brood.pairing_number) if brood.pairing_number is not None else brood.bin_code
    return f"{of}.{brood.number}"


async def log_brood(desk: Desk, request: Request, new: NewBrood) -> BroodView:
    """Write a brood into the book as `write_brood` does, and work out which simple ratios it fits.

    Raises:
        As `write_brood`: nothing was written.
    """
    return await _with_ratios(desk, await write_brood(desk, request, new))


async def write_brood(desk: Desk, request: Request, new: NewBrood) -> BroodView:
    """Write a brood into the book, scored already or not. Nothing scored is not nothing seen.

    Raises:
        NoSuchPairing, NoSuchBin, NotYours, ScoresNotRead, ScoresUnclear, LookHasDoses, CountNotRead, MoreThanBorn, NotInOrder,
            WordNotKnown, DayNotRead, DayAhead, TextTooLong, TakenBack: nothing was written.
    """
    note = checked("note", new.note)
    typed = checked("brood", new.said)
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            pairing, place = await _origin(book, request, new.of)
            zone = await zone_of(book, request)
            traits = await book.traits()
            scored = new.read([trait_of(trait) for trait in traits], _about(pairing, traits))
            day = new.day.strip() or scored.day
            seen_on = read_day(day, request.now, zone)
            # The day of the first young is that of the first brood alone.
            if not day and pairing is not None and not await book.broods_of(pairing.id):
                seen_on = pairing.young_at or seen_on
            if pairing is not None and seen_on.astimezone(zone).date() < pairing.set_up_at.astimezone(zone).date():
                raise NotInOrder(what="Young of this pairing", first="the day it was set up", at=pairing.set_up_at)
            _require_born(scored.born, scored)
            brood = await book.add_brood(
                bin_id=place.id,
                pairing_id=pairing.id if pairing is not None else None,
                why=_why(new.why, pairing),
                seen_on=seen_on,
                born=scored.born,
                dead=scored.dead,
                mothers=read_tally(new.mothers).total or None if new.mothers.strip() else None,
                note=note or None,
            )
            if scored.looks or scored.unsure or scored.unscored:
                await _score(book, brood, scored, typed, traits)
            await young_told(book, pairing, place)
            event = await book.log("brood.logged", Subject(BROOD, brood))
        return await _view(book, event.subject.id, event.seq)


async def score_again(desk: Desk, request: Request, text: str, scored_text: str, *, first: str = "") -> BroodView:
    """Look at a brood anew. The new look counts from now on; the old ones stay in the book.

    `first` is what was typed before one of its meanings was chosen.

    Raises:
        NoSuchBrood, NotYours, ScoresNotRead, ScoresUnclear, LookHasDoses, CountNotRead, MoreThanBorn, NothingScored,
            TextTooLong, TakenBack: nothing was written.
    """
    typed = checked("brood", first or scored_text)
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            brood = await brood_named(book, text)
            await require_brood_keeper(book, request, brood)
            traits = await book.traits()
            pairing = await book.pairing(brood.pairing_id) if brood.pairing_id is not None else None
            scored = read_scored(scored_text, [trait_of(trait) for trait in traits], _about(pairing, traits))
            if scored.day:
                # A look is taken now; another day beside it would be lost.
                raise ScoresNotRead(text=scored_text, rest=scored.day, known=tuple(trait.name for trait in traits))
            if not scored.looks and not scored.unsure and not scored.unscored:
                raise NothingScored
            _require_born(scored.born if scored.born is not None else brood.born, scored)
            scoring = await _score(book, brood.id, scored, typed, traits)
            event = await book.log("brood.scored", Subject(SCORING, scoring))
            brood_id = brood.id
        else:
            brood_id = await _brood_of_scoring(book, event.subject.id)
        view = await _view(book, brood_id, event.seq)
    return await _with_ratios(desk, view)


async def show_brood(desk: Desk, request: Request, text: str) -> BroodView:
    """All that the book says of a brood.

    Raises:
        NoSuchBrood: none has this code.
    """
    async with desk.records.read(request.server, request.actor) as book:
        view = await _view(book, (await brood_named(book, text)).id)
    return await _with_ratios(desk, view)


@dataclass(frozen=True, slots=True)
class BroodPage:
    """A page of broods, the newest first: which page it is, counted from 0, and how many broods there are in all."""

    views: tuple[BroodView, ...]
    page: int
    total: int


async def list_broods(desk: Desk, request: Request, of: str = "", page: int = 0) -> BroodPage:
    """A page of the broods of a server, of a pairing or of a bin, the newest first; the last page, if there are fewer.

    Raises:
        NoSuchPairing, NoSuchBin: `of` is neither.
    """
    async with desk.records.read(request.server, request.actor) as book:
        which: dict[str, int] = {}
        if of.strip():
            pairing, place = await _found_origin(book, of)
            which = {"pairing_id": pairing.id} if pairing is not None else {"bin_id": place.id}
        total = await book.brood_count(**which)
        page = min(page, max(0, total - 1) // A_PAGE)
        rows = await book.brood_page(**which, limit=A_PAGE, offset=page * A_PAGE)
        traits = await book.traits()
        looks: dict[int, list[ScoringRow]] = {}
        for scoring in await book.scorings_of_broods([row.id for row in rows]):
            looks.setdefault(scoring.brood_id, []).append(scoring)
        pairings = {key: await book.pairing(key) for key in {row.pairing_id for row in rows if row.pairing_id}}
    views = [BroodView(b, pairings.get(b.pairing_id or 0), traits, tuple(looks.get(b.id, ()))) for b in rows]
    return BroodPage(tuple(views), page, total)


async def brood_named(book: Book, text: str) -> BroodRow:
    """The brood with this code: "P-3.1", "p3.1", "B-4.2"; the pairing alone where it has one brood.

    Raises:
        NoSuchBrood: there is none; it holds those that there are.
    """
    of, _, number = text.strip().rpartition(".")
    broods: tuple[BroodRow, ...] = ()
    pairing = await _pairing_of(book, of or number)
    if pairing is not None:
        broods = await book.broods_of(pairing.id)
    elif of and (place := await book.bin_by_code(of)) is not None:
        broods = await book.found_in(place.id)
    wanted = [b for b in broods if not of or b.number == row_id(number)]
    if len(wanted) != 1:
        raise NoSuchBrood(text=text, known=tuple(brood_code(b) for b in broods))
    return wanted[0]


async def _origin(book: Book, request: Request, text: str) -> tuple[PairingRow | None, BinRow]:
    """The pairing, or the bin without one, whose young they are, once the person may write there."""
    pairing, place = await _found_origin(book, text)
    if pairing is not None:
        await require_pairing_keeper(book, request, pairing)
    else:
        require_keeper(request, place)
    return pairing, place


async def _found_origin(book: Book, text: str) -> tuple[PairingRow | None, BinRow]:
    pairing = await _pairing_of(book, text)
    if pairing is None:
        return None, await bin_named(book, text)
    place = await book.bin(pairing.bin_id)
    if place is None:
        raise LookupError(f"the bin of pairing {pairing.id} is gone")
    return pairing, place


async def _pairing_of(book: Book, text: str) -> PairingRow | None:
    if not text.strip().casefold().startswith("p"):
        return None
    try:
        return await pairing_named(book, text)
    except NoSuchPairing:
        if await book.bin_by_code(text.split(maxsplit=1)[0]) is not None:
            return None
        raise


async def require_brood_keeper(book: Book, request: Request, brood: BroodRow) -> None:
    """Let those pass who may write in the brood's pairing, or in the bin where it was found.

    Raises:
        NotYours: the person may not.
    """
    if brood.pairing_id is not None and (pairing := await book.pairing(brood.pairing_id)) is not None:
        await require_pairing_keeper(book, request, pairing)
    elif (place := await book.bin(brood.bin_id)) is not None:
        require_keeper(request, place)


def _about(pairing: PairingRow | None, traits: Sequence[TraitRow]) -> str:
    """The name of the trait that a pairing is to tell about."""
    wanted = pairing.trait_id if pairing is not None else None
    return next((trait.name for trait in traits if trait.id == wanted), "")


def _why(text: str, pairing: PairingRow | None) -> BroodReason:
    wanted = text.strip().casefold()
    if not wanted:
        return BroodReason.FOUND if pairing is None else BroodReason.PLANNED
    for words, reason in REASONS.items():
        if wanted in (words, reason.value):
            return reason
    raise WordNotKnown(what="reason", text=text, known=tuple(REASONS))


def _require_born(born: int | None, scored: Scored) -> None:
    accounted = scored.total + scored.unsure + scored.unscored + (scored.dead or 0)
    if born is not None and accounted > born:
        raise MoreThanBorn(born=born, accounted=accounted)


async def _score(book: WriteBook, brood: int, scored: Scored, typed: str, traits: Sequence[TraitRow]) -> int:
    ids = {trait.name: trait.id for trait in traits}
    scoring = await book.add_scoring(
        brood,
        age_days=scored.age_days,
        length_mm=scored.length_mm,
        unsure=scored.unsure,
        unscored=scored.unscored,
        typed=typed,
    )
    for look in scored.looks:
        shown = [Shown(ids[trait.name], appearance) for trait, appearance in look.shown]
        await book.add_score(scoring, sex=look.sex, number=look.number, shown=shown)
    return scoring


async def _brood_of_scoring(book: Book, scoring_id: int) -> int:
    scoring = await book.scoring(scoring_id)
    if scoring is None:
        raise TakenBack("scoring")
    return scoring.brood_id


async def _view(book: Book, brood_id: int, event: int | None = None) -> BroodView:
    brood = await book.brood(brood_id)
    if brood is None:
        raise TakenBack("brood")
    pairing = await book.pairing(brood.pairing_id) if brood.pairing_id is not None else None
    return BroodView(brood, pairing, await book.traits(), await book.scorings_of(brood.id), event=event)


async def _with_ratios(desk: Desk, view: BroodView) -> BroodView:
    """The view with the ratios that fit; worked out with the book closed, for some take long."""
    counts = look_counts(view.latest)
    if len(counts) < 2 or view.mixed:
        return view
    try:
        ratios = await desk.workers.run(ratios_of, counts)
    except (TooLarge, OutOfRange, Overdue, WorkerLost, AllBusy):
        # The brood stands in the book; that nothing was worked out must not look as if it did not.
        return view
    return BroodView(view.brood, view.pairing, view.traits, view.scorings, ratios, view.event)


def look_counts(scoring: ScoringRow | None) -> list[int]:
    """How many young of each look, whatever their sex, in the order in which the looks were named."""
    counts: dict[tuple[Shown, ...], int] = {}
    for score in scoring.scores if scoring is not None else ():
        counts[score.shown] = counts.get(score.shown, 0) + score.number
    return list(counts.values())


async def choose_brood(desk: Desk, request: Request, text: str) -> tuple[str, ...]:
    """Codes of broods that hold `text`, the person's own first and the newest first."""
    async with desk.records.read(request.server, request.actor) as book:
        return tuple(brood_code(b) for b in await book.broods_like(text.strip().casefold(), MOST_CHOICES))


async def origin_code(desk: Desk, request: Request, text: str) -> str:
    """The code of a pairing, or of a bin, whose young may be logged.

    Raises:
        NoSuchPairing, NoSuchBin: it is neither.
    """
    async with desk.records.read(request.server, request.actor) as book:
        pairing, place = await _found_origin(book, text)
    return place.code if pairing is None else pairing_code(pairing.number)


async def code_of_brood(desk: Desk, request: Request, text: str) -> str:
    """The code of a brood, once it is known to be there.

    Raises:
        NoSuchBrood: it is not.
    """
    async with desk.records.read(request.server, request.actor) as book:
        return brood_code(await brood_named(book, text))
