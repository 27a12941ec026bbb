"""Everything that this bot offers: documented, told to the service once, and without two of one name."""

import re
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import discord
import pytest
from discord import app_commands

import bot.cards
import bot.chat.bins
import bot.chat.counts
import bot.chat.traits
from bot.cards import verbs
from bot.chat.discovery import Twice, discover
from bot.chat.router import Route
from bot.clocks import MovableClocks
from bot.practice.exchange import Exchange
from bot.practice.registered import Command, Kind, commands_of
from bot.practice.service import Service
from bot.records import Records
from tests.support.chat import HOLLOW_LOG, Chat, bot_at

NAME = re.compile(r"[a-z][a-z-]{0,31}")
VERB = re.compile(r"[a-z]+\.[a-z]+")


async def _other(*_: Any) -> Any:
    return None


def payload() -> list[dict[str, Any]]:
    """What the service is told of the commands."""
    tree = app_commands.CommandTree(discord.Client(intents=discord.Intents.none()))
    return [command.to_dict(tree) for command in discover().commands]


def parts(entries: list[dict[str, Any]]) -> Iterator[dict[str, Any]]:
    for entry in entries:
        yield entry
        yield from parts(entry.get("options") or [])


def test_every_command_and_every_option_is_named_shortly_and_described() -> None:
    every = list(parts(payload()))
    assert len(every) > 20
    for part in every:
        assert NAME.fullmatch(part["name"]), part["name"]
        assert 3 <= len(part["description"]) <= 100, part["name"]
        assert part["description"] != "…", part["name"]


def test_every_choice_fits() -> None:
    for part in parts(payload()):
        choices = part.get("choices") or []
        assert len(choices) <= 25
        assert all(1 <= len(choice["name"]) <= 100 for choice in choices)


async def test_commands_are_for_servers_only(sqlite_chat: Chat) -> None:
    assert len(sqlite_chat.service.commands) == len(payload()) + len(discover().menus)
    for command in sqlite_chat.service.commands:
        assert command["contexts"] == [0], command["name"]
        assert command["integration_types"] == [0], command["name"]


def test_every_button_that_a_card_has_is_answered() -> None:
    by_the_router_itself = {verbs.DRAFT_EDIT, verbs.DRAFT_USE, verbs.FILL, verbs.PAGE}
    named = {value for name, value in vars(verbs).items() if name.isupper()}
    assert named == set(discover().routes) | by_the_router_itself


# Who presses *Dead one* is asked for the rest by a form; no command says the same.
OF_A_BUTTON_ALONE = {"note.dead"}


@pytest.mark.parametrize("kind", sorted(set(discover().sheets) - OF_A_BUTTON_ALONE))
def test_a_form_asks_for_everything_that_its_command_takes_so_that_nothing_typed_is_cut(kind: str) -> None:
    sheet = discover().sheets[kind]
    commands: dict[str, Command] = {".".join(command.path): command for command in commands_of(payload())}
    # A file is no answer to a question of a form: its address stays in the draft.
    options = {option.name: option for option in commands[kind].options if option.kind is not Kind.FILE}
    fields = {field.key: field for field in sheet.fields}
    assert set(fields) == set(options)
    for name, option in options.items():
        assert option.most is None or fields[name].most >= option.most


@pytest.mark.parametrize("kind", sorted(discover().sheets))
def test_a_form_asks_at_most_five_things_and_what_must_be_known_among_them(kind: str) -> None:
    sheet = discover().sheets[kind]
    fields = {field.key: field for field in sheet.fields}
    assert 1 <= len(sheet.form({}).fields) <= 5
    filled = sheet.form(dict.fromkeys(fields, "typed"))
    assert 1 <= len(filled.fields) <= 5
    assert {field.key for field in sheet.fields if field.required} <= {field.key for field in filled.fields}


@pytest.mark.parametrize(
    "second",
    [
        Route("bin.show", _other),
        replace(bot.chat.counts.LOG, title="Another"),
        app_commands.Group(name="bin", description="Another group of that name"),
    ],
)
def test_two_of_one_name_are_not_accepted(monkeypatch: pytest.MonkeyPatch, second: object) -> None:
    monkeypatch.setattr(bot.chat.traits, "second", second, raising=False)
    with pytest.raises(Twice):
        discover()


def test_a_module_may_import_what_another_offers(monkeypatch: pytest.MonkeyPatch) -> None:
    before = discover()
    monkeypatch.setattr(bot.chat.traits, "imported", bot.chat.bins.show, raising=False)
    assert discover() == before


async def test_the_service_is_told_of_the_commands_only_when_they_have_changed(
    sqlite_url: str,
) -> None:
    seen: list[Exchange] = []
    service = Service([HOLLOW_LOG], recorder=seen.append)
    await service.start()

    def told() -> int:
        return len([each for each in seen if each.method == "PUT"])

    for _ in range(3):
        async with bot_at(service, sqlite_url, MovableClocks()):
            assert told() == 1
    records = await Records.open(sqlite_url)
    await records.set_synced_hash(service.application_id, "of other commands", MovableClocks().real())
    await records.close()
    async with bot_at(service, sqlite_url, MovableClocks()):
        assert told() == 2
    await service.stop()


async def test_the_bot_asks_for_nothing_but_what_servers_there_are(sqlite_chat: Chat) -> None:
    (identified,) = sqlite_chat.service.gateway.identified
    assert identified["intents"] == 1
