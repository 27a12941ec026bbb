"""The words of typed counts: classes of animals, and what can be said of them."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum, auto

from bot.records import Seen, Sex, Stage


@dataclass(frozen=True, slots=True)
class AnimalClass:
    """Which animals: of a stage, a sex, showing these traits (their names) or, if `wild`, none. Empty: all others."""

    stage: Stage | None = None
    sex: Sex | None = None
    traits: tuple[str, ...] = ()
    wild: bool = False

    def joined(self, other: "AnimalClass") -> "AnimalClass | None":
        """What is in both; None where they speak of the same thing."""
        if (
            (self.stage and other.stage)
            or (self.sex and other.sex)
            or (self.looked and other.looked and not self.traits)
        ):
            return None
        if (self.wild and other.wild) or set(self.traits) & set(other.traits) or (self.traits and other.wild):
            return None
        return AnimalClass(
            self.stage or other.stage, self.sex or other.sex, self.traits + other.traits, self.wild or other.wild
        )

    @property
    def looked(self) -> bool:
        """Whether anything is said of how they look."""
        return self.wild or bool(self.traits)

    def said_of(self) -> frozenset[str]:
        """What it speaks of: the stage, the sex, the look."""
        parts = {"stage": self.stage is not None, "sex": self.sex is not None, "look": self.looked}
        return frozenset(name for name, given in parts.items() if given)


class Doubt(Enum):
    """A word that means one of two things."""

    MALE_OR_MANCA = auto()
    YOUNG = auto()
    HALF_GROWN = auto()
    NONE_COUNTED = auto()


MEANINGS: Mapping[Doubt, tuple[AnimalClass, AnimalClass]] = {
    Doubt.MALE_OR_MANCA: (AnimalClass(sex=Sex.MALE), AnimalClass(stage=Stage.MANCA)),
    Doubt.YOUNG: (AnimalClass(stage=Stage.JUVENILE), AnimalClass(stage=Stage.MANCA)),
    Doubt.HALF_GROWN: (AnimalClass(stage=Stage.JUVENILE), AnimalClass(stage=Stage.ADULT)),
}
"""What each doubtful word of a class may mean."""


STAGES = {
    **dict.fromkeys(("adult", "adults", "ad", "ads", "mature", "grown", "big", "large"), Stage.ADULT),
    **dict.fromkeys(("juvenile", "juveniles", "juv", "juvs", "juvie", "juvies", "juvy", "j"), Stage.JUVENILE),
    **dict.fromkeys(
        ("manca", "mancae", "mancas", "manc", "mancs", "mancea", "mancaes", "newborn", "newborns"), Stage.MANCA
    ),
}
"""Words for how far grown animals are."""

SEXES = {
    **dict.fromkeys(("male", "males", "♂", "boys", "boy"), Sex.MALE),
    **dict.fromkeys(("female", "females", "fem", "fems", "♀", "girls", "girl", "f"), Sex.FEMALE),
    **dict.fromkeys(("unsexed", "unsexable", "u"), Sex.UNKNOWN),
}
"""Words for sexes."""

DOUBTFUL = {
    "m": Doubt.MALE_OR_MANCA,
    **dict.fromkeys(("baby", "babies", "young", "youngsters", "small", "smalls", "little", "tiny"), Doubt.YOUNG),
    **dict.fromkeys(("subadult", "subadults"), Doubt.HALF_GROWN),
}
"""Words that mean one of two things."""

WILD = frozenset({"wild", "wilds", "wildtype", "wildtypes", "wt", "normal", "normals"})
"""Words for animals that show no trait."""

AFTER_WILD = (("-", "type"), ("-", "types"), ("type",), ("types",), ("-", "looking"), ("looking",))
"""What may follow those."""

OTHERS = frozenset({"other", "others", "rest", "remaining"})
"""Words for all the animals that were not named."""

PLAIN = {
    **{word: AnimalClass(stage=stage) for word, stage in STAGES.items()},
    **{word: AnimalClass(sex=sex) for word, sex in SEXES.items()},
    **dict.fromkeys(WILD, AnimalClass(wild=True)),
    **dict.fromkeys(OTHERS, AnimalClass()),
}
"""What each word of a class means."""

FILLERS = frozenset(
    {
        "a", "about", "all", "alive", "also", "animal", "animals", "are", "bin", "bug", "bugs", "by", "count", "eye", "far", "found", "got", "had",
        "has", "have", "head", "heads", "here", "i", "in", "ind", "individual", "individuals", "inds", "is", "iso", "isopod", "isopods", "isos", "it",
        "just", "left", "live", "living", "my", "n", "now", "of", "ones", "only", "pc", "pcs", "piece", "pieces", "pod", "pods", "saw",
        "see", "so", "tally", "that", "the", "their", "them", "there", "these", "they", "this", "was", "we", "were", "woodlice", "woodlouse",
        "x", "×", ".", "!", "=", "#", '"', "'", "*", "“", "”", "_", "•", "·",
    }
)  # fmt: skip
"""Words and signs that add nothing to a count."""

SAID: tuple[tuple[tuple[str, ...], Seen], ...] = (
    *(((*words.split(),), Seen.SOME) for words in (
        "a lot of", "lots of", "lots", "loads of", "loads", "tons of", "plenty of", "plenty", "masses of", "heaps of", "a bunch of",
        "bunch of", "swarms of", "hundreds of", "dozens of", "too many", "so many", "many", "some", "a few", "few", "several", "countless",
        "present", "everywhere",
    )),
    *(((*words.split(),), Seen.NOT_COUNTED) for words in (
        "not counted", "not counting", "not yet counted", "uncounted", "didn't count", "didn’t count", "didnt count",
        "did not count", "don't know", "don’t know", "dont know", "n / a", "?",
    )),
    *(((*words.split(),), Seen.NONE) for words in ("none seen", "not seen", "not any", "none", "no", "without")),
)  # fmt: skip
"""What can be said of a class instead of a number."""

TOTAL = (
    ("in", "total"), ("total",), ("in", "all"), ("altogether",), ("all", "told"), ("all", "together"), ("overall",), ("sum",),
)  # fmt: skip
"""What makes a number that of the whole bin."""

INSIDE = (
    ("including",),
    ("incl", "."),
    ("incl",),
    ("of", "which"),
    ("of", "them"),
    ("of", "these"),
    ("thereof",),
    ("(",),
    ("[",),
)
"""What leads to the parts of what was said last."""

SEPARATORS = frozenset({",", ";", "/", "\n", "|", "+", "&", "and", "plus"})
"""What stands between items."""

SOFT = frozenset({"and", "&"})
"""Separators behind which a word alone is no item: in "12 adults and juveniles" nobody knows how many are which."""
