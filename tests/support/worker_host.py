"""A process with two workers: `python -m tests.support.worker_host FOLDER [MODULE]`. One does a long job, the other is idle.

Their process ids stand in the files `busy` and `idle` of the folder. Workers begin with the module loaded; in the file
`loaded` stands its name if they do.
"""

import asyncio
import sys
from pathlib import Path

from bot.workers import Workers
from tests.support import jobs


async def _host(folder: Path, preloaded: list[str]) -> None:
    workers = Workers(2, preloaded)
    long = asyncio.create_task(workers.run(jobs.say_and_sleep, folder / "busy", 600.0, deadline=600.0))
    loaded = await workers.run(jobs.loaded, *preloaded)
    (folder / "loaded").write_text(" ".join(loaded))
    await workers.run(jobs.say_and_sleep, folder / "idle", 0.0)
    await long


if __name__ == "__main__":
    asyncio.run(_host(Path(sys.argv[1]), sys.argv[2:]))
