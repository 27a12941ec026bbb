"""The chart of a bin's counts: what is drawn, what is said, and that it is a picture."""

import math
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.pictures.counts import CountChart, CountPoint, count_chart
from tests.support.pictures import assert_is_a_picture

MARCH = datetime(2026, 3, 3, 12, tzinfo=UTC)


def on(day: float, total: int, **more: int) -> CountPoint:
    return CountPoint(MARCH + timedelta(days=day), total, **more)


MIXED = (
    on(30, 75, adults=14, juveniles=31, mancae=30),
    on(0, 30, adults=12, juveniles=18),
    on(64, 160, estimate=True, low=120, high=200, adults=20),
)


def test_the_points_are_drawn_where_and_as_they_were_counted() -> None:
    chart = count_chart(MIXED, "B-14")
    assert chart.days == (0, 30, 64)
    assert chart.totals == (30, 75, 160)
    assert chart.hollow == (False, False, True)
    assert (chart.below, chart.above) == ((0, 0, 40), (0, 0, 40))
    assert chart.latest == "120 to 200"
    adults, juveniles, mancae = chart.classes
    assert (adults.name, adults.numbers) == ("adults", (12, 14, 20))
    assert (juveniles.numbers[:2], mancae.numbers[1]) == ((18, 31), 30)
    assert [math.isnan(n) for n in (juveniles.numbers[2], mancae.numbers[0], mancae.numbers[2])] == [True] * 3


def test_classes_that_nobody_counted_are_not_drawn() -> None:
    assert count_chart([on(0, 14), on(9, 20, adults=0)], "B-3").classes[0].numbers[1] == 0
    assert count_chart([on(0, 14)], "B-3").classes == ()


@pytest.mark.parametrize(
    ("counts", "said"),
    [
        ([on(0, 14)], "B-3: 1 count, the latest 14 on 3 March 2026."),
        ([on(0, 14), on(9, 20)], "It has grown since 14 on 3 March 2026."),
        ([on(0, 20), on(9, 14)], "It has fallen since 20 on 3 March 2026."),
        ([on(0, 20), on(9, 20)], "It is the same as 20 on 3 March 2026."),
        ([on(0, 20), on(9, 30, low=15, high=40)], "can't be told: the ranges meet"),
        ([on(0, 20), on(5, 1200), on(9, 30)], "The most was 1,200 on 8 March 2026."),
        ([on(0, 20, estimate=True)], "the latest about 20 on 3 March 2026. Hollow marks were judged"),
        ([on(0, 20, adults=4), on(9, 30)], "By class on 3 March 2026: 4 adults, juveniles not counted and mancae"),
        (MIXED, "The latest by class: 20 adults, juveniles not counted and mancae not counted."),
    ],
)
def test_the_words_say_the_finding(counts: list[CountPoint], said: str) -> None:
    assert said in count_chart(counts, "B-3").alternative


def test_days_are_those_of_the_readers_zone() -> None:
    late = CountPoint(datetime(2026, 3, 3, 23, 30, tzinfo=UTC).astimezone(ZoneInfo("Europe/Warsaw")), 5)
    assert count_chart([late], "B-3").ticks == ((0.0, "4 Mar"),)


def test_years_are_named_where_there_are_several() -> None:
    assert [name for _, name in count_chart([on(0, 5), on(400, 9)], "B-3").ticks] == ["3 Mar 26", "7 Apr 27"]


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: CountPoint(datetime(2026, 3, 3), 5),  # noqa: DTZ001 - that is what is refused
        lambda: on(0, -1),
        lambda: on(0, 5, mancae=-1),
        lambda: on(0, 5, low=6),
        lambda: on(0, 5, high=4),
        lambda: count_chart([], "B-3"),
    ],
)
def test_what_is_no_count_is_refused(wrong: object) -> None:
    assert callable(wrong)
    with pytest.raises(ValueError, match=r"zone|negative|between|without a count"):
        wrong()


@given(st.lists(st.tuples(st.integers(0, 3000), st.integers(0, 100_000), st.integers(0, 50)), min_size=1, max_size=40))
def test_every_count_is_on_the_chart_and_every_name_has_room(rows: list[tuple[int, int, int]]) -> None:
    chart = count_chart([on(d, n, low=max(0, n - r), high=n + r) for d, n, r in rows], "B-3")
    assert sorted(zip(chart.days, chart.totals, strict=True)) == sorted((d - min(rows)[0], n) for d, n, _ in rows)
    assert chart.steps[0] == 0
    assert len(chart.steps) <= 6
    assert chart.steps[-1] >= max(n + r for _, n, r in rows)
    assert len({b - a for a, b in zip(chart.steps, chart.steps[1:], strict=False)}) == 1
    days = [day for day, _ in chart.ticks]
    assert days == sorted(days)
    assert days[0] == chart.days[0]
    assert days[-1] == chart.days[-1]
    assert len(days) <= 7


CHARTS: dict[str, CountChart] = {
    "classes, a range and a long title": count_chart(MIXED, "B-14 (ember F2, the big tub behind the door)"),
    "one count": count_chart([on(0, 14)], "B-3"),
    "nothing there": count_chart([on(0, 0), on(4, 0)], "B-3"),
    "many, and large": count_chart([on(7 * i, 99_000 + 20 * i, estimate=i % 3 == 0) for i in range(40)], "C-101"),
    "a name of marks and letters of other kinds": count_chart([on(0, 14)], "B-3 ($x_1$ \\frac 鼠 *ember*)"),
}


@pytest.mark.parametrize("chart", CHARTS.values(), ids=CHARTS)
def test_it_is_a_picture(chart: CountChart) -> None:
    assert_is_a_picture(chart)
