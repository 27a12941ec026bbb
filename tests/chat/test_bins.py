"""`/bin open` and `/bin show`, their pages, and *Show bin*."""

import pytest

from tests.support.chat import BINS, MOSS, TAMSIN, WREN, Chat, first_line, labels, only_for

NOTE = "\n".join(f"line {number:03d} of a long note about bark, moss and damp corners" for number in range(1, 99))[
    :4000
]
"""A note of all the characters that are taken."""


async def test_an_opened_bin_gets_the_next_code_and_says_what_it_holds(chat: Chat) -> None:
    outcome = await chat.type(
        "/bin open species:Armadillidium vulgare name:ember F3 animals:about 40 holds:66% het ember parents:B-4 x B-5 "
        "origin:the club table length:0.5 in note:by the window",
        MOSS,
    )
    assert first_line(outcome).startswith("Bin **B-6** is open: ember F3.")
    for fact in (
        "kept by Moss",
        "40",
        "het ember",
        "dams of B-4 and sires of B-5",
        "1.3 cm",
        "the club table",
        "window",
    ):
        assert fact in outcome.text
    assert labels(outcome) == ["Log count", "Set up care", "Show bin", "Undo"]
    shown = await chat.type("/bin show bin:b-6", TAMSIN)
    assert first_line(shown).startswith("**B-6 (ember F3)**: **about 40** counted")


async def test_only_the_species_is_needed_to_open_a_bin(sqlite_chat: Chat) -> None:
    outcome = await sqlite_chat.type("/bin open species:porcellio scaber")
    assert first_line(outcome).startswith("Bin **B-6** is open.")
    shown = await sqlite_chat.press(outcome.message, "Show bin")
    assert "not counted yet" in first_line(shown)


async def test_an_unknown_species_is_refused_with_the_nearest_and_nothing_typed_is_lost(sqlite_chat: Chat) -> None:
    before = await sqlite_chat.events()
    refused = await sqlite_chat.type("/bin open species:Armadillidium vulgaris name:ember F3 animals:12")
    only_for(WREN, refused)
    assert "Did you mean Armadillidium vulgare" in first_line(refused)
    assert "ember F3" in refused.text
    assert await sqlite_chat.events() == before
    opened = await sqlite_chat.press(refused.message, "Edit")
    answered = await sqlite_chat.submit(opened.form, species="Armadillidium vulgare")
    assert first_line(answered).startswith("Bin **B-6** is open: ember F3.")
    assert "12 founders" in answered.text


async def test_animals_that_cannot_be_read_are_pointed_at_and_no_bin_is_opened(sqlite_chat: Chat) -> None:
    before = await sqlite_chat.events()
    refused = await sqlite_chat.type("/bin open species:Porcellio scaber holds:visual embre animals:9")
    only_for(WREN, refused)
    assert "⟪embre⟫" in first_line(refused)
    assert "ember" in refused.text
    assert await sqlite_chat.events() == before


async def test_a_wrong_parent_is_corrected_in_the_form(sqlite_chat: Chat) -> None:
    refused = await sqlite_chat.type("/bin open species:Armadillidium vulgare name:new parents:B-1 x B-9")
    assert "No bin B" in first_line(refused)
    opened = await sqlite_chat.press(refused.message, "Edit")
    assert opened.form is not None
    assert {f.custom_id: f.value for f in opened.form.fields}["parents"] == "B-1 x B-9"
    answered = await sqlite_chat.submit(opened.form, parents="B-1 x B-5")
    assert "dams of B-1 and sires of B-5" in answered.text


async def test_the_form_carries_along_what_it_has_no_room_for(sqlite_chat: Chat) -> None:
    refused = await sqlite_chat.type(
        "/bin open species:Armadillidium vulgare name:new animals:a good many holds:wild parents:B-1 length:12 mm "
        "origin:under the log note:beside the door"
    )
    opened = await sqlite_chat.press(refused.message, "Edit")
    assert opened.form is not None
    assert len(opened.form.fields) == 5
    answered = await sqlite_chat.submit(opened.form, animals="90ish")
    for fact in ("new", "90 founders", "wild", "From B-1", "1.2 cm", "under the log", "beside the door"):
        assert fact in answered.text


async def test_a_bin_opened_by_a_command_that_is_delivered_again_is_one_bin(chat: Chat) -> None:
    outcome = await chat.type("/bin open species:Porcellio scaber name:once")
    events = await chat.events()
    await chat.again(outcome)
    assert await chat.events() == events
    assert len(chat.service.messages(BINS, WREN)) == 1
    missing = await chat.type("/bin show bin:B-7")
    assert "No bin B" in first_line(missing)


async def test_a_bin_is_shown_with_its_last_count_first(chat: Chat) -> None:
    outcome = await chat.type("/bin show bin:B-3 frost line", TAMSIN)
    assert first_line(outcome).startswith("**B-3 (frost line)**: **about 108** counted <t:")
    assert "about 60" in outcome.text
    assert labels(outcome)[:3] == ["Log count", "Correct last count", "History"]


async def test_a_wrong_bin_code_is_refused_with_the_nearest(sqlite_chat: Chat) -> None:
    refused = await sqlite_chat.type("/bin show bin:B-33")
    only_for(WREN, refused)
    assert "Did you mean B-3 (frost line)" in first_line(refused)
    assert labels(refused)[0] == "Show B-3"
    shown = await sqlite_chat.press(refused.message, "Show B-3")
    assert first_line(shown).startswith("**B-3 (frost line)**: **about 108** counted")


