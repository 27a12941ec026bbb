"""The terminal front in front of the stand-in, with a small bot of the unmodified library behind it."""

import asyncio
import re
from collections.abc import AsyncIterator, Callable, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import discord
import pytest
import yarl
from discord import ui
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pytest_asyncio import fixture as async_fixture

from bot.practice.ask import ask_once
from bot.practice.front import Front
from bot.practice.guide import Seat
from bot.practice.service import Person, Place, Room, Service
from bot.practice.words import Screen
from tests.support.small_bot import REFUSAL, Bot, Clock, add_commands

BINS, SHELF = Room(501, "bins"), Room(502, "shelf")
MARA, JUN, ANA = Person(601, "Mara"), Person(602, "Jun Ito"), Person(603, "Jun")
CLUB = Place(401, "the Hollow Log Society", (BINS, SHELF), (MARA, JUN, ANA))
SEAT = Seat(CLUB, BINS, MARA)
NOON = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)


@dataclass
class Practice:
    """The stand-in and the bot behind it."""

    service: Service
    bot: Bot

    async def ping(self, room: Room, text: str) -> None:
        channel = self.bot.get_partial_messageable(room.id)
        view = ui.View(timeout=None)
        view.add_item(ui.Button(label="Done", custom_id="again"))
        view.stop()
        await channel.send(text, view=view)


@async_fixture(scope="module")
async def service_and_clock() -> AsyncIterator[tuple[Service, Clock]]:
    clock = Clock()
    service = Service([CLUB], clock=clock)
    await service.start()
    yield service, clock
    await service.stop()


@async_fixture(scope="module")
async def practice(service_and_clock: tuple[Service, Clock]) -> AsyncIterator[Practice]:
    service, clock = service_and_clock
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(discord.http.Route, "BASE", service.base_url)
        patch.setattr(discord.gateway.DiscordWebSocket, "DEFAULT_GATEWAY", yarl.URL(service.gateway_url))
        async with Bot(clock) as bot:
            add_commands(bot)
            await bot.login(service.token)
            await bot.tree.sync()
            connection = asyncio.create_task(bot.connect())
            await service.wait_ready()
            yield Practice(service, bot)
            await bot.close()
            await connection


@dataclass
class Terminal:
    """A scripted person: the lines to type, and a transcript of what was read. A callable between lines is awaited."""

    script: list[Any]
    shown: list[str] = field(default_factory=list)
    moved: list[timedelta] = field(default_factory=list)

    async def read(self, prompt: str) -> str | None:
        self.shown.append(prompt)
        while self.script and callable(self.script[0]):
            act = self.script.pop(0)
            await act()
        if not self.script:
            return None
        line: str = self.script.pop(0)
        self.shown.append(f"{line}\n")
        return line

    def write(self, text: str) -> None:
        self.shown.append(f"{text}\n")

    async def move(self, by: timedelta) -> None:
        self.moved.append(by)

    @property
    def transcript(self) -> str:
        return "".join(self.shown)


Type = Callable[..., Any]


@pytest.fixture
def type_in(practice: Practice, tmp_path: Path) -> Type:
    """Runs a front over a script to the end of input, and gives the terminal."""

    async def run(*script: Any, width: int = 80) -> Terminal:
        terminal = Terminal(list(script))
        front = Front(
            practice.service,
            SEAT,
            read=terminal.read,
            write=terminal.write,
            move=terminal.move,
            pictures=tmp_path / "pictures",
            patience=0.3,
            screen=lambda: Screen(width=width, zone=UTC, now=lambda: NOON),
        )
        # What other tests left standing in the rooms is not this test's.
        for room in CLUB.rooms:
            for message in practice.service.messages(room):
                practice.service.remove_message(message)
        assert await front.run() == 0
        return terminal

    return run


