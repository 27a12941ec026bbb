"""What is known of the young over all pairs that uncertain parents may be.

Groups multiply within a pair of kinds, pairs of a component add up, components multiply. Whole numbers inside, fractions
at the edge.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import NamedTuple, TypeAlias

from genetics.characters import as_character
from genetics.errors import CrossFault, CrossRefused, NeverHappens
from genetics.layout import Layout, layout_of
from genetics.loci import Sex
from genetics.pairings import Component, Pairing, multiplied_out
from genetics.raising import Draws, of_dams_of_one_sire, of_several_dams
from genetics.rates import ROUNDING_BITS, Rate, all_exact, over_one_total, rounded
from genetics.walking import Ask, Cells, Genotypes, Walk

NOBODY_LIVES = "young that live"
"""What a cross cannot give of which every young dies."""


class Spread(NamedTuple):
    """Answers over all pairings: for each sex their weights, over one total (of both sexes together)."""

    by_sex: tuple[Cells, ...]
    total: int


_Memory: TypeAlias = dict[tuple[Genotypes, Genotypes | None], tuple[tuple[Cells, ...], tuple[object, ...]]]
"""The answers of pairs of genotypes gone through so far, and the same in a form that can be compared."""


@dataclass(frozen=True, slots=True)
class Parts:
    """Layout and components of a cross, and what was worked out so far (a memory of results, no part of the value)."""

    layout: Layout
    components: tuple[Component, ...]
    exact: bool
    selects: bool
    _pairs: dict[object, "_Pairs"] = field(default_factory=dict, init=False, compare=False, repr=False)
    _results: dict[object, "_Rows"] = field(default_factory=dict, init=False, compare=False, repr=False)

    @property
    def sex_total(self) -> int:
        """What the weights of the sexes sum to; 1 where the chromosomes carry them."""
        return 1 if self.layout.chromosomes is not None else sum(self.layout.sex_weights)

    def weight_of(self, sex: Sex | None) -> tuple[int, ...]:
        """The weight of each sex where only young of one sex (None: of both) are counted."""
        return tuple(
            weight if sex is None or sex is each else 0
            for each, weight in zip(self.layout.sexes, self.layout.sex_weights, strict=True)
        )

    def misread(self, error: Rate) -> "Parts":
        """The same pairs, their young read by a scorer who takes a class of a character for another with this chance."""
        layout = layout_of([as_character(one).misread(error) for one in self.layout.scored], self.layout.genome)
        return Parts(layout, self.components, self.exact and all_exact([error]), self.selects)

    def check_sex(self, sex: Sex | None, *, conditional: bool = False) -> None:
        """Raise CrossRefused for a sex that is not told apart, and where the share of the sexes is needed but not known.

        conditional: only young of that sex are looked at, so that their share matters only if it differs by pairing.
        """
        if sex is not None and sex not in self.layout.sexes:
            clonal = len(self.layout.sexes) == 1 and self.layout.sexes[0] is Sex.FEMALE
            raise CrossRefused(CrossFault.CLONAL_MALE if clonal else CrossFault.NO_SEXES, sex)
        if self.layout.share_known or (conditional and sex is not None and not self.selects):
            return
        raise CrossRefused(CrossFault.SHARE_UNKNOWN, self.layout.genome.system)

    # ---- one component

    def _rows(self, component: Component, ask: Ask) -> "_Rows":
        """The answers of each pairing of a component; pairings that give the same answers are added up.

        Where some young live less well, pairings differ in how many they lose: then each pairing's weights are brought
        to what they are among its own survivors, and pairings without any are left out.
        """
        ask = ask.inside(self.layout, component.clusters)
        known = self._results.get((component.groups, ask))
        if known is None:
            known = self._results[component.groups, ask] = self._made_rows(component, ask)
        return known

    def _made_rows(self, component: Component, ask: Ask) -> "_Rows":
        columns = self._columns(component, ask)
        bare = self._columns(component, Ask()) if self.selects else []
        weights: dict[tuple[int, ...], int] = {}
        first: dict[tuple[int, ...], int] = {}
        keys = zip(*(one.answer_of for one in (*columns, *bare)), self._splits(component), strict=True)
        for at, (key, pairing) in enumerate(zip(keys, component.pairings, strict=True)):
            if key in weights:
                weights[key] += pairing.weight
            else:
                weights[key], first[key] = pairing.weight, at
        per = math.prod(one.per for one in columns) * component.whole
        sexes = len(self.layout.sexes)
        answers = [_joined(component.pairings[at], at, columns, sexes) for at in first.values()]
        rows = _Rows(list(weights.values()), answers, component.total, per)
        if not self.selects:
            return rows
        survivors = [self._survival(component, at, bare) for at in first.values()]
        return self._among_survivors(rows, survivors)

    @staticmethod
    def _splits(component: Component) -> list[int]:
        """Pairings that share the young out alike have the same number."""
        numbers: dict[tuple[int, ...], int] = {}
        return [numbers.setdefault(one.shares, len(numbers)) for one in component.pairings]

    def _columns(self, component: Component, ask: Ask) -> list["_Column"]:
        """The answers of the clusters that matter, pairing by pairing."""
        layout = self.layout
        found = []
        for cluster in component.clusters:
            own = ask.inside(layout, (cluster,))
            sexual = layout.chromosomes in layout.clusters[cluster] and (self.selects or len(layout.sexes) > 1)
            if own.empty and not sexual and not layout.selecting(cluster):
                continue
            # Components multiplied out have the same clusters as before, but other pairings.
            pairs = self._pairs.get((component.groups, cluster))
            if pairs is None:
                pairs = self._pairs[component.groups, cluster] = _Pairs(component, layout.clusters[cluster])
            known: tuple[Walk, _Memory] | None = layout.memory.get((cluster, own))
            if known is None:
                known = layout.memory[cluster, own] = (Walk(layout, cluster, own), {})
            found.append(_Column(known[0], known[1], pairs))
        return found

    def _survival(self, component: Component, at: int, bare: Sequence["_Column"]) -> Fraction:
        """The share of a pairing's young that live."""
        per = math.prod(one.per for one in bare) * component.whole * self.sex_total
        living = _joined(component.pairings[at], at, bare, len(self.layout.sexes))
        weights = zip(living, self.layout.sex_weights, strict=True)
        return Fraction(sum(sum(cells.values()) * weight for cells, weight in weights), per)

    def _among_survivors(self, rows: "_Rows", survivors: list[Fraction]) -> "_Rows":
        living = [at for at, share in enumerate(survivors) if share]
        if not living:
            raise NeverHappens(NOBODY_LIVES)
        shares = [1 / survivors[at] for at in living]
        factors, common = over_one_total(shares if self.exact else map(rounded, shares))
        kept = [rows.weights[at] for at in living]
        scaled = [
            tuple({key: value * factor for key, value in cells.items()} for cells in rows.answers[at])
            for at, factor in zip(living, factors, strict=True)
        ]
        return _Rows(kept, scaled, sum(kept), rows.per * common)

    # ---- all components

    def average(self, ask: Ask) -> Spread:
        """The answers for one young drawn at random, over all pairings."""
        by_sex: tuple[Cells, ...] = tuple([{(): weight} for weight in self.layout.sex_weights])
        total = self.sex_total
        slots: list[object] = []
        for component in self.components:
            rows = self._rows(component, ask)
            own: list[Cells] = [{} for _ in by_sex]
            for weight, answers in zip(rows.weights, rows.answers, strict=True):
                for found, cells in zip(own, answers, strict=True):
                    for key, value in cells.items():
                        found[key] = found.get(key, 0) + value * weight
            by_sex = tuple(_times(before, cells) for before, cells in zip(by_sex, own, strict=True))
            total *= rows.total * rows.per
            slots += self._slots(component, ask)
        order = [slots.index(slot) for slot in ask.slots]
        if order != list(range(len(order))):
            by_sex = tuple(
                {tuple([key[at] for at in order]): value for key, value in cells.items()} for cells in by_sex
            )
        return Spread(by_sex, total)

    def _slots(self, component: Component, ask: Ask) -> list[object]:
        return [slot for cluster in component.clusters for slot in ask.inside(self.layout, (cluster,)).slots]

    def draws(self, ask: Ask, sex: Sex | None = None) -> Draws:
        """How likely a young is one that is wanted, pairing by pairing; of one sex, if one is named."""
        found: dict[tuple[int, ...], int] = {(1,) * len(self.layout.sexes): 1}
        total, per = 1, self.sex_total
        for component in self.components:
            rows = self._rows(component, ask)
            own: dict[tuple[int, ...], int] = {}
            for weight, answers in zip(rows.weights, rows.answers, strict=True):
                hits = tuple([sum(cells.values()) for cells in answers])
                own[hits] = own.get(hits, 0) + weight
            joined: dict[tuple[int, ...], int] = {}
            for before, one in found.items():
                for hits, other in own.items():
                    both = tuple([left * right for left, right in zip(before, hits, strict=True)])
                    joined[both] = joined.get(both, 0) + one * other
            found, total, per = joined, total * rows.total, per * rows.per
        weighing = self.weight_of(sex)
        weights: dict[int, int] = {}
        for vector, weight in found.items():
            hits_of_all = sum([one * each for one, each in zip(vector, weighing, strict=True)])
            weights[hits_of_all] = weights.get(hits_of_all, 0) + weight
        return lowest_terms(weights, total, per, exact=self.exact)

    def draws_of_dams(self, ask: Ask, sex: Sex | None, dams: int, *, one_sire: bool) -> Draws:
        """As `draws`, for the young of several dams: each with a mate of her own, or all with the same (first) sire."""
        if dams == 1 or not one_sire:
            return of_several_dams(self.draws(ask, sex), dams)
        joined = multiplied_out(self.components, self.layout)
        # What was remembered of the components is no memory of them joined.
        hits, per = replace(self, components=(joined,)).hits(joined, ask, sex)
        by_sire: dict[Genotypes | None, dict[int, int]] = {}
        for one, hit in zip(joined.pairings, hits, strict=True):
            own = by_sire.setdefault(one.sires[0], {})
            own[hit] = own.get(hit, 0) + one.weight
        return of_dams_of_one_sire([Draws(own, sum(own.values()), per) for own in by_sire.values()], dams)

    def weighed(self, asked: Sequence[tuple[Ask, int]], sex: Sex | None) -> tuple[Component, list[int], int]:
        """All pairs, their weights times the chance that so many young are each as asked, and the total of these chances."""
        joined = multiplied_out(self.components, self.layout)
        # What was remembered of the components is no memory of them joined.
        parts = replace(self, components=(joined,))
        weights, whole = [one.weight for one in joined.pairings], 1
        for ask, count in asked:
            hits, total = parts.hits(joined, ask, sex)
            powers = {hit: hit**count for hit in set(hits)}
            weights = [weight * powers[hit] for weight, hit in zip(weights, hits, strict=True)]
            whole *= total**count
        return joined, weights, whole

    def hits(self, component: Component, ask: Ask, sex: Sex | None) -> tuple[list[int], int]:
        """For every pairing of a component how often its young are as wanted, out of a total that is told last."""
        columns, bare = self._columns(component, ask), self._columns(component, Ask()) if self.selects else []
        weighing, sexes = self.weight_of(sex), len(self.layout.sexes)
        found: list[Fraction] = []
        for at, pairing in enumerate(component.pairings):
            answers = zip(_joined(pairing, at, columns, sexes), weighing, strict=True)
            hits = Fraction(sum(sum(cells.values()) * weight for cells, weight in answers))
            living = self._survival(component, at, bare) if self.selects else 1
            found.append(hits / living if living else Fraction(0))
        whole = math.prod(one.per for one in columns) * component.whole * self.sex_total
        chances = [hits / whole for hits in found]
        shares, total = over_one_total(chances if self.exact else map(rounded, chances))
        return list(shares), total


