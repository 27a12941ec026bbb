"""Splitting a bin, and merging one into another: what goes along, what is counted, who may, and that it can be undone."""

from datetime import timedelta

import pytest

from bot.records import CloseReason, Exactness, Moved, ParentRole, Privacy, Sex
from bot.services.bin_changes import close_bin
from bot.services.bin_moves import BinsMerged, BinSplit, merge_bins, split_bin
from bot.services.bins import NewBin, open_bin, show_bin
from bot.services.care_tasks import add_task
from bot.services.counts import log_count
from bot.services.disturbance import Disturbing
from bot.services.refusals import (
    BuiltUpon,
    CountNotRead,
    HoldingNotRead,
    NoSuchBin,
    NotYours,
    Refusal,
    TakenBack,
    TextTooLong,
    TwoSpecies,
)
from bot.services.refusals_bins import ClosedBin, LookFirst, SameBin
from bot.services.sharing import set_privacy, share_bin
from bot.services.traits import define_trait
from bot.services.undo import undo
from tests.support.asking import ELSEWHERE, MOSS, NAMES, TAMSIN, WREN, Asking, again

DAY = timedelta(days=1)
SCABER = "Porcellio scaber"


async def with_bins(asking: Asking) -> None:
    """B-1 of Wren: 40 het ember from 12 males and 28 females; B-2: 15 wild, B-3 of another species."""
    await define_trait(asking.desk, asking.by(), name="ember", dominance="recessive", symbol="e")
    await open_bin(
        asking.desk,
        asking.by(),
        NewBin(species=SCABER, name="big", animals="12 m 28 f", holds="het ember", shelf="window"),
    )
    await open_bin(asking.desk, asking.by(), NewBin(species=SCABER, animals="15", holds="wild", parents="B-1"))
    await open_bin(asking.desk, asking.by(), NewBin(species="Armadillidium vulgare"))


async def split(asking: Asking, number: str = "10", *, after: timedelta = DAY, **more: str) -> BinSplit:
    return await split_bin(asking.desk, asking.by(after=after), bin_text="B-1", number=number, sure=True, **more)


async def merge(asking: Asking, source: str = "B-2", into: str = "B-1", *, after: timedelta = DAY) -> BinsMerged:
    return await merge_bins(asking.desk, asking.by(after=after), into_text=into, from_text=source, sure=True)


async def test_animals_counted_by_sex_found_a_group_of_each(asking: Asking) -> None:
    await with_bins(asking)
    view = await show_bin(asking.desk, asking.by(), "B-1")
    assert [(f.row.sex, f.row.number, f.stated) for f in view.founders] == [
        (Sex.MALE, 12, "het ember"),
        (Sex.FEMALE, 28, "het ember"),
    ]


async def test_a_split_bin_has_the_same_founders_keepers_and_shelf_and_takes_its_number_along(asking: Asking) -> None:
    await with_bins(asking)
    await share_bin(asking.desk, asking.by(), bin_text="B-1", keeper=MOSS, name="Moss")
    done = await split(asking, name="small", note="the lively ones")
    assert (done.target.code, done.target.name, done.target.note) == ("B-4", "small", "the lively ones")
    assert (done.moved.moved, done.moved.number, done.moved.exactness) == (Moved.SPLIT, 10, Exactness.EXACT)
    assert done.left is not None
    assert (done.left.total, done.left.exactness) == (30, Exactness.WORKED_OUT)
    new = await show_bin(asking.desk, asking.by(after=2 * DAY), "B-4")
    old = await show_bin(asking.desk, asking.by(after=2 * DAY), "B-1")
    assert [(f.row.sex, f.row.number, f.stated) for f in new.founders] == [
        (Sex.MALE, None, "het ember"),
        (Sex.FEMALE, None, "het ember"),
    ]
    assert [(p.code, p.role) for p in new.parents] == [("B-1", ParentRole.PART)]
    assert (new.row.keeper_id, new.keepers, new.row.shelf) == (WREN, ("Moss",), "window")
    assert [c.total for c in new.counts] == [10]
    assert [c.total for c in old.counts] == [30, 40]
    for view in (new, old):
        assert view.rest.last is not None
        assert (view.rest.last.what, view.rest.last.at) == (Disturbing.SPLIT, done.moved.at)


async def test_what_was_picked_out_is_what_the_new_bin_holds(asking: Asking) -> None:
    await with_bins(asking)
    await split(asking, "6 ember", holds="visual ember", shelf="door")
    view = await show_bin(asking.desk, asking.by(), "B-4")
    assert [(f.row.number, f.stated) for f in view.founders] == [(6, "visual ember")]
    assert view.row.shelf == "door"
    assert [item.animals.traits for item in view.classes[view.counts[0].id] if item.animals] == [("ember",)]


async def test_a_split_that_nobody_counted_leaves_the_counts_alone(asking: Asking) -> None:
    await with_bins(asking)
    done = await split(asking, "")
    assert (done.moved.number, done.left) == (None, None)
    assert [c.total for c in await asking.counts("B-1")] == [40]
    assert await asking.counts("B-4") == ()


