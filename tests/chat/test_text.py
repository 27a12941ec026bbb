"""Text from people in replies: nobody is pinged by it, and nothing in it works."""

import json

import pytest

from tests.support.chat import BINS, HOLLOW_LOG, MOSS, TAMSIN, WREN, Chat, first_line

LOUD = "@everyone @here <@910000000000000103> <@&910000000000000777> <#910000000000000012> **big**"
FIELDS = {
    "bin open": {"species": "Porcellio scaber", "name": LOUD[:60], "note": LOUD, "origin": LOUD, "animals": "9"},
    "count log": {"bin": "B-4", "count": "40", "note": LOUD},
}


async def nobody_was_pinged(chat: Chat) -> None:
    assert chat.service.messages(BINS, WREN)
    for message in chat.service.messages(BINS, WREN):
        assert message.pinged == ()
        assert not message.pings_everyone
    for exchange in chat.exchanges:
        body = exchange.body if isinstance(exchange.body, dict) else {}
        data = body.get("data") or {} if exchange.path.endswith("/callback") else body
        if "components" in data and body.get("type") != 9:
            assert data["allowed_mentions"] == {"parse": []}, json.dumps(body)


@pytest.mark.parametrize("command", FIELDS)
async def test_a_loud_name_and_a_loud_note_ping_nobody(chat: Chat, command: str) -> None:
    outcome = await chat.service.command(HOLLOW_LOG, BINS, WREN, command, FIELDS[command])
    assert outcome.settled
    assert "everyone" in outcome.text
    assert "<@9" not in outcome.text
    assert "<@&" not in outcome.text
    shown = await chat.type("/bin show bin:B-6" if command == "bin open" else "/bin show bin:B-4")
    assert "<@" not in shown.text
    await nobody_was_pinged(chat)


async def test_a_loud_command_that_is_refused_pings_nobody(sqlite_chat: Chat) -> None:
    for line in (
        f"/bin show bin:{LOUD}",
        f"/count log bin:B-4 count:{LOUD} note:{LOUD}",
        f"/odds cross:{LOUD}",
        f"/bin open species:{LOUD} name:{LOUD}",
        f"/trait define name:{LOUD} shows:recessive",
    ):
        outcome = await sqlite_chat.type(line)
        assert outcome.messages[0].ephemeral
        outside_code = "".join(outcome.text.split("`")[::2])
        assert "<@9" not in outside_code
    await nobody_was_pinged(sqlite_chat)


async def test_a_ping_for_a_bin_with_a_loud_name_pings_its_keeper_alone(sqlite_chat: Chat) -> None:
    await sqlite_chat.type("/bin open species:Porcellio scaber name:@everyone <@910000000000000103>", MOSS)
    await sqlite_chat.type("/care add bin:B-6 task:moisture day:Friday time:12:00 zone:Europe/Lisbon", MOSS)
    from datetime import timedelta

    await sqlite_chat.move(timedelta(days=2))
    ping = await sqlite_chat.service.wait_message(BINS, lambda m: "B-6" in m.content)
    assert ping.pinged == (MOSS.id,)
    assert not ping.pings_everyone
    done = await sqlite_chat.press(ping, "Done", MOSS)
    assert done.message is not None
    assert TAMSIN.id not in done.message.pinged
    assert not done.message.pings_everyone


async def test_a_bin_may_be_named_by_an_emoji(chat: Chat) -> None:
    outcome = await chat.type("/bin open species:Porcellio scaber name:🪵🐚", MOSS)
    assert first_line(outcome).startswith("Bin **B-6** is open: 🪵🐚.")
    assert [choice.name for choice in await chat.offered("/bin show bin:🪵")] == ["B-6 🪵🐚"]
    shown = await chat.type("/bin show bin:B-6 🪵🐚")
    assert first_line(shown).startswith("**B-6 (🪵🐚)**")


async def test_a_code_block_in_a_refused_text_ends_where_the_bot_ends_it(sqlite_chat: Chat) -> None:
    refused = await sqlite_chat.type("/count log bin:B-4 count:``` @everyone note:``` **bold**")
    assert refused.text.count("```") == 2
