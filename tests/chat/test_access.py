"""Who × what, over every command and every button: in one's own server, in another one, and with ids made up."""

from collections.abc import AsyncIterator, Callable
from datetime import datetime, timedelta

import pytest
from pytest_asyncio import fixture as async_fixture

from bot.chat.discovery import discover
from bot.practice.exchange import Exchange
from bot.practice.outcome import Outcome
from bot.practice.values import Person, Place
from tests.support.access import LINES, SETTING, Line, Needs, every_command
from tests.support.chat import (
    BINS,
    CARE,
    ELSEWHERE,
    ELSEWHERE_ROOM,
    HOLLOW_LOG,
    MOSS,
    STRANGER,
    TAMSIN,
    WREN,
    Chat,
    chat_on,
)

ASH = Person(910000000000000190, "Ash")
"""A co-keeper of Moss's bin."""
SAGE = Person(910000000000000191, "Sage", manager=True)
"""A steward who keeps nothing."""
PLACE = Place(HOLLOW_LOG.id, HOLLOW_LOG.name, (BINS, CARE), (WREN, MOSS, TAMSIN, ASH, SAGE))
SECRET = ("frost line", "Pale edges", "many mancae", "9 dozen", "108")
"""What the book says of B-3 and of nothing else."""

# Moss, who owns the bin, defined the trait as well.
MAY = {
    "owner": {Needs.READ, Needs.TEND, Needs.SHARE, Needs.HIDE, Needs.AUTHOR, Needs.NOTHING},
    "co-keeper": {Needs.READ, Needs.TEND, Needs.NOTHING},
    "steward": {Needs.READ, Needs.TEND, Needs.SHARE, Needs.STEWARD, Needs.AUTHOR, Needs.NOTHING},
    "anyone": {Needs.READ, Needs.NOTHING},
}
"""The table of access of a bin that everybody reads."""
MAY_PRIVATE = {
    "owner": MAY["owner"],
    "co-keeper": MAY["co-keeper"],
    "steward": {Needs.STEWARD, Needs.AUTHOR, Needs.NOTHING},
    "anyone": {Needs.NOTHING},
}
"""The same of a bin that is private."""
CARDS = ("care.today", "care.today.done", "care.today.undo")
REPLIES = {
    verb
    for verb, route in discover().routes.items()
    if route.replaces and (verb in CARDS or not verb.startswith("care."))
}
"""The verbs whose answer takes the place of a reply; those of a ping take the place of a plain message."""
PEOPLE = {"owner": MOSS, "co-keeper": ASH, "steward": SAGE, "anyone": TAMSIN}


@async_fixture
async def shared_chat(
    society_sqlite: str, thursday: datetime, recorder: Callable[[Exchange], None] | None
) -> AsyncIterator[Chat]:
    """The society with a co-keeper on Moss's bin B-3 and a steward who keeps no bin."""
    async with chat_on(society_sqlite, thursday, recorder, (PLACE, ELSEWHERE)) as chat:
        for line in SETTING:
            done = await chat.type(line, MOSS, place=PLACE)
            assert await done.until(lambda seen: bool(seen.messages), 10), line
            assert not done.messages[-1].text.startswith("I can"), line
        yield chat
    assert set(chat.refused()) <= chat.expected


def test_the_table_has_every_command_and_no_other() -> None:
    assert set(LINES) == every_command()


def refused(outcome: Outcome) -> bool:
    """Whether the answer is a no, and to the one person alone."""
    message = outcome.messages[-1]
    said = message.text
    no = said.startswith(
        ("No bin", "No pairing P", "No brood", "There is no", "That ", "The bin ", "The trait ", "Only stewards")
    )
    assert message.ephemeral or not no
    return no


async def can(chat: Chat, who: str, line: Line, code: str = "B-3") -> bool:
    """Whether the person can do it: the answer says so, and the book agrees."""
    before = await chat.events()
    outcome = await chat.type(line.typed.format(bin=code), PEOPLE[who], place=PLACE)
    # An answer for one's own eyes that was promised to the room comes beside the promise, once that is taken away.
    assert outcome.form or await outcome.until(lambda seen: bool(seen.messages), 10), line.typed
    no = bool(outcome.messages) and refused(outcome)
    if no:
        assert await chat.events() == before
    return not no


@pytest.mark.parametrize("who", sorted(PEOPLE))
@pytest.mark.parametrize("private", [False, True])
async def test_who_may_do_what(shared_chat: Chat, who: str, private: bool) -> None:
    if private:
        await shared_chat.type("/bin privacy bin:B-3 private:everything", MOSS, place=PLACE)
    table = MAY_PRIVATE if private else MAY
    lines = {words: line for words, line in LINES.items() if words != "records undo"}
    # What closes doors comes last, so that no line depends on the one before.
    last = ("bin unshare", "bin privacy")
    for words in sorted(lines, key=lambda words: (words in last, words)):
        assert await can(shared_chat, who, lines[words]) == (lines[words].needs in table[who]), (who, words)


async def test_a_private_bin_is_seen_by_its_keepers_alone(shared_chat: Chat) -> None:
    await shared_chat.type("/bin privacy bin:B-3 private:everything", MOSS, place=PLACE)
    for who, person in PEOPLE.items():
        keeps = who in ("owner", "co-keeper")
        for command in ("/bin show bin:", "/count log bin:", "/records audit bin:", "/odds cross:B-"):
            offered = await shared_chat.offered(command, person, place=PLACE)
            assert any("B-3" in choice.value for choice in offered) == keeps, (who, command)
        audit = await shared_chat.type("/records audit", person, place=PLACE)
        assert ("B-3" in audit.text) == keeps
        shown = await shared_chat.type("/bin show bin:B-3", person, place=PLACE)
        # To its keepers it is shown as well so that nobody else reads along.
        assert shown.messages[-1].ephemeral
        assert any(word in shown.messages[-1].text for word in SECRET) == keeps
        near = await shared_chat.type("/bin show bin:B-33", person, place=PLACE)
        assert ("frost line" in near.text) == keeps


