"""How it is said that there is no verdict."""

from bot.cards import words
from bot.cards.leads import lead
from bot.services import refusals_evidence as r
from genetics.errors import EvidenceFault

_WHY = {
    EvidenceFault.KEPT_TOO_MANY: "more young were kept back of a look than were scored. Score that brood again, with `/brood score`",
    EvidenceFault.FOUND_WITHOUT: "a brood is said to be found by chance and holds none that shows. Log it as planned",
    EvidenceFault.SEXES: "young of a clonal or haplodiploid species tell nothing about dominance; `/odds` still answers for them",
    EvidenceFault.NO_SCORED: "no young of it were scored yet. `/brood score` scores them",
    EvidenceFault.IMPOSSIBLE: "no explanation I know can give these broods. Look for a brood with a slip in it, with `/brood list`",
    EvidenceFault.TOO_WIDE: "more unmarked animals hang together than I can weigh. Set up smaller pairings, or name the animals",
    EvidenceFault.CIRCLE: "an animal would be its own ancestor. Look at where the breeders of its pairings come from",
}


@lead.register
def _(refusal: r.NothingToWeigh) -> str:
    name = words.plain(refusal.trait)
    if refusal.omitted:
        said = words.listed(f"{code} ({why.value})" for code, why in refusal.omitted[:4])
        return f"No brood of {name} can be weighed yet: {said}. Score one with `/brood score`."
    return f"No brood in the book bears on {name} yet. Set up a pairing with `/pair setup`, and log what comes of it with `/brood log`."


@lead.register
def _(refusal: r.RecordsContradict) -> str:
    why = _WHY.get(
        refusal.error.fault, f"{refusal.error.fault.value}. Look at its pairings and broods with `/brood list`"
    )
    about = f" It is about {words.plain(refusal.about, 60)}." if refusal.about else ""
    return f"The records of {words.plain(refusal.trait)} cannot be weighed: {why}.{about}"


@lead.register
def _(refusal: r.TooLong) -> str:
    return (
        f"The weighing of {words.plain(refusal.trait)} took over {refusal.seconds:.0f} seconds, so I gave it up. "
        f"Many unmarked animals that bred together take long, here {words.plain(refusal.most, 60)}: pair fewer at a time, "
        "or name those that bred, with `/pair setup`."
    )


@lead.register
def _(refusal: r.PriorsNotRead) -> str:
    return (
        f"I can't read {words.inline(refusal.text, 100)} as priors or figures. Type each with its per cent, like "
        "`not inherited 50, recessive 20`, or `penetrance 60-100`; at least two explanations must stay possible."
    )


@lead.register
def _(refusal: r.SpanNotPossible) -> str:
    low, high, least, most = map(words.fine_percent, (refusal.low, refusal.high, refusal.least, refusal.most))
    return f"{refusal.figure.capitalize()} from {low} to {high} can't be: type the lower first, from {least} to {most}."


@lead.register
def _(refusal: r.NotFollowed) -> str:
    return f"What becomes of {words.plain(refusal.trait)} is told in no room. `/trait follow`, typed in one, has it told there."
