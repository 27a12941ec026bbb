"""A scored brood as people type it: "6 ember 17 wild, 9 weeks, 3 unsure".

What it may hold, in any order, with commas or without:
    looks    the counts of looks as `observed_text` reads them: "6 ember 17 wild", "ember 6"; of one sex with "females" or "f",
             before the number, before the look or after it, or as a heading: "f 3 ember 5 wild; m 2 ember 6 wild"
    beside   "3 unsure", "4 too small", "2 dead", "30 born", "9 weeks", "6 mm", "seen 3 May"; each once
    totals   "20 scored, 4 ember", "4 ember, rest wild, 20 in all"
    nothing  "23 mancae", "about 30 seen, none readable yet": alive and not scored

A trait's bare name counts as its full look. What can be meant in two ways is never guessed: "4 of 20 ember" may leave sixteen wild
ones or sixteen that nobody scored. Then `ScoresUnclear` holds the readings, each as a text that says which.
"""

import difflib
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import product
from typing import Final

from bot.records import Exactness, Sex
from bot.services.days import read_age
from bot.services.lengths import read_length
from bot.services.observed_text import read_observed
from bot.services.refusals import CountNotRead, LengthNotRead, ObservedNotRead
from bot.services.refusals_breeding import LookHasDoses, ScoresNotRead, ScoresUnclear
from bot.services.refusals_days import DayNotRead
from bot.services.scored_doubts import doubts
from bot.services.scored_parts import GROUP, LOOK, SIGNS, Parts, cut, hidden, sexed_headers, shown, tidied
from bot.services.scored_totals import Totals, accounted
from bot.services.scored_values import Look, Scored, written
from bot.services.tally import read_tally
from genetics import Appearance, Dominance, Trait

__all__ = ["Look", "Scored", "read_scored", "written"]

MOST_READINGS: Final = 4
_DEEPEST: Final = 3
_HEADS: Final = {"\ue101": Sex.FEMALE, "\ue102": Sex.MALE}
_SEXES: Final = {
    Sex.FEMALE: re.compile(r"\b(?:females?|daughters?|girls?)\b|(?<=\d)\s*f\b|\bf\b|♀"),
    Sex.MALE: re.compile(r"\b(?:males?|sons?|boys?)\b|(?<=\d)\s*m\b|\bm\b|♂"),
}
_N: Final = r"(?:about\s+|~\s*)?\d[\d,]*"
_OF: Final = re.compile(
    rf"(?P<few>{_N}|\bnone|\bno)\s*(?:(?:out\s+)?of|/)\s*(?:the\s+)?(?P<all>\d+)\s*(?:were\s+|are\s+)?(?P<look>[{SIGNS}])"
    rf"|(?P<few2>{_N}|\bno)\s*(?P<look2>[{SIGNS}])\s*(?:out\s+of|of|in|from)\s+(?:the\s+)?(?P<all2>\d+)(?!\s*[{SIGNS}])"
    r"(?P<young>\s+(?:young|babies|manca[es]*|juveniles?|offspring))?"
)
_OUT_OF: Final = re.compile(r"\b(?:out\s+)?of\s+(?:the\s+)?(\d+)\s*(?=$|[,;\n])")
_REST: Final = re.compile(
    r"(?:\b(?:and|the)\s+)*\b(?:rest|others?|remaining)\b\s*(?:are\s+|were\s+|all\s+)*(?:wild|wt|normal)\S*"
)
_ALL: Final = re.compile(
    rf"\ball\s+({LOOK})\s*[,:]?\s*(\d+)(?:\s+of\s+them)?|(\d+)\s*,?\s*all\s+(?:of\s+them\s+)?({LOOK})|\ball\s+(\d+)\s*({LOOK})"
)
_PAIR: Final = re.compile(r"(\d{1,6})\s*(?::|/|-|–|and|&|\+|\s)\s*(\d{1,6})")
_EDGES: Final = " ,;:\n.-!"
_KNOWN: Final = ("wild", "unsure", "weeks", "dead", "born", "females", "males", "mancae", "unscored", "days")
_ALIKE: Final = 0.7


