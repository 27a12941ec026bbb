"""The records and the table of explanations refuse what does not hang together, and say what they mean."""

import pickle
import subprocess
import sys
from collections.abc import Callable

import pytest
from scipy.special import roots_jacobi

from genetics.errors import EvidenceFault, EvidenceRefused, OutOfRange
from genetics.evidence.explanations import Cause, Explanation, Figure, checked_table, default_table, sceptic
from genetics.evidence.grids import Grid, beta_grid, fixed
from genetics.evidence.programme import (
    Brood,
    Counted,
    Dam,
    Founders,
    Kept,
    Mated,
    Misread,
    Pairing,
    Programme,
)
from genetics.genome import SexSystem
from genetics.loci import Sex
from genetics.traits import Appearance

ODD = Founders("odd", Sex.MALE, odd=True)
DAM = Founders("dam", Sex.FEMALE)
SEEN = (Counted(Appearance.FULL, 3), Counted(Appearance.WILD, 7))
PAIR = Pairing("p", (Dam("dam", Mated.ISOLATED),), ("odd",))
BROOD = Brood("b", "p", "B-1", SEEN)


def programme(**changed: object) -> Programme:
    parts: dict[str, object] = {"groups": (ODD, DAM), "pairings": (PAIR,), "broods": (BROOD,)}
    return Programme(**(parts | changed))  # type: ignore[arg-type]


REFUSED: list[tuple[EvidenceFault, Callable[[], object]]] = [
    (EvidenceFault.NAME_TWICE, lambda: programme(groups=(ODD, DAM, DAM))),
    (EvidenceFault.NAME_TWICE, lambda: Pairing("p", (Dam("dam"), Dam("dam")), ("odd",))),
    (EvidenceFault.UNKNOWN, lambda: programme(groups=(DAM,))),
    (EvidenceFault.UNKNOWN, lambda: programme(broods=(Brood("b", "q", "B-1", SEEN),))),
    (EvidenceFault.UNKNOWN, lambda: programme(broods=(Brood("b", "p", "B-1", SEEN, beside="c"),))),
    (EvidenceFault.UNKNOWN, lambda: programme(groups=(ODD, DAM, Kept("k", Sex.MALE, "c")))),
    (EvidenceFault.CIRCLE, lambda: programme(groups=(ODD, Kept("dam", Sex.FEMALE, "b")))),
    (EvidenceFault.NOT_A_DAM, lambda: programme(pairings=(Pairing("p", (Dam("odd"),), ("odd",)),))),
    (EvidenceFault.NOT_A_SIRE, lambda: programme(pairings=(Pairing("p", (Dam("dam"),), ("dam",)),))),
    (EvidenceFault.NOT_A_SIRE, lambda: programme(pairings=(Pairing("p", (Dam("dam", males="dam"),), ("odd",)),))),
    (EvidenceFault.NO_PARENT, lambda: Pairing("p", (Dam("dam"),), ())),
    (EvidenceFault.NOT_A_MOTHER, lambda: programme(broods=(Brood("b", "p", "B-1", SEEN, mothers=("odd",)),))),
    (EvidenceFault.UNCOUNTED, lambda: Founders("odd", Sex.MALE, None, odd=True)),
    (EvidenceFault.ODD_LOOKS_WILD, lambda: Founders("odd", Sex.MALE, odd=True, look=Appearance.WILD)),
    (EvidenceFault.NO_PARTIAL, lambda: programme(broods=(Brood("b", "p", "B", (Counted(Appearance.PARTIAL, 1),)),))),
    (EvidenceFault.NO_PARTIAL, lambda: programme(groups=(ODD, Founders("dam", Sex.FEMALE, look=Appearance.PARTIAL)))),
    (EvidenceFault.FOUND_WITHOUT, lambda: Brood("b", "p", "B-1", (Counted(Appearance.WILD, 4),), found=True)),
    (
        EvidenceFault.KEPT_TOO_MANY,
        lambda: programme(groups=(ODD, DAM, Kept("k", Sex.MALE, "b", 4, Appearance.FULL))),
    ),
    (EvidenceFault.SEXES, lambda: programme(system=SexSystem.THELYTOKOUS)),
    (EvidenceFault.GRID, lambda: Grid((0.1, 0.2), (1.0,))),
    (EvidenceFault.GRID, lambda: Grid((), ())),
    (EvidenceFault.PRIOR, lambda: Grid((0.1, 0.2), (0.5, 0.6))),
    (EvidenceFault.PRIOR, lambda: Grid((0.1, 0.2), (1.0, 0.0))),
    (EvidenceFault.PRIOR, lambda: Explanation(Cause.NONE, 1.5, {}, "")),
    (EvidenceFault.PRIOR, lambda: checked_table(default_table()[:-1])),
    (EvidenceFault.EXPLANATION, lambda: Explanation(Cause.NONE, 0.5, {Figure.RATE: fixed(0.1)}, "")),
    (EvidenceFault.EXPLANATION, lambda: checked_table(default_table() + default_table()[:1])),
]


