"""Parents as keepers know them: kept back from a cross, drawn from a mixed bin, several, with sperm of males before."""

from fractions import Fraction

import pytest

from genetics import Appearance, CrossText, Dominance, Side, Trait, TraitMissing, parent, read_cross, write_cross
from genetics.characters import character
from genetics.errors import NeverHappens, OutOfRange, SideRefused
from genetics.genome import Genome, SexSystem
from genetics.loci import Role, Where
from genetics.parents import LATER_MALE, STORED
from genetics.sides import BinCode, KeptBack, MixedKinds, Store
from genetics.stating import young_of

EMBER, FROST = (Trait(name, name[0], Dominance.RECESSIVE) for name in ("ember", "frost"))
PALE = Trait("pale", "p", Dominance.INCOMPLETE)
INK = Trait("ink", "i", Dominance.DOMINANT)
TRAITS = (EMBER, FROST, PALE, INK)
F = Fraction
WILD, FULL = Appearance.WILD, Appearance.FULL


def read(text: str) -> CrossText:
    return read_cross(text, TRAITS, lambda word: word.startswith("B-"))


def share(text: str, *shown: Trait) -> Fraction:
    cross = read(text)
    return young_of(cross, cross.traits).share(dict.fromkeys(shown, FULL))


@pytest.mark.parametrize(
    ("dam", "copies"),
    [
        # Mendel 1866: two of three that show the dominant look of an F2 are hybrid.
        ("wild from het ember x het ember", (F(1, 3), F(2, 3), 0)),
        ("not visual from het ember x wild", (F(1, 2), F(1, 2), 0)),
        ("wild from visual ember x wild", (0, 1, 0)),
        ("wild from 66% het ember x wild", (F(2, 3), F(1, 3), 0)),
        ("ember from het ember x het ember", (0, 0, 1)),
        ("wild from (wild from het ember x het ember) x wild", (F(2, 3), F(1, 3), 0)),
    ],
)
def test_a_young_kept_back_is_what_its_parents_and_its_looks_make_it(dam: str, copies: tuple[Fraction, ...]) -> None:
    """het × het gives 2/3 hets among the wild-looking, het × wild 1/2, a visual parent 1, 66 % het × wild 33 %."""
    known = parent(read(f"{dam} x wild").dam, [EMBER])
    assert tuple(known.carries(EMBER, number) for number in (0, 1, 2)) == copies


def test_at_a_recorded_penetrance_the_wild_looking_hide_visuals() -> None:
    """science.md §2: at 0.7, wild-looking young of het × het are 0.61 het and 0.09 hidden visuals."""
    shown = character(EMBER).with_penetrance(F(7, 10))
    known = parent(read("wild from het ember x het ember x wild").dam, [shown])
    assert [round(float(known.carries(EMBER, number)), 2) for number in (0, 1, 2)] == [0.30, 0.61, 0.09]


def test_a_showing_young_of_a_dominant_may_have_one_copy_or_two() -> None:
    """1/3 of the showing F2 young of a dominant trait are homozygous (Mendel 1866)."""
    known = parent(read("ink from het ink x het ink x wild").dam, [INK])
    assert [known.carries(INK, number) for number in (0, 1, 2)] == [0, F(2, 3), F(1, 3)]


def test_what_the_looks_leave_unsaid_looks_wild() -> None:
    dam = read("ember from het ember, het frost x het ember, het frost x wild").dam
    assert parent(dam, [EMBER, FROST]).carries(FROST, 1) == F(2, 3)


def test_a_sex_linked_trait_is_kept_back_by_sex() -> None:
    """ZZ/ZW, recessive on Z: a wild-looking son of carrier male × wild dam is a carrier with 1/2, a daughter never."""
    zeta = Trait("zeta", "z", Dominance.RECESSIVE, Where.SHARED)
    genome = Genome(system=SexSystem.ZZ_ZW)
    cross = read_cross("wild x wild from wild x Z^z/Z^+", [zeta], genome=genome)
    assert parent(cross.sire, [zeta], genome, Role.SIRE).carries(zeta, 1) == F(1, 2)
    kept = parent(read_cross("wild from wild x Z^z/Z^+ x wild", [zeta], genome=genome).dam, [zeta], genome, Role.DAM)
    assert kept.carries(zeta, 1) == 0


def test_a_look_that_a_cross_cannot_give_is_refused() -> None:
    with pytest.raises(NeverHappens):
        share("ember from wild x het ember x wild", EMBER)
    with pytest.raises(TraitMissing):
        parent(read("frost from het frost x het frost x wild").dam, [EMBER])


def test_the_trap_of_a_mixed_bin_as_typed() -> None:
    """science.md §2: half e/e F/F, half +/+ f/f on both sides give no double visual; the product of shares says 1/16."""
    bin_of_two = "10 visual ember or 10 visual frost"
    assert share(f"{bin_of_two} x {bin_of_two}", EMBER, FROST) == 0
    assert share(f"{bin_of_two} x {bin_of_two}", EMBER) * share(f"{bin_of_two} x {bin_of_two}", FROST) == F(1, 16)


def test_a_bin_within_kinds_and_crosses_is_looked_up() -> None:
    cross = read("3 dams 2 B-1 or 1 wild had males of B-2 x ember from (B-1 x B-1)")
    assert cross.dam.bin_codes == ("B-1", "B-2")
    assert cross.sire.bin_codes == ("B-1", "B-1")
    hets = read("het ember x ember")
    asked: list[tuple[str, Role]] = []

    def held(code: str, role: Role) -> Side:
        asked.append((code, role))
        return Side() if code == "B-2" else hets.dam

    found = CrossText(cross.dam.with_bins(held, Role.DAM), cross.sire.with_bins(held, Role.SIRE))
    assert asked == [("B-1", Role.DAM), ("B-2", Role.SIRE), ("B-1", Role.DAM), ("B-1", Role.SIRE)]
    assert write_cross(found) == (
        "3 dams 2 het ember or 1 wild had males of wild x visual ember from (het ember x het ember)"
    )
    assert [trait.name for trait in found.traits] == ["ember"]


