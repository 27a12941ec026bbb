"""Raw messages as text: literal JSON in, lines out."""

from dataclasses import replace
from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.practice.forms import AnswerError, answer, question, title
from bot.practice.text import edge_colours, show
from bot.practice.values import FILE_UPLOAD, STRING_SELECT, TEXT_INPUT, Choice, FormField, FormShown
from bot.practice.words import BOLD, PLAIN, Screen, columns, inline, moment, paragraphs, relative, wrapped

NOON = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)
SECONDS = int(NOON.timestamp())
SCREEN = Screen(people={7: "Mara"}, rooms={9: "bins"}, zone=UTC, now=lambda: NOON)


def reply(*components: dict[str, Any], **more: Any) -> list[dict[str, Any]]:
    return [{"type": 17, "accent_color": 0xB3541E, "components": list(components), **more}]


def words(content: str) -> dict[str, Any]:
    return {"type": 10, "content": content}


def button(label: str, custom_id: str = "m1:a:b", **more: Any) -> dict[str, Any]:
    return {"type": 2, "style": 2, "label": label, "custom_id": custom_id, **more}


@pytest.mark.parametrize(
    ("markdown", "said"),
    [
        ("About **1 in 2** young", "About 1 in 2 young"),
        ("__under__ ~~struck~~ ||hidden||", "under struck hidden"),
        ("*a* and _b_ but 2 * 3 * 4 and snake_case_name", "a and b but 2 * 3 * 4 and snake_case_name"),
        (r"\*not bold\* \@everyone \_a\_ B\-1 \<t:1\:R\>", "*not bold* @everyone _a_ B-1 <t:1:R>"),
        ("the mark: `het **ember** x`", "the mark: `het **ember** x`"),
        ("<@7> <@!7> <@8> <#9> <#1> <@&3>", "@Mara @Mara @someone #bins #a room @a role"),
        ("</bin open:123> <:frost:44> <https://example.org>", "/bin open :frost: https://example.org"),
        ("[the map](https://example.org/a)", "the map (https://example.org/a)"),
        ("4 < 5 > 3 <t:x:R>", "4 < 5 > 3 <t:x:R>"),
    ],
)
def test_marks_are_taken_off(markdown: str, said: str) -> None:
    assert inline(markdown, SCREEN) == said


def test_bold_stays_bold_where_the_terminal_can() -> None:
    assert inline("**1 in 2** young", Screen(ansi=True)) == f"{BOLD}1 in 2{PLAIN} young"
    assert inline("**open", Screen(ansi=True)) == f"{BOLD}open{PLAIN}"


@pytest.mark.parametrize(
    ("style", "said"),
    [
        ("R", "in 3 days"),
        ("t", "12:00"),
        ("T", "12:00:00"),
        ("d", "05/03/2026"),
        ("D", "5 March 2026"),
        ("f", "5 March 2026 12:00"),
        ("F", "Thursday, 5 March 2026 12:00"),
    ],
)
def test_timestamps_become_words(style: str, said: str) -> None:
    assert inline(f"<t:{SECONDS + 3 * 86400}:{style}>", SCREEN) == said


def test_a_timestamp_is_said_in_the_readers_zone() -> None:
    tokyo = Screen(zone=ZoneInfo("Asia/Tokyo"))
    assert inline(f"<t:{SECONDS}>", tokyo) == "2 March 2026 21:00"


@pytest.mark.parametrize(
    ("seconds", "said"),
    [
        (0, "just now"),
        (-4, "just now"),
        (3, "in a moment"),
        (30, "in 30 seconds"),
        (-60, "1 minute ago"),
        (59.6 * 60, "in 1 hour"),
        (86400 * 29, "in 29 days"),
        (-86400 * 40, "1 month ago"),
        (86400 * 730, "in 2 years"),
    ],
)
def test_distances_are_said_as_people_do(seconds: float, said: str) -> None:
    assert relative(int(seconds)) == said


def test_a_time_outside_the_calendar_stays_as_it_came() -> None:
    assert moment(10**16, "R", SCREEN) is None
    assert inline("<t:9999999999999999:R>", SCREEN) == "<t:9999999999999999:R>"


def test_text_of_others_cannot_steer_the_terminal() -> None:
    assert paragraphs("a\x1b[2Jb\x07\r\nc\u202ed", SCREEN) == ["a[2Jb", "cd"]


def test_headings_lists_and_code() -> None:
    markdown = "# Odds\n-# small\n- a long entry that goes on and on and on\n```text\na   b\n1   2\n```\nend"
    assert paragraphs(markdown, Screen(width=20)) == [
        "Odds",
        "small",
        "- a long entry that",
        "  goes on and on and",
        "  on",
        "a   b",
        "1   2",
        "end",
    ]


def test_wide_letters_count_double() -> None:
    assert columns("だんご") == 6
    assert wrapped("だんごむし", 6) == ["だんご", "むし"]


def test_a_reply_reads_from_top_to_bottom() -> None:
    message = reply(
        words("About **1 in 2** young will show ember."),
        {"type": 14, "divider": True, "spacing": 1},
        {"type": 9, "components": [words("ember: 1/2")], "accessory": button("Carriers", "m1:c:1")},
        {"type": 12, "items": [{"media": {"url": "attachment://odds.png"}, "description": "Two bars of one height"}]},
        {"type": 1, "components": [button("How many to raise", "m1:r:1"), button("Gone", disabled=True)]},
        {"type": 1, "components": [{"type": 2, "style": 5, "label": "Read", "url": "https://example.org"}]},
    )
    shown = show("", message, SCREEN, first=4, private=True)
    assert shown.text.splitlines() == [
        "Mancabook (only you see this):",
        "│ About 1 in 2 young will show ember.",
        "│ ────────────────────────",
        "│ ember: 1/2",
        "│ [4] Carriers",
        "│ [picture odds.png: Two bars of one height]",
        "│ [5] How many to raise  [–] Gone",
        "│ Read: https://example.org",
    ]
    assert [(press.number, press.custom_id) for press in shown.presses] == [(4, "m1:c:1"), (5, "m1:r:1")]
    assert edge_colours(message) == {0xB3541E}


