"""Whole programmes out of a simulated truth: a design, a cause and its figures from the priors, and what came of it.

What a keeper does next depends on what is written down and on nothing else. Found broods descend from founders and from
sibs that were taken before they could be read, so that what they are conditioned on is settled before any look is.
"""

import random
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from genetics.evidence.explanations import Cause, Explanation, Figure
from genetics.evidence.programme import Brood, Dam, Founders, Group, Kept, Mated, Pairing, Programme, Sharing, Stock
from genetics.genome import SexSystem
from genetics.loci import Sex
from genetics.traits import Appearance
from tests.support.breeding_world import FULL, PARTIAL, WILD, F, Heredity, M, Truth
from tests.support.breeding_world_broods import Breeding, Plan, Ways, drawn

ATTEMPTS = 400_000
PER_BROOD = frozenset({Figure.STORED_HAD_MALES, Figure.STORED_UNKNOWN})


@dataclass(frozen=True, slots=True)
class World:
    """Where programmes come from.

    causes: what the truth may be, by the priors among them; empty: any. figures: set instead of drawn. ways: departures
    from the model. modifiers: two loci more. found: every first brood is found, and no odd founder is known.
    most: broods of one programme.
    """

    name: str
    causes: tuple[Cause, ...] = ()
    figures: tuple[tuple[Figure, float], ...] = ()
    ways: Ways = field(default_factory=Ways)
    modifiers: bool = False
    found: bool = False
    most: int = 12


@dataclass(slots=True)
class Start:
    """The first steps of a programme. stem: steps that found broods need, in order; later: first broods planned."""

    founders: list[Founders] = field(default_factory=list)
    looked: list[str] = field(default_factory=list)
    pairings: dict[str, Pairing] = field(default_factory=dict)
    stem: list[Plan | Kept] = field(default_factory=list)
    later: list[Plan] = field(default_factory=list)


