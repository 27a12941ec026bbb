"""The distance of two traits, from crosses as keepers type them."""

import pytest

from bot.services.linkage import Distance, Family, distance_of
from bot.services.refusals import WordNotKnown
from bot.services.refusals_crosses import NoRecombination, Unsuited
from bot.services.traits import define_trait
from tests.support.asking import Asking
from tests.support.founding import with_recessives

HETS = "het ember, het ink"
F2 = f"{HETS} x {HETS}"
TEST = f"{HETS} x visual ember, visual ink"


async def ask(asking: Asking, *families: Family) -> Distance:
    return await distance_of(asking.desk, asking.by(), families)


async def test_sweet_peas_in_coupling(asking: Asking) -> None:
    """Bateson, Saunders & Punnett 1905-06: 284 purple long, 21 purple round, 21 red long, 55 red round; r = .128."""
    await with_recessives(asking, "ember", "ink")
    text = "284 wild, 21 ink, 21 ember, 55 both"
    found = await ask(asking, Family(F2, text, "together"))
    assert found.found.r == pytest.approx(0.12804, abs=5e-6)
    assert found.found.error_expected == pytest.approx(0.01856, abs=5e-6)
    assert found.other is None
    # Where the parents of the hets are written, they say the phase.
    written = "wild from ember and ink x wild"
    assert (await ask(asking, Family(f"{written} x {written}", text))).found.r == found.found.r
    # Where nobody says it, the counts do.
    alone = await ask(asking, Family(F2, text))
    assert alone.found.r == found.found.r
    assert alone.other is not None
    assert alone.other > 10
    assert [one.together for one in alone.families] == [True]


async def test_maize_in_repulsion(asking: Asking) -> None:
    """Fisher & Balmukand 1928: 1997, 906, 904 and 32; r = .1890 ± .0154."""
    await with_recessives(asking, "ember", "ink")
    dam = "wild from ember x ink"
    found = await ask(asking, Family(f"{dam} x {dam}", "1997 wild, 906 ink, 904 ember, 32 both"))
    assert found.found.r == pytest.approx(0.188977, abs=5e-7)
    assert found.found.error_expected == pytest.approx(0.0154474, abs=5e-8)
    assert [(one.together, one.stated) for one in found.families] == [(False, True)]


async def test_flies_in_a_test_cross(asking: Asking) -> None:
    """Morgan's purple and vestigial (Griffiths et al.): 1339, 1195, 151, 154; r = .1074 ± .0058."""
    await with_recessives(asking, "ember", "ink")
    found = await ask(asking, Family(TEST, "1339 wild, 1195 both, 151 ink, 154 ember", "coupling"))
    assert found.found.r == pytest.approx(0.107432, abs=5e-7)
    assert found.found.error_expected == pytest.approx(0.005812, abs=5e-7)
    assert found.found.misfit.p is not None
    assert found.found.misfit.p < 0.02


async def test_dominant_traits_count_by_their_recessive_alleles(asking: Asking) -> None:
    """The same peas with purple and long as the traits: what shows both dominants is the class of no recessive."""
    for name in ("purple", "long"):
        await define_trait(asking.desk, asking.by(), name=name, dominance="dominant", symbol=name[0])
    cross = "het purple, het long x het purple, het long"
    text = "284 both, 21 purple, 21 long, 55 wild"
    assert (await ask(asking, Family(cross, text, "together"))).found.r == pytest.approx(0.12804, abs=5e-6)
    await with_recessives(asking, "ink")
    mixed = "het purple, het ink x het purple, het ink"
    # One dominant and one recessive from one parent: their recessive alleles came apart.
    apart = await ask(asking, Family(mixed, "284 purple, 21 both, 21 wild, 55 ink", "apart"))
    assert apart.found.r == pytest.approx(0.12804, abs=5e-6)


