"""Parents that nobody counted are fresh draws from their stock."""

from collections.abc import Iterable

import pytest

from genetics import Appearance, Sex
from genetics.evidence.explanations import Cause
from genetics.evidence.programme import Brood, Counted, Dam, Founders, Mated, Pairing, Programme, Sharing, Stock
from genetics.evidence.weighing import weigh


def programme(number: int | None, sharing: Sharing, broods: Iterable[Brood]) -> Programme:
    return Programme(
        groups=(
            Founders("females", Sex.FEMALE, number=number, stock=Stock.HOME),
            Founders("males", Sex.MALE, number=number, stock=Stock.HOME),
        ),
        pairings=(Pairing("bin", (Dam("females", Mated.ISOLATED),), ("males",), sharing, sharing),),
        broods=tuple(broods),
    )


def seen(full: int, wild: int) -> tuple[Counted, ...]:
    return (Counted(Appearance.FULL, full), Counted(Appearance.WILD, wild))


@pytest.mark.parametrize("found", [False, True])
def test_one_brood_of_one_pair_is_the_same_counted_or_not(found: bool) -> None:
    """Of a single brood it makes no difference whether its two parents could have bred again."""
    broods = [Brood("b", "bin", "B-1", seen(2, 9), found=found)]
    fresh, counted = weigh(programme(None, Sharing.ONE, broods)), weigh(programme(1, Sharing.ONE, broods))
    for one in fresh.shares:
        if one.cause is Cause.THRESHOLD:
            # Its own method takes each group's breeding value from a grid; fresh draws have none to keep.
            continue
        other = next(share for share in counted.shares if share.cause is one.cause)
        assert one.log_evidence == pytest.approx(other.log_evidence, abs=1e-9), one.cause


@pytest.mark.parametrize("found", [False, True])
def test_broods_of_a_bin_that_nobody_counted_are_weighed(found: bool) -> None:
    broods = [Brood(f"b{n}", "bin", "B-1", seen(2, 9), found=found) for n in range(3)]
    findings = weigh(programme(None, Sharing.EACH, broods))
    assert sum(share.posterior for share in findings.shares) == pytest.approx(1)
    assert [one.brood for one in findings.broods] == ["b0", "b1", "b2"]
    # Dropping one of three alike broods tells the same, whichever it is.
    assert len({round(one.dropped, 12) for one in findings.broods}) == 1
