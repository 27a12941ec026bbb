"""Priors and figures of the weighing as people type them: "not inherited 50, recessive 20"; "penetrance 60-100 %"."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from fractions import Fraction
from types import MappingProxyType
from typing import Final, TypeVar

from bot.services.refusals import WordNotKnown
from bot.services.refusals_evidence import PriorsNotRead, SpanNotPossible
from bot.services.tuning import BOUNDS, Span, Tuning
from genetics.evidence.explanations import Cause, Figure

Meant = TypeVar("Meant")

DEFAULT_WORDS: Final = ("default", "defaults", "reset")
_EXPLANATIONS: Final[Mapping[str, Cause]] = MappingProxyType(
    {
        "not inherited": Cause.NOT_INHERITED,
        "recessive": Cause.RECESSIVE,
        "dominant": Cause.DOMINANT,
        "incompletely dominant": Cause.INCOMPLETE,
        "lethal": Cause.LETHAL,
        "one sex only": Cause.SEX_LIMITED,
        "sex-linked": Cause.SEX_LINKED,
        "two genes both": Cause.BOTH_LOCI,
        "two genes either": Cause.EITHER_LOCUS,
        "many genes": Cause.THRESHOLD,
        "maternal": Cause.MATERNAL,
        "none of these": Cause.NONE,
    }
)
"""What each explanation is called where it is typed."""
_FIGURES: Final[Mapping[str, Figure]] = MappingProxyType(
    {
        "penetrance": Figure.PENETRANCE,
        "look-alikes": Figure.PHENOCOPIES,
        "scoring error": Figure.MISREAD,
        "survival": Figure.SURVIVAL,
    }
)
_NUMBER: Final = r"(\d{1,4}(?:\.\d{1,6})?)\s*%?"
_ITEM: Final = re.compile(rf"(.+?)[\s:=]+{_NUMBER}")
_SPAN: Final = re.compile(rf"(.+?)[\s:=]+(?:from\s+)?{_NUMBER}(?:\s*(?:-|–|to)\s*{_NUMBER})?")
_RESET: Final = re.compile(rf"(.+?)[\s:=]+(?:{'|'.join(DEFAULT_WORDS)})")


def name_of_cause(cause: Cause) -> str:
    """What an explanation is called where it is typed."""
    return next(name for name, known in _EXPLANATIONS.items() if known is cause)


def name_of_figure(figure: Figure) -> str:
    """What a figure is called where it is typed."""
    return next(name for name, known in _FIGURES.items() if known is figure)


def read_priors(text: str, before: Tuning) -> tuple[Tuning, Fraction]:
    """The tuning with the priors that were typed, and what they came to before they were brought to the sum 1.

    What is not named shares what is left as it did before. If nothing is left all keep the proportions that they have then.

    Raises:
        PriorsNotRead: an item is no name with a percentage, or nothing but one explanation would be possible.
        WordNotKnown: a name is of no explanation.
    """
    if text.strip().casefold() in DEFAULT_WORDS:
        return replace(before, priors=()), Fraction(1)
    typed: dict[Cause, Fraction] = {}
    for item in _items(text):
        found = _ITEM.fullmatch(item)
        if found is None:
            raise PriorsNotRead(item)
        typed[_known("explanation", found[1], _EXPLANATIONS)] = Fraction(found[2]) / 100
    shares = before.shares
    named = sum(typed.values(), Fraction(0))
    others = {cause: share for cause, share in shares.items() if cause not in typed}
    left, held = 1 - named, sum(others.values(), Fraction(0))
    if left > 0 and held > 0:
        raw = {**typed, **{cause: share * left / held for cause, share in others.items()}}
        came = Fraction(1)
    else:
        raw = {**typed, **others}
        came = sum(raw.values(), Fraction(0))
    if sum(share > 0 for share in raw.values()) < 2:
        raise PriorsNotRead(text)
    priors = tuple((cause, raw[cause] / came) for cause in Cause)
    return replace(before, priors=priors), came


def read_figures(text: str, before: Tuning) -> Tuning:
    """The tuning with the figures that were typed; those not named stay.

    Raises:
        PriorsNotRead: an item is no name with a range.
        WordNotKnown: a name is of no figure.
        SpanNotPossible: a figure reaches past what it may be.
    """
    if text.strip().casefold() in DEFAULT_WORDS:
        return replace(before, spans=())
    spans = {span.figure: span for span in before.spans}
    for item in _items(text):
        if reset := _RESET.fullmatch(item):
            spans.pop(_known("figure", reset[1], _FIGURES), None)
            continue
        found = _SPAN.fullmatch(item)
        if found is None:
            raise PriorsNotRead(item)
        figure = _known("figure", found[1], _FIGURES)
        low = Fraction(found[2]) / 100
        high = Fraction(found[3]) / 100 if found[3] is not None else low
        least, most = BOUNDS[figure]
        if not least <= low <= high <= most:
            raise SpanNotPossible(name_of_figure(figure), low, high, least, most)
        spans[figure] = Span(figure, low, high)
    return replace(before, spans=tuple(spans[figure] for figure in BOUNDS if figure in spans))


def _items(text: str) -> Iterator[str]:
    items = [" ".join(item.casefold().split()) for item in re.split(r"[,;\n]", text)]
    found = [item for item in items if item]
    if not found:
        raise PriorsNotRead(text)
    yield from found


def _known(what: str, text: str, names: Mapping[str, Meant]) -> Meant:
    """What is meant by a name, or by the beginning of one name alone."""
    wanted = _plain(text)
    for name, meant in names.items():
        if _plain(name) == wanted:
            return meant
    begun = [meant for name, meant in names.items() if _plain(name).startswith(wanted)]
    if len(begun) != 1:
        raise WordNotKnown(what=what, text=text, known=tuple(names))
    return begun[0]


def _plain(text: str) -> str:
    return re.sub(r"[^a-z]", "", text.casefold())
