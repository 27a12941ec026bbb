"""How a bin and its counts are shown."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from zoneinfo import ZoneInfo

import pytest

from bot.calendar import weekly
from bot.cards.bins import bin_card, chart_card, chart_of, opened_card
from bot.cards.counts import logged_card
from bot.cards.render import pages
from bot.pictures.counts import CountChart
from bot.records import (
    BinRow,
    CareKind,
    CloseReason,
    ClosingRow,
    CountRow,
    Exactness,
    FounderRow,
    Moved,
    ParentRole,
    ParentRow,
    Seen,
    Sex,
    Stage,
    TaskRow,
    Thoroughness,
    TransferRow,
)
from bot.services.bin_views import BinView
from bot.services.count_items import Item
from bot.services.count_words import AnimalClass
from bot.services.counts import CountLogged
from bot.services.disturbance import Disturbance, Disturbing, Rest
from bot.services.figures import Figure
from bot.services.founding import Founders
from bot.services.lengths import read_length
from bot.services.refusals import BinLabel
from bot.services.species import shipped_species
from tests.support.markup import as_read, live_marks
from tests.support.rounds import a_task
from tests.support.screens import assert_card_fits

NOW = datetime(2026, 3, 1, 12, 0, tzinfo=UTC)
QUIET = Rest(None, mancae=False, until=None)
SCABER = shipped_species().named("Porcellio scaber")


def count_of(total: int, days: int = 0, exactness: Exactness = Exactness.EXACT, note: str | None = None) -> CountRow:
    at = NOW - timedelta(days=days)
    return CountRow(9, 3, at, 1, "Wren", total, exactness, str(total), note)


def ranged(low: int, high: int, days: int = 0) -> CountRow:
    """A count given as a range."""
    return replace(count_of((low + high) // 2, days, Exactness.RANGE), low=low, high=high)


def founders(
    number: int | None = 10, stated: str | None = "het ember", origin: str | None = None, length: str | None = None
) -> Founders:
    millimetres: Fraction | None = read_length(length) if length else None
    return Founders(FounderRow(5, 3, number, Sex.UNKNOWN, stated is not None, origin, millimetres, NOW), stated)


def bin_of(
    *,
    name: str | None = "ember F2",
    note: str | None = None,
    keeper: str = "Wren",
    founded: tuple[Founders, ...] = (),
    parents: tuple[ParentRow, ...] = (),
    counts: tuple[CountRow, ...] = (),
    tasks: tuple[TaskRow, ...] = (),
    shelf: str | None = None,
    transfers: tuple[TransferRow, ...] = (),
    closing: ClosingRow | None = None,
    rest: Rest = QUIET,
    keepers: tuple[str, ...] = (),
    classes: tuple[Item, ...] = (),
) -> BinView:
    """A bin's view; `classes` are those of its last count."""
    row = BinRow(3, "B-3", SCABER.key, name, note, 1, keeper, NOW, NOW if closing else None, shelf)
    return BinView(
        row=row,
        species=SCABER,
        founders=founded,
        parents=parents,
        counts=counts,
        classes={counts[0].id: classes} if counts else {},
        tasks=tasks,
        transfers=transfers,
        closing=closing,
        rest=rest,
        keepers=keepers,
        zone=ZoneInfo("UTC"),
        event=17,
    )


def words_of(view: BinView) -> str:
    card = bin_card(view)
    return "\n".join((card.lead, *card.blocks))


async def test_a_new_bin_is_told_the_code_for_its_lid_first() -> None:
    card = opened_card(bin_of())
    assert card.lead == "Bin **B-3** is open: ember F2. Write B-3 on its lid."
    assert [(b.label, b.verb, b.argument) for b in card.buttons] == [
        ("Log count", "count.form", "B-3"),
        ("Set up care", "care.starter", "B-3"),
        ("Show bin", "bin.show", "B-3"),
        ("Undo", "records.undo", "17"),
    ]
    assert_card_fits(card)


def test_a_bin_without_a_name_or_a_count_says_so_plainly() -> None:
    assert opened_card(bin_of(name=None)).lead == "Bin **B-3** is open. Write B-3 on its lid."
    assert bin_card(bin_of(name=None)).lead == "**B-3**: not counted yet."


def test_how_many_live_in_it_comes_first_and_the_last_counts_follow() -> None:
    counts = (count_of(36, 1, Exactness.ESTIMATE), count_of(24, 8))
    card = bin_card(bin_of(counts=counts))
    assert card.lead == "**B-3 (ember F2)**: **about 36** counted <t:1772280000:R>."
    assert "Earlier counts: 24 (<t:1771675200:R>)" in card.blocks


def test_what_it_holds_whose_it_is_and_where_it_came_from() -> None:
    view = bin_of(
        founded=(founders(origin="a reptile fair", length="0.7 inch"), founders(None, None)),
        parents=(ParentRow(7, 3, 1, "B-1", ParentRole.DAM), ParentRow(8, 3, 2, "B-2", ParentRole.SIRE)),
    )
    assert bin_card(view).blocks[0].splitlines() == [
        "*Porcellio scaber* · kept by Wren · open since <t:1772366400:D>",
        "10 founders · het ember · 1.8 cm (0.7 in) · from a reptile fair",
        "founders not counted · traits not said",
        "From dams of B-1 and sires of B-2",
    ]


