"""Workers are processes: killed, stopped at their deadline, replaced, and gone when the bot is."""

import asyncio
import multiprocessing
import os
import signal
import subprocess
import sys
from collections.abc import AsyncIterator, Callable
from pathlib import Path

import pytest
from pytest_asyncio import fixture as async_fixture

from bot.guard import UnitOpen, unit_of_work
from bot.workers import AllBusy, Overdue, WorkerLost, Workers
from tests.support import jobs
from tests.support.processes import ROOT, SOON, clean_environment

LONG = 600.0


@async_fixture
async def workers() -> AsyncIterator[Workers]:
    """Two workers, none of them started."""
    made = Workers(2)
    yield made
    await made.close()


async def until(found: Callable[[], bool]) -> None:
    async with asyncio.timeout(SOON):
        while True:
            if found():
                return
            await asyncio.sleep(0.01)


async def read(file: Path) -> int:
    """The process id in a file, once it is there."""
    await until(file.exists)
    return int(file.read_text())  # noqa: ASYNC240 - a few bytes


async def gone(pid: int) -> bool:
    """Whether the process ends, within a while. One that has ended and that nobody has waited for yet counts as ended."""
    await until(lambda: not runs(pid))
    return True


def runs(pid: int) -> bool:
    try:
        state = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0]
    except OSError:
        return False
    return state != "Z"


async def test_nothing_is_started_before_the_first_job(workers: Workers) -> None:
    before = len(multiprocessing.active_children())
    assert await workers.run(jobs.total, 1, 2, 3) == 6
    assert len(multiprocessing.active_children()) == before + 1


async def test_a_job_is_done_in_another_process_that_is_used_again(workers: Workers) -> None:
    first = await workers.run(jobs.process_id)
    assert first != os.getpid()
    assert await workers.run(jobs.process_id) == first


async def test_what_a_job_raises_arrives_with_its_facts(workers: Workers) -> None:
    with pytest.raises(jobs.OwnError) as caught:
        await workers.run(jobs.fail, 7)
    assert caught.value.fact == 7
    assert await workers.run(jobs.total, 1) == 1


async def test_the_loop_goes_on_while_a_worker_keeps_a_processor_busy(workers: Workers, tmp_path: Path) -> None:
    """The job ends when it sees a file that this loop makes after it saw the job's: held up, neither would end."""
    mine, theirs = tmp_path / "mine", tmp_path / "theirs"
    job = asyncio.create_task(workers.run(jobs.wait_busily, mine, theirs, deadline=LONG))
    await read(mine)
    theirs.touch()
    assert await job == "met"


async def test_a_killed_worker_fails_its_own_job_alone(workers: Workers, tmp_path: Path) -> None:
    killed = asyncio.create_task(workers.run(jobs.say_and_sleep, tmp_path / "killed", LONG, deadline=LONG))
    other = asyncio.create_task(workers.run(jobs.wait_busily, tmp_path / "other", tmp_path / "go", deadline=LONG))
    await read(tmp_path / "other")
    os.kill(await read(tmp_path / "killed"), signal.SIGKILL)
    with pytest.raises(WorkerLost):
        await killed
    assert not other.done()
    (tmp_path / "go").touch()
    assert await other == "met"
    assert await workers.run(jobs.total, 1, 2) == 3


async def test_a_worker_killed_while_idle_is_replaced(workers: Workers) -> None:
    for _ in range(3):
        pid = await workers.run(jobs.process_id)
        os.kill(pid, signal.SIGKILL)
        assert await workers.run(jobs.process_id) != pid


async def test_a_deadline_ends_the_process_and_the_next_job_has_a_new_one(workers: Workers, tmp_path: Path) -> None:
    with pytest.raises(Overdue) as caught:
        await workers.run(jobs.say_and_sleep, tmp_path / "pid", LONG, deadline=0.3)
    assert caught.value.deadline == 0.3
    pid = await read(tmp_path / "pid")
    assert await gone(pid)
    assert await workers.run(jobs.process_id) != pid


async def test_a_deadline_ends_a_process_that_does_not_listen(workers: Workers, tmp_path: Path) -> None:
    with pytest.raises(Overdue):
        await workers.run(jobs.busy, tmp_path / "pid", LONG, deadline=0.3)
    assert await gone(await read(tmp_path / "pid"))


