"""Sex chromosomes and several loci: published ratios and counts against the shares that `genetics` gives."""

from collections.abc import Mapping
from fractions import Fraction

import pytest

from genetics import Appearance, Dominance, Side, State, Stated, Trait
from genetics.characters import UNREAD, Scored, character
from genetics.crossing import offspring
from genetics.exact_tests import exact_multinomial
from genetics.fit import chi_square
from genetics.fit_counts import shares_of, tally
from genetics.genome import Genome, SexSystem
from genetics.interactions import Interaction, acting_together, table
from genetics.loci import Role, Sex, Where
from genetics.ratios import simple_ratios
from genetics.stating import parent
from genetics.young import Offspring
from tests.support.claims import check_value, claims

WILD, FULL = Appearance.WILD, Appearance.FULL
FEMALE, MALE = Sex.FEMALE, Sex.MALE
FIRST, SECOND, THIRD = (Trait(name, name[0], Dominance.RECESSIVE) for name in ("ash", "birch", "cedar"))
HALF = Fraction(1, 2)


def of_hets(traits: tuple[Trait, ...], scored: Scored) -> Offspring:
    het = parent(Side(tuple(Stated(trait, State.HET) for trait in traits)), traits)
    return offspring(het, het, [scored])


def numbers(ratio: str) -> tuple[int, ...]:
    return tuple(int(part) for part in ratio.split(":"))


@claims("epi.theory")
def test_two_loci_give_the_seven_classical_ratios() -> None:
    """Bateson & Punnett; Shull 1914; textbooks. Only the comb was seen in a source, the other attributions are memory."""
    value = check_value("epi.theory")
    assert (value.verified, value.verified_scope) == (False, "none seen")
    assert value.numbers["cross"] == "AaBb x AaBb unlinked"
    kinds = {
        "complementary": Interaction.COMPLEMENTARY,
        "recessive_epistasis": Interaction.RECESSIVE_EPISTASIS,
        "dominant_epistasis": Interaction.DOMINANT_EPISTASIS,
        "duplicate_dominant": Interaction.DUPLICATE,
        "inhibitor": Interaction.SUPPRESSION,
        "additive_duplicate": Interaction.ADDITIVE_DUPLICATE,
    }
    assert set(value.expected) == {*kinds, "comb"}
    for name, kind in kinds.items():
        labels = [f"class {at}" for at in range(kind.classes)]
        young = of_hets((FIRST, SECOND), acting_together(name, kind, FIRST, SECOND, labels))
        assert young.ratio() == numbers(value.expected[name]), name
    het = parent(Side((Stated(FIRST, State.HET), Stated(SECOND, State.HET))), [FIRST, SECOND])
    assert offspring(het, het, [FIRST, SECOND]).ratio() == numbers(value.expected["comb"])
    # Each of them is among the ratios that counts are held against.
    for printed in value.expected.values():
        terms = numbers(printed)
        assert tuple(sorted(terms, reverse=True)) in {one.terms for one in simple_ratios(len(terms))}


@claims("epi.sweetpea.97")
def test_purple_red_and_white_sweet_peas() -> None:
    """Bateson 1909, ch. IX. Ratios seen; his counts are memory and are not in the file as numbers."""
    value = check_value("epi.sweetpea.97")
    assert (value.verified, value.verified_scope) == (True, "ratios seen; counts memory")
    loci = [trait.locus for trait in (FIRST, SECOND, THIRD)]
    rows = {"+/*; +/*; +/*": "purple", "+/*; +/*; c/c": "red"}
    flower = table("flower", loci, ["purple", "red", "white"], rows, otherwise="white")
    young = of_hets((FIRST, SECOND, THIRD), flower)
    assert value.expected["F2_ratio"] == "27:9:28 (36:28 = 9:7)"
    assert young.ratio() == (27, 9, 28)
    assert young.share({flower: "purple"}) + young.share({flower: "red"}) == Fraction(9, 16)
    assert value.numbers["note"] == "9 purple/red : 7 white; 27:9:28 for purple:red:white"


WHITE = Trait("white", "w", Dominance.RECESSIVE, Where.SHARED)
FLY = Genome(system=SexSystem.XX_XY)


def fly(state: State, chance: Fraction | None = None) -> Side:
    return Side((Stated(WHITE, state, chance),)) if state is not State.WILD else Side(())


