"""The stand-in for the chat service: one object, the bot on one side, people on the other."""

import asyncio
import time
from collections.abc import Callable, Mapping, Sequence

from bot.practice import payloads
from bot.practice.channels import Channels
from bot.practice.commands import Commands, Typed
from bot.practice.exchange import Exchange
from bot.practice.faults import Faults
from bot.practice.gateway import Gateway
from bot.practice.interactions import AUTOCOMPLETE, COMMAND, COMPONENT, FORM, Interaction, Interactions
from bot.practice.outcome import Outcome
from bot.practice.posting import Poster
from bot.practice.routes import PREFIX, Routes
from bot.practice.screens import Filled, form_data, press_data
from bot.practice.server import Server
from bot.practice.values import Attachment, Choice, FormShown, Json, Message, NotOffered, Person, Place, Room
from bot.practice.world import World

GUILD_MESSAGES, DIRECT_MESSAGES = 1 << 9, 1 << 12
PATIENCE = 10.0  # seconds of the machine's clock to wait for the completion of a deferred answer


class Service:
    """The chat service on 127.0.0.1, as the bot's client and as people see it.

    It lives in the caller's event loop. `clock` gives seconds since 1970 for the service's limits and may be moved by a
    test. `recorder` gets every HTTP request of the bot. `faults` makes things go wrong on demand; `gateway` tells of
    the bot's sessions (`identified`, `resumed`, `closes`).

    Places, rooms and people may be given as values or by id. Methods that act for a person raise NotOffered for what
    the chat's own screens would not let the person do.
    """

    def __init__(
        self,
        places: Sequence[Place],
        *,
        application_id: int = 1_000_000_000_000_000_001,
        token: str = "practice",  # noqa: S107 - the stand-in's token opens nothing but the stand-in
        clock: Callable[[], float] = time.time,
        recorder: Callable[[Exchange], None] | None = None,
        largest_file: int = 10 * 1024 * 1024,
    ) -> None:
        self.token = token
        self.application_id = application_id
        self._world = World(places, application_id, clock)
        self._poster = Poster(self._world, largest_file)
        self._commands = Commands(self._world, self._poster)
        self._interactions = Interactions(self._world, self._poster)
        self._channels = Channels(self._world, self._poster)
        self.gateway = Gateway(self._world, token, lambda: self.gateway_url)
        self.faults = Faults(lambda resumable: self.gateway.drop(resumable=resumable))
        routes = Routes(self._world, self._commands, self._interactions, self._channels, lambda: self.gateway_url)
        self._server = Server(
            routes=routes,
            gateway=self.gateway,
            faults=self.faults,
            files=self._poster.file,
            token=token,
            recorder=recorder,
        )

    async def start(self, port: int = 0) -> None:
        """Listen on a port of 127.0.0.1; 0 takes a free one."""
        await self._server.start(port)
        self._poster.files_url = f"http://127.0.0.1:{self._server.port}"

    async def stop(self) -> None:
        """Cut every connection and stop listening."""
        await self._server.stop()

    @property
    def base_url(self) -> str:
        """Where the HTTP API is."""
        return f"http://127.0.0.1:{self._server.port}{PREFIX}"

    @property
    def gateway_url(self) -> str:
        """Where the gateway is."""
        return f"ws://127.0.0.1:{self._server.port}/gateway"

    @property
    def nonce_window(self) -> float:
        """How long an enforced nonce is remembered, in seconds of the injected clock."""
        return self._channels.nonce_window

    @nonce_window.setter
    def nonce_window(self, seconds: float) -> None:
        self._channels.nonce_window = seconds

    @property
    def largest_file(self) -> int:
        """The most bytes of a file that may be sent, as interactions tell the bot."""
        return self._poster.largest_file

    @largest_file.setter
    def largest_file(self, size: int) -> None:
        self._poster.largest_file = size

    async def wait_ready(self, timeout: float = PATIENCE) -> None:  # noqa: ASYNC109 - callers think in seconds
        """Wait until a client is connected and has been told of all places. Raises TimeoutError."""
        await self.gateway.wait_ready(timeout)

    async def wait_gone(self, timeout: float = PATIENCE) -> None:  # noqa: ASYNC109 - callers think in seconds
        """Wait until no client is connected any more; then `gateway.closes` is complete. Raises TimeoutError."""
        await self.gateway.wait_gone(timeout)

    @property
    def commands(self) -> list[Json]:
        """The commands registered for everywhere, as the bot put them, with ids."""
        return self._commands.listed(None)

    def commands_in(self, place: Place | int) -> list[Json]:
        """The commands that people in a place are offered: those of everywhere and its own."""
        return self._commands.offered(_id(place))

    # What people do

    async def command(
        self,
        place: Place | int,
        room: Room | int,
        person: Person | int,
        name: str | tuple[str, ...],
        options: Mapping[str, Typed] | None = None,
        *,
        timeout: float = PATIENCE,  # noqa: ASYNC109 - callers think in seconds
    ) -> Outcome:
        """Send a slash command, `name` like "bin open".

        Returns when it is answered, or three seconds have passed without an answer; a deferred answer is waited for
        until it comes or `timeout` seconds have passed.
        """
        path = tuple(name.split()) if isinstance(name, str) else name
        who = self._world.person(_id(person))
        self._check_there(who, _id(place), _id(room))
        data = self._commands.data(_id(place), _id(room), person=who, path=path, options=options or {})
        interaction = self._interactions.open(COMMAND, who.id, _id(place), _id(room))
        return await self._carry_out(interaction, data, timeout)

    async def menu(
        self,
        message: Message | int,
        name: str,
        person: Person | int,
        *,
        timeout: float = PATIENCE,  # noqa: ASYNC109 - callers think in seconds
    ) -> Outcome:
        """Choose an entry of a message's menu, such as "File this photo". Returns as `command` does."""
        seen = self._world.message(_id(message))
        who = self._world.person(_id(person))
        place_id = self._world.place_of(seen.channel_id)
        self._check_there(who, place_id, seen.channel_id)
        if place_id is None or seen.viewer_id not in (None, who.id):
            raise NotOffered(f"{who.name} has no menu of this message")
        data = self._commands.menu_data(place_id, who, name, seen)
        interaction = self._interactions.open(COMMAND, who.id, place_id, seen.channel_id)
        return await self._carry_out(interaction, data, timeout)

    async def press(
        self,
        message: Message | int,
        custom_id: str,
        person: Person | int,
        *,
        values: Sequence[str] = (),
        timeout: float = PATIENCE,  # noqa: ASYNC109 - callers think in seconds
    ) -> Outcome:
        """Press a button, or choose `values` in a select.

        With a Message the person presses what stood in that value, even if the message has been edited since: their
        screen may be behind. With an id they press what stands there now. Returns as `command` does; an answer that
        only promises to change the message is a deferred one.
        """
        seen = message if isinstance(message, Message) else self._world.message(message)
        if not self._world.has_message(seen.id):
            raise NotOffered("the message is gone")
        who = self._world.person(_id(person))
        place_id = self._world.place_of(seen.channel_id)
        self._check_there(who, place_id, seen.channel_id)
        if seen.viewer_id not in (None, who.id):
            raise NotOffered(f"{who.name} does not see this message")
        data = press_data(seen, custom_id, values)
        interaction = self._interactions.open(COMPONENT, who.id, place_id, seen.channel_id, seen.id)
        return await self._carry_out(interaction, data, timeout)

    async def submit(
        self,
        form: FormShown,
        values: Mapping[str, Filled] | None = None,
        person: Person | int | None = None,
        *,
        timeout: float = PATIENCE,  # noqa: ASYNC109 - callers think in seconds
    ) -> Outcome:
        """Submit a form. Fields that `values` does not name keep what stood in them. Only its person can have it."""
        if person is not None and _id(person) != form.person_id:
            raise NotOffered("the form is on another person's screen")
        data = form_data(form, values or {})
        there = form.message_id is not None and self._world.has_message(form.message_id)
        interaction = self._interactions.open(
            FORM, form.person_id, form.place_id, form.channel_id, form.message_id if there else None
        )
        return await self._carry_out(interaction, data, timeout)

    async def complete(
        self,
        place: Place | int,
        room: Room | int,
        person: Person | int,
        name: str | tuple[str, ...],
        options: Mapping[str, Typed],
        focused: str,
    ) -> tuple[Choice, ...]:
        """What is offered while `focused` is typed; its text so far is among `options`, or empty.

        Raises:
            TimeoutError: no choices came within three seconds; the person reads that loading failed.
        """
        path = tuple(name.split()) if isinstance(name, str) else name
        who = self._world.person(_id(person))
        self._check_there(who, _id(place), _id(room))
        data = self._commands.data(_id(place), _id(room), person=who, path=path, options=options, focused=focused)
        interaction = self._interactions.open(AUTOCOMPLETE, who.id, _id(place), _id(room))
        outcome = await self._carry_out(interaction, data, PATIENCE)
        if outcome.failed:
            raise TimeoutError(f"no choices for {focused!r}; refused: {list(outcome.refusals)}")
        return outcome.choices

    async def say(self, room: Room | int, person: Person | int, text: str, files: Sequence[Attachment] = ()) -> Message:
        """Post an ordinary message of a person, with files. Raises the refusal (40005) of one that is too large."""
        message = Message(
            id=self._world.snowflakes.next(),
            channel_id=_id(room),
            author_id=_id(person),
            content=text,
            flags=0,
            components=[],
            embeds=[],
            attachments=tuple(self._poster.store(_id(room), file) for file in files),
            pinged=(),
            pings_everyone=False,
            allowed_mentions=None,
            created=self._world.clock(),
        )
        place_id = self._world.place_of(message.channel_id)
        self._world.add(message)
        data = payloads.message(self._world, message)
        if place_id is not None:
            data["guild_id"] = str(place_id)
        await self.gateway.dispatch(
            "MESSAGE_CREATE", data, intent=DIRECT_MESSAGES if place_id is None else GUILD_MESSAGES
        )
        return message

    async def redeliver(self, interaction: Outcome | int) -> None:
        """Dispatch an interaction again, as it was: the same id, the same token."""
        number = interaction.interaction_id if isinstance(interaction, Outcome) else interaction
        await self.gateway.dispatch("INTERACTION_CREATE", self._interactions.get(number).payload)

    # What stands in the chat

    def messages(self, room: Room | int, viewer: Person | int | None = None) -> list[Message]:
        """Messages of a room, oldest first: the public ones, with a `viewer` also those that only this person sees."""
        seen = (None,) if viewer is None else (None, _id(viewer))
        return [each for each in self._world.messages(_id(room)) if each.viewer_id in seen and not each.loading]

    def direct_messages(self, person: Person | int) -> list[Message]:
        """Messages between the bot and a person, oldest first."""
        return self.messages(self._world.dm_channel(_id(person)))

    def direct_room(self, person: Person | int) -> int:
        """The channel id of the direct messages between the bot and a person."""
        return self._world.dm_channel(_id(person))

    def message(self, message_id: int) -> Message:
        """A message as it stands now. Raises the service's refusal (10008) if it is gone."""
        return self._world.message(message_id)

    def remove_message(self, message: Message | int) -> None:
        """Delete a message, as a moderator does."""
        self._world.remove(_id(message))

    async def change_room(self, room: Room) -> None:
        """Change what the bot may do in a room; `room` has the id of the one it replaces."""
        self._world.change_room(room)
        await self.gateway.dispatch("CHANNEL_UPDATE", payloads.channel(self._world, room.id))

    async def remove_room(self, room: Room | int) -> None:
        """Delete a room and what was said in it."""
        data = payloads.channel(self._world, _id(room))
        self._world.remove_room(_id(room))
        await self.gateway.dispatch("CHANNEL_DELETE", data)

    def subscribe(self, listener: Callable[[Message], None]) -> Callable[[], None]:
        """Have `listener` called with every message that appears; returns what ends that."""
        self._world.listeners.append(listener)
        return lambda: self._world.listeners.remove(listener)

    async def wait_message(
        self,
        room: Room | int,
        wanted: Callable[[Message], bool] = lambda message: True,
        *,
        timeout: float = PATIENCE,  # noqa: ASYNC109 - callers think in seconds
    ) -> Message:
        """The first public message of a room that is `wanted`, there already or to come. Raises TimeoutError."""
        arrived = asyncio.Event()
        unsubscribe = self.subscribe(lambda message: arrived.set())
        try:
            async with asyncio.timeout(timeout):
                while True:
                    found = next((each for each in self.messages(room) if wanted(each)), None)
                    if found is not None:
                        return found
                    arrived.clear()
                    await arrived.wait()
        finally:
            unsubscribe()

    # How an interaction goes out

    def _check_there(self, person: Person, place_id: int | None, channel_id: int) -> None:
        """Refuse what a person cannot do where they are not."""
        if self._world.place_of(channel_id) != place_id:
            raise NotOffered("the room is in another place")
        if place_id is None:
            there = self._world.dm_person(channel_id) == person.id
        else:
            there = any(each.id == person.id for each in self._world.place(place_id).people)
        if not there:
            raise NotOffered(f"{person.name} is not there")

    async def _carry_out(self, interaction: Interaction, data: Json, patience: float) -> Outcome:
        interaction.payload = self._payload(interaction, data)
        outcome = Outcome(interaction, self._interactions, self._world)
        for _ in range(2 if self.faults.take_deliver_twice() else 1):
            await self.gateway.dispatch("INTERACTION_CREATE", interaction.payload)
        await outcome.until(lambda seen: seen.settled or seen.failed, patience)
        return outcome

    def _payload(self, interaction: Interaction, data: Json) -> Json:
        person = self._world.person(interaction.person_id)
        room = self._world.room(interaction.channel_id)
        payload: Json = {
            "id": str(interaction.id),
            "application_id": str(self.application_id),
            "type": interaction.kind,
            "token": interaction.token,
            "version": 1,
            "data": data,
            "channel_id": str(interaction.channel_id),
            "channel": payloads.channel(self._world, interaction.channel_id),
            "app_permissions": str(payloads.bot_permissions(room)),
            "locale": "en-GB",
            "entitlements": [],
            "attachment_size_limit": self._poster.largest_file,
        }
        if interaction.place_id is None:
            payload |= {"user": payloads.user(person), "context": 1}
            payload["authorizing_integration_owners"] = {"0": "0"}
        else:
            guild_id = str(interaction.place_id)
            payload |= {"guild_id": guild_id, "guild_locale": "en-GB", "member": payloads.member(person), "context": 0}
            payload["guild"] = {"id": guild_id, "locale": "en-GB", "features": []}
            payload["authorizing_integration_owners"] = {"0": guild_id}
        if interaction.source_id is not None:
            payload["message"] = payloads.message(self._world, self._world.message(interaction.source_id))
        return payload


def _id(thing: Place | Room | Person | Message | int) -> int:
    return thing if isinstance(thing, int) else thing.id


__all__ = [
    "Attachment",
    "Choice",
    "FormShown",
    "Message",
    "NotOffered",
    "Outcome",
    "Person",
    "Place",
    "Room",
    "Service",
]
