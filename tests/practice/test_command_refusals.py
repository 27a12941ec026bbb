"""Command sets that the service refuses, by raw HTTP."""

from typing import Any

import pytest

from bot.practice.service import Service
from tests.support.wire import RawBot


def command(name: str = "odds", **more: Any) -> dict[str, Any]:
    return {"name": name, "description": "Says odds.", "type": 1, **more}


def option(name: str = "cross", kind: int = 3, **more: Any) -> dict[str, Any]:
    return {"name": name, "description": "What.", "type": kind, **more}


def sub(name: str, *options: dict[str, Any], kind: int = 1) -> dict[str, Any]:
    return option(name, kind, options=list(options))


CHOICE = {"name": "n", "value": "v"}
LONG = [option(f"o{n}", choices=[{"name": "n" * 100, "value": "v" * 100}] * 2) for n in range(20)]

INVALID = {
    "a name of 33": [command("n" * 33)],
    "no name": [command("")],
    "a name with a space": [command("bin open")],
    "a name in capitals": [command("Odds")],
    "no description": [command(description="")],
    "a description of 101": [command(description="d" * 101)],
    "a menu with a description": [command(type=2)],
    "an unknown type": [command(type=9)],
    "a name twice": [command(), command()],
    "26 options": [command(options=[option(f"o{n}") for n in range(26)])],
    "an option name twice": [command(options=[option(), option()])],
    "an option in capitals": [command(options=[option("Cross")])],
    "an option description of 101": [command(options=[option(description="d" * 101)])],
    "required after optional": [command(options=[option("a"), option("b", required=True)])],
    "26 choices": [command(options=[option(choices=[{"name": str(n), "value": str(n)} for n in range(26)])])],
    "a choice name of 101": [command(options=[option(choices=[{"name": "n" * 101, "value": "v"}])])],
    "a choice value of 101": [command(options=[option(choices=[{"name": "n", "value": "v" * 101}])])],
    "choices and autocomplete": [command(options=[option(choices=[CHOICE], autocomplete=True)])],
    "an unknown option type": [command(options=[option(kind=12)])],
    "a longest of 6,001": [command(options=[option(max_length=6001)])],
    "values beside sub-commands": [command(options=[sub("open"), option()])],
    "groups in groups": [command(options=[sub("a", sub("b", kind=2), kind=2)])],
    "sub-commands in sub-commands": [command(options=[sub("a", sub("b"))])],
    "8,001 characters": [command(options=LONG)],
}


@pytest.mark.parametrize("payload", INVALID.values(), ids=INVALID.keys())
async def test_an_invalid_set_of_commands_is_refused_and_the_old_one_stays(
    raw: RawBot, service: Service, payload: list[dict[str, Any]]
) -> None:
    before = service.commands
    reply = await raw.request("PUT", f"/applications/{service.application_id}/commands", payload)
    assert (reply.status, reply.code) == (400, 50035)
    assert service.commands == before


async def test_101_commands_are_too_many(raw: RawBot, service: Service) -> None:
    path = f"/applications/{service.application_id}/commands"
    assert (await raw.request("PUT", path, [command(f"c{n}") for n in range(101)])).code == 30032
    assert (await raw.request("PUT", path, [command(f"c{n}") for n in range(100)])).status == 200


async def test_commands_keep_their_ids_and_can_be_for_one_place(raw: RawBot, service: Service) -> None:
    path = f"/applications/{service.application_id}/commands"
    first = await raw.request("PUT", path, [command("a"), command("b")])
    second = await raw.request("PUT", path, [command("b"), command("c")])
    assert first.body[1]["id"] == second.body[0]["id"]
    assert (await raw.request("GET", path)).body == service.commands
    local = f"/applications/{service.application_id}/guilds/700/commands"
    assert (await raw.request("PUT", local, [command("here")])).body[0]["guild_id"] == "700"
    assert [each["name"] for each in service.commands_in(700)] == ["b", "c", "here"]
    assert (await raw.request("GET", local)).body[0]["name"] == "here"
    missing = f"/applications/{service.application_id}/guilds/999/commands"
    assert (await raw.request("PUT", missing, [])).code == 10004
