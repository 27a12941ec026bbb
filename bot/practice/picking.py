"""People and rooms given to a command's option: named on a typed line, sent to the bot as the chat's own picker would."""

from bot.practice import command_shapes as shapes
from bot.practice.payloads import EVERYONE, channel, member, user
from bot.practice.values import Json, NotOffered, Picked
from bot.practice.world import World

PICKED = frozenset({shapes.USER, shapes.CHANNEL})
"""The kinds of option that are picked from a list."""


def picked(world: World, place_id: int, option: Json, value: object, resolved: Json) -> str:
    """The id of the person or room of a place that is meant; `resolved` is told about them, as the bot will be.

    Raises:
        NotOffered: nobody and nothing there is called so.
    """
    place = world.place(place_id)
    name = value.name if isinstance(value, Picked) else ""
    if option["type"] == shapes.USER:
        for person in place.people:
            if person.name.casefold() == name.casefold():
                resolved.setdefault("users", {})[str(person.id)] = user(person)
                seen = member(person)
                resolved.setdefault("members", {})[str(person.id)] = {k: seen[k] for k in seen if k != "user"}
                return str(person.id)
        known = ", ".join(f"@{person.name}" for person in place.people)
    else:
        for room in place.rooms:
            if room.name.casefold() == name.casefold():
                whole = channel(world, room.id)
                # The permissions here are those of the person who picks, not the bot's; nobody else is denied anything.
                resolved.setdefault("channels", {})[str(room.id)] = {
                    **{k: whole[k] for k in ("id", "name", "type", "parent_id")},
                    "permissions": str(EVERYONE),
                }
                return str(room.id)
        known = ", ".join(f"#{room.name}" for room in place.rooms)
    raise NotOffered(f"`{option['name']}:` is one of {known}, so not `{name}`.")
