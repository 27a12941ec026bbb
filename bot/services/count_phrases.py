"""What a typed count says of when it was made and of how much of the bin was looked through; both are cut out of the text.

    when   = "today" | "yesterday" | number "days ago" | ["on" | "last"] weekday | day month [year] | year-month-day
    share  = ["in" | "from" | "sorted"] ("half" | "1/2" | "25 %" | "a third") ["of"] ["the"] ("litter" | "bin" | ...)
           | ["in"] number ["of" | "/"] number "scoops" | number "scoops of" number

A day that can be two days is no day yet: `Unsure` holds the texts that say which.
"""

import calendar
import re
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction

_FEW = ["one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"]
_NUMBERS = {word: value for value, word in enumerate(_FEW, start=1)} | {"a": 1, "an": 1}
_NUMBER = rf"(?:\d{{1,3}}|{'|'.join(_NUMBERS)})"
_DAYS = [day.casefold() for day in calendar.day_name]
_SHORT_DAYS = {
    "mon": 0,
    "tue": 1,
    "tues": 1,
    "wed": 2,
    "weds": 2,
    "thu": 3,
    "thur": 3,
    "thurs": 3,
    "fri": 4,
    "sat": 5,
    "sun": 6,
}
_WEEKDAYS = _SHORT_DAYS | {day: number for number, day in enumerate(_DAYS)}
_MONTHS = {name.casefold(): number for number, name in enumerate(calendar.month_name) if name}
_SHORT_MONTHS = {name[:3]: number for name, number in _MONTHS.items()} | {"sept": 9}
_ALL_MONTHS = _MONTHS | _SHORT_MONTHS
_MONTH = rf"(?P<month>{'|'.join(sorted(_ALL_MONTHS, key=len, reverse=True))})\b(?!\s+(?:be|have|not))\.?"
_DAY = r"(?P<day>\d{1,2})(?:st|nd|rd|th)?"
_YEAR = r"(?:,?\s*(?P<year>\d{4}))?"
_WHEN = re.compile(
    r"(?<![\w.,/-])(?:"
    r"(?P<today>(?:just\s+now|right\s+now|today|tonight|this\s+(?:morning|afternoon|evening)))"
    r"|(?P<before>(?:the\s+)?day\s+before\s+yesterday)"
    r"|(?P<yesterday>yesterday(?:\s+(?:morning|afternoon|evening|night))?|last\s+night)"
    rf"|(?P<ago>{_NUMBER})\s*(?P<unit>days?|d|weeks?|wks?)\s+ago"
    rf"|(?:on\s+)?(?P<last>last\s+)?(?P<weekday>{'|'.join(sorted(_WEEKDAYS, key=len, reverse=True))})(?:\s+(?:morning|afternoon|evening|night))?"
    r"|(?:on\s+)?(?P<iso>\d{4}-\d{2}-\d{2})"
    rf"|(?:on\s+)?(?:the\s+)?{_DAY}(?:\s+of)?\s+{_MONTH}{_YEAR}"
    rf"|(?:on\s+)?{_MONTH.replace('month', 'month2')}\s+(?:the\s+)?{_DAY.replace('day', 'day2')}(?![\d.,]\d|\d){_YEAR.replace('year', 'year2')}"
    r"|on\s+(?P<one>\d{1,2})[/.](?P<other>\d{1,2})(?:[/.](?P<year3>\d{4}))?"
    r")(?![\w-])[.:]?"
)
_WHOLE = r"(?:leaf\s*litter|litter|leaves|bin|substrate|soil|tub|box|enclosure|tank|moss|bark|colony)"
_PARTS = {
    "half": Fraction(1, 2), "halves": Fraction(1, 2), "third": Fraction(1, 3), "quarter": Fraction(1, 4), "fifth": Fraction(1, 5),
    "sixth": Fraction(1, 6), "eighth": Fraction(1, 8), "tenth": Fraction(1, 10),
}  # fmt: skip
_SIGNS = {"½": Fraction(1, 2), "⅓": Fraction(1, 3), "⅔": Fraction(2, 3), "¼": Fraction(1, 4), "¾": Fraction(3, 4)}
_PART = (
    rf"(?:(?P<sign>[{''.join(_SIGNS)}])|(?P<percent>\d{{1,3}})\s?%|(?P<top>\d{{1,3}})\s?/\s?(?P<bottom>\d{{1,3}})"
    rf"|(?:(?P<many>a|one|two|three)\s+)?(?P<part>{'|'.join(_PARTS)})s?)"
)
_SCOOP = r"(?:scoop|hide|spoon|cup|handful|section|tray|sample|quadrat|square)s?(?:ful)?"
_SHARE = re.compile(
    r"(?<![\w.,/-])(?:(?:only|just|i|we|have)\s+)*"
    r"(?:"
    rf"(?:(?:in|from)\s+)?(?P<n>{_NUMBER})\s*(?:out\s+of|of|/)\s*(?:the\s+)?(?P<m>{_NUMBER})\s+{_SCOOP}"
    rf"|(?:(?:in|from)\s+)?(?P<n2>{_NUMBER})\s+{_SCOOP}\s+(?:out\s+)?of\s+(?:the\s+)?(?P<m2>{_NUMBER})"
    rf"|(?P<in>(?:(?:in|from|of|sorted|searched|checked|sifted|did|through)\s+)+)?{_PART}\s*(?:of\s+)?(?:(?:the|my|its|this|a)\s+)?"
    rf"(?P<whole>{_WHOLE})?(?:\s+(?:sorted|searched|checked|sifted|done|only))?"
    r")(?![\w/-])"
)


