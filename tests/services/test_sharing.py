"""Keeping a bin together, and keeping it from others, on both engines."""

import pytest

from bot.records import Privacy
from bot.services.bins import NewBin, open_bin, show_bin
from bot.services.care_tasks import add_task
from bot.services.counts import log_count
from bot.services.odds import odds_of
from bot.services.refusals import KeepsAlready, KeepsNot, NoSuchBin, NotYours, WordNotKnown
from bot.services.sharing import set_privacy, share_bin, unshare_bin
from bot.services.undo import undo
from tests.support.asking import MOSS, TAMSIN, WREN, Asking, again

SPECIES = "Armadillidium vulgare"


async def opened(asking: Asking) -> str:
    view = await open_bin(
        asking.desk,
        asking.by(WREN),
        NewBin(SPECIES, name="ember", animals="12", holds="wild", note="by the wall", origin="a quarry"),
    )
    return view.row.code


async def test_a_co_keeper_tends_and_the_share_can_be_undone(asking: Asking) -> None:
    code = await opened(asking)
    with pytest.raises(NotYours):
        await log_count(asking.desk, asking.by(MOSS), bin_text=code, count_text="9")
    request = asking.by(WREN)
    doors = await share_bin(asking.desk, request, bin_text=code, keeper=MOSS, name="Moss")
    assert (doors.owner, doors.co_keepers, doors.privacy) == ("Wren", ("Moss",), Privacy.OPEN)
    assert await share_bin(asking.desk, again(request), bin_text=code, keeper=MOSS, name="Moss") == doors
    await log_count(asking.desk, asking.by(MOSS), bin_text=code, count_text="9")
    await undo(asking.desk, asking.by(WREN), doors.event)
    with pytest.raises(NotYours):
        await log_count(asking.desk, asking.by(MOSS), bin_text=code, count_text="9")


async def test_only_the_owner_and_stewards_share_and_only_the_owner_hides(asking: Asking) -> None:
    code = await opened(asking)
    await share_bin(asking.desk, asking.by(WREN), bin_text=code, keeper=MOSS, name="Moss")
    with pytest.raises(NotYours):
        await share_bin(asking.desk, asking.by(MOSS), bin_text=code, keeper=TAMSIN, name="Tamsin")
    for request in (asking.by(MOSS), asking.by(TAMSIN, steward=True)):
        with pytest.raises(NotYours):
            await set_privacy(asking.desk, request, bin_text=code, private="everything")
    await share_bin(asking.desk, asking.by(TAMSIN, steward=True), bin_text=code, keeper=TAMSIN, name="Tamsin")


async def test_nobody_is_added_twice_or_taken_away_unasked(asking: Asking) -> None:
    code = await opened(asking)
    with pytest.raises(KeepsAlready):
        await share_bin(asking.desk, asking.by(WREN), bin_text=code, keeper=WREN, name="Wren")
    with pytest.raises(KeepsNot):
        await unshare_bin(asking.desk, asking.by(WREN), bin_text=code, keeper=MOSS, name="Moss")
    await share_bin(asking.desk, asking.by(WREN), bin_text=code, keeper=MOSS, name="Moss")
    with pytest.raises(KeepsAlready):
        await share_bin(asking.desk, asking.by(WREN), bin_text=code, keeper=MOSS, name="Moss")
    with pytest.raises(NotYours):
        await unshare_bin(asking.desk, asking.by(TAMSIN), bin_text=code, keeper=MOSS, name="Moss")
    left = await unshare_bin(asking.desk, asking.by(MOSS), bin_text=code, keeper=MOSS, name="Moss")
    assert left.co_keepers == ()
    await undo(asking.desk, asking.by(MOSS), left.event)
    async with asking.desk.records.read(asking.by().server, WREN) as book:
        row = await book.bin_by_code(code)
        assert row is not None
        assert [keeper.name for keeper in await book.co_keepers(row.id)] == ["Moss"]


