"""The chat service of the bench, in a process of its own, so that the bot's processor time is the bot's alone.

It says its address in a line of JSON, then answers each line of JSON on its input with one: `{"wait": "ready"}` or
`{"wait": "gone"}`, or a round of commands as `Round` has it.
"""

import asyncio
import json
import sys
from dataclasses import dataclass
from typing import Any

from bot.practice.service import Service
from tests.support.chat import BINS, HOLLOW_LOG, WREN


@dataclass(frozen=True, slots=True)
class Round:
    """A command sent `count` times, `in_flight` at once; `wanted` has to stand in each answer."""

    command: str
    options: dict[str, str]
    wanted: str
    in_flight: int
    count: int


async def driven(service: Service, asked: Round) -> list[float]:
    """Send a round; returns the seconds from each command to its accepted answer.

    Raises:
        AssertionError: an answer is missing or says something else.
    """
    latencies: list[float] = []

    async def person(count: int) -> None:
        for _ in range(count):
            outcome = await service.command(HOLLOW_LOG, BINS, WREN, asked.command, asked.options)
            assert asked.wanted in outcome.text, outcome
            assert outcome.latency is not None
            latencies.append(outcome.latency)

    await asyncio.gather(*(person(asked.count // asked.in_flight) for _ in range(asked.in_flight)))
    return latencies


async def main() -> None:
    """Serve until the input ends."""
    service = Service([HOLLOW_LOG])
    await service.start()
    _say({"address": service.base_url.removesuffix("/api/v10"), "token": service.token})
    while line := await asyncio.to_thread(sys.stdin.readline):
        asked = json.loads(line)
        match asked.pop("wait", None):
            case "ready":
                await service.wait_ready(30)
                _say({})
            case "gone":
                await service.wait_gone(30)
                _say({})
            case _:
                _say({"latencies": await driven(service, Round(**asked))})
    await service.stop()


def _say(what: dict[str, Any]) -> None:
    sys.stdout.write(json.dumps(what) + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    asyncio.run(main())
