"""How far two traits lie apart: the recombination fraction from the young of double hets, of one cross or several jointly."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product

from bot.services.desk import Desk
from bot.services.observed_text import Looks, read_observed
from bot.services.questions import Question, question_of
from bot.services.refusals import WordNotKnown
from bot.services.refusals_crosses import NoRecombination, Unsuited
from bot.services.request import Request
from genetics import (
    Appearance,
    Dominance,
    KeptBack,
    LinkageCounts,
    Parent,
    Role,
    Side,
    State,
    Trait,
    linkage_differs,
    recombination,
)
from genetics.linkage_estimate import Mating, Recombination
from genetics.loci import Where

TOGETHER, APART = "together", "apart"
PHASES = (TOGETHER, APART)
"""How two traits came into a double het: both from one of its parents, or one from each."""
_PHASE_WORDS = {
    **dict.fromkeys((TOGETHER, "coupling", "cis", "one parent"), True),
    **dict.fromkeys((APART, "repulsion", "trans", "one each"), False),
}
_MOST_FAMILIES = 6


@dataclass(frozen=True, slots=True)
class Family:
    """One cross with its young, as typed; `phase` is a word of `PHASES`, or empty if it is not known."""

    cross: str
    observed: str
    phase: str = ""


@dataclass(frozen=True, slots=True)
class Counted:
    """A cross as counted: the data, which parent alone is the double het (None: both), and how its phase is known.

    `together`: whether the two traits are taken to have come from one parent. `stated`: somebody said so; else the
    likelier phase is taken.
    """

    data: LinkageCounts
    het: Role | None
    together: bool
    stated: bool


@dataclass(frozen=True, slots=True)
class Distance:
    """What the young say of two traits.

    `other` is the log10 by which the likeliest other choice of the phases that nobody stated is less likely; None if all
    are stated. `dams`, `sires` and `differ` (p) compare test crosses with the double het on either side, if both are there.
    """

    traits: tuple[Trait, Trait]
    families: tuple[Counted, ...]
    found: Recombination
    other: float | None
    dams: Recombination | None = None
    sires: Recombination | None = None
    differ: float | None = None

    @property
    def total(self) -> int:
        """All young."""
        return sum(one.data.total for one in self.families)


@dataclass(frozen=True, slots=True)
class _Read:
    """A cross before its phase is settled: counts in the order of the two traits, and what is known of the phase."""

    counts: tuple[int, ...]
    doses: tuple[bool, bool]
    het: Role | None
    together: bool | None


async def distance_of(desk: Desk, request: Request, families: Sequence[Family]) -> Distance:
    """The recombination fraction between the two traits of these crosses, all of them together.

    Raises:
        NoRecombination: a cross says nothing of it. WordNotKnown: a phase. As `observed_of` else.
    """
    read: list[_Read] = []
    traits: tuple[Trait, Trait] | None = None
    for family in families[:_MOST_FAMILIES]:
        question = await question_of(desk, request, family.cross)
        mine = _two_traits(question)
        if traits is not None and set(mine) != set(traits):
            raise NoRecombination(Unsuited.OTHER_TRAITS, family.cross)
        traits = traits or mine
        read.append(_read(question, traits, family))
    if traits is None:
        raise NoRecombination(Unsuited.TRAITS, "")
    return estimated(traits, read)


def estimated(traits: tuple[Trait, Trait], read: Sequence[_Read]) -> Distance:
    """The likeliest fraction, with the likeliest phases where nobody stated them."""
    flipped = sum(trait.dominance is Dominance.DOMINANT for trait in traits) % 2 == 1
    options = [(True, False) if one.together is None else (one.together,) for one in read]
    ranked = []
    for phases in product(*options):
        families = tuple(_counted(one, together, flipped) for one, together in zip(read, phases, strict=True))
        ranked.append((recombination([one.data for one in families]), families))
    ranked.sort(key=lambda pair: -pair[0].log_likelihood)
    found, families = ranked[0]
    other = found.lod - ranked[1][0].lod if len(ranked) > 1 else None
    sexes = {role: [one.data for one in families if one.het is role] for role in Role}
    distance = Distance(traits, families, found, other)
    if not (sexes[Role.DAM] and sexes[Role.SIRE]):
        return distance
    return replace(
        distance,
        dams=recombination(sexes[Role.DAM]),
        sires=recombination(sexes[Role.SIRE]),
        differ=linkage_differs(sexes[Role.DAM], sexes[Role.SIRE]),
    )


def _counted(one: _Read, together: bool, flipped: bool) -> Counted:
    coupling = together != flipped
    if one.het is None:
        mating = Mating.F2_COUPLING if coupling else Mating.F2_REPULSION
    else:
        mating = Mating.TEST_COUPLING if coupling else Mating.TEST_REPULSION
    return Counted(LinkageCounts(one.counts, mating, one.doses), one.het, together, one.together is not None)


def _two_traits(question: Question) -> tuple[Trait, Trait]:
    scored = question.scored
    if len(scored) != 2 or len(question.traits) != 2:
        raise NoRecombination(Unsuited.TRAITS, question.text)
    one, other = scored
    if not isinstance(one, Trait) or not isinstance(other, Trait) or one.locus == other.locus:
        raise NoRecombination(Unsuited.MODEL, question.text)
    if not one.locus.where is other.locus.where is Where.AUTOSOME:
        raise NoRecombination(Unsuited.MODEL, question.text)
    return one, other


def _read(question: Question, traits: tuple[Trait, Trait], family: Family) -> _Read:
    sire = question.sire
    if sire is None or question.dam.store is not None or sire.number > 1:
        raise NoRecombination(Unsuited.PARENTS, question.text)
    parents = {Role.DAM: (question.young.dam, question.dam), Role.SIRE: (question.young.sire, sire)}
    copies = {role: _copies(known, traits, question.text) for role, (known, _) in parents.items()}
    hets = [role for role, own in copies.items() if own == (1, 1)]
    if len(hets) == 1:
        mate = copies[Role.SIRE if hets[0] is Role.DAM else Role.DAM]
        if not all(_tells(trait, number) for trait, number in zip(traits, mate, strict=True)):
            raise NoRecombination(Unsuited.PARENTS, question.text)
    elif not hets:
        raise NoRecombination(Unsuited.PARENTS, question.text)
    phases = {_phase(*parents[role], traits) for role in hets} - {None}
    said = _said_phase(family.phase)
    if said is not None:
        phases.add(said)
    if len(phases) > 1:
        raise NoRecombination(Unsuited.PHASES, question.text)
    het = hets[0] if len(hets) == 1 else None
    expected = [tuple(one.looks) for one in question.young.classes()]
    scored = read_observed(family.observed, question.scored, expected)
    order = [question.scored.index(trait) for trait in traits]
    ordered: dict[Looks, int] = {(looks[order[0]], looks[order[1]]): number for looks, number in scored.counts.items()}
    counts = tuple(_by_look(ordered, traits, copies, het, question.text))
    doses = (False, False) if het is not None else tuple(one.dominance is Dominance.INCOMPLETE for one in traits)
    return _Read(counts, (doses[0], doses[1]), het, next(iter(phases), None))


def _said_phase(text: str) -> bool | None:
    typed = " ".join(text.casefold().split())
    if not typed:
        return None
    if typed not in _PHASE_WORDS:
        raise WordNotKnown(what="phase", text=text, known=PHASES)
    return _PHASE_WORDS[typed]


def _tells(trait: Trait, copies: int) -> bool:
    """Whether a mate with so many copies lets every gamete of the double het be read."""
    if trait.dominance is Dominance.INCOMPLETE:
        return copies in (0, 2)
    return copies == (2 if trait.dominance is Dominance.RECESSIVE else 0)


def _copies(parent: Parent, traits: tuple[Trait, Trait], text: str) -> tuple[int, int]:
    """How many copies of each trait's allele a parent has, which must be known."""
    found = []
    for trait in traits:
        sure = [number for number in (0, 1, 2) if parent.carries(trait, number) == 1]
        if not sure:
            raise NoRecombination(Unsuited.UNCERTAIN, text)
        found.append(sure[0])
    return found[0], found[1]


