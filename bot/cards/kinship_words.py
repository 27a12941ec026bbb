"""Kinship in the trade's words, and what a figure of it rests on."""

from collections.abc import Iterable
from fractions import Fraction
from typing import Final

from bot.services.lineage import USUAL_BREEDERS, Assumed

_DEGREES: Final = (
    (Fraction(3, 8), "closer than full sibs"),
    (Fraction(3, 16), "like full sibs"),
    (Fraction(3, 32), "like half sibs"),
    (Fraction(3, 64), "like first cousins"),
    (Fraction(3, 128), "like half cousins"),
    (Fraction(1, 128), "like second cousins"),
)
"""Each degree from halfway to the next lower one on; the figures of the degrees are Wright's (1922)."""


def degree(kinship: Fraction) -> str:
    """How closely two animals are related, in the words of keepers.

    >>> degree(Fraction(1, 4)), degree(Fraction(1, 8)), degree(Fraction(0)), degree(Fraction(1, 1000))
    ('like full sibs', 'like half sibs', 'not related, as far as the book knows', 'hardly related')
    """
    if kinship == 0:
        return "not related, as far as the book knows"
    return next((said for least, said in _DEGREES if kinship >= least), "hardly related")


def as_kin(kinship: Fraction) -> str:
    """What animals so related are, for "count as ..." and "are taken to be ...".

    >>> as_kin(Fraction(1, 8)), as_kin(Fraction(0))
    ('half sibs', 'unrelated')
    """
    return degree(kinship).removeprefix("like ") if kinship else "unrelated"


def rests_on(assumed: Iterable[Assumed], origin: Fraction) -> str:
    """What a figure rests on, in one block; empty if the book says all."""
    found = set(assumed)
    kin = as_kin(origin)
    said = {
        Assumed.ONE_ORIGIN: f"animals of one origin are taken to be {kin}",
        Assumed.ORIGIN: f"founders whose origin is not said are taken to be {kin}, to each other and to all others",
        Assumed.BREEDERS: "who bred is not recorded, so half of a bin's animals are taken to be its dams and half its sires",
        Assumed.NUMBER: f"where no number was said, {USUAL_BREEDERS} are taken",
        Assumed.MATE: f"a parent that is not recorded may be anybody, {kin} to the rest",
        Assumed.HIDDEN: f"a private bin among the ancestors counts as founders, {kin} to the rest",
        Assumed.NOTHING: f"a bin of which nothing is said counts as founders, {kin} to the rest",
    }
    lines = [f"· {said[each]}" for each in Assumed if each in found]
    return "\n".join(["Rests on what the book does not say:", *lines]) if lines else ""
