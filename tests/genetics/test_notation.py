"""The notation by example: what is read, and what is refused, where, with which way out."""

from fractions import Fraction

import pytest

from genetics import (
    BinCode,
    CrossText,
    Dominance,
    NotationError,
    Problem,
    Side,
    State,
    Stated,
    Trait,
    TraitClash,
    read_cross,
    read_side,
    write_cross,
    write_genes,
    write_side,
)

EMBER = Trait("ember", "e", Dominance.RECESSIVE)
FROST = Trait("frost", "f", Dominance.INCOMPLETE)
MOON = Trait("Blue Moon", "bm", Dominance.RECESSIVE)
DARK = Trait("dark", "D", Dominance.DOMINANT)
FIRE = Trait("🔥", "fi", Dominance.RECESSIVE)
TWIN = Trait("twin", "bm", Dominance.RECESSIVE)
TRAITS = (EMBER, FROST, MOON, DARK, FIRE)

WILD = Side()


def is_code(word: str) -> bool:
    return word.upper().startswith("B-")


def read(text: str) -> CrossText:
    return read_cross(text, TRAITS, is_code)


def side(*items: Stated | BinCode) -> Side:
    return Side(items)


def het(trait: Trait) -> Stated:
    return Stated(trait, State.HET)


def visual(trait: Trait) -> Stated:
    return Stated(trait, State.VISUAL)


def homozygous(trait: Trait) -> Stated:
    return Stated(trait, State.HOMOZYGOUS)


def maybe(trait: Trait, upper: int, lower: int) -> Stated:
    return Stated(trait, State.POSSIBLE_HET, Fraction(upper, lower))


@pytest.mark.parametrize(
    ("text", "dam"),
    [
        ("ember x wild", side(visual(EMBER))),
        ("visual ember × wild type", side(visual(EMBER))),
        ("VISUAL Ember X Wild-Type", side(visual(EMBER))),
        ("homozygous ember×normal", side(visual(EMBER))),
        ("super ember x +", side(visual(EMBER))),
        ("het ember x wild", side(het(EMBER))),
        ("het for ember x wild", side(het(EMBER))),
        ("ember carrier x wild", side(het(EMBER))),
        ("carrier of ember x wild", side(het(EMBER))),
        ("carries ember, blue moon carrier x wild", side(het(EMBER), het(MOON))),
        ("carrying ember and blue moon carriers x wild", side(het(EMBER), het(MOON))),
        ("100% het ember x wild", side(het(EMBER))),
        ("100% possible het ember x wild", side(het(EMBER))),
        ("66% het ember x wild", side(maybe(EMBER, 2, 3))),
        ("67 % possible het ember x wild", side(maybe(EMBER, 2, 3))),
        ("66.7% het ember x wild", side(maybe(EMBER, 2, 3))),
        ("66.66% poss het ember x wild", side(maybe(EMBER, 2, 3))),
        ("33% het ember x wild", side(maybe(EMBER, 1, 3))),
        ("33.3%het ember x wild", side(maybe(EMBER, 1, 3))),
        ("34% het ember x wild", side(maybe(EMBER, 17, 50))),
        ("66.0% het ember x wild", side(maybe(EMBER, 33, 50))),
        ("12.5% het ember x wild", side(maybe(EMBER, 1, 8))),
        ("2/3 het ember x wild", side(maybe(EMBER, 2, 3))),
        ("0.8 het ember x wild", side(maybe(EMBER, 4, 5))),
        ("het blue   moon x wild", side(het(MOON))),
        ("het 🔥 x wild", side(het(FIRE))),
        ("het frost x wild", side(het(FROST))),
        ("super frost x wild", side(homozygous(FROST))),
        ("super co-dom frost x wild", side(homozygous(FROST))),
        ("homozygous dark x wild", side(homozygous(DARK))),
        ("het ember het blue moon x wild", side(het(EMBER), het(MOON))),
        ("het ember, het blue moon x wild", side(het(EMBER), het(MOON))),
        ("het ember and het blue moon x wild", side(het(EMBER), het(MOON))),
        ("het ember, and het blue moon x wild", side(het(EMBER), het(MOON))),
        ("het ember & 66% het blue moon x wild", side(het(EMBER), maybe(MOON, 2, 3))),
        ("ember blue moon x wild", side(visual(EMBER), visual(MOON))),
        ("visual ember, het frost x wild", side(visual(EMBER), het(FROST))),
        ("e/e x wild", side(visual(EMBER))),
        ("+/e x wild", side(het(EMBER))),
        ("e / + x wild", side(het(EMBER))),
        ("+/+ x wild", WILD),
        ("+/e; f/f; D/+ x wild", side(het(EMBER), homozygous(FROST), het(DARK))),
        ("+/e (2/3) or +/+; f/f x wild", side(maybe(EMBER, 2, 3), homozygous(FROST))),
        ("+/e (66%) x wild", side(maybe(EMBER, 2, 3))),
        ("+/e (1/1) x wild", side(het(EMBER))),
        ("+/e, visual blue moon x wild", side(het(EMBER), visual(MOON))),
        ("B-12 x wild", side(BinCode("B-12"))),
        ("b-12×wild", side(BinCode("b-12"))),
        ("wild x wild", WILD),
    ],
)
def test_a_side_is_read(text: str, dam: Side) -> None:
    assert read(text) == CrossText(dam, WILD)


