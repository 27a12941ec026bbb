"""What a label says of a bin: told by what was recorded, over a small society with every kind of bin."""

from datetime import timedelta

import pytest

from bot.cards.labels import label_of
from bot.records import HoldCause, MarkKind, Subject
from bot.services.bins import NewBin, open_bin
from bot.services.brood_text import NewBrood
from bot.services.broods import log_brood
from bot.services.holdbacks import keep_back
from bot.services.labels import MOST_LABELS, Females, LabelledBin, bins_to_label
from bot.services.pairing_setup import NewPairing, set_up
from bot.services.pairings import young_seen
from bot.services.refusals import NoSuchBin
from bot.services.refusals_days import DayAhead
from bot.services.refusals_labels import NothingToLabel, TooManyLabels
from bot.services.traits import define_trait
from tests.support.asking import ELSEWHERE, MOSS, TAMSIN, Asking

DAY = timedelta(days=1)


async def found(asking: Asking, text: str, *, after: timedelta = timedelta()) -> dict[str, LabelledBin]:
    sheet = await bins_to_label(asking.desk, asking.by(after=after), bins_text=text)
    return {each.row.code: each for each in sheet.bins}


async def opened(asking: Asking, animals: str, *, who: int | None = None, **said: str) -> None:
    request = asking.by() if who is None else asking.by(who)
    await open_bin(asking.desk, request, NewBin(species="Porcellio scaber", animals=animals, **said))


async def test_a_label_says_what_the_book_knows_of_a_bin(asking: Asking) -> None:
    desk = asking.desk
    await define_trait(desk, asking.by(), name="ember", dominance="recessive")
    await opened(asking, "12 females", holds="visual ember", name="ember girls")  # B-1
    await opened(asking, "5 males 9 females", holds="wild")  # B-2
    await opened(asking, "20", holds="wild", parents="B-1 x B-2")  # B-3
    await opened(asking, "", parents="B-3")  # B-4
    await set_up(
        desk, asking.by(), NewPairing(dams="2 from B-1", sires="1 from B-2", dams_were="isolated unmated")
    )  # B-5
    young = await young_seen(desk, asking.by(after=DAY), "P-1", temperature="22 C")
    assert young.row.separate_by is not None
    assert young.row.parents_out_by is not None
    await log_brood(desk, asking.by(after=2 * DAY), NewBrood(of="P-1", scored="4 ember females, 5 wild males"))
    await keep_back(desk, asking.by(after=3 * DAY), brood_text="P-1.1", keep_text="3 ember females")  # B-6
    late = young.row.separate_by - asking.by().now + DAY
    await keep_back(desk, asking.by(after=late), brood_text="P-1.1", keep_text="1 ember female")  # B-7
    labels = await found(asking, "B-1 B-2, B-3; B-4 and B-5\nB-6 B-7")
    assert list(labels) == [f"B-{number}" for number in range(1, 8)]
    # Dams of B-1 were said to be unmated; those of B-6 were parted from their brothers in time, that of B-7 was not.
    told = {code: each.females for code, each in labels.items() if each.females is not None}
    assert told == {"B-1": Females.UNMATED, "B-6": Females.UNMATED, "B-7": Females.NO_MALES}
    generation = {code: each.generation for code, each in labels.items() if each.generation is not None}
    assert generation == {"B-3": 1, "B-4": 2, "B-6": 1, "B-7": 1}
    running = labels["B-5"]
    assert (running.separate_by, running.parents_out_by) == (young.row.separate_by, young.row.parents_out_by)
    assert not running.mixed
    zone = (await bins_to_label(desk, asking.by())).zone
    printed = label_of(running, zone, asking.by().now, "")
    assert printed.notices == (
        f"separate by {young.row.separate_by:%-d %b %Y}",
        f"breeders out by {young.row.parents_out_by:%-d %b %Y}",
    )
    girls = label_of(labels["B-1"], zone, asking.by().now, "")
    assert (girls.name, girls.species) == ("ember girls", "Porcellio scaber")
    assert (girls.holds, girls.notices, girls.foot) == (
        "females: visual ember",
        ("unmated: no males",),
        ("as of 5 Mar 2026",),
    )
    assert label_of(labels["B-4"], zone, asking.by().now, "").foot[0] == "F2 by the book"
    past = young.row.parents_out_by - asking.by().now + DAY
    mixed = (await found(asking, "B-5", after=past))["B-5"]
    assert mixed.mixed
    assert "generations mixed" in label_of(mixed, zone, asking.by().now, "").notices


