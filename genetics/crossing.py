"""The young of a cross: shares of classes, carriers, genotypes, and what counts say of the parents.

Independent linkage groups multiply only given the genotypes of both parents, so everything here sums over pairs of
parent kinds (the parts) and multiplies groups within a pair. Whole numbers inside, fractions at the edge.
"""

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple, TypeAlias, TypeVar

from genetics.errors import NeverHappens, OutOfRange, TooLarge
from genetics.expression import appearances, carries_hidden
from genetics.genotypes import Genotype
from genetics.inheritance import Group, groups_of
from genetics.limits import CLASSES, PART_GROUPS, YOUNG
from genetics.parents import Genotypes, Parent, index_of
from genetics.raising import Draws, HowMany, at_least, ceiling, how_many
from genetics.shares import ClassShare, GenotypeShare, Part
from genetics.traits import Appearance, Trait, distinct

_Young: TypeAlias = tuple[Genotype, Appearance, int]
_Key = TypeVar("_Key")
_RANK = {look: rank for rank, look in enumerate(Appearance)}


class _Table(NamedTuple):
    """The young of every pair of genotypes in one group, all over one total.

    young[pair]: how often each genotype occurs with each appearance.
    """

    trait: Trait
    young: tuple[tuple[_Young, ...], ...]
    total: int


