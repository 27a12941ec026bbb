"""A cross as understood: read, its bins looked up, its parents made, its young ready to be asked about."""

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from bot.records import code_key
from bot.services.backgrounds import Background, Beside, background_of, species_of, spelled_system
from bot.services.desk import Desk
from bot.services.drafts import keep
from bot.services.finding import nearest, row_id
from bot.services.heredity import Known, known_of
from bot.services.parentage import Held
from bot.services.refusals import CrossNotRead, NoSuchBin, Outlived, TooCostly
from bot.services.refusals_crosses import CannotCome, LookNotOwn
from bot.services.refusals_traits import CrossNotPossible, ModelNotPossible
from bot.services.request import Request
from bot.services.species import SpeciesCard
from bot.services.species_cards import card_of
from bot.services.trait_models import USUAL
from genetics import (
    CrossFault,
    CrossRefused,
    CrossText,
    Genome,
    HowMany,
    KeptBack,
    MixedKinds,
    ModelRefused,
    NeverHappens,
    NotationError,
    Offspring,
    OutOfRange,
    Problem,
    Role,
    Sex,
    SexSystem,
    Side,
    TooLarge,
    Trait,
    TraitMissing,
    offspring,
    parent,
    read_cross,
    read_side,
    write_side,
)
from genetics import young_of as made
from genetics.characters import Scored
from genetics.parts import NOBODY_LIVES

ODDS = "odds.cross"
"""The kind of a draft that stands in a button; what was refused of a question is a draft of another kind, and private."""
MOST_TRAITS = 5
"""The most traits in one question: what is answered at once, beside everybody else's questions."""
MOST_WORK = 6_000_000
"""Of `_work` (judgement: about a tenth of a second)."""
CODE = re.compile(r"[^\W\d_]{1,12}-?\d{1,6}")
SHORT = 58
"""The longest cross that stands in a button by itself, in characters."""
_SURELY_FEW = 2
"""So many plain traits have few enough classes whatever the parents are."""
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
    held: Held
    traits: tuple[Trait, ...]
    young: Offspring
    background: Background = field(default_factory=lambda: Background((), _NO_GENOME))

    @property
    def one_sire(self) -> bool:
        """Whether all dams have the same male: one animal is stated, and no bin or kinds to choose from."""
        typed = self.cross.sire
        return typed.number == 1 and typed.bin_code is None and not isinstance(typed.drawn, MixedKinds)

    def how_many(self, k: int, confidence: Fraction, wanted: Mapping[Scored, str]) -> HowMany:
        """How many young to see, of all dams together. Raises TooCostly."""
        self._refuse_dams(wanted)
        try:
            return self.young.how_many(k, confidence, wanted, dams=self.dam.number, one_sire=self.one_sire)
        except (TooLarge, OutOfRange) as error:
            raise TooCostly(error) from error

    def _refuse_dams(self, wanted: Mapping[Scored, str]) -> None:
        """Refuse more dams than can be reckoned with at once, before that begins."""
        able = [share for _, share in self.young.chances(wanted) if share] if self.dam.number > 1 else []
        if able and _work(self.dam.number, able) > MOST_WORK:
            fits = max(dams for dams in range(1, self.dam.number) if dams == 1 or _work(dams, able) <= MOST_WORK)
            raise TooCostly(TooLarge("terms", _work(self.dam.number, able), MOST_WORK, fits, "dams"))

    def at_least(self, k: int, n: int, wanted: Mapping[Scored, str]) -> Fraction:
        """P(at least k of n young look so), of all dams together. Raises TooCostly."""
        try:
            return self.young.at_least(k, n, wanted, dams=self.dam.number, one_sire=self.one_sire)
        except TooLarge as error:
            raise TooCostly(error) from error

    def chances(self, wanted: Mapping[Scored, str]) -> tuple[tuple[Fraction, Fraction], ...]:
        """The cases that the parents may be, of all dams together, as (probability, share of young that look so).

        Raises TooCostly.
        """
        try:
            return self.young.chances(wanted, dams=self.dam.number, one_sire=self.one_sire)
        except TooLarge as error:
            raise TooCostly(error) from error

    def crossed(self, dam: Side, sire: Side | None) -> "Offspring":
        """The young of other parents with the same background. Raises as `question_of`."""
        return _young(self.cross, dam, sire, self.background)

    @property
    def scored(self) -> tuple[Scored, ...]:
        """What the young are told apart by."""
        return self.young.traits


