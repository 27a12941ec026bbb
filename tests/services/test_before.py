"""What is asked before animals leave a bin, what they take along, and what waits for a steward."""

from datetime import timedelta

import pytest
from pytest_asyncio import fixture as async_fixture

from bot.records import CareKind, HoldCause
from bot.services.bin_changes import Person, move_bin, picked
from bot.services.bin_marks import hold_bin, quarantine_bin
from bot.services.bin_moves import merge_bins, split_bin
from bot.services.bins import NewBin, open_bin, show_bin
from bot.services.broods import NewBrood, log_brood
from bot.services.care_tasks import add_task
from bot.services.care_today import care_today
from bot.services.disturbance import Disturbing
from bot.services.holdbacks import keep_back
from bot.services.pairing_setup import NewPairing, set_up
from bot.services.refusals_bins import Disturb, KeeperNotPicked, LookFirst
from bot.services.refusals_breeding import BreedersNotRead
from bot.services.refusals_marks import WaitsForSteward
from bot.services.sharing import set_privacy
from bot.services.undo import undo
from tests.support.asking import MOSS, THURSDAY, WREN, Asking

DAY = timedelta(days=1)
TO_MOSS = Person(MOSS, "Moss")
PAIR = NewPairing(dams="2 from B-1", sires="1 from B-2", dams_were="isolated unmated")


@async_fixture
async def bins(asking: Asking) -> Asking:
    """B-1 with 12 animals, B-2 with about 30, of Wren."""
    for animals in ("12", "about 30"):
        await open_bin(asking.desk, asking.by(), NewBin(species="Porcellio scaber", animals=animals, holds="wild"))
    return asking


async def on_hold(bins: Asking, cause: str = "signs of disease") -> None:
    await hold_bin(bins.desk, bins.by(after=DAY), bin_text="B-1", cause=cause)


async def test_what_is_taken_beyond_the_last_count_is_asked_about(bins: Asking) -> None:
    with pytest.raises(LookFirst) as caught:
        await split_bin(bins.desk, bins.by(after=DAY), bin_text="B-1", number="13")
    (short,) = caught.value.short
    assert (short.label.code, short.taken, short.count.total) == ("B-1", 13, 12)
    with pytest.raises(LookFirst) as enough:
        await split_bin(bins.desk, bins.by(after=DAY), bin_text="B-1", number="12")
    assert enough.value.short == ()
    before = await bins.events()
    with pytest.raises(LookFirst) as pairing:
        await set_up(bins.desk, bins.by(after=DAY), NewPairing(dams="9 from B-1", sires="4 from B-1"))
    assert [(each.label.code, each.taken) for each in pairing.value.short] == [("B-1", 13)]
    assert pairing.value.what is Disturb.TAKE_FROM
    assert await bins.events() == before
    view = await set_up(bins.desk, bins.by(after=DAY), NewPairing(dams="9 from B-1", sires="4 from B-1"), sure=True)
    assert view.code == "P-1"


async def test_a_pairing_of_bins_at_peace_is_set_up_without_a_question(bins: Asking) -> None:
    view = await set_up(bins.desk, bins.by(after=DAY), PAIR)
    place = await show_bin(bins.desk, bins.by(after=2 * DAY), view.row.bin_code)
    assert place.state.free
    source = await show_bin(bins.desk, bins.by(after=2 * DAY), "B-1")
    assert source.rest.last is not None
    assert (source.rest.last.what, source.rest.last.at) == (Disturbing.PAIRED, THURSDAY + DAY)


async def test_breeders_of_a_bin_on_hold_are_asked_about_and_take_the_hold_along(bins: Asking) -> None:
    await on_hold(bins)
    with pytest.raises(LookFirst) as caught:
        await set_up(bins.desk, bins.by(after=2 * DAY), PAIR)
    assert [label.code for label, _ in caught.value.states] == ["B-1"]
    view = await set_up(bins.desk, bins.by(after=2 * DAY), PAIR, sure=True)
    place = await show_bin(bins.desk, bins.by(after=3 * DAY), view.row.bin_code)
    assert [hold.cause for hold in place.state.holds] == [HoldCause.DISEASE]
    assert (await show_bin(bins.desk, bins.by(after=3 * DAY), "B-2")).state.free


async def test_young_kept_back_from_a_bin_on_hold_take_the_hold_along(bins: Asking) -> None:
    await set_up(bins.desk, bins.by(after=DAY), NewPairing(dams="1 from B-1", sires="1 from B-1", place="B-1"))
    await log_brood(bins.desk, bins.by(after=30 * DAY), NewBrood(of="P-1", scored="20 wild"))
    await hold_bin(bins.desk, bins.by(after=31 * DAY), bin_text="B-1", cause="another reason")
    with pytest.raises(LookFirst) as caught:
        await keep_back(bins.desk, bins.by(after=32 * DAY), brood_text="P-1.1", keep_text="4 wild")
    assert (caught.value.what, len(caught.value.states)) == (Disturb.KEEP_BACK, 1)
    kept = await keep_back(bins.desk, bins.by(after=32 * DAY), brood_text="P-1.1", keep_text="4 wild", sure=True)
    assert [hold.cause for hold in kept.state.holds] == [HoldCause.OTHER]


