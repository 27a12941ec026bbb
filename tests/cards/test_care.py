"""Care tasks and what a day wants, in words."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from bot.calendar import Cadence, Rhythm, weekly
from bot.cards.care import added_card, changed_card, list_card, task_line, today_card
from bot.cards.care_words import asked, comes_round, kind_name, task_name, times, what_for
from bot.records import CareKind, CareScope, TaskRow
from bot.services.care_tasks import ENDED, PAUSED, RESUMED, TaskAdded, TaskList, TaskListed, TasksChanged
from bot.services.care_today import Today
from bot.services.refusals import BinLabel
from tests.support.markup import live_marks
from tests.support.rounds import NOW, a_task, item
from tests.support.screens import assert_card_fits

TASK = a_task(CareKind.LITTER, weekly(0, 18 * 60 + 5))
LABEL = BinLabel("B-3", "ember F2")
ALL = replace(TASK, scope=CareScope.ALL, bin_id=None, kind=CareKind.OTHER, text="mist *gently*")
SHELF = replace(TASK, scope=CareScope.SHELF, bin_id=None, shelf="by the window")


def listed(task: TaskRow = TASK, due: datetime | None = NOW, rests: bool = False, bins: int = 1) -> TaskListed:
    return TaskListed(LABEL if task.bin_id else None, task, bins, due, rests)


async def test_a_task_is_said_back_with_its_first_ping() -> None:
    card = added_card(TaskAdded(LABEL, TASK, 1, NOW, "America/New_York", 21))
    assert card.lead == "B-3 (ember F2): **leaf litter** every Monday at 18:05, first <t:1772474400:F>."
    assert card.blocks == ("In your time zone, America/New\\_York. The ping comes to <#12>.",)
    assert [(b.label, b.argument) for b in card.buttons] == [("Undo", "21")]
    assert_card_fits(card)


async def test_a_task_for_many_bins_says_how_many_and_that_others_may_join() -> None:
    card = added_card(TaskAdded(None, ALL, 5, NOW, "Europe/Lisbon", 21))
    assert card.lead.startswith("All your bins (5): **mist \\*gently\\*** every Monday")
    assert "join later" in card.blocks[1]
    assert added_card(TaskAdded(None, SHELF, 1, NOW, "UTC", 21)).lead.startswith(
        "Shelf by the window (1 bin): **leaf litter**"
    )


@pytest.mark.parametrize(
    ("cadence", "said"),
    [
        (weekly(0, 0), "every Monday at 00:00"),
        (weekly(6, 1439), "every Sunday at 23:59"),
        (Cadence(Rhythm.WEEK, (0, 3, 5), 480), "every Monday, Thursday and Saturday at 08:00"),
        (Cadence(Rhythm.WEEK, tuple(range(7)), 480), "every day at 08:00"),
        (Cadence(Rhythm.STEP, (1,), 480), "every day at 08:00"),
        (Cadence(Rhythm.STEP, (3,), 480), "every 3 days at 08:00"),
        (Cadence(Rhythm.MONTH, (1, 2, 3, 11, 12, 13, 21, 22, 23, 30, 31), 480),
         "on the 1st, 2nd, 3rd, 11th, 12th, 13th, 21st, 22nd, 23rd, 30th and last day of the month at 08:00"),
        (Cadence(Rhythm.ONCE, (), 480), "once at 08:00"),
    ],
)  # fmt: skip
def test_when_a_task_comes_round(cadence: Cadence, said: str) -> None:
    assert comes_round(cadence) == said


def test_weeks_are_missed_of_what_comes_weekly_and_times_of_what_does_not() -> None:
    assert times(3, weekly(0, 0)) == "3 weeks"
    assert times(1, Cadence(Rhythm.WEEK, (0, 3), 0)) == "1 time"
    assert times(2, Cadence(Rhythm.STEP, (7,), 0)) == "2 times"


def test_every_kind_of_care_has_its_words() -> None:
    assert len({kind_name(kind) for kind in CareKind}) == len(CareKind)
    assert len({asked(kind, "mist") for kind in CareKind}) == len(CareKind)


def test_words_of_a_keeper_are_harmless_and_erased_ones_still_say_something() -> None:
    loud = "@everyone **mist** <@1>"
    assert live_marks(asked(CareKind.OTHER, loud)) == []
    assert live_marks(task_name(CareKind.OTHER, loud)) == []
    assert live_marks(what_for(replace(SHELF, shelf=loud), None, 2)) == []
    assert asked(CareKind.OTHER, "") == task_name(CareKind.OTHER, "") == "something erased"


async def test_a_list_has_what_comes_next_first_and_says_what_rests() -> None:
    resting = replace(TASK, paused_at=NOW, paused_until=NOW + timedelta(days=9))
    card = list_card(TaskList((listed(), listed(ALL, bins=5), listed(resting, rests=True)), "Europe/Lisbon"))
    assert card.lead == "You have **3 care tasks**, of which 1 rests."
    assert card.blocks[0].splitlines() == [
        "· B-3 (ember F2): leaf litter every Monday at 18:05, due <t:1772474400:R>",
        "· All your bins (5): mist \\*gently\\* every Monday at 18:05, due <t:1772474400:R>",
        "· B-3 (ember F2): leaf litter every Monday at 18:05, rests until <t:1773252000:D>",
    ]
    assert [b.label for b in card.buttons] == ["Today", "Pause all", "Resume all"]
    assert_card_fits(card)


async def test_a_long_list_has_pages_and_an_empty_one_says_what_to_type() -> None:
    long = replace(ALL, text="x*" * 50)
    assert_card_fits(list_card(TaskList((listed(long),) * 40, "UTC")))
    assert "`/care add`" in list_card(TaskList((), "UTC")).lead


def test_an_absence_stands_above_the_list() -> None:
    card = list_card(TaskList((listed(),), "UTC", NOW, NOW + timedelta(days=2)))
    assert card.blocks[0] == "Away from <t:1772474400:D> to <t:1772647200:D>: no pings then."


def test_a_task_as_a_choice_is_plain() -> None:
    assert task_line(listed()) == "leaf litter · B-3 · every Monday at 18:05"
    assert task_line(listed(ALL)) == "mist *gently* · all my bins · every Monday at 18:05"
    assert task_line(listed(SHELF)) == "leaf litter · shelf by the window · every Monday at 18:05"


def test_what_rests_what_asks_again_and_what_ended() -> None:
    until = changed_card(TasksChanged((listed(rests=True),), PAUSED, NOW, 21))
    assert until.lead == "Rests until <t:1772474400:D>: leaf litter of B-3 (ember F2)."
    assert [(b.label, b.argument) for b in until.buttons] == [("Resume", "4"), ("Undo", "21")]
    every = changed_card(TasksChanged((listed(),) * 5, PAUSED, None, 21))
    assert every.lead.startswith("Rests until you resume it: ")
    assert every.lead.endswith(" and 2 more.")
    assert every.buttons[0].argument == "0"
    again = changed_card(TasksChanged((listed(),), RESUMED, None, 21))
    assert (again.lead, again.blocks) == ("Asks again: leaf litter of B-3 (ember F2).", ("Next <t:1772474400:R>.",))
    assert changed_card(TasksChanged((listed(),), ENDED, None, 21)).lead.endswith("It will not ping any more.")


async def test_a_day_with_something_to_do() -> None:
    late = item(late=timedelta(days=2))
    card = today_card(Today((late, item("B-4", None, CareKind.RECOUNT, number=8)), False, None))
    assert card.lead == "**2 things** today. Moisture and recount round: 2 bins, B-3 (ember F2) is 2 days late."
    assert card.blocks[0].splitlines() == [
        "· B-3 (ember F2): check the moisture, wet one end if it is dry, 2 days late",
        "· B-4: count again",
    ]
    assert [(b.label, b.argument) for b in card.buttons] == [
        ("Done B-3", "7.0"), ("Done B-4", "8.0"), ("All done", "all.0"),
    ]  # fmt: skip
    assert_card_fits(card)


async def test_a_long_day_has_pages_of_eight() -> None:
    today = Today(tuple(item(f"B-{n}", number=n) for n in range(1, 21)), False, None)
    first, last = today_card(today), today_card(today, 2, undo=21)
    assert [b.label for b in first.buttons][:8] == [f"Done B-{n}" for n in range(1, 9)]
    assert [b.label for b in first.buttons][8:] == ["All done", "Page 2 of 3"]
    assert [b.label for b in last.buttons] == [
        "Done B-17", "Done B-18", "Done B-19", "Done B-20", "All done", "Page 1 of 3", "Undo",
    ]  # fmt: skip
    assert_card_fits(first)


def test_a_day_with_nothing_to_do_says_what_comes_next() -> None:
    assert today_card(Today((), False, NOW)).lead == "Nothing wants doing today. Next <t:1772474400:R>."
    assert "away" in today_card(Today((), True, None)).blocks[0]
    assert datetime(2026, 3, 2, 18, tzinfo=UTC) == NOW
