"""The unknown genotypes of a programme as variables, and what ties them together, for one mode.

One animal is one variable. A counted bin is one variable too, the composition of its members; each brood of one mother
out of it has a variable for that mother. Where a brood may have several single parents, an identity variable says which
it was, and each possibility has a table of its own that is 1 wherever another one is meant: no table spans them all.
"""

import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from genetics.errors import EvidenceFault, EvidenceRefused
from genetics.evidence.elimination import Table
from genetics.evidence.explanations import Cause, Figure
from genetics.evidence.founding import SEXES, Setting, both_loci_chance, founder_tables, loci_shown, odd_groups
from genetics.evidence.laws import (
    Kind,
    Law,
    compositions,
    law_of,
    multinomial,
    number_of_compositions,
    shape_of,
)
from genetics.evidence.links import BroodPart, Link, Net, Parent, Stands, sole, some_cells, stored_figure
from genetics.evidence.programme import (
    UNCOUNTED,
    Brood,
    Dam,
    Founders,
    Group,
    Kept,
    Pairing,
    Sharing,
    Stock,
)
from genetics.loci import Sex
from genetics.traits import Appearance

WIDEST_BIN = 3_000
"""Compositions of one bin that are still taken as one variable."""
WIDEST_LAW = 300_000
"""Cells of the table of one brood's possible parents."""


def net_of(setting: Setting) -> Net:
    """The net, none of its tables worked out but those of single animals.

    Raises EvidenceRefused (TOO_WIDE) for a bin with more compositions than `WIDEST_BIN`, and for a brood with more cells
    of possible parents than `WIDEST_LAW`.
    """
    return _Builder(setting).built()


