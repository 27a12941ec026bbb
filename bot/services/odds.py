"""The odds of a cross, from what was typed and what the book says of the bins named in it."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType

from bot.records import Holding, TraitRow, code_key
from bot.services.bins import side_of
from bot.services.desk import Desk
from bot.services.drafts import keep
from bot.services.finding import nearest, row_id
from bot.services.refusals import (
    BinLabel,
    CrossNotRead,
    MixedStated,
    NoSuchBin,
    NothingStated,
    Outlived,
    TooCostly,
    TraitOfAnother,
    TwoSpecies,
)
from bot.services.request import Request
from bot.services.traits import trait_of
from genetics import (
    Appearance,
    CrossText,
    Dominance,
    HowMany,
    NotationError,
    Offspring,
    OutOfRange,
    Side,
    State,
    TooLarge,
    Trait,
    Wished,
    born_for,
    offspring,
    parent,
    read_cross,
    write_genes,
    write_side,
)
from genetics.survival import Born

ODDS = "odds.cross"
"""The kind of a draft that stands in a button; what was refused of a question is a draft of another kind, and private."""
CONFIDENCES = (Fraction(90, 100), Fraction(95, 100), Fraction(99, 100))
USUAL_CONFIDENCE = Fraction(95, 100)
MOST_TRAITS = 5
"""The most traits in one question: what is answered at once, beside everybody else's questions."""
_SHORT = 58
_CODE = re.compile(r"[^\W\d_]{1,12}-?\d{1,6}")


@dataclass(frozen=True, slots=True)
class Parentage:
    """One parent as understood: in plain notation, and the bin it was read from, if it was typed as a code."""

    written: str
    label: BinLabel | None


@dataclass(frozen=True, slots=True)
class ClassOdds:
    """One class of young: how it looks, its share, and of each trait that can hide in it the share that carries it."""

    looks: Mapping[Trait, Appearance]
    share: Fraction
    carriers: tuple[tuple[Trait, Fraction], ...]


@dataclass(frozen=True, slots=True)
class Odds:
    """The answer to a cross.

    `text` is the cross as typed. `reference` stands for it in a button. `target` is the class that shows most, or None if
    all young look wild; `see` says how many young to see for one of it. `read_as` are figures taken as thirds.
    """

    text: str
    reference: str
    dam: Parentage
    sire: Parentage
    traits: tuple[Trait, ...]
    classes: tuple[ClassOdds, ...]
    target: ClassOdds | None
    see: HowMany | None
    uncertain: bool
    read_as: tuple[tuple[str, Fraction], ...]


@dataclass(frozen=True, slots=True)
class Raising:
    """How many young to see for at least `k` of the target class, for each confidence, with the most there can be.

    `born` is how many must be born to see one of it with 95 %, where broods live or die together; None if no young shows
    it, or if the number is too large to work out.
    """

    odds: Odds
    rows: tuple[tuple[int, tuple[HowMany, ...]], ...]
    born: Born | None


@dataclass(frozen=True, slots=True)
class Genes:
    """A cross in gene notation: both parents, and the genotypes of the young with their shares."""

    odds: Odds
    dam: str
    sire: str
    young: tuple[tuple[str, Fraction], ...]


@dataclass(frozen=True, slots=True)
class Question:
    """A cross as understood: the text, both sides with bins looked up, the traits it is about, and its young."""

    text: str
    cross: CrossText
    dam: Side
    sire: Side
    labels: Mapping[str, BinLabel]
    traits: tuple[Trait, ...]
    young: Offspring


async def odds_of(desk: Desk, request: Request, text: str) -> Odds:
    """The young of the cross that `text` writes, class by class.

    Raises:
        CrossNotRead, NoSuchBin, NothingStated, MixedStated, TwoSpecies, TraitOfAnother, TooCostly: no answer.
    """
    return odds_from(await question_of(desk, request, text), await reference_of(desk, request, text))


async def raising_of(desk: Desk, request: Request, reference: str) -> Raising:
    """How many young of the cross to raise and see, for one, two or five of the class that shows most.

    Raises:
        Outlived: the cross was too long for a button, and its draft is over a day old.
    """
    question = await question_of(desk, request, await _text(desk, request, reference))
    odds = odds_from(question, reference)
    if odds.target is None:
        return Raising(odds, (), None)
    wanted = odds.target.looks
    rows = tuple((k, tuple(question.young.how_many(k, c, wanted) for c in CONFIDENCES)) for k in (1, 2, 5))
    return Raising(odds, rows, _born(question, wanted))


