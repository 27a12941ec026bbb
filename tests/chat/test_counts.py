"""`/count log` by options and by form, and *Log count*."""

import asyncio

import pytest

from tests.support.chat import BINS, HOLLOW_LOG, MOSS, TAMSIN, WREN, Chat, first_line, labels, only_for


async def counts_of(chat: Chat, code: str) -> list[tuple[int, str, str | None, str]]:
    """The counts of a bin, newest first: how many, how sure, as typed, by whom."""
    async with chat.bot.records.read(HOLLOW_LOG.id) as book:
        row = await book.bin_by_code(code)
        assert row is not None
        return [(c.total, c.exactness.value, c.typed, c.keeper_name) for c in await book.counts(row.id, limit=99)]


async def test_a_count_by_options_is_stored_as_typed_and_as_understood(chat: Chat) -> None:
    outcome = await chat.type("/count log bin:B-3 count:about 10 dozen note:all lively", MOSS)
    assert first_line(outcome) == "B-3 (frost line): **about 120** counted."
    assert "12 more than" in outcome.text
    assert "all lively" in outcome.text
    assert labels(outcome) == ["Undo", "Correct", "Show bin", "Chart"]
    assert (await counts_of(chat, "B-3"))[0] == (120, "estimate", "about 10 dozen", "Moss")


async def test_a_command_without_a_number_opens_a_form_with_the_bin_filled_in(chat: Chat) -> None:
    opened = await chat.type("/count log bin:b-3", MOSS)
    assert opened.form is not None
    assert [(f.custom_id, f.value) for f in opened.form.fields] == [
        ("bin", "B-3"),
        ("count", ""),
        ("how", ""),
        ("note", ""),
    ]
    outcome = await chat.submit(opened.form, count="about 40", note="fewer")
    assert first_line(outcome) == "B-3 (frost line): **about 40** counted."
    assert (await counts_of(chat, "B-3"))[0] == (40, "estimate", "about 40", "Moss")


async def test_log_count_under_a_bin_opens_the_form_of_that_bin(chat: Chat) -> None:
    shown = await chat.type("/bin show bin:B-3", MOSS)
    opened = await chat.press(shown.message, "Log count", MOSS)
    outcome = await chat.submit(opened.form, count="1,200")
    assert first_line(outcome) == "B-3 (frost line): **1,200** counted."
    shown_again = await chat.press(outcome.message, "Show bin", MOSS)
    assert first_line(shown_again).startswith("**B-3 (frost line)**: **1,200** counted")


async def test_a_form_submitted_twice_from_one_screen_makes_one_count_each_time_it_is_sent(sqlite_chat: Chat) -> None:
    opened = await sqlite_chat.type("/count log bin:B-3", MOSS)
    outcome = await sqlite_chat.submit(opened.form, count="40")
    await sqlite_chat.again(outcome)
    assert [total for total, *_ in await counts_of(sqlite_chat, "B-3")] == [40, 108, 60, 24]


@pytest.mark.parametrize(
    ("count", "said"),
    [
        ("many", "I see no number in"),
        ("1000000000", "more than a bin holds"),
        ("12.5", "not a whole number"),
        ("-4", "below zero"),
        ("40 and a lid", "I can't read"),
    ],
)
async def test_a_count_that_is_none_is_refused_and_kept_for_editing(sqlite_chat: Chat, count: str, said: str) -> None:
    before = await sqlite_chat.events()
    refused = await sqlite_chat.type(f"/count log bin:B-3 count:{count} note:the lower half", MOSS)
    only_for(MOSS, refused)
    assert said in first_line(refused)
    assert "the lower half" in refused.text
    assert await sqlite_chat.events() == before
    opened = await sqlite_chat.press(refused.message, "Edit", MOSS)
    assert opened.form is not None
    assert [f.value for f in opened.form.fields] == ["B-3", count, "", "the lower half"]
    outcome = await sqlite_chat.submit(opened.form, count="104")
    assert first_line(outcome) == "B-3 (frost line): **104** counted."
    assert "the lower half" in outcome.text


