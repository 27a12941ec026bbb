"""What the services work with."""

from dataclasses import dataclass

from bot.records import Records
from bot.services.species import Catalogue


@dataclass(frozen=True, slots=True)
class Desk:
    """The colony book and the shipped species cards; one for the whole process, built at start."""

    records: Records
    species: Catalogue
