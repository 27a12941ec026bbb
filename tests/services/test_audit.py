"""The changes of a server as they are told, and taking them back by number, on both engines."""

import pytest

from bot.services.audit import PAGE, audit_of, audit_page, undo_last, undoable
from bot.services.bins import NewBin, open_bin
from bot.services.counts import log_count
from bot.services.refusals import BuiltUpon, NoSuchBin, NothingToUndo, NotYourChange
from bot.services.sharing import set_privacy
from bot.services.undo import undo
from tests.support.asking import ELSEWHERE, MOSS, TAMSIN, WREN, Asking, again

SPECIES = "Porcellio scaber"


async def some_changes(asking: Asking) -> None:
    await open_bin(asking.desk, asking.by(WREN), NewBin(SPECIES, name="one"))
    await open_bin(asking.desk, asking.by(MOSS), NewBin(SPECIES, name="two", parents="B-1"))
    await log_count(asking.desk, asking.by(WREN), bin_text="B-1", count_text="7")


async def test_who_did_what_to_which_bin_newest_first(asking: Asking) -> None:
    await some_changes(asking)
    told = await audit_of(asking.desk, asking.by(TAMSIN))
    assert [(c.seq, c.keeper_name, c.kind, [b.code for b in c.bins]) for c in told.changes] == [
        (3, "Wren", "count.logged", ["B-1"]),
        (2, "Moss", "bin.opened", ["B-2"]),
        (1, "Wren", "bin.opened", ["B-1"]),
    ]
    assert told.older is None


async def test_it_is_told_by_bin_and_by_keeper(asking: Asking) -> None:
    await some_changes(asking)
    by_bin = await audit_of(asking.desk, asking.by(TAMSIN), bin_text="two")
    assert [c.seq for c in by_bin.changes] == [2]
    assert by_bin.label is not None
    by_keeper = await audit_of(asking.desk, asking.by(TAMSIN), keeper=WREN)
    assert ([c.seq for c in by_keeper.changes], by_keeper.keeper_name) == ([3, 1], "Wren")
    both = await audit_of(asking.desk, asking.by(TAMSIN), bin_text="B-1", keeper=MOSS)
    assert [c.seq for c in both.changes] == [2]
    with pytest.raises(NoSuchBin):
        await audit_of(asking.desk, asking.by(TAMSIN), bin_text="B-9")


async def test_the_pages_hold_everything_once(asking: Asking) -> None:
    await open_bin(asking.desk, asking.by(WREN), NewBin(SPECIES))
    for number in range(PAGE + 4):
        await log_count(asking.desk, asking.by(WREN), bin_text="B-1", count_text=str(number))
    first = await audit_of(asking.desk, asking.by(WREN))
    assert first.older is not None
    second = await audit_page(asking.desk, asking.by(WREN), before=first.older)
    assert second.older is None
    assert [c.seq for c in (*first.changes, *second.changes)] == list(range(PAGE + 5, 0, -1))


async def test_what_changed_a_private_bin_is_told_to_its_keepers_alone(asking: Asking) -> None:
    await some_changes(asking)
    await set_privacy(asking.desk, asking.by(MOSS), bin_text="B-2", private="everything")
    for request in (asking.by(TAMSIN), asking.by(TAMSIN, steward=True)):
        assert [c.seq for c in (await audit_of(asking.desk, request)).changes] == [3, 1]
        with pytest.raises(NothingToUndo):
            await undo(asking.desk, asking.by(TAMSIN, steward=True), 2)
    assert [c.seq for c in (await audit_of(asking.desk, asking.by(MOSS))).changes] == [4, 3, 2, 1]


async def test_a_server_is_told_nothing_of_another(asking: Asking) -> None:
    await some_changes(asking)
    told = await audit_of(asking.desk, asking.by(WREN, server=ELSEWHERE))
    assert told.changes == ()
    with pytest.raises(NothingToUndo):
        await undo(asking.desk, asking.by(WREN, server=ELSEWHERE), 1)


async def test_undo_goes_backwards_through_ones_own_changes(asking: Asking) -> None:
    await some_changes(asking)
    await log_count(asking.desk, asking.by(MOSS), bin_text="B-2", count_text="8")
    request = asking.by(WREN)
    assert (await undo_last(asking.desk, request)).event.seq == 3
    assert (await undo_last(asking.desk, again(request))).event.seq == 3
    with pytest.raises(BuiltUpon):
        # Moss's bin came of it since.
        await undo_last(asking.desk, asking.by(WREN))
    assert (await undo_last(asking.desk, asking.by(MOSS))).event.seq == 4
    assert (await undo_last(asking.desk, asking.by(MOSS))).event.seq == 2
    with pytest.raises(NothingToUndo):
        await undo_last(asking.desk, asking.by(MOSS))
    assert (await undo_last(asking.desk, asking.by(WREN))).event.seq == 1
    told = await audit_of(asking.desk, asking.by(TAMSIN))
    assert [(c.seq, c.undone, c.undid) for c in told.changes][-4:] == [
        (4, True, None),
        (3, True, None),
        (2, True, None),
        (1, True, None),
    ]
    assert [c.undid for c in told.changes][:4] == [1, 2, 4, 3]


async def test_stewards_undo_what_others_did_and_others_do_not(asking: Asking) -> None:
    await some_changes(asking)
    with pytest.raises(NotYourChange):
        await undo(asking.desk, asking.by(TAMSIN), 3)
    undone = await undo(asking.desk, asking.by(TAMSIN, steward=True), 3)
    assert undone.event.actor_id == WREN
    assert await asking.counts("B-1") == ()


async def test_ones_own_changes_are_offered_and_a_steward_everybodys(asking: Asking) -> None:
    await some_changes(asking)
    await undo(asking.desk, asking.by(WREN), 3)
    assert [c.seq for c in await undoable(asking.desk, asking.by(WREN))] == [1]
    assert [c.seq for c in await undoable(asking.desk, asking.by(TAMSIN, steward=True))] == [2, 1]


async def test_what_was_done_to_a_private_bin_that_was_taken_back_is_told_to_its_doer_alone(asking: Asking) -> None:
    opened = await open_bin(asking.desk, asking.by(WREN), NewBin(SPECIES, name="secret"))
    await set_privacy(asking.desk, asking.by(WREN), bin_text="B-1", private="everything")
    counted = await log_count(asking.desk, asking.by(WREN), bin_text="B-1", count_text="7")
    await undo(asking.desk, asking.by(WREN), counted.event)
    await undo_last(asking.desk, asking.by(WREN))
    await undo(asking.desk, asking.by(WREN), opened.event or 0)
    assert (await audit_of(asking.desk, asking.by(TAMSIN, steward=True))).changes == ()
    own = await audit_of(asking.desk, asking.by(WREN))
    assert [change.kind for change in own.changes] == [
        *["undo"] * 3,
        *("count.logged", "bin.privacy", "bin.opened"),
    ]