class _Rows(NamedTuple):
    """Distinct pairings: their weights (summing to total) and, for each sex, their answers (out of per)."""

    weights: list[int]
    answers: list[tuple[Cells, ...]]
    total: int
    per: int


class _Pairs:
    """The distinct pairs of genotypes that the pairings of a component have in one cluster.

    distinct: (dam, her mates). of[pairing]: which of them it is.
    """

    def __init__(self, component: Component, groups: Sequence[int]) -> None:
        places = [component.groups.index(group) for group in groups]
        numbers: dict[Genotypes | None, int] = {None: 0}
        # The same animals stand in many pairings: each is looked into once, known again by its identity.
        seen: dict[int, int] = {id(None): 0}

        def number(animal: Genotypes | None) -> int:
            found = seen.get(id(animal))
            if found is None:
                here = tuple([animal[at] for at in places]) if animal is not None else None
                found = seen[id(animal)] = numbers.setdefault(here, len(numbers))
            return found

        known: dict[tuple[int, ...], int] = {}
        self.of = [
            known.setdefault((number(one.dam), *map(number, one.sires)), len(known)) for one in component.pairings
        ]
        animals = list(numbers)
        self.distinct: list[tuple[Genotypes, tuple[Genotypes | None, ...]]] = [
            (animals[dam] or (), tuple([animals[sire] for sire in sires])) for dam, *sires in known
        ]


