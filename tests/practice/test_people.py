"""What people can do and see, and what their screens do not let them do."""

from typing import Any

import pytest

from bot.practice.service import Service
from bot.practice.values import Attachment, Choice, NotOffered, Person, Picked, Place, Room
from tests.support.wire import Json, RawBot, doing

SAY = {"type": 4, "data": {"content": "hello"}}


def row(*parts: Json) -> Json:
    return {"type": 1, "components": list(parts)}


def button(custom_id: str, **more: Any) -> Json:
    return {"type": 2, "style": 1, "custom_id": custom_id, "label": custom_id.title(), **more}


async def test_a_typed_command_arrives_with_its_options(raw: RawBot, service: Service) -> None:
    photo = Attachment("odd.jpg", b"jpeg")
    options = {"species": "armadillidium", "size": 40, "photo": photo}
    async with doing(service.command(700, 601, 502, "bin open", options)) as task:
        interaction = await raw.event("INTERACTION_CREATE")
        assert interaction["data"]["name"] == "bin"
        (sub,) = interaction["data"]["options"]
        assert (sub["name"], sub["type"]) == ("open", 1)
        species, size, file = sub["options"]
        assert species == {"name": "species", "type": 3, "value": "armadillidium"}
        assert size == {"name": "size", "type": 4, "value": 40}
        resolved = interaction["data"]["resolved"]["attachments"][file["value"]]
        assert resolved["filename"] == "odd.jpg"
        async with raw.http.get(resolved["url"]) as response:
            assert await response.read() == b"jpeg"
        assert interaction["member"]["user"]["id"] == "502"
        assert int(interaction["member"]["permissions"]) & 0x20 == 0
        await raw.answer(interaction, SAY)
        outcome = await task
    assert outcome.latency is not None
    assert 0 < outcome.latency < 1


async def test_people_and_rooms_are_picked_by_name_and_arrive_resolved(raw: RawBot, service: Service) -> None:
    """After the service's documentation: a user option brings its user and its member, a channel option a part of it."""
    options = [
        {"name": "who", "description": "Who.", "type": 6},
        {"name": "where", "description": "Where.", "type": 7},
    ]
    share = [{"name": "share", "description": "Shares.", "options": options}]
    await raw.request("PUT", f"/applications/{service.application_id}/commands", share)
    picked = {"who": Picked("Ben"), "where": Picked("Silent")}
    async with doing(service.command(700, 601, 501, "share", picked)):
        data = (await raw.event("INTERACTION_CREATE"))["data"]
    assert [option["value"] for option in data["options"]] == ["502", "602"]
    resolved = data["resolved"]
    assert resolved["users"]["502"]["username"] == "ben"
    assert "user" not in resolved["members"]["502"]
    assert resolved["channels"]["602"]["name"] == "silent"
    for wrong in ({"who": Picked("nobody")}, {"where": Picked("nowhere")}, {"who": "502"}):
        with pytest.raises(NotOffered, match="is one of"):
            await service.command(700, 601, 501, "share", wrong)


async def test_a_manager_has_the_permission_to_manage(raw: RawBot, service: Service) -> None:
    async with doing(service.command(700, 601, 501, "ping")):
        interaction = await raw.event("INTERACTION_CREATE")
        assert int(interaction["member"]["permissions"]) & 0x20
        assert interaction["attachment_size_limit"] == 10 * 1024 * 1024


@pytest.mark.parametrize(
    ("name", "options", "said"),
    [
        ("bin close", {}, "no command /bin close"),
        ("bin", {}, "no command /bin"),
        ("nothing", {}, "no command"),
        ("bin open", {}, "'species' is required"),
        ("bin open", {"species": "x", "colour": "y"}, "no option 'colour'"),
        ("bin open", {"species": 5}, "does not take 5"),
        ("bin open", {"species": "x", "size": "y"}, "does not take 'y'"),
        ("bin open", {"species": "x", "size": 100}, "takes 0 to 99, not 100"),
        ("bin open", {"species": "x" * 6001}, "not 6001"),
    ],
)
async def test_the_screen_does_not_send_what_it_does_not_offer(
    raw: RawBot, service: Service, name: str, options: dict[str, Any], said: str
) -> None:
    with pytest.raises(NotOffered, match=said):
        await service.command(700, 601, 501, name, options)


