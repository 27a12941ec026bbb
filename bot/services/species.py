"""The shipped species cards: read-only package data, one per species, with where each figure comes from."""

import difflib
import tomllib
from dataclasses import dataclass
from importlib import resources
from typing import NamedTuple

from bot.records import SexSystem
from bot.services.refusals import NoSuchSpecies


class Range(NamedTuple):
    """A figure that varies: the lowest, the usual and the highest that are to be expected."""

    low: int
    usual: int
    high: int


@dataclass(frozen=True, slots=True)
class SpeciesCard:
    """A species: its key in the book, its scientific name, how sex is inherited, its length when grown, and its pace.

    Attributes:
        pouch_days: from the sight of a filled pouch to young, at 22 °C.
        first_brood_days: age at the first brood, at 22 °C.
        apart_days: the age by which young are parted by sex so that none has mated, at 22 °C; 0 in clonal species.
    """

    key: str
    name: str
    sex_system: SexSystem
    sex_system_source: str
    longest_mm: int
    longest_source: str
    pouch_days: Range
    first_brood_days: Range
    apart_days: int


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
    document = tomllib.loads(resources.files("bot.services").joinpath("species.toml").read_text("utf-8"))
    return Catalogue(
        tuple(
            SpeciesCard(
                key=key,
                name=row["name"],
                sex_system=SexSystem(row["sex_system"]),
                sex_system_source=row["sex_system_source"],
                longest_mm=row["longest_mm"],
                longest_source=row["longest_source"],
                pouch_days=Range(*row["pouch_days"]),
                first_brood_days=Range(*row["first_brood_days"]),
                apart_days=row["apart_days"],
            )
            for key, row in document.items()
        )
    )
