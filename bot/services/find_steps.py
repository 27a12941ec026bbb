"""The first steps with an odd animal, from what was said of it: pure functions."""

from datetime import datetime, timedelta
from enum import StrEnum
from fractions import Fraction
from typing import Final

from bot.records import FindRow, Sex, SexSystem, Stage
from bot.services.species import SpeciesCard

ADULT_MOULT_DAYS: Final = 33
"""Days from a moult to the next when grown: *P. scaber*, both sexes (Zidar, Drobne and Štrus 1998, Crustaceana 71:646)."""
MANCA_MOULT_DAYS: Final = 14
"""The same for mancae: 12.7 days in *P. dilatatus* (Brum and Araujo 2007), 15 in *A. granulatum* (Zecchini and Montesanto
2019)."""
SETTLING: Final = timedelta(days=5)
"""After a moult that is not to be disturbed: common practice, no source."""
SISTERS_AFTER: Final = timedelta(days=7)
"""When sisters are counted that can be read already (judgement: a bin that was just looked through has its peace first)."""
_SOONEST: Final = timedelta(days=1)
_MONTHS_TO_YOUNG: Final = 9
"""A lone odd animal that is kept for later must live about so many months of 30 days until its young are read (judgement)."""


class Step(StrEnum):
    """What to do with an odd animal, beside photographing it and counting its sisters."""

    SICK_APART = "sick apart"
    SLOW_APART = "slow apart"
    YOUNG_ALONE = "young alone"
    UNSEXED_ALONE = "unsexed alone"
    YOUNG_MALE = "young male"
    CLONE_ALONE = "clone alone"
    POUCH = "pouch"
    MATES = "mates"
    STORED_SPERM = "stored sperm"
    BREED_FIRST = "breed first"


_BY_ITSELF: Final = frozenset({Step.CLONE_ALONE, Step.POUCH, Step.YOUNG_ALONE, Step.UNSEXED_ALONE})


def steps_of(find: FindRow, system: SexSystem) -> tuple[Step, ...]:
    """The first steps, in their order.

    A disease goes before everything. Whoever is not grown can still be kept unmated; a female that is grown may carry the
    sperm of males she met before, and one with a filled pouch carries their young.
    """
    if find.sheen:
        return (Step.SICK_APART,)
    if find.slow and find.sheen is None:
        # Whoever may be ill is not put to others, nor bred.
        return Step.SLOW_APART, *(step for step in _of_a_healthy(find, system) if step in _BY_ITSELF)
    return _of_a_healthy(find, system)


def _of_a_healthy(find: FindRow, system: SexSystem) -> tuple[Step, ...]:
    if system is SexSystem.THELYTOKOUS:
        return (Step.CLONE_ALONE,)
    if find.pouch_filled:
        return Step.POUCH, Step.MATES
    if find.stage in (Stage.MANCA, Stage.JUVENILE):
        alone = {Sex.MALE: Step.YOUNG_MALE, Sex.FEMALE: Step.YOUNG_ALONE, Sex.UNKNOWN: Step.UNSEXED_ALONE}
        return (alone[find.sex],)
    if find.sex is Sex.MALE:
        return Step.MATES, Step.BREED_FIRST
    return Step.MATES, Step.STORED_SPERM, Step.BREED_FIRST


def alive_later(species: SpeciesCard) -> Fraction:
    """The chance that a grown animal lives nine months more, at the usual survival of its species for 30 days.

    At .94 it is .94**9, about .57 (science.md §6).
    """
    return species.figures["adult_survival"].usual ** _MONTHS_TO_YOUNG


def photograph_on(find: FindRow, now: datetime) -> datetime:
    """When the next moult should be over: a moult and some days after the last, or after the find if that is not known."""
    cycle = timedelta(days=MANCA_MOULT_DAYS if find.stage is Stage.MANCA else ADULT_MOULT_DAYS)
    at = (find.moulted_at or find.found_at) + cycle + SETTLING
    while at < now + _SOONEST:
        at += cycle
    return at


def count_sisters_on(find: FindRow, species: SpeciesCard, now: datetime) -> datetime:
    """When to count the sisters of its brood: soon, or if it is a manca once colour can be read."""
    if find.stage is not Stage.MANCA:
        return now + SISTERS_AFTER
    readable = find.found_at + timedelta(days=round(species.figures["scoring_days"].usual))
    return max(readable, now + SISTERS_AFTER)
