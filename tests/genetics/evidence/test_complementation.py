"""Same locus or two: crosses between two lines, against sums in plain loops, a published case, and the traps of the test."""

import itertools
import math
from collections.abc import Iterator, Mapping
from dataclasses import replace
from fractions import Fraction
from functools import cache

import pytest

from genetics.errors import EvidenceRefused
from genetics.evidence.complementation import STORED, Compared, Line, Loci, Said, compared, crossed, joined
from genetics.evidence.explanations import Cause, Figure, default_grids
from genetics.evidence.grids import Grid, fixed, weighted
from genetics.evidence.joint_lines import log_evidence
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
from genetics.loci import Sex
from genetics.traits import Appearance

FIRST, SECOND = Said(frozenset({Line.FIRST})), Said(frozenset({Line.SECOND}))
SAID = {"dam": FIRST, "sire": SECOND}
PENETRANCE, PHENOCOPIES, SURVIVAL, MISREAD, SPOILT, HIDDEN = 0.8, 0.01, 0.7, 0.02, 0.03, 0.1
SHARES = ((0.0, 0.6), (0.5, 0.4))
FIGURES: Mapping[Figure, Grid] = {
    **default_grids(Cause.RECESSIVE),
    Figure.PENETRANCE: fixed(PENETRANCE),
    Figure.PHENOCOPIES: fixed(PHENOCOPIES),
    Figure.SURVIVAL: fixed(SURVIVAL),
    Figure.MISREAD: fixed(MISREAD),
    Figure.SPOILT: fixed(SPOILT),
    Figure.HOME: fixed(0.05),
    Figure.STORED_HAD_MALES: weighted(SHARES),
}
Genotype = tuple[int, ...]


def seen(wild: int, shown: int) -> tuple[Counted, ...]:
    return Counted(Appearance.WILD, wild), Counted(Appearance.FULL, shown)


def crossing(*broods: tuple[int, int], mated: Mated = Mated.ISOLATED) -> Programme:
    """Broods (wild-looking, showing) of one dam of the first line and one sire of the second."""
    return Programme(
        groups=tuple(
            Founders(name, sex, stock=Stock.HOME, odd=True, look=Appearance.FULL)
            for name, sex in (("dam", Sex.FEMALE), ("sire", Sex.MALE))
        ),
        pairings=(Pairing("p", (Dam("dam", mated),), ("sire",)),),
        broods=tuple(Brood(f"b{at}", "p", "B-1", seen(*brood)) for at, brood in enumerate(broods)),
    )


def with_second_generation(programme: Programme, look: Appearance | None, *broods: tuple[int, int]) -> Programme:
    """The same, and broods of one daughter and one son that were kept back from the first brood."""
    kept = tuple(Kept(name, sex, "b0", 1, look) for name, sex in (("daughter", Sex.FEMALE), ("son", Sex.MALE)))
    return replace(
        programme,
        groups=(*programme.groups, *kept),
        pairings=(*programme.pairings, Pairing("q", (Dam("daughter", Mated.ISOLATED),), ("son",))),
        broods=(*programme.broods, *(Brood(f"c{at}", "q", "B-2", seen(*one)) for at, one in enumerate(broods))),
    )


# The sum in plain loops: a genotype is its copies at each locus.


def gametes(genotype: Genotype) -> Iterator[tuple[Genotype, float]]:
    for alleles in itertools.product(*(((0, 1 - n / 2), (1, n / 2)) for n in genotype)):
        yield tuple(allele for allele, _ in alleles), math.prod(chance for _, chance in alleles)


@cache
def young(dam: Genotype, sire: Genotype) -> dict[Genotype, float]:
    found: dict[Genotype, float] = {}
    for (mine, p), (yours, q) in itertools.product(gametes(dam), gametes(sire)):
        genotype = tuple(a + b for a, b in zip(mine, yours, strict=True))
        found[genotype] = found.get(genotype, 0.0) + p * q
    return found


def weight(genotype: Genotype, look: Appearance) -> float:
    """Of living and being written down so."""
    shows = PENETRANCE if 2 in genotype else PHENOCOPIES
    if look is Appearance.FULL:
        return shows * SURVIVAL * (1 - MISREAD) + (1 - shows) * MISREAD
    return shows * SURVIVAL * MISREAD + (1 - shows) * (1 - MISREAD)


@cache
def of_pair(dam: Genotype, sire: Genotype, broods: tuple[tuple[int, int], ...]) -> float:
    return math.prod(of_brood(young(dam, sire), *brood) for brood in broods)


def of_brood(chances: Mapping[Genotype, float], wild: int, shown: int) -> float:
    totals = [sum(p * weight(g, look) for g, p in chances.items()) for look in (Appearance.FULL, Appearance.WILD)]
    share = totals[0] / sum(totals)
    anything = math.factorial(wild) * math.factorial(shown) / math.factorial(wild + shown + 1)
    return (1 - SPOILT) * share**shown * (1 - share) ** wild + SPOILT * anything


