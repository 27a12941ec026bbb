"""What a person receives when the bot itself fails, inside each kind of thing they can do."""

import re
from datetime import timedelta
from typing import Any, cast

import discord
import pytest

from bot.cards.card import Card
from bot.chat.answer import send
from bot.chat.port import ChatPort
from bot.guard import UnitOpen
from tests.support.chat import BINS, HOLLOW_LOG, MOSS, WREN, Chat, first_line, labels, only_for

COMMANDS = [
    ("bot.chat.odds.odds_of", "/odds cross:het ember x wild"),
    ("bot.chat.bins.open_bin", "/bin open species:Porcellio scaber name:mine"),
    ("bot.chat.counts.log_count", "/count log bin:B-3 count:40 note:damp"),
    ("bot.chat.care.add_task", "/care add bin:B-3 task:moisture day:Monday time:18:00"),
    ("bot.chat.traits.define_trait", "/trait define name:dusk shows:dominant"),
]
WITHOUT_A_FORM = [
    ("bot.chat.bins.show_bin", "/bin show bin:B-3"),
    ("bot.chat.counts.label_of", "/count log bin:B-3"),
]


def broken(*_: Any, **__: Any) -> Any:
    raise RuntimeError("broken for the test")


def check_reference(text: str, caplog: pytest.LogCaptureFixture) -> None:
    """The reference that the person was told stands in the log, with what happened."""
    told = re.search(r"\*\*([0-9a-f]{6})\*\*", text)
    assert told is not None
    (record,) = [each for each in caplog.records if each.levelname == "ERROR"]
    assert told[1] in record.getMessage()
    assert record.exc_info is not None
    assert "broken for the test" in str(record.exc_info[1])


@pytest.mark.parametrize(("service", "line"), COMMANDS)
async def test_a_failing_command_tells_its_person_a_reference_and_keeps_what_was_typed(
    sqlite_chat: Chat, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture, service: str, line: str
) -> None:
    before = await sqlite_chat.events()
    with monkeypatch.context() as patch:
        patch.setattr(service, broken)
        outcome = await sqlite_chat.type(line, MOSS)
    message = only_for(MOSS, outcome)
    assert "went wrong" in first_line(outcome)
    check_reference(message.text, caplog)
    typed = re.findall(r"(\w+):((?:(?! \w+:).)+)", line)
    for name, value in typed:
        assert f"{name}: {value}" in message.text
    assert labels(outcome) == ["Edit"]
    assert await sqlite_chat.events() == before
    opened = await sqlite_chat.press(message, "Edit", MOSS)
    assert opened.form is not None
    shown = {field.custom_id: field.value for field in opened.form.fields}
    assert all(shown[name] == value for name, value in typed)


@pytest.mark.parametrize(("service", "line"), WITHOUT_A_FORM)
async def test_a_failing_command_that_fills_in_nothing_tells_its_person_a_reference(
    sqlite_chat: Chat, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture, service: str, line: str
) -> None:
    monkeypatch.setattr(service, broken)
    outcome = await sqlite_chat.type(line, MOSS)
    check_reference(only_for(MOSS, outcome).text, caplog)
    assert labels(outcome) == []


@pytest.mark.parametrize(
    ("service", "label"),
    [
        ("bot.chat.odds.raising_of", "How many to raise"),
        ("bot.chat.odds.odds_again", "Carriers"),
        ("bot.chat.odds.genes_of", "Gene notation"),
    ],
)
async def test_a_failing_press_tells_its_person_a_reference(
    sqlite_chat: Chat, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture, service: str, label: str
) -> None:
    asked = await sqlite_chat.type("/odds cross:het ember x het ember")
    monkeypatch.setattr(service, broken)
    outcome = await sqlite_chat.press(asked.message, label, MOSS)
    check_reference(only_for(MOSS, outcome).text, caplog)


