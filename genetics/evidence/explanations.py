"""The twelve explanations: one row each, with its prior, the grids of its parameters, and what it predicts.

What every explanation with genes at a locus says of one young (so that a simulation and the weighing agree):

1. Its genotype comes from its mother's and its father's by Mendel's rules; loci of "two loci" are unlinked. Genotypes
   die before they can be scored where HOMOZYGOTE says so.
2. A genotype that is meant to show does show with chance PENETRANCE; any other shows all the same with PHENOCOPIES.
   Where a partial class is scored: of the young that show, those of "incompletely dominant" are partial with one copy
   and full with two (a phenocopy is partial or full with ½ each); under every other explanation a share of them is
   partial, the same in the whole programme, drawn from Beta(1, 4), whatever the genotype (judgement).
3. It lives to be scored, a showing one with SURVIVAL times the chance of one that does not show.
4. It is scored, and written down as the other (shows ↔ does not) with chance MISREAD; under "incompletely dominant"
   with a partial class: wild as partial, full as partial, partial as wild or full with MISREAD / 2 each.

5. A planned brood is spoilt with chance SPOILT (mixed up in the book, escaped, scored the wrong way round): then the
   share that is written down as showing is anything, uniformly from 0 to 1 (and so is the partial among them, under
   "incompletely dominant"), the same for daughters and sons. Animals kept back from it are what they are all the same.

Founders come out of their stock with the alleles in Hardy-Weinberg proportions, those that die early missing. Under "two
loci, either suffices" the odd founders have two copies at either locus between them (a single one: at both): at one
locus alone this programme says nothing but "recessive", so the explanation is left out where no odd founder is on record. Parameters have their prior
*given* that the trait was found: a simulation draws them first, and then animals until the odd founders and found
broods are what they are.

A figure is one for the whole programme (drawn once from its grid), but for the stored sperm's share, which is drawn
for each brood and dam. Grids and priors are a keeper's to change. Every default here is a judgement where no source is
named in science.md.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from genetics.errors import EvidenceFault, EvidenceRefused
from genetics.evidence.grids import Grid, beta_grid, fixed, weighted


class Cause(StrEnum):
    """Why the trait is there."""

    NOT_INHERITED = "not inherited"
    RECESSIVE = "recessive"
    DOMINANT = "dominant"
    INCOMPLETE = "incompletely dominant"
    LETHAL = "dominant, two copies lethal or weak"
    SEX_LIMITED = "on an autosome, shown in one sex only"
    SEX_LINKED = "sex-linked"
    BOTH_LOCI = "two loci, both needed"
    EITHER_LOCUS = "two loci, either suffices"
    THRESHOLD = "many genes with a threshold"
    MATERNAL = "maternal"
    NONE = "none of these"

    @property
    def inherited(self) -> bool:
        """Whether it passes from parents to young; the sceptic's prior quarters those that do."""
        return self not in (Cause.NOT_INHERITED, Cause.NONE)


class Figure(StrEnum):
    """What an explanation does not fix.

    PENETRANCE: chance that a genotype meant to show does. PHENOCOPIES: chance that another one shows.
    SURVIVAL: to scoring, of a young that shows, relative to one that does not. MISREAD: chance that a scored young is
        written down as the other.
    SPOILT: chance that a planned brood's counts have nothing to do with its parents.
    HOME, AWAY: frequency of the trait's allele (of either locus; of the mothers that pass it, under "maternal") in the
        stock where the trait turned up, and in any other.
    HOMOZYGOTE: survival of two copies relative to none or one.
    STORED_HAD_MALES, STORED_UNKNOWN: share of one brood that has the stored sire, for a dam that had males, and for one
        of which nobody knows.
    RATE: mean share that shows. BIN_SPREAD: bins' own rates are Beta(RATE·s, (1 − RATE)·s) with s this figure.
        BROOD_SPREAD: rates of the broods of one bin are Beta(m·s, (1 − m)·s) around the bin's m.
    HERITABILITY, INCIDENCE: of the liability, and the share above the threshold, in stock that nobody selected.
    """

    PENETRANCE = "penetrance"
    PHENOCOPIES = "phenocopies"
    SURVIVAL = "survival of those that show"
    MISREAD = "scoring error"
    SPOILT = "spoilt broods"
    HOME = "frequency in the home stock"
    AWAY = "frequency in other stock"
    HOMOZYGOTE = "survival of two copies"
    STORED_HAD_MALES = "share of stored sperm, had males"
    STORED_UNKNOWN = "share of stored sperm, unknown"
    RATE = "mean rate"
    BIN_SPREAD = "spread between bins"
    BROOD_SPREAD = "spread between broods"
    HERITABILITY = "heritability"
    INCIDENCE = "incidence"


