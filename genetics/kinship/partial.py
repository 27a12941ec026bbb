"""Kinship in parts, one for each founder.

numpy is needed; the module is loaded when partial inbreeding is asked for.
"""

import numpy as np

from genetics.kinship.nodes import Figures, Nodes, Places


def parts(nodes: Nodes, founders: Places) -> Figures:
    """The kinship of each node's parents in parts: one for each founder, and the last for what came before them; shape (n, founders + 1).

    Two alleles are copies of one of a founder's in two ways: drawn as the same copy, which is then that founder's with the
    chance of its share, or through the two parents.
    """
    count, kinds = len(nodes.dam), len(founders) + 1
    order = np.argsort(nodes.level, kind="stable")
    place = np.full(count + 1, count)
    place[order] = np.arange(count)
    place[-1] = count
    column = np.full(count, kinds - 1)
    column[founders] = np.arange(kinds - 1)
    # The last row and column stand for the unknown parent.
    table = np.zeros((count + 1, count + 1, kinds))
    share = np.zeros((count + 1, kinds))
    share[-1, -1] = 1
    found = np.zeros((count, kinds))
    for at, node in enumerate(order):
        dam, sire = place[nodes.dam[node]], place[nodes.sire[node]]
        found[node] = table[dam, sire]
        rows = (table[dam, :at] + table[sire, :at]) / 2
        table[at, :at] = rows
        table[:at, at] = rows
        if np.isnan(nodes.fixed[node]):
            share[at] = (share[dam] + share[sire]) / 2
            table[at, at] = (share[at] + table[dam, sire]) / 2
        else:
            share[at, column[node]] = 1
            table[at, at, column[node]] = nodes.fixed[node]
    return found