class _Builder:
    """Adds variables and tables one by one; used up by `built`."""

    def __init__(self, setting: Setting) -> None:
        self.setting = setting
        self.programme, self.mode = setting.programme, setting.mode
        self.domains: list[NDArray[np.intp]] = []
        self.full: list[int] = []
        self.known: list[Link] = []
        self.wholes: dict[str, int] = {}
        self.members: dict[tuple[str, str], int] = {}
        self.stored: dict[tuple[str, str], int] = {}
        self.parts: dict[str, tuple[BroodPart, ...]] = {}
        pairings = self.programme.pairings
        self.parents = {n for p in pairings for d in p.dams for n in (d.group, d.males)}
        self.parents |= {sire for p in pairings for sire in p.sires}

    def built(self) -> Net:
        # Where it is given which locus each odd founder is of, nothing is left to be conditioned on.
        if self.mode.cause is Cause.EITHER_LOCUS and not self.setting.given:
            self.both_loci()
        for brood in self.programme.broods:
            self.parts_of(brood)
        stands = {group.name: self.stand(group) for group in self.programme.groups}
        sizes = tuple(len(domain) for domain in self.domains)
        return Net(sizes, tuple(self.domains), tuple(self.known), self.parts, stands)

    def new(self, size: int, domain: NDArray[np.intp] | None = None) -> int:
        """A variable of that many states, or of those among them that are possible."""
        self.domains.append(np.arange(size) if domain is None else domain)
        self.full.append(size)
        return len(self.domains) - 1

    def add(self, scope: tuple[int, ...], seen: Callable[[], Table], bare: Callable[[], Table] | None = None) -> None:
        self.known.append(Link(scope, seen, bare))

    def set(self, scope: tuple[int, ...], table: Table) -> None:
        """A table that is small."""
        self.add(scope, lambda: table)

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
                self.set((whole, one), shares[..., None])
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
            self.add((variable,), lambda: multinomial(prior * look, members), lambda: multinomial(prior, members))
            return variable
        there = np.flatnonzero(prior.any(axis=1))
        # Where nothing is possible everything stays, so that the sum comes to 0.
        there = there if len(there) else np.arange(self.mode.states)
        variable = self.new(self.mode.states, there)
        self.add((variable,), lambda: (prior * look)[there], lambda: prior[there])
        return variable

    def both_loci(self) -> None:
        """Odd founders show at both loci between them: at one alone, nothing but the one-locus recessive is said.

        A chain over the odd groups remembers at which loci: 0 none, 1 the first, 2 the second, 3 both.
        """
        shown, before = loci_shown(self.mode), None
        chain: list[tuple[tuple[int, ...], Table]] = []
        for group in odd_groups(self.programme):
            number, whole, after = group.number or 1, self.whole(group.name), self.new(4)
            held = shown
            if number > 1:
                members = compositions(number, self.mode.states) > 0
                held = np.bitwise_or.reduce(np.where(members, shown, 0), axis=1)
            held = held[self.domains[whole]]
            if before is None:
                chain.append(((whole, after), np.eye(4)[held][..., None]))
            else:
                chain.append(((whole, before, after), np.eye(4)[held[:, None] | np.arange(4)][..., None]))
            before = after
        if before is not None:
            both = np.zeros((4, len(chance := both_loci_chance(self.setting))))
            both[3] = 1 / np.where(chance > 0, chance, np.inf)
            chain.append(((before,), both))
        # The last link first: what is possible is read in this order.
        for scope, table in reversed(chain):
            self.set(scope, table)

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
        parts, at = self.parts_of(brood), SEXES[sex]
        there = np.arange(self.mode.states)
        if members > 1:
            variable = self.new(self.states(members, name))
        else:
            born = np.any([part.law.genotypes[np.unique(part.cells), at].any(axis=0) for part in parts], axis=0)
            possible = born & self.score(at, look).any(axis=1)
            there = np.flatnonzero(possible) if possible.any() else there
            variable = self.new(self.mode.states, there)
        for part in parts:

            def drawn(part: BroodPart = part) -> Table:
                one = self.kept_chances(part.law, at, look)
                values = multinomial(one, members) if members > 1 else one[:, there]
                return part.table(values.take(part.cells, axis=0))

            self.add((*part.scope, variable), drawn)
        return variable

    def kept_chances(self, law: Law, sex: int, look: Appearance | None) -> Table:
        """(row, genotype, node) P(genotype | this look) of a surviving young."""
        chances = law.genotypes[:, sex, :, None] * self.score(sex, look)
        total = chances.sum(axis=1, keepdims=True)
        return np.asarray(chances / np.where(total > 0, total, 1.0))

    def score(self, sex: int, look: Appearance | None) -> Table:
        """(genotype, node) weight of a young that lives and is scored so."""
        seen = self.setting.scoring.seen
        score = seen.sum(axis=1) if look is None else seen[:, self.setting.look(look)]
        return np.asarray(score[self.mode.shows[sex]])

    def none_carry(self, group: Kept) -> int:
        """A yes or no: no member of a group that is nobody's parent has a copy."""
        clean, variable = np.array(self.mode.copies) == 0, self.new(2)
        for part in self.parts_of(self.programme.brood(group.brood)):

            def told(part: BroodPart = part) -> Table:
                share = self.kept_chances(part.law, SEXES[group.sex], group.look)[:, clean].sum(axis=1)
                values = np.stack([1 - share**group.number, share**group.number], axis=1)
                return part.table(values.take(part.cells, axis=0))

            self.add((*part.scope, variable), told)
        return variable

    def bystanders(self, group: Founders) -> Stands:
        """Founders that are nobody's parents: all their looks are evidence, in the table of the yes or no."""
        prior, look = founder_tables(self.setting, group)
        clean, number = np.array(self.mode.copies) == 0, group.number or 1
        seen = prior * look
        total = seen.sum(axis=0)
        variable, none = self.new(self.mode.states), self.new(2)
        self.add((variable,), lambda: seen / np.where(total > 0, total, 1.0), lambda: prior)

        def yes_and_no(chances: Table) -> Table:
            every, without = chances.sum(axis=0) ** number, chances[clean].sum(axis=0) ** number
            return np.stack([every - without, without])

        self.add((none,), lambda: yes_and_no(seen), lambda: yes_and_no(prior))
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
                parts.append(self.part(pairing, tuple(chosen), scope, (mother, father), borne))
        return tuple(parts)

    def side(self, brood: Brood, names: list[str], sharing: Sharing) -> list[list[Parent]]:
        """The possibilities of one side, each with its kinds and their variables; weights in the kinds.

        ONE: a possibility for each group. EACH: one possibility, of them all.
        """
        numbers = [self.programme.group(name).number for name in names]
        weights = [UNCOUNTED if number is None else number for number in numbers]
        shares = [weight / sum(weights) for weight in weights]
        if sharing is Sharing.ONE or self.setting.fresh or (len(names) == 1 and numbers[0] == 1):
            return [[(Kind(weight=s), self.member(n, brood.name))] for n, s in zip(names, shares, strict=True)]
        kinds: list[Parent] = []
        for name, number, share in zip(names, numbers, shares, strict=True):
            group = self.programme.group(name)
            if number is None and isinstance(group, Founders):
                kinds.append((Kind(1, float(self.frequency(group)[0]), share), None))
            else:
                kinds.append((Kind(number or 1, None, share), self.whole(name)))
        return [kinds]

    def identity(self, side: list[list[Parent]]) -> int | None:
        if len(side) == 1:
            return None
        variable = self.new(len(side))
        self.set((variable,), np.array([[one[0][0].weight] for one in side]))
        return variable

    def part(
        self,
        pairing: Pairing,
        chosen: tuple[tuple[int, int], ...],
        scope: list[int],
        parents: tuple[list[Parent], list[Parent]],
        stored: list[tuple[tuple[float, ...], list[int]]],
    ) -> BroodPart:
        dams, sires = (tuple(sole(kind) if len(side) == 1 else kind for kind, _ in side) for side in parents)
        sperm = tuple(shares for shares, _ in stored)
        size = math.prod(shape_of(self.mode, dams, sires, sperm))
        if size > WIDEST_LAW:
            names = [dam.group for dam in pairing.dams] + list(pairing.sires)
            biggest = max(names, key=lambda name: self.programme.group(name).number or 0)
            raise EvidenceRefused(EvidenceFault.TOO_WIDE, biggest, str(size))
        law = law_of(self.mode, dams, sires, sperm)
        axes = [variable for side in parents for _, variable in side if variable is not None]
        for _, variables in stored:
            axes += variables
        # The same law with the same states is met again and again, under whatever numbers its variables have.
        own = tuple(axes.index(variable) for variable in axes)
        states = tuple(
            None if self.whole_domain(variable) else tuple(self.domains[variable].tolist()) for variable in axes
        )
        left, cells, looks, heaps = some_cells(law, own, states)
        return BroodPart(chosen, (*scope, *(axes[at] for at in left)), law, cells, looks, heaps)

    def whole_domain(self, variable: int) -> bool:
        """Whether a variable may be in every state."""
        return len(self.domains[variable]) == self.full[variable]

    def and_mean_sperm(self, dam: Dam, fathers: list[list[Parent]]) -> list[list[Parent]]:
        """Under a threshold: stored sperm by its mean share, each young of it by a sire of its own out of the stock."""
        figure = stored_figure(dam)
        share = 0.0 if figure is None else self.setting.grids[figure].mean
        if share == 0:
            return fathers
        stock = (Kind(1, 0.0, share), None)
        return [[(Kind(weight=1 - share), variable), stock] for ((_, variable),) in fathers]

    def stored_of(self, brood: Brood, pairing: Pairing, dam: Dam) -> tuple[tuple[float, ...], list[int]]:
        """The shares that a stored sire may have, and the variables of that share and of that sire."""
        figure = stored_figure(dam)
        if figure is None or self.mode.cause is Cause.MATERNAL or self.setting.fresh:
            return (), []
        grid = self.setting.grids[figure]
        if max(grid.nodes) == 0:
            return (), []
        share = self.new(len(grid.nodes))
        self.set((share,), np.array(grid.weights)[:, None])
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