@dataclass(frozen=True, slots=True)
class _Typed:
    """What was typed, with the traits on record, those that are named in it, and the one that the brood is to tell about."""

    text: str
    traits: tuple[Trait, ...]
    named: tuple[Trait, ...]
    about: Trait | None

    def not_read(self, rest: str) -> ScoresNotRead:
        """The refusal that points at what was not understood."""
        return ScoresNotRead(
            text=self.text, rest=shown(rest, self.named).strip(_EDGES), known=tuple(trait.name for trait in self.traits)
        )


def read_scored(text: str, traits: Sequence[Trait], about: str = "") -> Scored:
    """Read a scored brood. `about` is the name of the trait that it is to tell about, by which "6:17" can be meant. Of
    nothing typed nothing is said.

    Raises:
        ScoresNotRead: a part is no number with a look and nothing else that a brood has, or stands twice.
        ScoresUnclear: it can be meant in several ways, or has a slip in it.
        LookHasDoses: a trait with one dose and two was named without saying which.
        CountNotRead: a number is too large, or no whole number.
    """
    if not text.strip():
        return Scored()
    folded, named = hidden(text, traits)
    asked = next((trait for trait in traits if trait.name == about), traits[0] if len(traits) == 1 else None)
    typed = _Typed(text, tuple(traits), tuple(named), asked)
    try:
        found = list(dict.fromkeys(_readings(typed, tidied(folded), 0)))
    except ScoresNotRead as error:
        raise _with_slips_right(typed, folded) or error from error
    if len(found) > 1:
        raise ScoresUnclear(text, tuple(written(one) for one in found[:MOST_READINGS]))
    return found[0]


def _readings(typed: _Typed, folded: str, depth: int) -> list[Scored]:
    """Every way in which a hidden and tidied text can be meant, the likeliest first."""
    if depth > _DEEPEST:
        raise typed.not_read(folded)
    if alternatives := doubts(folded):
        return [one for text in alternatives for one in _readings(typed, text, depth + 1)]
    parts = cut(folded)
    if parts.twice:
        raise typed.not_read(parts.twice)
    base = _beside(typed, parts)
    totals, rest = _totals(parts)
    bare = _bare(typed, rest.strip(_EDGES), base, totals)
    if bare:
        return bare
    rest, after = _number_after(rest, base)
    looks, estimated = _looks(typed, rest)
    base = replace(base, looks=looks, estimated=base.estimated or estimated)
    found = accounted(base, totals)
    if not found:
        raise typed.not_read(folded)
    if after is not None:
        # "6 ember, 17 wild, 9": weeks, or young that somebody was not sure of.
        return [read for one in found for read in (replace(one, age_days=7 * after), replace(one, unsure=after))]
    return found


def _beside(typed: _Typed, parts: Parts) -> Scored:
    told = parts.told
    try:
        age = read_age(told["age"].replace("mths", "mo").replace("mth", "mo")) if "age" in told else None
        length = read_length(told["length"]) if "length" in told else None
    except (DayNotRead, LengthNotRead) as error:
        raise typed.not_read(told.get("length") or told["age"]) from error
    dead = next((_many(told[kind]) for kind in ("dead_of", "dead_plus", "dead") if kind in told), None)
    return Scored(
        unsure=_many(told["unsure"]) if "unsure" in told else 0,
        unscored=_many(told["unscored"]) if "unscored" in told else 0,
        dead=dead,
        born=_many(told["born"]) if "born" in told else None,
        age_days=age,
        length_mm=length,
        day=" ".join(told.get("day", "").split()),
        estimated=_is_estimate(told.get("born", "")),
    )


