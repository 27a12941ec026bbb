"""Families that a pedigree has to draw well. Invented, all of one trait, ember."""

import itertools
from fractions import Fraction

from bot.pictures.pedigree import Mating, Member, Pedigree, Sex, Shows

SURE, HALF, QUARTER = Fraction(1), Fraction(1, 2), Fraction(1, 4)


def dam(label: str, **more: object) -> Member:
    return Member(label, label, Sex.FEMALE, **more)  # type: ignore[arg-type]


def sire(label: str, **more: object) -> Member:
    return Member(label, label, Sex.MALE, **more)  # type: ignore[arg-type]


def group(label: str, count: int | None = None, **more: object) -> Member:
    return Member(label, label, group=True, count=count, **more)  # type: ignore[arg-type]


def three_generations() -> Pedigree:
    """A visual grandmother, three carriers for sure, two grandchildren who may be."""
    return Pedigree(
        (
            dam("A", shows=Shows.YES),
            sire("B", dead=True),
            sire("C", carries=SURE),
            dam("D", carries=SURE),
            dam("E", carries=SURE),
            sire("G"),
            dam("H", carries=HALF),
            sire("I", carries=HALF, asked=True),
        ),
        (Mating(("A", "B"), ("C", "D", "E")), Mating(("D", "G"), ("H", "I"))),
        "ember",
    )


def backcross() -> Pedigree:
    """A son goes back to his mother."""
    return Pedigree(
        (
            dam("B-1", shows=Shows.YES),
            sire("B-2"),
            sire("B-3", carries=SURE),
            group("B-4", 23, shows=Shows.SOME, carries=SURE, asked=True),
        ),
        (Mating(("B-1", "B-2"), ("B-3",)), Mating(("B-1", "B-3"), ("B-4",))),
        "ember",
    )


def loop() -> Pedigree:
    """The young of two first cousins."""
    return Pedigree(
        (
            dam("A", shows=Shows.YES),
            sire("B"),
            sire("C", carries=SURE),
            dam("D", carries=SURE),
            dam("E"),
            sire("K"),
            sire("F", carries=HALF),
            dam("L", carries=HALF),
            Member("X", "X", carries=QUARTER, asked=True),
        ),
        (
            Mating(("A", "B"), ("C", "D")),
            Mating(("C", "E"), ("F",)),
            Mating(("D", "K"), ("L",)),
            Mating(("F", "L"), ("X",)),
        ),
        "ember",
    )


def forty_bins() -> Pedigree:
    """Forty bins in five rows; each row's bins come from one or two of the row above, some of them relatives."""
    rows = [range(1, 6), range(6, 14), range(14, 24), range(24, 33), range(33, 41)]
    looks = (Shows.NO, Shows.SOME, Shows.YES, Shows.NO)
    members = [group(f"B-{n}", 3 + n * 7 % 130, estimate=n % 5 == 0, shows=looks[n % 4]) for row in rows for n in row]
    matings = []
    for above, below in itertools.pairwise(rows):
        young = [f"B-{n}" for n in below]
        for place in range(0, len(young), 2):
            first, second = (f"B-{above[(place + step) % len(above)]}" for step in (0, 1))
            parents = (first,) if place % 6 == 4 else (first, second)
            matings.append(Mating(parents, tuple(young[place : place + 2])))
    return Pedigree(tuple(members), tuple(matings), "ember")


def thelytokous() -> Pedigree:
    """Females without males."""

    def daughters(label: str, count: int | None, **more: object) -> Member:
        return Member(label, label, Sex.FEMALE, Shows.YES, group=True, count=count, **more)  # type: ignore[arg-type]

    return Pedigree(
        (
            dam("T-1", shows=Shows.YES),
            daughters("T-2", 31),
            daughters("T-3", 12),
            daughters("T-4", 1200, estimate=True),
            daughters("T-5", None, asked=True),
        ),
        (Mating(("T-1",), ("T-2", "T-3")), Mating(("T-2",), ("T-4",)), Mating(("T-3",), ("T-5",))),
        "ember",
    )


def two_joined() -> Pedigree:
    """A daughter of one family and a son of another."""
    return Pedigree(
        (
            dam("A", shows=Shows.YES),
            sire("B"),
            dam("C", carries=SURE),
            sire("D", carries=SURE),
            dam("P"),
            sire("Q", shows=Shows.YES),
            dam("R", carries=SURE),
            sire("S", carries=SURE),
            group("B-20", 8, carries=Fraction(2, 3), asked=True),
            group("B-21", 3, shows=Shows.YES),
        ),
        (Mating(("A", "B"), ("C", "D")), Mating(("P", "Q"), ("R", "S")), Mating(("C", "S"), ("B-20", "B-21"))),
        "ember",
    )


def all_families() -> dict[str, Pedigree]:
    """The six, by what they are."""
    return {
        "three generations": three_generations(),
        "a backcross": backcross(),
        "a loop": loop(),
        "forty bins": forty_bins(),
        "a thelytokous line": thelytokous(),
        "two families joined": two_joined(),
    }
