"""`/count log` by options and by form, and *Log count*."""

import asyncio
from datetime import timedelta

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


async def test_a_count_by_class_is_said_back_class_by_class(chat: Chat) -> None:
    outcome = await chat.type("/count log bin:B-3 count:5 ad / 20 juv / ? mancae", MOSS)
    assert first_line(outcome) == "B-3 (frost line): **at least 25** counted."
    assert "5 adults, 20 juveniles, mancae not counted." in outcome.text
    shown = await chat.press(outcome.message, "Show bin", MOSS)
    assert "Last count: 5 adults, 20 juveniles, mancae not counted" in shown.text


async def test_a_count_of_a_part_says_what_it_rests_on(sqlite_chat: Chat) -> None:
    outcome = await sqlite_chat.type("/count log bin:B-3 count:~80 half the litter", MOSS)
    assert first_line(outcome) == "B-3 (frost line): **about 160** counted."
    assert "80 seen in 1/2 of the bin; the rest is taken to be like it, which it may not be." in outcome.text


async def test_a_count_that_can_be_meant_in_two_ways_is_asked_about_and_a_press_answers(chat: Chat) -> None:
    before = await chat.events()
    asked = await chat.type("/count log bin:B-3 count:7 m note:under bark", MOSS)
    only_for(MOSS, asked)
    assert first_line(asked) == "`7 m` can mean several things: `7 males` or `7 mancae`. Which is it?"
    assert "under bark" in asked.text
    assert labels(asked) == ["7 males", "7 mancae", "Edit"]
    assert await chat.events() == before
    outcome = await chat.press(asked.message, "7 mancae", MOSS)
    assert first_line(outcome) == "B-3 (frost line): **7** counted."
    assert "7 mancae." in outcome.text
    assert "under bark" in outcome.text
    assert outcome.message is not None
    assert not outcome.message.ephemeral
    assert (await counts_of(chat, "B-3"))[0] == (7, "exact", "7 m", "Moss")
    again = await chat.press(asked.message, "7 males", MOSS)
    only_for(MOSS, again)
    assert len(await counts_of(chat, "B-3")) == 4


async def test_a_question_asked_from_a_form_is_answered_the_same_way(sqlite_chat: Chat) -> None:
    opened = await sqlite_chat.type("/count log bin:B-3", MOSS)
    asked = await sqlite_chat.submit(opened.form, count="40, 12 adults", note="damp")
    assert labels(asked) == ["40 in all, 12 adults", "12 adults, 40 others", "Edit"]
    outcome = await sqlite_chat.press(asked.message, "40 in all, 12 adults", MOSS)
    assert first_line(outcome) == "B-3 (frost line): **40** counted."
    assert "damp" in outcome.text


async def test_another_person_does_not_answer_the_question(sqlite_chat: Chat) -> None:
    asked = await sqlite_chat.type("/count log bin:B-3 count:7 m", MOSS)
    before = await sqlite_chat.events()
    assert asked.message is not None
    outcome = await sqlite_chat.forge(asked.message.button("7 males").custom_id, WREN)
    only_for(WREN, outcome)
    assert await sqlite_chat.events() == before


@pytest.mark.parametrize(
    "argument", ["", "|", "||", "0|count|40", "9" * 40 + "|count|40", "x|y|z", "1|count", "-1|a|b"]
)
async def test_a_forged_answer_changes_nothing(sqlite_chat: Chat, argument: str) -> None:
    before = await sqlite_chat.events()
    outcome = await sqlite_chat.forge(f"m1:draft.use:{argument}", MOSS)
    only_for(MOSS, outcome)
    assert "went wrong" not in first_line(outcome)
    assert await sqlite_chat.events() == before


