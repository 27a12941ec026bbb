"""How traits are said: defined, changed, shown, listed; and what a trait shown in one sex only is not."""

from collections.abc import Sequence

from bot.cards import verbs, words
from bot.cards.card import Button, Card, Tone, Weight
from bot.cards.guides import agreement_said, error_said
from bot.cards.models import OPEN, model_said, open_next, relation_said, young_of_sex
from bot.cards.news import told_in
from bot.services.following import following_of
from bot.services.telling_apart import Contrast, Shares
from bot.services.traits import TraitView
from genetics import Dominance, Sex, SexSystem, Where

_ADULT = {Sex.FEMALE: "female", Sex.MALE: "male"}


def trait_card(view: TraitView) -> Card:
    """The reply to `/trait define`, `/trait change` and `/trait show`."""
    row = view.row
    name = words.plain(row.name)
    stands = "now stands" if view.changed else "stands"
    buttons = [*_instead(view), Button("Change", verbs.TRAIT_CHANGE, f"={row.id}")]
    if view.model.open:
        buttons.append(Button("Evidence", verbs.TRAIT_EVIDENCE, str(row.id)))
    if view.event is not None:
        buttons.append(Button("Undo", verbs.UNDO, str(view.event)))
    told = [f"{name} {said}" for said in model_said(view.trait, view.model, place=_confusable(view))[1:]]
    how = "open" if view.model.open else row.dominance
    meaning = OPEN if view.model.open else _meaning(name, row.dominance)
    return Card(
        lead=f"**{name}** {stands} in the book as {how}, with the gene symbol `{row.symbol}`.",
        blocks=(
            "\n".join((meaning, *(f"{one}." for one in told))),
            *_told_apart(view),
            *_belongings(view),
            *(
                (f"Scored blind: {agreement_said(view.error)} {error_said(view.error)}",)
                if view.error is not None
                else ()
            ),
            open_next(row.name) if view.model.open else f"Ask with it: {words.inline(example(view))}",
            *((told_in(following_of(row, view.told)),) if view.told is not None else ()),
        ),
        buttons=tuple(buttons),
        tone=Tone.GOOD if view.event is not None else Tone.PLAIN,
    )


def _confusable(view: TraitView) -> bool:
    """Whether it is one of two that keepers often take for each other."""
    return view.model.shown_in is not None or view.model.where is Where.SHARED


def _instead(view: TraitView) -> list[Button]:
    if view.model.shown_in is not None:
        return [Button("It's on a sex chromosome", verbs.TRAIT_INSTEAD, f"{view.row.id}/{Where.SHARED}")]
    if view.model.where is not Where.SHARED:
        return []
    return [
        Button(f"It's shown in {_ADULT[sex]}s only", verbs.TRAIT_INSTEAD, f"{view.row.id}/{sex}", Weight.SIDE)
        for sex in Sex
    ]


def _told_apart(view: TraitView) -> list[str]:
    """What was recorded of two that are easily confused, and what tells it from the other."""
    if not _confusable(view):
        return []
    name, sex = words.plain(view.row.name), view.model.shown_in
    if sex is not None:
        other = _ADULT[Sex.MALE if sex is Sex.FEMALE else Sex.FEMALE]
        said = (
            f"Recorded: **shown in {_ADULT[sex]}s only**. That is about who shows it, not about a sex chromosome. "
            f"One {other} that shows {name} rules it out."
        )
    else:
        said = (
            f"Recorded: **on a sex chromosome**. That is rare in woodlice; shown in one sex only is proven twice. "
            f"Both sexes can show {name} then, in different shares."
        )
    return [" ".join([said, *([_contrast(name, view.contrast)] if view.contrast is not None else [])])]


def _contrast(name: str, contrast: Contrast) -> str:
    if contrast.sex is Sex.FEMALE:
        cross = f"{name} dam × wild sire"
        cross = f"{name} dam × a son of {cross}" if contrast.back else cross
    else:
        cross = f"wild dam × {name} sire"
        cross = f"a daughter of {cross} × {name} sire" if contrast.back else cross
    return (
        f"The cross that tells: {cross}. Shown in {_ADULT[contrast.sex]}s only: {_shares(contrast.limited)}. "
        f"On the sex chromosome: {_shares(contrast.linked)}."
    )


def _shares(shares: Shares) -> str:
    if shares.daughters == shares.sons:
        return f"{words.in_words(shares.sons)} of both sexes show it" if shares.sons else "no young shows it"
    parts = [
        f"{words.in_words(share)} of the {young_of_sex(sex)}"
        for sex, share in ((Sex.FEMALE, shares.daughters), (Sex.MALE, shares.sons))
    ]
    return words.listed(parts)


def _belongings(view: TraitView) -> list[str]:
    lines = [f"{_capital(relation_said(one))}." for one in view.relations]
    if view.species is not None:
        lines.append(f"A trait of *{view.species}*.")
    return ["\n".join(lines)] if lines else []


def list_card(views: Sequence[TraitView]) -> Card:
    """The reply to `/trait list`: a line for each trait, then what some are to each other."""
    if not views:
        return Card(
            lead="No trait is defined yet.",
            blocks=("Define one with `/trait define`, like `/trait define name:ember shows:recessive`.",),
        )
    rows = [_line(view) for view in views]
    relations = dict.fromkeys(f"· {_capital(relation_said(one))}." for view in views for one in view.relations)
    return Card(
        lead=f"**{words.plural(len(views), 'trait')}** in the book.",
        blocks=("\n".join(rows), *(["\n".join(relations)] if relations else [])),
        page=(verbs.TRAIT_LIST, ""),
    )


def _line(view: TraitView) -> str:
    said = words.listed(model_said(view.trait, view.model))
    species = f" (*{view.species}*)" if view.species is not None else ""
    return f"· **{words.plain(view.row.name)}** `{view.row.symbol}` {said}{species}"


def _meaning(name: str, dominance: Dominance) -> str:
    return {
        Dominance.RECESSIVE: f"An animal shows {name} with two copies; with one it looks wild and carries it.",
        Dominance.DOMINANT: f"An animal shows {name} with one copy or two, and looks the same either way.",
        Dominance.INCOMPLETE: f"An animal shows {name} with one copy, and shows it more strongly with two.",
    }[dominance]


def example(view: TraitView) -> str:
    """A cross with the trait that can be asked about."""
    name, recessive = view.row.name, view.row.dominance is Dominance.RECESSIVE
    if view.system is SexSystem.THELYTOKOUS:
        return f"/odds cross:het {name}"
    if view.model.where is Where.AUTOSOME:
        return f"/odds cross:het {name} x {'het ' + name if recessive else 'wild'}"
    shows = f"{'visual' if recessive else 'homozygous'} {name}"
    sires_alone = view.model.where is Where.LIMITED and view.system is SexSystem.XX_XY
    cross = f"wild x {shows}" if sires_alone else f"{shows} x wild"
    ask = view.model.where is not Where.CYTOPLASM and view.system is SexSystem.UNKNOWN
    return f"/odds cross:{cross}" + (" species:Armadillidium vulgare" if ask else "")


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
