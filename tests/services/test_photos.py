"""Photos as services keep them: bytes in the book and in no event, one under a thing once, gone with an undo or their keeper."""

from collections.abc import Awaitable, Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from pytest_asyncio import fixture as async_fixture
from sqlalchemy import Select, func, select

from bot.records import Media, PhotoFile, Subject, photo_selects
from bot.records.engines import make_engines
from bot.records.photo_tables import photo_files
from bot.services.bins import NewBin, open_bin
from bot.services.keepers import erase_texts, set_keeper
from bot.services.photographed import Photographed, filing, photographed
from bot.services.photos import (
    MOST_BYTES,
    PhotoView,
    describe_photo,
    file_photo,
    keep_photo,
    photo_page,
    photos_standing,
    remove_photo,
    show_photo,
    taken,
)
from bot.services.refusals import NotYours, Refusal, TakenBack, TextTooLong
from bot.services.refusals_days import DayAhead, DayNotRead
from bot.services.refusals_photos import (
    NoSuchPhoto,
    NothingPhotographed,
    PhotoFault,
    PhotoGone,
    PhotoNotTaken,
    PhotoThere,
)
from bot.services.refusals_traits import NoSuchTrait
from bot.services.sharing import set_privacy
from bot.services.traits import define_trait
from bot.services.undo import undo
from bot.workers import Workers
from tests.support.asking import MOSS, SERVER, TAMSIN, WREN, Asking, again

PICTURE = b"\xff\xd8 the bytes of a picture \xff\xd9"
Count = Callable[[], Awaitable[int]]


class AtHand(Workers):
    """Photos are developed here and now, whatever they are: what a worker does has tests of its own."""

    async def run(self, job: object, *args: object, **_: object) -> object:  # type: ignore[override]
        raw = args[0]
        assert isinstance(raw, bytes)
        return (
            PhotoFault.NO_PICTURE if raw == b"text" else PhotoFile(Media.JPEG, 4, 3, f"{hash(raw) % 2**64:064x}", raw)
        )


@async_fixture
async def society(asking: Asking) -> Asking:
    """Two bins, Wren's and Moss's, a trait, and a chat that gives out what an address says."""

    async def fetch(address: str, most: int) -> bytes:
        assert most == MOST_BYTES
        if address == "gone":
            raise PhotoGone
        return PICTURE + address.encode() if address != "text" else b"text"

    open_ = Asking(replace(asking.desk, fetch=fetch, workers=AtHand()), asking.numbers)
    await open_bin(open_.desk, open_.by(), NewBin(species="Porcellio scaber", name="bark"))
    await open_bin(open_.desk, open_.by(MOSS), NewBin(species="Porcellio scaber"))
    await define_trait(open_.desk, open_.by(), name="ember", dominance="recessive")
    return open_


@pytest.fixture
def files(database_url: str) -> Count:
    """How many pictures the database holds."""

    async def count() -> int:
        engines = make_engines(database_url)
        async with engines.reader.connect() as connection:
            here = photo_files.c.server_id == SERVER
            found = await connection.scalar(select(func.count()).select_from(photo_files).where(here))
        await engines.close()
        return int(found or 0)

    return count


async def filed(society: Asking, address: str = "one", of: str = "B-1", who: int = WREN, **more: str) -> PhotoView:
    return await file_photo(society.desk, society.by(who), address=address, of=of, **more)


async def test_a_photo_is_kept_with_its_bytes_and_its_words(society: Asking) -> None:
    request = society.by()
    view = await file_photo(
        society.desk, request, address="one", of="b 1", trait="ember", day="yesterday", shows="her "
    )
    row = view.row
    assert (row.bin_code, row.trait_name, row.alternative, row.size) == ("B-1", "ember", "her", len(PICTURE) + 3)
    assert row.taken_at == datetime(2026, 3, 4, 12, tzinfo=UTC)
    assert (await show_photo(society.desk, society.by(), f"#{row.id}")).body == PICTURE + b"one"
    assert (await file_photo(society.desk, again(request), address="gone", of="B-1")).row == row
    event = (await society.events())[-1]
    assert event.kind == "photo.filed"
    assert "picture" not in str(event.after)
    assert "her" not in str(event.after)


