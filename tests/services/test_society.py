"""The demo society, written by the same services that its keepers would use."""

import tomllib

import pytest

from bot.services.bins import show_bin
from bot.services.odds import odds_of
from bot.services.refusals import NoSuchSpecies
from bot.services.society import found_society, read_society, shipped_society
from tests.support.asking import THURSDAY, WREN, Asking

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


async def test_the_shipped_society_fills_a_book(asking: Asking) -> None:
    society = shipped_society()
    await found_society(asking.desk, society, THURSDAY)
    async with asking.desk.records.read(society.server) as book:
        bins, keepers, traits = await book.bins(), await book.keepers(), await book.traits()
        tasks = [task for row in bins for task in await book.tasks(row.id)]
        latest = {count.bin_id: count.total for count in await book.latest_counts()}
    assert [row.code for row in bins] == ["B-1", "B-2", "B-3", "B-4", "B-5"]
    assert len({row.species_key for row in bins}) == 2
    assert sorted(keeper.name for keeper in keepers) == ["Moss", "Tamsin", "Wren"]
    assert [trait.name for trait in traits] == ["ember", "frost"]
    assert len(tasks) == 1
    assert [latest[row.id] for row in bins] == [90, 1, 108, 14, 21]


async def test_its_bins_can_be_crossed_and_shown(asking: Asking) -> None:
    society = shipped_society()
    await found_society(asking.desk, society, THURSDAY)
    request = asking.by(WREN, server=society.server)
    assert (await odds_of(asking.desk, request, "B-4 x B-5")).uncertain
    view = await show_bin(asking.desk, request, "B-4")
    assert [parent.code for parent in view.parents] == ["B-1", "B-2"]
    assert view.tasks[0].keeper_id == view.row.keeper_id


async def test_things_happened_when_it_says_and_nothing_lies_ahead(asking: Asking) -> None:
    society = shipped_society()
    await found_society(asking.desk, society, THURSDAY)
    events = await asking.events(society.server)
    assert len(events) == len(society.steps)
    assert [(THURSDAY - event.at).days for event in events] == [step.days_ago for step in society.steps]
    assert all(event.at < THURSDAY for event in events)


async def test_a_society_founded_twice_is_founded_once(asking: Asking) -> None:
    society = shipped_society()
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
