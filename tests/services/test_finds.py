"""Finds: what one makes, what it asks first, how it is taken back, and who reads it."""

import asyncio
from collections.abc import AsyncIterator
from dataclasses import replace
from datetime import UTC, datetime, time, timedelta

import pytest
from pytest_asyncio import fixture as async_fixture

from bot.records import Appearance, BreederRole, CareKind, DamHistory, MarkKind, Records, Sex, SexSystem, Subject
from bot.services.bins import NewBin, open_bin, show_bin
from bot.services.brood_text import NewBrood
from bot.services.broods import log_brood
from bot.services.care_tasks import list_tasks
from bot.services.evidence import weighable
from bot.services.find_lists import choose_find, list_again, list_finds
from bot.services.find_pings import photographed_again
from bot.services.find_steps import SETTLING, Step
from bot.services.finds import FindView, NewFind, log_find, no_pings, sheen_seen, show_find
from bot.services.holdbacks import keep_back
from bot.services.keepers import set_keeper
from bot.services.odds import odds_of
from bot.services.pairing_setup import NewPairing, set_up
from bot.services.pairings import end_pairing
from bot.services.programme import told_of
from bot.services.refusals import BuiltUpon, ChangedSince, NoSuchBin, NotYours, Refusal, TakenBack, WordNotKnown
from bot.services.refusals_breeding import BreedersNotRead, BreedersProblem
from bot.services.refusals_days import DayAhead
from bot.services.refusals_finds import (
    AnimalNotRead,
    NameForAnother,
    NobodyToPing,
    NoSuchFind,
    SameOrAnother,
    SheenMeant,
    TraitMeant,
    TraitNeeded,
)
from bot.services.refusals_traits import InheritanceOpen, NoSuchTrait
from bot.services.relations import link_traits
from bot.services.sharing import set_privacy
from bot.services.trait_words import ModelText
from bot.services.traits import change_trait, define_trait, show_trait
from bot.services.undo import undo
from genetics.evidence.programme import Founders, Kept, Stock
from tests.support.asking import ELSEWHERE, MOSS, WREN, Asking, again, asking_of

DAY = timedelta(days=1)
ODD = NewFind(
    place="B-1", trait="ember", animal="female, adult, 9 mm, moulted yesterday, 1 of 40, no sheen", note="front left"
)


@async_fixture
async def bins(asking: Asking) -> Asking:
    """Two bins of one species and one of another."""
    await _open_three(asking)
    return asking


async def _open_three(asking: Asking) -> None:
    for species in ("Porcellio scaber", "Porcellio scaber", "Armadillidium vulgare"):
        await open_bin(asking.desk, asking.by(), NewBin(species=species, animals="30", holds="wild"))


@async_fixture
async def sqlite_bins(sqlite_records: Records) -> AsyncIterator[Asking]:
    """The same on SQLite alone, for what no engine can make a difference to."""
    asking = asking_of(sqlite_records)
    await _open_three(asking)
    yield asking
    await asking.desk.workers.close()


async def odd(asking: Asking, *, after: timedelta = timedelta(), who: int = WREN, **changed: str) -> FindView:
    """A find that is logged."""
    return await log_find(asking.desk, asking.by(who, after=after), replace(ODD, **changed))


async def test_a_find_opens_a_trait_and_asks_its_finder(bins: Asking) -> None:
    view = await odd(bins)
    row = view.row
    assert (row.number, row.bin_code, row.trait_name, row.sex) == (1, "B-1", "ember", Sex.FEMALE)
    assert (row.such, row.looked_at, row.length_mm, row.sheen) == (1, 40, 9, False)
    assert view.is_open
    assert view.steps == (Step.MATES, Step.STORED_SPERM, Step.BREED_FIRST)
    trait = await show_trait(bins.desk, bins.by(), "ember")
    assert trait.model.open
    assert trait.species == "Porcellio scaber"
    asked = await list_tasks(bins.desk, bins.by())
    # Moulted the day before: 33 days and 5 more after that. Sisters after a week; both in the morning, in UTC.
    assert [(one.task.kind, str(one.due_at)) for one in asked.tasks] == [
        (CareKind.SISTERS, "2026-03-12 08:00:00+00:00"),
        (CareKind.MOULT_PHOTO, "2026-04-11 08:00:00+00:00"),
    ]
    assert (await list_tasks(bins.desk, bins.by(MOSS))).tasks == ()
    assert len(view.pings) == 2
    assert (await show_find(bins.desk, bins.by(MOSS), "1")).pings == ()


