"""The dispatcher's statements from several processes at once, and beside keepers who write, on both engines."""

import asyncio
from contextvars import Context

import pytest

from bot.records import OccurrenceState, Records
from tests.support.claiming import DUE, HOUR, LEASE, WEEK, begin, claim, sent, states
from tests.support.pings import START, add_care, finish, stamp


@pytest.mark.parametrize("left_behind", [False, True], ids=["new", "left behind"])
async def test_three_processes_claim_and_mark_at_once_and_none_gets_what_another_has(
    records: Records, database_url: str, left_behind: bool
) -> None:
    cares = [await add_care(records, server, keeper) for server in (5, 6, 7) for keeper in range(1, 9)]
    if left_behind:
        assert len(await claim(records, holder="dead")) == len(cares)
    at = HOUR + LEASE if left_behind else HOUR
    others = [await Records.open(database_url) for _ in range(2)]
    taken: list[tuple[int, int]] = []

    async def work(holder: str, mine: Records) -> None:
        idle = 0
        while idle < 3:
            claimed = await claim(mine, holder=holder, at=at, limit=2)
            idle = 0 if claimed else idle + 1
            for delivery in claimed:
                taken.append((delivery.server, delivery.id))
                assert await begin(mine, delivery, holder=holder, at=at)
                assert await sent(mine, delivery, holder=holder, at=at)

    await asyncio.gather(*(work(f"w{n}", each) for n, each in enumerate([records, *others])))
    for other in others:
        await other.close()
    assert len(taken) == len(set(taken)) == len(cares)
    for care in cares:
        assert await states(records, care) == [(0 * WEEK, OccurrenceState.ASKED), (WEEK, OccurrenceState.DUE)]


async def test_claims_and_keepers_writes_at_once_never_block_each_other_for_good(
    records: Records, database_url: str
) -> None:
    """Both take the server's row first: the order in which they lock is one."""
    cares = [await add_care(records, 5, keeper) for keeper in range(1, 7)]
    other = await Records.open(database_url)

    async def keepers_write() -> None:
        for care in cares:
            await finish(other, care, care.occurrence, DUE)

    async def dispatch() -> None:
        for _ in range(10):
            for delivery in await claim(records, limit=1):
                assert await sent(records, delivery)

    async with asyncio.timeout(20):
        await asyncio.gather(keepers_write(), dispatch())
    await other.close()
    for care in cares:
        assert (0 * WEEK, OccurrenceState.DONE) in await states(records, care)


async def test_a_server_whose_keepers_write_without_a_pause_is_pinged_all_the_same(
    records: Records, database_url: str
) -> None:
    """Passing over every server that is written to would leave a busy one unpinged for ever."""
    await add_care(records, 5, due=DUE)
    other = await Records.open(database_url)
    async with other.write(stamp(5, 1, START)) as book:
        # A context of its own, as another process has: this one knows that a unit is open.
        claiming = asyncio.create_task(claim(records), context=Context())
        await asyncio.sleep(0.2)
        assert not claiming.done()
        await book.add_draft("odds", {"cross": "wild x wild"}, DUE)
    async with asyncio.timeout(10):
        assert len(await claiming) == 1
    await other.close()
