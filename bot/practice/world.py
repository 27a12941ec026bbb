"""What there is in the stand-in: places, rooms, people, direct messages, and every message that was posted."""

from collections.abc import Callable, Sequence
from dataclasses import replace

from bot.practice.errors import missing_access, unknown_channel, unknown_guild, unknown_message, unknown_user
from bot.practice.values import Message, Person, Place, Room

EPOCH_MILLISECONDS = 1_420_070_400_000


class Snowflakes:
    """Unique, growing ids: milliseconds since 2015 shifted by 22 bits, and a counter below."""

    def __init__(self, clock: Callable[[], float]) -> None:
        self._clock = clock
        self._last = 0

    def next(self) -> int:
        """The next id. It grows even if the clock stands still or is put back."""
        self._last = max(self._last + 1, (int(self._clock() * 1000) - EPOCH_MILLISECONDS) << 22)
        return self._last


class World:
    """The state of the stand-in, changed only through its methods.

    `clock` gives seconds since 1970 and may be moved by a test. `listeners` are called with every message that appears.
    """

    def __init__(self, places: Sequence[Place], application_id: int, clock: Callable[[], float]) -> None:
        self.application_id = application_id
        self.clock = clock
        self.snowflakes = Snowflakes(clock)
        self.places = {place.id: place for place in places}
        self.listeners: list[Callable[[Message], None]] = []
        self._rooms = {room.id: (place.id, room) for place in places for room in place.rooms}
        self._people = {person.id: person for place in places for person in place.people}
        self._dm_by_person: dict[int, int] = {}
        self._person_by_dm: dict[int, int] = {}
        self._messages: dict[int, Message] = {}
        self._by_channel: dict[int, list[int]] = {}

    def place(self, place_id: int) -> Place:
        """The place, with its rooms as they are now. Raises the service's refusal (10004) if there is none."""
        place = self.places.get(place_id)
        if place is None:
            raise unknown_guild()
        return replace(place, rooms=tuple(room for where, room in self._rooms.values() if where == place_id))

    def person(self, person_id: int) -> Person:
        """The person. Raises the service's refusal (10013) if there is none."""
        if person_id not in self._people:
            raise unknown_user()
        return self._people[person_id]

    def knows(self, person_id: int) -> bool:
        """Whether there is such a person."""
        return person_id in self._people

    def room(self, channel_id: int) -> Room | None:
        """The room with this id, or None if it is a direct-message channel. Raises 10003 if it is neither."""
        if channel_id in self._person_by_dm:
            return None
        if channel_id not in self._rooms:
            raise unknown_channel()
        return self._rooms[channel_id][1]

    def place_of(self, channel_id: int) -> int | None:
        """The id of the place the channel is in; None for direct messages. Raises 10003 if there is no such channel."""
        return None if self.room(channel_id) is None else self._rooms[channel_id][0]

    def seen_by_bot(self, channel_id: int) -> Room | None:
        """As `room`; raises the refusal (50001) if the bot cannot see it."""
        room = self.room(channel_id)
        if room is not None and not room.visible:
            raise missing_access()
        return room

    def change_room(self, room: Room) -> int:
        """Put a room with the same id in the place of the old one. Returns the id of its place."""
        place_id = self._rooms[room.id][0]
        self._rooms[room.id] = (place_id, room)
        return place_id

    def remove_room(self, channel_id: int) -> tuple[int, Room]:
        """Take a room away with all that was said in it. Returns the id of its place and the room."""
        for message_id in self._by_channel.pop(channel_id, []):
            del self._messages[message_id]
        return self._rooms.pop(channel_id)

    def dm_channel(self, person_id: int) -> int:
        """The channel of direct messages between the bot and a person, opened when first asked for."""
        self.person(person_id)
        if person_id not in self._dm_by_person:
            channel_id = self.snowflakes.next()
            self._dm_by_person[person_id] = channel_id
            self._person_by_dm[channel_id] = person_id
        return self._dm_by_person[person_id]

    def dm_person(self, channel_id: int) -> int:
        """The person at the other end of a direct-message channel."""
        return self._person_by_dm[channel_id]

    def message(self, message_id: int, channel_id: int | None = None) -> Message:
        """The message as it is now. Raises the service's refusal (10008) if it is not there, or not in that channel."""
        message = self._messages.get(message_id)
        if message is None or channel_id not in (None, message.channel_id):
            raise unknown_message()
        return message

    def has_message(self, message_id: int) -> bool:
        """Whether the message is there."""
        return message_id in self._messages

    def messages(self, channel_id: int) -> list[Message]:
        """All messages of a channel, oldest first, the ephemeral and the loading ones too."""
        return [self._messages[message_id] for message_id in self._by_channel.get(channel_id, [])]

    def add(self, message: Message) -> None:
        """Post a message."""
        self._messages[message.id] = message
        self._by_channel.setdefault(message.channel_id, []).append(message.id)
        self._tell(message)

    def change(self, message: Message) -> None:
        """Put an edited message in the place of the old one."""
        appears = self._messages[message.id].loading
        self._messages[message.id] = message
        if appears:
            self._tell(message)

    def remove(self, message_id: int) -> Message:
        """Delete a message. Raises the service's refusal (10008) if it is not there."""
        message = self.message(message_id)
        del self._messages[message_id]
        self._by_channel[message.channel_id].remove(message_id)
        return message

    def _tell(self, message: Message) -> None:
        if not message.loading:
            for listener in tuple(self.listeners):
                listener(message)