async def test_a_form_with_a_billion_animals_is_refused_with_everything_that_was_typed(sqlite_chat: Chat) -> None:
    opened = await sqlite_chat.type("/count log bin:B-3", MOSS)
    refused = await sqlite_chat.submit(opened.form, count="1,000,000,000", note="is it?")
    only_for(MOSS, refused)
    assert "Type at most 100,000" in first_line(refused)
    assert labels(refused) == ["Edit"]
    reopened = await sqlite_chat.press(refused.message, "Edit", MOSS)
    assert reopened.form is not None
    assert [f.value for f in reopened.form.fields] == ["B-3", "1,000,000,000", "", "is it?"]


async def test_a_count_of_a_bin_that_is_not_there_is_refused_with_the_nearest(sqlite_chat: Chat) -> None:
    refused = await sqlite_chat.type("/count log bin:B-33 count:40", MOSS)
    only_for(MOSS, refused)
    assert "B-3 (frost line)" in first_line(refused)


async def test_a_form_is_not_opened_for_a_bin_that_is_not_there(sqlite_chat: Chat) -> None:
    refused = await sqlite_chat.type("/count log bin:B-33", MOSS)
    assert refused.form is None
    only_for(MOSS, refused)
    assert "B-3 (frost line)" in first_line(refused)


async def test_a_count_of_another_keepers_bin_is_refused_and_names_the_keeper(chat: Chat) -> None:
    before = await chat.events()
    refused = await chat.type("/count log bin:B-3 count:40", TAMSIN)
    only_for(TAMSIN, refused)
    assert "Moss" in first_line(refused)
    assert "B-3" in first_line(refused)
    assert await chat.events() == before


async def test_a_steward_may_count_another_keepers_bin(chat: Chat) -> None:
    outcome = await chat.type("/count log bin:B-3 count:40", WREN)
    assert first_line(outcome) == "B-3 (frost line): **40** counted."
    assert (await counts_of(chat, "B-3"))[0] == (40, "exact", "40", "Wren")


async def test_a_count_delivered_again_is_one_count_and_one_answer(chat: Chat) -> None:
    outcome = await chat.type("/count log bin:B-3 count:40", MOSS)
    events = await chat.events()
    await chat.again(outcome)
    assert await chat.events() == events
    assert len(await counts_of(chat, "B-3")) == 4
    assert len(chat.service.messages(BINS, MOSS)) == 1


async def test_two_people_who_count_at_once_are_both_stored_and_both_answered(chat: Chat) -> None:
    first, second, third = await asyncio.gather(
        chat.type("/count log bin:B-3 count:41", MOSS),
        chat.type("/count log bin:B-5 count:42", TAMSIN),
        chat.type("/count log bin:B-3 count:43", WREN),
    )
    assert [first_line(o).partition(":")[2] for o in (first, second, third)] == [
        f" **{n}** counted." for n in (41, 42, 43)
    ]
    assert {c[0] for c in (await counts_of(chat, "B-3"))[:2]} == {41, 43}
    assert (await counts_of(chat, "B-5"))[0] == (42, "exact", "42", "Tamsin")


async def test_log_count_under_a_bin_that_was_taken_back_opens_no_form(sqlite_chat: Chat) -> None:
    outcome = await sqlite_chat.type("/bin open species:Porcellio scaber")
    message = outcome.message
    await sqlite_chat.press(message, "Undo")
    pressed = await sqlite_chat.press(message, "Log count")
    assert pressed.form is None
    only_for(WREN, pressed)
    assert "No bin B" in first_line(pressed)


async def test_a_long_note_of_a_count_is_stored_whole(sqlite_chat: Chat) -> None:
    note = "<@910000000000000103> @everyone " + "moss " * 793
    opened = await sqlite_chat.type("/count log bin:B-3", MOSS)
    outcome = await sqlite_chat.submit(opened.form, count="40", note=note[:4000])
    assert outcome.settled
    assert outcome.message is not None
    assert outcome.message.pinged == ()
    async with sqlite_chat.bot.records.read(HOLLOW_LOG.id) as book:
        row = await book.bin_by_code("B-3")
        assert row is not None
        assert (await book.counts(row.id, limit=1))[0].note == note[:4000].strip()
