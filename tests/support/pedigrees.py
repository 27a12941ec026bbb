"""Pedigrees for tests: made at random, worked out slowly in exact fractions, and played through with labelled genes."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import Any

import numpy as np
from hypothesis import strategies as st
from numpy.typing import NDArray

from genetics import Animal

HALF = Fraction(1, 2)
Genes = NDArray[np.int64]
"""Labels of founders' genes; shape (replicates, animals, 2)."""


def slow_kinship(animals: Sequence[Animal], origin_kinship: Fraction = Fraction(1, 8)) -> Any:
    """φ of two names, straight from its definition: the younger animal's gene came from one of its parents."""
    rows = {animal.name: animal for animal in animals}

    @cache
    def depth(name: str) -> int:
        parents = [parent for parent in (rows[name].dam, rows[name].sire) if parent is not None]
        return 1 + max(map(depth, parents), default=-1)

    def founder(name: str) -> bool:
        return rows[name].dam is None and rows[name].sire is None

    @cache
    def kinship(one: str | None, other: str | None) -> Fraction:
        if one is None or other is None:
            return Fraction(0)
        if depth(one) < depth(other):
            one, other = other, one
        animal = rows[one]
        if one == other:
            within = Fraction(animal.inbreeding) if founder(one) else kinship(animal.dam, animal.sire)
            return (1 + within) / 2
        if founder(one):
            shared = animal.origin is not None and animal.origin == rows[other].origin
            return origin_kinship if shared else Fraction(0)
        return (kinship(animal.dam, other) + kinship(animal.sire, other)) / 2

    return kinship


@dataclass(frozen=True)
class Family:
    """Animals, parents first, and the same in another order."""

    animals: tuple[Animal, ...]
    shuffled: tuple[Animal, ...]


@st.composite
def families(draw: st.DrawFn, most: int = 14, *, both_or_none: bool = False) -> Family:
    """Pedigrees with unknown parents, loops, founders of one origin and inbred founders.

    With `both_or_none` an animal has two known parents or none, as groups do.
    """
    count = draw(st.integers(1, most))
    animals: list[Animal] = []
    females: list[str] = []
    males: list[str] = []
    for number in range(count):
        name = f"a{number}"
        dam = draw(st.sampled_from([None, *females]))
        sire = draw(st.sampled_from([None, *males]))
        if both_or_none and (dam is None or sire is None):
            dam = sire = None
        if dam is None and sire is None:
            origin = draw(st.sampled_from([None, "quarry", "hall"]))
            inbred = draw(st.sampled_from([Fraction(0), Fraction(0), Fraction(1, 4)]))
            animals.append(Animal(name, origin=origin, inbreeding=inbred))
        else:
            animals.append(Animal(name, dam, sire))
        draw(st.sampled_from([females, males])).append(name)
    return Family(tuple(animals), tuple(draw(st.permutations(animals))))


def founders(replicates: int, animals: int, first: int = 0) -> Genes:
    """Animals none of whose genes are copies of each other; labels from `first` on."""
    labels = np.arange(first, first + 2 * animals).reshape(animals, 2)
    return np.broadcast_to(labels, (replicates, animals, 2)).copy()


def young(generator: np.random.Generator, dams: Genes, sires: Genes, count: int) -> Genes:
    """Young, each of a dam and a sire drawn at random, with one gene of each."""
    replicates = dams.shape[0]
    every = np.arange(replicates)[:, None]
    made = np.empty((replicates, count, 2), dtype=np.int64)
    for place, parents in enumerate((dams, sires)):
        which = generator.integers(0, parents.shape[1], (replicates, count))
        made[:, :, place] = parents[every, which, generator.integers(0, 2, (replicates, count))]
    return made


def dropped_inbreeding(genes: Genes) -> tuple[float, float]:
    """F of the first animal with the simulation's standard error."""
    alike = (genes[:, 0, 0] == genes[:, 0, 1]).astype(float)
    return _mean(alike)


def dropped_kinship(one: Genes, other: Genes) -> tuple[float, float]:
    """φ of two animals, shape (replicates, 2) each, with the simulation's standard error."""
    alike = np.mean([one[:, a] == other[:, b] for a in (0, 1) for b in (0, 1)], axis=0)
    return _mean(alike)


def _mean(alike: NDArray[np.float64]) -> tuple[float, float]:
    # With nothing seen in so many draws the error is that of one seen.
    least = 1 / len(alike)
    return float(alike.mean()), float(max(alike.std(ddof=1) / len(alike) ** 0.5, least))
