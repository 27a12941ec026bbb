"""A question laid out: its characters, the groups their loci form, and which groups must be taken together."""

import math
from collections.abc import Sequence
from fractions import Fraction
from functools import cached_property, lru_cache
from typing import Any, NamedTuple, TypeAlias

from genetics.characters import Character, Pair, Row, Scored, all_rows, as_character
from genetics.errors import TraitClash, TraitMissing
from genetics.genome import Genome, SexSystem
from genetics.groups import groups_of
from genetics.loci import Locus, Sex
from genetics.rates import all_exact, over_one_total
from genetics.traits import Trait
from genetics.words import tokens

Site: TypeAlias = tuple[int, int]
"""A locus by the place of its group among the groups and its place in the group."""

Looks: TypeAlias = tuple[tuple[int, int], ...]
"""(label, weight) of the classes that a genotype can show, viability included, labels by their place."""


class Shown(NamedTuple):
    """How one character shows in one sex: for each row its looks, all over one denominator."""

    looks: dict[Row, Looks]
    per: int


class Shows:
    """How the characters of a question show, by sex; each worked out once."""

    def __init__(self, characters: Sequence[Character]) -> None:
        self._characters = characters
        self._known: dict[tuple[int, Sex | None], Shown] = {}

    def of(self, character: int, sex: Sex | None) -> Shown:
        """How a character shows in one sex."""
        found = self._known.get((character, sex))
        if found is None:
            found = self._known[character, sex] = _shown(self._characters[character], sex)
        return found


class Layout:
    """What a question about some characters is made of. Made once for a question, read only.

    scored: what was asked for, in order; characters: the same as characters. groups: in order of first mention.
    sites[character]: where each of its loci stands. clusters: groups that a character ties together (most stand alone).
    sexes: the sexes told apart; (None,) where they are not. sex_weights: the share of each where no chromosome decides it.
    shows: how the characters show.
    memory: what was worked out of it so far, by question and clusters; results only, no part of what it is.
    """

    def __init__(self, scored: Sequence[Scored], genome: Genome) -> None:
        self.scored = tuple(scored)
        self.genome = genome
        self.characters = tuple(as_character(one) for one in self.scored)
        _refuse_twice(self.characters)
        self.groups = groups_of((locus for one in self.characters for locus in one.loci), genome)
        self._sites = {
            locus.name: (g, at) for g, group in enumerate(self.groups) for at, locus in enumerate(group.loci)
        }
        self.sites: tuple[tuple[Site, ...], ...] = tuple(
            tuple(self._sites[locus.name] for locus in one.loci) for one in self.characters
        )
        self.clusters = _clusters(len(self.groups), self.sites)
        self.home = {group: number for number, cluster in enumerate(self.clusters) for group in cluster}
        self.sexes, self.sex_weights, self.share_known = _sexes(genome, self.characters)
        self.shows = Shows(self.characters)
        self.memory: dict[tuple[Any, Any], Any] = {}

    @cached_property
    def selects(self) -> bool:
        """Whether some young live less well than others by their genotype."""
        return any(one.selects for one in self.characters)

    def selecting(self, cluster: int) -> bool:
        """Whether a character read from this cluster lets some genotypes live less well."""
        return any(one.selects and self.cluster_of(at) == cluster for at, one in enumerate(self.characters))

    @cached_property
    def exact(self) -> bool:
        """Whether no figure of the model came as a float."""
        return (
            all(one.exact for one in self.characters)
            and all(group.exact for group in self.groups)
            and (self.genome.daughters is None or all_exact([self.genome.daughters]))
        )

    @property
    def chromosomes(self) -> int | None:
        """Which group is the pair of sex chromosomes, if there is one."""
        return next((at for at, group in enumerate(self.groups) if group.letters is not None), None)

    def index(self, scored: Scored) -> int:
        """Where a trait or character stands among those asked for; raises TraitMissing."""
        try:
            return self.scored.index(scored)
        except ValueError:
            raise TraitMissing(scored.name) from None

    def site(self, locus: Locus, name: str) -> Site:
        """Where a locus stands; raises TraitMissing, naming what was asked for."""
        found = self._sites.get(locus.name)
        if found is None or self.groups[found[0]].loci[found[1]] != locus:
            raise TraitMissing(name)
        return found

    def of_locus(self, locus: Locus) -> int:
        """The character that is read from this locus alone, or the first one read from it."""
        read = [at for at, one in enumerate(self.characters) if locus in one.loci]
        return min(read, key=lambda at: len(self.characters[at].loci))

    def cluster_of(self, character: int) -> int:
        """The cluster that a character is read from."""
        return self.home[self.sites[character][0][0]]


