"""How a species card is said."""

from fractions import Fraction

from bot.cards import verbs, words
from bot.cards.card import Button, Card, Tone
from bot.records import SexSystem
from bot.services.species import LIFE, SHARES, Confidence, Figure, SpeciesCard
from bot.services.species_cards import CardView

LABELS = {
    "eggs": "Eggs in a brood",
    "live_share": "Eggs that become live mancae",
    "mancae": "Mancae in a brood",
    "pouch_days": "Days in the pouch at 22 °C",
    "pouch_factor": "Pouch factor, of 315/(T - 11) days",
    "interval_days": "Days from brood to brood",
    "broods_year": "Broods a year",
    "first_brood_days": "Age at the first brood, days",
    "manca_survival": "Mancae that grow up",
    "adult_survival": "Adults alive 30 days later",
    "lifespan_months": "Life of an adult, months",
    "female_share": "Females at birth",
    "growth_per_day": "Growth of a colony a day",
    "scoring_days": "Don't score colour before, days",
    "quarantine_days": "Keep new stock apart, days",
    "celsius": "Kept at, °C",
}
"""What each figure is called, in at most 45 characters."""

_SURE = {
    Confidence.HIGH: "sure",
    Confidence.MEDIUM: "fairly sure",
    Confidence.LOW: "a guess",
    Confidence.OWN: "set here",
}
_SYSTEMS = {
    SexSystem.XY: "XX females, XY males",
    SexSystem.ZW: "ZW females, ZZ males",
    SexSystem.X0: "XX females, X0 males",
    SexSystem.HAPLODIPLOID: "males from unfertilised eggs",
    SexSystem.THELYTOKOUS: "females only, no males needed",
    SexSystem.UNKNOWN: "not known",
}


def species_card(view: CardView) -> Card:
    """The reply to `/species show`: how long it takes, then every figure with how sure it is, then where it was read."""
    card = view.card
    first, pouch = card.figures["first_brood_days"], card.figures["pouch_days"]
    lead = f"*{card.name}* first breeds at about **{_number(first.usual)} days**; a brood takes about {_number(pouch.usual)} days in the pouch."
    blocks = [
        f"Sex: {_SYSTEMS[card.sex_system]} ({words.plain(card.sex_system_source)}).\nGrown: up to {words.length(Fraction(card.longest_mm), view.units)}.",
        "\n".join(_line(name, card.figures[name]) for name in LIFE),
        f"Lowest – **usual** – highest to expect of a fed colony at {words.temperature(Fraction(20), view.units)} to {words.temperature(Fraction(24), view.units)}. They are starting points: your own counts say more.",
        _sources(card),
    ]
    buttons = (Button("Undo", verbs.UNDO, str(view.event)),) if view.event is not None else ()
    tone = Tone.GOOD if view.event is not None else Tone.PLAIN
    return Card(lead=lead, blocks=tuple(blocks), buttons=buttons, tone=tone, page=(verbs.SPECIES_SHOW, card.key))


def _line(name: str, figure: Figure) -> str:
    say = _share if name in SHARES else _number
    return f"· {LABELS[name]}: {say(figure.low)} – **{say(figure.usual)}** – {say(figure.high)} · {_SURE[figure.confidence]}"


def _share(value: Fraction) -> str:
    return words.percent(value)


def _number(value: Fraction) -> str:
    return f"{float(value):.10g}"


def _sources(card: SpeciesCard) -> str:
    lines = [f"{LABELS[name]}: {words.plain(card.figures[name].source)}" for name in LIFE]
    return "Where they were read:\n" + "\n".join(f"· {line}" for line in lines)
