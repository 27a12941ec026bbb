"""A family in words, for those who can't see the picture: the finding first, then generation by generation."""

from collections.abc import Iterable

from bot.cards import words
from bot.pictures.pedigree import Member, Pedigree, Sex, Shows

NUMERALS = ("I", "II", "III", "IV", "V", "VI", "VII", "VIII", "IX", "X", "XI", "XII", "XIII", "XIV", "XV", "XVI")
"""What generations are called, from the first drawn; after the last they are counted in figures."""


def numeral(generation: int) -> str:
    """The name of a generation, from 0."""
    return NUMERALS[generation] if generation < len(NUMERALS) else str(generation + 1)


def said(pedigree: Pedigree, title: str) -> str:
    """The family in words."""
    rows = 1 + max(pedigree.generation(member.key) for member in pedigree.members)
    groups = sum(member.group for member in pedigree.members)
    kinds = [(len(pedigree.members) - groups, "animal"), (groups, "group")]
    size = words.listed(words.plural(count, kind) for count, kind in kinds if count)
    parts = [f"{title}: {size} over {words.plural(rows, 'generation')}.", *_finding(pedigree), *_relatives(pedigree)]
    for row in range(rows):
        here = [member for member in pedigree.members if pedigree.generation(member.key) == row]
        parts.append(f"Generation {numeral(row)}: {'; '.join(_one(pedigree, member) for member in here)}.")
    return " ".join(parts)


def _finding(pedigree: Pedigree) -> list[str]:
    if not pedigree.trait:
        return []
    showing = [member.label for member in pedigree.members if member.shows is Shows.YES]
    some = [member.label for member in pedigree.members if member.shows is Shows.SOME]
    sure = [member.label for member in pedigree.members if member.carries == 1]
    found = [
        f"{_capital(pedigree.trait)} shows in {words.listed(showing)}."
        if showing
        else f"No one shows {pedigree.trait}."
    ]
    if some and not showing:
        found = []
    if some:
        found.append(f"It shows in some of {words.listed(some)}.")
    if sure:
        found.append(f"For sure {words.listed(sure)} {'carries' if len(sure) == 1 else 'carry'} it unseen.")
    return found


def _relatives(pedigree: Pedigree) -> list[str]:
    pairs = [
        words.listed(pedigree.member(key).label for key in mating.parents)
        for mating in pedigree.matings
        if pedigree.related(mating)
    ]
    return [f"Related parents: {'; '.join(pairs)}."] if pairs else []


def _one(pedigree: Pedigree, member: Member) -> str:
    facts = list(_facts(pedigree, member))
    parents = next((mating.parents for mating in pedigree.matings if member.key in mating.young), ())
    origin = f" of {words.listed(pedigree.member(key).label for key in parents)}" if parents else ""
    return member.label + origin + (f" ({', '.join(facts)})" if facts else "")


def _facts(pedigree: Pedigree, member: Member) -> Iterable[str]:
    if member.group:
        yield "a group" if member.count is None else f"a group of {words.counted(member.count, member.estimate)}"
    if member.sex is not Sex.UNKNOWN:
        yield member.sex.value
    if pedigree.trait:
        match member.shows:
            case Shows.YES:
                yield f"shows {pedigree.trait}"
            case Shows.SOME:
                yield f"some show {pedigree.trait}"
            case Shows.UNKNOWN:
                yield "look not known"
        if member.carries:
            yield "carries it" if member.carries == 1 else f"{words.in_words(member.carries)} to carry it"
    if member.dead:
        yield "dead"
    if member.note:
        yield member.note


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
