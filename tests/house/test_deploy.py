"""What `deploy/` says matches what works: settings, commands, permissions, and what the privacy text promises."""

import re
import shlex
from pathlib import Path

import discord
import pytest

from bot.__main__ import main
from bot.chat.client import Mancabook
from bot.settings import Settings
from tests.support.access import every_command

ROOT = Path(__file__).parents[2]
DEPLOY = ROOT / "deploy"
README, PRIVACY = (DEPLOY / name for name in ("README.md", "PRIVACY.md"))
FOR_TESTS = {"service"}
"""Settings that only a stand-in on the same machine has a use for."""


def examples() -> dict[str, list[str]]:
    """The values that the example of settings shows, by field; commented ones as well."""
    found: dict[str, list[str]] = {}
    for line in (DEPLOY / "env.example").read_text("utf-8").splitlines():
        given = re.fullmatch(r"(?:# )?MANCABOOK_([A-Z_]+)=(.*)", line)
        if given:
            found.setdefault(given[1].lower(), []).append(given[2])
    return found


def unit() -> dict[str, str]:
    """The service unit's lines, by key."""
    lines = (DEPLOY / "mancabook.service").read_text("utf-8").splitlines()
    return dict(line.split("=", 1) for line in lines if "=" in line and not line.startswith("#"))


def test_the_example_has_every_setting_and_no_other() -> None:
    assert set(examples()) == set(Settings.model_fields) - FOR_TESTS


@pytest.mark.parametrize("field", sorted(set(Settings.model_fields) - FOR_TESTS))
def test_every_value_of_the_example_is_taken_and_a_commented_one_is_the_default(
    field: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.chdir(tmp_path)
    for value in examples()[field]:
        monkeypatch.setenv(f"MANCABOOK_{field.upper()}", value)
        taken = getattr(Settings(), field)
        if field not in ("token", "database"):
            assert taken == Settings.model_fields[field].default


def test_the_unit_starts_a_command_that_there_is_and_waits_longer_than_the_bot_drains() -> None:
    program, *arguments = shlex.split(unit()["ExecStart"])
    assert Path(program).name == "mancabook"
    with pytest.raises(SystemExit) as ended:
        main([*arguments, "--help"])
    assert ended.value.code == 0
    assert float(unit()["TimeoutStopSec"]) > Settings.model_fields["drain"].default
    assert unit()["EnvironmentFile"] in README.read_text("utf-8")
    assert unit()["KillSignal"] == "SIGTERM"


def test_the_container_copies_what_the_project_is_made_of_and_starts_the_same_command() -> None:
    lines = (DEPLOY / "Containerfile").read_text("utf-8").splitlines()
    copied = [word for line in lines if line.startswith("COPY") for word in line.split()[1:-1]]
    assert set(copied) == {"pyproject.toml", "README.md", "bot", "genetics", "demo_data"}
    assert all((ROOT / name).exists() for name in copied)
    assert 'ENTRYPOINT ["mancabook"]' in lines
    assert 'CMD ["serve"]' in lines
    assert "STOPSIGNAL SIGTERM" in lines


async def test_no_privileged_intent_is_asked_for() -> None:
    async def nothing(_: object) -> None:
        """Never called: nobody connects."""

    client = Mancabook(None, None, on_setup=nothing, on_press=nothing, longest_wait=1.0)  # type: ignore[arg-type]
    asked = {name for name, wanted in client.intents if wanted}
    assert asked == {"guilds"}
    await client.close()


def test_the_invite_asks_for_what_its_table_says_and_no_more() -> None:
    text = README.read_text("utf-8")
    given = re.search(r"permissions=([0-9]+)", text)
    assert given is not None
    asked = {name for name, wanted in discord.Permissions(int(given[1])) if wanted}
    assert asked == {
        "read_messages",
        "send_messages",
        "send_messages_in_threads",
        "attach_files",
        "read_message_history",
    }
    for name in ("View Channels", "Send Messages", "Send Messages in Threads", "Attach Files", "Read Message History"):
        assert name in text


@pytest.mark.parametrize("file", [README, PRIVACY, ROOT / "README.md"])
def test_every_command_that_is_named_is_there(file: Path) -> None:
    there = every_command()
    for named in re.findall(r"`/([a-z][a-z ]*[a-z])", file.read_text("utf-8")):
        assert any(named == words or named.startswith(f"{words} ") for words in there), named


def test_every_file_that_is_named_is_there() -> None:
    text = README.read_text("utf-8")
    for named in re.findall(r"deploy/([\w.]+)", text) + re.findall(r"`([A-Za-z.]+\.(?:md|example))`", text):
        assert (DEPLOY / named).exists(), named
