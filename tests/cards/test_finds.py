"""How a find is said: a disease before everything, the steps in order, and no more than a phone screen."""

from dataclasses import replace
from datetime import UTC, timedelta
from fractions import Fraction

import pytest

from bot.cards import finds as cards
from bot.cards.card import Card
from bot.cards.find_words import SHEEN
from bot.cards.ids import LONGEST_ARGUMENT
from bot.cards.render import layout
from bot.practice.text import show
from bot.practice.words import Screen
from bot.records import BinRow, CareKind, FindRow, Sex, SexSystem, Stage, Units
from bot.services.find_lists import FindLine, FindList
from bot.services.find_pings import FindPing
from bot.services.find_steps import steps_of
from bot.services.finds import FindView
from bot.services.species import shipped_species
from tests.support.finds import FIND, NOW
from tests.support.markup import live_marks
from tests.support.phones import COLUMNS
from tests.support.screens import assert_card_fits

PLACE = BinRow(1, "B-1", "porcellio-scaber", "mossy", None, 1, "Wren", NOW, None)
PINGS = (
    FindPing(CareKind.SISTERS, NOW + timedelta(days=7)),
    FindPing(CareKind.MOULT_PHOTO, NOW + timedelta(days=38)),
)
PHONE_LINES = 18
"""What a phone shows of a reply without scrolling (a judgement)."""
ROW = 1
"""The platform's kind of component for a row of buttons."""


def view(row: FindRow = FIND, system: SexSystem = SexSystem.UNKNOWN, **changed: object) -> FindView:
    made = FindView(
        row=row,
        place=PLACE,
        is_open=True,
        species=shipped_species().named("Porcellio scaber"),
        steps=steps_of(row, system),
        pings=PINGS,
        pairings=(),
        held=bool(row.sheen),
        event=3,
    )
    return replace(made, **changed)  # type: ignore[arg-type]


def text(card: object) -> str:
    return "\n\n".join((card.lead, *card.blocks))  # type: ignore[attr-defined]


ANIMALS = [
    replace(FIND, sex=sex, stage=stage, pouch_filled=pouch, sheen=sheen, slow=slow)
    for sex in Sex
    for stage in (None, *Stage)
    for pouch in (None, True)
    for sheen in (None, True)
    for slow in (None, True)
    if not (pouch and (sex is not Sex.FEMALE or stage is Stage.MANCA))
]


def test_of_every_animal_the_reply_fits_a_phone_and_what_it_says_is_whole() -> None:
    for row in ANIMALS:
        for card in (cards.logged_card(view(row)), cards.find_card(view(row)), cards.sheen_card(view(row))):
            assert all(word not in text(card) for word in ("None", "  ", "..", "Step."))
        told = replace(row, length_mm=Fraction(9), such=1, looked_at=40)
        assert_card_fits(cards.find_card(view(row)))
        shown = on_a_phone(cards.logged_card(view(told)))
        assert len(shown) <= PHONE_LINES, "\n".join(shown)


def on_a_phone(card: Card) -> list[str]:
    """The lines of a reply on a phone, without its buttons."""
    parts = [part for part in layout(card).to_components() if part["type"] != ROW]
    return show("", parts, Screen(COLUMNS, zone=UTC)).text.split("\n")[1:]


def test_a_sheen_is_said_before_everything() -> None:
    """science.md §5: words cannot diagnose; move apart, own tools, pass nothing on, photograph, a laboratory."""
    card = cards.logged_card(view(replace(FIND, sheen=True)))
    assert card.lead == f"**{SHEEN}** B-1 is on hold."
    said = text(card)
    order = ["Words can't diagnose", "box mates apart now", "tools of their own", "From B-1 pass nothing on"]
    order += ["breed nothing", "A laboratory can confirm", "Photo now and after her next moult"]
    assert [said.index(part) for part in order] == sorted(said.index(part) for part in order)
    assert [button.label for button in card.buttons] == ["No pings", "More", "Undo"]


