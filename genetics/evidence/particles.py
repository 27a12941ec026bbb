"""Particles: many whole worlds of animals at once, each with its figures, for programmes too wide to be summed.

A particle is one node of the grid and one genotype for every animal. Founders are drawn from their stock, young from
their parents; every brood weights the particles by how well they foretell it, and the particles are drawn anew in
proportion (sequential Monte Carlo; Gordon, Salmond & Smith 1993, from memory).
"""

import numpy as np
from numpy.typing import NDArray

from genetics.evidence.elimination import Table
from genetics.evidence.explanations import Cause, Figure
from genetics.evidence.founding import SEXES, Setting, both_loci_chance, founder_tables, loci_shown, odd_groups
from genetics.evidence.modes import FEMALE, MALE
from genetics.evidence.programme import UNCOUNTED, Brood, Dam, Founders, Group, Kept, Mated, Pairing, Sharing, Stock
from genetics.loci import Sex

Whole = NDArray[np.intp]
"""(particle,) whole numbers: genotypes, or places in a list."""


COMMON = 0.3
"""Frequency of the allele in the stock that ancestors of found broods are drawn from, half of them."""


class Particles:
    """The worlds as they are after some of the records have been told. Mutable, and used up by its runs.

    `runs` runs of `size` particles each lie one after the other; what is drawn for one does not depend on another.
    """

    def __init__(self, setting: Setting, log_weights: Table, size: int, runs: int, rng: np.random.Generator) -> None:
        self.setting, self.mode, self.rng, self.number = setting, setting.mode, rng, runs * size
        states = setting.mode.states
        # (dam and sire, sex and young): one product of two tables does for all particles.
        self.moves = setting.mode.moves.transpose(1, 2, 0, 3).reshape(states * states, 2 * states)
        chances = np.exp(log_weights - log_weights.max())
        self.nodes: Whole = rng.choice(len(chances), size=self.number, p=chances / chances.sum())
        ancestors = setting.programme.of_found().groups
        self.stem = {group.name for group in ancestors if isinstance(group, Founders) and not group.odd}
        self.animals: dict[str, Whole] = {}
        self.stored: dict[tuple[str, str], Whole] = {}
        self.young: dict[str, Table] = {}
        self.told: dict[str, Table] = {}
        self.spoken: Table = np.zeros(self.number)
        self.totals: Table = np.zeros(runs)

    def weights(self) -> Table:
        """(run, particle) weights since they were last drawn anew; they sum to 1 in each run."""
        spoken = self.spoken.reshape(len(self.totals), -1)
        weights = np.exp(spoken - spoken.max(axis=1, keepdims=True))
        return np.asarray(weights / weights.sum(axis=1, keepdims=True))

    def take(self, chosen: Whole) -> None:
        """Keep these particles, some of them several times."""
        self.nodes = self.nodes[chosen]
        self.spoken = self.spoken[chosen]
        self.animals = {name: held[:, chosen] for name, held in self.animals.items()}
        self.stored = {key: held[chosen] for key, held in self.stored.items()}
        self.young = {name: held[chosen] for name, held in self.young.items()}
        self.told = {name: held[chosen] for name, held in self.told.items()}

    def draw(self, chances: Table) -> Whole:
        """One draw for each particle from its row (particle, state) of weights."""
        heaped = np.cumsum(chances, axis=1)
        at = self.rng.random(self.number) * heaped[:, -1]
        return np.asarray(np.minimum((heaped <= at[:, None]).sum(axis=1), chances.shape[1] - 1))

    def at_node(self, table: Table) -> Table:
        """(particle, …) of a table whose last axis is the nodes, or has length 1."""
        if table.shape[-1] == 1:
            return np.broadcast_to(np.moveaxis(table, -1, 0), (self.number, *table.shape[:-1]))
        return np.moveaxis(table[..., self.nodes], -1, 0)

    # Groups

    def join(self, group: Group) -> None:
        """A counted group: founders out of their stock, kept ones out of their brood."""
        number = group.number or 1
        if isinstance(group, Kept):
            chances = self.kept_chances(group.brood, group.sex, group)
        else:
            prior, look = founder_tables(self.setting, group)
            chances = self.at_node(prior) * self.at_node(look)
            if group.name in self.stem:
                self.animals[group.name] = np.stack([self.likelier(group, chances) for _ in range(number)])
                return
            total = chances.sum(axis=1)
            with np.errstate(divide="ignore"):
                self.spoken = self.spoken + number * np.log(total)
            chances = np.where(total[:, None] > 0, chances, 1.0)
        self.animals[group.name] = np.stack([self.draw(chances) for _ in range(number)])

    def likelier(self, group: Founders, chances: Table) -> Whole:
        """One ancestor of a found brood, half of them drawn as if the allele were common; their weights put it right."""
        common = self.mode.stock(np.array([COMMON]))[SEXES[group.sex], :, 0] * (chances > 0)
        total, ours = chances.sum(axis=1, keepdims=True), common.sum(axis=1, keepdims=True)
        drawn = chances / np.where(total > 0, total, 1.0) + common / np.where(ours > 0, ours, 1.0)
        drawn = np.where(drawn.sum(axis=1, keepdims=True) > 0, drawn, 1.0)
        drawn = drawn / drawn.sum(axis=1, keepdims=True)
        one = self.draw(drawn)
        with np.errstate(divide="ignore"):
            at = np.arange(self.number), one
            self.spoken = self.spoken + np.log(chances[at]) - np.log(drawn[at])
        return one

    def show_both_loci(self) -> None:
        """Weigh the odd founders as they are said to be under "two loci, either suffices"."""
        odd = odd_groups(self.setting.programme)
        if not odd:
            return
        shown = np.concatenate([loci_shown(self.mode)[self.animals[group.name]] for group in odd])
        both = np.bitwise_or.reduce(shown, axis=0) == 3
        chance = both_loci_chance(self.setting)
        with np.errstate(divide="ignore"):
            self.spoken = self.spoken + np.where(both, 0.0, -np.inf) - np.log(self.at_node(chance))

    def kept_chances(self, brood: str, sex: Sex, group: Kept | None) -> Table:
        """(particle, genotype) weights of a surviving young of a brood, of the group's look."""
        at, seen = SEXES[sex], self.at_node(self.setting.scoring.seen)
        look = None if group is None else group.look
        score = seen.sum(axis=2) if look is None else seen[:, :, self.setting.look(look)]
        chances = self.young[brood][:, at] * score[:, self.mode.shows[at]]
        return np.where(chances.sum(axis=1, keepdims=True) > 0, chances, 1.0)

    def stock(self, stock: Stock, sex: int) -> Table:
        """(particle, genotype) of a founder out of a stock."""
        return self.at_node(self.setting.stock(stock)[sex])

    # Broods

    def breed(self, brood: Brood) -> None:
        """Who the parents of a brood are, and what its young are by sex and genotype."""
        programme = self.setting.programme
        pairing, dams = programme.pairing(brood.pairing), programme.mothers(brood)
        mothers = self.side([dam.group for dam in dams], pairing.mothers, FEMALE)
        sires = np.sum(self.side(list(pairing.sires), pairing.fathers, MALE), axis=0)
        total = np.zeros((self.number, 2, self.mode.states))
        for dam, mine in zip(dams, mothers, strict=True):
            borne = self.crossed(mine, sires)
            share, sire = self.sperm(pairing, dam)
            if sire is not None:
                stored = self.crossed(mine, np.eye(self.mode.states)[sire])
                borne = (1 - share)[:, None, None] * borne + share[:, None, None] * stored
            total = total + borne
        self.young[brood.name] = total * self.mode.lives

    def crossed(self, dams: Table, sires: Table) -> Table:
        """(particle, sex, genotype) of young, from weights (particle, genotype) of dams and sires."""
        couples = (dams[:, :, None] * sires[:, None, :]).reshape(self.number, -1)
        return np.asarray((couples @ self.moves).reshape(self.number, 2, -1))

    def side(self, names: list[str], sharing: Sharing, sex: int) -> list[Table]:
        """For each group (particle, genotype): the weight of its members among this brood's parents."""
        programme, states = self.setting.programme, self.mode.states
        groups = [programme.group(name) for name in names]
        sizes = np.array([UNCOUNTED if g.number is None else g.number for g in groups], dtype=float)
        picked = self.rng.choice(len(groups), size=self.number, p=sizes / sizes.sum())
        tables = []
        for place, group in enumerate(groups):
            if group.number is None:
                held = self.stock(group.stock, sex) if isinstance(group, Founders) else np.ones((self.number, states))
            else:
                held = np.eye(states)[self.animals[group.name]].mean(axis=0)
            if sharing is Sharing.ONE:
                one = np.eye(states)[self.draw(held)]
                tables.append(one * (picked == place)[:, None])
            else:
                tables.append(held * (sizes[place] / sizes.sum()))
        return tables

    def sperm(self, pairing: Pairing, dam: Dam) -> tuple[Table, Whole | None]:
        """The share of a brood that a stored sire has, and that sire."""
        if dam.mated is Mated.ISOLATED or self.mode.cause is Cause.MATERNAL:
            return np.zeros(self.number), None
        had = dam.mated is Mated.HAD_MALES
        grid = self.setting.grids[Figure.STORED_HAD_MALES if had else Figure.STORED_UNKNOWN]
        share = self.rng.choice(np.array(grid.nodes), size=self.number, p=np.array(grid.weights))
        key = (pairing.name, dam.group)
        if key not in self.stored:
            self.stored[key] = self.draw(self.sperm_chances(dam))
        return share, self.stored[key]

    def sperm_chances(self, dam: Dam) -> Table:
        """(particle, genotype) of a sire whose sperm a dam may have stored."""
        group = self.setting.programme.group(dam.group if dam.males is None else dam.males)
        if dam.males is not None and group.number is not None:
            return np.asarray(np.eye(self.mode.states)[self.animals[group.name]].mean(axis=0))
        if isinstance(group, Founders):
            return self.stock(group.stock, MALE)
        return self.kept_chances(group.brood, Sex.MALE, None)