class _Pairing(NamedTuple):
    """A part in whole numbers: `rows[group]` is where its pair of genotypes stands in that group's table."""

    weight: int
    dam: Genotypes
    sire: Genotypes
    rows: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Offspring:
    """The young of one dam and one sire, either of which may be uncertain. Made by `offspring`.

    Shares are exact and mean one young drawn at random. A brood has one dam and one sire: its young share the part they
    come from, so chances about several young go through the parts (`at_least`, `how_many`).

    >>> from genetics import Dominance
    >>> ember = Trait("ember", "e", Dominance.RECESSIVE)
    >>> het = Parent.of([ember], [(Fraction(1), (1,))])
    >>> young = offspring(het, het, [ember])
    >>> [(str(group.appearance[0]), str(group.share)) for group in young.classes()]
    [('wild', '3/4'), ('full', '1/4')]
    >>> young.carriers(ember)
    Fraction(2, 3)
    >>> young.how_many(1, Fraction(95, 100), {ember: Appearance.FULL}).see
    11
    """

    traits: tuple[Trait, ...]
    _tables: tuple[_Table, ...]
    _pairings: tuple[_Pairing, ...]
    _total: int

    @property
    def parts(self) -> tuple[Part, ...]:
        """The pairs that the parents may be, with shares that sum to exactly 1."""
        return tuple(Part(Fraction(one.weight, self._total), one.dam, one.sire) for one in self._pairings)

    @property
    def dam(self) -> Parent:
        """What is known of the dam alone. After `given`, dam and sire depend on each other: see `parts` for both."""
        return self._parent([one.dam for one in self._pairings])

    @property
    def sire(self) -> Parent:
        """What is known of the sire alone; see `dam`."""
        return self._parent([one.sire for one in self._pairings])

    def _parent(self, animals: list[Genotypes]) -> Parent:
        found: dict[Genotypes, int] = {}
        for one, animal in zip(self._pairings, animals, strict=True):
            found[animal] = found.get(animal, 0) + one.weight
        return Parent(self.traits, tuple(found), tuple(found.values()), self._total)

    def classes(self) -> tuple[ClassShare, ...]:
        """The classes that occur, most wild first, trait by trait; shares sum to exactly 1. Raises TooLarge."""
        found, total = self._joint(range(len(self.traits)), _look_of)
        ordered = sorted(found.items(), key=lambda item: [_RANK[look] for look in item[0]])
        return tuple(ClassShare(looks, Fraction(weight, total)) for looks, weight in ordered)

    def of_trait(self, trait: Trait) -> tuple[ClassShare, ...]:
        """The classes of one trait, whatever the others do, most wild first. Raises TraitMissing."""
        found, total = self._joint((index_of(self.traits, trait),), _look_of)
        ordered = sorted(found.items(), key=lambda item: _RANK[item[0][0]])
        return tuple(ClassShare(looks, Fraction(weight, total)) for looks, weight in ordered)

    def genotypes(self, trait: Trait | None = None) -> tuple[GenotypeShare, ...]:
        """The genotypes that occur, of one trait or (None) of all jointly; shares sum to 1.

        Sorted by their writing, wild alleles first. Raises TraitMissing, TooLarge.
        """
        which = range(len(self.traits)) if trait is None else (index_of(self.traits, trait),)
        found, total = self._joint(which, _genotype_of)
        ordered = sorted(found.items(), key=lambda item: [str(genotype) for genotype in item[0]])
        return tuple(GenotypeShare(genotypes, Fraction(weight, total)) for genotypes, weight in ordered)

    def ratio(self) -> tuple[int, ...]:
        """The classes in smallest whole numbers, in the order of `classes`: 9, 3, 3, 1. Raises TooLarge."""
        shares = [item.share for item in self.classes()]
        common = math.lcm(*(share.denominator for share in shares))
        whole = [share.numerator * (common // share.denominator) for share in shares]
        divisor = math.gcd(*whole)
        return tuple(number // divisor for number in whole)

    def share(self, wanted: Mapping[Trait, Appearance]) -> Fraction:
        """The share of young that look so in the traits named, whatever the others do. Raises TraitMissing."""
        draws = self._draws(wanted)
        return Fraction(sum(weight * hits for hits, weight in draws.weights.items()), draws.total * draws.per)

    def carriers(self, trait: Trait, given: Mapping[Trait, Appearance] | None = None) -> Fraction:
        """P(carries one copy that does not show | looks as given), for one young drawn at random.

        given: how it looks; None means wild in `trait`, whatever else. 0 for traits that show with one copy.
        Raises TraitMissing, and NeverHappens if no young looks so.
        """
        looks = {trait: Appearance.WILD} if given is None else given
        carrier = index_of(self.traits, trait)
        wanted = {index_of(self.traits, which): look for which, look in looks.items()}
        among = self._matching(wanted)
        if not any(among):
            raise NeverHappens(", ".join(f"{which.name} {look}" for which, look in looks.items()))
        carrying = self._matching(wanted, carrier)
        # Where nothing is asked of the looks of the carrier's own group, only the count of carriers ran over its total.
        per = 1 if carrier in wanted else self._per([carrier])
        return Fraction(
            sum([one.weight * hits for one, hits in zip(self._pairings, carrying, strict=True)]),
            sum([one.weight * hits for one, hits in zip(self._pairings, among, strict=True)]) * per,
        )

    def at_least(self, k: int, n: int, wanted: Mapping[Trait, Appearance]) -> Fraction:
        """P(at least k of n young look so), exact, through the parts: 1 − (1/3 + 2/3·(1/2)^n) for a 2/3 het × visual.

        The n young have the same dam and the same sire. Raises OutOfRange (k up to 1,000, n up to 100,000).
        """
        return at_least(self._draws(wanted), k, n)

    def ceiling(self, wanted: Mapping[Trait, Appearance]) -> Fraction:
        """The probability that these parents can give such young at all."""
        return ceiling(self._draws(wanted))

    def how_many(self, k: int, confidence: Fraction, wanted: Mapping[Trait, Appearance]) -> HowMany:
        """How many young to see, grown and scored, for at least k that look so; see HowMany. Raises OutOfRange."""
        return how_many(self._draws(wanted), k, confidence)

    def given(self, counts: Mapping[tuple[Appearance, ...], int]) -> "Offspring":
        """The same cross after a brood was scored: the parts reweighted by Bayes' theorem, exactly.

        counts: how many young of each joint class (keys as in `classes`); all young of the one pair. What is expected
        of *further* young of this pair is the result; `dam`, `sire` and `parts` say what the parents now are.
        Raises NeverHappens if these parents cannot give such young, OutOfRange for negative or more than 100,000.
        """
        scored = sum(counts.values())
        if min(counts.values(), default=0) < 0 or scored > YOUNG:
            raise OutOfRange("young counted", str(scored), "0", str(YOUNG))
        weights = [one.weight for one in self._pairings]
        for looks, count in counts.items():
            if count:
                wanted = dict(enumerate(looks)) if len(looks) == len(self.traits) else {}
                if not wanted and self.traits:
                    raise NeverHappens(f"a class of {len(looks)} traits")
                hits = self._matching(wanted)
                powers = {hit: hit**count for hit in set(hits)}
                weights = [weight * powers[hit] for weight, hit in zip(weights, hits, strict=True)]
        if not any(weights):
            raise NeverHappens("these counts")
        divisor = math.gcd(*weights)
        kept = tuple(
            one._replace(weight=weight // divisor)
            for weight, one in zip(weights, self._pairings, strict=True)
            if weight
        )
        return Offspring(self.traits, self._tables, kept, sum(weights) // divisor)

    def _matching(self, wanted: Mapping[int, Appearance], carrier: int | None = None) -> list[int]:
        """For each part how often young look as wanted (trait index to look), over `_per` of the groups concerned.

        With `carrier`, only the young count that carry a hidden copy of that trait. Groups that nothing is asked of
        would multiply every part by the same total and are left out.
        """
        found = [1] * len(self._pairings)
        for index in wanted if carrier is None or carrier in wanted else (*wanted, carrier):
            table, look = self._tables[index], wanted.get(index)
            column = [
                sum(
                    [
                        weight
                        for genotype, shown, weight in young
                        if (look is None or shown is look)
                        and (index != carrier or carries_hidden(table.trait, genotype))
                    ]
                )
                for young in table.young
            ]
            found = [hits * column[one.rows[index]] for hits, one in zip(found, self._pairings, strict=True)]
        return found

    def _per(self, which: Iterable[int]) -> int:
        return math.prod([self._tables[index].total for index in which])

    def _joint(self, which: Sequence[int], key: Callable[[_Young], _Key]) -> tuple[dict[tuple[_Key, ...], int], int]:
        """Joint weights over the groups named, and their total; parts that look alike are added up first."""
        columns = [_gathered(self._tables[group], key) for group in which]
        alike: dict[tuple[tuple[tuple[_Key, int], ...], ...], int] = {}
        for one in self._pairings:
            row = tuple(column[one.rows[group]] for group, column in zip(which, columns, strict=True))
            alike[row] = alike.get(row, 0) + one.weight
        self._refuse_large(columns, len(alike))
        found: dict[tuple[_Key, ...], int] = {}
        for row, weight in alike.items():
            cells: list[tuple[tuple[_Key, ...], int]] = [((), weight)]
            for spread in row:
                cells = [((*keys, one), product * factor) for keys, product in cells for one, factor in spread]
            for keys, product in cells:
                found[keys] = found.get(keys, 0) + product
        return found, self._total * self._per(which)

    @staticmethod
    def _refuse_large(columns: Sequence[Sequence[Sequence[object]]], distinct_pairs: int) -> None:
        widths = [max(map(len, column)) for column in columns]
        cost = distinct_pairs * math.prod(widths)
        if cost > CLASSES:
            fits, product = 0, distinct_pairs
            while fits < len(widths) and product * widths[fits] <= CLASSES:
                product *= widths[fits]
                fits += 1
            raise TooLarge("joint classes over all pairs of parents", cost, CLASSES, fits, "traits at once")

    def _draws(self, wanted: Mapping[Trait, Appearance]) -> Draws:
        looks = {index_of(self.traits, trait): look for trait, look in wanted.items()}
        hits, per = self._matching(looks), self._per(looks)
        weights: dict[int, int] = {}
        for one, hit in zip(self._pairings, hits, strict=True):
            weights[hit] = weights.get(hit, 0) + one.weight
        divisor = math.gcd(per, *weights)
        return Draws({hit // divisor: weight for hit, weight in weights.items()}, self._total, per // divisor)


def _look_of(young: _Young) -> Appearance:
    return young[1]


def _genotype_of(young: _Young) -> Genotype:
    return young[0]


def _gathered(table: _Table, key: Callable[[_Young], _Key]) -> list[tuple[tuple[_Key, int], ...]]:
    """For each pair of a table the weight of each key."""
    rows = []
    for young in table.young:
        found: dict[_Key, int] = {}
        for one in young:
            name = key(one)
            found[name] = found.get(name, 0) + one[2]
        rows.append(tuple(found.items()))
    return rows


def offspring(dam: Parent, sire: Parent, traits: Sequence[Trait]) -> Offspring:
    """The young of a dam and a sire with respect to `traits`, in that order.

    Both parents must say something of every trait (`parent(side, traits)` does). The two are taken as independent of
    each other. Raises TraitMissing, TraitClash, TooLarge.

    >>> from genetics import Dominance
    >>> ember, frost = Trait("ember", "e", Dominance.RECESSIVE), Trait("frost", "f", Dominance.RECESSIVE)
    >>> double_het = Parent.of([ember, frost], [(Fraction(1), (1, 1))])
    >>> offspring(double_het, double_het, [ember, frost]).ratio()
    (9, 3, 3, 1)
    """
    known = distinct(traits)
    cost = len(dam.animals) * len(sire.animals) * max(len(known), 1)
    if cost > PART_GROUPS:
        raise TooLarge(
            "pairs of parent kinds × linkage groups", cost, PART_GROUPS, PART_GROUPS // max(len(known), 1), "pairs"
        )
    dams, sires = _Lineup(dam, known), _Lineup(sire, known)
    rows: list[dict[tuple[int, int], int]] = [{} for _ in known]
    pairings = []
    for mother, eggs, mother_places in dams.animals:
        for father, sperms, father_places in sires.animals:
            pairs = zip(mother_places, father_places, strict=True)
            places = tuple([row.setdefault(pair, len(row)) for row, pair in zip(rows, pairs, strict=True)])
            pairings.append(_Pairing(eggs * sperms, mother, father, places))
    tables = tuple(
        _table(group, [(dams.genotypes[at][egg], sires.genotypes[at][sperm]) for egg, sperm in rows[at]])
        for at, group in enumerate(groups_of(known))
    )
    return Offspring(known, tables, tuple(pairings), dam.total * sire.total)


class _Lineup:
    """The kinds of one parent with respect to some traits, in their order.

    genotypes[group]: the distinct genotypes; animals: each kind with its weight and the places of its genotypes there.
    """

    def __init__(self, parent: Parent, traits: tuple[Trait, ...]) -> None:
        places: list[dict[Genotype, int]] = [{} for _ in traits]
        self.animals = [
            (animal, weight, [place.setdefault(one, len(place)) for place, one in zip(places, animal, strict=True)])
            for animal, weight in _projected(parent, traits)
        ]
        self.genotypes = [list(place) for place in places]


def _projected(parent: Parent, traits: tuple[Trait, ...]) -> Iterable[tuple[Genotypes, int]]:
    """The weight of each kind with respect to these traits alone, in their order."""
    if parent.traits == traits:
        return zip(parent.animals, parent.weights, strict=True)
    where = [index_of(parent.traits, trait) for trait in traits]
    found: dict[Genotypes, int] = {}
    for animal, weight in zip(parent.animals, parent.weights, strict=True):
        kept = tuple(animal[index] for index in where)
        found[kept] = found.get(kept, 0) + weight
    return found.items()


def _table(group: Group, pairs: Sequence[tuple[Genotype, Genotype]]) -> _Table:
    """The young of each pair with their looks, brought over one common total."""
    (trait,) = group.traits
    spreads = [group.young(dam, sire) for dam, sire in pairs]
    genotypes = {genotype for spread in spreads for genotype, _ in spread.weights}
    shown = {genotype: appearances(trait, genotype) for genotype in genotypes}
    per_young = math.lcm(*[spread.total for spread in spreads])
    per_look = math.lcm(*[looks.total for looks in shown.values()])
    rows = []
    for spread in spreads:
        row: list[_Young] = []
        for genotype, weight in spread.weights:
            looks = shown[genotype]
            scale = weight * (per_young // spread.total) * (per_look // looks.total)
            row += [(genotype, look, scale * factor) for look, factor in looks.weights]
        rows.append(tuple(row))
    return _Table(trait, tuple(rows), per_young * per_look)
