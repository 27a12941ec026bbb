"""Backups, temperatures, litter, strays: put down, seen from both sides, traced, taken back."""

from datetime import timedelta
from fractions import Fraction

import pytest

from bot.records import Exactness, MarkKind, ScoringRow
from bot.services.accidents import doubted_broods, in_doubt, log_accident
from bot.services.backups import set_backup
from bot.services.bin_changes import close_bin
from bot.services.bin_marks import hold_bin
from bot.services.bins import NewBin, open_bin, show_bin
from bot.services.broods import NewBrood, log_brood
from bot.services.care_tasks import add_task
from bot.services.care_today import care_today, done_today
from bot.services.counts import log_count
from bot.services.litter import choose_batch, give_litter, trace_batch
from bot.services.pairing_setup import NewPairing, set_up
from bot.services.pairings import show_pairing, young_seen
from bot.services.refusals import NoSuchBin, NotYours, Refusal, TextTooLong, TwoSpecies, WordNotKnown
from bot.services.refusals_bins import ClosedBin
from bot.services.refusals_days import DayAhead, TemperatureNotRead
from bot.services.refusals_marks import NoBackup, NoSuchBatch, OwnBackup
from bot.services.sharing import set_privacy
from bot.services.temperature_log import log_temperature
from bot.services.traits import define_trait
from bot.services.undo import undo
from tests.support.asking import ELSEWHERE, MOSS, SERVER, TAMSIN, THURSDAY, WREN, Asking, again

DAY = timedelta(days=1)


async def with_bins(asking: Asking) -> None:
    """B-1 and B-2 of Wren, B-3 of Moss, and B-4 of another species."""
    await define_trait(asking.desk, asking.by(), name="ember", dominance="recessive")
    for who, species in ((WREN, "Porcellio scaber"), (WREN, "Porcellio scaber"), (MOSS, "Porcellio scaber")):
        await open_bin(asking.desk, asking.by(who), NewBin(species=species, animals="30", holds="het ember"))
    await open_bin(asking.desk, asking.by(), NewBin(species="Armadillidium vulgare"))


async def test_a_backup_is_seen_from_both_sides_and_ends_with_either_bin(asking: Asking) -> None:
    await with_bins(asking)
    request = asking.by(MOSS, after=DAY)
    done = await set_backup(asking.desk, request, bin_text="B-3", of_text="B-1")
    assert (done.label.code, done.of and done.of.code, done.together) == ("B-3", "B-1", False)
    assert await set_backup(asking.desk, again(request), bin_text="B-3", of_text="B-1") == done
    for code in ("B-1", "B-3"):
        view = await show_bin(asking.desk, asking.by(), code)
        assert [(each.code, each.of_code) for each in view.backups] == [("B-3", "B-1")]
    moved = await set_backup(asking.desk, asking.by(MOSS, after=DAY), bin_text="B-3", of_text="B-2")
    assert [each.of_code for each in (await show_bin(asking.desk, asking.by(), "B-3")).backups] == ["B-2"]
    await undo(asking.desk, asking.by(MOSS), moved.event)
    assert [each.of_code for each in (await show_bin(asking.desk, asking.by(), "B-3")).backups] == ["B-1"]
    await set_privacy(asking.desk, asking.by(MOSS), bin_text="B-3", private="everything")
    assert [each.code for each in (await show_bin(asking.desk, asking.by(), "B-1")).backups] == [""]
    await close_bin(asking.desk, asking.by(MOSS), bin_text="B-3", reason="line ended")
    assert (await show_bin(asking.desk, asking.by(), "B-1")).backups == ()


async def test_two_bins_in_one_place_are_told_so_and_a_backup_can_end(asking: Asking) -> None:
    await with_bins(asking)
    assert (await set_backup(asking.desk, asking.by(), bin_text="B-2", of_text="B-1")).together
    done = await set_backup(asking.desk, asking.by(), bin_text="B-2", of_text="none")
    assert (done.of, (await show_bin(asking.desk, asking.by(), "B-1")).backups) == (None, ())


NO_BACKUPS: list[tuple[str, str, type[Refusal]]] = [
    ("B-1", "B-1", OwnBackup),
    ("B-1", "B-2", OwnBackup),
    ("B-1", "B-4", TwoSpecies),
    ("B-1", "none", NoBackup),
    ("B-1", "B-9", NoSuchBin),
    ("B-3", "B-1", NotYours),
]


async def test_a_backup_that_cannot_be_is_refused(asking: Asking) -> None:
    await with_bins(asking)
    await set_backup(asking.desk, asking.by(), bin_text="B-2", of_text="B-1")
    before = await asking.events()
    for bin_text, of_text, refusal in NO_BACKUPS:
        with pytest.raises(refusal):
            await set_backup(asking.desk, asking.by(), bin_text=bin_text, of_text=of_text)
    assert await asking.events() == before


