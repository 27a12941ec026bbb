"""Counts of a brood as people type them: "6 ember, 17 wild", "wild 17 ember 6", "9 wild, 3 ember, 3 frost, 1 both".

Each number stands before its look or after it. A comma or a new line ends a look, "and" stands between looks or within
one ("1 ember and frost"), and the names of the cross's traits go before everything else a word may mean.

Several broods are parted by a semicolon or stand each on a line of its own: "6 ember, 17 wild; 4 ember, 12 wild". They are
taken for several where a look stands in more than one part. Short for the same: "ember:wild 6:17, 4:12".
"""

import re
import unicodedata
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum, auto
from typing import NamedTuple

from bot.records import Exactness
from bot.services.refusals import CountNotRead, CountProblem, ObservedNotRead
from bot.services.tally import read_tally
from genetics import Appearance, Dominance, Trait
from genetics.characters import Scored

MOST_SEEN = 10_000
"""The most young that are compared at once (judgement: above what one pair has in its life)."""

Looks = tuple[str, ...]
"""How young look, in the order of what the cross scores."""

_FEW = frozenset(
    ["none", "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"]
)
_FILLERS = frozenset(
    {
        "a", "all", "animals", "are", "babies", "in", "juveniles", "just", "look", "looking", "mancae", "of",
        "offspring", "one", "ones", "only", "seen", "show", "showing", "that", "the", "them", "type", "types", "were", "with",
        "young",
    }
)  # fmt: skip
_WILD = frozenset(
    {"wild", "wilds", "wild-looking", "wildtype", "wildtypes", "wild-type", "wild-types", "wt", "normal", "normals"}
)
_VISUAL = frozenset({"visual", "visuals", "vis"})
_ONE_DOSE = frozenset({"het", "hets", "heterozygous", "partial", "single", "light", "weak"})
_TWO_DOSES = frozenset({"super", "supers", "homozygous", "hom", "double", "full", "strong"})
_NOT = frozenset({"no", "not", "without", "non"})
_FOR_ALL = frozenset({"both", "neither"})
_ROW = re.compile(r"\d{1,6}(?:\s*:\s*\d{1,6})+")
_ROWS = re.compile(rf"{_ROW.pattern}(?:[\s,;]+{_ROW.pattern})*")
_HEADED = re.compile(rf"(?P<looks>[^\d\s:].*?)[\s:=]+(?P<rows>{_ROWS.pattern})")
_DOSES = r"(?:in\s+)?(?:(?P<one_dose>one|1|single)|two|2|double)[\s-]+doses?\b(?:\s+of\b)?"


class _Kind(Enum):
    NUMBER = auto()
    TRAIT = auto()
    WORD = auto()
    JOIN = auto()
    END = auto()


@dataclass(frozen=True, slots=True)
class _Piece:
    """A number, the name of a trait, a word, an "and", or the end of a look.

    `trait` is its place among what is scored, `look` the class that is named, where a look has a name of its own.
    """

    kind: _Kind
    text: str
    trait: int = -1
    look: str | None = None


class _Called(NamedTuple):
    """A name that young may be called by: of a trait, or (`look`) of a class that keepers gave a name."""

    name: str
    at: int
    look: str | None


@dataclass(frozen=True, slots=True)
class Tallied:
    """How many young of each look were seen, brood by brood, and whether any number was an estimate."""

    broods: tuple[Mapping[Looks, int], ...]
    estimated: bool

    @property
    def counts(self) -> dict[Looks, int]:
        """All broods together."""
        found: dict[Looks, int] = {}
        for brood in self.broods:
            for looks, number in brood.items():
                found[looks] = found.get(looks, 0) + number
        return found


class _NotRead(Exception):
    """A part is no look of these young; `doses` if only its number of doses is missing."""

    def __init__(self, rest: str, doses: bool = False) -> None:
        super().__init__(rest)
        self.rest, self.doses = rest, doses


