"""The records that are weighed: who bred with whom, and what was seen of the young.

One programme is about one trait. All names are the caller's (a bin's code, an animal's name) and are unique among the
groups, among the pairings and among the broods. The order of `broods` is the order in which they were scored.

How the records are read, for everybody who simulates or weighs them:

- A **group** is one animal, or several unmarked ones of one sex that nobody can tell apart. The members of a group are
  actual animals: two broods of one animal share its unknown genotype, and two broods of one bin share its members.
- A young takes after its own mother and father. Which dam and which sire that is, says the pairing (`Sharing`), the
  dams' state (`Mated`) and the brood (`mothers`).
- Of the young of a brood only those **scored** are evidence. Dead, unscored and not yet readable young are not wild.
- Kept-back animals are members of their brood, and already counted in it if they were scored.
- `found` broods, and odd founders, are in the book because they show: they enter conditioned on that.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TypeAlias, TypeVar

from genetics.errors import EvidenceFault, EvidenceRefused, OutOfRange
from genetics.genome import SexSystem
from genetics.limits import YOUNG
from genetics.loci import Sex, checked_share
from genetics.rates import Rate
from genetics.traits import Appearance

GROUP_LIMIT = 1_000
"""Members of one counted group."""
UNCOUNTED = 10
"""How many animals an uncounted group weighs as among several (judgement)."""


class Stock(StrEnum):
    """Where founders come from.

    HOME: the stock in which the trait turned up; others there may carry it unseen, with the frequency `Figure.HOME`.
    AWAY: a stock in which nobody has seen the trait; the frequency is `Figure.AWAY`.

    Within a stock mating is at random: copies in one founder are independent draws (Hardy-Weinberg), and so are
    founders. Under an explanation without genes the stock says nothing.
    """

    HOME = "home"
    AWAY = "away"


class Mated(StrEnum):
    """What a dam may have brought along.

    ISOLATED: kept apart from before she could mate. HAD_MALES: she was with males before this pairing. UNKNOWN: nobody
    wrote it down. Only ISOLATED excludes stored sperm; weeks alone as an adult do not.
    """

    ISOLATED = "isolated unmated"
    HAD_MALES = "had males"
    UNKNOWN = "unknown"


class Sharing(StrEnum):
    """How the young of one brood share parents out of several that are possible.

    ONE: all young of the brood have the same parent on this side: one animal, drawn at random from all possible ones.
    EACH: each young draws its own, independently and at random from all possible ones (young of several mothers in one
        bin, several fathers in an open bin). With a single possible animal the two are the same.

    Drawn at random means that each *animal* is as likely as any other, whichever group it is in. An uncounted group
    (`number` None) among several weighs as ten animals (judgement).
    """

    ONE = "one"
    EACH = "each"


@dataclass(frozen=True, slots=True)
class Founders:
    """Animals whose parents are not on record.

    number: how many, 1 to 1,000. None: more than anybody counts; every parent taken from it is then a fresh draw from
        the stock, so that two broods of it share nothing, and nothing else is said of it.
    stock: where they come from.
    odd: they are in the programme because they show. Under an inherited explanation each is taken to show *because of
        its genes*: its genotype is a draw from the stock given that it is one that shows (in this sex, and in this
        class if `look` says PARTIAL or FULL). That it showed is then no further evidence.
    look: how each looked when it could be read, scored with the same error as young are; WILD, PARTIAL or FULL, or None
        if nobody looked. FULL is the class that shows where no partial class is scored. For odd ones None or a class
        that shows. Without genes, one that was looked at shows with the mean rate (`Figure.RATE`).
    carries: what the keeper was told: the chance that each carries one hidden copy (2/3 for "66 % possible het").
        Used where one copy can hide: recessive, shown in one sex, sex-linked, two loci. Elsewhere `stock` counts.
    """

    name: str
    sex: Sex
    number: int | None = 1
    stock: Stock = Stock.AWAY
    odd: bool = False
    look: Appearance | None = None
    carries: Rate | None = None

    def __post_init__(self) -> None:
        _check_number(self.name, self.number)
        if self.carries is not None:
            checked_share("carries", self.carries)
        if self.number is None and (self.odd or self.look is not None or self.carries is not None):
            raise EvidenceRefused(EvidenceFault.UNCOUNTED, self.name)
        if self.odd and self.look is Appearance.WILD:
            raise EvidenceRefused(EvidenceFault.ODD_LOOKS_WILD, self.name)


@dataclass(frozen=True, slots=True)
class Kept:
    """Animals of one sex kept back from a brood: a holdback, or a bin founded from `number` sibs.

    look: the class in which they were scored in that brood, all the same; None if they were taken before they could be
        read. Animals of several looks are several groups. Given its look and its parents, each is an independent draw
        from the brood's surviving young of that look (so a misread one may not be what it looks).
    """

    name: str
    sex: Sex
    brood: str
    number: int = 1
    look: Appearance | None = None

    def __post_init__(self) -> None:
        _check_number(self.name, self.number)


Group: TypeAlias = Founders | Kept


@dataclass(frozen=True, slots=True)
class Dam:
    """A female group in a pairing, and what she may have brought along.

    males: the group whose males she may have stored sperm of. None: males of where she comes from: for founders one
        drawn from her stock, for a kept-back one a brother, a surviving young of her brood of any look.

    Unless ISOLATED, a share of her young has one stored sire, the same animal for all her broods of this pairing. The
    share is drawn for each brood anew: `Figure.STORED_HAD_MALES` or `Figure.STORED_UNKNOWN`; 0 is the likeliest. Each young is
    the stored sire's with that chance, independently. A group of several dams with stored sperm stores of one sire in
    common (judgement: they come from one bin).
    """

    group: str
    mated: Mated = Mated.UNKNOWN
    males: str | None = None


@dataclass(frozen=True, slots=True)
class Pairing:
    """Dams and sires that were put together, or that one bin holds.

    mothers, fathers: how a brood shares them (`Sharing`).
    """

    name: str
    dams: tuple[Dam, ...]
    sires: tuple[str, ...]
    mothers: Sharing = Sharing.ONE
    fathers: Sharing = Sharing.ONE

    def __post_init__(self) -> None:
        if not self.dams or not self.sires:
            raise EvidenceRefused(EvidenceFault.NO_PARENT, self.name)
        names = [dam.group for dam in self.dams]
        _unique(names)
        _unique(self.sires)


@dataclass(frozen=True, slots=True)
class Counted:
    """So many young of one look; sex None: not sexed."""

    look: Appearance
    number: int
    sex: Sex | None = None

    def __post_init__(self) -> None:
        if not 0 <= self.number <= YOUNG:
            raise OutOfRange("young", str(self.number), "0", str(YOUNG))


@dataclass(frozen=True, slots=True)
class Brood:
    """What was seen of the young of one pairing.

    pairing: its name. bin: where they grew up, by the name of the *substrate* they shared: broods of one name share
        whatever the food, the heat or a disease does there.
    seen: the scored young. Whether a young was sexed may depend on its look, but not on its genes beyond that.
    found: the brood is in the book because a visual appeared in it (else it was planned before it was scored). It
        enters conditioned on at least one young scored as showing; under an inherited explanation on at least one that
        shows because of its genes, was scored so, and survived. All found broods and odd founders are conditioned on
        together.
    mothers: the groups that may have borne it, if fewer than the pairing's dams.
    beside: the name of a brood that was reared side by side with it, on the same substrate and food.
    born: estimate, or None. dead, unscored: counted, never read as wild.
    """

    name: str
    pairing: str
    bin: str
    seen: tuple[Counted, ...]
    found: bool = False
    mothers: tuple[str, ...] = ()
    beside: str | None = None
    born: int | None = None
    dead: int = 0
    unscored: int = 0

    def __post_init__(self) -> None:
        for what, number in (("born", self.born), ("dead", self.dead), ("unscored", self.unscored)):
            if number is not None and not 0 <= number <= YOUNG:
                raise OutOfRange(what, str(number), "0", str(YOUNG))
        if self.found and not self.shown:
            raise EvidenceRefused(EvidenceFault.FOUND_WITHOUT, self.name)

    @property
    def scored(self) -> int:
        """Young that were scored."""
        return sum(one.number for one in self.seen)

    @property
    def shown(self) -> int:
        """Young scored as showing, partially or fully."""
        return sum(one.number for one in self.seen if one.look is not Appearance.WILD)

    def count(self, looks: tuple[Appearance, ...], sex: Sex | None) -> int:
        """Young of these looks and this sex (None: the unsexed ones).

        >>> seen = (Counted(Appearance.FULL, 3, Sex.MALE), Counted(Appearance.WILD, 5))
        >>> Brood("b", "p", "B-1", seen).count((Appearance.FULL,), Sex.MALE)
        3
        """
        return sum(one.number for one in self.seen if one.look in looks and one.sex is sex)


@dataclass(frozen=True, slots=True)
class Misread:
    """Scoring error as measured: of `compared` animals scored by two keepers, `wrong` were scored differently."""

    wrong: int
    compared: int

    def __post_init__(self) -> None:
        if not 0 <= self.wrong <= self.compared <= YOUNG:
            raise OutOfRange("scored differently", str(self.wrong), "0", str(min(self.compared, YOUNG)))


_Named = TypeVar("_Named", Founders | Kept, Pairing, Brood)


@dataclass(frozen=True, slots=True)
class Programme:
    """All records of one trait.

    partial: whether *partial* is a class that is scored. Without it a young is WILD or FULL, and "incompletely
        dominant" cannot be told from dominant: it is left out, and its prior with it.
    system: without a sex chromosome that both sexes carry (X or Z), "sex-linked" is left out.
    daughters: the share of daughters among scored young of this stock. It matters only where some young of a brood are
        not sexed.
    misread: the trait's own scoring error, if two keepers measured it.

    Raises EvidenceRefused for names that are unknown or stand twice, a group that descends from itself, a parent of the
    wrong sex, a clonal or haplodiploid species, more kept back than seen, and a class that is not scored here.
    """

    groups: tuple[Group, ...]
    pairings: tuple[Pairing, ...]
    broods: tuple[Brood, ...]
    partial: bool = False
    system: SexSystem = SexSystem.UNKNOWN
    daughters: Rate = 0.5
    misread: Misread | None = None

    def __post_init__(self) -> None:
        checked_share("daughters", self.daughters)
        if self.system in (SexSystem.HAPLODIPLOID, SexSystem.THELYTOKOUS):
            raise EvidenceRefused(EvidenceFault.SEXES, self.system)
        for named in (self.groups, self.pairings, self.broods):
            _unique([one.name for one in named])
        for pairing in self.pairings:
            self._check_pairing(pairing)
        for brood in self.broods:
            self._check_brood(brood)
        for group in self.groups:
            self._check_group(group)
        tuple(self.eldest_first())

    def group(self, name: str) -> Group:
        """The group of this name. Raises EvidenceRefused."""
        return _named(self.groups, name)

    def pairing(self, name: str) -> Pairing:
        """The pairing of this name. Raises EvidenceRefused."""
        return _named(self.pairings, name)

    def brood(self, name: str) -> Brood:
        """The brood of this name. Raises EvidenceRefused."""
        return _named(self.broods, name)

    def mothers(self, brood: Brood) -> tuple[Dam, ...]:
        """The dams that may have borne a brood."""
        return tuple(d for d in self.pairing(brood.pairing).dams if not brood.mothers or d.group in brood.mothers)

    def eldest_first(self) -> Iterator[Group]:
        """The groups, each after all that it descends from. Raises EvidenceRefused if one descends from itself."""
        done: set[str] = set()
        waiting = list(self.groups)
        while waiting:
            ready = [one for one in waiting if self.parents_of(one) <= done]
            if not ready:
                raise EvidenceRefused(EvidenceFault.CIRCLE, waiting[0].name)
            yield from ready
            done |= {one.name for one in ready}
            waiting = [one for one in waiting if one.name not in done]

    def parents_of(self, group: Group) -> set[str]:
        """Names of the groups that a group may descend from, stored sires among them; none for founders."""
        if isinstance(group, Founders):
            return set()
        brood = self.brood(group.brood)
        dams = self.mothers(brood)
        males = {dam.males for dam in dams if dam.males is not None and dam.mated is not Mated.ISOLATED}
        return {dam.group for dam in dams} | set(self.pairing(brood.pairing).sires) | males

    def of_found(self) -> "Programme":
        """The found broods, the odd founders, and all that they descend from."""
        broods = {brood.name for brood in self.broods if brood.found}
        groups = {group.name for group in self.groups if isinstance(group, Founders) and group.odd}
        before = -1
        while before < len(broods):
            before = len(broods)
            for pairing in [self.pairing(self.brood(name).pairing) for name in broods]:
                groups |= {dam.group for dam in pairing.dams} | set(pairing.sires)
                groups |= {dam.males for dam in pairing.dams if dam.males is not None}
            broods |= {group.brood for group in self.groups if isinstance(group, Kept) and group.name in groups}
        kept = tuple(replace(brood, beside=None) for brood in self.broods if brood.name in broods)
        return replace(
            self,
            groups=tuple(group for group in self.groups if group.name in groups),
            pairings=tuple(p for p in self.pairings if p.name in {brood.pairing for brood in kept}),
            broods=kept,
        )

    def _check_pairing(self, pairing: Pairing) -> None:
        for dam in pairing.dams:
            if self.group(dam.group).sex is not Sex.FEMALE:
                raise EvidenceRefused(EvidenceFault.NOT_A_DAM, dam.group, pairing.name)
        for sire in (*pairing.sires, *(dam.males for dam in pairing.dams if dam.males is not None)):
            if self.group(sire).sex is not Sex.MALE:
                raise EvidenceRefused(EvidenceFault.NOT_A_SIRE, sire, pairing.name)

    def _check_brood(self, brood: Brood) -> None:
        dams = {dam.group for dam in self.pairing(brood.pairing).dams}
        for name in brood.mothers:
            if name not in dams:
                raise EvidenceRefused(EvidenceFault.NOT_A_MOTHER, name, brood.name)
        if brood.beside is not None:
            self.brood(brood.beside)
        if not self.partial and any(one.look is Appearance.PARTIAL for one in brood.seen):
            raise EvidenceRefused(EvidenceFault.NO_PARTIAL, brood.name)
        for look in Appearance:
            kept = sum(
                g.number for g in self.groups if isinstance(g, Kept) and g.brood == brood.name and g.look is look
            )
            if kept > sum(one.number for one in brood.seen if one.look is look):
                raise EvidenceRefused(EvidenceFault.KEPT_TOO_MANY, brood.name, str(kept))

    def _check_group(self, group: Group) -> None:
        if isinstance(group, Kept):
            self.brood(group.brood)
        if not self.partial and group.look is Appearance.PARTIAL:
            raise EvidenceRefused(EvidenceFault.NO_PARTIAL, group.name)


def _named(values: tuple[_Named, ...], name: str) -> _Named:
    for one in values:
        if one.name == name:
            return one
    raise EvidenceRefused(EvidenceFault.UNKNOWN, name)


def _unique(names: list[str] | tuple[str, ...]) -> None:
    for place, name in enumerate(names):
        if name in names[:place]:
            raise EvidenceRefused(EvidenceFault.NAME_TWICE, name)


def _check_number(name: str, number: int | None) -> None:
    if number is not None and not 1 <= number <= GROUP_LIMIT:
        raise OutOfRange(name, str(number), "1", str(GROUP_LIMIT))
