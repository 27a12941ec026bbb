"""`/species`, through the chat."""

from tests.support.chat import MOSS, WREN, Chat, first_line, only_for


async def test_a_card_says_the_pace_first_and_turns_its_pages(chat: Chat) -> None:
    shown = await chat.type("/species show species:Porcellio scaber", MOSS)
    assert first_line(shown).startswith("*Porcellio scaber* first breeds at about **240 days**")
    assert "a guess" in shown.text
    more = await chat.press(shown.message, "More (2 of 3)", MOSS)
    assert "Where they were read" in more.text


async def test_a_steward_sets_a_figure_repeats_it_and_undoes_it(chat: Chat) -> None:
    line = "/species set species:Porcellio scaber figure:Eggs in a brood value:10-20-30 source:our own counts"
    done = await chat.type(line)
    assert "10 – **20** – 30 · set here" in done.text
    events = await chat.events()
    await chat.again(done)
    assert await chat.events() == events
    assert "set here" in (await chat.type("/species show species:Porcellio scaber", MOSS)).text
    await chat.press(done.message, "Undo")
    assert "set here" not in (await chat.type("/species show species:Porcellio scaber", MOSS)).text


async def test_what_cannot_be_set_says_what_to_type(sqlite_chat: Chat) -> None:
    for line, person, said in (
        ("/species set species:Porcellio scaber figure:Eggs in a brood value:9", MOSS, "Only stewards"),
        ("/species set species:Porcellio scaber figure:Eggs in a brood value:lots", WREN, "like 30, or 20-30-45"),
        ("/species set species:Porcellio scaber", WREN, "nothing to change"),
        ("/species reset species:Porcellio scaber", WREN, "no card of its own"),
        ("/species show species:Porcelio", MOSS, "Did you mean Porcellio"),
    ):
        outcome = await sqlite_chat.type(line, person)
        only_for(person, outcome)
        assert said in first_line(outcome), line
    assert [choice.value for choice in await sqlite_chat.offered("/species show species:mac")] == [
        "Armadillidium maculatum"
    ]
