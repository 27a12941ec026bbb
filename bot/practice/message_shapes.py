"""What the chat service refuses in the body of a message.

Limits after its public documentation: content of 2,000 characters, 10 embeds whose texts sum to at most 6,000, a layout
whole or not at all, a nonce of 25 characters.
"""

from bot.practice.component_shapes import check_components
from bot.practice.errors import Problems
from bot.practice.values import Json

MOST_CONTENT = 2000
MOST_EMBED_CHARACTERS = 6000
_EMBED_TEXTS = (("title", 256), ("description", 4096))


def check_message(body: Json, *, layout: bool, has_content: bool, has_embeds: bool) -> None:
    """Refuse (50035) a message body that the service would refuse.

    `layout` says whether the message carries the layout flag after this request; `has_content` and `has_embeds` whether
    it then has those, which a layout must not.
    """
    problems = Problems()
    problems.text(("content",), body.get("content"), 0, MOST_CONTENT)
    _check_embeds(problems, body.get("embeds"))
    check_components(problems, body.get("components"), layout=layout)
    _check_mentions(problems, body.get("allowed_mentions"))
    _check_nonce(problems, body.get("nonce"))
    if layout:
        for key, present in (("content", has_content), ("embeds", has_embeds)):
            if present:
                problems.add(
                    (key,),
                    "MESSAGE_CANNOT_USE_LEGACY_FIELDS_WITH_COMPONENTS_V2",
                    f"The '{key}' field cannot be used when using MessageFlags.IS_COMPONENTS_V2",
                )
    problems.refuse()


def _check_embeds(problems: Problems, embeds: object) -> None:
    total = 0
    for index, embed in enumerate(problems.amount(("embeds",), embeds, 0, 10)):
        for key, most in _EMBED_TEXTS:
            problems.text(("embeds", index, key), embed.get(key), 0, most)
            total += len(embed.get(key) or "")
        for key, name, most in (("footer", "text", 2048), ("author", "name", 256)):
            inner = embed.get(key) or {}
            problems.text(("embeds", index, key, name), inner.get(name), 0, most)
            total += len(inner.get(name) or "")
        for place, field in enumerate(problems.amount(("embeds", index, "fields"), embed.get("fields"), 0, 25)):
            problems.text(("embeds", index, "fields", place, "name"), field.get("name"), 1, 256)
            problems.text(("embeds", index, "fields", place, "value"), field.get("value"), 1, 1024)
            total += len(field.get("name") or "") + len(field.get("value") or "")
    if total > MOST_EMBED_CHARACTERS:
        problems.add(
            ("embeds",), "MAX_EMBED_SIZE_EXCEEDED", f"Embed size exceeds maximum size of {MOST_EMBED_CHARACTERS}"
        )


def _check_mentions(problems: Problems, allowed: object) -> None:
    """A kind of mention is allowed by its name or by listing ids, not both."""
    if allowed is None:
        return
    if not isinstance(allowed, dict):
        problems.add(("allowed_mentions",), "MODEL_TYPE_CONVERT", "Only dictionaries may be used in a ModelType")
        return
    parse = allowed.get("parse") or []
    for kind in ("users", "roles"):
        listed = allowed.get(kind) or []
        if kind in parse and listed:
            problems.add(
                ("allowed_mentions",),
                "MESSAGE_ALLOWED_MENTIONS_PARSE_EXCLUSIVE",
                f'parse:["{kind}"] and {kind}: [ids...] are mutually exclusive.',
            )
        if len(listed) > 100:
            problems.add(("allowed_mentions", kind), "BASE_TYPE_MAX_LENGTH", "Must be 100 or fewer in length.")


def _check_nonce(problems: Problems, nonce: object) -> None:
    if nonce is not None and len(str(nonce)) > 25:
        problems.add(("nonce",), "NONCE_TYPE_TOO_LONG", "Must be 25 or fewer in length.")
