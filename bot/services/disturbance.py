"""What last disturbed a bin, and whether it should be left alone: common practice, marked so where it is said.

A bin with mancae in it is not sifted twice within `SIFT_PAUSE`; mancae are taken to be there when the last count that spoke
of them, no older than `MANCAE_FOR`, says so.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from bot.records import Book, CountPartRow, CountRow, HandledRow, Moved, Seen, Stage, Thoroughness, TransferRow

SIFT_PAUSE = timedelta(days=30)
"""How long a bin with mancae is left after it was sifted (common practice)."""

MANCAE_FOR = timedelta(days=60)
"""How long animals that were mancae may still be (26 to 47 days, doubled for cool rooms: a judgement)."""

_LOOKED_BACK = 60


class Disturbing(StrEnum):
    """What disturbs a bin."""

    SORTED = "sorted"
    PART_SORTED = "part sorted"
    SPLIT = "split"
    MERGED = "merged"
    PAIRED = "paired"
    TAKEN_OUT = "taken out"


@dataclass(frozen=True, slots=True)
class Disturbance:
    """What was done, and when."""

    what: Disturbing
    at: datetime


@dataclass(frozen=True, slots=True)
class Rest:
    """What is known of a bin's peace: what last disturbed it, whether mancae are in it, and until when to leave it (None: now is fine)."""

    last: Disturbance | None
    mancae: bool
    until: datetime | None


def rest_of(
    counts: Sequence[CountRow],
    parts: Collection[CountPartRow],
    transfers: Sequence[TransferRow],
    now: datetime,
    handled: Sequence[HandledRow] = (),
) -> Rest:
    """Whether a bin should be left alone at `now`; counts newest first. `handled`: breeders came from it, or went in or out."""
    done = [Disturbance(_WHAT[c.thoroughness], c.at) for c in counts if c.thoroughness in _WHAT]
    done += [Disturbance(_MOVED[t.moved], t.at) for t in transfers]
    done += [Disturbance(Disturbing.PAIRED, each.set_up_at) for each in handled]
    done += [Disturbance(Disturbing.TAKEN_OUT, each.out_at) for each in handled if each.inside and each.out_at]
    past = [each for each in done if each.at <= now]
    last = max(past, key=lambda each: each.at, default=None)
    mancae = _mancae(counts, parts, now)
    sifted = max((each.at for each in past if each.what in _SIFTED), default=None)
    until = sifted + SIFT_PAUSE if sifted is not None and mancae and now < sifted + SIFT_PAUSE else None
    return Rest(last, mancae, until)


_WHAT = {Thoroughness.SORTED: Disturbing.SORTED, Thoroughness.PART: Disturbing.PART_SORTED}
_SIFTED = (Disturbing.SORTED, Disturbing.SPLIT, Disturbing.MERGED)
_MOVED = {Moved.SPLIT: Disturbing.SPLIT, Moved.MERGE: Disturbing.MERGED}


def _mancae(counts: Sequence[CountRow], parts: Collection[CountPartRow], now: datetime) -> bool:
    of_mancae = {part.count_id: part for part in parts if part.stage is Stage.MANCA}
    for count in counts:
        part = of_mancae.get(count.id)
        if part is None or part.said is Seen.NOT_COUNTED:
            continue
        return now - count.at <= MANCAE_FOR and (part.said is Seen.SOME or bool(part.number))
    return False


async def rest(book: Book, bin_id: int, now: datetime, without: int = 0) -> Rest:
    """What the book knows of a bin's peace at `now`, the count `without` left aside."""
    counts = [count for count in await book.counts(bin_id, limit=_LOOKED_BACK) if count.id != without]
    parts = await book.count_parts([count.id for count in counts])
    return rest_of(counts, parts, await book.transfers(bin_id), now, await book.handled(bin_id))
