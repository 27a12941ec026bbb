"""The JSON in which the stand-in tells the bot about servers, channels, people and messages."""

from datetime import UTC, datetime

from bot.practice.values import Attachment, Json, Message, Person, Place, Room
from bot.practice.world import World

VIEW_CHANNEL, SEND_MESSAGES, READ_HISTORY, MANAGE_GUILD = 1 << 10, 1 << 11, 1 << 16, 1 << 5
EMBED_LINKS, ATTACH_FILES, USE_COMMANDS = 1 << 14, 1 << 15, 1 << 31
EVERYONE = VIEW_CHANNEL | SEND_MESSAGES | READ_HISTORY | EMBED_LINKS | ATTACH_FILES | USE_COMMANDS
BOT_NAME = "mancabook"
_JOINED = "2024-01-01T00:00:00.000000+00:00"


def timestamp(seconds: float) -> str:
    """Seconds since 1970 as the service writes times."""
    return datetime.fromtimestamp(seconds, UTC).isoformat(timespec="microseconds")


def user(person: Person) -> Json:
    """A person as a user."""
    return {
        "id": str(person.id),
        "username": person.name,
        "discriminator": "0",
        "avatar": None,
        "global_name": person.name,
    }


def bot_user(application_id: int) -> Json:
    """The bot as a user; its id is the application's."""
    return {
        "id": str(application_id),
        "username": BOT_NAME,
        "discriminator": "0",
        "avatar": None,
        "global_name": None,
        "bot": True,
        "verified": True,
        "mfa_enabled": False,
        "flags": 0,
    }


def application(application_id: int) -> Json:
    """The application, as its own login sees it."""
    return {
        "id": str(application_id),
        "name": BOT_NAME,
        "description": "",
        "icon": None,
        "bot_public": True,
        "bot_require_code_grant": False,
        "verify_key": "0" * 64,
        "owner": {"id": "1", "username": "owner", "discriminator": "0", "avatar": None},
        "flags": 0,
        "interactions_endpoint_url": None,
        "team": None,
    }


def permissions(person: Person) -> int:
    """What a person may do."""
    return EVERYONE | (MANAGE_GUILD if person.manager else 0)


def bot_permissions(room: Room | None) -> int:
    """What the bot may do in a room; None stands for direct messages."""
    return EVERYONE & ~_denied(room) if room is not None else EVERYONE


def _denied(room: Room) -> int:
    return (
        (0 if room.visible else VIEW_CHANNEL)
        | (0 if room.writable else SEND_MESSAGES)
        | (0 if room.readable else READ_HISTORY)
    )


def member(person: Person) -> Json:
    """A person as a member of a server."""
    return {
        "user": user(person),
        "nick": None,
        "avatar": None,
        "roles": [],
        "joined_at": _JOINED,
        "premium_since": None,
        "deaf": False,
        "mute": False,
        "flags": 0,
        "pending": False,
        "permissions": str(permissions(person)),
    }


def channel(world: World, channel_id: int) -> Json:
    """A channel. What the bot is denied in it stands as an overwrite for the bot alone."""
    room = world.room(channel_id)
    if room is None:
        person = world.person(world.dm_person(channel_id))
        return {"id": str(channel_id), "type": 1, "last_message_id": None, "flags": 0, "recipients": [user(person)]}
    denied = _denied(room)
    overwrite = {"id": str(world.application_id), "type": 1, "allow": "0", "deny": str(denied)}
    return {
        "id": str(room.id),
        "type": 0,
        "guild_id": str(world.place_of(channel_id)),
        "name": room.name,
        "position": 0,
        "permission_overwrites": [overwrite] if denied else [],
        "nsfw": False,
        "parent_id": None,
        "topic": None,
        "rate_limit_per_user": 0,
        "last_message_id": None,
        "flags": 0,
        "permissions": str(bot_permissions(room)),
    }


def guild(world: World, place: Place) -> Json:
    """A server as it comes when the bot has logged in: with its channels, and of its members only the bot."""
    everyone = {
        "id": str(place.id),
        "name": "@everyone",
        "color": 0,
        "colors": {"primary_color": 0, "secondary_color": None, "tertiary_color": None},
        "hoist": False,
        "position": 0,
        "permissions": str(EVERYONE),
        "managed": False,
        "mentionable": False,
        "flags": 0,
    }
    me = {**member(Person(world.application_id, BOT_NAME)), "user": bot_user(world.application_id)}
    return {
        "id": str(place.id),
        "name": place.name,
        "icon": None,
        "splash": None,
        "discovery_splash": None,
        "owner_id": "1",
        "afk_channel_id": None,
        "afk_timeout": 300,
        "verification_level": 0,
        "default_message_notifications": 0,
        "explicit_content_filter": 0,
        "roles": [everyone],
        "emojis": [],
        "stickers": [],
        "features": [],
        "mfa_level": 0,
        "system_channel_id": None,
        "system_channel_flags": 0,
        "rules_channel_id": None,
        "vanity_url_code": None,
        "description": None,
        "banner": None,
        "premium_tier": 0,
        "preferred_locale": "en-GB",
        "nsfw_level": 0,
        "premium_progress_bar_enabled": False,
        "joined_at": _JOINED,
        "large": False,
        "unavailable": False,
        "member_count": len(place.people) + 1,
        "voice_states": [],
        "members": [me],
        "channels": [channel(world, room.id) for room in place.rooms],
        "threads": [],
        "presences": [],
        "stage_instances": [],
        "guild_scheduled_events": [],
        "soundboard_sounds": [],
    }


def attachment(item: Attachment) -> Json:
    """A file of a message or of a command option."""
    return {
        "id": str(item.id),
        "filename": item.filename,
        "description": item.description,
        "content_type": item.content_type,
        "size": len(item.content),
        "url": item.url,
        "proxy_url": item.url,
    }


def message(world: World, shown: Message) -> Json:
    """A message, as the bot gets it for its answer, its history or a press on one of its buttons."""
    by_bot = shown.author_id == world.application_id
    body: Json = {
        "id": str(shown.id),
        "channel_id": str(shown.channel_id),
        "type": 20 if shown.interaction_id and by_bot else 0,
        "author": bot_user(world.application_id) if by_bot else user(world.person(shown.author_id)),
        "content": shown.content,
        "timestamp": timestamp(shown.created),
        "edited_timestamp": None if shown.edited is None else timestamp(shown.edited),
        "tts": False,
        "mention_everyone": shown.pings_everyone,
        "mentions": [user(world.person(person_id)) for person_id in shown.pinged],
        "mention_roles": [],
        "attachments": [attachment(item) for item in shown.attachments],
        "embeds": shown.embeds,
        "pinned": False,
        "flags": shown.flags,
        "components": shown.components,
    }
    if shown.nonce is not None:
        body["nonce"] = shown.nonce
    if shown.interaction_id is not None:
        body["application_id"] = body["webhook_id"] = str(world.application_id)
    return body
