"""How a keeper's and a server's settings are said."""

from bot.cards import verbs, words
from bot.cards.card import Button, Card, Tone, Weight
from bot.records import KeeperRow, ServerRow, Units
from bot.services.keepers import Settings

_DEFAULT_PREFIX = "B-"


def settings_card(settings: Settings) -> Card:
    """The reply to `/keeper show`: what is set, and how to change it."""
    zone = settings.keeper.zone if settings.keeper else None
    lead = (
        f"Your time zone is **{words.plain(zone)}**."
        if zone
        else "I don't know your time zone yet. Type `/keeper set zone:` and your city."
    )
    return Card(lead=lead, blocks=(_own(settings.keeper), _servers(settings.server)), private=True)


def set_card(settings: Settings) -> Card:
    """The reply to `/keeper set`."""
    return Card(
        lead="Your settings are changed.",
        blocks=(_own(settings.keeper),),
        buttons=(Button("Undo", verbs.UNDO, str(settings.event)),),
        tone=Tone.GOOD,
        private=True,
    )


def server_card(settings: Settings) -> Card:
    """The reply to `/keeper server`."""
    return Card(
        lead="The server's settings are changed.",
        blocks=(
            _servers(settings.server),
            "Codes that were given stay as they are. Keepers' own settings go before the server's.",
        ),
        buttons=(Button("Undo", verbs.UNDO, str(settings.event)),),
        tone=Tone.GOOD,
    )


def erase_card() -> Card:
    """The question before a person's words are erased."""
    return Card(
        lead="This takes your words out of this server's book, for good. It cannot be undone.",
        blocks=(
            "Erased: your name; the names, notes, origins and counts' wording that you typed; and the photos that you filed.",
            "Kept, without your name: bins and their codes, numbers, dates, what you scored, and the names of traits, for others' records are written in them.",
        ),
        buttons=(Button("Erase my words", verbs.KEEPER_ERASE, "", Weight.MAIN),),
        private=True,
    )


def erased_card() -> Card:
    """The reply once a person's words are erased."""
    return Card(
        lead="Your words and your photos are erased from this server's book.",
        blocks=("If you use me again, I'll know your name again: the chat sends it with each command.",),
        tone=Tone.GOOD,
        private=True,
    )


def _own(keeper: KeeperRow | None) -> str:
    lines = [
        f"Time zone: {words.plain(keeper.zone) if keeper and keeper.zone else 'not set'}",
        f"Quiet hours: {quiet_hours(keeper)}",
        f"Units: {_units(keeper.units if keeper else None)}",
        f"Your pings go to: {words.room(keeper.channel_id) if keeper and keeper.channel_id else 'the room where you ask for them'}",
    ]
    return "\n".join(lines)


def quiet_hours(keeper: KeeperRow | None) -> str:
    """When no ping may come: "22:00 to 07:00"."""
    if keeper is None or keeper.quiet_from is None or keeper.quiet_to is None:
        return "none"
    return f"{words.clock(keeper.quiet_from)} to {words.clock(keeper.quiet_to)}"


def _units(units: Units | None) -> str:
    return {None: "not set", Units.METRIC: "°C and mm", Units.IMPERIAL: "°F and inches"}[units]


def _servers(server: ServerRow | None) -> str:
    zone = words.plain(server.zone) if server and server.zone else "not set"
    room = words.room(server.channel_id) if server and server.channel_id else "not set"
    prefix = server.bin_prefix if server else _DEFAULT_PREFIX
    return f"This server: time zone {zone}, room for pings {room}, bin codes {words.plain(prefix)}1, {words.plain(prefix)}2, …"
