"""How a bin and its counts are shown."""

from datetime import UTC, datetime, timedelta
from fractions import Fraction
from zoneinfo import ZoneInfo

import pytest

from bot.cards.bins import bin_card, opened_card
from bot.cards.counts import logged_card
from bot.cards.render import pages
from bot.records import (
    BinRow,
    CareKind,
    ClosingRow,
    CountRow,
    Exactness,
    FounderRow,
    ParentRole,
    ParentRow,
    Sex,
    TaskRow,
    TransferRow,
)
from bot.services.bin_views import BinView
from bot.services.count_items import Item
from bot.services.counts import CountLogged
from bot.services.disturbance import Rest
from bot.services.founding import Founders
from bot.services.lengths import read_length
from bot.services.refusals import BinLabel
from bot.services.species import shipped_species
from tests.support.markup import as_read, live_marks
from tests.support.screens import assert_card_fits

NOW = datetime(2026, 3, 1, 12, 0, tzinfo=UTC)
QUIET = Rest(None, mancae=False, until=None)
SCABER = shipped_species().named("Porcellio scaber")


def count_of(total: int, days: int = 0, exactness: Exactness = Exactness.EXACT, note: str | None = None) -> CountRow:
    at = NOW - timedelta(days=days)
    return CountRow(9, 3, at, 1, "Wren", total, exactness, str(total), note)


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
        TaskRow(4, 3, 1, CareKind.MOISTURE, 0, 18 * 60, 12, NOW, None),
        TaskRow(5, 3, 1, CareKind.LITTER, 6, 7 * 60 + 5, 12, NOW, None),
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
