"""The simulator by which the weighing is judged, judged itself: each of its draws against a closed form.

Chi-square bounds are those of one in ten thousand; with the seed fixed a test passes always or never.
"""

import ast
import math
import os
import random
import subprocess
import sys
from collections import Counter
from collections.abc import Callable, Sequence
from pathlib import Path
from statistics import NormalDist, fmean, pvariance

import pytest
from scipy.stats import chisquare

from genetics.evidence.explanations import Cause, Explanation, Figure, default_table
from genetics.evidence.grids import fixed
from genetics.evidence.programme import Brood, Dam, Founders, Kept, Mated, Pairing, Sharing, Stock
from genetics.genome import SexSystem
from tests.support.breeding_world import FULL, WILD, F, Genes, Heredity, M, Truth
from tests.support.breeding_world_broods import Breeding, Plan, Ways
from tests.support.breeding_world_programmes import Keeper, World, drawn_truth, simulated

MODULES = sorted((Path(__file__).parents[2] / "support").glob("breeding_world*.py"))
RARE = 1e-4
PLAIN = {
    Figure.PENETRANCE: 1.0,
    Figure.PHENOCOPIES: 0.0,
    Figure.SURVIVAL: 1.0,
    Figure.MISREAD: 0.0,
    Figure.SPOILT: 0.0,
    Figure.HOME: 0.3,
    Figure.AWAY: 0.0,
    Figure.HOMOZYGOTE: 0.0,
}
HET, VISUAL, PLAIN_WILD = ((0, 1),), ((1, 1),), ((0, 0),)


def heredity(cause: Cause = Cause.RECESSIVE, seed: int = 1, **held: object) -> Heredity:
    figures = PLAIN | held.pop("figures", {})  # type: ignore[operator]
    return Heredity(random.Random(seed), Truth(cause, figures, **held))  # type: ignore[arg-type]


def breeding(of: Heredity, *, had_males: float = 0.0, daughters: float = 0.5, ways: Ways = Ways()) -> Breeding:  # noqa: B008
    grids = {Figure.STORED_HAD_MALES: fixed(had_males), Figure.STORED_UNKNOWN: fixed(0.0)}
    held = Breeding(of.rng, of, grids, daughters, ways)
    held.groups = {"dam": Founders("dam", F), "sire": Founders("sire", M)}
    return held


def pair(held: Breeding, dam: Genes, sire: Genes, mated: Mated = Mated.ISOLATED) -> None:
    held.animals |= {"dam": [dam], "sire": [sire]}
    held.pairings["P"] = Pairing("P", (Dam("dam", mated),), ("sire",))


def plan(name: str, scored: int, in_bin: str = "A", *, found: bool = False) -> Plan:
    return Plan(Brood(name, "P", in_bin, ()), scored, found=found)


def shares(held: Breeding, broods: int, scored: int, *, found: bool = False) -> list[float]:
    """The share of young that show in so many broods, the unfound ones left out."""
    told = []
    for at in range(broods):
        if held.breed(plan(f"b{at}", scored, found=found)) or not found:
            told.append(held.broods[f"b{at}"].shown / scored)
    return told


def agrees(counts: Sequence[int], ratio: Sequence[float]) -> bool:
    total = sum(counts)
    return float(chisquare(counts, [total * r / sum(ratio) for r in ratio]).pvalue) > RARE


def test_it_knows_nothing_of_how_broods_are_weighed() -> None:
    values = {
        "genetics.evidence.explanations": {"Cause", "Explanation", "Figure"},
        "genetics.evidence.grids": {"Grid"},
        "genetics.evidence.programme": {
            *("UNCOUNTED", "Brood", "Counted", "Dam", "Founders", "Group", "Kept", "Mated"),
            *("Pairing", "Programme", "Sharing", "Stock"),
        },
        "genetics.genome": {"SexSystem"},
        "genetics.loci": {"Sex"},
        "genetics.traits": {"Appearance"},
    }
    assert len(MODULES) == 3
    for module in MODULES:
        for node in ast.walk(ast.parse(module.read_text("utf-8"))):
            if isinstance(node, ast.Import):
                assert not any(one.name.startswith("genetics") for one in node.names)
            if isinstance(node, ast.ImportFrom) and str(node.module).startswith("genetics"):
                assert {one.name for one in node.names} <= values[str(node.module)], module.name


def test_het_by_het_gives_one_two_one_and_double_hets_nine_three_three_one() -> None:
    """Mendel's ratios."""
    one = heredity()
    counts = Counter(sum(one.passed(HET, HET, F)[0]) for _ in range(8000))  # type: ignore[index]
    assert agrees([counts[0], counts[1], counts[2]], (1, 2, 1))
    two = heredity(Cause.BOTH_LOCI)
    double = (*HET, *HET)
    looks = Counter(
        tuple(any(locus) for locus in two.passed(double, double, M))  # type: ignore[union-attr]
        for _ in range(8000)
    )
    order = [(True, True), (True, False), (False, True), (False, False)]
    assert agrees([looks[one] for one in order], (9, 3, 3, 1))