def test_the_steps_come_in_the_order_of_the_trade() -> None:
    """chat.md: bin mates of its size and no mature male, photograph after the moult, count its sisters."""
    said = text(cards.logged_card(view()))
    order = [
        "three to five bin mates",
        "no mature male",
        "sperm of earlier males",
        "Breed her first",
        "about 57",
        "Photo now",
        "Count her sisters",
    ]
    assert [said.index(part) for part in order] == sorted(said.index(part) for part in order)
    assert "<t:1775995200:D>" in said
    assert "Nobody knows yet how ember is inherited." in said
    assert [button.label for button in cards.logged_card(view()).buttons] == [
        "Pair",
        "It has a blue sheen",
        "No pings",
        "More",
        "Undo",
    ]


@pytest.mark.parametrize(
    ("changed", "part"),
    [
        ({"stage": Stage.JUVENILE}, "so she is surely unmated"),
        ({"stage": Stage.MANCA, "sex": Sex.UNKNOWN}, "a manca"),
        ({"stage": Stage.JUVENILE, "sex": Sex.MALE}, "Breed him as soon as he is grown"),
        ({"pouch_filled": True}, "a father nobody knows"),
        ({"sex": Sex.MALE}, "no other mature male"),
        ({"slow": True}, "look for a blue-violet sheen in daylight"),
        ({"such": 2, "looked_at": 60}, "2 of 60 seen"),
        ({"such": 1}, "the only one"),
    ],
)
def test_what_was_said_of_the_animal_decides_the_advice(changed: dict[str, object], part: str) -> None:
    assert part in text(cards.logged_card(view(replace(FIND, **changed))))  # type: ignore[arg-type]


def test_a_length_is_in_the_readers_units() -> None:
    row = replace(FIND, length_mm=Fraction(127, 10))
    assert "Noted: 12.7 mm." in text(cards.logged_card(view(row)))
    assert "Noted: 0.50 in." in text(cards.logged_card(view(row, units=Units.IMPERIAL)))


@pytest.mark.parametrize("changed", [{"stage": Stage.JUVENILE}, {"slow": True}, {"sheen": True}, {"sex": Sex.UNKNOWN}])
def test_who_is_not_grown_or_may_be_ill_is_not_offered_for_a_pairing(changed: dict[str, object]) -> None:
    card = cards.logged_card(view(replace(FIND, **changed)))  # type: ignore[arg-type]
    assert "Pair" not in [button.label for button in card.buttons]


def test_a_clonal_animal_is_bred_alone() -> None:
    assert "needs no male" in text(cards.logged_card(view(system=SexSystem.THELYTOKOUS)))


def test_where_nothing_will_be_asked_the_reply_does_not_promise_it() -> None:
    card = cards.logged_card(view(pings=()))
    assert "I'll ask" not in text(card)
    assert "No pings" not in [button.label for button in card.buttons]


def test_what_people_typed_is_harmless_and_what_was_not_understood_is_told() -> None:
    row = replace(FIND, trait_name="*ember* @everyone", typed="**odd** <@1>", note="[x](y)")
    card = cards.logged_card(view(row, unread="`pale` **orange**"))
    assert "Kept as typed, but not understood" in text(card)
    shown = text(cards.find_card(view(row))) + text(card)
    assert {"everyone", "named link"}.isdisjoint(live_marks(shown))
    assert "<@1>" not in shown


def test_a_list_tells_what_is_open_and_offers_the_rest() -> None:
    rows = [FindLine(replace(FIND, number=n, sheen=n == 2), is_open=True) for n in range(30, 0, -1)]
    finds = FindList(tuple(rows), settled=2, every=False, place=2**62, trait=2**62, code="B-1", name="*ember*")
    first = cards.list_card(finds, 0)
    assert first.lead.startswith("**30 open finds** of \\*ember\\* in B-1, the newest first. 2 finds more")
    assert [button.label for button in first.buttons] == ["Earlier", "All finds"]
    assert all(len(button.argument) <= LONGEST_ARGUMENT for button in first.buttons)
    last = cards.list_card(finds, 99)
    assert "**blue sheen**" in text(last)
    assert [button.label for button in last.buttons] == ["Later", "All finds"]
    assert_card_fits(last)
    none = FindList((), settled=0, every=False, place=0, trait=0)
    assert "`/find log` logs one" in cards.list_card(none, 0).lead
    known = cards.list_card(replace(none, settled=1), 0)
    assert known.lead == "No find is open. 1 find more: how its trait is inherited is known by now."
