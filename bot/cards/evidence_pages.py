"""The pages beside a verdict: what each brood says, who carries it, what could overturn it, and what it rests on."""

import math
from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import Final

from bot.cards import verbs, words
from bot.cards.card import Card
from bot.cards.evidence import BASIS, BROODS, CARRIERS, OVERTURN, page_buttons
from bot.cards.priors_words import tuned
from bot.cards.verdicts import CAUSES, share
from bot.services.carriers import Carrier, Carriers
from bot.services.evidence import Evidence
from genetics.evidence.explanations import Cause
from genetics.evidence.findings import BroodSays, LeftOut, Supposed
from genetics.evidence.programme import Mated, Sharing

_MOST_BROODS, _MOST_CARRIERS, _MOST_RESTING, _MOST_OMITTED = 12, 10, 4, 6
_ODD = 0.01
_LONGEST = 1e4

_OVERTURNS: Final[Mapping[Cause, str]] = MappingProxyType(
    {
        Cause.NOT_INHERITED: "the trait in about the share that a gene gives, brood after brood of parents that show, in bins where nothing else shows it",
        Cause.RECESSIVE: "wild-looking young of two that show, by an unmated dam; or many that show out of true wild stock",
        Cause.DOMINANT: "young that show of two that do not; or no young that show of one that does, in two dozen",
        Cause.INCOMPLETE: "fully showing young where one parent looks wild",
        Cause.LETHAL: "a parent that shows and has only young that show: two copies would then live",
        Cause.SEX_LIMITED: "one young of the other sex that shows",
        Cause.SEX_LINKED: "the same shares among daughters and sons in both directions of the cross",
        Cause.BOTH_LOCI: "a quarter that show of two that look wild, again and again: one gene would be enough",
        Cause.EITHER_LOCUS: "only young that show, of any two that show",
        Cause.THRESHOLD: "clean quarters or halves in many broods: one gene would be enough",
        Cause.MATERNAL: "young that differ from their dam",
        Cause.NONE: "shares that follow the parents, in broods that were planned",
    }
)
"""The outcome that each explanation allows least."""
_LEFT_OUT: Final[Mapping[LeftOut, str]] = MappingProxyType(
    {
        LeftOut.NO_PARTIAL: "incompletely dominant, because no partly showing young are told apart",
        LeftOut.NO_ODD: "two genes of which either is enough, because no odd founder is on record",
        LeftOut.NO_CHROMOSOME: "a place on a sex chromosome, because those of the species are not known",
    }
)


def broods_card(evidence: Evidence) -> Card:
    """*By brood*: what is left without each, and how far each moves the odds of the likeliest explanation."""
    findings = evidence.findings
    leader = findings.leader
    says = sorted(findings.broods, key=lambda one: (_known(one.dropped), one.brood))
    lines = [_brood(one, leader.posterior, evidence) for one in says if one.brood in evidence.codes]
    rest = (
        words.plural(len(lines) - _MOST_BROODS, "more brood") + " count for less." if len(lines) > _MOST_BROODS else ""
    )
    return Card(
        lead=f"Without one brood, of the {share(leader.posterior)} for {CAUSES[leader.cause]} is left:",
        blocks=tuple(
            block
            for block in (
                "\n".join(lines[:_MOST_BROODS]),
                rest,
                f"In brackets: what the brood, beside all others, does to the odds that it is {CAUSES[leader.cause]}.",
            )
            if block
        ),
        buttons=page_buttons(evidence.trait.id, BROODS),
        page=(verbs.EVIDENCE_PAGE, f"{evidence.trait.id}.{BROODS}"),
    )


def _known(dropped: float) -> float:
    """What is left without a brood; nothing where the rest cannot be weighed."""
    return 0.0 if math.isnan(dropped) else dropped


def _brood(one: BroodSays, posterior: float, evidence: Evidence) -> str:
    odd = ", an odd outcome under it" if one.fit < _ODD else ""
    code = evidence.codes[one.brood]
    if math.isnan(one.dropped):
        return f"· without {code} the rest can't be weighed{odd}"
    return f"· without {code}: {share(one.dropped)} (odds {_odds(posterior, one.dropped)}{odd})"