def test_animals_of_one_bin_bred_among_themselves_come_from_that_bin() -> None:
    view = bin_of(parents=(ParentRow(7, 3, 1, "B-1", ParentRole.BOTH),))
    assert bin_card(view).blocks[0].splitlines()[-1] == "From B-1"


def test_the_care_of_a_bin_by_day_and_hour() -> None:
    tasks = (
        a_task(CareKind.MOISTURE, weekly(0, 18 * 60)),
        a_task(CareKind.LITTER, weekly(6, 7 * 60 + 5)),
    )
    assert "Care: moisture every Monday at 18:00 and leaf litter every Sunday at 07:05" in words_of(bin_of(tasks=tasks))


def test_a_keeper_whose_name_was_erased_is_a_former_keeper() -> None:
    assert "kept by a former keeper · " in words_of(bin_of(keeper=""))


async def test_a_note_of_4000_characters_is_turned_page_by_page_and_nothing_in_it_works() -> None:
    note = ("# Sold to @everyone <@1> [here](https://example.org) ```\n" * 80)[:4000]
    card = bin_card(bin_of(note=note, name="**bold** @here", founded=(founders(origin="<t:1:R> ||x||"),)))
    assert_card_fits(card)
    shown = "".join("".join(pages(card)).split())
    assert "".join(note.split()) in as_read(shown)
    assert live_marks(card.blocks[-1]) == []
    assert card.blocks[0].splitlines()[1].endswith("from \\<t\\:1\\:R\\> \\|\\|x\\|\\|")
    assert card.lead.startswith("**B-3 (\\*\\*bold\\*\\* \\@here)**")


def logged_of(
    count: CountRow,
    previous: CountRow | None = None,
    *,
    name: str | None = None,
    classes: tuple[Item, ...] = (),
    corrected: CountRow | None = None,
    before: Rest = QUIET,
    at: datetime | None = None,
) -> CountLogged:
    """A logged count as its card is given it."""
    return CountLogged(
        BinLabel("B-3", name), count, classes, previous, corrected, before, count.at if at is None else at, 21
    )


async def test_a_count_is_said_back_as_it_was_understood() -> None:
    logged = logged_of(count_of(36, 0, Exactness.ESTIMATE), name="ember F2")
    card = logged_card(logged)
    assert card.lead == "B-3 (ember F2): **about 36** counted."
    assert card.blocks == ("This is its first count.",)
    assert [(b.label, b.argument) for b in card.buttons] == [
        ("Undo", "21"),
        ("Correct", "9"),
        ("Show bin", "B-3"),
    ]
    assert_card_fits(card)


@pytest.mark.parametrize(
    ("now", "before", "said"),
    [
        (count_of(40), count_of(28, 7), "12 more than <t:1771761600:R> (28)."),
        (count_of(28), count_of(1228, 7), "1,200 fewer than <t:1771761600:R> (1,228)."),
        (count_of(28), count_of(28, 7), "As many as <t:1771761600:R>."),
        (count_of(40, 0, Exactness.ESTIMATE), count_of(28, 7), "About 12 more than <t:1771761600:R> (28)."),
        (count_of(40), count_of(28, 7, Exactness.ESTIMATE), "About 12 more than <t:1771761600:R> (about 28)."),
    ],
)
def test_a_count_stands_beside_the_one_before(now: CountRow, before: CountRow, said: str) -> None:
    assert logged_card(logged_of(now, before)).blocks[0] == said


async def test_the_note_of_a_count_is_shown_back_shortly_and_harmless() -> None:
    note = "@everyone **look** " * 200
    card = logged_card(logged_of(count_of(40, note=note)))
    assert as_read(card.blocks[1]).startswith("Note: @everyone **look** @everyone")
    assert live_marks(card.blocks[1]) == []
    assert len(card.blocks[1]) < 1_000
    assert_card_fits(card)


@pytest.mark.parametrize(
    ("now", "before", "low"),
    [
        (count_of(49), count_of(100, 7), True),
        (count_of(50), count_of(100, 7), False),
        (count_of(4), count_of(9, 7), False),
        (count_of(40, 0, Exactness.AT_LEAST), count_of(100, 7), False),
        (ranged(30, 60), count_of(100, 7), False),
        (ranged(30, 49), count_of(100, 7), True),
        (count_of(49), ranged(90, 110, 7), False),
    ],
)
def test_a_count_below_half_of_the_last_asks_for_a_second_look_and_says_no_crash(
    now: CountRow, before: CountRow, low: bool
) -> None:
    blocks = "\n".join(logged_card(logged_of(now, before)).blocks)
    assert ("Look again before you call it a crash" in blocks) is low


def test_a_count_that_is_a_range_or_a_least_is_not_said_to_be_more_or_fewer() -> None:
    assert logged_card(logged_of(ranged(30, 50), count_of(28, 7))).blocks[0] == (
        "The count before was 28, <t:1771761600:R>."
    )