def flies(dam: State, sire: State) -> Offspring:
    """Dam and sire of the fly; a male has one X, so that he is visual or wild."""
    return offspring(
        parent(fly(dam), [WHITE], FLY, Role.DAM),
        parent(fly(sire), [WHITE], FLY, Role.SIRE),
        [WHITE],
    )


def by_sex(young: Offspring, trait: Scored) -> dict[str, Fraction]:
    return {
        f"{colour}_{sex}": young.share({trait: look}, sex)
        for colour, look in (("red", WILD), ("white", FULL))
        for sex in (FEMALE, MALE)
    }


@claims("sexlink.xy.morgan")
def test_morgans_white_eyes_are_best_explained_by_the_x_and_fit_it_badly() -> None:
    """Morgan 1910. From memory: no number was seen in a source. A misfit kept as one: white-eyed flies die more often."""
    value = check_value("sexlink.xy.morgan")
    assert (value.verified, value.verified_scope) == (False, "none seen")
    counts: Mapping[str, Mapping[str, int]] = value.numbers
    # Red dam × white sire: every young red. The three white males of the F1 are no outcome of this cross at all.
    first = by_sex(flies(State.WILD, State.VISUAL), WHITE)
    assert first["red_female"] == first["red_male"] == HALF
    f1 = (counts["F1"]["red"], counts["F1"]["white_male"])
    assert exact_multinomial(f1, (first["red_female"] + first["red_male"], first["white_male"])).p == 0
    # Their young: half red daughters, a quarter each red and white sons, no white daughter.
    second = by_sex(flies(State.HET, State.WILD), WHITE)
    names = ("red_female", "red_male", "white_male")
    assert [second[name] for name in names] == list(shares_of(value.expected["F2_ratio"]))
    assert second["white_female"] == counts["F2"]["white_female"] == 0
    f2 = [counts["F2"][name] for name in (*names, "white_female")]
    shares = [second[name] for name in (*names, "white_female")]
    found = chi_square(f2, shares)
    assert (found.value, found.df) == (pytest.approx(value.expected["F2_chi2"], abs=5e-3), 2)
    assert found.p is not None
    assert found.p < 1e-20
    # Bad as it is, it is far likelier than the same trait on an autosome, shown in both sexes or in males only.
    plain = Trait("white", "w", Dominance.RECESSIVE)
    for scored in (character(plain), character(plain).limited_to(MALE)):
        het = [parent(Side((Stated(plain, State.HET),)), [scored], FLY, role) for role in (Role.DAM, Role.SIRE)]
        rival = by_sex(offspring(het[0], het[1], [scored]), scored)
        other = tally(f2, [rival[name] for name in (*names, "white_female")]).log_likelihood()
        assert tally(f2, shares).log_likelihood() > other + 50
    # F1 daughter × white sire: the four classes alike.
    third = by_sex(flies(State.HET, State.VISUAL), WHITE)
    assert set(third.values()) == {Fraction(1, 4)}
    cross = counts["testcross"]
    back = chi_square([cross[name] for name in third], list(third.values()))
    assert back.value == pytest.approx(value.expected["testcross_chi2_1111"], abs=5e-3)
    # Among the survivors of each colour the sexes are as they should be: it is the white ones that are missing.
    for colour in ("red", "white"):
        sexes = chi_square((cross[f"{colour}_female"], cross[f"{colour}_male"]), (HALF, HALF))
        assert sexes.p is not None
        assert sexes.p > 0.8


@claims("bayes.sons")
def test_unaffected_sons_clear_a_possible_carrier() -> None:
    """Ogino & Wilson 2004; Young. The formula, 1/5 and the setup with three sons were seen; other posteriors computed."""
    value = check_value("bayes.sons")
    scope = "formula, 1/5 and the 3-son setup seen; other posteriors computed"
    assert (value.verified, value.verified_scope) == (True, scope)
    prior = Fraction(value.numbers["prior"])
    dam = parent(fly(State.POSSIBLE_HET, prior), [WHITE], FLY, Role.DAM)
    young = offspring(dam, parent(Side(()), [WHITE], FLY, Role.SIRE), [WHITE])
    sons = value.numbers["n_unaffected_sons"]
    found = [young.given({(WILD,): n}, MALE).dam.carries(WHITE, 1) for n in sons]
    assert found == [Fraction(share) for share in value.expected["posterior"]]
    assert value.expected["formula"] == "1/(1+2^n)"
    assert found == [Fraction(1, 1 + 2**n) for n in sons]
    # Daughters of an unaffected sire are all unaffected and say nothing.
    assert young.given({(WILD,): 4}, FEMALE).dam.carries(WHITE, 1) == prior


