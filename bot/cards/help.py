"""What help says: per subject, with examples that work as they stand in this server, and the first step that is not done yet."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from bot.cards import cautions, verbs, words
from bot.cards.card import Button, Card, Weight
from bot.cards.priors import explanations
from bot.services.help import Guide, Step, Subject

_STEPS: Final[Mapping[Step, tuple[str, str]]] = MappingProxyType(
    {
        Step.ZONE: ("Tell me your time zone", "/keeper set zone:Europe/Lisbon"),
        Step.BIN: ("Open a bin", "/bin open species:Armadillidium vulgare name:garden stock holds:wild"),
        Step.COUNT: ("Count what lives in it", "/count log bin:{mine} count:about 40"),
        Step.TRAIT: ("Define the trait you follow", "/trait define name:ember shows:recessive"),
        Step.CARE: ("Ask to be reminded", "/care add bin:{mine} task:moisture day:Monday time:18:00"),
    }
)
"""The first things to do, in order, each with its command."""

_ABOUT: Final[Mapping[Subject, tuple[str, tuple[str, ...]]]] = MappingProxyType(
    {
        Subject.START: ("I keep your society's colony book: crosses, bins, counts and care.", ()),
        Subject.ODDS: (
            "Type a cross, the dam first: I say what the young will look like and how many to raise.",
            (
                "/odds cross:het {trait} x het {trait}",
                "/odds cross:visual {trait} x wild",
                "/odds cross:wild from het {trait} x het {trait} x visual {trait}",
                "/odds cross:2 visual {trait} or 7 wild x het {trait}",
                "/odds cross:3 dams 66% het {trait} x visual {trait}",
                "/odds cross:visual {trait} had males of wild x visual {trait}",
                "/odds cross:het {trait} x het {trait} observed:6 {trait}, 17 wild; 4 {trait}, 12 wild",
            ),
        ),
        Subject.BINS: (
            "Each bin has a code for its lid. Type the code, or the name, wherever I ask for a bin.",
            (
                "/bin open species:Armadillidium vulgare animals:12 holds:wild name:garden stock",
                "/bin list",
                "/bin show bin:{any_bin}",
                "/bin history bin:{any_bin}",
                "/photo list of:{any_bin}",
                "/bin labels bins:{any_bin}",
                "/bin quarantine bin:{mine} until:45",
                "/bin temperature bin:{mine} reading:22 C",
            ),
        ),
        Subject.COUNTS: (
            "Count as you like: 40, about 40, ~80, 3 dozen, 12 adults 30 mancae. What you judged is kept as judged.",
            ("/count log bin:{mine} count:about 40", "/count chart bin:{counted}"),
        ),
        Subject.TRAITS: (
            "A trait has a name, a gene symbol, and how it shows. An odd animal opens one: log it with /find log.",
            ("/trait list", "/trait show name:{trait}", "/trait guide show name:{trait}", "/find list"),
        ),
        Subject.EXPLANATIONS: (
            "What may make a trait, how likely each is before any brood, and what it foretells. Stewards set other priors.",
            ("/trait priors name:{trait}",),
        ),
        Subject.CARE: (
            "I ping you when a bin wants something, on your own clock. Done and Later stand on the ping.",
            ("/care add bin:{mine} task:leaf litter day:Saturday time:10am zone:Europe/Lisbon",),
        ),
        Subject.PAIRS: (
            "Write a pairing down before its result, then its broods: so the book learns how a trait is inherited.",
            ("/pair list", "/brood list"),
        ),
        Subject.LINES: (
            "Who comes from whom, how closely two bins are related, and the least related mates.",
            ("/line family bin:{any_bin}", "/line mates bin:{any_bin}"),
        ),
        Subject.KEEPERS: (
            "Your time zone, quiet hours, units and room for pings; and who keeps a bin with you, or sees it.",
            ("/keeper show", "/keeper set quiet:22:00-07:00", "/bin privacy bin:{mine} private:open"),
        ),
        Subject.RECORDS: (
            "Everything that was changed stands in the records, and what you did can be undone.",
            ("/records audit", "/records audit bin:{any_bin}"),
        ),
        Subject.SPECIES: (
            "How fast a species breeds, with how sure that is and where it was read. Stewards may set figures of their own.",
            ("/species show species:Armadillidium vulgare",),
        ),
        Subject.SAFETY: ("What to think of before you send, throw away, sort or heat anything.", ()),
    }
)
"""Of each subject what it is for, and commands to try. What this server has none of leaves its example out."""


def help_card(guide: Guide) -> Card:
    """The reply to `/help`: the next step, or what the subject is for; then commands that work as they stand."""
    about, _ = _ABOUT[guide.subject]
    if guide.subject is Subject.START:
        lead, blocks = _start(guide, about)
    elif guide.subject is Subject.SAFETY:
        lead, blocks = about, _safety()
    else:
        lead, blocks = about, ["\n".join(words.inline(line) for line in examples(guide))]
    if guide.subject is Subject.EXPLANATIONS:
        blocks += explanations()
    return Card(
        lead=lead,
        blocks=tuple(block for block in blocks if block),
        buttons=_subjects(guide.subject),
        private=True,
        page=(verbs.HELP, guide.subject.value),
    )


def examples(guide: Guide) -> tuple[str, ...]:
    """The commands of a subject that work now: for how to start those of the next steps."""
    if guide.subject is Subject.START:
        lines = tuple(typed for step, (_, typed) in _STEPS.items() if step not in guide.done)
    else:
        lines = _ABOUT[guide.subject][1]
    filled = (_filled(line, guide) for line in lines)
    return tuple(line for line in filled if line is not None)


def _filled(line: str, guide: Guide) -> str | None:
    known = {"mine": guide.mine, "any_bin": guide.any_bin, "counted": guide.counted, "trait": guide.trait}
    if any(value is None for name, value in known.items() if f"{{{name}}}" in line):
        return None
    return line.format(**known)


def _start(guide: Guide, about: str) -> tuple[str, list[str]]:
    left = [step for step in _STEPS if step not in guide.done]
    steps = "\n".join(f"{'✓' if step in guide.done else '·'} {what}" for step, (what, _) in _STEPS.items())
    if not left:
        return f"{about} You have done all the first steps.", [steps, "Pick a subject to see what it can do."]
    first = _filled(_STEPS[left[0]][1], guide)
    lead = f"{about} Next: {_STEPS[left[0]][0][:1].lower()}{_STEPS[left[0]][0][1:]}."
    return lead, [words.inline(first) if first else "", steps]


def _safety() -> list[str]:
    return [cautions.SENDING, cautions.RELEASE, cautions.ALLERGY, cautions.LITTER, cautions.ADVISERS]


def _subjects(now: Subject) -> tuple[Button, ...]:
    return tuple(
        Button(subject.value.capitalize(), verbs.HELP, subject.value, Weight.MAIN if subject is now else Weight.SIDE)
        for subject in Subject
    )
