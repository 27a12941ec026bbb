"""The replies to a cross: the words on which a keeper acts."""

from fractions import Fraction

import pytest
from hypothesis import given

from bot.cards.card import Card
from bot.cards.odds import carriers_card, class_name, genes_card, odds_card
from bot.cards.raising import raising_card
from bot.services.refusals import BinLabel
from genetics import CrossText, Dominance, Trait, read_cross
from tests.support.crosses import genes_of, odds_of, odds_of_cross, raising_of
from tests.support.genetic_strategies import crosses
from tests.support.markup import live_marks
from tests.support.screens import assert_card_fits


def labels(card: Card) -> list[str]:
    return [button.label for button in card.buttons]


def row(card: Card, start: str) -> str:
    """The line of the card's table about one look."""
    (found,) = [line for line in card.blocks[0].splitlines() if line.startswith(f"· {start}:")]
    return found


async def test_two_hets_show_it_in_one_of_four() -> None:
    """Mendel's F2. 11 young: 1 - (3/4)^11 = 0.958 and 1 - (3/4)^10 = 0.944, by hand."""
    card = odds_card(odds_of("het ember x het ember"))
    assert card.lead == (
        "**1 in 4** young will show ember. See **11 young** grown and scored to be 95 % sure of at least one."
    )
    assert row(card, "wild-looking") == "· wild-looking: 3/4 · 75 % · about 15 of 20 – 2 in 3 of them carry ember"
    assert row(card, "ember") == "· ember: 1/4 · 25 % · about 5 of 20"
    assert card.blocks[1] == (
        "Dam: het ember · sire: het ember.\nRests on: ember is recessive, and the dam met no other male."
    )
    assert labels(card) == ["How many to raise", "Carriers", "Gene notation", "Picture"]
    assert_card_fits(card)


def test_a_visual_crossed_to_wild_shows_nothing_and_every_young_carries() -> None:
    """Common practice, no source: nothing shows in the first generation, and everything hides it."""
    for text in ("visual ember x wild", "wild x visual ember"):
        card = odds_card(odds_of(text))
        assert card.lead == "**None** of the young will show ember. All carry ember."
        assert card.blocks[0] == "· wild-looking: 1 · 100 % · all 20 of 20 – every one carries ember"
        assert "How many to raise" not in labels(card)
        carriers = carriers_card(odds_of(text))
        assert carriers.lead == "**Every one** of these is a carrier:"
        assert carriers.blocks[0] == "· wild-looking: all carry ember"


def test_a_het_crossed_to_wild_shows_nothing_and_half_the_young_carry() -> None:
    card = odds_card(odds_of("het ember x wild"))
    assert card.lead == "**None** of the young will show ember. 1 in 2 carry ember."
    assert "How many to raise" not in labels(card)
    carriers = carriers_card(odds_of("het ember x wild"))
    assert carriers.lead.startswith("Carriers look like the others")
    assert carriers.blocks[0] == "· wild-looking: 1 in 2 carry ember (1/2, 50 %)"


def test_a_possible_het_may_never_show_it_and_the_reply_says_so() -> None:
    """A 2/3 het x visual gives visuals only if it is a het; then (1/2)^5 = 3 % are the odds of missing in five young."""
    card = odds_card(odds_of("66% het ember x visual ember"))
    assert card.lead.startswith("**1 in 2** young will show ember if this pair can give it at all; ")
    assert "the chance of that is **67 %**. If it can, see **5 young** grown" in card.lead
    assert "66% read as 2/3." in card.blocks[1]
    assert "only possibly a carrier" in card.blocks[1]
    raising = raising_card(raising_of("66% het ember x visual ember"))
    assert "if so **5**" in raising.blocks[1]
    assert any("chance of 67 %" in block for block in raising.blocks)


def test_the_shares_of_an_uncertain_cross_are_called_an_average() -> None:
    """Of a 2/3 het x visual a third shows it on average: 2/3 of the time half of the young do, else none."""
    table = odds_card(odds_of("66% het ember x visual ember")).blocks[0].splitlines()
    assert table[0] == "On average over both cases:"
    assert table[1:] == [
        "· wild-looking: 2/3 · 67 % · about 13 of 20 – every one carries ember",
        "· ember: 1/3 · 33 % · about 7 of 20",
    ]
    long = odds_card(odds_of("66% het ember, het frost, het dusk, het pale x het ember, het frost, het dusk, het pale"))
    assert long.blocks[0].startswith("On average over both cases:\n· ")
    assert "average" not in odds_card(odds_of("het ember x visual ember")).blocks[0]


def test_two_visuals_give_nothing_else() -> None:
    card = odds_card(odds_of("visual ember x visual ember"))
    assert card.lead == "**All** young will show ember."
    assert card.blocks[0] == "· ember: 1 · 100 % · all 20 of 20"
    assert carriers_card(odds_of("ember x ember")).lead == "No young of this cross carry a trait that they do not show."


