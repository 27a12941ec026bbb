"""How a refusal is said: what was not understood, where, and what to type instead. One function for each kind."""

from collections.abc import Mapping

from bot.cards import (
    refusals_bins,
    refusals_breeding,
    refusals_complementation,
    refusals_crosses,
    refusals_days,
    refusals_evidence,
    refusals_finds,
    refusals_guides,
    refusals_kinship,
    refusals_labels,
    refusals_marks,
    refusals_photos,
    refusals_traits,
    verbs,
    words,
)
from bot.cards.card import Button, Card, Tone, Weight
from bot.cards.faults import edit_button, typed_block
from bot.cards.leads import did_you_mean, lead, worded
from bot.cards.notation import advice, pointed
from bot.services import refusals as r
from bot.services.refusals_traits import CrossNotPossible
from genetics import TooLarge

__all__ = [
    "card",
    "lead",
    "refusals_bins",
    "refusals_breeding",
    "refusals_complementation",
    "refusals_crosses",
    "refusals_days",
    "refusals_evidence",
    "refusals_finds",
    "refusals_guides",
    "refusals_kinship",
    "refusals_labels",
    "refusals_marks",
    "refusals_photos",
    "refusals_traits",
    "worded",
]
# The modules named here word the refusals of their subjects: importing them is what makes the sentences known.

_SHORT = 58
_KINDS = 6


def card(refusal: r.Refusal, typed: Mapping[str, str], draft: int | None) -> Card:
    """The refusal as a private reply; what was typed is shown, and *Edit* opens it again."""
    shown = typed if len(typed) > 1 or any(len(value) > 60 for value in typed.values()) else {}
    return Card(
        lead=lead(refusal),
        blocks=(*_more(refusal), *typed_block(shown)),
        buttons=(
            *refusals_bins.ways_on(refusal, typed, draft),
            *refusals_finds.ways_on(refusal, draft),
            *refusals_marks.ways_on(refusal, draft),
            *refusals_breeding.ways_on(refusal, typed, draft),
            *_ways_on(refusal, typed, draft),
            *edit_button(draft),
        ),
        tone=Tone.REFUSAL,
        private=True,
    )


@lead.register
def _(refusal: r.NoSuchBin) -> str:
    if not refusal.code:
        return "Which bin? Type its code, like B-3."
    said = f"No bin {words.plain(refusal.code, 60)} here."
    near = did_you_mean(words.bin_name(b.code, b.name) for b in refusal.nearest)
    return said + (near or " Type the code on its lid, like B-3.")


@lead.register
def _(refusal: r.NoSuchSpecies) -> str:
    said = f"I have no species card for {words.inline(refusal.text)}."
    return said + (did_you_mean(refusal.nearest) or " Start typing and pick one of the names offered.")


@lead.register
def _(refusal: r.NoSuchZone) -> str:
    said = f"I know no time zone {words.inline(refusal.text)}."
    return said + (did_you_mean(refusal.nearest) or " Type a continent and city, like Europe/Lisbon.")


@lead.register
def _(refusal: r.CrossNotRead) -> str:
    return pointed(refusal.error, "cross")


@lead.register
def _(refusal: r.HoldingNotRead) -> str:
    return pointed(refusal.error, "animals")


@lead.register
def _(refusal: r.LengthNotRead) -> str:
    return f"{words.inline(refusal.text)} is no body length I can read. Type a number and a unit, like 1.2 cm, 12 mm or 0.5 in."


@lead.register
def _(refusal: r.TimeNotRead) -> str:
    return f"{words.inline(refusal.text)} is no time of day. Type it like 18:00 or 6pm."


@lead.register
def _(refusal: r.DaysNotRead) -> str:
    return f"I can't read {words.inline(refusal.text)} as days. Type them like Monday, Mon and Thu, every 3 days, or 1st and 15th."


@lead.register
def _(refusal: r.DateNotRead) -> str:
    if refusal.past:
        return f"{words.inline(refusal.text)} is past. Type a day to come, like Friday, 3 Dec or in 2 weeks."
    if refusal.far:
        return f"{words.inline(refusal.text)} is more than ten years away. Type a nearer day, like 3 Dec or in 2 weeks."
    return f"{words.inline(refusal.text)} is no day I can read. Type it like tomorrow, Friday, 3 Dec, or in 2 weeks."


@lead.register
def _(refusal: r.NoSuchShelf) -> str:
    known = words.listed((words.plain(name, 60) for name in refusal.known[:_KINDS]), "or")
    said = f"None of your bins stands on a shelf {words.inline(refusal.text)}."
    return f"{said} Your shelves: {known}." if known else f"{said} Put a bin on one with `/bin move`."


