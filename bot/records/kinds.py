"""The words a checked column may hold. `Appearance`, `Dominance` and `State` are the science's own."""

from enum import StrEnum

from genetics import Appearance, Dominance, State

__all__ = [
    "Appearance",
    "BreederRole",
    "BroodReason",
    "Call",
    "CareKind",
    "CareScope",
    "CloseReason",
    "DamHistory",
    "DeliveryState",
    "Dominance",
    "Exactness",
    "HoldCause",
    "MarkKind",
    "Media",
    "Moved",
    "OccurrenceState",
    "ParentRole",
    "Privacy",
    "RelationKind",
    "Seen",
    "Sex",
    "SexSystem",
    "Stage",
    "State",
    "Thoroughness",
    "Units",
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
    """What a parent bin gave to a bin: its females, its males or both as parents, or a part of its very animals."""

    DAM = "dam"
    SIRE = "sire"
    BOTH = "both"
    PART = "part"


class CloseReason(StrEnum):
    """Why a bin is kept no more."""

    MERGED = "merged"
    MOVED_ON = "moved on"
    EMPTY = "empty"
    LINE_ENDED = "line ended"
    OTHER = "other"


class Moved(StrEnum):
    """How animals came from one bin into another."""

    SPLIT = "split"
    MERGE = "merge"


class RelationKind(StrEnum):
    """What several traits are to each other: alleles of one locus, loci on one chromosome, or makers of one look."""

    SERIES = "series"
    LINKED = "linked"
    TOGETHER = "together"


class Privacy(StrEnum):
    """What of a bin only its keepers read: nothing, its notes and origins, or all of it."""

    OPEN = "open"
    NOTES = "notes"
    BIN = "bin"


class Units(StrEnum):
    """The units a keeper reads first: °C and millimetres, or °F and inches."""

    METRIC = "metric"
    IMPERIAL = "imperial"


class Exactness(StrEnum):
    """How a number of animals is known: counted, judged, judged between two bounds, a least, or worked out from other numbers."""

    EXACT = "exact"
    ESTIMATE = "estimate"
    RANGE = "range"
    AT_LEAST = "at least"
    WORKED_OUT = "worked out"


class Thoroughness(StrEnum):
    """How a bin was gone through for a count: looked at without digging, a part of it sorted, or all of it."""

    LOOK = "look"
    PART = "part"
    SORTED = "sorted"


class Stage(StrEnum):
    """How far grown the animals of a class are."""

    ADULT = "adult"
    JUVENILE = "juvenile"
    MANCA = "manca"


class Seen(StrEnum):
    """What a count says of a class: a number, that some were there, that none was seen, or that nobody looked."""

    COUNTED = "counted"
    SOME = "some"
    NONE = "none seen"
    NOT_COUNTED = "not counted"


class CareKind(StrEnum):
    """What a care task asks for; OTHER is in the keeper's own words.

    Those from SEPARATE on are dated: nobody sets them, they follow from what stands in the book, and are asked for once.
    """

    MOISTURE = "moisture"
    LITTER = "litter"
    RECOUNT = "recount"
    PROTEIN = "protein"
    REMOVAL = "removal"
    CALCIUM = "calcium"
    SUBSTRATE = "substrate"
    PESTS = "pests"
    OTHER = "other"
    SEPARATE = "separate"
    """Part the young by sex."""
    PARENTS_OUT = "parents out"
    QUARANTINE_END = "quarantine end"
    MOULT_PHOTO = "moult photo"
    """Photograph a find again after its next moult."""
    SISTERS = "sisters"
    """Count a find's sisters."""
    YOUNG_SEEN = "young seen"
    """Say the rest of young that were seen; so do the two below of what was noted in a hurry."""
    ONE_DEAD = "one dead"
    PHOTO_DUE = "photo due"

    @property
    def dated(self) -> bool:
        """Whether a day of the book asks for it, once, instead of a keeper who set a task."""
        return self in _DATED

    @property
    def rank(self) -> int:
        """Where it stands in a round: 0 for what cannot be made good once its day is past, 1 for another day, 2 for the rest."""
        return 2 if self not in _DATED else 0 if self in (CareKind.SEPARATE, CareKind.PARENTS_OUT) else 1


_DATED = frozenset(
    {
        CareKind.SEPARATE,
        CareKind.PARENTS_OUT,
        CareKind.QUARANTINE_END,
        CareKind.MOULT_PHOTO,
        CareKind.SISTERS,
        CareKind.YOUNG_SEEN,
        CareKind.ONE_DEAD,
        CareKind.PHOTO_DUE,
    }
)


class CareScope(StrEnum):
    """What a care task is for: a bin, the keeper's bins on a shelf, or all of the keeper's bins."""

    BIN = "bin"
    SHELF = "shelf"
    ALL = "all"


class OccurrenceState(StrEnum):
    """Where one due date of a task stands: waiting, asked in a ping, answered, or given up."""

    DUE = "due"
    ASKED = "asked"
    DONE = "done"
    DROPPED = "dropped"


class DeliveryState(StrEnum):
    """Where one ping stands: being sent (under a lease), posted, refused for now, or refused for good."""

    SENDING = "sending"
    SENT = "sent"
    BLOCKED = "blocked"
    REFUSED = "refused"


class BreederRole(StrEnum):
    """What breeders do in a pairing. In a clonal species there are dams only."""

    DAM = "dam"
    SIRE = "sire"


class DamHistory(StrEnum):
    """What is known of a dam before a pairing. Only isolation before she was grown counts as unmated."""

    UNMATED = "unmated"
    HAD_MALES = "had males"
    UNKNOWN = "unknown"


class BroodReason(StrEnum):
    """Why a brood is in the book: it was planned before it was seen, or it was found because something odd was in it."""

    PLANNED = "planned"
    FOUND = "found"


class MarkKind(StrEnum):
    """What a bin is marked with: put on hold, in quarantine, a stray animal was found in it, or its lid was off."""

    HOLD = "hold"
    QUARANTINE = "quarantine"
    STRAY = "stray"
    LID_OFF = "lid off"


class HoldCause(StrEnum):
    """Why a bin is on hold: animals with a blue or violet sheen, signs of another disease, or something else."""

    BLUE_SHEEN = "blue sheen"
    DISEASE = "disease"
    OTHER = "other"


class Media(StrEnum):
    """How the bytes of a photo are to be read."""

    JPEG = "jpeg"
    PNG = "png"


class Call(StrEnum):
    """Whether an animal on a photo shows a trait, as somebody reads it."""

    SHOWS = "shows"
    NOT = "does not"
    UNSURE = "not sure"
