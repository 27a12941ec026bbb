"""Beside the verdict: who carries it, how it moved brood by brood, and what the book knows of the bins."""

from collections.abc import AsyncIterator
from dataclasses import replace
from datetime import timedelta
from fractions import Fraction
from itertools import pairwise

import pytest
from pytest_asyncio import fixture as async_fixture

from bot.records import HoldCause, MarkKind, MarkRow, Records, ScoringRow
from bot.services.accidents import log_accident
from bot.services.bin_marks import hold_bin
from bot.services.bins import NewBin, open_bin
from bot.services.brood_text import NewBrood
from bot.services.broods import log_brood, score_again
from bot.services.carriers import carriers_of
from bot.services.circumstances import bins_of, exposed, with_sheen
from bot.services.evidence import Weighable, evidence_of, weighable
from bot.services.holdbacks import keep_back
from bot.services.pairing_setup import NewPairing, set_up
from bot.services.traits import define_trait
from bot.services.tuning import DEFAULT, Span, Tuning, default_priors, read_tuning, table_of, write_tuning
from bot.services.verdict_course import MOST_POINTS, chosen_looks, course_of
from bot.services.verdicts import Stood
from bot.services.weighing import Weighings, weighed
from genetics.evidence.explanations import Cause, Figure, default_table
from genetics.evidence.programme import Programme
from genetics.evidence.weighing import weigh
from tests.support.asking import THURSDAY, Asking, asking_of

DAY = timedelta(days=1)


@async_fixture
async def bred(sqlite_records: Records) -> AsyncIterator[Asking]:
    """A visual male, a dam of whom nothing is known, and their young put back to him; some of the young wait in a bin."""
    asking = asking_of(sqlite_records)
    await define_trait(asking.desk, asking.by(), name="ember", dominance="recessive")
    for _ in range(2):
        await open_bin(asking.desk, asking.by(), NewBin(species="Porcellio scaber", animals="30"))
    first = NewPairing(
        dams="1 wild called Pearl from B-1", sires="1 visual ember called Rust from B-2", question="ember"
    )
    await set_up(asking.desk, asking.by(), first)
    await log_brood(asking.desk, asking.by(), NewBrood(of="P-1", scored="24 wild, 9 weeks", born="30"))
    await keep_back(asking.desk, asking.by(), brood_text="P-1.1", keep_text="6 wild")
    await set_up(asking.desk, asking.by(), NewPairing(dams="2 unmated wild from B-4", sires="Rust", question="ember"))
    await log_brood(asking.desk, asking.by(after=DAY), NewBrood(of="P-2", scored="12 ember 14 wild, 9 weeks"))
    await keep_back(asking.desk, asking.by(), brood_text="P-2.1", keep_text="2 ember females, 5 wild females")
    yield asking
    await asking.desk.workers.close()


async def read(asking: Asking) -> Weighable:
    return await weighable(asking.desk, asking.by(), lambda rows: rows)


async def test_who_carries_it_is_told_of_parents_and_of_young_that_wait_in_a_bin(bred: Asking) -> None:
    carriers = await carriers_of(bred.desk, bred.by(), "ember")
    assert carriers.alone
    assert carriers.evidence.findings.leader.cause is Cause.RECESSIVE
    rows = {row.label: row for row in carriers.rows}
    assert rows["Rust"].shows
    # Young of a parent that shows a recessive carry it, all of them, where the dam bred with nobody else.
    for label in ("2 dams of P-2 from B-4", "one wild-looking animal of B-6"):
        assert 0.97 < rows[label].if_so <= 1
        assert rows[label].overall < rows[label].if_so
    assert rows["one ember of B-6"].shows
    assert rows["one wild-looking animal of B-6"].in_bin
    assert [row.in_bin for row in carriers.rows] == sorted(row.in_bin for row in carriers.rows)


async def test_a_trait_that_is_not_inherited_has_no_carriers(bred: Asking) -> None:
    await define_trait(bred.desk, bred.by(), name="ink", dominance="recessive")
    both = NewPairing(dams="1 unmated visual ink", sires="1 visual ink", place="B-1", question="ink")
    await set_up(bred.desk, bred.by(), both)
    await log_brood(bred.desk, bred.by(), NewBrood(of="P-3", scored="1 ink 40 wild, 9 weeks"))
    carriers = await carriers_of(bred.desk, bred.by(), "ink")
    assert carriers.evidence.findings.leader.cause is Cause.NOT_INHERITED
    assert carriers.rows == ()


