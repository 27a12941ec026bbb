"""Characters made by several alleles or several loci: allelic series, epistasis, and any table a keeper gives."""

from collections.abc import Mapping, Sequence
from enum import StrEnum

from genetics.characters import Character, Pair, Row, all_rows, matching_rows, write_row
from genetics.errors import ModelFault, ModelRefused
from genetics.genome import distinct_loci
from genetics.loci import Locus
from genetics.rates import Rate
from genetics.traits import Dominance, Trait
from genetics.words import WILD_ALLELE


class Interaction(StrEnum):
    """How two loci act together, by the ratio in the young of two double heterozygotes (unlinked, full penetrance).

    A "strong" look needs one dominant allele at the locus, whichever of the two alleles is the dominant one.
    The classes, in order, by strong (S) and weak (w) at the first and second locus:

    RECESSIVE_EPISTASIS 9:3:4: SS; Sw; w at the first. DOMINANT_EPISTASIS 12:3:1: S at the first; wS; ww.
    COMPLEMENTARY 9:7: SS; any other. DUPLICATE 15:1: S at either; ww. SUPPRESSION 13:3: any other; wS (a dominant allele
    at the first suppresses the second). ADDITIVE_DUPLICATE 9:6:1: SS; S at one; ww. (Bateson 1909 has the first cases.)

    >>> Interaction("9:3:4") is Interaction.RECESSIVE_EPISTASIS
    True
    """

    RECESSIVE_EPISTASIS = "9:3:4"
    DOMINANT_EPISTASIS = "12:3:1"
    COMPLEMENTARY = "9:7"
    DUPLICATE = "15:1"
    SUPPRESSION = "13:3"
    ADDITIVE_DUPLICATE = "9:6:1"

    @property
    def classes(self) -> int:
        """How many classes it gives."""
        return self.value.count(":") + 1


# The class by (strong at the first, strong at the second).
_CLASS = {
    Interaction.RECESSIVE_EPISTASIS: {(1, 1): 0, (1, 0): 1, (0, 1): 2, (0, 0): 2},
    Interaction.DOMINANT_EPISTASIS: {(1, 1): 0, (1, 0): 0, (0, 1): 1, (0, 0): 2},
    Interaction.COMPLEMENTARY: {(1, 1): 0, (1, 0): 1, (0, 1): 1, (0, 0): 1},
    Interaction.DUPLICATE: {(1, 1): 0, (1, 0): 0, (0, 1): 0, (0, 0): 1},
    Interaction.SUPPRESSION: {(1, 1): 0, (1, 0): 0, (0, 1): 1, (0, 0): 0},
    Interaction.ADDITIVE_DUPLICATE: {(1, 1): 0, (1, 0): 1, (0, 1): 1, (0, 0): 2},
}


def acting_together(name: str, kind: Interaction, first: Trait, second: Trait, labels: Sequence[str]) -> Character:
    """One character made by two loci; see Interaction for which class is which.

    Raises ModelRefused for a wrong number of labels, for an incompletely dominant trait, for two traits of one locus.

    >>> brown, pale = Trait("brown", "b", Dominance.RECESSIVE), Trait("pale", "p", Dominance.RECESSIVE)
    >>> coat = acting_together("coat", Interaction.RECESSIVE_EPISTASIS, pale, brown, ["grey", "brown", "pale"])
    >>> coat.wild, coat.chances((("p", "p"), ("+", "b")))
    ('grey', (0, 0, 1))
    """
    if len(labels) != kind.classes:
        raise ModelRefused(name, ModelFault.LABELS, ", ".join(labels))
    for trait in (first, second):
        if trait.dominance is Dominance.INCOMPLETE:
            raise ModelRefused(trait.name, ModelFault.NEEDS_DOMINANCE, trait.dominance)
    loci = (first.locus, second.locus)
    if len(distinct_loci(loci)) < 2:
        raise ModelRefused(name, ModelFault.LOCUS_TWICE, first.locus.name)
    looks: dict[Row, tuple[Rate, ...]] = {}
    for row in all_rows(loci):
        shown = _CLASS[kind][_strong(first, row[0]), _strong(second, row[1])]
        looks[row] = tuple(int(at == shown) for at in range(len(labels)))
    return Character(name, loci, tuple(labels), looks)


def _strong(trait: Trait, pair: Pair) -> int:
    """Whether a dominant allele is there: the trait's own, or any other where the trait is recessive."""
    if trait.dominance is Dominance.DOMINANT:
        return int(trait.symbol in pair)
    return int(any(allele != trait.symbol for allele in pair))


def series(name: str, locus: Locus, labels: Mapping[str, str] | None = None) -> Character:
    """A series of alleles at one locus: an animal looks as its most dominant allele says.

    labels: what each allele's class is called; an allele without one is called by its symbol, the wild one "wild".
    Several alleles may share a label. The classes are told in the order of the alleles. Raises ModelRefused if the
    locus has no dominance order.

    >>> shade = series("shade", Locus("shade", ("+", "e", "ep"), order=("+", "e", "ep")), {"e": "ember", "ep": "pale"})
    >>> shade.labels, shade.chances((("e", "ep"),))
    (('wild', 'ember', 'pale'), (0, 1, 0))
    """
    if not locus.order:
        raise ModelRefused(name, ModelFault.NO_ORDER, " ".join(locus.alleles))
    called = {allele: "wild" if allele == WILD_ALLELE else allele for allele in locus.alleles}
    for allele, label in (labels or {}).items():
        locus.check(allele)
        called[allele] = label
    classes = tuple(dict.fromkeys(called[allele] for allele in locus.alleles))
    looks: dict[Row, tuple[Rate, ...]] = {}
    for row in all_rows((locus,)):
        shown = called[locus.dominant(*row[0])]
        looks[row] = tuple(int(label == shown) for label in classes)
    return Character(name, (locus,), classes, looks)


def table(
    name: str,
    loci: Sequence[Locus],
    labels: Sequence[str],
    rows: Mapping[str, str | Mapping[str, Rate]],
    otherwise: str | None = None,
) -> Character:
    """Any map from genotype to appearance.

    rows: for genotypes written like "e/e; +/*" (one pair a locus, "*" for any allele) the class, or the chances of the
        classes. otherwise: the class of all genotypes that no row names.
    Raises ModelRefused: a genotype told twice or not at all, a class that is not among the labels.

    >>> ember = Locus("ember", ("+", "e"))
    >>> mottled = table("mottled", [ember], ["plain", "mottled"], {"+/e": "mottled"}, otherwise="plain")
    >>> mottled.chances((("e", "e"),))
    (1, 0)
    """
    known = distinct_loci(loci)
    if len(known) < len(loci):
        raise ModelRefused(name, ModelFault.LOCUS_TWICE, known[-1].name)
    looks: dict[Row, tuple[Rate, ...]] = {}
    for written, told in rows.items():
        chances = {told: 1} if isinstance(told, str) else dict(told)
        for label in chances:
            if label not in labels:
                raise ModelRefused(name, ModelFault.LABEL_UNKNOWN, label)
        for row in matching_rows(name, known, written):
            if row in looks:
                raise ModelRefused(name, ModelFault.TABLE_TWICE, write_row(row))
            looks[row] = tuple(chances.get(label, 0) for label in labels)
    if otherwise is not None:
        if otherwise not in labels:
            raise ModelRefused(name, ModelFault.LABEL_UNKNOWN, otherwise)
        for row in all_rows(known):
            looks.setdefault(row, tuple(int(label == otherwise) for label in labels))
    return Character(name, known, tuple(labels), looks)
