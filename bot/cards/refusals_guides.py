"""How it is said that a scoring guide was not changed, or photos were not scored."""

from bot.cards import words
from bot.cards.leads import lead
from bot.services import refusals_guides as r


@lead.register
def _(refusal: r.GuideFull) -> str:
    return f"The guide has {refusal.most} photos already, which is all that fits. Take one out with `/trait guide remove` first."


@lead.register
def _(_: r.NoPhotoGiven) -> str:
    return "Which photo? Give the number of one on file, which `/photo list` shows, or attach a picture."


@lead.register
def _(refusal: r.PhotoKeptPrivate) -> str:
    return f"Photo {refusal.number} is of a private bin, so the others could not see it. Choose another."


@lead.register
def _(refusal: r.InGuideAlready) -> str:
    return f"Photo {refusal.number} is in the guide already, at place {refusal.place}. Take it out there first, or choose another."


@lead.register
def _(refusal: r.NotInGuide) -> str:
    if not refusal.photos:
        return "This guide has no photos yet. Add the first with `/trait guide add`."
    return f"The guide has no photo {words.inline(refusal.text)}. Type a place from 1 to {refusal.photos}."


@lead.register
def _(refusal: r.OrderNotRead) -> str:
    like = " ".join(str(place) for place in range(refusal.photos, 0, -1)) or "2 1"
    return f"I can't read {words.inline(refusal.text)} as an order. Type each place once, like `{like}`."


@lead.register
def _(refusal: r.ExtentNotRead) -> str:
    if refusal.fits:
        return f"{words.inline(refusal.text)} is no extent. Type a whole number from 0 (none of it) to 5 (all of it)."
    return f"An extent of {words.inline(refusal.text)} does not go with that: 0 is an animal that does not show it, 1 to 5 one that does. Choose what fits."


@lead.register
def _(refusal: r.TooFewToScore) -> str:
    if refusal.found > refusal.most:
        return f"That is {refusal.found} photos; at most {refusal.most} are scored at once. Type fewer numbers."
    return (
        f"Scoring takes at least {refusal.least} photos, and I found {refusal.found}. "
        "File more for the trait with `/photo file`, and type their numbers or `all`."
    )


@lead.register
def _(refusal: r.ScoreFirst) -> str:
    left = f"{words.plural(refusal.left, 'photo')} to go" if refusal.left > 0 else "press *Finish*"
    return f"You are scoring photos of it blind: {left}. That is shown once you are through, so go on there first."


@lead.register
def _(_: r.ThroughAlready) -> str:
    return "You are through with these photos, so your answers stand. *Results* shows what came of them."


@lead.register
def _(_: r.NoSuchSet) -> str:
    return "These photos are not up for scoring any more. Start again with `/trait guide score`."
