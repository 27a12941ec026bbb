"""The kinship of groups: the mean over their animals, by recursion over how each group came to be, in exact fractions."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import TypeAlias

from genetics.errors import KinshipFault, KinshipRefused, TooLarge
from genetics.genome import SexSystem
from genetics.kinship.ancestry import generations
from genetics.kinship.groups import ANYWHERE, AnyGroup, Bred, Cloned, Drawn, Founded, Merged, comes_from
from genetics.kinship.pedigree import HALF_SIBS
from genetics.loci import Where
from genetics.rates import Rate, exactly, fraction

GROUPS = 600
"""The most groups of one question (judgement: about a second)."""

ZERO, ONE, HALF = Fraction(0), Fraction(1), Fraction(1, 2)


@dataclass(frozen=True, slots=True)
class Pair:
    """Two groups, one random animal of each.

    mean: their kinship, the same animal included where both groups hold it. same: the chance that it is the same animal.
    own: the part of `mean` that is of the same animal: `same` times its kinship with itself.
    """

    mean: Fraction
    same: Fraction = ZERO
    own: Fraction = ZERO

    @property
    def different(self) -> Fraction | None:
        """The mean kinship of two different animals; None if there are none."""
        return None if self.same == 1 else (self.mean - self.own) / (1 - self.same)


_Row: TypeAlias = dict[str, Pair]


@dataclass(frozen=True, slots=True)
class GroupKinship:
    """The answer of `group_kinship`: every figure is exact where every input was.

    >>> kin = group_kinship([Founded("dam", 1), Founded("sire", 1), Bred("F1", "dam", "sire"), Bred("F2", "F1", "F1")])
    >>> kin.between("F1", "F1"), kin.inbreeding("F2"), kin.between("F1", "dam")
    (Fraction(1, 4), Fraction(1, 4), Fraction(1, 4))
    """

    names: tuple[str, ...]
    _pairs: Mapping[tuple[str, str], Pair]
    _itself: Mapping[str, Fraction]
    _shares: Mapping[str, Mapping[str, Fraction]]

    def between(self, one: str, other: str) -> Fraction:
        """φ: the mean kinship of two *different* animals, one of each group; so F to expect of their young.

        Raises KinshipRefused for a group not listed, and where there is one animal only.
        """
        found = self._pair(one, other).different
        if found is None:
            raise KinshipRefused(KinshipFault.ONE_ANIMAL, one)
        return found

    def mean(self, one: str, other: str) -> Fraction:
        """m: the mean kinship of a random animal of each group, the same animal included where the groups overlap."""
        return self._pair(one, other).mean

    def itself(self, name: str) -> Fraction:
        """s: the mean kinship of an animal with itself, (1 + F)/2. Raises KinshipRefused for a group not listed."""
        if name not in self._itself:
            raise KinshipRefused(KinshipFault.NOT_LISTED, name)
        return self._itself[name]

    def inbreeding(self, name: str) -> Fraction:
        """F: the mean inbreeding of a group's animals, 0 to 1. Raises KinshipRefused for a group not listed."""
        return 2 * self.itself(name) - 1

    def founder_shares(self, name: str) -> tuple[tuple[str, Fraction], ...]:
        """The mean share of each group of founders in the genes of a group; sums to 1. Raises KinshipRefused."""
        self.itself(name)
        return tuple(self._shares[name].items())

    def _pair(self, one: str, other: str) -> Pair:
        self.itself(one)
        self.itself(other)
        return self._pairs[one, other]


