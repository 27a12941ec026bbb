"""A pedigree of single animals, checked where it is born."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from genetics.errors import KinshipFault, KinshipRefused, OutOfRange
from genetics.genome import SexSystem
from genetics.kinship.ancestry import UNKNOWN, generations, in_order
from genetics.loci import Where
from genetics.rates import Rate, exactly

HALF_SIBS = Fraction(1, 8)
"""The kinship of half sibs: what two founders of one origin are taken for where nothing better is said (judgement)."""


@dataclass(frozen=True, slots=True)
class Animal:
    """One animal and its parents, None where a parent is not known.

    born: when, on any scale; only used to refuse parents that are younger than their young.
    origin: where a founder comes from. Founders of one origin are related, by the pedigree's `origin_kinship`.
    inbreeding: F of a founder, 0 to 1, from what is known outside this pedigree.
    twins: a mark that identical animals share: monozygotic twins, or young of one clone.

    Raises KinshipRefused for an empty name and for a founder's facts said of an animal with parents, OutOfRange.

    >>> Animal("Ash", dam="Birch").sire is None
    True
    """

    name: str
    dam: str | None = None
    sire: str | None = None
    born: float | None = None
    origin: str | None = None
    inbreeding: Rate = 0
    twins: str | None = None

    def __post_init__(self) -> None:
        if not self.name or self.dam == "" or self.sire == "":
            raise KinshipRefused(KinshipFault.EMPTY, self.name)
        exactly("inbreeding", self.inbreeding)
        if (self.dam or self.sire) and (self.origin is not None or self.inbreeding):
            raise KinshipRefused(KinshipFault.FOUNDERS_ONLY, self.name)


@dataclass(frozen=True, slots=True)
class Pedigree:
    """Animals in the order given, with their parents as places in that order (-1: not known). Made by `of` or `of_places`.

    dams, sires: places, one for each animal. generations: of each animal, 0 for founders.
    origins: a number for each founder that shares its origin with others, -1 for every other animal.
    inbred: F of founders as it was given, 0 elsewhere. same_as: the place of the first animal with the same genotype.
    origin_kinship: of two founders of one origin, 0 to 1/2.

    >>> sibs = Pedigree.of([Animal("C", "A", "B"), Animal("D", "A", "B"), Animal("A"), Animal("B")])
    >>> sibs.names, sibs.dams, sibs.generations
    (('C', 'D', 'A', 'B'), (2, 2, -1, -1), (1, 1, 0, 0))
    """

    names: tuple[str, ...]
    dams: tuple[int, ...]
    sires: tuple[int, ...]
    generations: tuple[int, ...]
    origins: tuple[int, ...]
    inbred: tuple[float, ...]
    same_as: tuple[int, ...]
    origin_kinship: float

    @classmethod
    def of(
        cls,
        animals: Iterable[Animal],
        *,
        system: SexSystem = SexSystem.UNKNOWN,
        where: Where = Where.AUTOSOME,
        origin_kinship: Rate = HALF_SIBS,
    ) -> "Pedigree":
        """A pedigree from animals in any order; each parent named needs a line of its own.

        system: THELYTOKOUS makes every young the same as its dam; HAPLODIPLOID is refused. where: only AUTOSOME is
        worked out. origin_kinship: of two founders of one origin; the default, half sibs, is a judgement.
        Raises KinshipRefused (see KinshipFault), OutOfRange.

        >>> Pedigree.of([Animal("A", "B"), Animal("B", "A")])
        Traceback (most recent call last):
        genetics.errors.KinshipRefused: A: it is its own ancestor (A ← B ← A)
        """
        clonal = _clonal(system, where)
        rows = tuple(animals)
        names = tuple(animal.name for animal in rows)
        places = {name: place for place, name in enumerate(names)}
        if len(places) < len(names):
            raise KinshipRefused(KinshipFault.TWICE, next(n for at, n in enumerate(names) if places[n] != at))
        dams = tuple(_place(places, animal.dam) for animal in rows)
        sires = tuple(_place(places, animal.sire) for animal in rows)
        _refuse_roles(names, dams, sires, clonal)
        _refuse_ages(rows, dams, sires)
        depths = generations(names, tuple(zip(dams, sires, strict=True)))
        return cls(
            names=names,
            dams=dams,
            sires=sires,
            generations=depths,
            origins=_origins(rows),
            inbred=tuple(float(animal.inbreeding) for animal in rows),
            same_as=_same(rows, dams, sires, depths, clonal),
            origin_kinship=float(exactly("origin_kinship", origin_kinship, Fraction(1, 2))),
        )

    @classmethod
    def of_places(cls, dams: Sequence[int], sires: Sequence[int]) -> "Pedigree":
        """A pedigree from the places of the parents (-1: not known); each animal is named by its own place.

        dams, sires: of equal length. Raises KinshipRefused, and OutOfRange for a place that is not there.

        >>> Pedigree.of_places([-1, -1, 0], [-1, -1, 1]).names
        ('0', '1', '2')
        """
        mothers, fathers = tuple(map(int, dams)), tuple(map(int, sires))
        count = len(mothers)
        for place in (*mothers, *fathers):
            if not UNKNOWN <= place < count:
                raise OutOfRange("place", str(place), str(UNKNOWN), str(count - 1))
        names = tuple(map(str, range(count)))
        _refuse_roles(names, mothers, fathers, clonal=False)
        if in_order(mothers, fathers):
            depths = [0] * count
            for place, (dam, sire) in enumerate(zip(mothers, fathers, strict=True)):
                if dam >= 0 or sire >= 0:
                    depths[place] = 1 + max(depths[dam] if dam >= 0 else 0, depths[sire] if sire >= 0 else 0)
            told = tuple(depths)
        else:
            told = generations(names, tuple(zip(mothers, fathers, strict=True)))
        none = (UNKNOWN,) * count
        return cls(names, mothers, fathers, told, none, (0.0,) * count, tuple(range(count)), 0.0)

    def place(self, name: str) -> int:
        """The place of an animal. Raises KinshipRefused if it has no line here."""
        try:
            return self.names.index(name)
        except ValueError:
            raise KinshipRefused(KinshipFault.NOT_LISTED, name) from None

    def places(self, names: Iterable[str]) -> tuple[int, ...]:
        """The places of animals, in the order asked. Raises KinshipRefused for one that has no line here."""
        known = {name: place for place, name in enumerate(self.names)}
        return tuple(_place(known, name) for name in names)


def _clonal(system: SexSystem, where: Where) -> bool:
    if system is SexSystem.HAPLODIPLOID:
        raise KinshipRefused(KinshipFault.HAPLODIPLOID, system)
    if where is not Where.AUTOSOME:
        raise KinshipRefused(KinshipFault.SEX_LINKED, where)
    return system is SexSystem.THELYTOKOUS


def _place(places: dict[str, int], name: str | None) -> int:
    if name is None:
        return UNKNOWN
    place = places.get(name)
    if place is None:
        raise KinshipRefused(KinshipFault.NOT_LISTED, name)
    return place


def _refuse_roles(names: tuple[str, ...], dams: tuple[int, ...], sires: tuple[int, ...], clonal: bool) -> None:
    if clonal:
        fathered = next((place for place, sire in enumerate(sires) if sire >= 0), None)
        if fathered is not None:
            raise KinshipRefused(KinshipFault.CLONAL_SIRE, names[fathered], names[sires[fathered]])
        return
    both = (set(dams) & set(sires)) - {UNKNOWN}
    if both:
        raise KinshipRefused(KinshipFault.DAM_AND_SIRE, names[min(both)])


def _refuse_ages(rows: tuple[Animal, ...], dams: tuple[int, ...], sires: tuple[int, ...]) -> None:
    for animal, *parents in zip(rows, dams, sires, strict=True):
        for parent in parents:
            born = rows[parent].born if parent >= 0 else None
            if animal.born is not None and born is not None and born > animal.born:
                raise KinshipRefused(KinshipFault.YOUNGER_PARENT, animal.name, rows[parent].name)


def _origins(rows: tuple[Animal, ...]) -> tuple[int, ...]:
    members: dict[str, int] = {}
    for animal in rows:
        if animal.origin is not None:
            members[animal.origin] = members.get(animal.origin, 0) + 1
    numbers = {origin: number for number, origin in enumerate(o for o, count in members.items() if count > 1)}
    return tuple(UNKNOWN if a.origin is None else numbers.get(a.origin, UNKNOWN) for a in rows)


def _same(
    rows: tuple[Animal, ...], dams: tuple[int, ...], sires: tuple[int, ...], depths: tuple[int, ...], clonal: bool
) -> tuple[int, ...]:
    """For each animal the first place of its genotype: itself, a twin's, or in a clonal species its dam's."""
    first: dict[str, int] = {}
    same = list(range(len(rows)))
    for place, animal in enumerate(rows):
        if animal.twins is not None:
            other = first.setdefault(animal.twins, place)
            if (dams[other], sires[other]) != (dams[place], sires[place]):
                raise KinshipRefused(KinshipFault.TWINS, animal.name, rows[other].name)
            same[place] = other
    if clonal:
        for place in sorted(range(len(rows)), key=depths.__getitem__):
            same[place] = same[dams[place]] if dams[place] >= 0 else same[place]
    return tuple(same)
