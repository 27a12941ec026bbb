"""What the services work with."""

from dataclasses import dataclass, field

from bot.records import Records
from bot.services.species import Catalogue
from bot.services.weighing import Weighings
from bot.workers import Workers


@dataclass(frozen=True, slots=True)
class Desk:
    """The colony book, the shipped species cards, the worker processes and what they weighed lately; built at start, one
    for the whole process.
    """

    records: Records
    species: Catalogue
    workers: Workers = field(default_factory=Workers)
    weighings: Weighings = field(default_factory=Weighings)
