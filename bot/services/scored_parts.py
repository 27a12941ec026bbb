"""What stands beside the looks in a scored brood as typed: ages, lengths, days, the dead, the doubtful, totals.

Each kind is cut out of the text, which is left with the looks. Names of traits are hidden first, a sign for each, so that no word
of a name is taken for one of these.
"""

import re
import unicodedata
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Final

from genetics import Trait

SIGNS: Final = "\ue000-\ue0ff"
"""The signs that stand for names of traits, as a range of a regular expression."""
LOOK: Final = rf"(?:[{SIGNS}]|(?:wild|wt|normal)(?:[- ]?(?:types?|looking))?s?\b)"
_FIRST: Final = 0xE000
_MOST: Final = 256
_N: Final = r"(?:(?:about|~)\s*)?(?:\d{1,3}(?:[,’']\d{3})+|\d+)(?:\s?ish\b)?"
_ANY: Final = rf"{_N}|\ba\s+dozen|\bnone|\bno|\bone"
NUMBER: Final = rf"(?P<n>{_ANY})"
_WORDS: Final = (
    *("two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve", "thirteen"),
    *("fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen", "twenty"),
)
_ABOUT: Final = re.compile(r"\b(?:abt|circa|roughly|around|approx|approximately|ca|c)\b\.?\s*(?=\d)")
_NOISE: Final = re.compile(
    r"\b(?:got|there|i|we|count(?:ed)?|this time|have|had|so far|now|also|just)\b|[()\[\]@*•]|^\s*-\s"
)
_YOUNG: Final = (
    r"(?:tiny\s+|little\s+|live\s+)?(?:young|babies|mancae?s?|juveniles?|seen|offspring|ones|kids)\b(?:\s+seen\b)?"
)
_TOO_YOUNG: Final = r"too\s+(?:young|small|tiny|little)(?:\s+to\s+(?:tell|score|read|say|see|sex))?"
_NOT_YET: Final = (
    rf"(?:unscored|not\s+(?:yet\s+)?scored|{_TOO_YOUNG}|not\s+looked\s+at|not\s+(?:yet\s+)?readable)(?:\s+yet)?"
)
_UNSURE: Final = r"(?:not\s+sure(?:\s+of)?|unsure|doubtful|unclear|uncertain|can'?t\s+tell|cannot\s+tell|maybes?)\b"
_SAID: Final = r"\s*(?:(?:are|were|is|i'?m|i\s+am|of\s+them)\s+)?"
_TIME: Final = r"(?:days?|d|weeks?|wks?|w|months?|mo|mths?)\b"
_MONTH: Final = (
    r"(?:jan(?:uary)?|feb(?:ruary)?|mar(?:ch)?|apr(?:il)?|may|june?|july?|aug(?:ust)?|sept?(?:ember)?|oct(?:ober)?"
    r"|nov(?:ember)?|dec(?:ember)?)"
)
_DAY: Final = (
    rf"today|yesterday|\d{{4}}-\d{{1,2}}-\d{{1,2}}|\d{{1,3}}\s*{_TIME[:-2]}\s+ago"
    r"|(?:last\s+)?(?:mon|tues?|wednes|thurs?|fri|satur|sun)day"
    rf"|\d{{1,2}}(?:st|nd|rd|th)?\s+{_MONTH}(?:\s+\d{{4}}\b)?|{_MONTH}\s+\d{{1,2}}(?:st|nd|rd|th)?(?:,?\s+\d{{4}})?"
)
_NONE: Final = re.compile(
    rf"\b(?:none|not\s+one|all)\s+(?:of\s+(?:them|which)\s+)?(?:are\s+)?(?:readable|scored|{_NOT_YET})(?:\s+yet)?|(?<!\d)(?<!\d\s)\b(?:{_NOT_YET})"
)

