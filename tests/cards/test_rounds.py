"""Pings: what a lock screen shows, what the keeper presses, and what becomes of them."""

from datetime import timedelta

import pytest

from bot.cards.card import Ping
from bot.cards.ids import CustomId
from bot.cards.render import mentions, ping_text, ping_view
from bot.cards.rounds import (
    answered_ping,
    later_ping,
    refusing_room,
    reopened_ping,
    round_page,
    round_ping,
    which_bin_ping,
)
from bot.clock.marks import mark
from bot.records import CareKind, Exactness, OccurrenceState
from bot.records.claims import LastCount
from bot.rounds import RoundItem
from bot.services.care import DONE, PUT_OFF, SKIPPED, RoundAnswered
from bot.services.refusals import BinLabel
from tests.support.markup import components, live_marks
from tests.support.rounds import NOW, WREN, done, item, round_with
from tests.support.screens import assert_buttons_fit

REST = ["All done", "Later", "Log count"]


def ping_of(*items: RoundItem, maybe_repeat: bool = False) -> Ping:
    return round_ping(round_with(*items, maybe_repeat=maybe_repeat))


def first_line(ping: Ping) -> str:
    return ping.text.splitlines()[0].removesuffix(f" <@{WREN}>")


def labels(ping: Ping) -> list[str]:
    return [button.label for button in ping.buttons]


def many(number: int, **more: object) -> list[RoundItem]:
    return [item(f"B-{n}", number=n, **more) for n in range(1, number + 1)]  # type: ignore[arg-type]


def test_one_bin_on_the_lock_screen() -> None:
    ping = ping_of(item())
    assert first_line(ping) == "Moisture: B-3 (ember F2)"
    assert ping.text.splitlines()[1] == "· B-3 (ember F2): check the moisture, wet one end if it is dry"
    assert labels(ping) == ["Done", "Later", "Log count"]


def test_a_round_of_several_bins_names_the_one_that_is_late_and_has_a_done_for_each() -> None:
    late = item(late=timedelta(days=2, hours=3))
    ping = ping_of(late, item("B-4", None, CareKind.LITTER, number=8), item("B-5", None, number=9))
    assert first_line(ping) == "Moisture and leaf litter round: 3 bins, B-3 (ember F2) is 2 days late"
    assert [line.split(":")[0] for line in ping.text.splitlines()[1:]] == ["· B-3 (ember F2)", "· B-4", "· B-5"]
    assert labels(ping) == ["Done B-3", "Done B-4", "Done B-5", *REST]
    assert [b.argument for b in ping.buttons[:3]] == ["77.7.0", "77.8.0", "77.9.0"]


def test_two_tasks_of_one_bin_are_one_bin_and_their_buttons_are_told_apart() -> None:
    ping = ping_of(item(late=timedelta(days=1)), item(kind=CareKind.RECOUNT, number=8))
    assert first_line(ping) == "Moisture and recount: B-3 (ember F2), 1 day late"
    assert len(ping.text.splitlines()) == 3
    assert labels(ping) == ["Done B-3 moisture", "Done B-3 recount", *REST]


@pytest.mark.parametrize("late", [timedelta(), timedelta(hours=23, minutes=59)])
def test_some_hours_are_not_called_late(late: timedelta) -> None:
    assert "late" not in ping_of(item(late=late)).text


def test_a_line_says_what_was_missed_and_how_many_there_were() -> None:
    count = LastCount(36, NOW - timedelta(days=30), Exactness.ESTIMATE)
    line = ping_of(item(kind=CareKind.RECOUNT, missed=3, count=count)).text.splitlines()[1]
    assert line == "· B-3 (ember F2): count again, 3 weeks missed, last count about 36 (<t:1769882400:R>)"


def test_own_words_are_asked_as_they_are_and_harmless() -> None:
    ping = ping_of(item(kind=CareKind.OTHER, text="mist **the** moss"))
    assert ping.text.splitlines()[1] == "· B-3 (ember F2): mist \\*\\*the\\*\\* moss"
    assert first_line(ping) == "Mist \\*\\*the\\*\\* moss: B-3 (ember F2)"


