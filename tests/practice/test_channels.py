"""Posting, history, permissions, nonces, direct messages and files, by raw HTTP."""

import aiohttp
import pytest

from bot.practice.service import Service
from bot.practice.values import Room
from tests.support.wire import HandClock, RawBot

POST = "/channels/601/messages"


async def test_what_is_not_there_is_unknown(raw: RawBot) -> None:
    assert (await raw.request("POST", "/channels/999/messages", {"content": "x"})).code == 10003
    assert (await raw.request("GET", "/channels/999")).code == 10003
    assert (await raw.request("GET", f"{POST}/999")).code == 10008
    assert (await raw.request("PATCH", f"{POST}/999", {"content": "x"})).code == 10008
    assert (await raw.request("DELETE", f"{POST}/999")).code == 10008
    assert (await raw.request("GET", "/users/999")).code == 10013
    assert (await raw.request("GET", "/guilds/999")).code == 10004
    assert (await raw.request("GET", "/guilds/700/members/999")).code == 10013
    assert (await raw.request("POST", "/users/@me/channels", {"recipient_id": "999"})).code == 50033
    nowhere = await raw.request("GET", "/no/such/route")
    assert (nowhere.status, nowhere.body) == (404, {"message": "404: Not Found", "code": 0})
    assert (await raw.request("GET", "/channels/x/messages")).code == 50035


async def test_without_the_token_nothing_is_allowed(raw: RawBot) -> None:
    wrong = "wrong"
    for method, path in (("GET", "/users/@me"), ("POST", POST), ("GET", "/gateway/bot")):
        reply = await raw.request(method, path, {"content": "x"}, token=wrong)
        assert (reply.status, reply.body) == (401, {"message": "401: Unauthorized", "code": 0})


async def test_a_body_that_is_no_json_is_refused(raw: RawBot) -> None:
    for broken in (b"{", b"[1]", b"\xff"):
        reply = await raw.request("POST", POST, raw=broken)
        assert (reply.status, reply.code) == (400, 50109)


async def test_the_bot_may_not_write_everywhere(raw: RawBot) -> None:
    silent = await raw.request("POST", "/channels/602/messages", {"content": "x"})
    assert (silent.status, silent.code) == (403, 50013)
    assert (await raw.request("POST", "/channels/602/typing")).code == 50013
    hidden = await raw.request("POST", "/channels/604/messages", {"content": "x"})
    assert (hidden.status, hidden.code) == (403, 50001)
    assert (await raw.request("GET", "/channels/604/messages")).code == 50001
    assert (await raw.request("GET", "/channels/604")).code == 50001


async def test_a_history_that_may_not_be_read_is_empty_and_no_error(raw: RawBot, service: Service) -> None:
    """As documented for "Get Channel Messages": so an empty history proves nothing without the permission."""
    posted = await raw.request("POST", "/channels/603/messages", {"content": "x"})
    assert posted.status == 200
    history = await raw.request("GET", "/channels/603/messages")
    assert (history.status, history.body) == (200, [])
    assert (await raw.request("GET", f"/channels/603/messages/{posted.body['id']}")).code == 50013
    channel = await raw.request("GET", "/channels/603")
    assert int(channel.body["permissions"]) & (1 << 16) == 0
    await service.change_room(Room(603, "open again"))
    assert (await raw.event("CHANNEL_UPDATE"))["name"] == "open again"
    assert len((await raw.request("GET", "/channels/603/messages")).body) == 1


async def test_the_history_is_newest_first_and_pages(raw: RawBot) -> None:
    ids = [(await raw.request("POST", POST, {"content": str(n)})).body["id"] for n in range(7)]
    assert ids == sorted(ids, key=int)

    async def page(query: str) -> list[str]:
        return [each["content"] for each in (await raw.request("GET", f"{POST}?{query}")).body]

    assert await page("limit=3") == ["6", "5", "4"]
    assert await page(f"limit=2&before={ids[4]}") == ["3", "2"]
    assert await page(f"limit=2&after={ids[1]}") == ["3", "2"]
    assert await page(f"limit=3&around={ids[3]}") == ["4", "3", "2"]
    assert (await raw.request("GET", f"{POST}?limit=101")).code == 50035
    assert (await raw.request("GET", f"{POST}?limit=x")).code == 50035


async def test_only_the_bots_own_messages_can_be_edited_or_deleted(raw: RawBot, service: Service) -> None:
    said = await service.say(601, 502, "not yours")
    assert (await raw.request("PATCH", f"{POST}/{said.id}", {"content": "x"})).code == 50005
    assert (await raw.request("DELETE", f"{POST}/{said.id}")).code == 50013
    own = (await raw.request("POST", POST, {"content": "mine"})).body["id"]
    edited = await raw.request("PATCH", f"{POST}/{own}", {"content": "still mine"})
    assert edited.body["edited_timestamp"] is not None
    assert (await raw.request("DELETE", f"{POST}/{own}")).status == 204
    assert [message.content for message in service.messages(601)] == ["not yours"]


async def test_an_enforced_nonce_returns_the_first_message(raw: RawBot, service: Service, clock: HandClock) -> None:
    ping = {"content": "ping", "nonce": "n1", "enforce_nonce": True}
    first = await raw.request("POST", POST, ping)
    clock.move(179)
    again = await raw.request("POST", POST, {**ping, "content": "other"})
    assert (again.status, again.body["id"], again.body["content"]) == (200, first.body["id"], "ping")
    clock.move(2)
    late = await raw.request("POST", POST, ping)
    assert late.body["id"] != first.body["id"]
    assert len(service.messages(601)) == 2


