"""The commands that the bot has registered, and a person's typed command turned into an interaction's data."""

from collections.abc import Mapping

from bot.practice import command_shapes as shapes
from bot.practice.payloads import attachment as attachment_json
from bot.practice.payloads import message as message_json
from bot.practice.payloads import permissions
from bot.practice.picking import PICKED, picked
from bot.practice.posting import Poster
from bot.practice.values import Attachment, Json, Message, NotOffered, Person, Picked
from bot.practice.world import World

Typed = str | int | float | bool | Picked | Attachment


class Commands:
    """Registered commands, for everywhere and for single places."""

    def __init__(self, world: World, poster: Poster) -> None:
        self._world = world
        self._poster = poster
        self._by_place: dict[int | None, list[Json]] = {}

    def listed(self, place_id: int | None) -> list[Json]:
        """The commands registered for a place, or with None those for everywhere."""
        return self._by_place.get(place_id, [])

    def offered(self, place_id: int) -> list[Json]:
        """What a person in the place is offered: those of everywhere and of the place."""
        return [*self.listed(None), *self.listed(place_id)]

    def put(self, place_id: int | None, payload: object) -> list[Json]:
        """Register a whole set in the place of the old one. Raises the service's refusal."""
        if place_id is not None:
            self._world.place(place_id)
        checked = shapes.check_commands(payload)
        known = {(each["name"], each["type"]): each["id"] for each in self.listed(place_id)}
        version = str(self._world.snowflakes.next())
        commands = []
        for command in checked:
            kind = command.get("type") or shapes.SLASH
            number = known.get((command["name"], kind)) or str(self._world.snowflakes.next())
            made = {"description": "", "options": [], "default_member_permissions": None, **command}
            made |= {"id": number, "type": kind, "application_id": str(self._world.application_id), "version": version}
            allowed = made["default_member_permissions"]
            made["default_member_permissions"] = None if allowed is None else str(allowed)
            if place_id is not None:
                made["guild_id"] = str(place_id)
            commands.append(made)
        self._by_place[place_id] = commands
        return commands

    def data(
        self,
        place_id: int,
        channel_id: int,
        *,
        person: Person,
        path: tuple[str, ...],
        options: Mapping[str, Typed],
        focused: str | None = None,
    ) -> Json:
        """The data of a command's interaction, or with `focused` of an autocomplete's for that option.

        Raises:
            NotOffered: there is no such command for this person, or the chat would not let these options be sent.
        """
        found = shapes.find(self.offered(place_id), path)
        if found is None:
            raise NotOffered(f"no command /{' '.join(path)}")
        command, part = found
        _check_allowed(command, person, f"/{' '.join(path)}")
        resolved: Json = {}
        sent = self._options(place_id, channel_id, part, options, focused, resolved)
        for name, kind in zip(reversed(path[1:]), (shapes.SUBCOMMAND, shapes.GROUP), strict=False):
            sent = [{"name": name, "type": kind, "options": sent}]
        data: Json = {"id": command["id"], "name": command["name"], "type": shapes.SLASH, "options": sent}
        if "guild_id" in command:
            data["guild_id"] = command["guild_id"]
        if resolved:
            data["resolved"] = resolved
        return data

    def menu_data(self, place_id: int, person: Person, name: str, message: Message) -> Json:
        """The data of an interaction from the menu of a message.

        Raises:
            NotOffered: the menu has no such entry for this person.
        """
        found = [each for each in self.offered(place_id) if each["type"] == shapes.MESSAGE_MENU]
        command = next((each for each in found if each["name"] == name), None)
        if command is None:
            raise NotOffered(f"the menu of a message has no {name!r}; it has {[each['name'] for each in found]}")
        _check_allowed(command, person, name)
        return {
            "id": command["id"],
            "name": name,
            "type": shapes.MESSAGE_MENU,
            "target_id": str(message.id),
            "resolved": {"messages": {str(message.id): message_json(self._world, message)}},
        }

    def _options(
        self,
        place_id: int,
        channel_id: int,
        part: Json,
        options: Mapping[str, Typed],
        focused: str | None,
        resolved: Json,
    ) -> list[Json]:
        known = {option["name"]: option for option in part.get("options") or []}
        unknown = [name for name in [*options, *([focused] if focused else [])] if name not in known]
        if unknown:
            raise NotOffered(f"no option {unknown[0]!r}; there are {list(known)}")
        missing = [name for name, option in known.items() if option.get("required") and name not in options]
        if missing and focused is None:
            raise NotOffered(f"the option {missing[0]!r} is required")
        if focused is not None and not known[focused].get("autocomplete"):
            raise NotOffered(f"the option {focused!r} has no autocomplete")
        sent = []
        for name, value in options.items():
            entry: Json = {"name": name, "type": known[name]["type"]}
            if name == focused:
                entry |= {"value": str(value), "focused": True}
            elif isinstance(value, Attachment):
                stored = self._poster.store(channel_id, value)
                resolved.setdefault("attachments", {})[str(stored.id)] = attachment_json(stored)
                entry["value"] = str(stored.id)
            elif known[name]["type"] in PICKED:
                entry["value"] = picked(self._world, place_id, known[name], value, resolved)
            else:
                entry["value"] = _checked(known[name], value)
            sent.append(entry)
        if focused is not None and focused not in options:
            sent.append({"name": focused, "type": known[focused]["type"], "value": "", "focused": True})
        return sent


def _check_allowed(command: Json, person: Person, named: str) -> None:
    needed = command["default_member_permissions"]
    if needed is not None and permissions(person) & int(needed) != int(needed):
        raise NotOffered(f"{named} is not offered to {person.name}")


def _checked(option: Json, value: Typed) -> str | int | float | bool:
    """The value, if the chat's own screen would send it."""
    name, kind = option["name"], option["type"]
    fits = {
        shapes.STRING: isinstance(value, str),
        shapes.INTEGER: isinstance(value, int) and not isinstance(value, bool),
        shapes.BOOLEAN: isinstance(value, bool),
        shapes.NUMBER: isinstance(value, int | float) and not isinstance(value, bool),
    }
    if isinstance(value, Attachment | Picked) or not fits.get(kind, False):
        raise NotOffered(f"the option {name!r} does not take {value!r}")
    choices = [choice["value"] for choice in option.get("choices") or []]
    if choices and value not in choices:
        raise NotOffered(f"the option {name!r} offers {choices}, not {value!r}")
    size, least, most = (
        (len(value), option.get("min_length"), option.get("max_length") or 6000)
        if isinstance(value, str)
        else (value, option.get("min_value"), option.get("max_value"))
    )
    if (least is not None and size < least) or (most is not None and size > most):
        raise NotOffered(f"the option {name!r} takes {least} to {most}, not {size}")
    return value