async def test_a_bin_that_is_kept_apart_comes_last_in_the_day_and_is_said_to(bins: Asking) -> None:
    await quarantine_bin(bins.desk, bins.by(), bin_text="B-1", until="1")
    for code, time in (("B-1", "08:00"), ("B-2", "20:00")):
        await add_task(
            bins.desk, bins.by(), bin_text=code, kind="moisture", days="Friday", time=time, zone="Europe/Lisbon"
        )
    today = await care_today(bins.desk, bins.by(after=DAY))
    assert [(item.bin_code, item.kind, item.apart, item.own_tools) for item in today.items] == [
        ("B-2", CareKind.MOISTURE, False, False),
        ("B-1", CareKind.QUARANTINE_END, True, True),
        ("B-1", CareKind.MOISTURE, True, True),
    ]
    await set_privacy(bins.desk, bins.by(), bin_text="B-1", private="everything")
    private = await care_today(bins.desk, bins.by(after=DAY))
    assert [(item.apart, item.own_tools) for item in private.items] == [(False, False), (True, False), (True, False)]


async def test_a_part_and_what_it_is_merged_into_are_in_quarantine_as_well(bins: Asking) -> None:
    await quarantine_bin(bins.desk, bins.by(after=DAY), bin_text="B-1", until="30")
    with pytest.raises(LookFirst) as caught:
        await split_bin(bins.desk, bins.by(after=2 * DAY), bin_text="B-1", number="3")
    assert [label.code for label, _ in caught.value.states] == ["B-1"]
    await split_bin(bins.desk, bins.by(after=2 * DAY), bin_text="B-1", number="3", sure=True)
    assert (await show_bin(bins.desk, bins.by(after=2 * DAY), "B-3")).state.quarantine is not None
    with pytest.raises(LookFirst) as merging:
        await merge_bins(bins.desk, bins.by(after=3 * DAY), into_text="B-2", from_text="B-3")
    assert [label.code for label, _ in merging.value.states] == ["B-3"]
    await merge_bins(bins.desk, bins.by(after=3 * DAY), into_text="B-2", from_text="B-3", sure=True)
    assert (await show_bin(bins.desk, bins.by(after=3 * DAY), "B-2")).state.quarantine is not None


async def test_a_bin_with_a_suspected_disease_is_handed_on_by_a_steward_alone(bins: Asking) -> None:
    await on_hold(bins)
    with pytest.raises(WaitsForSteward):
        await move_bin(bins.desk, bins.by(after=2 * DAY), bin_text="B-1", keeper=TO_MOSS, sure=True)
    with pytest.raises(LookFirst) as caught:
        await move_bin(bins.desk, bins.by(steward=True, after=2 * DAY), bin_text="B-1", keeper=TO_MOSS)
    assert [label.code for label, _ in caught.value.states] == ["B-1"]
    # On its shelf it disturbs nobody.
    moved = await move_bin(bins.desk, bins.by(after=2 * DAY), bin_text="B-1", shelf="window")
    assert moved.shelf == "window"


async def test_a_bin_on_hold_for_another_reason_is_handed_on_after_a_question(bins: Asking) -> None:
    await on_hold(bins, "another reason")
    with pytest.raises(LookFirst) as caught:
        await move_bin(bins.desk, bins.by(after=2 * DAY), bin_text="B-1", keeper=TO_MOSS)
    assert (caught.value.what, len(caught.value.states)) == (Disturb.HAND_ON, 1)
    moved = await move_bin(bins.desk, bins.by(after=2 * DAY), bin_text="B-1", keeper=TO_MOSS, sure=True)
    assert moved.keeper_name == "Moss"


def test_a_keeper_is_who_was_picked_and_nobody_whose_name_was_typed() -> None:
    assert picked("", "", "", bot=False) is None
    assert picked("Moss", "Moss", str(MOSS), bot=False) == TO_MOSS
    for name, named, number in (
        ("Mos", "Moss", str(MOSS)),
        ("Moss", "", ""),
        ("Moss", "Moss", "x"),
        ("Wren", "", str(WREN)),
    ):
        with pytest.raises(KeeperNotPicked):
            picked(name, named, number, bot=False)


async def test_who_is_paired_in_a_private_bin_is_not_known_by_name_to_others(bins: Asking) -> None:
    named = NewPairing(dams="1 from B-1", sires="1 wild called Rust", place="B-2")
    await set_up(bins.desk, bins.by(after=DAY), named)
    await open_bin(bins.desk, bins.by(MOSS, after=DAY), NewBin(species="Porcellio scaber", animals="9", holds="wild"))
    again_named = NewPairing(dams="1 from B-3", sires="Rust")
    view = await set_up(bins.desk, bins.by(MOSS, after=2 * DAY), again_named)
    assert [one.breeders.name for one in view.placed] == [None, "Rust"]
    await undo(bins.desk, bins.by(MOSS, after=2 * DAY), view.event or 0)
    await set_privacy(bins.desk, bins.by(after=2 * DAY), bin_text="B-2", private="everything")
    with pytest.raises(BreedersNotRead):
        await set_up(bins.desk, bins.by(MOSS, after=3 * DAY), again_named)
    mine = await set_up(bins.desk, bins.by(after=3 * DAY), NewPairing(dams="1 from B-1", sires="Rust"))
    assert mine.placed[1].breeders.name == "Rust"