@dataclass(slots=True)
class Keeper:
    """One who keeps a programme, with all choices drawn from `rng`. No choice looks at genes.

    bins: how many unmarked groups of several there may still be. isolates: share of dams isolated before they could mate.
    """

    rng: random.Random
    world: World
    broods: int = field(init=False)
    system: SexSystem = field(init=False)
    partial: bool = field(init=False)
    daughters: float = field(init=False)
    bins: int = field(init=False)
    isolates: float = field(init=False)
    names: int = 0

    def __post_init__(self) -> None:
        rng = self.rng
        self.broods = rng.randint(2, self.world.most)
        self.system = rng.choice((SexSystem.ZZ_ZW, SexSystem.XX_XY, SexSystem.UNKNOWN))
        self.partial = rng.random() < 0.2
        self.bins = rng.choices((0, 1, 2), (0.6, 0.3, 0.1))[0]
        self.isolates = 1.0 if rng.random() < 0.75 else 0.7
        self.daughters = rng.choice((0.5, 0.7))

    def name(self, kind: str) -> str:
        self.names += 1
        return f"{kind}{self.names}"

    def chance(self, share: float) -> bool:
        return self.rng.random() < share

    def several(self) -> int:
        """Members of a group: mostly one."""
        if not self.bins or not self.chance(0.4):
            return 1
        self.bins -= 1
        return self.rng.choice((2, 2, 3))

    # The first steps

    def start(self) -> Start:
        """Founders, first pairings, broods that were found."""
        start = Start()
        has_odd = not self.world.found and self.chance(0.85)
        sex = self.rng.choice((F, M))
        if has_odd:
            self.odd_start(start, sex)
        else:
            self.found_start(start)
        other = self.founder(start, M if sex is F else F)
        if self.chance(0.5):
            wild = self.founder(start, sex)
            self.plan(start, *((wild, other) if sex is F else (other, wild)))
        return start

    def odd_start(self, start: Start, sex: Sex) -> None:
        look = self.rng.choice((None, FULL, PARTIAL if self.partial else FULL))
        number = 2 if self.chance(0.1) else 1
        odd = Founders(self.name("odd"), sex, number, Stock.HOME, odd=True, look=look)
        start.founders.append(odd)
        if self.chance(0.08):
            start.founders.append(Founders(self.name("odd"), M if sex is F else F, stock=Stock.HOME, odd=True))
        found = self.chance(0.2)
        for at in range(self.rng.randint(1, 3)):
            mate = self.founder(start, M if sex is F else F, plain=found and at == 0)
            dam, sire = (odd.name, mate) if sex is F else (mate, odd.name)
            if found and at == 0:
                start.stem.append(self.plan(start, dam, sire, found=True))
            else:
                self.plan(start, dam, sire)

    def found_start(self, start: Start) -> None:
        """A dam and a sire of the home stock, and a visual among their young or among their grandchildren."""
        ours = [Founders(self.name("h"), s, self.several(), Stock.HOME) for s in (F, M)]
        start.founders += ours
        start.looked += [one.name for one in ours if one.number == 1 and self.chance(0.5)]
        first = self.plan(start, ours[0].name, ours[1].name, found=self.chance(0.6) or self.world.found)
        start.stem.append(first)
        if first.found:
            return
        for sex in (F, M):
            start.stem.append(Kept(self.name("s"), sex, first.brood.name, self.several()))
        dam, sire = (step.name for step in start.stem if isinstance(step, Kept))
        start.stem.append(self.plan(start, dam, sire, found=True))

    def founder(self, start: Start, sex: Sex, *, plain: bool = False) -> str:
        """A mate. plain: counted, of the home stock, and nothing said of it."""
        stock = Stock.HOME if plain or self.chance(0.4) else Stock.AWAY
        if not plain and self.chance(0.06):
            one = Founders(self.name("stock"), sex, None, stock)
        else:
            number = self.several()
            told = 2 / 3 if not plain and self.chance(0.07) else None
            one = Founders(self.name("w"), sex, number, stock, carries=told)
            if number == 1 and self.chance(0.6):
                start.looked.append(one.name)
        start.founders.append(one)
        return one.name

    def plan(self, start: Start, dam: str, sire: str, *, found: bool = False) -> Plan:
        pairing = self.pairing([dam], [sire], [])
        if found:
            # A visual that a stored sire must have brought in is so rare that nobody could draw it.
            pairing = replace(pairing, dams=(Dam(dam, Mated.ISOLATED),))
        start.pairings[pairing.name] = pairing
        plan = self.brood(pairing, found=found)
        if not found:
            start.later.append(plan)
        return plan

    def pairing(self, dams: Sequence[str], sires: Sequence[str], males: Sequence[str]) -> Pairing:
        held = []
        for dam in dams:
            mated = self.rng.choices(
                (Mated.ISOLATED, Mated.HAD_MALES, Mated.UNKNOWN),
                (self.isolates, (1 - self.isolates) / 2, (1 - self.isolates) / 2),
            )[0]
            named = males and mated is not Mated.ISOLATED and self.chance(0.3)
            held.append(Dam(dam, mated, self.rng.choice(males) if named else None))
        how = [Sharing.EACH if self.chance(0.25) else Sharing.ONE for _ in range(2)]
        return Pairing(self.name("P"), tuple(held), tuple(sires), *how)

    def brood(self, pairing: Pairing, *, found: bool = False) -> Plan:
        name = self.name("b")
        mothers = (pairing.dams[0].group,) if len(pairing.dams) > 1 and self.chance(0.3) else ()
        in_bin = self.rng.choice(("A", "B", "C", f"bin of {name}"))
        sexed = self.rng.choices(("all", "none", "visuals"), (0.6, 0.25, 0.15))[0]
        brood = Brood(name, pairing.name, in_bin, (), mothers=mothers)
        return Plan(brood, self.rng.randint(5, 40), sexed, found)

    # What comes after

    def goes_on(self, held: Breeding) -> None:
        """Broods over up to three generations, until there are enough of them."""
        for _ in range(3 * self.broods):
            if len(held.broods) >= self.broods:
                return
            pairing = self.rng.choice(list(held.pairings.values())) if self.chance(0.2) else self.paired(held)
            self.scores(held, self.brood(pairing))

    def scores(self, held: Breeding, plan: Plan) -> None:
        held.breed(plan)
        brood = held.broods[plan.brood.name]
        if not brood.shown and self.chance(self.world.ways.unsaid):
            del held.broods[brood.name]
            del held.litters[brood.name]
            return
        beside = [other.name for other in held.broods.values() if other.bin == brood.bin and other is not brood]
        if beside and self.chance(0.5):
            held.broods[brood.name] = replace(brood, beside=beside[-1])

    def paired(self, held: Breeding) -> Pairing:
        dams, sires = [self.animal(held, F)], [self.animal(held, M)]
        for side, sex in ((dams, F), (sires, M)):
            more = [name for name in self.young_enough(held, sex) if name not in side]
            if more and self.chance(0.04):
                side.append(self.rng.choice(more))
        males = [name for name in self.young_enough(held, M) if held.groups[name].number is not None]
        pairing = self.pairing(dams, sires, males)
        held.pairings[pairing.name] = pairing
        return pairing

    def young_enough(self, held: Breeding, sex: Sex) -> list[str]:
        return [name for name, one in held.groups.items() if one.sex is sex and generation(held, one) <= 2]

    def animal(self, held: Breeding, sex: Sex) -> str:
        there = self.young_enough(held, sex)
        choices = list(self.on_offer(held, sex)) if self.chance(0.6) or not there else []
        if choices:
            shown = [one for one in choices if one[1] is not WILD]
            brood, look, left = self.rng.choice(shown if shown and self.chance(0.5) else choices)
            number = min(left, self.several())
            kept = Kept(self.name("k"), sex, brood, number, None if self.chance(0.1) else look)
            held.keep(kept)
            return kept.name
        if there and self.chance(0.85):
            return self.rng.choice(there)
        new = Founders(self.name("w"), sex, stock=Stock.AWAY)
        held.bring([new])
        return new.name

    def on_offer(self, held: Breeding, sex: Sex) -> list[tuple[str, Appearance, int]]:
        """Broods of the first two generations, a look of that sex or unsexed, and how many may still be kept."""
        offer = []
        for brood in held.broods.values():
            if born_in(held, brood) > 2:
                continue
            for look in Appearance:
                kept = [g for g in held.groups.values() if isinstance(g, Kept) and g.brood == brood.name]
                taken = sum(one.number for one in kept if one.look is look)
                mine = sum(one.number for one in kept if one.look is look and one.sex is sex)
                told = brood.count((look,), sex) - mine
                unsexed = brood.count((look,), None)
                left = min(told + unsexed, brood.count((look,), F) + brood.count((look,), M) + unsexed - taken)
                if left > 0:
                    offer.append((brood.name, look, left))
        return offer


