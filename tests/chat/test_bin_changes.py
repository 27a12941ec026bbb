"""`/bin split`, `merge`, `move` and `close`: the question first, the answer, two wrong paths each, and a repeat."""

import asyncio
from datetime import timedelta

import pytest

from bot.cards import cautions
from bot.practice.outcome import Outcome
from tests.support.chat import BINS, HOLLOW_LOG, MOSS, TAMSIN, WREN, Chat, first_line, labels, only_for

DAY = timedelta(days=1)
LOOK = "any half-white or soft animals? If so wait five days."


async def asked_first(chat: Chat, line: str, person: object = MOSS) -> Outcome:
    """The question that comes before a bin is disturbed; nothing is written yet."""
    before = await chat.events()
    asked = await chat.type(line, person)  # type: ignore[arg-type]  # one of the society's people
    only_for(person, asked)  # type: ignore[arg-type]
    assert LOOK in first_line(asked)
    assert await chat.events() == before
    return asked


async def test_a_split_is_asked_about_once_and_then_answers_with_the_new_code(chat: Chat) -> None:
    asked = await asked_first(chat, "/bin split bin:B-3 number:about 20 holds:het frost name:pale shelf:window")
    assert "I know of nothing that disturbed it yet." in asked.text
    assert labels(asked) == ["All well: split", "Edit"]
    done = await chat.press(asked.message, "All well: split", MOSS)
    assert first_line(done) == "Bin **B-6** (pale) is open with about 20 from B-3 (frost line). Write B-6 on its lid."
    assert done.message is not None
    assert not done.message.ephemeral
    assert "That leaves about 88 in B-3, worked out from its last count." in done.text
    assert labels(done) == ["Undo", "Show B-6", "Show B-3"]
    shown = await chat.press(done.message, "Show B-6", TAMSIN)
    assert first_line(shown).startswith("**B-6 (pale)**: **about 20** counted")
    for fact in ("kept by Moss", "on shelf window", "20 founders · het frost", "From animals of B-3"):
        assert fact in shown.text
    assert "Last disturbed: split" in shown.text


async def test_a_second_press_of_all_well_splits_nothing_a_second_time(chat: Chat) -> None:
    asked = await asked_first(chat, "/bin split bin:B-3 number:20")
    done = await chat.press(asked.message, "All well: split", MOSS)
    events = await chat.events()
    again = await chat.press(asked.message, "All well: split", MOSS)
    only_for(MOSS, again)
    assert "I no longer have that draft" in first_line(again)
    assert await chat.events() == events
    await chat.again(done)
    assert await chat.events() == events


async def test_two_presses_at_once_split_once(chat: Chat) -> None:
    asked = await asked_first(chat, "/bin split bin:B-3 number:20")
    await asyncio.gather(*(chat.press(asked.message, "All well: split", MOSS) for _ in range(2)))
    assert [event.kind for event in await chat.events()].count("bin.split") == 1


async def test_a_split_that_is_not_all_well_can_be_edited_and_is_asked_about_again(sqlite_chat: Chat) -> None:
    asked = await asked_first(sqlite_chat, "/bin split bin:B-3 number:20 note:lively ones")
    opened = await sqlite_chat.press(asked.message, "Edit", MOSS)
    again = await sqlite_chat.submit(opened.form, number="12")
    assert LOOK in first_line(again)
    done = await sqlite_chat.press(again.message, "All well: split", MOSS)
    assert "with 12 from B-3" in first_line(done)
    async with sqlite_chat.bot.records.read(HOLLOW_LOG.id) as book:
        row = await book.bin_by_code("B-6")
    assert row is not None
    assert row.note == "lively ones"


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("/bin split bin:B-33 number:3", "Did you mean B-3 (frost line)"),
        ("/bin split bin:B-3 number:a good many", "I see no number in"),
        ("/bin split bin:B-3 holds:visual embre", "⟪embre⟫"),
        ("/bin merge bin:B-3 into:B-33", "Did you mean B-3 (frost line)"),
        ("/bin merge bin:B-3 into:B-3", "can't be merged with itself"),
        ("/bin close bin:B-33 reason:line ended", "Did you mean B-3 (frost line)"),
        ("/bin close bin:B-3 reason:line ended when:someday", "someday"),
    ],
)
async def test_what_cannot_be_read_is_pointed_at_and_kept_for_editing(sqlite_chat: Chat, line: str, said: str) -> None:
    before = await sqlite_chat.events()
    refused = await sqlite_chat.type(line, MOSS)
    only_for(MOSS, refused)
    assert said in first_line(refused)
    assert labels(refused)[-1] == "Edit"
    assert (await sqlite_chat.press(refused.message, "Edit", MOSS)).form is not None
    assert await sqlite_chat.events() == before


async def test_a_number_that_can_be_meant_in_two_ways_is_asked_about_before_the_bin(sqlite_chat: Chat) -> None:
    asked = await sqlite_chat.type("/bin split bin:B-3 number:7 m", MOSS)
    assert labels(asked) == ["7 males", "7 mancae", "Edit"]
    look = await sqlite_chat.press(asked.message, "7 males", MOSS)
    assert LOOK in first_line(look)
    done = await sqlite_chat.press(look.message, "All well: split", MOSS)
    shown = await sqlite_chat.press(done.message, "Show B-6", MOSS)
    assert "7 males" in shown.text


