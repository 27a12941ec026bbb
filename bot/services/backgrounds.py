"""What a cross rests on beside its two parents: the species, how it makes its sexes, where the loci lie."""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, fields
from fractions import Fraction

from bot.records import Holding
from bot.services.desk import Desk
from bot.services.heredity import Known, Relation, sexes_matter
from bot.services.refusals import TraitOfAnother, TwoSpecies, WordNotKnown
from bot.services.refusals_traits import CrossNotPossible, DaughtersDecided
from bot.services.shares import read_share
from bot.services.species import SpeciesCard
from bot.services.trait_models import USUAL, TraitModel
from genetics import CrossFault, CrossRefused, Genome, SexSystem, Trait
from genetics.characters import Scored

FEMINISED, WW_LIVES = "feminised mother", "W/W young live"
"""What may be said of how the sexes come about in one cross."""
_HALF = Fraction(1, 2)
_PLAIN = Genome()
_ONE_SET = (SexSystem.HAPLODIPLOID, SexSystem.THELYTOKOUS)
"""Systems in which a trait on any chromosome comes to daughters and sons in different ways, or to daughters alone."""
_HAPLOID = re.compile(r"/\s*-(?!\w)")
_CHROMOSOME = re.compile(r"(?<![\w])([XYZW])(?=\s*[\^/])|/\s*([XYZW0])(?![\w])")


@dataclass(frozen=True, slots=True)
class Beside:
    """What was typed beside a cross: the species, the share of daughters, what is unusual of the sexes. All may be left out."""

    species: str = ""
    daughters: str = ""
    sexes: str = ""

    @classmethod
    def of(cls, values: Mapping[str, str]) -> "Beside":
        """What of some named values belongs beside a cross."""
        return cls(**{one.name: values.get(one.name, "").strip() for one in fields(cls)})

    @property
    def values(self) -> dict[str, str]:
        """What was not left out, by name."""
        return {one.name: text for one in fields(self) if (text := getattr(self, one.name))}


@dataclass(frozen=True, slots=True)
class Grounds:
    """What an answer rests on: each trait with its model, what they are to each other, and how the sexes come about.

    `system` is None where it makes no difference. `spelled`: it was taken from chromosomes written in the cross.
    `daughters` is the share of daughters where no chromosome decides it; `assumed`: nobody stated it. `feminised`: the
    mother has Z/Z. `ww_lives`: whether W/W young live, None where no pair of parents with a W is written.
    """

    traits: tuple[tuple[Trait, TraitModel], ...] = ()
    relations: tuple[Relation, ...] = ()
    species: str | None = None
    system: SexSystem | None = None
    spelled: bool = False
    daughters: Fraction | None = None
    assumed: bool = False
    feminised: bool = False
    ww_lives: bool | None = None


@dataclass(frozen=True, slots=True)
class Background:
    """Where a cross takes place: what young are scored for, the genome, and what it rests on."""

    scored: tuple[Scored, ...]
    genome: Genome
    grounds: Grounds = field(default_factory=Grounds)

    @property
    def plain(self) -> bool:
        """Whether dam and sire make no difference."""
        return self.grounds.system is None and not self.genome.groups

    @property
    def karyotype(self) -> tuple[str, str] | None:
        """The sex chromosomes of the mother, where they are not the usual ones."""
        return ("Z", "Z") if self.grounds.feminised else None


def _unusual(sexes: str) -> str | None:
    """Which of the unusual ways was typed."""
    typed = " ".join(sexes.casefold().split())
    known = {FEMINISED.casefold(): FEMINISED, WW_LIVES.casefold(): WW_LIVES}
    short = {"feminised": FEMINISED, "feminized": FEMINISED, "feminized mother": FEMINISED, "ww": WW_LIVES}
    if not typed:
        return None
    if typed not in known | short:
        raise WordNotKnown(what="way of making sexes", text=sexes, known=(FEMINISED, WW_LIVES))
    return (known | short)[typed]


def _ws(text: str) -> int:
    """How many W chromosomes are written in a text."""
    return sum("W" in found for found in _CHROMOSOME.findall(text))


