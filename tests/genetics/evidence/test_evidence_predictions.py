"""What each explanation predicts for one pairing, against enumeration of gametes and figures worked by hand."""

import itertools
import math
from collections.abc import Callable

import numpy as np
import pytest

from genetics.evidence.explanations import Cause, Explanation, Figure, default_grids, default_table
from genetics.evidence.findings import LeftOut
from genetics.evidence.founding import Setting
from genetics.evidence.grids import fixed, weighted
from genetics.evidence.laws import Kind, law_of
from genetics.evidence.modes import FEMALE, MALE, Mode, modes
from genetics.evidence.programme import Counted, Dam, Founders, Kept, Mated, Misread, Pairing
from genetics.evidence.rows import measured, row_weighed, settings
from genetics.evidence.scoring import locus_scoring
from genetics.evidence.telling import shares_of
from genetics.evidence.threshold import threshold_mode, threshold_scoring
from genetics.evidence.weighing import weigh
from genetics.genome import SexSystem
from genetics.loci import Sex
from genetics.traits import Appearance
from tests.support.evidence_reference import Genotype, World
from tests.support.programmes import FULL, WILD, F, M, brood, isolated, programme, unsexed

PARTIAL = Appearance.PARTIAL
SYSTEM = SexSystem.ZZ_ZW


def copies(genotype: Genotype) -> int:
    return sum(sum(locus) for locus in genotype)


def two(genotype: Genotype, _: Sex) -> bool:
    return (1, 1) in genotype


def one(genotype: Genotype, _: Sex) -> bool:
    return copies(genotype) > 0


def only(sex: Sex, rule: Callable[[Genotype, Sex], bool]) -> Callable[[Genotype, Sex], bool]:
    return lambda genotype, young: young is sex and rule(genotype, young)


def all_of_it(genotype: Genotype, _: Sex) -> bool:
    return all(all(locus) for locus in genotype)


def either(genotype: Genotype, _: Sex) -> bool:
    return (1, 1) in genotype


MODES: list[tuple[Cause, int, SexSystem, World]] = [
    (Cause.RECESSIVE, 0, SYSTEM, World(two)),
    (Cause.DOMINANT, 0, SYSTEM, World(one)),
    (Cause.LETHAL, 0, SYSTEM, World(one, two_copies=0.0)),
    (Cause.LETHAL, 1, SYSTEM, World(one, two_copies=0.4)),
    (Cause.SEX_LIMITED, 0, SYSTEM, World(only(F, two))),
    (Cause.SEX_LIMITED, 1, SYSTEM, World(only(M, two))),
    (Cause.SEX_LIMITED, 2, SYSTEM, World(only(F, one))),
    (Cause.SEX_LIMITED, 3, SYSTEM, World(only(M, one))),
    (Cause.SEX_LINKED, 0, SexSystem.ZZ_ZW, World(all_of_it, single=F)),
    (Cause.SEX_LINKED, 1, SexSystem.ZZ_ZW, World(one, single=F)),
    (Cause.SEX_LINKED, 0, SexSystem.XX_XY, World(all_of_it, single=M)),
    (Cause.SEX_LINKED, 1, SexSystem.X0, World(one, single=M)),
    (Cause.BOTH_LOCI, 0, SYSTEM, World(all_of_it, loci=2)),
    (Cause.EITHER_LOCUS, 0, SYSTEM, World(either, loci=2)),
]


def genotype_of(name: str, chromosomes: int) -> Genotype | None:
    """A state's name as alleles; None: a sex with so many chromosomes cannot be that."""
    loci = []
    for number in (int(part) for part in name.split("/")):
        if number > chromosomes:
            return None
        loci.append((0,) * (chromosomes - number) + (1,) * number)
    return tuple(loci)


def mode_of(cause: Cause, variant: int, system: SexSystem) -> Mode:
    return modes(cause, system, ((0.0, 0.6), (0.4, 0.4)) if cause is Cause.LETHAL else ())[variant]


