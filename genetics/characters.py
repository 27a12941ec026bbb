"""Characters: what animals are scored for, as a map from genotype and sex to a distribution over classes."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import combinations_with_replacement, product
from typing import TypeAlias

from genetics.errors import ModelFault, ModelRefused
from genetics.loci import Locus, Sex
from genetics.rates import Rate, all_exact, exactly, fraction
from genetics.traits import Appearance, Dominance, Trait
from genetics.words import WILD_ALLELE

Pair: TypeAlias = tuple[str, ...]
"""The alleles at one locus: two in a diploid, one where only one homologue has the locus, none where neither has."""

Row: TypeAlias = tuple[Pair, ...]
"""The alleles at each locus of a character, two at each."""

ANY = "*"
VIGOUR = 1000
_SLACK = Fraction(1, 10**9)


@dataclass(frozen=True, slots=True)
class Character:
    """How genotypes at one or more loci look, and how well they live.

    Made by `character`, `series`, `acting_together` or `table`; the methods give a changed copy.

    labels: the classes, in the order in which they are told. wild: the class of an animal without any mutation.
    looks: for every pair of alleles at every locus the chances of the classes, in the order of the labels.
    looks_of_males: the same for males, where they differ. lives, lives_of_males: relative viability by genotype, 0 is
    lethal; what is not named has 1. week: the age in weeks from which the classes can be told apart. exact: whether no
    figure in it came as a float (found out at birth).
    A single copy (in the sex with one X or Z, or in a haploid male) looks like two. The looks of different characters
    are independent once genotype and sex are known.

    >>> ember = Trait("ember", "e", Dominance.RECESSIVE)
    >>> character(ember).with_penetrance(Fraction(7, 10)).chances((("e", "e"),))
    (Fraction(3, 10), Fraction(7, 10))
    """

    name: str
    loci: tuple[Locus, ...]
    labels: tuple[str, ...]
    looks: Mapping[Row, tuple[Rate, ...]]
    looks_of_males: Mapping[Row, tuple[Rate, ...]] | None = None
    lives: Mapping[Row, Rate] | None = None
    lives_of_males: Mapping[Row, Rate] | None = None
    week: int = 0
    exact: bool = True

    def __post_init__(self) -> None:
        if not self.loci:
            raise ModelRefused(self.name, ModelFault.EMPTY, "")
        if not self.labels or len(set(self.labels)) < len(self.labels):
            raise ModelRefused(self.name, ModelFault.LABELS, ", ".join(self.labels))
        if not isinstance(self.week, int) or self.week < 0:
            raise ModelRefused(self.name, ModelFault.AGE, str(self.week))
        rows = all_rows(self.loci)
        for which in ("looks", "looks_of_males"):
            looks = getattr(self, which)
            if looks is not None:
                object.__setattr__(self, which, {row: self._checked(row, looks.get(row)) for row in rows})
        for which in ("lives", "lives_of_males"):
            lives = getattr(self, which)
            if lives is not None:
                object.__setattr__(self, which, {row: self._exactly("viability", lives.get(row, 1)) for row in rows})

    def __hash__(self) -> int:
        return hash(self.name)

    def _exactly(self, name: str, rate: Rate) -> Fraction:
        if isinstance(rate, float):
            object.__setattr__(self, "exact", False)
        return exactly(name, rate, VIGOUR if name == "viability" else 1)

    def _checked(self, row: Row, chances: tuple[Rate, ...] | None) -> tuple[Rate, ...]:
        """The chances of one genotype as exact figures that sum to 1; of floats the last one gives way."""
        if chances is None or len(chances) != len(self.labels):
            raise ModelRefused(self.name, ModelFault.TABLE_GAP, write_row(row))
        if set(map(type, chances)) == {int} and set(chances) <= {0, 1} and sum(chances) == 1:
            return chances
        known = [self._exactly(f"chance of {write_row(row)}", chance) for chance in chances]
        excess = sum(known, Fraction(0)) - 1
        if excess and (all_exact(chances) or abs(excess) > _SLACK):
            raise ModelRefused(self.name, ModelFault.TABLE_SUM, write_row(row))
        largest = known.index(max(known))
        known[largest] -= excess
        return tuple(known)

    # ---- asked of it

    @property
    def wild(self) -> str:
        """The class of an animal with wild alleles alone, or the likeliest one of such an animal."""
        chances = self.looks[tuple((WILD_ALLELE, WILD_ALLELE) for _ in self.loci)]
        return self.labels[max(range(len(chances)), key=lambda at: fraction(chances[at]))]

    @property
    def by_sex(self) -> bool:
        """Whether the sexes look or live differently with the same genotype."""
        return self.looks_of_males is not None or self.lives_of_males is not None

    @property
    def selects(self) -> bool:
        """Whether genotypes live differently well."""
        return self.lives is not None or self.lives_of_males is not None

    def label(self, look: str) -> int:
        """Where a class stands among the labels; raises ModelRefused for a class it does not have."""
        try:
            return self.labels.index(look)
        except ValueError:
            raise ModelRefused(self.name, ModelFault.LABEL_UNKNOWN, look) from None

    def chances(self, alleles: Sequence[Pair], sex: Sex | None = None) -> tuple[Rate, ...]:
        """The chances of the classes for alleles at each of its loci."""
        looks = self.looks_of_males if sex is Sex.MALE and self.looks_of_males is not None else self.looks
        return looks[self.row(alleles)]

    def survival(self, alleles: Sequence[Pair], sex: Sex | None = None) -> Rate:
        """The relative viability for alleles at each of its loci."""
        lives = self.lives_of_males if sex is Sex.MALE and self.lives_of_males is not None else self.lives
        return 1 if lives is None else lives.get(self.row(alleles), 1)

    def row(self, alleles: Sequence[Pair]) -> Row:
        """The alleles as a row of the tables: sorted, one copy doubled, and no copy taken as wild."""
        whole = []
        for locus, pair in zip(self.loci, alleles, strict=True):
            doubled = pair * 2 if len(pair) == 1 else pair or (WILD_ALLELE, WILD_ALLELE)
            whole.append(locus.pair(doubled))
        return tuple(whole)

    def rows(self, genotype: str) -> list[Row]:
        """The rows that a genotype names: a pair of alleles for each locus, parted by ";", "*" for any.

        >>> ember = Trait("ember", "e", Dominance.RECESSIVE)
        >>> character(ember).rows("e/+")
        [(('+', 'e'),)]
        """
        return matching_rows(self.name, self.loci, genotype)

    # ---- changed copies

    def with_penetrance(self, shown: Rate | Mapping[str, Rate]) -> "Character":
        """As before, but what would look so does so with this chance only and looks wild otherwise.

        shown: one chance for every class but the wild one, or a chance for each class named. Raises OutOfRange.
        """
        if not isinstance(shown, Mapping):
            shown = {label: shown for label in self.labels if label != self.wild}
        kept = {self.label(label): exactly("penetrance", rate) for label, rate in shown.items()}
        wild = self.label(self.wild)

        def spread(chances: tuple[Rate, ...]) -> tuple[Rate, ...]:
            after = [chance * kept.get(at, 1) if at != wild else chance for at, chance in enumerate(chances)]
            lost = [chance * (1 - kept.get(at, 1)) for at, chance in enumerate(chances) if at != wild]
            after[wild] = after[wild] + sum(lost)
            return tuple(after)

        return self._relooked(spread, all_exact(shown.values()))

    def with_phenocopies(self, shown: Rate | Mapping[str, Rate]) -> "Character":
        """As before, but what would look wild looks otherwise with this chance: of the last class, or of those named.

        Put phenocopies on before penetrance, if an animal that fails to show may not be a phenocopy. Raises OutOfRange.
        """
        if not isinstance(shown, Mapping):
            shown = {[label for label in self.labels if label != self.wild][-1]: shown}
        copies = {self.label(label): exactly("phenocopies", rate) for label, rate in shown.items()}
        exactly("phenocopies", sum(copies.values(), Fraction(0)))
        wild = self.label(self.wild)

        def spread(chances: tuple[Rate, ...]) -> tuple[Rate, ...]:
            after = [chance + chances[wild] * copies.get(at, 0) for at, chance in enumerate(chances)]
            after[wild] = chances[wild] * (1 - sum(copies.values()))
            return tuple(after)

        return self._relooked(spread, all_exact(shown.values()))

    def misread(self, error: Rate) -> "Character":
        """As a scorer reads it who takes a class for another with this chance, all others alike. Raises OutOfRange.

        >>> ember = Trait("ember", "e", Dominance.RECESSIVE)
        >>> [str(chance) for chance in character(ember).misread(Fraction(1, 20)).chances((("e", "e"),))]
        ['1/20', '19/20']
        """
        rate = exactly("scoring error", error)
        others = len(self.labels) - 1
        if not others:
            return self

        def spread(chances: tuple[Rate, ...]) -> tuple[Rate, ...]:
            known = [fraction(chance) for chance in chances]
            return tuple([chance * (1 - rate) + (1 - chance) * rate / others for chance in known])

        return self._relooked(spread, all_exact([error]))

    def _relooked(self, spread: "_Change", exact: bool) -> "Character":
        males = self.looks_of_males
        return replace(
            self,
            looks={row: spread(chances) for row, chances in self.looks.items()},
            looks_of_males=None if males is None else {row: spread(chances) for row, chances in males.items()},
            exact=self.exact and exact,
        )

    def limited_to(self, sex: Sex) -> "Character":
        """As before, but shown in one sex only: the other looks wild whatever its genotype, and passes it on all the same.

        Not to be confused with sex linkage, which is about where the locus lies.

        >>> ember = Trait("ember", "e", Dominance.RECESSIVE)
        >>> character(ember).limited_to(Sex.FEMALE).chances((("e", "e"),), Sex.MALE)
        (1, 0)
        """
        wild = self.label(self.wild)
        hidden = tuple(int(at == wild) for at in range(len(self.labels)))
        plain: dict[Row, tuple[Rate, ...]] = dict.fromkeys(self.looks, hidden)
        males = self.looks if self.looks_of_males is None else self.looks_of_males
        if sex is Sex.FEMALE:
            return replace(self, looks_of_males=plain)
        return replace(self, looks=plain, looks_of_males=males)

    def with_viability(self, lives: Mapping[str, Rate], sex: Sex | None = None) -> "Character":
        """As before, with relative viabilities by genotype ("e/e": 0 is lethal), in one sex or in both.

        What is named later counts where several name one genotype. Raises OutOfRange, ModelRefused.

        >>> yellow = Trait("yellow", "yl", Dominance.DOMINANT)
        >>> character(yellow).with_viability({"yl/yl": 0}).survival((("yl", "yl"),)) == 0
        True
        """
        females, males = dict(self.lives or {}), dict(self.lives_of_males or self.lives or {})
        for genotype, rate in lives.items():
            exactly("viability", rate, VIGOUR)
            for row in self.rows(genotype):
                if sex is not Sex.MALE:
                    females[row] = rate
                if sex is not Sex.FEMALE:
                    males[row] = rate
        return replace(self, lives=females, lives_of_males=None if males == females else males)

    def readable_from(self, week: int) -> "Character":
        """As before, but the classes can be told apart only from this age in weeks on. Raises ModelRefused below 0."""
        return replace(self, week=week)

    def at_week(self, week: int) -> "Character":
        """What can be seen at this age: the character itself, or one class for all ("too young to read")."""
        if week >= self.week:
            return self
        unread: dict[Row, tuple[Rate, ...]] = dict.fromkeys(self.looks, (1,))
        return replace(self, labels=(UNREAD,), looks=unread, looks_of_males=None, week=0)


UNREAD = "too young to read"
"""The one class of a character before it can be read."""


Scored: TypeAlias = Trait | Character
"""What young are asked for: a trait as it is, or a character."""


_Change: TypeAlias = Callable[[tuple[Rate, ...]], tuple[Rate, ...]]


def all_rows(loci: Sequence[Locus]) -> list[Row]:
    """Every genotype that a diploid can have at these loci.

    >>> [write_row(row) for row in all_rows([Locus("ember", ("+", "e"))])]
    ['+/+', '+/e', 'e/e']
    """
    return list(product(*(combinations_with_replacement(locus.alleles, 2) for locus in loci)))


def write_row(row: Row) -> str:
    """A row in gene notation."""
    return "; ".join("/".join(pair) for pair in row)


def matching_rows(name: str, loci: Sequence[Locus], genotype: str) -> list[Row]:
    """The rows that a written genotype names; see `Character.rows`. Raises ModelRefused; `name` says of what."""
    pairs = [part.strip() for part in genotype.split(";")]
    if len(pairs) != len(loci):
        raise ModelRefused(name, ModelFault.TABLE_GAP, genotype)
    options: list[list[Pair]] = []
    for locus, written in zip(loci, pairs, strict=True):
        every = list(combinations_with_replacement(locus.alleles, 2))
        left, slash, right = (part.strip() for part in written.partition("/"))
        wanted = [left, right if slash else ANY]
        for allele in wanted:
            if allele != ANY:
                locus.check(allele)
        options.append([pair for pair in every if _fits(pair, wanted)])
    return list(product(*options))


def _fits(pair: Pair, wanted: Sequence[str]) -> bool:
    """Whether a pair of alleles is one that "e/*" names."""
    return any(
        all(allele in (one, ANY) for one, allele in zip(order, wanted, strict=True)) for order in (pair, pair[::-1])
    )


def character(trait: Trait) -> Character:
    """A trait as a character at its own locus: recessive, dominant or incompletely dominant, at full penetrance.

    At a locus of several alleles the trait shows where its allele is the most dominant one there. Raises ModelRefused
    if no dominance order is known for such a locus.

    >>> frost = character(Trait("frost", "f", Dominance.INCOMPLETE))
    >>> [str(label) for label in frost.labels], frost.chances((("+", "f"),))
    (['wild', 'partial', 'full'], (0, 1, 0))
    """
    locus = trait.locus
    if len(locus.alleles) > 2 and not locus.order:
        raise ModelRefused(trait.name, ModelFault.NEEDS_SERIES, " ".join(locus.alleles))
    labels = tuple(Appearance) if trait.dominance is Dominance.INCOMPLETE else (Appearance.WILD, Appearance.FULL)
    looks: dict[Row, tuple[Rate, ...]] = {}
    for row in all_rows((locus,)):
        shown = _shown(trait, locus, row[0])
        looks[row] = tuple([int(label is shown) for label in labels])
    return Character(trait.name, (locus,), labels, looks)


def _shown(trait: Trait, locus: Locus, pair: Pair) -> Appearance:
    if locus.order:
        return Appearance.FULL if locus.dominant(*pair) == trait.symbol else Appearance.WILD
    copies = pair.count(trait.symbol)
    if copies == 2:
        return Appearance.FULL
    if copies == 0 or trait.dominance is Dominance.RECESSIVE:
        return Appearance.WILD
    return Appearance.FULL if trait.dominance is Dominance.DOMINANT else Appearance.PARTIAL


def as_character(scored: Scored) -> Character:
    """What is asked for, as a character."""
    return character(scored) if isinstance(scored, Trait) else scored
