"""A keeper's settings, the server's, and erasing one's words, on both engines."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.records import Units
from bot.services.bins import NewBin, open_bin, show_bin
from bot.services.keepers import erase_texts, read_quiet, set_keeper, set_server, settings_of
from bot.services.refusals import (
    NoSuchZone,
    NothingSet,
    NothingToUndo,
    PrefixNotTaken,
    QuietNotRead,
    StewardsOnly,
    WordNotKnown,
)
from bot.services.undo import undo
from tests.support.asking import MOSS, WREN, Asking, again


async def test_settings_are_kept_one_by_one_and_undone(asking: Asking) -> None:
    assert (await settings_of(asking.desk, asking.by(WREN))).keeper is None
    await set_keeper(asking.desk, asking.by(WREN), zone="lisbon")
    request = asking.by(WREN)
    changed = await set_keeper(asking.desk, request, quiet="10pm to 7am", units="Imperial", channel=77)
    keeper = changed.keeper
    assert keeper is not None
    assert (keeper.zone, keeper.quiet_from, keeper.quiet_to) == ("Europe/Lisbon", 1320, 420)
    assert (keeper.units, keeper.channel_id) == (Units.IMPERIAL, 77)
    assert await set_keeper(asking.desk, again(request), quiet="10pm to 7am", units="Imperial", channel=77) == changed
    assert changed.event is not None
    await undo(asking.desk, asking.by(WREN), changed.event)
    back = (await settings_of(asking.desk, asking.by(WREN))).keeper
    assert back is not None
    assert (back.zone, back.quiet_from, back.quiet_to, back.units, back.channel_id) == (
        "Europe/Lisbon",
        None,
        None,
        None,
        None,
    )


async def test_settings_are_each_persons_own(asking: Asking) -> None:
    await set_keeper(asking.desk, asking.by(WREN), zone="Europe/Lisbon")
    await set_keeper(asking.desk, asking.by(MOSS), quiet="22-7")
    keeper = (await settings_of(asking.desk, asking.by(MOSS))).keeper
    assert keeper is not None
    assert (keeper.zone, keeper.quiet_from) == (None, 1320)


async def test_what_cannot_be_set_is_refused(asking: Asking) -> None:
    with pytest.raises(NothingSet):
        await set_keeper(asking.desk, asking.by(WREN))
    with pytest.raises(NoSuchZone):
        await set_keeper(asking.desk, asking.by(WREN), zone="Lisbonne")
    with pytest.raises(QuietNotRead):
        await set_keeper(asking.desk, asking.by(WREN), quiet="at night")
    with pytest.raises(WordNotKnown):
        await set_keeper(asking.desk, asking.by(WREN), units="stones")
    assert await asking.events() == []


async def test_stewards_set_the_server_and_the_next_bin_has_the_new_code(asking: Asking) -> None:
    with pytest.raises(StewardsOnly):
        await set_server(asking.desk, asking.by(WREN), prefix="HL-")
    await open_bin(asking.desk, asking.by(WREN), NewBin("Porcellio scaber"))
    changed = await set_server(asking.desk, asking.by(MOSS, steward=True), prefix="hl-", zone="UTC", channel=88)
    assert changed.server is not None
    assert (changed.server.bin_prefix, changed.server.zone, changed.server.channel_id) == ("HL-", "UTC", 88)
    assert (await open_bin(asking.desk, asking.by(WREN), NewBin("Porcellio scaber"))).row.code == "HL-2"
    assert (await show_bin(asking.desk, asking.by(WREN), "B-1")).row.code == "B-1"
    assert changed.event is not None
    await undo(asking.desk, asking.by(MOSS, steward=True), changed.event)
    assert (await open_bin(asking.desk, asking.by(WREN), NewBin("Porcellio scaber"))).row.code == "B-3"


@pytest.mark.parametrize("prefix", ["1", "HL-2", "much too long-", "-", "H L", "HL--"])
async def test_a_prefix_that_could_be_mistaken_is_refused(asking: Asking, prefix: str) -> None:
    with pytest.raises(PrefixNotTaken):
        await set_server(asking.desk, asking.by(WREN, steward=True), prefix=prefix)


async def test_erased_words_are_gone_and_what_happened_stays(asking: Asking) -> None:
    await open_bin(asking.desk, asking.by(WREN), NewBin("Porcellio scaber", name="ember", animals="12", note="mine"))
    await open_bin(asking.desk, asking.by(MOSS), NewBin("Porcellio scaber", name="frost"))
    before = await asking.events()
    request = asking.by(WREN)
    await erase_texts(asking.desk, request)
    await erase_texts(asking.desk, again(request))
    view = await show_bin(asking.desk, asking.by(MOSS), "B-1")
    assert (view.row.name, view.row.note, view.row.keeper_name, view.counts[0].total) == ("", "", "", 12)
    assert (await show_bin(asking.desk, asking.by(MOSS), "B-2")).row.name == "frost"
    *same, erased = await asking.events()
    assert same == before
    with pytest.raises(NothingToUndo):
        await undo(asking.desk, asking.by(WREN), erased.seq)


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("22:00-07:00", (1320, 420)),
        ("22-7", (1320, 420)),
        ("10 pm – 7 am", (1320, 420)),
        ("10pm until 7am", (1320, 420)),
        ("0:00-6:30", (0, 390)),
        ("off", (None, None)),
        (" None ", (None, None)),
    ],
)
def test_quiet_hours_are_read_as_people_write_them(typed: str, meant: tuple[int | None, int | None]) -> None:
    assert read_quiet(typed) == meant


@pytest.mark.parametrize("typed", ["", "night", "22:00", "22-22", "25-7", "1-2-3", "-"])
def test_what_are_no_quiet_hours_is_refused(typed: str) -> None:
    with pytest.raises(QuietNotRead):
        read_quiet(typed)


@given(st.integers(0, 1439), st.integers(0, 1439))
def test_quiet_hours_are_read_as_written(start: int, end: int) -> None:
    typed = f"{start // 60}:{start % 60:02d} to {end // 60}:{end % 60:02d}"
    if start == end:
        with pytest.raises(QuietNotRead):
            read_quiet(typed)
    else:
        assert read_quiet(typed) == (start, end)