def test_a_ping_that_may_be_a_repeat_says_so() -> None:
    assert "may be a repeat" in ping_of(item(), maybe_repeat=True).text
    assert "repeat" not in ping_of(item()).text


async def test_a_long_round_is_a_message_that_the_platform_takes() -> None:
    name = "*_~`|>[]()#<@:-" * 4
    ping = ping_of(*(item(f"B-{n}", name, missed=2, late=timedelta(days=9), number=n) for n in range(25)))
    text = ping_text(ping)
    assert len(text) <= 2000
    assert live_marks(text.replace(f"<@{WREN}>", "")) == []
    assert len(ping.buttons) <= 25
    assert_buttons_fit(ping_view(ping.buttons).to_components())


def test_a_round_has_eight_to_a_page_and_names_the_rest_by_its_codes() -> None:
    kinds = [CareKind.MOISTURE] * 9 + [CareKind.LITTER, CareKind.RECOUNT]
    ping = ping_of(*(item(f"B-{n}", kind=kind, number=n) for n, kind in enumerate(kinds, start=1)))
    lines = ping_text(ping).splitlines()
    assert [line.split(" (")[0] for line in lines[1:-1]] == [f"· B-{n}" for n in range(1, 9)]
    assert lines[-1] == "and B-9 moisture, B-10 leaf litter and B-11 recount"
    assert labels(ping) == [*(f"Done B-{n}" for n in range(1, 9)), *REST, "Page 2 of 2"]
    assert ping_of(*many(9)).text.endswith("\nand B-9 moisture")
    assert "and B-" not in ping_of(*many(8)).text
    second = round_page(round_with(*many(11)), 1)
    assert [line.split(" (")[0] for line in second.text.splitlines()[1:]] == ["· B-9", "· B-10", "· B-11"]
    assert labels(second) == ["Done B-9", "Done B-10", "Done B-11", *REST, "Page 1 of 2"]
    assert round_page(round_with(*many(3)), 7) == round_page(round_with(*many(3)), 0)


def test_codes_that_would_not_fit_are_counted() -> None:
    text = ping_text(ping_of(*(item(f"HERITAGE-{n}", "ember F2", late=timedelta(days=9)) for n in range(500))))
    assert len(text) < 2000
    assert text.endswith(", HERITAGE-37 moisture and 462 more")


def test_a_ping_calls_its_keeper_and_nobody_that_a_name_mentions() -> None:
    ping = ping_of(item(name="@everyone <@1> <@&2>"))
    assert mentions(ping).to_dict().get("users") == [WREN]
    assert mentions(ping).to_dict().get("parse") == []
    assert live_marks(ping.text.replace(f"<@{WREN}>", "")) == []


async def test_a_button_on_it_is_the_mark_by_which_the_bot_knows_its_own_ping() -> None:
    ids = [p["custom_id"] for p in components(ping_view(ping_of(item()).buttons).to_components()) if p["type"] == 2]
    assert ids == [mark(77), str(CustomId("care.later", "77")), str(CustomId("care.count", "77"))]
    several = components(ping_view(ping_of(*many(20)).buttons).to_components())
    assert mark(77) in [part.get("custom_id") for part in several]


def test_what_was_done_stands_below_what_is_open() -> None:
    due = round_with(item(), item("B-4", None, number=8, state=OccurrenceState.DONE))
    ping = answered_ping(RoundAnswered(due, (done(code="B-4", number=8),), None, WREN, DONE, 21))
    assert ping.text.splitlines() == [
        f"Moisture: B-3 (ember F2), 1 of 2 answered <@{WREN}>",
        "· B-3 (ember F2): check the moisture, wet one end if it is dry",
        "✓ B-4: moisture",
    ]
    assert labels(ping) == ["Done B-3", *REST, "Undo"]
    assert ping.buttons[-1].argument == "21"
    assert ping.keepers == ()