async def test_a_command_for_managers_is_not_offered_to_others(raw: RawBot, service: Service) -> None:
    guarded = [{"name": "erase", "description": "Erases.", "default_member_permissions": 32}]
    await raw.request("PUT", f"/applications/{service.application_id}/commands", guarded)
    with pytest.raises(NotOffered, match="not offered to ben"):
        await service.command(700, 601, 502, "erase")
    async with doing(service.command(700, 601, 501, "erase")):
        await raw.event("INTERACTION_CREATE")


async def test_nobody_acts_where_they_are_not() -> None:
    here = Place(1, "here", [Room(11, "r")], [Person(5, "eve")])
    service = Service([here, Place(2, "there", [Room(22, "r")], [Person(6, "tom")])])
    with pytest.raises(NotOffered, match="tom is not there"):
        await service.command(1, 11, 6, "ping")
    with pytest.raises(NotOffered, match="another place"):
        await service.complete(1, 22, 5, "ping", {}, "x")


async def test_only_its_person_sees_an_ephemeral_answer(raw: RawBot, service: Service) -> None:
    async with doing(service.command(700, 601, 502, "ping")) as task:
        interaction = await raw.event("INTERACTION_CREATE")
        data = {"content": "psst", "flags": 64, "components": [row(button("more"))]}
        reply = await raw.answer(interaction, {"type": 4, "data": data})
        assert reply.body["interaction"]["response_message_ephemeral"] is True
        message = (await task).message
    assert message is not None
    assert message.ephemeral
    assert service.messages(601) == service.messages(601, 501) == []
    assert service.messages(601, 502) == [message]
    assert (await raw.request("GET", "/channels/601/messages")).body == []
    assert (await raw.request("GET", f"/channels/601/messages/{message.id}")).code == 10008
    with pytest.raises(NotOffered, match="does not see"):
        await service.press(message, "more", 501)


async def test_a_deferred_answer_is_waited_for(raw: RawBot, service: Service) -> None:
    async with doing(service.command(700, 601, 501, "ping")) as task:
        interaction = await raw.event("INTERACTION_CREATE")
        reply = await raw.answer(interaction, {"type": 5, "data": {"flags": 64}})
        assert reply.body["interaction"]["response_message_loading"] is True
        assert service.messages(601, 501) == []
        assert not task.done()
        await raw.follow(interaction, {"content": "done"}, original=True)
        outcome = await task
    assert outcome.deferred
    assert outcome.settled
    assert outcome.message is not None
    assert (outcome.message.content, outcome.message.ephemeral, outcome.message.loading) == ("done", True, False)
    assert str(outcome.message.id) == reply.body["interaction"]["response_message_id"]


async def test_a_promise_that_is_not_kept_is_not_settled(raw: RawBot, service: Service) -> None:
    async with doing(service.command(700, 601, 501, "ping", timeout=0.1)) as task:
        await raw.answer(await raw.event("INTERACTION_CREATE"), {"type": 5})
        outcome = await task
    assert (outcome.answered, outcome.deferred, outcome.settled, outcome.failed) == (True, True, False, False)
    assert outcome.message is None


async def test_the_first_message_after_a_promise_keeps_it_and_further_ones_follow(
    raw: RawBot, service: Service
) -> None:
    async with doing(service.command(700, 601, 501, "ping")) as task:
        interaction = await raw.event("INTERACTION_CREATE")
        await raw.answer(interaction, {"type": 5, "data": {"flags": 64}})
        await raw.follow(interaction, {"content": "one"})
        outcome = await task
        await raw.follow(interaction, {"content": "two"})
        await raw.follow(interaction, {"content": "three", "flags": 64})
    assert await outcome.until(lambda seen: len(seen.followups) == 2, 1.0)
    assert [message.content for message in outcome.messages] == ["one", "two", "three"]
    assert [message.ephemeral for message in outcome.messages] == [True, False, True]
    assert outcome.text == "one\ntwo\nthree"
    assert not await outcome.until(lambda seen: seen.failed, 0.02)


