"""What is too wide for the exact sum is sampled with its error shown, and beyond that refused."""

from dataclasses import replace

import numpy as np
import pytest

from genetics.errors import EvidenceFault, EvidenceRefused
from genetics.evidence.explanations import Cause, Figure, default_table
from genetics.evidence.founding import Setting
from genetics.evidence.net import net_of
from genetics.evidence.programme import Dam, Founders, Kept, Mated, Pairing, Programme, Sharing, Stock
from genetics.evidence.rows import CELLS, MANY, WIDEST, log_sum, row_weighed, settings
from genetics.evidence.sampling import WORST, sampled
from genetics.evidence.sums import weigh as weigh_exactly
from genetics.evidence.sums import widest
from genetics.evidence.weighing import weigh
from tests.support.evidence_cases import PROGRAMMES, WORLDS, row_of
from tests.support.programmes import WILD, F, M, brood, isolated, programme, unsexed


def two_bins(members: int) -> Programme:
    """Bins of so many daughters and sons of one pair, and three broods out of them."""
    return programme(
        [
            Founders("odd", M, odd=True, stock=Stock.HOME),
            Founders("wild", F, look=WILD),
            Kept("daughters", F, "F1", members, WILD),
            Kept("sons", M, "F1", members, WILD),
        ],
        [
            isolated("P", "wild", "odd"),
            Pairing("bin", (Dam("daughters", Mated.ISOLATED),), ("sons",), Sharing.ONE, Sharing.EACH),
        ],
        [
            brood("F1", "P", unsexed(0, 40 + 2 * members)),
            brood("a", "bin", unsexed(5, 20), "B"),
            brood("b", "bin", unsexed(4, 22), "B"),
            brood("c", "bin", unsexed(6, 19), "B"),
        ],
    )


@pytest.mark.parametrize("name", PROGRAMMES)
@pytest.mark.parametrize("cause", [Cause.RECESSIVE, Cause.LETHAL, Cause.SEX_LINKED])
def test_sampling_agrees_with_the_exact_sum_within_its_error(cause: Cause, name: str) -> None:
    for setting, log_weights in settings(row_of(cause, WORLDS[cause]), PROGRAMMES[name]()):
        exact = weigh_exactly(setting, most=10**9, cells=CELLS)
        estimate, error = sampled(setting, log_weights, most=WIDEST, particles=2000)
        gap = log_sum(log_weights + estimate.log_evidence) - log_sum(log_weights + exact.log_evidence)
        # Four standard errors and what six runs know of them; seeded, so that it passes always or never.
        assert abs(gap) < 4 * error + 1e-3
        assert error < 0.1
        for left in exact.dropped:
            here = log_sum(log_weights + estimate.dropped[left]) - log_sum(log_weights + exact.dropped[left])
            assert abs(here) < 0.15, left
        for group in exact.groups:
            assert estimate.groups[group][0] == pytest.approx(exact.groups[group][0], abs=0.1), group


def test_the_grid_in_pieces_gives_what_the_whole_gives() -> None:
    """An animal of no brood is the same at all nodes; put together from pieces it still has each node's figure."""
    held = two_bins(2)
    idle = Programme((*held.groups, Founders("idle", F, carries=0.5)), held.pairings, held.broods)
    row = next(row for row in default_table() if row.cause is Cause.RECESSIVE)
    for setting, _ in settings(row, idle):
        whole = weigh_exactly(setting, most=10**9, cells=10**9)
        pieces = weigh_exactly(setting, most=10**9, cells=widest(net_of(setting)) * 7)
        assert pieces.log_evidence == pytest.approx(whole.log_evidence, abs=1e-10)
        nodes = len(whole.log_evidence)
        for name, (table, anybody) in whole.groups.items():
            assert pieces.groups[name][0].shape[-1] == nodes > 7
            assert pieces.groups[name][0] == pytest.approx(
                np.broadcast_to(table, pieces.groups[name][0].shape), abs=1e-10
            )
            assert pieces.groups[name][1] == pytest.approx(np.broadcast_to(anybody, (nodes,)), abs=1e-10)


def test_bins_at_two_loci_are_sampled_and_say_so() -> None:
    found = weigh(two_bins(5))
    assert set(found.sampled) == {Cause.BOTH_LOCI, Cause.EITHER_LOCUS}
    errors = {share.cause: share.error for share in found.shares}
    assert 0 < errors[Cause.EITHER_LOCUS] < 0.5
    assert errors[Cause.RECESSIVE] == 0
    assert found.leader.cause is Cause.RECESSIVE
    assert weigh(two_bins(5)) == found


