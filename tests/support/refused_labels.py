"""A sample of each refusal of labels, with what its card must say."""

from datetime import UTC, datetime

from bot.services import refusals_labels as r
from bot.services.refusals import Refusal

SAID: list[tuple[Refusal, str]] = [
    (r.NothingToLabel(None, None), "You keep no open bin yet. Type the codes of the bins, like bins:B-1, B-3."),
    (
        r.NothingToLabel("*window*", datetime(2026, 3, 1, tzinfo=UTC)),
        "no open bin on shelf \\*window\\* that was opened on <t:1772323200:D> or later. Leave that out",
    ),
    (
        r.RoomNotYours(910),
        "You may not write in <#910>, so I post nothing there for you. Choose a room in which you may.",
    ),
    (r.TooManyLabels(1_200, 96), "1,200 labels, and one sheet has 96. Print one shelf at a time, like shelf:window"),
]
