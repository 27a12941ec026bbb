"""What is said of a brood beside its cross."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.cards.card import Card
from bot.cards.observed import observed_card
from bot.cards.raising import raising_card
from bot.services.observed import Observed
from bot.services.refusals import TooCostly
from tests.support.crosses import observed_of, raising_of
from tests.support.screens import assert_card_fits

HETS = "het ember x het ember"
SUSPECT = "66% het ember x visual ember"


def said(card: Card) -> str:
    return "\n".join((card.lead, *card.blocks))


def card_of(cross: str, seen: str) -> Card:
    return observed_card(observed_of(cross, seen))


async def test_counts_that_fit_are_said_to_fit_other_ratios_too() -> None:
    """science.md's own example: 24 young that fit 3:1 would also fit 13:3. p by hand: P(6 of 24) is the mode, so 1."""
    card = card_of(HETS, "6 ember, 18 wild")
    assert card.lead == (
        "These 24 young **fit 3:1** (p = 1.00). They would also fit 13:3, 2:1, 5:3 or others, so this is no proof."
    )
    assert card.blocks[0].splitlines() == [
        "· wild-looking: **18** seen, 18.0 expected · a share of 55 to 88 % (95 % sure)",
        "· ember: **6** seen, 6.0 expected · a share of 12 to 45 % (95 % sure)",
    ]
    assert "Dam: het ember · sire: het ember." in card.blocks[1]
    assert "Ratios: wild-looking to ember." in card.blocks[1]
    assert "these counts do not show it, as 1:1 or 3:1 is not ruled out" in card.blocks[1]
    assert [button.label for button in card.buttons] == ["What to expect", "How many to raise"]
    assert_card_fits(card)


@pytest.mark.parametrize(
    ("cross", "seen"),
    [
        (HETS, "6 ember, 17 wild"),
        ("het ember x visual ember", "9 ember 11 wild"),
        ("het dusk x het dusk", "5 super dusk, 9 het dusk, 6 wild"),
        ("het ember, het frost x het ember, het frost", "9 wild, 3 ember, 3 frost, 1 both"),
    ],
)
async def test_nobody_reads_a_fit_as_a_proof(cross: str, seen: str) -> None:
    card = card_of(cross, seen)
    assert "**fit " in card.lead
    assert "no proof" in card.lead
    assert_card_fits(card)


async def test_counts_that_do_not_fit_are_told_why_that_may_be() -> None:
    """20 of 40 against 1 in 4: P(X >= 20) is about 0.0006 (normal: z = 3.65)."""
    card = card_of(HETS, "20 ember, 20 wild")
    assert card.lead.startswith("These 40 young **do not fit 3:1** (p under 0.001). They would fit 1:1")
    for why in ("dies more", "misread", "too young to read", "stored sperm", "inherited in another way"):
        assert why in card.blocks[1]
    assert_card_fits(card)


async def test_young_that_cannot_be_are_named_and_no_ratio_is_offered() -> None:
    card = card_of("het ember x wild", "3 ember, 17 wild")
    assert card.lead == "This cross **cannot give** 3 ember. Something is not as stated."
    assert "fit" not in card.lead
    assert "· ember: **3** seen, none expected" in card.blocks[0]
    assert "another male or stored sperm" in card.blocks[1]
    assert "p says" not in said(card)
    assert [button.label for button in card.buttons] == ["What to expect"]
    assert_card_fits(card)


async def test_wild_young_of_two_visuals_cannot_be() -> None:
    assert card_of("visual ember x ember", "12 ember, 1 wild").lead.startswith(
        "This cross **cannot give** 1 wild-looking."
    )


async def test_what_every_young_must_be_tells_nothing_apart() -> None:
    for cross, seen in (
        ("visual ember x wild", "20 wild"),
        ("66% het ember x wild", "20 wild"),
        ("wild x wild", "20 wild"),
    ):
        card = card_of(cross, seen)
        assert card.lead == (
            "Every young of this cross is wild-looking, and so are these 20. That fits, and tells nothing apart."
        )
        assert_card_fits(card)
    assert "so is this one" in card_of("visual ember x ember", "1 ember").lead


async def test_a_clean_brood_lowers_the_chance_of_a_suspect() -> None:
    """By hand: 2/3 * (1/2)^5 against 1/3: (1/48) / (1/48 + 16/48) = 1/17, 6 %."""
    observed = observed_of(SUSPECT, "5 wild")
    assert (observed.fit, str(observed.chance)) == (None, "1/17")
    card = observed_card(observed)
    assert card.lead == (
        "After these 5 young the chance that the pair can give ember at all is **6 %**. Before, it was 67 %."
    )
    assert "expected" not in card.blocks[0]
    assert "this one dam and this one sire" in card.blocks[1]
    assert_card_fits(card)


async def test_one_visual_proves_a_suspect_if_it_is_his() -> None:
    card = card_of(SUSPECT, "1 ember, 9 wild")
    assert card.lead == "This pair **can give ember**: these 10 young show it, if they are all theirs."
    assert card_of(SUSPECT, "1 ember").lead.endswith("this one young shows it, if they are all theirs.")