async def test_nothing_typed_ends_well(type_in: Type) -> None:
    terminal = await type_in()
    assert terminal.transcript == (
        "Practice room: the Hollow Log Society. You speak as Mara in #bins. Also here:\n"
        "@Jun Ito, @Jun.\nType ? for what can be typed. Ctrl-D leaves.\nMara in #bins> \n"
    )


async def test_a_command_and_a_press(type_in: Type) -> None:
    terminal = await type_in("/odds cross:het ember x wild young:9", "1", "[1]")
    assert terminal.transcript.endswith(
        "Mara in #bins> /odds cross:het ember x wild young:9\n"
        "Mancabook:\n"
        "│ het ember x wild in 9\n"
        "[1] How many to raise  [2] Log count  [3] Done\n"
        "Mara in #bins> 1\n"
        "Mancabook:\n"
        "pressed by Mara\n"
        "Mara in #bins> [1]\n"
        "Mancabook:\n"
        "pressed by Mara\n"
        "Mara in #bins> \n"
    )


async def test_a_form_is_asked_field_by_field(type_in: Type) -> None:
    terminal = await type_in("/odds cross:a", "2", "1234567890", "", "moist")
    assert terminal.transcript.endswith(
        "Mara in #bins> 2\n"
        "Form: Log a count\n"
        "An empty line keeps what stands in [ ]. A single . leaves the form.\n"
        "How many: About 40 is fine\n"
        "[40] > 1234567890\n"
        "That is 10 characters; How many takes at most 9.\n"
        "How many: About 40 is fine\n"
        "[40] > \n"
        "Note\n"
        "[nothing] > moist\n"
        "Mancabook:\n"
        "│ Mara sent ['40', 'moist']\n"
        "Mara in #bins> \n"
    )


@pytest.mark.parametrize("leave", [["."], []], ids=["dot", "end of input"])
async def test_a_form_can_be_left(type_in: Type, leave: list[str]) -> None:
    terminal = await type_in("@Jun /pond count", "50", *leave)
    assert "sent [" not in terminal.transcript
    assert ("nothing was sent" in terminal.transcript) == bool(leave)


async def test_a_form_of_another_speaker_is_theirs(type_in: Type) -> None:
    terminal = await type_in("@jun ito /pond count", "", "")
    assert "Jun Ito sent ['40', '']" in terminal.transcript


async def test_an_edited_message_is_shown_again_with_its_new_buttons(type_in: Type) -> None:
    terminal = await type_in("/odds cross:a", "3", "4")
    assert "Mancabook has changed the message:\n│ It is done.\n[4] Undo\n" in terminal.transcript
    assert "pressed by Mara" in terminal.transcript


async def test_a_promised_answer_is_shown_when_it_comes(type_in: Type, practice: Practice) -> None:
    async def finish() -> None:
        practice.bot.go_on.set()
        await asyncio.sleep(0.5)

    terminal = await type_in("/pond slow", finish, "#shelf")
    assert "Mancabook is still at work on that." in terminal.transcript
    assert "Mara in #bins> \nMancabook:\n│ At last\nMara in #bins> #shelf\n" in terminal.transcript


async def test_speaking_as_somebody_else(type_in: Type) -> None:
    terminal = await type_in("/odds cross:a", "@jun 1", "@JUN ITO", "1", "@Jin", "@", "#shelf", "#shlef", "@mara")
    prompts = re.findall(r"^.*(?=> )", terminal.transcript, re.MULTILINE)
    assert (
        "pressed by Jun\nMara in #bins> @JUN ITO\nJun Ito in #bins> 1\nMancabook:\npressed by Jun Ito"
        in terminal.transcript
    )
    assert "There is no @Jin here. Did you mean @Jun?" in terminal.transcript
    assert "Type a name after @. There are @Mara, @Jun Ito, @Jun." in terminal.transcript
    assert "There is no #shlef here. Did you mean #shelf?" in terminal.transcript
    assert prompts[-3:] == ["Jun Ito in #shelf", "Jun Ito in #shelf", "Mara in #shelf"]