def generation(held: Breeding, group: Group) -> int:
    """0 for founders, else that of the brood it is from."""
    return born_in(held, group.brood) if isinstance(group, Kept) else 0


def born_in(held: Breeding, brood: Brood | str) -> int:
    """1 for young of founders, one more for theirs."""
    name = brood if isinstance(brood, str) else brood.name
    pairing = held.litters[name].pairing
    parents = [dam.group for dam in pairing.dams] + list(pairing.sires)
    return 1 + max(generation(held, held.groups[parent]) for parent in parents)


def left_out(cause: Cause, keeper: Keeper, start: Start) -> bool:
    """Explanations that the records could not tell apart from others, or that the species does not have."""
    if cause is Cause.INCOMPLETE:
        return not keeper.partial
    if cause is Cause.SEX_LINKED:
        return keeper.system is SexSystem.UNKNOWN
    return cause is Cause.EITHER_LOCUS and not any(one.odd for one in start.founders)


def drawn_truth(rng: random.Random, table: Sequence[Explanation], keeper: Keeper, start: Start) -> Truth:
    """A cause from the priors, a variant, and each figure from its grid."""
    rows = [row for row in table if not left_out(row.cause, keeper, start)]
    rows = [row for row in rows if row.cause in keeper.world.causes or not keeper.world.causes]
    row = rng.choices(rows, [row.prior for row in rows])[0]
    # In an order of their own, since that of a set of words differs from run to run.
    figures = {figure: drawn(rng, row.grids[figure]) for figure in Figure if figure in row.grids.keys() - PER_BROOD}
    figures |= {figure: value for figure, value in keeper.world.figures if figure in figures}
    recessive = rng.random() < 0.5
    limited = rng.choice((F, M))
    modifiers = keeper.world.modifiers and Figure.PENETRANCE in figures
    return Truth(row.cause, figures, recessive, limited, keeper.system, keeper.partial, modifiers)


