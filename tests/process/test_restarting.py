"""What is on people's screens outlives the bot's process: forms, buttons, drafts and pings of the one before."""

from datetime import UTC, datetime, timedelta

from bot.calendar import weekly
from bot.records import CareKind, EventRow, Records, Stamp, Subject
from tests.support.chat import CARE, HOLLOW_LOG, MOSS, WREN
from tests.support.processes import Machine


async def events(database: str) -> list[EventRow]:
    """Every change in the society's book, oldest first."""
    records = await Records.open(database)
    found: list[EventRow] = []
    async with records.read(HOLLOW_LOG.id) as book:
        while (event := await book.event(len(found) + 1)) is not None:
            found.append(event)
    await records.close()
    return found


async def test_a_form_of_the_process_before_is_submitted_to_the_next(machine: Machine) -> None:
    first = await machine.start()
    opened = await machine.type("/count log bin:B-4", WREN)
    assert opened.form is not None
    before = await events(machine.database)
    await machine.restart(first)
    answer = await machine.service.submit(opened.form, {"count": "about 40", "note": "after the rain"}, WREN)
    assert "B-4 (ember F1): **about 40** counted." in answer.text
    assert "after the rain" in answer.text
    shown = await machine.type("/bin show bin:B-4")
    assert "about 40" in shown.text
    after = await events(machine.database)
    assert [event.kind for event in after[len(before) :]] == ["count.logged"]
    assert after[-1].request_id == answer.interaction_id


async def test_buttons_of_the_process_before_are_answered_by_the_next(machine: Machine) -> None:
    first = await machine.start()
    odds = await machine.type("/odds cross:het ember x het ember")
    long = "66% het ember, het frost x 66% het ember, homozygous frost"
    drafted = await machine.type(f"/odds cross:{long}")
    logged = await machine.type("/count log bin:B-4 count:17")
    second = await machine.restart(first)
    raising = await machine.press(odds.message, "How many to raise")
    assert "See **11 young** grown and scored" in raising.text
    carriers = await machine.press(drafted.message, "Carriers")
    assert "carry ember" in carriers.text
    undone = await machine.press(logged.message, "Undo")
    assert "Undone" in undone.text
    await machine.restart(second)
    again = await machine.press(logged.message, "Undo")
    assert "already" in again.text


async def test_a_draft_of_the_process_before_is_edited_in_the_next(machine: Machine) -> None:
    first = await machine.start()
    refused = await machine.type("/count log bin:B-4 count:many note:two dead under the bark")
    before = await events(machine.database)
    second = await machine.restart(first)
    opened = await machine.press(refused.message, "Edit")
    assert opened.form is not None
    assert [(field.custom_id, field.value) for field in opened.form.fields] == [
        ("bin", "B-4"),
        ("count", "many"),
        ("how", ""),
        ("note", "two dead under the bark"),
    ]
    await machine.restart(second)
    answer = await machine.service.submit(opened.form, {"count": "12"}, WREN)
    assert "**12** counted" in answer.text
    assert "two dead under the bark" in answer.text
    assert len(await events(machine.database)) == len(before) + 1


async def test_a_ping_of_the_process_before_is_answered_in_the_next(machine: Machine) -> None:
    records = await Records.open(machine.database)
    now = datetime.now(UTC)
    stamp = Stamp(server=HOLLOW_LOG.id, actor=MOSS.id, actor_name=MOSS.name, request_id=1 << 60, now=now)
    async with records.write(stamp) as book:
        row = await book.bin_by_code("B-3")
        assert row is not None
        task = await book.add_task(bin_id=row.id, kind=CareKind.MOISTURE, cadence=weekly(0, 0), channel_id=CARE.id)
        await book.add_occurrence(task, row.id, now - timedelta(hours=1), None)
        await book.log("care.added", Subject("care task", task))
    await records.close()
    first = await machine.start()
    ping = await machine.service.wait_message(CARE)
    assert ping.pinged == (MOSS.id,)
    second = await machine.restart(first)
    form = (await machine.press(ping, "Log count", MOSS)).form
    assert form is not None
    await machine.restart(second)
    assert "**7** counted" in (await machine.service.submit(form, {"count": "7"}, MOSS)).text
    done = await machine.press(ping, "Done", MOSS)
    assert done.updated
    assert f"Done by <@{MOSS.id}>." in done.text
    # Three processes, and the ping was posted by one of them.
    posted = [message for message in machine.service.messages(CARE) if message.nonce]
    assert [message.id for message in posted] == [ping.id]


async def test_commands_are_told_to_the_service_once(machine: Machine) -> None:
    first = await machine.start()
    await machine.restart(first)
    told = [request for request in machine.exchanges if request.method == "PUT" and "commands" in request.path]
    assert len(told) == 1
