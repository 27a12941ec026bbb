"""How odds are said: the answer first, then the classes, then what it rests on."""

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction

from bot.cards import verbs, words
from bot.cards.card import Button, Card, Weight
from bot.cards.grounds import grounds_lines
from bot.cards.models import is_wild, look_of, name_of, young_of_sex
from bot.cards.parentage import cases, leans_on, parents_line
from bot.services.odds import ClassOdds, Genes, Odds
from genetics import Appearance, Dominance, HowMany, Trait, Where
from genetics.characters import Scored

_TABLE_CHARACTERS = 900
_PAGED = 44
_REMARKS = 3
"""The most that is said of one class of young behind its share; the rest stands under *Carriers*."""


def odds_card(odds: Odds, *, error_unused: bool = False) -> Card:
    """The reply to `/odds`; `error_unused` if a scoring error was typed, which nothing here can use."""
    buttons = [
        Button("How many to raise", verbs.ODDS_RAISING, odds.reference, Weight.MAIN),
        Button("Carriers", verbs.ODDS_CARRIERS, odds.reference),
        Button("Gene notation", verbs.ODDS_GENES, odds.reference),
    ]
    if len(odds.classes) > 1:
        buttons.append(Button("Picture", verbs.ODDS_PICTURE, odds.reference))
    if odds.swaps:
        buttons.append(Button("Swap dam and sire", verbs.ODDS_SWAP, odds.reference))
    return Card(
        lead=lead_said(odds),
        blocks=(_table(odds), rests_on(odds), *((_ERROR_UNUSED,) if error_unused else ())),
        buttons=tuple(buttons if odds.target else buttons[1:]) if odds.traits else (),
        # The button that turns a page carries the page's number and the route as well.
        page=(verbs.ODDS_ASK, odds.reference) if len(odds.reference) <= _PAGED else None,
    )


_ERROR_UNUSED = "The scoring error was left aside: it only counts with young that you scored, in `observed:`."


def lead_said(odds: Odds) -> str:
    """The answer in words and one number."""
    if not odds.traits:
        return "All young look **wild**: no trait is named on either side."
    target = odds.target
    if target is None:
        return _none_shows(odds) + _hidden(odds)
    if odds.see is not None and odds.see.see is None:
        tells = "The first young grown and scored tells." if odds.see.if_share == 1 else see_said(odds.see)
        return (
            f"**{_capital(words.in_words(odds.see.if_share))}** young will {showing(target)} if this pair can give it "
            f"at all; the chance of that is **{words.percent(odds.see.ceiling)}**. {tells}"
        )
    share = f"**{_capital(words.in_words(target.share))}** young{' on average' if odds.uncertain else ''}"
    said = f"{share} will {showing(target)}{_of_each_sex(odds, target)}."
    return said + ("" if target.share == 1 else f" {see_said(odds.see)}")


def _none_shows(odds: Odds) -> str:
    names = [name_of(one) for one, look in odds.classes[0].looks.items() if isinstance(look, Appearance)]
    if len(odds.classes) == 1 and len(names) < len(odds.traits):
        return f"All young look **{class_name(odds.classes[0].looks)}**."
    return f"**None** of the young will show {words.listed(names, 'or')}."


def _of_each_sex(odds: Odds, target: ClassOdds) -> str:
    """How the share of a class differs between daughters and sons."""
    shares = {
        one.sex: sum((c.share for c in one.classes if c.looks == target.looks), Fraction(0))
        for one in odds.by_sex
        if one.share
    }
    if len(set(shares.values())) < 2:
        return ""
    return f": {words.listed(f'{words.in_words(share)} of the {young_of_sex(sex)}' for sex, share in shares.items())}"


def _hidden(odds: Odds) -> str:
    if odds.by_sex:
        said = [
            f"{words.in_words(share)} of the {young_of_sex(one.sex)} carry {name_of(trait)}"
            for one in odds.by_sex
            for trait, share in (one.classes[0].carriers if one.classes else ())
        ]
        return f" {_capital(words.listed(said))}." if said else ""
    carriers = [f"{words.in_words(c)} carry {name_of(t)}" for t, c in odds.classes[0].carriers]
    return f" {_capital(words.listed(carriers))}." if carriers else ""


def see_said(see: HowMany | None) -> str:
    """How many to see, in a sentence."""
    if see is None:
        return ""
    if see.see is not None:
        return f"See **{words.plural(see.see, 'young', 'young')}** grown and scored to be 95 % sure of at least one."
    return (
        f"If it can, see **{words.plural(see.see_if_possible or 0, 'young', 'young')}** grown and scored to be 95 % sure "
        "of at least one; if it can't, no number will do."
    )


