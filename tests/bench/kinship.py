"""What kinship of large pedigrees costs, beside the plain way to the same figures, in one process and run: `python -m tests.bench.kinship`.

Every answer is held against the plain way's before anything is timed: equal to 1e-9. Processor time in milliseconds, memory as
the most that was held at once beyond the pedigree.
"""

import os
import sys
import time
import tracemalloc
from collections.abc import Callable
from dataclasses import dataclass
from statistics import median
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from genetics import Pedigree, inbreeding, kinship_matrix, kinships
from genetics.kinship import fronts, schedule
from genetics.kinship.nodes import nodes_of

Figures = NDArray[np.float64]
Answer = TypeVar("Answer")
AGREE = 1e-9


@dataclass(frozen=True, slots=True)
class Stock:
    """A pedigree with a name, and how far back a parent can be."""

    name: str
    pedigree: Pedigree
    reach: int


def discrete(count: int, generations: int, dams: int, sires: int, seed: int = 1) -> Stock:
    """Generations of one size; so many dams and sires of each breed, and every young is of a random pair."""
    dice, size = np.random.default_rng(seed), count // generations
    parents = np.full((2, count), -1)
    for start in range(size, count, size):
        breeders = dice.permutation(size)[: dams + sires] + start - size
        parents[0, start : start + size] = dice.choice(breeders[:dams], size)
        parents[1, start : start + size] = dice.choice(breeders[dams:], size)
    name = f"{count:,} in {generations} generations, {dams} dams × {sires} sires"
    return Stock(name, Pedigree.of_places(*parents), 2 * size)


def overlapping(count: int, reach: int, seed: int = 1) -> Stock:
    """Each animal of a random pair among the `reach` before it; females have even places."""
    dice, place = np.random.default_rng(seed), np.arange(count)
    first = np.maximum(place - reach, 0)
    drawn = first + (dice.random((2, count)) * (place - first)).astype(int)
    dams, sires = drawn[0] // 2 * 2, drawn[1] // 2 * 2 + 1
    founders = (place < reach) | (sires >= place)
    dams, sires = np.where(founders, -1, dams), np.where(founders, -1, sires)
    return Stock(f"{count:,} overlapping, parents up to {reach:,} back", Pedigree.of_places(dams, sires), reach + 2)


# ---- the plain way


def a_row_at_a_time(stock: Stock) -> Figures:
    """F by the tabular method in numpy, one animal's row after the other, of the last `reach` animals."""
    width = stock.reach
    table, found = np.zeros((width + 1, width + 1)), np.zeros(len(stock.pedigree.names))
    for place, (dam, sire) in enumerate(zip(stock.pedigree.dams, stock.pedigree.sires, strict=True)):
        one, other = (parent % width if parent >= 0 else width for parent in (dam, sire))
        found[place] = table[one, other]
        row = (table[one] + table[other]) / 2
        at = place % width
        table[at] = row
        table[:, at] = row
        table[at, at] = (1 + found[place]) / 2
    return found


def whole_table(pedigree: Pedigree) -> Figures:
    """All kinships by the tabular method in numpy, one animal's row after the other."""
    count = len(pedigree.names)
    table = np.zeros((count + 1, count + 1))
    for place, (dam, sire) in enumerate(zip(pedigree.dams, pedigree.sires, strict=True)):
        row = (table[dam, :place] + table[sire, :place]) / 2
        table[place, :place] = row
        table[:place, place] = row
        table[place, place] = (1 + table[dam, sire]) / 2
    return table[:count, :count]


# ---- what is measured


def timed(work: Callable[[], Answer], seconds: float = 1.0) -> tuple[Answer, float]:
    """The answer, and the median of three to nine runs, for the first has to find memory; milliseconds of processor."""
    times: list[float] = []
    while True:
        start = time.process_time()
        answer = work()
        times.append((time.process_time() - start) * 1000)
        if len(times) >= 9 or (len(times) >= 3 and sum(times) >= seconds * 1000):
            return answer, median(times)
        # A second matrix beside the first would be measured in fresh memory, which costs more than the work.
        del answer


def memory(work: Callable[[], object]) -> float:
    """The most held at once, in megabytes."""
    tracemalloc.start()
    work()
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return most / 1e6


def row(name: str, work: Callable[[], Figures], plain: Callable[[], Figures], floor_name: str) -> None:
    """Hold the answers against each other, measure both, and write a line."""
    found, cost = timed(work)
    expected, floor = timed(plain)
    apart = float(np.abs(found - expected).max())
    assert apart <= AGREE, (name, apart)
    del found, expected
    _say(f"{name:<62}{cost:>9.1f}{memory(work):>9.0f}{floor:>11.1f}{floor / cost:>8.1f}×  {floor_name}\n")


def matrices() -> None:
    """All kinships of 1,000 and of 10,000."""
    for stock in (discrete(1_000, 10, 20, 10), discrete(10_000, 10, 500, 200), overlapping(10_000, 300)):
        row(
            f"matrix: {stock.name}",
            lambda stock=stock: kinship_matrix(stock.pedigree),
            lambda stock=stock: whole_table(stock.pedigree),
            "a row at a time in numpy",
        )


def fronts_of_breeders() -> None:
    """F alone, of 10,000 and of 100,000."""
    stocks = [discrete(10_000, 10, 250, 50), discrete(100_000, 100, 250, 50), discrete(100_000, 100, 500, 500)]
    for stock in (*stocks, overlapping(100_000, 200), overlapping(100_000, 1_000)):
        row(
            f"F: {stock.name}",
            lambda stock=stock: inbreeding(stock.pedigree),
            lambda stock=stock: a_row_at_a_time(stock),
            "a row at a time of the last animals, in numpy",
        )


def late_breeders() -> None:
    """Where everything breeds late a matrix of the living is too wide; shares of ancestors are few then."""
    stock = overlapping(20_000, 8_000)
    nodes, _ = nodes_of(stock.pedigree)
    plan = schedule.by_generation(nodes)
    row(
        f"F: {stock.name}",
        lambda: fronts.selves(nodes.fixed, fronts.parents_kinship(nodes)),
        lambda: fronts.selves(nodes.fixed, fronts.by_matrix(nodes, plan)),
        f"the matrix of {plan.width:,} living breeders",
    )
    for stock in (overlapping(100_000, 20_000), overlapping(100_000, 50_000)):
        work = lambda stock=stock: inbreeding(stock.pedigree)  # noqa: E731
        found, cost = timed(work)
        # The plain way to some of it: the most inbred animals, each with its ancestors alone.
        most = [place for place in np.argsort(found)[-20:].tolist() if found[place] > 0]
        assert most
        pairs = [(str(stock.pedigree.dams[place]), str(stock.pedigree.sires[place])) for place in most]
        assert np.abs(np.array(kinships(stock.pedigree, pairs)) - found[most]).max() <= AGREE
        _say(f"{f'F: {stock.name}':<62}{cost:>9.1f}{memory(work):>9.0f}\n")


def main() -> None:
    """The bench, in about two minutes."""
    start = time.perf_counter()
    _say(
        f"{os.cpu_count()} processors, Python {sys.version.split()[0]}, numpy {np.__version__}; processor ms, memory MB\n"
    )
    _say(f"{'':<62}{'ms':>9}{'MB':>9}{'floor ms':>11}{'floor/ms':>9}  the floor\n")
    for part in (matrices, fronts_of_breeders, late_breeders):
        part()
    _say(f"{time.perf_counter() - start:.0f} s\n")


def _say(text: str) -> None:
    sys.stdout.write(text)
    sys.stdout.flush()


if __name__ == "__main__":
    main()
