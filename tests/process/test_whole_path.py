"""From the odd one to young kept back, each step interrupted between its form and its *Submit*: by another process of the
bot, and by a second keeper who meanwhile does the same thing. Nothing that anybody typed is lost."""

from bot.practice.outcome import Outcome
from bot.records import EventRow, Records
from tests.support.chat import HOLLOW_LOG, TAMSIN, WREN, first_line, labels
from tests.support.phones import Phone
from tests.support.processes import Machine

SCORED = "6 dusk 17 wild, 9 weeks, 3 unsure"


async def _settled(outcome: Outcome) -> Outcome:
    assert await outcome.until(lambda it: bool(it.messages) and "Keep back" in labels(it), 20)
    return outcome


async def _events(database: str) -> list[EventRow]:
    records = await Records.open(database)
    async with records.read(HOLLOW_LOG.id, TAMSIN.id) as book:
        found = await book.audit(before=1 << 40, limit=99)
    await records.close()
    return list(reversed(found))


async def test_each_step_outlives_a_restart_and_a_second_keeper(sqlite_machine: Machine) -> None:
    """Two forms are open over the first restart, three over the second."""
    machine = sqlite_machine
    before = len(await _events(machine.database))
    bot = await machine.start()
    phone, steward = Phone(machine.service, TAMSIN), Phone(machine.service, WREN)

    # A male was found. While the forms of his sister and of their pairing are open, the steward logs a sister as well, and
    # pairs the two.
    male = await phone.type("/find log bin:B-5 trait:dusk animal:male, no sheen day:101 days ago")
    sister, together = await phone.type("/find log day:100 days ago"), await phone.press(male, "Pair")
    asked = await steward.type("/find log bin:B-5 trait:dusk animal:female, no sheen same:same day:100 days ago")
    assert first_line(asked).startswith("**Find 2**")
    await steward.type("/pair setup dams:find 2 sires:find 1 day:99 days ago")
    bot = await machine.restart(bot)
    question = await phone.submit(sister, {"bin": "B-5", "trait": "dusk", "animal": "female, 9 mm, no sheen"})
    assert "animal: female, 9 mm, no sheen" in phone.seen[-1].replace("│ ", "").replace("\n", " ")
    found = await phone.press(question, "The same")
    assert first_line(found).startswith("**Find 3**: a female in B-5 (ember F2) that shows **dusk**")
    paired = await phone.submit(together, {"dams": "find 3", "history": "unknown", "day": "98 days ago"})
    assert first_line(paired).startswith("**P-2** is set up in B-7.")

    # Young were seen: the day is typed wrong, and is to be corrected. Their brood stands in the book, is to be scored, and
    # four are to be kept back. Meanwhile the steward notes another day, scores the brood, and keeps four back.
    wrong = await phone.type("/pair young pairing:P-2 day:tomorrow")
    corrected = await phone.press(wrong, "Edit")
    await steward.type("/pair young pairing:P-2 day:70 days ago")
    brood = await phone.type("/brood log of:P-2 born:30")
    score, keep = await phone.press(brood, "Score"), await phone.press(brood, "Keep back")
    await steward.type("/brood score brood:P-2.1 scored:5 dusk 18 wild, 9 weeks")
    await steward.type("/brood keep brood:P-2.1 keep:4 dusk")
    bot = await machine.restart(bot)
    assert first_line(await phone.submit(corrected, {"day": "63 days ago"})).startswith("**P-2** has young.")
    scored = await _settled(await phone.submit(score, {"scored": SCORED}))
    assert first_line(scored).startswith("**P-2.1**: 6 dusk, 17 wild-looking, 3 not sure. That counts from now on")
    refused = await phone.submit(keep, {"keep": "4 dusk", "name": "dusk F1"})
    assert "of those scored 2 are left" in refused.text
    fewer = await phone.press(refused, "Edit")
    assert fewer.form is not None
    assert [field.value for field in fewer.form.fields] == ["P-2.1", "4 dusk", "dusk F1"]
    kept = await phone.submit(fewer, {"keep": "2 dusk"})
    assert first_line(kept) == "Bin **B-9** is open: dusk F1. Write B-9 on its lid."
    both = await phone.type("/brood show brood:P-2.1")
    assert "5 dusk, 18 wild-looking" in both.text

    assert len({each.pid for each in machine.started}) == 3
    done = [(each.kind, each.actor_id) for each in (await _events(machine.database))[before:]]
    mine = [kind for kind, actor in done if actor == TAMSIN.id]
    assert mine == [
        "find.logged",
        "find.logged",
        "pairing.set_up",
        "brood.logged",
        "pairing.young",
        "brood.scored",
        "brood.kept",
    ]
    theirs = [kind for kind, actor in done if actor == WREN.id]
    assert theirs == ["find.logged", "pairing.set_up", "pairing.young", "brood.scored", "brood.kept"]
    assert (phone.taps, phone.characters) == (17, 293)