@pytest.mark.parametrize(
    ("system", "single", "giver"), [(SexSystem.ZZ_ZW, F, "sire"), (SexSystem.XX_XY, M, "dam"), (SexSystem.X0, M, "dam")]
)
def test_the_sex_with_one_chromosome_has_it_of_the_other_parent(system: SexSystem, single: object, giver: str) -> None:
    one = heredity(Cause.SEX_LINKED, system=system)
    dam, sire = (((1,),), ((0, 0),)) if single is F else (((0, 0),), ((1,),))
    for sex in (F, M):
        young = one.passed(dam, sire, sex)
        assert young == (((0,),) if sex is single else ((0, 1),) if giver == "dam" else ((1, 0),))


def test_all_young_of_a_mother_take_after_her() -> None:
    one = heredity(Cause.MATERNAL)
    assert {one.passed(((1,),), ((0,),), sex) for sex in (F, M) for _ in range(20)} == {((1,),)}


def test_founders_are_in_hardy_weinberg_proportions() -> None:
    """p², 2pq, q² at q = .3; a lethal homozygote is missing."""
    counts = Counter(sum(heredity(seed=s).founder(F, Stock.HOME)[0]) for s in range(6000))  # type: ignore[index]
    assert agrees([counts[0], counts[1], counts[2]], (0.49, 0.42, 0.09))
    lethal = heredity(Cause.LETHAL)
    counts = Counter(sum(lethal.founder(F, Stock.HOME)[0]) for _ in range(6000))  # type: ignore[index]
    assert counts[2] == 0
    assert agrees([counts[0], counts[1]], (0.49, 0.42))


@pytest.mark.parametrize("cause", [Cause.RECESSIVE, Cause.DOMINANT, Cause.LETHAL, Cause.EITHER_LOCUS])
def test_an_odd_founder_is_one_of_the_stock_that_shows(cause: Cause) -> None:
    """Drawn among those that show, against founders drawn until one shows."""
    one = heredity(cause, figures={Figure.HOMOZYGOTE: 0.4})
    direct = Counter(tuple(sum(locus) for locus in one.odd(M, Stock.HOME, None) or ()) for _ in range(4000))  # type: ignore[union-attr,arg-type]
    slowly: Counter[tuple[int, ...]] = Counter()
    while slowly.total() < 4000:
        genes = one.founder(M, Stock.HOME)
        assert isinstance(genes, tuple)
        if one.meant(genes, M):
            slowly[tuple(sum(locus) for locus in genes)] += 1
    for genotype in direct | slowly:
        middle = (direct[genotype] + slowly[genotype]) / 2
        assert abs(direct[genotype] - slowly[genotype]) < 4 * math.sqrt(2 * middle + 1), genotype


def test_penetrance_phenocopies_survival_and_scoring_error() -> None:
    """All young visual: seen share (.8·.5·.9 + .2·.1) / (.8·.5 + .2); none: (.1·.5·.9 + .9·.1) / (.1·.5 + .9)."""
    figures = {Figure.PENETRANCE: 0.8, Figure.PHENOCOPIES: 0.1, Figure.SURVIVAL: 0.5, Figure.MISREAD: 0.1}
    for dam, expected in ((VISUAL, 0.38 / 0.6), (PLAIN_WILD, 0.135 / 0.95)):
        held = breeding(heredity(figures=figures))
        pair(held, dam, dam)
        shown = sum(shares(held, 200, 40)) / 200
        assert shown == pytest.approx(expected, abs=4 * math.sqrt(expected * (1 - expected) / 8000))


def test_survival_above_one_is_better_survival() -> None:
    """Het × visual, 1.1 to 1: 11 of 21."""
    held = breeding(heredity(figures={Figure.SURVIVAL: 1.1}))
    pair(held, HET, VISUAL)
    assert fmean(shares(held, 400, 40)) == pytest.approx(11 / 21, abs=0.016)


def test_the_sex_ratio() -> None:
    held = breeding(heredity(), daughters=0.7)
    pair(held, HET, HET)
    held.breed(plan("b", 6000))
    sexes = Counter(young.sex for young in held.litters["b"].young)
    assert agrees([sexes[F], sexes[M]], (0.7, 0.3))


