"""`/trait distance`: how far two traits lie apart."""

from tests.support.chat import ELSEWHERE, ELSEWHERE_ROOM, MOSS, STRANGER, WREN, Chat, first_line, labels, only_for

HETS = "het ember, het frost"


async def test_linked_traits_are_said_to_be_that_in_words_first(chat: Chat) -> None:
    outcome = await chat.type(
        f"/trait distance cross:{HETS} x visual ember observed:45 wild, 5 het frost, 5 ember, 45 ember and het frost",
        MOSS,
    )
    assert first_line(outcome).startswith(
        "**ember and frost are linked**: about **10\u00a0%** of gametes recombine (95\u00a0% sure: 5.1 to 17\u00a0%)."
    )
    assert "r = 0.100 ± 0.030" in outcome.text
    assert "maximum likelihood (Fisher & Balmukand 1928)" in outcome.text
    assert "both traits from one parent (taken, since likelier)" in outcome.text
    assert not outcome.messages[0].ephemeral
    await chat.again(outcome)


async def test_free_assortment_is_no_linkage(sqlite_chat: Chat) -> None:
    outcome = await sqlite_chat.type(
        f"/trait distance cross:{HETS} x visual ember observed:26 wild, 24 het frost, 25 ember, 25 ember and het frost"
    )
    assert "**show no linkage** of ember and frost" in first_line(outcome)


async def test_two_crosses_are_taken_together(sqlite_chat: Chat) -> None:
    outcome = await sqlite_chat.type(
        f"/trait distance cross:{HETS} x visual ember observed:45 wild, 5 het frost, 5 ember, 45 ember and het frost "
        f"phase:together second-cross:visual ember x {HETS} "
        "second-observed:8 wild, 42 het frost, 42 ember, 8 ember and het frost second-phase:apart"
    )
    assert "through dams r = 0.100" in outcome.text
    assert "through sires r = 0.160" in outcome.text


async def test_a_cross_that_tells_nothing_is_refused_and_can_be_edited(sqlite_chat: Chat) -> None:
    refused = await sqlite_chat.type("/trait distance cross:het ember x het ember observed:6 ember, 17 wild")
    only_for(WREN, refused)
    assert "The distance is asked of two traits" in first_line(refused)
    assert labels(refused) == ["Edit"]
    opened = await sqlite_chat.press(refused.message, "Edit")
    answered = await sqlite_chat.submit(
        opened.form,
        cross=f"{HETS} x visual ember",
        observed="45 wild, 5 het frost, 5 ember, 45 ember and het frost",
    )
    assert "are linked" in first_line(answered)


async def test_young_that_cannot_be_read_are_refused(sqlite_chat: Chat) -> None:
    refused = await sqlite_chat.type(f"/trait distance cross:{HETS} x visual ember observed:45 wuld")
    only_for(WREN, refused)
    assert "I can't read `wuld`" in first_line(refused)


async def test_another_servers_traits_are_unknown(sqlite_chat: Chat) -> None:
    refused = await sqlite_chat.type(
        f"/trait distance cross:{HETS} x visual ember observed:45 wild", STRANGER, ELSEWHERE_ROOM, ELSEWHERE
    )
    only_for(STRANGER, refused)
    assert "I know no trait of that name" in first_line(refused)
