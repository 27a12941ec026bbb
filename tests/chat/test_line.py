"""`/line family`, `/line mates` and `/line warn`, and the buttons between them."""

from tests.support.chat import (
    ELSEWHERE,
    ELSEWHERE_ROOM,
    MOSS,
    STRANGER,
    TAMSIN,
    WREN,
    Chat,
    first_line,
    labels,
    only_for,
)


async def test_the_family_of_a_bin_is_a_picture_with_words(chat: Chat) -> None:
    outcome = await chat.type("/line family bin:B-5 trait:ember", TAMSIN)
    assert first_line(outcome) == "The family of **B-5 (ember F2)**: 3 relatives on record."
    assert "B-4 (ember F1): from B-1 (wild stock) × B-2 (ember founder)" in outcome.text
    assert labels(outcome) == ["Least related mates", "Show bin"]
    assert outcome.message is not None
    (attached,) = outcome.message.attachments
    assert attached.filename == "family.png"
    mates = await chat.press(outcome.message, "Least related mates", MOSS)
    assert first_line(mates).startswith("Least related to B-5 (ember F2): **B-1 (wild stock)**, like first cousins.")


async def test_the_least_related_mate_comes_first_and_too_close_ones_are_marked(chat: Chat) -> None:
    outcome = await chat.type("/line mates bin:ember F1")
    assert first_line(outcome).startswith("Least related to B-4 (ember F1): **B-1 (wild stock)**")
    assert (
        "B-2 (ember founder) of Wren: like full sibs, young 25\xa0% (⚠ too close, by this server's warning)"
        in outcome.text
    )
    assert "animals of one origin are taken to be half sibs" in outcome.text
    assert labels(outcome) == ["Family", "Show bin"]
    family = await chat.press(outcome.message, "Family", TAMSIN)
    assert first_line(family).startswith("The family of **B-4 (ember F1)**")


async def test_a_steward_sets_the_warnings_and_they_are_used(chat: Chat) -> None:
    told = await chat.type("/line warn", MOSS)
    assert "close from **12.5\xa0%**" in first_line(told)
    assert labels(told) == []
    set_ = await chat.type("/line warn note:5 % warn:6 % origin:unrelated")
    assert "close from **5\xa0%**" in first_line(set_)
    mates = await chat.type("/line mates bin:B-5")
    assert "⚠ too close" in mates.text
    assert "taken to be unrelated" in mates.text
    undone = await chat.press(set_.message, "Undo")
    assert "The warnings are as they were." in undone.text
    assert "close from **12.5\xa0%**" in first_line(await chat.type("/line warn", MOSS))


async def test_warnings_are_no_members_to_set(sqlite_chat: Chat) -> None:
    before = await sqlite_chat.events()
    refused = await sqlite_chat.type("/line warn note:5 %", MOSS)
    only_for(MOSS, refused)
    assert "Only stewards" in first_line(refused)
    crossed = await sqlite_chat.type("/line warn note:50 %")
    only_for(WREN, crossed)
    assert "no higher than `warn`" in first_line(crossed)
    assert await sqlite_chat.events() == before
    opened = await sqlite_chat.press(crossed.message, "Edit")
    answered = await sqlite_chat.submit(opened.form, note="10 %")
    assert "close from **10\xa0%**" in first_line(answered)


async def test_a_bin_or_a_trait_that_is_not_there_is_refused_with_the_nearest(sqlite_chat: Chat) -> None:
    refused = await sqlite_chat.type("/line family bin:B-5 trait:embr", TAMSIN)
    only_for(TAMSIN, refused)
    assert first_line(refused) == "No trait embr here. Did you mean ember?"
    opened = await sqlite_chat.press(refused.message, "Edit", TAMSIN)
    answered = await sqlite_chat.submit(opened.form, trait="ember")
    assert first_line(answered).startswith("The family of **B-5")
    missing = await sqlite_chat.type("/line mates bin:B-77", TAMSIN)
    only_for(TAMSIN, missing)
    assert "No bin B" in first_line(missing)


async def test_nothing_of_another_server_is_shown(sqlite_chat: Chat) -> None:
    for line in ("/line family bin:B-5", "/line mates bin:B-5"):
        outcome = await sqlite_chat.type(line, STRANGER, ELSEWHERE_ROOM, ELSEWHERE)
        only_for(STRANGER, outcome)
        assert "No bin B" in first_line(outcome)
    for verb in ("line.family", "line.mates"):
        forged = await sqlite_chat.forge(f"m1:{verb}:B-5", STRANGER, ELSEWHERE_ROOM)
        only_for(STRANGER, forged)
        assert "ember" not in forged.text


async def test_the_same_setting_delivered_again_is_one_setting(chat: Chat) -> None:
    outcome = await chat.type("/line warn note:5 % warn:10 %")
    events = await chat.events()
    await chat.again(outcome)
    assert await chat.events() == events
    mates = await chat.type("/line mates bin:B-5")
    await chat.again(mates)
    assert await chat.events() == events