async def test_a_failing_undo_tells_its_person_a_reference_and_leaves_the_change(
    sqlite_chat: Chat, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    counted = await sqlite_chat.type("/count log bin:B-3 count:40", MOSS)
    monkeypatch.setattr("bot.chat.records.undo", broken)
    outcome = await sqlite_chat.press(counted.message, "Undo", MOSS)
    check_reference(only_for(MOSS, outcome).text, caplog)
    assert len(await sqlite_chat.events()) == 13


async def test_a_failing_done_leaves_the_ping_as_it_is(
    sqlite_chat: Chat, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    await sqlite_chat.move(timedelta(days=4))
    ping = await sqlite_chat.service.wait_message(BINS)
    with monkeypatch.context() as patch:
        patch.setattr("bot.chat.rounds.answer_round", broken)
        outcome = await sqlite_chat.press(ping, "Done")
    check_reference(only_for(WREN, outcome).text, caplog)
    assert sqlite_chat.service.message(ping.id) == ping
    assert (await sqlite_chat.press(ping, "Done")).updated


async def test_a_failing_edit_tells_its_person_a_reference(
    sqlite_chat: Chat, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    refused = await sqlite_chat.type("/odds cross:het emberr x wild")
    monkeypatch.setattr("bot.services.drafts.take", broken)
    outcome = await sqlite_chat.press(refused.message, "Edit")
    check_reference(only_for(WREN, outcome).text, caplog)


async def test_a_failing_page_leaves_the_message_as_it_is(
    sqlite_chat: Chat, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    options = {"species": "Porcellio scaber", "note": "moss and bark " * 250}
    opened = await sqlite_chat.service.command(HOLLOW_LOG, BINS, WREN, "bin open", options)
    monkeypatch.setattr("bot.chat.bins.show_bin", broken)
    outcome = await sqlite_chat.press(opened.message, "More (2 of 4)")
    check_reference(only_for(WREN, outcome).text, caplog)
    assert sqlite_chat.service.message(opened.messages[0].id) == opened.messages[0]


async def test_a_failing_form_tells_its_person_a_reference_and_keeps_what_was_typed(
    sqlite_chat: Chat, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    opened = await sqlite_chat.type("/count log bin:B-3", MOSS)
    with monkeypatch.context() as patch:
        patch.setattr("bot.chat.counts.log_count", broken)
        outcome = await sqlite_chat.submit(opened.form, count="about 40", note="damp")
    message = only_for(MOSS, outcome)
    check_reference(message.text, caplog)
    assert "count: about 40\nnote: damp" in message.text
    reopened = await sqlite_chat.press(message, "Edit", MOSS)
    answered = await sqlite_chat.submit(reopened.form)
    assert first_line(answered) == "B-3 (frost line): **about 40** counted."


async def test_an_exception_while_the_unit_of_work_is_open_takes_everything_back(
    chat: Chat, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    with monkeypatch.context() as patch:
        patch.setattr("bot.services.counts._logged", broken)
        outcome = await chat.type("/count log bin:B-3 count:40 note:damp", MOSS)
    check_reference(only_for(MOSS, outcome).text, caplog)
    assert len(await chat.events()) == 12
    shown = await chat.type("/bin show bin:B-3")
    assert first_line(shown).startswith("**B-3 (frost line)**: **about 108** counted")
    again = await chat.type("/count log bin:B-3 count:40", MOSS)
    assert first_line(again) == "B-3 (frost line): **40** counted."


async def test_a_book_that_cannot_even_keep_the_draft_still_shows_what_was_typed(
    sqlite_chat: Chat, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    monkeypatch.setattr("bot.chat.counts.log_count", broken)
    monkeypatch.setattr("bot.services.drafts.keep", broken)
    outcome = await sqlite_chat.type("/count log bin:B-3 count:40 note:damp", MOSS)
    message = only_for(MOSS, outcome)
    assert "note: damp" in message.text
    assert message.buttons == ()
    assert "no draft could be kept" in caplog.text


async def test_an_answer_that_cannot_be_worded_says_to_look_whether_it_was_done(
    sqlite_chat: Chat, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    monkeypatch.setattr("bot.chat.counts.logged_card", broken)
    outcome = await sqlite_chat.type("/count log bin:B-3 count:40", MOSS)
    message = only_for(MOSS, outcome)
    check_reference(message.text, caplog)
    assert "in the book already" in message.text
    assert len(await sqlite_chat.events()) == 13


async def test_an_answer_that_the_service_does_not_take_is_a_failure_like_any_other(
    sqlite_chat: Chat, caplog: pytest.LogCaptureFixture
) -> None:
    sqlite_chat.expected.add(400)
    sqlite_chat.service.faults.fail_next("POST", "/interactions/*/callback", status=400, after_accepting=False)
    # Of an answer with a picture it might be the promise that is not taken.
    outcome = await sqlite_chat.type("/odds cross:het ember x wild")
    assert "went wrong" in only_for(WREN, outcome).text
    assert "400 Bad Request" in caplog.text


async def test_a_command_in_a_form_that_is_not_known_any_more_says_so(sqlite_chat: Chat) -> None:
    (exchange,) = sqlite_chat.sent("PUT", "/commands")
    commands = cast(list[dict[str, Any]], exchange.body)
    older = [{**command, "name": f"old{command['name']}"} for command in commands]
    client = sqlite_chat.bot.client
    await client.http.bulk_upsert_global_commands(client.application_id or 0, cast(Any, older))
    outcome = await sqlite_chat.type("/oldodds cross:het ember x wild")
    assert "has changed" in only_for(WREN, outcome).text


async def test_neither_an_answer_nor_a_ping_is_sent_while_a_unit_of_work_is_open(sqlite_chat: Chat) -> None:
    nobody = cast(discord.Interaction[Any], None)
    port = ChatPort(sqlite_chat.bot.client)
    async with sqlite_chat.bot.records.read(HOLLOW_LOG.id):
        with pytest.raises(UnitOpen):
            await send(nobody, Card(lead="hello"))
        with pytest.raises(UnitOpen):
            await port.post(BINS.id, cast(Any, None), "nonce")
        with pytest.raises(UnitOpen):
            await port.find(BINS.id, "mark", sqlite_chat.clocks.now())
    assert sqlite_chat.service.messages(BINS) == []


async def test_a_service_that_answers_from_within_its_unit_of_work_is_stopped_and_rolled_back(
    sqlite_chat: Chat, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    async def chatty(*_: Any) -> Any:
        await send(cast(discord.Interaction[Any], None), Card(lead="hello"))

    monkeypatch.setattr("bot.services.counts._logged", chatty)
    outcome = await sqlite_chat.type("/count log bin:B-3 count:40", MOSS)
    assert "went wrong" in only_for(MOSS, outcome).text
    assert "UnitOpen" in caplog.text
    assert len(await sqlite_chat.events()) == 12
