"""The bins in a list, and a bin's history."""

from datetime import timedelta

import pytest

from bot.records import Exactness
from bot.services.bin_changes import close_bin, move_bin
from bot.services.bin_lists import (
    EVENTS_A_PAGE,
    choose_shelf,
    history_of,
    history_page,
    list_bins,
    same_shelf,
)
from bot.services.bin_moves import merge_bins, split_bin
from bot.services.bins import NewBin, open_bin
from bot.services.counts import log_count
from bot.services.refusals import NoSuchBin, NoSuchSpecies, Outlived, WordNotKnown
from bot.services.sharing import set_privacy, share_bin
from bot.services.undo import undo
from tests.support.asking import ELSEWHERE, MOSS, TAMSIN, WREN, Asking

DAY = timedelta(days=1)
SCABER, VULGARE = "Porcellio scaber", "Armadillidium vulgare"


async def with_bins(asking: Asking) -> None:
    """B-1 and B-2 of Wren, B-3 of Moss with a count, B-4 of Wren closed."""
    for who, new in (
        (WREN, NewBin(species=SCABER, name="big", animals="40", shelf="Window")),
        (WREN, NewBin(species=VULGARE, shelf="door")),
        (MOSS, NewBin(species=SCABER, animals="9", shelf="window ")),
        (WREN, NewBin(species=SCABER)),
    ):
        await open_bin(asking.desk, asking.by(who), new)
    await log_count(asking.desk, asking.by(MOSS, after=DAY), bin_text="B-3", count_text="about 12")
    await close_bin(asking.desk, asking.by(), bin_text="B-4", reason="line ended")


async def codes(asking: Asking, who: int = WREN, **asked: str) -> list[str]:
    return [each.row.code for each in (await list_bins(asking.desk, asking.by(who), **asked)).bins]


async def test_a_list_is_of_ones_own_bins_by_shelf_unless_one_keeps_none(asking: Asking) -> None:
    await with_bins(asking)
    assert await codes(asking) == ["B-2", "B-1"]
    assert await codes(asking, MOSS) == ["B-3"]
    assert await codes(asking, TAMSIN) == ["B-2", "B-1", "B-3"]
    assert await codes(asking, TAMSIN, whose="mine") == []
    assert await codes(asking, whose="all") == ["B-2", "B-1", "B-3"]
    assert await codes(asking, whose="closed") == ["B-4"]


async def test_a_bin_that_is_shared_is_ones_own_too(asking: Asking) -> None:
    await with_bins(asking)
    await share_bin(asking.desk, asking.by(), bin_text="B-1", keeper=MOSS, name="Moss")
    assert await codes(asking, MOSS) == ["B-1", "B-3"]


async def test_a_list_is_narrowed_to_a_shelf_and_a_species(asking: Asking) -> None:
    await with_bins(asking)
    found = await list_bins(asking.desk, asking.by(), whose="all", shelf="WINDOW")
    assert [each.row.code for each in found.bins] == ["B-1", "B-3"]
    assert found.shelf_of == found.bins[0].row.id
    again = await list_bins(asking.desk, asking.by(), whose="all", shelf_of=str(found.shelf_of))
    assert [each.row.code for each in again.bins] == ["B-1", "B-3"]
    assert await codes(asking, whose="all", species="porcellio scaber") == ["B-1", "B-3"]
    assert await codes(asking, whose="all", shelf="attic") == []


async def test_each_bin_has_its_last_count(asking: Asking) -> None:
    await with_bins(asking)
    found = await list_bins(asking.desk, asking.by(), whose="all")
    assert [(each.row.code, each.count.total if each.count else None) for each in found.bins] == [
        ("B-2", None),
        ("B-1", 40),
        ("B-3", 12),
    ]


async def test_a_count_that_was_corrected_is_not_the_last(asking: Asking) -> None:
    await with_bins(asking)
    count = (await asking.counts("B-3"))[0]
    await log_count(
        asking.desk, asking.by(MOSS, after=2 * DAY), bin_text="B-3", count_text="21", corrects=str(count.id)
    )
    found = await list_bins(asking.desk, asking.by(), whose="all")
    assert [each.count.total for each in found.bins if each.row.code == "B-3" and each.count] == [21]


async def test_a_list_asks_for_words_and_species_that_there_are(asking: Asking) -> None:
    with pytest.raises(WordNotKnown):
        await list_bins(asking.desk, asking.by(), whose="ours")
    with pytest.raises(NoSuchSpecies):
        await list_bins(asking.desk, asking.by(), species="moss")


