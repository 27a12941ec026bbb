"""Interactions: what a person asked for, what the bot answered, and which answers come too late or twice.

Rules after the service's public documentation, "Receiving and Responding": one first answer within 3 seconds, the token
good for 15 minutes, a form only as first answer and never to a form.
"""

import asyncio
import secrets
import time
from collections.abc import Mapping
from dataclasses import dataclass, field

from bot.practice import errors
from bot.practice.command_shapes import check_choices
from bot.practice.form_shapes import check_form, read_fields
from bot.practice.payloads import message as message_json
from bot.practice.posting import Poster
from bot.practice.values import EPHEMERAL, LOADING, Attachment, Choice, FormShown, Json, Message
from bot.practice.world import World

COMMAND, COMPONENT, AUTOCOMPLETE, FORM = 2, 3, 4, 5
MESSAGE, DEFERRED, DEFERRED_UPDATE, UPDATE, CHOICES, FORM_ANSWER = 4, 5, 6, 7, 8, 9
FIRST_ANSWER_SECONDS = 3.0
TOKEN_SECONDS = 15 * 60.0


@dataclass(slots=True)
class Interaction:
    """One interaction and all that became of it.

    `answer` is the type of the accepted first answer; `original_id` the message that `@original` means; `refusals` what
    the bot sent in vain. Times are seconds of the injected clock, `latency` of the machine's.
    """

    id: int
    token: str
    kind: int
    person_id: int
    place_id: int | None
    channel_id: int
    created: float
    source_id: int | None = None
    payload: Json = field(default_factory=dict)
    answer: int | None = None
    completed: bool = False
    original_id: int | None = None
    followup_ids: list[int] = field(default_factory=list)
    choices: tuple[Choice, ...] = ()
    form: FormShown | None = None
    refusals: list[errors.ApiError] = field(default_factory=list)
    latency: float | None = None
    started: float = field(default_factory=time.perf_counter)
    changed: asyncio.Event = field(default_factory=asyncio.Event)

    @property
    def deferred(self) -> bool:
        """Whether the first answer only promised one."""
        return self.answer in (DEFERRED, DEFERRED_UPDATE)

    @property
    def settled(self) -> bool:
        """Whether the person has got what they asked for: an answer, or the completion of a deferred one."""
        return self.answer is not None and (not self.deferred or self.completed)


