"""Animals of one trait, one by one: alleles drawn, passed on, expressed, lost and misread.

It knows nothing of how broods are weighed. What it does is what `genetics/evidence/explanations.py` and `programme.py`
say in words; of their code it uses the values alone (a test reads the imports).
"""

import itertools
import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from statistics import NormalDist

from genetics.evidence.explanations import Cause, Figure
from genetics.evidence.programme import Stock
from genetics.genome import SexSystem
from genetics.loci import Sex
from genetics.traits import Appearance

WILD, PARTIAL, FULL = Appearance.WILD, Appearance.PARTIAL, Appearance.FULL
F, M = Sex.FEMALE, Sex.MALE
XX = (SexSystem.XX_XY, SexSystem.X0)
MODIFIED = (1.0, 0.85, 0.7, 0.5, 0.3)
"""What is left of penetrance with so many copies at two modifier loci, in the world that has them (made up)."""
MODIFIERS = 0.3
"""Frequency of the modifiers' alleles in every stock (made up)."""

Locus = tuple[int, ...]
Genes = tuple[Locus, ...] | float
"""Alleles at each locus, 1 is the trait's; or a breeding value, where many genes make the trait."""


@dataclass(frozen=True, slots=True)
class Truth:
    """What is really so: the cause, its variant, its figures.

    recessive, limited: of a trait shown in one sex or sex-linked. modifiers: two more loci that lower penetrance.
    """

    cause: Cause
    figures: Mapping[Figure, float]
    recessive: bool = True
    limited: Sex | None = None
    system: SexSystem = SexSystem.UNKNOWN
    partial: bool = False
    modifiers: bool = False


@dataclass(frozen=True, slots=True)
class Young:
    """A scored young. real: it shows because of its genes, lives, and is scored as showing."""

    sex: Sex
    look: Appearance
    genes: Genes
    real: bool