async def test_doses_that_show_are_counted_as_doses(asking: Asking) -> None:
    await with_recessives(asking, "ember")
    await define_trait(asking.desk, asking.by(), name="frost", dominance="incompletely dominant", symbol="F")
    cross = "het ember, het frost x het ember, het frost"
    seen = "60 no ember and no frost, 30 het frost, 6 super frost, 2 ember, 10 ember and het frost, 24 ember and super frost"
    # In coupling at r = 0 all embers have two doses, and none without ember has.
    found = await ask(asking, Family(cross, seen, "together"))
    assert found.found.r < 0.25
    assert len(found.families[0].data.counts) == 6
    # In a test cross there are two looks: a mate without frost shows one dose or none, one with two shows one or two.
    for mate, text in (
        ("visual ember", "45 wild, 5 het frost, 5 ember, 45 ember and het frost"),
        (
            "visual ember, homozygous frost",
            "45 het frost, 5 super frost, 5 ember and het frost, 45 ember and super frost",
        ),
    ):
        test = await ask(asking, Family(f"het ember, het frost x {mate}", text, "together"))
        assert test.found.r == pytest.approx(0.1)


async def test_crosses_in_either_phase_are_taken_together_and_the_sexes_compared(asking: Asking) -> None:
    await with_recessives(asking, "ember", "ink")
    dams = Family(TEST, "45 wild, 45 both, 5 ink, 5 ember", "together")
    sires = Family(f"visual ember, visual ink x {HETS}", "10 wild, 10 both, 40 ink, 40 ember", "apart")
    found = await ask(asking, dams, sires)
    assert found.found.r == pytest.approx(30 / 200)
    assert found.dams is not None
    assert found.sires is not None
    assert (found.dams.r, found.sires.r) == (pytest.approx(0.1), pytest.approx(0.2))
    assert found.differ is not None
    assert 0.01 < found.differ < 0.1


@pytest.mark.parametrize(
    ("cross", "seen", "phase", "why"),
    [
        ("het ember x het ember", "6 ember, 17 wild", "", Unsuited.TRAITS),
        ("het ember, het ink, het ash x het ember, het ink", "6 ember, 17 wild", "", Unsuited.TRAITS),
        (f"{HETS} x het ember", "6 ember, 17 wild", "", Unsuited.PARENTS),
        ("het ember, visual ink x het ember, het ink", "6 ember, 17 wild", "", Unsuited.PARENTS),
        ("visual ember x visual ink", "17 wild", "", Unsuited.PARENTS),
        (f"66% het ember, het ink x {HETS}", "6 ember, 17 wild", "", Unsuited.UNCERTAIN),
        (f"{HETS} had males of wild x {HETS}", "6 ember, 17 wild", "", Unsuited.PARENTS),
        (f"wild from ember x ink x {HETS}", "6 ember, 17 wild", "together", Unsuited.PHASES),
    ],
)
async def test_what_tells_no_distance_is_refused_with_the_reason(
    asking: Asking, cross: str, seen: str, phase: str, why: Unsuited
) -> None:
    await with_recessives(asking, "ember", "ink", "ash")
    with pytest.raises(NoRecombination) as caught:
        await ask(asking, Family(cross, seen, phase))
    assert caught.value.why is why
    assert caught.value.cross == cross


async def test_young_that_the_cross_cannot_give_tell_nothing(asking: Asking) -> None:
    await with_recessives(asking, "ember")
    await define_trait(asking.desk, asking.by(), name="frost", dominance="incompletely dominant", symbol="F")
    cross = "het ember, het frost x visual ember, homozygous frost"
    with pytest.raises(NoRecombination) as caught:
        await ask(asking, Family(cross, "45 wild, 5 super frost, 45 ember and super frost"))
    assert caught.value.why is Unsuited.IMPOSSIBLE


async def test_other_traits_and_other_words_are_refused(asking: Asking) -> None:
    await with_recessives(asking, "ember", "ink", "ash")
    first = Family(F2, "284 wild, 21 ink, 21 ember, 55 both", "together")
    other = Family("het ember, het ash x het ember, het ash", "9 wild, 3 ash, 3 ember, 1 both")
    with pytest.raises(NoRecombination) as caught:
        await ask(asking, first, other)
    assert caught.value.why is Unsuited.OTHER_TRAITS
    with pytest.raises(WordNotKnown):
        await ask(asking, Family(F2, "284 wild, 21 ink, 21 ember, 55 both", "sideways"))
