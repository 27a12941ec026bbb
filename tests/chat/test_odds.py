"""`/odds` and the buttons under its reply."""

from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import timedelta

from tests.support.chat import BINS, MOSS, TAMSIN, WREN, Chat, first_line, labels, only_for

LONG_CROSS = "het ember, homozygous frost x visual ember, homozygous frost"
"""Longer than a button's id can carry."""


async def test_the_odds_of_a_typed_cross_begin_with_the_answer_and_how_many_to_see(chat: Chat) -> None:
    outcome = await chat.type("/odds cross:het ember x het ember", MOSS)
    assert first_line(outcome).startswith("**1 in 4** young will show ember. See **11 young**")
    assert "ember: 1/4" in outcome.text
    assert "2 in 3 of them carry ember" in outcome.text
    assert "Dam: het ember · sire: het ember" in outcome.text
    assert labels(outcome) == ["How many to raise", "Carriers", "Gene notation", "Picture"]
    assert not outcome.messages[0].ephemeral


async def test_bin_codes_in_a_cross_stand_for_what_is_recorded_of_the_bins(chat: Chat) -> None:
    outcome = await chat.type("/odds cross:b4 x B-2")
    assert first_line(outcome).startswith("**1 in 2** young will show ember.")
    assert "B-4 (ember F1), recorded as het ember" in outcome.text
    assert "B-2 (ember founder), recorded as" in outcome.text


async def test_a_question_about_bins_takes_two_statements_at_most(
    chat: Chat, statements: Callable[[], AbstractContextManager[list[str]]]
) -> None:
    await chat.bot.clockwork.wake()  # so that the clock's first look is over
    with statements() as seen:
        outcome = await chat.type("/odds cross:B-4 x B-5")
    assert outcome.settled
    assert 1 <= len(seen) <= 2


async def test_a_cross_that_cannot_be_read_is_pointed_at_and_what_would_do_is_one_press_away(sqlite_chat: Chat) -> None:
    refused = await sqlite_chat.type("/odds cross:het ember xx wild", MOSS)
    only_for(MOSS, refused)
    assert "het ember ⟪xx⟫ wild" in first_line(refused)
    assert "Did you mean `het ember x wild`?" in refused.text
    assert labels(refused) == ["Use that", "Edit"]
    answered = await sqlite_chat.press(refused.message, "Use that", MOSS)
    assert first_line(answered).startswith("**None** of the young will show ember.")
    assert "1 in 2 carry ember" in answered.text


async def test_a_cross_that_cannot_be_read_is_edited_in_a_form_that_holds_what_was_typed(sqlite_chat: Chat) -> None:
    refused = await sqlite_chat.type("/odds cross:het emberr x wild")
    opened = await sqlite_chat.press(refused.message, "Edit")
    assert opened.form is not None
    assert [(f.custom_id, f.value) for f in opened.form.fields] == [
        ("cross", "het emberr x wild"),
        ("observed", ""),
        ("scoring-error", ""),
        ("species", ""),
        ("daughters", ""),
    ]
    answered = await sqlite_chat.submit(opened.form, cross="het ember x visual ember")
    assert first_line(answered).startswith("**1 in 2** young will show ember.")


async def test_a_form_of_odds_that_is_wrong_again_is_refused_again_with_a_new_edit(sqlite_chat: Chat) -> None:
    refused = await sqlite_chat.type("/odds cross:het emberr x wild")
    opened = await sqlite_chat.press(refused.message, "Edit")
    again = await sqlite_chat.submit(opened.form, cross="het ember")
    only_for(WREN, again)
    reopened = await sqlite_chat.press(again.message, "Edit")
    assert reopened.form is not None
    assert reopened.form.fields[0].value == "het ember"


async def test_a_bin_that_is_not_there_is_refused_with_the_nearest(sqlite_chat: Chat) -> None:
    refused = await sqlite_chat.type("/odds cross:B-41 x B-2")
    only_for(WREN, refused)
    assert "B" in first_line(refused)
    assert "Did you mean" in first_line(refused)
    assert "B-4 (ember F1)" in first_line(refused)


