"""The odds of a cross, from what was typed and what the book says of the bins named in it."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from types import MappingProxyType
from typing import NamedTuple

from bot.records import code_key
from bot.services.backgrounds import Beside, Grounds
from bot.services.desk import Desk
from bot.services.otherwise import Otherwise, otherwise_of
from bot.services.parentage import KeptAs, Leaning, Parentage, Stored, leaning_of, parentage_of
from bot.services.questions import PLAIN, Question, asked_by, question_of, reference_of
from bot.services.refusals import Refusal
from bot.services.request import Request
from genetics import (
    Appearance,
    Character,
    CrossRefused,
    CrossText,
    Dominance,
    HowMany,
    KeptBack,
    Offspring,
    Role,
    Sex,
    Side,
    Trait,
    write_cross,
    write_genes,
)
from genetics.characters import Scored

_KINDS = 4
USUAL_CONFIDENCE = Fraction(95, 100)


@dataclass(frozen=True, slots=True)
class ClassOdds:
    """One class of young: how it looks, its share, and of each trait that can hide in it the share that carries it.

    `looks` has the class of each thing scored. `unseen`: the share that has all it takes to show a trait and does not;
    `mistaken`: the share that looks so without having what it takes.
    """

    looks: Mapping[Scored, str]
    share: Fraction
    carriers: tuple[tuple[Trait, Fraction], ...]
    unseen: tuple[tuple[Trait, Fraction], ...] = ()
    mistaken: tuple[tuple[Trait, Fraction], ...] = ()


@dataclass(frozen=True, slots=True)
class SexOdds:
    """The classes of daughters or of sons alone, and the share of all young that are of that sex."""

    sex: Sex
    share: Fraction
    classes: tuple[ClassOdds, ...]


@dataclass(frozen=True, slots=True)
class Odds:
    """The answer to a cross.

    `text` is the cross as typed. `reference` stands for it in a button. `target` is the class that shows most, or None if
    all young look wild; `see` says how many young to see for one of it. `read_as` are figures taken as thirds.
    `traits` are what the young are told apart by. `by_sex` is empty where the sexes do not differ. `sire` is None in a
    clonal species. `phase_unknown` names linked traits of which it is not known which lie on one chromosome. `leaning`
    says what is special about the parents; `swaps`: whether it is another answer with dam and sire changed about.
    """

    text: str
    reference: str
    dam: Parentage
    sire: Parentage | None
    traits: tuple[Scored, ...]
    classes: tuple[ClassOdds, ...]
    target: ClassOdds | None
    see: HowMany | None
    uncertain: bool
    read_as: tuple[tuple[str, Fraction], ...]
    by_sex: tuple[SexOdds, ...] = ()
    grounds: Grounds = field(default_factory=Grounds)
    phase_unknown: tuple[str, ...] = ()
    leaning: Leaning = field(default_factory=Leaning)
    swaps: bool = False
    otherwise: Otherwise | None = None


@dataclass(frozen=True, slots=True)
class Genes:
    """A cross in gene notation: both parents, and the genotypes of the young with their shares.

    `symbols` are the traits whose alleles stand there; `linked`: some of them are written as one.
    """

    odds: Odds
    dam: str
    sire: str | None
    young: tuple[tuple[str, Fraction], ...]
    symbols: tuple[Trait, ...] = ()
    linked: bool = False


async def odds_of(desk: Desk, request: Request, text: str, beside: Beside = PLAIN) -> Odds:
    """The young of the cross that `text` writes, class by class; `beside` is what was typed beside it.

    Raises:
        CrossNotRead, NoSuchBin, NothingStated, MixedStated, TwoSpecies, TraitOfAnother, TooCostly, NoSuchSpecies,
        ShareNotRead, CrossNotPossible, DaughtersDecided, ModelNotPossible: no answer.
    """
    question = await question_of(desk, request, text, beside)
    return _whole(question, await reference_of(desk, request, text, beside))


async def odds_again(desk: Desk, request: Request, reference: str) -> Odds:
    """The cross of a button again.

    Raises:
        Outlived: the cross was too long for a button, and its draft is over a day old.
    """
    return _whole(await question_of(desk, request, *await asked_by(desk, request, reference)), reference)


def _whole(question: Question, reference: str) -> Odds:
    """The answer, with what would change it."""
    odds = odds_from(question, reference)
    return replace(odds, otherwise=otherwise_of(question, None if odds.target is None else odds.target.looks))


async def swapped(desk: Desk, request: Request, reference: str) -> Odds:
    """The cross of a button with dam and sire changed about; what the dam carried of other males is left out.

    Raises:
        Outlived: the cross was too long for a button, and its draft is over a day old.
    """
    text, beside = await asked_by(desk, request, reference)
    question = await question_of(desk, request, text, beside)
    return await odds_of(desk, request, write_cross(question.cross.swapped), beside)


async def genes_of(desk: Desk, request: Request, reference: str) -> Genes:
    """The cross of a button in gene notation.

    Raises:
        Outlived: the cross was too long for a button, and its draft is over a day old.
    """
    question = await question_of(desk, request, *await asked_by(desk, request, reference))
    return Genes(
        odds=odds_from(question, reference),
        dam=_genes(question, question.dam, Role.DAM),
        sire=None if question.sire is None else _genes(question, question.sire, Role.SIRE),
        young=tuple((str(g), g.share) for g in question.young.genotypes()),
        symbols=question.traits,
        linked=bool(question.background.genome.groups),
    )


def _genes(question: Question, side: Side, role: Role) -> str:
    if side.drawn is not None:
        # A parent of several kinds is each of them, with its chance.
        known = question.young.dam if role is Role.DAM else question.young.sire
        kinds = sorted(known.kinds, key=lambda kind: -kind[0])[:_KINDS]
        told = [
            f"{'; '.join(map(str, animal))} ({share})" if share < 1 else "; ".join(map(str, animal))
            for share, animal in kinds
        ]
        return " or ".join([*told, "…"] if len(known.kinds) > _KINDS else told)
    if question.background.plain:
        return write_genes(side, question.traits)
    return write_genes(side, question.traits, question.background.genome, role)


async def complete_cross(desk: Desk, request: Request, text: str) -> tuple[str, ...]:
    """The text with its last word completed to a trait, a state or a bin's code, in several ways."""
    async with desk.records.read(request.server, request.actor) as book:
        traits = await book.traits()
        bins = await book.bins()
    head, last = _last_word(text)
    folded, key = last.casefold(), code_key(last)
    names = [t.name for t in traits if t.name.casefold().startswith(folded)]
    words = [w for w in ("het ", "visual ", "wild", "66% het ") if w.startswith(folded)]
    after_an_animal = head.endswith(" ") and head.rstrip()[-1:] not in ("", "x", "×", ",")
    words += [w for w in ("from ", "had males of ") if after_an_animal and folded and w.startswith(folded)]
    mine = [b for b in bins if b.keeper_id == request.actor]
    codes = [b.code for b in (bins if key else mine) if code_key(b.code).startswith(key) and (key or not folded)]
    joins = ["x "] if head.strip() and " x " not in f" {head} " and not folded else []
    return tuple(head + word for word in (*joins, *names, *words, *codes))[:25]


