"""Cards, forms and pings as the platform takes them, whatever people write into them."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.cards import words
from bot.cards.card import Button, Card, Field, Form, Picture, Ping, Tone, Weight
from bot.cards.ids import CustomId, read
from bot.cards.render import (
    GOOD_ACCENT,
    MOST_CHARACTERS,
    PLAIN_ACCENT,
    REFUSAL_ACCENT,
    SCREEN_CHARACTERS,
    Page,
    cut,
    files,
    layout,
    mentions,
    modal,
    pages,
    ping_text,
    ping_view,
)
from tests.support.markup import as_read, components, live_marks
from tests.support.screens import assert_buttons_fit, assert_card_fits, assert_form_fits

PIECES = st.one_of(
    st.text(max_size=60),
    st.sampled_from(
        [
            "@everyone ",
            "# Sold out\n",
            "```\n",
            "`",
            "<@910000000000000101>",
            "**",
            "||",
            "\\",
            "🐚",
            "👩‍🔬 ",
            "moss ",
            "\n\n",
        ]
    ),
)
NOTES = st.builds(
    lambda pieces, times: ("".join(pieces) * times)[:4000], st.lists(PIECES, max_size=6), st.integers(1, 400)
)
LABELS = st.one_of(st.text(min_size=1, max_size=120), st.just("🐚" * 90))


def button(number: int, label: str = "Log count") -> Button:
    return Button(label, "count.form", f"B-{number}")


def bin_with(*notes: str) -> Card:
    return Card(lead="**B-3**: about 40 counted.", blocks=tuple(map(words.plain, notes)), page=("bin.show", "B-3"))


def squeezed(text: str) -> str:
    return "".join(text.split())


def only_text(card: Card, page: int = 0) -> str:
    (found,) = [part["content"] for part in components(layout(card, page).to_components()) if "content" in part]
    return str(found)


@given(NOTES, NOTES)
def test_turning_the_pages_of_a_bin_loses_no_word_of_its_notes(first: str, second: str) -> None:
    shown = pages(bin_with(first, second))
    assert all(len(page) <= SCREEN_CHARACTERS for page in shown)
    assert squeezed("".join(map(as_read, shown))) == squeezed(f"**B-3**: about 40 counted.{first}{second}")


@given(NOTES)
def test_no_page_of_a_note_lets_anything_work_that_a_person_wrote(note: str) -> None:
    for page in pages(bin_with(note))[1:]:
        assert live_marks(page) == []


def test_a_page_never_ends_between_a_backslash_and_its_mark() -> None:
    """A note without a space can only be cut in the middle; a heading must not come alive on the next page."""
    for before in range(1380, 1402):
        note = "m" * before + "#" * 40 + " " + "@everyone"
        shown = pages(bin_with(note))
        assert squeezed("".join(map(as_read, shown))).endswith(squeezed(note))
        assert not any(live_marks(page) for page in shown[1:])
        cut_short = cut(words.plain(note), 1400)
        assert not re.search(r"(?<!\\)(\\\\)*\\…$", cut_short)


def test_words_stay_whole_on_their_page() -> None:
    note = " ".join(f"isopod{number}" for number in range(400))
    found = " ".join(pages(bin_with(note))).split()
    assert [word for word in found if word.startswith("isopod")] == note.split()


def test_a_short_card_has_one_page_and_no_page_buttons() -> None:
    card = Card(lead="**B-3**: about 40 counted.", page=("bin.show", "B-3"))
    assert pages(card) == ("**B-3**: about 40 counted.",)
    assert not [part for part in components(layout(card).to_components()) if part["type"] == 2]


async def test_a_long_note_is_turned_with_more_and_back() -> None:
    card = bin_with("leaf litter and bark " * 190)
    count = len(pages(card))
    assert count > 2
    labels = []
    for number in range(count):
        parts = components(layout(card, number).to_components())
        turns = [(part["label"], part["custom_id"]) for part in parts if part["type"] == 2]
        labels.append([label for label, _ in turns])
        for label, custom_id in turns:
            asked = read(custom_id)
            assert asked is not None
            page = Page.read(asked.argument)
            assert page is not None
            assert (page.verb, page.argument) == ("bin.show", "B-3")
            assert label.endswith(f"({page.number + 1} of {count})")
            assert abs(page.number - number) == 1
    assert labels[0] == [f"More (2 of {count})"]
    assert labels[1] == [f"Back (1 of {count})", f"More (3 of {count})"]
    assert labels[-1] == [f"Back ({count - 1} of {count})"]


def test_a_page_that_is_no_longer_there_shows_the_last_one() -> None:
    card = bin_with("leaf litter " * 200)
    assert only_text(card, 99) == pages(card)[-1]


@given(NOTES, st.lists(LABELS, max_size=30), st.booleans())
async def test_any_card_is_a_layout_the_platform_takes(note: str, labels: list[str], paged: bool) -> None:
    card = Card(
        lead="About **1 in 4** young will show ember.",
        blocks=(words.plain(note), words.plain(note)),
        buttons=tuple(button(number, label) for number, label in enumerate(labels)),
        page=("bin.show", "B-3") if paged else None,
    )
    assert_card_fits(card)


async def test_the_first_buttons_are_kept_beside_the_page_buttons_when_there_are_too_many() -> None:
    card = Card(
        lead="B-3", blocks=("leaf litter " * 400,), buttons=tuple(map(button, range(40))), page=("bin.show", "B-3")
    )
    found = [part["label"] for part in components(layout(card, 1).to_components()) if part["type"] == 2]
    assert len(found) == 25
    assert found[-2].startswith("Back")
    assert found[-1].startswith("More")


async def test_nothing_waits_in_memory_for_a_press() -> None:
    card = Card(lead="B-3", buttons=(button(3),))
    for view in (layout(card), ping_view(card.buttons), modal(Form("Log a count", "fill", "count.log", (FIELD,)))):
        assert view.is_finished()
        assert view.timeout is None


@pytest.mark.parametrize(
    ("tone", "edge"), [(Tone.PLAIN, PLAIN_ACCENT), (Tone.GOOD, GOOD_ACCENT), (Tone.REFUSAL, REFUSAL_ACCENT)]
)
async def test_the_tone_is_the_edge_and_the_words_stay_the_same(tone: Tone, edge: int) -> None:
    (container,) = layout(Card(lead="No bin B-41 here.", tone=tone)).to_components()
    assert container["accent_color"] == edge
    assert only_text(Card(lead="No bin B-41 here.", tone=tone)) == "No bin B-41 here."


async def test_a_button_stands_out_by_its_weight() -> None:
    weights = {Weight.MAIN: 1, Weight.SIDE: 2}
    buttons = tuple(Button(weight.value, "bin.show", weight.value, weight) for weight in weights)
    parts = components(layout(Card(lead="B-3", buttons=buttons)).to_components())
    assert [part["style"] for part in parts if part["type"] == 2] == list(weights.values())
    assert all(part["custom_id"] == str(CustomId("bin.show", part["label"])) for part in parts if part["type"] == 2)


async def test_a_picture_is_shown_once_with_words_for_those_who_do_not_see_it() -> None:
    picture = Picture("counts.png", b"\x89PNG", "Counts of B-3: 12 in March, about 40 in June. " * 40)
    card = Card(lead="B-3", blocks=("leaf litter " * 400,), pictures=(picture,), page=("bin.show", "B-3"))
    (gallery,) = [part for part in components(layout(card).to_components()) if part["type"] == 12]
    (item,) = gallery["items"]
    assert item["media"]["url"] == "attachment://counts.png"
    assert len(item["description"]) <= 1024
    assert not [part for part in components(layout(card, 1).to_components()) if part["type"] == 12]
    (upload,) = files(card)
    assert upload.filename == "counts.png"
    assert upload.description is not None
    assert upload.description.startswith("Counts of B-3")
    assert len(upload.description) <= 1024
    assert files(card, 1) == []


def test_of_many_pictures_as_many_are_shown_as_a_reply_takes() -> None:
    card = Card(lead="B-3", pictures=tuple(Picture(f"p-{n}.png", b"\x89PNG", "A picture.") for n in range(12)))
    (gallery,) = [part for part in components(layout(card).to_components()) if part["type"] == 12]
    assert len(gallery["items"]) == len(files(card)) == 10


@pytest.mark.parametrize("name", ["Counts.png", "counts of B-3.png", "counts.svg", "../counts.png", ".png", "ä.png"])
def test_a_picture_has_a_name_that_the_chat_keeps_as_it_is(name: str) -> None:
    with pytest.raises(ValueError, match="not a picture's name"):
        Picture(name, b"\x89PNG", "Counts of B-3.")


def test_a_picture_has_words() -> None:
    with pytest.raises(ValueError, match="no words"):
        Picture("counts.png", b"\x89PNG", " ")


def test_the_pictures_of_a_card_have_names_of_their_own() -> None:
    picture = Picture("counts.png", b"\x89PNG", "Counts of B-3.")
    with pytest.raises(ValueError, match="a name twice"):
        Card(lead="B-3", pictures=(picture, picture))


def test_a_card_that_cannot_be_turned_is_cut_and_says_so() -> None:
    (page,) = pages(Card(lead="B-3", blocks=("leaf litter " * 400,)))
    assert len(page) <= MOST_CHARACTERS
    assert page.endswith("…")


FIELD = Field("count", "How many", "A number, or about 40")
FIELDS = st.lists(
    st.builds(
        Field,
        key=st.text("abcdef", min_size=1, max_size=10),
        label=LABELS,
        description=st.text(max_size=150),
        value=NOTES,
        required=st.booleans(),
        most=st.integers(1, 9000),
        long=st.booleans(),
    ),
    min_size=1,
    max_size=5,
    unique_by=lambda field: field.key,
)


@given(LABELS, FIELDS)
async def test_any_form_is_one_the_platform_takes(title: str, fields: list[Field]) -> None:
    assert_form_fits(Form(title, "fill", "count.log/12", tuple(fields)))


async def test_a_form_opens_with_what_was_typed() -> None:
    made = modal(
        Form(
            "Log a count",
            "fill",
            "count.log/12",
            (
                Field("bin", "Bin", value="B-3"),
                FIELD,
                Field("note", "Note", value="🐚" * 4000, required=False, most=4000, long=True),
            ),
        )
    ).to_dict()
    entries = [label["component"] for label in made["components"]]
    assert made["custom_id"] == "m1:fill:count.log/12"
    assert [entry["custom_id"] for entry in entries] == ["bin", "count", "note"]
    assert [entry.get("value") for entry in entries] == ["B-3", None, "🐚" * 4000]
    assert [entry["required"] for entry in entries] == [True, True, False]
    assert [entry["style"] for entry in entries] == [1, 1, 2]


@pytest.mark.parametrize("fields", [(), (FIELD,) * 6])
async def test_a_form_of_no_or_of_six_questions_is_refused(fields: tuple[Field, ...]) -> None:
    with pytest.raises(ValueError, match=f"{len(fields)} fields"):
        modal(Form("Log a count", "fill", "count.log", fields))


@given(st.lists(LABELS, max_size=30), NOTES)
async def test_any_ping_is_a_message_the_platform_takes(labels: list[str], note: str) -> None:
    ping = Ping(words.plain(note), tuple(button(number, label) for number, label in enumerate(labels)))
    assert len(ping_text(ping)) <= 2000
    assert_buttons_fit(ping_view(ping.buttons).to_components())


def test_a_ping_mentions_its_keepers_and_nobody_else() -> None:
    for keepers in ((), (1,), (1, 2)):
        allowed = mentions(Ping("@everyone <@1> <@&2> <@3>", keepers=keepers)).to_dict()
        assert allowed.get("parse", []) == []
        assert allowed.get("users", []) == list(keepers)
        assert not allowed.get("roles")
        assert not allowed.get("replied_user")


@given(st.integers(0, 999), st.sampled_from(["bin.show", "bin.list"]), st.text(max_size=30))
def test_a_page_button_brings_back_its_page(number: int, verb: str, argument: str) -> None:
    page = Page(number, verb, argument)
    assert Page.read(page.custom_id().argument) == page


@pytest.mark.parametrize("argument", ["", "1", "1|bin.show", "-1|bin.show|B-3", "x|bin.show|B-3", "9999|bin.show|B-3"])
def test_a_forged_page_button_is_no_page(argument: str) -> None:
    assert Page.read(argument) is None
