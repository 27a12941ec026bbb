"""A bin's own message: posted once with a sheet of labels, found again, posted anew, and kept from whom it is not for."""

import dataclasses
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import discord
import pytest
from discord.app_commands import AppCommandChannel, AppCommandThread

import bot.chat.port
from bot.cards.bin_messages import bin_message, mark_of
from bot.chat.bin_messages import may_write
from bot.chat.port import ChatPort
from bot.pictures.labels import FileKind, LabelSheet, Printed, printed
from bot.practice.outcome import Outcome
from bot.practice.values import Message, Person
from bot.records import BinMessageRow, Stamp
from bot.services.labels import LabelledBin, bins_to_label
from bot.services.request import Request
from bot.workers import Workers
from tests.support.chat import BINS, CARE, HOLLOW_LOG, MOSS, TAMSIN, WREN, Chat, first_line, labels, only_for

ONE = "/bin labels bins:B-3 room:#care"
MISSING_ACCESS, UNKNOWN_CHANNEL, UNKNOWN_MESSAGE, NOT_ALLOWED = 50001, 10003, 10008, 50013


@pytest.fixture(autouse=True)
def told_not_drawn(monkeypatch: pytest.MonkeyPatch) -> None:
    """A sheet is the addresses its codes would lead to, a line each: `test_labels` draws them and reads the codes back."""

    async def run(self: Workers, job: Callable[..., Any], sheet: LabelSheet, kind: FileKind, *, deadline: float) -> Any:
        assert (job, kind) == (printed, FileKind.PDF)
        return Printed(("\n".join(label.link for label in sheet.labels).encode(),), ())

    monkeypatch.setattr(Workers, "run", run)


async def sheet_of(chat: Chat, line: str, person: Person = MOSS) -> Outcome:
    """The answer, once it is drawn."""
    return await settled(await chat.type(line, person))


async def settled(outcome: Outcome) -> Outcome:
    """The answer, where a busy machine only promised one at first."""
    assert await outcome.until(lambda it: it.settled and bool(it.messages), 30)
    return outcome


def links(outcome: Outcome) -> list[str]:
    """Where the codes of the sheet lead; nothing of a label without one."""
    (file,) = outcome.messages[-1].attachments
    return [link for link in file.content.decode().split("\n") if link]


def in_care(chat: Chat) -> list[Message]:
    """The bins' messages in the room for care."""
    return [each for each in chat.service.messages(CARE, WREN) if each.content.startswith("Bin **")]


async def row_of(chat: Chat, code: str = "B-3") -> BinMessageRow:
    async with chat.bot.records.read(HOLLOW_LOG.id, MOSS.id) as book:
        found = await book.bin_by_code(code)
        assert found is not None
        (row,) = await book.messages_of([found.id])
    return row


async def rewrite(chat: Chat, row: BinMessageRow, real_ago: timedelta) -> BinMessageRow:
    """What a crash leaves between noting a try and noting its message: the try alone, some time ago."""
    stamp = Stamp(HOLLOW_LOG.id, MOSS.id, MOSS.name, 7, chat.clocks.now())
    async with chat.bot.records.write(stamp) as book:
        return await book.expect_message(row.bin_id, row.channel_id, chat.clocks.real() - real_ago)


async def test_a_sheet_delivered_twice_posts_each_message_once(sqlite_chat: Chat) -> None:
    sqlite_chat.service.faults.deliver_twice_next()
    sqlite_chat.expected.add(40060)
    sheet = await sheet_of(sqlite_chat, "/bin labels bins:B-3 room:#care")
    await sqlite_chat.again(sheet)
    assert len(in_care(sqlite_chat)) == 1