def test_the_share_of_stored_sperm() -> None:
    """Visual × visual of a dam that had males of a clean stock: .28 of the young are wild, and none of an isolated one."""
    for mated, expected in ((Mated.HAD_MALES, 0.28), (Mated.ISOLATED, 0.0)):
        held = breeding(heredity(), had_males=0.28)
        pair(held, VISUAL, VISUAL, mated)
        assert 1 - fmean(shares(held, 200, 40)) == pytest.approx(expected, abs=0.02 if expected else 0)


def test_found_broods_of_five_show_a_third() -> None:
    """.25 / (1 − .75⁵) = .328: science.md §5 gives a mean share of .33 (Fisher 1934, from memory)."""
    held = breeding(heredity())
    pair(held, HET, HET)
    found = shares(held, 6000, 5, found=True)
    assert len(found) == pytest.approx(6000 * (1 - 0.75**5), abs=150)
    assert fmean(found) == pytest.approx(0.25 / (1 - 0.75**5), abs=0.01)
    assert round(fmean(found), 2) == 0.33


def test_rates_without_genes_scatter_as_a_beta_binomial() -> None:
    """Variance of a share: m(1 − m)(1 + (n − 1)/(s + 1))/n, of broods with rates of their own (m .3, s 2)."""
    figures = {Figure.RATE: 0.3, Figure.BROOD_SPREAD: 2.0}
    held = breeding(heredity(Cause.NONE, figures=figures))
    pair(held, PLAIN_WILD, PLAIN_WILD)
    told = shares(held, 6000, 20)
    assert fmean(told) == pytest.approx(0.3, abs=0.015)
    assert pvariance(told) == pytest.approx(0.21 * (1 + 19 / 3) / 20, rel=0.05)


def test_broods_of_one_bin_are_alike_without_genes() -> None:
    """The covariance of two broods of a bin is the variance of the bins' rates, m(1 − m)/(s + 1) = .21/3."""
    figures = {Figure.RATE: 0.3, Figure.BIN_SPREAD: 2.0, Figure.BROOD_SPREAD: 30.0}
    held = breeding(heredity(Cause.NOT_INHERITED, figures=figures))
    pair(held, PLAIN_WILD, PLAIN_WILD)
    pairs = []
    for at in range(4000):
        for name, in_bin in (("a", f"{at}"), ("b", f"{at}"), ("c", f"other {at}")):
            held.breed(plan(name, 20, in_bin))
        pairs.append(tuple(held.broods[name].shown / 20 for name in "abc"))
    mean = fmean(a for a, _, _ in pairs)
    assert fmean(a * b for a, b, _ in pairs) - mean**2 == pytest.approx(0.07, rel=0.08)
    assert fmean(a * c for a, _, c in pairs) - mean**2 == pytest.approx(0.0, abs=0.006)


def test_a_spoilt_brood_shows_any_share() -> None:
    """Uniform shares: mean ½, every count from 0 to n alike."""
    held = breeding(heredity(figures={Figure.SPOILT: 1.0}))
    pair(held, PLAIN_WILD, PLAIN_WILD)
    counts = Counter(round(share * 9) for share in shares(held, 5000, 9))
    assert agrees([counts[k] for k in range(10)], [1] * 10)


def test_many_genes_with_a_threshold() -> None:
    """Incidence in the stock; young of two known breeding values show with Φ((mean − t)/√(1 − h²/2)) (Falconer 1965, from memory)."""
    figures = {Figure.HERITABILITY: 0.7, Figure.INCIDENCE: 0.03, Figure.SURVIVAL: 1.0, Figure.MISREAD: 0.0}
    one = heredity(Cause.THRESHOLD, figures=figures)
    stock = fmean(one.expressed(one.founder(F, Stock.AWAY), F)[0] for _ in range(20_000))
    assert stock == pytest.approx(0.03, abs=0.005)
    young = fmean(one.expressed(one.passed(1.9, 0.9, M), M)[0] for _ in range(20_000))
    expected = NormalDist().cdf((1.4 - NormalDist().inv_cdf(0.97)) / math.sqrt(1 - 0.35))
    assert young == pytest.approx(expected, abs=0.014)


def test_kept_back_wild_looking_sibs_are_two_thirds_het() -> None:
    """2/3 of the wild-looking young of het × het carry it."""
    held = breeding(heredity())
    pair(held, HET, HET)
    kept = []
    for at in range(3000):
        held.breed(plan("b", 6))
        if held.broods["b"].count((WILD,), F):
            held.keep(Kept(f"k{at}", F, "b", look=WILD))
            kept.append(sum(held.animals[f"k{at}"][0][0]))  # type: ignore[index]
    counts = Counter(kept)
    assert counts[2] == 0
    assert agrees([counts[0], counts[1]], (1, 2))