async def test_more_than_were_counted_are_no_less_than_none_left(asking: Asking) -> None:
    await with_bins(asking)
    done = await split(asking, "50")
    assert done.left is None
    assert [c.total for c in await asking.counts("B-1")] == [40]
    assert [c.total for c in await asking.counts("B-4")] == [50]


async def test_what_is_private_stays_private_in_a_part_of_it(asking: Asking) -> None:
    await with_bins(asking)
    await set_privacy(asking.desk, asking.by(), bin_text="B-1", private="everything")
    done = await split(asking)
    assert done.target.privacy is Privacy.BIN
    with pytest.raises(NoSuchBin):
        await show_bin(asking.desk, asking.by(MOSS), "B-4")


async def test_one_is_asked_to_look_first_with_what_last_disturbed_the_bin_and_whether_mancae_are_in_it(
    asking: Asking,
) -> None:
    await with_bins(asking)
    await log_count(
        asking.desk, asking.by(after=DAY), bin_text="B-1", count_text="30 ad, lots of mancae", how="sorted everything"
    )
    before = await asking.events()
    with pytest.raises(LookFirst) as caught:
        await split_bin(asking.desk, asking.by(after=9 * DAY), bin_text="B-1", number="10")
    ((label, rest),) = caught.value.bins
    assert label.code == "B-1"
    assert rest.last is not None
    assert (rest.last.what, rest.mancae) == (Disturbing.SORTED, True)
    assert rest.until == rest.last.at + 30 * DAY
    with pytest.raises(LookFirst) as later:
        await split_bin(asking.desk, asking.by(after=40 * DAY), bin_text="B-1", number="10")
    assert later.value.bins[0][1].until is None
    assert await asking.events() == before


async def test_a_split_is_undone_whole_and_its_code_not_given_again(asking: Asking) -> None:
    await with_bins(asking)
    done = await split(asking)
    await undo(asking.desk, asking.by(after=DAY), done.event)
    with pytest.raises(NoSuchBin):
        await show_bin(asking.desk, asking.by(), "B-4")
    view = await show_bin(asking.desk, asking.by(), "B-1")
    assert [c.total for c in view.counts] == [40]
    assert (view.transfers, view.rest.last) == ((), None)
    assert (await split(asking)).target.code == "B-5"


async def test_a_split_that_something_rests_on_is_not_undone(asking: Asking) -> None:
    await with_bins(asking)
    done = await split(asking)
    await log_count(asking.desk, asking.by(after=2 * DAY), bin_text="B-4", count_text="9")
    with pytest.raises(BuiltUpon):
        await undo(asking.desk, asking.by(after=2 * DAY), done.event)


async def test_a_split_that_comes_again_is_one_split(asking: Asking) -> None:
    await with_bins(asking)
    request = asking.by(after=DAY)
    first = await split_bin(asking.desk, request, bin_text="B-1", number="10", sure=True)
    events = await asking.events()
    assert await split_bin(asking.desk, again(request), bin_text="B-1", number="10", sure=True) == first
    assert await asking.events() == events
    await undo(asking.desk, asking.by(after=DAY), first.event)
    with pytest.raises(TakenBack):
        await split_bin(asking.desk, again(request), bin_text="B-1", number="10", sure=True)


@pytest.mark.parametrize(
    ("fields", "refusal"),
    [
        ({"bin_text": "B-9"}, NoSuchBin),
        ({"number": "a good many"}, CountNotRead),
        ({"holds": "visual embre"}, HoldingNotRead),
        ({"shelf": "s" * 41}, TextTooLong),
        ({"name": "n" * 61}, TextTooLong),
    ],
)
async def test_a_split_that_cannot_be_read_writes_nothing(
    asking: Asking, fields: dict[str, str], refusal: type[Refusal]
) -> None:
    await with_bins(asking)
    before = await asking.events()
    with pytest.raises(refusal):
        await split_bin(asking.desk, asking.by(), **{"bin_text": "B-1", "number": "3", **fields}, sure=True)
    assert await asking.events() == before


async def test_another_keeper_splits_and_merges_nothing_and_a_steward_may(asking: Asking) -> None:
    await with_bins(asking)
    before = await asking.events()
    with pytest.raises(NotYours):
        await split_bin(asking.desk, asking.by(TAMSIN), bin_text="B-1", number="3", sure=True)
    with pytest.raises(NotYours):
        await merge_bins(asking.desk, asking.by(TAMSIN), into_text="B-1", from_text="B-2", sure=True)
    assert await asking.events() == before
    done = await split_bin(asking.desk, asking.by(TAMSIN, steward=True), bin_text="B-1", number="3", sure=True)
    assert done.target.keeper_name == NAMES[WREN]


async def test_bins_of_another_server_are_not_there(asking: Asking) -> None:
    await with_bins(asking)
    with pytest.raises(NoSuchBin):
        await split_bin(asking.desk, asking.by(server=ELSEWHERE), bin_text="B-1", number="3", sure=True)
    with pytest.raises(NoSuchBin):
        await merge_bins(asking.desk, asking.by(server=ELSEWHERE), into_text="B-1", from_text="B-2", sure=True)
    assert await asking.events(ELSEWHERE) == []


