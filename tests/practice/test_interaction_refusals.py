"""Each forbidden answer to an interaction, by raw HTTP."""

import time
from typing import Any

import pytest

from bot.practice.service import Service
from tests.practice.conftest import COMMANDS, LOG
from tests.support.wire import HandClock, Json, RawBot, doing, online

SAY = {"type": 4, "data": {"content": "hello"}}
INPUT = {"type": 4, "custom_id": "n", "style": 1}


def form(*components: Json, title: str = "Title", custom_id: str = "f") -> Json:
    return {"type": 9, "data": {"custom_id": custom_id, "title": title, "components": list(components)}}


def label(component: Json, text: str = "Label", **more: Any) -> Json:
    return {"type": 18, "label": text, "component": component, **more}


def old_row(**more: Any) -> Json:
    return {"type": 1, "components": [{**INPUT, "label": "L", **more}]}


async def test_a_second_answer_is_refused(raw: RawBot, service: Service) -> None:
    async with doing(service.command(700, 601, 501, "ping")):
        interaction = await raw.event("INTERACTION_CREATE")
        assert (await raw.answer(interaction, SAY)).status == 200
        for second in (SAY, {"type": 5}, form(label(INPUT))):
            reply = await raw.answer(interaction, second)
            assert (reply.status, reply.code) == (400, 40060)


async def test_a_form_is_the_first_answer_or_none(raw: RawBot, service: Service) -> None:
    async with doing(service.command(700, 601, 501, "ping")):
        interaction = await raw.event("INTERACTION_CREATE")
        assert (await raw.answer(interaction, {"type": 5})).status == 200
        assert (await raw.answer(interaction, form(label(INPUT)))).code == 40060


async def test_an_answer_is_too_late_after_three_seconds_of_the_clock(
    raw: RawBot, service: Service, clock: HandClock
) -> None:
    async with doing(service.command(700, 601, 501, "ping")) as task:
        interaction = await raw.event("INTERACTION_CREATE")
        clock.move(3.1)
        reply = await raw.answer(interaction, SAY)
        assert (reply.status, reply.code) == (404, 10062)
        outcome = await task
    assert outcome.failed
    assert outcome.late
    assert outcome.message is None
    assert outcome.latency is None


async def test_an_answer_is_in_time_before_three_seconds(raw: RawBot, service: Service, clock: HandClock) -> None:
    async with doing(service.command(700, 601, 501, "ping")) as task:
        interaction = await raw.event("INTERACTION_CREATE")
        clock.move(2.9)
        assert (await raw.answer(interaction, SAY)).status == 200
        assert not (await task).failed


async def test_an_interaction_nobody_answers_has_failed_after_three_seconds_of_the_machine() -> None:
    service = Service([LOG])
    await service.start()
    async with online(service) as bot:
        await bot.request("PUT", f"/applications/{service.application_id}/commands", COMMANDS)
        begun = time.monotonic()
        outcome = await service.command(700, 601, 501, "ping")
        assert 3.0 <= time.monotonic() - begun < 3.5
        assert outcome.failed
        assert not outcome.late
        reply = await bot.answer(await bot.event("INTERACTION_CREATE"), SAY)
        assert (reply.status, reply.code) == (404, 10062)
        assert outcome.late
    await service.stop()


async def test_nothing_follows_before_the_first_answer(raw: RawBot, service: Service) -> None:
    async with doing(service.command(700, 601, 501, "ping")):
        interaction = await raw.event("INTERACTION_CREATE")
        assert (await raw.follow(interaction, {"content": "x"})).code == 10015
        assert (await raw.follow(interaction, {"content": "x"}, original=True)).code == 10015


async def test_a_token_dies_after_fifteen_minutes(raw: RawBot, service: Service, clock: HandClock) -> None:
    async with doing(service.command(700, 601, 501, "ping")):
        interaction = await raw.event("INTERACTION_CREATE")
        await raw.answer(interaction, SAY)
        clock.move(14 * 60)
        assert (await raw.follow(interaction, {"content": "x"})).status == 200
        clock.move(61)
        for original in (False, True):
            reply = await raw.follow(interaction, {"content": "x"}, original=original)
            assert (reply.status, reply.code) == (401, 50027)


async def test_a_wrong_token_is_refused(raw: RawBot, service: Service) -> None:
    async with doing(service.command(700, 601, 501, "ping")):
        interaction = await raw.event("INTERACTION_CREATE")
        wrong = {**interaction, "token": "x"}
        assert (await raw.answer(wrong, SAY)).code == 10062
        assert (await raw.follow(wrong, {"content": "x"})).code == 10015
        assert (await raw.answer({**interaction, "id": "5"}, SAY)).code == 10062


async def test_an_unknown_or_unfitting_type_of_answer_is_refused(raw: RawBot, service: Service) -> None:
    async with doing(service.command(700, 601, 501, "ping")):
        interaction = await raw.event("INTERACTION_CREATE")
        for kind in (None, 0, 2, 6, 7, 8, 99):
            reply = await raw.answer(interaction, {"type": kind, "data": {"content": "x"}})
            assert (reply.status, reply.code) == (400, 50035), kind


async def test_a_form_cannot_follow_a_form(raw: RawBot, service: Service) -> None:
    async with doing(service.command(700, 601, 501, "ping")) as task:
        await raw.answer(await raw.event("INTERACTION_CREATE"), form(label(INPUT)))
        shown = (await task).form
    assert shown is not None
    async with doing(service.submit(shown, {"n": "5"})) as task:
        interaction = await raw.event("INTERACTION_CREATE")
        assert interaction["type"] == 5
        reply = await raw.answer(interaction, form(label(INPUT)))
        assert (reply.status, reply.code) == (400, 50035)
        assert "Value must be one of {4, 5}." in str(reply.body)
        await raw.answer(interaction, SAY)
        assert (await task).text == "hello"


