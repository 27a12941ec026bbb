"""`/pair` and `/brood`: from the pairing to young kept back, its buttons and forms, and what goes wrong on the way."""

from datetime import timedelta

from tests.support.chat import BINS, ELSEWHERE, ELSEWHERE_ROOM, MOSS, STRANGER, WREN, Chat, first_line, labels, only_for

SETUP = "/pair setup dams:1 unmated from B-4 sires:1 visual ember called Rust from B-5 question:ember"


async def test_from_the_pairing_to_young_kept_back(chat: Chat) -> None:
    paired = await chat.type(SETUP)
    assert first_line(paired).startswith("**P-1** is set up in B-6. It is to tell about ember.")
    assert "unmated before" in paired.text
    assert labels(paired) == ["Pouch filled", "Young seen", "Undo"]
    await chat.move(timedelta(days=20))
    gravid = await chat.press(paired.message, "Pouch filled")
    assert "Look for young in about **28 days**" in gravid.text
    await chat.move(timedelta(days=28))
    young = await chat.press(gravid.message, "Young seen")
    assert "Part them by sex by" in first_line(young)
    await chat.move(timedelta(days=63))
    form = await chat.press(young.message, "Log brood")
    logged = await chat.submit(form.form, scored="6 ember 17 wild, 9 weeks, 3 unsure", born="about 30")
    assert first_line(logged) == "**P-1.1**: 6 ember, 17 wild-looking, 3 not sure."
    assert "fit 1:3" in logged.text
    assert "planned before it was seen" in logged.text
    again = await chat.submit(
        (await chat.press(logged.message, "Score again")).form, scored="7 ember, 16 wild, 12 weeks"
    )
    assert "7 ember, 16 wild-looking. That counts from now on" in first_line(again)
    kept = await chat.submit((await chat.press(again.message, "Keep back")).form, keep="4 ember", name="ember F1")
    assert first_line(kept).startswith("Bin **B-7** is open: ember F1.")
    assert "dams of B-4 and sires of B-5" in kept.text
    shown = await chat.type("/pair show pairing:P-1")
    assert "7 ember, 16 wild-looking" in shown.text


async def test_a_scored_brood_takes_one_press_and_one_line(sqlite_chat: Chat) -> None:
    """From the pairing's reply: a press, a line of quick text, and *Submit*."""
    paired = await sqlite_chat.type(SETUP)
    await sqlite_chat.press(paired.message, "Young seen")
    form = await sqlite_chat.press((await sqlite_chat.type("/pair show pairing:P-1")).message, "Log brood")
    assert form.form is not None
    assert {f.custom_id: f.value for f in form.form.fields}["of"] == "P-1"
    line = "6 ember 17 wild, 9 weeks, 3 unsure"
    assert len(line) < 40
    assert first_line(await sqlite_chat.submit(form.form, scored=line)).startswith("**P-1.1**")


async def test_a_missing_number_is_asked_for_and_nothing_typed_is_lost(sqlite_chat: Chat) -> None:
    before = await sqlite_chat.events()
    refused = await sqlite_chat.type("/pair setup dams:B-4 sires:1 from B-5 note:quiet shelf")
    only_for(WREN, refused)
    assert "How many dams is `B-4`?" in first_line(refused)
    assert await sqlite_chat.events() == before
    opened = await sqlite_chat.press(refused.message, "Edit")
    answered = await sqlite_chat.submit(opened.form, dams="2 from B-4")
    assert first_line(answered).startswith("**P-1** is set up")
    assert "not known whether unmated" in answered.text
    assert "can carry their sperm" in answered.text


async def test_a_brood_that_cannot_be_read_is_pointed_at(sqlite_chat: Chat) -> None:
    await sqlite_chat.type(SETUP)
    before = await sqlite_chat.events()
    refused = await sqlite_chat.type("/brood log of:P-1 scored:6 sparkly 17 wild, 9 weeks")
    only_for(WREN, refused)
    assert "`sparkly`" in first_line(refused)
    assert await sqlite_chat.events() == before
    opened = await sqlite_chat.press(refused.message, "Edit")
    answered = await sqlite_chat.submit(opened.form, scored="6 ember 17 wild, 9 weeks")
    assert first_line(answered).startswith("**P-1.1**")


