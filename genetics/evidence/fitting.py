"""Does the leader fit? Each brood against what all other broods, under the leader, say of it.

A posterior predictive check with the brood itself left out, so that it cannot vouch for itself: the chance of an
outcome (young that show, among daughters, sons and unsexed ones apart) no likelier than the one seen. Several strata
are taken together by Bonferroni's bound, which errs on the side of a good fit.
"""

from collections.abc import Iterator

import numpy as np

from genetics.evidence.elimination import Table
from genetics.evidence.programme import Brood, Programme
from genetics.evidence.rates import predicted
from genetics.evidence.rows import RowWeighed
from genetics.evidence.telling import counts_of, shares_of

TINY = 1e-13
"""Weights below this of the whole are left out of a mixture."""


def brood_fits(programme: Programme, leader: RowWeighed) -> dict[str, float]:
    """P(outcome no likelier | the leader, all other broods) of each brood with scored young."""
    if leader.rates is not None:
        by_name = {brood.name: brood for brood in programme.broods}
        return {name: _tail(table, by_name[name].shown) for name, table in predicted(leader.row, programme).items()}
    return {brood.name: _fit(programme, brood, leader) for brood in programme.broods if brood.scored}


def _tail(chances: Table, seen: int) -> float:
    # Outcomes that are equally likely but for rounding count as no likelier.
    return float(min(1.0, chances[chances <= chances[seen] * (1 + 1e-9)].sum()))


def _fit(programme: Programme, brood: Brood, leader: RowWeighed) -> float:
    scoring = leader.pieces[0].setting.scoring
    counts = counts_of(brood, scoring)
    told = counts.sum(axis=1)
    weights, shows, reals = (np.concatenate(tables) for tables in zip(*_mixture(programme, brood, leader), strict=True))
    fits = []
    for stratum in np.flatnonzero(told):
        n, seen = int(told[stratum]), int(counts[stratum, 1:].sum())
        chances = _binomials(n, shows[:, stratum]) @ weights
        if brood.found:
            others = np.delete(np.arange(3), stratum)
            unseen = np.prod((1 - reals[:, others]) ** told[others], axis=1)
            chances = chances - _unreal(n, shows[:, stratum], reals[:, stratum]) @ (weights * unseen)
        chances = np.maximum(chances, 0.0)
        total = chances.sum()
        # By all the other broods no brood could have been found at all: nothing fits worse.
        fits.append(_tail(chances / total, seen) if total > 0 else 0.0)
    return min(1.0, len(fits) * min(fits))


def _mixture(programme: Programme, brood: Brood, leader: RowWeighed) -> Iterator[tuple[Table, Table, Table]]:
    """(cell,) weight; (cell, stratum) P(shows), and P(shows and is real), of all rows and nodes that matter."""
    for piece in leader.pieces:
        nodes = np.exp(piece.log_weights + piece.weighed.dropped[brood.name] - leader.dropped[brood.name])
        for law, cavity in piece.weighed.cavity(brood.name):
            weights = cavity * nodes
            keep = weights > TINY
            shares = shares_of(law, piece.setting.scoring, float(programme.daughters))
            shows = np.moveaxis(1 - np.exp(shares.log[:, :, 0]), 1, 2)
            yield weights[keep], shows[keep], np.moveaxis(shares.real, 1, 2)[keep]


def _binomials(n: int, chances: Table) -> Table:
    """(k, cell) binomial probabilities."""
    return _powers(n, chances, 1 - chances)


def _unreal(n: int, shows: Table, real: Table) -> Table:
    """(k, cell) P(k show and none of them is real)."""
    return _powers(n, np.maximum(shows - real, 0.0), 1 - shows)


def _powers(n: int, chances: Table, others: Table) -> Table:
    from scipy.special import gammaln  # noqa: PLC0415 - loaded with the weighing only

    k = np.arange(n + 1)
    ways = gammaln(n + 1) - gammaln(k + 1) - gammaln(n - k + 1)
    with np.errstate(divide="ignore"):
        first, second = np.maximum(np.log(chances), -1e6), np.maximum(np.log(others), -1e6)
    return np.asarray(np.exp(ways[:, None] + np.outer(k, first) + np.outer(n - k, second)))