async def test_an_answer_can_be_looked_at_and_deleted_by_its_token(raw: RawBot, service: Service) -> None:
    async with doing(service.command(700, 601, 501, "ping")) as task:
        interaction = await raw.event("INTERACTION_CREATE")
        await raw.answer(interaction, SAY)
        outcome = await task
    path = f"/webhooks/{service.application_id}/{interaction['token']}/messages"
    assert (await raw.request("GET", f"{path}/@original")).body["content"] == "hello"
    assert (await raw.request("GET", f"{path}/5")).code == 10008
    assert (await raw.request("GET", f"/webhooks/5/{interaction['token']}/messages/@original")).code == 10015
    assert (await raw.request("DELETE", f"{path}/@original")).status == 204
    assert outcome.message is None
    assert outcome.settled


async def test_a_press_can_change_its_message(raw: RawBot, service: Service) -> None:
    posted = await raw.request("POST", "/channels/601/messages", {"content": "a", "components": [row(button("go"))]})
    before = service.message(int(posted.body["id"]))
    async with doing(service.press(before, before.button("Go").custom_id, 502)) as task:
        interaction = await raw.event("INTERACTION_CREATE")
        assert interaction["data"] == {"custom_id": "go", "component_type": 2, "id": 2}
        assert interaction["message"]["id"] == posted.body["id"]
        await raw.answer(interaction, {"type": 7, "data": {"content": "b", "components": []}})
        outcome = await task
    assert outcome.updated
    assert outcome.message is not None
    assert (outcome.message.content, outcome.message.buttons) == ("b", ())
    assert before.content == "a"


async def test_a_press_may_come_from_a_screen_that_is_behind(raw: RawBot, service: Service) -> None:
    posted = await raw.request("POST", "/channels/601/messages", {"content": "a", "components": [row(button("go"))]})
    before = service.message(int(posted.body["id"]))
    await raw.request("PATCH", f"/channels/601/messages/{before.id}", {"components": []})
    with pytest.raises(NotOffered, match="nothing to press"):
        await service.press(before.id, "go", 502)
    async with doing(service.press(before, "go", 502)):
        assert (await raw.event("INTERACTION_CREATE"))["data"]["custom_id"] == "go"
    service.remove_message(before)
    with pytest.raises(NotOffered, match="gone"):
        await service.press(before, "go", 502)


async def test_disabled_buttons_and_wrong_choices_are_not_sent(raw: RawBot, service: Service) -> None:
    options = [{"label": name, "value": name} for name in ("a", "b")]
    select = {"type": 3, "custom_id": "pick", "options": options}
    body = {"components": [row(button("off", disabled=True)), row(select)]}
    posted = await raw.request("POST", "/channels/601/messages", body)
    number = int(posted.body["id"])
    for custom_id, values in (("off", ()), ("pick", ()), ("pick", ("c",)), ("pick", ("a", "b"))):
        with pytest.raises(NotOffered):
            await service.press(number, custom_id, 501, values=values)
    async with doing(service.press(number, "pick", 501, values=["b"])):
        assert (await raw.event("INTERACTION_CREATE"))["data"]["values"] == ["b"]


async def test_a_press_in_a_direct_message_has_a_user_and_no_member(raw: RawBot, service: Service) -> None:
    channel = (await raw.request("POST", "/users/@me/channels", {"recipient_id": "502"})).body["id"]
    await raw.request("POST", f"/channels/{channel}/messages", {"content": "x", "components": [row(button("done"))]})
    (message,) = service.direct_messages(502)
    with pytest.raises(NotOffered, match="anna is not there"):
        await service.press(message, "done", 501)
    async with doing(service.press(message, "done", 502)) as task:
        interaction = await raw.event("INTERACTION_CREATE")
        assert "member" not in interaction
        assert "guild_id" not in interaction
        assert (interaction["user"]["id"], interaction["context"]) == ("502", 1)
        await raw.answer(interaction, {"type": 6})
        await raw.follow(interaction, {"content": "y"}, original=True)
        assert (await task).updated


