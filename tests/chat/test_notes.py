"""What is noted beside an open bin with one press, and told in the evening, over the chat."""

from datetime import timedelta

from tests.support.chat import BINS, MOSS, TAMSIN, WREN, Chat, first_line, labels, only_for, some_thursday

HOURS = timedelta(hours=9)
"""From noon in Lisbon, where Wren lives, past seven in the evening."""


async def test_one_press_beside_an_open_bin_and_the_rest_in_the_evening(sqlite_chat: Chat) -> None:
    chat = sqlite_chat
    page = await chat.type("/bin show bin:B-4")
    assert {"Seen young", "Dead one", "Photo later"} <= set(labels(page))
    noted = await chat.press(page.message, "Dead one")
    only_for(WREN, noted)
    assert first_line(noted).startswith("Noted in B-4 (ember F1): one dead,")
    events = await chat.events()
    await chat.again(noted)
    twice = await chat.press(page.message, "Dead one")
    assert "is noted already" in first_line(twice)
    assert await chat.events() == events
    today = await chat.type("/care today")
    assert "Dead of B-4" in labels(today)
    await chat.move(HOURS)
    ping = await chat.service.wait_message(BINS, lambda m: "dead one to log" in m.content.casefold() and not m.layout)
    assert ping.content.startswith("Dead one to log: B-4 (ember F1)")
    only_for(TAMSIN, await chat.press(ping, "Dead of B-4", TAMSIN))
    form = await chat.press(ping, "Dead of B-4")
    assert form.form is not None
    assert {f.custom_id: f.value for f in form.form.fields}["bin"] == "B-4"
    told = await chat.submit(form.form, number="2", said="soft, **after** a moult")
    assert first_line(told).startswith("B-4 (ember F1), found dead: 2 ")
    assert "Found dead: 2" in (await chat.type("/bin show bin:B-4")).text
    gone = await chat.press(ping, "Dead of B-4")
    assert first_line(gone).startswith("Nothing of that is left to tell")
    back = await chat.press(told.message, "Undo")
    assert "What was told of the dead is taken back." in back.text


async def test_young_are_told_by_the_form_of_a_brood_with_bin_and_day_in_it(sqlite_chat: Chat) -> None:
    page = await sqlite_chat.type("/bin show bin:B-4")
    await sqlite_chat.press(page.message, "Seen young")
    only_for(MOSS, await sqlite_chat.press(page.message, "Seen young", MOSS))
    await sqlite_chat.move(HOURS)
    ping = await sqlite_chat.service.wait_message(BINS, lambda m: "young you saw" in m.content and not m.layout)
    form = await sqlite_chat.press(ping, "Young of B-4")
    assert form.form is not None
    typed = {f.custom_id: f.value for f in form.form.fields}
    assert (typed["of"], typed["day"]) == ("B-4", some_thursday().date().isoformat())
    logged = await sqlite_chat.submit(form.form, scored="5 ember 17 wild")
    assert first_line(logged).startswith("**B-4.1**: 5 ember, 17 wild-looking")
    assert first_line(await sqlite_chat.type("/care today")).startswith("Nothing wants doing today.")


async def test_a_photo_that_was_put_off_says_how_to_file_it(sqlite_chat: Chat) -> None:
    page = await sqlite_chat.type("/bin show bin:B-4")
    await sqlite_chat.press(page.message, "Photo later")
    today = await sqlite_chat.type("/care today")
    told = await sqlite_chat.press(today.message, "Photo of B-4")
    assert first_line(told).startswith("Type `/photo file`, choose B-4")