async def test_what_only_one_sees_only_they_can_press(type_in: Type) -> None:
    terminal = await type_in("/pond refuse", "@Jun 1", "1", ".")
    assert "Mancabook (only you see this):\n│ No bin B-41. Did you mean B-14?\n[1] Edit\n" in terminal.transcript
    assert "Only Mara sees that message. Type: @Mara 1" in terminal.transcript
    assert "Form: Log a count" in terminal.transcript


async def test_no_answer_is_said(type_in: Type) -> None:
    terminal = await type_in("/pond silent", "/odds cross:a")
    assert "Mancabook did not respond in time." in terminal.transcript
    assert "[1] How many to raise" in terminal.transcript


def saved_in(folder: Path) -> list[Path]:
    return list((folder / "pictures").iterdir())


async def test_pictures_are_saved_and_named(type_in: Type, tmp_path: Path) -> None:
    terminal = await type_in("/pond draw", "/pond draw")
    saved = re.findall(r"picture saved: (.*)", terminal.transcript)
    assert saved == [str(tmp_path / "pictures" / name) for name in ("chart.png", "chart-2.png")]
    assert {path.name: path.read_bytes() for path in saved_in(tmp_path)} == {"chart.png": b"PNG", "chart-2.png": b"PNG"}


async def test_a_folder_that_cannot_be_written_is_said(type_in: Type, tmp_path: Path) -> None:
    (tmp_path / "pictures").write_text("a file in the way")
    terminal = await type_in("/pond draw")
    assert "The file chart.png could not be saved: File exists" in terminal.transcript


async def test_a_file_is_sent_by_its_path(type_in: Type, tmp_path: Path) -> None:
    (tmp_path / "odd one.png").write_bytes(b"12345")
    terminal = await type_in(f"/pond photo file:{tmp_path}/odd one.png", "/pond photo file:/nowhere.png")
    assert "odd one.png: 5 bytes" in terminal.transcript
    assert "The file /nowhere.png cannot be read: No such file or directory." in terminal.transcript


async def test_the_menu_of_a_message_is_chosen_by_name_and_a_file_goes_with_it(type_in: Type, tmp_path: Path) -> None:
    (tmp_path / "odd one.png").write_bytes(b"12345")
    terminal = await type_in(
        "#shelf",
        "!",
        f"> found her file:{tmp_path}/odd one.png",
        "!",
        "! look AT it",
        "! nothing",
        ">",
        "> a file:/no.png",
    )
    said = terminal.transcript
    assert "Nobody has said anything here. Say something first: > look file:odd.jpg" in said
    assert "Said in #shelf. ! opens the menu of what was said last." in said
    assert said.count("Mara said 'found her', ['odd one.png: 5 bytes']") == 2
    assert "The menu has: ! Look at it." in said
    assert "Say something after >" in said
    assert "The file /no.png cannot be read: No such file or directory." in said


async def test_help_lists_everything(type_in: Type) -> None:
    terminal = await type_in("?", "? /odds", "? pond", "? /nothing")
    assert "/odds cross:… [young:…]\n    What comes out of a cross\n" in terminal.transcript
    assert "    young: How many young; a whole number; may be left out\n" in terminal.transcript
    assert "/pond silent\n    Says nothing\n" in terminal.transcript
    assert "There is no command /nothing. Type ? for all of them." in terminal.transcript


async def test_completion_shows_what_is_offered(type_in: Type) -> None:
    terminal = await type_in("?? /odds cross:het em", "?? /odds cross:x", "?? /odds young:1", "?? /odds cross:late")
    assert "- het ember\n" in terminal.transcript
    assert "Nothing is offered for cross: with that text." in terminal.transcript
    assert "`young:` has no completion." in terminal.transcript
    assert "No choices came in time." in terminal.transcript


