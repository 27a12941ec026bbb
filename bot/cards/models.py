"""How a trait's way of inheritance is said: its place, who shows it and how often, from when, and who lives."""

from collections.abc import Iterable
from fractions import Fraction

from bot.cards import words
from bot.services.heredity import Relation
from bot.services.trait_models import Distance, Gap, Linkage, Series, Together, TraitModel, Vigour
from genetics import Appearance, Dominance, Interaction, Sex, SexSystem, Trait, Where
from genetics.characters import Scored

_YOUNG = {Sex.FEMALE: "daughters", Sex.MALE: "sons"}
_ADULTS = {Sex.FEMALE: "females", Sex.MALE: "males"}
_OTHER = {Sex.FEMALE: Sex.MALE, Sex.MALE: Sex.FEMALE}
_PLACE = {
    Where.AUTOSOME: "lies on an ordinary chromosome, which both sexes have in pairs",
    Where.SHARED: "lies on the sex chromosome that both sexes have (X or Z)",
    Where.LIMITED: "lies on the sex chromosome that only one sex has (Y or W)",
    Where.CYTOPLASM: "is passed on by mothers alone, outside the chromosomes",
}
_MAKES = {
    Interaction.RECESSIVE_EPISTASIS: "recessive epistasis, 9:3:4",
    Interaction.DOMINANT_EPISTASIS: "dominant epistasis, 12:3:1",
    Interaction.COMPLEMENTARY: "both needed, 9:7",
    Interaction.DUPLICATE: "either suffices, 15:1",
    Interaction.SUPPRESSION: "the first suppresses the second, 13:3",
    Interaction.ADDITIVE_DUPLICATE: "either adds, 9:6:1",
}


OPEN = "Nobody knows yet how it is inherited: that takes broods."
"""What open means, of a trait."""


def open_next(name: str) -> str:
    """What to do about a trait of which nobody knows how it is inherited."""
    return (
        f"Pair an animal that shows {words.plain(name, 60)} with wild ones (`/pair setup`) and log each brood, with its "
        "wild-looking young. `/trait evidence` then weighs them, and `/trait change` says how it is inherited once that "
        "is known."
    )


def young_of_sex(sex: Sex) -> str:
    """Young of one sex."""
    return _YOUNG[sex]


def name_of(scored: Scored) -> str:
    """What is scored, escaped."""
    return words.plain(scored.name)


def is_wild(scored: Scored, look: str) -> bool:
    """Whether a class is the one of an animal without any mutation."""
    if isinstance(look, Appearance):
        return look is Appearance.WILD
    return not isinstance(scored, Trait) and look == scored.wild


def look_of(scored: Scored, look: str) -> str:
    """A class of what is scored: the trait, with its dose where two doses look different, or the name keepers gave it."""
    if not isinstance(look, Appearance):
        return words.plain(look)
    if has_doses(scored):
        return f"{name_of(scored)} in {'one dose' if look is Appearance.PARTIAL else 'two doses'}"
    return name_of(scored)


def has_doses(scored: Scored) -> bool:
    """Whether one copy looks different from two."""
    if isinstance(scored, Trait):
        return scored.dominance is Dominance.INCOMPLETE
    return Appearance.PARTIAL in scored.labels


def place_said(model: TraitModel) -> str:
    """Where a trait's locus lies, after the trait's name."""
    return _PLACE[model.where]


def model_said(trait: Trait, model: TraitModel, *, place: bool = False) -> list[str]:
    """All that is known of a trait, as predicates that follow its name: what is as usual is left out."""
    said = ["is open: nobody knows yet how it is inherited" if model.open else f"is {trait.dominance}"]
    if place or model.where is not Where.AUTOSOME:
        said.append(place_said(model))
    if model.shown_in is not None:
        other = _ADULTS[_OTHER[model.shown_in]]
        said.append(f"shows in {_ADULTS[model.shown_in]} only ({other} carry it unseen)")
    if model.penetrance != 1:
        said.append(f"shows in {words.percent(model.penetrance)} of those that should show it")
    if model.phenocopies:
        said.append(f"is seen in {words.percent(model.phenocopies)} of those that should not show it")
    if model.week:
        said.append(f"can be read from week {model.week}")
    return said + [vigour_said(one) for one in model.lives]


def vigour_said(one: Vigour) -> str:
    """How well young with so many copies live, after the trait's name."""
    copies = ("no copy", "one copy", "two copies")[one.copies]
    who = f" in {_ADULTS[one.sex]}" if one.sex is not None else ""
    if one.rate == 0:
        return f"kills with {copies}{who}"
    if one.rate == 1:
        return f"does no harm with {copies}{who}"
    share = words.percent(one.rate) if one.rate < 1 else f"{words.number(round(one.rate * 100))} %"
    return f"with {copies}{who} lets {share} as many live as wild young"


def relation_said(relation: Relation) -> str:
    """What several traits are to each other, as a sentence without its full stop."""
    names = [words.plain(trait.name) for trait in relation.traits]
    if isinstance(relation.says, Linkage):
        return f"{words.listed(names)} lie on one chromosome: {_linkage(names, relation.says)}"
    if isinstance(relation.says, Series):
        order = [*names[: relation.says.wild], "wild", *names[relation.says.wild :]]
        return f"{words.listed(names)} are alleles of one locus; the first of these shows: {', '.join(order)}"
    return f"{words.listed(names)} make {words.plain(relation.name)} together ({_made(relation, relation.says)})"


def _made(relation: Relation, says: Together) -> str:
    looks = words.listed(words.plain(look) for look in relation.looks)
    return f"{_MAKES[says.kind]}: {looks}" if says.kind is not None else f"by a table of its own: {looks}"


def _linkage(names: list[str], says: Linkage) -> str:
    both = _gaps(names, says.dam)
    if says.sire is None:
        return both
    return f"in dams {both}; in sires {_gaps(names, says.sire)}"


def _gaps(names: list[str], gaps: Iterable[Gap]) -> str:
    pairs = zip(names, names[1:], gaps, strict=False)
    return words.listed(f"{gap_said(gap)} between {one} and {other}" for one, other, gap in pairs)


def gap_said(gap: Gap) -> str:
    """How far apart two neighbours lie."""
    if gap.by is Distance.RECOMBINATION:
        return f"{_figure(gap.figure * 100)} % recombination" if gap.figure else "no recombination"
    rate = _figure(Fraction(gap.rate).limit_denominator(10**6) * 100)
    return f"{_figure(gap.figure)} cM by {gap.by.value.capitalize()}, {rate} % recombination"


def _figure(value: Fraction) -> str:
    return f"{float(value):.4g}"


def system_said(system: SexSystem) -> str:
    """How the sexes come about."""
    return {
        SexSystem.XX_XY: "XX females, XY males",
        SexSystem.ZZ_ZW: "ZW females, ZZ males",
        SexSystem.X0: "XX females, X0 males",
        SexSystem.HAPLODIPLOID: "males hatch from unfertilised eggs",
        SexSystem.THELYTOKOUS: "clonal females, no males",
        SexSystem.UNKNOWN: "how the sexes come about is not known",
    }[system]
