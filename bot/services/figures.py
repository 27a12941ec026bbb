"""Numbers of animals as people say them, and the words and signs of a typed count in a row.

    figure  = [about] ("between" number "and" number | [at least] number ["-" number] [after])
    number  = digits | words up to a thousand | number "dozen" | number "k"
    about   = "about", "~", "maybe", ...         at least = "at least", "over", ">", ...
    after   = "ish" | "or so" | "?" | "+" | "or more" | "±" number

A figure that is judged says so: with "about", a round word ("a hundred", "3 dozen") or a "?". Everything here works on
folded text; `lexed` makes the pieces that `Figures` reads.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum, auto
from fractions import Fraction

from bot.records import Exactness
from bot.services.tally import MOST


class Kind(Enum):
    """What a piece of a typed count is."""

    INTEGER = auto()
    DECIMAL = auto()
    SEXES = auto()
    TRAIT = auto()
    WORD = auto()
    SIGN = auto()


@dataclass(frozen=True, slots=True)
class Piece:
    """A number, a word or a sign. `value` is a whole number's, `close` that no blank stands before it."""

    kind: Kind
    text: str
    value: int = 0
    close: bool = False


@dataclass(frozen=True, slots=True)
class Figure:
    """How many, how that is known, and the bounds of a range.

    Raises:
        ValueError: a number is negative, or `total` is not between the bounds, or a range has none.
    """

    total: int
    exactness: Exactness = Exactness.EXACT
    low: int | None = None
    high: int | None = None

    def __post_init__(self) -> None:
        bounds = (self.low, self.high)
        if (self.exactness is Exactness.RANGE) is (None in bounds):
            raise ValueError(f"bounds belong to a range: {self}")
        if not 0 <= self.least <= self.total <= self.most:
            raise ValueError(f"{self.total} is not between {self.low} and {self.high}")

    @property
    def least(self) -> int:
        """The least it may be, as far as was said."""
        return self.total if self.low is None else self.low

    @property
    def most(self) -> int:
        """The most it may be, as far as was said."""
        return self.total if self.high is None else self.high


class FigureProblem(Exception):
    """A number that cannot be taken: `kind` is a word of `CountProblem`, `rest` is what stands in the way."""

    def __init__(self, kind: str, rest: str, offer: str = "") -> None:
        super().__init__(kind, rest)
        self.kind, self.rest, self.offer = kind, rest, offer


_LEXER = re.compile(
    r"(?P<grouped>\d{1,3}(?:[,'’\u00a0\u2009\u202f ]\d{3})+(?![\d.,]\d|\d))"
    r"|(?P<sexes>\d+\.\d+\.\d+)|(?P<decimal>\d+[.,]\d+)|(?P<integer>\d+)"
    r"|(?P<word>[^\W\d_]+(?:['’][^\W\d_]+)*)|(?P<sign>\+\s?/\s?[-−]|\+[-−]|>=|<=|\.\.+|\S)"
)
_LONGEST = 9
"""Digits of the longest number read: no count has as many, and Python reads numbers of any length slowly."""


def lexed(text: str, traits: "re.Pattern[str] | None") -> list[Piece]:
    """The pieces of a folded text; `traits` finds the names that are taken whole wherever a word may begin."""
    found: list[Piece] = []
    at = 0
    while at < len(text):
        if text[at].isspace() and text[at] != "\n":
            at += 1
            continue
        close = at > 0 and not text[at - 1].isspace()
        named = traits.match(text, at) if traits is not None and not (at and text[at - 1].isalpha()) else None
        if named is not None:
            found.append(Piece(Kind.TRAIT, named[0], close=close))
            at = named.end()
            continue
        if text[at] == "\n":
            found.append(Piece(Kind.SIGN, "\n"))
            at += 1
            continue
        match = _LEXER.match(text, at)
        if match is not None:  # always: the last alternative is any sign
            found.append(_piece(match, close))
            at = match.end()
    return found


def _piece(match: "re.Match[str]", close: bool) -> Piece:
    text = match[0]
    if match.lastgroup in ("grouped", "integer"):
        digits = re.sub(r"\D", "", text)
        return Piece(Kind.INTEGER, text, int(digits) if len(digits) <= _LONGEST else 10**_LONGEST, close)
    kinds = {"sexes": Kind.SEXES, "decimal": Kind.DECIMAL, "word": Kind.WORD, "sign": Kind.SIGN}
    return Piece(kinds[match.lastgroup or "sign"], text, close=close)