async def test_the_same_request_again_writes_nothing(bins: Asking) -> None:
    request = bins.by()
    first = await log_find(bins.desk, request, ODD)
    before = await bins.events()
    assert await log_find(bins.desk, again(request), ODD) == first
    assert await bins.events() == before
    await undo(bins.desk, bins.by(), first.event or 0)
    with pytest.raises(TakenBack):
        await log_find(bins.desk, again(request), ODD)


async def test_of_two_who_log_the_same_new_name_at_once_one_is_asked(bins: Asking) -> None:
    both = await asyncio.gather(odd(bins), odd(bins, place="B-2"), return_exceptions=True)
    assert sorted(type(one) for one in both if isinstance(one, Exception)) == [SameOrAnother]
    assert [line.row.number for line in (await list_finds(bins.desk, bins.by())).lines] == [1]


async def test_the_animal_is_the_odd_founder_of_the_evidence(sqlite_bins: Asking) -> None:
    """science.md §5: the odd founder enters conditioned on being found; what else is of its bin is of its stock."""
    await odd(sqlite_bins)
    await set_up(sqlite_bins.desk, sqlite_bins.by(), NewPairing(dams="find 1", sires="1 from B-1", question="ember"))
    await log_brood(
        sqlite_bins.desk, sqlite_bins.by(after=60 * DAY), NewBrood(of="P-1", scored="6 ember 17 wild, 9 weeks")
    )
    found = await weighable(sqlite_bins.desk, sqlite_bins.by(), lambda rows: rows)
    told = told_of(found.traits[0], found.records, "porcellio-scaber", SexSystem.UNKNOWN)
    assert told.programme is not None
    dam, sire = told.programme.groups
    assert isinstance(dam, Founders)
    assert isinstance(sire, Founders)
    assert (dam.odd, dam.look, dam.stock) == (True, Appearance.FULL, Stock.HOME)
    assert (sire.odd, sire.stock) == (False, Stock.HOME)


async def test_an_odd_one_among_young_kept_back_is_none_of_those_scored(sqlite_bins: Asking) -> None:
    """None of them showed when they were scored, so as their sib it would contradict its own brood."""
    await set_up(sqlite_bins.desk, sqlite_bins.by(), NewPairing(dams="1 wild from B-1", sires="1 wild from B-2"))
    await log_brood(sqlite_bins.desk, sqlite_bins.by(after=60 * DAY), NewBrood(of="P-1", scored="24 wild, 9 weeks"))
    kept = await keep_back(sqlite_bins.desk, sqlite_bins.by(after=60 * DAY), brood_text="P-1.1", keep_text="12 wild")
    await odd(sqlite_bins, place=kept.row.code, after=90 * DAY)
    pair = NewPairing(dams="find 1", sires=f"1 wild from {kept.row.code}", question="ember")
    await set_up(sqlite_bins.desk, sqlite_bins.by(after=90 * DAY), pair)
    await log_brood(
        sqlite_bins.desk, sqlite_bins.by(after=150 * DAY), NewBrood(of="P-2", scored="5 ember 6 wild, 9 weeks")
    )
    found = await weighable(sqlite_bins.desk, sqlite_bins.by(), lambda rows: rows)
    told = told_of(found.traits[0], found.records, "porcellio-scaber", SexSystem.UNKNOWN)
    assert told.programme is not None
    dam, sire = told.programme.groups[:2]
    assert isinstance(dam, Founders)
    assert dam.odd
    assert isinstance(sire, Kept)