def _totals(parts: Parts) -> tuple[Totals, str]:
    """What is said of young without their looks, and the text with the looks that is left."""
    rest, group = parts.rest, None
    of, looks_of = None, ""
    if found := _OF.search(rest):
        said = found.groupdict()
        of = int(said["all"] or said["all2"])
        few = said["few"] or said["few2"]
        looks_of = f" {few} {said['look'] or said['look2']} "
        if few in ("no", "none", "0"):
            # Whoever says that none of so many is one has looked at all of them.
            looks_of, of = f" {of} wild ", None
        elif said["young"]:
            group, of = str(of), None
        rest = f"{rest[: found.start()]} , {looks_of} , {rest[found.end() :]}"
    elif found := _OUT_OF.search(rest):
        of = int(found[1])
        rest = f"{rest[: found.start()]} , {rest[found.end() :]}"
    if group is None and (found := GROUP.search(rest)):
        group = found["n"]
        rest = f"{rest[: found.start()]} , {rest[found.end() :]}"
    rest_wild = _REST.search(rest)
    if rest_wild:
        rest = f"{rest[: rest_wild.start()]} , {rest[rest_wild.end() :]}"
    told = parts.told
    totals = Totals(
        group=None if group is None else _many(group),
        of=of,
        looked=_many(told["looked"]) if "looked" in told else None,
        rest_wild=rest_wild is not None,
        dead_within="dead_of" in told,
        dead_beside="dead_plus" in told,
        estimated=group is not None and _is_estimate(group),
    )
    return totals, rest


def _bare(typed: _Typed, rest: str, base: Scored, totals: Totals) -> list[Scored]:
    """The readings of a number alone, or of two without looks: whose is which is not said."""
    if totals.group is not None or totals.of is not None:
        return []
    if re.fullmatch(r"\d{1,6}", rest) and int(rest):
        many = int(rest)
        return [replace(base, looks=(Look(many, Sex.UNKNOWN, ()),)), replace(base, unscored=base.unscored + many)]
    found = _PAIR.fullmatch(rest)
    if (
        found is None
        or not int(found[1]) + int(found[2])
        or typed.about is None
        or typed.about.dominance is Dominance.INCOMPLETE
    ):
        return []
    full = ((typed.about, Appearance.FULL),)
    pairs = ((int(found[1]), int(found[2])), (int(found[2]), int(found[1])))
    return [replace(base, looks=(Look(one, Sex.UNKNOWN, full), Look(other, Sex.UNKNOWN, ()))) for one, other in pairs]


def _number_after(rest: str, base: Scored) -> tuple[str, int | None]:
    """A number that stands after all looks and is none of theirs, where that can be told."""
    text = rest.strip(_EDGES)
    numbers, looks = re.findall(r"\d+", text), re.findall(LOOK, text)
    found = re.fullmatch(r"(\d.*\D)(\d{1,2})", text, re.DOTALL)
    if found is None or len(numbers) != len(looks) + 1 or len(looks) < 2 or base.age_days is not None or base.unsure:
        return rest, None
    return found[1], int(found[2])


def _looks(typed: _Typed, rest: str) -> tuple[tuple[Look, ...], bool]:
    rest = _ALL.sub(lambda m: f", {m[2] or m[3] or m[5]} {m[1] or m[4] or m[6]},", rest)
    rest = re.sub(r"\bno\s+(?=wild|wt|normal)", "0 ", rest)
    rest = sexed_headers(rest, {"f": "\ue101", "m": "\ue102"}.__getitem__)
    by_sex: dict[Sex, list[str]] = {}
    sex = Sex.UNKNOWN
    for section in re.split(r"([\ue101\ue102])", rest):
        if section in _HEADS:
            sex = _HEADS[section]
            continue
        for own, piece in _sexed(section) if sex is Sex.UNKNOWN else [(sex, section)]:
            if piece.strip(_EDGES):
                by_sex.setdefault(own, []).append(re.sub(r"[;\n]", ",", piece))
    looks: list[Look] = []
    estimated = False
    for sex, pieces in by_sex.items():
        told, about = _observed(typed, sex, ", ".join(pieces))
        looks += told
        estimated = estimated or about
    return tuple(looks), estimated


