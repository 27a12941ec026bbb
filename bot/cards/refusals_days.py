"""How a day, an age or a temperature that was not taken is said."""

from bot.cards import words
from bot.cards.leads import lead
from bot.services import refusals_days as r


@lead.register
def _(refusal: r.DayNotRead) -> str:
    text = words.inline(refusal.text)
    if refusal.age:
        return f"I can't read the age {text}. Type it like 9 weeks, or 60 days."
    return f"I can't read the day {text}. Type today, yesterday, 3 days ago, 3 May, or 2026-05-03."


@lead.register
def _(refusal: r.DayAhead) -> str:
    said = f"{words.inline(refusal.text)} would be {refusal.day.isoformat()}"
    if refusal.ahead:
        return f"{said}, and that day has not come yet. Type the day on which it was, like yesterday or 3 days ago."
    return f"{said}, which is more than ten years back. Type the day with its year, like 2026-05-03."


@lead.register
def _(refusal: r.TemperatureNotRead) -> str:
    return f"{words.inline(refusal.text)} is no temperature of a bin that I can read. Type it like 22 C or 72 F."


@lead.register
def _(_: r.DatedRests) -> str:
    return "That has a day which must not pass, so it cannot rest. On its ping, Later puts it off; `/care end` ends it."