@lead.register
def _(_: r.NotAway) -> str:
    return "You are not away. `/care away` says so, with the day you are back."


@lead.register
def _(_: r.NoSuchTask) -> str:
    return "You have no such care task. `/care list` shows those you have."


@lead.register
def _(refusal: r.WordNotKnown) -> str:
    return f"{words.inline(refusal.text)} is no {refusal.what} I know. Type {words.listed(refusal.known, 'or')}."


@lead.register
def _(refusal: r.ParentsNotRead) -> str:
    return f"I can't read {words.inline(refusal.rest)} as parents. Type one bin, like B-1, or the dams' and the sires' bin, like B-1 x B-3."


@lead.register
def _(refusal: r.TextTooLong) -> str:
    return f"That {refusal.what} has {words.number(refusal.length)} characters; I take {words.number(refusal.most)}. Please shorten it."


@lead.register
def _(refusal: r.NothingStated) -> str:
    name = words.bin_name(refusal.label.code, refusal.label.name)
    return f"The book does not say what lives in {name}. Type it out instead of the code, like het ember."


@lead.register
def _(refusal: r.MixedStated) -> str:
    name = words.bin_name(refusal.label.code, refusal.label.name)
    kinds = [
        words.plain(kind, 100) + (f" ({number})" if number is not None else "")
        for kind, number in refusal.kinds[:_KINDS]
    ]
    kinds += ["others"] * (len(refusal.kinds) > _KINDS)
    return (
        f"{name} was founded with different animals: {words.listed(kinds)}. The book does not say how many of each. "
        "Type the kind you mean instead of the code, or all with their numbers, like `2 visual ember or 7 wild`."
    )


@lead.register
def _(refusal: r.TooCostly) -> str:
    if isinstance(refusal.error, TooLarge):
        return f"That is too much for one answer: at most {refusal.error.fits} {refusal.error.unit}. Ask in parts."
    return "That is too much for one answer. Ask with fewer traits."


@lead.register
def _(refusal: r.NotYours) -> str:
    owner = words.plain(refusal.keeper_name) or "another keeper"
    return f"The {refusal.what} belongs to {owner}. Ask them{', or a steward' if refusal.stewards else ''}."


@lead.register
def _(refusal: r.StewardsOnly) -> str:
    return f"Only stewards, who may manage this server, can {refusal.what}. Ask one of them."


@lead.register
def _(refusal: r.KeepsAlready) -> str:
    name = words.bin_name(refusal.label.code, refusal.label.name)
    return f"{words.plain(refusal.name)} keeps {name} already. Choose somebody else, or leave it at that."


@lead.register
def _(refusal: r.KeepsNot) -> str:
    name = words.bin_name(refusal.label.code, refusal.label.name)
    return f"{words.plain(refusal.name)} is no co-keeper of {name}. `/bin show` says who is."


@lead.register
def _(refusal: r.QuietNotRead) -> str:
    return f"I can't read {words.inline(refusal.text)} as quiet hours. Type when they begin and end, like 22:00-07:00, or off."


@lead.register
def _(refusal: r.PrefixNotTaken) -> str:
    return f"Bin codes can't begin with {words.inline(refusal.text)}. Type letters, at most {refusal.most}, like HL- or B-."


@lead.register
def _(refusal: r.FigureNotRead) -> str:
    like = "0.3, 30 % or 0.1-0.3-0.6" if refusal.share else "30, or 20-30-45"
    return f"I can't read {words.inline(refusal.text)} as a figure. Type the usual one, or the lowest, the usual and the highest, like {like}."


@lead.register
def _(refusal: r.NoOwnCard) -> str:
    return f"This server has no card of its own for *{refusal.species}*; the shipped one holds."


@lead.register
def _(_: r.NothingSet) -> str:
    return "You gave nothing to change. Pick at least one of the options that the command has."


@lead.register
def _(refusal: r.NotYourChange) -> str:
    owner = words.plain(refusal.keeper_name) or "another keeper"
    return f"That was done by {owner}. Ask them to undo it, or a steward."


@lead.register
def _(_: r.NoZoneYet) -> str:
    return "I don't know your time zone yet. Give it once, as a continent and city: Europe/Lisbon."


@lead.register
def _(_: r.ServersOnly) -> str:
    return "The book belongs to a server. Ask me there."


