"""`/find` through the stand-in: from the odd animal to its pairing, the questions, and what goes wrong on the way."""

from collections.abc import Awaitable
from datetime import timedelta

from bot.practice.outcome import Outcome
from tests.support.chat import BINS, ELSEWHERE, ELSEWHERE_ROOM, MOSS, STRANGER, WREN, Chat, first_line, labels, only_for
from tests.support.photographs import ODD, photograph

LOG = "/find log bin:B-4 trait:dusk animal:female, 9 mm, moulted yesterday, 1 of 40, no sheen"


async def settled(asked: Awaitable[Outcome]) -> Outcome:
    """The answer, where a busy machine only promised one at first."""
    outcome = await asked
    assert await outcome.until(lambda it: it.settled and bool(it.messages or it.form), 30)
    return outcome


async def test_from_the_odd_animal_to_its_pairing(chat: Chat) -> None:
    logged = await settled(chat.type(LOG))
    assert first_line(logged).startswith("**Find 1**: a female in B-4")
    assert "three to five bin mates of her size, and no mature male" in logged.text
    assert labels(logged) == ["Pair", "No pings", "More", "Undo"]
    await chat.again(logged)
    assert "Odd ones found in it: find 1 (dusk, " in (await settled(chat.type("/bin show bin:B-4"))).text
    assert "is open: nobody knows yet" in (await settled(chat.type("/trait list"))).text
    odds = await settled(chat.type("/odds cross:het dusk x het dusk"))
    assert "Nobody knows yet how dusk is inherited" in first_line(odds)
    form = await settled(chat.press(logged.message, "Pair"))
    assert form.form is not None
    assert {f.custom_id: f.value for f in form.form.fields}["dams"] == "find 1"
    paired = await settled(chat.submit(form.form, sires="1 from B-5"))
    assert "**P-1** is set up" in first_line(paired)
    assert "visual dusk" in paired.text
    assert "Put into P-1." in (await settled(chat.press(logged.message, "More"))).text
    undone = await settled(chat.press(logged.message, "Undo"))
    only_for(WREN, undone)
    assert "rests on that" in first_line(undone)


async def test_the_finder_is_asked_when_the_day_has_come_and_can_say_no(sqlite_chat: Chat) -> None:
    logged = await settled(sqlite_chat.type(LOG))
    assert "B-4 (ember F1): sisters" in (await settled(sqlite_chat.type("/care list"))).text
    await sqlite_chat.move(timedelta(days=8))
    assert any("count the sisters of the find" in message.text for message in sqlite_chat.service.messages(BINS))
    quiet = await settled(sqlite_chat.press(logged.message, "No pings"))
    assert "I won't ask about find 1" in first_line(quiet)
    assert "sisters" not in (await settled(sqlite_chat.type("/care list"))).text
    refused = await settled(sqlite_chat.press(logged.message, "No pings", person=MOSS))
    only_for(MOSS, refused)
    assert "I ask about it again" in (await settled(sqlite_chat.press(quiet.message, "Undo"))).text
    assert "sisters" in (await settled(sqlite_chat.type("/care list"))).text
    # That it was asked already holds nothing back.
    undone = await settled(sqlite_chat.press(logged.message, "Undo"))
    assert "The find is taken back" in undone.text
    assert "sisters" not in (await settled(sqlite_chat.type("/care list"))).text
    assert "No odd animal" in (await settled(sqlite_chat.type("/find list"))).text


async def test_a_phone_fills_in_a_form_of_five(sqlite_chat: Chat) -> None:
    """One command without options, two words and a line."""
    opened = await settled(sqlite_chat.type("/find log"))
    assert opened.form is not None
    assert [field.custom_id for field in opened.form.fields] == ["bin", "trait", "animal", "sheen", "note"]
    logged = await settled(sqlite_chat.submit(opened.form, bin="B-4", trait="dusk", animal="manca", sheen="no"))
    assert "**Find 1**: a manca in B-4" in first_line(logged)
    half = await settled(sqlite_chat.type("/find log bin:B-4 note:by the bark day:yesterday"))
    assert half.form is not None
    assert {field.custom_id: field.value for field in half.form.fields} == {
        "bin": "B-4",
        "trait": "",
        "animal": "",
        "note": "by the bark",
        "day": "yesterday",
    }
    full = await settled(
        sqlite_chat.type("/find log bin:B-4 animal:male sheen:no slow:no day:yesterday note:by the bark")
    )
    await settled(sqlite_chat.submit(full.form, trait="slate"))
    shown = (await settled(sqlite_chat.type("/find show find:2"))).text
    assert "lively" in shown
    assert "by the bark" in shown


async def test_a_photo_comes_with_the_find_and_goes_with_it(sqlite_chat: Chat) -> None:
    chat = sqlite_chat
    opened = await settled(chat.type(f"/find log bin:B-4 photo:{ODD}"))
    logged = await settled(chat.submit(opened.form, trait="dusk", animal="female, no sheen"))
    assert "Photograph her again after her next moult" in logged.messages[-1].text
    shown = await settled(chat.type("/find show find:1"))
    (photo,) = shown.messages[-1].attachments
    assert photo.content[:2] == b"\xff\xd8"
    assert first_line(await settled(chat.type("/photo list of:find 1"))).startswith("1 photo of find 1")
    assert "taken back" in (await settled(chat.press(logged.messages[-1], "Undo"))).text
    assert first_line(await settled(chat.type("/photo list of:B-4"))).startswith("No photo of B-4")
    bad = await settled(chat.type("/find log bin:B-4 trait:dusk animal:female photo:README.md"))
    assert "**Find 1**" in first_line(bad)
    assert "Your photo is not kept. That file is no picture I can read." in bad.messages[-1].text