def test_no_statement_loads_bytes_but_the_one_that_is_for_them() -> None:
    statements = {name: each for name, each in vars(photo_selects).items() if isinstance(each, Select)}
    loading = {name for name, each in statements.items() if photo_files.c.body in set(each.selected_columns)}
    assert loading == {"BODIES"}
    assert len(statements) > 5


async def test_what_cannot_be_filed_is_refused_before_anything_is_fetched(society: Asking) -> None:
    before = await society.events()
    refused: list[tuple[dict[str, str], type[Refusal]]] = [
        ({"of": "B-77"}, NothingPhotographed),
        ({"of": ""}, NothingPhotographed),
        ({"of": "B-2"}, NotYours),
        ({"of": "B-1", "trait": "frost"}, NoSuchTrait),
        ({"of": "B-1", "day": "3/5"}, DayNotRead),
        ({"of": "B-1", "day": "2027-01-01"}, DayAhead),
        ({"of": "B-1", "shows": "x" * 501}, TextTooLong),
    ]
    desk = replace(society.desk, fetch=None)  # type: ignore[arg-type]
    for words, kind in refused:
        with pytest.raises(kind):
            await file_photo(desk, society.by(), address="one", **words)
    for address, reason in (("gone", PhotoGone), ("text", PhotoNotTaken)):
        with pytest.raises(reason):
            await filed(society, address)
    assert await society.events() == before


async def test_the_same_picture_is_filed_under_a_thing_once(society: Asking) -> None:
    first = await filed(society)
    with pytest.raises(PhotoThere) as there:
        await filed(society)
    assert there.value.number == first.row.id
    await filed(society, of="ember")
    await remove_photo(society.desk, society.by(), str(first.row.id))
    await filed(society)


async def test_photos_come_the_newest_first_a_page_at_a_time(society: Asking) -> None:
    for number in range(1, 7):
        await filed(society, f"{number}", day=f"{number} days ago")
    await filed(society, "other", of="ember")
    page = await photo_page(society.desk, society.by(TAMSIN), "bark")
    assert (page.start, page.total, len(page.rows), page.of.key[0]) == (0, 6, 4, "b")
    assert [page.bodies[row.id][-1:] for row in page.rows] == [b"1", b"2", b"3", b"4"]
    rest = await photos_standing(society.desk, society.by(), page.of.key, 4)
    assert [rest.bodies[row.id][-1:] for row in rest.rows] == [b"5", b"6"]
    assert (await photos_standing(society.desk, society.by(), page.of.key, 99)).start == 0
    for key in ("", "b", "b999", "x1", "t" + "9" * 30):
        with pytest.raises(NothingPhotographed):
            await photos_standing(society.desk, society.by(), key, 0)


async def test_who_may_change_a_photo(society: Asking) -> None:
    on_ember = (await filed(society, of="ember", who=MOSS)).row.id
    in_bin = (await filed(society)).row.id
    for photo, allowed in ((on_ember, {MOSS}), (in_bin, {WREN})):
        for who in (WREN, MOSS, TAMSIN):
            assert (await show_photo(society.desk, society.by(who), str(photo))).may_change == (who in allowed)
            if who not in allowed:
                with pytest.raises(NotYours):
                    await remove_photo(society.desk, society.by(who), str(photo))
    told = await describe_photo(society.desk, society.by(TAMSIN, steward=True), str(in_bin), "pale")
    assert told.row.alternative == "pale"
    await remove_photo(society.desk, society.by(), str(in_bin))
    for change in (remove_photo(society.desk, society.by(), str(in_bin)), show_photo(society.desk, society.by(), "x")):
        with pytest.raises(NoSuchPhoto):
            await change


