"""What exact crosses cost, beside the plain way to the same answer, in one process and run: `python -m tests.bench.crosses`.

Every answer is held against the plain way's before anything is timed. Processor time in milliseconds.
"""

import itertools
import math
import os
import random
import string
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from statistics import median, quantiles
from typing import TypeVar

import numpy as np

from genetics import (
    Appearance,
    Dominance,
    Genome,
    Genotype,
    HowMany,
    LinkageGroup,
    Offspring,
    Parent,
    Role,
    SexSystem,
    Trait,
    mixed,
    offspring,
    parent,
    read_cross,
)
from genetics.exact_tests import exact_multinomial
from tests.support import enumeration
from tests.support.enumeration import Kinds, Looks, World

Traits = tuple[Trait, ...]
Shares = dict[Looks, Fraction]
Reply = tuple[Shares, dict[tuple[Looks, Trait], Fraction], list[HowMany]]
Answer = TypeVar("Answer")

RUNS, SECONDS = 500, 1.0
WILD, FULL = Appearance.WILD, Appearance.FULL
SURE = tuple(Fraction(percent, 100) for percent in (90, 95, 99))
SIX = (
    "66% het {}, 50% het {}, 3/4 het {}, 2/3 het {}, 1/4 het {}, 50% het {}",
    "66% het {}, 66% het {}, 50% het {}, 1/3 het {}, 1/2 het {}, 66% het {}",
)
TOLD = (
    ("66% het {}", "visual {}"),
    ("66% het {}, het {}", "visual {}, 50% het {}"),
    ("66% het {}, het {}, 50% het {}", "visual {}, 66% het {}, visual {}"),
)
GAPS = tuple(Fraction(1, part) for part in (10, 4, 20, 5, 8, 3, 25))
NINE = tuple(Fraction(part, 16) for part in (9, 3, 3, 1))
KNOWN_P = {(51, 27, 15, 7): (0.1806569778, 5e-11), (315, 108, 101, 32): (0.938222, 5e-7)}
"""Probability ordering: an independent library's, and all 28,956,759 tables of Mendel's (1866) seeds."""


@dataclass(frozen=True, slots=True)
class Cost:
    """Median and 99th percentile of so many runs."""

    runs: int
    middle: float
    p99: float


def cost(work: Callable[[Traits], object], books: Iterator[Traits], seconds: float = SECONDS) -> Cost:
    """What `work` costs with each of these books, up to RUNS of them or `seconds` of it."""
    times: list[float] = []
    while len(times) < 5 or (len(times) < RUNS and sum(times) < seconds * 1000):
        book = next(books)
        start = time.process_time()
        work(book)
        times.append((time.process_time() - start) * 1000)
    return Cost(len(times), median(times), quantiles(times, n=100, method="inclusive")[-1])


def timed(work: Callable[[], Answer]) -> tuple[Answer, float]:
    """The answer of the plain way, and what it cost: the median of up to nine runs, of one if that is long."""
    times: list[float] = []
    while not times or (len(times) < 9 and sum(times) < 300):
        start = time.process_time()
        answer = work()
        times.append((time.process_time() - start) * 1000)
    return answer, median(times)


def fresh(count: int, ending: str = "en") -> Iterator[Traits]:
    """Books of traits that nobody has heard of before, as long as nobody used the same ending."""
    for letters in itertools.product(string.ascii_lowercase, repeat=3):
        names = [f"{symbol}{''.join(letters)}{ending}" for symbol in "abcdefgh"[:count]]
        yield tuple(Trait(name, name[0], Dominance.RECESSIVE) for name in names)


def typed(sides: tuple[str, str], traits: Traits) -> str:
    return " x ".join(side.format(*(trait.name for trait in traits)) for side in sides)


def young_of(sides: tuple[str, str], traits: Traits) -> Offspring:
    cross = read_cross(typed(sides, traits), traits)
    return offspring(parent(cross.dam, traits), parent(cross.sire, traits), traits)


def kinds_of(sides: tuple[str, str], traits: Traits) -> tuple[Kinds, Kinds]:
    cross = read_cross(typed(sides, traits), traits)
    return enumeration.kinds_of(traits, cross.dam.stated), enumeration.kinds_of(traits, cross.sire.stated)


def shares(young: Offspring) -> Shares:
    return {one.appearance: one.share for one in young.classes()}


# ---- the plain ways


def pooled(traits: Traits, dams: Kinds, sires: Kinds) -> Shares:
    """The naive product: all eggs of all dams, all sperm of all sires, every union; Fractions throughout."""
    pools: list[dict[tuple[str, ...], Fraction]] = [{}, {}]
    for pool, kinds in zip(pools, (dams, sires), strict=True):
        for share, animal in kinds:
            for gamete in enumeration.gametes(animal):
                pool[gamete] = pool.get(gamete, Fraction(0)) + share / 2 ** len(traits)
    found: Shares = {}
    for (egg, of_egg), (sperm, of_sperm) in itertools.product(pools[0].items(), pools[1].items()):
        look = enumeration.looks(traits, tuple(zip(egg, sperm, strict=True)))
        found[look] = found.get(look, Fraction(0)) + of_egg * of_sperm
    return found


