"""Hypothesis strategies for counts and the shares expected of them, and the tables that counts could be."""

from collections.abc import Iterator
from fractions import Fraction

from hypothesis import strategies as st

from genetics.fit_counts import shares_of


def ratios(classes: int, largest: int = 16) -> st.SearchStrategy[tuple[Fraction, ...]]:
    """Shares of so many classes, each above 0."""
    terms = st.lists(st.integers(1, largest), min_size=classes, max_size=classes)
    return terms.map(shares_of)


@st.composite
def small_tallies(draw: st.DrawFn) -> tuple[tuple[int, ...], tuple[Fraction, ...]]:
    """Counts of two to five classes, few enough to list every table, and shares."""
    classes = draw(st.integers(2, 5))
    counts = draw(st.lists(st.integers(0, {2: 20, 3: 8, 4: 5, 5: 3}[classes]), min_size=classes, max_size=classes))
    return tuple(counts), draw(ratios(classes))


def tables(total: int, classes: int) -> Iterator[tuple[int, ...]]:
    """Every table of so many young in so many classes."""
    if classes == 1:
        yield (total,)
        return
    for first in range(total + 1):
        for rest in tables(total - first, classes - 1):
            yield (first, *rest)