ABOUT = frozenset(
    {
        "about", "around", "approximately", "approx", "roughly", "nearly", "almost", "maybe", "perhaps", "probably", "circa",
        "ca", "c", "est", "estimated", "guess", "guessing", "say", "~", "≈", "∼", "?",
    }
)  # fmt: skip
_MINUS = frozenset({"-", "−", "–", "—"})
_TO = _MINUS | {"to", "..", "...", "or", "til", "till"}
_UNITS = {
    word: value
    for value, word in enumerate(
        ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"]
    )
}  # fmt: skip
_TENS = {
    word: 10 * value
    for value, word in enumerate(
        ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"], start=2
    )
}
_DOZEN = frozenset({"dozen", "dozens", "doz"})
_LEAST = (("at", "least"), ("more", "than"), ("over",), ("above",), ("min",), ("minimum",), (">=",), (">",), ("≥",))
_MOST = (("at", "most"), ("less", "than"), ("fewer", "than"), ("up", "to"), ("under",), ("below",), ("max",), ("<",), ("<=",), ("≤",))  # fmt: skip


@dataclass(slots=True)
class Figures:
    """Reads figures out of pieces. `at` is where it stands."""

    pieces: Sequence[Piece]
    at: int = 0

    def peek(self, ahead: int = 0) -> Piece | None:
        """The piece that stands so far ahead."""
        place = self.at + ahead
        return self.pieces[place] if place < len(self.pieces) else None

    def words(self, *texts: str) -> bool:
        """Whether these very pieces stand next."""
        return all((piece := self.peek(i)) is not None and piece.text == text for i, text in enumerate(texts))

    def take(self, *texts: str) -> bool:
        """Pass these pieces, if they stand next."""
        if not self.words(*texts):
            return False
        self.at += len(texts)
        return True

    def _dot(self) -> None:
        if (piece := self.peek()) is not None and piece.text == "." and piece.close:
            self.at += 1

    def _take_any(self, phrases: Sequence[tuple[str, ...]]) -> bool:
        if any(self.take(*phrase) for phrase in phrases):
            self._dot()
            return True
        return False

    def figure(self) -> Figure | None:
        """The figure that stands next, or None with nothing passed.

        Raises:
            FigureProblem: a number stands there that is no number of animals.
        """
        start = self.at
        judged = False
        while (piece := self.peek()) is not None and piece.text in ABOUT:
            self.at += 1
            self._dot()
            judged = True
        if self.take("between"):
            found = self._between(judged)
        else:
            at_least = self._take_any(_LEAST)
            upper = not at_least and self._take_any(_MOST)
            found = self._plain(judged, at_least)
            if found is not None and upper:
                raise FigureProblem("no floor", self._said(start))
        if found is None:
            self.at = start
        elif found.most > MOST:
            raise FigureProblem("too many", self._said(start))
        return found

    def _said(self, start: int) -> str:
        return " ".join(piece.text for piece in self.pieces[start : self.at])

    def _between(self, judged: bool) -> Figure | None:
        first = self._number()
        if first is None or not self.take("and"):
            return None
        second = self._number()
        return None if second is None else self._range(first[0], second[0], judged)

    def _range(self, low: int, high: int, judged: bool) -> Figure:
        if high <= low:
            raise FigureProblem("backwards", f"{low}-{high}", f"{high}-{low}" if high < low else f"{low}")
        self._after(judged)
        return Figure((low + high) // 2, Exactness.RANGE, low, high)

    def _plain(self, judged: bool, at_least: bool) -> Figure | None:
        negative = (piece := self.peek()) is not None and piece.text in _MINUS
        if negative:
            self.at += 1
        first = self._number()
        if first is None:
            return None
        if negative:
            raise FigureProblem("negative", f"-{first[0]}")
        value, rounded = first
        second = None if at_least else self._second()
        if second is not None:
            low = value * second[1] if not rounded else value
            return self._range(low, second[0], judged)
        if self._take_any((("±",), ("+/-",), ("+-",), ("+/−",), ("+−",))):
            return self._give_or_take(value)
        judged, more = self._after(judged or rounded)
        if at_least or more:
            return Figure(value, Exactness.AT_LEAST)
        return Figure(value, Exactness.ESTIMATE if judged else Exactness.EXACT)

    def _give_or_take(self, value: int) -> Figure:
        by = self._number()
        if by is None:
            return Figure(value, Exactness.ESTIMATE)
        if by[0] == 0:
            return Figure(value)
        low = max(0, value - by[0])
        return Figure(value, Exactness.RANGE, low, value + by[0])

    def _second(self) -> tuple[int, int] | None:
        """The upper end of a range, and what multiplies its lower end too ("5-6 dozen")."""
        start = self.at
        sign = self.peek()
        if sign is not None and sign.text in _TO:
            self.at += 1
            plain = self.peek()
            found = self._number()
            if found is not None:
                factor = found[0] // plain.value if plain is not None and plain.value and found[1] else 1
                return found[0], factor
        self.at = start
        return None

    def _after(self, judged: bool) -> tuple[bool, bool]:
        """Whether what follows makes the figure a judged one, and whether it makes it a least."""
        more = False
        while True:
            nearer = (piece := self.peek()) is not None and piece.close
            following = self.peek(1)
            if (
                self.take("-", "ish")
                or self.take("ish")
                or self.take("-", "odd")
                or self.take("odd")
                or self.take("or", "so")
                or self.take("give", "or", "take")
            ):
                judged = True
            elif self.take("or", "more") or self.take("at", "least") or self.take("and", "counting"):
                more = True
            elif self.words("plus") and following is None:
                self.at += 1
                more = True
            elif nearer and self.words("?"):
                self.at += 1
                judged = True
            elif nearer and self.words("+") and (following is None or following.kind is not Kind.INTEGER):
                self.at += 1
                more = True
            else:
                return judged, more

    def _number(self) -> tuple[int, bool] | None:
        """A whole number, and whether it was said in a round word."""
        piece = self.peek()
        if piece is None or piece.kind not in (Kind.INTEGER, Kind.DECIMAL, Kind.WORD):
            return None
        if piece.kind is Kind.WORD:
            return self._in_words()
        self.at += 1
        return self._multiplied(
            Fraction(piece.value if piece.kind is Kind.INTEGER else piece.text.replace(",", ".")), piece
        )

    def _in_words(self) -> tuple[int, bool] | None:
        start = self.at
        article = self.take("a")
        if self.take("half", "a", "dozen") or self.take("half", "dozen"):
            return 6, True
        if self.take("couple", "of") or self.take("couple"):
            return (self._multiplied(Fraction(2), None)[0], True)
        spelt = self._spelt()
        if spelt is None and article and self._on_round_word():
            spelt = 1
        if spelt is None:
            self.at = start
            return None
        return self._multiplied(Fraction(spelt), None)

    def _on_round_word(self) -> bool:
        return (piece := self.peek()) is not None and piece.text in (*_DOZEN, "hundred", "thousand")

    def _multiplied(self, value: Fraction, piece: Piece | None) -> tuple[int, bool]:
        nearer = (following := self.peek()) is not None and following.close
        if following is not None and following.text in _DOZEN:
            self.at += 1
            self._dot()
            value, rounded = 12 * value, True
        elif self.take("hundred"):
            value, rounded = 100 * value, True
            if self._spelt_ahead(1 if self.words("and") else 0):
                self.take("and")
                value, rounded = value + (self._spelt() or 0), False
        elif self.take("thousand") or (piece is not None and nearer and self.take("k")):
            value, rounded = 1000 * value, True
        else:
            rounded = False
        if value.denominator > 1:
            raise FigureProblem("not whole", piece.text if piece is not None else "")
        return min(int(value), 10**_LONGEST), rounded

    def _spelt_ahead(self, ahead: int) -> bool:
        return (piece := self.peek(ahead)) is not None and (piece.text in _UNITS or piece.text in _TENS)

    def _spelt(self) -> int | None:
        """A number in words below a hundred: "seven", "twenty five", "twenty-five"."""
        piece = self.peek()
        if piece is None or piece.kind is not Kind.WORD:
            return None
        if piece.text in _UNITS:
            self.at += 1
            return _UNITS[piece.text]
        if piece.text not in _TENS:
            return None
        self.at += 1
        tens = _TENS[piece.text]
        hyphen = self.words("-")
        unit = self.peek(1 if hyphen else 0)
        if unit is not None and 1 <= _UNITS.get(unit.text, 0) <= 9:
            self.at += 2 if hyphen else 1
            return tens + _UNITS[unit.text]
        return tens
