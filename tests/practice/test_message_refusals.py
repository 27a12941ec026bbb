"""Each forbidden shape of a message, by raw HTTP, refused as the real service does. The same checks hold for answers."""

from typing import Any

import pytest

from bot.practice.service import Service
from tests.support.wire import RawBot, doing

LAYOUT = 1 << 15
POST = "/channels/601/messages"


def text(content: str = "x") -> dict[str, Any]:
    return {"type": 10, "content": content}


def button(custom_id: str = "a", label: str = "b", **more: Any) -> dict[str, Any]:
    return {"type": 2, "style": 1, "custom_id": custom_id, "label": label, **more}


def row(*parts: dict[str, Any]) -> dict[str, Any]:
    return {"type": 1, "components": list(parts)}


def select(count: int, **more: Any) -> dict[str, Any]:
    options = [{"label": f"l{n}", "value": f"v{n}"} for n in range(count)]
    return {"type": 3, "custom_id": "s", "options": options, **more}


def layout(*parts: dict[str, Any]) -> dict[str, Any]:
    return {"flags": LAYOUT, "components": list(parts)}


INVALID = {
    "content beside a layout": {**layout(text()), "content": "x"},
    "embeds beside a layout": {**layout(text()), "embeds": [{"title": "x"}]},
    "41 components": layout(*[text() for _ in range(41)]),
    "41 components, nested": layout({"type": 17, "components": [text() for _ in range(40)]}),
    "4,001 shown characters": layout(text("x" * 2001), text("x" * 2000)),
    "a layout component without the flag": {"components": [text()]},
    "six rows without the flag": {"components": [row(button(str(n))) for n in range(6)]},
    "a custom id of 101": {"components": [row(button("i" * 101))]},
    "no custom id": {"components": [row({"type": 2, "style": 1, "label": "x"})]},
    "a custom id twice": {"components": [row(button("a")), row(button("a"))]},
    "a custom id twice in a layout": layout(row(button("a")), {"type": 17, "components": [row(button("a"))]}),
    "a label of 81": {"components": [row(button(label="l" * 81))]},
    "neither label nor emoji": {"components": [row({"type": 2, "style": 1, "custom_id": "a"})]},
    "a link with a custom id": {"components": [row({"type": 2, "style": 5, "url": "https://a.b", "custom_id": "a"})]},
    "a link without a url": {"components": [row({"type": 2, "style": 5, "label": "a"})]},
    "an unknown button style": {"components": [row({"type": 2, "style": 9, "custom_id": "a", "label": "b"})]},
    "six buttons in a row": {"components": [row(*[button(str(n)) for n in range(6)])]},
    "an empty row": {"components": [row()]},
    "a select beside a button": {"components": [row(select(2), button())]},
    "26 options": {"components": [row(select(26))]},
    "no options": {"components": [row(select(0))]},
    "an option label of 101": {
        "components": [row({"type": 3, "custom_id": "s", "options": [{"label": "l" * 101, "value": "v"}]})]
    },
    "an option value twice": {
        "components": [row({"type": 3, "custom_id": "s", "options": [{"label": "l", "value": "v"}] * 2})]
    },
    "a placeholder of 151": {"components": [row(select(2, placeholder="p" * 151))]},
    "a section without accessory": layout({"type": 9, "components": [text()]}),
    "a section of four texts": layout({"type": 9, "components": [text()] * 4, "accessory": button()}),
    "an empty text": layout(text("")),
    "an empty container": layout({"type": 17, "components": []}),
    "a container in a container": layout({"type": 17, "components": [{"type": 17, "components": [text()]}]}),
    "a colour beyond white": layout({"type": 17, "accent_color": 0x1000000, "components": [text()]}),
    "a gallery of 11": layout({"type": 12, "items": [{"media": {"url": "https://a.b/c.png"}}] * 11}),
    "a file that is not there": layout({"type": 13, "file": {"url": "attachment://x.png"}}),
    "a picture that is not there": layout({"type": 12, "items": [{"media": {"url": "attachment://x.png"}}]}),
    "a component id twice": layout({**text(), "id": 4}, {**text(), "id": 4}),
    "content of 2,001": {"content": "x" * 2001},
    "11 embeds": {"embeds": [{"title": "x"}] * 11},
    "embeds of 6,001 in sum": {"embeds": [{"description": "x" * 3000}, {"description": "x" * 3001}]},
    "an embed title of 257": {"embeds": [{"title": "x" * 257}]},
    "a nonce of 26": {"content": "x", "nonce": "n" * 26},
    "mentions by kind and by list": {"content": "x", "allowed_mentions": {"parse": ["users"], "users": ["501"]}},
    "an attachment that was not sent": {"content": "x", "attachments": [{"id": 0, "filename": "a.png"}]},
    "components that are no list": {"content": "x", "components": {"type": 1}},
    "a text that is a number": {"content": 5, "embeds": [{"title": "x"}]},
}


