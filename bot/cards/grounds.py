"""What an answer to a cross rests on, said in lines."""

from bot.cards import words
from bot.cards.models import model_said, name_of, relation_said, system_said
from bot.services.backgrounds import Grounds
from bot.services.odds import Odds
from bot.services.otherwise import Instead, Otherwise
from bot.services.trait_models import USUAL, TraitModel
from genetics import SexSystem, Trait, Where

_MOST_SAID = 500
"""The most characters that are said of all traits here, before it is left to `/trait show`."""
_ALONE = "the dam met no other male"


def grounds_lines(odds: Odds) -> list[str]:
    """The lines that say what the answer rests on, the one that people overlook most last."""
    grounds = odds.grounds
    if not grounds.traits:
        return []
    lines = [_rests_on(odds)]
    lines += [f"{_capital(relation_said(one))}." for one in grounds.relations]
    if grounds.system is not None:
        lines.append(_sexes(grounds, grounds.system) + _who_passes(grounds, grounds.system))
    if len(odds.phase_unknown) > 1:
        lines.append(_phase(odds))
    if odds.otherwise is not None:
        lines.append(_otherwise(odds.otherwise))
    return lines + week_lines(odds)


def week_lines(odds: Odds) -> list[str]:
    """From when on the young can be told apart, if not from birth on."""
    weeks = max((model.week for _, model in odds.grounds.traits), default=0)
    return [f"Count them from week {weeks} on; younger ones cannot be read."] if weeks else []


def _phase(odds: Odds) -> str:
    names = words.listed(words.plain(name) for name in odds.phase_unknown)
    symbols = {trait.locus.name: trait.symbol for trait, _ in odds.grounds.traits}
    one, other = (symbols[name] for name in odds.phase_unknown[:2])
    return (
        f"Whether {names} lie on one chromosome of a parent's pair or on both is not known, so the cases are averaged. "
        f"Gene notation says it: `+ +/{one} {other}` has them on one, `+ {other}/{one} +` on both."
    )


def _rests_on(odds: Odds) -> str:
    kinds = [f"{name_of(trait)} {words.listed(model_said(trait, model))}" for trait, model in odds.grounds.traits]
    if sum(map(len, kinds)) > _MOST_SAID:
        kinds = [f"{name_of(trait)} {_shortly(trait, model)}" for trait, model in odds.grounds.traits]
    if odds.sire is None or odds.leaning.stored is not None:
        return f"Rests on: {'; '.join(kinds) if any(' and ' in kind for kind in kinds) else words.listed(kinds)}."
    if any(" and " in kind for kind in kinds):
        return f"Rests on: {'; '.join(kinds)}; and {_ALONE}."
    return f"Rests on: {words.listed(kinds)}, and {_ALONE}."


def _shortly(trait: Trait, model: TraitModel) -> str:
    return f"is {trait.dominance}" + ("" if model is USUAL else " (and more: `/trait show`)")


def _otherwise(other: Otherwise) -> str:
    """What would change the answer, and to what."""
    names = words.listed(words.plain(name) for name in other.traits)
    supposed = {
        Instead.DOMINANT: "it were dominant",
        Instead.RECESSIVE: "it were recessive",
        Instead.DOSES_ALIKE: "one dose looked like two",
        Instead.ALWAYS_SHOWN: "all showed it that should, and no others",
        Instead.HARMLESS: "it did no harm",
        Instead.BOTH_SEXES: "both sexes showed it",
        Instead.SEX_CHROMOSOME: "it lay on the sex chromosome that both sexes have",
        Instead.ONE_SEX: "it were shown in one sex only",
        Instead.UNLINKED: f"{names} were not linked",
        Instead.LINKED: f"{names} lay close together on one chromosome",
    }[other.instead]
    tail = ": this brood alone cannot tell." if other.same else "."
    if other.by_sex is not None:
        daughters, sons = (words.in_words(share) for share in other.by_sex)
        return f"If {supposed}, {daughters} of the daughters and {sons} of the sons would show it{tail}"
    told = ["no" if share == 0 and len(other.shares) == 1 else words.in_words(share) for share in other.shares]
    shares = words.listed(told, "or")
    why = ""
    if len(other.shares) > 1:
        why = {
            Instead.DOMINANT: ", depending on the parent that shows it",
            Instead.RECESSIVE: ", depending on what the other parent carries",
            Instead.LINKED: ", depending on which lie on the same one",
        }.get(other.instead, "")
    such = "young would be so" if other.instead in (Instead.UNLINKED, Instead.LINKED) else "young would show it"
    return f"If {supposed}, {shares} {such}{why}{tail}"


def _sexes(grounds: Grounds, system: SexSystem) -> str:
    species = f"*{grounds.species}*: " if grounds.species is not None else ""
    said = f"{species}{system_said(system)}"
    if grounds.spelled:
        said += ", as written in the cross"
    if grounds.feminised:
        said += "; this mother is a Z/Z that bacteria made a female, so no young has a W"
    if grounds.ww_lives is not None:
        ends = "live" if grounds.ww_lives else "are taken to die (if they live, say `sexes:W/W young live`)"
        said += f"; W/W young {ends}"
    if grounds.daughters is not None:
        share = words.percent(grounds.daughters)
        said += f"; daughters are taken as {share} of the young" if grounds.assumed else f"; {share} are daughters"
    return f"{said if species else _capital(said)}."


def _who_passes(grounds: Grounds, system: SexSystem) -> str:
    """Which parent gives what lies on the sex chromosomes to which young: what people overlook first."""
    places = {trait.locus.where for trait, _ in grounds.traits}
    if system.letters is None or grounds.feminised:
        return ""
    zw = system is SexSystem.ZZ_ZW
    said = []
    if Where.SHARED in places:
        said.append("daughters get their one Z from the sire" if zw else "sons get their one X from the dam")
    if Where.LIMITED in places:
        said.append("the W goes from dams to daughters" if zw else "the Y goes from sires to sons")
    return f" {_capital(words.listed(said))}." if said else ""


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