@dataclass(slots=True)
class Heredity:
    """The rules of one truth, with the chances drawn from `rng`. partly: share of showing young that are partial."""

    rng: random.Random
    truth: Truth
    partly: float = 0.2
    chances: Mapping[Figure, float] = field(init=False)

    def __post_init__(self) -> None:
        self.chances = self.truth.figures

    @property
    def graded(self) -> bool:
        """Whether the class tells copies apart."""
        return self.truth.cause is Cause.INCOMPLETE and self.truth.partial

    # Genotypes

    def ploidy(self, sex: Sex) -> int:
        """Copies of the locus that a sex has."""
        if self.truth.cause is Cause.MATERNAL:
            return 1
        if self.truth.cause is Cause.SEX_LINKED:
            return 2 if (sex is F) == (self.truth.system in XX) else 1
        return 2

    @property
    def loci(self) -> int:
        """Loci of the trait itself."""
        return 2 if self.truth.cause in (Cause.BOTH_LOCI, Cause.EITHER_LOCUS) else 1

    def frequency(self, stock: Stock) -> float:
        return self.chances[Figure.HOME if stock is Stock.HOME else Figure.AWAY]

    def column(self, sex: Sex, frequency: float) -> Locus:
        """One locus of a founder: every copy an independent draw."""
        return tuple(int(self.rng.random() < frequency) for _ in range(self.ploidy(sex)))

    def founder(self, sex: Sex, stock: Stock) -> Genes:
        """A founder out of a stock; those that die early are not among them."""
        if self.truth.cause is Cause.THRESHOLD:
            return self.rng.gauss(0.0, self.chances[Figure.HERITABILITY] ** 0.5)
        while True:
            genes = tuple(self.column(sex, self.frequency(stock)) for _ in range(self.loci)) + self.extra()
            if self.lives(genes):
                return genes

    def extra(self) -> tuple[Locus, ...]:
        if not self.truth.modifiers:
            return ()
        return tuple(tuple(int(self.rng.random() < MODIFIERS) for _ in range(2)) for _ in range(2))

    def told(self, sex: Sex, chance: float) -> Genes:
        """A founder of which the keeper was told that it may carry one hidden copy at each locus."""
        copies = self.ploidy(sex)
        carrier = (1,) + (0,) * (copies - 1)
        return (
            (carrier if self.rng.random() < chance else (0,) * copies,) if self.loci == 1 else self.both(chance)
        ) + (self.extra())

    def both(self, chance: float) -> tuple[Locus, ...]:
        return ((1, 0), (1, 0)) if self.rng.random() < chance else ((0, 0), (0, 0))

    @property
    def hides(self) -> bool:
        return self.truth.cause in (
            Cause.RECESSIVE,
            Cause.SEX_LIMITED,
            Cause.SEX_LINKED,
            Cause.BOTH_LOCI,
            Cause.EITHER_LOCUS,
        )

    def lives(self, genes: Genes) -> bool:
        """Whether it outlives the early death of two copies."""
        if self.truth.cause is not Cause.LETHAL or not isinstance(genes, tuple) or genes[0] != (1, 1):
            return True
        return self.rng.random() < self.chances[Figure.HOMOZYGOTE]

    def odd(self, sex: Sex, stock: Stock, look: Appearance | None) -> Genes | None:
        """A founder out of a stock, given that it shows because of its genes; None if that cannot be."""
        if self.truth.cause is Cause.THRESHOLD:
            while True:
                genes = self.founder(sex, stock)
                if self.expressed(genes, sex)[0]:
                    return genes
        q, copies = self.frequency(stock), self.ploidy(sex)
        every = list(itertools.product(itertools.product((0, 1), repeat=copies), repeat=self.loci))
        weights = []
        for genes in every:
            weight = 1.0
            for allele in itertools.chain(*genes):
                weight *= q if allele else 1 - q
            if self.truth.cause is Cause.LETHAL and genes[0] == (1, 1):
                weight *= self.chances[Figure.HOMOZYGOTE]
            meant = self.meant(genes, sex)
            if self.graded and look is not None:
                meant = meant and (sum(genes[0]) == 1) == (look is PARTIAL)
            weights.append(weight if meant else 0.0)
        return self.rng.choices(every, weights)[0] + self.extra() if sum(weights) else None

    def passed(self, dam: Genes, sire: Genes, sex: Sex) -> Genes:
        """What a young of this sex has of its parents; early deaths not yet taken out."""
        rng, cause = self.rng, self.truth.cause
        if isinstance(dam, float) or isinstance(sire, float):
            assert isinstance(dam, float)
            assert isinstance(sire, float)
            return rng.gauss((dam + sire) / 2, (self.chances[Figure.HERITABILITY] / 2) ** 0.5)
        if cause is Cause.MATERNAL:
            return dam[:1] + tuple((rng.choice(a), rng.choice(b)) for a, b in zip(dam[1:], sire[1:], strict=True))
        if cause is not Cause.SEX_LINKED:
            return tuple((rng.choice(a), rng.choice(b)) for a, b in zip(dam, sire, strict=True))
        ours: Locus = ()
        # The parent with one chromosome gives it to the sex that has two, and its Y or W to the other.
        if self.ploidy(F) == 2 or sex is M:
            ours += (rng.choice(dam[0]),)
        if self.ploidy(M) == 2 or sex is F:
            ours += (rng.choice(sire[0]),)
        return (ours, *((rng.choice(a), rng.choice(b)) for a, b in zip(dam[1:], sire[1:], strict=True)))

    # Expression

    def meant(self, genes: Sequence[Locus], sex: Sex) -> bool:
        """Whether a genotype is meant to show."""
        cause = self.truth.cause
        if cause is Cause.BOTH_LOCI:
            return genes[0] == genes[1] == (1, 1)
        if cause is Cause.EITHER_LOCUS:
            return (1, 1) in (genes[0], genes[1])
        if cause is Cause.SEX_LIMITED and sex is not self.truth.limited:
            return False
        recessive = cause is Cause.RECESSIVE or (
            cause in (Cause.SEX_LIMITED, Cause.SEX_LINKED) and self.truth.recessive
        )
        return all(genes[0]) if recessive else any(genes[0])

    def expressed(self, genes: Genes, sex: Sex) -> tuple[bool, bool, Appearance]:
        """Whether it shows, whether its genes are why, and as which class."""
        rng = self.rng
        if isinstance(genes, float):
            left = (1 - self.chances[Figure.HERITABILITY]) ** 0.5
            shows = genes + rng.gauss(0.0, left) > limit(self.chances[Figure.INCIDENCE])
            return shows, shows, FULL if shows else WILD
        meant = self.meant(genes, sex)
        chance = self.chances[Figure.PENETRANCE if meant else Figure.PHENOCOPIES]
        if meant and self.truth.modifiers:
            chance *= MODIFIED[sum(genes[-1]) + sum(genes[-2])]
        if not rng.random() < chance:
            return False, False, WILD
        if not self.graded:
            return True, meant, FULL
        partial = sum(genes[0]) == 1 if meant else rng.random() < 0.5
        return True, meant, PARTIAL if partial else FULL

    def read(self, look: Appearance) -> Appearance:
        """What is written down of a look, before partial and full are told apart where that says nothing."""
        if not self.rng.random() < self.chances[Figure.MISREAD]:
            return look
        if not self.graded:
            return FULL if look is WILD else WILD
        if look is PARTIAL:
            return self.rng.choice((WILD, FULL))
        return PARTIAL

    def grade(self, look: Appearance) -> Appearance:
        """Partial or full for one that shows, where genes do not decide which."""
        if look is WILD or self.graded or not self.truth.partial:
            return look
        return PARTIAL if self.rng.random() < self.partly else FULL

    def looked_at(self, genes: Genes, sex: Sex) -> Appearance:
        """How a grown animal is scored."""
        return self.grade(self.read(self.expressed(genes, sex)[2]))

    def scored(self, genes: Genes, sex: Sex, also: float = 0.0) -> Young | None:
        """A young that came about, scored; None if it did not live. also: a chance that it shows for its bin's sake."""
        if not self.lives(genes):
            return None
        shows, meant, look = self.expressed(genes, sex)
        if not shows and also and self.rng.random() < also:
            shows, look = True, FULL
        survival = self.chances[Figure.SURVIVAL]
        # Only the ratio of the two is given, and it may be above 1.
        most = max(1.0, survival)
        if self.rng.random() >= (survival if shows else 1.0) / most:
            return None
        written = self.read(look)
        return Young(sex, self.grade(written), genes, meant and written is not WILD)


@lru_cache(maxsize=64)
def limit(incidence: float) -> float:
    """The liability above which an animal shows."""
    return NormalDist().inv_cdf(1 - incidence)
