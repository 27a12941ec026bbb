"""What founders are before any young are seen: out of their stock, odd, said to carry, or looked at."""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from genetics.evidence.elimination import Table
from genetics.evidence.explanations import Cause, Figure
from genetics.evidence.grids import Grid
from genetics.evidence.modes import FEMALE, MALE, Mode
from genetics.evidence.programme import Founders, Programme, Stock
from genetics.evidence.scoring import Scoring
from genetics.loci import Sex
from genetics.traits import Appearance

SEXES = {Sex.FEMALE: FEMALE, Sex.MALE: MALE}


@dataclass(frozen=True, slots=True, eq=False)
class Setting:
    """What is weighed: mode, figures at each node, grids, scoring; `fresh`: bins as fresh sibs for each brood.

    silent: names of broods whose young are left out; animals kept back from them keep their looks.
    given: (genotype, node) of founders that are known otherwise than by their stock, by group; how they looked is in it.
    """

    programme: Programme
    mode: Mode
    figures: Mapping[Figure, Table]
    grids: Mapping[Figure, Grid]
    scoring: Scoring
    fresh: bool = False
    silent: frozenset[str] = frozenset()
    given: Mapping[str, Table] = field(default_factory=dict)

    def stock(self, stock: Stock) -> Table:
        """(sex, genotype, node) of a founder out of a stock."""
        figure = Figure.HOME if stock is Stock.HOME else Figure.AWAY
        return self.mode.stock(self.figures.get(figure, np.zeros(1)))

    def look(self, look: Appearance) -> int:
        """The class that an appearance counts as here."""
        return next(at for at, held in enumerate(self.scoring.looks) if look in held)


def founder_tables(setting: Setting, group: Founders) -> tuple[Table, Table]:
    """(genotype, node) prior of one of the group, and P(how it looked | genotype)."""
    sex, mode = SEXES[group.sex], setting.mode
    if group.name in setting.given:
        return setting.given[group.name], np.ones((mode.states, 1))
    prior, nothing = setting.stock(group.stock)[sex], np.ones((mode.states, 1))
    if group.odd:
        return _odd(setting, prior, sex, group.look), nothing
    if group.carries is not None and mode.hides:
        prior = mode.hidden(float(group.carries))[sex][:, None]
    if group.look is None:
        return prior, nothing
    return prior, setting.scoring.grown[mode.shows[sex], setting.look(group.look)]


def _odd(setting: Setting, prior: Table, sex: int, look: Appearance | None) -> Table:
    mode = setting.mode
    if mode.base is not None:
        chances = prior * setting.scoring.real[mode.shows[sex], -1]
    elif mode.classes == 3 and look is not None:
        chances = prior * (mode.shows[sex] == (1 if look is Appearance.PARTIAL else 2))[:, None]
    else:
        chances = prior * (mode.shows[sex] > 0)[:, None]
    if mode.cause is Cause.EITHER_LOCUS and sum(group.number or 1 for group in odd_groups(setting.programme)) == 1:
        # A lone one shows at both loci, or this would be the one-locus recessive.
        chances = chances * (loci_shown(mode) == 3)[:, None]
    total = chances.sum(axis=0)
    return np.asarray(chances / np.where(total > 0, total, 1.0))


def loci_shown(mode: Mode) -> NDArray[np.intp]:
    """(genotype,) at which of two loci it has two copies: 0 neither, 1 the first, 2 the second, 3 both."""
    pairs = np.array([[int(copies) == 2 for copies in name.split("/")] for name in mode.names])
    return np.asarray(pairs @ np.array([1, 2]))


def odd_groups(programme: Programme) -> tuple[Founders, ...]:
    """The odd founders."""
    return tuple(group for group in programme.groups if isinstance(group, Founders) and group.odd)


def both_loci_chance(setting: Setting) -> Table:
    """(node,) P(the odd founders show at both loci between them), each of them drawn by itself."""
    shown = loci_shown(setting.mode)
    alone = [np.ones(1), np.ones(1)]
    for group in odd_groups(setting.programme):
        prior, _ = founder_tables(setting, group)
        alone = [share * prior[shown == 1 + at].sum(axis=0) ** (group.number or 1) for at, share in enumerate(alone)]
    return np.asarray(1 - alone[0] - alone[1])
