"""The unknown genotypes of a programme as variables, and what ties them together, for one mode.

One animal is one variable. A counted bin is one variable too, the composition of its members; each brood of one mother
out of it has a variable for that mother. Where a brood may have several single parents, an identity variable says which
it was, and each possibility has a table of its own that is 1 wherever another one is meant: no table spans them all.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from genetics.errors import EvidenceFault, EvidenceRefused
from genetics.evidence.elimination import Factor, Table
from genetics.evidence.explanations import Cause, Figure
from genetics.evidence.founding import SEXES, Setting, both_loci_chance, founder_tables, loci_shown, odd_groups
from genetics.evidence.laws import Heaps, Kind, Law, compositions, heaped, law_of, multinomial, number_of_compositions
from genetics.evidence.programme import (
    UNCOUNTED,
    Brood,
    Dam,
    Founders,
    Group,
    Kept,
    Mated,
    Pairing,
    Sharing,
    Stock,
)
from genetics.loci import Sex
from genetics.traits import Appearance

WIDEST_BIN = 3_000
"""Compositions of one bin that are still taken as one variable."""


@dataclass(frozen=True, slots=True, eq=False)
class BroodPart:
    """One possibility for the parents of a brood.

    chosen: for each identity variable (its size, the state at which this part holds). scope: identity variables, then
    the variables of the cells. cells, looks: the law's rows for each cell. heaps: which cells share a row.
    """

    chosen: tuple[tuple[int, int], ...]
    scope: tuple[int, ...]
    law: Law
    cells: NDArray[np.intp]
    looks: NDArray[np.intp]
    heaps: Heaps

    def table(self, values: Table) -> Table:
        """Values of each cell, 1 wherever another possibility is meant; the cells' axes come first in `values`."""
        if not self.chosen:
            return values
        full = np.ones((*(size for size, _ in self.chosen), *values.shape))
        full[tuple(state for _, state in self.chosen)] = values
        return full


@dataclass(frozen=True, slots=True)
class Stands:
    """Where a group's genotypes stand: its variable, its members, and the variable that tells whether any carries."""

    variable: int
    members: int
    none_carries: int | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Net:
    """Variables and tables of a programme under one mode, without what was seen in the broods.

    sizes: states of each variable. domains: which of a genotype's or a composition's states they are. known: tables of priors, looks of founders, descent; bare: the same without looks.
    broods: the possibilities of each brood. groups: where each stands.
    """

    sizes: tuple[int, ...]
    domains: tuple[NDArray[np.intp], ...]
    known: tuple[Factor, ...]
    bare: tuple[Factor, ...]
    broods: Mapping[str, tuple[BroodPart, ...]]
    groups: Mapping[str, Stands]


def net_of(setting: Setting) -> Net:
    """The net. Raises EvidenceRefused (TOO_WIDE) for a bin with more compositions than `WIDEST_BIN`."""
    return _Builder(setting).built()


