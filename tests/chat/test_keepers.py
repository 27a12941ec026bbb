"""`/keeper`, `/bin share` and `/records`, through the chat."""

from tests.support.chat import MOSS, TAMSIN, WREN, Chat, first_line, labels, only_for


async def shown(chat: Chat, line: str) -> str:
    """What a command answers, its picture waited for."""
    outcome = await chat.type(line)
    assert await outcome.until(lambda seen: bool(seen.text), 30), line
    return outcome.text


async def test_settings_are_set_shown_repeated_and_undone(chat: Chat) -> None:
    done = await chat.type("/keeper set zone:Lisbon quiet:22:00-07:00 units:metric pings:#care", MOSS)
    said = only_for(MOSS, done).text
    for part in (
        "Time zone: Europe/Lisbon",
        "Quiet hours: 22:00 to 07:00",
        "Units: °C and mm",
        "<#910000000000000012>",
    ):
        assert part in said
    events = await chat.events()
    await chat.again(done)
    assert await chat.events() == events
    told = await chat.type("/keeper show", MOSS)
    assert first_line(told) == "Your time zone is **Europe/Lisbon**."
    await chat.press(done.message, "Undo", MOSS)
    assert "America/Chicago" in first_line(await chat.type("/keeper show", MOSS)) or "don't know" in first_line(
        await chat.type("/keeper show", MOSS)
    )


async def test_what_cannot_be_set_says_what_to_type(sqlite_chat: Chat) -> None:
    for line, said in (
        ("/keeper set", "nothing to change"),
        ("/keeper set quiet:at night", "like 22:00-07:00, or off"),
        ("/keeper set zone:Lissabon", "no time zone"),
    ):
        assert said in only_for(TAMSIN, await sqlite_chat.type(line, TAMSIN)).text


async def test_zones_are_offered(sqlite_chat: Chat) -> None:
    for line in ("/keeper set zone:lisb", "/keeper server zone:lisb"):
        assert [choice.value for choice in await sqlite_chat.offered(line)] == ["Europe/Lisbon"]


async def test_only_stewards_set_the_server(sqlite_chat: Chat) -> None:
    refused = await sqlite_chat.type("/keeper server prefix:HL-", MOSS)
    assert first_line(refused).startswith("Only stewards")
    done = await sqlite_chat.type("/keeper server prefix:HL- pings:#care", WREN)
    assert "HL" in done.text
    opened = await sqlite_chat.type("/bin open species:Porcellio scaber", MOSS)
    assert "HL-" in first_line(opened)


async def test_words_are_erased_after_a_question_and_only_ones_own(chat: Chat) -> None:
    asked = await chat.type("/keeper erase", MOSS)
    assert "cannot be undone" in first_line(asked)
    assert "Pale edges" in await shown(chat, "/bin show bin:B-3")
    erased = await chat.press(asked.message, "Erase my words", MOSS)
    only_for(MOSS, erased)
    after = await shown(chat, "/bin show bin:B-3")
    assert "Pale edges" not in after
    assert "frost line" not in after
    assert "a former keeper" in after
    assert "wild stock" in await shown(chat, "/bin show bin:B-1")
    events = await chat.events()
    await chat.again(erased)
    assert await chat.events() == events
    undone = await chat.type("/records undo", MOSS)
    assert "nothing there to undo" in first_line(undone)


async def test_a_bin_is_shared_and_taken_back_with_a_press(chat: Chat) -> None:
    shared = await chat.type("/bin share bin:B-3 with:@Tamsin", MOSS)
    assert first_line(shared) == "B-3 (frost line) is kept by Moss and Tamsin."
    events = await chat.events()
    await chat.again(shared)
    assert await chat.events() == events
    assert "counted" in first_line(await chat.type("/count log bin:B-3 count:9", TAMSIN))
    await chat.press(shared.message, "Undo", MOSS)
    assert "belongs to Moss" in first_line(await chat.type("/count log bin:B-3 count:9", TAMSIN))


async def test_sharing_what_cannot_be_shared_is_refused(sqlite_chat: Chat) -> None:
    for line, person, said in (
        ("/bin share bin:B-3 with:@Moss", MOSS, "keeps B-3"),
        ("/bin share bin:B-3 with:@Wren", TAMSIN, "belongs to Moss"),
        ("/bin unshare bin:B-3 with:@Wren", MOSS, "no co-keeper"),
        ("/bin share bin:B-77 with:@Wren", MOSS, "No bin"),
    ):
        assert said in first_line(await sqlite_chat.type(line, person))


async def test_the_audit_pages_back_and_tells_by_bin_and_keeper(sqlite_chat: Chat) -> None:
    for number in range(12):
        await sqlite_chat.type(f"/count log bin:B-3 count:{number}", MOSS)
    first = await sqlite_chat.type("/records audit", TAMSIN)
    assert labels(first) == ["Older"]
    assert "Moss logged a count of B-3 (frost line)" in first.text
    second = await sqlite_chat.press(first.message, "Older", TAMSIN)
    assert second.messages[-1].id == first.messages[-1].id
    assert "#1 " in (await sqlite_chat.press(second.messages[-1], "Older", TAMSIN)).text
    by_bin = await sqlite_chat.type("/records audit bin:B-1", TAMSIN)
    assert "Wren logged a count of B-1 (wild stock)" in by_bin.text
    assert "B-5" not in by_bin.text
    by_keeper = await sqlite_chat.type("/records audit keeper:@Tamsin", WREN)
    assert "Moss" not in by_keeper.text
    nothing = await sqlite_chat.type("/records audit bin:B-1 keeper:@Moss", WREN)
    assert first_line(nothing).startswith("Nothing is recorded")


async def test_undo_takes_back_the_last_change_or_a_numbered_one(chat: Chat) -> None:
    await chat.type("/count log bin:B-3 count:40", MOSS)
    await chat.type("/count log bin:B-3 count:41", MOSS)
    offered = await chat.offered("/records undo change:", MOSS)
    assert offered[0].name.endswith("logged a count of B-3")
    undone = await chat.type(f"/records undo change:{offered[1].value}", MOSS)
    only_for(MOSS, undone)
    assert "The count is taken back." in undone.text
    events = await chat.events()
    await chat.again(undone)
    assert await chat.events() == events
    assert "The count is taken back." in (await chat.type("/records undo", MOSS)).text
    assert "**41**" not in await shown(chat, "/bin show bin:B-3")
    for wrong in ("#99999", "the last one"):
        assert "nothing there to undo" in first_line(await chat.type(f"/records undo change:{wrong}", MOSS))
    assert "done by" in first_line(await chat.type("/records undo change:1", TAMSIN))


async def test_lengths_and_warmth_are_said_in_the_units_that_were_chosen(chat: Chat) -> None:
    async def said() -> tuple[str, str]:
        card = await chat.type("/species show species:Armadillidium vulgare")
        return await shown(chat, "/bin show bin:B-2"), card.text

    for units, length, warm in (
        ("", "1.4 cm (0.6 in)", "20 °C (68 °F)"),
        ("metric", "14 mm", "20 °C to 24 °C"),
        ("imperial", "0.55 in", "68 °F to 75 °F"),
    ):
        if units:
            await chat.type(f"/keeper set units:{units}")
        bin_, card = await said()
        assert length in bin_
        assert warm in card.replace("\xa0", " ")