async def test_a_photo_after_the_moult_is_what_was_asked_for(sqlite_chat: Chat) -> None:
    await settled(sqlite_chat.type(LOG))
    await sqlite_chat.move(timedelta(days=2))
    await settled(sqlite_chat.type(f"/photo file photo:{ODD} of:find 1"))
    assert "photo after the moult" in (await settled(sqlite_chat.type("/care list"))).text
    await sqlite_chat.move(timedelta(days=33))
    posted = await sqlite_chat.say("she has moulted", photograph(colour="white"))
    asked = await settled(sqlite_chat.menu(posted, "File this photo"))
    filed = await settled(sqlite_chat.submit(asked.form, of="find 1", day="today"))
    assert "photo after the moult" not in (await settled(sqlite_chat.type("/care list"))).text
    await settled(sqlite_chat.press(filed.messages[-1], "Undo"))
    assert "photo after the moult" in (await settled(sqlite_chat.type("/care list"))).text


async def test_what_is_in_a_private_bin_is_answered_to_its_keeper_alone(sqlite_chat: Chat) -> None:
    await settled(sqlite_chat.type("/bin privacy bin:B-4 private:everything"))
    for line in (LOG, "/find show find:1", "/find list"):
        only_for(WREN, await settled(sqlite_chat.type(line)))
    assert "There is no find" in first_line(await settled(sqlite_chat.type("/find show find:1", MOSS)))
    assert "dusk" not in (await settled(sqlite_chat.type("/find list", MOSS))).text


async def test_a_sheen_is_asked_about_and_puts_the_bin_on_hold(sqlite_chat: Chat) -> None:
    asked = await settled(sqlite_chat.type("/find log bin:B-4 trait:dusk animal:female, slate blue"))
    only_for(WREN, asked)
    assert "blue-violet sheen" in first_line(asked)
    assert labels(asked) == ["A sheen", "Its colour", "Not sure", "Edit"]
    logged = await settled(sqlite_chat.press(asked.message, "A sheen"))
    assert "often a fatal virus" in first_line(logged)
    assert "B-4 is on hold." in first_line(logged)
    await settled(sqlite_chat.press(logged.message, "Undo"))
    plain = await settled(sqlite_chat.type("/find log bin:B-4 trait:dusk animal:female"))
    assert "B-4 is on hold." in first_line(await settled(sqlite_chat.press(plain.message, "It has a blue sheen")))


async def test_a_known_name_is_asked_about_and_nothing_typed_is_lost(sqlite_chat: Chat) -> None:
    await settled(sqlite_chat.type(LOG))
    asked = await settled(sqlite_chat.type("/find log bin:B-5 trait:dusk animal:male note:by the bark"))
    assert "Is this the same, or another that looks like it?" in first_line(asked)
    other = await settled(sqlite_chat.press(asked.message, "Another"))
    named = await settled(sqlite_chat.press(other.message, "dusk 2"))
    assert "that shows **dusk 2**" in first_line(named)
    assert "Note: by the bark" in (await settled(sqlite_chat.type("/find show find:2"))).text
    near = await settled(sqlite_chat.type("/find log bin:B-5 trait:dsk animal:male"))
    assert labels(near)[-2:] == ["New: dsk", "Edit"]
    assert "**dsk**" in first_line(await settled(sqlite_chat.press(near.message, "New: dsk")))


async def test_wrong_words_are_refused_and_can_be_edited(sqlite_chat: Chat) -> None:
    before = await sqlite_chat.events()
    refused = await settled(sqlite_chat.type("/find log bin:B-444 trait:dusk animal:female"))
    only_for(WREN, refused)
    assert "No bin B-444 here." in refused.text.replace("\\", "")
    edit = await settled(sqlite_chat.press(refused.message, "Edit"))
    ahead = await settled(sqlite_chat.type("/find log bin:B-4 trait:dusk day:2199-01-01"))
    assert "has not come yet" in first_line(ahead)
    unread = await settled(sqlite_chat.type("/find log bin:B-4 trait:dusk animal:12"))
    assert "What does `12` say of the animal?" in first_line(unread)
    assert await sqlite_chat.events() == before
    assert "**Find 1**" in first_line(await settled(sqlite_chat.submit(edit.form, bin="B-4")))


async def test_elsewhere_there_is_no_such_find(sqlite_chat: Chat) -> None:
    await settled(sqlite_chat.type(LOG))
    before = await sqlite_chat.events()
    for verb in ("find.show", "find.sheen", "find.quiet", "find.pair"):
        refused = await settled(sqlite_chat.forge(f"m1:{verb}:1", STRANGER, ELSEWHERE_ROOM))
        assert "There is no find" in first_line(refused)
    assert "No odd animal" in (await settled(sqlite_chat.type("/find list", STRANGER, ELSEWHERE_ROOM, ELSEWHERE))).text
    assert (
        "No odd animal"
        in (await settled(sqlite_chat.forge("m1:find.list:9/x/1/99999", STRANGER, ELSEWHERE_ROOM, layout=True))).text
    )
    assert await sqlite_chat.events() == before
    assert await sqlite_chat.events(ELSEWHERE) == []