async def test_an_undo_takes_back_all_that_a_find_made(bins: Asking) -> None:
    view = await odd(bins, animal="blue sheen, slow")
    assert view.held
    await undo(bins.desk, bins.by(), view.event or 0)
    with pytest.raises(NoSuchFind):
        await show_find(bins.desk, bins.by(), "1")
    with pytest.raises(NoSuchTrait):
        await show_trait(bins.desk, bins.by(), "ember")
    assert (await list_tasks(bins.desk, bins.by())).tasks == ()
    async with bins.desk.records.read(bins.by().server, WREN) as book:
        assert await book.marks_of([view.place.id]) == ()
        assert await book.all_breeders() == ()


async def test_what_rests_on_a_find_keeps_it(bins: Asking) -> None:
    view = await odd(bins)
    paired = await set_up(bins.desk, bins.by(), NewPairing(dams="find 1", sires="1 from B-2"))
    with pytest.raises(BuiltUpon):
        await undo(bins.desk, bins.by(), view.event or 0)
    await undo(bins.desk, bins.by(), paired.event or 0)
    quiet = await no_pings(bins.desk, bins.by(), "1")
    with pytest.raises(ChangedSince):
        await undo(bins.desk, bins.by(), view.event or 0)
    await undo(bins.desk, bins.by(), quiet.event or 0)
    await undo(bins.desk, bins.by(), view.event or 0)


async def test_the_found_animal_is_the_one_that_is_paired(sqlite_bins: Asking) -> None:
    await odd(sqlite_bins, animal="adult")
    dams = NewPairing(dams="find 1", sires="1 from B-2", question="ember", dams_were="isolated unmated")
    paired = await set_up(sqlite_bins.desk, sqlite_bins.by(), dams)
    dam = paired.placed[0]
    assert (dam.role, dam.history, dam.stated, dam.breeders.sex) == (
        BreederRole.DAM,
        DamHistory.UNMATED,
        "visual ember",
        Sex.FEMALE,
    )
    shown = await show_find(sqlite_bins.desk, sqlite_bins.by(), "find 1")
    assert shown.row.sex is Sex.FEMALE
    assert [one.number for one in shown.pairings] == [1]
    with pytest.raises(BreedersNotRead) as refused:
        await set_up(sqlite_bins.desk, sqlite_bins.by(), NewPairing(dams="1 from B-2", sires="find 1"))
    assert refused.value.problem is BreedersProblem.WRONG_SEX
    await end_pairing(sqlite_bins.desk, sqlite_bins.by(), "P-1")
    later = await set_up(sqlite_bins.desk, sqlite_bins.by(), dams)
    assert later.placed[0].history is DamHistory.HAD_MALES
    with pytest.raises(NoSuchFind):
        await set_up(sqlite_bins.desk, sqlite_bins.by(), NewPairing(dams="find 7", sires="1 from B-2"))


async def test_a_filled_pouch_stands_for_a_male_she_met(sqlite_bins: Asking) -> None:
    view = await odd(sqlite_bins, animal="gravid")
    assert (view.row.sex, view.steps) == (Sex.FEMALE, (Step.POUCH, Step.MATES))
    paired = await set_up(sqlite_bins.desk, sqlite_bins.by(), NewPairing(dams="find 1", dams_were="isolated unmated"))
    assert paired.placed[0].history is DamHistory.HAD_MALES


async def test_a_sheen_puts_the_bin_on_hold_once(bins: Asking) -> None:
    await odd(bins, animal="female")
    view = await sheen_seen(bins.desk, bins.by(), "1")
    assert view.held
    assert view.steps == (Step.SICK_APART,)
    assert (await sheen_seen(bins.desk, bins.by(), "1")).event is None
    await odd(bins, trait="frost", sheen="yes", animal="male")
    async with bins.desk.records.read(bins.by().server, WREN) as book:
        marks = await book.marks_of([view.place.id])
    assert [mark.kind for mark in marks] == [MarkKind.HOLD]
    with pytest.raises(NotYours):
        await sheen_seen(bins.desk, bins.by(MOSS), "1")