class Unsure(Exception):
    """A phrase that says one of several things; `readings` are phrases that say which, `start` and `end` where it stands."""

    def __init__(self, readings: tuple[str, ...], start: int, end: int) -> None:
        super().__init__(readings)
        self.readings, self.start, self.end = readings, start, end


class NoSuchDay(Exception):
    """A day that is none, or has not come yet."""

    def __init__(self, text: str) -> None:
        super().__init__(text)
        self.text = text


@dataclass(frozen=True, slots=True)
class Cut:
    """What is left of the text, the day of the count (None: not said), and the share that was looked through."""

    rest: str
    on: date | None
    share: Fraction | None


def cut(text: str, today: date) -> Cut:
    """Take the day and the share out of a folded text; `today` is the keeper's.

    Raises:
        Unsure: the day is one of two.
        NoSuchDay: there is no such day, or it has not come.
    """
    on: date | None = None
    found = _WHEN.search(text)
    if found is not None:
        on = _day(found, today)
        text = f"{text[: found.start()]} {text[found.end() :]}"
    share: Fraction | None = None
    for match in _SHARE.finditer(text):
        read = _share(match)
        if read is not None and 0 < read <= 1:
            share = read
            text = f"{text[: match.start()]} , {text[match.end() :]}"
            break
    return Cut(text, on, share)


def _day(found: "re.Match[str]", today: date) -> date:
    said = {name: text for name, text in found.groupdict().items() if text is not None}
    if (days := _days_back(said)) is not None:
        return today - timedelta(days=days)
    if "weekday" in said:
        return _weekday(found, "last" in said, _WEEKDAYS[said["weekday"]], today)
    if "one" in said:
        return _numeric(found, said, today)
    if "iso" in said:
        year, month, day = map(int, said["iso"].split("-"))
        return _checked(year, month, day, today, found[0])
    month = _ALL_MONTHS[(said.get("month") or said["month2"]).rstrip(".")]
    return _latest(said.get("year") or said.get("year2"), month, int(said.get("day") or said["day2"]), today, found[0])


def _days_back(said: dict[str, str]) -> int | None:
    for word, days in (("today", 0), ("yesterday", 1), ("before", 2)):
        if word in said:
            return days
    if "ago" not in said:
        return None
    number = _NUMBERS.get(said["ago"]) or int(said["ago"])
    return number * (7 if said["unit"].startswith("w") else 1)


def _weekday(found: "re.Match[str]", last: bool, wanted: int, today: date) -> date:
    back = (today.weekday() - wanted) % 7
    if back == 0 and not last:
        raise Unsure(("today", "7 days ago"), found.start(), found.end())
    if back and last:
        # "Last Friday", said on a Saturday, is yesterday to some and a week ago to others.
        raise Unsure((_ago(back), _ago(back + 7)), found.start(), found.end())
    return today - timedelta(days=back or 7)


def _ago(days: int) -> str:
    return "yesterday" if days == 1 else f"{days} days ago"


def _numeric(found: "re.Match[str]", said: dict[str, str], today: date) -> date:
    """ "on 3/12": the third of December to most of the world, the twelfth of March to others."""
    one, other, year = int(said["one"]), int(said["other"]), said.get("year3")
    days: dict[date, None] = {}
    for day, month in ((one, other), (other, one)):
        if 1 <= month <= 12:
            try:
                days[_latest(year, month, day, today, found[0])] = None
            except NoSuchDay:
                continue
    if not days:
        raise NoSuchDay(found[0])
    if len(days) > 1:
        raise Unsure(tuple(day.isoformat() for day in days), found.start(), found.end())
    return next(iter(days))


def _latest(year: str | None, month: int, day: int, today: date, text: str) -> date:
    """The day in that year, or the latest one that has come."""
    if year is not None:
        return _checked(int(year), month, day, today, text)
    # The 29th of February may be eight years back, over a century without a leap day.
    for back in range(9):
        try:
            return _checked(today.year - back, month, day, today, text)
        except NoSuchDay:
            continue
    raise NoSuchDay(text)


def _checked(year: int, month: int, day: int, today: date, text: str) -> date:
    try:
        found = date(year, month, day)
    except ValueError as error:
        raise NoSuchDay(text) from error
    if found > today:
        raise NoSuchDay(text)
    return found


def _share(match: "re.Match[str]") -> Fraction | None:
    said = {name: text for name, text in match.groupdict().items() if text is not None}
    if "n" in said or "n2" in said:
        looked, of = said.get("n") or said["n2"], said.get("m") or said["m2"]
        return _ratio(_NUMBERS.get(looked) or int(looked), _NUMBERS.get(of) or int(of))
    if "in" not in said and "whole" not in said:
        # A fraction of nothing in particular may be anything: "5/20", "half".
        return None
    if "sign" in said:
        return _SIGNS[said["sign"]]
    if "percent" in said:
        return _ratio(int(said["percent"]), 100)
    if "top" in said:
        return _ratio(int(said["top"]), int(said["bottom"]))
    many = _NUMBERS.get(said.get("many", "a"), 1)
    return many * _PARTS[said["part"]]


def _ratio(top: int, bottom: int) -> Fraction | None:
    return Fraction(top, bottom) if bottom else None
