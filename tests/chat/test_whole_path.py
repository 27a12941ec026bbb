"""From the odd one to young kept back, as a keeper does it on a phone; and what is typed in a wrong order."""

from datetime import timedelta

from tests.support.chat import TAMSIN, Chat, first_line, labels, only_for
from tests.support.phones import Phone

MOST_LINES = 18
"""A phone's screen: no answer of the whole path is taller."""


async def test_the_whole_path_is_ten_taps_and_a_hundred_letters(sqlite_chat: Chat) -> None:
    chat = sqlite_chat
    phone = Phone(chat.service, TAMSIN)
    form = await phone.type("/find log")
    animal = {"bin": "B-5", "trait": "dusk", "animal": "female, 9 mm, 1 of 21", "sheen": "no"}
    found = await phone.submit(form, animal)
    assert (phone.taps, phone.characters) == (2, 39)
    paired = await phone.submit(await phone.press(found, "Pair"), {"sires": "1 from B-5", "history": "unknown"})
    assert (phone.taps, phone.characters) == (4, 56)
    await chat.move(timedelta(days=30))
    gravid = await phone.press(paired, "Pouch filled")
    await chat.move(timedelta(days=28))
    young = await phone.press(gravid, "Young seen")
    assert (phone.taps, phone.characters) == (6, 56)
    await chat.move(timedelta(days=63))
    brood = await phone.submit(await phone.press(young, "Log brood"), {"scored": "6 dusk 17 wild, 9 weeks, 3 unsure"})
    assert await brood.until(lambda it: bool(it.messages) and "Keep back" in labels(it), 20)
    assert (phone.taps, phone.characters) == (8, 89)
    kept = await phone.submit(await phone.press(brood, "Keep back"), {"keep": "4 dusk", "name": "dusk F1"})
    assert first_line(kept) == "Bin **B-7** is open: dusk F1. Write B-7 on its lid."
    assert (phone.taps, phone.characters) == (10, 102)
    assert phone.tallest <= MOST_LINES, max(phone.seen, key=lambda it: it.count("\n"))
    told = (await phone.type("/pair show pairing:P-1")).text
    for said in ("1 visual dusk from B-5", "About: dusk", "P-1.1", "6 dusk, 17 wild-looking, 3 not sure"):
        assert said in told


AHEAD = "has not come yet. Type the day on which it was"
WRONG = [
    # What is typed, what is said to it, what is typed instead, and how the answer to that begins.
    ("/find log bin:B-5 trait:dusk animal:female day:tomorrow", AHEAD, {"day": "today"}, "**Find 2**"),
    ("/pair setup dams:2 from B-5 sires:1 from B-5 day:tomorrow", AHEAD, {"day": "today"}, "**P-2** is set up"),
    (
        "/pair setup dams:1 unmated from B-5 sires:1 from B-3 note:quiet shelf",
        "*Armadillidium nasatum*",
        {"sires": "1 from B-5"},
        "**P-3** is set up",
    ),
    (
        "/pair setup dams:find 1 sires:1 from B-5 note:quiet shelf",
        "male",
        {"dams": "1 from B-5"},
        "**P-4** is set up",
    ),
    ("/pair gravid pairing:P-1 day:tomorrow", AHEAD, {"day": "today"}, "**P-1**: a filled pouch"),
    (
        "/pair young pairing:P-1 day:a week ago temperature:20 C",
        "cannot come before the day it was set up",
        {"day": "today"},
        "**P-1** has young.",
    ),
    ("/pair young pairing:P-2 day:tomorrow", AHEAD, {"day": "today"}, "**P-2** has young."),
    (
        "/brood log of:P-1 scored:6 ember 17 wild born:20 note:by the bark",
        "23 young are scored, unsure, unscored or dead, and 20 were born. Correct one of the numbers",
        {"born": "24"},
        "**P-1.1**: 6 ember, 17 wild-looking.",
    ),
    ("/brood log of:P-1 scored:5 ember day:tomorrow", AHEAD, {"day": "today"}, "**P-1.2**: 5 ember"),
]


async def test_what_cannot_be_is_refused_in_words_and_nothing_typed_is_lost(sqlite_chat: Chat) -> None:
    """One after the other in one society: days to come, young before their pairing, parents of two species, a male dam."""
    chat = sqlite_chat
    await chat.type("/find log bin:B-5 trait:slate animal:male, no sheen", TAMSIN)
    await chat.type("/pair setup dams:1 unmated from B-5 sires:1 from B-5 question:ember", TAMSIN)
    for line, said, better, answered in WRONG:
        before = len(await chat.events())
        refused = await chat.type(line, TAMSIN)
        only_for(TAMSIN, refused)
        assert said in refused.text
        assert len(await chat.events()) == before
        form = (await chat.press(refused.message, "Edit", TAMSIN)).form
        assert form is not None
        typed = dict(part.split(":", 1) for part in _options(line))
        assert {field.custom_id: field.value for field in form.fields if field.value} == typed
        outcome = await chat.submit(form, **better)
        assert await outcome.until(lambda it: bool(it.messages), 20)
        assert first_line(outcome).startswith(answered), first_line(outcome)
        assert len(await chat.events()) == before + 1
    for shown in ("/brood show brood:P-1.1", "/pair show pairing:P-3", "/pair show pairing:P-4"):
        told = (await chat.type(shown, TAMSIN)).text
        assert "by the bark" in told or "quiet shelf" in told


def _options(line: str) -> list[str]:
    """The options of a typed line, as name and value."""
    found: list[str] = []
    for word in line.split(" ")[2:]:
        if ":" in word:
            found.append(word)
        else:
            found[-1] += f" {word}"
    return found