async def test_a_merged_bin_is_closed_its_care_ends_and_the_counts_are_put_together(asking: Asking) -> None:
    await with_bins(asking)
    await add_task(
        asking.desk, asking.by(), bin_text="B-2", kind="moisture", days="Friday", time="18:00", zone="Europe/Lisbon"
    )
    done = await merge(asking)
    assert (done.source.code, done.target.code, done.ended) == ("B-2", "B-1", 1)
    assert (done.moved.moved, done.moved.number) == (Moved.MERGE, 15)
    assert done.together is not None
    assert (done.together.total, done.together.exactness) == (55, Exactness.WORKED_OUT)
    emptied = await show_bin(asking.desk, asking.by(), "B-2")
    assert emptied.closing is not None
    assert (emptied.closing.reason, emptied.closing.into_code, emptied.tasks) == (CloseReason.MERGED, "B-1", ())
    assert [c.total for c in emptied.counts] == [15]
    full = await show_bin(asking.desk, asking.by(), "B-1")
    assert [(f.row.number, f.stated) for f in full.founders] == [(12, "het ember"), (28, "het ember"), (None, "wild")]
    # Its animals are young of this very bin, so that nothing new is said of where they come from.
    assert full.parents == ()


async def test_bins_that_hold_the_same_and_are_no_kin_are_told_apart_by_their_parents(asking: Asking) -> None:
    await with_bins(asking)
    await open_bin(asking.desk, asking.by(), NewBin(species=SCABER, animals="9", holds="het ember"))
    await merge(asking, "B-4")
    full = await show_bin(asking.desk, asking.by(), "B-1")
    assert [(p.code, p.role) for p in full.parents] == [("B-4", ParentRole.PART)]
    assert len(full.founders) == 2


async def test_a_part_can_go_back_to_where_it_came_from(asking: Asking) -> None:
    await with_bins(asking)
    await split(asking)
    done = await merge(asking, "B-4", after=2 * DAY)
    assert done.together is not None
    assert done.together.total == 40
    full = await show_bin(asking.desk, asking.by(), "B-1")
    assert full.parents == ()
    assert [(t.from_code, t.to_code, t.number) for t in full.transfers] == [("B-1", "B-4", 10), ("B-4", "B-1", 10)]


async def test_before_a_merge_one_is_told_where_the_bins_differ_and_which_is_new(asking: Asking) -> None:
    await with_bins(asking)
    await open_bin(asking.desk, asking.by(after=50 * DAY), NewBin(species=SCABER, animals="9", holds="wild"))
    with pytest.raises(LookFirst) as caught:
        await merge_bins(asking.desk, asking.by(after=55 * DAY), into_text="B-1", from_text="B-4")
    asked = caught.value
    assert [label.code for label, _ in asked.bins] == ["B-1", "B-4"]
    assert [(label.code, kind) for label, kind in asked.kinds] == [("B-1", "het ember"), ("B-4", "wild")]
    assert [newcomer.label.code for newcomer in asked.newcomers] == ["B-1", "B-4"]
    with pytest.raises(LookFirst) as later:
        await merge_bins(asking.desk, asking.by(after=61 * DAY), into_text="B-1", from_text="B-4")
    assert [newcomer.label.code for newcomer in later.value.newcomers] == ["B-4"]


async def test_a_bin_is_not_merged_with_itself_nor_with_another_species(asking: Asking) -> None:
    await with_bins(asking)
    before = await asking.events()
    with pytest.raises(SameBin):
        await merge(asking, "B-1")
    with pytest.raises(TwoSpecies):
        await merge(asking, "B-3")
    assert await asking.events() == before


async def test_a_closed_bin_is_merged_with_nothing(asking: Asking) -> None:
    await with_bins(asking)
    await close_bin(asking.desk, asking.by(), bin_text="B-2", reason="line ended")
    with pytest.raises(ClosedBin):
        await merge(asking)


async def test_a_merge_is_undone_with_the_care_it_ended(asking: Asking) -> None:
    await with_bins(asking)
    await add_task(
        asking.desk, asking.by(), bin_text="B-2", kind="moisture", days="Friday", time="18:00", zone="Europe/Lisbon"
    )
    done = await merge(asking)
    await undo(asking.desk, asking.by(after=DAY), done.event)
    back = await show_bin(asking.desk, asking.by(), "B-2")
    assert (back.row.closed_at, back.closing, len(back.tasks)) == (None, None, 1)
    full = await show_bin(asking.desk, asking.by(), "B-1")
    assert [c.total for c in full.counts] == [40]
    assert len(full.founders) == 2


async def test_a_merge_that_comes_again_is_one_merge(asking: Asking) -> None:
    await with_bins(asking)
    request = asking.by(after=DAY)
    first = await merge_bins(asking.desk, request, into_text="B-1", from_text="B-2", sure=True)
    events = await asking.events()
    assert await merge_bins(asking.desk, again(request), into_text="B-1", from_text="B-2", sure=True) == first
    assert await asking.events() == events