async def test_what_is_said_later_of_an_animal_is_an_event_of_its_bin(bins: Asking) -> None:
    """So nobody reads of it in the audit who may not read the bin, also where its hold stood before."""
    view = await odd(bins, animal="adult")
    await odd(bins, trait="frost", sheen="yes", animal="male")
    seen = await sheen_seen(bins.desk, bins.by(), "1")
    async with bins.desk.records.read(bins.by().server, WREN) as book:
        about = await book.bins_of_events([seen.event or 0])
    assert about == {seen.event: (view.place.id,)}
    shown = await show_bin(bins.desk, bins.by(), "B-1")
    assert [find.number for find in shown.finds] == [2, 1]


async def test_one_name_is_one_trait_only_if_that_was_said(sqlite_bins: Asking) -> None:
    await odd(sqlite_bins)
    with pytest.raises(SameOrAnother) as asked:
        await odd(sqlite_bins, place="B-2")
    assert [label.code for label, _ in asked.value.found] == ["B-1"]
    same = await odd(sqlite_bins, place="B-2", same="same")
    assert same.row.trait_id == (await show_find(sqlite_bins.desk, sqlite_bins.by(), "1")).row.trait_id
    with pytest.raises(NameForAnother) as named:
        await odd(sqlite_bins, place="B-2", same="another")
    assert named.value.free == ("ember 2",)
    other = await odd(sqlite_bins, place="B-2", same="another", trait="ember 2")
    assert other.row.trait_id != same.row.trait_id
    with pytest.raises(TraitMeant) as meant:
        await odd(sqlite_bins, trait="embr")
    assert "ember" in meant.value.nearest
    with pytest.raises(NameForAnother) as foreign:
        await odd(sqlite_bins, place="B-3", same="same")
    assert foreign.value.species == "Porcellio scaber"


WRONG: list[tuple[dict[str, str], type[Refusal]]] = [
    ({"place": "B-9"}, NoSuchBin),
    ({"day": "2099-01-01"}, DayAhead),
    ({"animal": "moulted 2099-01-01"}, DayAhead),
    ({"trait": " "}, TraitNeeded),
    ({"trait": "frost", "same": "same"}, NoSuchTrait),
    ({"animal": "12"}, AnimalNotRead),
    ({"animal": "slate blue"}, SheenMeant),
    ({"slow": "maybe"}, WordNotKnown),
    ({"same": "both"}, WordNotKnown),
]


async def test_what_cannot_be_taken_writes_nothing(sqlite_bins: Asking) -> None:
    before = await sqlite_bins.events()
    for changed, refusal in WRONG:
        with pytest.raises(refusal):
            await odd(sqlite_bins, **changed)
        assert await sqlite_bins.events() == before, changed


async def test_only_the_keeper_of_a_bin_logs_there_and_only_the_finder_is_asked_no_more(sqlite_bins: Asking) -> None:
    with pytest.raises(NotYours):
        await odd(sqlite_bins, who=MOSS)
    await odd(sqlite_bins)
    with pytest.raises(NotYours):
        await no_pings(sqlite_bins.desk, sqlite_bins.by(MOSS, steward=True), "1")
    await no_pings(sqlite_bins.desk, sqlite_bins.by(), "1")
    assert (await list_tasks(sqlite_bins.desk, sqlite_bins.by())).tasks == ()
    with pytest.raises(NobodyToPing):
        await no_pings(sqlite_bins.desk, sqlite_bins.by(), "1")


async def test_finds_of_a_private_bin_are_its_keepers_alone(bins: Asking) -> None:
    view = await odd(bins)
    await set_privacy(bins.desk, bins.by(), bin_text="B-1", private="everything")
    with pytest.raises(NoSuchFind) as refused:
        await show_find(bins.desk, bins.by(MOSS), "1")
    assert refused.value.last == 0
    assert (await list_finds(bins.desk, bins.by(MOSS))).lines == ()
    assert await choose_find(bins.desk, bins.by(MOSS), "") == ()
    with pytest.raises(NoSuchFind):
        await set_up(bins.desk, bins.by(MOSS), NewPairing(dams="find 1", sires="1 from B-2"))
    with pytest.raises(SameOrAnother) as asked:
        await log_find(bins.desk, bins.by(steward=True, who=MOSS), replace(ODD, place="B-2"))
    assert asked.value.found == ()
    with pytest.raises(NoSuchFind):
        await show_find(bins.desk, bins.by(server=ELSEWHERE), "1")
    # A number is never given twice, whoever may read its find.
    assert (await odd(bins, place="B-2", trait="frost")).row.number == view.row.number + 1


