"""Counts held against shares: a job that a worker process can do, since the tests of many classes take their time."""

from dataclasses import dataclass

from genetics import counts_against
from genetics.fit import Broods, broods_against
from genetics.fit_counts import Share
from genetics.fit_report import CountsFit

_LIGHT_CLASSES, _LIGHT_YOUNG = 2, 500


@dataclass(frozen=True, slots=True)
class Task:
    """What is to be judged: the young of each brood by class, the shares of the classes, how true classes are read (or None).

    Where they are misread, the classes are all that there are.
    """

    broods: tuple[tuple[int, ...], ...]
    shares: tuple[Share, ...]
    read_as: tuple[tuple[Share, ...], ...] | None = None

    @property
    def together(self) -> tuple[int, ...]:
        """All broods as one."""
        return tuple(map(sum, zip(*self.broods, strict=True)))

    @property
    def light(self) -> bool:
        """Whether this is a matter of a few milliseconds, without numpy."""
        return len(self.broods) == 1 and len(self.shares) <= _LIGHT_CLASSES and sum(self.together) <= _LIGHT_YOUNG


@dataclass(frozen=True, slots=True)
class Judged:
    """All young together against the shares, and (of several broods, if no class is impossible) brood against brood."""

    fit: CountsFit
    broods: Broods | None


def judge(task: Task) -> Judged:
    """Every test of the counts. Raises as `counts_against` and `broods_against`."""
    fit = counts_against(task.together, task.shares, read_as=task.read_as)
    several = [brood for brood in task.broods if any(brood)]
    if len(several) < 2 or fit.tally.impossible or len(task.shares) < 2:
        return Judged(fit, None)
    return Judged(fit, broods_against(several, fit.tally.shares))
