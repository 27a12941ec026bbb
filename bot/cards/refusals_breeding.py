"""How it is said that something about a pairing or a brood was not taken."""

from collections.abc import Mapping

from bot.cards import verbs, words
from bot.cards.card import Button
from bot.cards.ids import LONGEST_ARGUMENT
from bot.cards.leads import lead
from bot.cards.notation import pointed
from bot.services import refusals_breeding as r
from bot.services.refusals import Refusal

_LIKE = {"dam": "2 from B-3, or: 1 visual ember unmated from B-4", "sire": "1 from B-5, or: 1 visual ember from B-4"}


@lead.register
def _(refusal: r.BreedersNotRead) -> str:
    part, like = words.inline(refusal.part), _LIKE[refusal.role]
    other = {"dam": "a male", "sire": "a female"}[refusal.role]
    return {
        r.BreedersProblem.NO_NUMBER: f"How many {refusal.role}s is {part}? Type the number first, like: {like}.",
        r.BreedersProblem.NO_STOCK: f"Where does {part} come from, or what is it? Type it like: {like}.",
        r.BreedersProblem.WRONG_SEX: f"{part} is said to be {other}, and stands among the {refusal.role}s. Type it on the other side.",
        r.BreedersProblem.TOO_MANY: f"{part} is more than I take in one group. Type at most 1,000.",
        r.BreedersProblem.TWICE: f"{part} stands there twice. Name each group once.",
    }[refusal.problem]


@lead.register
def _(refusal: r.BreedersLookNotRead) -> str:
    return pointed(refusal.error, "breeders")


@lead.register
def _(refusal: r.NoSuchPairing) -> str:
    text = words.inline(refusal.text) if refusal.text.strip() else "that"
    if not refusal.last:
        return f"There is no pairing {text}: none has been set up yet. `/pair setup` sets one up."
    return f"There is no pairing {text}. Type its code, P-1 to P-{refusal.last}; `/pair list` shows them."


@lead.register
def _(refusal: r.NoSuchBrood) -> str:
    text = words.inline(refusal.text) if refusal.text.strip() else "that"
    if refusal.known:
        return f"There is no brood {text}. Type one of {words.listed(refusal.known, 'or')}."
    return f"There is no brood {text}. Type its code, like P-3.1; `/brood list` shows them, and `/brood log` logs one."


@lead.register
def _(refusal: r.ClonalPairing) -> str:
    return f"*{words.plain(refusal.species)}* has young without males, so no sire can be put in. Leave the sires out."


@lead.register
def _(refusal: r.DamElsewhere) -> str:
    who = words.plain(refusal.name) if refusal.name else "A dam of these"
    return f"{who} is in {refusal.code}, which runs in another bin. Take her out there first with `/pair out`, or end it with `/pair end`."


@lead.register
def _(refusal: r.NobodyOn) -> str:
    if refusal.role == "dam":
        return f"A pairing needs a dam. Type them like: {_LIKE['dam']}."
    return f"A pairing needs a sire, unless the dams had males before. Type them like: {_LIKE['sire']}."


@lead.register
def _(_: r.SpeciesNotSaid) -> str:
    return "Of which species are they? None of them comes from a bin, so choose the species."


@lead.register
def _(refusal: r.PairingOver) -> str:
    return f"{refusal.code} was ended {words.when(refusal.ended_at)}. Undo that first, or set up a new pairing with the same breeders."


@lead.register
def _(refusal: r.NotedAlready) -> str:
    return f"{refusal.what} of {refusal.code} is noted already, for {words.when(refusal.at, 'D')}. Type the day if it was another."


@lead.register
def _(refusal: r.NotInOrder) -> str:
    return f"{refusal.what} cannot come before {refusal.first}, {words.when(refusal.at, 'D')}. Type a later day."


@lead.register
def _(refusal: r.ScoresNotRead) -> str:
    rest = words.inline(refusal.rest) if refusal.rest else words.inline(refusal.text)
    known = (
        f" Traits on record: {words.listed(words.plain(name) for name in refusal.known[:6])}." if refusal.known else ""
    )
    return f"I can't read {rest} as young that were scored. Type each number with its look, like `6 ember, 17 wild, 9 weeks`.{known}"


@lead.register
def _(refusal: r.ScoresUnclear) -> str:
    text, readings = words.inline(refusal.text, 100), [words.inline(one, 100) for one in refusal.readings]
    if len(readings) == 1:
        return f"Do you mean {readings[0]} by {text}?"
    return f"{text} can be read in {'two' if len(readings) == 2 else 'several'} ways: {words.listed(readings, 'or')}. Which is it?"


@lead.register
def _(refusal: r.LookHasDoses) -> str:
    name = words.plain(refusal.name)
    return f"Does {words.inline(refusal.text)} mean {name} with one dose or with two? Type `6 het {name}` for one, `3 super {name}` for two."


@lead.register
def _(refusal: r.MoreThanBorn) -> str:
    return (
        f"{words.number(refusal.accounted)} young are scored, unsure, unscored or dead, and {words.number(refusal.born)} were born. "
        "Correct one of the numbers; what was born may be a guess, like 30."
    )


@lead.register
def _(_: r.NothingScored) -> str:
    return "How many look how? Type each number with its look, like `6 ember, 17 wild`."


@lead.register
def _(refusal: r.MoreThanScored) -> str:
    return (
        f"You keep back {words.number(refusal.wanted)} of that kind, and of those scored {words.number(refusal.scored)} are left. "
        "Score the brood again first, or keep fewer."
    )


def ways_on(refusal: Refusal, typed: Mapping[str, str], draft: int | None) -> tuple[Button, ...]:
    """A button for each reading of what was typed, where that was kept; one that is too long for a button is only shown."""
    if draft is None or not isinstance(refusal, r.ScoresUnclear | r.LookHasDoses):
        return ()
    key = next((key for key, value in typed.items() if value == refusal.text), "")
    made = [(reading, f"{draft}|{key}|{reading}") for reading in refusal.readings]
    return tuple(
        Button(reading, verbs.DRAFT_USE, argument)
        for reading, argument in made
        if key and len(argument) <= LONGEST_ARGUMENT
    )