def _last_word(text: str) -> tuple[str, str]:
    if text.endswith((" x", " ×")):
        return f"{text} ", ""
    at = max(text.rfind(" "), text.rfind("×"), text.rfind(",")) + 1
    return text[:at], text[at:]


def odds_from(question: Question, reference: str) -> Odds:
    """The answer to a question that was understood; `reference` stands for its text in a button."""
    young = question.young
    classes = tuple(_class(question, c.looks, c.share) for c in young.classes())
    target = max(classes, key=lambda c: [sum(map(_shows, c.looks, c.looks.values())), c.share])
    shown = any(map(_shows, target.looks, target.looks.values()))
    held = question.held
    sire = None if question.sire is None else parentage_of(question.cross.sire, question.sire, Role.SIRE, held)
    return Odds(
        text=question.text,
        reference=reference,
        dam=parentage_of(question.cross.dam, question.dam, Role.DAM, held),
        sire=sire,
        traits=question.scored,
        classes=classes,
        target=target if shown else None,
        see=question.how_many(1, USUAL_CONFIDENCE, target.looks) if shown else None,
        uncertain=len(young.parts) > 1,
        read_as=question.cross.rounded_figures,
        by_sex=_by_sex(question),
        grounds=question.background.grounds,
        phase_unknown=young.phase_unknown,
        leaning=_leaning(question, target),
        swaps=question.sire is not None and _swaps(question, question.sire, target),
    )


def _leaning(question: Question, target: ClassOdds) -> Leaning:
    store, sire = question.dam.store, question.sire
    if sire is None:
        return Leaning()
    leaning = leaning_of(CrossText(question.dam, sire), question.one_sire)
    if leaning.kept:
        leaning = replace(leaning, kept_as=tuple(_kept_as(question)))
    if store is None:
        return leaning
    typed = question.cross.dam.store
    males = parentage_of(store.males if typed is None else typed.males, store.males, Role.SIRE, question.held)
    alone = question.crossed(replace(question.dam, store=None), sire)
    return replace(leaning, stored=Stored(males, store.share, alone.share(target.looks)))


