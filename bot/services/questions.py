"""A cross as understood: read, its bins looked up, its parents made, its young ready to be asked about."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from bot.records import Holding, code_key
from bot.services.backgrounds import Background, Beside, background_of, species_of, spelled_system
from bot.services.desk import Desk
from bot.services.drafts import keep
from bot.services.finding import nearest, row_id
from bot.services.heredity import Known, known_of
from bot.services.refusals import (
    BinLabel,
    CrossNotPossible,
    CrossNotRead,
    MixedStated,
    ModelNotPossible,
    NoSuchBin,
    NothingStated,
    Outlived,
    TooCostly,
)
from bot.services.request import Request
from bot.services.species import SpeciesCard
from genetics import (
    CrossFault,
    CrossRefused,
    CrossText,
    Genome,
    ModelRefused,
    NeverHappens,
    NotationError,
    Offspring,
    OutOfRange,
    Parent,
    Problem,
    Role,
    SexSystem,
    Side,
    State,
    Stated,
    TooLarge,
    Trait,
    offspring,
    parent,
    read_cross,
    read_side,
    write_side,
)
from genetics.characters import Scored

ODDS = "odds.cross"
"""The kind of a draft that stands in a button; what was refused of a question is a draft of another kind, and private."""
MOST_TRAITS = 5
"""The most traits in one question: what is answered at once, beside everybody else's questions."""
CODE = re.compile(r"[^\W\d_]{1,12}-?\d{1,6}")
SHORT = 58
"""The longest cross that stands in a button by itself, in characters."""
PLAIN = Beside()
"""Nothing typed beside a cross."""
_NO_GENOME = Genome()


@dataclass(frozen=True, slots=True)
class Question:
    """A cross as understood: the text, both sides with bins looked up, the traits it is about, and its young.

    `traits` are those named and those that make a look with them; `young` may be asked about what is in `scored`.
    `sire` is None in a clonal species.
    """

    text: str
    cross: CrossText
    dam: Side
    sire: Side | None
    labels: Mapping[str, BinLabel]
    traits: tuple[Trait, ...]
    young: Offspring
    background: Background = field(default_factory=lambda: Background((), _NO_GENOME))

    @property
    def scored(self) -> tuple[Scored, ...]:
        """What the young are told apart by."""
        return self.young.traits


async def question_of(desk: Desk, request: Request, text: str, beside: Beside = PLAIN) -> Question:
    """Read a cross and look up the bins it names.

    Raises:
        CrossNotRead, NoSuchBin, NothingStated, MixedStated, TwoSpecies, TraitOfAnother, TooCostly, NoSuchSpecies,
        ShareNotRead, CrossNotPossible, DaughtersDecided, ModelNotPossible: there is no answer.
    """
    async with desk.records.read(request.server, request.actor) as book:
        known = known_of(await book.heredity())
        spelled = spelled_system(text) if "/" in text else SexSystem.UNKNOWN
        cross, lone = _read(text, known, spelled)
        codes = [side.bin_code for side in (cross.dam, cross.sire) if side.bin_code is not None]
        holdings = await book.holdings(codes)
        found = {code_key(h.code) for h in holdings}
        for code in codes:
            if code_key(code) not in found:
                raise NoSuchBin(code=code, nearest=nearest(code, await book.bins()))
    sides = {code_key(code): _held(code, holdings, known) for code in codes}
    dam, sire = (_resolved(side, sides) for side in (cross.dam, cross.sire))
    named = CrossText(dam, sire).traits
    species = species_of(desk, beside, holdings, known, dict.fromkeys([*cross.traits, *named]))
    _refuse_other_system(text, known, species, spelled)
    if lone is not None and (species is None or species.sex_system.value != SexSystem.THELYTOKOUS):
        raise _not_read(known, lone) from lone
    traits = known.concerned(named) if known.relations else named
    if len(traits) > MOST_TRAITS:
        raise TooCostly(TooLarge("traits in one question", len(traits), MOST_TRAITS, MOST_TRAITS, "traits"))
    try:
        background = background_of(known, traits, species, beside, spelled)
        young = young_of(dam, None if lone else sire, background)
    except TooLarge as error:
        raise TooCostly(error) from error
    except (CrossRefused, NeverHappens) as error:
        clonal = isinstance(error, CrossRefused) and error.fault is CrossFault.CLONAL_MALE
        alone = write_side(cross.dam) if clonal else ""
        name = None if species is None else species.name
        raise CrossNotPossible(error, name, alone if 0 < len(alone) <= SHORT else None) from error
    except (ModelRefused, OutOfRange) as error:
        raise ModelNotPossible(error) from error
    labels = {code_key(h.code): BinLabel(h.code, h.bin_name) for h in holdings}
    return Question(text, cross, dam, None if lone else sire, labels, traits, young, background)