def read_observed(text: str, traits: Sequence[Scored], expected: Collection[Looks]) -> Tallied:
    """Counts as typed, as how many of each look. `expected` are the looks that the cross can give.

    The bare name of an incompletely dominant trait is taken for the one dose (or the two) that the cross can give; if it
    can give both, it is two doses where the text names one dose too, and refused otherwise.

    Raises:
        ObservedNotRead: a part is no number with a look of these traits.
        CountNotRead: a number was not understood, or none was seen, or more than `MOST_SEEN`.
    """
    known = tuple(trait.name for trait in traits)
    if _ROWS.fullmatch(text.strip()):
        raise ObservedNotRead(text=text, rest=text.strip(), known=known, bare=True)
    pieces = list(_pieces(_spread(text), traits))
    bare = _bare(pieces, traits, expected)
    broods: list[dict[Looks, int]] = []
    estimated = False
    try:
        for brood in _broods(pieces):
            counts: dict[Looks, int] = {}
            for number, phrase in _items(brood):
                looks = _looks(phrase, traits, bare)
                tally = read_tally(number)
                estimated = estimated or tally.exactness is Exactness.ESTIMATE
                counts[looks] = counts.get(looks, 0) + tally.total
            broods.append(counts)
    except _NotRead as error:
        raise ObservedNotRead(text=text, rest=error.rest, known=known, doses=error.doses) from error
    found = Tallied(tuple(broods), estimated)
    if sum(map(len, broods)) == len(found.counts):
        found = Tallied((found.counts,), estimated)
    total = sum(found.counts.values())
    if total == 0:
        raise CountNotRead(text=text, problem=CountProblem.NO_NUMBER)
    if total > MOST_SEEN:
        raise CountNotRead(text=text, problem=CountProblem.TOO_MANY, most=MOST_SEEN)
    return found


def _spread(text: str) -> str:
    """ "ember:wild 6:17, 4:12" as "6 ember, 17 wild; 4 ember, 12 wild"; any other text as it is."""
    headed = _HEADED.fullmatch(text.strip())
    if headed is None:
        return text
    looks = [look.strip() for look in headed["looks"].split(":")]
    rows = [re.split(r"\s*:\s*", row) for row in _ROW.findall(headed["rows"])]
    if len(looks) < 2 or any(len(row) != len(looks) for row in rows):
        return text
    return "; ".join(", ".join(f"{number} {look}" for number, look in zip(row, looks, strict=True)) for row in rows)


# ---- cutting the text


def _called(traits: Sequence[Scored]) -> list[_Called]:
    """The names in use, the longest first."""
    names = []
    for at, one in enumerate(traits):
        looks = () if isinstance(one, Trait) else [look for look in one.labels if not isinstance(look, Appearance)]
        names += [_Called(look, at, look) for look in looks] or [_Called(one.name, at, None)]
    return sorted(names, key=lambda one: -len(one.name))


def _number(names: Sequence[str]) -> str:
    """A number as it is typed, an estimate and dozens too, and "x" after it. Names stand for themselves within it."""
    no_name = rf"(?!\s*(?:{'|'.join(names)}))" if names else ""
    about = r"(?:(?:about|around|approximately|approx\.?|roughly|nearly|almost|maybe|circa|ca\.?)\s+|[~≈]\s*)?"
    digits = rf"[-−]?(?:\d{{1,3}}(?:{no_name}[,'’\u00a0\u2009\u202f ]\d{{3}})+(?!\d)|\d+(?:\.\d+)?)"
    dozens = rf"(?:{no_name}\s*(?:dozens?|doz\b\.?))?"
    ish = rf"(?:{no_name}(?:-?ish\b|\s?±))?"
    return rf"(?P<number>{about}(?:(?:half\s+)?a\s+(?=doz)|{digits}){ish}{dozens})(?:\s?(?:×|x(?=\s)))?"


def _pieces(text: str, traits: Sequence[Scored]) -> Iterator[_Piece]:
    folded = unicodedata.normalize("NFC", text).casefold()
    called = _called(traits)
    names = "".join(f"(?P<trait{at}>{_name(one.name)})|" for at, one in enumerate(called))
    number = _number([_name(one.name) for one in called])
    pattern = re.compile(
        rf"{names}(?P<dose>{_DOSES})|{number}|[x×]\s?(?=\d)"
        r"|(?P<end>[,;/|\n·•])|(?P<join>[+&])|(?P<blank>[^\S\n]+|[:=*.!]|[-–—]+(?=\s))|(?P<word>[^\s,;/|·•+&:=*]+)"
    )
    at, before = 0, _Piece(_Kind.END, "")
    while at < len(folded):
        found = pattern.match(folded, at)
        if found is not None and _is_like_a_number(found) and before.kind not in (_Kind.NUMBER, _Kind.WORD):
            # A trait called "7": after a number it is meant, at the beginning a number is; elsewhere nobody knows.
            found = re.compile(number).match(folded, at) if before.kind is _Kind.END else None
        if found is None:
            raise ObservedNotRead(text=text, rest=folded[at:].strip(), known=tuple(trait.name for trait in traits))
        at = found.end()
        piece = _piece(found, before, called)
        if piece is not None:
            before = piece
            yield piece