def simulated(rng: random.Random, table: Sequence[Explanation], world: World) -> tuple[Cause, Programme]:
    """The true cause, and the records."""
    keeper = Keeper(rng, world)
    start = keeper.start()
    partly = rng.betavariate(1, 4)
    while True:
        truth = drawn_truth(rng, table, keeper, start)
        row = next(row for row in table if row.cause is truth.cause)
        held = Breeding(rng, Heredity(rng, truth, partly), row.grids, keeper.daughters, world.ways)
        if begun(held, start):
            break
    for name in start.looked:
        held.look_at(name)
    for plan in start.later:
        keeper.scores(held, plan)
    keeper.goes_on(held)
    return truth.cause, records(held, keeper)


def begun(held: Breeding, start: Start) -> bool:
    """Founders and found broods, again and again until all found ones were. False if an odd founder cannot show."""
    told = [one for one in start.founders if one.odd or one.carries is not None or one.number is None]
    parents = {step.brood.pairing for step in start.stem if isinstance(step, Plan)}
    stem = [start.pairings[name] for name in parents]
    founders = [one for one in start.founders if one.odd or any(_in(one.name, pairing) for pairing in stem)]
    # A visual needs a copy among the stem's founders, unless somebody else may have brought it in.
    hopeful = (
        bool(stem)
        and held.truth.cause.inherited
        and held.truth.cause not in (Cause.THRESHOLD, Cause.EITHER_LOCUS)
        and not held.ways.secretly_mated
        and not any(one in told for one in founders)
        and all(dam.mated is Mated.ISOLATED for pairing in stem for dam in pairing.dams)
    )
    for _ in range(ATTEMPTS):
        for kept in (held.animals, held.sires, held.secret, held.litters, held.broods, held.rates, held.groups):
            kept.clear()
        held.pairings = dict(start.pairings)
        if not held.bring(founders, hopeful=hopeful):
            return False
        if all(_step(held, step) for step in start.stem):
            rest = [one for one in start.founders if one not in founders]
            return held.bring(rest)
    raise RuntimeError(f"{held.truth.cause} was not found in {ATTEMPTS} attempts")


def _in(name: str, pairing: Pairing) -> bool:
    return name in pairing.sires or any(dam.group == name for dam in pairing.dams)


def _step(held: Breeding, step: Plan | Kept) -> bool:
    if isinstance(step, Kept):
        held.keep(step)
        return True
    return held.breed(step) or not step.found


def records(held: Breeding, keeper: Keeper) -> Programme:
    """What the book holds."""
    broods = tuple(held.broods.values())
    used = {brood.pairing for brood in broods}
    return Programme(
        tuple(held.groups.values()),
        tuple(pairing for pairing in held.pairings.values() if pairing.name in used),
        broods,
        partial=keeper.partial,
        system=keeper.system,
        daughters=keeper.daughters,
    )
