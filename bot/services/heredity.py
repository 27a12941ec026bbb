"""What a book says of inheritance, as the science has it: traits with their loci, the map, and what young are scored for."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from bot.records import Dominance, Heredity, RelationKind, RelationRow, TraitRow
from bot.services.refusals_traits import InheritanceOpen, Uneven
from bot.services.trait_models import (
    USUAL,
    Doses,
    Linkage,
    Series,
    Together,
    TraitModel,
    Vigour,
    read_linkage,
    read_model,
    read_series,
    read_together,
)
from genetics import (
    Character,
    Genome,
    LinkageGroup,
    Locus,
    ModelFault,
    ModelRefused,
    Sex,
    Trait,
    Where,
    acting_together,
    character,
    series,
)
from genetics.characters import VIGOUR, Row, Scored, all_rows, write_row
from genetics.genome import distinct_loci
from genetics.rates import Rate, exactly
from genetics.words import WILD_ALLELE


@dataclass(frozen=True, slots=True)
class Relation:
    """What several traits are to each other; `looks` are the names of what they make together."""

    id: int
    name: str
    traits: tuple[Trait, ...]
    looks: tuple[str, ...]
    says: Linkage | Series | Together


@dataclass(frozen=True, slots=True)
class Known:
    """The traits of a book with their loci, and what is known of each beyond its dominance.

    `by_id` finds a trait by its row; `rows` finds the row. `models` holds those that are not as usual. `broken` are
    relations that contradict what the book says of their members by now, with the reason; other traits can do without.
    """

    traits: tuple[Trait, ...]
    by_id: Mapping[int, Trait]
    rows: Mapping[Trait, TraitRow]
    models: Mapping[Trait, TraitModel]
    relations: tuple[Relation, ...]
    broken: tuple[tuple[Relation, ModelRefused], ...] = ()

    def model(self, trait: Trait) -> TraitModel:
        """How a trait is inherited and shown beyond its dominance."""
        return self.models.get(trait, USUAL)

    def relations_of(self, traits: Iterable[Trait]) -> tuple[Relation, ...]:
        """Every relation that one of the traits is in."""
        wanted = set(traits)
        return tuple(one for one in self.relations if wanted.intersection(one.traits))

    def groups(self, traits: Iterable[Trait]) -> tuple[LinkageGroup, ...]:
        """The linkage groups in which two or more of these traits' loci lie. Raises ModelRefused."""
        loci = {trait.locus for trait in traits}
        found = []
        for relation in self.relations:
            if isinstance(relation.says, Linkage):
                group = linkage_group(relation.traits, relation.says)
                if len(loci.intersection(group.loci)) > 1:
                    found.append(group)
        return tuple(found)

    def scored(self, traits: Sequence[Trait]) -> tuple[Scored, ...]:
        """What young are told apart by, if these traits are in the cross, in their order. Raises ModelRefused.

        A trait that nothing more is said of is scored as it is; one of a series, or one that makes a look with others,
        by what they make together. Raises InheritanceOpen: of one of them nobody knows yet how it is inherited.
        """
        unknown = tuple(trait.name for trait in traits if self.model(trait).open)
        if unknown:
            raise InheritanceOpen(unknown)
        for relation, reason in self.broken:
            if not set(traits).isdisjoint(relation.traits):
                raise reason
        found: dict[str, Scored] = {}
        for trait in traits:
            shared = [one for one in self.relations if trait in one.traits and not isinstance(one.says, Linkage)]
            made = [one for one in shared if isinstance(one.says, Together)] or shared
            for one in made:
                if one.name not in found:
                    found[one.name] = made_together(one.name, one.traits, one.looks, one.says, self.of(one))
            if not made:
                model = self.model(trait)
                found[trait.name] = trait if model is USUAL else by_itself(trait, model)
        return tuple(found.values())

    def concerned(self, traits: Sequence[Trait]) -> tuple[Trait, ...]:
        """These traits, and those with which they make a look."""
        more = [
            other
            for one in self.relations_of(traits)
            if isinstance(one.says, Together | Series)
            for other in one.traits
        ]
        return tuple(dict.fromkeys([*traits, *more]))

    def of(self, relation: Relation) -> tuple[TraitModel, ...]:
        """The models of the members of a relation, in its order."""
        return tuple(self.model(trait) for trait in relation.traits)


def trait_of(row: TraitRow) -> Trait:
    """The trait that a row of the book stands for, whatever other traits there are."""
    return _trait(row.name, row.symbol, row.dominance, read_model(row.model).where)


