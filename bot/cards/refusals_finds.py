"""How it is said that something about an odd animal was not taken, and what is asked about one first."""

from collections.abc import Mapping

from bot.cards import verbs, words
from bot.cards.card import Button, Weight
from bot.cards.ids import LONGEST_ARGUMENT
from bot.cards.leads import lead
from bot.services import refusals_finds as r
from bot.services.find_traits import ANOTHER, SAME
from bot.services.refusals import Refusal

_LIKE = "female, adult, 9 mm, pouch filled, moulted yesterday, 1 of 40"


@lead.register
def _(refusal: r.NoSuchFind) -> str:
    text = words.inline(refusal.text) if refusal.text.strip() else "that"
    if not refusal.last:
        return f"There is no find {text}: no odd animal is in the book yet. `/find log` logs one."
    return f"There is no find {text}. Type its number, like {refusal.last}; `/find list` shows them."


@lead.register
def _(refusal: r.AnimalNotRead) -> str:
    return f"What does {words.inline(refusal.part, 60)} say of the animal? Type it like: `{_LIKE}`."


@lead.register
def _(refusal: r.AnimalContradicts) -> str:
    return f"One animal can't be both {words.inline(refusal.first, 60)} and {words.inline(refusal.second, 60)}. Leave one out."


@lead.register
def _(refusal: r.SheenMeant) -> str:
    return (
        f"{words.inline(refusal.word)}: is that an iridescent blue-violet sheen on it, or its colour? "
        "A sheen can be a disease, so I ask."
    )


@lead.register
def _(_: r.TraitNeeded) -> str:
    return "What do you call what is odd about it? Type a name of your own, like `trait:ember`; it can be a new one."


@lead.register
def _(refusal: r.TraitMeant) -> str:
    near = words.listed((words.plain(name, 60) for name in refusal.nearest), "or")
    return f"No trait {words.inline(refusal.name)} is in the book yet. Did you mean {near}, or is it a new one?"


@lead.register
def _(refusal: r.SameOrAnother) -> str:
    name = words.plain(refusal.name, 60)
    places = [f"in {words.bin_name(label.code, label.name)} {words.when(at, 'D')}" for label, at in refusal.found]
    before = f" It was found {words.listed(places)} before." if places else ""
    return f"A trait {name} is in the book.{before} Is this the same, or another that looks like it?"


@lead.register
def _(refusal: r.NameForAnother) -> str:
    name = words.plain(refusal.name, 60)
    if refusal.species is not None:
        said = f"{name} is a trait of *{refusal.species}* in this book, so this one is another."
    else:
        said = f"{name} names another trait already."
    return f"{said} Give it a name of its own."


@lead.register
def _(refusal: r.NobodyToPing) -> str:
    return f"Find {refusal.number} asks for nothing any more. `/care list` shows what does."


@lead.register
def _(_: r.PhotoLater) -> str:
    return "I have too much to do for a photo now. Attach it again in a minute, with `/photo file`."


def ways_on(refusal: Refusal, draft: int | None) -> tuple[Button, ...]:
    """What can be pressed in answer to a question about a find, where what was typed was kept."""
    if draft is None:
        return ()
    made = [
        Button(label, verbs.DRAFT_USE, f"{draft}|{key}|{value}", Weight.MAIN if place == 0 else Weight.SIDE)
        for place, (label, (key, value)) in enumerate(_answers(refusal).items())
    ]
    return tuple(button for button in made if len(button.argument) <= LONGEST_ARGUMENT)


def _answers(refusal: Refusal) -> Mapping[str, tuple[str, str]]:
    """The answers to a question, each with the field that it fills in."""
    if isinstance(refusal, r.SheenMeant):
        return {
            "A sheen": ("sheen", "yes"),
            "Its colour": ("sheen", "no"),
            "Not sure": ("sheen", "not sure"),
        }
    if isinstance(refusal, r.TraitMeant):
        return {
            **{name: ("trait", name) for name in refusal.nearest},
            f"New: {refusal.name}": ("same", ANOTHER),
        }
    if isinstance(refusal, r.SameOrAnother):
        return {"The same": ("same", SAME), "Another": ("same", ANOTHER)}
    if isinstance(refusal, r.NameForAnother):
        return {name: ("trait", name) for name in refusal.free}
    return {}