FORM = {
    "type": 9,
    "data": {
        "custom_id": "m1:count.log:5",
        "title": "Count",
        "components": [
            {"type": 10, "content": "Read me."},
            {
                "type": 18,
                "label": "How many",
                "description": "A number.",
                "component": {"type": 4, "custom_id": "total", "style": 1, "max_length": 9, "value": "40"},
            },
            {
                "type": 1,
                "components": [{"type": 4, "custom_id": "note", "label": "Note", "style": 2, "required": False}],
            },
            {
                "type": 18,
                "label": "Which",
                "component": {
                    "type": 21,
                    "custom_id": "which",
                    "options": [{"label": "A", "value": "a", "default": True}, {"label": "B", "value": "b"}],
                },
            },
            {
                "type": 18,
                "label": "Some",
                "component": {
                    "type": 3,
                    "custom_id": "some",
                    "min_values": 0,
                    "max_values": 2,
                    "options": [{"label": "A", "value": "a"}, {"label": "B", "value": "b"}],
                },
            },
        ],
    },
}


async def test_a_form_is_shown_filled_and_submitted(raw: RawBot, service: Service) -> None:
    posted = await raw.request("POST", "/channels/601/messages", {"content": "x", "components": [row(button("log"))]})
    async with doing(service.press(int(posted.body["id"]), "log", 502)) as task:
        await raw.answer(await raw.event("INTERACTION_CREATE"), FORM)
        form = (await task).form
    assert form is not None
    total, note, which, some = form.fields
    assert (total.label, total.description, total.value, total.most, total.required) == (
        "How many",
        "A number.",
        "40",
        9,
        True,
    )
    assert (note.long, note.required, note.most) == (True, False, 4000)
    assert (which.value, which.options) == ("a", (Choice("A", "a"), Choice("B", "b")))
    assert (some.least, some.most) == (0, 2)
    async with doing(service.submit(form, {"note": "damp", "some": ["b"]}, 502)) as task:
        interaction = await raw.event("INTERACTION_CREATE")
        assert interaction["data"]["custom_id"] == "m1:count.log:5"
        text, first, second, third, fourth = interaction["data"]["components"]
        assert text["type"] == 10
        assert first["component"] == {"type": 4, "custom_id": "total", "value": "40"}
        assert second["components"] == [{"type": 4, "custom_id": "note", "value": "damp"}]
        assert third["component"] == {"type": 21, "custom_id": "which", "value": "a"}
        assert fourth["component"] == {"type": 3, "custom_id": "some", "values": ["b"]}
        assert interaction["message"]["id"] == posted.body["id"]
        await raw.answer(interaction, {"type": 7, "data": {"content": "logged"}})
        assert (await task).updated
    for values, said in (
        ({"total": ""}, "required"),
        ({"total": "1" * 10}, "takes 0 to 9 characters, not 10"),
        ({"other": "x"}, "no field 'other'"),
        ({"which": "c"}, "offers"),
        ({"some": ["a", "b", "a"]}, "takes 0 to 2 choices"),
    ):
        with pytest.raises(NotOffered, match=said):
            await service.submit(form, values)
    with pytest.raises(NotOffered, match="another person"):
        await service.submit(form, {}, 501)


async def test_what_a_message_says_is_read_in_order(raw: RawBot, service: Service) -> None:
    layout = {
        "flags": 1 << 15,
        "components": [
            {
                "type": 17,
                "components": [
                    {"type": 10, "content": "lead"},
                    {"type": 9, "components": [{"type": 10, "content": "side"}], "accessory": button("swap")},
                    row(button("more"), {"type": 2, "style": 5, "label": "Out", "url": "https://a.b"}),
                ],
            },
            {"type": 10, "content": "last"},
        ],
    }
    posted = await raw.request("POST", "/channels/601/messages", layout)
    message = service.message(int(posted.body["id"]))
    assert message.layout
    assert message.text == "lead\nside\nlast"
    assert [each.label for each in message.buttons] == ["Swap", "More", "Out"]
    assert message.button("Out").url == "https://a.b"
    with pytest.raises(LookupError, match="there are"):
        message.button("Undo")
    ids = [part["id"] for part in posted.body["components"]]
    assert len(set(ids)) == len(ids)


async def test_what_is_not_in_the_menu_of_a_message_is_not_offered(service: Service) -> None:
    message = await service.say(601, 501, "look")
    with pytest.raises(NotOffered, match="the menu of a message has no 'Send it home'"):
        await service.menu(message, "Send it home", 501)