def test_a_correction_says_what_it_stands_in_for() -> None:
    card = logged_card(logged_of(count_of(40), corrected=count_of(400)))
    assert card.lead == "B-3: **40** counted again."
    assert "It stands in for the count of 400, which is kept in the history." in card.blocks


def test_a_bin_with_mancae_that_was_sorted_is_to_be_left_and_is_told_of_the_last_time() -> None:
    mancae = Item(Seen.SOME, None, AnimalClass(Stage.MANCA))
    sorted_now = replace(count_of(40), thoroughness=Thoroughness.SORTED)
    first = logged_card(logged_of(sorted_now, classes=(mancae,)))
    assert "There are mancae in it: don't sift it again for 30 days (common practice)." in first.blocks
    sifted = Rest(Disturbance(Disturbing.SORTED, NOW - timedelta(days=9)), mancae=True, until=NOW + timedelta(days=21))
    again = logged_card(logged_of(sorted_now, before=sifted))
    assert any("Last disturbed: sorted through" in block for block in again.blocks)
    looked = replace(count_of(40), thoroughness=Thoroughness.LOOK)
    assert not any("sift" in block for block in logged_card(logged_of(looked, classes=(mancae,))).blocks)


def test_the_chart_of_a_bin_is_its_counts_and_says_what_they_say() -> None:
    classes = (
        Item(Seen.COUNTED, Figure(12), AnimalClass(Stage.ADULT, Sex.MALE)),
        Item(Seen.COUNTED, Figure(8), AnimalClass(Stage.ADULT, Sex.FEMALE)),
        Item(Seen.NOT_COUNTED, None, AnimalClass(Stage.MANCA)),
    )
    every = (count_of(36, 1, Exactness.ESTIMATE), ranged(20, 30, 8), count_of(24, 15))
    counts = tuple(replace(each, id=number) for number, each in enumerate(every))
    view = bin_of(counts=counts, classes=classes)
    (drawing,) = chart_of(view)
    assert isinstance(drawing, CountChart)
    assert drawing.totals == (24, 25, 36)
    assert drawing.days == (0.0, 7.0, 14.0)
    assert drawing.hollow == (False, True, True)
    assert (drawing.below, drawing.above) == ((0, 5, 0), (0, 5, 0))
    assert "3 counts, the latest about 36" in drawing.alternative
    assert "adults" in drawing.alternative
    assert [(series.name, series.numbers[-1]) for series in drawing.classes] == [("adults", 20.0)]
    assert [each.alternative for each in bin_card(view).drawings] == [drawing.alternative]
    assert chart_of(bin_of()) == ()
    assert bin_card(bin_of(counts=counts[:1])).drawings == ()


@pytest.mark.parametrize(
    ("last", "first", "said"),
    [
        (count_of(36), count_of(24, 9), "more than on"),
        (count_of(12), count_of(24, 9), "fewer than on"),
        (count_of(24), count_of(24, 9), "as many as on"),
        (ranged(20, 30), count_of(24, 9), "perhaps as many as on"),
        (count_of(36, 0, Exactness.AT_LEAST), count_of(24, 9), "beside"),
    ],
)
def test_the_finding_of_a_chart_says_no_more_than_is_known(last: CountRow, first: CountRow, said: str) -> None:
    lead = chart_card(bin_of(counts=(last, first))).lead
    assert f", {said} <t:" in lead


def test_what_disturbed_a_bin_and_where_its_animals_went_stands_on_its_front_page() -> None:
    sifted = Rest(Disturbance(Disturbing.SPLIT, NOW), mancae=True, until=NOW + timedelta(days=30))
    gone = TransferRow(1, NOW, Moved.SPLIT, 3, "B-3", 9, "", 6, Exactness.EXACT)
    came = TransferRow(2, NOW, Moved.MERGE, 8, "B-8", 3, "B-3", None, None)
    said = words_of(bin_of(rest=sifted, transfers=(gone, came), shelf="the window"))
    assert "Last disturbed: split <t:1772366400:R>. Mancae are in it: leave it until <t:" in said
    assert "6 went to a bin that is kept private" in said
    assert "Uncounted animals came from B-8" in said
    assert "on shelf the window" in said


async def test_a_closed_bin_says_since_when_and_why_and_offers_its_history_alone() -> None:
    closing = ClosingRow(5, 3, CloseReason.LINE_ENDED, None, None, "no **room**")
    card = bin_card(bin_of(closing=closing))
    assert card.lead == "**B-3 (ember F2)** is closed since <t:1772366400:D>: its line ended."
    assert "Note when it was closed: no \\*\\*room\\*\\*" in card.blocks
    assert [button.label for button in card.buttons] == ["History"]
    merged = ClosingRow(5, 3, CloseReason.MERGED, 7, "B-7", None)
    assert bin_card(bin_of(closing=merged)).lead.endswith("emptied into B-7.")
    assert bin_card(bin_of(closing=replace(merged, into_code=""))).lead.endswith("emptied into another bin.")
    assert_card_fits(card)
