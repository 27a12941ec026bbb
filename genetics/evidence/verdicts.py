"""The verdict word: what is needed for each, and what keeps a leader from the next (science.md §5)."""

import math
from collections.abc import Iterator, Mapping, Sequence

from genetics.evidence.findings import BroodSays, Lack, Missing, Share, Verdict, Word
from genetics.evidence.programme import Brood, Founders, Programme
from genetics.traits import Appearance

STEPS = ((Word.LEANING, 0.80), (Word.SUPPORTED, 0.95), (Word.ESTABLISHED, 0.99))
"""Posterior from which on each word may be said."""
FITS = 0.01
"""A fit below this is bad (judgement)."""
STILL = 0.95
"""What must remain for *established* under the sceptic's prior, without any one brood, and without any one bin."""


def verdict(
    programme: Programme, shares: Sequence[Share], broods: Sequence[BroodSays], fit: float, bins: Mapping[str, float]
) -> Verdict:
    """The word for the first of the shares, and what is missing for the next one.

    bins: the leader's posterior without the young of each bin, or of those up to one that is too low; it is looked at where nothing else is missing for
    *established*, so that it may be empty until then.

    That two bins are on record says little if all that matters was seen in one of them: what its food, its heat or a
    disease did there would be called a law. So the verdict must stand without any one bin. An explanation with genes
    need not where a trait family and a wild family stood side by side (science.md §5); one without genes must, since two
    families that show in one bin say no more than that bin.
    """
    leader = shares[0]
    word: Word = Word.OPEN
    following: Word | None = None
    missing: tuple[Missing, ...] = ()
    for step, needs in STEPS:
        missing = tuple(_missing(step, needs, programme, leader, broods, fit)) or tuple(
            _one_bin(programme, leader, bins) if step is Word.ESTABLISHED else ()
        )
        if missing:
            following = step
            break
        word = step
    return Verdict(word, following, missing)


def _missing(
    step: Word, needs: float, programme: Programme, leader: Share, broods: Sequence[BroodSays], fit: float
) -> Iterator[Missing]:
    if leader.posterior < needs:
        yield Missing(Lack.POSTERIOR, leader.posterior, needs)
    if step is not Word.LEANING and fit < FITS:
        yield Missing(Lack.FIT, fit, FITS)
    if step is not Word.ESTABLISHED:
        return
    dams = len(dams_with_young(programme))
    if dams < 2:
        yield Missing(Lack.DAMS, dams, 2)
    bins = bins_of(programme)
    if len(bins) < 2 and not stands_beside(programme, leader):
        yield Missing(Lack.BINS, len(bins), 2)
    planned = sum(1 for brood in programme.broods if brood.scored and not brood.found)
    if not planned:
        yield Missing(Lack.PLANNED, 0, 1)
    if leader.sceptic < STILL:
        yield Missing(Lack.SCEPTIC, leader.sceptic, STILL)
    worst = min(broods, key=lambda one: one.dropped)
    if not worst.dropped >= STILL:
        yield Missing(Lack.DROPPED, worst.dropped, STILL, worst.brood)


def _one_bin(programme: Programme, leader: Share, bins: Mapping[str, float]) -> Iterator[Missing]:
    if bins and not stands_beside(programme, leader):
        worst = min(bins, key=lambda name: -1.0 if math.isnan(bins[name]) else bins[name])
        if not bins[worst] >= STILL:
            yield Missing(Lack.ONE_BIN, bins[worst], STILL, bin=worst)


def stands_beside(programme: Programme, leader: Share) -> bool:
    """Whether families side by side stand for two bins: they do where the leader has genes."""
    return leader.cause.inherited and side_by_side(programme)


def bins_of(programme: Programme) -> tuple[str, ...]:
    """The substrates on which scored young grew up, in the order of the broods."""
    return tuple(dict.fromkeys(brood.bin for brood in programme.broods if brood.scored))


def dams_with_young(programme: Programme) -> frozenset[str]:
    """Groups of which a dam must have borne scored young, one for each that cannot be another.

    A brood that may be of several groups proves none of them; a bin counts once, since its broods may be of one dam.
    """
    sure = {
        programme.mothers(brood)[0].group
        for brood in programme.broods
        if brood.scored and len(programme.mothers(brood)) == 1
    }
    if not sure and any(brood.scored for brood in programme.broods):
        return frozenset({"unknown"})
    return frozenset(sure)


def side_by_side(programme: Programme) -> bool:
    """Whether a family with the trait and a wild family were reared beside each other, both scored."""
    by_name = {brood.name: brood for brood in programme.broods}
    pairs = [(brood, by_name[brood.beside]) for brood in programme.broods if brood.beside is not None]
    return any(a.scored and b.scored and from_trait(programme, a) != from_trait(programme, b) for a, b in pairs)


def from_trait(programme: Programme, brood: Brood) -> bool:
    """Whether a brood descends from an animal that is odd or shows."""
    waiting = [dam.group for dam in programme.mothers(brood)] + list(programme.pairing(brood.pairing).sires)
    seen: set[str] = set()
    while waiting:
        group = programme.group(waiting.pop())
        if group.look in (Appearance.PARTIAL, Appearance.FULL) or (isinstance(group, Founders) and group.odd):
            return True
        if group.name not in seen:
            seen.add(group.name)
            waiting.extend(programme.parents_of(group))
    return False
