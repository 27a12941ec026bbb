"""Values of what is inherited and what is stated: valid, or they do not exist."""

import pickle
from fractions import Fraction

import pytest

from genetics import (
    BinCode,
    CrossText,
    Dominance,
    Genotype,
    Side,
    SideRefused,
    State,
    Stated,
    StateFault,
    StateRefused,
    Trait,
    TraitFault,
    TraitRefused,
    read_dominance,
)

EMBER = Trait("ember", "e", Dominance.RECESSIVE)
DARK = Trait("dark", "D", Dominance.DOMINANT)
FROST = Trait("frost", "f", Dominance.INCOMPLETE)


@pytest.mark.parametrize(
    ("name", "fault", "culprit"),
    [
        ("", TraitFault.EMPTY, ""),
        (" \n ", TraitFault.EMPTY, ""),
        ("x", TraitFault.WORD, "x"),
        ("X ray", TraitFault.WORD, "x"),
        ("xxx", TraitFault.WORD, "xxx"),
        ("blue het", TraitFault.WORD, "het"),
        ("Wild", TraitFault.WORD, "wild"),
        ("wild  type", TraitFault.WORD, "wild"),
        ("super", TraitFault.WORD, "super"),
        ("salt and pepper", TraitFault.WORD, "and"),
        ("possible blue", TraitFault.WORD, "possible"),
        ("co-dom", TraitFault.WORD, "co-dom"),
        ("a, b", TraitFault.CHARACTER, ","),
        ("50% blue", TraitFault.CHARACTER, "%"),
        ("a+b", TraitFault.CHARACTER, "+"),
        ("a×b", TraitFault.CHARACTER, "×"),
        ("turned\u202eround", TraitFault.CHARACTER, "\u202e"),
        ("...", TraitFault.CHARACTER, "."),
        ("a" * 61, TraitFault.TOO_LONG, "a"),
    ],
)
def test_a_name_that_the_notation_could_not_read_is_refused_with_the_part_in_the_way(
    name: str, fault: TraitFault, culprit: str
) -> None:
    with pytest.raises(TraitRefused) as caught:
        Trait(name, "e", Dominance.RECESSIVE)
    assert (caught.value.field, caught.value.fault, caught.value.culprit) == ("name", fault, culprit)


@pytest.mark.parametrize(
    "name", ["ember", "Blue Moon", "T2", "7", "🔥", "👩‍🔬", "x-ray", "wild rose", "Straße", "a" * 60]
)
def test_names_of_any_script_with_digits_and_emoji_are_fine(name: str) -> None:
    assert Trait(name, "e", Dominance.RECESSIVE).name == name


def test_a_name_is_squeezed_and_brought_to_one_unicode_form() -> None:
    assert Trait("  cafe\u0301   noir ", "c", Dominance.RECESSIVE).name == "caf\u00e9 noir"


@pytest.mark.parametrize(
    "symbol", ["", "abcde", "1e", "é", "e e", "+", "x", "X", "Z", "W", "Y", "or", "And", "xx", "het"]
)
def test_a_symbol_is_a_letter_and_up_to_three_more_and_no_chromosome_or_word(symbol: str) -> None:
    with pytest.raises(TraitRefused) as caught:
        Trait("ember", symbol, Dominance.RECESSIVE)
    assert (caught.value.field, caught.value.value) == ("symbol", symbol)


@pytest.mark.parametrize(
    ("trait", "state", "chance", "fault"),
    [
        (DARK, State.VISUAL, None, StateFault.WHICH_DOSE),
        (FROST, State.VISUAL, None, StateFault.WHICH_DOSE),
        (DARK, State.POSSIBLE_HET, Fraction(1, 2), StateFault.SHOWS),
        (FROST, State.POSSIBLE_HET, Fraction(1, 2), StateFault.SHOWS),
        (EMBER, State.HOMOZYGOUS, None, StateFault.SAY_VISUAL),
        (EMBER, State.POSSIBLE_HET, None, StateFault.CHANCE_MISSING),
        (EMBER, State.POSSIBLE_HET, Fraction(0), StateFault.CHANCE_RANGE),
        (EMBER, State.POSSIBLE_HET, Fraction(1), StateFault.CHANCE_RANGE),
        (EMBER, State.HET, Fraction(1, 2), StateFault.CHANCE_NEEDLESS),
    ],
)
def test_a_state_that_means_nothing_or_two_things_is_refused(
    trait: Trait, state: State, chance: Fraction | None, fault: StateFault
) -> None:
    with pytest.raises(StateRefused) as caught:
        Stated(trait, state, chance)
    assert caught.value.fault is fault
    assert pickle.loads(pickle.dumps(caught.value)).fault is fault  # noqa: S301 - its own pickle


def test_unsaid_means_wild() -> None:
    assert Side((Stated(EMBER, State.WILD),)) == Side()


def test_a_side_states_a_trait_once_and_a_bin_alone() -> None:
    with pytest.raises(SideRefused, match="ember"):
        Side((Stated(EMBER, State.HET), Stated(EMBER, State.VISUAL)))
    with pytest.raises(SideRefused, match="B-12"):
        Side((Stated(EMBER, State.HET), BinCode("B-12")))


def test_a_cross_knows_its_traits_and_its_reciprocal() -> None:
    cross = CrossText(Side((Stated(FROST, State.HET),)), Side((Stated(EMBER, State.HET), Stated(FROST, State.HET))))
    assert cross.traits == (FROST, EMBER)
    assert cross.swapped == CrossText(cross.sire, cross.dam)
    assert Side((BinCode("B-1"),)).bin_code == "B-1"
    assert cross.dam.bin_code is None


def test_homologues_have_no_order_and_wild_is_written_first() -> None:
    assert str(Genotype(("e", "+"), ("+", "f"))) == "+ f/e +"
    assert Genotype(("e",), ("+",)) == Genotype(("+",), ("e",))
    assert [Genotype(("+",), ("e",)).copies(symbol) for symbol in ("e", "f")] == [1, 0]


@pytest.mark.parametrize(
    ("word", "dominance"),
    [
        ("recessive", Dominance.RECESSIVE),
        (" Dom ", Dominance.DOMINANT),
        ("CO-DOM", Dominance.INCOMPLETE),
        ("codominant", Dominance.INCOMPLETE),
        ("incomplete  dominant", Dominance.INCOMPLETE),
        ("polygenic", None),
    ],
)
def test_the_trades_loose_words_for_dominance_are_understood(word: str, dominance: Dominance | None) -> None:
    assert read_dominance(word) is dominance
