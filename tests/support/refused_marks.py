"""A sample of each refusal of marks, backups and litter, with what its card must say."""

from datetime import UTC, datetime

from bot.records import LookRow
from bot.services import refusals_marks as r
from bot.services.refusals import BinLabel, Refusal

NOW = datetime(2026, 3, 1, 12, tzinfo=UTC)
B14, B2 = BinLabel("B-14", "ember F2"), BinLabel("B-2")

SAID: list[tuple[Refusal, str]] = [
    (r.HeldAlready(B14, NOW), "To lift it, type `/bin release`."),
    (r.NothingToEnd(B14), "so there is nothing to end."),
    (r.NotLookedAt(B14, NOW, None), "Nobody has noted a look at it yet. Look it over"),
    (r.NotLookedAt(B14, NOW, LookRow(1, 2, NOW, False, "Wren", None)), "saw something. Look it over"),
    (r.EndsEarly(B14, NOW), "End it now all the same?"),
    (r.WaitsForSteward(B14, NOW), "Ask a steward: they can lift that with `/bin release`."),
    (r.OwnBackup(B14, B14), "Name the bin that it stands in for."),
    (r.OwnBackup(B14, B2), "B-2 is the backup of B-14 (ember F2) already."),
    (r.NoBackup(B14), "Say of which it is one, like of:B-3."),
    (r.NoSuchBatch("oka", ("oak",)), "Did you mean `oak`?"),
    (r.NoSuchBatch("oka", ()), "Name one with `/bin litter` when a bin gets some."),
]