def test_of_a_store_the_share_that_is_stated_is_sired_by_the_males_before() -> None:
    assert share("ember had males of wild siring 28% x ember", EMBER) == F(72, 100)
    assert share("ember had males of ember siring 50% x het ember", EMBER) == F(3, 4)


def test_of_a_store_nobody_knows_the_prior_has_the_published_mean_and_spread() -> None:
    """A later male's share was 28 % ± 15 in A. vulgare (doi 10.1651/S-2752.1); half the dams have no sperm left."""
    assert sum(chance for chance, _ in STORED) == 1
    some = [(chance * 2, stored) for chance, stored in STORED if stored]
    mean = sum(chance * stored for chance, stored in some)
    assert (mean, sum(chance for chance, _ in some)) == (1 - LATER_MALE, 1)
    spread = sum(chance * (stored - mean) ** 2 for chance, stored in some)
    assert abs(float(spread) ** 0.5 - 0.15) < 0.001
    young = young_of(read("ember had males of wild x ember"), [EMBER])
    assert young.share({EMBER: FULL}) == F(1, 2) + F(1, 2) * LATER_MALE
    # The brood goes through the parts: none of five shows with the mean of (share stored)^5, not its fifth power.
    assert 1 - young.at_least(1, 5, {EMBER: FULL}) == sum(chance * stored**5 for chance, stored in STORED)


def test_two_sires_of_a_brood_are_drawn_each_for_himself() -> None:
    young = young_of(read("ember x 2 sires 66% het ember"), [EMBER])
    assert young.share({EMBER: FULL}) == F(1, 3)
    # Ceiling: at least one of the two carries it.
    assert young.ceiling({EMBER: FULL}) == 1 - F(1, 3) ** 2


def test_dams_with_one_uncertain_sire_share_what_he_is() -> None:
    young = young_of(read("ember x 66% het ember"), [EMBER])
    wanted = {EMBER: FULL}
    apart, shared = (1 - young.at_least(1, 12, wanted, dams=3, one_sire=one) for one in (False, True))
    # All dams are alike here, so three of them with one sire are as one.
    assert shared == 1 - young.at_least(1, 12, wanted) == F(1, 3) + F(2, 3) * F(1, 2) ** 12
    assert apart < shared
    assert young.how_many(1, F(1, 2), wanted, dams=3, one_sire=True).ceiling == F(2, 3)
    assert young.chances(wanted, dams=3, one_sire=True) == ((F(1, 3), 0), (F(2, 3), F(1, 2)))


def test_uncertain_dams_with_one_uncertain_sire_against_enumeration() -> None:
    """Two 1/2-het dams, one 1/2-het sire, four young that each have either dam: every case added up by hand."""
    young = young_of(read("50% het ember x 50% het ember"), [EMBER])
    none = F(1, 2) + F(1, 2) * sum(F(1, 4) * (1 - F(one + other, 2) / 4) ** 4 for one in (0, 1) for other in (0, 1))
    assert 1 - young.at_least(1, 4, {EMBER: FULL}, dams=2, one_sire=True) == none


def test_sides_that_cannot_be_are_refused_where_they_are_born() -> None:
    several, stored = Side((), 2), Side((), 1, Store(Side()))
    for make in (
        lambda: KeptBack(((EMBER, FULL), (EMBER, FULL)), Side(), Side()),
        lambda: KeptBack((), several, Side()),
        lambda: KeptBack((), Side(), stored),
        lambda: MixedKinds(((1, Side()),)),
        lambda: MixedKinds(((1, Side()), (1, several))),
        lambda: Store(stored),
        lambda: CrossText(Side(), stored),
        lambda: Side((BinCode("B-1"), KeptBack((), Side(), Side()))),
    ):
        with pytest.raises(SideRefused):
            make()
    for make_number in (
        lambda: MixedKinds(((0, Side()), (1, Side()))),
        lambda: Store(Side(), F(3, 2)),
        lambda: Side((), 101),
    ):
        with pytest.raises(OutOfRange):
            make_number()


def test_swapping_the_parents_leaves_what_only_a_dam_has_behind() -> None:
    assert write_cross(read("3 dams het ember had males of wild x ember").swapped) == "3 dams visual ember x het ember"
    assert write_cross(read("het ember x 2 sires ember").swapped) == "visual ember x 2 sires het ember"


def test_a_scoring_error_is_put_on_the_young_and_on_what_they_say_of_their_parents() -> None:
    """By hand: a 1/2-het dam and a visual sire; 3 ember and 5 wild seen, one in twenty misread."""
    young = young_of(read("50% het ember x ember"), [EMBER])
    e = F(1, 20)
    assert {one.looks: one.share for one in young.misread(e).classes()}[("full",)] == F(1, 4) * (1 - e) + F(3, 4) * e
    carrier, free = F(1, 2) ** 8, e**3 * (1 - e) ** 5
    after = young.given({("full",): 3, ("wild",): 5}, error=e)
    assert after.ceiling({EMBER: FULL}) == carrier / (carrier + free)
    assert young.given({("full",): 3, ("wild",): 5}).ceiling({EMBER: FULL}) == 1
