"""Posting and editing: a body and its files are checked whole, and become a message or a refusal."""

import mimetypes
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

from bot.practice import values as v
from bot.practice.errors import Problems, empty_message, too_large, too_many_files
from bot.practice.message_shapes import check_message
from bot.practice.values import EPHEMERAL, LAYOUT, LOADING, Attachment, Json, Message, walk
from bot.practice.world import World

_USER_MENTION = re.compile(r"<@!?(\d+)>")
_EVERYONE = re.compile(r"@(?:everyone|here)\b")
MOST_DESCRIPTION = 1024
_KEPT_FLAGS = (1 << 2) | (1 << 12)  # no embeds, no sound: the only others a bot may set


@dataclass(frozen=True, slots=True)
class Mentions:
    """Who a message notifies."""

    people: tuple[int, ...]
    everyone: bool


class Poster:
    """Makes messages of request bodies. `files_url` is where files are served, `largest_file` bytes may be sent."""

    def __init__(self, world: World, largest_file: int) -> None:
        self._world = world
        self.largest_file = largest_file
        self.files_url = ""
        self._files: dict[int, Attachment] = {}

    def file(self, attachment_id: int) -> Attachment | None:
        """A file that was sent or given to a command, or None."""
        return self._files.get(attachment_id)

    def post(
        self,
        channel_id: int,
        body: Json,
        uploads: Mapping[int, Attachment],
        *,
        viewer_id: int | None = None,
        interaction_id: int | None = None,
    ) -> Message:
        """Check a body and post it for the bot. Raises the service's refusal."""
        content = (body.get("content") or "") if isinstance(body.get("content"), str) else ""
        flags = _flags(body, viewer_id)
        embeds = body.get("embeds") or []
        check_message(body, layout=bool(flags & LAYOUT), has_content=bool(content), has_embeds=bool(embeds))
        attachments = self._attach(channel_id, body.get("attachments"), uploads, ())
        components = self._components(body.get("components") or [], attachments)
        if not (content.strip() or embeds or components or attachments):
            raise empty_message()
        mentions = self._mentions(content, components, body.get("allowed_mentions"), channel_id)
        nonce = body.get("nonce")
        message = Message(
            id=self._world.snowflakes.next(),
            channel_id=channel_id,
            author_id=self._world.application_id,
            content=content,
            flags=flags,
            components=components,
            embeds=embeds,
            attachments=attachments,
            pinged=mentions.people,
            pings_everyone=mentions.everyone,
            allowed_mentions=body.get("allowed_mentions"),
            created=self._world.clock(),
            nonce=None if nonce is None else str(nonce),
            viewer_id=viewer_id,
            interaction_id=interaction_id,
        )
        self._world.add(message)
        return message

    def post_loading(self, channel_id: int, *, viewer_id: int | None, interaction_id: int) -> Message:
        """Post what stands there while the bot is thinking."""
        message = Message(
            id=self._world.snowflakes.next(),
            channel_id=channel_id,
            author_id=self._world.application_id,
            content="",
            flags=LOADING | (EPHEMERAL if viewer_id is not None else 0),
            components=[],
            embeds=[],
            attachments=(),
            pinged=(),
            pings_everyone=False,
            allowed_mentions=None,
            created=self._world.clock(),
            viewer_id=viewer_id,
            interaction_id=interaction_id,
        )
        self._world.add(message)
        return message

    def edit(self, message: Message, body: Json, uploads: Mapping[int, Attachment]) -> Message:
        """Check an edit of the bot's message and make it. What the body does not name stays. Raises the refusal."""
        content = (body["content"] or "") if "content" in body else message.content
        embeds = (body["embeds"] or []) if "embeds" in body else message.embeds
        asked = body.get("flags") or 0
        flags = (message.flags & ~LOADING) | (asked & (LAYOUT | _KEPT_FLAGS) if isinstance(asked, int) else 0)
        check_message(body, layout=bool(flags & LAYOUT), has_content=bool(content), has_embeds=bool(embeds))
        kept = message.attachments
        attachments = self._attach(message.channel_id, body.get("attachments"), uploads, kept)
        raw = (body["components"] or []) if "components" in body else message.components
        components = self._components(raw, attachments)
        if not (content.strip() or embeds or components or attachments):
            raise empty_message()
        mentions = self._mentions(content, components, body.get("allowed_mentions"), message.channel_id)
        first = message.loading
        edited = replace(
            message,
            content=content,
            flags=flags,
            components=components,
            embeds=embeds,
            attachments=attachments,
            pinged=mentions.people if first else message.pinged,
            pings_everyone=mentions.everyone if first else message.pings_everyone,
            allowed_mentions=body.get("allowed_mentions", message.allowed_mentions),
            edited=None if first else self._world.clock(),
        )
        self._world.change(edited)
        return edited

    def store(self, channel_id: int, item: Attachment) -> Attachment:
        """Give a file an id and an address. Raises the refusal (40005) if it is too large."""
        if len(item.content) > self.largest_file:
            raise too_large()
        number = self._world.snowflakes.next()
        guessed = mimetypes.guess_type(item.filename)[0] or item.content_type
        url = f"{self.files_url}/attachments/{channel_id}/{number}/{item.filename}"
        self._files[number] = replace(item, id=number, url=url, content_type=guessed)
        return self._files[number]

    def _attach(
        self, channel_id: int, listed: object, uploads: Mapping[int, Attachment], kept: tuple[Attachment, ...]
    ) -> tuple[Attachment, ...]:
        """The files a message has: those listed of the old ones, or all if none is listed, and the uploads."""
        if listed is None:
            described: dict[int, Json] = {}
            remaining = list(kept)
        else:
            problems = Problems()
            entries = problems.amount(("attachments",), listed, 0, 10)
            described = {int(entry.get("id", -1)): entry for entry in entries}
            known = {item.id: item for item in kept}
            for index, entry in enumerate(entries):
                problems.text(("attachments", index, "description"), entry.get("description"), 0, MOST_DESCRIPTION)
            for index, number in enumerate(described):
                if number not in known and number not in uploads:
                    problems.add(("attachments", index, "id"), "ATTACHMENT_NOT_FOUND", "Attachment data not found")
            problems.refuse()
            remaining = [known[number] for number in described if number in known]
        for number, upload in uploads.items():
            entry = described.get(number, {})
            name = entry.get("filename") or upload.filename
            remaining.append(
                self.store(channel_id, replace(upload, filename=name, description=entry.get("description")))
            )
        if len(remaining) > 10:
            raise too_many_files()
        return tuple(remaining)

    def _components(self, raw: list[Json], attachments: tuple[Attachment, ...]) -> list[Json]:
        """Components with ids filled in and the files they name resolved. Raises the refusal if a file is missing."""
        components = [_copy(part) for part in raw]
        used = {part["id"] for part in walk(components) if part.get("id")}
        by_name = {item.filename: item for item in attachments}
        number = 0
        problems = Problems()
        for part in walk(components):
            if not part.get("id"):
                number += 1
                while number in used:
                    number += 1
                part["id"] = number
            for media in _media(part):
                _resolve(problems, media, by_name, must_be_file=part["type"] == v.FILE)
        problems.refuse()
        return components

    def _mentions(self, content: str, components: list[Json], allowed: object, channel_id: int) -> Mentions:
        """Whom the text notifies. Without `allowed_mentions` the service notifies everybody the text names."""
        shown = [str(part["content"]) for part in walk(components) if part["type"] == v.TEXT_DISPLAY]
        text = "\n".join([content, *shown])
        named = dict.fromkeys(int(found) for found in _USER_MENTION.findall(text))
        rules = allowed if isinstance(allowed, dict) else {"parse": ["users", "everyone"]}
        parse = rules.get("parse") or []
        listed = {int(number) for number in rules.get("users") or []}
        people = tuple(
            number for number in named if self._world.knows(number) and ("users" in parse or number in listed)
        )
        in_room = self._world.room(channel_id) is not None
        return Mentions(people, in_room and "everyone" in parse and bool(_EVERYONE.search(text)))


