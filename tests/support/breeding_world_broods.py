"""Broods of a simulated truth: who bears whom, what is written down, who is kept back.

The ways of the world outside the model (`Ways`) act here and in `breeding_world`; all at their defaults, a brood is what
the explanations say it is.
"""

import random
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from genetics.evidence.explanations import Cause, Figure
from genetics.evidence.grids import Grid
from genetics.evidence.programme import UNCOUNTED, Brood, Counted, Dam, Founders, Group, Kept, Mated, Pairing, Sharing
from genetics.loci import Sex
from genetics.traits import Appearance
from tests.support.breeding_world import FULL, PARTIAL, WILD, F, Genes, Heredity, M, Truth, Young

Grids = Mapping[Figure, Grid]


@dataclass(frozen=True, slots=True)
class Ways:
    """How a world departs from the model (all figures made up but the shares of science.md §5).

    contaminated: share of broods in which each young is, with chance ½, one of another litter of the
        book. secretly_mated: share of dams that are said to be isolated and hold stored sperm of their stock, or of a
        brother, for .28 or .8 of each brood. warm_bins: share of bins in which any young may show all the same, with a
        chance from Beta(2, 8). unsaid: share of planned broods without any visual that never reach the book.
    """

    contaminated: float = 0.0
    secretly_mated: float = 0.0
    warm_bins: float = 0.0
    unsaid: float = 0.0


@dataclass(frozen=True, slots=True)
class Plan:
    """A brood before it is scored. sexed: which young get sexed: "all", "none", or "visuals". found: it must show."""

    brood: Brood
    scored: int
    sexed: str = "all"
    found: bool = False


@dataclass(slots=True)
class Litter:
    """The parents of one brood: `mother` and `father` where all young share them, a share of stored sperm for each dam."""

    pairing: Pairing
    dams: tuple[Dam, ...]
    mother: tuple[str, Genes] | None
    father: Genes | None
    stored: dict[str, float]
    also: float
    rate: float
    other: "Litter | None" = None
    young: list[Young] = field(default_factory=list)


def drawn(rng: random.Random, grid: Grid) -> float:
    """A figure from its grid."""
    return rng.choices(grid.nodes, grid.weights)[0]