async def test_a_count_is_corrected_from_its_reply_and_the_history_keeps_both(chat: Chat) -> None:
    wrong = await chat.type("/count log bin:B-3 count:400 note:evening", MOSS)
    opened = await chat.press(wrong.message, "Correct", MOSS)
    assert opened.form is not None
    assert {f.custom_id: f.value for f in opened.form.fields} == {
        "bin": "B-3",
        "count": "400",
        "how": "",
        "note": "evening",
    }
    fixed = await chat.submit(opened.form, count="40")
    assert first_line(fixed) == "B-3 (frost line): **40** counted again."
    assert "stands in for the count of 400" in fixed.text
    assert [total for total, *_ in await counts_of(chat, "B-3")] == [40, 108, 60, 24]
    history = await chat.type("/bin history bin:B-3")
    assert "corrected a count to 40" in history.text
    assert "counted 400" in history.text
    twice = await chat.press(wrong.message, "Correct", MOSS)
    only_for(MOSS, twice)
    assert "was corrected already" in first_line(twice)
    others = await chat.press(fixed.message, "Correct", TAMSIN)
    only_for(TAMSIN, others)
    assert others.form is None
    await chat.press(fixed.message, "Undo", MOSS)
    assert [total for total, *_ in await counts_of(chat, "B-3")] == [400, 108, 60, 24]


@pytest.mark.parametrize("argument", ["", "0", "-1", "²", "9" * 40])
async def test_a_forged_correction_opens_no_form(sqlite_chat: Chat, argument: str) -> None:
    outcome = await sqlite_chat.forge(f"m1:count.correct:{argument}", MOSS)
    only_for(MOSS, outcome)
    assert outcome.form is None


async def test_a_surprisingly_low_count_asks_for_a_second_look(sqlite_chat: Chat) -> None:
    outcome = await sqlite_chat.type("/count log bin:B-3 count:20", MOSS)
    assert "That is less than half of last time. Look again before you call it a crash" in outcome.text
    fine = await sqlite_chat.type("/count log bin:B-3 count:15", MOSS)
    assert "Look again" not in fine.text


async def test_after_sorting_a_bin_with_mancae_one_is_told_how_long_to_leave_it(sqlite_chat: Chat) -> None:
    first = await sqlite_chat.type("/count log bin:B-3 count:80 ad, 40 mancae how:sorted everything", MOSS)
    assert "don't sift it again for 30 days (common practice)." in first.text
    await sqlite_chat.move(timedelta(days=10))
    second = await sqlite_chat.type("/count log bin:B-3 count:90 ad, 20 mancae how:sorted everything", MOSS)
    assert "Last disturbed: sorted through <t:" in second.text
    shown = await sqlite_chat.press(second.message, "Show bin", MOSS)
    assert "Mancae are in it: leave it until <t:" in shown.text


async def test_the_chart_is_answered_with_the_finding_and_a_picture_that_says_it(chat: Chat) -> None:
    outcome = await chat.type("/count chart bin:B-3", TAMSIN)
    assert first_line(outcome).startswith("**B-3 (frost line)**: **about 108** counted <t:")
    assert "more than on <t:" in first_line(outcome)
    assert outcome.message is not None
    (picture,) = outcome.message.attachments
    assert picture.content.startswith(b"\x89PNG")
    assert picture.description is not None
    assert "It has grown since about 24" in picture.description
    assert labels(outcome) == ["Log count", "Show bin"]
    await chat.again(outcome)


async def test_a_bin_without_a_count_has_no_chart_and_one_that_is_not_there_none_either(sqlite_chat: Chat) -> None:
    await sqlite_chat.type("/bin open species:Porcellio scaber")
    empty = await sqlite_chat.type("/count chart bin:B-6")
    assert first_line(empty) == "B-6 was not counted yet, so there is nothing to draw."
    missing = await sqlite_chat.type("/count chart bin:B-33")
    only_for(WREN, missing)
    assert "Did you mean B-3 (frost line)" in first_line(missing)


async def test_a_count_of_yesterday_says_for_which_day_it_is_put_down(sqlite_chat: Chat) -> None:
    outcome = await sqlite_chat.type("/count log bin:B-3 count:90 yesterday", MOSS)
    assert "Put down for <t:" in outcome.text