def test_two_double_hets_give_9_3_3_1() -> None:
    """Mendel's dihybrid. 47 young: 1 - (15/16)^47 = 0.952 and 1 - (15/16)^46 = 0.949, by hand."""
    card = odds_card(odds_of("het ember, het frost x het ember, het frost"))
    assert card.lead.startswith("**1 in 16** young will show ember and frost. See **47 young** ")
    shares = {name: row(card, name).split(" · ")[0] for name in ("wild-looking", "ember, no frost", "frost, no ember")}
    assert shares == {
        "wild-looking": "· wild-looking: 9/16",
        "ember, no frost": "· ember, no frost: 3/16",
        "frost, no ember": "· frost, no ember: 3/16",
    }
    assert row(card, "ember and frost") == "· ember and frost: 1/16 · 6 % · about 1 of 20"
    assert "2 in 3 of them carry frost" in row(card, "ember, no frost")


def test_an_incompletely_dominant_trait_is_told_by_its_doses() -> None:
    card = odds_card(odds_of("het dusk x het dusk"))
    assert card.lead.startswith("**1 in 4** young will show dusk in two doses. See **11 young**")
    assert row(card, "dusk in one dose").startswith("· dusk in one dose: 1/2 · 50 % · about 10 of 20")
    assert row(card, "wild-looking") == "· wild-looking: 1/4 · 25 % · about 5 of 20"
    assert "dusk is incompletely dominant" in card.blocks[1]
    outcross = odds_card(odds_of("het dusk x wild"))
    assert outcross.lead.startswith("**1 in 2** young will show dusk in one dose. See **5 young**")


def test_a_dominant_trait_shows_with_one_copy_and_hides_in_nobody() -> None:
    odds = odds_of("het pale x het pale")
    assert odds_card(odds).lead.startswith("**3 in 4** young will show pale.")
    assert "carry" not in odds_card(odds).blocks[0]
    assert carriers_card(odds).lead == "No young of this cross carry a trait that they do not show."


def test_wild_with_wild_names_no_trait() -> None:
    card = odds_card(odds_of("wild x wild"))
    assert card.lead == "All young look **wild**: no trait is named on either side."
    assert card.blocks == ("· wild-looking: 1 · 100 % · all 20 of 20", "Dam: wild · sire: wild.")
    assert card.buttons == ()


def test_a_bin_stands_for_what_the_book_says_of_it() -> None:
    card = odds_card(odds_of("het ember x visual ember", dam=BinLabel("B-14", "ember F2")))
    assert card.blocks[1].startswith("Dam: B-14 (ember F2), recorded as het ember · sire: visual ember.")


def test_how_many_to_raise_for_each_certainty() -> None:
    """By hand: (3/4)^9 = 0.075 < 0.1 < (3/4)^8 = 0.1001; (3/4)^17 = 0.0075 < 0.01 < (3/4)^16 = 0.01002."""
    card = raising_card(raising_of("het ember x het ember"))
    assert card.lead == "See **11 young** grown and scored to be 95 % sure of at least one."
    assert "Young that show ember (1 in 4)" in card.blocks[0]
    assert card.blocks[1].splitlines()[0] == "· at least 1: 90 %: **9** · 95 %: **11** · 99 %: **17**"
    assert [line.split(":")[0] for line in card.blocks[1].splitlines()] == [
        "· at least 1",
        "· at least 2",
        "· at least 5",
    ]
    assert "broods live or die together" in card.blocks[-1]
    assert card.private


def test_no_number_is_given_for_what_cannot_happen() -> None:
    assert raising_card(raising_of("het ember x wild")).lead.startswith("**None** of the young will show ember.")


def test_every_wild_looking_young_of_two_kinds_of_visuals_carries_both() -> None:
    card = carriers_card(odds_of("visual ember x visual frost"))
    assert card.lead == "**Every one** of these is a carrier:"
    assert card.blocks[0].splitlines() == ["· wild-looking: all carry ember", "· wild-looking: all carry frost"]


def test_carriers_among_visuals_of_another_trait_are_not_called_wild_looking() -> None:
    card = carriers_card(odds_of("visual ember, visual frost x visual ember"))
    assert card.blocks[0] == "· ember, no frost: all carry frost"
    assert "wild-looking" not in card.lead


def test_the_holdbacks_of_two_hets_are_two_thirds_carriers() -> None:
    """Any text of genetics: of the wild-looking young of two hets, two in three carry."""
    card = carriers_card(odds_of("het ember x het ember"))
    assert card.blocks[0] == "· wild-looking: 2 in 3 carry ember (2/3, 67 %)"
    assert "Rests on: ember is recessive" in card.blocks[1]