async def test_undoing_takes_the_bytes_along_and_removing_keeps_them(society: Asking, files: Count) -> None:
    request = society.by()
    view = await file_photo(society.desk, request, address="one", of="B-1")
    removed = await remove_photo(society.desk, society.by(), str(view.row.id))
    assert removed.event is not None
    assert (await photo_page(society.desk, society.by(), "B-1")).total == 0
    assert await files() == 1
    await undo(society.desk, society.by(), removed.event)
    assert (await photo_page(society.desk, society.by(), "B-1")).total == 1
    assert view.event is not None
    await undo(society.desk, society.by(), view.event)
    assert await files() == 0
    assert (await photo_page(society.desk, society.by(), "B-1")).total == 0
    with pytest.raises(TakenBack):
        await file_photo(society.desk, again(request), address="one", of="B-1")


async def test_who_erases_what_they_typed_takes_their_pictures_along(society: Asking, files: Count) -> None:
    mine = (await filed(society, of="ember", shows="my shed")).row.id
    theirs = (await filed(society, of="B-2", who=MOSS)).row.id
    before = await society.events()
    await erase_texts(society.desk, society.by())
    assert await files() == 1
    with pytest.raises(NoSuchPhoto):
        await show_photo(society.desk, society.by(), str(mine))
    assert (await show_photo(society.desk, society.by(), str(theirs))).body
    assert (await society.events())[: len(before)] == before


async def test_a_private_bin_keeps_its_photos_to_itself(society: Asking) -> None:
    number = (await filed(society, of="B-2", who=MOSS, trait="ember")).row.id
    assert (await photo_page(society.desk, society.by(), "ember")).total == 1
    await set_privacy(society.desk, society.by(MOSS), bin_text="B-2", private="everything")
    for who, seen in ((MOSS, 1), (WREN, 0)):
        assert (await photo_page(society.desk, society.by(who), "ember")).total == seen
        async with society.desk.records.read(SERVER, who) as book:
            assert len(await book.photo_bodies([number])) == seen
    with pytest.raises(NoSuchPhoto):
        await show_photo(society.desk, society.by(steward=True), str(number))


async def test_others_keep_photos_in_their_own_unit_of_work(society: Asking) -> None:
    """As a find does: fetched before the unit, one event for all that is written in it."""
    file = await taken(society.desk, "one")
    request = society.by()
    async with society.desk.records.write(request.stamp) as book:
        of = await photographed(book, "B-1", "ember")
        number = await keep_photo(book, file, of, taken_at=request.now)
        await book.log("find.logged", Subject("find", 1))
    assert (await show_photo(society.desk, society.by(), str(number))).row.trait_name == "ember"


async def test_a_form_offers_the_bins_worked_on_last_and_the_keepers_own_day(society: Asking) -> None:
    await open_bin(society.desk, society.by(), NewBin(species="Porcellio scaber"))
    await filed(society)
    posted = datetime(2026, 3, 5, 1, 30, tzinfo=UTC)
    offered = await filing(society.desk, society.by(), posted)
    assert ([b.code for b in offered.bins], offered.day.isoformat()) == (["B-1", "B-3"], "2026-03-05")
    await set_keeper(society.desk, society.by(), zone="America/Denver")
    assert (await filing(society.desk, society.by(), posted)).day.isoformat() == "2026-03-04"
    ahead = await filing(society.desk, society.by(), posted + timedelta(days=9))
    assert ahead.day == society.by().now.astimezone(ZoneInfo("America/Denver")).date()
    every = await filing(society.desk, society.by(TAMSIN, steward=True), posted)
    assert [b.code for b in every.bins] == ["B-1", "B-2", "B-3"]


def test_a_photo_is_of_something() -> None:
    with pytest.raises(ValueError, match="nothing"):
        Photographed()