def test_a_ping_is_plain_text_with_numbered_buttons() -> None:
    row = {"type": 1, "components": [button("Done"), button("Later"), button("Log count")]}
    shown = show("<@7> Moisture round: 3 bins", [row], SCREEN)
    assert shown.text.splitlines() == [
        "Mancabook:",
        "@Mara Moisture round: 3 bins",
        "[1] Done  [2] Later  [3] Log count",
    ]
    assert edge_colours([row]) == frozenset()


def test_a_list_is_numbered_entry_by_entry() -> None:
    options = [{"label": "Litter", "value": "litter"}, {"label": "Moisture", "value": "moisture"}]
    row = {"type": 1, "components": [{"type": 3, "custom_id": "m1:k:", "placeholder": "What", "options": options}]}
    shown = show("", [row], SCREEN)
    assert shown.text.splitlines()[1:] == ["What:", "- [1] Litter", "- [2] Moisture"]
    assert shown.presses[1].chosen == ("moisture",)


def test_buttons_break_between_labels_on_a_narrow_terminal() -> None:
    row = {"type": 1, "components": [button("How many to raise"), button("Carriers"), button("Gene notation")]}
    shown = show("", reply(row), Screen(width=40))
    assert shown.text.splitlines()[1:] == ["│ [1] How many to raise  [2] Carriers", "│ [3] Gene notation"]


COMPONENTS = st.recursive(
    st.one_of(
        st.builds(words, st.text()),
        st.builds(button, st.text(max_size=80), st.text(max_size=100), disabled=st.booleans()),
        st.fixed_dictionaries({"type": st.integers(4, 16)}),
    ),
    lambda inner: st.fixed_dictionaries(
        {"type": st.sampled_from([1, 9, 12, 17]), "components": st.lists(inner, max_size=4), "accessory": inner}
    ),
    max_leaves=12,
)


@given(
    st.text(alphabet=st.characters() | st.sampled_from("*_~|`<>t:@#\\[]()\n -1")),
    st.lists(COMPONENTS),
    st.integers(20, 100),
)
def test_any_message_fits_the_terminal(content: str, components: list[dict[str, Any]], width: int) -> None:
    for ansi in (False, True):
        shown = show(content, components, Screen(width=width, ansi=ansi, zone=UTC, now=lambda: NOON))
        assert all(columns(row) <= width for row in shown.text.split("\n"))
        assert [press.number for press in shown.presses] == list(range(1, len(shown.presses) + 1))


def form(*fields: FormField, words_in_it: str = "") -> FormShown:
    components = [words(words_in_it)] if words_in_it else []
    return FormShown("m1:f:", "Log a count", fields, components, 7, 1, 9, None, 3)


def field(label: str = "How many", **more: Any) -> FormField:
    standing: dict[str, Any] = {
        "description": "",
        "kind": TEXT_INPUT,
        "value": "",
        "required": True,
        "least": 0,
        "most": 10,
    }
    return FormField(custom_id="total", label=label, **(standing | more))


KINDS = field("What", kind=STRING_SELECT, options=(Choice("Litter", "litter"), Choice("Recount", "recount")))


def test_a_form_says_what_it_is() -> None:
    assert title(form(words_in_it="Count **B-1**"), SCREEN) == "Form: Log a count\nCount B-1"


def test_a_question_shows_what_explains_it_and_what_stands_there() -> None:
    full = field(description="All sizes", placeholder="~40", value="*40*\nish")
    assert question(full, SCREEN) == "How many: All sizes; such as ~40\n[*40* ish] > "
    assert question(field(), SCREEN) == "How many\n> "
    assert question(field(required=False), SCREEN) == "How many\n[nothing] > "
    assert question(replace(KINDS, value="litter"), SCREEN) == "What\n- 1 Litter\n- 2 Recount\n[Litter] > "


@pytest.mark.parametrize(
    ("asked", "typed", "sent"),
    [
        (field(value="40"), "  ", "40"),
        (field(value="40"), " 41 ", "41"),
        (field(required=False), "", ""),
        (KINDS, "2", "recount"),
        (KINDS, "LITTER", "litter"),
        (replace(KINDS, value="litter"), "", "litter"),
    ],
)
def test_an_answer_is_what_was_typed_or_what_stood_there(asked: FormField, typed: str, sent: str) -> None:
    assert answer(asked, typed) == sent


@pytest.mark.parametrize(
    ("asked", "typed", "advice"),
    [
        (field("A"), "", "A cannot stay empty"),
        (field("A", most=3), "1234", "That is 4 characters; A takes at most 3."),
        (field("A", least=2, most=3), "1", "A takes 2 to 3."),
        (KINDS, "3", "Type one of: Litter, Recount; or its number."),
        (field("Photo", kind=FILE_UPLOAD), "x.png", "Photo cannot be filled in from a terminal"),
    ],
)
def test_an_answer_the_form_would_not_take_is_said(asked: FormField, typed: str, advice: str) -> None:
    with pytest.raises(AnswerError) as caught:
        answer(asked, typed)
    assert advice in str(caught.value)
