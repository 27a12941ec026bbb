"""A family as a drawing that a card can carry."""

from dataclasses import dataclass

from bot.pictures.pedigree import Pedigree
from bot.pictures.pedigree_words import said


@dataclass(frozen=True, slots=True)
class FamilyPicture:
    """A family to be drawn; see `bot.cards.card.Drawing`."""

    pedigree: Pedigree
    title: str
    alternative: str
    name: str = "family.png"

    def png(self) -> bytes:
        """The picture."""
        # The places of a family need a library of graphs, so they too are the worker's to find.
        from bot.pictures.pedigree_chart import pedigree_chart  # noqa: PLC0415
        from bot.pictures.pedigree_drawing import draw  # noqa: PLC0415

        return draw(pedigree_chart(self.pedigree, self.title))


def family_picture(pedigree: Pedigree, title: str, *, name: str = "family.png") -> FamilyPicture:
    """The picture of a family. `title` says whose it is, like "Family of B-14". Put it among a card's `drawings`."""
    return FamilyPicture(pedigree, title, said(pedigree, title), name)
