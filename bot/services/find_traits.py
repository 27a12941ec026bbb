"""Which trait an odd animal shows: one on record, or a new one of which nothing is known but its name."""

import difflib
import re
from collections.abc import Iterable, Sequence
from datetime import datetime

from bot.records import FindRow, TraitRow, WriteBook
from bot.services.desk import Desk
from bot.services.refusals import BinLabel, WordNotKnown
from bot.services.refusals_finds import NameForAnother, SameOrAnother, TraitMeant, TraitNeeded
from bot.services.refusals_traits import NoSuchTrait
from bot.services.texts import checked
from bot.services.traits import open_trait

SAME, ANOTHER = "same", "another"
_ALIKE = 0.75
_MOST_OFFERED = 3


async def trait_found(book: WriteBook, desk: Desk, typed: str, same: str, species_key: str) -> int:
    """The id of the trait that is meant, opened if it is new. `same` says which of two things a known name means.

    Raises:
        TraitNeeded, TraitMeant, SameOrAnother, NameForAnother, NoSuchTrait, WordNotKnown, TextTooLong, TraitTaken,
            TraitNotNamed: it must be said first.
    """
    name = " ".join(checked("name", typed).split())
    if not name:
        raise TraitNeeded
    is_same = _is_same(same)
    rows = await book.traits()
    known = _known(name, rows)
    if known is None:
        near = _alike(name, rows)
        if is_same:
            raise NoSuchTrait(text=name, nearest=near)
        if near and is_same is None:
            raise TraitMeant(name, near)
        return await open_trait(book, name, species_key)
    if known.species_key not in (None, species_key):
        other = desk.species.of(known.species_key or "").name
        raise NameForAnother(known.name, _free(known.name, rows), species=other)
    if is_same is None:
        raise SameOrAnother(known.name, found=_places(await book.finds_of(known.id)))
    if not is_same:
        raise NameForAnother(known.name, _free(known.name, rows))
    return known.id


def _is_same(text: str) -> bool | None:
    wanted = text.strip().casefold()
    if wanted in ("", SAME, ANOTHER):
        return None if not wanted else wanted == SAME
    raise WordNotKnown(what="answer", text=text, known=(SAME, ANOTHER))


def _known(name: str, rows: Iterable[TraitRow]) -> TraitRow | None:
    every = list(rows)
    by_name = next((row for row in every if row.name.casefold() == name.casefold()), None)
    return by_name or next((row for row in every if row.symbol == name), None)


def _alike(name: str, rows: Sequence[TraitRow]) -> tuple[str, ...]:
    """Names that `name` may be a slip of; "ember 2" is none of "ember"."""
    by_name = {row.name.casefold(): row.name for row in rows}
    stem = re.sub(r"\s+\d+$", "", name.casefold())
    close = difflib.get_close_matches(name.casefold(), by_name, n=_MOST_OFFERED, cutoff=_ALIKE)
    return tuple(by_name[one] for one in close if one != stem)


def _free(name: str, rows: Iterable[TraitRow]) -> tuple[str, ...]:
    taken = {row.name.casefold() for row in rows}
    stem = re.sub(r"\s+\d+$", "", name)
    numbered = (f"{stem} {number}" for number in range(2, len(taken) + 3))
    return tuple(one for one in numbered if one.casefold() not in taken)[:1]


def _places(finds: Iterable[FindRow]) -> tuple[tuple[BinLabel, datetime], ...]:
    newest = sorted(finds, key=lambda find: find.found_at, reverse=True)[:_MOST_OFFERED]
    return tuple((BinLabel(find.bin_code, find.bin_name), find.found_at) for find in newest)