class _Column:
    """The answers of one cluster: answers[pair][sire], each for every sex; `answer_of[pairing]` numbers equal ones."""

    def __init__(self, walk: Walk, memory: "_Memory", pairs: _Pairs) -> None:
        self.per = walk.per
        self._of = pairs.of
        self._answers: list[list[tuple[Cells, ...]]] = []
        numbers: dict[object, int] = {}
        alike = []
        for dam, mates in pairs.distinct:
            told = []
            for sire in mates:
                known = memory.get((dam, sire))
                if known is None:
                    cells = walk.cells(dam, sire)
                    known = memory[dam, sire] = (cells, tuple([frozenset(each.items()) for each in cells]))
                told.append(known)
            self._answers.append([cells for cells, _ in told])
            alike.append(numbers.setdefault(tuple([content for _, content in told]), len(numbers)))
        self.answer_of = [alike[pair] for pair in pairs.of]

    def cells(self, pairing: int, sire: int) -> tuple[Cells, ...]:
        """The answers of a pairing and one of its sires, for every sex."""
        return self._answers[self._of[pairing]][sire]


def _joined(pairing: Pairing, at: int, columns: Sequence[_Column], sexes: int) -> tuple[Cells, ...]:
    """The answers of a pairing over several clusters: they multiply within a sire, and sires add by their shares."""
    found: list[Cells] = [{} for _ in range(sexes)]
    for number, share in enumerate(pairing.shares):
        if not share:
            continue
        own: tuple[Cells, ...] = ({(): share},) * sexes
        for one in columns:
            own = tuple([_times(*both) for both in zip(own, one.cells(at, number), strict=True)])
        if len(pairing.shares) == 1:
            return own
        for all_of_sex, cells in zip(found, own, strict=True):
            for key, value in cells.items():
                all_of_sex[key] = all_of_sex.get(key, 0) + value
    return tuple(found)


def _times(left: Cells, right: Cells) -> Cells:
    """Answers about independent things together."""
    if len(left) == 1 and () in left:
        weight = left[()]
        return right if weight == 1 else {key: weight * value for key, value in right.items()}
    if len(right) == 1 and () in right:
        weight = right[()]
        return {key: weight * value for key, value in left.items()}
    return {one + other: weight * value for one, weight in left.items() for other, value in right.items()}


def lowest_terms(weights: dict[int, int], total: int, per: int, *, exact: bool) -> Draws:
    """Chances per young in small numbers; of figures that rest on floats only so many places are kept."""
    if not exact:
        merged: dict[int, int] = {}
        for hits, weight in weights.items():
            share = rounded(Fraction(hits, per)) * 2**ROUNDING_BITS
            merged[int(share)] = merged.get(int(share), 0) + weight
        weights, per = merged, 2**ROUNDING_BITS
    divisor = math.gcd(per, *weights)
    common = math.gcd(total, *weights.values())
    return Draws(
        {hits // divisor: weight // common for hits, weight in weights.items()}, total // common, per // divisor
    )
