"""Whose wall clock counts: the one rule of a keeper's time zone."""

from zoneinfo import ZoneInfo

from bot.records import Book


async def known_zone(book: Book, keeper_id: int) -> str | None:
    """A keeper's time zone, or else the server's; None where the book knows neither."""
    keeper = await book.keeper(keeper_id)
    if keeper is not None and keeper.zone:
        return keeper.zone
    server = await book.server_row()
    return (server.zone if server is not None else None) or None


async def zone_of(book: Book, keeper_id: int) -> ZoneInfo:
    """A keeper's zone, else the server's, else UTC."""
    return ZoneInfo(await known_zone(book, keeper_id) or "UTC")
