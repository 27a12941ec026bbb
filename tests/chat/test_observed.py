"""`/odds` with young that were scored: how well they fit, and the ways on."""

from bot.practice.outcome import Outcome
from tests.support.chat import BINS, MOSS, WREN, Chat, first_line, labels, only_for

CROSS = "het ember x het ember"
LONG_CROSS = "het ember, homozygous frost x visual ember, homozygous frost"


def shown(outcome: Outcome) -> dict[str, str]:
    assert outcome.form is not None
    return {field.custom_id: field.value for field in outcome.form.fields}


async def test_young_beside_their_cross_begin_with_the_verdict_and_what_else_would_fit(chat: Chat) -> None:
    outcome = await chat.type(f"/odds cross:{CROSS} observed:6 ember, 17 wild", MOSS)
    assert first_line(outcome).startswith("These 23 young **fit 3:1** (p = 1.00). They would also fit ")
    assert "no proof" in first_line(outcome)
    assert "wild-looking: **17** seen, 17.2 expected" in outcome.text
    assert labels(outcome) == ["What to expect", "How many to raise"]
    assert not outcome.messages[0].ephemeral


async def test_the_buttons_under_a_brood_lead_on(chat: Chat) -> None:
    outcome = await chat.type(f"/odds cross:{CROSS} observed:6 ember, 17 wild")
    expected = await chat.press(outcome.message, "What to expect", MOSS)
    assert first_line(expected).startswith("**1 in 4** young will show ember. See **11 young**")
    raising = await chat.press(outcome.message, "How many to raise", MOSS)
    only_for(MOSS, raising)
    assert "**62 must be born**" in raising.text


async def test_the_buttons_under_a_brood_of_a_cross_too_long_for_an_id_lead_on(sqlite_chat: Chat) -> None:
    outcome = await sqlite_chat.type(f"/odds cross:{LONG_CROSS} observed:6 ember and frost, 5 frost")
    assert "**fit 1:1**" in first_line(outcome)
    assert first_line(await sqlite_chat.press(outcome.message, "What to expect")).startswith("**1 in 2** young")
    assert first_line(await sqlite_chat.press(outcome.message, "How many to raise")).startswith("See **5 young**")


async def test_bins_stand_for_their_animals_beside_counts(sqlite_chat: Chat) -> None:
    outcome = await sqlite_chat.type("/odds cross:B-4 x B-2 observed:9 ember, 11 wild")
    assert "**fit 1:1**" in first_line(outcome)
    assert "B-4 (ember F1), recorded as het ember" in outcome.text


async def test_counts_that_cannot_be_read_are_edited_beside_their_cross(sqlite_chat: Chat) -> None:
    refused = await sqlite_chat.type(f"/odds cross:{CROSS} observed:6 embrr, 17 wild")
    only_for(WREN, refused)
    assert first_line(refused) == (
        "I can't read `embrr` as young of this cross. Type each number with its look, like `6 ember, 17 wild`."
    )
    assert labels(refused) == ["Edit"]
    opened = await sqlite_chat.press(refused.message, "Edit")
    assert shown(opened) == {
        "cross": CROSS,
        "observed": "6 embrr, 17 wild",
        "scoring-error": "",
        "species": "",
        "daughters": "",
    }
    answered = await sqlite_chat.submit(opened.form, observed="6 ember, 17 wild")
    assert "**fit 3:1**" in first_line(answered)


async def test_a_cross_that_cannot_be_read_keeps_the_counts_typed_with_it(sqlite_chat: Chat) -> None:
    refused = await sqlite_chat.type("/odds cross:het ember xx het ember observed:6 ember, 17 wild")
    only_for(WREN, refused)
    assert "het ember x het ember" in refused.text
    assert labels(refused) == ["Edit"]
    opened = await sqlite_chat.press(refused.message, "Edit")
    kept = {
        "cross": "het ember xx het ember",
        "observed": "6 ember, 17 wild",
        "scoring-error": "",
        "species": "",
        "daughters": "",
    }
    assert shown(opened) == kept
    again = await sqlite_chat.submit(opened.form, observed="none")
    reopened = await sqlite_chat.press(again.message, "Edit")
    assert shown(reopened) == {**kept, "observed": "none"}
    answered = await sqlite_chat.submit(reopened.form, cross=CROSS, observed="")
    assert first_line(answered).startswith("**1 in 4** young will show ember.")


async def test_young_that_cannot_be_are_said_to_be_that(sqlite_chat: Chat) -> None:
    outcome = await sqlite_chat.type("/odds cross:visual ember x wild observed:1 ember, 20 wild")
    assert first_line(outcome) == "This cross **cannot give** 1 ember. Something is not as stated."
    assert labels(outcome) == ["What to expect"]


async def test_a_clean_brood_changes_the_chance_of_a_suspect(sqlite_chat: Chat) -> None:
    outcome = await sqlite_chat.type("/odds cross:66% het ember x visual ember observed:5 wild")
    assert "is **6 %**. Before, it was 67 %." in first_line(outcome).replace("\xa0", " ")