async def test_holds_and_quarantines_stand_on_the_label_while_they_last(asking: Asking) -> None:
    await opened(asking, "30")
    (each,) = (await found(asking, "B-1")).values()
    request = asking.by()
    async with asking.desk.records.write(request.stamp) as book:
        held = await book.add_mark(each.row.id, MarkKind.HOLD, cause=HoldCause.BLUE_SHEEN)
        await book.add_mark(each.row.id, MarkKind.QUARANTINE, until=request.now + 60 * DAY)
        await book.add_mark(each.row.id, MarkKind.LID_OFF)
        await book.log("bin.held", Subject("bin", each.row.id))
    sheet = await bins_to_label(asking.desk, asking.by())
    assert label_of(sheet.bins[0], sheet.zone, request.now, "").notices == ("ON HOLD", "quarantine until 4 May 2026")
    async with asking.desk.records.write(asking.by().stamp) as book:
        await book.end_mark(held)
        await book.log("bin.released", Subject("bin", each.row.id))
    sheet = await bins_to_label(asking.desk, asking.by())
    assert label_of(sheet.bins[0], sheet.zone, request.now, "").notices == ("quarantine until 4 May 2026",)


async def test_which_bins_a_sheet_is_of(asking: Asking) -> None:
    desk = asking.desk
    await opened(asking, "30", shelf="window")
    await opened(asking, "30", who=MOSS, shelf="cellar")
    await open_bin(desk, asking.by(after=3 * DAY), NewBin(species="Porcellio scaber"))

    async def codes(who: int, **asked: str) -> list[str]:
        sheet = await bins_to_label(desk, asking.by(who, after=3 * DAY), **asked)
        return [each.row.code for each in sheet.bins]

    wren = asking.by().actor
    assert await codes(wren) == ["B-1", "B-3"]
    assert await codes(MOSS) == ["B-2"]
    assert await codes(wren, shelf=" Window ") == ["B-1"]
    # A shelf on which none of one's own stands is somebody's.
    assert await codes(wren, shelf="cellar") == ["B-2"]
    assert await codes(wren, since="today") == ["B-3"]
    assert await codes(wren, bins_text="b3, B-2 and 3") == ["B-3", "B-2"]
    with pytest.raises(NothingToLabel):
        await codes(TAMSIN)
    with pytest.raises(NothingToLabel):
        await codes(wren, since="today", shelf="window")
    with pytest.raises(NoSuchBin):
        await codes(wren, bins_text="B-3 B-9")
    with pytest.raises(DayAhead):
        await codes(wren, since="2031-01-01")
    with pytest.raises(NoSuchBin):
        await bins_to_label(desk, asking.by(server=ELSEWHERE), bins_text="B-1")


async def test_one_more_than_a_sheet_is_too_many(asking: Asking) -> None:
    async with asking.desk.records.write(asking.by().stamp) as book:
        for _ in range(MOST_LABELS):
            last = await book.add_bin(species_key="porcellio-scaber")
        await book.log("bin.opened", Subject("bin", last.id))
    assert len((await bins_to_label(asking.desk, asking.by())).bins) == MOST_LABELS
    await opened(asking, "3")
    with pytest.raises(TooManyLabels) as refused:
        await bins_to_label(asking.desk, asking.by())
    assert (refused.value.number, refused.value.most) == (MOST_LABELS + 1, MOST_LABELS)
