"""A scored brood as it was read, and how it is written so that it is read back as the same."""

from dataclasses import dataclass
from fractions import Fraction

from bot.records import Sex
from genetics import Appearance, Dominance, Trait


@dataclass(frozen=True, slots=True)
class Look:
    """So many young of one sex that show these traits, each in part or in full; none of them: wild-looking."""

    number: int
    sex: Sex
    shown: tuple[tuple[Trait, Appearance], ...]


@dataclass(frozen=True, slots=True)
class Scored:
    """A scored brood as typed. A number that was not said is None; `unsure` and `unscored` are 0 then.

    `day` are the words for the day on which they were seen, or born; empty if none was said. `estimated`: some number is.
    """

    looks: tuple[Look, ...] = ()
    unsure: int = 0
    unscored: int = 0
    dead: int | None = None
    born: int | None = None
    age_days: int | None = None
    length_mm: Fraction | None = None
    day: str = ""
    estimated: bool = False

    @property
    def total(self) -> int:
        """Young whose look was told."""
        return sum(look.number for look in self.looks)


def written(scored: Scored) -> str:
    """The brood in the fewest words that are read back as the same, but for whether a number is an estimate.

    >>> written(Scored(unsure=3, age_days=63))
    '3 unsure, 9 weeks'
    """
    parts = [f"{look.number} {_look(look)}" for look in scored.looks]
    for number, word in ((scored.unsure, "unsure"), (scored.unscored, "unscored")):
        parts += [f"{number} {word}"] * (number > 0)
    for told, word in ((scored.dead, "dead"), (scored.born, "born")):
        parts += [f"{told} {word}"] * (told is not None)
    if scored.age_days is not None:
        weeks, days = divmod(scored.age_days, 7)
        parts.append(f"{scored.age_days} days" if days or not weeks else f"{weeks} weeks")
    if scored.length_mm is not None:
        parts.append(f"{float(scored.length_mm):g} mm")
    return ", ".join([*parts, *([f"seen {scored.day}"] if scored.day else [])])


def _look(look: Look) -> str:
    sex = {Sex.FEMALE: "female ", Sex.MALE: "male "}.get(look.sex, "")
    return sex + (" and ".join(_shown(trait, appearance) for trait, appearance in look.shown) or "wild")


def _shown(trait: Trait, appearance: Appearance) -> str:
    if trait.dominance is not Dominance.INCOMPLETE:
        return trait.name
    return f"{'het' if appearance is Appearance.PARTIAL else 'super'} {trait.name}"