def _sexed(section: str) -> list[tuple[Sex, str]]:
    """The looks of a text piece by piece, where some are of one sex; else all together."""
    if not any(rule.search(section) for rule in _SEXES.values()):
        return [(Sex.UNKNOWN, section)]
    found: list[tuple[Sex, str]] = []
    for part in re.split(r"[,;\n]+", section):
        first = re.match(r"\s*(?:about\s+|~\s*)?\d", part) is not None
        cuts = r"(?<![\d.,~])(?=\s\d)" if first else r"(?<=\d)(?=\s+\D)"
        for piece in re.split(cuts, part):
            sexes = [sex for sex, rule in _SEXES.items() if rule.search(piece)]
            if len(sexes) != 1:
                found.append((Sex.UNKNOWN, piece))
            else:
                found.append((sexes[0], _SEXES[sexes[0]].sub(" ", piece)))
    return found


def _observed(typed: _Typed, sex: Sex, looks: str) -> tuple[list[Look], bool]:
    every = [tuple(map(str, looked)) for looked in product(*(_possible(trait) for trait in typed.named))]
    said = shown(looks, typed.named)
    try:
        tallied = read_observed(said, typed.named, every)
    except ObservedNotRead as error:
        if error.doses:
            raise _doses(typed, error.rest) from error
        raise typed.not_read(error.rest) from error
    told = []
    for looked, number in tallied.counts.items():
        pairs = zip(typed.named, looked, strict=True)
        told.append(Look(number, sex, tuple((t, Appearance(look)) for t, look in pairs if look != Appearance.WILD)))
    return told, tallied.estimated


def _doses(typed: _Typed, rest: str) -> LookHasDoses:
    """The refusal that asks which dose is meant, with both readings."""
    name = next((t.name for t in typed.named if t.dominance is Dominance.INCOMPLETE and t.name in rest), rest)
    readings = []
    for word in ("het", "super"):
        text = re.sub(rf"(?<![^\W\d]){re.escape(name)}", f"{word} {name}", typed.text.casefold())
        try:
            readings.append(written(read_scored(text, typed.traits)))
        except (ScoresNotRead, ScoresUnclear, LookHasDoses, CountNotRead):
            continue
    return LookHasDoses(text=typed.text, name=name, readings=tuple(readings))


def _possible(trait: Trait) -> tuple[Appearance, ...]:
    return tuple(Appearance) if trait.dominance is Dominance.INCOMPLETE else (Appearance.WILD, Appearance.FULL)


def _with_slips_right(typed: _Typed, folded: str) -> ScoresUnclear | None:
    """The question whether words that are nearly known ones are meant for them; None if that makes no sense either."""
    known = [*(trait.name.casefold() for trait in typed.traits), *_KNOWN]

    def nearest(found: re.Match[str]) -> str:
        close = difflib.get_close_matches(found[0], known, n=1, cutoff=_ALIKE)
        return close[0] if close and found[0] not in known else found[0]

    text = re.sub(r"[^\W\d_]{4,20}", nearest, shown(folded, typed.named))
    if text == shown(folded, typed.named):
        return None
    named = hidden(text, typed.traits)
    again = replace(typed, named=tuple(named[1]))
    try:
        found = list(dict.fromkeys(_readings(again, tidied(named[0]), 0)))
    except (ScoresNotRead, LookHasDoses, CountNotRead):
        return None
    return ScoresUnclear(typed.text, tuple(written(one) for one in found[:MOST_READINGS]))


def _many(typed: str) -> int:
    return 0 if typed in ("no", "none") else read_tally(typed).total


def _is_estimate(typed: str) -> bool:
    return bool(typed) and typed not in ("no", "none") and read_tally(typed).exactness is Exactness.ESTIMATE