def _odds(posterior: float, dropped: float) -> str:
    """What a brood does to odds: "×12", "÷3"."""
    least = 1e-12
    odds = [max(one, least) / max(1 - one, least) for one in (posterior, dropped)]
    factor = max(odds) / min(odds)
    said = f"over {_LONGEST:,.0f}" if factor > _LONGEST else f"{factor:.2g}" if factor < 10 else f"{factor:,.0f}"
    return "unmoved" if factor < 1.05 else f"{'×' if odds[0] > odds[1] else '÷'}{said}"


def carriers_card(carriers: Carriers) -> Card:
    """*Carriers*: the chance that each parent, and each bin of young kept back, carries what causes it."""
    evidence = carriers.evidence
    cause, name = evidence.findings.leader.cause, words.plain(evidence.trait.name, 60)
    buttons = page_buttons(evidence.trait.id, CARRIERS)
    if not carriers.rows:
        return Card(
            lead=f"Nobody carries {name} as the likeliest explanation has it: it is {CAUSES[cause]}.", buttons=buttons
        )
    shown = [row for row in carriers.rows if row.shows]
    hidden = [row for row in carriers.rows if not row.shows]
    alone = " and its dams bred with nobody else" if carriers.alone else ""
    lines = [_carrier(row) for row in hidden[:_MOST_CARRIERS]]
    more = f"And {words.plural(len(hidden) - _MOST_CARRIERS, 'more group')}." if len(hidden) > _MOST_CARRIERS else ""
    return Card(
        lead=f"Who carries {name}: the first figure if it is {CAUSES[cause]}{alone}, the second allowing for everything.",
        blocks=tuple(
            block
            for block in (
                "\n".join(lines),
                more,
                f"They show it: {words.listed(words.plain(row.label) for row in shown[:_MOST_CARRIERS])}."
                if shown
                else "",
            )
            if block
        ),
        buttons=buttons,
        page=(verbs.EVIDENCE_PAGE, f"{evidence.trait.id}.{CARRIERS}"),
    )


def _carrier(row: Carrier) -> str:
    each = " each" if (row.number or 2) > 1 else ""
    return f"· {words.plain(row.label)}{each}: {share(row.if_so)}; {share(row.overall)}"


def overturn_card(evidence: Evidence) -> Card:
    """*What could overturn it*: what would have to be true, what would speak against it, and what it hangs on."""
    findings = evidence.findings
    leader = findings.leader
    against = f"It would speak against it: {_OVERTURNS[leader.cause]}."
    worst = min(findings.broods, key=lambda one: _known(one.dropped), default=None)
    hangs = (
        f"It hangs most on {evidence.codes[worst.brood]}: were that scored or written down wrong, {share(_known(worst.dropped))} is left."
        if worst is not None and worst.brood in evidence.codes
        else ""
    )
    true = list(_would_be_true(evidence))
    return Card(
        lead=f"If it is {CAUSES[leader.cause]}, it would have to be true that:" if true else against,
        blocks=tuple(
            block
            for block in ("\n".join(f"· {one}" for one in true), against if true else "", hangs, _rival(evidence))
            if block
        ),
        buttons=page_buttons(evidence.trait.id, OVERTURN),
        page=(verbs.EVIDENCE_PAGE, f"{evidence.trait.id}.{OVERTURN}"),
    )


def _rival(evidence: Evidence) -> str:
    """The second likeliest explanation, what it needs to be true, and what would speak against it."""
    if len(evidence.findings.shares) < 2:
        return ""
    second = evidence.findings.runner_up
    said = [f"Next likely: {CAUSES[second.cause]}, {share(second.posterior)}."]
    needs = [_supposed(one, evidence) for one in evidence.findings.supposed if one.cause is second.cause]
    if needs:
        said.append(f"That needs: {'; '.join(needs[:_MOST_RESTING])}.")
    said.append(f"Against it: {_OVERTURNS[second.cause]}.")
    return " ".join(said)