def test_a_bin_that_cannot_even_be_sampled_is_named() -> None:
    with pytest.raises(EvidenceRefused) as refused:
        weigh(two_bins(250))
    assert (refused.value.fault, refused.value.what) == (EvidenceFault.TOO_WIDE, "daughters")


@pytest.mark.parametrize(("particles", "found"), [(12, 1), (4, 4)])
def test_an_estimate_that_scatters_too_much_is_refused(particles: int, found: int) -> None:
    """Found broods of a stock where carriers are rare: hardly a particle has the parents it needs."""
    rare = programme(
        [Founders("dams", F, 3), Founders("sires", M, 3)],
        [Pairing("bin", (Dam("dams", Mated.ISOLATED),), ("sires",))],
        [brood(f"b{i}", "bin", unsexed(5, 40), "B", found=i < found) for i in range(6)],
    )
    setting, log_weights = next(settings(row_of(Cause.BOTH_LOCI, WORLDS[Cause.BOTH_LOCI]), rare))
    with pytest.raises(EvidenceRefused) as refused:
        sampled(setting, log_weights, most=10**7, particles=particles)
    assert refused.value.fault is EvidenceFault.TOO_WIDE
    assert float(refused.value.fact) > WORST


def test_a_found_brood_of_rare_carriers_is_sampled_all_the_same() -> None:
    """Two loci, rare in the stock: hardly a fresh draw of the parents has both, but many have, drawn as if they were common."""
    held = PROGRAMMES["found broods"]()
    row = next(row for row in default_table() if row.cause is Cause.BOTH_LOCI)
    for setting, log_weights in settings(row, held):
        exact = weigh_exactly(setting, most=10**9, cells=CELLS)
        estimate, error = sampled(setting, log_weights, most=10**9, particles=MANY)
        gap = log_sum(log_weights + estimate.log_evidence) - log_sum(log_weights + exact.log_evidence)
        assert 0 < error < 0.5
        assert abs(gap) < 4 * error


def test_pieces_of_the_grid_come_to_the_whole() -> None:
    """A grid done in pieces, because its tables are wide, gives the same sums."""
    for setting, _ in settings(row_of(Cause.RECESSIVE, WORLDS[Cause.RECESSIVE]), PROGRAMMES["bins"]()):
        many = Setting(
            setting.programme,
            setting.mode,
            {figure: values.repeat(3) for figure, values in setting.figures.items()},
            setting.grids,
            type(setting.scoring)(
                setting.scoring.looks,
                *(getattr(setting.scoring, name).repeat(3, axis=-1) for name in ("seen", "real", "grown", "spoilt")),
            ),
        )
        whole, pieces = weigh_exactly(many, most=10**9, cells=10**9), weigh_exactly(many, most=10**9, cells=1)
        assert pieces.log_evidence == pytest.approx(whole.log_evidence, abs=1e-12)
        for name, table in whole.dropped.items():
            assert pieces.dropped[name] == pytest.approx(table, abs=1e-12)
        for name, (table, anyone) in whole.groups.items():
            assert pieces.groups[name][0] == pytest.approx(table, abs=1e-12)
            assert pieces.groups[name][1] == pytest.approx(anyone, abs=1e-12)


def test_a_brood_too_telling_to_be_divided_out_is_left_out_all_the_same() -> None:
    """300 visuals are e^-2000 under a clean pair; leaving them out must still say what the other brood says."""
    row = row_of(Cause.RECESSIVE, WORLDS[Cause.RECESSIVE])
    groups = [Founders("odd", M, odd=True), Founders("dam", F, stock=Stock.HOME)]
    pairs = [isolated("P", "dam", "odd")]
    clean = brood("clean", "P", unsexed(0, 30))
    both = row_weighed(row, programme(groups, pairs, [brood("all", "P", unsexed(0, 900)), clean]))
    alone = row_weighed(row, programme(groups, pairs, [brood("all", "P", unsexed(0, 0)), clean]))
    assert both.dropped["all"] == pytest.approx(alone.log_evidence, abs=1e-9)


def test_grids_stand_in_one_order_whatever_order_they_come_in() -> None:
    """What is sampled is drawn over their nodes, and has to be the same in every process."""
    row = row_of(Cause.BOTH_LOCI, WORLDS[Cause.BOTH_LOCI])
    turned = replace(row, grids=dict(reversed(row.grids.items())))
    assert list(turned.grids) == list(row.grids) == [figure for figure in Figure if figure in row.grids]