async def test_a_message_that_stands_elsewhere_is_left_there_and_that_is_said(sqlite_chat: Chat) -> None:
    await sheet_of(sqlite_chat, ONE)
    sheet = await sheet_of(sqlite_chat, "/bin labels bins:B-3 room:#bins")
    assert f"In <#{CARE.id}> already, and left there for the labels that lead to it: the message of B-3." in sheet.text
    assert len(in_care(sqlite_chat)) == 1
    assert f"/{CARE.id}/" in links(sheet)[0]


async def test_a_deleted_message_is_posted_anew_where_it_stood_and_that_is_said(sqlite_chat: Chat) -> None:
    sqlite_chat.expected.add(UNKNOWN_MESSAGE)
    await sheet_of(sqlite_chat, ONE)
    (old,) = in_care(sqlite_chat)
    sqlite_chat.service.remove_message(old)
    sheet = await sheet_of(sqlite_chat, "/bin labels bins:B-3")
    assert "Had been deleted, and stands anew: the message of B-3." in sheet.text
    (new,) = in_care(sqlite_chat)
    assert new.id != old.id
    assert links(sheet) == [f"https://discord.com/channels/{HOLLOW_LOG.id}/{CARE.id}/{new.id}"]


async def test_a_crash_between_posting_and_noting_doubles_nothing(chat: Chat) -> None:
    """The try stands in the book, the message stands in the room, and nothing says that they are one."""
    await sheet_of(chat, ONE)
    port = ChatPort(chat.bot.client)
    for ago in (timedelta(seconds=20), timedelta(minutes=10)):
        row = await rewrite(chat, await row_of(chat), ago)
        found = await bin_of(chat, row)
        for each in in_care(chat):
            chat.service.remove_message(each)
        await port.post(CARE.id, bin_message(found, row), row.nonce)
        (standing,) = in_care(chat)
        sheet = await sheet_of(chat, "/bin labels bins:B-3")
        assert [each.id for each in in_care(chat)] == [standing.id]
        assert links(sheet) == [f"https://discord.com/channels/{HOLLOW_LOG.id}/{CARE.id}/{standing.id}"]
        assert (await row_of(chat)).message_id == standing.id


async def bin_of(chat: Chat, row: BinMessageRow) -> LabelledBin:
    """The bin of a message as a sheet gathers it."""
    request = Request(HOLLOW_LOG.id, MOSS.id, MOSS.name, 1, chat.clocks.now())
    (found,) = (await bins_to_label(chat.bot.client.desk, request, bins_text="B-3")).bins
    assert found.row.id == row.bin_id
    return found


async def test_a_try_that_left_nothing_is_made_again(sqlite_chat: Chat) -> None:
    await sheet_of(sqlite_chat, ONE)
    (old,) = in_care(sqlite_chat)
    row = await rewrite(sqlite_chat, await row_of(sqlite_chat), timedelta(minutes=10))
    sheet = await sheet_of(sqlite_chat, ONE)
    new = in_care(sqlite_chat)[-1]
    assert new.id != old.id
    assert links(sheet) == [f"https://discord.com/channels/{HOLLOW_LOG.id}/{CARE.id}/{new.id}"]
    assert mark_of(row) != mark_of(await row_of(sqlite_chat))