async def test_a_wrong_code_in_a_form_has_the_form_and_no_bin_to_show(sqlite_chat: Chat) -> None:
    refused = await sqlite_chat.type("/count log bin:B-33 count:40")
    assert "Did you mean B-3 (frost line)" in first_line(refused)
    assert labels(refused) == ["Edit"]


@pytest.mark.parametrize("typed", ["b3", "3", "frost line", "Frost Line", "b 3"])
async def test_a_bin_is_shown_by_its_code_in_any_spelling_its_number_and_its_name(chat: Chat, typed: str) -> None:
    outcome = await chat.type(f"/bin show bin:{typed}")
    assert first_line(outcome).startswith("**B-3 (frost line)**: **about 108** counted")


async def test_a_bin_is_not_opened_from_parents_or_with_a_trait_of_another_species(sqlite_chat: Chat) -> None:
    await sqlite_chat.type("/trait define name:dusk shows:recessive species:Armadillidium vulgare")
    before = await sqlite_chat.events()
    parents = await sqlite_chat.type("/bin open species:Porcellio scaber parents:B-1 x B-3")
    only_for(WREN, parents)
    assert first_line(parents) == (
        "*Porcellio scaber* and *Armadillidium vulgare* are different species. Choose bins of one species."
    )
    trait = await sqlite_chat.type("/bin open species:Porcellio scaber holds:het dusk")
    only_for(WREN, trait)
    assert first_line(trait).startswith("dusk stands in the book as a trait of *Armadillidium vulgare*")
    assert await sqlite_chat.events() == before
    opened = await sqlite_chat.press(trait.message, "Edit")
    answered = await sqlite_chat.submit(opened.form, species="Armadillidium vulgare")
    assert first_line(answered).startswith("Bin **B-6** is open.")


async def test_a_bins_name_is_near_enough_to_find_its_code(sqlite_chat: Chat) -> None:
    refused = await sqlite_chat.type("/bin show bin:frost lime")
    assert "B-3 (frost line)" in first_line(refused)


async def test_text_that_is_like_no_bin_is_refused_with_how_a_code_looks(sqlite_chat: Chat) -> None:
    refused = await sqlite_chat.type("/bin show bin:?!?!?!?!?!?!?!?!")
    only_for(WREN, refused)
    assert "B-3" in first_line(refused)


async def test_a_bin_shown_by_a_command_that_is_delivered_again_is_shown_once(sqlite_chat: Chat) -> None:
    outcome = await sqlite_chat.type("/bin show bin:B-3")
    await sqlite_chat.again(outcome)
    assert len(sqlite_chat.service.messages(BINS, WREN)) == 1


async def test_a_long_note_is_stored_whole_and_turned_page_by_page(chat: Chat) -> None:
    outcome = await chat.service.command(
        *(910000000000000001, BINS, WREN), "bin open", {"species": "Porcellio scaber", "note": NOTE}
    )
    shown = [outcome.text]
    turned, number = outcome, 1
    while any(label.startswith("More") for label in labels(turned)):
        number += 1
        turned = await chat.press(turned.message, f"More ({number} of 4)")
        assert turned.updated
        shown.append(turned.text)
    assert number == 4
    assert NOTE.split() == " ".join(shown).split("Note: ")[1].split()
    assert all(len(page) <= 1_400 for page in shown)
    back = await chat.press(turned.message, "Back (3 of 4)")
    assert back.text == shown[2]
    async with chat.bot.records.read(910000000000000001) as book:
        row = await book.bin_by_code("B-6")
    assert row is not None
    assert row.note == NOTE


async def test_a_page_of_a_bin_that_was_taken_back_says_so_and_leaves_the_message(sqlite_chat: Chat) -> None:
    outcome = await sqlite_chat.service.command(
        *(910000000000000001, BINS, WREN), "bin open", {"species": "Porcellio scaber", "note": NOTE}
    )
    message = outcome.message
    assert message is not None
    await sqlite_chat.press(message, "Undo")
    turned = await sqlite_chat.press(message, "More (2 of 4)")
    only_for(WREN, turned)
    assert "No bin B" in first_line(turned)
    assert sqlite_chat.service.message(message.id).text == message.text


async def test_show_bin_of_a_bin_that_was_taken_back_says_there_is_none(sqlite_chat: Chat) -> None:
    outcome = await sqlite_chat.type("/bin open species:Porcellio scaber")
    message = outcome.message
    await sqlite_chat.press(message, "Undo")
    shown = await sqlite_chat.press(message, "Show bin")
    only_for(WREN, shown)
    assert "No bin B" in first_line(shown)


async def test_animals_that_can_be_meant_in_two_ways_are_asked_about_before_a_bin_is_opened(sqlite_chat: Chat) -> None:
    before = await sqlite_chat.events()
    asked = await sqlite_chat.type("/bin open species:Porcellio scaber name:boys animals:7 m shelf:window")
    only_for(WREN, asked)
    assert labels(asked) == ["7 males", "7 mancae", "Edit"]
    assert await sqlite_chat.events() == before
    opened = await sqlite_chat.press(asked.message, "7 males")
    assert first_line(opened).endswith("is open: boys. Write B-6 on its lid.")
    assert "7 founders (male)" in opened.text
    assert "on shelf window" in opened.text
