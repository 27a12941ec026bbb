"""What would change an answer: the assumption it rests on most, and what the same parents would give without it.

The parents are kept as they look, or as they are; which of the two each function says. Elementary inheritance throughout.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction
from functools import lru_cache
from itertools import product

from bot.services.backgrounds import Background, Grounds
from bot.services.heredity import by_itself
from bot.services.questions import Question, young_of
from bot.services.trait_models import USUAL, TraitModel
from genetics import (
    Appearance,
    Character,
    CrossRefused,
    Dominance,
    Genome,
    LinkageGroup,
    NeverHappens,
    Offspring,
    Sex,
    Side,
    Spelled,
    State,
    Stated,
    Trait,
    Where,
)
from genetics.characters import Scored
from genetics.sides import Item


class Instead(StrEnum):
    """What is supposed instead of what is recorded."""

    DOMINANT = "dominant"
    RECESSIVE = "recessive"
    DOSES_ALIKE = "one dose looks like two"
    ALWAYS_SHOWN = "all that should show it do, and no others"
    HARMLESS = "it does no harm"
    BOTH_SEXES = "both sexes show it"
    SEX_CHROMOSOME = "it lies on the sex chromosome both sexes have"
    ONE_SEX = "it is shown in females only, or in males only"
    UNLINKED = "the traits are not linked"
    LINKED = "the traits lie close together on one chromosome"


@dataclass(frozen=True, slots=True)
class Otherwise:
    """What the young would be instead: the shares that could show as much as the answer says, lowest first.

    `traits` are the names supposed about. `same`: what the answer says is among the shares, so that the brood cannot
    tell. `by_sex` are the shares of daughters and of sons where these differ.
    """

    instead: Instead
    traits: tuple[str, ...]
    shares: tuple[Fraction, ...]
    same: bool
    by_sex: tuple[Fraction, Fraction] | None = None


def otherwise_of(question: Question, looks: Mapping[Scored, str] | None) -> Otherwise | None:
    """What would change the answer most; `looks` is the class it is about. None where nothing in particular would."""
    if looks is None:
        looks = dict(zip(question.scored, question.young.classes()[0].looks, strict=True))
        target = Fraction(0)
    else:
        target = question.young.share(looks)
    sides = [side for side in (question.dam, question.sire) if side is not None]
    simple = all(isinstance(item, Stated) for side in sides for item in side.items)
    linked = bool(question.background.genome.groups) and not any(side.bin_codes for side in sides)
    if not (simple or linked) or len(sides) < 2 or any(side.number > 1 or side.store is not None for side in sides):
        return None
    try:
        if len(question.traits) == 1 and len(question.scored) == 1:
            return _of_one(question, question.traits[0], target)
        return _of_linkage(question, looks, target) if target else None
    except (CrossRefused, NeverHappens):
        # What is supposed cannot be for these parents, so it is nothing to remark on.
        return None


# ---- one trait


def _of_one(question: Question, trait: Trait, target: Fraction) -> Otherwise | None:
    model = question.background.grounds.traits[0][1]
    if model.penetrance != 1 or model.phenocopies:
        full = replace(model, penetrance=Fraction(1), phenocopies=Fraction(0))
        return _other_model(question, trait, Instead.ALWAYS_SHOWN, full)
    if model.shown_in is not None:
        return _of_one_sex(question, trait, model)
    if model.where is Where.SHARED:
        return _by_sex(question, trait, Instead.ONE_SEX, TraitModel(shown_in=_showing_sex(question)))
    if model.lives:
        return _other_model(question, trait, Instead.HARMLESS, replace(model, lives=()))
    return _other_dominance(question, trait, target) if model.where is Where.AUTOSOME else None


def _of_one_sex(question: Question, trait: Trait, model: TraitModel) -> Otherwise | None:
    """Of a trait shown in one sex only: on the sex chromosome, if these parents can be that there."""
    if question.background.genome.system.letters is not None:
        try:
            return _by_sex(question, trait, Instead.SEX_CHROMOSOME, TraitModel(where=Where.SHARED))
        except CrossRefused:
            pass
    return _other_model(question, trait, Instead.BOTH_SEXES, replace(model, shown_in=None))


def _showing_sex(question: Question) -> Sex:
    """The sex that shows it more in this cross."""
    shares = [_showing(question.young, question.scored[0], sex) for sex in (Sex.FEMALE, Sex.MALE)]
    return Sex.FEMALE if shares[0] >= shares[1] else Sex.MALE


def _other_model(question: Question, trait: Trait, instead: Instead, model: TraitModel) -> Otherwise | None:
    """The same genotypes under another model of the same place."""
    young = _again(question, trait, model)
    share = _showing(young, young.traits[0], None)
    return Otherwise(instead, (trait.name,), (share,), share == _showing(question.young, question.scored[0], None))


def _by_sex(question: Question, trait: Trait, instead: Instead, model: TraitModel) -> Otherwise | None:
    """The same statements about the parents, with the trait on other chromosomes: the shares of daughters and of sons."""
    young = _again(question, trait, model)
    shares = [_showing(young, young.traits[0], sex) for sex in (Sex.FEMALE, Sex.MALE)]
    now = [_showing(question.young, question.scored[0], sex) for sex in (Sex.FEMALE, Sex.MALE)]
    return Otherwise(instead, (trait.name,), (), shares == now, (shares[0], shares[1]))


def _again(question: Question, trait: Trait, model: TraitModel) -> Offspring:
    other = Trait(trait.name, trait.symbol, trait.dominance, model.where)
    scored = by_itself(other, model)
    genome = question.background.genome
    background = Background((scored,), genome, Grounds(system=question.background.grounds.system))
    sides = [_with(side, other) for side in (question.dam, question.sire) if side is not None]
    return young_of(sides[0], sides[1], background)


def _with(side: Side, trait: Trait) -> Side:
    return Side(tuple(replace(item, trait=trait) for item in side.stated))


def _showing(young: Offspring, scored: Scored, sex: Sex | None) -> Fraction:
    """The share that shows anything, among all young or those of one sex."""
    wild = scored.wild if isinstance(scored, Character) else Appearance.WILD
    return sum((c.share for c in young.of_trait(scored, sex) if c.looks[0] != wild), Fraction(0))


def _other_dominance(question: Question, trait: Trait, target: Fraction) -> Otherwise | None:
    """Parents of the same looks, if the trait showed in another way."""
    if trait.dominance is Dominance.INCOMPLETE:
        share = _showing(question.young, question.scored[0], None)
        return None if share == target else Otherwise(Instead.DOSES_ALIKE, (trait.name,), (share,), False)
    recessive = trait.dominance is Dominance.RECESSIVE
    sides = [side for side in (question.dam, question.sire) if side is not None]
    looks = tuple([any(_shows(item) for item in side.stated) for side in sides])
    shares = _shares_of(Dominance.DOMINANT if recessive else Dominance.RECESSIVE, looks)
    instead = Instead.DOMINANT if recessive else Instead.RECESSIVE
    return Otherwise(instead, (trait.name,), shares, target in shares)


@lru_cache(maxsize=16)
def _shares_of(dominance: Dominance, looks: tuple[bool, ...]) -> tuple[Fraction, ...]:
    """The shares of young that could show a trait, lowest first, by which of its parents do."""
    trait = Trait("t", "t", dominance)
    background = Background((trait,), Genome())
    shares = {
        _showing(young_of(dam, sire, background), trait, None)
        for dam, sire in product(*(list(_alike(shown, trait)) for shown in looks))
    }
    return tuple(sorted(shares))


def _shows(item: Stated) -> bool:
    recessive = item.trait.dominance is Dominance.RECESSIVE
    return item.state is State.VISUAL if recessive else item.state in (State.HET, State.HOMOZYGOUS)


def _alike(shown: bool, trait: Trait) -> Iterator[Side]:
    """Every parent that looks so under this dominance."""
    if trait.dominance is Dominance.DOMINANT:
        states = (State.HET, State.HOMOZYGOUS) if shown else (State.WILD,)
    else:
        states = (State.VISUAL,) if shown else (State.WILD, State.HET)
    for state in states:
        yield Side((Stated(trait, state),))


# ---- several traits


def _of_linkage(question: Question, looks: Mapping[Scored, str], target: Fraction) -> Otherwise | None:
    """The same parents with the traits unlinked; or, where they are unlinked, two of them without any recombination."""
    background = question.background
    names = tuple(trait.name for trait in question.traits)
    if background.genome.groups:
        apart = replace(background, genome=replace(background.genome, groups=()))
        dam, sire = (_without_phase(side) for side in (question.dam, question.sire) if side is not None)
        share = young_of(dam, sire, apart).share(looks)
        mapped = {locus for group in background.genome.groups for locus in group.loci}
        names = tuple(trait.name for trait in question.traits if trait.locus in mapped)
        return None if share == target else Otherwise(Instead.UNLINKED, names, (share,), False)
    plain = len(question.traits) == 2 and background.scored == question.traits
    if not plain or any(model is not USUAL for _, model in background.grounds.traits):
        return None
    sides = (question.dam, question.sire or Side())
    shares = _shares_if_tied(question.traits, sides, tuple(looks[trait] for trait in question.traits))
    return None if shares == (target,) else Otherwise(Instead.LINKED, names, shares, target in shares)


@lru_cache(maxsize=256)
def _shares_if_tied(
    traits: tuple[Trait, ...], sides: tuple[Side, Side], looks: tuple[str, ...]
) -> tuple[Fraction, ...]:
    """The shares of young that could look so if the traits never parted, lowest first, over all phases."""
    # Asked with every plain cross of two traits, and dearer than the cross itself.
    group = LinkageGroup(tuple(trait.locus for trait in traits), Fraction(0))
    young = young_of(*sides, Background(traits, Genome((group,))))
    return tuple(sorted({share for _, share in young.chances(dict(zip(traits, looks, strict=True)))}))


def _without_phase(side: Side) -> Side:
    """A side with its spelled genotypes stated trait by trait; of sex chromosomes it stays as it is."""
    items: list[Item] = []
    for item in side.items:
        if not isinstance(item, Spelled) or any(locus.where is not Where.AUTOSOME for locus in item.loci):
            items.append(item)
            continue
        for trait in item.traits:
            doubled = State.VISUAL if trait.dominance is Dominance.RECESSIVE else State.HOMOZYGOUS
            items.append(Stated(trait, State.HET if item.genotype.copies(trait.symbol) == 1 else doubled))
    return replace(side, items=tuple(items))