def group_kinship(
    groups: Iterable[AnyGroup],
    *,
    system: SexSystem = SexSystem.UNKNOWN,
    where: Where = Where.AUTOSOME,
    origin_kinship: Rate = HALF_SIBS,
) -> GroupKinship:
    """The kinship of every two groups, from groups in any order.

    For young o of dams g and sires h (with m, s and φ as in `GroupKinship`): F_o = φ(g,h); φ(o,o) = ¼[m(g,g) + m(h,h) +
    2φ(g,h)]; for k not descended from o, φ(o,k) = ½[m(g,k) + m(h,k)]. Elementary probability; for groups of one it is the
    tabular method. Merging is the mean over the parts.

    system: HAPLODIPLOID is refused, THELYTOKOUS has no `Bred`. where: only AUTOSOME is worked out. origin_kinship: of two
    founders of one origin; the default, half sibs, is a judgement.
    Raises KinshipRefused (see KinshipFault), TooLarge beyond `GROUPS` groups, OutOfRange.

    >>> from genetics import Role
    >>> start = [Founded("B-1", 12, origin="a swap"), Drawn("dams", "B-1", 4, Role.DAM), Drawn("sires", "B-1", 2, Role.SIRE)]
    >>> kin = group_kinship([*start, Bred("B-2", "dams", "sires")])
    >>> kin.inbreeding("B-2"), kin.between("B-2", "B-2")
    (Fraction(1, 8), Fraction(25, 128))
    """
    listed = tuple(groups)
    if len(listed) > GROUPS:
        raise TooLarge("groups", len(listed), GROUPS, GROUPS, "groups")
    _refuse_system(listed, system, where)
    table = _Table(exactly("origin_kinship", origin_kinship, HALF))
    for group in _by_generation(listed):
        table.add(group)
    return GroupKinship(tuple(group.name for group in listed), table.pairs, table.itself, table.shares)


def _refuse_system(groups: tuple[AnyGroup, ...], system: SexSystem, where: Where) -> None:
    if system is SexSystem.HAPLODIPLOID:
        raise KinshipRefused(KinshipFault.HAPLODIPLOID, system)
    if where is not Where.AUTOSOME:
        raise KinshipRefused(KinshipFault.SEX_LINKED, where)
    bred = next((group for group in groups if isinstance(group, Bred)), None)
    if system is SexSystem.THELYTOKOUS and bred is not None:
        raise KinshipRefused(KinshipFault.CLONAL_SIRE, bred.name, bred.sires)


def _by_generation(groups: tuple[AnyGroup, ...]) -> list[AnyGroup]:
    names = [group.name for group in groups]
    places = {name: place for place, name in enumerate(names)}
    if len(places) < len(names):
        raise KinshipRefused(KinshipFault.TWICE, next(name for at, name in enumerate(names) if places[name] != at))
    for group in groups:
        for name in comes_from(group):
            if name not in places:
                raise KinshipRefused(KinshipFault.NOT_LISTED, name, group.name)
    depths = generations(names, [[places[name] for name in comes_from(group)] for group in groups])
    # Who was drawn as a dam is no sire, and young are told of it only if the breeders are there before them.
    order = {Founded: 0, Drawn: 1, Merged: 2, Bred: 3, Cloned: 3}
    return [groups[at] for at in sorted(range(len(groups)), key=lambda at: (depths[at], order[type(groups[at])]))]