@pytest.mark.parametrize(("fault", "build"), REFUSED, ids=lambda value: getattr(value, "name", ""))
def test_what_does_not_hang_together_is_refused_with_its_fault(
    fault: EvidenceFault, build: Callable[[], object]
) -> None:
    with pytest.raises(EvidenceRefused) as refused:
        build()
    assert refused.value.fault is fault


@pytest.mark.parametrize(
    "build",
    [
        lambda: Founders("many", Sex.MALE, 0),
        lambda: Founders("many", Sex.MALE, 1001),
        lambda: Founders("het", Sex.MALE, carries=1.5),
        lambda: Kept("k", Sex.MALE, "b", 0),
        lambda: Counted(Appearance.WILD, -1),
        lambda: Brood("b", "p", "B-1", SEEN, dead=-1),
        lambda: Misread(3, 2),
        lambda: programme(daughters=1.2),
        lambda: beta_grid(0, 1, 3),
        lambda: beta_grid(1, 1, 0),
    ],
)
def test_a_number_out_of_its_range_is_refused(build: Callable[[], object]) -> None:
    with pytest.raises(OutOfRange):
        build()


def test_the_table_has_the_priors_of_the_contract() -> None:
    """science.md §5: .35, .30, .08, .05, .02, .06, .01, .04 in two halves, .07, .01, .01 (judgement)."""
    table = checked_table(default_table())
    assert [row.prior for row in table] == [0.35, 0.30, 0.08, 0.05, 0.02, 0.06, 0.01, 0.02, 0.02, 0.07, 0.01, 0.01]
    assert len({row.cause for row in table}) == 12
    assert all(row.predicts for row in table)


def test_a_sceptic_quarters_what_is_inherited() -> None:
    """By hand: .64 inherited becomes .16, beside .36; the recessive is .075 of .52."""
    doubts = dict(zip([row.cause for row in default_table()], sceptic(default_table()), strict=True))
    assert doubts[Cause.RECESSIVE] == pytest.approx(0.075 / 0.52, abs=1e-12)
    assert doubts[Cause.NOT_INHERITED] == pytest.approx(0.35 / 0.52, abs=1e-12)
    assert sum(doubts.values()) == pytest.approx(1, abs=1e-12)


@pytest.mark.parametrize(("first", "second"), [(3.0, 1.0), (2.9, 1.6), (0.5, 0.5), (1.0, 1.0), (1.0, 60.0)])
@pytest.mark.parametrize("points", [1, 2, 5, 12])
def test_a_beta_prior_is_gauss_jacobi_quadrature(first: float, second: float, points: int) -> None:
    grid = beta_grid(first, second, points)
    nodes, weights = roots_jacobi(points, second - 1, first - 1)
    assert grid.nodes == pytest.approx((nodes + 1) / 2, abs=1e-12)
    assert grid.weights == pytest.approx(weights / weights.sum(), abs=1e-12)


def test_the_values_survive_a_pickle() -> None:
    whole = programme(misread=Misread(2, 80))
    assert pickle.loads(pickle.dumps(whole)) == whole  # noqa: S301 - its own pickle
    row = default_table()[1]
    assert pickle.loads(pickle.dumps(row)) == row  # noqa: S301 - its own pickle


def test_groups_come_eldest_first() -> None:
    kept = Kept("k", Sex.MALE, "b")
    whole = programme(groups=(kept, ODD, DAM))
    assert [one.name for one in whole.eldest_first()] == ["odd", "dam", "k"]
    assert whole.parents_of(kept) == {"odd", "dam"}


def test_the_records_are_read_without_numpy() -> None:
    code = (
        "import sys, genetics.evidence.programme, genetics.evidence.explanations, genetics.evidence.findings;"
        "print(sorted({'numpy', 'scipy'} & set(sys.modules)))"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "[]"