async def test_a_nonce_that_is_not_enforced_dedupes_nothing(raw: RawBot, service: Service) -> None:
    for _ in range(2):
        await raw.request("POST", POST, {"content": "ping", "nonce": "n1"})
    assert len(service.messages(601)) == 2


async def test_the_nonce_window_can_be_set(raw: RawBot, service: Service, clock: HandClock) -> None:
    service.nonce_window = 5.0
    for _ in range(2):
        await raw.request("POST", POST, {"content": "ping", "nonce": "n", "enforce_nonce": True})
        clock.move(6)
    assert len(service.messages(601)) == 2


async def test_a_refused_post_leaves_its_nonce_free(raw: RawBot) -> None:
    broken = {"content": "x" * 2001, "nonce": "n", "enforce_nonce": True}
    assert (await raw.request("POST", POST, broken)).status == 400
    assert (await raw.request("POST", POST, {**broken, "content": "x"})).status == 200


async def test_mentions_reach_only_whom_they_may(raw: RawBot, service: Service) -> None:
    text = "<@501> <@!502> <@777> @everyone"
    for allowed, people, everyone in (
        (None, (501, 502), True),
        ({"parse": []}, (), False),
        ({"parse": [], "users": ["502"]}, (502,), False),
        ({"parse": ["users"]}, (501, 502), False),
        ({"parse": ["everyone"]}, (), True),
    ):
        body = {"content": text} if allowed is None else {"content": text, "allowed_mentions": allowed}
        reply = await raw.request("POST", POST, body)
        message = service.message(int(reply.body["id"]))
        assert (message.pinged, message.pings_everyone) == (people, everyone)
        assert message.allowed_mentions == allowed


async def test_a_direct_message_reaches_one_person(raw: RawBot, service: Service) -> None:
    channel = await raw.request("POST", "/users/@me/channels", {"recipient_id": "502"})
    again = await raw.request("POST", "/users/@me/channels", {"recipient_id": "502"})
    assert channel.body["id"] == again.body["id"]
    assert channel.body["type"] == 1
    await raw.request("POST", f"/channels/{channel.body['id']}/messages", {"content": "psst"})
    assert [message.content for message in service.direct_messages(502)] == ["psst"]
    assert service.direct_messages(501) == []
    assert service.direct_room(502) == int(channel.body["id"])


async def test_a_file_is_kept_named_and_served(raw: RawBot, service: Service) -> None:
    layout = {
        "flags": 1 << 15,
        "components": [{"type": 12, "items": [{"media": {"url": "attachment://odds.png"}, "description": "A chart"}]}],
        "attachments": [{"id": 0, "filename": "odds.png", "description": "A chart"}],
    }
    reply = await raw.request("POST", POST, layout, files={"raw.bin": b"\x89PNG"})
    assert reply.status == 200, reply.body
    (file,) = service.message(int(reply.body["id"])).attachments
    assert (file.filename, file.content, file.content_type, file.description) == (
        "odds.png",
        b"\x89PNG",
        "image/png",
        "A chart",
    )
    assert reply.body["components"][0]["items"][0]["media"]["url"] == file.url
    async with aiohttp.ClientSession() as http, http.get(file.url) as response:
        assert (response.status, await response.read()) == (200, b"\x89PNG")
    async with aiohttp.ClientSession() as http, http.get(file.url.replace(str(file.id), "1")) as response:
        assert response.status == 404
    kept = await raw.request("PATCH", f"{POST}/{reply.body['id']}", {"attachments": [{"id": str(file.id)}]})
    assert [each["id"] for each in kept.body["attachments"]] == [str(file.id)]


async def test_a_room_can_go_away_with_what_was_said(raw: RawBot, service: Service) -> None:
    posted = await raw.request("POST", POST, {"content": "x"})
    await service.remove_room(601)
    assert (await raw.event("CHANNEL_DELETE"))["id"] == "601"
    assert (await raw.request("POST", POST, {"content": "x"})).code == 10003
    assert (await raw.request("PATCH", f"{POST}/{posted.body['id']}", {"content": "y"})).code == 10003


async def test_a_moderator_deletes_and_the_nonce_makes_a_new_message(raw: RawBot, service: Service) -> None:
    """Undocumented: we take it that a deleted message is not returned for its nonce."""
    ping = {"content": "ping", "nonce": "n1", "enforce_nonce": True}
    first = await raw.request("POST", POST, ping)
    service.remove_message(int(first.body["id"]))
    assert (await raw.request("POST", POST, ping)).body["id"] != first.body["id"]


async def test_waiting_for_a_message_finds_old_ones_and_new_ones(raw: RawBot, service: Service) -> None:
    await raw.request("POST", POST, {"content": "old"})
    assert (await service.wait_message(601)).content == "old"
    with pytest.raises(TimeoutError):
        await service.wait_message(601, lambda message: message.content == "new", timeout=0.05)
    seen: list[str] = []
    unsubscribe = service.subscribe(lambda message: seen.append(message.content))
    await raw.request("POST", POST, {"content": "new"})
    unsubscribe()
    await raw.request("POST", POST, {"content": "later"})
    assert seen == ["new"]
    assert (await service.wait_message(601, lambda message: message.content == "new")).content == "new"
