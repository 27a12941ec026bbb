"""The job of a worker: a drawing becomes a picture."""

from bot.cards.card import Drawing, Picture


def drawn(drawing: Drawing) -> Picture:
    """The drawing as a PNG, with its name and the words that say what it shows."""
    return Picture(name=drawing.name, content=drawing.png(), alternative=drawing.alternative)
