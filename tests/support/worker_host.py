"""A process with two workers: `python -m tests.support.worker_host FOLDER`. One does a long job, the other has done one.

Their process ids stand in the files `busy` and `idle` of the folder.
"""

import asyncio
import sys
from pathlib import Path

from bot.workers import Workers
from tests.support import jobs


async def _host(folder: Path) -> None:
    workers = Workers(2)
    long = asyncio.create_task(workers.run(jobs.say_and_sleep, folder / "busy", 600.0, deadline=600.0))
    await workers.run(jobs.say_and_sleep, folder / "idle", 0.0)
    await long


if __name__ == "__main__":
    asyncio.run(_host(Path(sys.argv[1])))