def _flags(body: Json, viewer_id: int | None) -> int:
    asked = body.get("flags") or 0
    flags = asked & (LAYOUT | _KEPT_FLAGS) if isinstance(asked, int) else 0
    return flags | (EPHEMERAL if viewer_id is not None else 0)


def _copy(part: Json) -> Json:
    return {
        key: _copy(value)
        if isinstance(value, dict)
        else [_copy(item) if isinstance(item, dict) else item for item in value]
        if isinstance(value, list)
        else value
        for key, value in part.items()
    }


def _media(part: Json) -> list[Json]:
    """The places of a component that name a file or a picture."""
    if part["type"] == v.GALLERY:
        return [item["media"] for item in part["items"]]
    if part["type"] == v.THUMBNAIL:
        return [part["media"]]
    return [part["file"]] if part["type"] == v.FILE else []


def _resolve(problems: Problems, media: Json, by_name: Mapping[str, Attachment], *, must_be_file: bool) -> None:
    url = media["url"]
    named = url.removeprefix("attachment://")
    item = by_name.get(named) or next((one for one in by_name.values() if one.url == url), None)
    if item is not None:
        media.update(url=item.url, proxy_url=item.url, content_type=item.content_type, attachment_id=str(item.id))
    elif named != url or must_be_file:
        problems.add(("components",), "UNFURLED_MEDIA_ITEM_REFERENCED_ATTACHMENT_NOT_FOUND", f"No file for {url}")
    else:
        media.setdefault("proxy_url", url)
