"""Evidence first, broods and animals where they matter: bounds that hold, nothing lost, nothing large made in vain."""

import math
import tracemalloc

import pytest

from genetics.errors import EvidenceFault, EvidenceRefused
from genetics.evidence import rows, weighing
from genetics.evidence.explanations import Cause, default_table
from genetics.evidence.programme import Dam, Founders, Kept, Mated, Pairing, Programme, Sharing, Stock
from genetics.evidence.rows import CELLS, WIDEST, finished, row_begun, settings
from genetics.evidence.sums import begin
from genetics.evidence.weighing import weigh
from tests.bench.evidence import recorded
from tests.support.evidence_cases import PROGRAMMES
from tests.support.programmes import FULL, WILD, F, M, brood, isolated, programme, unsexed

NAMES = [name for name in PROGRAMMES if name != "bins"]


@pytest.mark.parametrize("name", NAMES)
def test_what_is_left_without_a_brood_lies_within_its_bounds(name: str) -> None:
    held = PROGRAMMES[name]()
    for row in default_table():
        if row.cause in (Cause.RECESSIVE, Cause.DOMINANT, Cause.THRESHOLD, Cause.NOT_INHERITED):
            begun = row_begun(row, held)
            whole = finished(begun)
            for one in held.broods:
                low, high = begun.least[one.name], begun.most[one.name]
                assert low - 1e-9 <= whole.dropped[one.name] <= high + 1e-9, (row.cause, one.name)


def found_once() -> Programme:
    """A pair of which nobody knew anything, a brood in the book for its visuals, and a planned one."""
    return programme(
        [Founders("dam", F, stock=Stock.HOME), Founders("sire", M, stock=Stock.HOME), Kept("v", F, "found", look=FULL)],
        [isolated("P", "dam", "sire"), isolated("back", "v", "sire")],
        [brood("found", "P", unsexed(4, 15), found=True), brood("planned", "back", unsexed(9, 20))],
    )


@pytest.mark.parametrize("held", [recorded(8), found_once()], ids=["planned", "found"])
def test_what_is_not_looked_at_more_closely_changes_nothing(held: Programme, monkeypatch: pytest.MonkeyPatch) -> None:
    """Against the same with every row and every node looked at."""
    found = weigh(held)
    for module in (rows, weighing):
        monkeypatch.setattr(module, "NEGLIGIBLE", 1e-300)
    every = weigh(held)
    assert [share.cause for share in found.shares] == [share.cause for share in every.shares]
    for one, other in zip(found.broods, every.broods, strict=True):
        assert (one.dropped, one.weight, one.fit) == pytest.approx((other.dropped, other.weight, other.fit), abs=1e-8)
    for mine, theirs in zip(found.standings, every.standings, strict=True):
        assert (mine.carries, mine.any_carries, mine.overall) == pytest.approx(
            (theirs.carries, theirs.any_carries, theirs.overall), abs=1e-8
        )


def test_a_net_that_is_too_wide_is_refused_before_anything_large_is_made() -> None:
    """A bin of twelve and twelve at two loci, every young of its own parents: 10^10 cells of parents alone."""
    wide = programme(
        [Founders("odd", M, odd=True), Founders("wild", F), Kept("dams", F, "F1", 12), Kept("sires", M, "F1", 12)],
        [
            isolated("P", "wild", "odd"),
            Pairing("bin", (Dam("dams", Mated.ISOLATED),), ("sires",), Sharing.EACH, Sharing.EACH),
        ],
        [brood("F1", "P", unsexed(0, 40)), brood("F2", "bin", unsexed(6, 30))],
    )
    row = next(row for row in default_table() if row.cause is Cause.RECESSIVE)
    both = next(row for row in default_table() if row.cause is Cause.BOTH_LOCI)
    for one, what in ((row, None), (both, "dams")):
        setting, _ = next(settings(one, wide))
        tracemalloc.start()
        try:
            if what is None:
                begin(setting, most=WIDEST, cells=CELLS)
            else:
                with pytest.raises(EvidenceRefused) as refused:
                    begin(setting, most=WIDEST, cells=CELLS)
                assert (refused.value.fault, refused.value.what) == (EvidenceFault.TOO_WIDE, what)
                assert tracemalloc.get_traced_memory()[1] < 30 * 2**20
        finally:
            tracemalloc.stop()


def looked(*looks: object) -> Programme:
    """A planned brood of two, and idle founders that looked so."""
    idle = [Founders(f"g{at}", F, look=look) for at, look in enumerate(looks)]  # type: ignore[arg-type]
    return programme(
        [Founders("odd", M, odd=True, look=FULL), Founders("dam", F), *idle],
        [isolated("P", "dam", "odd")],
        [brood("1", "P", unsexed(2, 20))],
    )


def test_a_founder_that_shows_costs_the_explanations_without_genes_its_rate() -> None:
    """One that shows by the mean rate, two wild ones by what is left: Σ over rates, by hand for *none of these* (.3)."""
    row = next(row for row in default_table() if row.cause is Cause.NONE)
    plain, told = row_begun(row, looked()), row_begun(row, looked(FULL, WILD, WILD))
    assert told.log_evidence - plain.log_evidence == pytest.approx(math.log(0.3 * 0.7 * 0.7), abs=1e-12)
    assert told.least["1"] - plain.least["1"] == pytest.approx(math.log(0.3 * 0.7 * 0.7), abs=1e-12)


def test_a_founder_that_shows_unrecorded_is_no_free_gift_to_not_inherited() -> None:
    """Without genes such a founder is rare: mean of the default rates .0805 (.3·.005 + .35·.03 + .25·.12 + .1·.4)."""
    row = next(row for row in default_table() if row.cause is Cause.NOT_INHERITED)
    nothing = tuple(replaced for replaced in [unseen(looked()), unseen(looked(FULL))])
    without, told = (row_begun(row, one).log_evidence for one in nothing)
    assert told - without == pytest.approx(math.log(0.3 * 0.005 + 0.35 * 0.03 + 0.25 * 0.12 + 0.1 * 0.4), abs=1e-9)


def unseen(held: Programme) -> Programme:
    return Programme(held.groups, held.pairings, (brood("1", "P", unsexed(0, 0)),))


def test_a_visual_out_of_a_wild_dam_says_what_has_to_be_true() -> None:
    """Under recessive a dam of another stock carries it (½ of her young by a visual sire show); under others nothing."""
    found = weigh(
        programme(
            [Founders("odd", M, odd=True, stock=Stock.HOME), Founders("wild", F, look=WILD), Founders("other", F)],
            [isolated("P", "wild", "odd"), isolated("Q", "other", "odd")],
            [brood("1", "P", unsexed(9, 20)), brood("1b", "P", unsexed(11, 22)), brood("2", "Q", unsexed(0, 20))],
        )
    )
    (one,) = [one for one in found.supposed if one.cause is Cause.RECESSIVE]
    assert (one.group, one.broods) == ("wild", ("1", "1b"))
    # Two copies in a hundred of that stock: 2·.005·.995 before her young were seen.
    assert one.before == pytest.approx(2 * 0.005 * 0.995, rel=0.02)
    assert one.after > 0.9
    assert not [one for one in found.supposed if one.cause in (Cause.DOMINANT, Cause.NOT_INHERITED)]