def _born(question: Question, wanted: Mapping[Trait, Appearance]) -> Born | None:
    wished = [Wished(chance, (share,)) for chance, share in question.young.chances(wanted)]
    try:
        return born_for(wished)
    except (TooLarge, OutOfRange):
        return None


async def odds_again(desk: Desk, request: Request, reference: str) -> Odds:
    """The cross of a button again.

    Raises:
        Outlived: the cross was too long for a button, and its draft is over a day old.
    """
    return odds_from(await question_of(desk, request, await _text(desk, request, reference)), reference)


async def genes_of(desk: Desk, request: Request, reference: str) -> Genes:
    """The cross of a button in gene notation.

    Raises:
        Outlived: the cross was too long for a button, and its draft is over a day old.
    """
    question = await question_of(desk, request, await _text(desk, request, reference))
    return Genes(
        odds=odds_from(question, reference),
        dam=write_genes(question.dam, question.traits),
        sire=write_genes(question.sire, question.traits),
        young=tuple((str(g), g.share) for g in question.young.genotypes()),
    )


async def complete_cross(desk: Desk, request: Request, text: str) -> tuple[str, ...]:
    """The text with its last word completed to a trait, a state or a bin's code, in several ways."""
    async with desk.records.read(request.server) as book:
        traits = await book.traits()
        bins = await book.bins()
    head, last = _last_word(text)
    folded, key = last.casefold(), code_key(last)
    names = [t.name for t in traits if t.name.casefold().startswith(folded)]
    words = [w for w in ("het ", "visual ", "wild", "66% het ") if w.startswith(folded)]
    mine = [b for b in bins if b.keeper_id == request.actor]
    codes = [b.code for b in (bins if key else mine) if code_key(b.code).startswith(key) and (key or not folded)]
    joins = ["x "] if head.strip() and " x " not in f" {head} " and not folded else []
    return tuple(head + word for word in (*joins, *names, *words, *codes))[:25]


def _last_word(text: str) -> tuple[str, str]:
    if text.endswith((" x", " ×")):
        return f"{text} ", ""
    at = max(text.rfind(" "), text.rfind("×"), text.rfind(",")) + 1
    return text[:at], text[at:]


async def question_of(desk: Desk, request: Request, text: str) -> Question:
    """Read a cross and look up the bins it names.

    Raises:
        CrossNotRead, NoSuchBin, NothingStated, MixedStated, TwoSpecies, TooCostly: there is no answer.
    """
    async with desk.records.read(request.server) as book:
        rows = await book.traits()
        cross = _read(text, rows)
        codes = [side.bin_code for side in (cross.dam, cross.sire) if side.bin_code is not None]
        holdings = await book.holdings(codes)
        found = {code_key(h.code) for h in holdings}
        for code in codes:
            if code_key(code) not in found:
                raise NoSuchBin(code=code, nearest=nearest(code, await book.bins()))
    species = [desk.species.of(key).name for key in dict.fromkeys(h.species_key for h in holdings)]
    if len(species) > 1:
        raise TwoSpecies(first=species[0], second=species[1])
    if holdings:
        _require_of_species(desk, cross.traits, rows, holdings[0].species_key)
    sides = {code_key(code): _held(code, holdings, rows) for code in codes}
    dam, sire = (_resolved(side, sides) for side in (cross.dam, cross.sire))
    traits = CrossText(dam, sire).traits
    if len(traits) > MOST_TRAITS:
        raise TooCostly(TooLarge("traits in one question", len(traits), MOST_TRAITS, MOST_TRAITS, "traits"))
    try:
        young = offspring(parent(dam, traits), parent(sire, traits), traits)
    except TooLarge as error:
        raise TooCostly(error) from error
    labels = {code_key(h.code): BinLabel(h.code, h.bin_name) for h in holdings}
    return Question(text, cross, dam, sire, labels, traits, young)


