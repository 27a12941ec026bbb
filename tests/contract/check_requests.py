"""Checks every request that the bot sent during the tests against the chat service's own published description.

    python tests/contract/check_requests.py RECORDED.jsonl OPENAPI.json

Prints how many requests each operation had, then every mismatch. Exits 1 on a mismatch, on an operation that the description
does not know, and on a recording without requests. The recording is made by `tests.support.wire.Recording`.
"""

import argparse
import json
import sys
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Any

from jsonschema import Draft202012Validator
from referencing import Registry
from referencing.jsonschema import DRAFT202012

Json = dict[str, Any]
ROOT = "urn:description"
MOST_CONTENT = 2000
MOST_EMBED_CHARACTERS = 6000


@dataclass(frozen=True)
class Operation:
    """An operation of the description: its name, method, path template, and where the schema of its body stands."""

    name: str
    method: str
    segments: tuple[str, ...]
    body: str | None
    body_required: bool

    def fits(self, method: str, path: str) -> bool:
        """Whether a request is one of this operation."""
        parts = tuple(path.strip("/").split("/"))
        return (
            method == self.method
            and len(parts) == len(self.segments)
            and all(want == got or want.startswith("{") for want, got in zip(self.segments, parts, strict=True))
        )

    @property
    def literal(self) -> int:
        """How many segments are no parameters: `/users/@me` is meant before `/users/{user_id}`."""
        return sum(not segment.startswith("{") for segment in self.segments)


class Description:
    """The published description, as far as requests go."""

    def __init__(self, document: Json) -> None:
        schemas = document.get("components", {}).get("schemas", {})
        if "SnowflakeType" in schemas:
            # The library sends the ids of mentioned people and of files as numbers; the service takes both, the file one.
            schemas["SnowflakeType"] = {"anyOf": [schemas["SnowflakeType"], {"type": "integer", "minimum": 0}]}
        resource = DRAFT202012.create_resource(document)
        self._registry: Registry[Any] = Registry().with_resource(ROOT, resource)
        self._operations = sorted(_operations(document), key=lambda each: -each.literal)
        self._validators: dict[str, Draft202012Validator] = {}

    def operation(self, method: str, path: str) -> Operation | None:
        """The operation a request is one of, or None if the description knows none."""
        return next((each for each in self._operations if each.fits(method, path)), None)

    def problems(self, operation: Operation, body: Any) -> Iterator[str]:
        """What is wrong with the body of a request of this operation."""
        if body is None:
            if operation.body_required:
                yield "no body"
            return
        if operation.body is None:
            yield "a body where none is described"
            return
        for error in self._validator(operation.body).iter_errors(body):
            yield _deepest(error)
        yield from _undescribed_limits(body)

    def _validator(self, pointer: str) -> Draft202012Validator:
        if pointer not in self._validators:
            self._validators[pointer] = Draft202012Validator({"$ref": ROOT + pointer}, registry=self._registry)
        return self._validators[pointer]


def _operations(document: Json) -> Iterator[Operation]:
    for path, item in document["paths"].items():
        for method, operation in item.items():
            if method not in {"get", "put", "post", "delete", "patch"}:
                continue
            request = operation.get("requestBody") or {}
            kinds = request.get("content") or {}
            kind = next((each for each in ("application/json", "multipart/form-data") if each in kinds), None)
            escaped = path.replace("~", "~0").replace("/", "~1")
            where = f"#/paths/{escaped}/{method}/requestBody/content/{(kind or '').replace('/', '~1')}/schema"
            yield Operation(
                name=operation.get("operationId", f"{method} {path}"),
                method=method.upper(),
                segments=tuple(path.strip("/").split("/")),
                body=where if kind else None,
                body_required=bool(request.get("required")),
            )


def _deepest(error: Any) -> str:
    """The error, and of its alternatives the one that came farthest into the body."""
    deepest = error
    while deepest.context:
        deepest = max(deepest.context, key=lambda each: (len(each.absolute_path), len(each.context or [])))
    where = "/".join(str(step) for step in deepest.absolute_path) or "body"
    return f"{where}: {deepest.message[:300]}"


def _undescribed_limits(body: Any) -> Iterator[str]:
    """The two limits that the description misses: content of 2,000 characters, embeds of 6,000 in sum."""
    for message in (body, body.get("data")) if isinstance(body, dict) else ():
        if not isinstance(message, dict):
            continue
        characters = _length(message.get("content"))
        if characters > MOST_CONTENT:
            yield f"content of {characters} characters, over {MOST_CONTENT}"
        total = sum(_embed_characters(embed) for embed in message.get("embeds") or [])
        if total > MOST_EMBED_CHARACTERS:
            yield f"embeds of {total} characters in sum, over {MOST_EMBED_CHARACTERS}"


def _embed_characters(embed: Json) -> int:
    texts = [embed.get("title"), embed.get("description")]
    texts += [(embed.get("footer") or {}).get("text"), (embed.get("author") or {}).get("name")]
    for field in embed.get("fields") or []:
        texts += [field.get("name"), field.get("value")]
    return sum(_length(text) for text in texts)


def _length(text: object) -> int:
    """The length of a text; what is none is for the schema to find."""
    return len(text) if isinstance(text, str) else 0


def check(recorded: Path, description: Path) -> tuple[Counter[str], list[str]]:
    """How many requests each operation had, and every mismatch."""
    described = Description(json.loads(description.read_text(encoding="utf-8")))
    counts: Counter[str] = Counter()
    mismatches: list[str] = []
    # Most requests repeat one that was sent before, above all the list of commands; like ones are judged once.
    judged: dict[tuple[str, bytes], list[str]] = {}
    with recorded.open(encoding="utf-8") as lines:
        for number, line in enumerate(lines, start=1):
            exchange = json.loads(line)
            asked = f"line {number}: {exchange['method']} {exchange['path']}"
            operation = described.operation(exchange["method"], exchange["path"])
            if operation is None:
                mismatches.append(f"{asked}: no such operation")
                continue
            counts[operation.name] += 1
            body = exchange["body"]
            key = (operation.name, sha256(json.dumps(body, sort_keys=True).encode()).digest())
            if key not in judged:
                judged[key] = list(described.problems(operation, body))
            mismatches += [f"{asked}: {problem}" for problem in judged[key]]
    if not counts and not mismatches:
        mismatches.append(f"{recorded}: no requests")
    return counts, mismatches


def main(arguments: Sequence[str]) -> int:
    """Check a recording; returns the exit code."""
    parser = argparse.ArgumentParser(description="Check the bot's recorded requests against the published description.")
    parser.add_argument("recorded", type=Path)
    parser.add_argument("description", type=Path)
    options = parser.parse_args(arguments)
    counts, mismatches = check(options.recorded, options.description)
    lines = [f"{count:7} {name}" for name, count in sorted(counts.items())]
    lines += [f"{sum(counts.values()):7} requests checked, {len(mismatches)} mismatches", *mismatches]
    sys.stdout.write("\n".join(lines) + "\n")
    return 1 if mismatches else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
