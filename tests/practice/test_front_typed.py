"""A typed line against registered commands: plain data in, plain values out."""

import contextlib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.practice.registered import Command, commands_of
from bot.practice.typed import LineError, example, read_line, read_unfinished
from bot.practice.values import Picked

PAYLOAD: list[dict[str, Any]] = [
    {
        "type": 1,
        "name": "odds",
        "description": "What comes out of a cross",
        "options": [
            {"type": 3, "name": "cross", "description": "The cross", "required": True, "autocomplete": True},
            {"type": 4, "name": "young", "description": "How many", "min_value": 1, "max_value": 500},
            {"type": 10, "name": "sure", "description": "How sure"},
            {"type": 5, "name": "public", "description": "For all to see"},
        ],
    },
    {
        "type": 1,
        "name": "bin",
        "description": "Bins",
        "options": [
            {
                "type": 1,
                "name": "open",
                "description": "Open a bin",
                "options": [
                    {"type": 3, "name": "species", "description": "What lives there", "required": True},
                    {"type": 3, "name": "name", "description": "Its name", "max_length": 40},
                    {"type": 11, "name": "photo", "description": "A photo"},
                ],
            },
            {"type": 1, "name": "show", "description": "Show a bin", "options": []},
        ],
    },
    {
        "name": "trait",
        "description": "Traits",
        "options": [
            {
                "type": 1,
                "name": "define",
                "description": "Define a trait",
                "options": [
                    {"type": 3, "name": "name", "description": "Its name", "required": True},
                    {
                        "type": 3,
                        "name": "dominance",
                        "description": "How it is passed on",
                        "required": True,
                        "choices": [
                            {"name": "Recessive", "value": "recessive"},
                            {"name": "Incompletely dominant", "value": "incompletely dominant"},
                        ],
                    },
                    {"type": 8, "name": "role", "description": "Who"},
                ],
            }
        ],
    },
    {"type": 3, "name": "File this photo"},
]
COMMANDS: tuple[Command, ...] = commands_of(PAYLOAD)


def refusal(line: str) -> str:
    with pytest.raises(LineError) as caught:
        read_line(line, COMMANDS)
    return str(caught.value)


def test_groups_are_flattened_and_menus_left_out() -> None:
    assert [command.spelled for command in COMMANDS] == ["/bin open", "/bin show", "/odds", "/trait define"]


def test_a_value_runs_to_the_next_option() -> None:
    typed = read_line('/bin open species:Armadillidium nasatum name:"ember F2"', COMMANDS)
    assert typed.command.path == ("bin", "open")
    assert typed.options == {"species": "Armadillidium nasatum", "name": "ember F2"}


@pytest.mark.parametrize(
    ("line", "species"),
    [
        ("/bin open species:a b  name:x", "a b"),
        ("  / bin   open   species:  a b", "a b"),
        ("/BIN Open Species:a b", "a b"),
        ('/bin open species:"a name:b"', "a name:b"),
        ("/bin open species:“a name:b” name:x", "a name:b"),
        ('/bin open species:"a \\"b\\" \\\\" name:x', 'a "b" \\'),
        ('/bin open species:the "big" one name:x', 'the "big" one'),
        ("/bin open species:see http://example.org:80 name:x", "see http://example.org:80"),
        ("/bin open species:Z^e/W × Z^+/Z^+ name:x", "Z^e/W × Z^+/Z^+"),
        ("/bin open name:x species:*A. sp.* 🐞", "*A. sp.* 🐞"),
    ],
)
def test_spaces_quotes_and_capitals(line: str, species: str) -> None:
    assert read_line(line, COMMANDS).options["species"] == species


def test_people_and_rooms_are_named() -> None:
    found = commands_of(
        [
            {
                "name": "share",
                "description": "Share",
                "options": [
                    {"type": 6, "name": "who", "description": "Who"},
                    {"type": 7, "name": "where", "description": "Where"},
                ],
            }
        ]
    )
    typed = read_line("/share who:@Old Moss where:#care", found)
    assert typed.options == {"who": Picked("Old Moss"), "where": Picked("care")}


def test_each_kind_of_option_is_converted() -> None:
    typed = read_line("/odds cross:a x b young:1,0 sure:0.95 public:no", COMMANDS)
    assert typed.options == {"cross": "a x b", "young": 10, "sure": 0.95, "public": False}
    assert read_line("/bin open species:a photo:~/x y.png", COMMANDS).options["photo"] == Path("~/x y.png")


