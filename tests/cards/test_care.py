"""Care tasks and pings: what a lock screen shows, and what the keeper presses."""

from datetime import UTC, datetime, timedelta

import pytest

from bot.cards.card import Ping
from bot.cards.care import added_card, answered_ping, kind_name, reopened_ping, round_ping, weekly
from bot.cards.ids import CustomId
from bot.cards.render import mentions, ping_text, ping_view
from bot.clock.marks import mark
from bot.clock.round import Round, RoundItem
from bot.records import CareKind, Exactness, OccurrenceRow, OccurrenceState, TaskRow
from bot.records.claims import LastCount
from bot.services.care import RoundAnswered, RoundReopened, TaskAdded
from bot.services.refusals import BinLabel
from tests.support.markup import components, live_marks
from tests.support.screens import assert_buttons_fit, assert_card_fits

NOW = datetime(2026, 3, 2, 18, 0, tzinfo=UTC)
WREN = 910000000000000101


def item(
    code: str = "B-3",
    name: str | None = "ember F2",
    kind: CareKind = CareKind.MOISTURE,
    late: timedelta = timedelta(),
    missed: int = 0,
    count: LastCount | None = None,
) -> RoundItem:
    return RoundItem(kind, code, name, "porcellio-scaber", NOW - late, late, missed, count)


def ping_of(*items: RoundItem, maybe_repeat: bool = False) -> Ping:
    return round_ping(Round(1, 77, 12, WREN, "Wren", NOW, maybe_repeat, items))


def first_line(ping: Ping) -> str:
    return ping.text.splitlines()[0].removesuffix(f" <@{WREN}>")


def test_one_bin_on_the_lock_screen() -> None:
    ping = ping_of(item())
    assert first_line(ping) == "Moisture: B-3 (ember F2)"
    assert ping.text.splitlines()[1] == "· B-3 (ember F2): check the moisture, wet one end if it is dry"
    assert [b.label for b in ping.buttons] == ["Done", "Later", "Log count"]


def test_a_round_of_several_bins_names_the_one_that_is_late() -> None:
    late = item(late=timedelta(days=2, hours=3))
    ping = ping_of(late, item("B-4", None, CareKind.LITTER), item("B-5", None))
    assert first_line(ping) == "Moisture and leaf litter round: 3 bins, B-3 (ember F2) is 2 days late"
    assert [line.split(":")[0] for line in ping.text.splitlines()[1:]] == ["· B-3 (ember F2)", "· B-4", "· B-5"]
    assert [b.label for b in ping.buttons] == ["All done", "Later", "Log count"]


def test_two_tasks_of_one_bin_are_one_bin() -> None:
    ping = ping_of(item(late=timedelta(days=1)), item(kind=CareKind.RECOUNT))
    assert first_line(ping) == "Moisture and recount: B-3 (ember F2), 1 day late"
    assert len(ping.text.splitlines()) == 3
    assert ping.buttons[0].label == "All done"


@pytest.mark.parametrize("late", [timedelta(), timedelta(hours=23, minutes=59)])
def test_some_hours_are_not_called_late(late: timedelta) -> None:
    assert "late" not in ping_of(item(late=late)).text


def test_a_line_says_what_was_missed_and_how_many_there_were() -> None:
    count = LastCount(36, NOW - timedelta(days=30), Exactness.ESTIMATE)
    line = ping_of(item(kind=CareKind.RECOUNT, missed=3, count=count)).text.splitlines()[1]
    assert line == "· B-3 (ember F2): count again, 3 weeks missed, last count about 36 (<t:1769882400:R>)"


def test_a_ping_that_may_be_a_repeat_says_so() -> None:
    assert "may be a repeat" in ping_of(item(), maybe_repeat=True).text
    assert "repeat" not in ping_of(item()).text


async def test_a_long_round_is_a_message_that_the_platform_takes() -> None:
    name = "*_~`|>[]()#<@:-" * 4
    ping = ping_of(*(item(f"B-{n}", name, missed=2, late=timedelta(days=9)) for n in range(25)))
    text = ping_text(ping)
    assert len(text) <= 2000
    assert live_marks(text.replace(f"<@{WREN}>", "")) == []
    assert_buttons_fit(ping_view(ping.buttons).to_components())


def test_what_has_no_line_of_its_own_is_named_by_its_code() -> None:
    kinds = [CareKind.MOISTURE] * 9 + [CareKind.LITTER, CareKind.RECOUNT]
    ping = ping_of(*(item(f"B-{n}", kind=kind) for n, kind in enumerate(kinds, start=1)))
    lines = ping_text(ping).splitlines()
    assert [line.split(" (")[0] for line in lines[1:-1]] == [f"· B-{n}" for n in range(1, 9)]
    assert lines[-1] == "and B-9 moisture, B-10 leaf litter and B-11 recount"
    assert ping_of(*(item(f"B-{n}") for n in range(9))).text.endswith("\nand B-8 moisture")
    assert "and B-" not in ping_of(*(item(f"B-{n}") for n in range(8))).text