async def test_a_bin_of_which_nothing_is_said_is_refused_by_name(sqlite_chat: Chat) -> None:
    await sqlite_chat.type("/bin open species:Armadillidium vulgare name:mystery animals:5")
    refused = await sqlite_chat.type("/odds cross:B-6 x het ember")
    only_for(WREN, refused)
    assert "does not say what lives in B-6 (mystery)" in first_line(refused)


async def test_a_question_delivered_again_is_answered_once(sqlite_chat: Chat) -> None:
    outcome = await sqlite_chat.type("/odds cross:het ember x het ember")
    await sqlite_chat.again(outcome)
    assert [m.id for m in sqlite_chat.service.messages(BINS, WREN)] == [outcome.messages[0].id]


async def test_how_many_to_raise_is_answered_for_three_certainties_to_the_asker_alone(chat: Chat) -> None:
    outcome = await chat.type("/odds cross:het ember x het ember")
    raising = await chat.press(outcome.message, "How many to raise", MOSS)
    only_for(MOSS, raising)
    assert first_line(raising).startswith("See **11 young**")
    assert "at least 5" in raising.text
    assert "**17**" in raising.text


async def test_carriers_says_which_young_carry_what_does_not_show(sqlite_chat: Chat) -> None:
    outcome = await sqlite_chat.type("/odds cross:het ember x visual ember")
    carriers = await sqlite_chat.press(outcome.message, "Carriers")
    only_for(WREN, carriers)
    assert "every one" in first_line(carriers).casefold()
    assert "wild-looking: all carry ember" in carriers.text


async def test_gene_notation_writes_both_parents_and_the_young(sqlite_chat: Chat) -> None:
    outcome = await sqlite_chat.type("/odds cross:het ember x visual ember")
    genes = await sqlite_chat.press(outcome.message, "Gene notation")
    only_for(WREN, genes)
    assert first_line(genes) == "`+/e` × `e/e`"
    assert "`e/e`: 1/2" in genes.text


async def test_buttons_under_a_cross_too_long_for_an_id_still_answer_it(chat: Chat) -> None:
    outcome = await chat.type(f"/odds cross:{LONG_CROSS}")
    assert len(LONG_CROSS) > 58
    raising = await chat.press(outcome.message, "How many to raise")
    assert first_line(raising).startswith("See **5 young**")
    genes = await chat.press(outcome.message, "Gene notation")
    assert "`+/e; F/F` × `e/e; F/F`" in first_line(genes)


async def test_buttons_under_a_long_cross_say_after_a_day_that_it_is_gone(sqlite_chat: Chat) -> None:
    outcome = await sqlite_chat.type(f"/odds cross:{LONG_CROSS}")
    await sqlite_chat.move(timedelta(hours=25))
    late = await sqlite_chat.press(outcome.message, "Carriers")
    only_for(WREN, late)
    assert "over a day old" in late.text


async def test_buttons_under_another_persons_long_cross_answer_everybody(chat: Chat) -> None:
    outcome = await chat.type(f"/odds cross:{LONG_CROSS}")
    for label in ("How many to raise", "Carriers", "Picture", "Gene notation"):
        own = await chat.press(outcome.message, label)
        other = await chat.press(outcome.message, label, TAMSIN)
        assert only_for(TAMSIN, other).text == only_for(WREN, own).text
    assert "`+/e; F/F` × `e/e; F/F`" in first_line(other)


async def test_bins_of_two_species_are_not_crossed(sqlite_chat: Chat) -> None:
    refused = await sqlite_chat.type("/odds cross:b4 x B-3")
    only_for(WREN, refused)
    assert first_line(refused).endswith("are different species. Choose bins of one species.")
    for species in ("*Armadillidium vulgare*", "*Armadillidium nasatum*"):
        assert species in first_line(refused)
    assert labels(refused) == ["Edit"]


async def test_figures_read_as_thirds_are_said(sqlite_chat: Chat) -> None:
    outcome = await sqlite_chat.type("/odds cross:66% het ember x visual ember")
    assert "66 % read as 2/3" in outcome.text.replace("66%", "66 %")
    assert "only possibly a carrier" in outcome.text
    assert "On average over both cases:" in outcome.text
