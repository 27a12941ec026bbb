"""The shipped species cards: read-only package data, one per species, with where each figure comes from."""

import difflib
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from importlib import resources
from types import MappingProxyType
from typing import Any, Final, NamedTuple

from bot.records import SexSystem
from bot.services.refusals import NoSuchSpecies


class Range(NamedTuple):
    """A figure that varies: the lowest, the usual and the highest that are to be expected."""

    low: int
    usual: int
    high: int


class Confidence(StrEnum):
    """How sure a figure is; `OWN` is one that a steward of the server set."""

    HIGH = "high"
    MEDIUM = "medium"
    LOW = "low"
    OWN = "own"


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure of a species' life: the lowest, the usual and the highest to expect, how sure, and where it was read.

    Raises:
        ValueError: they are not in this order, or below 0.
    """

    low: Fraction
    usual: Fraction
    high: Fraction
    confidence: Confidence
    source: str

    def __post_init__(self) -> None:
        if not 0 <= self.low <= self.usual <= self.high:
            raise ValueError(f"not in order: {self.low}, {self.usual}, {self.high}")


SHARES: Final = frozenset({"live_share", "manca_survival", "adult_survival", "female_share"})
"""The figures that are shares of 1."""
LIFE: Final = (
    "eggs",
    "live_share",
    "mancae",
    "pouch_days",
    "pouch_factor",
    "interval_days",
    "broods_year",
    "first_brood_days",
    "manca_survival",
    "adult_survival",
    "lifespan_months",
    "female_share",
    "growth_per_day",
    "scoring_days",
    "quarantine_days",
    "celsius",
)
"""The figures of a species' life, in the order in which they are told. Days in the pouch are at 22 °C; `pouch_factor` is
those over 315/(T - 11); `adult_survival` is of 30 days; `scoring_days` is the age before which colour is not scored;
`quarantine_days` is how long new stock is kept apart; `celsius` is how warm it is kept."""


@dataclass(frozen=True, slots=True)
class SpeciesCard:
    """A species: its key in the book, its scientific name, how sex is inherited, its length when grown, and its life.

    Attributes:
        apart_days: the age by which young are parted by sex so that none has mated, at 22 °C; 0 in clonal species.
        figures: the figures of its life, by the names of `LIFE`.
    """

    key: str
    name: str
    sex_system: SexSystem
    sex_system_source: str
    longest_mm: int
    longest_source: str
    apart_days: int
    figures: Mapping[str, Figure]

    @property
    def pouch_days(self) -> Range:
        """Days from the sight of a filled pouch to young, at 22 °C."""
        return self._days("pouch_days")

    @property
    def first_brood_days(self) -> Range:
        """Age at the first brood in days, at 22 °C."""
        return self._days("first_brood_days")

    @property
    def quarantine_days(self) -> Range:
        """Days for which new stock is kept apart."""
        return self._days("quarantine_days")

    def _days(self, name: str) -> Range:
        figure = self.figures[name]
        return Range(round(figure.low), round(figure.usual), round(figure.high))


@dataclass(frozen=True, slots=True)
class Catalogue:
    """All species cards, by name."""

    cards: tuple[SpeciesCard, ...]

    def of(self, key: str) -> SpeciesCard:
        """The card with this key.

        Raises:
            KeyError: there is none; keys come from the book, where only known ones are written.
        """
        for card in self.cards:
            if card.key == key:
                return card
        raise KeyError(key)

    def named(self, text: str) -> SpeciesCard:
        """The card whose key or name is `text`, in any case.

        Raises:
            NoSuchSpecies: there is none; it holds the nearest names.
        """
        wanted = text.strip().casefold()
        for card in self.cards:
            if wanted in (card.key, card.name.casefold()):
                return card
        by_name = {card.name.casefold(): card.name for card in self.cards}
        starts = [name for folded, name in by_name.items() if wanted and wanted in folded]
        close = [by_name[folded] for folded in difflib.get_close_matches(wanted, by_name, n=3)]
        raise NoSuchSpecies(text=text, nearest=tuple(dict.fromkeys(starts + close))[:3])

    def matching(self, text: str) -> tuple[str, ...]:
        """The names that hold `text`, in order of the alphabet."""
        wanted = text.strip().casefold()
        return tuple(sorted(card.name for card in self.cards if wanted in card.name.casefold()))


def shipped_species() -> Catalogue:
    """Read the species cards that come with the package."""
    lives = {group: _life(rows) for group, rows in _document("species_life.toml").items()}
    return Catalogue(
        tuple(
            SpeciesCard(
                key=key,
                name=row["name"],
                sex_system=SexSystem(row["sex_system"]),
                sex_system_source=row["sex_system_source"],
                longest_mm=row["longest_mm"],
                longest_source=row["longest_source"],
                apart_days=row["apart_days"],
                figures=lives[row["life"]],
            )
            for key, row in _document("species.toml").items()
        )
    )


def _document(name: str) -> dict[str, Any]:
    return tomllib.loads(resources.files("bot.services").joinpath(name).read_text("utf-8"))


def _life(rows: Mapping[str, Any]) -> Mapping[str, Figure]:
    return MappingProxyType(
        {name: figure_of(row["figures"], Confidence(row["confidence"]), row["source"]) for name, row in rows.items()}
    )


def figure_of(written: Sequence[str], confidence: Confidence, source: str) -> Figure:
    """A figure from its three numbers as they are written: decimals or fractions."""
    low, usual, high = map(Fraction, written)
    return Figure(low, usual, high, confidence, source)