@dataclass(frozen=True, slots=True)
class Explanation:
    """One row of the table: the cause, its prior, the grid of each figure it needs, and what it predicts, in words.

    Raises EvidenceRefused for a prior outside 0 to 1 and for figures that are not those the cause needs.
    """

    cause: Cause
    prior: float
    grids: Mapping[Figure, Grid]
    predicts: str

    def __post_init__(self) -> None:
        if not 0 <= self.prior <= 1:
            raise EvidenceRefused(EvidenceFault.PRIOR, self.cause, str(self.prior))
        if set(self.grids) != figures_of(self.cause):
            raise EvidenceRefused(EvidenceFault.EXPLANATION, self.cause)
        object.__setattr__(self, "grids", MappingProxyType(_in_order(self.grids)))

    def __reduce__(self) -> tuple[type["Explanation"], tuple[Cause, float, dict[Figure, Grid], str]]:
        return Explanation, (self.cause, self.prior, dict(self.grids), self.predicts)


_GENES = frozenset(
    {
        Figure.PENETRANCE,
        Figure.PHENOCOPIES,
        Figure.SURVIVAL,
        Figure.MISREAD,
        Figure.SPOILT,
        Figure.HOME,
        Figure.AWAY,
        Figure.STORED_HAD_MALES,
        Figure.STORED_UNKNOWN,
    }
)


def figures_of(cause: Cause) -> frozenset[Figure]:
    """The figures that an explanation needs a grid of.

    >>> sorted(figures_of(Cause.NONE))
    [<Figure.RATE: 'mean rate'>, <Figure.BROOD_SPREAD: 'spread between broods'>]
    """
    if cause is Cause.NONE:
        return frozenset({Figure.RATE, Figure.BROOD_SPREAD})
    if cause is Cause.NOT_INHERITED:
        return frozenset({Figure.RATE, Figure.BIN_SPREAD, Figure.BROOD_SPREAD})
    if cause is Cause.THRESHOLD:
        stored = {Figure.STORED_HAD_MALES, Figure.STORED_UNKNOWN}
        return frozenset(
            {Figure.HERITABILITY, Figure.INCIDENCE, Figure.SURVIVAL, Figure.MISREAD, Figure.SPOILT} | stored
        )
    if cause is Cause.MATERNAL:
        return _GENES - {Figure.STORED_HAD_MALES, Figure.STORED_UNKNOWN}
    return _GENES | {Figure.HOMOZYGOTE} if cause is Cause.LETHAL else _GENES


PRIORS: Mapping[Cause, float] = MappingProxyType(
    {
        Cause.NOT_INHERITED: 0.35,
        Cause.RECESSIVE: 0.30,
        Cause.DOMINANT: 0.08,
        Cause.INCOMPLETE: 0.05,
        Cause.LETHAL: 0.02,
        Cause.SEX_LIMITED: 0.06,
        Cause.SEX_LINKED: 0.01,
        Cause.BOTH_LOCI: 0.02,
        Cause.EITHER_LOCUS: 0.02,
        Cause.THRESHOLD: 0.07,
        Cause.MATERNAL: 0.01,
        Cause.NONE: 0.01,
    }
)
"""Default priors for one odd animal (judgement; the share of "two loci" is split evenly)."""

PREDICTS: Mapping[Cause, str] = MappingProxyType(
    {
        Cause.NOT_INHERITED: "each bin has its own share of young that show, whoever the parents are; so has each brood, near its bin's",
        Cause.RECESSIVE: "two copies show; a quarter of het × het, half of het × visual, all of visual × visual",
        Cause.DOMINANT: "one copy shows; half of het × wild, three quarters of het × het",
        Cause.INCOMPLETE: "one copy shows partially and two fully; 1:2:1 of partial × partial",
        Cause.LETHAL: "one copy shows; young with two copies die early, or few of them live; 2:1 of het × het",
        Cause.SEX_LIMITED: "recessive or dominant on an autosome, and only daughters, or only sons, can show; each of the four ¼",
        Cause.SEX_LINKED: "recessive or dominant (½ each) on the X or Z; the sex with one copy shows what it has",
        Cause.BOTH_LOCI: "recessive at two unlinked loci, and only two copies at both show; 1 in 16 of double het × double het",
        Cause.EITHER_LOCUS: "recessive at two unlinked loci, and two copies at either show; 7 in 16 of double het × double het",
        Cause.THRESHOLD: "many genes of small effect; young of two that show do so more often, of one less, of none seldom",
        Cause.MATERNAL: "all young are like their dam, whoever the sire is",
        Cause.NONE: "each brood has a share of its own, and neither parents nor bin foretell it",
    }
)
"""What each predicts for a pairing, in a line for people."""


