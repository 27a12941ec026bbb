"""How it is said how many young to raise."""

from collections.abc import Sequence
from fractions import Fraction

from bot.cards import words
from bot.cards.card import Card
from bot.cards.odds import lead_said, rests_on, see_said, showing
from bot.services.raising import CONFIDENCES, WANTED, Raising
from genetics import HowMany
from genetics.survival import Born, Rearing


def raising_card(raising: Raising) -> Card:
    """How many young to see, and what "see" means."""
    odds = raising.odds
    if odds.target is None:
        return Card(lead=lead_said(odds), blocks=(rests_on(odds),), private=True)
    first = raising.rows[0][1]
    usual = first[CONFIDENCES.index(Fraction(95, 100))]
    rows = [
        f"· at least {k}: " + " · ".join(_for(c, h) for c, h in zip(CONFIDENCES, row, strict=True))
        for k, row in raising.rows
    ]
    blocks = [
        f"Young that {showing(odds.target)} ({words.in_words(odds.target.share)}), how many to see for each certainty:",
        "\n".join(rows),
    ]
    if usual.ceiling < 1:
        blocks.append(
            f"The parents can give them at all with a chance of {words.percent(usual.ceiling)}. "
            "“If so” is the number to see supposing that they can."
        )
    blocks.append(_chances(raising))
    blocks += _each_sex(raising)
    blocks.append(_to_be_born(raising.born))
    return Card(lead=see_said(usual), blocks=tuple(blocks), private=True)


def _to_be_born(born: Sequence[Born]) -> str:
    usual = born[CONFIDENCES.index(Fraction(95, 100))] if born else None
    if usual is None or usual.young_if_possible is None or usual.broods_if_possible is None:
        return "These are young grown and scored. Many die before that, whole broods at a time: set up more than one brood."
    kept = Rearing()
    alone = (
        f"; if each fared by itself, {words.number(usual.by_itself)} would do" if usual.by_itself is not None else ""
    )
    can = "" if usual.ceiling == 1 else ", if the pair can give it at all,"
    others = words.listed(
        f"{words.number(one.young_if_possible)} for {words.percent(confidence)}"
        for confidence, one in zip(CONFIDENCES, born, strict=True)
        if one is not usual and one.young_if_possible is not None
    )
    return (
        f"These are young grown and scored. For one at 95 %{can} about **{words.number(usual.young_if_possible)} must be born** "
        f"({others}), {words.plural(usual.broods_if_possible, 'brood')} of {kept.brood}, if "
        f"{words.in_words(Fraction(kept.survival))} live to be scored and broods live or die together{alone}. "
        "Both figures are our judgement."
    )


def _for(confidence: Fraction, answer: HowMany) -> str:
    if answer.see is not None:
        return f"{words.percent(confidence)}: **{answer.see}**"
    return f"{words.percent(confidence)}: if so **{answer.see_if_possible}**"


def _chances(raising: Raising) -> str:
    """What so many young will bring."""
    rows = [
        f"· of {n}: "
        + " · ".join(f"{k} or more: {words.percent(chance)}" for k, chance in zip(WANTED, row, strict=True) if k <= n)
        for n, row in raising.chances
    ]
    return "\n".join(("Chances, of so many young scored:", *rows))


def _each_sex(raising: Raising) -> list[str]:
    if raising.each_sex is None:
        return []
    males = raising.males
    half = "males and females taken as equally many" if males is None else f"{words.percent(males)} of them males"
    return [f"For one of each sex at 95 %: **{words.number(raising.each_sex)}** scored, {half}."]