INVALID_FORMS = {
    "no components": form(),
    "six components": form(*[label({**INPUT, "custom_id": str(n)}) for n in range(6)]),
    "a title of 46": form(label(INPUT), title="t" * 46),
    "no title": form(label(INPUT), title=""),
    "a custom id of 101": form(label(INPUT), custom_id="i" * 101),
    "a field id of 101": form(label({**INPUT, "custom_id": "i" * 101})),
    "a field id twice": form(label(INPUT), label(INPUT)),
    "a label of 46": form(label(INPUT, text="l" * 46)),
    "an old label of 46": form(old_row(label="l" * 46)),
    "a description of 101": form(label(INPUT, description="d" * 101)),
    "a button": form({"type": 1, "components": [{"type": 2, "style": 1, "custom_id": "b", "label": "b"}]}),
    "two inputs in a row": form({"type": 1, "components": [{**INPUT, "label": "L"}, {**INPUT, "label": "M"}]}),
    "a bare input": form(INPUT),
    "a label without component": form({"type": 18, "label": "L"}),
    "a label of its own under a label": form(label({**INPUT, "label": "L"})),
    "a longest of 4,001": form(label({**INPUT, "max_length": 4001})),
    "a longest of 0": form(label({**INPUT, "max_length": 0})),
    "a shortest of -1": form(label({**INPUT, "min_length": -1})),
    "a shortest over the longest": form(label({**INPUT, "min_length": 9, "max_length": 8})),
    "a value of 4,001": form(label({**INPUT, "value": "v" * 4001})),
    "a placeholder of 101": form(label({**INPUT, "placeholder": "p" * 101})),
    "an unknown style": form(label({**INPUT, "style": 3})),
    "one radio button": form(label({"type": 21, "custom_id": "r", "options": [{"label": "a", "value": "a"}]})),
    "11 checkboxes": form(
        label({"type": 22, "custom_id": "c", "options": [{"label": str(n), "value": str(n)} for n in range(11)]})
    ),
    "26 options": form(
        label({"type": 3, "custom_id": "s", "options": [{"label": str(n), "value": str(n)} for n in range(26)]})
    ),
    "11 files": form(label({"type": 19, "custom_id": "u", "max_values": 11})),
}


async def test_an_invalid_form_is_refused(raw: RawBot, service: Service) -> None:
    async with doing(service.command(700, 601, 501, "ping")):
        interaction = await raw.event("INTERACTION_CREATE")
        for name, body in INVALID_FORMS.items():
            reply = await raw.answer(interaction, body)
            assert (reply.status, reply.code) == (400, 50035), name


async def test_forms_just_inside_the_limits_open(raw: RawBot, service: Service) -> None:
    fields = [label({**INPUT, "custom_id": str(n), "max_length": 4000, "value": "v"}, "l" * 45) for n in range(4)]
    async with doing(service.command(700, 601, 501, "ping")) as task:
        interaction = await raw.event("INTERACTION_CREATE")
        reply = await raw.answer(interaction, form(*fields, old_row(), title="t" * 45, custom_id="i" * 100))
        assert reply.status == 200, reply.body
        outcome = await task
    assert outcome.form is not None
    assert [field.label for field in outcome.form.fields] == ["l" * 45] * 4 + ["L"]


@pytest.mark.parametrize(
    "choices",
    [
        [{"name": str(n), "value": str(n)} for n in range(26)],
        [{"name": "n" * 101, "value": "v"}],
        [{"name": "n", "value": "v" * 101}],
        [{"name": "", "value": "v"}],
        [{"name": "n"}],
    ],
    ids=["26 choices", "a name of 101", "a value of 101", "no name", "no value"],
)
async def test_invalid_choices_are_refused(raw: RawBot, service: Service, choices: list[Json]) -> None:
    async with doing(service.complete(700, 601, 501, "bin open", {"species": "x"}, "species")):
        interaction = await raw.event("INTERACTION_CREATE")
        reply = await raw.answer(interaction, {"type": 8, "data": {"choices": choices}})
        assert (reply.status, reply.code) == (400, 50035)


async def test_autocomplete_takes_choices_and_nothing_else(raw: RawBot, service: Service) -> None:
    async with doing(service.complete(700, 601, 501, "bin open", {"species": "ar"}, "species")) as task:
        interaction = await raw.event("INTERACTION_CREATE")
        option = interaction["data"]["options"][0]["options"][0]
        assert option == {"name": "species", "type": 3, "value": "ar", "focused": True}
        for body in (SAY, {"type": 5}, form(label(INPUT))):
            assert (await raw.answer(interaction, body)).code == 50035
        choices = [{"name": f"n{n}", "value": f"v{n}"} for n in range(25)]
        assert (await raw.answer(interaction, {"type": 8, "data": {"choices": choices}})).status == 200
        assert [choice.value for choice in await task] == [f"v{n}" for n in range(25)]


async def test_choices_that_never_come_raise(raw: RawBot, service: Service, clock: HandClock) -> None:
    async with doing(service.complete(700, 601, 501, "bin open", {}, "species")) as task:
        await raw.event("INTERACTION_CREATE")
        clock.move(3.1)
        with pytest.raises(TimeoutError):
            await task