def founder(loci: Loci, line: int, known: tuple[float, float, float]) -> Iterator[tuple[Genotype, float]]:
    """What a founder of a line can be: known at its own locus, out of the stock at the other."""
    stock = ((1 - HIDDEN) ** 2, 2 * HIDDEN * (1 - HIDDEN), HIDDEN**2)
    for own, p in enumerate(known):
        if loci is Loci.SAME:
            yield (own,), p
        else:
            for other, q in enumerate(stock):
                yield ((own, other) if line == 0 else (other, own)), p * q


def mixed(first: Mapping[Genotype, float], second: Mapping[Genotype, float], share: float) -> dict[Genotype, float]:
    return {g: (1 - share) * first.get(g, 0.0) + share * second.get(g, 0.0) for g in {*first, *second}}


def by_loops(
    loci: Loci,
    broods: tuple[tuple[int, int], ...],
    mated: Mated,
    second: tuple[tuple[int, int], ...] = (),
    look: Appearance | None = None,
) -> float:
    shows = (0.0, 0.0, 1.0)
    shares = SHARES if mated is Mated.HAD_MALES else ((0.0, 1.0),)
    total = 0.0
    parents = itertools.product(founder(loci, 0, shows), founder(loci, 1, shows), founder(loci, 0, STORED))
    for (dam, p), (sire, q), (stored, r) in parents:
        own, theirs = young(dam, sire), young(dam, stored)
        each = [sum(s * of_brood(mixed(own, theirs, share), *brood) for share, s in shares) for brood in broods[1:]]
        first = 0.0
        for share, s in shares:
            chances = mixed(own, theirs, share)
            first += s * of_brood(chances, *broods[0]) * _second(chances, second, look)
        total += p * q * r * math.prod(each) * first
    return total


def _second(chances: Mapping[Genotype, float], broods: tuple[tuple[int, int], ...], look: Appearance | None) -> float:
    if not broods:
        return 1.0
    raw = {
        g: p * (weight(g, look) if look else sum(weight(g, one) for one in (Appearance.WILD, Appearance.FULL)))
        for g, p in chances.items()
    }
    kept = {g: w / sum(raw.values()) for g, w in raw.items()}
    return sum(p * q * of_pair(dam, sire, broods) for (dam, p), (sire, q) in itertools.product(kept.items(), repeat=2))


@pytest.mark.parametrize("loci", [Loci.SAME, Loci.TWO])
@pytest.mark.parametrize("mated", [Mated.ISOLATED, Mated.HAD_MALES])
@pytest.mark.parametrize("broods", [((5, 0),), ((0, 4), (3, 2)), ((1, 2), (2, 0), (4, 1))])
def test_the_sum_is_that_of_plain_loops(loci: Loci, mated: Mated, broods: tuple[tuple[int, int], ...]) -> None:
    log, error = log_evidence(loci, crossing(*broods, mated=mated), SAID, FIGURES, fixed(HIDDEN))
    assert error == 0.0
    assert log == pytest.approx(math.log(by_loops(loci, broods, mated)), abs=1e-10)


@pytest.mark.parametrize("loci", [Loci.SAME, Loci.TWO])
@pytest.mark.parametrize("look", [Appearance.WILD, None])
@pytest.mark.parametrize("mated", [Mated.ISOLATED, Mated.HAD_MALES])
def test_a_second_generation_is_summed_over_the_kept_young(loci: Loci, look: Appearance | None, mated: Mated) -> None:
    broods, second = ((6, 1),), ((4, 3), (2, 0))
    programme = with_second_generation(crossing(*broods, mated=mated), look, *second)
    log, _ = log_evidence(loci, programme, SAID, FIGURES, fixed(HIDDEN))
    assert log == pytest.approx(math.log(by_loops(loci, broods, mated, second, look)), abs=1e-10)


def test_two_albinisms_at_two_loci_give_wild_young_and_nine_to_seven() -> None:
    """Hemilepistus elongatus: two albinisms, each recessive at a locus of its own (isopods.md §3.4).

    Counts are those of the prediction derived there: all wild, then 9 wild : 7 albino. With every figure certain, the
    likelihood of the second generation is that of 9/16 and 7/16.
    """
    sure = {
        **FIGURES,
        Figure.PENETRANCE: fixed(1.0),
        Figure.PHENOCOPIES: fixed(1e-12),
        Figure.SURVIVAL: fixed(1.0),
        Figure.MISREAD: fixed(1e-12),
        Figure.SPOILT: fixed(0.0),
    }
    first = crossing((40, 0))
    both = with_second_generation(first, Appearance.WILD, (90, 70))
    logs = [log_evidence(Loci.TWO, one, SAID, sure, fixed(0.0))[0] for one in (first, both)]
    expected = 90 * math.log(Fraction(9, 16)) + 70 * math.log(Fraction(7, 16))
    assert logs[0] == pytest.approx(0.0, abs=1e-9)
    assert logs[1] - logs[0] == pytest.approx(expected, abs=1e-8)
    assert compared(both, SAID).of(Loci.TWO) > 0.99


def said(programme: Programme) -> Compared:
    return compared(programme, SAID)