async def test_an_answer_that_was_lost_posts_once(sqlite_chat: Chat, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(bot.chat.port, "_AFTER_AN_ERROR", 0.01)
    sqlite_chat.expected.add(503)
    sqlite_chat.service.faults.fail_next("POST", f"/channels/{CARE.id}/messages", after_accepting=True)
    sheet = await sheet_of(sqlite_chat, ONE)
    assert len(in_care(sqlite_chat)) == 1
    assert len(links(sheet)) == 1


async def test_a_service_that_takes_no_more_is_not_pressed_and_the_rest_comes_with_the_next_sheet(
    sqlite_chat: Chat,
) -> None:
    sqlite_chat.expected.add(429)
    await sqlite_chat.type("/bin open species:Porcellio scaber", MOSS)
    sqlite_chat.service.faults.rate_limit_next(f"/channels/{CARE.id}/messages", 300.0)
    sheet = await sheet_of(sqlite_chat, "/bin labels room:#care")
    assert "No code on B-3 and B-6: the chat takes no more messages for now. Ask for the sheet again" in sheet.text
    assert len(sqlite_chat.sent("POST", f"/channels/{CARE.id}/messages")) == 1
    assert len(links(await sheet_of(sqlite_chat, "/bin labels room:#care"))) == 2
    assert len(in_care(sqlite_chat)) == 2


async def test_a_message_that_went_with_its_room_wants_another_room(sqlite_chat: Chat) -> None:
    sqlite_chat.expected.add(UNKNOWN_CHANNEL)
    await sheet_of(sqlite_chat, ONE)
    await sqlite_chat.service.remove_room(CARE)
    sheet = await sheet_of(sqlite_chat, "/bin labels bins:B-3")
    assert "No code on B-3: the message was deleted together with its room." in sheet.text
    moved = await sheet_of(sqlite_chat, "/bin labels bins:B-3 room:#bins")
    assert f"channels/{HOLLOW_LOG.id}/{BINS.id}/" in links(moved)[0]


async def test_a_room_that_is_closed_to_the_bot_is_said_in_words_and_the_sheet_comes_without_codes(
    sqlite_chat: Chat,
) -> None:
    sqlite_chat.expected |= {MISSING_ACCESS, NOT_ALLOWED}
    await sqlite_chat.service.change_room(dataclasses.replace(CARE, writable=False))
    sheet = await sheet_of(sqlite_chat, ONE)
    assert f"No code on B-3: I am not allowed to write in <#{CARE.id}>. Ask a steward" in sheet.text
    assert links(sheet) == []
    await sqlite_chat.service.change_room(CARE)
    assert len(links(await sheet_of(sqlite_chat, ONE))) == 1


async def test_a_private_bin_is_shown_to_a_room_only_where_its_keeper_says_so(sqlite_chat: Chat) -> None:
    await settled(await sqlite_chat.type("/bin privacy bin:B-3 private:everything", MOSS))
    kept = await sheet_of(sqlite_chat, ONE)
    only_for(MOSS, kept)
    assert "No code on B-3: private" in kept.text
    assert in_care(sqlite_chat) == []
    shown = await sheet_of(sqlite_chat, f"{ONE} private-too:True")
    only_for(MOSS, shown)
    assert f"everybody who reads <#{CARE.id}> sees the code, name and keeper of what is kept private: B-3" in shown.text
    assert len(in_care(sqlite_chat)) == 1
    down = await sheet_of(sqlite_chat, "/bin labels bins:B-3")
    assert "Taken down, because the bin is private now: the message of B-3." in down.text
    assert links(down) == []
    assert in_care(sqlite_chat) == []


async def test_keeping_a_bin_private_takes_its_message_down(sqlite_chat: Chat) -> None:
    await sheet_of(sqlite_chat, ONE)
    notes = await settled(await sqlite_chat.type("/bin privacy bin:B-3 private:notes", MOSS))
    assert "its own message" not in notes.text.casefold()
    assert len(in_care(sqlite_chat)) == 1
    private = await settled(await sqlite_chat.type("/bin privacy bin:B-3 private:everything", MOSS))
    only_for(MOSS, private)
    assert f"Its own message in <#{CARE.id}> is taken down" in private.text
    assert in_care(sqlite_chat) == []
    again = await settled(await sqlite_chat.type("/bin privacy bin:B-3 private:everything", MOSS))
    assert "message" not in again.text


async def test_a_message_that_cannot_be_taken_down_is_said(sqlite_chat: Chat) -> None:
    sqlite_chat.expected.add(MISSING_ACCESS)
    await sheet_of(sqlite_chat, ONE)
    await sqlite_chat.service.change_room(dataclasses.replace(CARE, visible=False))
    private = await settled(await sqlite_chat.type("/bin privacy bin:B-3 private:everything", MOSS))
    assert "still shows its code, name and keeper: I could not delete it" in private.text
    await sqlite_chat.service.change_room(CARE)
    assert "Taken down" in (await sheet_of(sqlite_chat, "/bin labels bins:B-3")).text
    assert in_care(sqlite_chat) == []


async def test_a_crash_is_made_good_without_naming_the_room_again(sqlite_chat: Chat) -> None:
    await sheet_of(sqlite_chat, ONE)
    await rewrite(sqlite_chat, await row_of(sqlite_chat), timedelta(minutes=10))
    sheet = await sheet_of(sqlite_chat, "/bin labels bins:B-3")
    assert f"Posted in <#{CARE.id}>" in sheet.text
    assert len(links(sheet)) == 1


async def test_nobody_has_the_message_of_anothers_bin_posted(sqlite_chat: Chat) -> None:
    sheet = await sheet_of(sqlite_chat, ONE, TAMSIN)
    assert "No code on B-3: only its keepers and stewards" in sheet.text
    assert in_care(sqlite_chat) == []


async def test_the_buttons_of_the_message_count_show_and_finish_the_day(sqlite_chat: Chat) -> None:
    await sheet_of(sqlite_chat, ONE)
    (message,) = in_care(sqlite_chat)
    assert [button.label for button in message.buttons] == ["Log count", "Show bin", "Done today"]
    form = await sqlite_chat.press(message, "Log count", MOSS)
    counted = await settled(await sqlite_chat.submit(form.form, count="40"))
    assert first_line(counted) == "B-3 (frost line): **40** counted."
    assert "B-3 (frost line)" in first_line(await settled(await sqlite_chat.press(message, "Show bin", TAMSIN)))
    nothing = await settled(await sqlite_chat.press(message, "Done today", TAMSIN))
    only_for(TAMSIN, nothing)
    assert first_line(nothing) == "Nothing of your care for **B-3 (frost line)** wants doing today."
    await sqlite_chat.type("/care add bin:B-3 task:protein day:every day time:18:00 zone:Europe/Lisbon", MOSS)
    before = len(await sqlite_chat.events())
    done = await settled(await sqlite_chat.press(message, "Done today", MOSS))
    only_for(MOSS, done)
    assert first_line(done).startswith("Done in **B-3 (frost line)** today: protein")
    assert len(await sqlite_chat.events()) == before + 1
    await sqlite_chat.again(done)
    assert len(await sqlite_chat.events()) == before + 1
    assert labels(done) == ["Undo"]
    undone = await settled(await sqlite_chat.press(done.messages[-1], "Undo", MOSS))
    assert first_line(undone) == "Undone."
    assert "protein" in first_line(await settled(await sqlite_chat.press(message, "Done today", MOSS)))


async def test_forged_ids_of_done_today_show_and_change_nothing(sqlite_chat: Chat) -> None:
    before = await sqlite_chat.events()
    for argument in ("", ".", "0.1", "-1.1", f"{'9' * 40}.1", "²", "B-3"):
        outcome = await sqlite_chat.forge(f"m1:bin.day:{argument}")
        only_for(WREN, outcome)
        assert "no longer" in first_line(outcome), argument
    assert await sqlite_chat.events() == before


@pytest.mark.parametrize("kind", [AppCommandChannel, AppCommandThread])
@pytest.mark.parametrize("allowed", [True, False])
def test_who_may_not_write_in_a_room_has_nothing_posted_there(kind: type[Any], allowed: bool) -> None:
    room = kind.__new__(kind)
    # The two permissions are not the same thing: in a thread one may write where one may not in its room.
    room.permissions = discord.Permissions(
        send_messages=allowed == (kind is AppCommandChannel),
        send_messages_in_threads=allowed == (kind is AppCommandThread),
    )
    assert may_write(room) is allowed
