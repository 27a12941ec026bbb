"""Presses with an outdated or a forged id, ids of another server, and what comes from a direct message."""

from datetime import timedelta

import pytest

from tests.support.chat import (
    BINS,
    ELSEWHERE,
    ELSEWHERE_ROOM,
    HOLLOW_LOG,
    MOSS,
    NOWHERE,
    STRANGER,
    WREN,
    Chat,
    first_line,
    only_for,
)

HUGE = "9" * 60


FORGED = [
    "some other bot's",
    "m0:bin.show:B-1",
    "m1:bin.close:B-1",
    "m1::",
    "m1:page:",
    "m1:page:1|",
    "m1:page:1|no.route|B-1",
    "m1:page:99999|bin.show|B-1",
    "m1:page:-1|bin.show|B-1",
    "m1:page:0|page|0",
    "m1:page:0|draft.edit|1",
    "m1:fill:",
    "m1:fill:no.sheet",
    "m1:fill:count.log/x",
    "m1:fill:count.log/999999",
    f"m1:fill:count.log/{HUGE[:40]}",
    "m1:draft.edit:",
    "m1:draft.edit:0",
    f"m1:draft.edit:{HUGE}",
    "m1:draft.edit:-1",
    "m1:odds.raising:",
    "m1:odds.raising:#",
    f"m1:odds.carriers:#{HUGE[:59]}",
    "m1:odds.genes:=het ember x",
    "m1:odds.ask:=het ember xx wild",
    "m1:odds.ask:",
    "m1:bin.show:",
    "m1:bin.show:B-999999999999999999999999999",
    "m1:count.form:B-77",
    "m1:care.done:",
    f"m1:care.done:{HUGE}",
    "m1:care.done:²",
    f"m1:care.later:{HUGE}",
    f"m1:care.count:{HUGE}",
    "m1:line.family:",
    "m1:line.family:B-77",
    "m1:line.mates:",
    f"m1:line.mates:{HUGE}",
    "m1:records.undo:",
    f"m1:records.undo:{HUGE}",
    "m1:records.undo:-3",
    "m1:care.reopen:",
    "m1:care.reopen:1",
    f"m1:care.reopen:{HUGE}",
    "m1:care.reopen:-3",
]


async def test_a_forged_button_is_refused_in_private_and_changes_nothing(
    sqlite_chat: Chat, caplog: pytest.LogCaptureFixture
) -> None:
    before = await sqlite_chat.events()
    for custom_id in FORGED:
        outcome = await sqlite_chat.forge(custom_id)
        only_for(WREN, outcome)
        assert "went wrong" not in first_line(outcome), custom_id
    assert await sqlite_chat.events() == before
    assert not [record for record in caplog.records if record.levelname == "ERROR"]


async def test_a_number_too_large_for_any_row_is_no_row_on_postgres_either(chat: Chat) -> None:
    for verb in ("draft.edit", "care.done", "care.count", "care.reopen", "records.undo"):
        outcome = await chat.forge(f"m1:{verb}:{HUGE}")
        assert "went wrong" not in first_line(outcome)


async def test_reopen_with_the_number_of_another_change_takes_nothing_back(sqlite_chat: Chat) -> None:
    counted = await sqlite_chat.type("/count log bin:B-3 count:40", MOSS)
    assert counted.message is not None
    before = await sqlite_chat.events()
    seq = counted.message.button("Undo").custom_id.rpartition(":")[2]
    outcome = await sqlite_chat.forge(f"m1:care.reopen:{seq}", MOSS)
    only_for(MOSS, outcome)
    assert await sqlite_chat.events() == before


async def test_what_took_a_task_back_is_not_taken_back_in_its_turn(sqlite_chat: Chat) -> None:
    added = await sqlite_chat.type("/care add bin:B-4 task:recount day:Friday time:18:00 zone:Europe/Lisbon")
    await sqlite_chat.move(timedelta(days=2))
    await sqlite_chat.press(added.message, "Undo")
    events = await sqlite_chat.events()
    assert events[-1].kind == "care.ended"
    outcome = await sqlite_chat.forge(f"m1:records.undo:{events[-1].seq}")
    only_for(WREN, outcome)
    assert "undone already" in first_line(outcome)
    assert await sqlite_chat.events() == events


async def test_a_button_under_a_message_that_is_older_than_its_draft_says_what_to_do(sqlite_chat: Chat) -> None:
    refused = await sqlite_chat.type("/count log bin:B-3 count:many", MOSS)
    await sqlite_chat.move(timedelta(hours=25))
    late = await sqlite_chat.press(refused.message, "Edit", MOSS)
    only_for(MOSS, late)
    assert "over a day old" in first_line(late)


async def test_a_form_whose_draft_has_gone_meanwhile_is_refused_with_what_was_typed(sqlite_chat: Chat) -> None:
    refused = await sqlite_chat.type("/count log bin:B-3 count:many note:damp", MOSS)
    opened = await sqlite_chat.press(refused.message, "Edit", MOSS)
    await sqlite_chat.move(timedelta(hours=25))
    late = await sqlite_chat.submit(opened.form, count="40")
    only_for(MOSS, late)
    assert "count: 40" in late.text
    assert "damp" in late.text
    reopened = await sqlite_chat.press(late.message, "Edit", MOSS)
    answered = await sqlite_chat.submit(reopened.form)
    assert first_line(answered) == "B-3 (frost line): **40** counted."


