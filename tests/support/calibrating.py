"""Programmes out of a world weighed, and how often what was said came true."""

import random
import time
from collections.abc import Sequence
from dataclasses import dataclass

from genetics.errors import EvidenceRefused
from genetics.evidence.explanations import Cause, Figure, default_table
from genetics.evidence.findings import Word
from genetics.evidence.weighing import weigh
from tests.support.breeding_world_broods import Ways
from tests.support.breeding_world_programmes import World, simulated

PRIORS = World("priors")
SMALL = World("priors, small programmes", most=5)
"""Small enough for a test; at most five broods, or as many as the founders begin with."""
OUTSIDE = (
    World("contaminated", ways=Ways(contaminated=0.05)),
    World("secretly mated", ways=Ways(secretly_mated=0.10)),
    World("bin effects", ways=Ways(warm_bins=0.25)),
    World("scoring error", figures=((Figure.MISREAD, 0.05),)),
    World("lethal homozygote", causes=(Cause.LETHAL,), figures=((Figure.HOMOZYGOTE, 0.0),)),
    World("lower survival", figures=((Figure.SURVIVAL, 0.6),)),
    World("two modifiers", modifiers=True),
    World("found broods", found=True),
    World("found broods, only visuals kept in the book", found=True, ways=Ways(unsaid=0.5)),
)
"""The worlds of science.md §5; the last one, in which half of the planned broods without a visual go unrecorded, is ours."""


@dataclass(frozen=True, slots=True)
class Weighed:
    """One programme: the truth, what was said, and the processor's seconds. shares: empty if it was refused."""

    cause: Cause
    shares: tuple[tuple[Cause, float], ...]
    word: Word | None
    seconds: float
    refused: str = ""

    @property
    def leader(self) -> Cause:
        """What was said first."""
        return self.shares[0][0]

    @property
    def right(self) -> bool:
        """Whether the leader is the truth."""
        return self.leader is self.cause


def weighed(world: World, seed: int) -> Weighed:
    """Draw one programme and weigh it."""
    cause, programme = simulated(random.Random(f"{world.name} {seed}"), default_table(), world)
    start = time.process_time()
    try:
        found = weigh(programme)
    except EvidenceRefused as refused:
        return Weighed(cause, (), None, time.process_time() - start, str(refused.fault))
    except MemoryError:
        return Weighed(cause, (), None, time.process_time() - start, "MEMORY, not refused in time")
    shares = tuple((share.cause, share.posterior) for share in found.shares)
    return Weighed(cause, shares, found.verdict.word, time.process_time() - start)


@dataclass(frozen=True, slots=True)
class Bin:
    """Claims with a posterior from `low` to `high`: how many, their mean, how many came true, and the bounds for that."""

    low: float
    high: float
    claims: int
    mean: float
    true: int
    least: int
    most: int

    @property
    def inside(self) -> bool:
        """Whether as many came true as may."""
        return self.least <= self.true <= self.most


def reliability(claims: Sequence[tuple[float, bool]], error: float) -> tuple[Bin, ...]:
    """Ten bins of (posterior, came true).

    The bounds are the central 1 − `error` of a binomial with the bin's number of claims and their mean posterior: fixed by
    what was claimed, before it is looked up what came true. Claims of unequal posterior scatter less than that.
    """
    from scipy.stats import binom

    found = []
    for at in range(10):
        held = [(p, true) for p, true in claims if min(int(p * 10), 9) == at]
        if held:
            mean = min(1.0, sum(p for p, _ in held) / len(held))
            least, most = (int(binom.ppf(tail, len(held), mean)) for tail in (error / 2, 1 - error / 2))
            true = sum(came for _, came in held)
            found.append(Bin(at / 10, (at + 1) / 10, len(held), mean, true, least, most))
    return tuple(found)


def of_leaders(every: Sequence[Weighed]) -> list[tuple[float, bool]]:
    """The leader's posterior, and whether it is the truth."""
    return [(one.shares[0][1], one.right) for one in every if one.shares]


def of_cause(every: Sequence[Weighed], cause: Cause) -> list[tuple[float, bool]]:
    """One explanation's posterior wherever it was weighed, and whether it is the truth."""
    return [(p, one.cause is cause) for one in every for held, p in one.shares if held is cause]
