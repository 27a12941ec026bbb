"""How the refusals of what was said of parents and young are said."""

from bot.cards import words
from bot.cards.leads import lead
from bot.services.refusals_crosses import (
    CannotCome,
    LookNotOwn,
    NoneOfThatSex,
    NoRecombination,
    ParentsApart,
    Unsuited,
)
from genetics import Role


@lead.register
def _(refusal: NoneOfThatSex) -> str:
    name = words.bin_name(refusal.label.code, refusal.label.name)
    all_of, side = ("males", "second, as the sire") if refusal.role is Role.DAM else ("females", "first, as the dam")
    return f"{name} was founded with {all_of} only, so no {refusal.role} comes from it. Name it {side}, or choose another bin."


@lead.register
def _(refusal: CannotCome) -> str:
    said = words.plain(", ".join(map(_seen, refusal.what.split(", "))), 200)
    return f"No such animal comes of that cross: {said}. Check how it looks, and its two parents."


@lead.register
def _(refusal: LookNotOwn) -> str:
    name = words.plain(refusal.trait)
    return (
        f"{name} makes a look with other traits in that cross, so its name does not say how a young looks. Type what the "
        f"animal carries instead, like `het {name}`."
    )


@lead.register
def _(refusal: NoRecombination) -> str:
    cross = words.inline(refusal.cross, 120)
    return {
        Unsuited.TRAITS: "The distance is asked of two traits: name both on one side or the other, like `het ember, het ink x visual ember, visual ink`.",
        Unsuited.OTHER_TRAITS: f"{cross} is about other traits than the first cross. Ask about two traits at a time.",
        Unsuited.MODEL: f"In {cross} a trait makes a look with others, shows only sometimes or lies on a sex chromosome. I tell distances only for traits that are read one by one, on ordinary chromosomes.",
        Unsuited.PARENTS: f"{cross} does not tell: one parent must be het for both traits, and its mate too, or the mate must show both recessives, like `het ember, het ink x visual ember, visual ink`.",
        Unsuited.UNCERTAIN: f"In {cross} a parent is only possibly het. The distance needs parents that are surely het for both.",
        Unsuited.PHASES: f"What is said of the phase in {cross} contradicts itself: either both traits came from one parent, or one from each.",
        Unsuited.IMPOSSIBLE: f"Some of these young cannot come of {cross}. Check the parents and the numbers.",
    }[refusal.why]


@lead.register
def _(_: ParentsApart) -> str:
    return (
        "Each of these dams may be another kind, so their young say different things. Ask about each dam's brood by "
        "itself: leave out how many dams there are, and type her young only."
    )


def _seen(look: str) -> str:
    """A trait and how it looks, in words."""
    name, _, how = look.rpartition(" ")
    said = {"wild": "not showing", "partial": "in one dose", "full": "showing"}.get(how)
    return f"{name} {said}" if said else look
