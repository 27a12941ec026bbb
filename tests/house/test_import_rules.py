"""The import rules hold, and each of them would notice a breach."""

import re
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[2]
PLANTED = {
    "science": ("genetics/planted.py", "from bot.clocks import SystemClocks"),
    "database": ("bot/services/planted.py", "import sqlalchemy"),
    "chat-library": ("bot/cards/planted.py", "import discord"),
    "scheduler": ("bot/chat/planted.py", "import apscheduler"),
    "drawing": ("bot/cards/planted_three.py", "import matplotlib"),
    "pictures": ("bot/pictures/planted.py", "from bot.services.desk import Desk"),
    "services": ("bot/services/planted_too.py", "from bot.cards.card import Card"),
    "clock": ("bot/clock/planted.py", "from bot.chat.client import Mancabook"),
    "stand-in": ("bot/practice/planted.py", "from bot.cards.ids import CustomId"),
    "cards": ("bot/cards/planted_too.py", "from bot.chat.client import Mancabook"),
    "records": ("bot/records/planted.py", "from bot.services.desk import Desk"),
}


ALLOWED = {
    "database": {"bot.records"},
    "chat-library": {"bot.chat", "bot.cards.render", "bot.wiring"},
    "scheduler": {"bot.clock"},
    "drawing": {"bot.pictures"},
}
"""Who may know a library that everybody else is forbidden to import."""


def settings() -> list[dict[str, Any]]:
    document = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
    found: list[dict[str, Any]] = document["tool"]["importlinter"]["contracts"]
    return found


def contracts() -> dict[str, str]:
    return {c["id"]: c["name"] for c in settings()}


def parts_of_bot() -> set[str]:
    """The modules and packages at the top of `bot`."""
    found = {
        f"bot.{path.stem}"
        for path in (ROOT / "bot").iterdir()
        if path.suffix == ".py" or (path / "__init__.py").exists()
    }
    return found - {"bot.__init__"}


def lint(folder: Path) -> str:
    done = subprocess.run(
        [
            sys.executable,
            "-c",
            "from importlinter.cli import lint_imports_command; lint_imports_command()",
            "--no-cache",
        ],
        cwd=folder,
        capture_output=True,
        text=True,
        check=False,
    )
    return done.stdout + done.stderr


@pytest.fixture(scope="module")
def breached(tmp_path_factory: pytest.TempPathFactory) -> str:
    """What the linter says of a copy of the project with one breach of every rule planted in it."""
    copy = tmp_path_factory.mktemp("planted")
    for package in ("bot", "genetics", "demo_data"):
        shutil.copytree(ROOT / package, copy / package, ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(ROOT / "pyproject.toml", copy)
    for file, line in PLANTED.values():
        (copy / file).write_text(f'"""Planted."""\n\n{line}\n', "utf-8")
    return lint(copy)


@pytest.mark.parametrize("contract", ALLOWED)
def test_a_library_is_forbidden_to_every_part_of_the_bot_but_the_one_that_may(contract: str) -> None:
    """A part that a contract does not list would be free to import what it likes."""
    (found,) = [c for c in settings() if c["id"] == contract]
    listed = {name.removesuffix(".*") for name in found["source_modules"]}
    excepted = {line.split(" -> ")[0] for line in found.get("ignore_imports", ())}
    whole = ALLOWED[contract] - excepted
    assert listed | whole == parts_of_bot()
    assert not listed & whole
    assert excepted == ALLOWED[contract] - parts_of_bot()


def test_the_parts_of_the_bot_were_found() -> None:
    assert {"bot.__main__", "bot.cards", "bot.clock", "bot.guard", "bot.wiring"} <= parts_of_bot()


def test_every_contract_has_a_planted_breach() -> None:
    assert set(PLANTED) == set(contracts())


@pytest.mark.parametrize("contract", PLANTED)
def test_a_breach_is_noticed(contract: str, breached: str) -> None:
    file, _ = PLANTED[contract]
    module = file.removesuffix(".py").replace("/", ".")
    name = contracts()[contract]
    assert f"{name} BROKEN" in breached
    report = breached.split("Broken contracts", 1)[1].split(f"\n{name}\n", 1)[1]
    report = re.split(r"\n\n[^\n]+\n-{5,}\n", report, maxsplit=1)[0]
    assert module in report


def test_the_project_keeps_its_rules() -> None:
    assert " 0 broken" in lint(ROOT)