@lead.register
def _(refusal: r.Outlived) -> str:
    if refusal.what == "ping":
        return "Nothing is open on that ping any more: it was answered, or its task was taken back. To log a count, type `/count log`."
    if refusal.what == "relation":
        return "These traits don't belong together in the book. `/trait list` shows which do."
    if refusal.what == "note":
        return "Nothing of that is left to tell: it was told, or taken back. `/care today` shows what is open."
    if refusal.what == "button":
        return "That button no longer works. Type the command again."
    return f"I no longer have that {refusal.what}: it is over a day old, it was used already, or another person typed it. Type the command again."


@lead.register
def _(_: r.Superseded) -> str:
    return "A newer ping asks for that. Answer the newest one."


@lead.register
def _(refusal: r.ObservedNotRead) -> str:
    rest = words.inline(refusal.rest, 60)
    if not refusal.known:
        return f"I can't read {rest}: this cross names no trait, so its young can only be wild. Type `17 wild`, or name the trait in the cross."
    name = refusal.known[0]
    if refusal.bare:
        return f"Which number is which look? Name the looks first, in the order of the numbers, like {words.inline(f'{name}:wild 6:17, 4:12')}."
    if refusal.doses:
        one, two = words.inline(f"6 het {name}"), words.inline(f"3 super {name}")
        return f"Are {rest} young with one dose or with two? Type {one} for one dose, {two} for two."
    return f"I can't read {rest} as young of this cross. Type each number with its look, like {words.inline(f'6 {name}, 17 wild')}."


@lead.register
def _(refusal: r.TwoSpecies) -> str:
    return f"*{refusal.first}* and *{refusal.second}* are different species. Choose bins of one species."


@lead.register
def _(refusal: r.TraitOfAnother) -> str:
    return (
        f"{words.plain(refusal.trait)} stands in the book as a trait of *{refusal.species}*, and this is *{refusal.other}*. "
        "If it is another trait, define it under another name with `/trait define`."
    )


@lead.register
def _(refusal: r.TaskThere) -> str:
    name = words.bin_name(refusal.label.code, refusal.label.name) if refusal.label else "That"
    return f"{name} has that task already, on that day at that time. Choose another day or time, or leave it at that."


@lead.register
def _(_: r.NoRoomToPost) -> str:
    return "I may not write in this room, so no ping could come here. Ask me in a room where I may, or ask a steward to let me."


@lead.register
def _(refusal: r.TakenBack) -> str:
    return f"That {refusal.what} was undone since. To have it after all, type the command again."


@lead.register
def _(_: r.NothingToUndo) -> str:
    return "There is nothing there to undo: it was undone already, or it is no change that can be undone. `/records audit` lists them."


@lead.register
def _(_: r.ChangedSince) -> str:
    return "That was changed since, and undoing it would lose the later change. Undo the later one first."


@lead.register
def _(_: r.BuiltUpon) -> str:
    return "Something else in the book rests on that. Undo the later thing first."


def _more(refusal: r.Refusal) -> tuple[str, ...]:
    if isinstance(refusal, r.CrossNotRead | r.HoldingNotRead):
        return advice(refusal.error, refusal.known)
    return refusals_bins.more(refusal)


def _ways_on(refusal: r.Refusal, typed: Mapping[str, str], draft: int | None) -> tuple[Button, ...]:
    """*Use that* for each text that would do, and the bins that may be meant; what is too long for a button is only shown."""
    if isinstance(refusal, r.NoSuchBin) and not typed:
        return tuple(Button(f"Show {b.code}", verbs.BIN_SHOW, b.code) for b in refusal.nearest)
    if isinstance(refusal, r.TraitTaken) and not refusal.is_symbol and draft is not None:
        return (Button("Change it instead", verbs.TRAIT_CHANGE, f"#{draft}"),)
    if isinstance(refusal, CrossNotPossible) and refusal.alone is not None and not _more_than_the_cross(typed):
        return (Button("Use that", verbs.ODDS_ASK, f"={refusal.alone}", Weight.MAIN),)
    if not isinstance(refusal, r.CrossNotRead) or _more_than_the_cross(typed):
        return ()
    texts = [t for t in (refusal.error.suggestion, *refusal.error.offers) if t is not None and len(t) <= _SHORT]
    if len(texts) == 1:
        return (Button("Use that", verbs.ODDS_ASK, f"={texts[0]}", Weight.MAIN),)
    return tuple(Button(text, verbs.ODDS_ASK, f"={text}") for text in dict.fromkeys(texts))


def _more_than_the_cross(typed: Mapping[str, str]) -> bool:
    """Whether more was typed than a button carries, so that it would be lost."""
    return any(text for name, text in typed.items() if name != "cross")
