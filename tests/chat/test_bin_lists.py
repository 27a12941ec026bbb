"""`/bin list` and `/bin history`, with their pages and filters."""

import pytest

from tests.support.chat import BINS, HOLLOW_LOG, MOSS, TAMSIN, WREN, Chat, first_line, labels, only_for


async def test_a_list_is_of_ones_own_bins_with_their_last_counts(chat: Chat) -> None:
    mine = await chat.type("/bin list", MOSS)
    assert first_line(mine) == "**1 bin** of yours."
    assert "· B-3 (frost line), about 108 (<t:" in mine.text
    every = await chat.type("/bin list whose:all", MOSS)
    assert first_line(every) == "**5 bins**."
    assert "B-5 (ember F2), 21 (<t:" in every.text
    assert "Tamsin" in every.text


async def test_a_list_is_narrowed_to_a_shelf_and_a_species_and_says_so(chat: Chat) -> None:
    await chat.type("/bin move bin:B-3 shelf:by the *window*", MOSS)
    shelf = await chat.type("/bin list whose:all shelf:by the *window*")
    assert first_line(shelf) == "**1 bin** on shelf by the \\*window\\*."
    species = await chat.type("/bin list whose:all species:Armadillidium nasatum")
    assert first_line(species) == "**1 bin** of *Armadillidium nasatum*."
    nothing = await chat.type("/bin list whose:closed")
    assert first_line(nothing) == "There are no closed bins."


async def test_a_list_delivered_again_is_answered_once(sqlite_chat: Chat) -> None:
    outcome = await sqlite_chat.type("/bin list whose:all")
    await sqlite_chat.again(outcome)
    assert len(sqlite_chat.service.messages(BINS, WREN)) == 1


async def test_an_unknown_species_is_refused_with_the_nearest(sqlite_chat: Chat) -> None:
    refused = await sqlite_chat.type("/bin list species:Porcellio scabr")
    only_for(WREN, refused)
    assert "Did you mean Porcellio scaber" in first_line(refused)


async def test_a_long_list_is_turned_page_by_page_with_its_filter(sqlite_chat: Chat) -> None:
    for number in range(40):
        await sqlite_chat.service.command(
            HOLLOW_LOG,
            BINS,
            TAMSIN,
            "bin open",
            {"species": "Porcellio scaber", "name": f"a long name for bin number {number:02d}", "shelf": "window"},
        )
    listed = await sqlite_chat.type("/bin list whose:all shelf:window species:Porcellio scaber", MOSS)
    assert first_line(listed) == "**40 bins** on shelf window of *Porcellio scaber*."
    shown, turned = [listed.text], listed
    while more := [label for label in labels(turned) if label.startswith("More")]:
        turned = await sqlite_chat.press(turned.message, more[0], MOSS)
        shown.append(turned.text)
    assert len(shown) > 1
    assert all(len(page) <= 1_400 for page in shown)
    for number in range(40):
        assert sum(f"number {number:02d}" in page for page in shown) == 1
    assert not any("frost line" in page for page in shown)


async def test_a_history_is_told_newest_first_and_turned_back(chat: Chat) -> None:
    for number in range(14):
        await chat.type(f"/count log bin:B-3 count:{number + 50}", MOSS)
    history = await chat.type("/bin history bin:B-3", TAMSIN)
    assert first_line(history) == "What happened to **B-3 (frost line)**, the newest first:"
    assert "Moss counted 63" in history.text
    assert "opened it" not in history.text
    assert labels(history) == ["Older", "Show bin"]
    older = await chat.press(history.message, "Older", TAMSIN)
    assert "Moss opened it with about 24" in older.text
    assert labels(older) == ["Show bin"]
    assert all(len(page.text) <= 1_400 for page in (history, older))


async def test_a_history_of_a_bin_that_is_not_there_is_refused(sqlite_chat: Chat) -> None:
    refused = await sqlite_chat.type("/bin history bin:B-33")
    only_for(WREN, refused)
    assert "Did you mean B-3 (frost line)" in first_line(refused)


async def test_what_was_undone_is_struck_through(sqlite_chat: Chat) -> None:
    counted = await sqlite_chat.type("/count log bin:B-3 count:9", MOSS)
    await sqlite_chat.press(counted.message, "Undo", MOSS)
    history = await sqlite_chat.type("/bin history bin:B-3")
    assert "Moss counted 9~~ (undone)" in history.text
    assert "took #" in history.text


@pytest.mark.parametrize("argument", ["", "/", "0/0", "-1/", "999999/1", "²/³", "9" * 40 + "/1", "//"])
async def test_a_forged_page_shows_nothing(sqlite_chat: Chat, argument: str) -> None:
    outcome = await sqlite_chat.forge(f"m1:bin.history:{argument}")
    only_for(WREN, outcome)
    assert "no longer" in first_line(outcome)
    listed = await sqlite_chat.forge(f"m1:bin.list:{argument}")
    assert listed.settled
    assert "went wrong" not in listed.text