def _would_be_true(evidence: Evidence) -> Iterator[str]:
    """What the likeliest explanation takes for true of these parents and broods."""
    leader = evidence.findings.leader.cause
    for one in [one for one in evidence.findings.supposed if one.cause is leader][:_MOST_RESTING]:
        yield _supposed(one, evidence)
    unsure = [
        pairing
        for pairing in evidence.programme.pairings
        if any(dam.mated is not Mated.ISOLATED and dam.group in evidence.labels for dam in pairing.dams)
    ]
    if unsure:
        dams = words.listed(
            words.plain(evidence.labels[dam.group])
            for pairing in unsure[:_MOST_RESTING]
            for dam in pairing.dams[:1]
            if dam.group in evidence.labels
        )
        yield f"young of other males among those of {dams} are as rare as is usual: unmated before was not written down"
    odd = [
        evidence.codes[one.brood] for one in evidence.findings.broods if one.fit < _ODD and one.brood in evidence.codes
    ]
    if odd:
        yield f"{words.listed(odd[:_MOST_RESTING])} came out as they do once in a hundred such broods"


def _supposed(one: Supposed, evidence: Evidence) -> str:
    """What has to be true of founders that nobody took for carriers."""
    broods = words.listed(evidence.codes[name] for name in one.broods[:_MOST_RESTING] if name in evidence.codes)
    label = words.plain(evidence.labels.get(one.group, "a founder"))
    return f"{label} carries it unseen: {share(one.before)} by looks alone, {share(one.after)} by its young ({broods})"


def basis_card(evidence: Evidence) -> Card:
    """*Rests on*: how many broods, what was left out and why, and what is taken for granted."""
    return Card(
        lead=f"{words.plural(evidence.young, 'scored young', 'scored young')}, after change #{evidence.seq} of the book. "
        + _penetrance(evidence),
        blocks=tuple(
            block
            for block in (
                _omitted(evidence),
                "\n".join(f"· {one}" for one in _granted(evidence)),
                tuned(evidence.tuning),
                _notes(evidence),
            )
            if block
        ),
        buttons=page_buttons(evidence.trait.id, BASIS),
        page=(verbs.EVIDENCE_PAGE, f"{evidence.trait.id}.{BASIS}"),
    )


def _penetrance(evidence: Evidence) -> str:
    found = evidence.findings.penetrance
    if found is None:
        return ""
    return f"Of those that should show it, about {share(found.mean)} do ({share(found.low)} to {share(found.high)})."


def _omitted(evidence: Evidence) -> str:
    if not evidence.omitted:
        return ""
    said = [f"{code} ({why.value})" for code, why in evidence.omitted[:_MOST_OMITTED]]
    more = [f"{len(evidence.omitted) - _MOST_OMITTED} more"] if len(evidence.omitted) > _MOST_OMITTED else []
    return f"Left out: {words.listed([*said, *more])}."


def _granted(evidence: Evidence) -> Iterator[str]:
    """The assumptions, those first that bear on these records."""
    programme = evidence.programme
    if any(pairing.mothers is Sharing.EACH or pairing.fathers is Sharing.EACH for pairing in programme.pairings):
        yield "where several dams or sires were in, each young may be of any of them"
    if any(dam.mated is not Mated.ISOLATED for pairing in programme.pairings for dam in pairing.dams):
        yield "a dam not known to be unmated may have stored sperm of males from where she came"
    if any(brood.found for brood in programme.broods):
        yield "a brood that was found counts as found because one in it shows: its share says less"
    if any(brood.unscored or brood.dead for brood in programme.broods):
        yield "young that died, or were not scored, are not taken for wild-looking"
    yield "the latest look at a brood counts"
    yield "broods of one bin share its food, warmth and chance of a look that is not inherited"
    if programme.misread is not None:
        wrong, compared = programme.misread.wrong, programme.misread.compared
        yield f"the scoring error is as measured: {wrong} of {compared} animals were scored differently by two keepers"
    else:
        yield "about 1 in 100 young are scored wrongly; nobody has measured it for this trait yet"
    yield "those that show live to be scored somewhat less often than the others"


def _notes(evidence: Evidence) -> str:
    findings = evidence.findings
    said = []
    out = [_LEFT_OUT[why] for _, why in findings.left_out]
    if out:
        said.append(f"Not weighed: {'; '.join(dict.fromkeys(out))}.")
    if findings.sampled:
        said.append(f"Sampled, with an error of its own: {words.listed(CAUSES[cause] for cause in findings.sampled)}.")
    if findings.fresh:
        said.append("For many genes together, animals of one unmarked group are taken as fresh sibs in each brood.")
    return " ".join(said)