def _phase(parent: Parent, side: Side, traits: tuple[Trait, Trait]) -> bool | None:
    """Whether the two came into a double het from one parent, as far as its own parents or its spelling say."""
    drawn = side.drawn
    if isinstance(drawn, KeptBack):
        shown = [{item.trait for item in one.stated if _pure(item.state)} for one in (drawn.dam, drawn.sire)]
        if all(one.items == one.stated for one in (drawn.dam, drawn.sire)) and any(shown):
            each = [sum(trait in one for trait in traits) for one in shown]
            return True if sorted(each) == [0, 2] else False if each == [1, 1] and shown[0] != shown[1] else None
    if not any(trait.locus in spelled.loci for spelled in side.spelled for trait in traits):
        return None
    for group in parent.groups:
        if all(trait.locus in group.loci for trait in traits):
            at = parent.groups.index(group)
            genotype = parent.kinds[0][1][at]
            places = [group.loci.index(trait.locus) for trait in traits]
            first = [genotype.first[place] == trait.symbol for place, trait in zip(places, traits, strict=True)]
            return first[0] == first[1]
    return None


def _pure(state: State) -> bool:
    return state in (State.VISUAL, State.HOMOZYGOUS)


def _by_look(
    counts: Mapping[Looks, int],
    traits: tuple[Trait, Trait],
    copies: Mapping[Role, tuple[int, int]],
    het: Role | None,
    text: str,
) -> Iterator[int]:
    """The counts in the order of `LinkageCounts`, the first trait varying slowest."""
    mate = None if het is None else copies[Role.SIRE if het is Role.DAM else Role.DAM]
    own = [_order(trait, None if mate is None else mate[at]) for at, trait in enumerate(traits)]
    wanted = [(one, other) for one in own[0] for other in own[1]]
    if any(number and looks not in wanted for looks, number in counts.items()):
        raise NoRecombination(Unsuited.IMPOSSIBLE, text)
    yield from (counts.get(looks, 0) for looks in wanted)


def _order(trait: Trait, mate: int | None) -> tuple[Appearance, ...]:
    """The looks at one locus: without and with the allele that is counted, or by its copies where doses show in an F2."""
    wild, partial, full = Appearance
    if trait.dominance is Dominance.RECESSIVE:
        return wild, full
    if trait.dominance is Dominance.DOMINANT:
        return full, wild
    if mate is None:
        return wild, partial, full
    return (wild, partial) if mate == 0 else (partial, full)
