"""How bins are listed, and how a bin's history is told."""

from collections.abc import Iterator
from itertools import groupby

from bot.cards import counts, verbs, words
from bot.cards.bin_state import HIDDEN
from bot.cards.bins import REASONS
from bot.cards.card import Button, Card
from bot.cards.changes import done
from bot.cards.ids import LONGEST_ARGUMENT
from bot.records import CloseReason
from bot.services.bin_lists import CLOSED, MINE, BinList, Happened, History, Listed

_ROOM = 10
"""What the button of a page takes of an argument for itself."""


def list_card(found: BinList) -> Card:
    """The reply to `/bin list`: how many, then a line each by shelf, with the last count and its age."""
    what = {MINE: "bins of yours", CLOSED: "closed bins"}.get(found.whose, "bins")
    narrowed = f" on shelf {words.plain(found.shelf)}" if found.shelf else ""
    narrowed += f" of *{found.species.name}*" if found.species else ""
    if not found.bins:
        return Card(
            lead=f"There are no {what}{narrowed}.",
            blocks=("`/bin open` opens one; `/bin list whose:all` shows everybody's.",),
        )
    many = words.plural(len(found.bins), "bin")
    asked = f"{found.whose}/{found.shelf_of or ''}/{found.species.key if found.species else ''}"
    fits = len(asked) + len(verbs.BIN_LIST) + _ROOM <= LONGEST_ARGUMENT
    return Card(
        lead=f"**{many}**{narrowed}." if found.whose != MINE else f"**{many}** of yours{narrowed}.",
        blocks=tuple(_shelves(found)),
        page=(verbs.BIN_LIST, asked) if fits else None,
    )


def _shelves(found: BinList) -> Iterator[str]:
    for shelf, bins in groupby(found.bins, key=lambda each: (each.row.shelf or "").casefold()):
        rows = list(bins)
        heading = f"**{words.plain(rows[0].row.shelf or '')}**\n" if shelf and not found.shelf else ""
        for start in range(0, len(rows), 8):
            lines = "\n".join(_line(each, found) for each in rows[start : start + 8])
            yield (heading if start == 0 else "") + lines


def _line(listed: Listed, found: BinList) -> str:
    row = listed.row
    parts = [f"· {words.bin_name(row.code, row.name)}"]
    if row.closed_at is not None:
        parts.append(f"closed {words.when(row.closed_at, 'D')}")
    elif listed.count is None:
        parts.append("not counted yet")
    else:
        parts.append(f"{counts.said(listed.count)} ({words.when(listed.count.at)})")
    if found.species is None:
        parts.append(f"*{listed.species.name}*")
    if found.whose != MINE:
        parts.append(words.plain(row.keeper_name) or "a former keeper")
    return ", ".join(parts)


def history_card(history: History) -> Card:
    """The reply to `/bin history`: what happened, newest first, who did it and when."""
    name = words.bin_name(history.label.code, history.label.name)
    older = (
        (Button("Older", verbs.BIN_HISTORY, f"{history.bin_id}/{history.older}"),) if history.older is not None else ()
    )
    if not history.events:
        return Card(lead=f"Nothing is recorded of {name} yet.")
    return Card(
        lead=f"What happened to **{name}**, the newest first:",
        blocks=("\n".join(_event(event) for event in history.events),),
        buttons=(*older, Button("Show bin", verbs.BIN_SHOW, history.label.code)),
    )


def _event(event: Happened) -> str:
    who = words.plain(event.keeper_name) or "a former keeper"
    said = f"#{event.seq} {words.when(event.at, 'd')} {who} {_did(event)}"
    return f"~~{said}~~ (undone)" if event.undone else said


def _did(event: Happened) -> str:
    number = counts.numbered(event.number, event.exactness, event.low, event.high)
    other = event.other or HIDDEN
    ways = {
        "bin.opened": f"opened it{f' with {number}' if number else ''}",
        "bin.split": f"put {number or 'some'} from {other} into it"
        if event.came
        else f"split {number or 'some'} off into {other}",
        "bin.merged": f"emptied {other} into it" if event.came else f"emptied it into {other}",
        "bin.moved": "moved it",
        "bin.closed": f"closed it: {REASONS[CloseReason(event.reason or CloseReason.OTHER)]}",
        "count.logged": f"counted {number}",
        "count.corrected": f"corrected a count to {number}",
    }
    if event.undid is not None:
        return f"took #{event.undid} back"
    return ways.get(event.kind, f"{done(event.kind)} it")