async def test_two_suspects_are_weighed_together() -> None:
    """Each of two loci by itself: 10 wild young leave 1/(1 + (1/2)·2^10) = 1/513 of a 2/3 het."""
    observed = observed_of("66% het ember, 66% het frost x visual ember, visual frost", "10 wild")
    assert observed.chance is not None
    assert str(observed.chance) == "1/263169"
    assert "under 0.1 %" in observed_card(observed).lead


async def test_young_that_no_case_of_a_suspect_gives_cannot_be() -> None:
    card = card_of("66% het ember, visual frost x visual ember, visual frost", "3 wild, 4 frost")
    assert "cannot give** 3 wild-looking" in card.lead
    assert_card_fits(card)


async def test_where_the_uncertain_parent_makes_no_difference_counts_are_compared() -> None:
    observed = observed_of("66% het ember, het frost x het frost", "6 frost, 17 wild")
    assert observed.odds.uncertain
    assert observed.fit is not None
    assert "**fit 3:1**" in observed_card(observed).lead


async def test_cuenots_mice_call_no_lethal() -> None:
    """263:100 come from a lethal and fit 3:1 (tests/published/test_counts.py): no reply may say that one is shown."""
    card = card_of("het pale x het pale", "263 pale, 100 wild")
    assert card.lead.startswith("These 363 young **fit 1:3**")
    assert "dies" not in said(card)
    assert_card_fits(card)


async def test_a_lethal_is_named_where_nothing_else_fits() -> None:
    """Castle & Little's 800:435 mice: 2:1 within and 1:1 and 3:1 without."""
    card = card_of("het pale x het pale", "800 pale, 435 wild")
    assert card.lead.startswith("These 1,235 young **do not fit 1:3** (p under 0.001). They would fit 1:2")
    assert "2:1 is what comes when one kind of young dies, and 1:1 and 3:1 fit badly." in card.blocks[1]


async def test_a_small_brood_fits_nearly_everything() -> None:
    card = card_of(HETS, "1 wild")
    assert card.lead.startswith("This one young **fits 3:1** (p = 1.00). They would also fit ")
    assert "or others, so this is no proof" in card.lead


async def test_estimates_are_taken_as_a_hint() -> None:
    assert "estimates: take this as a hint" in said(card_of(HETS, "about 6 ember, 17 wild"))
    assert "estimates" not in said(card_of(HETS, "6 ember, 17 wild"))


async def test_doses_are_told_apart() -> None:
    card = card_of("het dusk x wild", "6 dusk, 5 wild")
    assert "· dusk in one dose: **6** seen, 5.5 expected" in card.blocks[0]
    assert "**fit 1:1**" in card.lead


async def test_a_drawn_probability_has_its_error_and_many_looks_fit_a_screen() -> None:
    hets = "het ember, het frost, het dusk"
    card = card_of(
        f"{hets} x {hets}",
        "13 wild, 14 het dusk, 8 super dusk, 4 ember, 6 ember het dusk, 3 ember super dusk, 2 frost, 6 frost het dusk,"
        "4 frost super dusk, 1 ember frost, 2 ember frost het dusk",
    )
    assert "drawn at random, ±" in card.blocks[1]
    assert "**fit what is expected**" in card.lead
    assert "more looks" in card.blocks[0]
    assert card.blocks[0].startswith("· dusk in one dose, no ember or no frost: **14** seen")
    assert_card_fits(card)


async def test_how_many_must_be_born_stands_beside_how_many_to_see() -> None:
    """science.md §4: 11 scored need about 62 born in three broods at survival 0.3; by themselves 39 would do."""
    card = raising_card(raising_of(HETS))
    assert (
        "For one at 95 % about **62 must be born** (48 for 90 % and 97 for 99 %), 3 broods of 27, if 3 in 10 live"
        in card.blocks[-1]
    )
    assert "if each fared by itself, 39 would do" in card.blocks[-1]
    suspect = raising_card(raising_of(SUSPECT))
    assert "For one at 95 %, if the pair can give it at all, about **" in suspect.blocks[-1]
    assert "by itself" not in suspect.blocks[-1]
    assert_card_fits(card)


CROSSES = (
    HETS,
    SUSPECT,
    "het ember, het dusk x ember, super dusk",
    "66% het ember, 50% het frost x het ember, frost",
    "homozygous pale x het pale",
)


@given(st.sampled_from(CROSSES), st.data())
async def test_whatever_was_seen_has_an_answer_that_fits_a_screen(cross: str, data: st.DataObject) -> None:
    looks = [trait for trait in ("ember", "frost", "het dusk", "super dusk", "pale") if trait.split()[-1] in cross]
    numbers = data.draw(st.lists(st.integers(0, 400), min_size=len(looks) + 1, max_size=len(looks) + 1).filter(any))
    seen = ", ".join(f"{number} {look}" for number, look in zip(numbers, ["wild", *looks], strict=True))
    try:
        observed: Observed = observed_of(cross, seen)
    except TooCostly:
        pytest.fail("so few classes are never too many")
    assert observed.total == sum(numbers)
    card = observed_card(observed)
    assert_card_fits(card)
    if observed.impossible:
        assert "cannot give" in card.lead