@pytest.mark.parametrize("body", INVALID.values(), ids=INVALID.keys())
async def test_an_invalid_message_is_refused_as_an_invalid_form(raw: RawBot, body: dict[str, Any]) -> None:
    reply = await raw.request("POST", POST, body)
    assert (reply.status, reply.code) == (400, 50035)
    assert reply.body["message"] == "Invalid Form Body"
    assert "_errors" in str(reply.body["errors"])
    assert raw.service.messages(601) == []


FITS_AN_EDIT = ("a layout component without the flag", "six rows without the flag")
"""The message is a layout already: the edit needs no flag."""

FINE = {
    "40 components": layout(*[text() for _ in range(40)]),
    "4,000 shown characters": layout(text("x" * 2000), text("x" * 2000)),
    "content of 2,000": {"content": "x" * 2000},
    "embeds of 6,000 in sum": {"embeds": [{"description": "x" * 3000}, {"description": "x" * 3000}]},
    "five rows of five": {
        "content": "x",
        "components": [row(*[button(f"{r}{n}") for n in range(5)]) for r in range(5)],
    },
    "longest of everything": {"components": [row(button("i" * 100, "l" * 80))]},
    "25 options": {"components": [row(select(25))]},
    "a section": layout({"type": 9, "components": [text()] * 3, "accessory": button()}),
    "a nonce of 25": {"content": "x", "nonce": "n" * 25},
    "only buttons": {"components": [row(button())]},
}


@pytest.mark.parametrize("body", FINE.values(), ids=FINE.keys())
async def test_a_message_just_inside_the_limits_is_posted(raw: RawBot, body: dict[str, Any]) -> None:
    reply = await raw.request("POST", POST, body)
    assert reply.status == 200, reply.body
    assert [str(message.id) for message in raw.service.messages(601)] == [reply.body["id"]]


@pytest.mark.parametrize("body", [{}, {"content": ""}, {"content": " \n"}, {"content": None, "components": []}])
async def test_an_empty_message_is_refused(raw: RawBot, body: dict[str, Any]) -> None:
    reply = await raw.request("POST", POST, body)
    assert (reply.status, reply.code) == (400, 50006)


async def test_the_same_shapes_are_refused_as_an_answer_and_as_its_edit(raw: RawBot, service: Service) -> None:
    async with doing(service.command(700, 601, 501, "ping")) as task:
        interaction = await raw.event("INTERACTION_CREATE")
        for body in INVALID.values():
            reply = await raw.answer(interaction, {"type": 4, "data": body})
            assert (reply.status, reply.code) == (400, 50035), body
        assert (await raw.answer(interaction, {"type": 4, "data": {}})).code == 50006
        assert (await raw.answer(interaction, {"type": 4, "data": layout(text("fine"))})).status == 200
        message = (await task).message
        for name, body in INVALID.items():
            if name in FITS_AN_EDIT:
                continue
            reply = await raw.follow(interaction, body, original=True)
            assert (reply.status, reply.code) == (400, 50035), name
        assert message is not None
        assert service.message(message.id).text == "fine"


async def test_a_layout_stays_a_layout(raw: RawBot, service: Service) -> None:
    """An edit cannot put content into a layout, nor take the flag away."""
    posted = await raw.request("POST", POST, layout(text("first")))
    path = f"{POST}/{posted.body['id']}"
    assert (await raw.request("PATCH", path, {"content": "plain"})).code == 50035
    edited = await raw.request("PATCH", path, {"flags": 0, "components": [text("second")]})
    assert edited.status == 200
    assert edited.body["flags"] & LAYOUT
    assert service.message(int(edited.body["id"])).text == "second"


async def test_a_plain_message_becomes_a_layout_only_without_its_content(raw: RawBot) -> None:
    posted = await raw.request("POST", POST, {"content": "plain"})
    path = f"{POST}/{posted.body['id']}"
    assert (await raw.request("PATCH", path, layout(text()))).code == 50035
    assert (await raw.request("PATCH", path, {**layout(text()), "content": None})).status == 200


async def test_a_file_over_the_limit_is_refused(raw: RawBot, service: Service) -> None:
    small = Service([], largest_file=10)
    assert small.base_url.startswith("http://127.0.0.1:")
    reply = await raw.request("POST", POST, {}, files={"a.bin": b"x" * (10 * 1024 * 1024 + 1)})
    assert (reply.status, reply.code) == (413, 40005)
    assert service.messages(601) == []


async def test_a_file_is_described_in_1024_characters_at_the_most(raw: RawBot) -> None:
    body = {"attachments": [{"id": 0, "filename": "a.png", "description": "x" * 1024}]}
    assert (await raw.request("POST", POST, body, files={"a.png": b"x"})).status == 200
    body["attachments"][0]["description"] += "x"
    assert (await raw.request("POST", POST, body, files={"a.png": b"x"})).code == 50035


async def test_eleven_files_are_refused(raw: RawBot) -> None:
    reply = await raw.request("POST", POST, {}, files={f"{n}.bin": b"x" for n in range(11)})
    assert (reply.status, reply.code) == (400, 30015)