@claims("isopod.howard")
def test_the_kinds_of_inheritance_that_howard_found_in_a_woodlouse() -> None:
    """Howard 1940 to 1962, Armadillidium vulgare. Statements seen; they are words and one share, no counts."""
    value = check_value("isopod.howard")
    assert (value.verified, value.verified_scope) == (True, "all numbers seen")
    assert value.numbers["species"] == "Armadillidium vulgare"
    red = Trait("red", "R", Dominance.DOMINANT)
    genome = Genome(system=SexSystem.ZZ_ZW)

    def young(dam: State, sire: State, scored: Scored) -> Offspring:
        dams, sires = (
            parent(Side((Stated(red, state),)) if state is not State.WILD else Side(()), [scored], genome, role)
            for state, role in ((dam, Role.DAM), (sire, Role.SIRE))
        )
        return offspring(dams, sires, [scored])

    # "good 1:1 and 3:1 segregations"
    plain = character(red)
    assert young(State.HET, State.WILD, plain).ratio() == (1, 1)
    assert young(State.HET, State.HET, plain).ratio() == (1, 3)
    # "autosomal dominant, sex-limited to females in adults": sons never show it and pass it on.
    limited = plain.limited_to(FEMALE)
    for dam, sire in ((State.HET, State.WILD), (State.WILD, State.HET)):
        brood = young(dam, sire, limited)
        assert brood.share({limited: FULL}, FEMALE) == Fraction(1, 4)
        assert brood.share({limited: FULL}, MALE) == 0
    # "young scored too early (3 weeks) lack the red colour": nothing can be read then.
    early = plain.readable_from(6).at_week(3)
    assert [one.looks for one in young(State.HET, State.HET, early).classes()] == [(UNREAD,)]
    # "red heterozygotes more viable than homozygotes": fewer red among the living than three in four.
    weak = plain.with_viability({"R/R": Fraction(4, 5)})
    assert young(State.HET, State.HET, weak).ratio() == (5, 14)
    assert value.expected["rare_females"] == "about 12%"
    stated = Genome(daughters=Fraction(12, 100))
    het = parent(Side((Stated(red, State.HET),)), [plain], stated)
    assert offspring(het, het, [plain]).share_of(FEMALE) == Fraction(12, 100)


@claims("isopod.sexdet")
def test_both_sex_systems_of_woodlice_and_mothers_without_a_w() -> None:
    """Becking et al. 2017, Sci. Rep. 7:1057. The abstract was seen; volume and authors are memory."""
    value = check_value("isopod.sexdet")
    assert (value.verified, value.verified_scope) == (True, "abstract seen; volume/authors memory")
    assert value.numbers["species_tested"] == 5
    for phrase in ("one XY/XX and four ZW/ZZ", "WW viable in many species", "turns genetic males into females"):
        assert phrase in value.expected["heterogamety"]
    dark = Trait("dark", "d", Dominance.RECESSIVE, Where.SHARED)
    visual, wild = Side((Stated(dark, State.VISUAL),)), Side(())

    def daughters(genome: Genome, dam: Side, sire: Side, pair: tuple[str, str] | None = None) -> Offspring:
        mother = parent(dam, [dark], genome, Role.DAM, pair)
        return offspring(mother, parent(sire, [dark], genome, Role.SIRE), [dark])

    # The same cross, visual dam × wild sire: with XX/XY sons show it, with ZZ/ZW nobody does.
    xy, zw = Genome(system=SexSystem.XX_XY), Genome(system=SexSystem.ZZ_ZW)
    assert daughters(xy, visual, wild).share({dark: FULL}, MALE) == HALF
    assert daughters(xy, visual, wild).share({dark: FULL}, FEMALE) == 0
    assert daughters(zw, visual, wild).share({dark: FULL}) == 0
    assert daughters(zw, wild, visual).share({dark: FULL}, FEMALE) == HALF
    # A genetic male made a mother: no W in the brood, and as many daughters as is stated.
    made = Genome(system=SexSystem.ZZ_ZW, daughters=Fraction(4, 5))
    brood = daughters(made, visual, wild, ("Z", "Z"))
    assert {str(one) for one in brood.genotypes()} == {"Z^+/Z^d"}
    assert brood.share_of(FEMALE) == Fraction(4, 5)
    # W/W mothers have daughters only.
    both = daughters(zw, wild, visual, ("W", "W"))
    assert both.share_of(FEMALE) == 1
    assert both.share({dark: FULL}) == 1
