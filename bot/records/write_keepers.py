"""What a book takes down of its people: their own settings, who keeps a bin with whom, the server's settings and cards."""

from collections.abc import Mapping
from typing import Any

from sqlalchemy import delete, select, union_all, update

from bot.records import photo_tables, selects, tables
from bot.records.book import code_key
from bot.records.entering import ENTER
from bot.records.kinds import Privacy, SexSystem
from bot.records.write_traits import NAMES_OF_TRAITS
from bot.records.writing import Writing


class KeeperWriting(Writing):
    """The writes about keepers, their bins' doors, and the server as a whole."""

    async def set_keeper(self, *, zone: str | None) -> None:
        """Remember the actor's time zone, an IANA name, said beside something else; undoing that does not unsay it."""
        await self._change(tables.keepers, self.stamp.actor, noted=(), zone=zone)

    async def change_keeper(self, **settings: Any) -> None:
        """Change settings of the actor's own: `zone`, `quiet_from` and `quiet_to`, `units`, `channel_id`."""
        await self._change(tables.keepers, self.stamp.actor, noted=tuple(settings), **settings)

    async def set_server(self, *, zone: str | None, bin_prefix: str) -> None:
        """Set the server's time zone and what its bin codes begin with.

        Raises:
            ValueError: no letter ends the prefix, but for signs between it and the number; its codes could meet those of
                another prefix.
        """
        await self.change_server(zone=zone, bin_prefix=bin_prefix)

    async def change_server(self, **settings: Any) -> None:
        """Change settings of the server: `zone`, `bin_prefix`, `channel_id`.

        Raises:
            ValueError: as `set_server`.
        """
        prefix = settings.get("bin_prefix", self._counters.bin_prefix)
        if not code_key(prefix)[-1:].isalpha():
            raise ValueError(f"a bin prefix ends with a letter, which is no digit, before any hyphen: {prefix!r}")
        await self._change(tables.servers, self.server, noted=tuple(settings), **settings)
        self._counters.bin_prefix = prefix

    async def set_privacy(self, bin_id: int, privacy: Privacy) -> None:
        """Set what of a bin only its keepers read.

        Raises:
            Missing: this server has no such bin.
        """
        await self._change(tables.bins, bin_id, noted=("privacy",), privacy=privacy)

    async def know_keeper(self, keeper_id: int, name: str) -> None:
        """Make the row of a keeper who has not written yet; `name` is how the chat shows them. Leaves no event."""
        if await self.keeper(keeper_id) is None:
            person = {"server_id": self.server, "id": keeper_id, "name": name, "created_at": self.stamp.now}
            await self._connection.execute(ENTER[self._connection.dialect.name].keeper, person)

    async def add_co_keeper(self, bin_id: int, keeper_id: int, name: str) -> int:
        """Let another keeper keep a bin; `name` is how the chat shows them, for the book may not know them yet."""
        await self.know_keeper(keeper_id, name)
        return await self._add(tables.bin_keepers, bin_id=bin_id, keeper_id=keeper_id, added_at=self.stamp.now)

    async def remove_co_keeper(self, bin_id: int, keeper_id: int) -> None:
        """A keeper keeps a bin no more; nothing happens if they did not."""
        row = await self._one(selects.CO_KEEPING, bin_id=bin_id, keeper_id=keeper_id)
        if row is not None:
            await self._remove(tables.bin_keepers, row.id)

    async def set_card(self, key: str, sex_system: SexSystem, body: Mapping[str, Any], source: str | None) -> int:
        """Write the server's own card of a species, over an earlier one; returns its id."""
        values: dict[str, Any] = {
            "sex_system": sex_system,
            "body": dict(body),
            "source_id": await self._text(source),
            "set_by": self.stamp.actor,
            "set_at": self.stamp.now,
        }
        row = await self._one(selects.CARD, key=key)
        if row is None:
            return await self._add(tables.species_cards, key=key, **values)
        await self._change(tables.species_cards, row.id, **values)
        card: int = row.id
        return card

    async def remove_card(self, card_id: int) -> None:
        """Go back to the species card that comes with the program.

        Raises:
            Missing: this server has no such card.
        """
        await self._remove(tables.species_cards, card_id)

    async def erase_keeper_texts(self, keeper_id: int) -> None:
        """Blank what a person typed, and their name, and drop the pictures they gave. Events hold none of it and stay as they are.

        The names of traits and of their looks stay: they are the words in which everybody's records are written.
        """
        self._touch(tables.texts)
        names = union_all(
            *(
                select(column).where(column.table.c.server_id == self.server, column.is_not(None))
                for column in NAMES_OF_TRAITS
            )
        )
        mine = (
            tables.texts.c.server_id == self.server,
            tables.texts.c.author_id == keeper_id,
            tables.texts.c.id.not_in(names),
        )
        await self._connection.execute(update(tables.texts).where(*mine).values(body=""))
        photos, files = photo_tables.photos, photo_tables.photo_files
        taken = select(photos.c.id).where(photos.c.server_id == self.server, photos.c.keeper_id == keeper_id)
        await self._connection.execute(
            delete(files).where(files.c.server_id == self.server, files.c.photo_id.in_(taken))
        )
        drafts = (tables.drafts.c.server_id == self.server, tables.drafts.c.keeper_id == keeper_id)
        await self._connection.execute(delete(tables.drafts).where(*drafts))
        person = (tables.keepers.c.server_id == self.server, tables.keepers.c.id == keeper_id)
        await self._connection.execute(update(tables.keepers).where(*person).values(name=""))