@pytest.mark.parametrize(("cause", "variant", "system", "world"), MODES)
def test_young_of_every_pair_of_parents_are_those_of_enumerated_gametes(
    cause: Cause, variant: int, system: SexSystem, world: World
) -> None:
    mode = mode_of(cause, variant, system)
    law = law_of(mode, (Kind(),), (Kind(),), ((),))
    chromosomes = {sex: 1 if world.single is sex else 2 for sex in (F, M)}
    pairs = 0
    for (d, dam), (s, sire) in itertools.product(enumerate(mode.names), repeat=2):
        mother, father = genotype_of(dam, chromosomes[F]), genotype_of(sire, chromosomes[M])
        if mother is None or father is None:
            continue
        pairs += 1
        for at, sex in ((FEMALE, F), (MALE, M)):
            young = world.young(mother, father, sex)
            alive = sum(chance * world.lives(g) for g, chance in young.items())
            shows = sum(chance * world.lives(g) for g, chance in young.items() if world.shows(g, sex))
            row = law.expressed[law.looks[d, s], at]
            assert row.sum() == pytest.approx(alive, abs=1e-12)
            assert row[1:].sum() == pytest.approx(shows, abs=1e-12)
    assert pairs in (6, 9, 81)


def test_a_mothers_trait_is_hers_alone() -> None:
    mode = mode_of(Cause.MATERNAL, 0, SYSTEM)
    law = law_of(mode, (Kind(),), (Kind(),), ((),))
    for d, s in itertools.product(range(2), repeat=2):
        assert law.expressed[law.looks[d, s]].tolist() == [[1.0 - d, float(d)]] * 2


FIGURES = {
    Figure.PENETRANCE: np.array([0.8]),
    Figure.PHENOCOPIES: np.array([0.01]),
    Figure.SURVIVAL: np.array([0.7]),
    Figure.MISREAD: np.array([0.02]),
    Figure.SPOILT: np.array([0.0]),
}


def test_shares_of_scored_young_by_hand() -> None:
    """Het × het of a recessive: ¼·0.8 + ¾·0.01 show; they live 0.7 times as often; 2 in 100 are misread."""
    mode = mode_of(Cause.RECESSIVE, 0, SYSTEM)
    law = law_of(mode, (Kind(),), (Kind(),), ((),))
    scoring = locus_scoring(FIGURES, 2)
    shares = np.exp(shares_of(law, scoring, 0.5).log)[law.looks[1, 1], 0, :, 0]
    shows = 0.25 * 0.8 + 0.75 * 0.01
    alive = shows * 0.7
    scored = (alive * 0.98 + (1 - shows) * 0.02) / (alive + 1 - shows)
    assert shares.tolist() == pytest.approx([1 - scored, scored], abs=1e-12)


def test_partial_by_partial_in_three_classes_by_hand() -> None:
    """1:2:1 of genotypes; each class that is meant shows with 0.8; a neighbour is written for it with 0.02."""
    mode = mode_of(Cause.INCOMPLETE, 0, SYSTEM)
    law = law_of(mode, (Kind(),), (Kind(),), ((),))
    shares = np.exp(shares_of(law, locus_scoring(FIGURES, 3), 0.5).log)[law.looks[1, 1], 0, :, 0]
    wild = 0.25 * 0.99 + 0.75 * 0.2
    partial = (0.25 * 0.005 + 0.5 * 0.8) * 0.7
    full = (0.25 * 0.005 + 0.25 * 0.8) * 0.7
    total = wild + partial + full
    assert shares.tolist() == pytest.approx(
        [
            (wild * 0.98 + partial * 0.01) / total,
            (wild * 0.02 + partial * 0.98 + full * 0.02) / total,
            (partial * 0.01 + full * 0.98) / total,
        ],
        abs=1e-12,
    )


def incomplete(first: tuple[int, int, int], second: tuple[int, int, int], kept: Appearance) -> dict[Cause, float]:
    """Posteriors for (wild, partial, full) of a full one's F1, and of two F1 sibs of that look."""

    def seen(wild: int, partial: int, full: int) -> tuple[Counted, ...]:
        return (Counted(WILD, wild), Counted(PARTIAL, partial), Counted(FULL, full))

    found = weigh(
        programme(
            [
                Founders("odd", M, odd=True, look=FULL),
                Founders("wild", F, look=WILD),
                Kept("d", F, "F1", look=kept),
                Kept("s", M, "F1", look=kept),
            ],
            [isolated("P", "wild", "odd"), isolated("sibs", "d", "s")],
            [brood("F1", "P", seen(*first)), brood("F2", "sibs", seen(*second))],
            partial=True,
        )
    )
    assert LeftOut.NO_PARTIAL not in dict(found.left_out).values()
    return {share.cause: share.posterior for share in found.shares}