async def test_the_days_of_a_pairing_follow_the_last_temperature(asking: Asking) -> None:
    """At 18 °C everything takes 11/7 of its time at 22 °C: 1/(T - 11), after Horváthová et al. 2015 and Gard 1973."""
    await with_bins(asking)
    await set_up(asking.desk, asking.by(), NewPairing(dams="2 from B-1", sires="1 from B-2", place="B-2"))
    await young_seen(asking.desk, asking.by(after=DAY), "P-1")
    usual = (await show_pairing(asking.desk, asking.by(after=DAY), "P-1")).row
    logged = await log_temperature(asking.desk, asking.by(after=2 * DAY), bin_text="B-2", reading="64.4 F")
    assert (logged.reading.celsius, logged.before, [p.number for p in logged.moved]) == (Fraction(18), None, [1])
    cool = (await show_pairing(asking.desk, asking.by(after=2 * DAY), "P-1")).row
    for before, after in ((usual.separate_by, cool.separate_by), (usual.parents_out_by, cool.parents_out_by)):
        assert before is not None
        assert after is not None
        ratio = (after - THURSDAY - DAY) / (before - THURSDAY - DAY)
        assert abs(ratio - 11 / 7) < 0.02
    later = await log_temperature(asking.desk, asking.by(after=3 * DAY), bin_text="B-2", reading="22 C")
    assert (later.before, later.moved[0].separate_by) == (logged.reading, usual.separate_by)
    await undo(asking.desk, asking.by(after=3 * DAY), later.event)
    assert (await show_pairing(asking.desk, asking.by(after=3 * DAY), "P-1")).row == cool
    view = await show_bin(asking.desk, asking.by(after=3 * DAY), "B-2")
    assert view.reading == logged.reading


NO_READINGS: list[tuple[dict[str, str], type[Refusal]]] = [
    ({"reading": "warm"}, TemperatureNotRead),
    ({"reading": "22", "when": "2026-04-01"}, DayAhead),
    ({"reading": "22", "bin_text": "B-9"}, NoSuchBin),
    ({"reading": "22", "bin_text": "B-3"}, NotYours),
]


async def test_a_reading_that_cannot_be_is_refused(asking: Asking) -> None:
    await with_bins(asking)
    before = await asking.events()
    for fields, refusal in NO_READINGS:
        with pytest.raises(refusal):
            await log_temperature(asking.desk, asking.by(), **{"bin_text": "B-1", **fields})
    assert await asking.events() == before


async def test_a_bad_batch_of_litter_is_traced_to_the_bins_that_got_it(asking: Asking) -> None:
    await with_bins(asking)
    request = asking.by(after=DAY)
    first = await give_litter(
        asking.desk, request, bin_text="B-1", batch=" Oak  of May ", source="the copse", treatment="boiled"
    )
    assert (first.batch.name, first.batch.source, first.batch.treatment) == ("Oak of May", "the copse", "boiled")
    assert (first.new, first.bins) == (True, 1)
    assert await give_litter(asking.desk, again(request), bin_text="B-1", batch="Oak of May") == first
    second = await give_litter(asking.desk, asking.by(MOSS, after=2 * DAY), bin_text="B-3", batch="oak of may")
    assert (second.batch.id, second.new, second.bins) == (first.batch.id, False, 2)
    more = await give_litter(
        asking.desk, asking.by(after=3 * DAY), bin_text="B-2", batch="oak of may", treatment="frozen for a week"
    )
    assert (more.batch.source, more.batch.treatment, more.new) == ("the copse", "frozen for a week", False)
    await undo(asking.desk, asking.by(after=3 * DAY), more.event)
    await hold_bin(asking.desk, asking.by(after=4 * DAY), bin_text="B-1", cause="signs of disease")
    traced = await trace_batch(asking.desk, asking.by(TAMSIN), "OAK of May")
    assert [each.bin_code for each in traced.bins] == ["B-3", "B-1"]
    assert [mark.kind for mark in traced.marks] == [MarkKind.HOLD]
    assert traced.batch.treatment == "boiled"
    with pytest.raises(NoSuchBatch) as caught:
        await trace_batch(asking.desk, asking.by(), "beech")
    assert caught.value.known == ("Oak of May",)
    assert await choose_batch(asking.desk, asking.by(), "oak") == ("Oak of May",)


async def test_a_batch_is_known_to_who_named_it_and_to_who_may_read_a_bin_that_got_it(asking: Asking) -> None:
    await with_bins(asking)
    await give_litter(asking.desk, asking.by(), bin_text="B-1", batch="secret place")
    await set_privacy(asking.desk, asking.by(), bin_text="B-1", private="everything")
    assert await choose_batch(asking.desk, asking.by(MOSS), "") == ()
    assert await choose_batch(asking.desk, asking.by(), "") == ("secret place",)
    assert await choose_batch(asking.desk, asking.by(server=ELSEWHERE), "") == ()
    own = await give_litter(asking.desk, asking.by(MOSS), bin_text="B-3", batch="Secret Place")
    assert own.new
    traced = await trace_batch(asking.desk, asking.by(MOSS), "secret place")
    assert [each.bin_code for each in traced.bins] == ["B-3"]
    with pytest.raises(TextTooLong):
        await give_litter(asking.desk, asking.by(), bin_text="B-1", batch="b" * 61)


