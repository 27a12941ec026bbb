"""A family as it is drawn: who there is, who came from whom, and what each shows or carries.

Symbols follow the published nomenclature of human pedigrees (Bennett et al. 2008, Journal of Genetic Counseling 17:424):
square for a male, circle for a female, diamond for an unknown sex or a group, with its number inside; filled shows the
trait, a dot is a carrier for sure, a double line joins relatives, a stroke is a death. A possible carrier has no dot but
its figure in text. A bin is a group.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction
from typing import Final

MOST_MEMBERS: Final = 80
"""The most symbols of one picture; more can't be told apart on a phone."""


class Sex(StrEnum):
    """The sex of an animal; a group's is unknown unless all are of one."""

    FEMALE = "female"
    MALE = "male"
    UNKNOWN = "unknown"


class Shows(StrEnum):
    """Whether the trait is seen: of an animal, or of a group in all, in some or in none."""

    NO = "no"
    SOME = "some"
    YES = "yes"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Member:
    """An animal or a group of a family.

    `key` tells it from the others and is not shown; `label` stands below its symbol, as short as a bin's code. `carries` is
    the chance that it carries the trait unseen; 1 is a carrier for sure. `group`: a bin, a brood; `count` is how many, None
    if not known; `estimate`: the count was judged. `asked`: it is whom the question was about. `note` is a few letters more.

    Raises:
        ValueError: there is no label, the chance is not one, or one animal has a count.
    """

    key: str
    label: str
    sex: Sex = Sex.UNKNOWN
    shows: Shows = Shows.NO
    carries: Fraction = Fraction(0)
    group: bool = False
    count: int | None = None
    estimate: bool = False
    dead: bool = False
    asked: bool = False
    note: str = ""

    def __post_init__(self) -> None:
        if not self.label.strip():
            raise ValueError(f"{self.key!r} has no label")
        if not 0 <= self.carries <= 1:
            raise ValueError(f"{self.label} carries with a chance of {self.carries}")
        if self.count is not None and (self.count < 0 or not self.group):
            raise ValueError(f"{self.label} can't be {self.count}")


@dataclass(frozen=True, slots=True)
class Mating:
    """Who had which young, by their keys. One parent: she bred without a male, or a group bred within itself.

    `related` says whether the parents are relatives; None leaves it to what the drawn family shows.

    Raises:
        ValueError: there is no parent or no young, or a key stands twice.
    """

    parents: tuple[str, ...]
    young: tuple[str, ...]
    related: bool | None = None

    def __post_init__(self) -> None:
        if not self.parents or not self.young:
            raise ValueError("a mating without parents or without young")
        if len({*self.parents, *self.young}) < len(self.parents) + len(self.young):
            raise ValueError(f"a key twice in {self}")


@dataclass(frozen=True, slots=True)
class Pedigree:
    """A family and the trait it is drawn for. Members in any order; who stands in no mating is drawn all the same.

    `trait` is its name as people see it; "" if the drawing is only about who came from whom.

    Raises:
        ValueError: there is nobody, or too many; a key is unknown, stands twice or is young twice; somebody is their own
            ancestor.
    """

    members: tuple[Member, ...]
    matings: tuple[Mating, ...]
    trait: str = ""
    _generation: dict[str, int] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        keys = [member.key for member in self.members]
        if not 1 <= len(keys) <= MOST_MEMBERS:
            raise ValueError(f"{len(keys)} members; 1 to {MOST_MEMBERS} can be drawn")
        _once(keys, "a key stands twice")
        _once([key for mating in self.matings for key in mating.young], "young of two matings")
        for mating in self.matings:
            for key in (*mating.parents, *mating.young):
                if key not in set(keys):
                    raise ValueError(f"nobody has the key {key!r}")
        object.__setattr__(self, "_generation", _generations(keys, self.matings))

    def generation(self, key: str) -> int:
        """The row of a member, from 0: below its parents, and founders beside those they first had young with."""
        return self._generation[key]

    def member(self, key: str) -> Member:
        """The member of this key."""
        return next(member for member in self.members if member.key == key)

    def ancestors(self, key: str) -> frozenset[str]:
        """All whom a member came from, as far as drawn."""
        found: set[str] = set()
        waiting = [key]
        while waiting:
            young = waiting.pop()
            parents = [p for mating in self.matings if young in mating.young for p in mating.parents if p not in found]
            found.update(parents)
            waiting += parents
        return frozenset(found)

    def related(self, mating: Mating) -> bool:
        """Whether the parents of a mating are relatives: as it says, or because one of two lines meets the other."""
        if mating.related is not None or len(mating.parents) < 2:
            return bool(mating.related)
        lines = [self.ancestors(key) | {key} for key in mating.parents]
        return any(a & b for i, a in enumerate(lines) for b in lines[i + 1 :])


def _once(keys: Sequence[str], what: str) -> None:
    twice = [key for key, times in Counter(keys).items() if times > 1]
    if twice:
        raise ValueError(f"{what}: {twice}")


def _generations(keys: Iterable[str], matings: Sequence[Mating]) -> dict[str, int]:
    parents = {young: mating.parents for mating in matings for young in mating.young}
    found: dict[str, int] = {key: 0 for key in keys if key not in parents}
    left = list(parents)
    while left:
        ready = [key for key in left if all(parent in found for parent in parents[key])]
        if not ready:
            raise ValueError(f"somebody is their own ancestor among {sorted(left)}")
        found.update({key: 1 + max(found[parent] for parent in parents[key]) for key in ready})
        left = [key for key in left if key not in found]
    founders = [key for key in found if key not in parents]
    for key in founders:
        mates = [[found[p] for p in m.parents if p != key and p in parents] for m in matings if key in m.parents]
        if mates:
            found[key] = min(max(rows, default=0) for rows in mates)
    return found