def test_three_classes_tell_incomplete_dominance() -> None:
    assert incomplete((0, 22, 0), (10, 20, 11), PARTIAL)[Cause.INCOMPLETE] > 0.95
    # A clean F1 and three to one: one copy hides.
    assert incomplete((22, 0, 0), (31, 0, 10), WILD)[Cause.INCOMPLETE] < 0.001


def test_the_split_into_partial_and_full_is_a_beta_mixture_under_all_others() -> None:
    """Beta(1, 4): 3 partial and 2 full of 5 have probability B(4, 6) / B(1, 4) in one order."""

    def recessive(partial: bool) -> float:
        looks = (PARTIAL, FULL) if partial else (FULL, FULL)
        seen = (Counted(WILD, 5), Counted(looks[0], 3), Counted(looks[1], 2))
        held = programme(
            [Founders("odd", M, odd=True), Founders("dam", F)],
            [isolated("P", "dam", "odd")],
            [brood("b", "P", seen)],
            partial=partial,
        )
        return next(share.log_evidence for share in weigh(held).shares if share.cause is Cause.RECESSIVE)

    def beta(a: float, b: float) -> float:
        return math.gamma(a) * math.gamma(b) / math.gamma(a + b)

    assert recessive(True) - recessive(False) == pytest.approx(math.log(beta(4, 6) / beta(1, 4)), abs=1e-9)


def threshold_share(dam: float, sire: float, heritability: float, incidence: float, step: float) -> float:
    """P(a young shows) by the bands, for parents with these breeding values in units of their own deviation."""
    mode = threshold_mode(heritability, 1.0, step)
    bands = np.arange(-3.0, 6.0 + step / 2, step)
    figures = FIGURES | {
        Figure.INCIDENCE: np.array([incidence]),
        Figure.SURVIVAL: np.array([1.0]),
        Figure.MISREAD: np.array([0.0]),
    }
    scoring = threshold_scoring(heritability, figures, step)
    d, s = int(np.abs(bands - dam).argmin()), int(np.abs(bands - sire).argmin())
    return float(mode.moves[0, d, s] @ scoring.seen[:, 1, 0])


@pytest.mark.parametrize(("dam", "sire"), [(-0.3, -0.3), (1.5, 1.5), (2.4, -0.3), (3.3, 2.4)])
@pytest.mark.parametrize(("heritability", "incidence"), [(0.3, 0.003), (0.7, 0.03), (0.7, 0.003)])
def test_a_thresholds_bands_are_as_good_as_the_integral(
    dam: float, sire: float, heritability: float, incidence: float
) -> None:
    """In closed form a young's liability is normal: mean √h²·(dam + sire)/2, variance 1 − h²/2."""
    from scipy.stats import norm

    limit = norm.isf(incidence)
    mean = heritability**0.5 * (dam + sire) / 2
    exact = norm.sf((limit - mean) / (1 - heritability / 2) ** 0.5)
    assert threshold_share(dam, sire, heritability, incidence, 0.9) == pytest.approx(exact, abs=2e-3, rel=2e-3)


def test_a_threshold_against_simulation() -> None:
    """Odd × unselected founder, 20 young: liabilities drawn one by one, the odd one by rejection. 200,000 families."""
    heritability, incidence = 0.7, 0.03
    rng = np.random.default_rng(7)
    from scipy.stats import norm

    limit = norm.isf(incidence)
    wanted = 200_000
    genes = rng.normal(0, heritability**0.5, 12_000_000)
    odd = genes[genes + rng.normal(0, (1 - heritability) ** 0.5, genes.size) > limit][:wanted]
    assert len(odd) == wanted
    mates = rng.normal(0, heritability**0.5, wanted)
    middle = ((odd + mates) / 2)[:, None] + rng.normal(0, (heritability / 2) ** 0.5, (wanted, 20))
    shown = (middle + rng.normal(0, (1 - heritability) ** 0.5, middle.shape) > limit).sum(axis=1)
    row = Explanation(
        Cause.THRESHOLD,
        1.0,
        default_grids(Cause.THRESHOLD)
        | {
            Figure.HERITABILITY: fixed(heritability),
            Figure.INCIDENCE: fixed(incidence),
            Figure.SURVIVAL: fixed(1.0),
            Figure.MISREAD: fixed(0.0),
            Figure.SPOILT: fixed(1e-12),
        },
        "",
    )
    for k in range(6):
        held = programme(
            [Founders("odd", M, odd=True), Founders("dam", F)],
            [isolated("P", "dam", "odd")],
            [brood("b", "P", unsexed(k, 20))],
        )
        chance = math.exp(row_weighed(row, held).log_evidence) * math.comb(20, k)
        share = float((shown == k).mean())
        error = (chance * (1 - chance) / wanted) ** 0.5
        # The bands cut the tail at +6; four standard errors beside a hundredth of the chance.
        assert abs(share - chance) < 4 * error + 0.01 * chance, k