class Interactions:
    """All interactions, and what the bot may still say to each."""

    def __init__(self, world: World, poster: Poster) -> None:
        self._world = world
        self._poster = poster
        self._by_id: dict[int, Interaction] = {}
        self._by_token: dict[str, Interaction] = {}

    def open(
        self, kind: int, person_id: int, place_id: int | None, channel_id: int, source_id: int | None = None
    ) -> Interaction:
        """A new interaction, not yet told to anybody."""
        interaction = Interaction(
            id=self._world.snowflakes.next(),
            token=secrets.token_urlsafe(48),
            kind=kind,
            person_id=person_id,
            place_id=place_id,
            channel_id=channel_id,
            created=self._world.clock(),
            source_id=source_id,
        )
        self._by_id[interaction.id] = interaction
        self._by_token[interaction.token] = interaction
        return interaction

    def get(self, interaction_id: int) -> Interaction:
        """The interaction with this id. Raises KeyError."""
        return self._by_id[interaction_id]

    def overdue(self, interaction: Interaction) -> bool:
        """Whether its three seconds are over."""
        return self._world.clock() - interaction.created > FIRST_ANSWER_SECONDS

    def answer(self, interaction_id: int, token: str, body: Json, uploads: Mapping[int, Attachment]) -> Json:
        """Take the first answer; returns the body of the response. Raises the service's refusal, and keeps it."""
        interaction = self._by_id.get(interaction_id)
        if interaction is None or not secrets.compare_digest(interaction.token, token):
            raise errors.unknown_interaction()
        try:
            return self._answer(interaction, body, uploads)
        except errors.ApiError as refusal:
            self._refused(interaction, refusal)
            raise

    def follow_up(self, token: str, body: Json, uploads: Mapping[int, Attachment]) -> Message:
        """Take a message after the first answer. The first one completes a deferred answer. Raises the refusal."""
        interaction = self._living(token)
        try:
            if interaction.answer is None:
                raise errors.unknown_webhook()
            if interaction.answer == DEFERRED and not interaction.completed and interaction.original_id is not None:
                return self._complete(interaction, self._world.message(interaction.original_id), body, uploads)
            flags = body.get("flags") or 0
            private = isinstance(flags, int) and bool(flags & EPHEMERAL)
            message = self._post(interaction, body, uploads, private=private)
        except errors.ApiError as refusal:
            self._refused(interaction, refusal)
            raise
        interaction.followup_ids.append(message.id)
        self._complete_mark(interaction)
        return message

    def shown(self, token: str, which: str) -> Message:
        """The message of an interaction that `@original` or an id names. Raises the refusal."""
        interaction = self._living(token)
        if interaction.answer is None:
            raise errors.unknown_webhook()
        number = interaction.original_id if which == "@original" else int(which) if which.isdigit() else None
        own = {interaction.original_id, *interaction.followup_ids}
        if number is None or number not in own:
            raise errors.unknown_message()
        return self._world.message(number)

    def edit(self, token: str, which: str, body: Json, uploads: Mapping[int, Attachment]) -> Message:
        """Edit such a message. Raises the refusal, and keeps it."""
        message = self.shown(token, which)
        interaction = self._living(token)
        try:
            return self._complete(interaction, message, body, uploads)
        except errors.ApiError as refusal:
            self._refused(interaction, refusal)
            raise

    def delete(self, token: str, which: str) -> Message:
        """Delete such a message. Raises the refusal."""
        message = self._world.remove(self.shown(token, which).id)
        self._complete_mark(self._living(token))
        return message

    def _living(self, token: str) -> Interaction:
        interaction = self._by_token.get(token)
        if interaction is None:
            raise errors.unknown_webhook()
        if self._world.clock() - interaction.created > TOKEN_SECONDS:
            raise errors.token_expired()
        return interaction

    def _answer(self, interaction: Interaction, body: Json, uploads: Mapping[int, Attachment]) -> Json:
        if interaction.answer is not None:
            raise errors.already_answered()
        if self.overdue(interaction):
            raise errors.unknown_interaction()
        kind = body.get("type")
        problems = errors.Problems()
        problems.kind(("type",), kind, _allowed(interaction))
        problems.refuse()
        data = body.get("data") or {}
        message = None
        if kind == FORM_ANSWER:
            check_form(data)
            interaction.form = _form(interaction, data)
        elif kind == CHOICES:
            interaction.choices = tuple(Choice(each["name"], each["value"]) for each in check_choices(data))
        else:
            message = self._answer_with_message(interaction, kind, data, uploads)
            interaction.original_id = message.id if message else None
        interaction.answer = kind
        interaction.latency = time.perf_counter() - interaction.started
        interaction.changed.set()
        return self._response(interaction, message)

    def _answer_with_message(
        self, interaction: Interaction, kind: object, data: Json, uploads: Mapping[int, Attachment]
    ) -> Message:
        flags = data.get("flags") or 0
        private = isinstance(flags, int) and bool(flags & EPHEMERAL)
        if kind == DEFERRED:
            return self._poster.post_loading(
                interaction.channel_id,
                viewer_id=interaction.person_id if private else None,
                interaction_id=interaction.id,
            )
        if kind == MESSAGE:
            return self._post(interaction, data, uploads, private=private)
        source = self._world.message(interaction.source_id or 0)
        return self._poster.edit(source, data, uploads) if kind == UPDATE else source

    def _post(
        self, interaction: Interaction, body: Json, uploads: Mapping[int, Attachment], *, private: bool
    ) -> Message:
        return self._poster.post(
            interaction.channel_id,
            body,
            uploads,
            viewer_id=interaction.person_id if private else None,
            interaction_id=interaction.id,
        )

    def _complete(
        self, interaction: Interaction, message: Message, body: Json, uploads: Mapping[int, Attachment]
    ) -> Message:
        edited = self._poster.edit(message, body, uploads)
        self._complete_mark(interaction)
        return edited

    def _complete_mark(self, interaction: Interaction) -> None:
        interaction.completed = True
        interaction.changed.set()

    def _refused(self, interaction: Interaction, refusal: errors.ApiError) -> None:
        interaction.refusals.append(refusal)
        interaction.changed.set()

    def _response(self, interaction: Interaction, message: Message | None) -> Json:
        about: Json = {"id": str(interaction.id), "type": interaction.kind}
        body: Json = {"interaction": about}
        if message is not None:
            about["response_message_id"] = str(message.id)
            about["response_message_loading"] = bool(message.flags & LOADING)
            about["response_message_ephemeral"] = message.ephemeral
            body["resource"] = {"type": interaction.answer, "message": message_json(self._world, message)}
        return body


def _allowed(interaction: Interaction) -> frozenset[int]:
    """The types of first answer that fit an interaction: no form to a form, only choices to an autocomplete."""
    if interaction.kind == AUTOCOMPLETE:
        return frozenset({CHOICES})
    allowed = {MESSAGE, DEFERRED}
    if interaction.source_id is not None:
        allowed |= {DEFERRED_UPDATE, UPDATE}
    if interaction.kind != FORM:
        allowed.add(FORM_ANSWER)
    return frozenset(allowed)


def _form(interaction: Interaction, data: Json) -> FormShown:
    return FormShown(
        custom_id=data["custom_id"],
        title=data["title"],
        fields=read_fields(data["components"]),
        components=data["components"],
        person_id=interaction.person_id,
        place_id=interaction.place_id,
        channel_id=interaction.channel_id,
        message_id=interaction.source_id,
        interaction_id=interaction.id,
    )
