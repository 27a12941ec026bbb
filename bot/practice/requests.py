"""Reading a request of the bot: JSON, or multipart with `payload_json` and `files[n]`."""

import json
import re
from dataclasses import dataclass
from typing import Any

from aiohttp import BodyPartReader, MultipartReader, web

from bot.practice.errors import invalid_json
from bot.practice.values import Attachment, Json

_FILE = re.compile(r"files\[(\d+)\]")


@dataclass(frozen=True, slots=True)
class Body:
    """What a request carries: `value` is its JSON (None without a body), `uploads` its files by number."""

    value: Any
    uploads: dict[int, Attachment]

    @property
    def fields(self) -> Json:
        """The JSON as an object; an empty one if there is none. Raises the refusal (50109) if it is something else."""
        if self.value is None:
            return {}
        if not isinstance(self.value, dict):
            raise invalid_json()
        return self.value


async def read_body(request: web.Request) -> Body:
    """Read the body of a request. Raises the service's refusal (50109) if it is no JSON."""
    if not request.can_read_body:
        return Body(None, {})
    if request.content_type == "multipart/form-data":
        return await _read_multipart(await request.multipart())
    return Body(_parse(await request.read()), {})


async def _read_multipart(reader: MultipartReader) -> Body:
    value: object = None
    uploads: dict[int, Attachment] = {}
    while (part := await reader.next()) is not None:
        if not isinstance(part, BodyPartReader):
            raise invalid_json()
        numbered = _FILE.fullmatch(part.name or "")
        if part.name == "payload_json":
            value = _parse(await part.read(decode=True))
        elif numbered:
            content = bytes(await part.read(decode=True))
            kind = part.headers.get("Content-Type", "application/octet-stream")
            uploads[int(numbered[1])] = Attachment(part.filename or "file", content, kind)
    return Body(value, uploads)


def _parse(raw: bytes | bytearray) -> object:
    try:
        return json.loads(raw) if raw else None
    except ValueError:
        raise invalid_json() from None
