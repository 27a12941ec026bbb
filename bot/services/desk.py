"""What the services work with."""

from dataclasses import dataclass, field

from bot.records import Records
from bot.services.species import Catalogue
from bot.workers import Workers


@dataclass(frozen=True, slots=True)
class Desk:
    """The colony book, the shipped species cards and the worker processes; one for the whole process, built at start."""

    records: Records
    species: Catalogue
    workers: Workers = field(default_factory=Workers)
