"""Inbreeding of many animals: the kinship of those who will breed again moves along the pedigree, and nothing else is kept.

numpy is needed, and scipy where breeders live long; the module is loaded when kinship of animals is asked for.

The tabular method (Emik & Terrill 1949; Henderson 1976) needs the kinship of two parents only, so the rows of animals that
have had their last young make room for new ones. Where too many breeders are alive at once, each animal's shares of its
ancestors are kept instead, and φ is their product weighted by what is new in each ancestor (Quaas 1976; Meuwissen & Luo
1992): such pedigrees are shallow, and the shares are few.
"""

from itertools import pairwise

import numpy as np

from genetics.errors import TooLarge
from genetics.kinship.nodes import Figures, Nodes, Places
from genetics.kinship.schedule import Schedule, as_given, by_generation

WIDEST = 10_000
"""The most breeders whose kinship is held as one matrix: 800 MB."""
SHARES = 60_000_000
"""The most shares of ancestors held at a time: 720 MB."""
NARROW = 1_000
"""Up to so many breeders at once the matrix is always the faster way (measured)."""
_DEARER = 8
"""How many figures of a matrix are worked out in the time of one share (measured)."""
_ROWS = 20_000


def parents_kinship(nodes: Nodes) -> Figures:
    """For each node the kinship of its parents, shape (n,); 0 where one is not known. See `selves` for what F follows.

    Raises TooLarge where too many animals breed at once *and* each has too many ancestors.
    """
    later = by_generation(nodes)
    steps = min(later, as_given(nodes), key=lambda each: each.cost) if nodes.ordered else later
    if steps.width <= NARROW:
        return by_matrix(nodes, steps)
    worth = min(SHARES, steps.width**2 // _DEARER) if steps.width <= WIDEST else SHARES
    found, done = by_shares(nodes, later, worth)
    if done == len(nodes.dam):
        return found
    if steps.width > WIDEST:
        raise TooLarge("breeders at once, with too many ancestors each,", steps.width, WIDEST, done, "animals")
    return by_matrix(nodes, steps)


def selves(fixed: Figures, parents: Figures) -> Figures:
    """Kinship with itself: as given, or (1 + φ of the parents)/2."""
    return np.where(np.isnan(fixed), (1 + parents) / 2, fixed)


def by_matrix(nodes: Nodes, schedule: Schedule) -> Figures:
    """`parents_kinship` with the kinship of living breeders as one matrix of `schedule.width` rows."""
    width = schedule.width
    held = np.zeros((width + 1, width + 1))
    # The last row is that of the unknown parent, and stays 0.
    slot = np.full(len(nodes.dam) + 1, width)
    free = np.arange(width)[::-1].copy()
    spare = width
    found = np.zeros(len(nodes.dam))
    leaving, bounds = _leaving(schedule)
    room = _Room(int(np.bincount(schedule.step[schedule.last >= 0], minlength=1).max()), width + 1)
    for now, (start, end) in enumerate(pairwise(schedule.starts.tolist())):
        here = schedule.order[start:end]
        found[here] = held[slot[nodes.dam[here]], slot[nodes.sire[here]]]
        gone = slot[leaving[bounds[now] : bounds[now + 1]]]
        breeding = here[schedule.last[here] >= 0]
        rows = room.means(held, slot[nodes.dam[breeding]], slot[nodes.sire[breeding]])
        among = room.means_across(rows, slot[nodes.dam[breeding]], slot[nodes.sire[breeding]])
        np.fill_diagonal(among, selves(nodes.fixed[breeding], found[breeding]))
        free[spare : spare + len(gone)] = gone
        spare += len(gone)
        if spare == width:
            # Nobody stays: the new ones stand side by side, which is faster than here and there.
            free[:] = np.arange(width)[::-1]
            taken = np.arange(len(breeding))
            held[: len(breeding), : len(breeding)] = among
        else:
            taken = np.sort(free[spare - len(breeding) : spare])
            held[taken] = rows
            held[:, taken] = rows.T
            held[taken[:, None], taken] = among
        spare -= len(breeding)
        slot[breeding] = taken
    return found


class _Room:
    """Memory for the rows of one step, taken once: fresh memory costs more than what is done in it."""

    def __init__(self, most: int, width: int) -> None:
        self._rows = [np.empty((most, width)) for _ in range(2)]
        self._among = [np.empty(most * most) for _ in range(2)]

    def means(self, held: Figures, dams: Places, sires: Places) -> Figures:
        """The mean of each dam's row and its mate's."""
        one, other = (rows[: len(dams)] for rows in self._rows)
        np.take(held, dams, axis=0, out=one, mode="clip")
        np.take(held, sires, axis=0, out=other, mode="clip")
        one += other
        one *= 0.5
        return one

    def means_across(self, rows: Figures, dams: Places, sires: Places) -> Figures:
        """The same of columns."""
        shape = (len(rows), len(dams))
        one, other = (flat[: len(rows) * len(dams)].reshape(shape) for flat in self._among)
        np.take(rows, dams, axis=1, out=one, mode="clip")
        np.take(rows, sires, axis=1, out=other, mode="clip")
        one += other
        one *= 0.5
        return one


def _leaving(schedule: Schedule) -> tuple[Places, Places]:
    """The breeders by the step in which they have their last young, and where each step's begin."""
    ever = np.flatnonzero(schedule.last >= 0)
    by_last = ever[np.argsort(schedule.last[ever], kind="stable")]
    return by_last, np.searchsorted(schedule.last[by_last], np.arange(len(schedule.starts)))


def by_shares(nodes: Nodes, schedule: Schedule, most: int = SHARES) -> tuple[Figures, int]:
    """`parents_kinship` from each breeder's shares of its ancestors, kept as a sparse matrix of the living breeders.

    Stops when more than `most` shares are held; the second figure says for how many nodes the first is right.
    """
    from scipy import sparse  # noqa: PLC0415 - only where breeders live long

    count = len(nodes.dam)
    found, new, own = np.zeros(count), np.zeros(count), np.zeros(count + 1)
    # The first row is that of the unknown parent, without ancestors.
    shares = sparse.csr_array((1, count))
    row = np.zeros(count + 1, dtype=np.int64)
    living = np.array([], dtype=np.int64)
    for now, (start, end) in enumerate(pairwise(schedule.starts.tolist())):
        added = []
        for first in range(start, end, _ROWS):
            here = schedule.order[first : min(first + _ROWS, end)]
            dams, sires = shares[row[nodes.dam[here]]], shares[row[nodes.sire[here]]]
            found[here] = dams.multiply(sires).dot(new)
            own[here] = selves(nodes.fixed[here], found[here])
            both = own[nodes.dam[here]] + own[nodes.sire[here]] + 2 * found[here]
            new[here] = own[here] - both / 4
            breeding = schedule.last[here] >= 0
            at = here[breeding]
            itself = sparse.csr_array((np.ones(len(at)), (np.arange(len(at)), at)), shape=(len(at), count))
            added.append((dams[breeding] + sires[breeding]) * 0.5 + itself)
        staying = living[schedule.last[living] > now]
        entering = schedule.order[start:end]
        entering = entering[schedule.last[entering] >= 0]
        shares = sparse.vstack([shares[np.append(0, row[staying])], *added], format="csr")
        living = np.concatenate([staying, entering])
        row[living] = np.arange(1, len(living) + 1)
        if shares.nnz > most:
            return found, end
    return found, count