async def test_private_notes_are_read_by_keepers_alone_and_the_bin_by_everybody(shared_chat: Chat) -> None:
    await shared_chat.type("/bin privacy bin:B-3 private:notes", MOSS, place=PLACE)
    for who, person in PEOPLE.items():
        shown = await shared_chat.type("/bin show bin:B-3", person, place=PLACE)
        keeps = who in ("owner", "co-keeper")
        # Where the picture takes its time, what is private comes after a promise that was taken back.
        said = shown.messages[-1].text
        assert "frost line" in said
        assert ("Pale edges" in said) == keeps
        assert shown.messages[-1].ephemeral == keeps


async def arguments(chat: Chat) -> list[str]:
    """Everything that a button of this book could carry, and some things that none could."""
    found = {
        "B-3",
        "B-999",
        "=B-3 x wild",
        "#1",
        "0",
        "-1",
        "",
        "9" * 40,
        "²",
        "1/1",
        "9999/3/",
        "9999//910000000000000102",
    }
    for event in await chat.events():
        found |= {str(event.seq), str(event.subject.id)}
        for document in (event.before, event.after):
            for row in document["rows"]:
                found |= {str(row["id"]), f"{row['id']}/{row['id']}"}
    return sorted(found)


@pytest.mark.parametrize("person_and_room", [(STRANGER, ELSEWHERE_ROOM), (MOSS, ELSEWHERE_ROOM), (TAMSIN, BINS)])
async def test_no_button_shows_or_changes_anything_of_a_bin_that_is_not_there_for_the_person(
    shared_chat: Chat, person_and_room: tuple[Person, object], caplog: pytest.LogCaptureFixture
) -> None:
    """From another server, with every id of this one; and from within it, with those of a private bin."""
    chat = shared_chat
    person, room = person_and_room
    await chat.type("/care add bin:B-3 task:recount day:Friday time:18:00 zone:Europe/Dublin", MOSS, place=PLACE)
    await chat.type("/bin privacy bin:B-3 private:everything", MOSS, place=PLACE)
    await chat.move(timedelta(days=2))
    before, there = await chat.events(), await chat.events(ELSEWHERE)
    secret = SECRET if room is BINS else (*SECRET, "ember F", "wild stock", "B-4", "Wren", "Tamsin", "Dublin")
    harmless = {"keeper.erase"}
    for verb in sorted(set(discover().routes) - harmless):
        for argument in await arguments(chat):
            if len(argument) > 60:
                continue
            outcome = await chat.forge(f"m1:{verb}:{argument}", person, room, layout=verb in REPLIES)
            said = outcome.text + " ".join(field.value for field in (outcome.form.fields if outcome.form else ()))
            assert not any(word in said for word in secret), (verb, argument, said)
    mine = [event for event in await chat.events() if event.actor_id == person.id and event.seq > before[-1].seq]
    assert [event for event in await chat.events() if event not in mine] == before
    assert not any("B-3" in str(event.after) for event in mine)
    assert await chat.events(ELSEWHERE) == there
    assert not [record for record in caplog.records if record.levelname == "ERROR"]


@pytest.mark.parametrize("code", ["B-3", "B-999", "B-0", "9" * 40, "frost line"])
async def test_no_command_shows_or_changes_anything_of_another_server(shared_chat: Chat, code: str) -> None:
    before = await shared_chat.events()
    for words, line in LINES.items():
        if line.at_home:
            continue
        typed = line.typed.format(bin=code).replace("@Tamsin", "@Moss").replace("@Wren", "@Moss")
        outcome = await shared_chat.type(typed, STRANGER, ELSEWHERE_ROOM, ELSEWHERE)
        assert outcome.messages, words
        assert not any(word in outcome.text.replace(code, "") for word in SECRET), words
    assert await shared_chat.events() == before
    assert await shared_chat.events(ELSEWHERE) == []


async def test_a_ping_names_a_private_bin_by_its_code_alone(shared_chat: Chat) -> None:
    """The room of a ping is read by everybody in it."""
    await shared_chat.type("/care add bin:B-3 task:recount day:Friday time:18:00 zone:Europe/Lisbon", MOSS, place=PLACE)
    await shared_chat.type("/bin privacy bin:B-3 private:everything", MOSS, place=PLACE)
    await shared_chat.move(timedelta(days=2))
    ping = await shared_chat.service.wait_message(BINS, lambda message: "B-3" in message.content)
    assert not any(word in ping.content for word in SECRET)


@pytest.mark.parametrize("code", ["B-999", "B-0", "9" * 40, "nonesuch"])
async def test_no_command_takes_a_code_that_is_nobodys(shared_chat: Chat, code: str) -> None:
    before = await shared_chat.events()
    for words, line in LINES.items():
        if "{bin}" in line.typed:
            outcome = await shared_chat.type(line.typed.format(bin=code), MOSS, place=PLACE)
            assert refused(outcome) or outcome.messages[-1].ephemeral, words
            assert not any(word in outcome.text for word in SECRET[1:]), words
    assert await shared_chat.events() == before