def test_codes_that_would_not_fit_are_counted() -> None:
    text = ping_text(ping_of(*(item(f"HERITAGE-{n}", "ember F2", late=timedelta(days=9)) for n in range(500))))
    assert len(text) < 2000
    assert text.endswith(", HERITAGE-37 moisture and 462 more")


def test_a_ping_whose_answer_was_taken_back_asks_again() -> None:
    ping = reopened_ping(RoundReopened(77, (done(), done(CareKind.LITTER, "B-4"))))
    assert ping.text.splitlines() == [
        "Open again.",
        "· B-3: check the moisture, wet one end if it is dry",
        "· B-4: top up the leaf litter",
    ]
    asking = ping_of(item(), item("B-4"))
    assert ping.buttons == asking.buttons
    assert reopened_ping(RoundReopened(77, (done(),))).buttons == ping_of(item()).buttons
    assert ping.keepers == ()


def test_a_ping_calls_its_keeper_and_nobody_that_a_name_mentions() -> None:
    ping = ping_of(item(name="@everyone <@1> <@&2>"))
    assert mentions(ping).to_dict().get("users") == [WREN]
    assert mentions(ping).to_dict().get("parse") == []
    assert live_marks(ping.text.replace(f"<@{WREN}>", "")) == []


async def test_the_done_button_is_the_mark_by_which_the_bot_knows_its_own_ping() -> None:
    ids = [p["custom_id"] for p in components(ping_view(ping_of(item()).buttons).to_components()) if p["type"] == 2]
    assert ids == [mark(77), str(CustomId("care.later", "77")), str(CustomId("care.count", "77"))]


def done(kind: CareKind = CareKind.MOISTURE, code: str = "B-3") -> OccurrenceRow:
    return OccurrenceRow(1, 2, kind, 3, code, NOW, OccurrenceState.DONE, 77, NOW, NOW, WREN)


def test_a_done_ping_says_who_did_what_and_when_it_comes_again() -> None:
    answered = RoundAnswered(77, (done(), done(CareKind.LITTER, "B-4")), NOW + timedelta(days=7), WREN, True, 21)
    ping = answered_ping(answered)
    assert ping.text.splitlines() == [
        f"Done by <@{WREN}>. Next <t:1773079200:R>.",
        "✓ B-3: moisture",
        "✓ B-4: leaf litter",
    ]
    assert [(b.label, b.verb, b.argument) for b in ping.buttons] == [
        ("Undo", "care.reopen", "21"),
        ("Log count", "care.count", "77"),
    ]
    assert ping.keepers == ()


def test_a_ping_put_off_says_until_when() -> None:
    ping = answered_ping(RoundAnswered(77, (done(),), NOW + timedelta(days=1), WREN, False, 21))
    assert ping.text.splitlines() == [f"Put off by <@{WREN}>. Next <t:1772560800:R>.", "… B-3: moisture"]


def test_a_task_that_has_no_next_time_names_none() -> None:
    assert answered_ping(RoundAnswered(77, (done(),), None, WREN, True, 21)).text.startswith(f"Done by <@{WREN}>.\n")


async def test_a_task_is_said_back_with_its_first_ping() -> None:
    task = TaskRow(4, 3, WREN, CareKind.LITTER, 0, 18 * 60 + 5, 12, NOW, None)
    card = added_card(TaskAdded(BinLabel("B-3", "ember F2"), task, NOW, "America/New_York", 21))
    assert card.lead == "B-3 (ember F2): **leaf litter** every Monday at 18:05, first <t:1772474400:F>."
    assert card.blocks == ("In your time zone, America/New\\_York. The ping comes to <#12>.",)
    assert [(b.label, b.argument) for b in card.buttons] == [("Undo", "21")]
    assert_card_fits(card)


def test_every_kind_of_care_has_its_words() -> None:
    assert len({kind_name(kind) for kind in CareKind}) == len(CareKind)
    asked = [ping_of(item(kind=kind)).text.splitlines()[1] for kind in CareKind]
    assert len(set(asked)) == len(CareKind)


@pytest.mark.parametrize(("weekday", "minute", "said"), [(0, 0, "Monday at 00:00"), (6, 1439, "Sunday at 23:59")])
def test_a_weekly_time_in_words(weekday: int, minute: int, said: str) -> None:
    assert weekly(TaskRow(4, 3, WREN, CareKind.LITTER, weekday, minute, 12, NOW, None)) == f"every {said}"
