"""The buttons of care pings."""

from bot.cards import verbs
from bot.cards.rounds import answered_ping, later_ping, reopened_ping, round_page, which_bin_ping
from bot.chat.counts import LOG
from bot.chat.router import Press, Reply, route
from bot.services.care import Answer, answer_round, bins_of_round, reopen_round, show_round
from bot.services.desk import Desk
from bot.services.finding import row_id
from bot.services.refusals import Outlived
from bot.services.request import Request


@route(verbs.CARE_DONE, replaces=True)
async def done(desk: Desk, request: Request, press: Press) -> Reply:
    """*Done* on a ping of one thing, *All done* on one of several."""
    return answered_ping(await answer_round(desk, request, delivery=row_id(press.argument), answer=Answer.DONE))


@route(verbs.CARE_ONE, replaces=True)
async def one_done(desk: Desk, request: Request, press: Press) -> Reply:
    """*Done* for one thing of a round."""
    delivery, occurrence, page = _numbers(press.argument, 3)
    answered = await answer_round(desk, request, delivery=delivery, answer=Answer.DONE, occurrence=occurrence)
    return answered_ping(answered, page)


@route(verbs.CARE_LATER, replaces=True)
async def later(desk: Desk, request: Request, press: Press) -> Reply:
    """*Later* on a ping: it asks how much later."""
    delivery = row_id(press.argument)
    shown = await show_round(desk, request, delivery=delivery)
    return later_ping(shown) if shown.open_items else await _standing(desk, request, delivery)


@route(verbs.CARE_PUT_OFF, replaces=True)
async def put_off(desk: Desk, request: Request, press: Press) -> Reply:
    """How much later."""
    number, _, choice = press.argument.partition(".")
    if choice not in set(Answer) - {Answer.DONE}:
        raise Outlived("button")
    return answered_ping(await answer_round(desk, request, delivery=row_id(number), answer=Answer(choice)))


@route(verbs.CARE_ROUND, replaces=True)
async def turn(desk: Desk, request: Request, press: Press) -> Reply:
    """Another page of a round, or back to it."""
    delivery, page = _numbers(press.argument, 2)
    shown = await show_round(desk, request, delivery=delivery)
    return round_page(shown, page) if shown.open_items else await _standing(desk, request, delivery)


@route(verbs.CARE_REOPEN, replaces=True)
async def reopen(desk: Desk, request: Request, press: Press) -> Reply:
    """*Undo* on a ping that was answered."""
    return reopened_ping(await reopen_round(desk, request, seq=row_id(press.argument)))


@route(verbs.CARE_COUNT, replaces=True)
async def count(desk: Desk, request: Request, press: Press) -> Reply:
    """*Log count* on a ping: the form with the bin filled in, or first which bin, where the ping is about several."""
    delivery = row_id(press.argument)
    bins = await bins_of_round(desk, request, delivery=delivery)
    return LOG.form({"bin": bins[0].code}) if len(bins) == 1 else which_bin_ping(delivery, bins)


async def _standing(desk: Desk, request: Request, delivery: int) -> Reply:
    """The answer that stands on a ping of which nothing is open: answering again gives it and changes nothing."""
    return answered_ping(await answer_round(desk, request, delivery=delivery, answer=Answer.DONE))


def _numbers(argument: str, how_many: int) -> tuple[int, ...]:
    """The numbers of an argument; zeros, which no row has, where there are none."""
    parts = [row_id(part) for part in argument.split(".")][:how_many]
    return (*parts, *(0 for _ in range(how_many - len(parts))))
