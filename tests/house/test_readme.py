"""What the README shows is what the bot says."""

import os
import re
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]


def shown() -> list[tuple[str, str]]:
    """The blocks of the tour that have a reply: the line typed, and everything printed after it."""
    text = (ROOT / "README.md").read_text("utf-8")
    blocks = re.findall(r"```text\n\w+ in #\w+> (.+?)\n(.*?)```", text, re.DOTALL)
    return [(line, reply) for line, reply in blocks if reply.startswith("Mancabook")]


def test_the_tour_shows_what_the_practice_room_prints() -> None:
    tour = shown()
    assert tour
    done = subprocess.run(
        [sys.executable, "-m", "bot", "practice"],
        cwd=ROOT,
        env={**os.environ, "COLUMNS": "72"},
        input="".join(f"{line}\n" for line, _ in tour),
        capture_output=True,
        text=True,
        check=True,
    )
    for line, reply in tour:
        assert f"> {line}\n{reply}" in done.stdout.replace("\u00a0", " ")


def test_every_command_of_the_tour_is_taken() -> None:
    """A line that the practice room refuses would teach a mistake."""
    text = (ROOT / "README.md").read_text("utf-8")
    lines = [
        line
        for line in re.findall(r"^\w+ in #\w+> (.+)$", text, re.MULTILINE)
        if "/" in line and "count log" not in line
    ]
    assert len(lines) >= 4
    done = subprocess.run(
        [sys.executable, "-m", "bot", "practice"],
        cwd=ROOT,
        env={**os.environ, "COLUMNS": "200"},
        input="".join(f"{line}\n" for line in lines),
        capture_output=True,
        text=True,
        check=True,
    )
    assert "only you see this" not in done.stdout
    assert done.stdout.count("Mancabook") >= len(lines) - 1


def test_the_picture_of_the_tour_is_saved_where_the_readme_says(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "bot", "practice"],
        cwd=tmp_path,
        env={**os.environ, "COLUMNS": "200", "PYTHONPATH": str(ROOT)},
        input="/odds cross:het ember x het ember\n4\n",
        capture_output=True,
        text=True,
        check=True,
    )
    assert "[picture cross.png: Young of het ember x het ember: wild-looking 3 in 4" in done.stdout.replace(
        "\u00a0", " "
    )
    assert "picture saved: pictures/cross.png" in done.stdout
    assert (tmp_path / "pictures" / "cross.png").read_bytes().startswith(b"\x89PNG\r\n\x1a\n")