async def test_another_persons_draft_is_not_shown(sqlite_chat: Chat) -> None:
    refused = await sqlite_chat.type("/count log bin:B-3 count:many note:secret", MOSS)
    assert refused.message is not None
    outcome = await sqlite_chat.forge(refused.message.button("Edit").custom_id, WREN)
    assert outcome.form is None
    assert "secret" not in outcome.text
    assert "another person" in first_line(outcome)


async def test_what_was_refused_of_another_persons_question_is_not_shown(sqlite_chat: Chat) -> None:
    """The buttons of a long cross work for everybody; what only its person was shown is no such cross."""
    refused = await sqlite_chat.type("/odds cross:het secretive x wild", MOSS)
    assert refused.message is not None
    draft = refused.message.button("Edit").custom_id.rpartition(":")[2]
    for verb in ("odds.raising", "odds.carriers", "odds.genes"):
        outcome = await sqlite_chat.forge(f"m1:{verb}:#{draft}", WREN)
        assert "secretive" not in only_for(WREN, outcome).text


async def test_a_draft_of_another_kind_is_no_cross_and_no_count(sqlite_chat: Chat) -> None:
    refused = await sqlite_chat.type("/count log bin:B-3 count:many note:damp", MOSS)
    long = await sqlite_chat.type("/odds cross:het ember, homozygous frost x visual ember, homozygous frost", MOSS)
    assert refused.message is not None
    assert long.message is not None
    count = refused.message.button("Edit").custom_id.rpartition(":")[2]
    cross = long.message.button("Carriers").custom_id.rpartition("#")[2]
    for outcome in (
        await sqlite_chat.forge(f"m1:odds.raising:#{count}", MOSS),
        await sqlite_chat.press(await sqlite_chat.plant(f"m1:draft.edit:{cross}"), "planted", MOSS),
    ):
        assert outcome.settled
        assert "went wrong" not in outcome.text


async def test_ids_of_another_server_show_nothing_and_change_nothing(chat: Chat) -> None:
    ping_due = timedelta(days=4)
    await chat.move(ping_due)
    ping = await chat.service.wait_message(BINS, lambda message: "B-4" in message.content)
    counted = await chat.type("/count log bin:B-3 count:40", MOSS)
    refused = await chat.type("/count log bin:B-3 count:many note:secret", MOSS)
    long = await chat.type("/odds cross:het ember, homozygous frost x visual ember, homozygous frost", MOSS)
    messages = [m for m in (ping, counted.message, refused.message, long.message) if m is not None]
    assert len(messages) == 4
    before, there = await chat.events(), await chat.events(ELSEWHERE)
    for custom_id in [button.custom_id for message in messages for button in message.buttons]:
        for person in (STRANGER, MOSS):
            outcome = await chat.forge(custom_id, person, ELSEWHERE_ROOM)
            assert outcome.form is None
            only_for(person, outcome)
            for word in ("frost", "ember", "secret", "Moss", "Wren", "Done by"):
                assert word not in outcome.text
    assert await chat.events() == before
    assert await chat.events(ELSEWHERE) == there == []


async def test_a_person_in_two_servers_has_two_books(chat: Chat) -> None:
    here = await chat.type("/bin open species:Porcellio scaber name:mine", MOSS)
    there = await chat.type("/bin open species:Porcellio scaber name:also mine", MOSS, ELSEWHERE_ROOM, ELSEWHERE)
    assert first_line(here).startswith("Bin **B-6**")
    assert first_line(there).startswith("Bin **B-1**")
    shown = await chat.type("/bin show bin:B-1", MOSS)
    assert "wild stock" in first_line(shown)
    offered = await chat.offered("/bin show bin:", MOSS, ELSEWHERE_ROOM, ELSEWHERE)
    assert [choice.value for choice in offered] == ["B-1"]


async def test_a_press_in_a_direct_message_is_refused_and_changes_nothing(
    sqlite_chat: Chat, caplog: pytest.LogCaptureFixture
) -> None:
    before = await sqlite_chat.events()
    room = sqlite_chat.service.direct_room(WREN)
    for custom_id in ("m1:bin.show:B-1", "m1:records.undo:12", "m1:care.done:1", "m1:draft.edit:1"):
        outcome = await sqlite_chat.forge(custom_id, WREN, room)
        assert first_line(outcome) == "The book belongs to a server. Ask me there."
    assert await sqlite_chat.events() == before
    assert not [record for record in caplog.records if record.levelname == "ERROR"]


async def test_a_command_from_a_direct_message_is_refused_and_changes_nothing(
    sqlite_chat: Chat, caplog: pytest.LogCaptureFixture
) -> None:
    service, room = sqlite_chat.service, sqlite_chat.service.direct_room(MOSS)
    before = await sqlite_chat.events()
    options = {"bin": "B-3", "count": "40"}
    outcome = await service.command(NOWHERE, room, MOSS, "count log", options)
    assert first_line(outcome) == "The book belongs to a server. Ask me there."
    assert await sqlite_chat.events(HOLLOW_LOG) == before
    assert not [record for record in caplog.records if record.levelname == "ERROR"]