def _table(odds: Odds) -> str:
    lines = [cases(odds)] if odds.uncertain else []
    if not odds.by_sex:
        return "\n".join((*lines, *_rows(odds.classes, _TABLE_CHARACTERS)))
    for one in odds.by_sex:
        said = f"{_capital(young_of_sex(one.sex))}, {words.in_words(one.share)} of the young"
        lines += [f"{said}:", *_rows(one.classes, _TABLE_CHARACTERS // 2)] if one.share else [f"{said}."]
    return "\n".join(lines)


def _rows(classes: Sequence[ClassOdds], room: int) -> list[str]:
    """A line for each class, or for the likeliest ones and the rest together where there is no room for all."""
    rarest = min(c.share for c in classes)
    shares = words.percents([c.share for c in classes], 0 if rarest >= Fraction(1, 100) else 1)
    rows = [
        f"· {class_name(c.looks)}: {_figures(c.share, percent)} · {words.of_twenty(c.share)}{_carrying(c)}"
        for c, percent in zip(classes, shares, strict=True)
    ]
    if sum(map(len, rows)) <= room:
        return rows
    ranked = sorted(zip(rows, classes, strict=True), key=lambda pair: pair[1].share, reverse=True)
    kept = _fitting((row for row, _ in ranked), room)
    rest = sum((c.share for _, c in ranked[len(kept) :]), Fraction(0))
    if rest:
        kept.append(f"· {words.plural(len(rows) - len(kept), 'rarer look')} together: {words.percent(rest)}")
    return kept


def _figures(share: Fraction, percent: str) -> str:
    exact = words.exact(share)
    return percent if exact.endswith("%") else f"{exact} · {percent}"


def _fitting(rows: Iterable[str], room: int = _TABLE_CHARACTERS) -> list[str]:
    """The first rows, as many as leave room on a phone screen for what stands around them; at least one."""
    kept: list[str] = []
    for row in rows:
        room -= len(row)
        if kept and room < 0:
            break
        kept.append(row)
    return kept


def first_rows(rows: Sequence[str], noun: str) -> str:
    """As many rows as a phone screen holds, and how many more there are."""
    kept = _fitting(rows)
    more = [f"· and {words.plural(len(rows) - len(kept), f'more {noun}')}"] if len(kept) < len(rows) else []
    return "\n".join(kept + more)


def _carrying(group: ClassOdds) -> str:
    said = [
        f"every one carries {name_of(trait)}"
        if share == 1
        else f"{words.in_words(share)} of them carry {name_of(trait)}"
        for trait, share in group.carriers
    ]
    said += [f"{words.in_words(share)} of them {_hiding(trait)}" for trait, share in group.unseen]
    said += [f"{words.in_words(share)} of them only look so" for _, share in group.mistaken]
    if len(said) > _REMARKS:
        said = [*said[: _REMARKS - 1], "more under *Carriers*"]
    return f" – {words.listed(said)}" if said else ""


def _hiding(trait: Trait) -> str:
    name = name_of(trait)
    doubled = trait.dominance is Dominance.RECESSIVE and trait.locus.where is Where.AUTOSOME
    return f"have two copies of {name} unseen" if doubled else f"carry {name} unseen"


def rests_on(odds: Odds) -> str:
    """What the answer rests on and leans on, a line each."""
    lines = [parents_line(odds), *grounds_lines(odds)]
    lines += [f"{words.plain(typed)} read as {figure}." for typed, figure in odds.read_as]
    lines += leans_on(odds)
    return "\n".join(lines)


def carriers_card(odds: Odds) -> Card:
    """Which of the young carry something that does not show."""
    groups = [("", group) for group in odds.classes]
    if odds.by_sex:
        groups = [(f"{young_of_sex(one.sex)}, ", group) for one in odds.by_sex for group in one.classes]
    rows = [
        f"· {who}{class_name(group.looks)}: {words.in_words(share)} {what}"
        + ("" if share == 1 else f" ({_both(share)})")
        for who, group in groups
        for what, share in (
            *((f"carry {name_of(trait)}", share) for trait, share in group.carriers),
            *((_hiding(trait), share) for trait, share in group.unseen),
        )
    ]
    if not rows:
        return Card(lead="No young of this cross carry a trait that they do not show.", private=True)
    sure = all(share == 1 for _, group in groups for _, share in (*group.carriers, *group.unseen))
    lead = "**Every one** of these is a carrier:" if sure else "Carriers look like the others; these are the odds:"
    return Card(lead=lead, blocks=(first_rows(rows, "row"), rests_on(odds)), private=True)


def _both(share: Fraction) -> str:
    exact, percent = words.exact(share), words.percent(share)
    return percent if exact == percent else f"{exact}, {percent}"


def genes_card(genes: Genes) -> Card:
    """The cross in gene notation."""
    symbols = [f"`{t.symbol}` {name_of(t)} ({t.dominance})" for t in genes.symbols]
    rows = [f"· `{genotype}`: {words.exact(share)}" for genotype, share in genes.young]
    apart = " Unlinked loci are parted by `;`, linked ones by a space."
    unlinked = " Loci are parted by `;` and taken as unlinked."
    parted = "" if len(symbols) < 2 else apart if genes.linked else unlinked
    return Card(
        lead=f"`{genes.dam}`" + (f" × `{genes.sire}`" if genes.sire is not None else ", no sire"),
        blocks=(first_rows(rows, "genotype"), f"{words.listed(symbols)}; `+` is the wild type.{parted}"),
        private=True,
    )


def class_name(looks: Mapping[Scored, str]) -> str:
    """What a class of young looks like: "ember", "ember, no frost", "wild-looking"."""
    shown = [look_of(one, look) for one, look in looks.items() if _is_told(one, look)]
    hidden = [f"no {name_of(one)}" for one, look in looks.items() if look is Appearance.WILD]
    if not shown:
        return "wild-looking"
    return words.listed(shown) + (f", {words.listed(hidden, 'or')}" if hidden else "")


def _is_told(scored: Scored, look: str) -> bool:
    """Whether a look has a name of its own: all that shows, and the wild look where keepers call it something else."""
    return not is_wild(scored, look) or look.casefold() != "wild"


def showing(group: ClassOdds) -> str:
    """What young of a class do: "show ember but not frost"."""
    shown = [look_of(one, look) for one, look in group.looks.items() if not is_wild(one, look)]
    missing = [name_of(one) for one, look in group.looks.items() if look is Appearance.WILD]
    return f"show {words.listed(shown)}" + (f" but not {words.listed(missing, 'nor')}" if missing else "")


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
