"""With which priors and figures a trait is weighed: what a steward set, and the defaults for all else."""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType
from typing import Any, Final

from genetics.evidence.explanations import PREDICTS, PRIORS, Cause, Explanation, Figure, default_grids
from genetics.evidence.grids import Grid, beta_grid, fixed

_VERSION: Final = 1

BOUNDS: Final[Mapping[Figure, tuple[Fraction, Fraction]]] = MappingProxyType(
    {
        Figure.PENETRANCE: (Fraction(1, 20), Fraction(1)),
        Figure.PHENOCOPIES: (Fraction(0), Fraction(1, 2)),
        Figure.MISREAD: (Fraction(0), Fraction(2, 5)),
        Figure.SURVIVAL: (Fraction(1, 20), Fraction(2)),
    }
)
"""The figures that can be set, each with the least and the most it may be (judgement)."""

_POINTS: Final = 3


@dataclass(frozen=True, slots=True)
class Span:
    """A figure that may be anything from `low` to `high`, all alike.

    Raises:
        ValueError: it is none of those that can be set, or reaches past what it may be.
    """

    figure: Figure
    low: Fraction
    high: Fraction

    def __post_init__(self) -> None:
        least, most = BOUNDS.get(self.figure, (Fraction(1), Fraction(0)))
        if not least <= self.low <= self.high <= most:
            raise ValueError(f"{self.figure} from {self.low} to {self.high}")


@dataclass(frozen=True, slots=True)
class Tuning:
    """What was set for a trait. `priors` are of all explanations or of none, with the sum 1; `spans` one for a figure.

    Raises:
        ValueError: the priors are of some explanations alone, or do not sum to 1, or leave fewer than two possible; or a
            figure has two spans.
    """

    priors: tuple[tuple[Cause, Fraction], ...] = ()
    spans: tuple[Span, ...] = ()

    def __post_init__(self) -> None:
        shares = [share for _, share in self.priors]
        if self.priors and ({cause for cause, _ in self.priors} != set(Cause) or len(shares) != len(Cause)):
            raise ValueError("priors of some explanations and not of others")
        if self.priors and (sum(shares) != 1 or min(shares) < 0 or sum(share > 0 for share in shares) < 2):
            raise ValueError(f"priors {shares}")
        if len({span.figure for span in self.spans}) < len(self.spans):
            raise ValueError("a figure with two spans")

    @property
    def shares(self) -> dict[Cause, Fraction]:
        """The prior of every explanation."""
        return dict(self.priors) if self.priors else default_priors()

    @property
    def is_default(self) -> bool:
        """Whether nothing was set."""
        return not self.priors and not self.spans


DEFAULT: Final = Tuning()
"""Nothing set."""


def default_priors() -> dict[Cause, Fraction]:
    """The priors that hold where nobody set others, as exact fractions."""
    return {cause: Fraction(str(prior)) for cause, prior in PRIORS.items()}


def read_tuning(document: Mapping[str, Any] | None) -> Tuning:
    """What a document of the book says.

    Raises:
        ValueError: it is of another version.
    """
    if document is None:
        return DEFAULT
    if document["v"] != _VERSION:
        raise ValueError(f"priors of version {document['v']}")
    priors = tuple((Cause(cause), Fraction(share)) for cause, share in document.get("priors", ()))
    spans = tuple(Span(Figure(name), Fraction(low), Fraction(high)) for name, low, high in document.get("spans", ()))
    return Tuning(priors, spans)


def write_tuning(tuning: Tuning) -> dict[str, Any] | None:
    """The document that says so; None for the defaults."""
    if tuning.is_default:
        return None
    return {
        "v": _VERSION,
        "priors": [[cause.value, str(share)] for cause, share in tuning.priors],
        "spans": [[span.figure.value, str(span.low), str(span.high)] for span in tuning.spans],
    }


def table_of(tuning: Tuning, granted: Cause | None = None) -> tuple[Explanation, ...]:
    """The table of explanations to weigh with; of one row where an explanation is taken for granted.

    It loads numpy, so it is for a worker to call.
    """
    shares = tuning.shares if granted is None else {granted: Fraction(1)}
    total = sum(float(share) for share in shares.values())
    return tuple(
        Explanation(cause, float(share) / total, _grids(cause, tuning.spans), PREDICTS[cause])
        for cause, share in shares.items()
    )


def _grids(cause: Cause, spans: tuple[Span, ...]) -> dict[Figure, Grid]:
    grids = default_grids(cause)
    for span in spans:
        if span.figure in grids:
            grids[span.figure] = _grid(span, len(grids[span.figure].nodes))
    return grids


def _grid(span: Span, points: int) -> Grid:
    """As many points as the default has, so that a span costs no more; where that is one, the middle of the span."""
    if span.low == span.high or points == 1:
        return fixed(float(span.low + span.high) / 2)
    return beta_grid(1, 1, max(points, _POINTS), float(span.low), float(span.high))