async def test_counts_delivered_again_are_answered_once(sqlite_chat: Chat) -> None:
    outcome = await sqlite_chat.type(f"/odds cross:{CROSS} observed:6 ember, 17 wild")
    await sqlite_chat.again(outcome)
    assert [m.id for m in sqlite_chat.service.messages(BINS, WREN)] == [outcome.messages[0].id]


async def test_more_than_can_be_compared_is_refused_in_time(sqlite_chat: Chat) -> None:
    for name in ("amber", "brick", "coral", "dune"):
        await sqlite_chat.type(f"/trait define name:{name} shows:incompletely dominant")
    side = "het amber, het brick, het coral, het dune"
    refused = await sqlite_chat.type(f"/odds cross:{side} x {side} observed:6 wild")
    only_for(WREN, refused)
    assert "Ask with fewer traits" in first_line(refused)
    assert refused.latency is not None
    assert refused.latency < 1
    opened = await sqlite_chat.press(refused.message, "Edit")
    assert shown(opened)["observed"] == "6 wild"


async def test_too_many_young_are_refused_with_how_many_are_taken(sqlite_chat: Chat) -> None:
    refused = await sqlite_chat.type(f"/odds cross:{CROSS} observed:90,000 wild")
    only_for(WREN, refused)
    assert "at most 10,000" in first_line(refused)


async def test_several_broods_are_judged_together_and_against_each_other(chat: Chat) -> None:
    """Seeds of ten plants of Mendel's first experiment (1866; Bateson 1902, p. 53), ember for angular."""
    plants = "wild:ember 45:12, 27:8, 24:7, 19:10, 32:11, 26:6, 88:24, 22:10, 28:6, 25:7"
    outcome = await chat.type(f"/odds cross:{CROSS} observed:{plants}", MOSS)
    assert first_line(outcome).startswith("Together these 437 young of 10 broods **fit 3:1**")
    assert "The broods differ no more among each other than chance makes them" in first_line(outcome)
    assert "· brood 1: 45 : 12" in outcome.text
    assert "· and 2 more" in outcome.text
    assert "Between broods: heterogeneity χ²" in outcome.text
    assert "9 degrees of freedom" in outcome.text
    await chat.again(outcome)


async def test_broods_that_differ_are_to_be_asked_about_one_by_one(sqlite_chat: Chat) -> None:
    outcome = await sqlite_chat.type(f"/odds cross:{CROSS} observed:30 wild; 15 ember, 15 wild")
    assert "But **the broods differ among each other** more than chance makes them" in first_line(outcome)
    assert "ask about each by itself" in first_line(outcome)


async def test_a_stated_scoring_error_is_reckoned_with(sqlite_chat: Chat) -> None:
    cross = "visual ember x visual ember"
    strict = await sqlite_chat.type(f"/odds cross:{cross} observed:38 ember, 2 wild")
    assert "**cannot give** 2 wild-looking" in first_line(strict)
    outcome = await sqlite_chat.type(f"/odds cross:{cross} observed:38 ember, 2 wild scoring-error:5%")
    assert first_line(outcome).startswith("These 40 young **fit what is expected**")
    assert "Reckoned with 5" in outcome.text
    refused = await sqlite_chat.type(f"/odds cross:{cross} observed:38 ember, 2 wild scoring-error:5")
    only_for(WREN, refused)
    assert labels(refused) == ["Edit"]
    opened = await sqlite_chat.press(refused.message, "Edit")
    assert shown(opened)["scoring-error"] == "5"


async def test_numbers_without_their_looks_are_asked_about(sqlite_chat: Chat) -> None:
    refused = await sqlite_chat.type(f"/odds cross:{CROSS} observed:6:17, 4:12")
    only_for(WREN, refused)
    assert first_line(refused).startswith("Which number is which look?")


async def test_wild_looking_young_of_two_visuals_prove_males_before(sqlite_chat: Chat) -> None:
    cross = "visual ember had males of B-1 x B-2"
    outcome = await sqlite_chat.type(f"/odds cross:{cross} observed:6 ember, 1 wild")
    assert "it is **certain** that males before are fathers too" in first_line(outcome)
    outcome = await sqlite_chat.type(f"/odds cross:{cross} observed:6 ember")
    assert "the chance that males before are fathers too is **0.4\u00a0%**; we had guessed 50" in first_line(outcome)


async def test_two_traits_that_do_not_assort_freely_are_sent_on_to_their_distance(sqlite_chat: Chat) -> None:
    cross = "het ember, het frost x visual ember"
    outcome = await sqlite_chat.type(
        f"/odds cross:{cross} observed:45 wild, 5 het frost, 5 ember, 45 ember and het frost"
    )
    assert "**do not fit 1:1:1:1**" in first_line(outcome)
    assert "`/trait distance` tells how closely" in outcome.text


async def test_a_scoring_error_without_scored_young_is_said_to_be_left_aside(sqlite_chat: Chat) -> None:
    cross = "/odds cross:het ember x het ember"
    assert "scoring error was left aside" in (await sqlite_chat.type(f"{cross} scoring-error:5%")).text
    assert "left aside" not in (await sqlite_chat.type(cross)).text