async def test_a_line_with_two_meanings_is_asked_about_with_a_button_for_each(sqlite_chat: Chat) -> None:
    await sqlite_chat.type(SETUP)
    before = await sqlite_chat.events()
    asked = await sqlite_chat.type("/brood log of:P-1 scored:4 of 20 ember, 9 weeks note:moss")
    only_for(WREN, asked)
    assert first_line(asked).endswith("Which is it?")
    assert labels(asked) == ["4 ember, 16 wild, 9 weeks", "4 ember, 20 born, 9 weeks", "Edit"]
    assert await sqlite_chat.events() == before
    answered = await sqlite_chat.press(asked.message, "4 ember, 16 wild, 9 weeks")
    assert first_line(answered) == "**P-1.1**: 4 ember, 16 wild-looking."
    assert "moss" in (await sqlite_chat.type("/brood show brood:P-1.1")).text
    slipped = await sqlite_chat.press(answered.message, "Score again")
    asked = await sqlite_chat.submit(slipped.form, scored="5 embr 15 wild")
    assert first_line(asked) == "Do you mean `5 ember, 15 wild` by `5 embr 15 wild`?"
    answered = await sqlite_chat.press(asked.message, "5 ember, 15 wild")
    assert "stays in the book: 4 ember, 16 wild-looking." in first_line(answered)


async def test_more_scored_than_born_is_refused(sqlite_chat: Chat) -> None:
    await sqlite_chat.type(SETUP)
    refused = await sqlite_chat.type("/brood log of:P-1 scored:6 ember 17 wild born:20")
    assert "Correct one of the numbers" in first_line(refused)


async def test_without_counts_a_form_opens_for_a_brood(sqlite_chat: Chat) -> None:
    await sqlite_chat.type(SETUP)
    opened = await sqlite_chat.type("/brood log of:P-1")
    answered = await sqlite_chat.submit(opened.form, born="12")
    assert first_line(answered).startswith("**P-1.1**: not scored yet.")
    assert labels(answered)[0] == "Score"


async def test_a_day_before_the_pairing_is_refused(sqlite_chat: Chat) -> None:
    await sqlite_chat.type(SETUP)
    refused = await sqlite_chat.type("/pair young pairing:P-1 day:a week ago")
    assert "cannot come before the day it was set up" in first_line(refused)


async def test_taken_out_and_ended(sqlite_chat: Chat) -> None:
    await sqlite_chat.type(SETUP)
    await sqlite_chat.move(timedelta(days=60))
    out = await sqlite_chat.type("/pair out pairing:P-1 day:yesterday")
    assert "the breeders are out" in first_line(out)
    ended = await sqlite_chat.type("/pair end pairing:P-1 reason:the *sire* died")
    assert "no failure" in first_line(ended)
    assert "\\*sire\\*" in ended.text
    refused = await sqlite_chat.type("/pair gravid pairing:P-1")
    assert "was ended" in first_line(refused)
    assert "No pairing runs here" in first_line(await sqlite_chat.type("/pair list"))


async def test_another_keeper_reads_and_does_not_write(sqlite_chat: Chat) -> None:
    await sqlite_chat.type(SETUP)
    await sqlite_chat.type("/brood log of:P-1 scored:6 ember 17 wild")
    assert first_line(await sqlite_chat.type("/brood show brood:P-1.1", MOSS)).startswith("**P-1.1**: 6 ember")
    before = await sqlite_chat.events()
    for line in (
        "/pair gravid pairing:P-1",
        "/pair young pairing:P-1",
        "/pair out pairing:P-1",
        "/pair end pairing:P-1",
        "/brood log of:P-1 scored:1 ember",
        "/brood score brood:P-1.1 scored:1 ember",
        "/brood keep brood:P-1.1 keep:1 ember",
    ):
        refused = await sqlite_chat.type(line, MOSS)
        only_for(MOSS, refused)
        assert "belongs to Wren" in first_line(refused)
    assert await sqlite_chat.events() == before


async def test_another_server_has_none_of_it(sqlite_chat: Chat) -> None:
    await sqlite_chat.type(SETUP)
    await sqlite_chat.type("/brood log of:P-1 scored:6 ember 17 wild")
    for line in ("/pair show pairing:P-1", "/brood show brood:P-1.1", "/brood list of:P-1"):
        refused = await sqlite_chat.type(line, STRANGER, ELSEWHERE_ROOM, ELSEWHERE)
        assert "no pairing" in first_line(refused)
    assert "No brood is in the book" in first_line(
        await sqlite_chat.type("/brood list", STRANGER, ELSEWHERE_ROOM, ELSEWHERE)
    )


async def test_forged_buttons_change_nothing(sqlite_chat: Chat) -> None:
    await sqlite_chat.type(SETUP)
    before = await sqlite_chat.events()
    for verb in ("pair.gravid", "pair.young", "pair.out", "pair.show"):
        refused = await sqlite_chat.forge(f"m1:{verb}:P-99")
        assert "no pairing" in refused.text
    refused = await sqlite_chat.forge("m1:pair.gravid:P-1", MOSS)
    assert "belongs to Wren" in refused.text
    assert await sqlite_chat.events() == before


