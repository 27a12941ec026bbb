"""How the family of a bin is shown: a picture in the published nomenclature, and in words where it comes from."""

from collections.abc import Mapping
from fractions import Fraction

from bot.cards import verbs, words
from bot.cards.card import Button, Card, Weight
from bot.pictures.family import family_picture
from bot.pictures.pedigree import Mating, Member, Pedigree, Sex, Shows
from bot.services.family import Family, Kin, Parted

_MOST_LINES = 12


def family_card(family: Family) -> Card:
    """The reply to `/line family`."""
    name = words.bin_name(family.label.code, family.label.name)
    kin = {each.key: each for each in family.kin}
    lines = [
        f"· {words.listed(_named(kin[key]) for key in mating.young)}: {_from(mating, kin)}"
        for mating in sorted(family.matings, key=lambda mating: family.asked not in mating.young)
    ]
    blocks = ["\n".join(lines[:_MOST_LINES])] if lines else []
    blocks += [
        f"{_named(each)} was joined by animals of {words.listed(code or 'a private bin' for code in each.joined)}."
        for each in family.kin
        if each.joined
    ][:_MOST_LINES]
    if len(lines) > _MOST_LINES:
        blocks.append(f"The picture shows {words.plural(len(lines) - _MOST_LINES, 'family', 'families')} more.")
    if family.left_out:
        blocks.append(f"{words.plural(family.left_out, 'more ancestor')} on record; the nearest are drawn.")
    others = len(family.kin) - 1
    lead = (
        f"The family of **{name}**: {words.plural(others, 'relative')} on record."
        if others
        else f"The book knows no relatives of **{name}**. Give a bin its parents when you open it, like `parents:B-1 x B-3`."
    )
    return Card(
        lead=lead,
        blocks=tuple(blocks),
        buttons=(
            Button("Least related mates", verbs.LINE_MATES, family.label.code, Weight.MAIN),
            Button("Show bin", verbs.BIN_SHOW, family.label.code),
        ),
        drawings=(family_picture(pedigree_of(family), f"Family of {family.label.code}"),),
    )


def pedigree_of(family: Family) -> Pedigree:
    """The family as values that can be drawn."""
    return Pedigree(
        members=tuple(_member(each, family) for each in family.kin),
        matings=tuple(Mating(mating.parents, mating.young) for mating in family.matings),
        trait=family.trait or "",
    )


def _member(kin: Kin, family: Family) -> Member:
    group = not kin.alone
    carries = {look.carries for look in kin.looks}
    return Member(
        key=kin.key,
        label=_label(kin),
        sex=Sex(kin.sex.value),
        shows=_shows(kin) if family.trait else Shows.NO,
        carries=carries.pop() if len(carries) == 1 else Fraction(0),
        group=group,
        count=kin.count if group else None,
        estimate=kin.estimate,
        asked=kin.key == family.asked,
        note=_note(kin),
    )


def _note(kin: Kin) -> str:
    if kin.joined:
        return f"+ {kin.joined[0] or 'private'}" if len(kin.joined) == 1 else f"+ {len(kin.joined)} bins"
    return "part" if kin.part else ""


def _shows(kin: Kin) -> Shows:
    seen = {look.shows for look in kin.looks}
    if not seen or None in seen:
        return Shows.SOME if True in seen else Shows.UNKNOWN
    if len(seen) == 2:
        return Shows.SOME
    return Shows.YES if True in seen else Shows.NO


def _label(kin: Kin) -> str:
    if kin.hidden:
        return "private"
    return kin.code or kin.name or "breeder"


def _named(kin: Kin) -> str:
    if kin.hidden:
        return "a private bin"
    if kin.code is not None:
        return words.bin_name(kin.code, kin.name)
    return words.plain(kin.name) if kin.name else words.plural(kin.count or 1, "breeder")


def _from(mating: Parted, kin: Mapping[str, Kin]) -> str:
    word = "part of" if all(kin[key].part for key in mating.young) else "from"
    return f"{word} {' × '.join(_named(kin[key]) for key in mating.parents)}"
