"""Whose wall clock counts: the keeper's own, else the server's, else UTC."""

from bot.services.keepers import set_keeper, set_server
from bot.services.zones import known_zone, zone_of
from tests.support.asking import ELSEWHERE, MOSS, SERVER, WREN, Asking


async def zones(asking: Asking, who: int, server: int = SERVER) -> tuple[str | None, str]:
    async with asking.desk.records.read(server) as book:
        return await known_zone(book, who), (await zone_of(book, who)).key


async def test_the_keepers_zone_comes_first_then_the_servers_then_utc(asking: Asking) -> None:
    assert await zones(asking, WREN) == (None, "UTC")
    await set_server(asking.desk, asking.by(steward=True), zone="Europe/Prague")
    await set_keeper(asking.desk, asking.by(), zone="Pacific/Auckland")
    assert await zones(asking, WREN) == ("Pacific/Auckland", "Pacific/Auckland")
    assert await zones(asking, MOSS) == ("Europe/Prague", "Europe/Prague")
    assert await zones(asking, WREN, ELSEWHERE) == (None, "UTC")