def spelled_system(text: str) -> SexSystem:
    """The sex system that the chromosomes in a text belong to, or a haploid male; unknown where none is written.

    >>> spelled_system("Z^e/W x Z^+/Z^+").value, spelled_system("het ember x wild").value
    ('ZZ/ZW', 'unknown')
    """
    letters = {letter for pair in _CHROMOSOME.findall(text) for letter in pair if letter}
    if letters & {"Z", "W"}:
        return SexSystem.ZZ_ZW
    if letters & {"X", "Y"}:
        return SexSystem.X0 if "0" in letters else SexSystem.XX_XY
    return SexSystem.HAPLODIPLOID if _HAPLOID.search(text) else SexSystem.UNKNOWN


def species_of(
    desk: Desk, beside: Beside, holdings: Sequence[Holding], known: Known, traits: Iterable[Trait]
) -> SpeciesCard | None:
    """The species of a cross: the one typed, that of the bins, or the one species that its traits belong to.

    Raises:
        NoSuchSpecies, TwoSpecies, TraitOfAnother: what was said does not go together.
    """
    keys = list(dict.fromkeys(h.species_key for h in holdings))
    if beside.species:
        keys.append(desk.species.named(beside.species).key)
    keys = list(dict.fromkeys(keys))
    if len(keys) > 1:
        raise TwoSpecies(first=desk.species.of(keys[0]).name, second=desk.species.of(keys[1]).name)
    own = {trait: key for trait in traits if (key := known.rows[trait].species_key) is not None}
    if not keys:
        found = set(own.values())
        return desk.species.of(found.pop()) if len(found) == 1 else None
    species = desk.species.of(keys[0])
    for trait, key in own.items():
        if key != species.key:
            raise TraitOfAnother(trait.name, desk.species.of(key).name, species.name)
    return species


def background_of(
    known: Known, traits: Sequence[Trait], species: SpeciesCard | None, beside: Beside, text: str
) -> Background:
    """Where a cross of these traits, written so, takes place. Only what makes a difference to it is taken along.

    Raises:
        CrossNotPossible, DaughtersDecided, ShareNotRead, WordNotKnown, ModelRefused: there is no such cross.
    """
    name = None if species is None else species.name
    two_sexes = species is None or species.sex_system.value not in _ONE_SET
    if two_sexes and not (known.relations or known.models or known.broken or beside.values or "/" in text):
        # Most questions by far, and nothing of what follows makes a difference to them.
        return Background(tuple(traits), _PLAIN, Grounds(tuple([(trait, USUAL) for trait in traits]), species=name))
    spelled = spelled_system(text) if "/" in text else SexSystem.UNKNOWN
    scored = known.scored(traits)
    stated = SexSystem.UNKNOWN if species is None else SexSystem(species.sex_system.value)
    system = spelled if stated is SexSystem.UNKNOWN else stated
    unusual = _unusual(beside.sexes)
    feminised = unusual == FEMINISED
    if unusual is not None and system is not SexSystem.ZZ_ZW:
        raise CrossNotPossible(CrossRefused(CrossFault.KARYOTYPE, "Z/Z", "dam"), name)
    told = read_share("share of daughters", beside.daughters) if beside.daughters else None
    if told is not None and system.letters is not None and not feminised and spelled is SexSystem.UNKNOWN:
        raise DaughtersDecided(system.value, name)
    only_without = system in _ONE_SET
    by_sex = sexes_matter(scored)
    needed = by_sex or only_without or unusual or told is not None or spelled is not SexSystem.UNKNOWN
    daughters = told
    if needed and told is None and system in (SexSystem.HAPLODIPLOID, SexSystem.UNKNOWN):
        daughters = _HALF
    groups = known.groups(traits) if known.relations else ()
    if not needed:
        system, daughters = SexSystem.UNKNOWN, None
    genome = Genome(groups, system, daughters, ww_lives=unusual == WW_LIVES)
    grounds = Grounds(
        traits=tuple((trait, known.model(trait)) for trait in traits),
        relations=known.relations_of(traits) if known.relations else (),
        species=name,
        system=system if needed else None,
        spelled=stated is SexSystem.UNKNOWN and spelled is not SexSystem.UNKNOWN,
        daughters=daughters,
        assumed=told is None and daughters is not None,
        feminised=feminised,
        ww_lives=genome.ww_lives if genome.ww_lives or _ws(text) > 1 else None,
    )
    return Background(scored, genome, grounds)