def _name(name: str) -> str:
    """A name, or several of it, and no piece of a longer word."""
    words = r"\s+".join(map(re.escape, unicodedata.normalize("NFC", name).casefold().split()))
    return rf"{words}(?:e?s)?(?![\w\u200d])" if name[-1].isalnum() else rf"{words}(?!\u200d)"


def _is_like_a_number(found: re.Match[str]) -> bool:
    """Whether a trait was found whose name may be a number as well."""
    return (found.lastgroup or "").startswith("trait") and re.fullmatch(_number(()), found[0]) is not None


def _piece(found: re.Match[str], before: _Piece, called: Sequence[_Called]) -> _Piece | None:
    groups = {name: text for name, text in found.groupdict().items() if text is not None}
    name = next(iter(groups), "")
    text = groups.get(name, "")
    if name.startswith("trait"):
        one = called[int(name.removeprefix("trait"))]
        return _Piece(_Kind.TRAIT, text, one.at, one.look)
    if name == "dose":
        return _Piece(_Kind.WORD, "het" if "one_dose" in groups else "super")
    if name == "word":
        word = text.rstrip(".!")
        if word in _FEW and before.kind in (_Kind.END, _Kind.JOIN):
            return _Piece(_Kind.NUMBER, word)
        return None if word in _FILLERS else _Piece(_Kind.JOIN if word in ("and", "or") else _Kind.WORD, word)
    kinds = {"number": _Kind.NUMBER, "end": _Kind.END, "join": _Kind.JOIN}
    return _Piece(kinds[name], text) if name in kinds else None


# ---- which number goes with which look


def _broods(pieces: Sequence[_Piece]) -> list[list[_Piece]]:
    """The pieces of each part that a semicolon or the end of a line closes."""
    found: list[list[_Piece]] = [[]]
    for piece in pieces:
        if piece.kind is _Kind.END and piece.text in (";", "\n"):
            found.append([])
        else:
            found[-1].append(piece)
    return [brood for brood in found if any(piece.kind is not _Kind.END for piece in brood)]


def _items(pieces: Sequence[_Piece]) -> Iterator[tuple[str, list[_Piece]]]:
    """Each number with the pieces that say of what."""
    for part in _parts(pieces):
        numbers = [at for at, piece in enumerate(part) if piece.kind is _Kind.NUMBER]
        if not numbers:
            # "no ember, 17 wild": none of those was seen.
            if part[0].text not in _NOT or len(part) == 1:
                raise _NotRead(_said(part))
            yield "0", part
        elif numbers[0] == 0 and numbers[-1] != len(part) - 1:
            ends = [*numbers[1:], len(part)]
            for number, end in zip(numbers, ends, strict=True):
                yield part[number].text, part[number + 1 : end]
        elif numbers[0] > 0 and numbers[-1] == len(part) - 1:
            starts = [0, *(number + 1 for number in numbers[:-1])]
            for start, number in zip(starts, numbers, strict=True):
                yield part[number].text, part[start:number]
        else:
            raise _NotRead(_said(part))


def _parts(pieces: Sequence[_Piece]) -> list[list[_Piece]]:
    """The pieces between commas; "ember, no frost" stays together, and an "and" at either end is dropped."""
    parts: list[list[_Piece]] = [[]]
    for piece in pieces:
        if piece.kind is _Kind.END:
            parts.append([])
        elif piece.kind is not _Kind.JOIN or parts[-1] or piece.text == "or":
            parts[-1].append(piece)
    joined: list[list[_Piece]] = []
    for part in parts:
        while part and part[-1].kind is _Kind.JOIN and part[-1].text != "or":
            part.pop()
        if part and joined and part[0].text in _NOT and joined[-1][-1].kind is not _Kind.NUMBER:
            joined[-1] += part
        elif part:
            joined.append(part)
    return joined


def _said(part: Sequence[_Piece]) -> str:
    return " ".join(piece.text for piece in part)


# ---- what a look is


