"""What a brood says of its parents: published carrier posteriors."""

from fractions import Fraction

from genetics import Appearance, Dominance, Offspring, Trait, offspring, parent, read_cross
from tests.support.claims import check_value, claims, family_value

EMBER = Trait("ember", "e", Dominance.RECESSIVE)
WILD = (Appearance.WILD,)


def young_of(text: str) -> Offspring:
    cross = read_cross(text, [EMBER])
    return offspring(parent(cross.dam, [EMBER]), parent(cross.sire, [EMBER]), [EMBER])


@claims("bayes.sib")
def test_a_wild_looking_sib_of_a_visual_carries_with_two_thirds() -> None:
    """Any text of medical genetics. All numbers seen in the sources."""
    value = check_value("bayes.sib")
    assert (value.verified, value.verified_scope) == (True, "all numbers seen")
    # A visual sib of two wild-looking parents proves both of them hets, whatever was thought of them before.
    parents = young_of("1% het ember x 1% het ember").given({(Appearance.FULL,): 1})
    assert parents.carriers(EMBER) == Fraction(value.expected["carrier"])


@claims("bayes.testcross")
def test_clean_young_from_a_visual_mate_clear_a_possible_het() -> None:
    """Bayes' theorem, exact; derived for the file, no source seen."""
    value = check_value("bayes.testcross")
    assert (value.verified, value.verified_scope) == (False, "none seen")
    suspect = young_of(f"{value.numbers['prior']} het ember x ember")
    counts = value.numbers["n_wildtype"]
    found = [suspect.given({WILD: n}).dam.carries(EMBER, 1) for n in counts]
    assert found == [Fraction(share) for share in value.expected["posterior"]]
    assert found == [Fraction(2, 2 + 2**n) for n in counts]
    # The note: "Mate known het instead: …. Both parents 2/3-prior sibs, P(both het | n wild type): …"
    known_het, sibs = young_of("2/3 het ember x het ember"), young_of("2/3 het ember x 2/3 het ember")
    written = value.note.split(": ", 1)[1].split(". ")[0].split(",")
    assert [str(known_het.given({WILD: n}).dam.carries(EMBER, 1)) for n in range(5)] == written
    written = value.note.rsplit(": ", 1)[1].rstrip(".").split(",")
    assert [str(both_het(sibs.given({WILD: n}))) for n in range(5)] == written


def both_het(young: Offspring) -> Fraction:
    return sum(
        (part.share for part in young.parts if part.dam[0].copies("e") == part.sire[0].copies("e") == 1), Fraction(0)
    )


@claims("broods.penetrance-1-normal-young-of-Aa-x-Aa-then-0-of-4-from-aa-mate")
def test_a_holdback_of_two_hets_after_four_clean_young() -> None:
    """Synthetic, exact, confirmed by two general libraries of Bayesian networks (so the file says)."""
    prior = young_of("het ember x het ember").carriers(EMBER)
    after = young_of(f"{prior} het ember x ember").given({WILD: 4})
    expected = family_value("broods.penetrance-1-normal-young-of-Aa-x-Aa-then-0-of-4-from-aa-mate")
    assert after.dam.carries(EMBER, 1) == Fraction(expected)


def test_the_same_algebra_as_for_the_sons_of_a_carrier() -> None:
    """bayes.sons is about an X-linked trait (test_inheritance.py); its formula is that of an autosomal test cross."""
    value = check_value("bayes.sons")
    suspect = young_of("50% het ember x ember")
    found = [suspect.given({WILD: n}).dam.carries(EMBER, 1) for n in value.numbers["n_unaffected_sons"]]
    assert found == [Fraction(share) for share in value.expected["posterior"]]
