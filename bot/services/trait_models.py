"""How a trait is inherited and shown beyond its dominance, and what several traits are to each other: values and their documents.

The documents are what the book keeps as text. They hold exact figures as "p/q", words of enumerations and places in a
list of members, no free text. What is as usual is left out, and a model in which all is as usual is no document at all.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from functools import lru_cache
from typing import Any, TypeAlias

from genetics import Interaction, ModelFault, ModelRefused, OutOfRange, Sex, Where, haldane, kosambi
from genetics.characters import VIGOUR
from genetics.rates import Rate, exactly

VERSION = 1
HALF = Fraction(1, 2)

Document: TypeAlias = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Vigour:
    """How well young with so many copies of the allele live, compared with wild ones (1); 0 is lethal.

    copies: 0, 1 or 2; a single one, in a sex that can have no second, counts as two. sex: of which young; None for both.
    Raises OutOfRange.
    """

    copies: int
    rate: Fraction
    sex: Sex | None = None

    def __post_init__(self) -> None:
        if self.copies not in (0, 1, 2):
            raise OutOfRange("copies", str(self.copies), "0", "2")
        exactly("viability", self.rate, VIGOUR)


@dataclass(frozen=True, slots=True)
class TraitModel:
    """How a trait is inherited and shown, beyond its dominance.

    where: on which chromosome its locus lies. penetrance: the chance that an animal which should show it does.
    phenocopies: the chance, up to 1/2, that an animal which should not looks so all the same. shown_in: the one sex that shows it,
    which is no matter of where it lies. week: the age in weeks from which it can be read. lives: what differs from 1.
    open: nobody has said yet how it is inherited; then the dominance that stands beside it says nothing.
    Raises OutOfRange, ModelRefused.

    >>> TraitModel(penetrance=Fraction(3, 2))
    Traceback (most recent call last):
    genetics.errors.OutOfRange: penetrance is 3/2, must lie within 0 and 1
    """

    where: Where = Where.AUTOSOME
    penetrance: Fraction = Fraction(1)
    phenocopies: Fraction = Fraction(0)
    shown_in: Sex | None = None
    week: int = 0
    lives: tuple[Vigour, ...] = ()
    open: bool = False

    def __post_init__(self) -> None:
        exactly("penetrance", self.penetrance)
        # From one half on, what looks so would be the wild type.
        exactly("share of look-alikes", self.phenocopies, HALF)
        if self.week < 0:
            raise ModelRefused("trait", ModelFault.AGE, str(self.week))

    @property
    def selects(self) -> bool:
        """Whether some of its genotypes live less well, or better, than others."""
        return bool(self.lives)

    @property
    def plain(self) -> bool:
        """Whether all of it is as usual."""
        return self == USUAL

    @property
    def usual_looks(self) -> bool:
        """Whether whoever should show it does, and nobody else."""
        return self.penetrance == 1 and self.phenocopies == 0 and self.shown_in is None


USUAL = TraitModel()
"""On an autosome, always shown, in both sexes, at every age, and harmless."""


def write_model(model: TraitModel) -> Document | None:
    """The document of a model; None where all is as usual.

    >>> write_model(TraitModel(shown_in=Sex.FEMALE))
    {'v': 1, 'shown_in': 'female'}
    """
    told: Document = {"v": VERSION}
    if model.where is not USUAL.where:
        told["where"] = model.where.value
    for name in ("penetrance", "phenocopies"):
        if getattr(model, name) != getattr(USUAL, name):
            told[name] = _exact(getattr(model, name))
    if model.shown_in is not None:
        told["shown_in"] = model.shown_in.value
    if model.week:
        told["week"] = model.week
    if model.open:
        told["open"] = True
    if model.lives:
        told["lives"] = [
            {"copies": one.copies, "rate": _exact(one.rate), **({} if one.sex is None else {"sex": one.sex.value})}
            for one in model.lives
        ]
    return told if len(told) > 1 else None


@lru_cache(maxsize=1024)
def read_model(text: str | None) -> TraitModel:
    """The model of a document as the book keeps it, None for the usual one. Raises ValueError for a later version."""
    if text is None:
        return USUAL
    told = _read(text)
    return TraitModel(
        where=Where(told.get("where", USUAL.where)),
        penetrance=Fraction(told.get("penetrance", 1)),
        phenocopies=Fraction(told.get("phenocopies", 0)),
        shown_in=Sex(told["shown_in"]) if "shown_in" in told else None,
        week=told.get("week", 0),
        open=told.get("open", False),
        lives=tuple(
            Vigour(one["copies"], Fraction(one["rate"]), Sex(one["sex"]) if "sex" in one else None)
            for one in told.get("lives", ())
        ),
    )


class Distance(StrEnum):
    """What the figure between two linked traits is: a recombination fraction, or centimorgans under a map function."""

    RECOMBINATION = "r"
    HALDANE = "haldane"
    KOSAMBI = "kosambi"


@dataclass(frozen=True, slots=True)
class Gap:
    """How far apart two neighbours on a chromosome lie, as it was stated. Raises OutOfRange, ModelRefused.

    >>> Gap(Fraction(1, 10)).rate, round(Gap(Fraction(10), Distance.HALDANE).rate, 4)
    (Fraction(1, 10), 0.0906)
    """

    figure: Fraction
    by: Distance = Distance.RECOMBINATION

    def __post_init__(self) -> None:
        if self.by is Distance.RECOMBINATION and not 0 <= self.figure <= HALF:
            raise ModelRefused("linkage", ModelFault.RECOMBINATION, str(self.figure))
        if self.figure < 0:
            raise OutOfRange("map distance", str(self.figure), "0", "any length")

    @property
    def rate(self) -> Rate:
        """The recombination fraction; exact where it was stated as such."""
        if self.by is Distance.RECOMBINATION:
            return self.figure
        return (haldane if self.by is Distance.HALDANE else kosambi)(float(self.figure / 100))


@dataclass(frozen=True, slots=True)
class Linkage:
    """Members on one chromosome in map order, with the gap between neighbours in dams, and in sires if it differs."""

    dam: tuple[Gap, ...]
    sire: tuple[Gap, ...] | None = None


@dataclass(frozen=True, slots=True)
class Series:
    """Members as alleles of one locus, the most dominant first; `wild` of them come before the wild allele."""

    wild: int


Doses: TypeAlias = tuple[int | None, ...]
"""How many copies of each member's allele an animal has; None where any number will do."""


