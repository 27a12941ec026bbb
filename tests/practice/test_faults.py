"""Faults on demand, seen by raw HTTP."""

import asyncio
from typing import Any

import aiohttp
import pytest

from bot.practice.exchange import Exchange
from bot.practice.service import Service
from tests.practice.conftest import LOG
from tests.support.wire import RawBot, doing, online

POST = "/channels/601/messages"
MESSAGES = "/channels/*/messages"


async def test_a_failure_after_accepting_has_its_effect(raw: RawBot, service: Service) -> None:
    service.faults.fail_next("POST", MESSAGES, status=503)
    assert (await raw.request("POST", POST, {"content": "x"})).status == 503
    assert len(service.messages(601)) == 1
    assert (await raw.request("POST", POST, {"content": "x"})).status == 200


async def test_a_failure_before_accepting_has_none(raw: RawBot, service: Service) -> None:
    service.faults.fail_next("*", MESSAGES, status=500, after_accepting=False, times=2)
    for expected in (500, 500, 200):
        assert (await raw.request("POST", POST, {"content": "x"})).status == expected
    assert len(service.messages(601)) == 1


async def test_a_refused_request_does_not_use_up_a_fault_after_accepting(raw: RawBot, service: Service) -> None:
    service.faults.fail_next("POST", MESSAGES)
    assert (await raw.request("POST", POST, {})).status == 400
    assert (await raw.request("POST", POST, {"content": "x"})).status == 503


async def test_a_rate_limit_has_all_that_the_client_looks_for(raw: RawBot, service: Service) -> None:
    service.faults.rate_limit_next(MESSAGES, 0.25)
    reply = await raw.request("POST", POST, {"content": "x"})
    assert reply.status == 429
    assert reply.body == {"message": "You are being rate limited.", "retry_after": 0.25, "global": False}
    assert reply.headers["Retry-After"] == "1"
    assert reply.headers["Via"]
    assert reply.headers["X-RateLimit-Scope"] == "user"
    assert service.messages(601) == []
    service.faults.rate_limit_next("*", 5.0, everywhere=True)
    reply = await raw.request("GET", "/users/@me")
    assert (reply.body["global"], reply.headers["X-RateLimit-Global"]) == (True, "true")


@pytest.mark.parametrize(("after_accepting", "posted"), [(True, 1), (False, 0)])
async def test_a_reset_answers_nothing(raw: RawBot, service: Service, *, after_accepting: bool, posted: int) -> None:
    service.faults.reset_next("POST", MESSAGES, after_accepting=after_accepting)
    with pytest.raises(aiohttp.ClientOSError):
        await raw.request("POST", POST, {"content": "x"})
    assert len(service.messages(601)) == posted


@pytest.mark.parametrize("after_accepting", [True, False])
async def test_a_held_request_waits(raw: RawBot, service: Service, *, after_accepting: bool) -> None:
    with service.faults.hold("POST", MESSAGES, after_accepting=after_accepting) as hold:
        async with doing(raw.request("POST", POST, {"content": "x"})) as task:
            await hold.reached(1.0)
            await asyncio.sleep(0.02)
            assert not task.done()
            assert len(service.messages(601)) == int(after_accepting)
            hold.release()
            assert (await task).status == 200
    service.faults.fail_next("POST", MESSAGES, after_accepting=after_accepting)
    assert (await raw.request("POST", POST, {"content": "x"})).status == 503


async def test_an_interaction_delivered_twice_is_the_same_one(raw: RawBot, service: Service) -> None:
    service.faults.deliver_twice_next()
    async with doing(service.command(700, 601, 501, "ping")) as task:
        first, second = [await raw.event("INTERACTION_CREATE") for _ in range(2)]
        assert first == second
        assert (await raw.answer(first, {"type": 4, "data": {"content": "x"}})).status == 200
        assert (await raw.answer(second, {"type": 4, "data": {"content": "x"}})).code == 40060
        outcome = await task
    assert [refusal.code for refusal in outcome.refusals] == [40060]
    await service.redeliver(outcome)
    assert (await raw.event("INTERACTION_CREATE")) == first


async def test_cleared_faults_do_not_fire(raw: RawBot, service: Service) -> None:
    service.faults.fail_next("*", "*")
    service.faults.deliver_twice_next()
    service.faults.hold("*", "*")
    service.faults.clear()
    assert (await raw.request("POST", POST, {"content": "x"})).status == 200


async def test_every_request_is_recorded_with_what_became_of_it() -> None:
    seen: list[Exchange] = []
    service = Service([LOG], recorder=seen.append)
    await service.start()
    async with online(service) as bot:
        await bot.request("POST", f"{POST}?x=1", {"content": "x"}, files={"a.png": b"x"})
        await bot.request("POST", POST, {})
        await bot.request("GET", "/no/such/route")
        service.faults.reset_next("POST", MESSAGES)
        with pytest.raises(aiohttp.ClientOSError):
            await bot.request("POST", POST, {"content": "x"})
    await service.stop()
    posted: Any = seen[0]
    assert (posted.method, posted.path, posted.template) == ("POST", POST, "/channels/{channel_id}/messages")
    assert (posted.query, posted.body, posted.files, posted.status) == ({"x": "1"}, {"content": "x"}, ("a.png",), 200)
    assert [exchange.status for exchange in seen] == [200, 400, 404, 0]
    assert '"code":50006' in str(seen[1].response)
    assert seen[2].template == ""