def test_a_cross_in_gene_notation() -> None:
    card = genes_card(genes_of("het ember x visual ember"))
    assert card.lead == "`+/e` × `e/e`"
    assert card.blocks == ("· `+/e`: 1/2\n· `e/e`: 1/2", "`e` ember (recessive); `+` is the wild type.")
    double = genes_card(genes_of("het ember, het dusk x wild"))
    assert double.lead == "`+/e; +/d` × `+/+; +/+`"
    assert "taken as unlinked" in double.blocks[1]


def test_a_class_is_named_by_what_it_shows() -> None:
    odds = odds_of("het ember, het dusk x het ember, het dusk")
    assert {class_name(group.looks) for group in odds.classes} == {
        "wild-looking",
        "dusk in one dose, no ember",
        "dusk in two doses, no ember",
        "ember, no dusk",
        "ember and dusk in one dose",
        "ember and dusk in two doses",
    }


FIVE = [Trait(f"{name} *shell*", name[0], Dominance.INCOMPLETE) for name in ("amber", "brick", "coral", "dune", "fern")]


def five_hets() -> CrossText:
    side = ", ".join(f"het {trait.name}" for trait in FIVE)
    return read_cross(f"{side} x {side}", FIVE)


async def test_243_looks_do_not_push_out_what_the_answer_rests_on() -> None:
    odds = odds_of_cross(five_hets())
    card = odds_card(odds)
    assert len(odds.classes) == 243
    assert "rarer looks together: " in card.blocks[0].splitlines()[-1]
    assert "Rests on: amber" in card.blocks[1]
    assert sum(map(len, (card.lead, *card.blocks))) < 3000
    assert_card_fits(card)
    shown = [Fraction(line.split(": ")[1].split(" · ")[0]) for line in card.blocks[0].splitlines()[:-1]]
    assert shown == sorted((group.share for group in odds.classes), reverse=True)[: len(shown)]


@given(crosses(bins=False))
async def test_any_cross_has_an_answer_that_promises_no_more_than_it_knows(
    cross: tuple[tuple[Trait, ...], CrossText],
) -> None:
    odds = odds_of_cross(cross[1])
    card = odds_card(odds)
    none_shows = all(look.value == "wild" for group in odds.classes for look in group.looks.values())
    assert card.lead.startswith(("**None**", "All young look **wild**")) == none_shows
    if odds.target is not None:
        assert card.lead.startswith("**All**") == (odds.target.share == 1)
        assert ("no number will do" in card.lead) == (odds.see is not None and odds.see.see is None)
    assert_card_fits(card)
    assert_card_fits(carriers_card(odds))


@pytest.mark.parametrize("name", ["@everyone", "# big", "**bold**", "`code`", "<@1>", "[a]", "||x||", "a:b:"])
def test_the_name_of_a_trait_does_nothing_in_an_answer(name: str) -> None:
    trait = Trait(name, "q", Dominance.RECESSIVE)
    odds = odds_of_cross(read_cross(f"het {name} x het {name}", [trait]))
    for card in (odds_card(odds), carriers_card(odds)):
        harmless = "\n".join((card.lead, *card.blocks)).replace("**", "")
        assert live_marks(harmless) == []


def test_of_so_many_young_the_chances_go_through_the_cases() -> None:
    """By hand: P(none of 10) = (3/4)^10 = 0.056; of a 2/3 het with a visual 1/3 + 2/3·(1/2)^10 = 0.334."""
    assert "· of 10: 1 or more: 94 % · 2 or more: 76 % · 5 or more: 8 %" in "\n".join(
        raising_card(raising_of("het ember x het ember")).blocks
    )
    assert "· of 10: 1 or more: 67 %" in "\n".join(raising_card(raising_of("66% het ember x visual ember")).blocks)


def test_one_of_each_sex_is_told_at_even_numbers_where_nobody_knows_better() -> None:
    """science.md §4: 28 for a class of 1 in 4 at 1:1; isopods.md §7.4: 13 for a backcross (1 in 2)."""
    for text, number in (("het ember x het ember", 28), ("het ember x visual ember", 13)):
        said = "\n".join(raising_card(raising_of(text)).blocks)
        assert f"For one of each sex at 95 %: **{number}** scored, males and females taken as equally many." in said
    assert "one of each sex" not in "\n".join(raising_card(raising_of("66% het ember x visual ember")).blocks)


def test_where_a_pair_gives_nothing_else_or_not_at_all_the_first_young_tells() -> None:
    lead = odds_card(odds_of("1 visual ember or 3 wild x visual ember")).lead
    assert lead.startswith(
        "**All** young will show ember if this pair can give it at all; the chance of that is **25 %**."
    )
    assert lead.endswith("The first young grown and scored tells.")
