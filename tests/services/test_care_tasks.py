"""Tasks for many bins, steps from when they were done, protein and its remains, rests and what a day wants."""

from datetime import timedelta

import pytest

from bot.records import CareKind, CareScope, OccurrenceRow
from bot.services.bins import NewBin, open_bin
from bot.services.care_tasks import TaskAdded, add_task, end_task, list_tasks, pause_tasks, resume_tasks
from bot.services.care_today import care_today, done_today, undone_today
from bot.services.refusals import NoSuchShelf, NoSuchTask, NotYours, Outlived
from bot.services.request import Request
from bot.services.starters import add_starters, offer_starters
from bot.services.undo import undo
from tests.support.asking import ELSEWHERE, MOSS, SERVER, TAMSIN, Asking, again

DAY = timedelta(days=1)


async def added(
    asking: Asking, request: Request, days: str = "every 3 days", kind: str = "moisture", bin_text: str = "B-1"
) -> TaskAdded:
    return await add_task(
        asking.desk, request, bin_text=bin_text, kind=kind, days=days, time="18:00", zone="Europe/Lisbon"
    )


async def with_bins(asking: Asking, number: int = 1) -> None:
    for _ in range(number):
        await open_bin(asking.desk, asking.by(), NewBin(species="Porcellio scaber"))


async def waiting(asking: Asking, task: int) -> tuple[OccurrenceRow, ...]:
    async with asking.desk.records.read(SERVER, asking.by().actor) as book:
        return await book.open_occurrences(task)


async def test_a_step_counts_from_when_it_was_done_and_the_undo_counts_back(asking: Asking) -> None:
    await with_bins(asking)
    task = await added(asking, asking.by())
    (first,) = await waiting(asking, task.task.id)
    assert first.due_at == task.due_at == asking.by().now.replace(hour=18)
    done = await done_today(asking.desk, asking.by(after=DAY), occurrence=first.id)
    (following,) = await waiting(asking, task.task.id)
    assert following.due_at == task.due_at + 4 * DAY
    assert done.event is not None
    await undone_today(asking.desk, asking.by(after=DAY), seq=done.event)
    assert [row.id for row in await waiting(asking, task.task.id)] == [first.id]


async def test_a_weekly_task_that_is_done_early_is_not_asked_on_its_day(asking: Asking) -> None:
    await with_bins(asking)
    task = await added(asking, asking.by(), days="Thursday")
    await done_today(asking.desk, asking.by(), occurrence=None)
    (following,) = await waiting(asking, task.task.id)
    assert following.due_at == task.due_at + 7 * DAY


async def test_protein_that_was_given_is_taken_out_a_day_later_once(asking: Asking) -> None:
    await with_bins(asking)
    await added(asking, asking.by(), kind="protein")
    request = asking.by()
    await done_today(asking.desk, request, occurrence=None)
    (removal,) = [t for t in (await list_tasks(asking.desk, asking.by())).tasks if t.task.kind is CareKind.REMOVAL]
    assert removal.due_at == request.now + DAY
    assert len((await care_today(asking.desk, asking.by())).items) == 0
    await done_today(asking.desk, asking.by(after=DAY + timedelta(hours=1)), occurrence=None)
    kinds = [t.task.kind for t in (await list_tasks(asking.desk, asking.by())).tasks]
    assert kinds == [CareKind.PROTEIN]


async def test_a_task_for_all_bins_has_a_date_for_each_and_an_unknown_shelf_is_refused(asking: Asking) -> None:
    await with_bins(asking, 3)
    await open_bin(asking.desk, asking.by(MOSS), NewBin(species="Porcellio scaber"))
    task = await added(asking, asking.by(), bin_text="all my bins")
    assert (task.task.scope, task.bins, task.label) == (CareScope.ALL, 3, None)
    assert len(await waiting(asking, task.task.id)) == 3
    with pytest.raises(NoSuchShelf):
        await added(asking, asking.by(), bin_text="shelf attic")
    request = asking.by()
    first = await added(asking, request, bin_text="all my bins", kind="mist")
    assert await added(asking, again(request), bin_text="all my bins", kind="mist") == first
    await undo(asking.desk, asking.by(), first.event)
    assert len((await list_tasks(asking.desk, asking.by())).tasks) == 1


async def test_a_rest_moves_what_waits_beyond_it_and_the_end_ends(asking: Asking) -> None:
    await with_bins(asking)
    task = await added(asking, asking.by(), days="Friday")
    paused = await pause_tasks(asking.desk, asking.by(), task=task.task.id, until="in 10 days")
    (moved,) = await waiting(asking, task.task.id)
    assert paused.until is not None
    assert moved.due_at > paused.until
    resumed = await resume_tasks(asking.desk, asking.by(after=DAY), task=None)
    assert not resumed.tasks[0].rests
    with pytest.raises(NoSuchTask):
        await resume_tasks(asking.desk, asking.by(after=DAY), task=None)
    with pytest.raises(NotYours):
        await end_task(asking.desk, asking.by(MOSS), task=task.task.id)
    with pytest.raises(NoSuchTask):
        await end_task(asking.desk, asking.by(TAMSIN, server=ELSEWHERE), task=task.task.id)
    await end_task(asking.desk, asking.by(), task=task.task.id)
    assert await waiting(asking, task.task.id) == ()
    with pytest.raises(NoSuchTask):
        await end_task(asking.desk, asking.by(), task=task.task.id)


async def test_another_keepers_day_is_not_answered(asking: Asking) -> None:
    await with_bins(asking)
    task = await added(asking, asking.by())
    (first,) = await waiting(asking, task.task.id)
    before = await asking.events()
    for who, server in ((MOSS, SERVER), (MOSS, ELSEWHERE)):
        with pytest.raises(Outlived):
            await done_today(asking.desk, asking.by(who, server=server), occurrence=first.id)
    assert await asking.events() == before


async def test_starters_are_set_once_and_taken_back_together(asking: Asking) -> None:
    await with_bins(asking)
    await added(asking, asking.by(), kind="protein")
    offer = await offer_starters(asking.desk, asking.by(), bin_text="B-1")
    assert CareKind.PROTEIN not in {task.kind for task in offer.tasks}
    request = asking.by()
    started = await add_starters(asking.desk, request, bin_text="B-1")
    assert [task.kind for task in started.tasks] == [task.kind for task in offer.tasks]
    assert await add_starters(asking.desk, again(request), bin_text="B-1") == started
    assert (await offer_starters(asking.desk, asking.by(), bin_text="B-1")).tasks == ()
    await undo(asking.desk, asking.by(), started.event)
    assert (await offer_starters(asking.desk, asking.by(), bin_text="B-1")).tasks == offer.tasks
    with pytest.raises(NotYours):
        await offer_starters(asking.desk, asking.by(MOSS), bin_text="B-1")
