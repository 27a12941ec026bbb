"""The demo society, written by the same services that its keepers would use."""

import tomllib
from dataclasses import replace
from datetime import timedelta

import pytest

from bot.records import Records, SexSystem
from bot.services.bins import show_bin
from bot.services.evidence import evidence_of
from bot.services.odds import odds_of
from bot.services.pairings import list_pairings
from bot.services.refusals import NoSuchBin, NoSuchSpecies
from bot.services.society import found_society, read_society, shipped_society
from genetics.evidence.explanations import Cause
from genetics.evidence.findings import Word
from tests.support.asking import THURSDAY, WREN, Asking, asking_of
from tests.support.societies import small_society

ONE = """
server = 5
name = "One"
rooms = [{ id = 6, name = "room" }]
keepers = [{ id = 7, name = "Keeper", zone = "Europe/Lisbon" }]
steps = [
    { days_ago = 1, keeper = "Keeper", count = { bin = "B-1", count = "9" } },
    { days_ago = 2, keeper = "Keeper", bin = { species = "Porcellio scaber" } },
]
"""


HOLLIS = 910000000000000108
"""A keeper of the shipped society, who keeps one bin to themselves."""


async def test_the_shipped_society_is_a_whole_one(asking: Asking) -> None:
    """Eight keepers, three species of three ways to inherit sex, two dozen bins, three traits, a year of counts, care."""
    society = shipped_society()
    await found_society(asking.desk, society, THURSDAY)
    async with asking.desk.records.read(society.server, HOLLIS) as book:
        bins, keepers, traits = await book.bins(), await book.keepers(), await book.traits()
        parents = {row.code: [parent.code for parent in await book.parents(row.id)] for row in bins}
        tasks = [task for row in bins for task in await book.tasks(row.id)]
        counts = {row.code: await book.counts(row.id, limit=99) for row in bins}
        for task in tasks:
            due = await book.open_occurrence(task.id)
            assert due is not None
            assert due.due_at < THURSDAY + timedelta(days=4)
    assert [row.code for row in bins] == [f"B-{number}" for number in range(1, 25)]
    assert {asking.desk.species.of(row.species_key).sex_system for row in bins} == {
        SexSystem.ZW,
        SexSystem.XY,
        SexSystem.THELYTOKOUS,
    }
    assert [keeper.name for keeper in keepers] == [keeper.name for keeper in society.keepers]
    assert len({keeper.zone for keeper in keepers}) == len(keepers) == 8
    assert [trait.name for trait in traits] == ["ember", "frost", "ink"]
    assert {task.keeper_id for task in tasks} == {keeper.id for keeper in keepers}

    def generation(code: str) -> int:
        return 1 + max((generation(parent) for parent in parents[code]), default=-1)

    assert max(map(generation, parents)) >= 3
    span = [count.at for rows in counts.values() for count in rows]
    assert max(span) - min(span) > timedelta(days=365)
    assert max(len([c for c in rows if THURSDAY - c.at < timedelta(days=366)]) for rows in counts.values()) >= 11
    overdue = [task for task in tasks if (THURSDAY - task.created_at).days > 14]
    assert len(overdue) > 10


async def test_its_broods_say_something_of_each_trait(sqlite_records: Records) -> None:
    """Ember was bred on purpose, frost has one brood, and ink goes with the bin and not with the parents."""
    asking = asking_of(sqlite_records)
    society = shipped_society()
    await found_society(asking.desk, society, THURSDAY)
    request = replace(asking.by(WREN, server=society.server), actor=society.keepers[0].id)
    said = {}
    for name in ("ember", "frost", "ink"):
        findings = (await evidence_of(asking.desk, request, name)).findings
        said[name] = (findings.verdict.word, findings.leader.cause)
    pairings = await list_pairings(asking.desk, request)
    await asking.desk.workers.close()
    assert said == {
        "ember": (Word.SUPPORTED, Cause.RECESSIVE),
        "frost": (Word.LEANING, Cause.INCOMPLETE),
        "ink": (Word.LEANING, Cause.NOT_INHERITED),
    }
    assert len(pairings) == 5


async def test_what_is_private_in_it_is_seen_by_its_keeper_alone(asking: Asking) -> None:
    society = shipped_society()
    await found_society(asking.desk, society, THURSDAY)
    assert (
        await show_bin(asking.desk, replace(asking.by(WREN, server=society.server), actor=HOLLIS), "B-22")
    ).row.name == "spare culture"
    with pytest.raises(NoSuchBin):
        await show_bin(asking.desk, asking.by(WREN, server=society.server, steward=True), "B-22")


async def test_its_bins_can_be_crossed_and_shown(asking: Asking) -> None:
    society = small_society()
    await found_society(asking.desk, society, THURSDAY)
    request = asking.by(WREN, server=society.server)
    assert (await odds_of(asking.desk, request, "B-4 x B-5")).uncertain
    view = await show_bin(asking.desk, request, "B-4")
    assert [parent.code for parent in view.parents] == ["B-1", "B-2"]
    assert view.tasks[0].keeper_id == view.row.keeper_id


async def test_things_happened_when_it_says_and_nothing_lies_ahead(asking: Asking) -> None:
    society = small_society()
    await found_society(asking.desk, society, THURSDAY)
    events = await asking.events(society.server)
    assert len(events) == len(society.steps)
    assert [(THURSDAY - event.at).days for event in events] == [step.days_ago for step in society.steps]
    assert all(event.at < THURSDAY for event in events)


async def test_a_society_founded_twice_is_founded_once(asking: Asking) -> None:
    society = small_society()
    await found_society(asking.desk, society, THURSDAY)
    before = await asking.events(society.server)
    await found_society(asking.desk, society, THURSDAY)
    assert await asking.events(society.server) == before


async def test_steps_are_done_oldest_first_whatever_their_order_in_the_file(asking: Asking) -> None:
    await found_society(asking.desk, read_society(ONE), THURSDAY)
    assert [event.kind for event in await asking.events(5)] == ["bin.opened", "count.logged"]


@pytest.mark.parametrize(
    ("was", "becomes", "kind"),
    [
        ('name = "One"', "", KeyError),
        ("[", "", tomllib.TOMLDecodeError),
        ("count =", "dance =", KeyError),
        ('"Porcellio scaber"', '"Porcellio"', NoSuchSpecies),
        ("bin = {", "bin = { depth = '3', ", TypeError),
    ],
)
async def test_a_description_that_is_not_complete_is_refused(
    asking: Asking, was: str, becomes: str, kind: type[Exception]
) -> None:
    with pytest.raises(kind):
        await found_society(asking.desk, read_society(ONE.replace(was, becomes, 1)), THURSDAY)
