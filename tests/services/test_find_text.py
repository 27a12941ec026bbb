"""An odd animal in people's words: what is understood, what is asked about, and that nothing is guessed."""

from datetime import UTC, datetime, timedelta
from fractions import Fraction
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.records import Sex, Stage
from bot.services.find_text import Animal, read_animal
from bot.services.refusals import LengthNotRead, Refusal
from bot.services.refusals_days import DayAhead, DayNotRead
from bot.services.refusals_finds import AnimalContradicts, AnimalNotRead, SheenMeant

NOW = datetime(2026, 5, 10, 12, tzinfo=UTC)
ZONE = ZoneInfo("UTC")
GRAVID = {"sex": Sex.FEMALE, "stage": Stage.ADULT, "pouch_filled": True}

LINES: list[tuple[str, dict[str, object]]] = [
    ("", {}),
    ("female, adult, 9 mm", {"sex": Sex.FEMALE, "stage": Stage.ADULT, "length_mm": Fraction(9)}),
    ("Adult FEMALE 9mm", {"sex": Sex.FEMALE, "stage": Stage.ADULT, "length_mm": Fraction(9)}),
    ("♂ 0.5 cm long", {"sex": Sex.MALE, "length_mm": Fraction(5)}),
    ("a subadult, not sexed", {"sex": Sex.UNKNOWN, "stage": Stage.JUVENILE}),
    ("can't be sexed", {"sex": Sex.UNKNOWN}),
    ("female, not yet grown", {"sex": Sex.FEMALE, "stage": Stage.JUVENILE}),
    ("manca", {"stage": Stage.MANCA}),
    ("pouch filled", GRAVID),
    ("gravid, 1 of 40", {**GRAVID, "such": 1, "looked_at": 40}),
    ("full pouch; two out of about 1,200", {**GRAVID, "such": 2, "looked_at": 1200}),
    ("female, no filled pouch", {"sex": Sex.FEMALE, "pouch_filled": False}),
    ("the only one", {"such": 1}),
    ("moulted yesterday, female", {"sex": Sex.FEMALE, "moulted_at": NOW - timedelta(days=1)}),
    (
        "female moulted 3 days ago 8 mm",
        {"sex": Sex.FEMALE, "moulted_at": NOW - timedelta(days=3), "length_mm": Fraction(8)},
    ),
    ("last moult 3 May", {"moulted_at": NOW - timedelta(days=7)}),
    ("half white", {"moulted_at": NOW}),
    ("freshly molted", {"moulted_at": NOW}),
    ("hasn't moulted yet", {}),
    ("blue-violet sheen, slow", {"sheen": True, "slow": True}),
    ("iridescent and limp", {"sheen": True, "slow": True}),
    ("no blue sheen, lively", {"sheen": False, "slow": False}),
    ("not slow or limp", {"slow": False}),
    ("male, pale orange skirt", {"sex": Sex.MALE, "unread": "pale orange skirt"}),
]
"""Lines as keepers would type them, written by hand, with all that is to be understood of each."""


@pytest.mark.parametrize(("line", "meant"), LINES)
def test_a_line_says_just_what_stands_in_it(line: str, meant: dict[str, object]) -> None:
    read = read_animal(line, NOW, ZONE)
    empty = Animal()
    wanted = {name: meant.get(name, getattr(empty, name)) for name in Animal.__slots__}
    assert {name: getattr(read, name) for name in Animal.__slots__} == wanted


@pytest.mark.parametrize(
    ("line", "refusal"),
    [
        ("12", AnimalNotRead),
        ("female 9", AnimalNotRead),
        ("3 of 2", AnimalNotRead),
        ("0 of 40", AnimalNotRead),
        ("not a male", AnimalNotRead),
        ("never adult", AnimalNotRead),
        ("male and female", AnimalContradicts),
        ("male, gravid", AnimalContradicts),
        ("manca with eggs", AnimalContradicts),
        ("juvenile adult", AnimalContradicts),
        ("slow, lively", AnimalContradicts),
        ("slate blue", SheenMeant),
        ("violet edges", SheenMeant),
        ("moulted tomorow", DayNotRead),
        ("moulted 2027-01-01", DayAhead),
        ("900 mm", LengthNotRead),
    ],
)
def test_what_can_be_meant_in_several_ways_is_asked(line: str, refusal: type[Refusal]) -> None:
    with pytest.raises(refusal):
        read_animal(line, NOW, ZONE)


def test_an_answer_goes_with_the_words_and_settles_what_is_blue() -> None:
    assert read_animal("slate blue", NOW, ZONE, sheen=False, asked=True).sheen is False
    assert read_animal("slate blue", NOW, ZONE, sheen=True, asked=True).sheen is True
    unsure = read_animal("slate blue", NOW, ZONE, asked=True)
    assert (unsure.sheen, unsure.unread) == (None, "slate blue")
    with pytest.raises(AnimalContradicts):
        read_animal("no sheen", NOW, ZONE, sheen=True, asked=True)
    with pytest.raises(AnimalContradicts):
        read_animal("lively", NOW, ZONE, slow=True)


PHRASES = {
    "sex": [("female", Sex.FEMALE), ("male", Sex.MALE), ("unsexed", Sex.UNKNOWN)],
    "stage": [("adult", Stage.ADULT), ("juvenile", Stage.JUVENILE), ("manca", Stage.MANCA)],
    "length_mm": [("9 mm", Fraction(9)), ("1.2 cm", Fraction(12)), ("0.5 in", Fraction(127, 10))],
    "moulted_at": [("moulted yesterday", NOW - timedelta(days=1)), ("moulted 2 days ago", NOW - timedelta(days=2))],
    "looked_at": [("1 of 40", 40), ("2 in 17", 17)],
    "sheen": [("no sheen", False), ("a blue sheen", True)],
    "slow": [("slow", True), ("lively", False)],
}


@settings(max_examples=40)
@given(st.data())
def test_phrases_mean_the_same_in_any_order(data: st.DataObject) -> None:
    chosen = {name: data.draw(st.sampled_from(said)) for name, said in PHRASES.items() if data.draw(st.booleans())}
    order = data.draw(st.permutations(list(chosen)))
    joint = data.draw(st.sampled_from([", ", "; ", "\n"]))
    read = read_animal(joint.join(chosen[name][0] for name in order), NOW, ZONE)
    assert {name: getattr(read, name) for name in chosen} == {name: meant for name, (_, meant) in chosen.items()}
    assert read.unread == ""


@settings(max_examples=60)
@given(st.text(max_size=60))
def test_any_text_is_read_or_refused_in_words(text: str) -> None:
    try:
        read = read_animal(text, NOW, ZONE)
    except Refusal:
        return
    assert not any(letter.isdecimal() for letter in read.unread)
