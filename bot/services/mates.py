"""Who is related to whom, from the book: the least related mates of a bin, and from which inbreeding on a server warns."""

from dataclasses import dataclass, replace
from fractions import Fraction
from types import MappingProxyType
from typing import Final

from bot.records import BinRow, ServerRow, Sex, Subject
from bot.services.access import require_steward
from bot.services.ancestry import Ancestry, read_ancestry
from bot.services.desk import Desk
from bot.services.finding import bin_named
from bot.services.lineage import Assumed, Lineage, lineage_of
from bot.services.refusals import BinLabel, TooCostly, WordNotKnown
from bot.services.refusals_kinship import KinshipNotTold, WarningsCrossed
from bot.services.request import Request
from bot.services.shares import read_share
from bot.services.species import SpeciesCard
from bot.services.species_cards import card_of
from genetics import GroupKinship, KinshipRefused, TooLarge, group_kinship
from genetics import SexSystem as System
from genetics.kinship.groups import AnyGroup
from genetics.kinship.pedigree import HALF_SIBS

SERVER = "server"
DEGREES: Final = MappingProxyType(
    {"unrelated": Fraction(0), "first cousins": Fraction(1, 16), "half sibs": HALF_SIBS, "full sibs": Fraction(1, 4)}
)
"""What two founders of one origin may be taken for."""
FEW: Final = 60
"""Up to so many groups are worked out at once; more are a worker's to do (measured: a few milliseconds)."""


@dataclass(frozen=True, slots=True)
class Warnings:
    """From which expected F of the young on a pairing is remarked upon and warned of, and the kinship of founders of one origin.

    The defaults are judgements: the young of half sibs, those of full sibs, and half sibs.
    """

    note: Fraction = Fraction(1, 8)
    warning: Fraction = Fraction(1, 4)
    origin: Fraction = HALF_SIBS

    @classmethod
    def of(cls, row: ServerRow | None) -> "Warnings":
        """Those of a server: as its stewards set them, or the defaults."""
        plain = cls()
        if row is None:
            return plain
        return cls(
            plain.note if row.inbreeding_note is None else row.inbreeding_note,
            plain.warning if row.inbreeding_warning is None else row.inbreeding_warning,
            plain.origin if row.origin_kinship is None else row.origin_kinship,
        )


@dataclass(frozen=True, slots=True)
class Mate:
    """A bin whose animals could be mates, and their kinship with those asked about, which is F to expect of the young.

    `assumed`: what that figure rests on that the book does not say.
    """

    label: BinLabel
    keeper_name: str
    kinship: Fraction
    assumed: frozenset[Assumed]


@dataclass(frozen=True, slots=True)
class Mates:
    """The answer to `mates_of`: the mates, least related first.

    `inbreeding`: F of the bin's own animals. `within`: F to expect of young bred within the bin; None if one animal is all
    there is. `left_out`: bins of the species whose animals are of the same sex alone.
    """

    label: BinLabel
    species: SpeciesCard
    inbreeding: Fraction
    within: Fraction | None
    mates: tuple[Mate, ...]
    left_out: int
    warnings: Warnings
    assumed: frozenset[Assumed]


@dataclass(frozen=True, slots=True)
class WarningsSet:
    """What holds in a server now, and the event that can take it back; None if nothing was set."""

    warnings: Warnings
    event: int | None


async def mates_of(desk: Desk, request: Request, bin_text: str) -> Mates:
    """The bins of the species by how little related they are to this one.

    Raises:
        NoSuchBin, KinshipNotTold, TooCostly: no answer.
    """
    async with desk.records.read(request.server, request.actor) as book:
        row = await bin_named(book, bin_text)
        told = await read_ancestry(book, row.species_key)
        warnings = Warnings.of(await book.server_row())
        species = await card_of(desk, book, row.species_key)
    lineage = lineage_of(told, species.sex_system)
    others = [each for each in told.bins.values() if each.closed_at is None and each.id != row.id]
    fitting = [each for each in others if not _one_sex(told, row.id, each.id)]
    names = [lineage.living[each.id] for each in (row, *fitting)]
    kin = await _kinship(desk, species, told, lineage, names, warnings.origin)
    own = lineage.living[row.id]
    mates = [_mate(kin, lineage, own, each) for each in fitting]
    return Mates(
        label=BinLabel(row.code, row.name),
        species=species,
        inbreeding=kin.inbreeding(own),
        within=_within(kin, own),
        mates=tuple(sorted(mates, key=lambda mate: mate.kinship)),
        left_out=len(others) - len(fitting),
        warnings=warnings,
        assumed=lineage.behind([own])[1],
    )


