"""Files are read from the chat's own servers alone, up to a limit, and where they say they are."""

from collections.abc import AsyncIterator

import pytest
from aiohttp import web
from discord.http import Route
from pytest_asyncio import fixture as async_fixture

from bot.chat.files import fetched, own_address
from bot.services.refusals_photos import PhotoGone, PhotoTooLarge

REAL = "https://discord.com/api/v10"


@async_fixture
async def service(monkeypatch: pytest.MonkeyPatch) -> AsyncIterator[str]:
    """A server on this machine that the bot takes for the chat service."""

    async def chunks(request: web.Request) -> web.StreamResponse:
        response = web.StreamResponse()
        await response.prepare(request)
        for _ in range(20):
            await response.write(b"x" * 100)
        return response

    async def elsewhere(_: web.Request) -> web.Response:
        raise web.HTTPFound("/attachments/1/2/small.jpg")

    async def small(_: web.Request) -> web.Response:
        return web.Response(body=b"bytes")

    app = web.Application()
    app.router.add_get("/attachments/1/2/small.jpg", small)
    app.router.add_get("/attachments/1/2/chunks.jpg", chunks)
    app.router.add_get("/attachments/1/2/elsewhere.jpg", elsewhere)
    runner = web.AppRunner(app)
    await runner.setup()
    await web.TCPSite(runner, "127.0.0.1", 0).start()
    base = f"http://127.0.0.1:{runner.addresses[0][1]}"
    monkeypatch.setattr(Route, "BASE", f"{base}/api/v10")
    yield f"{base}/attachments/1/2"
    await runner.cleanup()


async def test_a_file_is_read_up_to_the_limit(service: str) -> None:
    assert await fetched(f"{service}/small.jpg", 5) == b"bytes"
    with pytest.raises(PhotoTooLarge):
        await fetched(f"{service}/small.jpg", 4)
    # One that does not say how long it is is cut off on the way.
    assert len(await fetched(f"{service}/chunks.jpg", 2_000)) == 2_000
    with pytest.raises(PhotoTooLarge):
        await fetched(f"{service}/chunks.jpg", 1_999)


async def test_no_redirection_is_followed_and_what_is_gone_is_gone(service: str) -> None:
    for name in ("elsewhere.jpg", "nothing.jpg"):
        with pytest.raises(PhotoGone):
            await fetched(f"{service}/{name}", 100)


async def test_nothing_but_the_chat_is_asked(service: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("aiohttp.ClientSession.get", None)
    port = service.split(":")[2].split("/", maxsplit=1)[0]
    for address in (
        "",
        "x",
        "http://127.0.0.1:1/a.jpg",
        f"https://127.0.0.1:{port}/a.jpg",
        "file:///etc/passwd",
        f"http://localhost:{port}/a.jpg",
        "http://[::1/",
    ):
        with pytest.raises(PhotoGone):
            await fetched(address, 100)


def test_with_the_real_service_only_its_own_hosts_are_read(monkeypatch: pytest.MonkeyPatch) -> None:
    """The hosts after the service's public documentation, "Signed Attachment CDN URLs" (from memory)."""
    monkeypatch.setattr(Route, "BASE", REAL)
    good = "https://cdn.discordapp.com/attachments/1/2/odd.jpg?ex=65d903de&is=65c68ede&hm=2481f30d%20dd"
    assert str(own_address(good)) == good
    assert own_address("https://media.discordapp.net/attachments/1/2/odd.jpg") is not None
    for address in (
        "http://cdn.discordapp.com/attachments/1/2/odd.jpg",
        "https://cdn.discordapp.com.example.org/odd.jpg",
        "https://cdn.discordapp.com@example.org/odd.jpg",
        "https://user@cdn.discordapp.com/odd.jpg",
        "https://cdn.discordapp.com:8443/odd.jpg",
        "https://127.0.0.1/odd.jpg",
        "https://169.254.169.254/latest/meta-data",
        "//cdn.discordapp.com/odd.jpg",
    ):
        assert own_address(address) is None, address
