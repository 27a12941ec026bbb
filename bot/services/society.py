"""A society described as data, written into an empty book by the same services that its keepers would use."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from importlib import resources
from typing import Any

from bot.services.bins import NewBin, open_bin
from bot.services.brood_text import NewBrood
from bot.services.broods import write_brood
from bot.services.care_tasks import add_task
from bot.services.counts import log_count
from bot.services.desk import Desk
from bot.services.keepers import set_keeper
from bot.services.pairing_setup import NewPairing, set_up
from bot.services.pairings import end_pairing
from bot.services.request import Request, Role
from bot.services.sharing import set_privacy, share_bin
from bot.services.traits import define_trait


@dataclass(frozen=True, slots=True)
class Member:
    """A keeper of a society."""

    id: int
    name: str
    zone: str
    steward: bool


@dataclass(frozen=True, slots=True)
class Step:
    """One thing a keeper did: how many days ago, and what, with its fields as typed."""

    days_ago: int
    keeper: str
    what: str
    fields: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Society:
    """A server with its rooms (id, name) and keepers, and what they did, oldest first."""

    server: int
    name: str
    rooms: tuple[tuple[int, str], ...]
    keepers: tuple[Member, ...]
    steps: tuple[Step, ...]


def shipped_society() -> Society:
    """The demo society that comes with the package."""
    return read_society(resources.files("demo_data").joinpath("society.toml").read_text("utf-8"))


def read_society(text: str) -> Society:
    """A society from its TOML description.

    Raises:
        KeyError, tomllib.TOMLDecodeError: the description is not complete.
    """
    document = tomllib.loads(text)
    steps = [_step(row) for row in document["steps"]]
    steps += [step for row in document.get("counts", ()) for step in _counts(row)]
    return Society(
        server=document["server"],
        name=document["name"],
        rooms=tuple((room["id"], room["name"]) for room in document["rooms"]),
        keepers=tuple(Member(k["id"], k["name"], k["zone"], k.get("steward", False)) for k in document["keepers"]),
        steps=tuple(sorted(steps, key=lambda step: -step.days_ago)),
    )


def _counts(row: dict[str, Any]) -> list[Step]:
    """The counts of one bin by one keeper, by how many days ago."""
    return [
        Step(int(days), row["keeper"], "count", {"bin": row["bin"], "count": typed})
        for days, typed in row["typed"].items()
    ]


def _step(row: dict[str, Any]) -> Step:
    what = next(key for key in row if key not in ("days_ago", "keeper"))
    return Step(row["days_ago"], row["keeper"], what, row[what])


async def found_society(desk: Desk, society: Society, now: datetime) -> None:
    """Write a society into the book of its server, as if its keepers had done so over the past months."""
    keepers = {keeper.name: keeper for keeper in society.keepers}
    rooms = {name: number for number, name in society.rooms}
    for number, step in enumerate(society.steps, start=1):
        keeper = keepers[step.keeper]
        request = Request(
            server=society.server,
            actor=keeper.id,
            actor_name=keeper.name,
            # Below every id the chat service gives, so that no interaction can have it.
            request_id=number,
            now=now - timedelta(days=step.days_ago),
            roles=frozenset({Role.STEWARD}) if keeper.steward else frozenset(),
            channel=rooms.get(step.fields.get("room", ""), society.rooms[0][0]),
        )
        await _do(desk, request, step, keepers)


async def _do(desk: Desk, request: Request, step: Step, keepers: Mapping[str, Member]) -> None:
    fields = step.fields
    match step.what:
        case "trait":
            await define_trait(
                desk,
                request,
                name=fields["name"],
                dominance=fields["shows"],
                symbol=fields.get("symbol", ""),
                species=fields.get("species", ""),
            )
        case "bin":
            await open_bin(desk, request, NewBin(**fields))
        case "count":
            await log_count(
                desk, request, bin_text=fields["bin"], count_text=fields["count"], note=fields.get("note", "")
            )
        case "pairing":
            await set_up(desk, request, NewPairing(**fields), sure=True)
        case "brood":
            await write_brood(desk, request, NewBrood(**fields))
        case "end":
            await end_pairing(desk, request, fields["pairing"], reason=fields.get("reason", ""))
        case "care":
            await add_task(
                desk,
                request,
                bin_text=fields["bin"],
                kind=fields["task"],
                days=fields["day"],
                time=fields["time"],
                zone=keepers[step.keeper].zone,
            )
        case "share":
            other = keepers[fields["who"]]
            await share_bin(desk, request, bin_text=fields["bin"], keeper=other.id, name=other.name)
        case "privacy":
            await set_privacy(desk, request, bin_text=fields["bin"], private=fields["private"])
        case "settings":
            await set_keeper(
                desk,
                request,
                zone=fields.get("zone", ""),
                quiet=fields.get("quiet", ""),
                units=fields.get("units", ""),
            )
        case _:
            raise KeyError(step.what)
