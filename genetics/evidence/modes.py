"""Modes: an explanation as tables. How genotypes pass on, which of them are meant to show, and what stock holds.

An explanation with variants (which sex shows, which allele masks) has one mode for each, with its share of the prior.
Genotypes are states 0, 1, 2, …; a mode with a sex that has one chromosome leaves the states it cannot have at 0.
Sexes are axes of length 2, daughters first. Loci of a two-locus mode are unlinked: the state is 3·a + b copies.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from genetics.errors import EvidenceFault, EvidenceRefused
from genetics.evidence.elimination import Table
from genetics.evidence.explanations import Cause
from genetics.evidence.families import transmission
from genetics.genome import SexSystem
from genetics.loci import Where

FEMALE, MALE = 0, 1
HOMOGAMETIC_FEMALES = {SexSystem.XX_XY: True, SexSystem.X0: True, SexSystem.ZZ_ZW: False}


@dataclass(frozen=True, slots=True, eq=False)
class Mode:
    """One explanation, or one variant of it.

    share: of the explanation's prior. names: of the genotypes. copies: of the trait's allele in each.
    moves: (sex of the young, dam, sire, young) P(genotype of a young). lives: relative survival of each genotype.
    shows: (sex, genotype) class of expression: 0 is not meant to show. classes: how many classes there are.
    base: (genotype,) what every founder is drawn from, whatever its stock; None: the stock's frequency decides.
    """

    cause: Cause
    share: float
    names: tuple[str, ...]
    copies: tuple[int, ...]
    moves: Table
    lives: Table
    shows: NDArray[np.intp]
    classes: int
    base: Table | None = None

    @property
    def states(self) -> int:
        """How many genotypes there are."""
        return len(self.names)

    @property
    def expression(self) -> Table:
        """(sex, genotype, class): 1 where the genotype is of that class."""
        return np.asarray(np.eye(self.classes)[self.shows])

    @property
    def hides(self) -> bool:
        """Whether one copy can hide, so that "possible het" says something."""
        return self.cause in (
            Cause.RECESSIVE,
            Cause.SEX_LIMITED,
            Cause.SEX_LINKED,
            Cause.BOTH_LOCI,
            Cause.EITHER_LOCUS,
        )

    def stock(self, frequency: Table) -> Table:
        """(sex, genotype, node): a founder drawn from a stock with these frequencies of the allele, one for each node.

        Hardy-Weinberg; genotypes that die early are missing in proportion.
        """
        if self.base is not None:
            return np.broadcast_to(self.base[None, :, None], (2, self.states, len(frequency)))
        q = np.asarray(frequency, dtype=float)
        two = np.stack([(1 - q) ** 2, 2 * q * (1 - q), q * q])
        one = np.stack([1 - q, q, 0 * q])
        if self.cause is Cause.MATERNAL:
            both = np.stack([one[:2], one[:2]])
        elif self.cause is Cause.SEX_LINKED:
            # The sex whose young cannot have two copies is the one with a single chromosome.
            single = [bool(self.moves[sex, :, :, 2].max() == 0) for sex in (FEMALE, MALE)]
            both = np.stack([one if alone else two for alone in single])
        elif self.states == 9:
            both = np.repeat((two[:, None] * two[None, :]).reshape(1, 9, -1), 2, axis=0)
        else:
            both = np.stack([two, two])
        alive = both * self.lives[None, :, None]
        return np.asarray(alive / alive.sum(axis=1, keepdims=True))

    def hidden(self, chance: float) -> Table:
        """(sex, genotype): a founder said to carry one copy unseen with this chance (one at each locus of two)."""
        table = np.zeros((2, self.states))
        carrier = 4 if self.states == 9 else 1
        table[:, 0] = 1 - chance
        table[:, carrier] = chance
        return table


@lru_cache(maxsize=64)
def modes(cause: Cause, system: SexSystem, homozygotes: tuple[tuple[float, float], ...] = ()) -> tuple[Mode, ...]:
    """The modes of an explanation with genes at a locus.

    homozygotes: (survival of two copies, prior weight), for the dominant with a lethal or weak homozygote only.

    >>> [mode.share for mode in modes(Cause.SEX_LIMITED, SexSystem.UNKNOWN)]
    [0.25, 0.25, 0.25, 0.25]
    """
    three = ("0", "1", "2")
    autosome = transmission(Where.AUTOSOME)
    if cause is Cause.LETHAL:
        return tuple(
            Mode(cause, weight, three, (0, 1, 2), autosome, np.array([1.0, 1.0, lives]), _both([0, 1, 1]), 2)
            for lives, weight in homozygotes
        )
    if cause is Cause.SEX_LIMITED:
        return tuple(
            Mode(cause, 0.25, three, (0, 1, 2), autosome, np.ones(3), _limited(looks, sex), 2)
            for looks in ([0, 0, 1], [0, 1, 1])
            for sex in (FEMALE, MALE)
        )
    if cause is Cause.SEX_LINKED:
        moves = transmission(Where.SHARED, HOMOGAMETIC_FEMALES[system])
        return tuple(
            Mode(cause, 0.5, three, (0, 1, 2), moves, np.ones(3), _linked(recessive, system), 2)
            for recessive in (True, False)
        )
    if cause in (Cause.BOTH_LOCI, Cause.EITHER_LOCUS):
        return (_two_loci(cause),)
    if cause is Cause.MATERNAL:
        passes = np.zeros((2, 2, 2, 2))
        passes[:, 0, :, 0] = passes[:, 1, :, 1] = 1.0
        return (Mode(cause, 1.0, ("does not", "passes it"), (0, 1), passes, np.ones(2), _both([0, 1]), 2),)
    looks = {Cause.RECESSIVE: [0, 0, 1], Cause.DOMINANT: [0, 1, 1], Cause.INCOMPLETE: [0, 1, 2]}.get(cause)
    if looks is None:
        raise EvidenceRefused(EvidenceFault.EXPLANATION, cause)
    return (Mode(cause, 1.0, three, (0, 1, 2), autosome, np.ones(3), _both(looks), max(looks) + 1),)


def _both(looks: list[int]) -> NDArray[np.intp]:
    return np.array([looks, looks])


def _limited(looks: list[int], sex: int) -> NDArray[np.intp]:
    table = np.zeros((2, 3), dtype=np.intp)
    table[sex] = looks
    return table


def _linked(recessive: bool, system: SexSystem) -> NDArray[np.intp]:
    two = [0, 0, 1] if recessive else [0, 1, 1]
    # One chromosome shows what it has.
    one = [0, 1, 1]
    return np.array([two, one] if HOMOGAMETIC_FEMALES[system] else [one, two])


def _two_loci(cause: Cause) -> Mode:
    single = transmission(Where.AUTOSOME)
    moves = np.stack([np.einsum("acx,bdy->abcdxy", single[s], single[s]).reshape(9, 9, 9) for s in (FEMALE, MALE)])
    pairs = [(a, b) for a in range(3) for b in range(3)]
    rule = all if cause is Cause.BOTH_LOCI else any
    looks = [int(rule(n == 2 for n in pair)) for pair in pairs]
    names = tuple(f"{a}/{b}" for a, b in pairs)
    return Mode(cause, 1.0, names, tuple(a + b for a, b in pairs), moves, np.ones(9), _both(looks), 2)