def test_wild_looking_young_of_an_unmated_dam_speak_for_two_loci() -> None:
    few, many = said(crossing((4, 0))), said(crossing((12, 0)))
    assert 0.5 < few.of(Loci.TWO) < many.of(Loci.TWO)
    assert many.of(Loci.TWO) > 0.95


def test_showing_young_speak_for_one_locus() -> None:
    assert said(crossing((0, 12))).of(Loci.SAME) > 0.95


def test_stored_sperm_can_make_wild_looking_young() -> None:
    """However many there are, a dam that had males proves little: one whole brood may be of the stored sire."""
    assert said(crossing((40, 0), mated=Mated.HAD_MALES)).of(Loci.TWO) < 0.95


def test_stored_sperm_of_her_own_line_can_make_showing_young() -> None:
    assert said(crossing((0, 40), mated=Mated.HAD_MALES)).of(Loci.SAME) < 0.95


def test_showing_young_say_that_stored_wild_sperm_is_not_their_only_source() -> None:
    """Half of a brood shows: of one locus and some stored sperm that is likely, of two loci it asks for a hidden carrier."""
    both = said(crossing((10, 10), mated=Mated.HAD_MALES))
    assert both.of(Loci.SAME) > both.of(Loci.TWO)


def test_a_backcross_of_the_young_undoes_stored_sperm() -> None:
    """Wild young of one locus are hets by a stored wild sire: a quarter of theirs show, not seven in sixteen."""
    first = crossing((20, 0), mated=Mated.HAD_MALES)
    quarter = with_second_generation(first, Appearance.WILD, (60, 20))
    sixteenths = with_second_generation(first, Appearance.WILD, (45, 35))
    assert said(quarter).of(Loci.SAME) > said(sixteenths).of(Loci.SAME)
    assert said(sixteenths).of(Loci.TWO) > 0.95


def test_own_crosses_that_show_in_part_excuse_wild_looking_young() -> None:
    """Where the line itself shows in half of its young, half of a cross looking wild is no news."""
    programme = crossing((6, 6))
    mate = Founders("mate", Sex.MALE, stock=Stock.HOME, odd=True, look=Appearance.FULL)
    own = replace(
        programme,
        groups=(*programme.groups, mate),
        pairings=(*programme.pairings, Pairing("own", (Dam("dam", Mated.ISOLATED),), ("mate",))),
        broods=(*programme.broods, Brood("o", "own", "B-3", seen(20, 20))),
    )
    assert compared(own, {**SAID, "mate": FIRST}).of(Loci.SAME) > said(programme).of(Loci.SAME)


def test_swapping_the_lines_changes_nothing() -> None:
    programme = with_second_generation(crossing((7, 2), mated=Mated.UNKNOWN), None, (5, 3))
    there, back = compared(programme, SAID), compared(programme, {"dam": SECOND, "sire": FIRST})
    assert [(s.loci, pytest.approx(s.posterior, abs=1e-12)) for s in there.shares] == [
        (s.loci, s.posterior) for s in back.shares
    ]


def test_posteriors_sum_to_one_and_follow_the_priors() -> None:
    programme = crossing((3, 1))
    even = compared(programme, SAID)
    assert math.fsum(share.posterior for share in even.shares) == pytest.approx(1, abs=1e-12)
    doubtful = compared(programme, SAID, {Loci.SAME: 0.8, Loci.TWO: 0.18, Loci.NEITHER: 0.02})
    odds = [one.of(Loci.SAME) / one.of(Loci.TWO) for one in (even, doubtful)]
    assert odds[1] / odds[0] == pytest.approx(0.8 / 0.18, rel=1e-9)


def test_a_group_of_dams_that_is_too_wide_is_sampled_with_its_error() -> None:
    """Eight unmarked dams have more compositions than are summed over; the estimate is that of two, within its error."""

    def of_dams(number: int) -> Programme:
        one = crossing((9, 0))
        dams = replace(one.groups[0], number=number)
        return replace(one, groups=(dams, one.groups[1]), pairings=(replace(one.pairings[0], mothers=Sharing.EACH),))

    exact, no_error = log_evidence(Loci.TWO, of_dams(2), SAID)
    sampled, error = log_evidence(Loci.TWO, of_dams(8), SAID)
    assert no_error == 0.0 < error
    assert sampled == pytest.approx(exact, abs=4 * error + 0.05)


def test_which_pairings_cross_the_lines_and_which_broods_join_them() -> None:
    programme = with_second_generation(crossing((6, 2)), Appearance.FULL, (1, 3))
    assert crossed(programme, SAID) == {"p": (Line.FIRST, Line.SECOND)}
    assert joined(programme, SAID) == {"b0", "c0"}
    assert crossed(programme, {"dam": FIRST, "sire": FIRST}) == {
        "p": (Line.FIRST, Line.FIRST),
        "q": (Line.FIRST, Line.FIRST),
    }


def test_without_a_cross_of_both_lines_nothing_is_weighed() -> None:
    with pytest.raises(EvidenceRefused):
        compared(crossing((6, 2)), {"dam": FIRST})


def test_of_a_founder_something_is_said() -> None:
    with pytest.raises(EvidenceRefused):
        Said()