@lru_cache(maxsize=4096)
def _trait(name: str, symbol: str, dominance: Dominance, where: Where | Locus) -> Trait:
    # A trait checks its words when it is made. A question names two traits, but reads all that its book has.
    return Trait(name, symbol, dominance, where)


def known_of(heredity: Heredity) -> Known:
    """A book's traits as the science has them."""
    by_id = {row.id: trait_of(row) for row in heredity.traits}
    broken: dict[int, ModelRefused] = {}
    for relation in heredity.relations:
        if relation.kind is RelationKind.SERIES:
            members = [by_id[one] for one in relation.members]
            try:
                alleles = in_series(_name(relation, members), members, read_series(relation.body))
            except ModelRefused as error:
                # An undo may put back what a series was not made for.
                broken[relation.id] = error
            else:
                by_id.update(zip(relation.members, alleles, strict=True))
    rows = {by_id[row.id]: row for row in heredity.traits}
    relations = [_relation(row, by_id) for row in heredity.relations]
    return Known(
        traits=tuple(by_id.values()),
        by_id=by_id,
        rows=rows,
        models={trait: read_model(row.model) for trait, row in rows.items() if row.model is not None},
        relations=tuple(one for one in relations if one.id not in broken),
        broken=tuple((one, broken[one.id]) for one in relations if one.id in broken),
    )


def require_sound(heredity: Heredity, touched: Iterable[int]) -> Known:
    """The same, if nothing that is said of some traits (by id) contradicts what they are to others.

    Raises:
        ModelRefused, OutOfRange: what the traits are, or are to each other, cannot be.
        Uneven: a trait that does not always show makes a look with others.
    """
    known = known_of(heredity)
    traits = {known.by_id[one] for one in touched}
    for relation, reason in known.broken:
        if not traits.isdisjoint(relation.traits):
            raise reason
    for relation in known.relations_of(traits):
        if not isinstance(relation.says, Linkage):
            _require_even(known, relation)
            made_together(relation.name, relation.traits, relation.looks, relation.says, known.of(relation))
    Genome(tuple(linkage_group(one.traits, one.says) for one in known.relations if isinstance(one.says, Linkage)))
    for trait in traits:
        by_itself(trait, known.model(trait))
    return known


def _require_even(known: Known, relation: Relation) -> None:
    """Whoever makes a look with others shows as they do."""
    models = known.of(relation)
    differ = len({model.shown_in for model in models}) > 1
    for trait, model in zip(relation.traits, models, strict=True):
        sometimes = model.penetrance != 1 or model.phenocopies
        if (differ and model.shown_in) or (sometimes and isinstance(relation.says, Together)):
            raise Uneven(trait=trait.name, name=relation.name)


def in_series(name: str, members: Sequence[Trait], says: Series) -> list[Trait]:
    """Traits as alleles of one locus of this name, the most dominant first.

    Raises ModelRefused: their dominance contradicts the order, or they lie on different chromosomes.
    """
    places = {member.locus.where for member in members}
    if len(places) > 1:
        raise ModelRefused(members[-1].name, ModelFault.OTHER_CHROMOSOME, members[-1].locus.where)
    symbols = [member.symbol for member in members]
    order = (*symbols[: says.wild], WILD_ALLELE, *symbols[says.wild :])
    locus = Locus(name, (WILD_ALLELE, *symbols), places.pop(), order)
    return [_trait(one.name, one.symbol, one.dominance, locus) for one in members]


def _relation(row: RelationRow, by_id: Mapping[int, Trait]) -> Relation:
    traits = tuple(by_id[one] for one in row.members)
    return Relation(row.id, _name(row, traits), traits, row.looks, _said(row))


def _said(row: RelationRow) -> Linkage | Series | Together:
    if row.kind is RelationKind.LINKED:
        return read_linkage(row.body)
    return read_series(row.body) if row.kind is RelationKind.SERIES else read_together(row.body)


def _name(row: RelationRow, members: Sequence[Trait]) -> str:
    return row.name or " and ".join(member.name for member in members)


def linkage_group(traits: Sequence[Trait], says: Linkage) -> LinkageGroup:
    """Traits as loci on one chromosome. Raises ModelRefused."""
    loci = tuple(trait.locus for trait in traits)
    sire = None if says.sire is None else tuple(gap.rate for gap in says.sire)
    return LinkageGroup(loci, tuple(gap.rate for gap in says.dam), sire)


