"""The bot's process is killed at random instants while pings go out and counts are logged: nothing is lost or doubled."""

import logging
import os
import random
import secrets
from collections.abc import AsyncIterator, Callable
from pathlib import Path

import pytest
from pytest_asyncio import fixture as async_fixture

from bot.clock.marks import mark
from bot.practice.exchange import Exchange
from bot.records import DeliveryState, Records
from tests.support.processes import machine_on
from tests.support.processes_killed import PLACE, BadLuck, Kill, When, planned
from tests.support.wire import HandClock

KILLS = 20
SEED = "MANCABOOK_TEST_SEED"
"""Names the seed of a run that is to be repeated. The moments depend on the machine too, so it repeats them nearly."""

_log = logging.getLogger(__name__)


@pytest.fixture
def seed(record_property: Callable[[str, object], None]) -> int:
    """A new seed for each run; it stands in the log and in the report of a failure."""
    chosen = int(os.environ.get(SEED) or secrets.randbelow(10**6))
    record_property("seed", chosen)
    _log.warning("%s=%d", SEED, chosen)
    return chosen


@async_fixture
async def society(
    database_url: str, tmp_path: Path, recorder: Callable[[Exchange], None] | None, seed: int
) -> AsyncIterator[BadLuck]:
    """A society with leases that end within a test; the wait for a rate limit has to be shorter still."""
    clock = HandClock()
    short = {"MANCABOOK_LEASE": "1.2", "MANCABOOK_LONGEST_WAIT": "1"}
    records = await Records.open(database_url)
    async with machine_on(database_url, tmp_path, [PLACE], recorder, clock, **short) as machine:
        founded = BadLuck(machine, records, clock, random.Random(seed))
        await founded.found()
        yield founded
    await records.close()


async def test_twenty_kills(society: BadLuck, seed: int) -> None:
    kills = planned(society.chance, KILLS)
    assert {kill.when for kill in kills} == set(When)
    for number, kill in enumerate(kills, start=1):
        _log.warning("kill %d: %s, %.3f%s", number, kill.when, kill.after, ", then an outage" if kill.outage else "")
        await society.let_fall_due()
        await society.live_and_die(kill)
    await society.calm_down()
    assert len({bot.pid for bot in society.machine.started}) == KILLS + 1
    assert len(society.acknowledged()) > KILLS
    await assert_every_count_once(society, seed)
    await assert_every_ping_once(society, seed)


@pytest.mark.parametrize("outage", [False, True], ids=["young", "old"])
async def test_a_ping_that_was_posted_and_not_heard_of(society: BadLuck, seed: int, outage: bool) -> None:
    """While it is young its nonce keeps it single. Later the channel's history does, and it is not sent again."""
    await society.let_fall_due()
    await society.live_and_die(Kill(When.TAKEN_NOT_HEARD, 0, outage))
    unheard = await society.deliveries(DeliveryState.SENDING)
    standing = {mark(number) for number in unheard} & set(society.pings())
    assert standing
    await society.calm_down()
    await assert_every_ping_once(society, seed)
    times = {nonce: sum(nonce == other for other in society.posted()) for nonce in society.posted()}
    for number, row in unheard.items():
        if mark(number) in standing:
            assert times[row.nonce] == (1 if outage else 2)
    assert bool(society.looks()) == outage


async def assert_every_count_once(society: BadLuck, seed: int) -> None:
    acknowledged, written = society.acknowledged(), await society.written()
    assert not acknowledged - set(written), f"seed {seed}: acknowledged and lost"
    assert set(written) <= set(society.logged), f"seed {seed}: nobody logged this"
    assert max(written.values()) == 1, f"seed {seed}: written twice"
    assert max((await society.events_of_counts()).values()) == 1, f"seed {seed}: two events of one interaction"


async def assert_every_ping_once(society: BadLuck, seed: int) -> None:
    deliveries, pings = await society.deliveries(DeliveryState.SENT), society.pings()
    asked = await society.asked()
    assert len(asked) == len(society.cares)
    assert {row.delivery_id for row in asked} == set(deliveries)
    assert set(pings) == {mark(number) for number in deliveries}, f"seed {seed}: lost, or of nobody"
    for number, row in deliveries.items():
        (ping,) = pings[mark(number)]
        assert (row.message_id, row.channel_id, row.nonce) == (ping.id, ping.channel_id, ping.nonce), f"seed {seed}"
        assert ping.pinged == (row.keeper_id,)
        assert not row.maybe_repeat
        assert "repeat" not in ping.text