@pytest.mark.parametrize("typed", ["Incompletely dominant", "incompletely dominant", "INCOMPLETELY DOMINANT"])
def test_a_choice_is_typed_by_its_name_or_value(typed: str) -> None:
    line = f"/trait define dominance:{typed} name:frost"
    assert read_line(line, COMMANDS).options["dominance"] == "incompletely dominant"


@pytest.mark.parametrize(
    ("line", "advice"),
    [
        ("/ods cross:a x b", "There is no command /ods. Did you mean /odds?"),
        ("/bin opne species:a", "Did you mean /bin open?"),
        ("/bni open species:a", "Did you mean /bin open?"),
        ("/bin", "/bin is one of: /bin open, /bin show."),
        ("/bin species:a", "/bin is one of: /bin open, /bin show."),
        ("/weather", "Type ? for the list of commands."),
        ("/", "A command's name comes after the /."),
        ("/odds", "also needs `cross:` (The cross). Type: /odds cross:…"),
        ("/trait define", "`name:` (Its name) and `dominance:`"),
        ("/odds het ember x het ember", "Type: /odds cross:het ember x het ember"),
        ("/odds kross:a x b", "no option `kross:`. Did you mean `cross:`?"),
        ("/odds zzz:a x b", "no option `zzz:`. Type: /odds cross:…"),
        (
            "/bin open species:a nmae:b",
            'Did you mean `name:`? If it belongs to the value, put that in quotes: species:"…"',
        ),
        ("/bin open species:a species:b", "`species:` stands there twice"),
        ("/bin open species: name:x", "`species:` has no value."),
        ('/bin open species:"a b', 'not closed. Type: species:"a b"'),
        ('/bin open species:"a"b', "A space is missing after the closing quote"),
        ("/bin show B-1", "Type just /bin show"),
        ("/bin open species:a name:" + "x" * 41, "at most 40 characters, not 41"),
        ("/odds cross:a x b young:many", "whole number, so not `many`. Type: young:12"),
        ("/odds cross:a x b young:99999999999999999", "whole number"),
        ("/odds cross:a x b young:0", "at least 1"),
        ("/odds cross:a x b young:501", "at most 500"),
        ("/odds cross:a x b sure:inf", "is a number, so not `inf`"),
        ("/odds cross:a x b public:perhaps", "yes or no"),
        ("/trait define name:a dominance:recesive", "Did you mean Recessive?"),
        ("/trait define name:a dominance:zz", "Choose one of: Recessive, Incompletely dominant."),
        ("/trait define name:a dominance:recessive role:here", "Leave it out"),
    ],
)
def test_a_refused_line_says_what_to_type_instead(line: str, advice: str) -> None:
    assert advice in refusal(line)


def test_an_example_shows_what_is_required() -> None:
    assert example(COMMANDS[0]) == "/bin open species:… [name:…] [photo:…]"


def test_completion_focuses_the_last_option() -> None:
    unfinished = read_unfinished("/odds young:3 cross:het em", COMMANDS)
    assert (unfinished.focused, unfinished.options) == ("cross", {"young": 3, "cross": "het em"})
    assert read_unfinished("/odds cross:", COMMANDS).options == {"cross": ""}
    assert read_unfinished('/odds cross:"het em', COMMANDS).options == {"cross": "het em"}


@pytest.mark.parametrize(
    ("line", "advice"),
    [
        ("/odds", "Type the option to complete as well"),
        ("/odds cross:a young:3", "has no completion. Any text may stand there."),
        ("/trait define dominance:r", "Its choices are: Recessive, Incompletely dominant."),
    ],
)
def test_what_cannot_be_completed_is_said(line: str, advice: str) -> None:
    with pytest.raises(LineError) as caught:
        read_unfinished(line, COMMANDS)
    assert advice in str(caught.value)


PIECES = st.sampled_from(
    [
        "/",
        "bin",
        "open",
        " ",
        "odds",
        "species:",
        "name:",
        "cross:",
        "young:",
        '"',
        "“",
        "\\",
        ":",
        "é",
        "12",
        "\u0130:",
        "x",
    ]
)


@given(
    st.one_of(
        st.text(), st.lists(PIECES).map("".join), st.lists(PIECES).map(lambda some: "/bin open " + " ".join(some))
    )
)
def test_no_line_breaks_the_reader(line: str) -> None:
    for read in (read_line, read_unfinished):
        with contextlib.suppress(LineError):
            read(line, COMMANDS)


@given(st.text(min_size=1, max_size=80).filter(lambda text: text.strip() == text))
def test_any_text_can_be_said_in_quotes(text: str) -> None:
    quoted = text.replace("\\", "\\\\").replace('"', '\\"')
    assert read_line(f'/bin open species:"{quoted}" name:x', COMMANDS).options == {"species": text, "name": "x"}