@dataclass(slots=True)
class Breeding:
    """The animals of one programme, as they come to be."""

    rng: random.Random
    heredity: Heredity
    grids: Grids
    daughters: float
    ways: Ways = field(default_factory=Ways)
    groups: dict[str, Group] = field(default_factory=dict)
    pairings: dict[str, Pairing] = field(default_factory=dict)
    broods: dict[str, Brood] = field(default_factory=dict)
    animals: dict[str, list[Genes]] = field(default_factory=dict)
    sires: dict[tuple[str, str], Genes] = field(default_factory=dict)
    secret: dict[str, bool] = field(default_factory=dict)
    litters: dict[str, Litter] = field(default_factory=dict)
    rates: dict[str, float] = field(default_factory=dict)
    warm: dict[str, float] = field(default_factory=dict)

    @property
    def truth(self) -> Truth:
        return self.heredity.truth

    # Animals

    def bring(self, founders: Sequence[Founders], *, hopeful: bool = False) -> bool:
        """Founders as they are drawn; False if an odd one cannot be. hopeful: known to hold a copy at each locus."""
        for one in founders:
            self.groups[one.name] = one
        if not self.truth.cause.inherited:
            return True
        while True:
            for one in founders:
                members = [self.founder(one) for _ in range(one.number or 0)]
                if None in members:
                    return False
                self.animals[one.name] = [genes for genes in members if genes is not None]
            odd = [genes for one in founders if one.odd for genes in self.animals[one.name]]
            if self.truth.cause is Cause.EITHER_LOCUS and odd and not self.both_loci(odd, founders):
                continue
            if not hopeful or self.copies(founders):
                return True

    def founder(self, one: Founders) -> Genes | None:
        if one.odd:
            return self.heredity.odd(one.sex, one.stock, one.look)
        if one.carries is not None and self.heredity.hides:
            return self.heredity.told(one.sex, float(one.carries))
        return self.heredity.founder(one.sex, one.stock)

    def both_loci(self, odd: list[Genes], founders: Sequence[Founders]) -> bool:
        """Odd founders show at both loci between them; a single one is redrawn locus by locus, which is the same."""
        if len(odd) == 1:
            name = next(one.name for one in founders if one.odd)
            held = self.animals[name][0]
            assert isinstance(held, tuple)
            self.animals[name] = [((1, 1), (1, 1), *held[2:])]
            return True
        return all(any(isinstance(genes, tuple) and genes[at] == (1, 1) for genes in odd) for at in (0, 1))

    def copies(self, founders: Sequence[Founders]) -> bool:
        """A copy at each locus among the founders; at two loci, the locus that has none is drawn anew by itself."""
        for at in range(self.heredity.loci):
            while not any(
                isinstance(genes, tuple) and any(genes[at]) for one in founders for genes in self.animals[one.name]
            ):
                if self.heredity.loci == 1:
                    return False
                for one in founders:
                    q = self.heredity.frequency(one.stock)
                    self.animals[one.name] = [
                        (*genes[:at], self.heredity.column(one.sex, q), *genes[at + 1 :])
                        for genes in self.animals[one.name]
                        if isinstance(genes, tuple)
                    ]
        return True

    def look_at(self, name: str) -> None:
        """A founder of one animal is looked at, and that is written down."""
        one = self.groups[name]
        assert isinstance(one, Founders)
        if self.truth.cause.inherited:
            look = self.heredity.looked_at(self.animals[name][0], one.sex)
        else:
            # It grew up in a bin and a brood of its own, so that it shows with the mean rate.
            shows = self.rng.random() < self.truth.figures[Figure.RATE]
            look = self.heredity.grade(FULL) if shows else WILD
        self.groups[name] = replace(one, look=look)

    def keep(self, kept: Kept) -> None:
        """Animals kept back: scored young of that look and sex, or sibs of theirs if there are none or nobody looked."""
        self.groups[kept.name] = kept
        if not self.truth.cause.inherited:
            return
        litter = self.litters[kept.brood]
        self.animals[kept.name] = [self.sib(litter, kept) for _ in range(kept.number)]

    def sib(self, litter: Litter, kept: Kept) -> Genes:
        for at, young in enumerate(litter.young if kept.look is not None else ()):
            if young.sex is kept.sex and self.alike(young, kept):
                return litter.young.pop(at).genes
        while True:
            young = self.born(litter, kept.sex)
            if self.alike(young, kept):
                return young.genes

    def alike(self, young: Young, kept: Kept) -> bool:
        if kept.look is None or young.look is kept.look:
            return True
        # Unless genes decide it, partial and full are one look.
        return not self.heredity.graded and WILD not in (young.look, kept.look)

    # Broods

    def parent(self, names: Sequence[str], sex: Sex) -> tuple[str, Genes]:
        """An animal out of all that are possible."""
        groups = [self.groups[name] for name in names]
        group = groups[0]
        if len(groups) > 1:
            group = self.rng.choices(groups, [UNCOUNTED if one.number is None else one.number for one in groups])[0]
        if group.number is None:
            assert isinstance(group, Founders)
            return group.name, self.heredity.founder(sex, group.stock)
        return group.name, self.rng.choice(self.animals[group.name])

    def litter(self, plan: Brood) -> Litter:
        """The parents of a brood that comes about now."""
        pairing = self.pairings[plan.pairing]
        dams = tuple(dam for dam in pairing.dams if not plan.mothers or dam.group in plan.mothers)
        also = self.warmth(plan.bin)
        if not self.truth.cause.inherited:
            return Litter(pairing, dams, None, None, {}, 0.0, self.rate(plan.bin))
        mother = self.parent([dam.group for dam in dams], F) if pairing.mothers is Sharing.ONE else None
        father = self.parent(pairing.sires, M)[1] if pairing.fathers is Sharing.ONE else None
        stored = {dam.group: self.share(dam) for dam in dams}
        return Litter(pairing, dams, mother, father, stored, also, 0.0)

    def share(self, dam: Dam) -> float:
        if self.truth.cause is Cause.MATERNAL:
            return 0.0
        if dam.mated is Mated.ISOLATED:
            if self.ways.secretly_mated and dam.group not in self.secret:
                self.secret[dam.group] = self.rng.random() < self.ways.secretly_mated
            return self.rng.choice((0.28, 0.8)) if self.secret.get(dam.group) else 0.0
        known = dam.mated is Mated.HAD_MALES
        return drawn(self.rng, self.grids[Figure.STORED_HAD_MALES if known else Figure.STORED_UNKNOWN])

    def stored_sire(self, pairing: Pairing, dam: Dam) -> Genes:
        key = (pairing.name, dam.group)
        if key not in self.sires:
            group = self.groups[dam.group]
            if dam.males is not None:
                self.sires[key] = self.parent([dam.males], M)[1]
            elif isinstance(group, Founders):
                self.sires[key] = self.heredity.founder(M, group.stock)
            else:
                self.sires[key] = self.born(self.litters[group.brood], M).genes
        return self.sires[key]

    def born(self, litter: Litter, sex: Sex) -> Young:
        """One scored young of this sex."""
        if not self.truth.cause.inherited:
            shows = self.rng.random() < litter.rate
            look = self.heredity.grade(FULL) if shows else WILD
            return Young(sex, look, 0.0, shows)
        while True:
            one = litter.other if litter.other is not None and self.rng.random() < 0.5 else litter
            name, dam = one.mother or self.parent([dam.group for dam in one.dams], F)
            if one.stored[name] and self.rng.random() < one.stored[name]:
                sire = self.stored_sire(one.pairing, next(held for held in one.dams if held.group == name))
            else:
                sire = one.father if one.father is not None else self.parent(one.pairing.sires, M)[1]
            young = self.heredity.scored(self.heredity.passed(dam, sire, sex), sex, litter.also)
            if young is not None:
                return young

    def rate(self, name: str) -> float:
        """The rate of a brood in this bin, of a trait without genes."""
        held = self.truth.figures
        middle = held[Figure.RATE]
        if self.truth.cause is Cause.NOT_INHERITED:
            if name not in self.rates:
                self.rates[name] = self.beta(middle, held[Figure.BIN_SPREAD])
            middle = self.rates[name]
        return self.beta(middle, held[Figure.BROOD_SPREAD])

    def beta(self, mean: float, spread: float) -> float:
        # A Beta of a mean that is 0 or 1 to rounding is that mean.
        if not 1e-12 < mean < 1 - 1e-12:
            return mean
        return self.rng.betavariate(mean * spread, (1 - mean) * spread)

    def warmth(self, name: str) -> float:
        if name not in self.warm:
            self.warm[name] = self.rng.betavariate(2, 8) if self.rng.random() < self.ways.warm_bins else 0.0
        return self.warm[name]

    def breed(self, plan: Plan) -> bool:
        """The brood comes about, is scored and written down. Whether a real visual is in it."""
        brood = plan.brood
        litter = self.litter(brood)
        if self.litters and self.rng.random() < self.ways.contaminated and self.truth.cause.inherited:
            litter.other = self.rng.choice(list(self.litters.values()))
        sexes = [F if self.rng.random() < self.daughters else M for _ in range(plan.scored)]
        litter.young = [self.born(litter, sex) for sex in sexes]
        self.litters[brood.name] = litter
        looks = [young.look for young in litter.young]
        spoilt = self.truth.figures.get(Figure.SPOILT, 0.0)
        if not plan.found and self.rng.random() < spoilt:
            looks = self.anything(plan.scored)
        seen = Counter(
            (look, sex if plan.sexed == "all" or (plan.sexed == "visuals" and look is not WILD) else None)
            for look, sex in zip(looks, sexes, strict=True)
        )
        counted = tuple(Counted(look, n, sex) for (look, sex), n in sorted(seen.items(), key=str))
        real = any(young.real for young in litter.young)
        if plan.found and not real:
            return False
        self.broods[brood.name] = replace(brood, seen=counted, found=plan.found)
        return real

    def anything(self, scored: int) -> list[Appearance]:
        """Looks of a spoilt brood."""
        shows = self.rng.random()
        partly = self.rng.random()
        looks = []
        for _ in range(scored):
            look = FULL if self.rng.random() < shows else WILD
            if look is FULL and self.heredity.graded and self.rng.random() < partly:
                look = PARTIAL
            looks.append(self.heredity.grade(look))
        return looks
