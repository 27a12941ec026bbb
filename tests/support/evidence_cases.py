"""Programmes small enough to be enumerated, and the worlds they are weighed in."""

from collections.abc import Callable

from genetics.evidence.explanations import Cause, Explanation, Figure, figures_of
from genetics.evidence.grids import Grid, fixed, weighted
from genetics.evidence.programme import (
    Brood,
    Counted,
    Dam,
    Founders,
    Kept,
    Mated,
    Pairing,
    Programme,
    Sharing,
    Stock,
)
from genetics.genome import SexSystem
from genetics.loci import Sex
from genetics.traits import Appearance
from tests.support.evidence_reference import Genotype, World

F, M = Sex.FEMALE, Sex.MALE
FULL, WILD = Appearance.FULL, Appearance.WILD
ODD = Founders("odd", M, odd=True, stock=Stock.HOME)


def two(genotype: Genotype, _: Sex) -> bool:
    return (1, 1) in genotype


def one(genotype: Genotype, _: Sex) -> bool:
    return any(1 in locus for locus in genotype)


def daughters_only(genotype: Genotype, sex: Sex) -> bool:
    return sex is F and two(genotype, sex)


def on_the_z(genotype: Genotype, _: Sex) -> bool:
    return all(locus in ((1, 1), (1,)) for locus in genotype)


def both(genotype: Genotype, _: Sex) -> bool:
    return genotype == ((1, 1), (1, 1))


WORLDS = {
    Cause.RECESSIVE: World(two),
    Cause.DOMINANT: World(one, hides=False),
    Cause.LETHAL: World(one, two_copies=0.4, hides=False),
    Cause.SEX_LINKED: World(on_the_z, single=F),
    Cause.BOTH_LOCI: World(both, loci=2),
}


def row_of(cause: Cause, world: World) -> Explanation:
    grids: dict[Figure, Grid] = {
        Figure.PENETRANCE: fixed(world.penetrance),
        Figure.PHENOCOPIES: fixed(world.phenocopies),
        Figure.SURVIVAL: fixed(world.survival),
        Figure.MISREAD: fixed(world.misread),
        Figure.SPOILT: fixed(world.spoilt),
        Figure.HOME: fixed(world.home),
        Figure.AWAY: fixed(world.away),
        Figure.HOMOZYGOTE: fixed(world.two_copies),
        Figure.STORED_HAD_MALES: weighted(world.stored),
        Figure.STORED_UNKNOWN: weighted(world.unknown),
    }
    return Explanation(cause, 1.0, {figure: grids[figure] for figure in figures_of(cause)}, "as in the test")


def seen(*counts: tuple[Appearance, int, Sex | None]) -> tuple[Counted, ...]:
    return tuple(Counted(look, number, sex) for look, number, sex in counts)


def two_generations(**changed: object) -> Programme:
    parts: dict[str, object] = {
        "groups": (
            ODD,
            Founders("wild", F, look=WILD),
            Kept("daughter", F, "F1", look=WILD),
            Kept("son", M, "F1", look=WILD),
        ),
        "pairings": (
            Pairing("P", (Dam("wild", Mated.ISOLATED),), ("odd",)),
            Pairing("back", (Dam("daughter", Mated.ISOLATED),), ("odd",)),
            Pairing("sibs", (Dam("daughter", Mated.ISOLATED),), ("son",)),
        ),
        "broods": (
            Brood("F1", "P", "B-1", seen((WILD, 5, F), (WILD, 4, M), (FULL, 1, F))),
            Brood("BC", "back", "B-2", seen((WILD, 3, None), (FULL, 4, None))),
            Brood("F2", "sibs", "B-3", seen((WILD, 6, F), (WILD, 5, None), (FULL, 1, M))),
        ),
        "system": SexSystem.ZZ_ZW,
        "daughters": 0.7,
    }
    return Programme(**(parts | changed))  # type: ignore[arg-type]


