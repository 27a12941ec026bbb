"""`/trait compare`: same trait or two, on the demo society's lines."""

from tests.support.chat import ELSEWHERE, ELSEWHERE_ROOM, MOSS, STRANGER, Chat, first_line, labels

DUSK = "/trait define name:dusk shows:recessive species:Armadillidium vulgare"
CROSS = "/pair setup dams:1 visual dusk unmated from B-1 sires:1 visual ember called Rust from B-2"


async def bred(chat: Chat) -> None:
    for line in (DUSK, CROSS, "/brood log of:P-1 scored:12 wild, 9 weeks"):
        outcome = await chat.type(line)
        assert not outcome.messages[-1].ephemeral, outcome.text


async def test_what_is_missing_is_said_with_the_cross_to_set_up(chat: Chat) -> None:
    await bred(chat)
    outcome = await chat.type("/trait compare first:ember second:dusk", MOSS)
    assert await outcome.until(lambda seen: bool(seen.text), 60)
    assert first_line(outcome) == "**Cannot tell yet**: it was crossed one way only; the reciprocal cross is wanted."
    assert "/pair setup dams:1 visual ember unmated from … sires:1 visual dusk from …" in outcome.text
    assert "P-1, dam dusk × sire ember: 12 wild-looking, 0 that show" in outcome.text
    assert labels(outcome) == ["What it rests on", "Evidence: ember", "Evidence: dusk", "Pairings"]
    grounds = await chat.press(outcome.message, "What it rests on")
    assert await grounds.until(lambda seen: bool(seen.text), 60)
    assert "holds: ember is recessive (as stated)" in grounds.text
    assert "not in the book: whether dusk breeds true" in grounds.text
    assert (await chat.events())[-1].kind == "brood.logged"


async def test_the_same_trait_twice_and_an_unknown_one_are_refused(sqlite_chat: Chat) -> None:
    twice = await sqlite_chat.type("/trait compare first:ember second:ember")
    assert first_line(twice).startswith("That is ember twice.")
    unknown = await sqlite_chat.type("/trait compare first:ember second:embr")
    assert "ember" in first_line(unknown)
    assert unknown.messages[-1].ephemeral


async def test_a_forged_press_and_another_server_show_nothing(sqlite_chat: Chat) -> None:
    await bred(sqlite_chat)
    for argument in ("", "x-y", "1", "999999-999998"):
        forged = await sqlite_chat.forge(f"m1:trait.compare:{argument}", layout=True)
        assert "wild-looking" not in forged.text
    away = await sqlite_chat.type("/trait compare first:ember second:dusk", STRANGER, ELSEWHERE_ROOM, ELSEWHERE)
    assert "wild-looking" not in away.text
