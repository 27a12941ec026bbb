"""Answers to crosses, made straight from `genetics`: what `/odds` shows, without a book."""

from dataclasses import replace
from fractions import Fraction

from bot.services.backgrounds import Background, Grounds
from bot.services.observed import Observed, compared
from bot.services.observed_text import read_observed
from bot.services.odds import Genes, Odds, odds_from
from bot.services.odds_picture import Pictured
from bot.services.parentage import Held
from bot.services.questions import Question
from bot.services.raising import Raising, raising_from
from bot.services.refusals import BinLabel
from bot.services.trait_models import USUAL
from genetics import (
    CrossText,
    Dominance,
    Genome,
    Offspring,
    Role,
    SexSystem,
    Trait,
    Where,
    gamete_table,
    offspring,
    parent,
    read_cross,
    write_genes,
    young_of,
)

EMBER = Trait("ember", "e", Dominance.RECESSIVE)
FROST = Trait("frost", "f", Dominance.RECESSIVE)
DUSK = Trait("dusk", "d", Dominance.INCOMPLETE)
PALE = Trait("pale", "p", Dominance.DOMINANT)
ZETA = Trait("zeta", "z", Dominance.RECESSIVE, Where.SHARED)
BOOK = (EMBER, FROST, DUSK, PALE)


def odds_of(text: str, dam: BinLabel | None = None) -> Odds:
    """The answer to a cross of the traits above; `dam` is the bin that the dam's side stands for."""
    return odds_of_cross(read_cross(text, BOOK), text, dam)


def odds_of_cross(cross: CrossText, text: str = "", dam: BinLabel | None = None) -> Odds:
    """The answer to a cross that was read already."""
    odds = odds_from(_question(cross, text), f"={text}")
    return replace(odds, dam=replace(odds.dam, label=dam))


def raising_of(text: str) -> Raising:
    """How many to see of the class that shows most."""
    return raising_from(_question(read_cross(text, BOOK), text), f"={text}")


def observed_of(text: str, seen: str, error: Fraction = Fraction(0)) -> Observed:
    """A brood, as typed, beside a cross of the traits above."""
    cross = read_cross(text, BOOK)
    # A long cross stands in a button by the number of its draft; any short text does for that here.
    odds, question = odds_of_cross(cross, text[:58]), _question(cross, text)
    scored = read_observed(seen, odds.traits, [tuple(one.looks[t] for t in odds.traits) for one in odds.classes])
    return compared(question, odds, scored, error)


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


def pictured_of(text: str, system: SexSystem = SexSystem.UNKNOWN) -> Pictured:
    """What is drawn of a cross of the traits above; on sex chromosomes of zeta too."""
    if system is SexSystem.UNKNOWN:
        return pictured_of_cross(read_cross(text, BOOK), text)
    genome = Genome(system=system)
    cross = read_cross(text, [*BOOK, ZETA], genome=genome)
    dam, sire = (
        parent(side, cross.traits, genome, role) for side, role in ((cross.dam, Role.DAM), (cross.sire, Role.SIRE))
    )
    young = offspring(dam, sire, cross.traits)
    background = Background(cross.traits, genome, Grounds(tuple((trait, USUAL) for trait in cross.traits)))
    question = Question(text, cross, cross.dam, cross.sire, Held(), cross.traits, young, background)
    return Pictured(odds_from(question, f"={text}"), gamete_table(young))


def pictured_of_cross(cross: CrossText, text: str) -> Pictured:
    """What is drawn of a cross that was read already."""
    return Pictured(odds_of_cross(cross, text), gamete_table(_young(cross)))


def _young(cross: CrossText) -> Offspring:
    return young_of(cross, cross.traits)


def _question(cross: CrossText, text: str) -> Question:
    grounds = Grounds(tuple((trait, USUAL) for trait in cross.traits))
    background = Background(cross.traits, Genome(), grounds)
    return Question(text, cross, cross.dam, cross.sire, Held(), cross.traits, _young(cross), background)
