"""How two traits compared are said: same trait or two first, then what keeps it from being said, and what to set up next."""

from collections.abc import Sequence
from fractions import Fraction

from bot.cards import verbs, words
from bot.cards.card import Button, Card, Weight
from bot.services.complementation import (
    DAMS,
    YOUNG,
    Answer,
    Comparison,
    Condition,
    Crossed,
    Point,
    Step,
)
from genetics.evidence.complementation import Line, Loci

GROUNDS = "rests"
"""What the argument of a press ends with where it asks what a comparison rests on."""

_MOST_CROSSES = 3
_LABEL = 34
_CERTAIN = Fraction(999, 1000)
_SAID = {
    Loci.TWO: "two loci",
    Loci.SAME: "the same locus",
    Loci.NEITHER: "neither",
}


def comparison_card(found: Comparison) -> Card:
    """The reply to `/trait compare`: a phone screen; what it rests on is behind a button."""
    return Card(
        lead=_lead(found),
        blocks=tuple(block for block in (_next(found), _shares(found), _crosses(found)) if block),
        buttons=(
            Button("What it rests on", verbs.TRAIT_COMPARE, f"{_pair(found)}-{GROUNDS}", Weight.MAIN),
            _evidence(found.first.name, found.first.id),
            _evidence(found.second.name, found.second.id),
            Button("Pairings", verbs.PAIR_LIST, "0"),
        ),
        page=(verbs.TRAIT_COMPARE, _pair(found)),
    )


def grounds_card(found: Comparison) -> Card:
    """What a comparison rests on: each condition of the test as the records have it, and what was left out."""
    first, second = _name(found, Line.FIRST), _name(found, Line.SECOND)
    return Card(
        lead=f"Whether {first} and {second} are one trait rests on this:",
        blocks=(_conditions(found), _rests_on(found)),
        buttons=(Button("Answer", verbs.TRAIT_COMPARE, _pair(found)),),
        page=(verbs.TRAIT_COMPARE, f"{_pair(found)}-{GROUNDS}"),
    )


def _pair(found: Comparison) -> str:
    return f"{found.first.id}-{found.second.id}"


def _evidence(name: str, trait: int) -> Button:
    return Button(f"Evidence: {name}"[:_LABEL], verbs.TRAIT_EVIDENCE, str(trait))


def _name(found: Comparison, line: Line) -> str:
    return words.plain((found.first if line is Line.FIRST else found.second).name)


def _other(line: Line) -> Line:
    return Line.SECOND if line is Line.FIRST else Line.FIRST


def _lead(found: Comparison) -> str:
    first, second = _name(found, Line.FIRST), _name(found, Line.SECOND)
    if found.compared is not None and found.answer is Answer.TWO:
        return f"**Not the same locus**: {first} and {second} are two traits, at two loci (**{_percent(found, Loci.TWO)}**)."
    if found.compared is not None and found.answer is Answer.SAME:
        return (
            f"**The same locus**: {first} and {second} are one trait, or two forms of one gene "
            f"(**{_percent(found, Loci.SAME)}**)."
        )
    return f"**Cannot tell yet**: {_why(found)}."


def _percent(found: Comparison, loci: Loci) -> str:
    if found.compared is None:
        raise ValueError("nothing was weighed")
    share = Fraction(found.compared.of(loci)).limit_denominator(1_000_000)
    return words.percent(min(max(share, 1 - _CERTAIN), _CERTAIN))


def _why(found: Comparison) -> str:
    """The first thing in the way."""
    for one in found.conditions:
        if one.held is False and one.point in (Point.RECESSIVE, Point.ORDINARY, Point.TRUE):
            return _failed(found, one)
    first, second = _name(found, Line.FIRST), _name(found, Line.SECOND)
    if not found.crosses:
        return f"no visual {first} was paired with a visual {second} in this book"
    if not any(one.scored for one in found.crosses):
        return f"{words.listed(one.code for one in found.crosses[:3])} has no scored young yet"
    for one in found.conditions:
        if one.held is False and not (one.point is Point.UNMATED and any(c.unmated for c in found.crosses)):
            return _failed(found, one)
    return "what came of the crosses fits both"


def _failed(found: Comparison, one: Condition) -> str:
    name = _name(found, one.line) if one.line is not None else ""
    codes = words.listed(one.codes[:4])
    if one.point is Point.RECESSIVE:
        if one.verdict is not None:
            return f"the test is for two recessives, and the broods say that {name} is {one.verdict.cause.value}"
        trait = found.first if one.line is Line.FIRST else found.second
        return f"the test is for two recessives, and {name} is written down as {trait.dominance.value}"
    return {
        Point.ORDINARY: f"the test is for ordinary chromosomes and both sexes, and {name} is written down otherwise",
        Point.TRUE: f"{name} has not bred true: wild-looking young in {codes}",
        Point.UNMATED: f"the dams of {codes} were not isolated unmated, and stored sperm gives wild-looking young",
        Point.RECIPROCAL: "it was crossed one way only; the reciprocal cross is wanted",
        Point.ENOUGH: f"{DAMS} unmated dams with {YOUNG} scored young each are wanted, and there "
        f"{'is' if one.number == 1 else 'are'} {one.number or 'none'}",
    }[one.point]


