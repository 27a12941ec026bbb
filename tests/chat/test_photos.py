"""Photos from the chat: attached to a command, filed from a message's menu, listed, described and removed."""

from tests.support.chat import (
    ELSEWHERE,
    ELSEWHERE_ROOM,
    MOSS,
    STRANGER,
    TAMSIN,
    WREN,
    Chat,
    first_line,
    labels,
    only_for,
)
from tests.support.photographs import ODD, photograph


async def test_a_photo_attached_to_a_command_is_filed_and_listed(chat: Chat) -> None:
    filed = await chat.type(f"/photo file photo:{ODD} of:B-1 shows:an orange one on bark day:yesterday")
    assert "**Filed** as photo" in first_line(filed)
    assert "of B-1" in first_line(filed)
    assert "an orange one on bark" in filed.messages[-1].text
    await chat.again(filed)
    assert [event.kind for event in await chat.events()][-1] == "photo.filed"
    listed = await chat.type("/photo list of:B-1")
    message = listed.messages[-1]
    assert first_line(listed).startswith("1 photo of B-1")
    (shown,) = message.attachments
    assert shown.content_type == "image/jpeg"
    assert shown.description == "an orange one on bark"
    assert shown.content[:2] == b"\xff\xd8"
    pressed = await chat.press((await chat.type("/bin show bin:B-1")).messages[-1], "Photos (1)")
    assert pressed.text == listed.text


async def test_a_photo_is_filed_from_the_menu_of_a_message(chat: Chat) -> None:
    message = await chat.say("look at her", photograph("one.jpg"), photograph("two.jpg", colour="white"), person=MOSS)
    asked = await chat.menu(message, "File this photo")
    assert asked.form is not None
    assert [field.label for field in asked.form.fields] == [
        "One of your bins",
        "Which picture",
        "What it shows",
        "Taken on",
        "What can be seen",
    ]
    refused = await chat.submit(asked.form, of="B-77", which="1", shows="a pale one")
    only_for(WREN, refused)
    assert "There is no bin, find or trait `B-77` here." in first_line(refused)
    edited = await chat.press(refused.messages[-1], "Edit")
    assert edited.form is not None
    # What was typed stands there again, and the picture was not lost.
    filed = await chat.submit(edited.form, of="B-1")
    assert "**Filed** as photo" in first_line(filed)
    assert "a pale one" in filed.messages[-1].text
    recent = await chat.menu(message, "File this photo")
    assert recent.form is not None
    offered = [str(option.value) for option in recent.form.fields[0].options]
    assert offered[0] == "B-1"
    assert "B-3" in offered  # Wren is a steward.
    picked = await chat.submit(recent.form, recent="B-1", which="0")
    assert "of B-1" in first_line(picked)
    assert "Nobody has said what it shows" in picked.messages[-1].text
    described = await chat.press(picked.messages[-1], "Describe")
    said = await chat.submit(described.form, shows="a *bright* one")
    assert r"a \*bright\* one" in said.messages[-1].text
    page = await chat.press(picked.messages[-1], "All photos")
    assert first_line(page).startswith("2 photos of B-1")
    number = labels(page)[0]
    one = await chat.press(page.messages[-1], number)
    assert labels(one) == ["Describe", "All photos", "Remove"]
    removed = await chat.press(one.messages[-1], "Remove")
    assert "is removed" in first_line(removed)
    assert first_line(await chat.type("/photo list of:B-1")).startswith("1 photo of B-1")
    back = await chat.press(removed.messages[-1], "Undo")
    assert "The photo is shown again." in back.messages[-1].text


async def test_what_is_no_photo_is_refused_in_words(sqlite_chat: Chat) -> None:
    chat = sqlite_chat
    bare = await chat.menu(await chat.say("only words"), "File this photo")
    assert "That message has no picture" in first_line(bare)
    text = await chat.type("/photo file photo:README.md of:B-1")
    # It is fetched and looked at elsewhere, so an answer may have been promised to the room before.
    assert await text.until(lambda seen: bool(seen.messages), 10)
    assert "That file is no picture I can read" in only_for(WREN, text).text
    not_theirs = await chat.type(f"/photo file photo:{ODD} of:B-3", TAMSIN)
    assert "belongs to Moss" in first_line(not_theirs)
    assert not [event for event in await chat.events() if event.kind.startswith("photo")]


async def test_a_photo_is_not_seen_from_another_server(sqlite_chat: Chat) -> None:
    chat = sqlite_chat
    filed = await chat.type(f"/photo file photo:{ODD} of:B-1")
    number = first_line(filed).split("photo ")[1].split(" ")[0]
    seen = await chat.type(f"/photo show number:{number}", STRANGER, ELSEWHERE_ROOM, ELSEWHERE)
    assert first_line(seen).startswith("No photo")
    for verb, argument in (
        ("show", number),
        ("describe", number),
        ("remove", number),
        ("list", "b1"),
        ("turn", "b1/0"),
    ):
        forged = await chat.forge(f"m1:photo.{verb}:{argument}", STRANGER, ELSEWHERE_ROOM)
        only_for(STRANGER, forged)
        assert forged.form is None
    assert not await chat.events(ELSEWHERE)


async def test_photos_of_a_private_bin_are_seen_by_its_keepers_alone(sqlite_chat: Chat) -> None:
    chat = sqlite_chat
    filed = await chat.type(f"/photo file photo:{ODD} of:B-3 trait:frost shows:pale edges", MOSS)
    number = first_line(filed).split("photo ")[1].split(" ")[0]
    seen = await chat.type("/photo list of:frost", TAMSIN)
    assert len(seen.messages[-1].attachments) == 1
    await chat.type("/bin privacy bin:B-3 private:everything", MOSS)
    for line in (f"/photo show number:{number}", "/photo list of:B-3", "/photo list of:frost"):
        kept = await chat.type(line, MOSS)
        assert "pale edges" in only_for(MOSS, kept).text, line
        hidden = await chat.type(line, TAMSIN)
        assert "pale edges" not in hidden.text
        assert not hidden.messages[-1].attachments
    for verb, argument in (
        ("show", number),
        ("describe", number),
        ("remove", number),
        ("list", "b3"),
        ("turn", "t1/0"),
    ):
        assert "pale edges" not in (await chat.forge(f"m1:photo.{verb}:{argument}", TAMSIN)).text
