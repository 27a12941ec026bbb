"""How a brood is said beside its cross: the verdict in plain words first, with what else would fit."""

import math
from collections.abc import Sequence
from fractions import Fraction

from bot.cards import verbs, words
from bot.cards.card import Button, Card, Weight
from bot.cards.grounds import week_lines
from bot.cards.odds import class_name, first_rows
from bot.cards.parentage import parents_line
from bot.services.blind_errors import ScoringError
from bot.services.observed import Observed, Seen
from genetics.exact_tests import Method
from genetics.fit import Broods
from genetics.fit_report import CountsFit
from genetics.parents import STORED
from genetics.ratios import LethalCall, RatioFit

_RIVALS = 3
_MOST_TERMS = 9
"""Of a ratio that anybody reads."""
_DIFFER = 0.05
"""Below this p broods are said to differ (the usual level)."""
_BROODS = 8
_TWO = 2
_TWO_TO_ONE = ((2, 1), (1, 2))


def observed_card(observed: Observed) -> Card:
    """The reply to `/odds` with counts."""
    odds = observed.odds
    raising = Button("How many to raise", verbs.ODDS_RAISING, odds.reference)
    return Card(
        lead=_lead(observed),
        blocks=(_table(observed), *_by_brood(observed), _rests_on(observed)),
        buttons=(
            Button("What to expect", verbs.ODDS_ASK, odds.reference, Weight.MAIN),
            *((raising,) if odds.target else ()),
        ),
    )


def _lead(observed: Observed) -> str:
    if observed.impossible:
        looks = words.listed(f"{words.number(one.count)} {class_name(one.looks)}" for one in observed.impossible)
        return f"This cross **cannot give** {looks}. Something is not as stated."
    if observed.fit is None:
        return _chance(observed)
    if len(observed.seen) == 1:
        (only,) = observed.seen
        return (
            f"Every young of this cross is {class_name(only.looks)}, and so {_are(observed.total)}. "
            "That fits, and tells nothing apart."
        )
    return _verdict(observed, observed.fit)


def _are(total: int) -> str:
    return f"are these {words.number(total)}" if total > 1 else "is this one"


def _verdict(observed: Observed, fit: CountsFit) -> str:
    these, s = (f"These {words.number(observed.total)} young", "") if observed.total > 1 else ("This one young", "s")
    if observed.broods is not None:
        these = f"Together these {words.number(observed.total)} young of {len(observed.broods.each)} broods"
    expected = "what is expected" if observed.error else _ratio([one.share for one in observed.seen])
    rivals = _rivals(observed, fit)
    named = [_terms(rival) for rival in rivals[:_RIVALS]]
    others = words.listed([*named, "others"] if len(rivals) > _RIVALS else named, "or")
    between = "" if observed.broods is None else f" {_between(observed.broods)}"
    if fit.fits:
        proof = f" They would also fit {others}, so this is no proof." if others else " A fit is no proof."
        return f"{these} **fit{s} {expected}** ({_p(fit.exact.p)}).{between}{proof}"
    does = "does" if s else "do"
    rather = f" They would fit {others}." if others else ""
    return f"{these} **{does} not fit {expected}** ({_p(fit.exact.p)}).{between}{rather}"


def _between(broods: Broods) -> str:
    """Whether the broods differ among each other."""
    dealt = broods.by_shuffling
    if dealt is None:
        return ""
    if dealt.p < _DIFFER:
        return (
            f"But **the broods differ among each other** more than chance makes them ({_p(dealt.p)}): they may have other "
            "parents or other fathers, so ask about each by itself."
        )
    return f"The broods differ no more among each other than chance makes them ({_p(dealt.p)})."


def _rivals(observed: Observed, fit: CountsFit) -> list[RatioFit]:
    """The other simple ratios that fit, likeliest first."""
    shares = [one.share for one in observed.seen]
    return [rival for rival in fit.rivals.fitting if _shares(rival.ratio) != shares]


def _shares(ratio: tuple[int, ...]) -> list[Fraction]:
    return [Fraction(term, sum(ratio)) for term in ratio]


def _terms(rival: RatioFit) -> str:
    return ":".join(map(str, rival.ratio))


def _ratio(shares: Sequence[Fraction]) -> str:
    common = math.lcm(*(share.denominator for share in shares))
    terms = [str(int(share * common)) for share in shares]
    return ":".join(terms) if len(terms) <= _MOST_TERMS else "what is expected"


def _chance(observed: Observed) -> str:
    target, before = observed.odds.target, observed.odds.see
    these = f"these {words.number(observed.total)} young" if observed.total > 1 else "this one young"
    if observed.chance is None or target is None or before is None:
        return f"These parents **cannot give** {these}. Something is not as stated."
    looks = class_name(target.looks)
    if observed.sperm is not None:
        return _sperm(observed, observed.sperm, these)
    if observed.chance == 1:
        return f"This pair **can give {looks}**: {these} show{'s' if observed.total == 1 else ''} it, if they are all theirs."
    return (
        f"After {these} the chance that the pair can give {looks} at all is **{words.percent(observed.chance)}**. "
        f"Before, it was {words.percent(before.ceiling)}."
    )