def _next(found: Comparison) -> str:
    if found.step is None:
        return ""
    step, line = found.step
    dam, sire = _name(found, line), _name(found, _other(line))
    if step is Step.TRUE:
        return f"Set up next: visual {dam} × visual {dam}, the dam isolated unmated, and see whether all young show."
    if step is Step.MORE:
        return f"Raise and score more young of visual {dam} dams × visual {sire}, until there are {YOUNG} from each of {DAMS} dams."
    said = {
        Step.FIRST: "Set up next",
        Step.UNMATED: "Set up next, with an unmated dam",
        Step.RECIPROCAL: "Set up next, the other way round",
    }[step]
    typed = f"/pair setup dams:1 visual {dam} unmated from … sires:1 visual {sire} from …"
    return f"{said}: `{words.unescaped(typed)}`"


def _shares(found: Comparison) -> str:
    if found.compared is None:
        return ""
    lines = [
        f"· {_SAID[share.loci]}: {_percent(found, share.loci)}{' (estimated by sampling)' if share.error else ''}"
        for share in found.compared.shares
    ]
    head = "So far, from " if found.answer is Answer.OPEN else "From "
    young = words.plural(found.compared.young, "scored young", "scored young")
    return f"{head}{young} of both lines:\n" + "\n".join(lines)


def _crosses(found: Comparison) -> str:
    lines = [_cross(found, one) for one in found.crosses[:_MOST_CROSSES]]
    if len(found.crosses) > _MOST_CROSSES:
        lines.append(f"· and {len(found.crosses) - _MOST_CROSSES} more")
    return "\n".join(lines)


def _cross(found: Comparison, one: Crossed) -> str:
    dam, sire = _name(found, one.dam), _name(found, _other(one.dam))
    unmated = "" if one.unmated else ", not unmated"
    if not one.scored:
        return f"· {one.code}, dam {dam} × sire {sire}{unmated}: not scored yet"
    seen = f"{one.wild} wild-looking, {one.shown} that show"
    # The young that show have had a sire of one of the two lines.
    source = ", so stored wild sperm is not their only source" if one.shown and one.wild and not one.unmated else ""
    return f"· {one.code}, dam {dam} × sire {sire}{unmated}: {seen}{source}"


def _conditions(found: Comparison) -> str:
    """What the test rests on: what fails, what nobody wrote down, and what holds."""
    fails = [_failed(found, one) for one in found.conditions if one.held is False]
    lines = [f"· fails: {said}" for said in fails]
    lines += [
        f"· not in the book: {_unsaid(found, one)}" for one in found.conditions if one.held is None and _speaks(one)
    ]
    held = [_holds(found, one) for one in found.conditions if one.held]
    if held:
        lines.append(f"· holds: {words.listed(held)}")
    return "\n".join(lines)


def _speaks(one: Condition) -> bool:
    return one.point is Point.TRUE or (one.point is Point.AGE and bool(one.codes))


def _unsaid(found: Comparison, one: Condition) -> str:
    if one.point is Point.AGE:
        return f"how old the young of {words.listed(one.codes[:4])} were; young that can't be read yet look wild"
    return f"whether {_name(found, one.line or Line.FIRST)} breeds true"


def _holds(found: Comparison, one: Condition) -> str:
    name = _name(found, one.line) if one.line is not None else ""
    stated = "by its broods" if one.verdict is not None else "as stated"
    return {
        Point.RECESSIVE: f"{name} is recessive ({stated})",
        Point.ORDINARY: f"{name} shows in both sexes",
        Point.TRUE: f"{name} breeds true ({one.number} young)",
        Point.AGE: "all young were of an age to be read",
        Point.UNMATED: "every dam was isolated unmated",
        Point.RECIPROCAL: "crossed both ways",
        Point.ENOUGH: f"{one.number} dams with {YOUNG} young or more",
    }[one.point]


def _rests_on(found: Comparison) -> str:
    said = [
        f"Lines of *{found.species.name}*; two loci are taken to lie apart. A young shows if it shows either trait."
    ]
    if found.omitted:
        said.append("Left out: " + _omitted(found.omitted) + ".")
    said.append("This is evidence in this book, not a guarantee.")
    return " ".join(said)


def _omitted(omitted: Sequence[tuple[str, object]]) -> str:
    return words.listed(f"{code} ({why})" for code, why in omitted[:4])
