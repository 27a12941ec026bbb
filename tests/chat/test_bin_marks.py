"""`/bin hold`, `quarantine`, `look`, `release` and `stray` over the chat, and the questions they lead to."""

from datetime import timedelta

from tests.support.chat import BINS, MOSS, TAMSIN, WREN, Chat, first_line, labels, only_for

DAY = timedelta(days=1)


async def test_a_bin_on_hold_says_so_first_and_its_animals_stay_until_a_steward_lifts_it(chat: Chat) -> None:
    held = await chat.type("/bin hold bin:B-3 reason:blue or violet sheen note:one by the *bark*", MOSS)
    assert first_line(held) == "**B-3 (frost line)** is on hold: its animals stay where they are."
    assert "a laboratory can" in held.text
    await chat.again(held)
    assert [event.kind for event in await chat.events()].count("bin.held") == 1
    shown = await chat.type("/bin show bin:B-3", TAMSIN)
    assert first_line(shown).startswith("**On hold** since <t:")
    asked = await chat.type("/pair setup dams:1 from B-3 sires:1 from B-3", MOSS)
    only_for(MOSS, asked)
    assert first_line(asked).startswith("B-3 (frost line) is **on hold**. Before you take breeders from B-3")
    assert labels(asked) == ["Go on all the same", "Edit"]
    paired = await chat.press(asked.message, "Go on all the same", MOSS)
    assert first_line(paired).startswith("**P-1** is set up in B-6")
    handed = await chat.type("/bin move bin:B-3 keeper:@Tamsin", MOSS)
    only_for(MOSS, handed)
    assert "Ask a steward" in first_line(handed)
    refused = await chat.type("/bin release bin:B-3", MOSS)
    only_for(MOSS, refused)
    assert first_line(refused).startswith("Only stewards")
    lifted = await chat.press(shown.message, "Release", WREN)
    assert first_line(lifted) == "**B-3 (frost line)** is not on hold any more."
    await chat.press(lifted.message, "Undo", WREN)
    assert first_line(await chat.type("/bin show bin:B-3")).startswith("**On hold**")


async def test_a_quarantine_asks_on_its_last_day_and_ends_with_one_clean_look(sqlite_chat: Chat) -> None:
    chat = sqlite_chat
    started = await chat.type("/bin quarantine bin:B-4 until:20")
    assert first_line(started).startswith("**B-4 (ember F1)** is in quarantine until **<t:")
    assert labels(started) == ["Undo", "Looked: clean", "Show bin"]
    early = await chat.type("/bin release bin:B-4")
    only_for(WREN, early)
    assert "Nobody has noted a look at it yet." in first_line(early)
    still = await chat.press(early.message, "It is clean")
    only_for(WREN, still)
    assert first_line(still).endswith("End it now all the same?")
    await chat.move(21 * DAY)
    ping = await chat.service.wait_message(BINS, lambda message: "end of quarantine" in message.content.casefold())
    assert "own tools" in ping.content
    over = await chat.press((await chat.type("/bin show bin:B-4")).message, "Looked: clean")
    assert first_line(over) == "**B-4 (ember F1)** looks clean, and its quarantine is over."
    shown = await chat.type("/bin show bin:B-4")
    assert "quarantine" not in first_line(shown)


async def test_a_release_that_was_asked_about_ends_it_before_its_day(sqlite_chat: Chat) -> None:
    shown = await sqlite_chat.type("/bin quarantine bin:B-4 until:in 3 weeks")
    asked = await sqlite_chat.press((await sqlite_chat.press(shown.message, "Show bin")).message, "Release")
    clean = await sqlite_chat.press(asked.message, "It is clean")
    done = await sqlite_chat.press(clean.message, "End it now")
    assert first_line(done) == "**B-4 (ember F1)** is not in quarantine any more."


async def test_a_stray_puts_later_broods_in_doubt(sqlite_chat: Chat) -> None:
    chat = sqlite_chat
    await chat.type("/pair setup dams:1 unmated from B-4 sires:1 visual ember from B-5")
    await chat.move(30 * DAY)
    await chat.type("/brood log of:P-1 scored:6 ember 17 wild")
    noted = await chat.type("/bin stray bin:B-6 what:the lid was off when:3 days ago")
    assert first_line(noted).startswith("**B-6**: it is noted that the lid was off on <t:")
    assert "In doubt since then: P-1.1." in noted.text
    assert "The lid was off on <t:" in (await chat.type("/bin show bin:B-6")).text
    assert "The lid was off on <t:" in (await chat.type("/pair show pairing:P-1")).text
    await chat.press(noted.message, "Undo")
    assert "The lid" not in (await chat.type("/pair show pairing:P-1")).text


async def test_what_cannot_be_read_marks_nothing_and_keeps_what_was_typed(sqlite_chat: Chat) -> None:
    before = await sqlite_chat.events()
    for line, said in (
        ("/bin quarantine bin:B-4 until:last week note:own tweezers", "last week"),
        ("/bin look bin:B-4 saw:clean when:in a while note:own tweezers", "I can't read the day"),
        ("/bin hold bin:B-44 reason:signs of disease note:own tweezers", "Did you mean B-4"),
    ):
        refused = await sqlite_chat.type(line)
        only_for(WREN, refused)
        assert said in first_line(refused)
        assert "own tweezers" in refused.text
    assert await sqlite_chat.events() == before


async def test_more_than_were_counted_are_asked_about(sqlite_chat: Chat) -> None:
    asked = await sqlite_chat.type("/bin split bin:B-3 number:200", MOSS)
    only_for(MOSS, asked)
    assert first_line(asked).startswith("Only about 108 were counted in B-3")
    assert labels(asked) == ["Go on all the same", "Count B-3", "Edit"]
    done = await sqlite_chat.press(asked.message, "Go on all the same", MOSS)
    assert first_line(done).startswith("Bin **B-6** is open with 200 from B-3")
