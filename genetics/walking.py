"""The young of one pair of genotypes, by a walk along the chromosomes.

At each locus the young has one of the dam's homologues and one of the sire's: up to four hidden states. The walk keeps,
for each of them, the weight of every answer so far, and changes state between loci as often as there is recombination.
So eight linked loci cost 2^8 answers × 4 states, not 2^8 × 2^8 unions of gametes. Whole numbers over one denominator.
(This is the forward recursion of hidden Markov models, used on pedigrees by Lander & Green 1987.)
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, NamedTuple, TypeAlias

from genetics.characters import Pair
from genetics.genome import SexSystem
from genetics.genotypes import Genotype, Homologue
from genetics.groups import Group
from genetics.layout import Layout, Site, whole_pair
from genetics.loci import Role, Sex, composed
from genetics.passing import Strands, Union, per_union, unions
from genetics.rates import over_one_total

# What stands where depends on the question, which no type can say.
Key: TypeAlias = tuple[Any, ...]
"""What is told of a young: labels of characters by place, pairs of alleles, genotypes; in the order of the Ask."""

Cells: TypeAlias = dict[Key, int]
Genotypes: TypeAlias = tuple[Genotype, ...]
_Alleles: TypeAlias = tuple[str | None, ...]
_Gap: TypeAlias = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Ask:
    """What is to be told of the young.

    told: characters whose class is part of the answer. wanted: (character, label) that every young counted must show.
    sites: loci whose pair of alleles is part of the answer. groups: groups whose genotype is.
    Answers come in this order: classes, pairs, genotypes.
    """

    told: tuple[int, ...] = ()
    wanted: tuple[tuple[int, int], ...] = ()
    sites: tuple[Site, ...] = ()
    groups: tuple[int, ...] = ()

    def inside(self, layout: Layout, clusters: tuple[int, ...]) -> "Ask":
        """The part of it that is about some clusters."""
        known: Ask | None = layout.memory.get((self, clusters))
        if known is None:
            known = layout.memory[self, clusters] = Ask(
                told=tuple([one for one in self.told if layout.cluster_of(one) in clusters]),
                wanted=tuple([one for one in self.wanted if layout.cluster_of(one[0]) in clusters]),
                sites=tuple([one for one in self.sites if layout.home[one[0]] in clusters]),
                groups=tuple([one for one in self.groups if layout.home[one] in clusters]),
            )
        return known

    @property
    def empty(self) -> bool:
        """Whether nothing is asked."""
        return not (self.told or self.wanted or self.sites or self.groups)

    @property
    def slots(self) -> tuple[object, ...]:
        """What the places of an answer mean."""
        return (
            *(("class", one) for one in self.told),
            *(("pair", one) for one in self.sites),
            *(("genotype", one) for one in self.groups),
        )


class _Cell(NamedTuple):
    """An answer in the making: what is told, pairs still needed by a character, alleles of the group being walked."""

    told: Key
    pending: tuple[Pair, ...]
    alleles: tuple[tuple[str | None, str | None], ...]


class _Step(NamedTuple):
    """One locus of the walk.

    at: its place in the group. dam, sire: (stay, switch) since the locus before, None at the first of a group.
    resolved: characters that can be read here, with the places of their pairs among those pending; kept: which of the
    pending pairs (its own is the last) are needed further on. site: whether its pair is part of the answer.
    """

    at: int
    dam: _Gap | None
    sire: _Gap | None
    resolved: tuple[tuple[int, tuple[int, ...]], ...]
    kept: tuple[int, ...]
    site: bool


_Told: TypeAlias = list[tuple[Key, tuple[Pair, ...], int]]


class Walk:
    """A cluster and what is asked of it, made ready for any pair of genotypes.

    per: what the weights of all cells sum to if nothing is wanted and all live equally well: over one sex, and on the
    sex chromosomes over both.
    """

    def __init__(self, layout: Layout, cluster: int, ask: Ask) -> None:
        # The layout remembers its walks. A walk that held its layout would make a ring, and rings wait for the collector
        # of garbage, which stops everything for as long as it looks through all that there is.
        self.ask, self._laid, self._genome, self._sexes, self._shows = (
            ask,
            layout.groups,
            layout.genome,
            layout.sexes,
            layout.shows,
        )
        self.groups = layout.clusters[cluster]
        needed = {*ask.told, *(character for character, _ in ask.wanted)}
        for at, one in enumerate(layout.characters):
            if one.selects and layout.cluster_of(at) == cluster:
                needed.add(at)
        self.characters = tuple(sorted(needed))
        self._wanted = dict(ask.wanted)
        self._slots: list[object] = []
        self._steps = self._laid_out(layout)
        haploid = layout.genome.system is SexSystem.HAPLODIPLOID
        self.by_sex = any(layout.groups[group].letters is not None or haploid for group in self.groups) or any(
            layout.characters[character].by_sex for character in self.characters
        )
        self.per = math.prod(self._pers())
        self._memo: dict[object, dict[object, _Told]] = {}
        self._strands: dict[object, list[_Alleles]] = {}
        order = tuple(self._slots.index(slot) for slot in ask.slots)
        self._order = None if order == tuple(range(len(order))) else order

    def _laid_out(self, layout: Layout) -> dict[int, tuple[_Step, ...]]:
        """The steps of each group, in the order of the walk, and what is told at each."""
        ask = self.ask
        sites = {site for character in self.characters for site in layout.sites[character]} | set(ask.sites)
        for group in ask.groups:
            sites |= {(group, at) for at in range(len(layout.groups[group].loci))}
        walk = sorted(sites, key=lambda site: (self.groups.index(site[0]), site[1]))
        last = {character: max(map(walk.index, layout.sites[character])) for character in self.characters}
        steps: dict[int, list[_Step]] = {group: [] for group in self.groups}
        pending: list[Site] = []
        for number, site in enumerate(walk):
            group, at = site
            pending.append(site)
            read = [character for character in self.characters if last[character] == number]
            resolved = tuple((one, tuple(map(pending.index, layout.sites[one]))) for one in read)
            later = {each for one in self.characters if last[one] > number for each in layout.sites[one]}
            kept = tuple(place for place, each in enumerate(pending) if each in later)
            before = steps[group][-1].at if steps[group] else None
            gaps = [self._gap(layout.groups[group], before, at, role) for role in Role]
            steps[group].append(_Step(at, gaps[0], gaps[1], resolved, kept, site in ask.sites))
            self._slots += [("class", one) for one in read if one in ask.told]
            self._slots += [("pair", site)] if site in ask.sites else []
            if group in ask.groups and at == len(layout.groups[group].loci) - 1:
                self._slots.append(("genotype", group))
            pending = [each for each in pending if each in later]
        self._slots += [("genotype", group) for group in ask.groups if not layout.groups[group].loci]
        return {group: tuple(found) for group, found in steps.items()}

    @staticmethod
    def _gap(group: Group, before: int | None, at: int, role: Role) -> _Gap | None:
        if before is None:
            return None
        switch = composed(group.gaps(role)[before:at])
        (stay, change), _ = over_one_total((1 - switch, switch))
        return stay, change

    def _pers(self) -> Iterator[int]:
        for character in self.characters:
            yield self._shows.of(character, self._sexes[0]).per
        for group in self.groups:
            yield per_union(self._laid[group], self._genome)
            for step in self._steps[group]:
                yield from (sum(gap) for gap in (step.dam, step.sire) if gap is not None)

    def cells(self, dam: Genotypes, sire: Genotypes | None) -> tuple[Cells, ...]:
        """The answers and their weights for one pair of genotypes (in the groups of the cluster), for each sex."""
        sexes = self._sexes
        if not self.by_sex:
            return (self._walked(sexes[0], dam, sire),) * len(sexes)
        return tuple(self._walked(sex, dam, sire) for sex in sexes)

    def _walked(self, sex: Sex | None, dam: Genotypes, sire: Genotypes | None) -> Cells:
        cells: dict[_Cell, int] = {_Cell((), (), ()): 1}
        # A group that tells nothing is still walked over once, for its share of the sexes.
        for number, group in enumerate(self.groups):
            found: dict[_Cell, int] = {}
            father = None if sire is None else sire[number]
            for union in unions(self._laid[group], self._genome, dam[number], father):
                weight = union.weight(sex)
                if weight:
                    for cell, ways in self._along(group, union, cells, sex).items():
                        found[cell] = found.get(cell, 0) + ways * weight
            cells = found
        if self._order is None:
            return {cell.told: weight for cell, weight in cells.items()}
        return {tuple(cell.told[at] for at in self._order): weight for cell, weight in cells.items()}

    def _along(self, group: int, union: Union, cells: dict[_Cell, int], sex: Sex | None) -> dict[_Cell, int]:
        """The cells after one group, if the young's homologues come from the strands of this union."""
        laid = self._laid[group]
        eggs, sperms = (self._alleles(group, strands) for strands in (union.dam, union.sire))
        states = len(eggs) * len(sperms)
        spelt = group in self.ask.groups
        walked = {cell: [weight * union.start] * states for cell, weight in cells.items()}
        for step in self._steps[group]:
            pairs = [(egg[step.at], sperm[step.at]) for egg in eggs for sperm in sperms]
            memo = self._memo.setdefault((group, step.at, sex), {})
            after: dict[_Cell, list[int]] = {}
            for cell, before in walked.items():
                weights = _moved(before, len(eggs), len(sperms), step)
                for state, weight in enumerate(weights):
                    if not weight:
                        continue
                    known = (cell.pending, pairs[state])
                    told = memo.get(known)
                    if told is None:
                        told = memo[known] = self._told(group, step, cell.pending, pairs[state], sex)
                    alleles = (*cell.alleles, pairs[state]) if spelt else ()
                    for extension, pending, factor in told:
                        target = _Cell(cell.told + extension, pending, alleles)
                        row = after.get(target)
                        if row is None:
                            row = after[target] = [0] * states
                        row[state] += weight * factor
            walked = after
        closed: dict[_Cell, int] = {}
        for cell, weights in walked.items():
            ended = self._ended(cell, laid, union) if spelt else cell
            closed[ended] = closed.get(ended, 0) + sum(weights)
        return closed

    def _alleles(self, group: int, strands: Strands) -> list[_Alleles]:
        """The alleles along each strand; without any strand, one that has none."""
        known = self._strands.get((group, strands))
        if known is None:
            laid = self._laid[group]
            known = [laid.alleles(strand) for strand in strands] or [(None,) * len(laid.loci)]
            self._strands[group, strands] = known
        return known

    def _told(
        self, group: int, step: _Step, before: tuple[Pair, ...], pair: tuple[str | None, str | None], sex: Sex | None
    ) -> _Told:
        """What a pair of alleles adds to an answer: (told, pairs still pending, factor) for each way it can show."""
        locus = self._laid[group].loci[step.at]
        own = locus.pair(allele for allele in pair if allele is not None)
        pending = (*before, whole_pair(locus, own))
        kept = tuple([pending[place] for place in step.kept])
        found: list[tuple[Key, int]] = [((), 1)]
        for character, places in step.resolved:
            looks = self._shows.of(character, sex).looks[tuple([pending[place] for place in places])]
            if character in self._wanted:
                looks = tuple(look for look in looks if look[0] == self._wanted[character])
            if character in self.ask.told:
                found = [((*told, label), weight * factor) for told, weight in found for label, factor in looks]
            else:
                whole = sum([factor for _, factor in looks])
                found = [(told, weight * whole) for told, weight in found if whole]
        site: Key = (own,) if step.site else ()
        return [(told + site, kept, weight) for told, weight in found]

    @staticmethod
    def _ended(cell: _Cell, group: Group, union: Union) -> _Cell:
        """The alleles of a group put together as a genotype."""
        halves: list[Homologue] = []
        for side, strands in enumerate((union.dam, union.sire)):
            own = [allele for pair in cell.alleles if (allele := pair[side]) is not None]
            letter = strands[0][0] if strands and group.letters is not None else None
            halves.append(group.homologue(letter, own) if strands else ())
        return _Cell((*cell.told, Genotype(halves[0], halves[1])), cell.pending, ())


def _moved(weights: list[int], eggs: int, sperms: int, step: _Step) -> list[int]:
    """The weights of the states after the gap before a locus; states are numbered dam's strand first."""
    if step.dam is not None:
        stay, switch = step.dam
        if eggs == 1:
            weights = [weight * (stay + switch) for weight in weights]
        else:
            here, there = weights[:sperms], weights[sperms:]
            weights = [stay * one + switch * other for one, other in zip(here, there, strict=True)] + [
                stay * other + switch * one for one, other in zip(here, there, strict=True)
            ]
    if step.sire is not None:
        stay, switch = step.sire
        if sperms == 1:
            return [weight * (stay + switch) for weight in weights]
        moved = []
        for at in range(0, len(weights), 2):
            one, other = weights[at], weights[at + 1]
            moved += [stay * one + switch * other, stay * other + switch * one]
        return moved
    return weights
