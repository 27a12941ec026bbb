"""Who keeps a bin with whom, and what of it everybody reads."""

from dataclasses import dataclass

from bot.records import BinMessageRow, BinRow, Book, KeeperRow, Privacy, Subject, WriteBook
from bot.services.access import Right, require
from bot.services.desk import Desk
from bot.services.finding import bin_named
from bot.services.refusals import BinLabel, KeepsAlready, KeepsNot, TakenBack, WordNotKnown
from bot.services.request import Request

BIN = "bin"
SHARED, UNSHARED, PRIVACY_SET = "bin.shared", "bin.unshared", "bin.privacy"

PRIVACIES = {"open": Privacy.OPEN, "notes": Privacy.NOTES, "everything": Privacy.BIN}
"""What can be kept private, by the words keepers type."""


@dataclass(frozen=True, slots=True)
class Doors:
    """Who keeps a bin and what of it is private, after a change; `event` can take the change back.

    `message` is the message in the chat that still shows a bin which is private now.
    """

    label: BinLabel
    owner: str
    co_keepers: tuple[str, ...]
    privacy: Privacy
    event: int
    message: BinMessageRow | None = None


async def share_bin(desk: Desk, request: Request, *, bin_text: str, keeper: int, name: str) -> Doors:
    """Let another person keep a bin as well: read it whatever is private, and tend it.

    Raises:
        NoSuchBin, NotYours, KeepsAlready, TakenBack: nothing was written.
    """
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            row = await bin_named(book, bin_text)
            require(request, row, Right.SHARE)
            if keeper in (row.keeper_id, *(known.id for known in await book.co_keepers(row.id))):
                raise KeepsAlready(label=BinLabel(row.code, row.name), name=name)
            await book.add_co_keeper(row.id, keeper, name)
            event = await book.log(SHARED, Subject(BIN, row.id))
        return await _doors(book, event.subject.id, event.seq)


async def unshare_bin(desk: Desk, request: Request, *, bin_text: str, keeper: int, name: str) -> Doors:
    """A co-keeper keeps a bin no more. They may say so themselves. Their care tasks end if the bin is private.

    Raises:
        NoSuchBin, NotYours, KeepsNot, TakenBack: nothing was written.
    """
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            row = await bin_named(book, bin_text)
            if keeper != request.actor:
                require(request, row, Right.SHARE)
            if keeper not in {known.id for known in await book.co_keepers(row.id)}:
                raise KeepsNot(label=BinLabel(row.code, row.name), name=name)
            if row.privacy is Privacy.BIN:
                await _end_tasks(book, row, keeps={known.id for known in await book.co_keepers(row.id)} - {keeper})
            await book.remove_co_keeper(row.id, keeper)
            event = await book.log(UNSHARED, Subject(BIN, row.id))
        return await _doors(book, event.subject.id, event.seq)


async def set_privacy(desk: Desk, request: Request, *, bin_text: str, private: str) -> Doors:
    """Set what of a bin only its keepers read. Care tasks of those who can read it no more end.

    Raises:
        WordNotKnown, NoSuchBin, NotYours, TakenBack: nothing was written.
    """
    privacy = PRIVACIES.get(private.strip().casefold())
    if privacy is None:
        raise WordNotKnown(what="way of keeping a bin private", text=private, known=tuple(PRIVACIES))
    async with desk.records.write(request.stamp) as book:
        event = book.repeat
        if event is None:
            row = await bin_named(book, bin_text)
            require(request, row, Right.HIDE)
            if privacy is Privacy.BIN:
                await _end_tasks(book, row, keeps={known.id for known in await book.co_keepers(row.id)})
            await book.set_privacy(row.id, privacy)
            event = await book.log(PRIVACY_SET, Subject(BIN, row.id))
        return await _doors(book, event.subject.id, event.seq)


async def _end_tasks(book: WriteBook, row: BinRow, keeps: set[int]) -> None:
    for task in await book.tasks(row.id):
        if task.keeper_id not in {row.keeper_id, *keeps}:
            await book.end_task(task.id)


async def _doors(book: Book, bin_id: int, event: int) -> Doors:
    row = await book.bin(bin_id)
    if row is None:
        raise TakenBack("bin")
    return Doors(
        label=BinLabel(row.code, row.name),
        owner=row.keeper_name,
        co_keepers=names(await book.co_keepers(bin_id)),
        privacy=row.privacy,
        event=event,
        message=next(iter(await book.messages_of([bin_id])), None) if row.privacy is Privacy.BIN else None,
    )


def names(keepers: tuple[KeeperRow, ...]) -> tuple[str, ...]:
    """How the chat showed these keepers when they were last seen; empty for one who had it erased."""
    return tuple(keeper.name for keeper in keepers)