def test_the_dam_is_written_first_and_the_sides_may_be_in_either_notation() -> None:
    assert read("B-12 x +/e") == CrossText(side(BinCode("B-12")), side(het(EMBER)))


def test_figures_read_as_thirds_are_told() -> None:
    cross = read("66% het ember, 50% het blue moon x 33.3 % het ember")
    assert cross.rounded_figures == (("66%", Fraction(2, 3)), ("33.3%", Fraction(1, 3)))
    assert read("+/e (67%) x 2/3 het ember").rounded_figures == (("67%", Fraction(2, 3)),)


def test_the_longest_name_wins_and_a_bins_code_only_where_it_is_longer() -> None:
    blue, numbered = Trait("blue", "b", Dominance.RECESSIVE), Trait("B-7", "n", Dominance.RECESSIVE)
    known = (MOON, blue, numbered)
    assert read_side("blue moon", known) == side(visual(MOON))
    assert read_side("blue, blue moon", known) == side(visual(blue), visual(MOON))
    assert read_side("b-7", known, is_code) == side(visual(numbered))
    assert read_side("b-70", known, is_code) == side(BinCode("b-70"))
    assert read_side("B-7/2", known, is_code) == side(BinCode("B-7/2"))


E_ = Problem
REFUSED = [
    # text, problem, position, what is pointed at, suggestion, offers
    ("het ember xx wild", E_.REPEATED_TIMES, 10, "xx", "het ember x wild", ()),
    ("ember x x wild", E_.REPEATED_TIMES, 8, "x", "ember x wild", ()),
    ("ember x wild x", E_.REPEATED_TIMES, 13, "x", "ember x wild", ()),
    ("ember x wild x ember", E_.REPEATED_TIMES, 13, "x", None, ()),
    ("het ember wild", E_.MISSING_TIMES, 14, "", "het ember x wild", ()),
    ("ember het ember", E_.MISSING_TIMES, 15, "", "ember x het ember", ()),
    ("het ember * wild", E_.MISSING_TIMES, 16, "", "het ember x wild", ()),
    ("het ember", E_.MISSING_TIMES, 9, "", None, ()),
    ("", E_.MISSING_TIMES, 0, "", None, ()),
    ("ember x", E_.EMPTY_SIDE, 7, "", None, ("ember x wild",)),
    ("x ember", E_.EMPTY_SIDE, 0, "", None, ("wild x ember",)),
    ("ember, x wild", E_.STRAY, 5, ",", "ember x wild", ()),
    (", ember x wild", E_.STRAY, 0, ",", "ember x wild", ()),
    ("ember,, frost x wild", E_.STRAY, 6, ",", None, ()),
    ("het + ember x wild", E_.STRAY, 4, "+", "het ember x wild", ()),
    ("embr x wild", E_.UNKNOWN_TRAIT, 0, "embr", "ember x wild", ()),
    ("het blu moon x wild", E_.UNKNOWN_TRAIT, 4, "blu moon", "het Blue Moon x wild", ()),
    ("hte ember x wild", E_.UNKNOWN_TRAIT, 0, "hte", "het ember x wild", ()),
    ("het embr x vissual embr", E_.UNKNOWN_TRAIT, 4, "embr", "het ember x visual ember", ()),
    ("qqq x wild", E_.UNKNOWN_TRAIT, 0, "qqq", None, ()),
    ("het x wild", E_.NAME_MISSING, 4, "", None, ()),
    ("ember x het", E_.NAME_MISSING, 11, "", None, ()),
    (
        "possible het ember x wild",
        E_.FIGURE_MISSING,
        0,
        "possible het",
        None,
        ("66% het ember x wild", "50% het ember x wild", "100% het ember x wild", "33% het ember x wild"),
    ),
    ("150% het ember x wild", E_.FIGURE_RANGE, 0, "150%", None, ()),
    ("0% het ember x wild", E_.FIGURE_RANGE, 0, "0%", None, ()),
    ("4/3 het ember x wild", E_.FIGURE_RANGE, 0, "4/3", None, ()),
    ("66 het ember x wild", E_.FIGURE_UNREADABLE, 0, "66", "66% het ember x wild", ()),
    ("66,7% het ember x wild", E_.FIGURE_UNREADABLE, 0, "66,7%", "66.7% het ember x wild", ()),
    ("-5% het ember x wild", E_.FIGURE_UNREADABLE, 0, "-5%", None, ()),
    ("1/0 het ember x wild", E_.FIGURE_UNREADABLE, 0, "1/0", None, ()),
    ("+/e (two thirds) x wild", E_.FIGURE_UNREADABLE, 4, "(", None, ()),
    ("50% ember x wild", E_.FIGURE_WITHOUT_HET, 0, "50%", "50% het ember x wild", ()),
    ("e/e (2/3) x wild", E_.FIGURE_WITHOUT_HET, 4, "(2/3)", None, ()),
    ("frost x wild", E_.WHICH_DOSE, 0, "frost", None, ("het frost x wild", "homozygous frost x wild")),
    ("visual dark x wild", E_.WHICH_DOSE, 0, "visual dark", None, ("het dark x wild", "homozygous dark x wild")),
    ("co-dom frost x wild", E_.WHICH_DOSE, 0, "co-dom frost", None, ("het frost x wild", "homozygous frost x wild")),
    (
        "50% het frost x wild",
        E_.SHOWS_AS_HET,
        0,
        "50% het frost",
        None,
        ("het frost x wild", "homozygous frost x wild"),
    ),
    ("+/f (1/2) x wild", E_.SHOWS_AS_HET, 0, "+/f (1/2)", None, ("+/f x wild",)),
    ("het co-dom ember x wild", E_.NOT_CODOMINANT, 4, "co-dom", "het ember x wild", ()),
    (
        "het ember blue moon x wild",
        E_.WHICH_STATE,
        10,
        "blue moon",
        None,
        ("het ember het Blue Moon x wild", "het ember visual Blue Moon x wild"),
    ),
    (
        "66% het ember and frost x wild",
        E_.WHICH_STATE,
        18,
        "frost",
        None,
        ("66% het ember and het frost x wild", "66% het ember and homozygous frost x wild"),
    ),
    ("ember, visual ember x wild", E_.STATED_TWICE, 7, "visual ember", "ember x wild", ()),
    ("ember, het ember x wild", E_.CONTRADICTION, 7, "het ember", None, ("ember x wild", "het ember x wild")),
    ("wild het ember x wild", E_.WILD_AND_MORE, 0, "wild", "het ember x wild", ()),
    ("ember + blue moon x wild", E_.WILD_AND_MORE, 6, "+", "ember, blue moon x wild", ()),
    ("B-12, het ember x wild", E_.BIN_AND_MORE, 6, "het ember", None, ("B-12 x wild", "het ember x wild")),
    ("het ember, B-12 x wild", E_.BIN_AND_MORE, 11, "B-12", None, ("B-12 x wild", "het ember x wild")),
    ("+/q x wild", E_.UNKNOWN_ALLELE, 2, "q", None, ()),
    ("q/q x wild", E_.UNKNOWN_ALLELE, 0, "q", None, ()),
    ("+/E x wild", E_.UNKNOWN_ALLELE, 2, "E", "+/e x wild", ()),
    ("ember/ember x wild", E_.UNKNOWN_ALLELE, 0, "ember", "e/e x wild", ()),
    ("e/ x wild", E_.UNBALANCED, 1, "/", None, ()),
    ("/e x wild", E_.UNBALANCED, 0, "/", None, ()),
    ("e/e/e x wild", E_.UNBALANCED, 3, "/", None, ()),
    ("+ e/e x wild", E_.UNBALANCED, 0, "+ e/e", None, ()),
    ("e/e f/f x wild", E_.UNBALANCED, 5, "/", "e/e; f/f x wild", ()),
    ("e/f x wild", E_.TWO_LOCI, 0, "e/f", None, ("+/e; +/f x wild",)),
    ("+ f/e + x wild", E_.UNLINKED, 0, "+ f/e +", "+/e; f/+ x wild", ()),
    ("wild from het ember x wild", E_.MISSING_TIMES, 26, "", None, ()),
    ("het ember from het ember x wild x wild", E_.NOT_A_LOOK, 0, "het ember", None, ()),
    ("from het ember x wild x wild", E_.NOT_A_LOOK, 0, "", None, ()),
    (
        "frost from het frost x wild x wild",
        E_.WHICH_DOSE,
        0,
        "frost",
        None,
        ("het frost from het frost x wild x wild", "homozygous frost from het frost x wild x wild"),
    ),
    ("ember, ember from het ember x ember x wild", E_.STATED_TWICE, 7, "ember", None, ()),
    ("2 visual ember or wild x wild", E_.NUMBER_MISSING, 18, "wild", None, ()),
    ("2 visual ember or 0 wild x wild", E_.NUMBER_RANGE, 18, "0", None, ()),
    ("101 dams ember x wild", E_.NUMBER_RANGE, 0, "101", None, ()),
    ("ember x 6 sires wild", E_.NUMBER_RANGE, 8, "6", None, ()),
    ("2 sires ember x wild", E_.STRAY, 0, "2 sires", None, ()),
    ("ember x wild had males of wild", E_.STRAY, 13, "had", None, ()),
    ("ember had it x wild", E_.STRAY, 6, "had", None, ()),
    ("ember had males of wild siring much x wild", E_.FIGURE_UNREADABLE, 24, "siring much", None, ()),
    ("a" * 501, E_.TOO_LONG, 500, "a", None, ()),
]


