"""The weighing of a programme in a worker process, and what was weighed lately."""

from collections import OrderedDict
from typing import Final

from bot.services.tuning import Tuning, table_of
from bot.workers import Workers
from genetics.evidence.explanations import Cause
from genetics.evidence.findings import Findings
from genetics.evidence.programme import Programme

DEADLINE = 60.0
"""Seconds after which a weighing is given up."""
MOST_KEPT = 256
LIBRARIES: Final = ("genetics.evidence.weighing",)
"""What a weighing loads, for workers that have it loaded before the first."""


Asked = tuple[Programme, Tuning, Cause | None]
"""What is weighed, with which priors and figures, and the one explanation that is taken for granted, if one is."""


class Weighings:
    """Findings of the last `most` weighings, by what was asked.

    So a change of the book that bears on nothing in a programme leaves its findings where they are, and one that does is
    another programme. What a person may not read is in no programme of theirs.
    """

    def __init__(self, most: int = MOST_KEPT) -> None:
        self._most = most
        self._kept: OrderedDict[Asked, Findings] = OrderedDict()

    def __len__(self) -> int:
        return len(self._kept)

    def find(self, asked: Asked) -> Findings | None:
        """What came of weighing this, if that was lately."""
        if asked in self._kept:
            self._kept.move_to_end(asked)
        return self._kept.get(asked)

    def keep(self, asked: Asked, findings: Findings) -> None:
        """Keep what came of weighing this; what was asked for longest ago makes room."""
        self._kept[asked] = findings
        self._kept.move_to_end(asked)
        while len(self._kept) > self._most:
            self._kept.popitem(last=False)


async def findings_of(
    workers: Workers, kept: Weighings, programme: Programme, tuning: Tuning, granted: Cause | None = None
) -> Findings:
    """The findings of a programme: kept ones, or worked out by a worker within `DEADLINE` seconds.

    Raises:
        EvidenceRefused: the records cannot be weighed.
        Overdue, WorkerLost, AllBusy: there is no answer in time.
    """
    found = kept.find((programme, tuning, granted))
    if found is None:
        found = await workers.run(weighed, programme, tuning, granted, deadline=DEADLINE)
        kept.keep((programme, tuning, granted), found)
    return found


def weighed(programme: Programme, tuning: Tuning, granted: Cause | None = None) -> Findings:
    """The findings of a programme: a job for a worker process. Raises EvidenceRefused."""
    from genetics.evidence.weighing import weigh  # noqa: PLC0415 - only who weighs waits for numpy

    return weigh(programme, table_of(tuning, granted))
