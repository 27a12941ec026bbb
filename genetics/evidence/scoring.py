"""From expression to what a keeper writes down: penetrance, phenocopies, survival and scoring error, node by node."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from genetics.evidence.elimination import Table
from genetics.evidence.explanations import Figure
from genetics.traits import Appearance

SHOWN = (Appearance.PARTIAL, Appearance.FULL)


@dataclass(frozen=True, slots=True, eq=False)
class Scoring:
    """What becomes of a young of each class of expression.

    looks: the classes that are told apart here, each with the appearances that count as it.
    seen: (class, look, node) weight of surviving and being scored so; dividing by its sum over looks and the mixture
        of classes gives shares of the scored young.
    real: (class, look, node) the part of `seen` that shows because of its genes and is scored as showing.
    grown: (class, look, node) P(scored so) of an animal that is alive to be looked at.
    spoilt: (node,) chance that a planned brood's counts say nothing.
    """

    looks: tuple[tuple[Appearance, ...], ...]
    seen: Table
    real: Table
    grown: Table
    spoilt: Table


def two_looks(chances: Table, meant: Table, figures: Mapping[Figure, Table]) -> Scoring:
    """Scoring where a young shows or does not.

    chances: (class, node) P(shows). meant: (class,) 1 where showing is the genes' doing. figures: of
        survival, misreading and spoilt broods (node,).
    """
    survival, wrong = figures[Figure.SURVIVAL], figures[Figure.MISREAD]
    alive, gone = chances * survival, 1 - chances
    seen = np.stack([alive * wrong + gone * (1 - wrong), alive * (1 - wrong) + gone * wrong], axis=1)
    grown = np.stack([chances * wrong + gone * (1 - wrong), chances * (1 - wrong) + gone * wrong], axis=1)
    real = np.zeros_like(seen)
    real[:, 1] = alive * (1 - wrong) * meant[:, None]
    return Scoring(((Appearance.WILD,), SHOWN), seen, real, grown, figures[Figure.SPOILT])


def three_looks(figures: Mapping[Figure, Table]) -> Scoring:
    """Scoring of an incompletely dominant trait: one copy partial, two copies full."""
    pen, copies = figures[Figure.PENETRANCE], figures[Figure.PHENOCOPIES]
    wrong, lives = figures[Figure.MISREAD], figures[Figure.SURVIVAL]
    none = 0 * pen
    true = np.array([[1 - copies, copies / 2, copies / 2], [1 - pen, pen, none], [1 - pen, none, pen]])
    sure = 1 - wrong
    read = np.array([[sure, wrong, none], [wrong / 2, sure, wrong / 2], [none, wrong, sure]])
    alive = np.array([none + 1, lives, lives])
    seen = np.einsum("etx,tx,tlx->elx", true, alive, read)
    grown = np.einsum("etx,tlx->elx", true, read)
    genes = true.copy()
    genes[0] = 0
    genes[:, 0] = 0
    real = np.einsum("etx,tx,tlx->elx", genes, alive, read)
    real[:, 0] = 0
    return Scoring(
        ((Appearance.WILD,), (Appearance.PARTIAL,), (Appearance.FULL,)), seen, real, grown, figures[Figure.SPOILT]
    )


def locus_scoring(figures: Mapping[Figure, Table], classes: int) -> Scoring:
    """The scoring of a mode with genes at a locus, from its figures at each node."""
    if classes == 3:
        return three_looks(figures)
    chances = np.stack([figures[Figure.PHENOCOPIES], figures[Figure.PENETRANCE]])
    return two_looks(chances, np.array([0.0, 1.0]), figures)