def crossed_over(traits: Traits) -> Shares:
    """Every start and every switch along eight loci in both parents, every union."""
    names = tuple(trait.name for trait in traits)
    world = World(SexSystem.UNKNOWN, ((names, GAPS, GAPS[::-1]),), ((), (), ()), (), ())
    strands = ((None, dict.fromkeys(names, "+")), (None, {trait.name: trait.symbol for trait in traits}))
    found: Shares = {}
    for share, _, body in enumeration.bodies_of(world, {"0": strands}, {"0": strands}):
        look = tuple([WILD if "+" in enumeration.alleles_at(body, name) else FULL for name in names])
        found[look] = found.get(look, Fraction(0)) + share
    return found


def enumerated_reply(sides: tuple[str, str], traits: Traits) -> Reply:
    """All that a reply shows: every young of every pair, and one more young at a time until there are enough."""
    dams, sires = kinds_of(sides, traits)
    found = enumeration.classes(traits, dams, sires)
    hidden = {
        (looks, trait): enumeration.carriers(traits, dams, sires, trait, dict(zip(traits, looks, strict=True)))
        for looks in found
        for trait, look in zip(traits, looks, strict=True)
        if look is WILD
    }
    chances: dict[Fraction, Fraction] = {}
    for share, dam, sire in enumeration.pairs(dams, sires):
        young = enumeration.young_of(dam, sire)
        hits = Fraction(sum(enumeration.fits(traits, one, dict.fromkeys(traits, FULL)) for one in young), len(young))
        chances[hits] = chances.get(hits, Fraction(0)) + share
    able = {chance: share for chance, share in chances.items() if chance}
    top = sum(able.values(), Fraction(0))
    mean = sum((chance * share for chance, share in able.items()), Fraction(0)) / top

    def first(goal: Fraction) -> int | None:
        reached = (n for n in itertools.count(1) if sum(s * (1 - (1 - c) ** n) for c, s in able.items()) >= goal)
        return next(reached) if goal < top or (goal == top and set(able) == {1}) else None

    # Among the parts that can give such young the goal is that share of the ceiling.
    asked = [HowMany(first(sure), top, first(sure * top), mean) for sure in SURE]
    return found, {key: share for key, share in hidden.items() if share is not None}, asked


def all_tables(counts: tuple[int, ...]) -> float:
    """Every table of so many young in four classes, in numpy: P(one no likelier than that observed)."""
    total = sum(counts)
    ways = np.array([math.lgamma(n + 1) for n in range(total + 1)])
    terms = [np.arange(total + 1) * math.log(share) - ways for share in NINE]
    here = sum(float(term[count]) for term, count in zip(terms, counts, strict=True)) + 1e-9
    found = 0.0
    for one in range(total + 1):
        two, three = np.ogrid[: total - one + 1, : total - one + 1]
        four = total - one - two - three
        logs = (terms[0][one] + terms[1][two] + terms[2][three] + terms[3][four])[four >= 0]
        found += float(np.exp(logs[logs <= here] + ways[total]).sum())
    return found


# ---- what is measured


def six_unlinked() -> None:
    """Six unlinked loci, each parent one of 64 kinds."""
    book = next(fresh(6))
    dams, sires = kinds_of(SIX, book)
    plain, floor = timed(lambda: pooled(book, dams, sires))
    name = f"naive product in Fractions, {len(dams)} × {len(sires)} kinds"
    assert shares(young_of(SIX, book)) == plain
    for at, trait in enumerate(book):
        own = {(seen,): sum(share for look, share in plain.items() if look[at] is seen) for seen in (WILD, FULL)}
        assert {one.appearance: one.share for one in young_of(SIX, book).of_trait(trait)} == own

    def group_by_group(traits: Traits) -> object:
        young = young_of(SIX, traits)
        return [young.of_trait(trait) for trait in traits]

    row("6 unlinked, group by group", group_by_group, 6, floor, name)
    row("6 unlinked, jointly", lambda traits: young_of(SIX, traits).classes(), 6, floor, name)


def eight_linked() -> None:
    """Eight loci on one chromosome, F2 in coupling, sexes unlike: 256 classes."""

    def asked(traits: Traits, exact: bool) -> Offspring:
        gaps = GAPS if exact else tuple(map(float, GAPS))
        genome = Genome((LinkageGroup(tuple(trait.locus for trait in traits), gaps, gaps[::-1]),))
        het = [(Fraction(1), [Genotype(("+",) * 8, tuple(trait.symbol for trait in traits))])]
        dam, sire = (Parent.weighted(traits, het, genome, role) for role in Role)
        return offspring(dam, sire, traits)

    book = next(fresh(8))
    plain, floor = timed(lambda: crossed_over(book))
    assert len(plain) == 256
    assert shares(asked(book, True)) == plain
    near = shares(asked(book, False))
    assert near.keys() == plain.keys()
    assert all(abs(near[look] - share) <= 1e-12 for look, share in plain.items())
    name = "every switch and union in Fractions"
    row("8 linked jointly, rational", lambda traits: asked(traits, True).classes(), 8, floor, name)
    row("8 linked jointly, float", lambda traits: asked(traits, False).classes(), 8, floor, name)