def _bare(pieces: Sequence[_Piece], traits: Sequence[Scored], expected: Collection[Looks]) -> list[str | None]:
    """What the bare name of each trait means; None if it might be one dose or two."""
    one_dose_named = any(piece.text in _ONE_DOSE for piece in pieces if piece.kind is _Kind.WORD)
    meanings: list[str | None] = []
    for at, trait in enumerate(traits):
        shown = {looks[at] for looks in expected} - {Appearance.WILD}
        if not _has_doses(trait):
            meanings.append(Appearance.FULL)
        elif len(shown) == 1:
            meanings += shown
        else:
            meanings.append(Appearance.FULL if one_dose_named else None)
    return meanings


def _looks(phrase: Sequence[_Piece], traits: Sequence[Scored], bare: Sequence[str | None]) -> Looks:
    """How young look that are called so. Raises _NotRead if a word is left over, or nothing is said."""
    looks: dict[int, str | None] = {}
    state, words = "", set[str]()
    for at, piece in enumerate(phrase):
        last = next(reversed(looks), None)
        if piece.kind is _Kind.TRAIT:
            look = _look_of(piece, traits[piece.trait], state, bare[piece.trait], phrase)
            denied = last is not None and looks[last] is Appearance.WILD and look is not Appearance.WILD
            # "no ember and frost" may deny both.
            if piece.trait in looks or (denied and phrase[at - 1].text != "but"):
                raise _NotRead(_said(phrase))
            looks[piece.trait], state = look, ""
        elif piece.text in _NOT | _ONE_DOSE | _TWO_DOSES:
            if state:
                raise _NotRead(_said(phrase))
            # "frost in one dose, no ember": the dose stands after its trait.
            before_a_trait = any(one.kind is _Kind.TRAIT for one in phrase[at + 1 : at + 2])
            if last is not None and piece.text not in _NOT and not before_a_trait:
                looks[last] = _look(traits[last], piece.text, None, phrase)
            else:
                state = piece.text
        elif piece.kind is not _Kind.JOIN:
            words.add(piece.text)
        elif piece.text == "or" and not (looks and any(one.text in _NOT for one in phrase[at + 1 : at + 2])):
            # "no ember or no frost" is one look, "ember or frost" is two.
            raise _NotRead(_said(phrase))
    if words & _FOR_ALL or not looks:
        looks = _of_words(words, looks, bare)
        words -= _FOR_ALL
    shown = any(look != _wild(traits[at]) for at, look in looks.items())
    left = words - _WILD - _VISUAL - {"but"}
    if left or state or (words & _WILD and shown) or not (words & _WILD or looks):
        raise _NotRead(_said(phrase))
    if None in looks.values():
        raise _NotRead(_said(phrase), doses=True)
    return tuple(looks.get(at) or _wild(trait) for at, trait in enumerate(traits))


def _wild(scored: Scored) -> str:
    return Appearance.WILD if isinstance(scored, Trait) else scored.wild


def _has_doses(scored: Scored) -> bool:
    """Whether one copy looks different from two."""
    if isinstance(scored, Trait):
        return scored.dominance is Dominance.INCOMPLETE
    return Appearance.PARTIAL in scored.labels


def _of_words(
    words: Collection[str], named: Mapping[int, str | None], bare: Sequence[str | None]
) -> dict[int, str | None]:
    """What "both", "neither" and "visuals" say; "both" may stand beside the two traits that it means."""
    said = {word for word in words if word in _FOR_ALL}
    if said == {"both"} and len(bare) == 2 and len(named) in (0, 2) and Appearance.WILD not in named.values():
        return dict(named) or dict(enumerate(bare))
    if said == {"neither"} and len(bare) == 2 and not named:
        return dict.fromkeys(range(2), Appearance.WILD)
    return {0: bare[0]} if not said and len(bare) == 1 and _VISUAL & set(words) else {}


def _look_of(piece: _Piece, trait: Scored, state: str, bare: str | None, phrase: Sequence[_Piece]) -> str | None:
    if piece.look is None:
        return _look(trait, state, bare, phrase)
    if state:
        raise _NotRead(_said(phrase))
    return piece.look


def _look(trait: Scored, state: str, bare: str | None, phrase: Sequence[_Piece]) -> str | None:
    if state in _NOT:
        return Appearance.WILD
    if not state:
        return bare
    if not _has_doses(trait):
        # Whether an animal has one copy or two does not show, so nobody has counted it.
        raise _NotRead(_said(phrase))
    return Appearance.PARTIAL if state in _ONE_DOSE else Appearance.FULL
