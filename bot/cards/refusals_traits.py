"""How the refusals of traits and of crosses that cannot be are said."""

from bot.cards import words
from bot.cards.impossible import cross_said, model_said
from bot.cards.leads import did_you_mean, lead
from bot.cards.models import open_next
from bot.services import refusals as r
from bot.services.refusals_traits import (
    CrossNotPossible,
    DaughtersDecided,
    InheritanceOpen,
    LooksNotRead,
    ModelNotPossible,
    NoSuchTrait,
    Related,
    ShareNotRead,
    TraitTextNotRead,
    Uneven,
)
from genetics import TraitFault, TraitRefused


@lead.register
def _(refusal: r.TraitTaken) -> str:
    what = "symbol" if refusal.is_symbol else "name"
    other = (
        "Choose another symbol, of one to four letters."
        if refusal.is_symbol
        else "Use that one, or choose another name."
    )
    held = f"belongs to {words.plain(refusal.holder)} already" if refusal.is_symbol else "is taken already"
    return f"The {what} {words.inline(refusal.text)} {held}. {other}"


@lead.register
def _(refusal: InheritanceOpen) -> str:
    names = words.listed(words.plain(name, 60) for name in refusal.names)
    is_ = "is" if len(refusal.names) == 1 else "are"
    return f"Nobody knows yet how {names} {is_} inherited, so there is no answer to that. {open_next(refusal.names[0])}"


@lead.register
def _(refusal: r.TraitNotNamed) -> str:
    error = refusal.error
    if not isinstance(error, TraitRefused):
        return f"{words.inline(refusal.name)} cannot be a trait's name. Choose another."
    culprit = words.inline(error.culprit)
    if error.field == "symbol":
        return f"{words.inline(error.value)} cannot be a gene symbol. Type one to four letters or digits, a letter first, other than x, X, Y, Z or W."
    return {
        TraitFault.EMPTY: "A trait needs a name, like ember.",
        TraitFault.TOO_LONG: f"That name is {words.plural(len(error.culprit), 'character')} too long; use at most 60.",
        TraitFault.CHARACTER: f"A trait's name cannot hold {culprit}. Leave it out.",
        TraitFault.WORD: f"{culprit} means something in a cross, so it cannot stand in a trait's name. Leave it out.",
        TraitFault.SYMBOL: f"{culprit} cannot be a gene symbol. Choose another.",
    }[error.fault]


@lead.register
def _(refusal: NoSuchTrait) -> str:
    if not refusal.text:
        return "Which trait? Type its name, like ember."
    said = f"No trait {words.plain(refusal.text, 60)} here."
    near = did_you_mean(words.plain(name) for name in refusal.nearest)
    return said + (near or " `/trait list` shows all that there are.")


@lead.register
def _(refusal: TraitTextNotRead) -> str:
    rest = words.inline(refusal.rest, 60)
    return {
        "age in weeks": f"I can't read {rest} as an age in weeks. Type a whole number, like 8.",
        "survival": f"I can't read {rest} as who lives. Type it like `two copies lethal` or `one copy in males 50 %`.",
    }[refusal.what]


@lead.register
def _(refusal: Related) -> str:
    names = words.listed(words.plain(name) for name in refusal.names)
    if refusal.kind == "several":
        return f"These traits belong together in several ways: {names}. Pick one of those offered while you type."
    said = {"linked": "are linked", "series": "are alleles of one locus", "together": "make a look together"}
    return f"{names} {said[refusal.kind]} already. Part them first, with `/trait part`."


@lead.register
def _(refusal: LooksNotRead) -> str:
    if refusal.most:
        return f"In this way two traits make a look, by a table up to {refusal.most}. Leave out {words.plain(refusal.rest) or 'the others'}."
    rest = words.inline(refusal.rest, 60)
    return f"I can't read {rest}. Type a line like `visual ember, visual frost = ghost`, with a `;` between lines, and end with `else = wild`."


@lead.register
def _(refusal: Uneven) -> str:
    trait, name = words.plain(refusal.trait), words.plain(refusal.name)
    return (
        f"{trait} does not always show, or shows in one sex only, so it can't be part of {name} in this way. "
        f"`/trait change` {trait} first, or part them."
    )


@lead.register
def _(refusal: ShareNotRead) -> str:
    text = words.inline(refusal.text)
    if refusal.over:
        return f"A {refusal.what} of {text} cannot be: all of them are 100 %. Type less, like 70 %."
    like = "20 cM, 20 % or 2 in 10" if refusal.what == "recombination" else "70 %, 0.7 or 7 in 10"
    return f"I can't read {text} as a {refusal.what}. Type it like {like}."


@lead.register
def _(refusal: CrossNotPossible) -> str:
    return cross_said(refusal.error, refusal.species)


@lead.register
def _(refusal: DaughtersDecided) -> str:
    kind = f"*{refusal.species}*" if refusal.species is not None else "this species"
    return (
        f"In {kind} chromosomes decide the sex ({refusal.system}), so half of the young are daughters. "
        "Leave `daughters:` out, or say `sexes:feminised mother` if bacteria made the mother a female."
    )


@lead.register
def _(refusal: ModelNotPossible) -> str:
    return model_said(refusal.error)