@pytest.mark.parametrize(
    ("text", "problem", "position", "found", "suggestion", "offers"), REFUSED, ids=[case[0][:40] for case in REFUSED]
)
def test_a_refusal_points_at_the_place_and_offers_what_can_be_read(
    text: str, problem: Problem, position: int, found: str, suggestion: str | None, offers: tuple[str, ...]
) -> None:
    with pytest.raises(NotationError) as caught:
        read(text)
    error = caught.value
    assert (error.problem, error.position, error.found) == (problem, position, found)
    assert (error.suggestion, error.offers) == (suggestion, offers)
    assert error.length == len(found)


def test_a_symbol_of_two_traits_is_refused_with_both() -> None:
    with pytest.raises(NotationError) as caught:
        read_side("bm/bm", (MOON, TWIN))
    assert caught.value.problem is Problem.AMBIGUOUS_ALLELE
    assert caught.value.near == ("Blue Moon", "twin")


# Examples of these need a map: test_notation_map.py.
ON_THE_MAP = {Problem.MAP_ORDER, Problem.CHROMOSOME}


def test_every_problem_has_an_example_here() -> None:
    assert {case[1] for case in REFUSED} | {Problem.AMBIGUOUS_ALLELE, *ON_THE_MAP} == set(Problem)


def test_near_names_are_told_as_keepers_write_them() -> None:
    with pytest.raises(NotationError) as caught:
        read("het blu mon x wild")
    assert caught.value.near == ("Blue Moon",)


