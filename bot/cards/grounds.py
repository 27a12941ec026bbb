"""What an answer to a cross rests on, said in lines."""

from bot.cards import words
from bot.cards.models import model_said, name_of, relation_said, system_said
from bot.services.backgrounds import Grounds
from bot.services.odds import Odds
from genetics import SexSystem

_ALONE = "the dam met no other male"


def grounds_lines(odds: Odds) -> list[str]:
    """The lines that say what the answer rests on, the one that people overlook most last."""
    grounds = odds.grounds
    if not grounds.traits:
        return []
    lines = [_rests_on(odds)]
    lines += [f"{_capital(relation_said(one))}." for one in grounds.relations]
    if grounds.system is not None:
        lines.append(_sexes(grounds, grounds.system))
    if len(odds.phase_unknown) > 1:
        names = words.listed(words.plain(name) for name in odds.phase_unknown)
        lines.append(
            f"Which of {names} lie on the same chromosome of a parent is not known, so both cases are averaged. "
            "Gene notation says which, like `+ +/a b` or `+ b/a +`."
        )
    weeks = max(model.week for _, model in grounds.traits)
    if weeks:
        lines.append(f"Count them from week {weeks} on; younger ones cannot be read.")
    return lines


def _rests_on(odds: Odds) -> str:
    kinds = [f"{name_of(trait)} {words.listed(model_said(trait, model))}" for trait, model in odds.grounds.traits]
    if odds.sire is None or odds.leaning.stored is not None:
        return f"Rests on: {'; '.join(kinds) if any(' and ' in kind for kind in kinds) else words.listed(kinds)}."
    if any(" and " in kind for kind in kinds):
        return f"Rests on: {'; '.join(kinds)}; and {_ALONE}."
    return f"Rests on: {words.listed(kinds)}, and {_ALONE}."


def _sexes(grounds: Grounds, system: SexSystem) -> str:
    species = f"*{grounds.species}*: " if grounds.species is not None else ""
    said = f"{species}{system_said(system)}"
    if grounds.spelled:
        said += ", as written in the cross"
    if grounds.feminised:
        said += "; this mother is a Z/Z that bacteria made a female, so no young has a W"
    if grounds.daughters is not None:
        share = words.percent(grounds.daughters)
        said += f"; daughters are taken as {share} of the young" if grounds.assumed else f"; {share} are daughters"
    return f"{said if species else _capital(said)}."


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
