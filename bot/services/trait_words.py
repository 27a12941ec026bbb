"""What keepers type of a trait's way of inheritance: where it lies, who shows it and how often, from when, and who lives."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace
from fractions import Fraction
from typing import TypeVar

from bot.services.refusals import WordNotKnown
from bot.services.refusals_traits import ModelNotPossible, TraitTextNotRead
from bot.services.shares import read_share
from bot.services.trait_models import Distance, Gap, TraitModel, Vigour
from genetics import GeneticsError, ModelRefused, OutOfRange, Sex, Where

PLACES = {
    "ordinary chromosome": Where.AUTOSOME,
    "X or Z": Where.SHARED,
    "Y or W": Where.LIMITED,
    "mothers alone": Where.CYTOPLASM,
}
"""Where a locus may lie, by the word that is typed."""
SHOWN_IN: Mapping[str, Sex | None] = {"both sexes": None, "females only": Sex.FEMALE, "males only": Sex.MALE}
"""Which sex may show a trait, by the word that is typed."""

_OTHER_PLACES = {
    **dict.fromkeys(("autosome", "autosomal", "ordinary", "usual"), Where.AUTOSOME),
    **dict.fromkeys(("x", "z", "x/z", "x chromosome", "z chromosome"), Where.SHARED),
    **dict.fromkeys(("y", "w", "y/w", "y chromosome", "w chromosome"), Where.LIMITED),
    **dict.fromkeys(("mother", "mothers", "cytoplasm", "cytoplasmic"), Where.CYTOPLASM),
}
_OTHER_SEXES: Mapping[str, Sex | None] = {
    **dict.fromkeys(("both", "all"), None),
    **dict.fromkeys(("female", "females"), Sex.FEMALE),
    **dict.fromkeys(("male", "males"), Sex.MALE),
}
_WEEK = re.compile(r"(?:from\s+)?(?:week\s*)?(\d{1,3})(?:\s*(?:weeks?|w))?(?:\s+on)?")
_COPIES = {"no": 0, "0": 0, "one": 1, "1": 1, "two": 2, "2": 2}
_LIVES = re.compile(
    r"(?P<copies>no|one|two|0|1|2)\s+cop(?:y|ies)(?:\s+in\s+(?P<sex>females?|males?))?\s*[:=]?\s*(?:is|are)?\s*"
    r"(?P<rate>.+?)(?:\s+(?:live|lives|survive|survival))?"
)
T = TypeVar("T")

_LETHAL = frozenset({"lethal", "dead", "die", "dies", "none", "deadly", "never"})
_DISTANCE = re.compile(r"(\d{1,4}(?:[.,]\d{1,6})?)\s*cm(?:\s*\(?(haldane|kosambi)\)?)?")


@dataclass(frozen=True, slots=True)
class ModelText:
    """What was typed of how a trait is inherited and shown beyond its dominance; what is empty is left as it was."""

    place: str = ""
    sex: str = ""
    penetrance: str = ""
    phenocopies: str = ""
    week: str = ""
    survival: str = ""

    @classmethod
    def of(cls, values: Mapping[str, str]) -> "ModelText":
        """What of some named values is about that."""
        return cls(**{one.name: values.get(one.name, "").strip() for one in fields(cls)})


def read_model_text(text: ModelText, before: TraitModel) -> TraitModel:
    """The model that was typed, over the one before.

    Raises:
        WordNotKnown, ShareNotRead, TraitTextNotRead, ModelNotPossible: a part was not understood, or cannot be.
    """
    try:
        return _over(text, before)
    except (ModelRefused, OutOfRange) as error:
        raise ModelNotPossible(error) from error


def _over(text: ModelText, model: TraitModel) -> TraitModel:
    if text.place:
        model = replace(model, where=_word("place", text.place, PLACES, _OTHER_PLACES))
    if text.sex:
        model = replace(model, shown_in=_word("sex", text.sex, SHOWN_IN, _OTHER_SEXES))
    if text.penetrance:
        model = replace(model, penetrance=read_share("penetrance", text.penetrance))
    if text.phenocopies:
        model = replace(model, phenocopies=read_share("share of look-alikes", text.phenocopies))
    if text.week:
        model = replace(model, week=_week(text.week))
    if text.survival:
        model = replace(model, lives=_lives(text.survival))
    return model


def _word(what: str, text: str, words: Mapping[str, T], others: Mapping[str, T]) -> T:
    typed = " ".join(text.casefold().split())
    for known in (words, others):
        for word, meant in known.items():
            if word.casefold() == typed:
                return meant
    raise WordNotKnown(what=what, text=text, known=tuple(words))


def _week(text: str) -> int:
    found = _WEEK.fullmatch(" ".join(text.casefold().split()))
    if found is None:
        raise TraitTextNotRead(what="age in weeks", text=text, rest=text)
    return int(found[1])


def _lives(text: str) -> tuple[Vigour, ...]:
    """Like "two copies lethal; one copy in males 50 %"; "lethal" alone means two copies, "no harm" nothing at all."""
    typed = " ".join(text.casefold().replace(",", ";").split())
    if typed in ("lethal", "homozygous lethal"):
        return (Vigour(2, Fraction(0)),)
    if typed in ("no harm", "harmless", "usual", "all live"):
        return ()
    found = [_life(part.strip(), text) for part in re.split(r";|\band\b", typed) if part.strip()]
    return tuple(sorted(found, key=lambda one: (one.copies, one.sex or "")))


def _life(part: str, whole: str) -> Vigour:
    found = _LIVES.fullmatch(part)
    if found is None:
        raise TraitTextNotRead(what="survival", text=whole, rest=part)
    sex = None if found["sex"] is None else Sex.FEMALE if found["sex"].startswith("f") else Sex.MALE
    rate = Fraction(0) if found["rate"] in _LETHAL else read_share("survival", found["rate"])
    try:
        return Vigour(_COPIES[found["copies"]], rate, sex)
    except GeneticsError as error:
        raise ModelNotPossible(error) from error


def read_names(text: str) -> tuple[str, ...]:
    """Names parted by commas, or by "x", ">" or a new line where there is no comma; each on one line."""
    parted = re.split(r"[,;\n>]|\s+and\s+|\s+\+\s+", text)
    return tuple(" ".join(part.split()) for part in parted if part.strip())


def read_gaps(text: str) -> tuple[Gap, ...]:
    """Distances between neighbours, parted by ";" or ",": "10 %", "0.1", "5 cM", "5 cM Kosambi".

    Raises:
        ShareNotRead, ModelNotPossible: a part was not understood, or cannot be.
    """
    return tuple(_gap(part.strip()) for part in re.split(r"[;\n]|,(?!\d)", text) if part.strip())


def _gap(text: str) -> Gap:
    found = _DISTANCE.fullmatch(text.casefold())
    try:
        if found is not None:
            return Gap(Fraction(found[1].replace(",", ".")), Distance(found[2] or Distance.HALDANE))
        return Gap(read_share("recombination", text))
    except GeneticsError as error:
        raise ModelNotPossible(error) from error


def match_names(typed: Sequence[str], known: Mapping[str, int]) -> tuple[list[int], str | None]:
    """The numbers of the names typed, in any case, and the first name that is none of them."""
    folded = {name.casefold(): number for name, number in known.items()}
    strange = next((name for name in typed if name.casefold() not in folded), None)
    return [folded[name.casefold()] for name in typed if name.casefold() in folded], strange
