"""The young of a cross: shares of classes, carriers, genotypes, and what counts say of the parents."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any, TypeAlias, TypeVar

from genetics.characters import Scored
from genetics.errors import CrossFault, CrossRefused, NeverHappens, OutOfRange
from genetics.groups import groups_of
from genetics.limits import YOUNG
from genetics.loci import Role, Sex
from genetics.pairings import Component, multiplied_out, refuse_classes, refuse_genotypes, reweighted
from genetics.parents import Parent, block_of
from genetics.parts import Parts
from genetics.raising import (
    Draws,
    HowMany,
    at_least,
    at_least_in_broods,
    ceiling,
    how_many,
)
from genetics.rates import Rate, all_exact
from genetics.shares import ClassShare, GenotypeShare, Part
from genetics.traits import Appearance, Dominance, Trait
from genetics.walking import Ask, Cells, Genotypes

Counts: TypeAlias = Mapping[tuple[str | None, ...], int]
One = TypeVar("One", bound=Scored)
_NEVER = -1


@dataclass(frozen=True, slots=True)
class Offspring:
    """The young of one dam and one sire, either of which may be uncertain. Made by `offspring`.

    Shares are exact and mean one young drawn at random. A brood has one dam and (unless said otherwise) one sire: its
    young share the part they come from, so chances about several young go through the parts (`at_least`, `how_many`).
    Where some genotypes live less well, all shares are among the young that live.

    `sex` narrows an answer to daughters or to sons, where the sexes are told apart. `exact` is False where a figure came
    as a float: shares are then the exact consequence of that float and mean no ratio. `phase_unknown` names the linked
    traits whose phase was averaged over.

    >>> from genetics import Dominance
    >>> ember = Trait("ember", "e", Dominance.RECESSIVE)
    >>> het = Parent.of([ember], [(Fraction(1), (1,))])
    >>> from genetics import offspring
    >>> young = offspring(het, het, [ember])
    >>> [(str(group.appearance[0]), str(group.share)) for group in young.classes()]
    [('wild', '3/4'), ('full', '1/4')]
    >>> young.carriers(ember)
    Fraction(2, 3)
    >>> young.how_many(1, Fraction(95, 100), {ember: Appearance.FULL}).see
    11
    """

    _parts: Parts
    phase_unknown: tuple[str, ...] = ()

    # ---- what the cross is

    @property
    def traits(self) -> tuple[Scored, ...]:
        """The traits and characters asked for, in order."""
        return self._parts.layout.scored

    @property
    def sexes(self) -> tuple[Sex | None, ...]:
        """The sexes that are told apart; (None,) where they are not."""
        return self._parts.layout.sexes

    @property
    def exact(self) -> bool:
        """Whether no figure of the cross came as a float."""
        return self._parts.exact

    @property
    def parts(self) -> tuple[Part, ...]:
        """The pairs that the parents may be, with shares that sum to exactly 1. Raises TooLarge."""
        joined = multiplied_out(self._parts.components, self._parts.layout)
        found = []
        for one in joined.pairings:
            others = zip(one.shares[1:], one.sires[1:], strict=True)
            found.append(
                Part(
                    Fraction(one.weight, joined.total),
                    one.dam,
                    one.sires[0] or (),
                    tuple((Fraction(share, joined.whole), sire or ()) for share, sire in others),
                )
            )
        return tuple(found)

    @property
    def dam(self) -> Parent:
        """What is known of the dam alone. After `given`, dam and sire depend on each other: see `parts` for both."""
        return self._parent(Role.DAM)

    @property
    def sire(self) -> Parent:
        """What is known of the (first) sire alone; see `dam`."""
        return self._parent(Role.SIRE)

    def _parent(self, role: Role) -> Parent:
        layout = self._parts.layout
        blocks = []
        for component in self._parts.components:
            found: dict[Genotypes, Fraction] = {}
            for one in component.pairings:
                animal = one.dam if role is Role.DAM else one.sires[0]
                if animal is None:
                    raise CrossRefused(CrossFault.CLONAL_MALE, "sire")
                found[animal] = found.get(animal, Fraction(0)) + Fraction(one.weight, component.total)
            blocks.append(block_of(component.groups, found, True))
        told = role if len(layout.sexes) > 1 or layout.chromosomes is not None else None
        return Parent(layout.scored, layout.genome, told, layout.groups, tuple(blocks), self.exact, self.phase_unknown)

    # ---- shares

    def classes(self, sex: Sex | None = None) -> tuple[ClassShare, ...]:
        """The classes that occur, in the order of the labels (most wild first), character by character.

        Shares sum to exactly 1. Raises TooLarge.
        """
        return self._classes(tuple(range(len(self.traits))), sex)

    def of_trait(self, trait: Scored, sex: Sex | None = None) -> tuple[ClassShare, ...]:
        """The classes of one trait, whatever the others do, in the order of its labels. Raises TraitMissing."""
        return self._classes((self._parts.layout.index(trait),), sex)

    def _classes(self, which: tuple[int, ...], sex: Sex | None) -> tuple[ClassShare, ...]:
        layout = self._parts.layout
        refuse_classes(layout, self._parts.components, which)
        cells, total = self._among(Ask(told=which), sex, "young")
        labels = [layout.characters[at].labels for at in which]
        named = [(tuple([names[at] for names, at in zip(labels, key, strict=True)]), key) for key in sorted(cells)]
        return tuple(ClassShare(looks, Fraction(cells[key], total)) for looks, key in named)

    def ratio(self, sex: Sex | None = None) -> tuple[int, ...]:
        """The classes in smallest whole numbers, in the order of `classes`: 9, 3, 3, 1. Raises TooLarge."""
        shares = [item.share for item in self.classes(sex)]
        common = math.lcm(*(share.denominator for share in shares))
        whole = [share.numerator * (common // share.denominator) for share in shares]
        divisor = math.gcd(*whole)
        return tuple(number // divisor for number in whole)

    def share(self, wanted: Mapping[One, str], sex: Sex | None = None) -> Fraction:
        """The share of young that look so in the traits named, whatever the others do.

        With `sex`, the share of all young that are of that sex *and* look so. Raises TraitMissing.
        """
        self._parts.check_sex(sex)
        spread = self._parts.average(self._ask(wanted))
        counted = zip(spread.by_sex, self._parts.weight_of(sex), strict=True)
        hits = sum(sum(cells.values()) for cells, weight in counted if weight)
        return Fraction(hits, spread.total)

    def share_of(self, sex: Sex) -> Fraction:
        """The share of young of this sex among those that live. Raises CrossRefused where it is not known."""
        return self.share({}, sex)

    def genotypes(
        self, trait: Scored | None = None, given: Mapping[One, str] | None = None, sex: Sex | None = None
    ) -> tuple[GenotypeShare, ...]:
        """The genotypes that occur, of one trait or (None) of all jointly; shares sum to 1.

        given: among the young that look so. Sorted by their writing, wild alleles first.
        Raises TraitMissing, TooLarge, and NeverHappens if no young looks so.
        """
        layout = self._parts.layout
        loci = None if trait is None else layout.characters[layout.index(trait)].loci
        narrowed = layout.groups if loci is None else tuple(one for one in groups_of(loci, layout.genome) if one.loci)
        which = tuple(
            at if loci is None else layout.site(group.loci[0], group.loci[0].name)[0]
            for at, group in enumerate(narrowed)
        )
        refuse_genotypes(self._parts.components, which)
        cells, total = self._among(self._ask(given or {}, groups=which), sex, _said(given or {}))
        found: dict[Genotypes, int] = {}
        for key, weight in cells.items():
            whole = [layout.groups[at] for at in which]
            own = tuple([of.narrowed(one, to) for one, of, to in zip(key, whole, narrowed, strict=True)])
            found[own] = found.get(own, 0) + weight
        ordered = sorted(found.items(), key=lambda item: [str(genotype) for genotype in item[0]])
        return tuple(GenotypeShare(genotypes, Fraction(weight, total)) for genotypes, weight in ordered)

    def copies(
        self, trait: Trait, given: Mapping[One, str] | None = None, sex: Sex | None = None
    ) -> dict[int, Fraction]:
        """How many copies of the trait's allele the young have that look as given (None: all young): shares by number.

        At a penetrance of 0.7 the wild-looking young of two hets are 8/13 het (0.62), 0.09 have two copies unseen.
        Raises TraitMissing, and NeverHappens if no young looks so.
        """
        site = self._parts.layout.site(trait.locus, trait.name)
        cells, total = self._among(self._ask(given or {}, sites=(site,)), sex, _said(given or {}))
        found: dict[int, Fraction] = {}
        for (pair,), weight in cells.items():
            number = list(pair).count(trait.symbol)
            found[number] = found.get(number, Fraction(0)) + Fraction(weight, total)
        return dict(sorted(found.items()))

    def carriers(self, trait: Trait, given: Mapping[One, str] | None = None, sex: Sex | None = None) -> Fraction:
        """P(het, and not showing it | looks as given), for one young drawn at random.

        given: how it looks; None means wild in `trait`, whatever else. 0 for traits that show with one copy, and where
        there is one copy only to have. Raises TraitMissing, and NeverHappens if no young looks so.
        """
        layout = self._parts.layout
        site = layout.site(trait.locus, trait.name)
        if given is None:
            own = layout.of_locus(trait.locus)
            ask, looks = Ask(wanted=((own, layout.characters[own].label(Appearance.WILD)),), sites=(site,)), trait.name
        else:
            ask, looks = self._ask(given, sites=(site,)), _said(given)
        cells, total = self._among(ask, sex, looks)
        if trait.dominance is not Dominance.RECESSIVE:
            return Fraction(0)
        hets = sum(weight for (pair,), weight in cells.items() if len(pair) == 2 and pair.count(trait.symbol) == 1)
        return Fraction(hets, total)

    # ---- broods

    def at_least(
        self,
        k: int,
        n: int,
        wanted: Mapping[One, str],
        *,
        sex: Sex | None = None,
        dams: int = 1,
        one_sire: bool = False,
    ) -> Fraction:
        """P(at least k of n young look so), exact, through the parts: 1 − (1/3 + 2/3·(1/2)^n) for a 2/3 het × visual.

        The n young have the same dam and the same sire, or come from several `dams`, each as likely as the others to be
        the mother of a young. Each dam has a mate of her own, or (`one_sire`) all have the same (first) sire.
        Raises OutOfRange (k up to 1,000, n up to 100,000), TooLarge.
        """
        return at_least(self._draws(wanted, sex, dams, one_sire=one_sire), k, n)

    def at_least_in_broods(self, k: int, broods: Sequence[int], wanted: Mapping[One, str]) -> Fraction:
        """P(at least k in all) over broods of known sizes, each of a dam and a mate of her own. Raises OutOfRange."""
        return at_least_in_broods(self._draws(wanted, None), k, broods)

    def chances(
        self, wanted: Mapping[One, str], sex: Sex | None = None, *, dams: int = 1, one_sire: bool = False
    ) -> tuple[tuple[Fraction, Fraction], ...]:
        """The parts as (probability, share of young that look so in that part), those of the same share added up.

        A brood (of several dams: as for `at_least`) is a draw from one; what is asked of it is asked of each and weighed.

        >>> from genetics import Dominance, offspring
        >>> ember = Trait("ember", "e", Dominance.RECESSIVE)
        >>> maybe = Parent.of([ember], [(Fraction(2, 3), (1,)), (Fraction(1, 3), (0,))])
        >>> young = offspring(maybe, Parent.of([ember], [(1, (2,))]), [ember])
        >>> [(str(chance), str(share)) for chance, share in young.chances({ember: Appearance.FULL})]
        [('1/3', '0'), ('2/3', '1/2')]
        """
        draws = self._draws(wanted, sex, dams, one_sire=one_sire)
        return tuple(
            (Fraction(weight, draws.total), Fraction(hits, draws.per)) for hits, weight in sorted(draws.weights.items())
        )

    def ceiling(self, wanted: Mapping[One, str], sex: Sex | None = None) -> Fraction:
        """The probability that these parents can give such young at all."""
        return ceiling(self._draws(wanted, sex))

    def how_many(
        self,
        k: int,
        confidence: Fraction,
        wanted: Mapping[One, str],
        *,
        sex: Sex | None = None,
        dams: int = 1,
        one_sire: bool = False,
    ) -> HowMany:
        """How many young to see, grown and scored, for at least k that look so; see HowMany, and `at_least` (raises too)."""
        return how_many(self._draws(wanted, sex, dams, one_sire=one_sire), k, confidence)

    # ---- after counts

    def misread(self, error: Rate) -> "Offspring":
        """The same young as a scorer sees them who takes a class of a character for another with this chance."""
        return Offspring(self._parts.misread(error), self.phase_unknown)

    def given(self, counts: Counts, sex: Sex | None = None, error: Rate = 0) -> "Offspring":
        """The same cross after a brood was scored (with that `error`): the parts reweighted by Bayes' theorem, exactly.

        counts: how many young of each joint class (keys as in `classes`; None for what was not scored); all young of
        the one pair, with `sex` all of that sex. What is expected of *further* young of this pair is the result; `dam`,
        `sire` and `parts` say what the parents now are. Raises NeverHappens if these parents cannot give such young,
        OutOfRange for negative or more than 100,000.
        """
        joined, weights, _ = (self.misread(error) if error else self)._weighed(counts, sex)
        after = reweighted(joined, weights, exact=self.exact and all_exact([error]))
        return Offspring(replace(self._parts, components=(after,)), self.phase_unknown)

    def likelihood(self, counts: Counts, sex: Sex | None = None) -> Fraction:
        """P(these young, in one order in which they may come), summed over the parts; arguments as for `given`.

        For comparing explanations of the same counts: the number of orders is the same for all and left out.

        >>> from genetics import Dominance, offspring
        >>> ember = Trait("ember", "e", Dominance.RECESSIVE)
        >>> het = Parent.of([ember], [(1, (1,))])
        >>> offspring(het, het, [ember]).likelihood({("wild",): 2, ("full",): 1})
        Fraction(9, 64)
        """
        joined, weights, whole = self._weighed(counts, sex)
        return Fraction(sum(weights), joined.total * whole)

    def _weighed(self, counts: Counts, sex: Sex | None) -> tuple[Component, list[int], int]:
        """All pairs, their weights times the chance of the counts, and the total that the chances are out of."""
        scored = sum(counts.values())
        if min(counts.values(), default=0) < 0 or scored > YOUNG:
            raise OutOfRange("young counted", str(scored), "0", str(YOUNG))
        self._parts.check_sex(sex)
        asked = [(self._ask_of_class(looks), count) for looks, count in counts.items() if count]
        return self._parts.weighed(asked, sex)

    def one(self, looks: Mapping[One, str], sex: Sex | None = None) -> Parent:
        """One of the young, kept back: its kinds, jointly over all loci, given how it looks and its sex.

        So "from het × het, not visual" at any penetrance is `het_by_het.one({ember: Appearance.WILD})`.
        Raises CrossRefused where the sex decides which parent it can be and is not said, NeverHappens, TooLarge.

        >>> from genetics import Dominance
        >>> ember = Trait("ember", "e", Dominance.RECESSIVE)
        >>> from genetics import offspring
        >>> het = Parent.of([ember], [(1, (1,))])
        >>> offspring(het, het, [ember]).one({ember: Appearance.WILD}).carries(ember, 1)
        Fraction(2, 3)
        """
        layout = self._parts.layout
        if sex is None and len(layout.sexes) > 1:
            raise CrossRefused(CrossFault.ROLE_MISSING, layout.genome.system)
        blocks = []
        for component in self._parts.components:
            # Once the sex is given, components say nothing of each other.
            narrowed = replace(self._parts, components=(component,))
            refuse_genotypes((component,), component.groups)
            ask = replace(self._ask(looks).inside(layout, component.clusters), groups=component.groups)
            cells, total = Offspring(narrowed)._among(ask, sex, _said(looks))
            blocks.append(
                block_of(component.groups, {key: Fraction(weight, total) for key, weight in cells.items()}, True)
            )
        told = sex if sex is not None else layout.sexes[0]
        role = {None: None, Sex.FEMALE: Role.DAM, Sex.MALE: Role.SIRE}[told]
        return Parent(layout.scored, layout.genome, role, layout.groups, tuple(blocks), self.exact, ())

    # ---- inside

    def _ask(self, wanted: Mapping[One, str], **told: tuple[Any, ...]) -> Ask:
        layout = self._parts.layout
        looks = []
        for scored, look in wanted.items():
            at = layout.index(scored)
            # A look that other plain traits have (partial, of a recessive) is no mistake: no young has it.
            never = isinstance(scored, Trait) and look not in layout.characters[at].labels and look in set(Appearance)
            looks.append((at, _NEVER if never else layout.characters[at].label(look)))
        return Ask(wanted=tuple(looks), **told)

    def _ask_of_class(self, looks: tuple[str | None, ...]) -> Ask:
        characters = self._parts.layout.characters
        if len(looks) != len(characters):
            raise NeverHappens(f"a class of {len(looks)} traits")
        wanted = []
        for at, (character, look) in enumerate(zip(characters, looks, strict=True)):
            if look is not None:
                if look not in character.labels:
                    raise NeverHappens(f"{character.name} {look}")
                wanted.append((at, character.label(look)))
        return Ask(wanted=tuple(wanted))

    def _among(self, ask: Ask, sex: Sex | None, said: str) -> tuple[Cells, int]:
        """The answers among the young that the question is about, and what their weights sum to."""
        self._parts.check_sex(sex, conditional=True)
        spread = self._parts.average(ask)
        found: Cells = {}
        for weight, cells in zip(self._parts.weight_of(sex), spread.by_sex, strict=True):
            for key, value in cells.items() if weight else ():
                found[key] = found.get(key, 0) + value
        if not any(found.values()):
            raise NeverHappens(said)
        return found, sum(found.values())

    def _draws(self, wanted: Mapping[One, str], sex: Sex | None, dams: int = 1, *, one_sire: bool = False) -> Draws:
        self._parts.check_sex(sex)
        return self._parts.draws_of_dams(self._ask(wanted), sex, dams, one_sire=one_sire)


def _said(looks: Mapping[One, str]) -> str:
    """What is conditioned on, for an error."""
    return ", ".join(f"{scored.name} {look}" for scored, look in looks.items()) or "young"
