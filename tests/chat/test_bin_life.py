"""`/bin backup`, `temperature`, `litter` and `batch`, `/care resume` and a room for pings, over the chat."""

from datetime import timedelta

from tests.support.chat import BINS, CARE, MOSS, TAMSIN, WREN, Chat, first_line, only_for

DAY = timedelta(days=1)


async def test_a_backup_stands_on_both_bins_and_a_line_without_one_is_told_so(chat: Chat) -> None:
    assert "No backup: if this bin is lost, its line is." in (await chat.type("/bin show bin:B-4")).text
    done = await chat.type("/bin backup bin:B-5 of:B-4")
    assert first_line(done).startswith("**B-5")
    assert "is the backup of **B-4 (ember F1)** now." in first_line(done)
    await chat.again(done)
    assert [event.kind for event in await chat.events()].count("bin.backup") == 1
    shown = await chat.type("/bin show bin:B-4", TAMSIN)
    assert "Its backup: B-5." in shown.text
    assert "No backup" not in shown.text
    assert "Backup of B-4." in (await chat.type("/bin show bin:B-5", TAMSIN)).text
    for line, said in (
        ("/bin backup bin:B-4 of:B-5", "B-5 (ember visuals) is the backup of"),
        ("/bin backup bin:B-4 of:B-44", "Did you mean B-4"),
    ):
        refused = await chat.type(line)
        only_for(WREN, refused)
        assert said.split(" (")[0] in first_line(refused)
    await chat.press(done.message, "Undo")
    assert "No backup" in (await chat.type("/bin show bin:B-4")).text


async def test_a_temperature_is_told_in_the_keepers_units_with_a_warning_where_there_is_cause(
    sqlite_chat: Chat,
) -> None:
    chat = sqlite_chat
    await chat.type("/keeper set units:imperial")
    warm = await chat.type("/bin temperature bin:B-4 reading:84 F")
    assert first_line(warm).startswith("B-4 (ember F1): **84 °F** read <t:")
    assert "**Too warm**: above 82 °F most keepers see losses." in warm.text
    cool = await chat.type("/bin temperature bin:B-4 reading:16 C")
    assert "It was 84 °F <t:" in first_line(cool)
    assert "Cooler than it is usually kept, 64 °F to 79 °F" in cool.text
    usual = await chat.type("/bin temperature bin:B-4 reading:72")
    assert "usual" not in usual.text
    shown = await chat.type("/bin show bin:B-4", MOSS)
    assert "Temperature: 22.2 °C (72 °F) (<t:" in shown.text
    gravid = "/pair setup dams:1 unmated from B-4 sires:1 visual ember from B-5 bin:B-4"
    await chat.type(gravid)
    await chat.type("/bin temperature bin:B-4 reading:18 C")
    # 28 days at 22 °C are 44 at 18 °C: 28 x (22 - 11) / (18 - 11).
    seen = await chat.type("/pair gravid pairing:P-1")
    assert "in about **44 days** (33 to 71 at 64 °F, as last read" in first_line(seen)
    for line, said in (
        ("/bin temperature bin:B-4 reading:hot", "is no temperature of a bin"),
        ("/bin temperature bin:B-4 reading:22 C when:tomorrow", "tomorrow"),
    ):
        refused = await chat.type(line)
        only_for(WREN, refused)
        assert said in first_line(refused)


async def test_a_batch_of_litter_is_offered_again_and_traced(sqlite_chat: Chat) -> None:
    chat = sqlite_chat
    given = await chat.type("/bin litter bin:B-4 batch:oak *of* May source:the copse treatment:boiled")
    assert first_line(given).endswith("got litter of the new batch **oak \\*of\\* May**.")
    assert "Never heat leaf litter unattended" in given.text
    offered = await chat.offered("/bin litter bin:B-3 batch:oa", MOSS)
    assert [choice.value for choice in offered] == ["oak *of* May"]
    second = await chat.type("/bin litter bin:B-3 batch:oak *of* May", MOSS)
    assert "2 bins got of it so far" in second.text
    await chat.type("/bin hold bin:B-3 reason:signs of disease", MOSS)
    traced = await chat.type("/bin batch batch:oak *of* May", TAMSIN)
    assert first_line(traced) == "Litter **oak \\*of\\* May** went into **2 bins**, 1 of them on hold."
    assert "· B-3 (frost line) <t:" in traced.text
    assert "Litter: oak \\*of\\* May (<t:" in (await chat.type("/bin show bin:B-3")).text
    unknown = await chat.type("/bin batch batch:beech", TAMSIN)
    only_for(TAMSIN, unknown)
    assert "Did you mean `oak *of* May`?" in first_line(unknown)
    late = await chat.type("/bin litter bin:B-4 batch:beech when:2199-01-01")
    only_for(WREN, late)
    assert "batch: beech" in late.text


async def test_a_room_is_picked_for_pings_and_care_that_rests_is_resumed_by_a_command(sqlite_chat: Chat) -> None:
    chat = sqlite_chat
    added = await chat.type(
        "/care add bin:B-3 task:recount day:Friday time:6pm zone:Europe/Lisbon room:#care", MOSS, BINS
    )
    assert f"The ping comes to <#{CARE.id}>." in added.text
    await chat.type("/care pause task:all", MOSS)
    resumed = await chat.type("/care resume task:all", MOSS)
    assert first_line(resumed).startswith("Asks again: recount of B-3")
    nothing = await chat.type("/care resume task:all", MOSS)
    only_for(MOSS, nothing)
    await chat.move(2 * DAY)
    ping = await chat.service.wait_message(CARE, lambda message: "B-3" in message.content)
    assert ping.pinged == (MOSS.id,)
    counted = await chat.type("/count log bin:B-3 count:99", MOSS)
    assert "It was asked for, and is done with this." in counted.text
    assert "Nothing wants doing today." in (await chat.type("/care today", MOSS)).text
