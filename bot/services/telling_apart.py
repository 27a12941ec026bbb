"""Telling a trait that is shown in one sex only from one on a sex chromosome: the cross in which the two differ.

Trait dam × trait-free sire; if daughters and sons of that look alike under both, its son × trait dam (for a trait of
males: the other way round). Elementary inheritance; science.md §5 has the same cross for ZZ/ZW.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from bot.services.heredity import by_itself
from bot.services.trait_models import TraitModel
from genetics import (
    Appearance,
    Dominance,
    Genome,
    Offspring,
    Parent,
    Role,
    Sex,
    SexSystem,
    Side,
    State,
    Stated,
    Trait,
    Where,
    offspring,
    parent,
)
from genetics.characters import Scored


@dataclass(frozen=True, slots=True)
class Shares:
    """The share of daughters and of sons that show a trait."""

    daughters: Fraction
    sons: Fraction


@dataclass(frozen=True, slots=True)
class Contrast:
    """What a cross gives if the trait is shown in one sex only, and if it lies on the sex chromosome that both sexes have.

    `sex` is the one that shows it; `back`: the cross is the one back to a trait parent, not the first.
    """

    sex: Sex
    back: bool
    limited: Shares
    linked: Shares


def contrast_of(dominance: Dominance, model: TraitModel, system: SexSystem) -> Contrast | None:
    """The cross that tells the two apart; None if the trait is neither, or the species' sex chromosomes are not known."""
    if system.letters is None or (model.shown_in is None and model.where is not Where.SHARED):
        return None
    sex = model.shown_in or Sex.FEMALE
    limited = list(_crosses(dominance, TraitModel(shown_in=sex), system, sex))
    linked = list(_crosses(dominance, TraitModel(where=Where.SHARED), system, sex))
    pairs = [Contrast(sex, at > 0, *both) for at, both in enumerate(zip(limited, linked, strict=True))]
    return next((one for one in pairs if one.limited != one.linked), None)


def _crosses(dominance: Dominance, model: TraitModel, system: SexSystem, sex: Sex) -> Iterator[Shares]:
    """Trait parent × trait-free mate, then that cross's young of the other sex × trait parent."""
    trait = Trait("t", "t", dominance, model.where)
    scored = by_itself(trait, model)
    genome = Genome(system=system)
    role, other = (Role.DAM, Role.SIRE) if sex is Sex.FEMALE else (Role.SIRE, Role.DAM)
    shows = parent(Side((Stated(trait, _state(dominance, system, role, model)),)), [scored], genome, role)
    first = _young(shows, parent(Side(), [scored], genome, other), role, scored)
    yield _shares(first, scored)
    kept = first.one({}, Sex.MALE if sex is Sex.FEMALE else Sex.FEMALE)
    yield _shares(_young(shows, kept, role, scored), scored)


def _state(dominance: Dominance, system: SexSystem, role: Role, model: TraitModel) -> State:
    """How a parent that shows it is stated: a dominant one with a single copy, if it can have two."""
    if dominance is Dominance.RECESSIVE:
        return State.VISUAL
    one_copy = model.where is Where.SHARED and len(set(Genome(system=system).karyotype(role) or ())) > 1
    return State.HOMOZYGOUS if one_copy else State.HET


def _young(one: Parent, mate: Parent, role: Role, scored: Scored) -> Offspring:
    return offspring(one, mate, [scored]) if role is Role.DAM else offspring(mate, one, [scored])


def _shares(young: Offspring, scored: Scored) -> Shares:
    def showing(sex: Sex) -> Fraction:
        return sum((c.share for c in young.classes(sex) if c.looks[0] != Appearance.WILD), Fraction(0))

    return Shares(showing(Sex.FEMALE), showing(Sex.MALE))
