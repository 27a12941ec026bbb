"""Many genes with a threshold: breeding values in narrow bands, and the same sums as for a locus.

Method (judgement where no source is named). Liability has mean 0 and variance 1 in stock that nobody selected; of it h²
is the breeding value, the rest environment (Wright 1934; Falconer 1965, from memory). An animal shows if its liability
is above the threshold that the incidence gives. A young's breeding value is normal around its parents' mean with
variance h²/2 (infinitesimal model; inbreeding does not shrink it here). Breeding values are held in bands 0.9 of a
standard deviation of theirs apart, from −3 to +6; for normal densities the sum over such bands is as good as the
integral (the tests compare it with finer bands and with simulation).

An odd founder is a draw given that it shows. Members of an unmarked bin enter as fresh sibs for each brood, one dam and
one sire: that two broods of a bin may share a mother is left out, and the findings name the bins. Stored sperm enters
by its mean share, each young of it with a sire of its own out of unselected stock.
"""

from collections.abc import Mapping
from functools import lru_cache
from statistics import NormalDist

import numpy as np

from genetics.evidence.elimination import Table
from genetics.evidence.explanations import Cause, Figure
from genetics.evidence.modes import Mode
from genetics.evidence.scoring import Scoring, two_looks

LOWEST, HIGHEST, STEP = -3.0, 6.0, 0.9


@lru_cache(maxsize=32)
def threshold_mode(heritability: float, share: float, step: float = STEP) -> Mode:
    """The mode of one heritability, with its share of the prior.

    >>> threshold_mode(0.5, 1.0).states
    11
    """
    bands = _bands(step)
    spread = np.subtract.outer((bands[:, None] + bands[None, :]) / 2, bands)
    moves = np.exp(-(spread**2))  # variance h²/2 in units of h² is 1/2
    moves /= moves.sum(axis=2, keepdims=True)
    base = np.exp(-(bands**2) / 2)
    size = len(bands)
    every = np.arange(size)
    names = tuple(f"{band * heritability**0.5:+.2f}" for band in bands)
    return Mode(
        Cause.THRESHOLD,
        share,
        names,
        (1,) * size,
        np.stack([moves, moves]),
        np.ones(size),
        np.stack([every, every]),
        size,
        base / base.sum(),
    )


def threshold_scoring(heritability: float, figures: Mapping[Figure, Table], step: float = STEP) -> Scoring:
    """What becomes of a young of each band; figures at each node."""
    from scipy.special import ndtr  # noqa: PLC0415 - only this explanation needs it

    normal = NormalDist()
    limits = np.array([normal.inv_cdf(1 - float(share)) for share in figures[Figure.INCIDENCE]])
    values = _bands(step) * heritability**0.5
    chances = ndtr((values[:, None] - limits[None, :]) / (1 - heritability) ** 0.5)
    return two_looks(np.asarray(chances), np.ones(len(values)), figures)


def _bands(step: float) -> Table:
    return np.arange(LOWEST, HIGHEST + step / 2, step)
