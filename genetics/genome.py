"""What a species passes on: its linkage groups and its way of making sexes."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from genetics.errors import CrossFault, CrossRefused, ModelFault, ModelRefused
from genetics.loci import LinkageGroup, Locus, Role, Sex, Where, checked_share
from genetics.rates import Rate


class SexSystem(StrEnum):
    """How the sexes of a species come about.

    X0: males have one X and no partner to it. HAPLODIPLOID: males hatch from unfertilised eggs and have one set of
    chromosomes. THELYTOKOUS: clonal females; every young has its mother's genotype. UNKNOWN: autosomal results are
    exact all the same, sex-linked ones are refused.

    >>> SexSystem("ZZ/ZW") is SexSystem.ZZ_ZW
    True
    """

    XX_XY = "XX/XY"
    ZZ_ZW = "ZZ/ZW"
    X0 = "X0"
    HAPLODIPLOID = "haplodiploid"
    THELYTOKOUS = "thelytokous"
    UNKNOWN = "unknown"

    @property
    def letters(self) -> tuple[str, str] | None:
        """The chromosome both sexes carry and the one only one sex carries; "0" is none. None without such a pair."""
        return _LETTERS.get(self)


_LETTERS = {SexSystem.XX_XY: ("X", "Y"), SexSystem.ZZ_ZW: ("Z", "W"), SexSystem.X0: ("X", "0")}


@dataclass(frozen=True, slots=True)
class Genome:
    """The loci of a species whose place is known, and its sex system; loci not named here are unlinked.

    daughters: the share of daughters where no chromosome decides it: among the young of a feminised Z/Z mother, the
        share of eggs fertilised in a haplodiploid species, the share of females where the system is unknown. None: not
        stated, and a question that needs it is refused.
    ww_lives: whether W/W young of two parents with a W are viable.

    At most one group lies on the chromosome both sexes carry; sex-linked loci outside it count as unlinked to it (r =
    1/2), since nothing better is recorded. Raises ModelRefused, OutOfRange.

    >>> Genome(system=SexSystem.ZZ_ZW).karyotype(Role.DAM)
    ('Z', 'W')
    """

    groups: tuple[LinkageGroup, ...] = ()
    system: SexSystem = SexSystem.UNKNOWN
    daughters: Rate | None = None
    ww_lives: bool = False

    def __post_init__(self) -> None:
        seen: set[str] = set()
        kinds: list[Where] = []
        for group in self.groups:
            kinds.append(group.loci[0].where)
            for locus in group.loci:
                if locus.name in seen:
                    raise ModelRefused(locus.name, ModelFault.LOCUS_TWICE, locus.name)
                seen.add(locus.name)
        for kind in (Where.SHARED, Where.LIMITED, Where.CYTOPLASM):
            if kinds.count(kind) > 1:
                raise ModelRefused(kind, ModelFault.ONE_GROUP, kind)
        if self.daughters is not None:
            checked_share("daughters", self.daughters)

    def group_of(self, locus: Locus) -> LinkageGroup | None:
        """The linkage group that a locus stands in, or None if its place is not recorded.

        Raises ModelRefused if another locus of that name stands there: two traits at one locus contradict each other.
        """
        for group in self.groups:
            for known in group.loci:
                if known.name == locus.name:
                    if known != locus:
                        raise ModelRefused(locus.name, ModelFault.CONTRADICTION, " ".join(locus.alleles))
                    return group
        return None

    def karyotype(self, role: Role) -> tuple[str, str] | None:
        """The usual sex chromosomes of a parent, or None where no chromosome decides the sex."""
        letters = self.system.letters
        if letters is None:
            return None
        both, one = letters
        unlike = Role.DAM if self.system is SexSystem.ZZ_ZW else Role.SIRE
        return (both, one) if role is unlike else (both, both)

    def sets(self, role: Role | None) -> int:
        """How many sets of chromosomes a parent has: 1 for a haploid male, else 2.

        Raises CrossRefused where that depends on which parent it is and nobody said so, and for a clonal sire.
        """
        if self.system is SexSystem.THELYTOKOUS and role is Role.SIRE:
            raise CrossRefused(CrossFault.CLONAL_MALE, "sire")
        if self.system is not SexSystem.HAPLODIPLOID:
            return 2
        if role is None:
            raise CrossRefused(CrossFault.ROLE_MISSING, self.system)
        return 1 if role is Role.SIRE else 2

    def check_locus(self, locus: Locus) -> None:
        """Raise CrossRefused for a locus on a chromosome that this species does not have, or not known to have."""
        if locus.where in (Where.SHARED, Where.LIMITED):
            if self.system is SexSystem.UNKNOWN:
                raise CrossRefused(CrossFault.SEX_UNKNOWN, locus.name)
            letters = self.system.letters
            if letters is None or (locus.where is Where.LIMITED and letters[1] == "0"):
                raise CrossRefused(CrossFault.NO_CHROMOSOME, locus.name)

    def passes(self, locus: Locus, role: Role, young: Sex) -> bool:
        """Whether a parent of this role passes on an allele of the locus to young of this sex, in the usual karyotypes.

        >>> ember = Locus("ember", ("+", "e"), Where.SHARED)
        >>> Genome(system=SexSystem.ZZ_ZW).passes(ember, Role.DAM, Sex.FEMALE)
        False
        """
        self.check_locus(locus)
        if locus.where is Where.CYTOPLASM or self.system is SexSystem.THELYTOKOUS:
            return role is Role.DAM and (young is Sex.FEMALE or self.system is not SexSystem.THELYTOKOUS)
        if locus.where is Where.AUTOSOME:
            return role is Role.DAM or young is Sex.FEMALE or self.system is not SexSystem.HAPLODIPLOID
        if role is not (Role.DAM if self.system is SexSystem.ZZ_ZW else Role.SIRE):
            return locus.where is Where.SHARED
        like_parent = (young is Sex.FEMALE) == (role is Role.DAM)
        return like_parent == (locus.where is Where.LIMITED)

    def require_passed(self, locus: Locus, role: Role, young: Sex) -> None:
        """Raise CrossRefused if the allele of a young cannot come from that parent: a daughter's Z from her dam.

        >>> ember = Locus("ember", ("+", "e"), Where.SHARED)
        >>> Genome(system=SexSystem.ZZ_ZW).require_passed(ember, Role.DAM, Sex.FEMALE)
        Traceback (most recent call last):
        genetics.errors.CrossRefused: ember: the parent does not pass this to young of that sex (dam to female)
        """
        if not self.passes(locus, role, young):
            raise CrossRefused(CrossFault.NOT_PASSED, locus.name, f"{role} to {young}")


def distinct_loci(loci: Iterable[Locus]) -> tuple[Locus, ...]:
    """Each locus once, in order of first mention.

    Raises ModelRefused if two of one name differ: two traits at one locus contradict each other.

    >>> [locus.name for locus in distinct_loci([Locus("a", ("+", "a")), Locus("a", ("+", "a"))])]
    ['a']
    """
    found: dict[str, Locus] = {}
    for locus in loci:
        known = found.setdefault(locus.name, locus)
        if known != locus:
            raise ModelRefused(locus.name, ModelFault.CONTRADICTION, " ".join(locus.alleles))
    return tuple(found.values())
