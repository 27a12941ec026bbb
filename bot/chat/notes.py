"""What is noted with one press beside an open bin, and told in the evening."""

from collections.abc import Mapping

from bot.cards import notes as cards
from bot.cards import verbs
from bot.cards.card import Card, Field
from bot.cards.pairings import young_card
from bot.chat.brood import LOG
from bot.chat.router import Press, Reply, route
from bot.chat.sheets import Sheet
from bot.records import CareKind
from bot.services.desk import Desk
from bot.services.finding import row_id
from bot.services.notes import Noted, note, rest_of, tell_death
from bot.services.request import Request


async def _dead(desk: Desk, request: Request, values: Mapping[str, str]) -> Card:
    told = await tell_death(
        desk,
        request,
        bin_text=values.get("bin", ""),
        number=values.get("number", ""),
        said=values.get("said", ""),
    )
    return cards.death_card(told)


DEAD = Sheet(
    kind="note.dead",
    title="Found dead",
    fields=(
        Field("bin", "Bin", "Its code, like B-3"),
        Field("number", "How many", "A number; one, if you leave it out", required=False),
        Field("said", "What was seen", "Like: soft, after a moult", required=False, most=500),
    ),
    work=_dead,
)


async def _note(desk: Desk, request: Request, kind: CareKind, press: Press) -> Card:
    noted = await note(desk, request, kind, press.argument)
    return cards.noted_card(noted) if isinstance(noted, Noted) else young_card(noted)


@route(verbs.NOTE_YOUNG)
async def young(desk: Desk, request: Request, press: Press) -> Reply:
    """*Seen young* on a bin: now, and the rest in the evening."""
    return await _note(desk, request, CareKind.YOUNG_SEEN, press)


@route(verbs.NOTE_DEAD)
async def dead(desk: Desk, request: Request, press: Press) -> Reply:
    """*Dead one* on a bin."""
    return await _note(desk, request, CareKind.ONE_DEAD, press)


@route(verbs.NOTE_PHOTO)
async def photo(desk: Desk, request: Request, press: Press) -> Reply:
    """*Photo later* on a bin."""
    return await _note(desk, request, CareKind.PHOTO_DUE, press)


@route(verbs.NOTE_TELL_DEAD)
async def tell_dead(_: Desk, __: Request, press: Press) -> Reply:
    """*Tell now* under a dead one: the form with the bin filled in."""
    return DEAD.form({"bin": press.argument})


@route(verbs.NOTE_TELL)
async def tell(desk: Desk, request: Request, press: Press) -> Reply:
    """What was noted, on a ping or among what the day wants: the form for the rest of it, filled in."""
    rest = await rest_of(desk, request, row_id(press.argument))
    if rest.kind is CareKind.YOUNG_SEEN:
        return LOG.form({"of": rest.of, "day": rest.day})
    return DEAD.form({"bin": rest.of}) if rest.kind is CareKind.ONE_DEAD else cards.photo_card(rest.of)
