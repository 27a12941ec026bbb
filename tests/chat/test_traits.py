"""`/trait define`."""

import pytest

from tests.support.chat import BINS, MOSS, WREN, Chat, first_line, labels, only_for


async def test_a_defined_trait_can_be_asked_about_at_once(chat: Chat) -> None:
    outcome = await chat.type("/trait define name:dusk shows:dominant symbol:D species:Porcellio scaber", MOSS)
    assert first_line(outcome).startswith("**dusk** stands in the book as dominant, with the gene symbol `D`.")
    assert "/odds cross:het dusk x wild" in outcome.text
    assert labels(outcome) == ["Change", "Undo"]
    odds = await chat.type("/odds cross:het dusk x wild")
    assert first_line(odds).startswith("**1 in 2** young will show dusk.")


async def test_a_trait_without_a_symbol_gets_the_shortest_free_one(sqlite_chat: Chat) -> None:
    outcome = await sqlite_chat.type("/trait define name:Frost edge shows:recessive")
    assert "with the gene symbol `fr`" in first_line(outcome)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("/trait define name:Ember shows:recessive", "taken already"),
        ("/trait define name:coal shows:recessive symbol:E", "belongs to ember already"),
        ("/trait define name:coal shows:recessive symbol:Z", "cannot be a gene symbol"),
        ("/trait define name:het coal shows:recessive", "means something in a cross"),
        ("/trait define name:coal/dust shows:recessive", "cannot hold"),
        ("/trait define name:coal shows:recessive species:Porcelio scaber", "Did you mean Porcellio scaber"),
    ],
)
async def test_a_trait_that_cannot_be_is_refused_and_kept_for_editing(sqlite_chat: Chat, line: str, said: str) -> None:
    before = await sqlite_chat.events()
    refused = await sqlite_chat.type(line, MOSS)
    only_for(MOSS, refused)
    assert said in refused.text
    assert await sqlite_chat.events() == before
    opened = await sqlite_chat.press(refused.message, "Edit", MOSS)
    assert opened.form is not None
    assert "recessive" in [field.value for field in opened.form.fields]
    outcome = await sqlite_chat.submit(opened.form, name="coal", shows="incomplete dominant", symbol="", species="")
    assert first_line(outcome).startswith("**coal** stands in the book as incompletely dominant")


async def test_a_form_takes_no_way_of_showing_that_there_is_not(sqlite_chat: Chat) -> None:
    refused = await sqlite_chat.type("/trait define name:Ember shows:recessive", MOSS)
    opened = await sqlite_chat.press(refused.message, "Edit", MOSS)
    again = await sqlite_chat.submit(opened.form, name="coal", shows="sometimes")
    only_for(MOSS, again)
    assert "recessive" in first_line(again)
    assert "incompletely dominant" in first_line(again)


async def test_a_trait_delivered_again_is_one_trait(chat: Chat) -> None:
    outcome = await chat.type("/trait define name:dusk shows:dominant", MOSS)
    events = await chat.events()
    await chat.again(outcome)
    assert await chat.events() == events
    assert len(chat.service.messages(BINS, MOSS)) == 1


async def test_a_trait_may_be_named_by_an_emoji(chat: Chat) -> None:
    outcome = await chat.type("/trait define name:🔥 shows:recessive")
    assert first_line(outcome).startswith("**🔥** stands in the book as recessive, with the gene symbol `t1`.")
    odds = await chat.type("/odds cross:het 🔥 x het 🔥")
    assert first_line(odds).startswith("**1 in 4** young will show 🔥.")
    assert "🔥" in [choice.name for choice in await chat.offered("/odds cross:🔥")]


async def test_a_trait_that_a_bin_is_described_with_is_not_taken_back(sqlite_chat: Chat) -> None:
    outcome = await sqlite_chat.type("/trait define name:dusk shows:dominant")
    await sqlite_chat.type("/bin open species:Porcellio scaber holds:het dusk")
    refused = await sqlite_chat.press(outcome.message, "Undo")
    only_for(WREN, refused)
    assert "rests on that" in first_line(refused)
