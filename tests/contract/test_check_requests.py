"""The check of recorded requests finds what is planted, with a small description of its own."""

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from bot.practice.service import Service
from bot.practice.values import Person, Place, Room
from tests.support.wire import Recording, online

SCRIPT = Path(__file__).with_name("check_requests.py")
DESCRIPTION = {
    "openapi": "3.1.0",
    "paths": {
        "/users/@me": {"get": {"operationId": "get_me"}},
        "/users/{user_id}": {"get": {"operationId": "get_user"}},
        "/channels/{channel_id}/messages": {
            "post": {
                "operationId": "create_message",
                "requestBody": {
                    "required": True,
                    "content": {"application/json": {"schema": {"$ref": "#/components/schemas/Message"}}},
                },
            }
        },
        "/interactions/{interaction_id}/{interaction_token}/callback": {
            "post": {
                "operationId": "answer",
                "requestBody": {
                    "required": True,
                    "content": {
                        "application/json": {
                            "schema": {
                                "anyOf": [
                                    {"properties": {"type": {"enum": [5]}}, "required": ["type"]},
                                    {
                                        "properties": {
                                            "type": {"enum": [4]},
                                            "data": {"$ref": "#/components/schemas/Message"},
                                        },
                                        "required": ["type", "data"],
                                    },
                                ]
                            }
                        }
                    },
                },
            }
        },
    },
    "components": {
        "schemas": {
            "SnowflakeType": {"type": "string", "pattern": "^[0-9]+$"},
            "Message": {
                "type": "object",
                "properties": {
                    "content": {"type": ["string", "null"], "maxLength": 4000},
                    "users": {"type": "array", "items": {"$ref": "#/components/schemas/SnowflakeType"}},
                    "components": {"type": "array", "items": {"$ref": "#/components/schemas/Button"}},
                },
            },
            "Button": {"type": "object", "properties": {"custom_id": {"type": "string", "maxLength": 100}}},
        }
    },
}


def exchange(method: str, path: str, body: Any = None) -> dict[str, Any]:
    return {"method": method, "path": path, "body": body}


POST = "/channels/5/messages"
ANSWER = "/interactions/5/t-o_k/callback"
FINE = [
    exchange("GET", "/users/@me"),
    exchange("GET", "/users/5"),
    exchange("POST", POST, {"content": "x" * 2000, "users": ["5", 6], "components": [{"custom_id": "i" * 100}]}),
    exchange("POST", ANSWER, {"type": 4, "data": {"content": "x"}}),
    exchange("POST", ANSWER, {"type": 5}),
]


def run(folder: Path, exchanges: list[dict[str, Any]]) -> tuple[int, str]:
    recorded, description = folder / "recorded.jsonl", folder / "description.json"
    recorded.write_text("".join(json.dumps(each) + "\n" for each in exchanges))
    description.write_text(json.dumps(DESCRIPTION))
    done = subprocess.run([sys.executable, SCRIPT, recorded, description], capture_output=True, text=True, check=False)
    return done.returncode, done.stdout + done.stderr


def test_fine_requests_are_counted_by_operation(tmp_path: Path) -> None:
    code, said = run(tmp_path, FINE)
    assert code == 0, said
    for line in ("      2 answer", "      1 get_me", "      1 get_user", "      1 create_message"):
        assert line in said
    assert "5 requests checked, 0 mismatches" in said


def test_a_request_that_repeats_another_is_counted_and_reported_by_itself(tmp_path: Path) -> None:
    wrong = exchange("POST", POST, {"content": 5})
    code, said = run(tmp_path, [wrong, *FINE, wrong])
    assert code == 1
    assert "7 requests checked, 2 mismatches" in said
    assert "line 1: " in said
    assert "line 7: " in said


@pytest.mark.parametrize(
    ("planted", "said"),
    [
        (exchange("POST", POST, {"components": [{"custom_id": "i" * 101}]}), "components/0/custom_id"),
        (exchange("POST", POST, {"content": 5}), "content: 5 is not of type"),
        (exchange("POST", POST, {"content": "x" * 2001}), "content of 2001 characters"),
        (exchange("POST", POST, {"embeds": [{"title": "x" * 6001}]}), "embeds of 6001 characters"),
        (exchange("POST", POST, {"users": ["no id"]}), "users/0"),
        (exchange("POST", ANSWER, {"type": 4, "data": {"content": "x" * 2001}}), "content of 2001 characters"),
        (exchange("POST", ANSWER, {"type": 9}), "type: 9 is not one of"),
        (exchange("POST", POST), "no body"),
        (exchange("GET", "/users/@me", {"a": 1}), "a body where none is described"),
        (exchange("DELETE", POST), "no such operation"),
        (exchange("GET", "/guilds/5"), "no such operation"),
    ],
)
def test_a_planted_violation_fails_the_check(tmp_path: Path, planted: dict[str, Any], said: str) -> None:
    code, output = run(tmp_path, [*FINE, planted])
    assert code == 1
    assert "line 6" in output
    assert said in output


def test_an_empty_recording_fails_the_check(tmp_path: Path) -> None:
    code, output = run(tmp_path, [])
    assert code == 1
    assert "no requests" in output


async def test_the_recording_of_a_stand_in_is_what_the_check_reads(tmp_path: Path) -> None:
    recording = Recording(tmp_path / "deeper" / "made.jsonl")
    service = Service([Place(1, "p", [Room(5, "r")], [Person(2, "a")])], recorder=recording)
    await service.start()
    async with online(service) as bot:
        await bot.request("GET", "/users/@me")
        await bot.request("POST", POST, {"content": "x"}, files={"a.png": b"x"})
        await bot.request("POST", POST, {"content": 5})
    await service.stop()
    recording.close()
    lines = (tmp_path / "deeper" / "made.jsonl").read_text().splitlines()
    code, output = run(tmp_path, [json.loads(line) for line in lines])
    assert code == 1
    assert "3 requests checked, 1 mismatches" in output
    assert "line 3: POST /channels/5/messages: content" in output
