"""Undo: an event's images suffice to take it back, and it is refused when the book has moved on."""

import random
from collections.abc import AsyncIterator, Awaitable, Callable, Mapping
from datetime import timedelta
from fractions import Fraction
from typing import Any

import pytest
from pytest_asyncio import fixture as async_fixture
from sqlalchemy import String, select, type_coerce

from bot.calendar import weekly
from bot.records import (
    CareKind,
    Changed,
    Depended,
    Dominance,
    EventRow,
    Exactness,
    Irreversible,
    NotUndone,
    ParentRole,
    Records,
    Sex,
    State,
    Subject,
    WriteBook,
)
from bot.records.engines import Engines, make_engines
from bot.records.journal import JOURNALED, image, key_of, read_image
from bot.records.tables import events, texts
from tests.support.filled import CHANNEL, KEEPER, NOW, SERVER, Stamps, fill, open_bin

Images = Mapping[tuple[str, int], Mapping[str, Any]]


@async_fixture
async def engines(database_url: str) -> AsyncIterator[Engines]:
    """A way to the rows themselves."""
    engines = make_engines(database_url)
    yield engines
    await engines.close()


async def images(engines: Engines) -> Images:
    """Every row of the server that events speak of."""
    found = {}
    async with engines.reader.connect() as connection:
        for table in JOURNALED.values():
            for row in (await connection.execute(select(table).where(table.c.server_id == SERVER))).mappings():
                row_id = row[key_of(table).name]
                # A zone that was said beside something else stays when that is undone.
                found[table.name, row_id] = image(
                    table, row_id, {n: row[n] for n in row if (table.name, n) != ("keepers", "zone")}
                )
    return found


async def undo(records: Records, stamps: Stamps, event: EventRow) -> EventRow:
    async with records.write(stamps.next()) as book:
        return await book.undo(event)


async def last(records: Records, stamps: Stamps) -> EventRow:
    async with records.read(stamps.server) as book:
        event = await book.last_event_of(stamps.actor)
    assert event is not None
    return event


class Writer:
    """Writes at random into a book, a few changes to a request, from a seed."""

    def __init__(self, seed: int) -> None:
        self._random = random.Random(seed)
        self._made: dict[str, list[int]] = {}

    async def write(self, book: WriteBook) -> None:
        for _ in range(self._random.randint(1, 5)):
            await self._random.choice(self._possible())(book)
        await book.log("several", Subject("server", SERVER))

    def _possible(self) -> list[Callable[[WriteBook], Awaitable[None]]]:
        ways = {
            self._trait: (),
            self._bin: (),
            self._settings: (),
            self._founder: ("bin",),
            self._state: ("founder", "trait"),
            self._parent: ("bin", "second bin"),
            self._count: ("bin",),
            self._task: ("bin",),
            self._answer: ("occurrence",),
        }
        return [way for way, needed in ways.items() if all(self._made.get(kind) for kind in needed)]

    def forget(self) -> None:
        """Everything was taken back."""
        self._made.clear()

    def _one(self, kind: str) -> int:
        return self._random.choice(self._made[kind])

    def _keep(self, kind: str, row_id: int) -> None:
        self._made.setdefault(kind, []).append(row_id)

    async def _trait(self, book: WriteBook) -> None:
        dominance = self._random.choice(list(Dominance))
        self._keep("trait", await book.add_trait(name="ember", symbol="e", dominance=dominance))

    async def _bin(self, book: WriteBook) -> None:
        opened = await book.add_bin(species_key="x", name=self._random.choice([None, "mossy"]))
        self._keep("second bin" if self._made.get("bin") else "bin", opened.id)

    async def _settings(self, book: WriteBook) -> None:
        await book.set_keeper(zone=self._random.choice([None, "Asia/Kathmandu", "America/Lima"]))
        await book.set_server(zone=self._random.choice([None, "UTC"]), bin_prefix=self._random.choice(["A-", "B-"]))
        note, warning = (self._random.choice([None, Fraction(1, 8)]) for _ in range(2))
        await book.set_kinship(note=note, warning=warning, origin_kinship=Fraction(1, 16))

    async def _founder(self, book: WriteBook) -> None:
        number = self._random.choice([None, 1, 40])
        self._keep("founder", await book.add_founder(self._one("bin"), number=number, sex=Sex.MALE, origin="a swap"))

    async def _state(self, book: WriteBook) -> None:
        # A trait of its own, for a group is stated once per trait.
        trait = await book.add_trait(name="frost", symbol="f", dominance=Dominance.RECESSIVE)
        await book.add_founder_state(self._one("founder"), trait, State.POSSIBLE_HET, Fraction(1, 3))

    async def _parent(self, book: WriteBook) -> None:
        child = await book.add_bin(species_key="x")
        await book.add_parent(child.id, self._one("second bin"), ParentRole.DAM)

    async def _count(self, book: WriteBook) -> None:
        await book.add_count(self._one("bin"), total=10**9, exactness=Exactness.ESTIMATE, typed="lots")

    async def _task(self, book: WriteBook) -> None:
        kind, bin_id = self._random.choice(list(CareKind)), self._one("bin")
        text = "mist the springtails" if kind is CareKind.OTHER else None
        task = await book.add_task(bin_id=bin_id, kind=kind, text=text, cadence=weekly(6, 0), channel_id=CHANNEL)
        self._keep("occurrence", await book.add_occurrence(task, bin_id, NOW, None))

    async def _answer(self, book: WriteBook) -> None:
        if self._random.random() < 0.5:
            await book.finish_occurrence(self._one("occurrence"))
        else:
            later = NOW + timedelta(minutes=self._random.randint(1, 10**6))
            await book.put_off_occurrence(self._one("occurrence"), later)


