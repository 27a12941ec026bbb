"""The slow and obviously right reference: every gamete, every young and every brood size, one by one, in fractions.

It shares no arithmetic with `genetics`: animals are plain tuples of allele pairs, ("+", "e"), one pair a trait.
"""

import itertools
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction

from genetics import Appearance, Dominance, State, Stated, Trait

Animal = tuple[tuple[str, str], ...]
Kinds = Sequence[tuple[Fraction, Animal]]
Looks = tuple[Appearance, ...]


def animal_of(traits: Sequence[Trait], copies: Sequence[int]) -> Animal:
    return tuple(
        {0: ("+", "+"), 1: ("+", trait.symbol), 2: (trait.symbol, trait.symbol)}[number]
        for trait, number in zip(traits, copies, strict=True)
    )


def kinds_of(traits: Sequence[Trait], stated: Sequence[Stated]) -> Kinds:
    """Every combination of what each statement allows, with the product of their chances."""
    by_trait = {item.trait: item for item in stated}
    options: list[list[tuple[Fraction, int]]] = []
    for trait in traits:
        item = by_trait.get(trait)
        if item is None or item.state is State.WILD:
            options.append([(Fraction(1), 0)])
        elif item.state is State.HET:
            options.append([(Fraction(1), 1)])
        elif item.state is State.POSSIBLE_HET:
            assert item.chance is not None
            options.append([(item.chance, 1), (1 - item.chance, 0)])
        else:
            options.append([(Fraction(1), 2)])
    found = []
    for combination in itertools.product(*options):
        share = Fraction(1)
        for chance, _ in combination:
            share *= chance
        found.append((share, animal_of(traits, [copies for _, copies in combination])))
    return found


def gametes(animal: Animal) -> Iterator[tuple[str, ...]]:
    """Every way to take one allele of each pair; all equally likely."""
    yield from itertools.product(*animal)


def young_of(dam: Animal, sire: Animal) -> list[Animal]:
    """Every union of an egg and a sperm; all equally likely."""
    return [tuple(zip(egg, sperm, strict=True)) for egg in gametes(dam) for sperm in gametes(sire)]


def look(trait: Trait, pair: tuple[str, str]) -> Appearance:
    copies = pair.count(trait.symbol)
    if trait.dominance is Dominance.RECESSIVE:
        return Appearance.FULL if copies == 2 else Appearance.WILD
    if trait.dominance is Dominance.DOMINANT:
        return Appearance.FULL if copies >= 1 else Appearance.WILD
    return (Appearance.WILD, Appearance.PARTIAL, Appearance.FULL)[copies]


def looks(traits: Sequence[Trait], animal: Animal) -> Looks:
    return tuple(look(trait, pair) for trait, pair in zip(traits, animal, strict=True))


def pairs(dams: Kinds, sires: Kinds) -> Iterator[tuple[Fraction, Animal, Animal]]:
    for dam_share, dam in dams:
        for sire_share, sire in sires:
            yield dam_share * sire_share, dam, sire


def young_shares(dams: Kinds, sires: Kinds) -> Iterator[tuple[Fraction, Animal]]:
    """Every young of every pair with its share."""
    for share, dam, sire in pairs(dams, sires):
        all_young = young_of(dam, sire)
        for young in all_young:
            yield share / len(all_young), young


def classes(traits: Sequence[Trait], dams: Kinds, sires: Kinds) -> dict[Looks, Fraction]:
    found: dict[Looks, Fraction] = {}
    for share, young in young_shares(dams, sires):
        key = looks(traits, young)
        found[key] = found.get(key, Fraction(0)) + share
    return found


def fits(traits: Sequence[Trait], animal: Animal, wanted: Mapping[Trait, Appearance]) -> bool:
    shown = dict(zip(traits, looks(traits, animal), strict=True))
    return all(shown[trait] is appearance for trait, appearance in wanted.items())


def carriers(
    traits: Sequence[Trait], dams: Kinds, sires: Kinds, trait: Trait, given: Mapping[Trait, Appearance]
) -> Fraction | None:
    """P(one hidden copy | looks as given), or None if nothing looks so."""
    among = carrying = Fraction(0)
    at = list(traits).index(trait)
    for share, young in young_shares(dams, sires):
        if fits(traits, young, given):
            among += share
            if trait.dominance is Dominance.RECESSIVE and young[at].count(trait.symbol) == 1:
                carrying += share
    return carrying / among if among else None


def at_least(
    traits: Sequence[Trait], dams: Kinds, sires: Kinds, wanted: Mapping[Trait, Appearance], k: int, n: int
) -> Fraction:
    """P(k or more of a brood of n), young by young: the distribution of how many are wanted grows with each."""
    total = Fraction(0)
    for share, dam, sire in pairs(dams, sires):
        all_young = young_of(dam, sire)
        chance = Fraction(sum(fits(traits, young, wanted) for young in all_young), len(all_young))
        so_far = {0: Fraction(1)}
        for _ in range(n):
            grown: dict[int, Fraction] = {}
            for number, probability in so_far.items():
                grown[number] = grown.get(number, Fraction(0)) + probability * (1 - chance)
                grown[number + 1] = grown.get(number + 1, Fraction(0)) + probability * chance
            so_far = grown
        total += share * sum(probability for number, probability in so_far.items() if number >= k)
    return total


def parts_given(
    traits: Sequence[Trait], dams: Kinds, sires: Kinds, counts: Mapping[Looks, int]
) -> dict[tuple[Animal, Animal], Fraction]:
    """P(pair | the brood): Bayes' theorem over pairs, the young multiplied one by one. Empty if impossible."""
    found: dict[tuple[Animal, Animal], Fraction] = {}
    for share, dam, sire in pairs(dams, sires):
        all_young = young_of(dam, sire)
        likelihood = share
        for key, count in counts.items():
            chance = Fraction(sum(looks(traits, young) == key for young in all_young), len(all_young))
            for _ in range(count):
                likelihood *= chance
        found[dam, sire] = found.get((dam, sire), Fraction(0)) + likelihood
    total = sum(found.values())
    return {pair: weight / total for pair, weight in found.items() if weight} if total else {}