async def test_the_course_ends_at_the_verdict_of_today_and_begins_at_that_of_the_first_look(bred: Asking) -> None:
    told: list[tuple[int, int]] = []
    course = await course_of(bred.desk, bred.by(), "ember", lambda *step: told.append(step))
    today = await evidence_of(bred.desk, bred.by(), "ember")
    assert [point.brood for point in course.points] == ["P-1.1", "P-2.1"]
    assert told == [(1, 2), (2, 2)]
    last = course.points[-1]
    assert (last.word, last.shares[0][0]) == (Stood.of(today).word, today.findings.leader.cause)
    assert last.share(Cause.RECESSIVE) == today.findings.leader.posterior
    # The first look alone, weighed by hand: no young show, so that little is learnt beyond the priors.
    assert course.points[0].share(Cause.RECESSIVE) < last.share(Cause.RECESSIVE)
    await score_again(bred.desk, bred.by(after=2 * DAY), "P-1.1", "24 wild, 12 weeks")
    again = await course_of(bred.desk, bred.by(), "ember")
    assert [point.brood for point in again.points] == ["P-1.1", "P-2.1", "P-1.1"]
    assert not again.late


async def test_a_course_for_which_there_is_no_time_says_how_far_it_came(
    bred: Asking, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("bot.services.verdict_course.PATIENCE", 0.0)
    course = await course_of(bred.desk, bred.by(), "ember")
    assert course.late
    assert course.looks == 2


@pytest.mark.parametrize(("looks", "points"), [(0, 0), (1, 1), (12, 12), (13, 7), (25, 9), (200, 12)])
def test_of_many_looks_the_last_and_every_kth_before_it_are_points(looks: int, points: int) -> None:
    rows = [ScoringRow(n, n, THURSDAY, 1, "Wren", None, None, 0, 0, None) for n in range(looks)]
    chosen = chosen_looks(rows)
    assert len(chosen) == points <= MOST_POINTS
    assert chosen[-1:] == rows[-1:]
    assert len({second.id - first.id for first, second in pairwise(chosen)}) <= 1


def mark(kind: MarkKind, bin_id: int, at: timedelta, cause: HoldCause | None = None) -> MarkRow:
    return MarkRow(1, bin_id, kind, cause, THURSDAY + at, None, 1, "Wren", None, None)


async def test_a_brood_that_a_stray_may_have_reached_is_known(bred: Asking) -> None:
    found = await read(bred)
    records = found.records
    first, second = records.broods
    weighed = (first.id, second.id)
    stray = mark(MarkKind.STRAY, second.bin_id, timedelta(hours=1))
    assert exposed(records, [stray], weighed) == {second.id}
    assert exposed(records, [replace(stray, kind=MarkKind.LID_OFF)], weighed) == {second.id}
    assert exposed(records, [replace(stray, kind=MarkKind.QUARANTINE)], weighed) == frozenset()
    for late in (timedelta(days=3), timedelta(days=-2)):
        assert exposed(records, [mark(MarkKind.STRAY, second.bin_id, late)], weighed) == frozenset()
    assert exposed(records, [stray], (first.id,)) == frozenset()


async def test_the_bins_of_a_trait_are_those_of_its_broods_and_of_their_parents(bred: Asking) -> None:
    found = await read(bred)
    bins = bins_of(found.traits[0], found.records, [brood.id for brood in found.records.broods])
    assert sorted(found.codes[one] for one in bins) == ["B-1", "B-2", "B-3", "B-4", "B-5"]
    held = mark(MarkKind.HOLD, min(bins), timedelta(), HoldCause.BLUE_SHEEN)
    assert with_sheen(bins, [held]) == (min(bins),)
    assert with_sheen(bins, [replace(held, ended_at=THURSDAY)]) == ()
    assert with_sheen(bins, [replace(held, cause=HoldCause.DISEASE)]) == ()
    assert with_sheen([], [held]) == ()


# With which priors and figures it is weighed.


def test_the_default_tuning_is_the_engines_own_table() -> None:
    made = table_of(DEFAULT)
    assert [(row.cause, row.grids, row.predicts) for row in made] == [
        (row.cause, row.grids, row.predicts) for row in default_table()
    ]
    assert [row.prior for row in made] == pytest.approx([row.prior for row in default_table()], abs=1e-15)
    assert sum(default_priors().values()) == 1


def test_a_tuning_is_read_as_it_was_written() -> None:
    shares = {**default_priors(), Cause.RECESSIVE: Fraction(1, 2), Cause.NOT_INHERITED: Fraction(3, 20)}
    tuning = Tuning(tuple(shares.items()), (Span(Figure.PENETRANCE, Fraction(3, 5), Fraction(1)),))
    assert read_tuning(write_tuning(tuning)) == tuning
    assert write_tuning(DEFAULT) is None
    assert read_tuning(None) == DEFAULT
    with pytest.raises(ValueError, match="version"):
        read_tuning({"v": 2})


@pytest.mark.parametrize(
    "make",
    [
        lambda: Tuning(priors=((Cause.RECESSIVE, Fraction(1)),)),
        lambda: Tuning(priors=tuple((cause, Fraction(1)) for cause in Cause)),
        lambda: Tuning(priors=tuple((c, Fraction(int(c is Cause.RECESSIVE))) for c in Cause)),
        lambda: Tuning(spans=(Span(Figure.MISREAD, Fraction(0), Fraction(0)),) * 2),
        lambda: Span(Figure.PENETRANCE, Fraction(1), Fraction(1, 2)),
        lambda: Span(Figure.HOME, Fraction(0), Fraction(0)),
        lambda: Span(Figure.MISREAD, Fraction(0), Fraction(9, 10)),
    ],
)
def test_what_cannot_be_weighed_with_is_no_tuning(make: object) -> None:
    assert callable(make)
    with pytest.raises(ValueError, match=r"prior|span|from"):
        make()


async def test_a_span_is_weighed_with_in_place_of_the_default(bred: Asking) -> None:
    programme = (await evidence_of(bred.desk, bred.by(), "ember")).programme
    sure = weighed(programme, Tuning(spans=(Span(Figure.PENETRANCE, Fraction(1), Fraction(1)),)))
    assert sure.penetrance is not None
    assert (sure.penetrance.mean, sure.penetrance.low) == (pytest.approx(1.0), 1.0)
    assert weighed(programme, DEFAULT) == weigh(programme)
    granted = weighed(programme, DEFAULT, Cause.RECESSIVE)
    assert [(share.cause, share.posterior) for share in granted.shares] == [(Cause.RECESSIVE, 1.0)]


def test_only_the_latest_weighings_are_kept() -> None:
    kept = Weighings(most=2)
    findings = object()
    asked = [(Programme((), (), (), daughters=Fraction(n, 10)), DEFAULT, None) for n in range(1, 4)]
    kept.keep(asked[0], findings)  # type: ignore[arg-type]
    kept.keep(asked[1], findings)  # type: ignore[arg-type]
    assert kept.find(asked[0]) is findings
    kept.keep(asked[2], findings)  # type: ignore[arg-type]
    assert len(kept) == 2
    assert kept.find(asked[1]) is None
    assert kept.find(asked[0]) is findings


async def test_a_stray_and_a_sheen_in_the_book_reach_the_verdict(bred: Asking) -> None:
    """As they are logged: the brood and the bin are named, and what the rest says stands beside the verdict."""
    request = bred.by(after=DAY)
    await hold_bin(bred.desk, bred.by(after=DAY), bin_text="B-2", cause="blue sheen")
    await log_accident(bred.desk, request, bin_text="B-5", what="a stray was found")
    evidence = await evidence_of(bred.desk, bred.by(after=DAY), "ember")
    assert evidence.sheen == ("B-2",)
    assert evidence.exposed == ("P-2.1",)
    assert evidence.without is not None
    assert evidence.without.leader.posterior < evidence.findings.leader.posterior
    assert len([brood for brood in evidence.without.broods if brood.brood in evidence.codes]) == 1