@pytest.mark.parametrize("seed", range(8))
async def test_undoing_event_after_event_leads_back_through_every_state(
    records: Records, engines: Engines, seed: int
) -> None:
    stamps, writer = Stamps(), Writer(seed)
    # The first write makes the server's and the keeper's rows, which no event undoes.
    await open_bin(records, stamps)
    states = [await images(engines)]
    for _ in range(6):
        async with records.write(stamps.next()) as book:
            await writer.write(book)
        states.append(await images(engines))
    while len(states) > 1:
        assert await images(engines) == states.pop()
        event = await last(records, stamps)
        taken_back = await undo(records, stamps, event)
        assert (taken_back.kind, taken_back.subject) == ("undo", Subject("event", event.seq))
        assert (taken_back.before, taken_back.after) == (
            {"v": 1, "rows": list(reversed(event.after["rows"]))},
            {"v": 1, "rows": list(reversed(event.before["rows"]))},
        )
        assert await images(engines) == states[-1]


async def test_an_image_is_read_as_it_was_written(records: Records, database_url: str, engines: Engines) -> None:
    await fill(records, database_url, Stamps())
    found = await images(engines)
    assert {name for name, _ in found} == set(JOURNALED)
    for (name, row_id), written in found.items():
        table, read_id, values = read_image(written)
        assert (table.name, read_id) == (name, row_id)
        assert image(table, read_id, values) == written


async def test_images_hold_snowflakes_as_text_and_no_free_text(
    records: Records, database_url: str, engines: Engines
) -> None:
    await fill(records, database_url, Stamps())
    async with engines.reader.connect() as connection:
        stored = select(*(type_coerce(column, String) for column in (events.c.before, events.c.after)))
        pairs = await connection.execute(stored.where(events.c.server_id == SERVER))
        found = " ".join(document for pair in pairs for document in pair)
        typed = (await connection.execute(select(texts.c.body).where(texts.c.server_id == SERVER))).scalars().all()
    assert len(typed) > 5
    assert f'"{KEEPER}"' in found
    for words in (*(f'"{body}"' for body in typed), "Wren", f":{KEEPER}", f":{CHANNEL}"):
        assert words not in found


async def test_a_row_changed_since_is_not_put_back(records: Records, database_url: str, engines: Engines) -> None:
    stamps = Stamps()
    await fill(records, database_url, stamps)
    async with records.read(SERVER) as book:
        task = (await book.tasks((await book.bins())[0].id))[0]
        waiting = await book.open_occurrence(task.id)
    assert waiting is not None
    async with records.write(stamps.next()) as book:
        await book.put_off_occurrence(waiting.id, NOW + timedelta(days=2))
        event = await book.log("care.later", Subject("task", task.id))
    async with records.write(stamps.next()) as book:
        await book.finish_occurrence(waiting.id)
        await book.log("care.done", Subject("task", task.id))
    before = await images(engines)
    with pytest.raises(Changed) as refused:
        await undo(records, stamps, event)
    assert (refused.value.table, refused.value.id) == ("occurrences", waiting.id)
    assert await images(engines) == before


async def test_a_row_that_others_hang_on_is_not_taken_away(records: Records, engines: Engines) -> None:
    stamps, other = Stamps(), Stamps(actor=KEEPER + 1, name="Ives", requests=iter(range(1, 9)))
    opened = await open_bin(records, stamps)
    event = await last(records, stamps)
    async with records.write(other.next()) as book:
        counted = await book.add_count(opened.id, total=3, exactness=Exactness.EXACT)
        count_event = await book.log("count.log", Subject("count", counted))
    before = await images(engines)
    with pytest.raises(Depended) as refused:
        await undo(records, stamps, event)
    assert (refused.value.table, refused.value.id, refused.value.by) == ("bins", opened.id, "counts")
    assert await images(engines) == before
    await undo(records, other, count_event)
    await undo(records, stamps, event)
    async with records.read(SERVER) as book:
        assert await book.bins() == ()


