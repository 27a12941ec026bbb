"""Families beside a general library of networks, and what the weighing of broods costs: `python -m tests.bench.evidence`.

Rows are ratios within one run, and the answers are compared before anything is said of the pace. A family is built and
solved anew each time, with nothing kept from the time before.
"""

import json
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np

from genetics.evidence.elimination import planned
from genetics.evidence.families import Family, family_posterior
from genetics.evidence.programme import Founders, Kept, Programme, Stock
from genetics.evidence.weighing import weigh
from tests.support.networks import Known, by_pyagrum
from tests.support.programmes import FULL, WILD, F, M, brood, isolated, programme, unsexed

DATA = Path(__file__).parents[1] / "published" / "data" / "families.json"
GOALS = {"A30": 5.0, "A100": 10.0}


def timed(call: Callable[[], Any], times: int, clock: Callable[[], float] = time.perf_counter) -> float:
    """Milliseconds of the quickest of so many: other work on the machine only ever adds."""
    taken = []
    for _ in range(times):
        start = clock()
        call()
        taken.append(clock() - start)
    return min(taken) * 1000


def published(name: str) -> Known:
    """A family of the published values."""
    held = json.loads(DATA.read_text("utf-8"))["families"][name]
    return Known(tuple(held["dam"]), tuple(held["sire"]), tuple(held["phenotype"]))


def ours(family: Known) -> Any:
    """Built and solved, with no order of elimination kept from before."""
    planned.cache_clear()
    return family_posterior(Family(family.dams, family.sires), family.likelihoods, family.founders)


def families() -> bool:
    """The published families, the library and we in turns. Whether the goals are met."""
    met = True
    for name, goal in GOALS.items():
        family = published(name)
        theirs, log_evidence = by_pyagrum(family)
        mine = ours(family)
        assert np.abs(mine.genotypes - theirs).max() < 1e-12
        assert abs(mine.log_evidence - log_evidence) < 1e-12
        rounds = [(timed(lambda f=family: by_pyagrum(f), 5), timed(lambda f=family: ours(f), 20)) for _ in range(7)]
        theirs_ms, mine_ms = (min(one) for one in zip(*rounds, strict=True))
        ratio = theirs_ms / mine_ms
        met &= ratio >= goal
        say(f"{name}: pyAgrum {theirs_ms:.2f} ms, here {mine_ms:.2f} ms, {ratio:.1f} times; goal {goal:.0f}")
    return met


def recorded(broods: int) -> Programme:
    """A recessive over three generations: so many broods of 20 to 24, each of its own dam but the first two."""
    groups: list[Any] = [
        Founders("odd", M, odd=True, stock=Stock.HOME),
        Founders("w0", F),
        Founders("w1", F, look=WILD),
    ]
    pairs = [isolated("P0", "w0", "odd"), isolated("P1", "w1", "odd")]
    held = [brood("F0", "P0", unsexed(0, 20), "A"), brood("F1", "P1", unsexed(0, 22), "B")]
    groups.append(Kept("s", M, "F1", look=WILD))
    for at in range(2, broods):
        groups.append(Kept(f"d{at}", F, "F0" if at % 2 else "F1", look=WILD))
        pairs.append(isolated(f"P{at}", f"d{at}", "odd" if at % 3 else "s"))
        shown = 11 if at % 3 else 5
        held.append(brood(f"B{at}", f"P{at}", unsexed(shown, 20 + at % 5), "A" if at % 2 else "B"))
    if broods > 2:
        groups.append(Kept("v", F, f"B{broods - 1}", look=FULL))
    return programme(groups, pairs, held)


def weighing() -> bool:
    """All explanations over a programme, beside a family of 30 in the library in the same run."""
    met = True
    family = published("A30")
    for broods, goal in ((2, 50.0), (5, 50.0), (8, 50.0), (12, 50.0), (20, 1000.0)):
        held = recorded(broods)
        weigh(held)
        rounds = [(timed(lambda h=held: weigh(h), 3), timed(lambda: by_pyagrum(family), 3)) for _ in range(5)]
        mine, beside = (min(one) for one in zip(*rounds, strict=True))
        processor = timed(lambda h=held: weigh(h), 5, time.process_time)
        met &= processor <= goal
        say(
            f"{broods:3d} broods: {mine:.0f} ms ({processor:.0f} ms of processor; goal {goal:.0f}), "
            f"{mine / beside:.1f} times a family of 30 in pyAgrum"
        )
    return met


def say(line: str) -> None:
    """A line of the table."""
    sys.stdout.write(line + "\n")


if __name__ == "__main__":
    done = [families(), weighing()]
    sys.exit(0 if all(done) else 1)
