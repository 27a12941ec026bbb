"""What the codes of bins stand for in a cross: the founders that the book records, by their numbers."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction
from types import MappingProxyType

from bot.records import Holding, Sex, code_key
from bot.services.refusals import BinLabel, MixedStated, NothingStated
from bot.services.refusals_crosses import NoneOfThatSex
from genetics import CrossText, KeptBack, MixedKinds, Role, Side, Stated, Trait, write_side

_OTHER_SEX = {Role.DAM: Sex.MALE, Role.SIRE: Sex.FEMALE}


@dataclass(frozen=True, slots=True)
class Parentage:
    """One parent as understood: in plain notation, and the bin it was read from, if it was typed as a code."""

    written: str
    label: BinLabel | None


@dataclass(frozen=True, slots=True)
class Stored:
    """Males that the dam was with before; `share` of the young are theirs (None: nobody knows, a prior is taken).

    `without` is the target's share if she carries none of their sperm.
    """

    males: Parentage
    share: Fraction | None
    without: Fraction


@dataclass(frozen=True, slots=True)
class KeptAs:
    """What a young kept back is in one trait: P(one copy), P(two), by its parents, its looks and the penetrance."""

    role: Role
    trait: Trait
    once: Fraction
    twice: Fraction


@dataclass(frozen=True, slots=True)
class Leaning:
    """What an answer leans on beside the inheritance of its traits.

    `dams` that share the young, with `one_sire` for all or each with a mate of her own; `sires` of one brood. `mixed` and
    `kept`: whether a parent is drawn from several kinds, or is a young kept back for its looks,
    and what that then is. `stored`: other males.
    """

    dams: int = 1
    one_sire: bool = True
    sires: int = 1
    mixed: bool = False
    kept: bool = False
    kept_as: tuple[KeptAs, ...] = ()
    stored: Stored | None = None


@dataclass(frozen=True, slots=True)
class Held:
    """The bins of a cross as recorded; each is looked up by its code, whatever its writing."""

    holdings: tuple[Holding, ...] = ()
    traits: Mapping[int, Trait] = field(default_factory=lambda: MappingProxyType({}))

    @property
    def labels(self) -> dict[str, BinLabel]:
        """The bins by the key of their code."""
        return {code_key(h.code): BinLabel(h.code, h.bin_name) for h in self.holdings}

    def resolved(self, cross: CrossText) -> CrossText:
        """The cross with what is recorded in place of each code.

        Raises:
            NothingStated, MixedStated, NoneOfThatSex: a bin stands for nothing there.
        """
        if not self.holdings:
            return cross
        dam, sire = cross.dam.with_bins(self.side, Role.DAM), cross.sire.with_bins(self.side, Role.SIRE)
        return CrossText(dam, sire, cross.rounded_figures)

    def side(self, code: str, role: Role) -> Side:
        """A breeder of the bin, drawn from its founders by their numbers; those known to be of the other sex are none.

        Raises:
            NothingStated, MixedStated, NoneOfThatSex: the bin stands for nothing there.
        """
        mine = [h for h in self.holdings if code_key(h.code) == code_key(code)]
        label = BinLabel(mine[0].code, mine[0].bin_name)
        able = [h for h in mine if h.sex is not _OTHER_SEX[role]]
        if not able:
            raise NoneOfThatSex(label=label, role=role)
        if not all(h.described for h in able):
            raise NothingStated(label=label)
        kinds = _kinds(self._groups(able))
        if len(kinds) == 1:
            return next(iter(kinds))
        counted = [(number, side) for side, number in kinds.items() if number is not None]
        if len(counted) < len(kinds):
            raise MixedStated(label=label, kinds=tuple((write_side(side), number) for side, number in kinds.items()))
        return Side((MixedKinds(tuple(counted)),))

    def _groups(self, holdings: Iterable[Holding]) -> list[tuple[int | None, Side]]:
        """Each group of founders: how many, and what they are."""
        groups: dict[int | None, tuple[int | None, list[Stated]]] = {}
        for h in holdings:
            _, states = groups.setdefault(h.founder_id, (h.number, []))
            trait = self.traits.get(h.trait_id) if h.trait_id is not None else None
            if trait is not None and h.state is not None:
                states.append(Stated(trait, h.state, h.chance))
        return [(number, Side(tuple(states))) for number, states in groups.values()]


def _kinds(groups: Iterable[tuple[int | None, Side]]) -> dict[Side, int | None]:
    """Groups that are alike as one kind; its number is None if that of a group is not known."""
    kinds: dict[Side, int | None] = {}
    for number, side in groups:
        alike = next((one for one in kinds if frozenset(one.items) == frozenset(side.items)), None)
        if alike is None:
            kinds[side] = number
        else:
            before = kinds[alike]
            kinds[alike] = None if before is None or number is None else before + number
    return kinds


def parentage_of(typed: Side, known: Side, role: Role, held: Held) -> Parentage:
    """One parent as understood, from how it was typed and what that is with bins looked up."""
    label = held.labels[code_key(typed.bin_code)] if typed.bin_code is not None else None
    return Parentage(write_side(replace(known, store=None), role), label)


def leaning_of(known: CrossText, one_sire: bool) -> Leaning:
    """What is special about the parents, but for stored sperm."""
    drawn = (known.dam.drawn, known.sire.drawn)
    return Leaning(
        dams=known.dam.number,
        one_sire=one_sire,
        sires=known.sire.number,
        mixed=any(isinstance(one, MixedKinds) for one in drawn),
        kept=any(isinstance(one, KeptBack) for one in drawn),
    )
