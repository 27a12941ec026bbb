"""What the picture of a cross is made from."""

from dataclasses import dataclass

from bot.services.desk import Desk
from bot.services.odds import Odds, odds_from
from bot.services.questions import asked_by, question_of
from bot.services.request import Request
from genetics import GameteTable, TooLarge, gamete_table


@dataclass(frozen=True, slots=True)
class Pictured:
    """The odds of a cross, and the table of its gametes where one table tells all of it."""

    odds: Odds
    table: GameteTable | None


async def pictured(desk: Desk, request: Request, reference: str) -> Pictured:
    """What there is to draw of the cross of a button.

    Raises:
        Outlived: the cross was too long for a button, and its draft is over a day old.
    """
    question = await question_of(desk, request, *await asked_by(desk, request, reference))
    try:
        table = gamete_table(question.young)
    except TooLarge:
        table = None
    return Pictured(odds_from(question, reference), table)
