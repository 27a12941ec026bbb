"""The items of a typed count: each a number, or what else is said, and the class of animals that it is said of."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from bot.records import Seen, Sex, Stage
from bot.services.count_words import (
    AFTER_WILD,
    DOUBTFUL,
    FILLERS,
    INSIDE,
    MEANINGS,
    PLAIN,
    SAID,
    SEPARATORS,
    SOFT,
    TOTAL,
    WILD,
    AnimalClass,
    Doubt,
)
from bot.services.figures import Figure, Figures, Kind, Piece


@dataclass(frozen=True, slots=True)
class Item:
    """A number or another saying, and of which animals; `animals` None for a number, or a "?", of no class.

    `whole` marks a number that is said to be of the whole bin, `inside` an item that is a part of the one before it.
    """

    said: Seen
    figure: Figure | None = None
    animals: AnimalClass | None = None
    doubts: frozenset[Doubt] = frozenset()
    whole: bool = False
    inside: bool = False


class NotRead(Exception):
    """Something that is no part of a count."""

    def __init__(self, rest: str) -> None:
        super().__init__(rest)
        self.rest = rest


@dataclass(slots=True)
class _Open:
    """The item that is being read."""

    said: Seen | None = None
    figure: Figure | None = None
    animals: AnimalClass | None = None
    doubts: frozenset[Doubt] = frozenset()
    whole: bool = False
    words: str = ""
    joined_by: str = ""

    @property
    def empty(self) -> bool:
        return self.said is None and self.animals is None


class _Reader:
    """Reads items out of pieces, one after another."""

    def __init__(self, pieces: Sequence[Piece], traits: Mapping[str, str]) -> None:
        self._in = Figures(pieces)
        self._traits = traits
        self._items: list[Item] = []
        self._open = _Open()
        self._alone = True
        self._inside = False
        self._awaits_whole = False

    def read(self) -> list[Item]:
        while (piece := self._in.peek()) is not None:
            self._step(piece)
        self._close(end=True)
        return self._items

    def _step(self, piece: Piece) -> None:
        if piece.kind is Kind.SEXES:
            self._sexes(piece)
        elif self._total() or self._within() or self._sayings():
            return
        elif piece.text in SEPARATORS:
            self._separate(piece)
        elif self._is_dash():
            self._in.at += 1
        elif (figure := self._in.figure()) is not None:
            self._say(Seen.COUNTED, figure, piece.text)
        elif not self._class_word(piece) and not self._loose_word(piece):
            raise NotRead(piece.text)

    def _sexes(self, piece: Piece) -> None:
        """ "2.3.5" as keepers of many animals write it: males, females, unsexed (common practice, no source)."""
        self._close()
        self._in.at += 1
        for sex, digits in zip((Sex.MALE, Sex.FEMALE, Sex.UNKNOWN), piece.text.split("."), strict=True):
            number = min(int(digits[:9]), 10**9)
            self._items.append(Item(Seen.COUNTED, Figure(number), AnimalClass(sex=sex)))

    def _total(self) -> bool:
        for phrase in TOTAL:
            if self._in.take(*phrase):
                if self._open.figure is not None and self._open.animals is None:
                    self._open.whole = True
                else:
                    self._close()
                    self._awaits_whole = True
                return True
        return False

    def _within(self) -> bool:
        """What follows is a part of what was said last."""
        if self._in.take(")") or self._in.take("]"):
            self._close()
            self._inside = False
            return True
        if self._in.words("=") and (self._open.figure is not None or (self._open.empty and self._items)):
            self._close()
            self._in.at += 1
            self._awaits_whole = True
            return True
        last = self._open
        bare = last.figure is not None and last.animals is None
        if self._in.words(":") or self._in.words("with"):
            if bare:
                last.whole = True
                self._close()
            elif self._in.words("with"):
                self._close()
            self._in.at += 1
            return True
        for phrase in INSIDE:
            if self._in.take(*phrase):
                if bare:
                    last.whole = True
                self._close()
                if self._items and self._items[-1].animals is None:
                    self._items[-1] = replace(self._items[-1], whole=True)
                else:
                    self._inside = bool(self._items)
                return True
        return False

    def _sayings(self) -> bool:
        for phrase, said in SAID:
            if self._in.words(*phrase):
                after = self._in.peek(len(phrase))
                if phrase == ("?",) and self._open.animals is None and after is not None and after.kind is Kind.INTEGER:
                    return False
                self._in.at += len(phrase)
                self._say(said, None, " ".join(phrase))
                return True
        return False

    def _say(self, said: Seen, figure: Figure | None, words: str) -> None:
        now = self._open
        if now.said is not None:
            self._close()
            now = self._open
        now.said, now.figure = said, figure
        now.words = now.words or words
        now.whole, self._awaits_whole = self._awaits_whole and figure is not None, False
        if now.animals is not None:
            # "adults 12": the number closes what its class began.
            self._close()

    def _is_dash(self) -> bool:
        """A dash that parts, and no minus: between words, or before each line."""
        piece, after = self._in.peek(), self._in.peek(1)
        if piece is None or piece.text not in ("-", "−", "–", "—"):
            return False
        first = not self._items and self._open.empty
        lines = any(each.text == "\n" for each in self._in.pieces)
        return (not first and (piece.close or after is None or not after.close)) or (first and lines)

    def _class_word(self, piece: Piece) -> bool:
        found, doubt = self._meaning(piece)
        if found is None and doubt is None:
            return False
        now = self._open
        joined = found if now.animals is None or found is None else now.animals.joined(found)
        if (found is not None and joined is None) or (doubt is not None and now.doubts):
            self._close()
            now, joined = self._open, found
        if found is not None:
            now.animals = joined
        elif now.animals is None:
            now.animals = AnimalClass()
        if doubt is not None:
            now.doubts = frozenset({doubt})
        now.words = now.words or piece.text
        return True

    def _meaning(self, piece: Piece) -> tuple[AnimalClass | None, Doubt | None]:
        """The class that the words here name; they are passed."""
        self._in.at += 1
        word = self._whole_word(piece.text)
        if piece.kind is Kind.TRAIT:
            return AnimalClass(traits=(self._traits[_folded_name(word, self._traits)],)), None
        if word in WILD:
            any(self._in.take(*tail) for tail in AFTER_WILD)
        plain = PLAIN.get(word)
        after = self._in.peek()
        counted = self._open.figure is not None
        if word == "a" and counted and self._open.animals is None and (after is None or after.kind is not Kind.WORD):
            plain = AnimalClass(stage=Stage.ADULT)
        if word == "m" and self._inside:
            # Within "12 adults (7 m)" no manca can be.
            plain = AnimalClass(sex=Sex.MALE)
        doubt = DOUBTFUL.get(word) if plain is None else None
        if (plain is None and doubt is None) or (word == "u" and not counted):
            self._in.at -= 1
            return None, None
        return plain, doubt

    def _whole_word(self, word: str) -> str:
        """The word, with the rest of "sub-adults"."""
        after = self._in.peek(1)
        if word == "sub" and self._in.words("-") and after is not None:
            self._in.at += 2
            return f"sub{after.text}"
        return word

    def _loose_word(self, piece: Piece) -> bool:
        """ "seen", "counted", and words that add nothing."""
        now = self._open
        if piece.text == "seen" and now.said is None and now.animals is not None:
            self._in.at += 1
            self._say(Seen.SOME, None, piece.text)
            return True
        if piece.text == "counted" and now.said is Seen.NONE and now.animals is not None:
            now.doubts |= {Doubt.NONE_COUNTED}
        if piece.text in ("seen", "counted") or piece.text in FILLERS:
            self._in.at += 1
            return True
        return False

    def _separate(self, piece: Piece) -> None:
        self._in.at += 1
        self._close()
        self._open.joined_by = piece.text
        self._alone = True

    def _close(self, *, end: bool = False) -> None:
        """Make an item of what was read."""
        now, self._open = self._open, _Open()
        if now.empty:
            self._open.joined_by = now.joined_by
            return
        following = self._in.peek()
        last_of_part = end or following is None or following.text in (*SEPARATORS, ")", "]")
        if now.said is None:
            alone = self._alone and last_of_part and now.joined_by not in SOFT
            if not alone or now.animals is None or now.animals.stage is None or now.doubts:
                raise NotRead(now.words)
            now.said = Seen.SOME
        if now.words == "none" and now.animals is None:
            now.said, now.figure = Seen.COUNTED, Figure(0)
        if now.said is not Seen.COUNTED and now.animals is None and now.words != "?":
            raise NotRead(now.words)
        self._items.append(
            Item(now.said, now.figure, now.animals, now.doubts, now.whole, self._inside and now.animals is not None)
        )
        self._alone = False


def items(pieces: Sequence[Piece], traits: Mapping[str, str]) -> list[Item]:
    """The items of a count, in the order they stand; `traits` are the names by their folded spelling.

    Raises:
        NotRead: something is no part of a count.
        FigureProblem: a number is no number of animals.
    """
    return _Reader(pieces, traits).read()


def trait_pattern(traits: Mapping[str, str]) -> "re.Pattern[str] | None":
    """What finds the names of traits in folded text, the longest first; None without any."""
    names = [name for name in traits if not name[0].isdigit()]
    if not names:
        return None
    return re.compile("|".join(_name(name) for name in sorted(names, key=len, reverse=True)))


def _name(name: str) -> str:
    words = r"\s+".join(map(re.escape, name.split()))
    return rf"{words}(?:e?s)?(?![\w\u200d])" if name[-1].isalnum() else rf"{words}(?!\u200d)"


def _folded_name(text: str, traits: Mapping[str, str]) -> str:
    """Which name was found, whatever its blanks and its plural."""
    plain = " ".join(text.split())
    candidates = (plain, plain.removesuffix("s"), plain.removesuffix("es"))
    return next(candidate for candidate in candidates if candidate in traits)


def resolved(every: Sequence[Item], doubt: Doubt) -> Iterator[list[Item]]:
    """The items with each meaning of a doubtful word."""
    if doubt is Doubt.NONE_COUNTED:
        for said in (Seen.NOT_COUNTED, Seen.NONE):
            yield [replace(i, said=said, doubts=i.doubts - {doubt}) if doubt in i.doubts else i for i in every]
        return
    for meaning in MEANINGS[doubt]:
        yield [_meant(item, doubt, meaning) if doubt in item.doubts else item for item in every]


def _meant(item: Item, doubt: Doubt, meaning: AnimalClass) -> Item:
    joined = (item.animals or AnimalClass()).joined(meaning)
    if joined is None:
        raise NotRead("m" if doubt is Doubt.MALE_OR_MANCA else "young")
    return replace(item, animals=joined, doubts=item.doubts - {doubt})