def layout_of(scored: Sequence[Scored], genome: Genome) -> Layout:
    """The layout of a question. Plain traits are asked for again and again, so theirs is remembered with its results."""
    asked = tuple(scored)
    return _remembered(asked, genome) if is_plain(asked, genome) else Layout(asked, genome)


def is_plain(scored: tuple[Scored, ...], genome: Genome) -> bool:
    """Whether a question holds no figure at all, so that equal questions are the same question.

    Of figures, 1/2 and 0.5 are equal, and one is exact: what is remembered of one would be wrong of the other.
    """
    return not genome.groups and genome.daughters is None and all(isinstance(one, Trait) for one in scored)


# Eight, since the collector of garbage looks through all that is remembered: with 64 one reply in fifty waited 13 ms for it.
@lru_cache(maxsize=8)
def _remembered(traits: tuple[Scored, ...], genome: Genome) -> Layout:
    return Layout(traits, genome)


def _refuse_twice(characters: Sequence[Character]) -> None:
    names = [tuple(token.word for token in tokens(one.name)) for one in characters]
    for at, name in enumerate(names):
        if name in names[:at]:
            raise TraitClash(characters[at].name)


def _clusters(count: int, sites: Sequence[Sequence[Site]]) -> tuple[tuple[int, ...], ...]:
    """Groups joined wherever one character is read from several."""
    home = list(range(count))
    for places in sites:
        low = min(home[group] for group, _ in places)
        joined = {home[group] for group, _ in places}
        home = [low if at in joined else at for at in home]
    return tuple(tuple(group for group in range(count) if home[group] == at) for at in sorted(set(home)))


def _sexes(genome: Genome, characters: Sequence[Character]) -> tuple[tuple[Sex | None, ...], tuple[int, ...], bool]:
    if genome.system is SexSystem.THELYTOKOUS:
        return (Sex.FEMALE,), (1,), True
    if genome.system.letters is not None:
        return (Sex.FEMALE, Sex.MALE), (1, 1), True
    if genome.daughters is not None:
        daughters = Fraction(genome.daughters)
        weights, _ = over_one_total((daughters, 1 - daughters))
        return (Sex.FEMALE, Sex.MALE), weights, True
    if genome.system is SexSystem.HAPLODIPLOID or any(one.by_sex for one in characters):
        return (Sex.FEMALE, Sex.MALE), (1, 1), False
    return (None,), (1,), True


def _shown(one: Character, sex: Sex | None) -> Shown:
    """The looks of every genotype of a character in whole numbers; both sexes over the same denominator."""
    rows = all_rows(one.loci)
    weights: dict[tuple[Sex | None, Row], list[Fraction]] = {}
    sexes: tuple[Sex | None, ...] = (Sex.FEMALE, Sex.MALE) if one.by_sex else (sex,)
    for each in sexes:
        for row in rows:
            lives = Fraction(one.survival(row, each))
            weights[each, row] = [Fraction(chance) * lives for chance in one.chances(row, each)]
    per = math.lcm(*(weight.denominator for row in weights.values() for weight in row))
    wanted = sex if one.by_sex and sex is not None else sexes[0]
    looks = {
        row: tuple((at, int(weight * per)) for at, weight in enumerate(weights[wanted, row]) if weight) for row in rows
    }
    return Shown(looks, per)


def whole_pair(locus: Locus, pair: Pair) -> Pair:
    """A pair of alleles as the tables have it: in the order of the series, one copy doubled, no copy as wild.

    >>> whole_pair(Locus("ember", ("+", "e")), ("e",))
    ('e', 'e')
    """
    if not pair:
        return (locus.alleles[0],) * 2
    return locus.pair(pair * 2 if len(pair) == 1 else pair)


def trait_alleles(trait: Trait, copies: int) -> Pair:
    """So many copies of the trait's own allele beside wild ones, in a diploid.

    >>> from genetics.traits import Dominance
    >>> trait_alleles(Trait("ember", "e", Dominance.RECESSIVE), 1)
    ('+', 'e')
    """
    wild = trait.locus.alleles[0]
    return (wild,) * (2 - copies) + (trait.symbol,) * copies
