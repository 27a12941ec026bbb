"""Grids: a parameter's prior as a few figures with weights, so that integrating it out is a weighted sum."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from genetics.errors import EvidenceFault, EvidenceRefused, OutOfRange


@dataclass(frozen=True, slots=True)
class Grid:
    """Figures that a parameter may have, with the prior weight of each.

    Raises EvidenceRefused unless there is one positive weight for each figure and the weights sum to 1 (to 1e-9).

    >>> Grid((0.1, 0.5), (0.5, 0.5)).mean
    0.3
    """

    nodes: tuple[float, ...]
    weights: tuple[float, ...]

    def __post_init__(self) -> None:
        if not self.nodes or len(self.nodes) != len(self.weights):
            raise EvidenceRefused(EvidenceFault.GRID, str(len(self.nodes)), str(len(self.weights)))
        if min(self.weights) <= 0 or abs(math.fsum(self.weights) - 1) > 1e-9:
            raise EvidenceRefused(EvidenceFault.PRIOR, str(math.fsum(self.weights)))
        if not all(math.isfinite(node) for node in self.nodes):
            raise EvidenceRefused(EvidenceFault.GRID, str(self.nodes))

    @property
    def mean(self) -> float:
        """The prior mean."""
        return math.fsum(n * w for n, w in zip(self.nodes, self.weights, strict=True))


def fixed(value: float) -> Grid:
    """A parameter that is known.

    >>> fixed(0.9)
    Grid(nodes=(0.9,), weights=(1.0,))
    """
    return Grid((value,), (1.0,))


def weighted(pairs: Sequence[tuple[float, float]]) -> Grid:
    """A grid from (figure, weight) pairs; the weights are brought to the sum 1.

    >>> weighted([(0.0, 1), (1.0, 3)]).weights
    (0.25, 0.75)
    """
    total = math.fsum(weight for _, weight in pairs)
    return Grid(tuple(figure for figure, _ in pairs), tuple(weight / total for _, weight in pairs))


@lru_cache(maxsize=256)
def beta_grid(first: float, second: float, points: int, low: float = 0.0, high: float = 1.0) -> Grid:
    """A Beta(first, second) prior stretched over low to high, as Gauss-Jacobi quadrature with so many points.

    Exact for polynomials of the parameter up to degree 2·points − 1. Nodes and weights are those of the recurrence's
    symmetric tridiagonal matrix (Golub & Welsch 1969, from memory; checked in the tests against scipy's roots_jacobi).
    Raises OutOfRange for shapes that are not positive or points outside 1 to 256.

    >>> round(beta_grid(3, 1, 8).mean, 12)
    0.75
    """
    if not (first > 0 and second > 0):
        raise OutOfRange("shape of a Beta", str((first, second)), "0", "any")
    if not 1 <= points <= 256:
        raise OutOfRange("points", str(points), "1", "256")
    import numpy as np  # noqa: PLC0415 - the records are read without numpy

    # Jacobi weights on (-1, 1): (1 - x)^a (1 + x)^b with a of the upper end.
    a, b = second - 1, first - 1
    steps = np.arange(1, points, dtype=float)
    twice = 2 * steps + a + b
    diagonal = np.empty(points)
    diagonal[0] = (b - a) / (a + b + 2)
    diagonal[1:] = (b * b - a * a) / (twice * (twice + 2))
    # The general term is 0/0 for the first step when a + b = -1, so that one is written out.
    rest, twice = steps[1:], twice[1:]
    squares = 4 * rest * (rest + a) * (rest + b) * (rest + a + b) / (twice**2 * (twice + 1) * (twice - 1))
    first_square = 4 * (1 + a) * (1 + b) / ((2 + a + b) ** 2 * (3 + a + b))
    off = np.sqrt(np.concatenate(([first_square], squares)))[: points - 1]
    values, vectors = np.linalg.eigh(np.diag(diagonal) + np.diag(off, 1) + np.diag(off, -1))
    weights = vectors[0] ** 2
    nodes = low + (high - low) * (values + 1) / 2
    keep = weights > 0
    return weighted([(float(n), float(w)) for n, w in zip(nodes[keep], weights[keep], strict=True)])
