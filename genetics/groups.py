"""The groups of loci that a question is about: what is inherited together, and on which chromosomes."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from genetics.errors import CrossFault, CrossRefused
from genetics.genome import Genome, SexSystem, distinct_loci
from genetics.genotypes import CYTOPLASM, Genotype, Homologue
from genetics.loci import HALF, LinkageGroup, Locus, Role, Where
from genetics.rates import all_exact

_SEXUAL = (Where.SHARED, Where.LIMITED)


@dataclass(frozen=True, slots=True)
class Group:
    """Loci that are inherited together, independently of every other group once both parents' genotypes are known.

    kind: AUTOSOME, CYTOPLASM, or SHARED for the pair of sex chromosomes with everything on either of them.
    loci: in map order; on sex chromosomes those on X or Z first, then those on Y or W.
    dam, sire: recombination between neighbours in each parent. letters: of the sex chromosomes, see SexSystem.
    exact: whether no recombination fraction came as a float.
    """

    kind: Where
    loci: tuple[Locus, ...]
    dam: tuple[Fraction, ...]
    sire: tuple[Fraction, ...]
    letters: tuple[str, str] | None = None
    exact: bool = True

    def gaps(self, role: Role) -> tuple[Fraction, ...]:
        """The recombination fractions between neighbours in one of the parents."""
        return self.dam if role is Role.DAM else self.sire

    def carried(self, homologue: Homologue) -> list[int]:
        """Which of the loci lie on this homologue, in order."""
        if self.letters is None:
            return list(range(len(self.loci)))
        where = Where.SHARED if homologue[0] == self.letters[0] else Where.LIMITED
        return [at for at, locus in enumerate(self.loci) if locus.where is where]

    def alleles(self, homologue: Homologue) -> tuple[str | None, ...]:
        """The allele at each locus, None where this homologue does not have the locus.

        >>> loci = (Locus("ember", ("+", "e"), Where.SHARED), Locus("mask", ("+", "m"), Where.LIMITED))
        >>> pair = Group(Where.SHARED, loci, (HALF,), (HALF,), ("Z", "W"))
        >>> pair.alleles(("Z", "e")), pair.alleles(("W", "m"))
        (('e', None), (None, 'm'))
        """
        skipped = 0 if self.kind is Where.AUTOSOME else 1
        found: list[str | None] = [None] * len(self.loci)
        for at, allele in zip(self.carried(homologue), homologue[skipped:], strict=True):
            found[at] = allele
        return tuple(found)

    def homologue(self, letter: str | None, alleles: Sequence[str]) -> Homologue:
        """The homologue that holds these alleles; `letter` of a sex chromosome, None elsewhere."""
        if self.kind is Where.CYTOPLASM:
            return (CYTOPLASM, *alleles)
        return tuple(alleles) if letter is None else (letter, *alleles)

    def part_of(self, homologue: Homologue, wanted: "Group") -> Homologue:
        """The same homologue with the loci of another group only, which this one has all."""
        if not homologue:
            return ()
        alleles = dict(zip([locus.name for locus in self.loci], self.alleles(homologue), strict=True))
        kept = [allele for locus in wanted.loci if (allele := alleles[locus.name]) is not None]
        return wanted.homologue(homologue[0] if self.letters is not None else None, kept)

    def narrowed(self, genotype: Genotype, narrow: "Group") -> Genotype:
        """The same genotype with the loci of a narrower group only."""
        if self == narrow:
            return genotype
        return Genotype(self.part_of(genotype.first, narrow), self.part_of(genotype.second, narrow))

    def check(self, genotype: Genotype, role: Role | None, genome: Genome) -> None:
        """Raise CrossRefused for a genotype that a parent of this genome cannot have here."""
        halves = (genotype.first, genotype.second)
        if not all(self._fits(half) for half in halves):
            raise CrossRefused(CrossFault.SHAPE, str(genotype), " ".join(locus.name for locus in self.loci))
        if self.letters is not None:
            _check_karyotype(genotype, role, genome)
        elif self.kind is Where.AUTOSOME:
            haploid = genome.sets(role) == 1
            if haploid is bool(genotype.second):
                raise CrossRefused(CrossFault.ONE_COPY if haploid else CrossFault.SHAPE, str(genotype), role or "")
        elif genotype.second:
            raise CrossRefused(CrossFault.ONE_COPY, str(genotype), role or "")

    def _fits(self, homologue: Homologue) -> bool:
        if not homologue:
            return True
        if self.letters is not None and homologue[0] not in self.letters:
            return False
        if self.kind is Where.CYTOPLASM and homologue[0] != CYTOPLASM:
            return False
        carried = self.carried(homologue)
        own = homologue if self.kind is Where.AUTOSOME else homologue[1:]
        return len(own) == len(carried) and all(
            allele in self.loci[at].alleles for at, allele in zip(carried, own, strict=True)
        )


def _check_karyotype(genotype: Genotype, role: Role | None, genome: Genome) -> None:
    if not genotype.second:
        raise CrossRefused(CrossFault.KARYOTYPE, str(genotype), role or "")
    letters = (genotype.first[0], genotype.second[0])
    if role is None:
        raise CrossRefused(CrossFault.ROLE_MISSING, "/".join(letters))
    allowed = [genome.karyotype(role)]
    if genome.system is SexSystem.ZZ_ZW:
        # Genetic males that bacteria turned into females, their W/W sisters, and females turned into males.
        allowed += [("Z", "Z"), ("W", "W")] if role is Role.DAM else [("Z", "W")]
    if letters not in allowed:
        raise CrossRefused(CrossFault.KARYOTYPE, "/".join(letters), role)


def groups_of(loci: Iterable[Locus], genome: Genome) -> tuple[Group, ...]:
    """The groups that some loci form, in order of first mention; loci whose place is not recorded are unlinked.

    Where chromosomes decide the sex their pair is always there, last if no locus lies on it.
    Raises CrossRefused for a locus on a chromosome that the species does not have, ModelRefused for two loci of one
    name that differ.

    >>> ember, frost = Locus("ember", ("+", "e")), Locus("frost", ("+", "f"))
    >>> [len(group.loci) for group in groups_of([ember, frost], Genome((LinkageGroup((ember, frost)),)))]
    [2]
    """
    known = distinct_loci(loci)
    gathered: dict[object, list[Locus]] = {}
    homes: dict[object, LinkageGroup | None] = {}
    for locus in known:
        genome.check_locus(locus)
        home = genome.group_of(locus)
        key: object = Where.SHARED if locus.where in _SEXUAL else locus.where
        if key is Where.AUTOSOME:
            key = locus.name if home is None else home.loci[0].name
        gathered.setdefault(key, []).append(locus)
        if locus.where is not Where.LIMITED:
            homes[key] = homes.get(key) or home
    if genome.system.letters is not None:
        gathered.setdefault(Where.SHARED, [])
    return tuple(_group(key, members, homes.get(key), genome) for key, members in gathered.items())


def _group(key: object, members: list[Locus], home: LinkageGroup | None, genome: Genome) -> Group:
    if key is Where.SHARED:
        ordered = _in_map_order([locus for locus in members if locus.where is Where.SHARED], home)
        limited = [locus for locus in members if locus.where is Where.LIMITED]
        # Nothing crosses over between X and Y, or between two W.
        gaps = [_gaps(ordered, home, role) + (Fraction(0),) * len(limited) for role in Role]
        loci = (*ordered, *limited)
        dam, sire = (tuple(gap[: max(len(loci) - 1, 0)]) for gap in gaps)
        exact = home is None or all_exact((*home.gaps(Role.DAM), *home.gaps(Role.SIRE)))
        return Group(Where.SHARED, loci, dam, sire, genome.system.letters, exact)
    if key is Where.CYTOPLASM:
        none = (Fraction(0),) * (len(members) - 1)
        return Group(Where.CYTOPLASM, tuple(members), none, none)
    ordered = _in_map_order(members, home)
    dam, sire = (_gaps(ordered, home, role) for role in Role)
    exact = home is None or all_exact((*home.gaps(Role.DAM), *home.gaps(Role.SIRE)))
    return Group(Where.AUTOSOME, tuple(ordered), dam, sire, None, exact or len(ordered) == 1)


def _in_map_order(members: list[Locus], home: LinkageGroup | None) -> list[Locus]:
    if home is None:
        return members
    placed = [locus for locus in home.loci if locus in members]
    return placed + [locus for locus in members if locus not in placed]


def _gaps(ordered: list[Locus], home: LinkageGroup | None, role: Role) -> tuple[Fraction, ...]:
    placed = home.loci if home is not None else ()
    return tuple(
        home.between(one, other, role) if home is not None and one in placed and other in placed else HALF
        for one, other in pairwise(ordered)
    )
