"""What is noted in a hurry: kept at once, asked for in the evening, told once, and taken back."""

from datetime import UTC, datetime, timedelta

import pytest
from pytest_asyncio import fixture as async_fixture

from bot.records import CareKind
from bot.services.bins import NewBin, open_bin, show_bin
from bot.services.brood_text import NewBrood
from bot.services.broods import log_brood
from bot.services.care_today import care_today
from bot.services.keepers import set_keeper
from bot.services.notes import Noted, Rest, note, rest_of, tell_death
from bot.services.pairing_setup import NewPairing, set_up
from bot.services.pairings import PairingView
from bot.services.refusals import NoSuchBin, NotYours, Outlived
from bot.services.undo import undo
from tests.support.asking import ELSEWHERE, MOSS, Asking, again
from tests.support.dispatching import round_at

YOUNG, DEAD, PHOTO = CareKind.YOUNG_SEEN, CareKind.ONE_DEAD, CareKind.PHOTO_DUE
EVENING = datetime(2026, 3, 5, 19, tzinfo=UTC)
"""Seven o'clock in Lisbon's winter, on the day of the tests."""
HOUR = timedelta(hours=1)


@async_fixture
async def bins(asking: Asking) -> Asking:
    """B-1 and B-2 of Wren's."""
    for _ in range(2):
        await open_bin(asking.desk, asking.by(), NewBin(species="Porcellio scaber", animals="30", holds="wild"))
    await set_keeper(asking.desk, asking.by(), zone="Europe/Lisbon")
    return asking


async def noted(bins: Asking, kind: CareKind, after: timedelta = timedelta()) -> Noted:
    found = await note(bins.desk, bins.by(after=after), kind, "B-1")
    assert isinstance(found, Noted)
    return found


async def wanted(bins: Asking, after: timedelta = timedelta()) -> list[CareKind]:
    return [item.kind for item in (await care_today(bins.desk, bins.by(after=after))).items]


@pytest.mark.parametrize("kind", [YOUNG, PHOTO])
async def test_a_note_is_kept_at_once_and_the_rest_is_asked_for_in_the_evening(bins: Asking, kind: CareKind) -> None:
    request = bins.by()
    found = await note(bins.desk, request, kind, "B-1")
    assert isinstance(found, Noted)
    assert (found.label.code, found.at, found.asks_at) == ("B-1", request.now, EVENING)
    # The same press delivered again, and another one.
    assert await note(bins.desk, again(request), kind, "B-1") == found
    twice = await noted(bins, kind, HOUR)
    assert (twice.at, twice.event) == (request.now, None)
    assert await wanted(bins) == [kind]
    assert await round_at(bins.desk.records, EVENING - timedelta(seconds=1)) is None
    due = await round_at(bins.desk.records, EVENING)
    assert due is not None
    assert [(item.kind, item.bin_code) for item in due.items] == [(kind, "B-1")]
    rest = await rest_of(bins.desk, bins.by(), due.items[0].occurrence_id)
    assert rest == Rest(kind, "B-1", "2026-03-05")


async def test_a_note_of_the_late_evening_is_asked_for_on_the_next_and_after_quiet_hours(bins: Asking) -> None:
    await set_keeper(bins.desk, bins.by(), quiet="18:30-20:00")
    late = await noted(bins, DEAD, 8 * HOUR)
    assert late.asks_at == EVENING + 24 * HOUR
    assert await round_at(bins.desk.records, EVENING + 24 * HOUR) is None
    assert await round_at(bins.desk.records, EVENING + 25 * HOUR) is not None


async def test_young_of_the_one_pairing_in_a_bin_are_its_young(bins: Asking) -> None:
    await set_up(bins.desk, bins.by(), NewPairing(dams="1 from B-1", sires="1 from B-2", place="B-1"))
    request = bins.by()
    view = await note(bins.desk, request, YOUNG, "B-1")
    assert isinstance(view, PairingView)
    assert view.row.young_at == request.now
    assert [row.kind for row in view.asks] == [YOUNG, CareKind.SEPARATE, CareKind.PARENTS_OUT]
    assert await note(bins.desk, again(request), YOUNG, "B-1") == view
    due = await round_at(bins.desk.records, EVENING)
    assert due is not None
    assert await rest_of(bins.desk, bins.by(), due.items[0].occurrence_id) == Rest(YOUNG, "P-1", "2026-03-05")
    brood = await log_brood(bins.desk, bins.by(), NewBrood("P-1", born="20"))
    assert await wanted(bins) == []
    assert brood.event is not None
    await undo(bins.desk, bins.by(), brood.event)
    assert await wanted(bins) == [YOUNG]


async def test_young_of_no_pairing_are_told_by_logging_them(bins: Asking) -> None:
    await noted(bins, YOUNG)
    await log_brood(bins.desk, bins.by(), NewBrood("B-1", born="20"))
    assert await wanted(bins) == []
    assert await round_at(bins.desk.records, EVENING) is None


async def test_a_dead_one_stands_in_the_book_at_once_and_is_told_in_full_later(bins: Asking) -> None:
    first = await noted(bins, DEAD)
    (death,) = (await show_bin(bins.desk, bins.by(), "B-1")).deaths
    assert (death.number, death.at, death.note) == (1, first.at, None)
    request = bins.by(after=8 * HOUR)
    told = await tell_death(bins.desk, request, bin_text="B-1", number="3", said="soft, after a moult")
    assert (told.death.id, told.death.at, told.death.number) == (death.id, first.at, 3)
    assert await tell_death(bins.desk, again(request), bin_text="B-1", number="3") == told
    assert await wanted(bins, 8 * HOUR) == []
    await undo(bins.desk, bins.by(), told.event)
    assert (await show_bin(bins.desk, bins.by(), "B-1")).deaths == (death,)
    assert await wanted(bins) == [DEAD]
    assert first.event is not None
    await undo(bins.desk, bins.by(), first.event)
    assert (await show_bin(bins.desk, bins.by(), "B-1")).deaths == ()
    assert await wanted(bins) == []


async def test_who_may_not_write_in_a_bin_notes_nothing_of_it_and_tells_nothing(bins: Asking) -> None:
    before = await bins.events()
    for kind in (YOUNG, DEAD, PHOTO):
        with pytest.raises(NotYours):
            await note(bins.desk, bins.by(MOSS), kind, "B-1")
        with pytest.raises(NoSuchBin):
            await note(bins.desk, bins.by(server=ELSEWHERE), kind, "B-1")
    with pytest.raises(Outlived):
        await note(bins.desk, bins.by(), CareKind.SEPARATE, "B-1")
    with pytest.raises(NotYours):
        await tell_death(bins.desk, bins.by(MOSS), bin_text="B-1", number="1")
    assert await bins.events() == before
    await noted(bins, DEAD)
    (item,) = (await care_today(bins.desk, bins.by())).items
    with pytest.raises(NotYours):
        await rest_of(bins.desk, bins.by(MOSS), item.occurrence_id)
    for stranger, number in ((bins.by(server=ELSEWHERE), item.occurrence_id), (bins.by(), 10**9)):
        with pytest.raises(Outlived):
            await rest_of(bins.desk, stranger, number)
