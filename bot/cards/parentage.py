"""How the parents of a cross are said: who they are taken to be, and which of that the answer leans on."""

from fractions import Fraction

from bot.cards import words
from bot.services.odds import Odds
from bot.services.parentage import Leaning, Parentage, Stored
from genetics.parents import LATER_MALE

_KEPT = 3


def parents_line(odds: Odds) -> str:
    """Who the dam and the sire are taken to be."""
    if odds.sire is None:
        return f"Mother: {_side(odds.dam)}; no sire."
    return f"Dam: {_side(odds.dam)} · sire: {_side(odds.sire)}."


def _side(side: Parentage) -> str:
    written = words.plain(side.written)
    if side.label is None:
        return written
    return f"{words.bin_name(side.label.code, side.label.name)}, recorded as {written}"


def leans_on(odds: Odds) -> list[str]:
    """Which assumption about the parents carries the answer, a line each, the weightiest first."""
    leaning = odds.leaning
    said = [] if leaning.stored is None else [_stored(odds, leaning.stored)]
    if odds.uncertain and len(odds.phase_unknown) < 2:
        said += _uncertain(leaning)
    if leaning.dams > 1:
        mates = (
            "all with this one sire"
            if leaning.one_sire
            else "each with a mate of her own, if more than one male is there"
        )
        said.append(
            f"{leaning.dams} dams, {mates}; any of them may be the mother of a young, and how many each has is left open."
        )
    if leaning.sires > 1:
        said.append(
            f"One brood has {leaning.sires} sires here, each by himself. The first has {words.percent(1 - LATER_MALE)} of "
            "the young, as in the one published trial of two males; the others share the rest."
        )
    return said


def cases(odds: Odds) -> str:
    """The head of a table that is an average."""
    simple = odds.leaning == Leaning()
    return "On average over both cases:" if simple else "On average over all cases:"


def _kept_as(leaning: Leaning) -> str:
    said = []
    for one in leaning.kept_as[:_KEPT]:
        name = words.plain(one.trait.name)
        told = [f"{words.in_words(one.once)} such {one.role}s carry {name} once"] if one.once else []
        told += (
            [
                f"{words.in_words(one.twice)} twice"
                if told
                else f"{words.in_words(one.twice)} such {one.role}s have {name} twice"
            ]
            if one.twice
            else []
        )
        said.append(words.listed(told))
    return f" {words.listed(said)[:1].upper()}{words.listed(said)[1:]}." if said else ""


def _stored(odds: Odds, stored: Stored) -> str:
    males = _side(stored.males)
    if stored.share is not None:
        taken = f"{words.percent(stored.share)} of the young are taken to be sired by them"
    else:
        taken = (
            "our guess is that half such dams have sperm left, and then "
            f"{words.percent(1 - LATER_MALE)} ± 15 of a brood comes of it"
        )
    target = odds.target
    alone = _alone(stored.without) if target is not None else ""
    return f"What carries this answer: the dam had males before ({males}); {taken}.{alone}"


def _alone(share: Fraction) -> str:
    return f" If none is left, {words.in_words(share)} will show it."


def _uncertain(leaning: Leaning) -> list[str]:
    if leaning.mixed:
        return [
            "What carries this answer: the numbers of each kind. A brood has one dam and one sire, drawn by these numbers, "
            "and comes out as they do; what goes together in an animal stays together. The shares above are the average."
        ]
    if leaning.kept:
        return [
            f"What carries this answer: where the parent comes from.{_kept_as(leaning)} It is one or the other, and a brood "
            "comes out by that; the shares above are the average."
        ]
    if leaning.stored is not None or leaning.sires > 1:
        return []
    return [
        "What carries this answer: the figure. A parent is only possibly a carrier. Either it is or it is not, and a brood "
        "comes out one way or the other; the shares above are the average."
    ]