def _read(text: str, rows: Iterable[TraitRow]) -> CrossText:
    traits = [trait_of(row) for row in rows]
    try:
        return read_cross(text, traits, lambda word: _CODE.fullmatch(word) is not None)
    except NotationError as error:
        raise CrossNotRead(error=error, known=tuple(t.name for t in traits)) from error


def _require_of_species(desk: Desk, stated: Iterable[Trait], rows: Iterable[TraitRow], species_key: str) -> None:
    """A trait typed beside a bin's code is one that its species can have."""
    known = {trait_of(row): row.species_key for row in rows}
    for trait in stated:
        key = known[trait]
        if key not in (None, species_key):
            raise TraitOfAnother(trait.name, desk.species.of(str(key)).name, desk.species.of(species_key).name)


def _resolved(side: Side, held: Mapping[str, Side]) -> Side:
    return side if side.bin_code is None else held[code_key(side.bin_code)]


def _held(code: str, holdings: Iterable[Holding], rows: Iterable[TraitRow]) -> Side:
    """What a bin's code stands for: what is stated of its founders, if it is the same of all."""
    mine = [h for h in holdings if code_key(h.code) == code_key(code)]
    label = BinLabel(mine[0].code, mine[0].bin_name)
    if not all(h.described for h in mine):
        raise NothingStated(label=label)
    traits = {row.id: row for row in rows}
    groups: dict[int | None, tuple[int | None, list[tuple[TraitRow, State, Fraction | None]]]] = {}
    for h in mine:
        _, states = groups.setdefault(h.founder_id, (h.number, []))
        if h.trait_id in traits and h.state is not None:
            states.append((traits[h.trait_id], h.state, h.chance))
    sides = [(number, side_of(states)) for number, states in groups.values()]
    if len({frozenset(side.items) for _, side in sides}) > 1:
        raise MixedStated(label=label, kinds=tuple((write_side(side), number) for number, side in sides))
    return sides[0][1]


def odds_from(question: Question, reference: str) -> Odds:
    """The answer to a question that was understood; `reference` stands for its text in a button."""
    young, traits = question.young, question.traits
    classes = tuple(_class(young, traits, c.appearance, c.share) for c in young.classes())
    target = max(classes, key=lambda c: [sum(map(_shows, c.looks.values())), c.share])
    shown = any(_shows(look) for look in target.looks.values())
    return Odds(
        text=question.text,
        reference=reference,
        dam=_parentage(question.cross.dam, question.dam, question.labels),
        sire=_parentage(question.cross.sire, question.sire, question.labels),
        traits=traits,
        classes=classes,
        target=target if shown else None,
        see=young.how_many(1, USUAL_CONFIDENCE, target.looks) if shown else None,
        uncertain=len(young.parts) > 1,
        read_as=question.cross.rounded_figures,
    )


def _shows(look: Appearance) -> int:
    return 0 if look is Appearance.WILD else 1 if look is Appearance.PARTIAL else 2


def _class(young: Offspring, traits: tuple[Trait, ...], looks: tuple[Appearance, ...], share: Fraction) -> ClassOdds:
    seen = MappingProxyType(dict(zip(traits, looks, strict=True)))
    hidden = [t for t in traits if t.dominance is Dominance.RECESSIVE and seen[t] is Appearance.WILD]
    carriers = [(t, young.carriers(t, seen)) for t in hidden]
    return ClassOdds(seen, share, tuple((t, c) for t, c in carriers if c))


def _parentage(typed: Side, resolved: Side, labels: Mapping[str, BinLabel]) -> Parentage:
    return Parentage(write_side(resolved), labels[code_key(typed.bin_code)] if typed.bin_code is not None else None)


async def reference_of(desk: Desk, request: Request, text: str) -> str:
    """What stands for the cross in a button: the text itself, or a draft of it where it is too long."""
    if len(text) <= _SHORT:
        return f"={text}"
    return f"#{await keep(desk, request, ODDS, {'cross': text})}"


async def _text(desk: Desk, request: Request, reference: str) -> str:
    if reference.startswith("="):
        return reference[1:]
    async with desk.records.read(request.server) as book:
        row = await book.shared_draft(row_id(reference.removeprefix("#")), ODDS, request.now)
    if row is None:
        raise Outlived("cross")
    return row.fields["cross"]