async def test_a_stray_puts_the_broods_in_doubt_that_were_looked_at_since(asking: Asking) -> None:
    await with_bins(asking)
    await set_up(asking.desk, asking.by(), NewPairing(dams="1 from B-1", sires="1 from B-2"))
    await log_brood(asking.desk, asking.by(after=40 * DAY), NewBrood(of="P-1", scored="6 ember 17 wild"))
    before = await log_accident(
        asking.desk, asking.by(after=50 * DAY), bin_text="B-5", what="a stray was found", note="a big male"
    )
    assert before.broods == ()
    request = asking.by(after=60 * DAY)
    earlier = await log_accident(asking.desk, request, bin_text="B-5", what="the lid was off", when="30 days ago")
    assert [brood.pairing_number for brood in earlier.broods] == [1]
    assert (
        await log_accident(asking.desk, again(request), bin_text="B-5", what="lid off", when="30 days ago") == earlier
    )
    async with asking.desk.records.read(SERVER, WREN) as book:
        (marks,) = (await doubted_broods(book)).values()
        brood = (await book.broods())[0]
        every = await book.accidents()
    assert [mark.kind for mark in marks] == [MarkKind.LID_OFF]
    later = ScoringRow(9, brood.id, THURSDAY + 55 * DAY, WREN, "Wren", None, None, 0, 0, None)
    # Looked at again after the stray was found, that may have been scored with them.
    assert [mark.kind for mark in in_doubt(brood, None, (later,), every)] == [MarkKind.LID_OFF, MarkKind.STRAY]
    shown = await show_pairing(asking.desk, asking.by(after=61 * DAY), "P-1")
    assert [mark.note for mark in shown.accidents] == [None, "a big male"]
    with pytest.raises(WordNotKnown):
        await log_accident(asking.desk, asking.by(), bin_text="B-1", what="an earthquake")


async def test_a_closed_bin_is_said_to_be_closed_and_since_when(asking: Asking) -> None:
    await with_bins(asking)
    await close_bin(asking.desk, asking.by(after=DAY), bin_text="B-1", reason="line ended")
    with pytest.raises(ClosedBin) as caught:
        await log_count(asking.desk, asking.by(after=2 * DAY), bin_text="b1", count_text="9")
    assert (caught.value.label.code, caught.value.closed_at, caught.value.into) == ("B-1", THURSDAY + DAY, None)
    await set_privacy(asking.desk, asking.by(), bin_text="B-2", private="everything")
    await close_bin(asking.desk, asking.by(after=DAY), bin_text="B-2", reason="line ended")
    with pytest.raises(NoSuchBin):
        await log_count(asking.desk, asking.by(MOSS), bin_text="B-2", count_text="9")


async def ask(asking: Asking, bin_text: str, kind: str, time: str = "18:00") -> None:
    await add_task(
        asking.desk, asking.by(), bin_text=bin_text, kind=kind, days="Friday", time=time, zone="Europe/Lisbon"
    )


async def test_two_tasks_that_ask_for_the_same_are_one_thing_of_the_day(asking: Asking) -> None:
    await with_bins(asking)
    await ask(asking, "B-1", "moisture")
    await ask(asking, "all my bins", "moisture", "19:00")
    await ask(asking, "B-1", "litter")
    today = await care_today(asking.desk, asking.by(after=DAY))
    assert sorted((item.bin_code, item.kind.value) for item in today.items) == [
        ("B-1", "litter"),
        ("B-1", "moisture"),
        ("B-2", "moisture"),
        ("B-4", "moisture"),
    ]
    first = next(item for item in today.items if (item.bin_code, item.kind.value) == ("B-1", "moisture"))
    done = await done_today(asking.desk, asking.by(after=DAY), occurrence=first.occurrence_id)
    assert ("B-1", "moisture") not in [(item.bin_code, item.kind.value) for item in done.items]
    assert len(done.items) == 3


async def test_a_count_answers_the_recount_that_was_asked_for(asking: Asking) -> None:
    await with_bins(asking)
    await ask(asking, "B-1", "recount")
    early = await log_count(asking.desk, asking.by(), bin_text="B-1", count_text="29")
    assert not early.asked
    assert len((await care_today(asking.desk, asking.by(after=DAY))).items) == 1
    logged = await log_count(asking.desk, asking.by(after=DAY), bin_text="B-1", count_text="about 28")
    assert (logged.asked, logged.count.exactness) == (True, Exactness.ESTIMATE)
    assert (await care_today(asking.desk, asking.by(after=DAY))).items == ()
    await undo(asking.desk, asking.by(after=DAY), logged.event)
    assert len((await care_today(asking.desk, asking.by(after=DAY))).items) == 1
