"""How a verdict is said: the word and the figure first, what keeps it from the next word, and what else there is to read."""

from typing import Final

from bot.cards import verbs, words
from bot.cards.bin_state import SHEEN
from bot.cards.card import Button, Card, Weight
from bot.cards.verdicts import CAUSES, share, stood
from bot.services.evidence import Evidence
from bot.services.verdicts import Stood, fine
from genetics.evidence.explanations import Cause
from genetics.evidence.findings import Lack, Missing, Share, Word

VERDICT: Final = "verdict"
BROODS: Final = "broods"
CARRIERS: Final = "carriers"
OVERTURN: Final = "overturn"
BASIS: Final = "basis"
_PAGES: Final = {BROODS: "By brood", CARRIERS: "Carriers", OVERTURN: "What could overturn it", BASIS: "Rests on"}
"""The pages beside the verdict, each with its button."""
_MOST_SHARES = 3


def evidence_card(evidence: Evidence) -> Card:
    """The reply to `/trait evidence`: a phone screen, with a button for whatever it leaves out."""
    blocks = (_sheen(evidence), _next(evidence), _shares(evidence), _exposed(evidence), _rests_on(evidence))
    lead = said_first(evidence)
    if evidence.sheen:
        lead, blocks = blocks[0], (lead, *blocks[1:])
    return Card(
        lead=lead, blocks=tuple(block for block in blocks if block), buttons=page_buttons(evidence.trait.id, VERDICT)
    )


def page_buttons(trait: int, here: str) -> tuple[Button, ...]:
    """The ways from one page of the evidence to the others."""
    back = (Button("Verdict", verbs.EVIDENCE_PAGE, f"{trait}.{VERDICT}", Weight.MAIN),) if here != VERDICT else ()
    return (
        *back,
        *(Button(label, verbs.EVIDENCE_PAGE, f"{trait}.{page}") for page, label in _PAGES.items() if page != here),
        Button("How it moved", verbs.EVIDENCE_COURSE, str(trait)),
        Button("History", verbs.EVIDENCE_HISTORY, str(trait)),
    )


def said_first(evidence: Evidence) -> str:
    """The verdict. Nothing that rests on records is ever certain."""
    name, leader = words.plain(evidence.trait.name), evidence.findings.leader
    word = evidence.findings.verdict.word
    figure = f"**{share(leader.posterior)}**"
    if word is Word.OPEN:
        return f"How {name} is inherited is still *open*. Likeliest so far: {CAUSES[leader.cause]}, {figure}."
    if leader.cause is Cause.NONE:
        return f"{name} fits {CAUSES[leader.cause]} (*{word.value}*, {figure})."
    doubt = f"On a sceptic's view {share(leader.sceptic)}."
    return f"{name} is *{word.value}* to be **{CAUSES[leader.cause]}**: {figure}. {doubt}"


def weighing_card(broods: int, trait: str) -> Card:
    """What is shown while the weighing takes long."""
    return Card(lead=f"Weighing {words.plural(broods, 'scored brood')} for {words.plain(trait, 60)}…")


def _sheen(evidence: Evidence) -> str:
    """Disease comes before heredity."""
    if not evidence.sheen:
        return ""
    held = f"{words.listed(evidence.sheen)} {'is' if len(evidence.sheen) == 1 else 'are'} on hold for a blue sheen"
    return f"**Disease first: {held}.** {SHEEN}"


def _next(evidence: Evidence) -> str:
    verdict = evidence.findings.verdict
    if verdict.following is None:
        return "Nothing more is needed for the highest word; a brood that does not fit would take it back."
    wanted = [_missing(one, evidence) for one in verdict.missing]
    return f"For *{verdict.following.value}*: {'; '.join(dict.fromkeys(wanted))}." if wanted else ""


def _missing(missing: Missing, evidence: Evidence) -> str:
    needs = share(missing.needs)
    code = evidence.codes.get(missing.brood or "", "any brood")
    return {
        Lack.POSTERIOR: f"more scored young, until it stands at {needs}",
        Lack.FIT: "an explanation that fits better: these broods are odd under the likeliest one",
        Lack.DAMS: "scored young of a second dam",
        Lack.BINS: "a brood on separate substrate, or trait and wild families reared side by side",
        Lack.PLANNED: "one brood planned before it is scored",
        Lack.SCEPTIC: f"{needs} on a sceptic's view as well",
        Lack.DROPPED: f"{needs} without {code} as well",
        Lack.ONE_BIN: f"{needs} without the young of any one bin as well: too much of it comes from one",
    }[missing.lack]


def _shares(evidence: Evidence) -> str:
    shares = evidence.findings.shares
    lines = [f"· {CAUSES[one.cause]}: {share(one.posterior)}{_sampled(one)}" for one in shares[:_MOST_SHARES]]
    rest = sum(one.posterior for one in shares[_MOST_SHARES:])
    if rest >= 0.001:
        lines.append(f"· all others together: {share(rest)}")
    return "\n".join(lines)


def _sampled(one: Share) -> str:
    return " (sampled)" if one.error else ""


def _exposed(evidence: Evidence) -> str:
    """What is left without broods that may hold young of a stray."""
    if not evidence.exposed:
        return ""
    codes = words.listed(evidence.exposed[:4])
    if evidence.without is None:
        return f"Without {codes}, scored after a stray or an open lid in the bin, nothing is left to weigh."
    found = evidence.without
    rest = Stood(found.verdict.word, found.leader.cause, fine(found.leader.posterior))
    return f"Without {codes}, scored after a stray or an open lid in the bin: {stood(rest)}."


def _rests_on(evidence: Evidence) -> str:
    broods = sum(bool(brood.scored) for brood in evidence.programme.broods)
    said = [
        f"{words.plural(evidence.young, 'scored young', 'scored young')} in {words.plural(broods, 'brood')} of "
        f"*{evidence.species.name}*, by {words.plural(evidence.keepers, 'keeper')}."
    ]
    if evidence.omitted:
        said.append(f"{words.plural(len(evidence.omitted), 'brood')} left out.")
    if not evidence.tuning.is_default:
        said.append("Weighed with this society's own priors or figures.")
    said.append("Evidence in this book, not a guarantee.")
    return " ".join(said)