def young_of(dam: Side, sire: Side | None, background: Background) -> Offspring:
    """The young of two sides. Raises what `parent` and `offspring` raise."""
    scored = background.scored
    if background.plain:
        return offspring(parent(dam, scored), None if sire is None else parent(sire, scored), scored)
    genome = background.genome
    mother = parent(dam, scored, genome, Role.DAM, background.karyotype)
    father: Parent | None = None
    if genome.system is SexSystem.THELYTOKOUS:
        # A sire that is named is refused with the reason.
        genome.sets(Role.DAM if sire is None else Role.SIRE)
    elif sire is not None:
        father = parent(sire, scored, genome, Role.SIRE)
    return offspring(mother, father, scored)


def _read(text: str, known: Known, system: SexSystem) -> tuple[CrossText, NotationError | None]:
    """The cross; where a mother alone is written, as in a clonal species, also what is wrong with it in any other."""
    genome = Genome(known.groups(known.traits), system) if "/" in text else None
    try:
        return read_cross(text, known.traits, is_code, genome), None
    except NotationError as error:
        if error.problem is Problem.MISSING_TIMES and error.position == len(error.text):
            try:
                return CrossText(read_side(text, known.traits, is_code, genome), Side()), error
            except NotationError:
                pass
        raise _not_read(known, error) from error


def is_code(word: str) -> bool:
    """Whether a word looks like the code of a bin."""
    return CODE.fullmatch(word) is not None


def _not_read(known: Known, error: NotationError) -> CrossNotRead:
    return CrossNotRead(error=error, known=tuple(t.name for t in known.traits))


def _refuse_other_system(text: str, known: Known, species: SpeciesCard | None, spelled: SexSystem) -> None:
    """Chromosomes written in a cross are those of its species, where these are known."""
    stated = SexSystem.UNKNOWN if species is None else SexSystem(species.sex_system.value)
    if SexSystem.UNKNOWN not in (spelled, stated) and stated is not spelled:
        _read(text, known, stated)


def _resolved(side: Side, held: Mapping[str, Side]) -> Side:
    return side if side.bin_code is None else held[code_key(side.bin_code)]


def _held(code: str, holdings: Iterable[Holding], known: Known) -> Side:
    """What a bin's code stands for: what is stated of its founders, if it is the same of all."""
    mine = [h for h in holdings if code_key(h.code) == code_key(code)]
    label = BinLabel(mine[0].code, mine[0].bin_name)
    if not all(h.described for h in mine):
        raise NothingStated(label=label)
    groups: dict[int | None, tuple[int | None, list[tuple[Trait, State, Fraction | None]]]] = {}
    for h in mine:
        _, states = groups.setdefault(h.founder_id, (h.number, []))
        if h.trait_id is not None and h.trait_id in known.by_id and h.state is not None:
            states.append((known.by_id[h.trait_id], h.state, h.chance))
    sides = [(number, Side(tuple(Stated(*one) for one in states))) for number, states in groups.values()]
    if len({frozenset(side.items) for _, side in sides}) > 1:
        raise MixedStated(label=label, kinds=tuple((write_side(side), number) for number, side in sides))
    return sides[0][1]


# ---- what stands for a question in a button


async def reference_of(desk: Desk, request: Request, text: str, beside: Beside = PLAIN) -> str:
    """What stands for a question in a button: the cross itself, or a draft where it is long or more was typed beside it."""
    if len(text) <= SHORT and not beside.values:
        return f"={text}"
    return f"#{await keep(desk, request, ODDS, {'cross': text, **beside.values})}"


async def asked_by(desk: Desk, request: Request, reference: str) -> tuple[str, Beside]:
    """The cross, and what was typed beside it, that a button stands for.

    Raises:
        Outlived: the draft is over a day old.
    """
    if reference.startswith("="):
        return reference[1:], PLAIN
    async with desk.records.read(request.server, request.actor) as book:
        row = await book.shared_draft(row_id(reference.removeprefix("#")), ODDS, request.now)
    if row is None:
        raise Outlived("cross")
    return row.fields["cross"], Beside.of(row.fields)