class _Table:
    """The figures of the groups so far; each new one is worked out against those before it."""

    def __init__(self, origin_kinship: Fraction) -> None:
        self.pairs: dict[tuple[str, str], Pair] = {}
        self.itself: dict[str, Fraction] = {}
        self.shares: dict[str, dict[str, Fraction]] = {}
        self._origin_kinship = origin_kinship
        self._roles: dict[str, Drawn] = {}
        self._founders: dict[str, Founded] = {}

    def add(self, group: AnyGroup) -> None:
        """Work out a group whose own groups are there."""
        match group:
            case Founded():
                self._found(group)
            case Drawn():
                self._draw(group)
            case Bred():
                self._breed(group)
            case Cloned():
                self._clone(group)
            case Merged():
                self._merge(group)

    def _found(self, group: Founded) -> None:
        within = ZERO if group.origin is None else self._origin_kinship
        row = {
            other.name: Pair(self._origin_kinship if _may_be_kin(group, other) else ZERO)
            for other in self._founders.values()
        }
        self._founders[group.name] = group
        self._enter(group.name, group.number, (1 + fraction(group.inbreeding)) / 2, within, row, {group.name: ONE})

    def _draw(self, group: Drawn) -> None:
        of = self.pairs[group.of, group.of]
        if of.same and group.number is not None and fraction(group.number) * of.same > 1:
            raise KinshipRefused(KinshipFault.TOO_MANY, group.name, group.of)
        row = {name: self._apart(group, name) for name in self.itself}
        within = of.different
        if within is None:
            # One animal stands for the whole group; there is no second one to be related to.
            within = ZERO
        self._roles[group.name] = group
        self._enter(group.name, group.number, self.itself[group.of], within, row, self.shares[group.of])

    def _apart(self, group: Drawn, name: str) -> Pair:
        """Drawn animals and another group: as the group they are drawn from, but that dams are no sires."""
        pair, other = self.pairs[group.of, name], self._roles.get(name)
        if not pair.same or other is None or group.role is None or other.role in (None, group.role):
            return pair
        different = pair.different
        if different is None:
            raise KinshipRefused(KinshipFault.ONE_ANIMAL, group.of)
        return Pair(different)

    def _breed(self, group: Bred) -> None:
        dams, sires = group.dams, group.sires
        inbreeding = self.pairs[dams, sires].different
        if inbreeding is None:
            raise KinshipRefused(KinshipFault.ONE_ANIMAL, dams)
        row = {name: Pair((self.pairs[dams, name].mean + self.pairs[sires, name].mean) / 2) for name in self.itself}
        within = (self.pairs[dams, dams].mean + self.pairs[sires, sires].mean + 2 * inbreeding) / 4
        shares = _weighted([(self.shares[dams], HALF), (self.shares[sires], HALF)])
        self._enter(group.name, group.number, (1 + inbreeding) / 2, within, row, shares)

    def _clone(self, group: Cloned) -> None:
        dams = group.dams
        row = {name: Pair(self.pairs[dams, name].mean) for name in self.itself}
        within = self.pairs[dams, dams].mean
        self._enter(group.name, group.number, self.itself[dams], within, row, self.shares[dams])

    def _merge(self, group: Merged) -> None:
        number = group.number
        parts = [(name, fraction(count)) for name, count in group.parts]
        weights = [(name, count / number) for name, count in parts]
        row = {name: self._mean_pair(weights, name) for name in self.itself}
        itself = sum((weight * self.itself[name] for name, weight in weights), ZERO)
        shares = _weighted([(self.shares[name], weight) for name, weight in weights])
        self._enter(group.name, number, itself, self._among(group, parts), row, shares)

    def _mean_pair(self, weights: list[tuple[str, Fraction]], name: str) -> Pair:
        pairs = [(self.pairs[part, name], weight) for part, weight in weights]
        return Pair(*(sum((getattr(p, field) * w for p, w in pairs), ZERO) for field in ("mean", "same", "own")))

    def _among(self, group: Merged, parts: list[tuple[str, Fraction]]) -> Fraction:
        """The mean kinship of two different animals of groups poured together."""
        total, among = group.number, ZERO
        for at, (one, count) in enumerate(parts):
            whole = self.pairs[one, one]
            if whole.same and count * whole.same > 1:
                raise KinshipRefused(KinshipFault.TOO_MANY, group.name, one)
            if count > 1:
                among += count * (count - 1) * (whole.different or ZERO)
            for other, number in parts[:at]:
                # Animals poured together are different ones, even where both parts were drawn from one bin.
                different = self.pairs[one, other].different
                if different is None:
                    raise KinshipRefused(KinshipFault.PARTS_OVERLAP, group.name, f"{one}, {other}")
                among += 2 * count * number * different
        return among / (total * (total - 1)) if total > 1 else ZERO

    def _enter(
        self, name: str, number: Rate | None, itself: Fraction, within: Fraction, row: _Row, shares: dict[str, Fraction]
    ) -> None:
        same = ZERO if number is None else 1 / fraction(number)
        for other, pair in row.items():
            self.pairs[name, other] = self.pairs[other, name] = pair
        self.pairs[name, name] = Pair(same * itself + (1 - same) * within, same, same * itself)
        self.itself[name] = itself
        self.shares[name] = shares


def _may_be_kin(one: Founded, other: Founded) -> bool:
    if one.origin is None or other.origin is None:
        return False
    return one.origin == other.origin or ANYWHERE in (one.origin, other.origin)


def _weighted(parts: list[tuple[dict[str, Fraction], Fraction]]) -> dict[str, Fraction]:
    found: dict[str, Fraction] = {}
    for shares, weight in parts:
        for name, share in shares.items():
            found[name] = found.get(name, ZERO) + weight * share
    return found