# ---- what young are scored for


@lru_cache(maxsize=1024)
def by_itself(trait: Trait, model: TraitModel) -> Scored:
    """A trait as it shows under its model. Raises ModelRefused, OutOfRange."""
    if model.usual_looks and not model.lives and not model.week:
        return trait
    one = character(trait)
    if model.phenocopies:
        one = one.with_phenocopies(model.phenocopies)
    if model.penetrance != 1:
        one = one.with_penetrance(model.penetrance)
    if model.shown_in is not None:
        one = one.limited_to(model.shown_in)
    return _living(one, (trait,), (model,)).readable_from(model.week)


def made_together(
    name: str,
    traits: Sequence[Trait],
    looks: Sequence[str],
    says: Series | Together | Linkage,
    models: Sequence[TraitModel],
) -> Character:
    """The look that several traits make. Raises ModelRefused, OutOfRange."""
    if isinstance(says, Series):
        one = series(name, traits[0].locus, {trait.symbol: trait.name for trait in traits})
        copies = {trait.name: model.phenocopies for trait, model in zip(traits, models, strict=True)}
        if any(copies.values()):
            one = one.with_phenocopies(copies)
        shown = {trait.name: model.penetrance for trait, model in zip(traits, models, strict=True)}
        if any(rate != 1 for rate in shown.values()):
            one = one.with_penetrance(shown)
    elif isinstance(says, Together) and says.kind is not None:
        one = acting_together(name, says.kind, traits[0], traits[1], looks)
    elif isinstance(says, Together):
        one = _by_rules(name, traits, looks, says.rules)
    else:
        raise ModelRefused(name, ModelFault.LABELS, "")
    for sex in Sex:
        if any(model.shown_in is sex for model in models):
            one = one.limited_to(sex)
    return _living(one, traits, models).readable_from(max(model.week for model in models))


def _by_rules(
    name: str, traits: Sequence[Trait], looks: Sequence[str], rules: Sequence[tuple[Doses, int]]
) -> Character:
    loci = distinct_loci(trait.locus for trait in traits)
    if len(loci) < len(traits):
        raise ModelRefused(name, ModelFault.LOCUS_TWICE, loci[-1].name)
    table: dict[Row, tuple[Rate, ...]] = {}
    for row in all_rows(loci):
        doses = [pair.count(trait.symbol) for trait, pair in zip(traits, row, strict=True)]
        shown = next((look for wanted, look in rules if _fits(doses, wanted)), None)
        if shown is None:
            raise ModelRefused(name, ModelFault.TABLE_GAP, write_row(row))
        table[row] = tuple(int(at == shown) for at in range(len(looks)))
    return Character(name, loci, tuple(looks), table)


def _fits(doses: Sequence[int], wanted: Doses) -> bool:
    return all(want is None or want == dose for dose, want in zip(doses, wanted, strict=True))


def _living(one: Character, traits: Sequence[Trait], models: Sequence[TraitModel]) -> Character:
    """A character whose genotypes live as well as all of its traits let them: several figures multiply."""
    if not any(model.lives for model in models):
        return one
    lives: dict[Sex, dict[Row, Rate]] = {sex: {} for sex in Sex}
    for sex, found in lives.items():
        for row in all_rows(one.loci):
            rate = Fraction(1)
            for trait, model in zip(traits, models, strict=True):
                copies = row[one.loci.index(trait.locus)].count(trait.symbol)
                rate *= _rate(model.lives, copies, sex)
            found[row] = exactly("viability", rate, VIGOUR)
    for sex, found in lives.items():
        one = one.with_viability({write_row(row): rate for row, rate in found.items()}, sex)
    return one


def _rate(lives: Sequence[Vigour], copies: int, sex: Sex) -> Fraction:
    """What is said of this sex goes before what is said of both."""
    fitting = [one for one in lives if one.copies == copies and one.sex in (None, sex)]
    fitting.sort(key=lambda one: one.sex is None)
    return fitting[0].rate if fitting else Fraction(1)


def sexes_matter(scored: Iterable[Scored]) -> bool:
    """Whether daughters and sons of one genotype look or live differently, or inherit differently."""
    return any(_is_sexual(one) for one in scored)


def _is_sexual(one: Scored) -> bool:
    loci = (one.locus,) if isinstance(one, Trait) else one.loci
    if any(locus.where not in (Where.AUTOSOME, Where.CYTOPLASM) for locus in loci):
        return True
    return isinstance(one, Character) and one.by_sex