async def test_time_moves_on_request(type_in: Type) -> None:
    terminal = await type_in("+3d", "+ 2H", "+1w", "+1y", "+", "+9999w")
    assert terminal.moved == [timedelta(days=3), timedelta(hours=2), timedelta(weeks=1)]
    assert "It is now Monday, 2 March 2026, 12:00." in terminal.transcript
    assert terminal.transcript.count("Let time pass with +2h, +3d or +1w.") == 2
    assert "ten years ahead at most" in terminal.transcript


async def test_pings_are_shown_when_they_come(type_in: Type, practice: Practice) -> None:
    async def early() -> None:
        await practice.ping(BINS, "Moisture round: <@601>")

    async def meanwhile() -> None:
        await practice.ping(SHELF, "Litter")
        await asyncio.sleep(0.3)

    terminal = await type_in("@Jun", early, "#bins", meanwhile, "2")
    assert "#bins\nMancabook:\nMoisture round: @Mara\n[1] Done\nJun in #bins> " in terminal.transcript
    assert "Mancabook in #shelf:\nLitter\n[2] Done\n" in terminal.transcript


@pytest.mark.parametrize(
    ("line", "advice"),
    [
        ("hello", "Commands begin with /, and a button is pressed by its number."),
        ("7", "There is no button 7."),
        ("/odds", "/odds also needs `cross:`"),
        (".", "Commands begin with /"),
        ("/pond", "/pond is one of: /pond count, /pond draw, /pond photo, /pond refuse, /pond silent, /pond slow."),
    ],
)
async def test_a_line_that_means_nothing_is_answered(type_in: Type, line: str, advice: str) -> None:
    terminal = await type_in(line, width=200)
    assert advice in terminal.transcript


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    lines=st.lists(
        st.text(alphabet=st.characters(exclude_characters="\n") | st.sampled_from('/@#+?.[]:" 12odsmarnj')), max_size=8
    )
)
async def test_no_line_ends_the_room(type_in: Type, lines: Sequence[str]) -> None:
    terminal = await type_in(*lines, "@mara /odds cross:b", width=40)
    assert "│ b in 20" in terminal.transcript


async def test_a_long_chain_of_names_is_only_long(type_in: Type) -> None:
    terminal = await type_in("@Jun " * 3000 + "/odds cross:a")
    assert "│ a in 20" in terminal.transcript


async def ask(practice: Practice, line: str, tmp_path: Path) -> tuple[int, str, str]:
    said: list[str] = []
    complaints: list[str] = []
    status = await ask_once(
        practice.service,
        SEAT,
        line,
        said.append,
        complain=complaints.append,
        refusal_accent=REFUSAL,
        pictures=tmp_path,
        screen=Screen(zone=UTC),
    )
    return status, "\n".join(said), "\n".join(complaints)


async def test_asking_once(practice: Practice, tmp_path: Path) -> None:
    assert await ask(practice, "/odds cross:a x b", tmp_path) == (
        0,
        "Mancabook:\n│ a x b in 20\n[1] How many to raise  [2] Log count  [3] Done",
        "",
    )


async def test_asking_and_being_refused(practice: Practice, tmp_path: Path) -> None:
    status, said, complaints = await ask(practice, "/pond refuse", tmp_path)
    assert (status, complaints) == (1, "")
    assert "No bin B-41. Did you mean B-14?" in said


async def test_asking_something_that_cannot_be_sent(practice: Practice, tmp_path: Path) -> None:
    assert await ask(practice, "/ods cross:a", tmp_path) == (1, "", "There is no command /ods. Did you mean /odds?")


async def test_asking_and_getting_no_answer(practice: Practice, tmp_path: Path) -> None:
    assert await ask(practice, "/pond silent", tmp_path) == (1, "", "Mancabook did not respond in time.")


async def test_asking_for_a_form(practice: Practice, tmp_path: Path) -> None:
    status, said, complaints = await ask(practice, "/pond count", tmp_path)
    assert (status, said) == (0, "Form: Log a count\nHow many: About 40 is fine\nNote")
    assert "fill it in with `mancabook practice`" in complaints