def test_bins_under_a_threshold_are_named_as_fresh_sibs() -> None:
    found = weigh(
        programme(
            [Founders("odd", M, odd=True), Founders("dam", F), Kept("bin", F, "F1", 3)],
            [isolated("P", "dam", "odd"), Pairing("back", (Dam("bin", Mated.ISOLATED),), ("odd",))],
            [brood("F1", "P", unsexed(0, 20)), brood("BC", "back", unsexed(5, 20))],
        )
    )
    assert found.fresh == ("bin",)


def test_a_measured_scoring_error_takes_the_place_of_the_prior() -> None:
    """By the posterior of a Beta: 10 differences in 100 animals are 5 errors on ½ in 20½."""
    assert measured(Misread(10, 100)).mean == pytest.approx(5.5 / 120.5, abs=1e-12)
    held = programme(
        [Founders("odd", M, odd=True), Founders("dam", F)],
        [isolated("P", "dam", "odd")],
        [brood("b", "P", unsexed(3, 20))],
        misread=Misread(10, 100),
    )
    row = next(row for row in default_table() if row.cause is Cause.RECESSIVE)
    setting: Setting
    setting, _ = next(settings(row, held))
    assert set(np.round(setting.figures[Figure.MISREAD], 9)) == {round(n, 9) for n in measured(Misread(10, 100)).nodes}


def test_what_cannot_be_told_apart_is_left_out_with_its_reason() -> None:
    held = programme(
        [Founders("dam", F), Founders("sire", M)],
        [isolated("P", "dam", "sire")],
        [brood("b", "P", unsexed(3, 20))],
        system=SexSystem.UNKNOWN,
    )
    found = weigh(held)
    assert dict(found.left_out) == {
        Cause.INCOMPLETE: LeftOut.NO_PARTIAL,
        Cause.SEX_LINKED: LeftOut.NO_CHROMOSOME,
        Cause.EITHER_LOCUS: LeftOut.NO_ODD,
    }
    assert sum(share.prior for share in found.shares) == pytest.approx(1, abs=1e-12)
    assert sum(share.posterior for share in found.shares) == pytest.approx(1, abs=1e-12)
    assert sum(share.sceptic for share in found.shares) == pytest.approx(1, abs=1e-12)


def test_stored_sperm_under_a_threshold_is_its_mean_share_of_the_stocks() -> None:
    """By hand: of a dam that had males, 0.25 × 0.4 of the young are of unselected sires."""
    figures = {Figure.STORED_HAD_MALES: weighted([(0.0, 0.6), (0.25, 0.4)]), Figure.SPOILT: fixed(1e-12)}
    row = Explanation(Cause.THRESHOLD, 1.0, default_grids(Cause.THRESHOLD) | figures, "")

    def chance(sire_odd: bool, mated: Mated) -> float:
        """P(one scored young of an unselected dam shows), all figures fixed at their first."""
        grids = {figure: fixed(grid.nodes[0]) for figure, grid in row.grids.items()} | figures
        held = programme(
            [Founders("sire", M, odd=sire_odd), Founders("dam", F)],
            [Pairing("P", (Dam("dam", mated),), ("sire",))],
            [brood("b", "P", unsexed(1, 1))],
        )
        plain = {Figure.SURVIVAL: fixed(1.0), Figure.MISREAD: fixed(0.0)}
        whole = Explanation(Cause.THRESHOLD, 1.0, grids | plain, "")
        return math.exp(row_weighed(whole, held).log_evidence)

    alone, stock = chance(True, Mated.ISOLATED), chance(False, Mated.ISOLATED)
    assert chance(True, Mated.HAD_MALES) == pytest.approx(0.9 * alone + 0.1 * stock, rel=1e-9)
    assert alone > 2 * stock
