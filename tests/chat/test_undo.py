"""*Undo* under the reply to each kind of change."""

import pytest

from tests.support.chat import BINS, MOSS, TAMSIN, WREN, Chat, first_line, only_for

CHANGES = [
    "/bin open species:Armadillidium vulgare name:new animals:30 holds:het ember parents:B-1 x B-5",
    "/count log bin:B-4 count:about 40 note:a look",
    "/trait define name:dusk shows:dominant",
    "/care add bin:B-4 task:recount day:Monday time:18:00 zone:Europe/Madrid",
]


async def book_text(chat: Chat) -> list[str]:
    """What everybody can see of the book: each bin as it is shown, and what is offered for a cross."""
    shown = [(await chat.type(f"/bin show bin:B-{number}")).text for number in range(1, 7)]
    return [*shown, *(choice.name for choice in await chat.offered("/odds cross:d"))]


@pytest.mark.parametrize("line", CHANGES)
async def test_what_was_done_is_undone_by_whoever_did_it(chat: Chat, line: str) -> None:
    before = await book_text(chat)
    done = await chat.type(line)
    assert await book_text(chat) != before
    undone = await chat.press(done.message, "Undo")
    only_for(WREN, undone)
    assert first_line(undone) == "Undone."
    assert await book_text(chat) == before


async def test_an_undo_pressed_twice_is_done_once_and_then_refused(sqlite_chat: Chat) -> None:
    done = await sqlite_chat.type(CHANGES[1])
    await sqlite_chat.press(done.message, "Undo")
    events = await sqlite_chat.events()
    again = await sqlite_chat.press(done.message, "Undo")
    only_for(WREN, again)
    assert "undone already" in first_line(again)
    assert await sqlite_chat.events() == events


async def test_an_undo_delivered_again_is_one_undo(chat: Chat) -> None:
    done = await chat.type(CHANGES[1])
    undone = await chat.press(done.message, "Undo")
    events = await chat.events()
    await chat.again(undone)
    assert await chat.events() == events


async def test_nobody_undoes_what_another_did_but_a_steward(sqlite_chat: Chat) -> None:
    done = await sqlite_chat.type("/count log bin:B-3 count:40", MOSS)
    events = await sqlite_chat.events()
    refused = await sqlite_chat.press(done.message, "Undo", TAMSIN)
    only_for(TAMSIN, refused)
    assert "Moss" in first_line(refused)
    assert await sqlite_chat.events() == events
    undone = await sqlite_chat.press(done.message, "Undo", WREN)
    assert "taken back" in undone.text


async def test_a_bin_that_was_counted_since_is_not_taken_back(sqlite_chat: Chat) -> None:
    done = await sqlite_chat.type("/bin open species:Porcellio scaber")
    await sqlite_chat.type("/count log bin:B-6 count:40")
    refused = await sqlite_chat.press(done.message, "Undo")
    only_for(WREN, refused)
    assert "rests on that" in first_line(refused)
    assert first_line(await sqlite_chat.type("/bin show bin:B-6")).startswith("**B-6**: **40** counted")


async def test_the_code_of_a_bin_that_was_taken_back_is_not_given_again(sqlite_chat: Chat) -> None:
    done = await sqlite_chat.type("/bin open species:Porcellio scaber")
    await sqlite_chat.press(done.message, "Undo")
    assert first_line(await sqlite_chat.type("/bin open species:Porcellio scaber")).startswith("Bin **B-7** is open.")


async def test_a_command_delivered_again_after_its_undo_changes_nothing(sqlite_chat: Chat) -> None:
    for line in CHANGES:
        done = await sqlite_chat.type(line)
        await sqlite_chat.press(done.message, "Undo")
        events = await sqlite_chat.events()
        shown = sqlite_chat.service.messages(BINS, WREN)
        await sqlite_chat.again(done)
        assert await sqlite_chat.events() == events
        assert sqlite_chat.service.messages(BINS, WREN) == shown