def _work(dams: int, able: Sequence[Fraction]) -> int:
    """About how long the numbers are that prove how many young of several dams to see, over all cases."""
    least = min(able) / dams
    return int((dams * len(able) + 1) * 3 / least * max(1.0, math.log2(1 / least)))


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
        codes = list(dict.fromkeys((*cross.dam.bin_codes, *cross.sire.bin_codes)))
        holdings = await book.holdings(codes)
        found = {code_key(h.code) for h in holdings}
        for code in codes:
            if code_key(code) not in found:
                raise NoSuchBin(code=code, nearest=nearest(code, await book.bins()))
        held = Held(holdings, known.by_id)
        resolved = held.resolved(cross)
        named = resolved.traits
        species = species_of(desk, beside, holdings, known, dict.fromkeys([*cross.traits, *named]))
        # Where nothing but dominance is said of the traits, the answer is the same however sex is inherited.
        if species is not None and (lone or "/" in text or any(known.model(each) != USUAL for each in named)):
            species = await card_of(desk, book, species.key)
    _refuse_other_system(text, known, species, spelled)
    if lone is not None and (species is None or species.sex_system.value != SexSystem.THELYTOKOUS):
        raise _not_read(known, lone) from lone
    traits = known.concerned(named) if known.relations else named
    if len(traits) > MOST_TRAITS:
        raise TooCostly(TooLarge("traits in one question", len(traits), MOST_TRAITS, MOST_TRAITS, "traits"))
    sire = None if lone else resolved.sire
    try:
        background = background_of(known, traits, species, beside, text)
    except (ModelRefused, OutOfRange) as error:
        raise ModelNotPossible(error) from error
    young = _young(cross, resolved.dam, sire, background)
    return Question(text, cross, resolved.dam, sire, held, traits, young, background)


def _young(cross: CrossText, dam: Side, sire: Side | None, background: Background) -> Offspring:
    try:
        young = young_of(dam, sire, background)
        plain = background.plain and all(isinstance(one, Trait) for one in background.scored)
        if not plain or len(background.scored) > _SURELY_FEW:
            # Finds out here whether there are too many classes, no young that live, or a share that is not stated.
            young.classes()
        return young
    except TooLarge as error:
        raise TooCostly(error) from error
    except TraitMissing as error:
        raise LookNotOwn(error.trait) from error
    except NeverHappens as error:
        if error.what != NOBODY_LIVES:
            reason = _not_passed(CrossText(dam, sire or Side()), background)
            if reason is not None:
                raise CrossNotPossible(reason, background.grounds.species) from error
            raise CannotCome(error.what) from error
        raise CrossNotPossible(error, background.grounds.species) from error
    except CrossRefused as error:
        alone = write_side(cross.dam) if error.fault is CrossFault.CLONAL_MALE else ""
        raise CrossNotPossible(error, background.grounds.species, alone if 0 < len(alone) <= SHORT else None) from error
    except (ModelRefused, OutOfRange) as error:
        raise ModelNotPossible(error) from error


def _not_passed(cross: CrossText, background: Background) -> CrossRefused | None:
    """Why a young kept back cannot show what it is said to show: its parent does not pass that on to that sex."""
    for side, sex in ((cross.dam, Sex.FEMALE), (cross.sire, Sex.MALE)):
        for kept in (item for item in side.items if isinstance(item, KeptBack)):
            for role, one in ((Role.DAM, kept.dam), (Role.SIRE, kept.sire)):
                has = {item.trait for item in one.stated}.union(*(item.traits for item in one.spelled))
                for trait in (trait for trait, _ in kept.looks if trait in has):
                    try:
                        background.genome.require_passed(trait.locus, role, sex)
                    except CrossRefused as reason:
                        return reason
    return None


def young_of(dam: Side, sire: Side | None, background: Background) -> Offspring:
    """The young of two sides. Raises what `parent` and `offspring` raise."""
    scored = background.scored
    genome = background.genome
    if genome.system is SexSystem.THELYTOKOUS or sire is None:
        # A sire that is named is refused with the reason.
        genome.sets(Role.DAM if sire is None else Role.SIRE)
        return offspring(parent(dam, scored, genome, Role.DAM), None, scored)
    return made(CrossText(dam, sire), scored, genome, background.karyotype)


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
