"""The sums over unknown genotypes, against plain enumeration of every animal."""

import math

import pytest

from genetics.evidence.explanations import Cause
from genetics.evidence.programme import Brood, Dam, Founders, Kept, Mated, Pairing, Programme
from genetics.evidence.rows import row_weighed
from genetics.evidence.weighing import weigh
from tests.support import evidence_reference
from tests.support.evidence_cases import FULL, PROGRAMMES, WILD, WORLDS, F, M, daughters_only, row_of, seen
from tests.support.evidence_reference import World, log_evidence, posteriors


def mode_log(cause: Cause, programme: Programme, world: World) -> float:
    """log evidence of the one mode that the world is; modes of a cause come in the order of its module."""
    weighed = row_weighed(row_of(cause, world), programme)
    piece = weighed.pieces[0]
    assert len(piece.weighed.log_evidence) == 1
    return float(piece.weighed.log_evidence[0])


# Bins at two loci have too many members to be enumerated here; their sums are the same code.
CASES = [(c, p) for c in WORLDS for p in PROGRAMMES if not (c is Cause.BOTH_LOCI and p != "two generations")]


@pytest.mark.parametrize(("cause", "name"), CASES, ids=lambda value: getattr(value, "name", value))
def test_the_evidence_is_that_of_plain_enumeration(cause: Cause, name: str) -> None:
    programme, world = PROGRAMMES[name](), WORLDS[cause]
    assert mode_log(cause, programme, world) == pytest.approx(log_evidence(programme, world), abs=1e-9)


def test_a_trait_of_one_sex_against_enumeration() -> None:
    """The first variant: recessive, shown in daughters only; an odd male rules it out, so the odd one is a female."""
    programme = Programme(
        groups=(Founders("odd", F, odd=True), Founders("wild", M), Kept("d", F, "F1"), Kept("s", M, "F1", look=WILD)),
        pairings=(
            Pairing("P", (Dam("odd", Mated.ISOLATED),), ("wild",)),
            Pairing("sibs", (Dam("d", Mated.ISOLATED),), ("s",)),
        ),
        broods=(
            Brood("F1", "P", "B-1", seen((WILD, 5, None))),
            Brood("F2", "sibs", "B-2", seen((WILD, 6, F), (FULL, 2, F), (WILD, 7, M))),
        ),
    )
    world = World(daughters_only)
    assert mode_log(Cause.SEX_LIMITED, programme, world) == pytest.approx(log_evidence(programme, world), abs=1e-9)


@pytest.mark.parametrize("name", PROGRAMMES)
def test_what_animals_and_bins_carry_is_that_of_plain_enumeration(name: str) -> None:
    programme, world = PROGRAMMES[name](), WORLDS[Cause.RECESSIVE]
    findings = weigh(programme, (row_of(Cause.RECESSIVE, world),))
    carries = {one.group: one.carries for one in findings.standings if programme.group(one.group).number is not None}
    assert carries == pytest.approx(posteriors(programme, world), abs=1e-9)


@pytest.mark.parametrize("name", PROGRAMMES)
def test_leaving_a_brood_out_is_weighing_without_its_young(name: str) -> None:
    programme, world = PROGRAMMES[name](), WORLDS[Cause.RECESSIVE]
    whole = row_weighed(row_of(Cause.RECESSIVE, world), programme)
    for brood in programme.broods:
        # Kept animals keep their looks, so the brood stays on record without scored young of its own.
        assert whole.dropped[brood.name] == pytest.approx(_without(programme, brood, world), abs=1e-9), brood.name


def _without(programme: Programme, brood: Brood, world: World) -> float:
    """The enumeration with the young of one brood untold; animals kept back from it keep their looks."""
    original = evidence_reference.told

    def told(held: Programme, w: World, b: Brood, born: evidence_reference.Born, found_only: bool) -> float:
        return 1.0 if b.name == brood.name else original(held, w, b, born, found_only)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(evidence_reference, "told", told)
        found = evidence_reference.log_evidence(programme, world)
    assert math.isfinite(found)
    return found
