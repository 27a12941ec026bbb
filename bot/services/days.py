"""Days as people type them: "today", "yesterday", "3 days ago", "Monday", "3 May", "2026-05-03"."""

import re
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from bot.records import Book
from bot.services import zones
from bot.services.refusals_days import DayAhead, DayNotRead
from bot.services.request import Request
from bot.services.written_dates import weekday, written_date

FURTHEST_DAYS = 3_653
"""Nothing older than ten years is taken for a date of the book: it is a slip of the thumb."""

_UNITS = {"day": 1, "d": 1, "week": 7, "wk": 7, "w": 7, "month": 30, "mo": 30}
_NUMBERS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
_WORDS = {"a": 1, "an": 1, **{word: number for number, word in enumerate(_NUMBERS, start=1)}}
_AGO = re.compile(r"(\d{1,4}|[a-z]+)\s*(day|d|week|wk|w|month|mo)s?\.?\s*ago", re.IGNORECASE)
_AGE = re.compile(
    r"(?:about|around|~|ca\.?)?\s*(\d{1,4}|[a-z]+)\s*(day|d|week|wk|w|month|mo)s?\.?(?:\s+old)?", re.IGNORECASE
)


def read_day(text: str, now: datetime, zone: ZoneInfo) -> datetime:
    """The moment a typed day stands for: now for today, and noon in the keeper's zone for any other day.

    A day and a month without a year are the last such day. An empty text is today. A day written in figures alone
    ("3/5") is refused, for one half of the world reads it as March and the other as May.

    Args:
        text: what was typed.
        now: the keepers' time, aware.
        zone: the keeper's own.

    Raises:
        DayNotRead: it is no day.
        DayAhead: it has not come yet, or lies more than ten years back.
    """
    today = now.astimezone(zone).date()
    day = _day(text.strip().casefold(), today, text)
    if day > today or (today - day).days > FURTHEST_DAYS:
        raise DayAhead(text=text, day=day, ahead=day > today)
    return now if day == today else datetime(day.year, day.month, day.day, 12, tzinfo=zone)


def _day(typed: str, today: date, text: str) -> date:
    if typed in ("", "today", "now"):
        return today
    if typed in ("yesterday", "last night"):
        return today - timedelta(days=1)
    if typed == "tomorrow":
        return today + timedelta(days=1)
    if ago := _AGO.fullmatch(typed):
        return today - timedelta(days=_span(ago[1], ago[2], text))
    named = typed.removeprefix("last ").removeprefix("on ")
    if (wanted := weekday(named)) is not None:
        return today - timedelta(days=(today.weekday() - wanted) % 7 or 7)
    return _dated(typed, today, text)


def _dated(typed: str, today: date, text: str) -> date:
    written = written_date(typed)
    if written is None:
        raise DayNotRead(text=text)
    # The 29th of February may be years back.
    for back in range(1 if written.year else 5):
        day = written.within(today.year - back)
        if day is not None and (written.year or day <= today):
            return day
    raise DayNotRead(text=text)


def read_age(text: str) -> int:
    """An age in days: "9 weeks", "60 days", "2 months" (of 30 days), "63 d".

    >>> read_age("9 weeks"), read_age("2 months old")
    (63, 60)

    Raises:
        DayNotRead: it is no age.
    """
    found = _AGE.fullmatch(text.strip())
    if found is None:
        raise DayNotRead(text=text, age=True)
    return _span(found[1], found[2], text)


def _span(number: str, unit: str, text: str) -> int:
    many = int(number) if number.isdecimal() else _WORDS.get(number.casefold())
    if many is None:
        raise DayNotRead(text=text)
    return many * _UNITS[unit.casefold()]


async def zone_of(book: Book, request: Request) -> ZoneInfo:
    """The zone of whoever asks: their own, else the server's, else UTC."""
    return await zones.zone_of(book, request.actor)