async def test_the_same_interaction_twice_is_one_pairing_and_one_brood(sqlite_chat: Chat) -> None:
    await sqlite_chat.again(await sqlite_chat.type(SETUP))
    await sqlite_chat.again(await sqlite_chat.type("/brood log of:P-1 scored:6 ember 17 wild"))
    kinds = [event.kind for event in await sqlite_chat.events()]
    assert [kinds.count(kind) for kind in ("pairing.set_up", "brood.logged")] == [1, 1]


async def test_undo_takes_back_the_last_step_alone(sqlite_chat: Chat) -> None:
    paired = await sqlite_chat.type(SETUP)
    gravid = await sqlite_chat.press(paired.message, "Pouch filled")
    await sqlite_chat.press(gravid.message, "Undo")
    assert "no young yet" in first_line(await sqlite_chat.type("/pair show pairing:P-1"))


async def test_a_pairing_with_a_logged_brood_is_not_said_to_have_no_young(sqlite_chat: Chat) -> None:
    await sqlite_chat.type(SETUP)
    await sqlite_chat.type("/brood log of:P-1 scored:6 ember 17 wild")
    assert "young logged" in first_line(await sqlite_chat.type("/pair show pairing:P-1"))
    await sqlite_chat.type("/brood score brood:P-1.1 scored:7 ember 16 wild")
    assert "scored a brood of B-6\n" in (await sqlite_chat.type("/records audit")).text


async def test_codes_are_offered_while_they_are_typed(sqlite_chat: Chat) -> None:
    await sqlite_chat.type(SETUP)
    await sqlite_chat.type("/brood log of:P-1 scored:6 ember 17 wild")
    assert [choice.value for choice in await sqlite_chat.offered("/pair show pairing:p")] == ["P-1"]
    assert [choice.value for choice in await sqlite_chat.offered("/brood show brood:p-1")] == ["P-1.1"]


async def test_lists_turn_their_pages(sqlite_chat: Chat) -> None:
    for _ in range(13):
        await sqlite_chat.type(SETUP)
    first = await sqlite_chat.type("/pair list")
    assert "P-13 in" in first.text
    assert labels(first) == ["Earlier"]
    second = await sqlite_chat.press(first.message, "Earlier")
    assert "P-1 in" in second.text
    assert labels(second) == ["Later"]


async def test_what_the_dams_were_is_asked_where_nobody_said_it(sqlite_chat: Chat) -> None:
    paired = await sqlite_chat.type("/pair setup dams:2 from B-4 sires:1 from B-5")
    assert "Weeks alone prove little" in paired.text
    assert labels(paired) == ["Pouch filled", "Young seen", "Dams were unmated", "Dams had males", "Undo"]
    only_for(MOSS, await sqlite_chat.press(paired.message, "Dams were unmated", MOSS))
    said = await sqlite_chat.press(paired.message, "Dams were unmated")
    assert first_line(said) == "**P-1**: the dams are noted as unmated before."
    events = await sqlite_chat.events()
    await sqlite_chat.again(said)
    assert await sqlite_chat.events() == events
    assert "unmated before" in (await sqlite_chat.type("/pair show pairing:P-1")).text


async def test_the_days_of_a_pairing_are_pinged_before_other_care_and_mix_the_generations_when_they_pass(
    sqlite_chat: Chat,
) -> None:
    await sqlite_chat.type(SETUP)
    seen = await sqlite_chat.type("/pair young pairing:P-1")
    assert "I ping you on both days." in seen.text
    listed = await sqlite_chat.type("/care list")
    assert "B-6: part by sex, due" in listed.text
    await sqlite_chat.type("/care add bin:B-1 task:litter day:daily time:08:00")
    await sqlite_chat.type("/care pause task:all")
    await sqlite_chat.move(timedelta(days=57))
    ping = await sqlite_chat.service.wait_message(BINS, lambda m: "B-6" in m.content and not m.layout)
    assert ping.content.startswith("Part by sex: B-6")
    await sqlite_chat.move(timedelta(days=100))
    shown = await sqlite_chat.type("/pair show pairing:P-1")
    assert "**Generations mixed** since" in shown.text
    assert "Take them out with `/pair out`" in shown.text
    assert "**Generations mixed** since" in (await sqlite_chat.type("/bin show bin:B-6")).text
    late = await sqlite_chat.type("/brood log of:P-1 scored:6 ember 17 wild day:today")
    assert "left out of ratios" in late.text
    await sqlite_chat.type("/pair out pairing:P-1")
    twice = await sqlite_chat.type("/pair out pairing:P-1")
    assert "is noted already" in first_line(twice)