def _mate(kin: GroupKinship, lineage: Lineage, own: str, row: BinRow) -> Mate:
    name = lineage.living[row.id]
    return Mate(BinLabel(row.code, row.name), row.keeper_name, kin.between(own, name), lineage.behind([own, name])[1])


def _within(kin: GroupKinship, name: str) -> Fraction | None:
    try:
        return kin.between(name, name)
    except KinshipRefused:
        return None


def _one_sex(told: Ancestry, one: int, other: int) -> bool:
    """Whether two bins hold animals of one and the same sex, as far as is said."""
    sexes = {founder.sex for bin_id in (one, other) for founder in told.founders.get(bin_id, ())}
    both = all(told.founders.get(bin_id) for bin_id in (one, other))
    return both and len(sexes) == 1 and Sex.UNKNOWN not in sexes


async def _kinship(
    desk: Desk, species: SpeciesCard, told: Ancestry, lineage: Lineage, names: list[str], origin: Fraction
) -> GroupKinship:
    """The kinship of the groups behind some groups.

    Raises:
        KinshipNotTold, TooCostly: it cannot be told.
    """
    groups, _ = lineage.behind(names)
    system = System(species.sex_system.value)
    try:
        if len(groups) <= FEW:
            return worked_out(groups, system, origin)
        return await desk.workers.run(worked_out, groups, system, origin)
    except KinshipRefused as error:
        raise KinshipNotTold(fault=error.fault, species=species.name, culprits=_bins_in(told, error)) from error
    except TooLarge as error:
        raise TooCostly(error=error) from error


def worked_out(groups: tuple[AnyGroup, ...], system: System, origin: Fraction) -> GroupKinship:
    """The kinship of these groups; a job that a worker can be given. Raises KinshipRefused, TooLarge."""
    return group_kinship(groups, system=system, origin_kinship=origin)


def _bins_in(told: Ancestry, error: KinshipRefused) -> tuple[BinLabel, ...]:
    """The bins that a contradiction names, in its order."""
    words = f"{error.name} {error.fact}".replace("←", " ").split()
    ids = dict.fromkeys(int(word) for word in words if word.isdecimal() and int(word) in told.bins)
    return tuple(BinLabel(told.bins[each].code, told.bins[each].name) for each in ids)


async def set_warnings(
    desk: Desk, request: Request, *, note: str = "", warning: str = "", origin: str = ""
) -> WarningsSet:
    """Set what is typed: shares or percentages, and a degree of kinship in words. What is not typed stays. For stewards.

    Without anything typed nothing is written, and everybody may ask.

    Raises:
        StewardsOnly, ShareNotRead, WordNotKnown, WarningsCrossed: nothing was written.
    """
    wanted = {
        "note": read_share("share", note) if note.strip() else None,
        "warning": read_share("share", warning) if warning.strip() else None,
        "origin": _degree(origin) if origin.strip() else None,
    }
    typed = {key: value for key, value in wanted.items() if value is not None}
    if not typed:
        async with desk.records.read(request.server, request.actor) as book:
            return WarningsSet(Warnings.of(await book.server_row()), None)
    require_steward(request, "set the warnings")
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            fresh = replace(Warnings.of(await book.server_row()), **typed)
            if fresh.note > fresh.warning:
                raise WarningsCrossed(note=fresh.note, warning=fresh.warning)
            await book.set_kinship(note=fresh.note, warning=fresh.warning, origin_kinship=fresh.origin)
            event = await book.log("server.kinship_set", Subject(SERVER, request.server))
        return WarningsSet(Warnings.of(await book.server_row()), event.seq)


def _degree(text: str) -> Fraction:
    wanted = " ".join(text.casefold().split())
    if wanted not in DEGREES:
        raise WordNotKnown(what="kinship", text=text, known=tuple(DEGREES))
    return DEGREES[wanted]
