"""Whether a bin is on hold or in quarantine, and what that means today."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from bot.records import Book, HoldCause, LookRow, MarkKind, MarkRow

DISEASE = (HoldCause.BLUE_SHEEN, HoldCause.DISEASE)
"""Why a bin is on hold until a steward lifts it."""
ACCIDENTS = (MarkKind.STRAY, MarkKind.LID_OFF)
"""What may have brought animals of other parents into a bin."""
_LOOKED_BACK = 20


@dataclass(frozen=True, slots=True)
class BinState:
    """What stands in the way of a bin's animals going elsewhere, and what happened to it.

    Attributes:
        holds: why it is on hold, the earliest first; none if it is not.
        quarantine: its quarantine, where that was not ended.
        look: the latest look since the quarantine began; None if nobody looked.
        due: the quarantine has reached its end date.
        accidents: the strays found in it and the times its lid was off, the earliest first.
    """

    holds: tuple[MarkRow, ...] = ()
    quarantine: MarkRow | None = None
    look: LookRow | None = None
    due: bool = False
    accidents: tuple[MarkRow, ...] = ()

    @property
    def free(self) -> bool:
        """Nothing stands in the way."""
        return not self.holds and self.quarantine is None

    @property
    def disease(self) -> MarkRow | None:
        """The hold that a steward has to lift."""
        return next((hold for hold in self.holds if hold.cause in DISEASE), None)

    @property
    def clean(self) -> bool:
        """The latest look since the quarantine began saw nothing."""
        return self.look is not None and self.look.clean

    @property
    def marks(self) -> tuple[int, ...]:
        """The ids of what goes along with animals from this bin."""
        quarantine = () if self.quarantine is None else (self.quarantine.id,)
        return (*(hold.id for hold in self.holds), *quarantine)


def state_of(marks: Sequence[MarkRow], looks: Sequence[LookRow], now: datetime) -> BinState:
    """The state at `now` of a bin with these marks, the earliest first, and these looks, the newest first."""
    standing = [mark for mark in marks if mark.ended_at is None]
    quarantine = next((mark for mark in standing if mark.kind is MarkKind.QUARANTINE), None)
    since = [look for look in looks if quarantine is not None and look.at >= quarantine.at]
    return BinState(
        holds=tuple(mark for mark in standing if mark.kind is MarkKind.HOLD),
        quarantine=quarantine,
        look=since[0] if since else None,
        due=quarantine is not None and quarantine.until is not None and quarantine.until <= now,
        accidents=tuple(mark for mark in standing if mark.kind in ACCIDENTS),
    )


async def bin_state(book: Book, bin_id: int, now: datetime) -> BinState:
    """The state of a bin at `now`, as the book has it."""
    return state_of(await book.marks_of([bin_id]), await book.looks_at(bin_id, limit=_LOOKED_BACK), now)