def test_a_done_ping_says_who_did_what_and_when_it_comes_again() -> None:
    due = round_with(
        item(state=OccurrenceState.DONE), item("B-4", None, CareKind.LITTER, number=8, state=OccurrenceState.DONE)
    )
    answered = RoundAnswered(due, (done(), done(CareKind.LITTER, "B-4", 8)), NOW + timedelta(days=7), WREN, DONE, 21)
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
    put_off = done(state=OccurrenceState.DUE)
    ping = answered_ping(RoundAnswered(round_with(), (put_off,), NOW + timedelta(days=1), WREN, PUT_OFF, 21))
    assert ping.text.splitlines() == [f"Put off by <@{WREN}>. Next <t:1772560800:R>.", "… B-3: moisture"]


def test_a_ping_left_out_says_so_and_a_task_without_a_next_time_names_none() -> None:
    due = round_with(item(state=OccurrenceState.DROPPED))
    ping = answered_ping(RoundAnswered(due, (done(state=OccurrenceState.DROPPED),), None, WREN, SKIPPED, 21))
    assert ping.text.splitlines() == [f"Left out this time by <@{WREN}>.", "– B-3: moisture"]


def test_many_answers_fit_a_screen() -> None:
    due = round_with(*many(30, state=OccurrenceState.DONE))
    lines = answered_ping(RoundAnswered(due, (), None, WREN, DONE, 21)).text.splitlines()
    assert (len(lines), lines[-1]) == (10, "and 22 more")


def test_a_ping_whose_answer_was_taken_back_asks_again() -> None:
    due = round_with(item(), item("B-4", None, CareKind.LITTER, number=8))
    ping = reopened_ping(due)
    assert ping.text.splitlines() == [
        "Open again.",
        "· B-3 (ember F2): check the moisture, wet one end if it is dry",
        "· B-4: top up the leaf litter",
    ]
    assert ping.buttons == round_ping(due).buttons
    assert ping.keepers == ()


def test_later_asks_how_much_and_leads_back() -> None:
    ping = later_ping(round_with(item(), item("B-4", None, number=8)))
    assert first_line(ping) == "When shall I ask again for 2 things?"
    assert [(b.label, b.argument) for b in ping.buttons] == [
        ("In 2 hours", "77.2h"),
        ("In the evening", "77.eve"),
        ("Tomorrow", "77.1d"),
        ("In 3 days", "77.3d"),
        ("Not this time", "77.skip"),
        ("Back", "77.0"),
    ]


async def test_a_count_on_a_round_asks_which_bin_and_leads_back() -> None:
    ping = which_bin_ping(77, [BinLabel("B-3", "ember F2"), BinLabel("B-4")])
    assert ping.text == "Which bin did you count?"
    assert [(b.label, b.verb, b.argument) for b in ping.buttons] == [
        ("B-3 ember F2", "count.form", "B-3"), ("B-4", "count.form", "B-4"), ("Back", "care.round", "77.0"),
    ]  # fmt: skip
    long = which_bin_ping(77, [BinLabel(f"B-{n}", "x" * 90) for n in range(99)])
    assert "`/count log`" in long.text
    assert_buttons_fit(ping_view(long.buttons).to_components())


def test_a_server_is_told_of_a_room_and_nobody_is_called() -> None:
    ping = refusing_room(12)
    assert "<#12>" in ping.text
    assert (ping.keepers, ping.buttons) == ((), ())


def test_a_day_that_must_not_pass_is_what_a_lock_screen_shows_first() -> None:
    part = item("B-4", "ember F2", CareKind.SEPARATE, late=timedelta(days=1), number=8)
    head = ping_of(part, item("B-5", None), item("B-6", None, number=9)).text.splitlines()[0]
    assert head.startswith("Part by sex: B-4 (ember F2), 1 day late. Also moisture round: 2 bins")
    noted = [item("B-5", None, kind, number=n) for n, kind in ((8, CareKind.YOUNG_SEEN), (9, CareKind.ONE_DEAD))]
    ping = ping_of(*noted, item("B-4", None, CareKind.ONE_DEAD, number=10))
    assert ping.text.startswith("Young to log and dead one to log: 2 bins")
    assert [b.label for b in ping.buttons][:3] == ["Young of B-5", "Dead of B-5", "Dead of B-4"]