async def test_a_refused_undo_leaves_the_unit_usable(records: Records) -> None:
    stamps = Stamps()
    await open_bin(records, stamps)
    event = await last(records, stamps)
    await undo(records, stamps, event)
    async with records.write(stamps.next()) as book:
        with pytest.raises(NotUndone):
            await book.undo(event)


async def test_an_event_is_not_undone_twice(records: Records) -> None:
    stamps = Stamps()
    await open_bin(records, stamps)
    event = await last(records, stamps)
    undoing = await undo(records, stamps, event)
    with pytest.raises(Changed):
        await undo(records, stamps, event)
    with pytest.raises(Irreversible):
        await undo(records, stamps, undoing)
    async with records.read(SERVER) as book:
        assert await book.last_event_of(stamps.actor) is None


async def test_last_is_ones_own_and_not_undone(records: Records) -> None:
    wren, ives = Stamps(), Stamps(actor=KEEPER + 1, name="Ives", requests=iter(range(1, 9)))
    for stamps in (wren, wren, ives):
        await open_bin(records, stamps)
    assert (await last(records, wren)).seq == 2
    assert (await last(records, ives)).seq == 3
    await undo(records, wren, await last(records, wren))
    assert (await last(records, wren)).seq == 1


async def test_a_keepers_zone_is_no_part_of_what_is_undone(records: Records) -> None:
    stamps = Stamps()
    opened = await open_bin(records, stamps)
    async with records.write(stamps.next()) as book:
        await book.set_keeper(zone="Asia/Tokyo")
        counted = await book.add_count(opened.id, total=4, exactness=Exactness.EXACT)
        event = await book.log("count.log", Subject("count", counted))
    assert [row["table"] for row in (*event.before["rows"], *event.after["rows"])] == ["counts"]
    async with records.write(stamps.next()) as book:
        await book.set_keeper(zone="Asia/Seoul")
        alone = await book.log("keeper.set", Subject("keeper", KEEPER))
    await undo(records, stamps, event)
    with pytest.raises(Irreversible):
        await undo(records, stamps, alone)
    async with records.read(SERVER) as book:
        assert [keeper.zone for keeper in await book.keepers()] == ["Asia/Seoul"]
        assert await book.count(counted) is None


async def test_a_code_is_never_given_again(records: Records) -> None:
    stamps = Stamps()
    first = await open_bin(records, stamps)
    await undo(records, stamps, await last(records, stamps))
    second = await open_bin(records, stamps)
    assert (first.code, second.code) == ("B-1", "B-2")
    assert second.id > first.id


async def test_erasing_a_person_leaves_the_events_byte_for_byte(
    records: Records, database_url: str, engines: Engines
) -> None:
    stamps, other = Stamps(), Stamps(actor=KEEPER + 1, name="Ives", requests=iter(range(1, 9)))
    await fill(records, database_url, stamps)
    await open_bin(records, other, name="not hers")
    stored = select(
        events.c.seq, *(type_coerce(events.c[name], String).label(name) for name in ("before", "after"))
    ).where(events.c.server_id == SERVER)

    async def as_stored() -> list[tuple[Any, ...]]:
        async with engines.reader.connect() as connection:
            return [tuple(row) for row in await connection.execute(stored.order_by(events.c.seq))]

    before = await as_stored()
    async with records.write(other.next()) as book:
        await book.erase_keeper_texts(stamps.actor)
        event = await book.log("keeper.erase", Subject("keeper", stamps.actor))
    assert (await as_stored())[:-1] == before
    async with records.read(SERVER) as book:
        assert [trait.name for trait in await book.traits()] == ["ember", "frost", "ink"]
        assert {opened.name for opened in await book.bins()} == {"", "not hers"}
        assert (await book.bins())[0].note == ""
        assert {founder.origin for founder in await book.founders((await book.bins())[0].id)} == {"", None}
        assert (await book.bins())[0].shelf == ""
        newest = (await book.counts((await book.bins())[0].id, limit=1))[0]
        assert newest.typed == ""
        assert newest.corrects_id is not None
        corrected = await book.count(newest.corrects_id)
        assert corrected is not None
        assert (corrected.typed, corrected.note) == ("", "")
        assert [keeper.name for keeper in await book.keepers()] == ["", "Ives", "Ash"]
    with pytest.raises(Irreversible):
        await undo(records, other, event)