_CUTS: Final = (
    ("day", re.compile(rf"(?:\b(?:seen|born|found|counted|scored)\s+)?(?:\bon\s+)?(?<![\d/])\b(?P<day>{_DAY})\b\s*:?")),
    ("length", re.compile(r"(?:\b(?:at|about|size|length)\s+|~\s*)?(?P<length>\d+(?:\.\d+)?\s*(?:mm|cm|in(?!\s+(?:all|total|\d))|inch|inches)\b)(?:\s+long)?")),
    ("age", re.compile(rf"(?:\b(?:at|aged?|about)\s+)*~?(?P<age>\d{{1,4}}\s*{_TIME})(?:\s+(?:old|of\s+age)\b)?\s*:?")),
    ("unscored", re.compile(rf"{NUMBER}(?:\s+{_YOUNG})?{_SAID}{_NOT_YET}")),
    ("unsure", re.compile(rf"{NUMBER}{_SAID}{_UNSURE}(?!\s*{LOOK})|\b{_UNSURE}\s*[:=-]?\s*(?P<m>{_N})|(?P<q>{_N})\s*\?(?=\s*(?:$|[,;\n]))")),
    ("dead_of", re.compile(rf"(?:\bof\s+(?:which|them|these|those)\s*,?\s*){NUMBER}{_SAID}(?:dead|died)\b|(?P<k>{_ANY})\s+of\s+(?:them|those|these)\s+(?:are\s+|were\s+)?(?:dead|died)\b")),
    ("dead_plus", re.compile(rf"(?:\bplus|\+|\band\s+also)\s*{NUMBER}{_SAID}(?:dead|died)\b")),
    ("dead", re.compile(rf"{NUMBER}{_SAID}(?:dead|died|deaths?|lost)\b|\b(?:dead|died|lost|deaths?)\s*[:=-]?\s*(?P<m>{_N})")),
    ("born", re.compile(rf"(?:\bof\s+)?{NUMBER}\s*(?:were\s+)?(?:born|hatched|in\s+all|in\s+total|total|altogether)\b\s*:?|\b(?:total|born)\s*(?:of\s*)?[:=]?\s*(?P<m>{_N})")),
    ("looked", re.compile(rf"{NUMBER}\s*(?:were\s+)?(?:scored|looked\s+at|checked)\b\s*:?")),
)  # fmt: skip
GROUP: Final = re.compile(rf"{NUMBER}\s*{_YOUNG}\s*:?")
"""So many young, of whom nothing is said."""


@dataclass
class Parts:
    """What was cut out: numbers by their kind as they are typed, and the text with the looks that is left.

    `none_scored`: it is said that none could be scored. `twice` is a part of a kind that stood there before.
    """

    rest: str
    told: dict[str, str] = field(default_factory=dict)
    none_scored: bool = False
    twice: str = ""


def hidden(text: str, traits: Sequence[Trait]) -> tuple[str, list[Trait]]:
    """The text folded, a sign in place of each name of a trait, and the traits that are named; the inverse of `shown`."""
    folded = unicodedata.normalize("NFC", text).casefold()
    named: list[Trait] = []
    for trait in sorted(traits, key=lambda one: -len(one.name)):
        name = r"\s+".join(map(re.escape, unicodedata.normalize("NFC", trait.name).casefold().split()))
        plural = r"(?:e?s)?(?!\w)" if trait.name[-1:].isalnum() else ""
        # A digit may stand right before a name, "6ember", but no letter.
        found = re.sub(rf"(?<![^\W\d]){name}{plural}", f" {chr(_FIRST + len(named))} ", folded)
        if found != folded and len(named) < _MOST:
            named.append(trait)
            folded = found
    return folded, named


def shown(text: str, named: Sequence[Trait]) -> str:
    """The text with the names of traits in it."""
    for at, trait in enumerate(named):
        text = text.replace(chr(_FIRST + at), trait.name)
    return " ".join(text.split())


def tidied(folded: str) -> str:
    """The text with numbers as figures, one word for "about", and without words that say nothing."""
    for value, word in enumerate(_WORDS, start=2):
        folded = re.sub(rf"\b{word}\b(?!\s+of\s+each)", str(value), folded)
    folded = _ABOUT.sub("about ", folded)
    if folded.count("=") == 1 and len(re.findall(r"\d+", folded)) > 2:
        folded = re.sub(r"=\s*(\d+)\s*$", r", \1 in all", folded)
    return folded


def cut(folded: str) -> Parts:
    """Cut everything but the looks out of a hidden and tidied text."""
    parts = Parts(folded)
    for kind, rule in _CUTS:
        _cut_kind(parts, kind, rule)
    found = _NONE.search(parts.rest)
    if found is not None:
        parts.none_scored = True
        parts.rest = _without(parts.rest, found)
    parts.rest = _NOISE.sub(" ", parts.rest)
    return parts


def _cut_kind(parts: Parts, kind: str, rule: re.Pattern[str]) -> None:
    # Once more, to find what stands there twice.
    for _ in range(2):
        found = rule.search(parts.rest)
        if found is None:
            return
        if kind in parts.told:
            parts.twice = parts.twice or found[0].strip(" ,;\n")
            return
        parts.told[kind] = next(value for value in found.groupdict().values() if value is not None)
        parts.rest = _without(parts.rest, found)


def _without(text: str, found: re.Match[str]) -> str:
    return f"{text[: found.start()]} , {text[found.end() :]}"


def sexed_headers(text: str, mark: Callable[[str], str]) -> str:
    """The text with `mark` of "f" or "m" in place of what heads the looks of one sex: "females:", "f 3 …", "♂"."""
    head = r"(?:^|(?<=[;\n,]))\s*(?:{})\s*[:\-]?\s*(?=\d|about|no\b|[" + SIGNS + "])"
    text = re.sub(head.format(r"females?|f|♀|daughters|girls"), lambda _: mark("f"), text)
    return re.sub(head.format(r"males?|m|♂|sons|boys"), lambda _: mark("m"), text)