def test_a_bin_has_one_mother_for_each_brood_or_one_for_each_young() -> None:
    """Of two dams, wild and het, by a visual sire: broods of one mother have no visual in half the cases, others seldom."""
    for how, expected in ((Sharing.ONE, 0.5), (Sharing.EACH, 0.75**10)):
        held = breeding(heredity())
        pair(held, HET, VISUAL)
        held.groups["dam"] = Founders("dam", F, 2)
        held.animals["dam"] = [PLAIN_WILD, HET]
        held.pairings["P"] = Pairing("P", (Dam("dam", Mated.ISOLATED),), ("sire",), mothers=how)
        none = fmean(share == 0 for share in shares(held, 2000, 10))
        assert none == pytest.approx(expected, abs=0.045)


def departs(ways: Ways, dam: Genes, sire: Genes) -> float:
    """Share of broods of 40 with anything in them that cannot come of these parents."""
    told = []
    for seed in range(400):
        held = breeding(heredity(seed=seed), ways=ways)
        pair(held, PLAIN_WILD, PLAIN_WILD)
        held.litters["other"] = held.litter(plan("other", 1).brood)
        pair(held, dam, sire)
        held.warm.clear()
        held.breed(plan("b", 40))
        told.append(held.broods["b"].shown)
    return fmean(shown != (40 if dam == VISUAL else 0) for shown in told)


CASES: list[tuple[str, Callable[[], float], float]] = [
    ("contaminated", lambda: departs(Ways(contaminated=0.3), VISUAL, VISUAL), 0.3),
    ("secretly mated", lambda: departs(Ways(secretly_mated=0.3), VISUAL, VISUAL), 0.3),
    ("warm bins", lambda: departs(Ways(warm_bins=0.3), PLAIN_WILD, PLAIN_WILD), 0.3),
    ("none", lambda: departs(Ways(), VISUAL, VISUAL), 0.0),
]


@pytest.mark.parametrize(("name", "share", "expected"), CASES, ids=[name for name, _, _ in CASES])
def test_each_departure_happens_as_often_as_it_should(name: str, share: Callable[[], float], expected: float) -> None:
    assert share() == pytest.approx(expected, abs=0.09 if expected else 0), name


def test_modifiers_lower_penetrance() -> None:
    """Mean over copies 0–4, binomial at .3: Σ C(4, k) .3ᵏ .7⁴⁻ᵏ · (1, .85, .7, .5, .3)."""
    one = heredity(modifiers=True)
    left = (1.0, 0.85, 0.7, 0.5, 0.3)
    expected = sum(math.comb(4, k) * 0.3**k * 0.7 ** (4 - k) * share for k, share in enumerate(left))
    shows = fmean(one.expressed((*VISUAL, *one.extra()), F)[0] for _ in range(8000))
    assert shows == pytest.approx(expected, abs=0.02)


def test_causes_come_from_the_priors() -> None:
    table = default_table()
    rng = random.Random(3)
    keeper = Keeper(rng, World("priors"))
    keeper.partial, keeper.system = True, SexSystem.ZZ_ZW
    start = keeper.start()
    while not any(one.odd for one in start.founders):
        start = keeper.start()
    counts = Counter(drawn_truth(rng, table, keeper, start).cause for _ in range(8000))
    rows: tuple[Explanation, ...] = table
    assert agrees([counts[row.cause] for row in rows], [row.prior for row in rows])


def test_programmes_are_as_large_as_they_should_be() -> None:
    """2 to 12 broods of 5 to 40 over 1 to 3 generations, with bins, found broods and animals kept back among them."""
    table = default_table()
    every = [simulated(random.Random(seed), table, World("priors"))[1] for seed in range(120)]
    assert all(2 <= len(held.broods) <= 12 for held in every)
    assert all(5 <= brood.scored <= 40 for held in every for brood in held.broods)
    assert all(brood.shown for held in every for brood in held.broods if brood.found)
    assert any(brood.found for held in every for brood in held.broods)
    assert any(isinstance(one, Kept) and (one.number or 0) > 1 for held in every for one in held.groups)
    assert any(one.look is FULL for held in every for one in held.groups if isinstance(one, Kept))
    assert simulated(random.Random(5), table, World("priors")) == simulated(random.Random(5), table, World("priors"))


def test_a_seed_gives_the_same_programme_in_every_run() -> None:
    """Python hashes words anew in each process."""
    ask = "import random; from genetics.evidence.explanations import default_table as t; "
    ask += "from tests.support.breeding_world_programmes import World, simulated as s; "
    ask += "print([s(random.Random(seed), t(), World('priors')) for seed in range(8)])"
    told = {
        subprocess.run(
            [sys.executable, "-c", ask],
            env=os.environ | {"PYTHONHASHSEED": seed},
            cwd=Path(__file__).parents[3],
            capture_output=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    }
    assert len(told) == 1