async def test_private_bins_are_in_the_lists_of_their_keepers_alone(asking: Asking) -> None:
    await with_bins(asking)
    await set_privacy(asking.desk, asking.by(MOSS), bin_text="B-3", private="everything")
    assert await codes(asking, whose="all") == ["B-2", "B-1"]
    assert await codes(asking, MOSS, whose="all") == ["B-2", "B-1", "B-3"]
    assert await choose_shelf(asking.desk, asking.by(), "") == ("Window", "door")
    with pytest.raises(NoSuchBin):
        await history_of(asking.desk, asking.by(), bin_text="B-3")


async def test_shelves_are_offered_by_what_is_typed_ones_own_first(asking: Asking) -> None:
    await with_bins(asking)
    await move_bin(asking.desk, asking.by(MOSS), bin_text="B-3", shelf="attic")
    assert await choose_shelf(asking.desk, asking.by(MOSS), "") == ("attic", "Window", "door")
    assert await choose_shelf(asking.desk, asking.by(), "OO") == ("door",)
    assert await choose_shelf(asking.desk, asking.by(server=ELSEWHERE), "") == ()


def test_no_name_is_no_shelf() -> None:
    assert same_shelf("By the  window", "by THE window")
    assert not any(same_shelf(one, other) for one, other in ((None, None), ("", ""), ("a", None), ("a", "b")))


async def test_a_history_tells_everything_that_touched_the_bin_newest_first(asking: Asking) -> None:
    await with_bins(asking)
    await split_bin(asking.desk, asking.by(after=DAY), bin_text="B-1", number="about 10", sure=True)
    logged = await log_count(asking.desk, asking.by(after=2 * DAY), bin_text="B-1", count_text="25-30")
    await log_count(
        asking.desk, asking.by(after=3 * DAY), bin_text="B-1", count_text="28", corrects=str(logged.count.id)
    )
    await move_bin(asking.desk, asking.by(after=4 * DAY), bin_text="B-1", shelf="door")
    await merge_bins(asking.desk, asking.by(after=5 * DAY), into_text="B-1", from_text="B-5", sure=True)
    history = await history_of(asking.desk, asking.by(), bin_text="B-1")
    assert [(e.kind, e.other, e.came, e.number, e.exactness) for e in history.events] == [
        ("bin.merged", "B-5", True, 10, Exactness.ESTIMATE),
        ("bin.moved", None, False, None, None),
        ("count.corrected", None, False, 28, Exactness.EXACT),
        ("count.logged", None, False, 27, Exactness.RANGE),
        ("bin.split", "B-5", False, 10, Exactness.ESTIMATE),
        ("bin.opened", None, False, 40, Exactness.EXACT),
    ]
    other = await history_of(asking.desk, asking.by(), bin_text="B-5")
    assert [(e.kind, e.other, e.came) for e in other.events] == [
        ("bin.merged", "B-1", False),
        ("bin.split", "B-1", True),
    ]
    assert {e.keeper_name for e in history.events} == {"Wren"}


async def test_what_was_undone_is_told_with_who_took_it_back(asking: Asking) -> None:
    await with_bins(asking)
    moved = await move_bin(asking.desk, asking.by(), bin_text="B-1", shelf="door")
    await undo(asking.desk, asking.by(), moved.event)
    events = (await history_of(asking.desk, asking.by(), bin_text="B-1")).events
    assert [(e.kind, e.undone, e.undid) for e in events[:2]] == [
        ("undo", False, moved.event),
        ("bin.moved", True, None),
    ]


async def test_a_bin_whose_opening_was_undone_has_no_history_to_show(asking: Asking) -> None:
    view = await open_bin(asking.desk, asking.by(), NewBin(species=SCABER))
    assert view.event is not None
    await undo(asking.desk, asking.by(), view.event)
    with pytest.raises(NoSuchBin):
        await history_of(asking.desk, asking.by(), bin_text="B-1")


async def test_a_long_history_comes_in_pages_and_loses_nothing(asking: Asking) -> None:
    await with_bins(asking)
    for day in range(2 * EVENTS_A_PAGE):
        await log_count(asking.desk, asking.by(after=day * DAY), bin_text="B-1", count_text=str(day))
    page = await history_of(asking.desk, asking.by(), bin_text="B-1")
    seen = [event.seq for event in page.events]
    while page.older is not None:
        page = await history_page(asking.desk, asking.by(), bin_id=str(page.bin_id), before=str(page.older))
        seen += [event.seq for event in page.events]
    assert len(seen) == 2 * EVENTS_A_PAGE + 1
    assert seen == sorted(set(seen), reverse=True)


@pytest.mark.parametrize("bin_id", ["", "0", "-1", "999999", "²", "9" * 40])
async def test_a_page_of_a_bin_that_is_not_there_is_refused(asking: Asking, bin_id: str) -> None:
    await with_bins(asking)
    with pytest.raises(Outlived):
        await history_page(asking.desk, asking.by(), bin_id=bin_id, before="5")
    with pytest.raises(Outlived):
        await history_page(asking.desk, asking.by(server=ELSEWHERE), bin_id="1", before="5")
