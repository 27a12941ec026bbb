"""`/trait` beyond a name: models typed as commands, changed, shown, related, parted, and what nobody may do."""

import pytest

from tests.support.chat import (
    BINS,
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

DEFINE = "/trait define name:blush shows:recessive sex:females only week:8 species:Armadillidium vulgare"


def said(text: str) -> str:
    return text.replace("\u00a0", " ")


async def test_a_trait_of_one_sex_says_what_was_recorded_and_what_it_is_not(chat: Chat) -> None:
    outcome = await chat.type(DEFINE, MOSS)
    assert first_line(outcome) == "**blush** stands in the book as recessive, with the gene symbol `b`."
    for part in (
        "blush lies on an ordinary chromosome, which both sexes have in pairs.",
        "Recorded: **shown in females only**. That is about who shows it, not about a sex chromosome.",
        "One male that shows blush rules it out.",
        "Shown in females only: 1 in 2 of the daughters and none of the sons.",
        "On the sex chromosome: 1 in 2 of both sexes show it.",
    ):
        assert part in outcome.text
    assert labels(outcome) == ["It's on a sex chromosome", "Change", "Undo"]


async def test_the_other_is_recorded_by_a_button_and_taken_back_by_another(chat: Chat) -> None:
    defined = await chat.type(DEFINE, MOSS)
    linked = await chat.press(defined.message, "It's on a sex chromosome", MOSS)
    assert first_line(linked) == "**blush** now stands in the book as recessive, with the gene symbol `b`."
    assert (
        "Recorded: **on a sex chromosome**. That is rare in woodlice; shown in one sex only is proven twice."
        in linked.text
    )
    assert "blush can be read from week 8." in linked.text
    events = await chat.events()
    await chat.again(linked)
    assert await chat.events() == events
    await chat.press(linked.message, "Undo", MOSS)
    shown = await chat.type("/trait show name:blush")
    assert "Recorded: **shown in females only**." in shown.text


async def test_only_who_defined_it_and_stewards_record_the_other(sqlite_chat: Chat) -> None:
    defined = await sqlite_chat.type(DEFINE, MOSS)
    before = await sqlite_chat.events()
    refused = await sqlite_chat.press(defined.message, "It's on a sex chromosome", TAMSIN)
    only_for(TAMSIN, refused)
    assert first_line(refused) == "The trait blush belongs to Moss. Ask them, or a steward."
    assert await sqlite_chat.events() == before
    assert "now stands" in first_line(await sqlite_chat.press(defined.message, "It's on a sex chromosome", WREN))


async def test_a_change_is_said_whole_and_leaves_what_was_not_named(chat: Chat) -> None:
    await chat.type("/trait define name:shy shows:recessive penetrance:70 % phenocopies:2 %", MOSS)
    changed = await chat.type("/trait change name:shy penetrance:80 % survival:two copies 50 %", MOSS)
    text = said(changed.text)
    for part in (
        "shy shows in 80 % of those that should show it.",
        "shy is seen in 2 % of those that should not show it.",
        "shy with two copies lets 50 % as many live as wild young.",
    ):
        assert part in text
    await chat.again(changed)
    await chat.press(changed.message, "Undo", MOSS)
    assert "shows in 70 %" in said((await chat.type("/trait show name:shy")).text)


async def test_a_name_that_is_there_already_is_offered_to_be_changed_with_all_that_was_typed(sqlite_chat: Chat) -> None:
    await sqlite_chat.type("/trait define name:shy shows:recessive", MOSS)
    line = "/trait define name:Shy shows:dominant penetrance:70 % phenocopies:2 % survival:two copies lethal week:8"
    refused = await sqlite_chat.type(line, MOSS)
    only_for(MOSS, refused)
    assert labels(refused) == ["Change it instead", "Edit"]
    opened = await sqlite_chat.press(refused.message, "Change it instead", MOSS)
    assert opened.form is not None
    assert opened.form.title == "Change a trait"
    changed = await sqlite_chat.submit(opened.form)
    assert first_line(changed) == "**shy** now stands in the book as dominant, with the gene symbol `s`."
    text = said(changed.text)
    assert "shy can be read from week 8." in text
    assert "shy kills with two copies." in text
    assert "shows in 70 %" in text
    assert "seen in 2 %" in text


async def test_change_opens_a_form_for_the_trait(sqlite_chat: Chat) -> None:
    shown = await sqlite_chat.type("/trait show name:ember", MOSS)
    opened = await sqlite_chat.press(shown.message, "Change", WREN)
    assert opened.form is not None
    assert next(field.value for field in opened.form.fields if field.custom_id == "name") == "ember"
    changed = await sqlite_chat.submit(opened.form, shows="dominant")
    assert first_line(changed) == "**ember** now stands in the book as dominant, with the gene symbol `e`."


@pytest.mark.parametrize(
    ("line", "reason"),
    [
        ("/trait define name:shy shows:recessive penetrance:often", "Type it like 70 %, 0.7 or 7 in 10."),
        ("/trait define name:shy shows:recessive penetrance:170 %", "cannot be: all of them are 100 %"),
        ("/trait define name:shy shows:recessive phenocopies:60 %", "it lies between 0 and 1/2"),
        ("/trait define name:shy shows:recessive week:soon", "Type a whole number, like 8."),
        ("/trait define name:shy shows:recessive survival:some die", "Type it like `two copies lethal`"),
        ("/trait change name:embr penetrance:70 %", "Did you mean ember?"),
        ("/trait link traits:ember, frst distance:10 %", "Did you mean frost?"),
        ("/trait link traits:ember, frost distance:60 %", "A recombination of 60 % cannot be"),
        ("/trait link traits:ember, frost distance:10 %, 5 %", "one distance for each pair of neighbours"),
        ("/trait series order:ember > wild", "Name at least two traits."),
        ("/trait series order:frost > wild > ember", "frost stands in the book as incompletely dominant"),
        ("/trait combine name:coat traits:ember, frost way:9:7 looks:a, b", "Type a table of looks instead."),
        ("/trait combine name:coat traits:ember, frost", "is no way of acting together I know"),
        ("/trait combine name:coat traits:ember, frost table:visual ember", "end with `else = wild`"),
    ],
)
async def test_what_cannot_be_is_refused_and_nothing_typed_is_lost(sqlite_chat: Chat, line: str, reason: str) -> None:
    before = await sqlite_chat.events()
    refused = await sqlite_chat.type(line, WREN)
    only_for(WREN, refused)
    assert reason in said(refused.text)
    assert await sqlite_chat.events() == before
    opened = await sqlite_chat.press(refused.message, "Edit", WREN)
    assert opened.form is not None
    typed = {field.value for field in opened.form.fields if field.value}
    assert all(value in line for value in typed)
    assert typed


async def test_traits_are_tied_shown_and_parted(chat: Chat) -> None:
    await chat.type("/trait define name:ash shows:recessive", MOSS)
    linked = await chat.type("/trait link traits:ember, ash distance:10 % sires:0 %", MOSS)
    assert first_line(linked) == "**ember and ash** are linked from now on."
    await chat.again(linked)
    combined = await chat.type("/trait combine name:coat traits:ember, ash way:15:1 looks:grey, white", MOSS)
    assert "Ember and ash make coat together (either suffices, 15:1: grey and white)." in combined.text
    shown = said((await chat.type("/trait show name:ash")).text)
    assert "in dams 10 % recombination between ember and ash; in sires no recombination" in shown
    assert "make coat together" in shown
    listed = said((await chat.type("/trait list")).text)
    assert "**3 traits** in the book." in listed
    assert listed.count("Ember and ash") == 2
    offered = await chat.offered("/trait part relation:ember")
    assert [choice.name for choice in offered] == ["linked: ember, ash", "together: ember, ash"]
    before = await chat.events()
    refused = await chat.type(f"/trait part relation:{offered[0].value}", TAMSIN)
    only_for(TAMSIN, refused)
    assert await chat.events() == before
    parted = await chat.type(f"/trait part relation:{offered[0].value}", MOSS)
    assert first_line(parted) == "**ember and ash** are parted: a cross takes each by itself again."
    await chat.press(parted.message, "Undo", MOSS)
    assert [choice.name for choice in await chat.offered("/trait part relation:")] == [
        "linked: ember, ash",
        "together: ember, ash",
    ]


async def test_names_are_completed_one_after_another(sqlite_chat: Chat) -> None:
    assert [c.value for c in await sqlite_chat.offered("/trait show name:fr")] == ["frost"]
    assert [c.value for c in await sqlite_chat.offered("/trait link traits:ember, ")] == ["ember, frost"]
    assert "two copies lethal" in [
        c.value for c in await sqlite_chat.offered("/trait define name:x shows:recessive survival:leth")
    ]
    assert [c.value for c in await sqlite_chat.offered("/odds cross:wild x wild species:nasa")] == [
        "Armadillidium nasatum"
    ]


async def test_another_server_sees_and_changes_nothing(sqlite_chat: Chat) -> None:
    defined = await sqlite_chat.type(DEFINE, MOSS)
    custom_id = defined.messages[-1].button("It's on a sex chromosome").custom_id
    before = await sqlite_chat.events()
    there = (STRANGER, ELSEWHERE_ROOM, ELSEWHERE)
    for line in ("/trait show name:blush", "/trait change name:blush penetrance:70 %", "/trait part relation:1"):
        refused = await sqlite_chat.type(line, *there)
        assert refused.messages[-1].ephemeral
        assert "recessive" not in refused.text
    assert await sqlite_chat.offered("/trait show name:bl", *there) == ()
    for forged in (custom_id, custom_id.replace("instead", "change").partition("/")[0]):
        pressed = await sqlite_chat.forge(forged, STRANGER, ELSEWHERE_ROOM)
        only_for(STRANGER, pressed)
        assert pressed.form is None
    assert await sqlite_chat.events() == before


@pytest.mark.parametrize(
    "custom_id",
    [
        "m1:trait.instead:",
        "m1:trait.instead:999999/female",
        "m1:trait.instead:1/neither",
        "m1:trait.instead:x/X or Z",
        "m1:trait.change:=999999",
        "m1:trait.change:#999999",
        "m1:trait.change:",
        "m1:trait.change:=-1",
    ],
)
async def test_forged_buttons_of_traits_change_nothing(sqlite_chat: Chat, custom_id: str) -> None:
    before = await sqlite_chat.events()
    pressed = await sqlite_chat.forge(custom_id, MOSS, BINS)
    only_for(MOSS, pressed)
    assert pressed.form is None
    assert await sqlite_chat.events() == before


async def test_words_of_people_in_names_and_looks_do_nothing(sqlite_chat: Chat) -> None:
    for name in ("ash", "soot"):
        await sqlite_chat.type(f"/trait define name:{name} shows:recessive")
    line = "/trait combine name:@everyone **x** traits:ash, soot way:9:7 looks:<@1>, ||dark||"
    combined = await sqlite_chat.type(line)
    odds = await sqlite_chat.type("/odds cross:het ash, het soot x het ash, het soot")
    for text in (combined.text, odds.text):
        assert "@everyone **" not in text
        assert "<@1>" not in text
        assert "||dark||" not in text