def _kept_as(question: Question) -> Iterator[KeptAs]:
    """What young kept back are, trait by trait, where that is not certain."""
    young = question.young
    for role, side in ((Role.DAM, question.dam), (Role.SIRE, question.sire)):
        if side is None or not isinstance(side.drawn, KeptBack):
            continue
        for trait in side.traits:
            known = young.dam if role is Role.DAM else young.sire
            shares = tuple(known.carries(trait, copies) for copies in (0, 1, 2))
            if 1 not in shares:
                yield KeptAs(role, trait, shares[1], shares[2])


def _swaps(question: Question, sire: Side, target: ClassOdds) -> bool:
    """Whether the reciprocal cross has another answer. It has none where nothing tells a dam from a sire."""
    dam, young, cross = question.dam, question.young, question.cross.swapped
    try:
        known = question.held.resolved(cross)
        alike = dam.number == sire.number == 1 and dam.store is None and known == CrossText(sire, dam)
        if known == CrossText(dam, sire):
            return False
        if alike and young.sexes == (None,) and not question.background.genome.groups:
            return False
        other = replace(
            question, cross=cross, dam=known.dam, sire=known.sire, young=question.crossed(known.dam, known.sire)
        )
        if any(young.classes(sex) != other.young.classes(sex) for sex in young.sexes):
            return True
        return question.chances(target.looks) != other.chances(target.looks)
    except (Refusal, CrossRefused):
        # Some impossible crosses show only when their young are asked about: a dam with two Z, and no share of daughters.
        return False


def _by_sex(question: Question) -> tuple[SexOdds, ...]:
    """Daughters and sons apart, if they differ in how they look or in what they carry."""
    young = question.young
    if len(young.sexes) < 2:
        return ()
    told = []
    for sex in Sex:
        share = young.share_of(sex)
        found = young.classes(sex) if share else ()
        told.append(SexOdds(sex, share, tuple(_class(question, c.looks, c.share, sex) for c in found)))
    females, males = told
    return () if females.classes == males.classes else (females, males)


def _shows(scored: Scored, look: str) -> int:
    """How much a class shows: nothing, one dose or one of several looks, or all there is of it."""
    if isinstance(look, Appearance):
        return 0 if look is Appearance.WILD else 1 if look is Appearance.PARTIAL else 2
    return 0 if isinstance(scored, Character) and look == scored.wild else 2


def _class(question: Question, looks: Sequence[str], share: Fraction, sex: Sex | None = None) -> ClassOdds:
    young = question.young
    seen = MappingProxyType(dict(zip(question.scored, looks, strict=True)))
    carriers, unseen, mistaken = [], [], []
    for trait in question.traits:
        if trait in seen:
            hidden = trait.dominance is Dominance.RECESSIVE and seen[trait] is Appearance.WILD
            carriers.append((trait, young.carriers(trait, seen, sex) if hidden else Fraction(0)))
        else:
            found = _under(young, trait, seen, sex)
            carriers.append((trait, found.carriers))
            unseen.append((trait, found.unseen))
            mistaken.append((trait, found.mistaken))
    kept = [tuple((trait, figure) for trait, figure in told if figure) for told in (carriers, unseen, mistaken)]
    return ClassOdds(seen, share, *kept)


class _Under(NamedTuple):
    """Of young that look so: the shares that carry a trait unseen, have all it takes and hide it, or only seem to have it."""

    carriers: Fraction
    unseen: Fraction
    mistaken: Fraction


def _under(young: Offspring, trait: Trait, seen: Mapping[Scored, str], sex: Sex | None) -> _Under:
    """What is under the looks where genotype and looks do not say each other; figures of 1 among several looks say nothing new."""
    own = next((look for one, look in seen.items() if one.name == trait.name), None)
    hets = young.carriers(trait, seen, sex)
    bearers = 1 - young.copies(trait, seen, sex).get(0, Fraction(0))
    has = bearers - hets
    if isinstance(own, Appearance):
        wild = own is Appearance.WILD
        return _Under(hets if wild else Fraction(0), has if wild else Fraction(0), Fraction(0) if wild else 1 - has)
    return _Under(hets, has if has < 1 else Fraction(0), Fraction(0))
