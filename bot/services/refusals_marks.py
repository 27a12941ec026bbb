"""Why a service said no to a mark of a bin, to its backup, or to letting its animals go.

Refusal
├── HeldAlready                 a bin that is on hold for that already
├── NothingToEnd                a bin that is neither on hold nor in quarantine
├── NotLookedAt, EndsEarly      questions before a quarantine ends
├── WaitsForSteward             animals that are to be handed on while a disease is suspected
├── OwnBackup, NoBackup         a bin that stands in for itself; one that stands in for none
└── NoSuchBatch                 a batch of litter that nobody named
"""

from dataclasses import dataclass
from datetime import datetime

from bot.records import LookRow
from bot.services.refusals import BinLabel, Refusal


@dataclass(eq=False)
class HeldAlready(Refusal):
    """The bin is on hold for that reason since that time."""

    label: BinLabel
    since: datetime


@dataclass(eq=False)
class NothingToEnd(Refusal):
    """The bin is neither on hold nor in quarantine."""

    label: BinLabel


@dataclass(eq=False)
class NotLookedAt(Refusal):
    """Nobody looked since the quarantine began, or the latest look saw something: is it clean?"""

    label: BinLabel
    until: datetime
    look: LookRow | None


@dataclass(eq=False)
class EndsEarly(Refusal):
    """The quarantine has not reached its end date: end it all the same?"""

    label: BinLabel
    until: datetime


@dataclass(eq=False)
class WaitsForSteward(Refusal):
    """The bin is on hold for a suspected disease, so that a steward has to lift that before it is handed on."""

    label: BinLabel
    since: datetime


@dataclass(eq=False)
class OwnBackup(Refusal):
    """Two bins that would each be the other's backup, or a bin that would be its own."""

    label: BinLabel
    other: BinLabel


@dataclass(eq=False)
class NoBackup(Refusal):
    """The bin is no other bin's backup."""

    label: BinLabel


@dataclass(eq=False)
class NoSuchBatch(Refusal):
    """No batch of litter that the person may know of has that name; `known` are the newest ones."""

    text: str
    known: tuple[str, ...]
