"""The words a checked column may hold. `Dominance` and `State` are the science's own."""

from enum import StrEnum

from genetics import Dominance, State

__all__ = [
    "CareKind",
    "DeliveryState",
    "Dominance",
    "Exactness",
    "OccurrenceState",
    "ParentRole",
    "RelationKind",
    "Sex",
    "SexSystem",
    "State",
]


class Sex(StrEnum):
    """The sex of a group of founders."""

    FEMALE = "female"
    MALE = "male"
    UNKNOWN = "unknown"


class SexSystem(StrEnum):
    """How a species determines sex."""

    XY = "XX/XY"
    ZW = "ZZ/ZW"
    X0 = "X0"
    HAPLODIPLOID = "haplodiploid"
    THELYTOKOUS = "thelytokous"
    UNKNOWN = "unknown"


class ParentRole(StrEnum):
    """What a parent bin gave to a bin."""

    DAM = "dam"
    SIRE = "sire"
    BOTH = "both"


class RelationKind(StrEnum):
    """What several traits are to each other: alleles of one locus, loci on one chromosome, or makers of one look."""

    SERIES = "series"
    LINKED = "linked"
    TOGETHER = "together"


class Exactness(StrEnum):
    """Whether a count was counted or guessed."""

    EXACT = "exact"
    ESTIMATE = "estimate"


class CareKind(StrEnum):
    """What a care task asks for."""

    MOISTURE = "moisture"
    LITTER = "litter"
    RECOUNT = "recount"


class OccurrenceState(StrEnum):
    """Where one due date of a task stands: waiting, asked in a ping, answered, or given up."""

    DUE = "due"
    ASKED = "asked"
    DONE = "done"
    DROPPED = "dropped"


class DeliveryState(StrEnum):
    """Where one ping stands: being sent (under a lease), posted, or refused by the channel."""

    SENDING = "sending"
    SENT = "sent"
    BLOCKED = "blocked"
