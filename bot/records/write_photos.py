"""Writing photos into a server's book."""

from datetime import datetime

from bot.records import photo_tables
from bot.records.photo_rows import PhotoFile
from bot.records.writing import Writing


class PhotoWriting(Writing):
    """The part of a book for writing that keeps photos. Their bytes stand in no event."""

    async def add_photo(
        self,
        file: PhotoFile,
        *,
        taken_at: datetime,
        alternative: str | None = None,
        bin_id: int | None = None,
        find_id: int | None = None,
        trait_id: int | None = None,
    ) -> int:
        """Keep a photo of the actor's, of a bin or for a trait at least; one of a find names the bin of the find too."""
        photo_id = await self._add(
            photo_tables.photos,
            bin_id=bin_id,
            find_id=find_id,
            trait_id=trait_id,
            taken_at=taken_at,
            alternative_id=await self._text(alternative),
            keeper_id=self.stamp.actor,
            added_at=self.stamp.now,
            removed_at=None,
            media=file.media,
            width=file.width,
            height=file.height,
            size=len(file.body),
            sha256=file.sha256,
        )
        await self._put(photo_tables.photo_files, id=self._take_id(), photo_id=photo_id, body=file.body)
        return photo_id

    async def describe_photo(self, photo_id: int, alternative: str) -> None:
        """Say in words what a photo shows.

        Raises:
            Missing: this server has no such photo.
        """
        text = await self.add_text(alternative)
        await self._change(photo_tables.photos, photo_id, noted=("bin_id", "alternative_id"), alternative_id=text)

    async def remove_photo(self, photo_id: int) -> None:
        """Show a photo no more.

        Raises:
            Missing: this server has no such photo.
        """
        await self._change(photo_tables.photos, photo_id, noted=("bin_id", "removed_at"), removed_at=self.stamp.now)
