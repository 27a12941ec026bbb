"""A server's book, open for writing: every change notes its row images, and one event carries them."""

from collections.abc import Mapping
from datetime import datetime
from fractions import Fraction

from sqlalchemy import delete
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.records import event_selects, tables
from bot.records.book import code_key, event_row
from bot.records.dated_writing import DatedWriting
from bot.records.entering import ENTER
from bot.records.errors import Missing
from bot.records.kinds import ParentRole, Privacy, Sex, State
from bot.records.rows import BinRow, Stamp
from bot.records.write_bins import BinWriting
from bot.records.write_breeding import BreedingWriting
from bot.records.write_evidence import EvidenceWriting
from bot.records.write_finds import FindWriting
from bot.records.write_guides import GuideWriting
from bot.records.write_keepers import KeeperWriting
from bot.records.write_marks import MarkWriting
from bot.records.write_messages import MessageWriting
from bot.records.write_photos import PhotoWriting
from bot.records.write_traits import TraitWriting
from bot.records.writing import Counters

DRAFT_VERSION = 1


class WriteBook(
    BinWriting,
    MarkWriting,
    MessageWriting,
    TraitWriting,
    BreedingWriting,
    EvidenceWriting,
    FindWriting,
    PhotoWriting,
    GuideWriting,
    KeeperWriting,
    DatedWriting,
):
    """Everything that can be written into one server's book, within one request; see `Writing` for what is owed for it."""

    # What a keeper writes.

    async def add_bin(
        self, *, species_key: str, name: str | None = None, note: str | None = None, keeper_id: int | None = None
    ) -> BinRow:
        """Open a bin under the server's next code, of the actor's if no other keeper is named.

        A code is never given twice, whatever is undone.
        """
        code = f"{self._counters.bin_prefix}{self._counters.next_bin}"
        self._counters.next_bin += 1
        bin_id = await self._add(
            tables.bins,
            code=code,
            code_key=code_key(code),
            species_key=species_key,
            name_id=await self._text(name),
            note_id=await self._text(note),
            keeper_id=self.stamp.actor if keeper_id is None else keeper_id,
            privacy=Privacy.OPEN,
            opened_at=self.stamp.now,
            closed_at=None,
        )
        opened = await self.bin(bin_id)
        if opened is None:
            raise Missing(tables.bins.name, bin_id)
        return opened

    async def add_founder(
        self,
        bin_id: int,
        *,
        number: int | None,
        sex: Sex,
        origin: str | None = None,
        length_mm: Fraction | None = None,
        described: bool = False,
        brood_id: int | None = None,
    ) -> int:
        """Record a group of alike founders.

        Args:
            bin_id: the bin they founded.
            number: how many, at least 1; None if that was not said.
            sex: their sex.
            origin: where they came from, as typed.
            length_mm: their body length in millimetres.
            described: it was said what they are, so that a trait without a state means wild.
            brood_id: the brood they were kept back from.
        """
        return await self._add(
            tables.founders,
            bin_id=bin_id,
            number=number,
            sex=sex,
            described=described,
            origin_id=await self._text(origin),
            length_mm=length_mm,
            added_at=self.stamp.now,
            brood_id=brood_id,
        )

    async def add_founder_state(
        self, founder_id: int, trait_id: int, state: State, chance: Fraction | None = None
    ) -> int:
        """State one trait of a group of founders; `chance` is the chance of carrying where one was stated (0 to 1)."""
        return await self._add(
            tables.founder_states, founder_id=founder_id, trait_id=trait_id, state=state, chance=chance
        )

    async def add_parent(self, bin_id: int, parent_bin_id: int, role: ParentRole) -> int:
        """Record that a bin's animals come from another bin of this server."""
        return await self._add(tables.bin_parents, bin_id=bin_id, parent_bin_id=parent_bin_id, role=role)

    async def set_kinship(
        self, *, note: Fraction | None, warning: Fraction | None, origin_kinship: Fraction | None
    ) -> None:
        """Set from which expected F of the young on a pairing is remarked upon and warned of, and the kinship of founders of one origin."""
        await self._change(
            tables.servers,
            self.server,
            inbreeding_note=note,
            inbreeding_warning=warning,
            origin_kinship=origin_kinship,
        )

    # What is no change of the book.

    async def add_draft(self, kind: str, fields: Mapping[str, str], expires_at: datetime) -> int:
        """Keep what the actor typed until `expires_at`, and drop the drafts that have expired. Leaves no event."""
        await self._connection.execute(
            delete(tables.drafts).where(
                tables.drafts.c.server_id == self.server, tables.drafts.c.expires_at <= self.stamp.now
            )
        )
        draft_id = self._take_id()
        await self._put(
            tables.drafts,
            id=draft_id,
            keeper_id=self.stamp.actor,
            kind=kind,
            fields={"v": DRAFT_VERSION, "fields": dict(fields)},
            expires_at=expires_at,
        )
        return draft_id

    async def drop_draft(self, draft_id: int) -> None:
        """Forget a draft. Leaves no event."""
        gone = (tables.drafts.c.server_id == self.server, tables.drafts.c.id == draft_id)
        await self._connection.execute(delete(tables.drafts).where(*gone))


async def open_write_book(stamp: Stamp, connection: AsyncConnection) -> WriteBook:
    """Take the server's row, which makes writers of one server wait for each other, and look for the same request."""
    enter = ENTER[connection.dialect.name]
    counted = await connection.execute(enter.server, {"server_id": stamp.server, "created_at": stamp.now})
    counters = Counters(*counted.one())
    found = await connection.execute(
        event_selects.EVENT_BY_REQUEST, {"server": stamp.server, "request_id": stamp.request_id}
    )
    repeat = event_row(found.first())
    if repeat is None:
        await connection.execute(
            enter.keeper,
            {"server_id": stamp.server, "id": stamp.actor, "name": stamp.actor_name, "created_at": stamp.now},
        )
    return WriteBook(stamp, connection, counters, repeat)