async def test_a_caller_who_gives_up_ends_the_process(workers: Workers, tmp_path: Path) -> None:
    job = asyncio.create_task(workers.run(jobs.say_and_sleep, tmp_path / "pid", LONG, deadline=LONG))
    pid = await read(tmp_path / "pid")
    job.cancel()
    with pytest.raises(asyncio.CancelledError):
        await job
    assert await gone(pid)
    assert await workers.run(jobs.total, 2, 2) == 4


async def test_there_are_never_more_workers_than_wanted(workers: Workers) -> None:
    done = await asyncio.gather(*(workers.run(jobs.process_id) for _ in range(12)))
    assert 1 <= len(set(done)) <= 2


async def test_who_would_wait_behind_too_many_is_told_at_once(workers: Workers, tmp_path: Path) -> None:
    files = [tmp_path / "first", tmp_path / "second"]
    running = [
        asyncio.create_task(workers.run(jobs.wait_busily, file, tmp_path / "go", deadline=LONG)) for file in files
    ]
    for file in files:
        await read(file)
    waiting = asyncio.create_task(workers.run(jobs.total, 1, most_waiting=1))
    await asyncio.sleep(0)
    with pytest.raises(AllBusy) as caught:
        await workers.run(jobs.total, 2, most_waiting=1)
    assert caught.value.waiting == 1
    (tmp_path / "go").touch()
    assert await asyncio.gather(*running, waiting) == ["met", "met", 1]


async def test_nobody_waits_for_a_worker_while_a_unit_of_work_is_open(workers: Workers) -> None:
    before = len(multiprocessing.active_children())
    with unit_of_work(), pytest.raises(UnitOpen, match="a worker"):
        await workers.run(jobs.total, 1)
    assert len(multiprocessing.active_children()) == before


async def test_closing_ends_what_runs_and_what_is_idle(tmp_path: Path) -> None:
    workers = Workers(2)
    job = asyncio.create_task(workers.run(jobs.say_and_sleep, tmp_path / "busy", LONG, deadline=LONG))
    pids = [await read(tmp_path / "busy"), await workers.run(jobs.process_id)]
    await workers.close()
    assert [runs(pid) for pid in pids] == [False, False]
    with pytest.raises(WorkerLost):
        await job
    with pytest.raises(WorkerLost):
        await workers.run(jobs.total, 1)
    await workers.close()


async def test_a_job_that_was_about_to_start_when_all_was_closed_is_lost() -> None:
    before = len(multiprocessing.active_children())
    for turns in range(4):
        workers = Workers(1)
        jobs_asked = [asyncio.create_task(workers.run(jobs.say_and_sleep, Path("/dev/null/x"), LONG)) for _ in range(2)]
        for _ in range(turns):
            await asyncio.sleep(0)
        await workers.close()
        for lost in await asyncio.gather(*jobs_asked, return_exceptions=True):
            assert isinstance(lost, WorkerLost)
    assert len(multiprocessing.active_children()) == before


@pytest.mark.parametrize("number", [signal.SIGKILL, signal.SIGTERM], ids=["SIGKILL", "SIGTERM"])
async def test_workers_do_not_outlive_a_process_that_could_not_end_them(tmp_path: Path, number: signal.Signals) -> None:
    command = (sys.executable, "-m", "tests.support.worker_host", str(tmp_path))
    host = await asyncio.create_subprocess_exec(*command, cwd=ROOT, env=clean_environment())
    busy, idle = await read(tmp_path / "busy"), await read(tmp_path / "idle")
    assert runs(busy)
    host.send_signal(number)
    assert await host.wait() == -number
    assert await gone(busy)
    assert await gone(idle)


def test_a_bot_without_a_job_loads_neither_a_pool_nor_what_draws() -> None:
    code = "import sys, bot.wiring; assert not {'pebble', 'matplotlib', 'igraph', 'PIL'} & set(sys.modules)"
    subprocess.run([sys.executable, "-c", code], cwd=ROOT, check=True)


async def test_workers_begin_with_what_they_are_to_have_loaded(tmp_path: Path) -> None:
    """In a process of its own: the first workers of a process decide for all of it."""
    command = (sys.executable, "-m", "tests.support.worker_host", str(tmp_path), "wave")
    host = await asyncio.create_subprocess_exec(*command, cwd=ROOT, env=clean_environment())
    await read(tmp_path / "idle")
    loaded = (tmp_path / "loaded").read_text()
    host.terminate()
    await host.wait()
    assert loaded == "wave"
