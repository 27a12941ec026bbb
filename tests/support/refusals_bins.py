"""A sample of each refusal of counts and of changes to bins, with what its card must say."""

from datetime import UTC, datetime, timedelta

from bot.records import CountRow, Exactness, HoldCause, MarkKind, MarkRow
from bot.services import refusals_bins as r
from bot.services.bin_state import BinState
from bot.services.disturbance import Disturbance, Disturbing, Rest
from bot.services.refusals import BinLabel, CountNotRead, CountProblem, Refusal

NOW = datetime(2026, 3, 1, 12, tzinfo=UTC)
B14, B2 = BinLabel("B-14", "ember F2"), BinLabel("B-2")
QUIET = Rest(None, mancae=False, until=None)
SIFTED = Rest(Disturbance(Disturbing.SORTED, NOW - timedelta(days=3)), mancae=True, until=NOW + timedelta(days=27))

HOLD = MarkRow(1, 14, MarkKind.HOLD, HoldCause.DISEASE, NOW, None, 1, "Wren", None, None)
QUARANTINE = MarkRow(2, 14, MarkKind.QUARANTINE, None, NOW, NOW + timedelta(days=60), 1, "Wren", None, None)
TWELVE = CountRow(3, 14, NOW, 1, "Wren", 12, Exactness.EXACT, "12", None)

SAID: list[tuple[Refusal, str]] = [
    (CountNotRead("up to 50", CountProblem.NO_FLOOR, "up to 50"), "Type a guess, like about 40, or 30-50."),
    (CountNotRead("40 (45 adults)", CountProblem.ADDS_UP, "45", most=40), "The classes come to `45`, more than the 40"),
    (CountNotRead("3 ad 4 ad", CountProblem.TWICE, "adults"), "`adults` stands there twice."),
    (CountNotRead("40 on 30 feb", CountProblem.NO_SUCH_DAY, "on 30 feb"), "`on 30 feb` is no day that has been."),
    (r.CountUnclear("7 m", ("7 males", "7 mancae")), "`7 m` can mean several things: `7 males` or `7 mancae`. Which"),
    (r.CountUnclear("40-30", ("30-40",)), "Do you mean `30-40` by `40-30`?"),
    (r.CorrectedAlready(B14), "was corrected already. Show the bin and correct the newer count."),
    (r.LookFirst(r.Disturb.SPLIT, ((B14, QUIET),)), "any half-white or soft animals? If so wait five days."),
    (r.LookFirst(r.Disturb.SPLIT, ((B14, QUIET),)), "B-14: I know of nothing that disturbed it yet."),
    (
        r.LookFirst(r.Disturb.MERGE, ((B14, SIFTED), (B2, QUIET)), kinds=((B14, "wild"), (B2, "visual ember"))),
        "There are mancae in it, so leave it alone until <t:",
    ),
    (
        r.LookFirst(r.Disturb.MERGE, ((B14, SIFTED), (B2, QUIET)), newcomers=(r.Newcomer(B2, NOW),)),
        "New stock is usually kept apart for 30 to 60 days (common practice).",
    ),
    (r.SameBin(B14), "can't be merged with itself. Name another bin"),
    (r.ClosedBin(B14, NOW), "if it was closed by mistake, take that back with `/records undo`."),
    (r.ClosedBin(B14, NOW, "B-2"), "its animals went into B-2. Name that one"),
    (r.KeeperNotPicked("Mos"), "Type `/bin move` again and pick the person."),
    (
        r.LookFirst(r.Disturb.TAKE_FROM, ((B14, QUIET),), states=((B14, BinState(holds=(HOLD,))),)),
        "B-14 (ember F2) is **on hold**. Before you take breeders from B-14",
    ),
    (
        r.LookFirst(r.Disturb.HAND_ON, ((B14, QUIET),), states=((B14, BinState(quarantine=QUARANTINE)),)),
        "own tools, last in the round. Nobody has noted a look at it yet.",
    ),
    (
        r.LookFirst(r.Disturb.SPLIT, ((B14, QUIET),), short=(r.Shortfall(B14, 20, TWELVE),)),
        "Only 12 were counted in B-14 <t:",
    ),
    (r.NoSuchKeeper("Helper Bot"), "is a bot and keeps no bins. Pick a person."),
    (r.KeepsItAlready(B14, "Moss"), "is Moss's already. Pick another person, or name a shelf."),
    (r.NothingSaid(B14), "Give a shelf, like shelf:window, or pick a keeper."),
]