async def test_a_merge_is_asked_about_with_what_differs_and_then_closes_the_bin(chat: Chat) -> None:
    asked = await asked_first(chat, "/bin merge bin:B-2 into:B-1", WREN)
    assert "They hold different animals: B-1 wild and B-2 visual ember." in asked.text
    done = await chat.press(asked.message, "All well: merge")
    assert first_line(done) == "B-2 (ember founder) was emptied into **B-1 (wild stock)**: 1 went."
    assert "That makes about 91 in B-1" in done.text
    shown = await chat.type("/bin show bin:B-2")
    assert first_line(shown).startswith("**B-2 (ember founder)** is closed since <t:")
    assert first_line(shown).endswith("emptied into B-1.")
    assert labels(shown) == ["History"]
    undone = await chat.press(done.message, "Undo")
    assert "The bins are two again" in undone.text
    back = await chat.type("/bin show bin:B-2")
    assert first_line(back).startswith("**B-2 (ember founder)**: **1** counted")


async def test_bins_of_two_species_are_not_merged(sqlite_chat: Chat) -> None:
    refused = await sqlite_chat.type("/bin merge bin:B-3 into:B-1")
    only_for(WREN, refused)
    assert "are different species" in first_line(refused)


async def test_a_bin_is_put_on_a_shelf_which_is_then_offered(chat: Chat) -> None:
    moved = await chat.type("/bin move bin:B-3 shelf:window", MOSS)
    assert first_line(moved) == "B-3 (frost line) stands on shelf **window**."
    assert cautions.SENDING not in moved.text
    assert [choice.value for choice in await chat.offered("/bin list shelf:wi", TAMSIN)] == ["window"]
    await chat.again(moved)
    assert [event.kind for event in await chat.events()].count("bin.moved") == 1
    off = await chat.type("/bin move bin:B-3 shelf:none", MOSS)
    assert first_line(off) == "B-3 (frost line) stands on no shelf now."


async def test_a_bin_that_changes_hands_says_the_caution_and_nobody_is_pinged(chat: Chat) -> None:
    asked = await asked_first(chat, "/bin move bin:B-3 keeper:@Tamsin")
    assert labels(asked) == ["All well: hand on", "Edit"]
    moved = await chat.press(asked.message, "All well: hand on", MOSS)
    assert first_line(moved) == "B-3 (frost line) is now kept by **Tamsin**."
    assert cautions.SENDING in moved.text
    assert moved.message is not None
    assert moved.message.pinged == ()
    refused = await chat.type("/count log bin:B-3 count:9", MOSS)
    only_for(MOSS, refused)
    assert "Tamsin" in first_line(refused)
    await chat.press(moved.message, "Undo", MOSS)
    assert first_line(await chat.type("/count log bin:B-3 count:9", MOSS)).startswith("B-3 (frost line): **9**")


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("/bin move bin:B-3", "Give a shelf, like shelf:window, or pick a keeper."),
        ("/bin move bin:B-3 keeper:@Moss", "is Moss's already"),
        ("/bin move bin:B-33 shelf:window", "Did you mean B-3 (frost line)"),
    ],
)
async def test_a_move_to_nowhere_is_refused(sqlite_chat: Chat, line: str, said: str) -> None:
    before = await sqlite_chat.events()
    refused = await sqlite_chat.type(line, MOSS)
    only_for(MOSS, refused)
    assert said in first_line(refused)
    assert await sqlite_chat.events() == before


async def test_a_bin_is_closed_with_its_care_and_its_history_stays(chat: Chat) -> None:
    closed = await chat.type("/bin close bin:B-4 reason:line ended when:yesterday note:none left to pair")
    assert first_line(closed).startswith("B-4 (ember F1) is closed since <t:")
    assert first_line(closed).endswith("its line ended.")
    assert "Its 1 care task ended with it" in closed.text
    assert cautions.RELEASE in closed.text
    assert labels(closed) == ["Undo", "History"]
    await chat.again(closed)
    assert [event.kind for event in await chat.events()].count("bin.closed") == 1
    await chat.move(4 * DAY)
    assert [m for m in chat.service.messages(BINS, WREN) if m.content] == []
    history = await chat.press(closed.message, "History", TAMSIN)
    assert "Wren closed it: its line ended" in history.text
    assert "none left to pair" in (await chat.type("/bin show bin:B-4")).text
    over = await chat.type("/count log bin:B-4 count:3")
    assert first_line(over).startswith("B-4 (ember F1) was closed <t:")
    assert "take that back with `/records undo`" in first_line(over)
    assert "count: 3" in over.text
    await chat.press(closed.message, "Undo")
    assert first_line(await chat.type("/count log bin:B-4 count:3")).startswith("B-4 (ember F1): **3** counted")


async def test_another_keepers_bin_is_left_as_it_is(sqlite_chat: Chat) -> None:
    before = await sqlite_chat.events()
    for line in ("split bin:B-3", "merge bin:B-3 into:B-3", "move bin:B-3 shelf:a", "close bin:B-3 reason:line ended"):
        refused = await sqlite_chat.type(f"/bin {line}", TAMSIN)
        only_for(TAMSIN, refused)
        assert "belongs to Moss" in first_line(refused)
    assert await sqlite_chat.events() == before
