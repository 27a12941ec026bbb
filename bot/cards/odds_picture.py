"""The picture of a cross: the square of gametes where one square tells all of it, else the classes as bars."""

from collections.abc import Sequence
from fractions import Fraction

from bot.cards import words
from bot.cards.card import Card, Drawing
from bot.cards.models import young_of_sex
from bot.cards.odds import class_name, odds_card
from bot.cards.parentage import cases
from bot.pictures.bars import MOST_ROWS, Bar, BarPicture, Group
from bot.pictures.grid import MOST_LOOKS, Edge, GridPicture, Square
from bot.services.odds import ClassOdds, Odds
from bot.services.odds_picture import Pictured
from genetics import Cell, Gamete, GameteTable, Sex

_SIGNS = {Sex.FEMALE: "♀", Sex.MALE: "♂", None: ""}
_LONGEST_FRACTION = 5
_SAID = 9
"""The most looks that are named in the words for those who can't see the picture."""


def picture_card(pictured: Pictured) -> Card:
    """The answer in a sentence, and the picture."""
    return Card(lead=odds_card(pictured.odds).lead, drawings=(drawing_of(pictured),), private=True)


def drawing_of(pictured: Pictured) -> Drawing:
    """What is drawn of a cross."""
    odds, table = pictured.odds, pictured.table
    if table is None or len(odds.classes) > MOST_LOOKS:
        return _bars(odds)
    return _grid(odds, table)


def _grid(odds: Odds, table: GameteTable) -> GridPicture:
    number = {tuple(one.looks.values()): at for at, one in enumerate(odds.classes)}
    even = len({share for _, share in table.shares()}) == 1
    squares = tuple(
        tuple(
            Square(cell.genotype, number[cell.looks], _note(cell, None if even else egg.share * sperm.share))
            for cell, sperm in zip(row, table.sire, strict=True)
        )
        for egg, row in zip(table.dam, table.cells, strict=True)
    )
    return GridPicture(
        title=_title(odds),
        eggs=_edges(table.dam),
        sperm=_edges(table.sire),
        squares=squares,
        looks=tuple((_name(one), _share_in_words(odds, one)) for one in odds.classes),
        alternative=f"{_said(odds)} {_square_in_words(table)}",
    )


def _note(cell: Cell, share: Fraction | None) -> str:
    return " ".join(filter(None, (_SIGNS[cell.sex], "" if share is None else words.percent(share))))


def _edges(kinds: Sequence[Gamete]) -> tuple[Edge, ...]:
    even = len({one.share for one in kinds}) == 1
    return tuple(Edge(one.text, "" if even else words.percent(one.share)) for one in kinds)


def _share_in_words(odds: Odds, group: ClassOdds) -> str:
    said = f"{words.in_words(group.share)} ({words.percent(group.share)})"
    if not odds.by_sex:
        return said
    parts = [
        f"{words.in_words(sum((c.share for c in one.classes if c.looks == group.looks), Fraction(0)))} of the "
        f"{young_of_sex(one.sex)}"
        for one in odds.by_sex
    ]
    return words.listed(parts)


def _square_in_words(table: GameteTable) -> str:
    eggs, sperm = (" · ".join(one.text for one in kinds) for kinds in (table.dam, table.sire))
    sexes = {cell.sex for row in table.cells for cell in row}
    marked = "" if sexes == {None} else " ♀ marks daughters, ♂ sons."
    return f"A square of eggs ({eggs}) by sperm ({sperm}), each cell with its genotype and its look.{marked}"


def _bars(odds: Odds) -> BarPicture:
    if odds.by_sex:
        told = [one for one in odds.by_sex if one.share]
        most = MOST_ROWS // len(told)
        groups = tuple(
            Group(
                f"{_capital(young_of_sex(one.sex))}, {words.in_words(one.share)} of the young", _rows(one.classes, most)
            )
            for one in told
        )
    else:
        groups = (Group(cases(odds).rstrip(":") if odds.uncertain else "", _rows(odds.classes, MOST_ROWS)),)
    return BarPicture(title=_title(odds), groups=groups, alternative=_said(odds))


def _rows(classes: Sequence[ClassOdds], most: int) -> tuple[Bar, ...]:
    """The classes as bars; of more than fit, the likeliest, and what is left as one."""
    ranked = sorted(classes, key=lambda one: one.share, reverse=True)
    kept = ranked if len(ranked) <= most else ranked[: most - 1]
    bars = [Bar(_name(one), one.share, _figure(one.share)) for one in kept]
    rest = sum((one.share for one in ranked[len(kept) :]), Fraction(0))
    if rest:
        count = words.plural(len(ranked) - len(kept), "rarer look")
        bars.append(Bar(f"{count} together", rest, _figure(rest)))
    return tuple(bars)


def _figure(share: Fraction) -> str:
    exact = words.exact(share)
    percent = words.percent(share)
    return f"{percent} · {exact}" if len(exact) <= _LONGEST_FRACTION and share < 1 else percent


def _said(odds: Odds) -> str:
    """The shares in words, the likeliest first."""
    ranked = sorted(odds.classes, key=lambda one: one.share, reverse=True)
    kept = ranked if len(ranked) <= _SAID else ranked[: _SAID - 1]
    parts = [f"{_name(one)} {_share_in_words(odds, one)}" for one in kept]
    rest = sum((one.share for one in ranked[len(kept) :]), Fraction(0))
    if rest:
        parts.append(f"{words.plural(len(ranked) - len(kept), 'rarer look')} together {words.percent(rest)}")
    return f"Young of {_title(odds)}: {'; '.join(parts)}."


def _title(odds: Odds) -> str:
    return " ".join(odds.text.split())


def _name(group: ClassOdds) -> str:
    return words.unescaped(class_name(group.looks))


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
