"""Breeding programmes in few words, for tests of what the broods say."""

from genetics.evidence.programme import Brood, Counted, Dam, Group, Mated, Pairing, Programme
from genetics.genome import SexSystem
from genetics.loci import Sex
from genetics.traits import Appearance

FULL, WILD = Appearance.FULL, Appearance.WILD
F, M = Sex.FEMALE, Sex.MALE


def unsexed(shown: int, of: int) -> tuple[Counted, ...]:
    """So many that show among so many scored, not sexed."""
    return (Counted(FULL, shown), Counted(WILD, of - shown))


def sexed(daughters: tuple[int, int], sons: tuple[int, int]) -> tuple[Counted, ...]:
    """(show, scored) of daughters and of sons."""
    return tuple(
        Counted(look, number, sex)
        for sex, (shown, of) in ((F, daughters), (M, sons))
        for look, number in ((FULL, shown), (WILD, of - shown))
    )


def isolated(name: str, dam: str, sire: str) -> Pairing:
    """One isolated dam and one sire."""
    return Pairing(name, (Dam(dam, Mated.ISOLATED),), (sire,))


def brood(name: str, pairing: str, seen: tuple[Counted, ...], in_bin: str = "", **more: object) -> Brood:
    """A brood, in a bin of its own unless one is named."""
    return Brood(name, pairing, in_bin or f"bin of {name}", seen, **more)  # type: ignore[arg-type]


def programme(groups: list[Group], pairings: list[Pairing], broods: list[Brood], **more: object) -> Programme:
    """A programme of a species with ZZ males and ZW females."""
    return Programme(tuple(groups), tuple(pairings), tuple(broods), **({"system": SexSystem.ZZ_ZW} | more))  # type: ignore[arg-type]
