"""Kinship in the trade's words, the mates of a bin, its family as a picture, and the warnings of a server."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.cards.family import family_card, pedigree_of
from bot.cards.kinship_words import as_kin, degree, rests_on
from bot.cards.mates import mates_card, warnings_card
from bot.pictures.pedigree import Mating, Shows
from bot.records import Sex
from bot.services.family import Family, Kin, Look, Parted
from bot.services.lineage import Assumed
from bot.services.mates import Mate, Mates, Warnings, WarningsSet
from bot.services.refusals import BinLabel
from bot.services.species import shipped_species
from tests.support.markup import live_marks
from tests.support.screens import assert_card_fits

SPECIES = shipped_species().named("Armadillidium vulgare")
NONE: frozenset[Assumed] = frozenset()
B4 = BinLabel("B-4", "ember F1")


def mate(code: str, kinship: Fraction | int, name: str | None = None, keeper: str = "Wren") -> Mate:
    return Mate(BinLabel(code, name), keeper, Fraction(kinship), NONE)


def answer(*mates: Mate, within: Fraction | None = Fraction(1, 4), assumed: frozenset[Assumed] = NONE) -> Mates:
    return Mates(B4, SPECIES, Fraction(0), within, mates, 0, Warnings(), assumed)


@pytest.mark.parametrize(
    ("kinship", "said"),
    [
        (Fraction(1, 2), "closer than full sibs"),
        (Fraction(1, 4), "like full sibs"),
        (Fraction(1, 8), "like half sibs"),
        (Fraction(1, 16), "like first cousins"),
        (Fraction(1, 32), "like half cousins"),
        (Fraction(1, 64), "like second cousins"),
        (Fraction(1, 256), "hardly related"),
        (Fraction(0), "not related, as far as the book knows"),
    ],
)
def test_degrees_of_kinship_have_their_words(kinship: Fraction, said: str) -> None:
    """Parent and young, and full sibs, 1/4; half sibs 1/8; first cousins 1/16; half cousins 1/32; second cousins 1/64 (Wright 1922)."""
    assert degree(kinship) == said


@given(st.fractions(0, 1), st.fractions(0, 1))
def test_closer_kin_never_sound_further_apart(one: Fraction, other: Fraction) -> None:
    order = [degree(Fraction(1, part)) if part else degree(Fraction(0)) for part in (0, 512, 64, 32, 16, 8, 4, 2)]
    near, far = max(one, other), min(one, other)
    assert order.index(degree(near)) >= order.index(degree(far))
    assert not as_kin(one).startswith("like")


def test_the_answer_comes_first_with_the_expected_inbreeding() -> None:
    card = mates_card(answer(mate("B-1", Fraction(1, 64), "wild stock"), mate("B-2", Fraction(1, 4))))
    assert card.lead == (
        "Least related to B-4 (ember F1): **B-1 (wild stock)**, like second cousins. "
        "Expected inbreeding of their young: **1.6 %**."
    )
    assert "· B-2 of Wren: like full sibs, young 25 % (⚠ too close, by this server's warning)" in card.blocks[0]
    assert "bred within the bin, their young would be inbred by 25 % (⚠ too close" in card.blocks[1]
    assert [button.label for button in card.buttons] == ["Family", "Show bin"]
    assert_card_fits(card)


def test_marks_come_at_the_servers_own_figures() -> None:
    mates = (mate("B-1", Fraction(1, 10)), mate("B-2", Fraction(1, 5)))
    low = Mates(B4, SPECIES, Fraction(0), None, mates, 2, Warnings(Fraction(1, 10), Fraction(1, 5)), NONE)
    card = mates_card(low)
    assert card.lead.endswith("**10 %** (close).")
    assert "20 % (⚠ too close" in card.blocks[0]
    assert "2 bins left out: animals of the same sex only." in card.blocks[0]
    assert "It holds one animal, so there is no mate within it." in card.blocks[1]


def test_a_species_with_one_bin_has_no_mate_elsewhere() -> None:
    card = mates_card(answer())
    assert card.lead == "There is no other bin of *Armadillidium vulgare* to find a mate for B-4 (ember F1) in."
    assert_card_fits(card)


def test_many_mates_are_pages_and_the_closest_are_counted() -> None:
    every = tuple(mate(f"B-{n}", Fraction(n, 1000), "n" * 60, "k" * 32) for n in range(5, 60))
    card = mates_card(answer(*every, assumed=frozenset(Assumed)))
    assert "and 30 bins more, all closer." in card.blocks[0]
    assert_card_fits(card)


def test_what_people_typed_does_nothing() -> None:
    card = mates_card(answer(mate("B-1", 0, "@everyone **x**", "<@1> [a](b)"), mate("B-2", 0, "# big", "`code`")))
    said = "\n".join((card.lead.replace("**B-1 ", "").replace("**", "", 1), *card.blocks))
    assert [mark for mark in live_marks(said) if mark != "emphasis"] == []
    assert "@everyone" not in said.replace("\\@", "")


def test_each_assumption_is_named_and_none_without_need() -> None:
    assert rests_on([], Fraction(1, 8)) == ""
    said = rests_on(Assumed, Fraction(1, 8))
    assert said.count("\n· ") == len(Assumed)
    assert "animals of one origin are taken to be half sibs" in said
    assert "taken to be unrelated" in rests_on([Assumed.ONE_ORIGIN], Fraction(0))


def test_warnings_are_said_with_what_they_mean() -> None:
    told = warnings_card(WarningsSet(Warnings(), None))
    assert "close from **12.5 %**" in told.lead
    assert "too close from **25 %**" in told.lead
    assert "Two animals of one origin count as half sibs." in told.blocks
    assert told.buttons == ()
    assert [button.argument for button in warnings_card(WarningsSet(Warnings(), 7)).buttons] == ["7"]
    assert_card_fits(told)


def family(*kin: Kin, matings: tuple[Parted, ...] = (), trait: str | None = None, left_out: int = 0) -> Family:
    return Family(B4, "4", trait, kin, matings, left_out)


WILD = Kin("1", "B-1", "wild stock", count=90, estimate=True, looks=(Look(shows=False),))
VISUAL = Kin("2", "B-2", None, sex=Sex.MALE, count=1, alone=True, looks=(Look(shows=True),))
F1 = Kin("4", "B-4", "ember F1", count=14, looks=(Look(shows=False, carries=Fraction(1)),))
PART = Kin("5", "B-5", None, count=3, part=True, looks=(Look(), Look(shows=True)))
HIDDEN = Kin("6", None, None, hidden=True)
ASH = Kin("7", None, "Ash *x*", sex=Sex.FEMALE, count=1, alone=True, looks=(Look(), Look(shows=False)))
PAIR = Parted(("1", "2"), ("4",))


def test_the_family_is_said_in_words_and_drawn() -> None:
    card = family_card(family(WILD, VISUAL, F1, matings=(PAIR,), trait="ember"))
    assert card.lead == "The family of **B-4 (ember F1)**: 2 relatives on record."
    assert card.blocks == ("· B-4 (ember F1): from B-1 (wild stock) × B-2",)
    (drawing,) = card.drawings
    assert "Family of B-4" in drawing.alternative
    assert "shows ember" in drawing.alternative
    assert_card_fits(card)


def test_symbols_say_what_each_shows() -> None:
    drawn = pedigree_of(family(WILD, VISUAL, F1, PART, HIDDEN, ASH, matings=(PAIR,), trait="ember"))
    members = {member.key: member for member in drawn.members}
    assert {key: member.shows for key, member in members.items()} == {
        "1": Shows.NO,
        "2": Shows.YES,
        "4": Shows.NO,
        "5": Shows.SOME,
        "6": Shows.UNKNOWN,
        "7": Shows.UNKNOWN,
    }
    assert (members["1"].group, members["1"].count, members["1"].estimate) == (True, 90, True)
    assert (members["2"].group, members["2"].count, members["2"].sex.value) == (False, None, "male")
    assert (members["4"].carries, members["4"].asked) == (1, True)
    assert (members["5"].note, members["6"].label, members["7"].label) == ("part", "private", "Ash *x*")
    assert drawn.matings == (Mating(("1", "2"), ("4",)),)
    both = Kin("8", "B-8", None, looks=(Look(shows=True), Look(shows=False)))
    assert pedigree_of(family(both, trait="ember")).members[0].shows is Shows.SOME
    assert pedigree_of(family(both)).members[0].shows is Shows.NO


def test_a_bin_without_relatives_says_how_to_give_it_some() -> None:
    card = family_card(family(F1))
    assert "no relatives of **B-4 (ember F1)**" in card.lead
    assert "parents:B-1 x B-3" in card.lead
    assert_card_fits(card)


def test_names_in_the_family_do_nothing_and_what_was_left_out_is_told() -> None:
    guests = Kin("9", None, None, count=3)
    many = tuple(Kin(f"k{n}", f"B-{n}", None) for n in range(100, 114))
    matings = (PAIR, Parted(("7", "9"), ("1",)), Parted(("6",), ("2",)), *(Parted(("1",), (k.key,)) for k in many))
    card = family_card(family(WILD, VISUAL, F1, HIDDEN, ASH, guests, *many, matings=matings, left_out=4))
    said = "\n".join(card.blocks)
    assert "from Ash \\*x\\* × 3 breeders" in said
    assert "· B-2: from a private bin" in said
    parted = family_card(family(F1, PART, matings=(Parted(("4",), ("5",)),)))
    poured = Kin("3", "B-3", None, joined=("B-7", ""))
    joined = family_card(family(F1, poured, matings=(Parted(("3",), ("4",)),)))
    assert joined.blocks[1] == "B-3 was joined by animals of B-7 and a private bin."
    assert [m.note for m in pedigree_of(family(poured, Kin("4", "B-4", None, joined=("B-7",)))).members] == [
        "+ 2 bins",
        "+ B-7",
    ]
    assert parted.blocks == ("· B-5: part of B-4 (ember F1)",)
    assert "The picture shows 5 families more." in card.blocks
    assert "4 more ancestors on record; the nearest are drawn." in card.blocks
    assert live_marks(said) == []
    assert_card_fits(card)