def mixed_bin() -> None:
    """200 animals in which who has more of one allele has fewer of another: both parents drawn from them."""
    dice = random.Random(7)
    doses = dice.choices([(2, 0, 1), (1, 0, 0), (0, 2, 1), (0, 1, 0), (1, 1, 2), (2, 0, 0), (0, 2, 2)], k=160)
    kinds = Counter([*doses, *(tuple(dice.choices((0, 1, 2), k=3)) for _ in range(40))])
    assert kinds.total() == 200

    def asked(traits: Traits) -> Offspring:
        bin_of_200 = mixed([(number, Parent.of(traits, [(Fraction(1), own)])) for own, number in kinds.items()])
        return offspring(bin_of_200, bin_of_200, traits)

    book = next(fresh(3))
    told = [(Fraction(number, 200), enumeration.animal_of(book, own)) for own, number in kinds.items()]
    plain, floor = timed(lambda: enumeration.classes(book, told, told))
    young = asked(book)
    assert shares(young) == plain
    apart = math.prod(young.share({trait: FULL}) for trait in book[:2])
    assert young.share(dict.fromkeys(book[:2], FULL)) < apart / 2, "the bin's traits should be associated"
    name = f"every young of every pair, {len(kinds)}² kinds"
    row("bin of 200, 3 traits", lambda traits: asked(traits).classes(), 3, floor, name, goal=5)


def reply(sides: tuple[str, str], traits: Traits) -> Reply:
    """What `/odds` and its button show, from the typed text."""
    young = young_of(sides, traits)
    found = shares(young)
    hidden = {
        (looks, trait): young.carriers(trait, dict(zip(traits, looks, strict=True)))
        for looks in found
        for trait, look in zip(traits, looks, strict=True)
        if look is WILD
    }
    return found, hidden, [young.how_many(1, sure, dict.fromkeys(traits, FULL)) for sure in SURE]


def replies() -> None:
    """One, two and three traits."""
    for count, sides in enumerate(TOLD, 1):
        book = next(fresh(count))
        plain, floor = timed(lambda sides=sides, book=book: enumerated_reply(sides, book))
        assert reply(sides, book) == plain
        # Possible hets never reach 90 %; a pair of hets does.
        sure = (", ".join(["het {}"] * count),) * 2
        assert reply(sure, book) == enumerated_reply(sure, book)
        name = "enumeration in Fractions"
        row(f"reply, traits: {count}", lambda traits, sides=sides: reply(sides, traits), count, floor, name, goal=5)


def exact_tests() -> None:
    """9:3:3:1 over all tables."""
    for counts, (known, within) in KNOWN_P.items():
        plain, floor = timed(lambda counts=counts: all_tables(counts))
        found = exact_multinomial(counts, NINE)
        assert abs(found.p - known) <= within
        assert abs(found.p - plain) <= 1e-10
        name = f"numpy over {found.tables:,} tables"
        row(f"9:3:3:1, n = {sum(counts)}", lambda _, counts=counts: exact_multinomial(counts, NINE), 0, floor, name)


def row(
    name: str, work: Callable[[Traits], object], count: int, floor: float, floor_name: str, goal: float = 0
) -> None:
    """Measure it with fresh traits and with the same again, and write a line."""
    books = fresh(count, "".join(filter(str.isalpha, name)))
    known = next(books)
    work(known)
    again = cost(work, itertools.repeat(known))
    new = cost(work, books) if count else again
    met = f"  p99 under {goal:g} ms: {'met' if new.p99 < goal else 'NOT MET'}" if goal else ""
    figures = "".join(f"{figure:>9.3f}" for figure in (new.middle, new.p99, again.middle, again.p99))
    _say(f"{name:<28}{new.runs:>5}{figures}{floor:>11.2f}{floor / new.middle:>8.1f}×  {floor_name}{met}\n")


def main() -> None:
    """The bench, in less than 40 seconds."""
    start = time.perf_counter()
    _say(f"{os.cpu_count()} processors, Python {sys.version.split()[0]}, numpy {np.__version__}; processor ms\n")
    heads = "".join(f"{head:>9}" for head in ("fresh", "p99", "again", "p99"))
    _say(f"{'':<28}{'runs':>5}{heads}{'floor':>11}{'÷ fresh':>9}  the floor\n")
    for part in (six_unlinked, eight_linked, mixed_bin, replies, exact_tests):
        part()
    _say(f"{time.perf_counter() - start:.0f} s\n")


def _say(text: str) -> None:
    sys.stdout.write(text)
    sys.stdout.flush()


if __name__ == "__main__":
    main()
