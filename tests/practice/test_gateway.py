"""The gateway by hand: logging in, events, resuming, close codes and compressions."""

import asyncio
import zlib
from contextlib import suppress

import aiohttp
import pytest

from bot.practice.compression import ZstdStream
from bot.practice.service import Service
from tests.support.wire import RawBot, connected, doing, online

GUILDS = 1


async def closed_with(bot: RawBot) -> int | None:
    """Read until the stand-in closes; the code it closes with."""
    with suppress(ConnectionError):
        while True:
            await bot.packet()
    return bot.socket.close_code


async def test_a_login_gets_ready_and_every_place(service: Service) -> None:
    async with connected(service) as bot:
        assert not service.gateway.online
        ready = await bot.identify(GUILDS)
        assert ready["user"]["id"] == str(service.application_id)
        assert ready["resume_gateway_url"] == service.gateway_url
        assert ready["guilds"] == [{"id": "700", "unavailable": True}]
        guild = await bot.event("GUILD_CREATE")
        assert [channel["name"] for channel in guild["channels"]] == ["bins", "silent", "sealed", "hidden"]
        await service.wait_ready(1.0)
        assert service.gateway.identified[-1]["intents"] == GUILDS
        await bot.send(1, None)
        assert (await bot.packet())["op"] == 11
        await bot.socket.close(code=1000)
    await service.wait_gone(1.0)
    assert service.gateway.closes == [1000]
    assert not service.gateway.online


@pytest.mark.parametrize(
    ("op", "data", "code"),
    [
        (2, {"token": "wrong", "intents": 1}, 4004),
        (2, {"token": "practice"}, 4013),
        (2, {"token": "practice", "intents": 1 << 40}, 4013),
        (2, {"token": "practice", "intents": 1 << 1}, 4014),
        (2, {"token": "practice", "intents": 1, "shard": [0, 2]}, 4010),
        (6, {"token": "wrong", "session_id": "x", "seq": 1}, 4004),
        (3, {"status": "online"}, 4003),
        (99, None, 4001),
    ],
)
async def test_a_wrong_packet_closes_with_the_documented_code(
    service: Service, op: int, data: object, code: int
) -> None:
    async with connected(service) as bot:
        await bot.send(op, data)
        assert await closed_with(bot) == code


async def test_noise_and_a_second_login_close_too(service: Service) -> None:
    async with connected(service) as bot:
        await bot.socket.send_str("no json")
        assert await closed_with(bot) == 4002
    async with connected(service) as bot:
        await bot.socket.send_bytes(b"x")
        assert await closed_with(bot) == 4002
    async with online(service) as bot:
        await bot.send(2, {"token": service.token, "intents": 1})
        assert await closed_with(bot) == 4005
    async with aiohttp.ClientSession() as http, http.ws_connect(f"{service.gateway_url}?v=9") as socket:
        await socket.receive()
        assert socket.close_code == 4012
    async with aiohttp.ClientSession() as http, http.ws_connect(f"{service.gateway_url}?v=10&compress=gzip") as socket:
        await socket.receive()
        assert socket.close_code == 4002


async def test_events_missed_while_away_come_after_resume(raw: RawBot, service: Service) -> None:
    session = next(packet["d"]["session_id"] for packet in raw.packets if packet["t"] == "READY")
    sequence = max(packet["s"] for packet in raw.packets if packet["s"])
    await service.faults.drop_connection()
    assert not service.gateway.online
    async with doing(service.command(700, 601, 501, "ping")) as task, connected(service) as back:
        await asyncio.sleep(0)
        await back.send(6, {"token": service.token, "session_id": session, "seq": sequence})
        interaction = await back.event("INTERACTION_CREATE")
        await back.event("RESUMED")
        assert service.gateway.online
        await back.answer(interaction, {"type": 4, "data": {"content": "back"}})
        assert (await task).text == "back"
    assert service.gateway.resumed == 1


async def test_a_forgotten_session_and_a_future_sequence_cannot_resume(raw: RawBot, service: Service) -> None:
    session = next(packet["d"]["session_id"] for packet in raw.packets if packet["t"] == "READY")
    async with connected(service) as bot:
        await bot.send(6, {"token": service.token, "session_id": session, "seq": 9999})
        assert await closed_with(bot) == 4007
    await service.faults.drop_connection(resumable=False)
    async with connected(service) as bot:
        await bot.send(6, {"token": service.token, "session_id": session, "seq": 1})
        packet = await bot.packet()
        assert (packet["op"], packet["d"]) == (9, False)
        await bot.identify()


async def test_a_session_that_says_goodbye_is_over(raw: RawBot, service: Service) -> None:
    session = next(packet["d"]["session_id"] for packet in raw.packets if packet["t"] == "READY")
    await raw.socket.close(code=1000)
    await service.wait_gone(1.0)
    async with connected(service) as bot:
        await bot.send(6, {"token": service.token, "session_id": session, "seq": 1})
        assert (await bot.packet())["op"] == 9


async def test_interactions_go_to_the_newest_session_only(raw: RawBot, service: Service) -> None:
    async with online(service) as newer, doing(service.command(700, 601, 501, "ping")):
        await newer.event("INTERACTION_CREATE")
        with pytest.raises(TimeoutError):
            await raw.event("INTERACTION_CREATE", within=0.05)


async def test_words_of_people_come_only_to_who_asked_for_them(raw: RawBot, service: Service) -> None:
    await service.say(601, 501, "not for you")
    with pytest.raises(TimeoutError):
        await raw.event("MESSAGE_CREATE", within=0.05)
    async with online(service, intents=GUILDS | 1 << 9) as listener:
        await service.say(601, 501, "for you")
        message = await listener.event("MESSAGE_CREATE")
        assert (message["content"], message["guild_id"]) == ("for you", "700")


async def test_zlib_is_one_stream_flushed_after_every_message(service: Service) -> None:
    async with connected(service, "zlib-stream") as bot:
        await bot.identify()
        await bot.event("GUILD_CREATE")
        await bot.send(1, None)
        message = await bot.socket.receive(timeout=2)
        assert message.data.endswith(b"\x00\x00\xff\xff")
        with pytest.raises(zlib.error):
            zlib.decompress(message.data)


def raw_blocks(data: bytes) -> bytes:
    """The content of raw Zstandard blocks (RFC 8878, section 3.1.1.2)."""
    content = b""
    while data:
        header = int.from_bytes(data[:3], "little")
        assert header & 0b111 == 0, "a raw block that is not the last"
        content += data[3 : 3 + (header >> 3)]
        data = data[3 + (header >> 3) :]
    return content


def test_zstd_is_one_frame_of_raw_blocks() -> None:
    stream = ZstdStream()
    long = "bin " * 100_000
    first, second = stream.frame("hello"), stream.frame(long)
    assert first[:4] == bytes.fromhex("28b52ffd")
    assert raw_blocks(first[6:]) == b"hello"
    assert raw_blocks(second) == long.encode()


async def test_asked_to_reconnect_means_a_packet(raw: RawBot, service: Service) -> None:
    await service.gateway.ask_to_reconnect()
    while (await raw.packet())["op"] != 7:
        pass