def _sperm(observed: Observed, sperm: Fraction, these: str) -> str:
    """What young of a dam that had males before say of them."""
    before = sum((chance for chance, share in STORED if share), Fraction(0))
    certain = (
        f"After {these} it is **certain** that males before are fathers too"
        if sperm == 1
        else (
            f"After {these} the chance that males before are fathers too is **{words.percent(sperm)}**; "
            f"we had guessed {words.percent(before)}"
        )
    )
    return f"{certain}, if all else is as stated."


def _by_brood(observed: Observed) -> tuple[str, ...]:
    """The counts of each brood, in the order of the table."""
    if observed.broods is None:
        return ()
    rows = [f"· brood {at}: {' : '.join(map(str, counts))}" for at, counts in enumerate(observed.each, 1)]
    return (
        first_rows(rows[:_BROODS], "brood") + ("" if len(rows) <= _BROODS else f"\n· and {len(rows) - _BROODS} more"),
    )


def _table(observed: Observed) -> str:
    numbered = list(enumerate(observed.seen))
    rows = [_row(observed, number, one) for number, one in numbered]
    if len(rows) > _MOST_TERMS and "more look" in first_rows(rows, "look"):
        # Too many for a screen, and for a ratio that goes by their order: what was seen most stands first.
        rows = [_row(observed, number, one) for number, one in sorted(numbered, key=lambda each: -each[1].count)]
    return first_rows(rows, "look")


def _row(observed: Observed, number: int, one: Seen) -> str:
    row = f"· {class_name(one.looks)}: **{words.number(one.count)}** seen"
    if observed.fit is None:
        return row
    if not one.share:
        return f"{row}, none expected"
    interval = observed.fit.intervals[number]
    share = f"{round(interval.low * 100)} to {round(interval.high * 100)} %"
    return f"{row}, {float(one.share * observed.total):.1f} expected · a share of {share} (95 % sure)"


def _rests_on(observed: Observed) -> str:
    return "\n".join((parents_line(observed.odds), *_cautions(observed), *week_lines(observed.odds)))


def _cautions(observed: Observed) -> list[str]:
    said = ["Some of these numbers are estimates: take this as a hint."] if observed.estimated else []
    if observed.error:
        whence = _measured(observed.measured) if observed.measured is not None else ""
        said.append(
            f"Reckoned with {words.percent(observed.error)}{whence} misread for another look, trait by trait: what is expected is "
            "what would be seen."
        )
    if observed.impossible or (observed.fit is None and observed.chance is None):
        said.append(
            "A parent may not be what it is taken to be, another male or stored sperm may be the father, some may be "
            "misread, or the trait is inherited in another way."
        )
    elif observed.fit is None:
        said.append("All young, of all broods, are taken to have this one dam and this one sire.")
    elif len(observed.seen) > 1:
        said += _about_fit(observed, observed.fit)
    return said


def _about_fit(observed: Observed, fit: CountsFit) -> list[str]:
    said = []
    if not fit.fits:
        said.append(
            "Why it may not fit: one class dies more before it is scored, some were misread or too young to read, a second "
            "father or stored sperm, or the trait is inherited in another way."
        )
    if not fit.fits and len(observed.odds.traits) == _TWO:
        said.append("Or the two are linked: `/trait distance` tells how closely.")
    if any(rival.ratio in _TWO_TO_ONE for rival in _rivals(observed, fit)):
        said.append(
            "2:1 is what comes when one kind of young dies, and 1:1 and 3:1 fit badly."
            if fit.rivals.lethal is LethalCall.SUPPORTED
            else "2:1 would mean that one kind of young dies; these counts do not show it, as 1:1 or 3:1 is not ruled out."
        )
    how = {
        Method.COUNTED: "exact, outcomes ordered by their probability",
        Method.DRAWN: f"from outcomes drawn at random, ± {fit.exact.error:.2g}",
        Method.BOUNDED: "at most this",
    }[fit.exact.method]
    if len(observed.seen) == 2:
        said.append("Ratios: " + " to ".join(class_name(one.looks) for one in observed.seen) + ".")
    elif fit.rivals.fits:
        said.append("Ratios are in the order of the lines above.")
    said.append(f"p says how often a brood as odd as this comes by chance ({how}).")
    if observed.broods is not None and observed.broods.by_shuffling is not None:
        said.append(_tests_between(observed.broods))
    return said


def _tests_between(broods: Broods) -> str:
    """Which tests compared the broods: that of Mather (1938) where it may be used, and one that always may."""
    between, dealt = broods.heterogeneity, broods.by_shuffling
    chi = f"heterogeneity χ² {between.value:.1f} with {words.plural(between.df, 'degree')} of freedom"
    used = f", {_p(between.p)}" if between.p is not None else ", too few young for its table"
    drawn = (
        ""
        if dealt is None
        else f"; the p above is from {words.number(dealt.draws)} deals of these young into such broods"
    )
    return f"Between broods: {chi}{used}{drawn}."


def _p(p: float) -> str:
    return "p under 0.001" if p < 0.001 else f"p = {p:.2f}" if p >= 0.01 else f"p = {p:.3f}"


def _measured(error: ScoringError) -> str:
    return f" (as {error.keepers} keepers measured on {words.plural(error.photos, 'photo')}; `scoring-error:0%` leaves it out)"