class _Builder:
    """Adds variables and tables one by one; used up by `built`."""

    def __init__(self, setting: Setting) -> None:
        self.setting = setting
        self.programme, self.mode = setting.programme, setting.mode
        self.domains: list[NDArray[np.intp]] = []
        self.known: list[Factor] = []
        self.bare: list[Factor] = []
        self.wholes: dict[str, int] = {}
        self.members: dict[tuple[str, str], int] = {}
        self.stored: dict[tuple[str, str], int] = {}
        self.parts: dict[str, tuple[BroodPart, ...]] = {}
        pairings = self.programme.pairings
        self.parents = {n for p in pairings for d in p.dams for n in (d.group, d.males)}
        self.parents |= {sire for p in pairings for sire in p.sires}

    def built(self) -> Net:
        if self.mode.cause is Cause.EITHER_LOCUS:
            self.both_loci()
        for brood in self.programme.broods:
            self.parts_of(brood)
        stands = {group.name: self.stand(group) for group in self.programme.groups}
        sizes = tuple(len(domain) for domain in self.domains)
        return Net(sizes, tuple(self.domains), tuple(self.known), tuple(self.bare), self.parts, stands)

    def new(self, size: int, domain: NDArray[np.intp] | None = None) -> int:
        """A variable of that many states, or of those among them that are possible."""
        self.domains.append(np.arange(size) if domain is None else domain)
        return len(self.domains) - 1

    def add(self, factor: Factor, bare: Factor | None = None) -> None:
        self.known.append(factor)
        self.bare.append(factor if bare is None else bare)

    # Groups

    def stand(self, group: Group) -> Stands:
        """Where a group stands; one that is nobody's parent needs no composition, a member and a yes or no do."""
        number = group.number or 1
        if group.number is None or (self.setting.fresh and number > 1):
            return Stands(self.member(group.name, "any"), 1)
        odd = isinstance(group, Founders) and group.odd
        if number == 1 or odd or group.name in self.parents:
            return Stands(self.whole(group.name), number)
        if isinstance(group, Founders):
            return self.bystanders(group)
        return Stands(self.animals(group, 1), 1, self.none_carry(group))

    def whole(self, name: str) -> int:
        """The variable of an animal, or of a bin's composition."""
        if name not in self.wholes:
            group = self.programme.group(name)
            self.wholes[name] = self.animals(group, group.number or 1)
        return self.wholes[name]

    def member(self, name: str, use: str) -> int:
        """The variable of the one animal of a group that this use is about."""
        group = self.programme.group(name)
        if group.number == 1:
            return self.whole(name)
        if (name, use) not in self.members:
            if group.number is None or self.setting.fresh:
                self.members[name, use] = self.animals(group, 1)
            else:
                whole, one = self.whole(name), self.new(self.mode.states)
                shares = compositions(group.number, self.mode.states)[self.domains[whole]] / group.number
                self.add(Factor((whole, one), shares[..., None]))
                self.members[name, use] = one
        return self.members[name, use]

    def animals(self, group: Group, members: int) -> int:
        if isinstance(group, Founders):
            return self.founders(group, members)
        return self.kept(self.programme.brood(group.brood), group.sex, group.look, members, group.name)

    def founders(self, group: Founders, members: int) -> int:
        prior, look = founder_tables(self.setting, group)
        if members > 1:
            variable = self.new(self.states(members, group.name))
            seen, bare = multinomial(prior * look, members), multinomial(prior, members)
        else:
            there = np.flatnonzero(prior.any(axis=1))
            # Where nothing is possible everything stays, so that the sum comes to 0.
            there = there if len(there) else np.arange(self.mode.states)
            variable = self.new(self.mode.states, there)
            seen, bare = (prior * look)[there], prior[there]
        self.add(Factor((variable,), seen), Factor((variable,), bare))
        return variable

    def both_loci(self) -> None:
        """Odd founders show at both loci between them: at one alone, nothing but the one-locus recessive is said.

        A chain over the odd groups remembers at which loci: 0 none, 1 the first, 2 the second, 3 both.
        """
        shown, before = loci_shown(self.mode), None
        chain: list[Factor] = []
        for group in odd_groups(self.programme):
            number, whole, after = group.number or 1, self.whole(group.name), self.new(4)
            held = shown
            if number > 1:
                members = compositions(number, self.mode.states) > 0
                held = np.bitwise_or.reduce(np.where(members, shown, 0), axis=1)
            held = held[self.domains[whole]]
            if before is None:
                chain.append(Factor((whole, after), np.eye(4)[held][..., None]))
            else:
                chain.append(Factor((whole, before, after), np.eye(4)[held[:, None] | np.arange(4)][..., None]))
            before = after
        if before is not None:
            both = np.zeros((4, len(chance := both_loci_chance(self.setting))))
            both[3] = 1 / np.where(chance > 0, chance, np.inf)
            chain.append(Factor((before,), both))
        # The last link first: what is possible is read in this order.
        for factor in reversed(chain):
            self.add(factor)

    def frequency(self, group: Founders) -> Table:
        figure = Figure.HOME if group.stock is Stock.HOME else Figure.AWAY
        return self.setting.figures.get(figure, np.zeros(1))

    def states(self, members: int, name: str) -> int:
        size = self.mode.states if members == 1 else number_of_compositions(members, self.mode.states)
        if members > 1 and size > WIDEST_BIN:
            raise EvidenceRefused(EvidenceFault.TOO_WIDE, name, str(size))
        return size

    # Descent

    def kept(self, brood: Brood, sex: Sex, look: Appearance | None, members: int, name: str) -> int:
        """Animals kept back from a brood: given its parents and their look, independent draws."""
        parts = self.parts_of(brood)
        chances = [self.kept_chances(part.law, SEXES[sex], look) for part in parts]
        if members > 1:
            variable = self.new(self.states(members, name))
            values = [multinomial(one, members) for one in chances]
        else:
            possible = np.zeros(self.mode.states, dtype=bool)
            for part, one in zip(parts, chances, strict=True):
                possible |= one[np.unique(part.cells)].any(axis=(0, 2))
            there = np.flatnonzero(possible) if possible.any() else np.arange(self.mode.states)
            variable = self.new(self.mode.states, there)
            values = [one[:, there] for one in chances]
        for part, value in zip(parts, values, strict=True):
            self.add(Factor((*part.scope, variable), part.table(value[part.cells])))
        return variable

    def kept_chances(self, law: Law, sex: int, look: Appearance | None) -> Table:
        """(row, genotype, node) P(genotype | this look) of a surviving young."""
        seen = self.setting.scoring.seen
        score = seen.sum(axis=1) if look is None else seen[:, self.setting.look(look)]
        chances = law.genotypes[:, sex, :, None] * score[self.mode.shows[sex]]
        total = chances.sum(axis=1, keepdims=True)
        return np.asarray(chances / np.where(total > 0, total, 1.0))

    def none_carry(self, group: Kept) -> int:
        """A yes or no: no member of a group that is nobody's parent has a copy."""
        clean, variable = np.array(self.mode.copies) == 0, self.new(2)
        for part in self.parts_of(self.programme.brood(group.brood)):
            share = self.kept_chances(part.law, SEXES[group.sex], group.look)[:, clean].sum(axis=1)
            values = np.stack([1 - share**group.number, share**group.number], axis=1)
            self.add(Factor((*part.scope, variable), part.table(values[part.cells])))
        return variable

    def bystanders(self, group: Founders) -> Stands:
        """Founders that are nobody's parents: all their looks are evidence, in the table of the yes or no."""
        prior, look = founder_tables(self.setting, group)
        clean, number = np.array(self.mode.copies) == 0, group.number or 1
        seen = prior * look
        total = seen.sum(axis=0)
        variable, none = self.new(self.mode.states), self.new(2)
        self.add(Factor((variable,), seen / np.where(total > 0, total, 1.0)), Factor((variable,), prior))
        tables = []
        for chances in (seen, prior):
            every, without = chances.sum(axis=0) ** number, chances[clean].sum(axis=0) ** number
            tables.append(Factor((none,), np.stack([every - without, without])))
        self.add(*tables)
        return Stands(variable, 1, none)

    # Broods

    def parts_of(self, brood: Brood) -> tuple[BroodPart, ...]:
        if brood.name not in self.parts:
            self.parts[brood.name] = self.possibilities(brood)
        return self.parts[brood.name]

    def possibilities(self, brood: Brood) -> tuple[BroodPart, ...]:
        pairing, dams = self.programme.pairing(brood.pairing), self.programme.mothers(brood)
        mothers = self.side(brood, [dam.group for dam in dams], pairing.mothers)
        fathers = self.side(brood, list(pairing.sires), pairing.fathers)
        stored = [self.stored_of(brood, pairing, dam) for dam in dams]
        first, second = self.identity(mothers), self.identity(fathers)
        parts = []
        for i, mother in enumerate(mothers):
            borne = [stored[i]] if len(mothers) > 1 else stored
            for j, father in enumerate(self.and_mean_sperm(dams[i], fathers) if self.setting.fresh else fathers):
                chosen, scope = [], []
                for identity, state, many in ((first, i, len(mothers)), (second, j, len(fathers))):
                    if identity is not None:
                        chosen.append((many, state))
                        scope.append(identity)
                parts.append(self.part(tuple(chosen), scope, mother, father, borne))
        return tuple(parts)

    def side(self, brood: Brood, names: list[str], sharing: Sharing) -> list[list[tuple[Kind, int | None]]]:
        """The possibilities of one side, each with its kinds and their variables; weights in the kinds.

        ONE: a possibility for each group. EACH: one possibility, of them all.
        """
        numbers = [self.programme.group(name).number for name in names]
        weights = [UNCOUNTED if number is None else number for number in numbers]
        shares = [weight / sum(weights) for weight in weights]
        if sharing is Sharing.ONE or self.setting.fresh or (len(names) == 1 and numbers[0] == 1):
            return [[(Kind(weight=s), self.member(n, brood.name))] for n, s in zip(names, shares, strict=True)]
        kinds: list[tuple[Kind, int | None]] = []
        for name, number, share in zip(names, numbers, shares, strict=True):
            group = self.programme.group(name)
            if number is None and isinstance(group, Founders):
                kinds.append((Kind(1, float(self.frequency(group)[0]), share), None))
            else:
                kinds.append((Kind(number or 1, None, share), self.whole(name)))
        return [kinds]

    def identity(self, side: list[list[tuple[Kind, int | None]]]) -> int | None:
        if len(side) == 1:
            return None
        variable = self.new(len(side))
        self.add(Factor((variable,), np.array([[one[0][0].weight] for one in side])))
        return variable

    def part(
        self,
        chosen: tuple[tuple[int, int], ...],
        scope: list[int],
        mother: list[tuple[Kind, int | None]],
        father: list[tuple[Kind, int | None]],
        stored: list[tuple[tuple[float, ...], list[int]]],
    ) -> BroodPart:
        alone = len(mother) == 1, len(father) == 1
        dams = tuple(_sole(kind) if alone[0] else kind for kind, _ in mother)
        sires = tuple(_sole(kind) if alone[1] else kind for kind, _ in father)
        law = law_of(self.mode, dams, sires, tuple(shares for shares, _ in stored))
        axes = [variable for _, variable in (*mother, *father) if variable is not None]
        for _, variables in stored:
            axes += variables
        axes, cells, looks = _without_twins(axes, law.cells, law.looks)
        if any(len(self.domains[variable]) < size for variable, size in zip(axes, looks.shape, strict=True)):
            there = np.ix_(*(self.domains[variable] for variable in axes))
            cells, looks = cells[there], looks[there]
        heaps = law.heaps if looks is law.looks else heaped(looks)
        return BroodPart(chosen, (*scope, *axes), law, cells, looks, heaps)

    def and_mean_sperm(
        self, dam: Dam, fathers: list[list[tuple[Kind, int | None]]]
    ) -> list[list[tuple[Kind, int | None]]]:
        """Under a threshold: stored sperm by its mean share, each young of it by a sire of its own out of the stock."""
        figure = _stored_figure(dam)
        share = 0.0 if figure is None else self.setting.grids[figure].mean
        if share == 0:
            return fathers
        stock = (Kind(1, 0.0, share), None)
        return [[(Kind(weight=1 - share), variable), stock] for ((_, variable),) in fathers]

    def stored_of(self, brood: Brood, pairing: Pairing, dam: Dam) -> tuple[tuple[float, ...], list[int]]:
        """The shares that a stored sire may have, and the variables of that share and of that sire."""
        figure = _stored_figure(dam)
        if figure is None or self.mode.cause is Cause.MATERNAL or self.setting.fresh:
            return (), []
        grid = self.setting.grids[figure]
        if max(grid.nodes) == 0:
            return (), []
        share = self.new(len(grid.nodes))
        self.add(Factor((share,), np.array(grid.weights)[:, None]))
        return grid.nodes, [share, self.stored_sire(pairing, dam)]

    def stored_sire(self, pairing: Pairing, dam: Dam) -> int:
        key = (pairing.name, dam.group)
        if key not in self.stored:
            group = self.programme.group(dam.group)
            if dam.males is not None:
                self.stored[key] = self.member(dam.males, f"stored by {dam.group} in {pairing.name}")
            elif isinstance(group, Founders):
                self.stored[key] = self.founders(Founders("", Sex.MALE, stock=group.stock), 1)
            else:
                self.stored[key] = self.kept(self.programme.brood(group.brood), Sex.MALE, None, 1, "")
        return self.stored[key]


def _stored_figure(dam: Dam) -> Figure | None:
    if dam.mated is Mated.ISOLATED:
        return None
    return Figure.STORED_HAD_MALES if dam.mated is Mated.HAD_MALES else Figure.STORED_UNKNOWN


def _sole(kind: Kind) -> Kind:
    return Kind(kind.members, kind.frequency)


def _without_twins(
    axes: list[int], cells: NDArray[np.intp], looks: NDArray[np.intp]
) -> tuple[list[int], NDArray[np.intp], NDArray[np.intp]]:
    """One variable on two axes (a stored sire that is the sire) becomes one axis, the diagonal of the two."""
    for place in range(len(axes) - 1, 0, -1):
        first = axes.index(axes[place])
        if first < place:
            cells, looks = (np.moveaxis(np.diagonal(t, 0, first, place), -1, first) for t in (cells, looks))
            axes = axes[:place] + axes[place + 1 :]
    return axes, cells, looks