def test_a_lone_side_has_no_x() -> None:
    with pytest.raises(NotationError) as caught:
        read_side("ember x wild", TRAITS)
    assert (caught.value.problem, caught.value.position) == (Problem.STRAY, 6)


def test_two_traits_of_one_name_are_a_fault_of_the_caller() -> None:
    with pytest.raises(TraitClash):
        read_cross("wild x wild", [EMBER, Trait("Ember", "q", Dominance.DOMINANT)])


def test_positions_point_into_the_text_that_the_error_carries() -> None:
    with pytest.raises(NotationError) as caught:
        read("het cafe\u0301 x wild")
    assert caught.value.text == "het caf\u00e9 x wild"
    assert caught.value.found == "caf\u00e9"


@pytest.mark.parametrize(
    ("written", "genes"),
    [
        ("het ember", "+/e"),
        ("visual ember", "e/e"),
        ("66% het ember", "+/e (2/3) or +/+"),
        ("33/50 het ember", "+/e (33/50) or +/+"),
        ("homozygous frost", "f/f"),
        ("het dark, visual Blue Moon", "D/+; bm/bm"),
    ],
)
def test_both_notations_of_a_side(written: str, genes: str) -> None:
    stated = read_side(genes, TRAITS)
    assert write_side(stated) == written
    assert read_side(write_genes(stated, stated_traits(stated)), TRAITS) == stated


def stated_traits(stated: Side) -> list[Trait]:
    return [item.trait for item in stated.stated]


def test_gene_notation_names_every_locus_asked_for() -> None:
    assert write_genes(side(het(FROST)), [EMBER, FROST]) == "+/+; +/f"
    assert write_genes(WILD, []) == "+"
    assert write_genes(side(het(FROST)), []) == "+/f"
    assert write_genes(side(BinCode("B-1")), [EMBER]) == "B-1"


def test_a_cross_is_written_dam_first() -> None:
    assert write_cross(read("+/e×B-12")) == "het ember x B-12"
