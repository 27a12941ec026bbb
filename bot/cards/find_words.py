"""How an odd animal and the first steps with it are worded."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from bot.cards import words
from bot.records import FindRow, Sex, Stage, Units
from bot.services.find_steps import Step

_NOUNS: Final[Mapping[Sex, str]] = MappingProxyType({Sex.FEMALE: "female", Sex.MALE: "male", Sex.UNKNOWN: "animal"})
_STAGES: Final[Mapping[Stage | None, str]] = MappingProxyType(
    {Stage.ADULT: "adult ", Stage.JUVENILE: "juvenile ", Stage.MANCA: "", None: ""}
)
_ITS: Final[Mapping[Sex, tuple[str, str]]] = MappingProxyType(
    {Sex.FEMALE: ("her", "her"), Sex.MALE: ("him", "his"), Sex.UNKNOWN: ("it", "its")}
)

SHEEN: Final = (
    "A blue-violet sheen, above all on a slow animal, is often a fatal virus and no variety. Words can't diagnose it: slate "
    "stock exists, fresh moults look bluish."
)
"""Said before anything else where a sheen was seen."""


def animal(find: FindRow) -> str:
    """What kind of animal it is: "an adult female", "a manca", with its article."""
    noun = _NOUNS[find.sex]
    if find.stage is Stage.MANCA:
        noun = "manca" if find.sex is Sex.UNKNOWN else f"{noun} manca"
    said = f"{_STAGES[find.stage]}{noun}"
    return f"{'an' if said[0] in 'aeiou' else 'a'} {said}"


def facts(find: FindRow, units: Units | None = None) -> list[str]:
    """What else was said of the animal, in short phrases, in the units of the reader."""
    said = []
    if find.length_mm is not None:
        said.append(words.length(find.length_mm, units or Units.METRIC))
    if find.sex is Sex.UNKNOWN and find.stage is not Stage.MANCA:
        said.append("not sexed")
    if find.pouch_filled is not None:
        said.append("pouch filled" if find.pouch_filled else "no filled pouch")
    if find.moulted_at is not None:
        said.append(f"moulted {words.when(find.moulted_at, 'D')}")
    if find.such is not None:
        every = f"{words.number(find.such)} of {words.number(find.looked_at)}" if find.looked_at else "the only one"
        said.append(f"{every} seen" if find.looked_at else every)
    if find.sheen is not None:
        said.append("a blue-violet sheen" if find.sheen else "no sheen")
    if find.slow is not None:
        said.append("slow or limp" if find.slow else "lively")
    return said


def its(find: FindRow) -> tuple[str, str]:
    """What stands for the animal in a sentence: "her" and "her", "him" and "his", "it" and "its"."""
    return _ITS[find.sex]


def step_said(step: Step, find: FindRow, alive: str) -> str:
    """One of the first steps, as an instruction; `alive` is the share of grown animals that live nine months more."""
    it, own = its(find)
    mates = f"Keep {it} with three to five bin mates of {own} size, and no "
    return {
        Step.SICK_APART: (
            f"Move {it} and {own} box mates apart now, with tools of their own. From {find.bin_code} pass nothing on and "
            "breed nothing. A laboratory can confirm."
        ),
        Step.SLOW_APART: f"Slow or limp: keep {it} apart, and look for a blue-violet sheen in daylight.",
        Step.YOUNG_ALONE: "Keep her alone, in a cup, until she is grown: so she is surely unmated when you pair her.",
        Step.UNSEXED_ALONE: f"Keep {it} alone, in a cup, until its sex can be read: if it is a female, she is surely unmated then.",
        Step.YOUNG_MALE: f"Keep {it} with three to five bin mates of {own} size. Breed {it} as soon as he is grown.",
        Step.CLONE_ALONE: f"Keep {it} alone: {own} species needs no male, and {own} young are copies. All of them show it, or it is not inherited.",
        Step.POUCH: "The filled pouch means young of a father nobody knows, maybe of several: score them all, and breed from her daughters.",
        Step.MATES: mates + ("other mature male." if find.sex is Sex.MALE else "mature male."),
        Step.STORED_SPERM: f"{'She' if find.sex is Sex.FEMALE else 'A female'} may carry sperm of earlier males: her daughters, parted in time, are cleaner dams.",
        Step.BREED_FIRST: f"Breed {it} first: {alive} live nine months more.",
    }[step]


def find_line(find: FindRow) -> str:
    """A find within a sentence: its number, what it shows, and when."""
    return f"find {find.number} ({words.plain(find.trait_name, 60)}, {words.when(find.found_at, 'D')})"