def bins() -> Programme:
    """A bin founded from two sisters and one from two brothers, a stock nobody counted, and possible hets."""
    return Programme(
        groups=(
            ODD,
            Founders("wild", F, 2, stock=Stock.HOME),
            Founders("stock", M, None, stock=Stock.HOME),
            Founders("told", M, carries=0.66, look=WILD),
            Kept("sisters", F, "F1", 2, look=WILD),
            Kept("brothers", M, "F1", 2),
        ),
        pairings=(
            Pairing("P", (Dam("wild", Mated.ISOLATED),), ("odd", "told")),
            Pairing("bin", (Dam("sisters", Mated.ISOLATED),), ("brothers",), Sharing.ONE, Sharing.EACH),
            Pairing("pooled", (Dam("sisters", Mated.ISOLATED),), ("stock", "brothers"), Sharing.EACH, Sharing.EACH),
        ),
        broods=(
            Brood("F1", "P", "B-1", seen((WILD, 6, None), (FULL, 1, None))),
            Brood("F2", "bin", "B-2", seen((WILD, 5, None), (FULL, 2, None))),
            Brood("F2b", "bin", "B-2", seen((WILD, 4, None), (FULL, 3, None))),
            Brood("F2c", "pooled", "B-2", seen((WILD, 7, F), (FULL, 1, M))),
        ),
        system=SexSystem.ZZ_ZW,
    )


def sperm() -> Programme:
    """Dams that were not isolated: a founder, a daughter with a brother's sperm, and one with the odd male's own."""
    return Programme(
        groups=(
            ODD,
            Founders("wild", F, stock=Stock.HOME),
            Kept("daughter", F, "F1", look=WILD),
            Kept("visual", F, "BC", look=FULL),
        ),
        pairings=(
            Pairing("P", (Dam("wild", Mated.HAD_MALES),), ("odd",)),
            Pairing("back", (Dam("daughter", Mated.UNKNOWN),), ("odd",)),
            Pairing("own", (Dam("visual", Mated.HAD_MALES, "odd"), Dam("daughter")), ("odd",), Sharing.EACH),
        ),
        broods=(
            Brood("F1", "P", "B-1", seen((WILD, 5, None), (FULL, 1, None))),
            Brood("F1b", "P", "B-1", seen((WILD, 3, None), (FULL, 1, None))),
            Brood("BC", "back", "B-2", seen((WILD, 3, None), (FULL, 3, None))),
            Brood("BC2", "own", "B-2", seen((WILD, 2, None), (FULL, 5, None))),
        ),
        system=SexSystem.ZZ_ZW,
    )


def found_broods() -> Programme:
    """Nobody odd: two broods in the book because a visual appeared, and one planned; one of two mothers for one."""
    return Programme(
        groups=(
            Founders("one", F, stock=Stock.HOME),
            Founders("other", F, stock=Stock.HOME, look=WILD),
            Founders("sire", M, stock=Stock.HOME),
            Kept("kept", F, "found", look=FULL),
        ),
        pairings=(
            Pairing("P", (Dam("one", Mated.ISOLATED), Dam("other", Mated.UNKNOWN)), ("sire",)),
            Pairing("back", (Dam("kept", Mated.ISOLATED),), ("sire",)),
        ),
        broods=(
            Brood("found", "P", "B-1", seen((WILD, 4, F), (FULL, 1, F), (WILD, 3, None)), found=True),
            Brood("again", "P", "B-1", seen((WILD, 6, None), (FULL, 2, None)), found=True, mothers=("other",)),
            Brood("planned", "back", "B-2", seen((WILD, 3, M), (FULL, 3, None))),
        ),
        system=SexSystem.ZZ_ZW,
    )


PROGRAMMES: dict[str, Callable[[], Programme]] = {
    "two generations": two_generations,
    "bins": bins,
    "stored sperm": sperm,
    "found broods": found_broods,
}