async def test_a_private_bin_is_not_there_for_others_stewards_too(asking: Asking) -> None:
    code = await opened(asking)
    await share_bin(asking.desk, asking.by(WREN), bin_text=code, keeper=MOSS, name="Moss")
    hidden = await set_privacy(asking.desk, asking.by(WREN), bin_text=code, private="everything")
    assert hidden.privacy is Privacy.BIN
    for request in (asking.by(TAMSIN), asking.by(TAMSIN, steward=True)):
        for typed in (code, "ember", "1"):
            with pytest.raises(NoSuchBin) as caught:
                await show_bin(asking.desk, request, typed)
            assert caught.value.nearest == ()
        with pytest.raises(NoSuchBin):
            await odds_of(asking.desk, request, f"{code} x wild")
    for keeper in (WREN, MOSS):
        view = await show_bin(asking.desk, asking.by(keeper), code)
        assert view.row.note == "by the wall"


async def test_private_notes_are_left_out_for_others(asking: Asking) -> None:
    code = await opened(asking)
    await log_count(asking.desk, asking.by(WREN), bin_text=code, count_text="9", note="two gravid")
    await set_privacy(asking.desk, asking.by(WREN), bin_text=code, private="notes")
    theirs = await show_bin(asking.desk, asking.by(TAMSIN, steward=True), code)
    assert (theirs.row.name, theirs.row.note, theirs.counts[0].note) == ("ember", None, None)
    assert [group.row.origin for group in theirs.founders] == [None]
    own = await show_bin(asking.desk, asking.by(WREN), code)
    assert (own.row.note, own.counts[0].note) == ("by the wall", "two gravid")
    assert [group.row.origin for group in own.founders] == ["a quarry"]


async def test_a_private_parent_is_not_named(asking: Asking) -> None:
    code = await opened(asking)
    await open_bin(asking.desk, asking.by(WREN), NewBin(SPECIES, parents=code))
    await set_privacy(asking.desk, asking.by(WREN), bin_text=code, private="everything")
    theirs = await show_bin(asking.desk, asking.by(MOSS), "B-2")
    assert [parent.code for parent in theirs.parents] == [""]
    assert [parent.code for parent in (await show_bin(asking.desk, asking.by(WREN), "B-2")).parents] == [code]


async def test_those_who_can_no_longer_see_a_bin_are_no_longer_asked_for_its_care(asking: Asking) -> None:
    code = await opened(asking)
    task = {"bin_text": code, "kind": "moisture", "days": "Monday", "time": "18:00", "zone": "Europe/Lisbon"}
    await add_task(asking.desk, asking.by(TAMSIN, steward=True), **task)
    await share_bin(asking.desk, asking.by(WREN), bin_text=code, keeper=MOSS, name="Moss")
    await add_task(asking.desk, asking.by(MOSS), **task)
    hidden = await set_privacy(asking.desk, asking.by(WREN), bin_text=code, private="everything")
    assert [t.keeper_id for t in (await show_bin(asking.desk, asking.by(WREN), code)).tasks] == [MOSS]
    await unshare_bin(asking.desk, asking.by(WREN), bin_text=code, keeper=MOSS, name="Moss")
    assert (await show_bin(asking.desk, asking.by(WREN), code)).tasks == ()
    await undo(asking.desk, asking.by(WREN), hidden.event)
    assert [t.keeper_id for t in (await show_bin(asking.desk, asking.by(WREN), code)).tasks] == [TAMSIN]


async def test_a_word_for_privacy_that_is_none_is_refused(asking: Asking) -> None:
    code = await opened(asking)
    with pytest.raises(WordNotKnown):
        await set_privacy(asking.desk, asking.by(WREN), bin_text=code, private="secret")
    with pytest.raises(NoSuchBin):
        await set_privacy(asking.desk, asking.by(WREN), bin_text="B-99", private="open")
