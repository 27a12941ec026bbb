"""`/trait evidence`, and *Evidence* under a brood."""

from tests.support.chat import ELSEWHERE, ELSEWHERE_ROOM, MOSS, STRANGER, Chat, first_line, labels

LINES = (
    "/pair setup dams:1 unmated wild called Pearl from B-4 sires:1 visual ember called Rust from B-5 question:ember",
    "/brood log of:P-1 scored:24 wild, 9 weeks",
    "/brood keep brood:P-1.1 keep:6 wild name:ember F9",
    "/pair setup dams:2 unmated wild from B-7 sires:Rust question:ember",
    "/brood log of:P-2 scored:12 ember 12 wild, 9 weeks",
)


async def bred(chat: Chat) -> None:
    for line in LINES:
        outcome = await chat.type(line)
        assert not outcome.messages[-1].ephemeral, outcome.text


async def test_the_verdict_comes_first_with_what_is_missing_for_the_next_word(sqlite_chat: Chat) -> None:
    await bred(sqlite_chat)
    outcome = await sqlite_chat.type("/trait evidence name:ember", MOSS)
    assert await outcome.until(lambda seen: bool(seen.text), 60)
    assert first_line(outcome).startswith("ember is *leaning* to be **recessive**")
    assert "To be called *supported*" in outcome.text
    for fact in ("without P-2.1", "Rust", "Pearl", "evidence in this book, not a guarantee"):
        assert fact in outcome.text
    assert labels(outcome) == ["Broods", "Pairings"]


async def test_a_brood_has_the_evidence_behind_a_button(sqlite_chat: Chat) -> None:
    await bred(sqlite_chat)
    shown = await sqlite_chat.type("/brood show brood:P-2.1")
    outcome = await sqlite_chat.press(shown.message, "Evidence")
    assert await outcome.until(lambda seen: bool(seen.text), 60)
    assert "ember is *leaning* to be **recessive**" in outcome.text


async def test_without_broods_the_person_is_told_what_to_do(sqlite_chat: Chat) -> None:
    refused = await sqlite_chat.type("/trait evidence name:frost")
    assert "No brood in the book bears on frost yet" in first_line(refused)


async def test_an_unknown_trait_is_refused_with_the_nearest(sqlite_chat: Chat) -> None:
    refused = await sqlite_chat.type("/trait evidence name:embr")
    assert "ember" in first_line(refused)


async def test_another_server_has_no_such_trait(sqlite_chat: Chat) -> None:
    await bred(sqlite_chat)
    refused = await sqlite_chat.type("/trait evidence name:ember", STRANGER, ELSEWHERE_ROOM, ELSEWHERE)
    assert "recessive" not in refused.text
