"""Answers to crosses, made straight from `genetics`: what `/odds` shows, without a book."""

from fractions import Fraction

from bot.services.backgrounds import Grounds
from bot.services.observed import Observed, compared
from bot.services.observed_text import read_observed
from bot.services.odds import CONFIDENCES, USUAL_CONFIDENCE, ClassOdds, Genes, Odds, Parentage, Raising
from bot.services.questions import Question
from bot.services.refusals import BinLabel
from bot.services.trait_models import USUAL
from genetics import (
    Appearance,
    CrossText,
    Dominance,
    Offspring,
    Trait,
    Wished,
    born_for,
    offspring,
    parent,
    read_cross,
    write_genes,
    write_side,
)
from genetics.characters import Scored

EMBER = Trait("ember", "e", Dominance.RECESSIVE)
FROST = Trait("frost", "f", Dominance.RECESSIVE)
DUSK = Trait("dusk", "d", Dominance.INCOMPLETE)
PALE = Trait("pale", "p", Dominance.DOMINANT)
BOOK = (EMBER, FROST, DUSK, PALE)
_DOSES = {Appearance.WILD: 0, Appearance.PARTIAL: 1, Appearance.FULL: 2}


def odds_of(text: str, dam: BinLabel | None = None) -> Odds:
    """The answer to a cross of the traits above; `dam` is the bin that the dam's side stands for."""
    return odds_of_cross(read_cross(text, BOOK), text, dam)


def odds_of_cross(cross: CrossText, text: str = "", dam: BinLabel | None = None) -> Odds:
    """The answer to a cross that was read already."""
    young = _young(cross)
    classes = tuple(_class(young, cross.traits, c.appearance, c.share) for c in young.classes())
    target = max(classes, key=lambda c: (sum(_DOSES[Appearance(look)] for look in c.looks.values()), c.share))
    shows = any(_DOSES[Appearance(look)] for look in target.looks.values())
    return Odds(
        text=text,
        reference=f"={text}",
        dam=Parentage(write_side(cross.dam), dam),
        sire=Parentage(write_side(cross.sire), None),
        traits=young.traits,
        classes=classes,
        target=target if shows else None,
        see=young.how_many(1, USUAL_CONFIDENCE, target.looks) if shows else None,
        uncertain=len(young.parts) > 1,
        read_as=cross.rounded_figures,
        grounds=Grounds(tuple((trait, USUAL) for trait in cross.traits)),
    )


def raising_of(text: str) -> Raising:
    """How many to see of the class that shows most."""
    odds, young = odds_of(text), _young(read_cross(text, BOOK))
    if odds.target is None:
        return Raising(odds, (), None)
    wanted = odds.target.looks
    rows = tuple((k, tuple(young.how_many(k, sure, wanted) for sure in CONFIDENCES)) for k in (1, 2, 5))
    return Raising(odds, rows, born_for([Wished(chance, (share,)) for chance, share in young.chances(wanted)]))


def observed_of(text: str, seen: str) -> Observed:
    """A brood, as typed, beside a cross of the traits above."""
    cross = read_cross(text, BOOK)
    # A long cross stands in a button by the number of its draft; any short text does for that here.
    odds, young = odds_of_cross(cross, text[:58]), _young(cross)
    scored = read_observed(seen, young.traits, [tuple(one.looks[t] for t in young.traits) for one in odds.classes])
    question = Question(text, cross, cross.dam, cross.sire, {}, cross.traits, young)
    return compared(question, odds, scored.counts, scored.estimated)


def genes_of(text: str) -> Genes:
    """The cross in gene notation."""
    cross = read_cross(text, BOOK)
    young = _young(cross)
    return Genes(
        odds=odds_of(text),
        dam=write_genes(cross.dam, cross.traits),
        sire=write_genes(cross.sire, cross.traits),
        young=tuple((str(one), one.share) for one in young.genotypes()),
        symbols=cross.traits,
    )


def _young(cross: CrossText) -> Offspring:
    return offspring(parent(cross.dam, cross.traits), parent(cross.sire, cross.traits), cross.traits)


def _class(young: Offspring, traits: tuple[Trait, ...], looks: tuple[Appearance, ...], share: Fraction) -> ClassOdds:
    seen = dict(zip(traits, looks, strict=True))
    hidden = [t for t, look in seen.items() if look is Appearance.WILD and t.dominance is Dominance.RECESSIVE]
    carriers = [(trait, young.carriers(trait, seen)) for trait in hidden]
    told: dict[Scored, str] = dict(seen)
    return ClassOdds(told, share, tuple((trait, chance) for trait, chance in carriers if chance))
