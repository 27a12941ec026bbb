"""How a verdict is said: the word and the figure first, then what it rests on and what could overturn it."""

from bot.cards import verbs, words
from bot.cards.card import Button, Card
from bot.cards.verdicts import CAUSES, share
from bot.services.evidence import Evidence
from genetics.evidence.explanations import Cause
from genetics.evidence.findings import BroodSays, Lack, LeftOut, Missing, Share, Word

_MOST_SHARES, _MOST_BROODS, _MOST_ANIMALS = 4, 8, 8
_ODD = 0.01


def evidence_card(evidence: Evidence) -> Card:
    """The reply to `/trait evidence`."""
    return Card(
        lead=_lead(evidence),
        blocks=tuple(
            block
            for block in (
                _next(evidence),
                _shares(evidence),
                _broods(evidence),
                _animals(evidence),
                _penetrance(evidence),
                _rests_on(evidence),
            )
            if block
        ),
        buttons=(
            Button("Broods", verbs.BROOD_LIST, "0"),
            Button("Pairings", verbs.PAIR_LIST, "0"),
            Button("History", verbs.EVIDENCE_HISTORY, str(evidence.trait.id)),
        ),
        page=(verbs.TRAIT_EVIDENCE, str(evidence.trait.id)),
    )


def _lead(evidence: Evidence) -> str:
    """The verdict. Nothing that rests on records is ever certain."""
    name, leader = words.plain(evidence.trait.name), evidence.findings.leader
    word = evidence.findings.verdict.word
    figure = f"**{share(leader.posterior)}**"
    if word is Word.OPEN:
        return f"How {name} is inherited is still *open*. Likeliest so far: {CAUSES[leader.cause]}, {figure}."
    if leader.cause is Cause.NONE:
        return f"{name} fits {CAUSES[leader.cause]} (*{word.value}*, {figure})."
    return f"{name} is *{word.value}* to be **{CAUSES[leader.cause]}**: {figure}. On a sceptic's view {share(leader.sceptic)}."


def _next(evidence: Evidence) -> str:
    verdict = evidence.findings.verdict
    if verdict.following is None:
        return "Nothing more is needed for the highest word; a brood that does not fit would take it back."
    wanted = [_missing(one, evidence) for one in verdict.missing]
    return f"To be called *{verdict.following.value}*: {'; '.join(dict.fromkeys(wanted))}." if wanted else ""


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
    }[missing.lack]


def _shares(evidence: Evidence) -> str:
    lines = [
        f"· {CAUSES[one.cause]}: {share(one.posterior)}{_sampled(one)}"
        for one in evidence.findings.shares[:_MOST_SHARES]
    ]
    rest = sum(one.posterior for one in evidence.findings.shares[_MOST_SHARES:])
    if rest >= 0.001:
        lines.append(f"· all others together: {share(rest)}")
    return "\n".join(lines)


def _sampled(one: Share) -> str:
    return " (estimated by sampling)" if one.error else ""


def _broods(evidence: Evidence) -> str:
    """What the leader would stand at without each brood, the weightiest first."""
    now = evidence.findings.leader.posterior
    says = sorted(evidence.findings.broods, key=lambda one: one.dropped - now)
    lines = [_brood(one, evidence) for one in says[:_MOST_BROODS] if one.brood in evidence.codes]
    return f"Of the {share(now)}, without one brood:\n" + "\n".join(lines) if lines else ""


def _brood(one: BroodSays, evidence: Evidence) -> str:
    odd = " · an odd outcome under the likeliest explanation" if one.fit < _ODD else ""
    return f"· without {evidence.codes[one.brood]}: {share(one.dropped)}{odd}"


def _animals(evidence: Evidence) -> str:
    """Who carries it, allowing for everything that is not known."""
    known = [one for one in evidence.findings.standings if one.group in evidence.labels and one.genotypes]
    if not known or not evidence.findings.leader.cause.inherited:
        return ""
    known.sort(key=lambda one: -one.overall)
    lines = [f"· {words.plain(evidence.labels[one.group])}: {share(one.overall)}" for one in known[:_MOST_ANIMALS]]
    return "Chance to carry what causes it, allowing for all explanations:\n" + "\n".join(lines)


def _penetrance(evidence: Evidence) -> str:
    found = evidence.findings.penetrance
    if found is None:
        return ""
    return f"Of those that should show it, about {share(found.mean)} do ({share(found.low)} to {share(found.high)})."


def _rests_on(evidence: Evidence) -> str:
    findings = evidence.findings
    said = [
        f"Rests on {words.plural(evidence.young, 'scored young', 'scored young')} in "
        f"{words.plural(len(findings.broods), 'brood')} of *{evidence.species.name}*, logged by "
        f"{words.plural(evidence.keepers, 'keeper')}."
    ]
    if evidence.omitted:
        said.append("Left out: " + words.listed(f"{code} ({why.value})" for code, why in evidence.omitted[:4]) + ".")
    if any(why is LeftOut.NO_CHROMOSOME for _, why in findings.left_out):
        said.append("The species' sex chromosomes are not known, so a place on one is not weighed.")
    if findings.sampled:
        said.append("What is marked as sampled has an error of its own.")
    said.append("This is evidence in this book, not a guarantee.")
    return " ".join(said)