@dataclass(frozen=True, slots=True)
class Together:
    """Members that make one look together: two of them in a known way, or any by rules of which the first that fits counts.

    `rules` end with the look of everything else. Looks are given by their place.
    """

    kind: Interaction | None
    rules: tuple[tuple[Doses, int], ...] = ()


def write_linkage(linkage: Linkage) -> Document:
    """The document of a linkage."""
    told: Document = {"v": VERSION, "dam": [_gap(one) for one in linkage.dam]}
    return told if linkage.sire is None else {**told, "sire": [_gap(one) for one in linkage.sire]}


def read_linkage(text: str) -> Linkage:
    """The linkage of a document."""
    told = _read(text)
    return Linkage(_gaps(told["dam"]), _gaps(told["sire"]) if "sire" in told else None)


def write_series(series: Series) -> Document:
    """The document of a series."""
    return {"v": VERSION, "wild": series.wild}


def read_series(text: str) -> Series:
    """The series of a document."""
    return Series(_read(text)["wild"])


def write_together(together: Together) -> Document:
    """The document of a look made together."""
    if together.kind is not None:
        return {"v": VERSION, "as": together.kind.value}
    return {"v": VERSION, "rules": [[list(doses), look] for doses, look in together.rules]}


def read_together(text: str) -> Together:
    """The look made together of a document."""
    told = _read(text)
    if "as" in told:
        return Together(Interaction(told["as"]))
    return Together(None, tuple((tuple(doses), look) for doses, look in told["rules"]))


def _read(text: str) -> Mapping[str, Any]:
    told: Mapping[str, Any] = json.loads(text)
    if told["v"] != VERSION:
        raise ValueError(f"a document of version {told['v']}")
    return told


def _exact(figure: Fraction) -> str:
    return f"{figure.numerator}/{figure.denominator}"


def _gap(gap: Gap) -> str | Document:
    return _exact(gap.figure) if gap.by is Distance.RECOMBINATION else {"cM": _exact(gap.figure), "by": gap.by.value}


def _gaps(told: Sequence[str | Mapping[str, str]]) -> tuple[Gap, ...]:
    return tuple(
        Gap(Fraction(one)) if isinstance(one, str) else Gap(Fraction(one["cM"]), Distance(one["by"])) for one in told
    )