def default_grids(cause: Cause) -> dict[Figure, Grid]:
    """The default grids of an explanation (judgement; ranges of science.md §5).

    >>> default_grids(Cause.RECESSIVE)[Figure.AWAY].nodes
    (0.005,)
    """
    rare = cause in (Cause.DOMINANT, Cause.INCOMPLETE, Cause.LETHAL, Cause.MATERNAL)
    every = {
        # Two loci have more unknown genotypes, and the same young tell less of their penetrance.
        Figure.PENETRANCE: beta_grid(3, 1, 6 if cause in (Cause.BOTH_LOCI, Cause.EITHER_LOCUS) else 10),
        Figure.PHENOCOPIES: weighted([(0.001, 0.7), (0.01, 0.3)]),
        # A threshold's own figures leave shares uncertain enough.
        Figure.SURVIVAL: fixed(0.85) if cause is Cause.THRESHOLD else beta_grid(2.9, 1.6, 2, 0.4, 1.1),
        Figure.MISREAD: fixed(0.01) if cause is Cause.THRESHOLD else weighted([(0.002, 0.6), (0.02, 0.4)]),
        Figure.SPOILT: fixed(0.02),
        # A dominant that were common in its stock would have been seen before.
        Figure.HOME: fixed(0.002) if rare else weighted([(0.02, 0.55), (0.15, 0.45)]),
        Figure.AWAY: fixed(0.001) if rare else fixed(0.005),
        Figure.HOMOZYGOTE: weighted([(0.0, 0.6), (0.4, 0.4)]),
        Figure.STORED_HAD_MALES: weighted([(0.0, 0.6), (0.28, 0.25), (0.8, 0.15)]),
        Figure.STORED_UNKNOWN: weighted([(0.0, 0.85), (0.28, 0.1), (0.8, 0.05)]),
        Figure.RATE: fixed(0.3)
        if cause is Cause.NONE
        else weighted([(0.005, 0.3), (0.03, 0.35), (0.12, 0.25), (0.4, 0.1)]),
        Figure.BIN_SPREAD: weighted([(2.0, 0.5), (10.0, 0.5)]),
        Figure.BROOD_SPREAD: fixed(2.0) if cause is Cause.NONE else weighted([(5.0, 0.3), (30.0, 0.4), (300.0, 0.3)]),
        Figure.HERITABILITY: weighted([(0.3, 0.5), (0.7, 0.5)]),
        Figure.INCIDENCE: weighted([(0.003, 0.6), (0.03, 0.4)]),
    }
    return _in_order({figure: every[figure] for figure in figures_of(cause)})


def _in_order(grids: Mapping[Figure, Grid]) -> dict[Figure, Grid]:
    """The grids in one order in every process, so that what is sampled over their nodes is the same in each."""
    return {figure: grids[figure] for figure in Figure if figure in grids}


def default_table() -> tuple[Explanation, ...]:
    """The table as it is without anybody's changes: twelve rows, priors that sum to 1.

    >>> len(default_table())
    12
    """
    return tuple(Explanation(cause, PRIORS[cause], default_grids(cause), PREDICTS[cause]) for cause in Cause)


def sceptic(table: tuple[Explanation, ...]) -> tuple[float, ...]:
    """The priors of a sceptic, in the table's order: those of inherited explanations quartered, then brought to sum 1.

    >>> rows = default_table()
    >>> round(sum(p for row, p in zip(rows, sceptic(rows)) if row.cause.inherited), 3)
    0.308
    """
    raw = [row.prior / 4 if row.cause.inherited else row.prior for row in table]
    return tuple(one / sum(raw) for one in raw)


def checked_table(table: tuple[Explanation, ...]) -> tuple[Explanation, ...]:
    """The table itself. Raises EvidenceRefused if an explanation stands twice or the priors do not sum to 1."""
    causes = [row.cause for row in table]
    if len(set(causes)) < len(causes) or not causes:
        raise EvidenceRefused(EvidenceFault.EXPLANATION, "table")
    total = sum(row.prior for row in table)
    if abs(total - 1) > 1e-9:
        raise EvidenceRefused(EvidenceFault.PRIOR, "table", str(total))
    return table