async def test_a_list_is_of_what_is_open_unless_all_is_asked_for(bins: Asking) -> None:
    await odd(bins)
    await odd(bins, trait="frost", place="B-2")
    await change_trait(bins.desk, bins.by(), name="ember", dominance="recessive")
    found = await list_finds(bins.desk, bins.by())
    assert ([line.row.number for line in found.lines], found.settled) == ([2], 1)
    every = await list_again(bins.desk, bins.by(), 0, 0, every=True)
    assert [line.row.number for line in every.lines] == [2, 1]
    gone = 10**9
    for place, trait in ((gone, 0), (0, gone)):
        none = await list_again(bins.desk, bins.by(), place, trait, every=True)
        assert (none.lines, none.settled, none.place, none.trait) == ((), 0, place, trait)
    of_bin = await list_finds(bins.desk, bins.by(), place="B-1", every=True)
    assert [line.row.number for line in of_bin.lines] == [1]
    of_trait = await list_finds(bins.desk, bins.by(), trait="frost")
    assert [line.row.number for line in of_trait.lines] == [2]
    assert (of_trait.code, of_trait.name) == ("", "frost")


async def test_whether_a_photo_is_late_enough_goes_by_the_finders_day(sqlite_bins: Asking) -> None:
    """At 20 o'clock UTC the next day has begun in Tokyo, where the finder lives; the steward who files it lives by UTC."""
    await set_keeper(sqlite_bins.desk, sqlite_bins.by(), zone="Asia/Tokyo")
    view = await odd(sqlite_bins)
    day = next(ping.at for ping in view.pings if ping.kind is CareKind.MOULT_PHOTO) + timedelta(hours=9)
    eve = datetime.combine(day.date() - SETTLING - timedelta(days=1), time(14), UTC)
    for after, left in ((0, 2), (6, 1)):
        async with sqlite_bins.desk.records.write(sqlite_bins.by(MOSS, steward=True).stamp) as book:
            await photographed_again(book, view.row, eve + timedelta(hours=after))
            await book.log("photo.filed", Subject("find", view.row.id))
        assert len((await show_find(sqlite_bins.desk, sqlite_bins.by(), "1")).pings) == left


async def test_nothing_is_worked_out_from_a_trait_that_is_open(sqlite_bins: Asking) -> None:
    await odd(sqlite_bins, place="B-3")
    for cross in ("het ember x het ember", "visual ember x wild"):
        with pytest.raises(InheritanceOpen) as refused:
            await odds_of(sqlite_bins.desk, sqlite_bins.by(), cross)
        assert refused.value.names == ("ember",)
    await define_trait(sqlite_bins.desk, sqlite_bins.by(), name="frost", dominance="recessive")
    with pytest.raises(InheritanceOpen):
        await link_traits(sqlite_bins.desk, sqlite_bins.by(), traits="ember, frost", distance="10 %")
    assert (await odds_of(sqlite_bins.desk, sqlite_bins.by(), "het frost x het frost")).target is not None
    await change_trait(sqlite_bins.desk, sqlite_bins.by(), name="ember", dominance="", symbol="em")
    shown_in_one = await change_trait(
        sqlite_bins.desk, sqlite_bins.by(), name="ember", model=ModelText(sex="females only")
    )
    assert (shown_in_one.model.open, shown_in_one.contrast) == (True, None)
    await change_trait(
        sqlite_bins.desk, sqlite_bins.by(), name="ember", dominance="recessive", model=ModelText(sex="both sexes")
    )
    assert (await odds_of(sqlite_bins.desk, sqlite_bins.by(), "het ember x het ember")).target is not None
