"""Laws of the models: what must change nothing changes nothing."""

from dataclasses import replace
from fractions import Fraction

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from genetics import (
    Dominance,
    Genome,
    Genotype,
    LinkageGroup,
    NeverHappens,
    Offspring,
    Parent,
    Role,
    Sex,
    SexSystem,
    Trait,
    Where,
    mixed,
    offspring,
)
from tests.support.genetic_models import Case, cases

HALF = Fraction(1, 2)
R = st.fractions(0, HALF, max_denominator=20)


def classes(young: Offspring) -> dict[tuple[str, ...], Fraction] | None:
    try:
        return {one.looks: one.share for one in young.classes()}
    except NeverHappens:
        return None


@settings(max_examples=60, deadline=None)
@given(cases((SexSystem.UNKNOWN,)))
def test_autosomes_do_not_care_which_parent_is_the_dam(case: Case) -> None:
    """Swapping the parents, and with them who recombines how, changes no class, in either sex."""
    assume(all(locus.where is Where.AUTOSOME for one in case.characters for locus in one.loci))
    swapped = replace(
        case.genome,
        groups=tuple(LinkageGroup(one.loci, one.gaps(Role.SIRE), one.gaps(Role.DAM)) for one in case.genome.groups),
    )
    dam, sire = (
        Parent.weighted(case.characters, [(share, kind) for share, kind, _ in kinds], swapped)
        for kinds in (case.sires, case.dams)
    )
    there, back = offspring(case.dam(), case.sire(), case.characters), offspring(dam, sire, case.characters)
    assert classes(there) == classes(back)
    if classes(there) is not None:
        assert there.share_of(Sex.FEMALE) == back.share_of(Sex.FEMALE)


@settings(max_examples=60, deadline=None)
@given(cases())
def test_shares_sum_to_one_and_the_sexes_add_up(case: Case) -> None:
    young = offspring(case.dam(), case.sire(), case.characters)
    assume(classes(young) is not None)
    assert sum(one.share for one in young.classes()) == 1
    assert sum(one.share for one in young.genotypes()) == 1
    told = [sex for sex in young.sexes if sex is not None]
    assert sum(young.share_of(sex) for sex in told) == (1 if told else 0)
    for one in young.classes():
        looks = dict(zip(case.characters, one.looks, strict=True))
        assert young.share(looks) == one.share
        assert not told or sum(young.share(looks, sex) for sex in told) == one.share


@settings(max_examples=60, deadline=None)
@given(cases(), st.randoms(use_true_random=False))
def test_the_order_of_the_characters_only_permutes_the_classes(case: Case, random: object) -> None:
    young = offspring(case.dam(), case.sire(), case.characters)
    assume(classes(young) is not None)
    turned = offspring(young.dam, young.sire if case.sire() is not None else None, case.characters[::-1])
    assert {looks[::-1]: share for looks, share in (classes(turned) or {}).items()} == classes(young)


@settings(max_examples=60, deadline=None)
@given(cases())
def test_a_bin_of_one_kind_is_that_kind_and_counting_it_twice_changes_nothing(case: Case) -> None:
    dam = case.dam()
    assert mixed([(7, dam)]).kinds == dam.kinds
    assert sorted(mixed([(1, dam), (3, dam)]).kinds, key=str) == sorted(dam.kinds, key=str)


@settings(max_examples=40, deadline=None)
@given(cases(), st.data())
def test_the_likelihood_of_a_brood_is_the_product_of_its_steps(case: Case, data: st.DataObject) -> None:
    """P(first, then second) = P(first)·P(second | first)."""
    young = offspring(case.dam(), case.sire(), case.characters)
    assume(classes(young) is not None)
    looks = [one.looks for one in young.classes()]
    first, second = ({data.draw(st.sampled_from(looks)): data.draw(st.integers(1, 3))} for _ in range(2))
    together = {key: first.get(key, 0) + second.get(key, 0) for key in {**first, **second}}
    one = young.likelihood(first)
    assert one > 0
    assert young.likelihood(together) == one * young.given(first).likelihood(second)


@given(R, R, st.lists(st.sampled_from("+m"), min_size=12, max_size=12))
def test_names_of_alleles_and_the_end_a_map_is_read_from_mean_nothing(
    one: Fraction, other: Fraction, drawn: list[str]
) -> None:
    answers = []
    for names in ("abc", "qrs"):
        traits = [Trait(name, name, Dominance.RECESSIVE) for name in names]
        strands = [
            tuple(
                trait.symbol if allele == "m" else "+" for trait, allele in zip(traits, drawn[at : at + 3], strict=True)
            )
            for at in (0, 3, 6, 9)
        ]
        for turn in (1, -1):
            loci = tuple(trait.locus for trait in traits)[::turn]
            genome = Genome((LinkageGroup(loci, (one, other)[::turn]),))
            animals = [Genotype(strands[at][::turn], strands[at + 1][::turn]) for at in (0, 2)]
            dam, sire = (Parent.weighted(traits, [(1, [animal])], genome) for animal in animals)
            answers.append(classes(offspring(dam, sire, traits)))
    assert all(answer == answers[0] for answer in answers)


@settings(max_examples=40, deadline=None)
@given(cases(), st.integers(1, 4))
def test_floats_agree_with_the_fractions_they_stand_for(case: Case, k: int) -> None:
    """The same model with every recombination fraction and kind as a float: equal to 1e-12, and said to be inexact."""
    floats = replace(
        case.genome,
        groups=tuple(
            LinkageGroup(one.loci, *(tuple(float(gap) for gap in one.gaps(role)) for role in Role))
            for one in case.genome.groups
        ),
    )

    def told(kinds: tuple[tuple[Fraction, tuple[Genotype, ...], object], ...], role: Role) -> Parent:
        return Parent.weighted(case.characters, [(float(share), kind) for share, kind, _ in kinds], floats, role)

    sire = None if case.sire() is None else told(case.sires, Role.SIRE)
    exact, rough = (
        offspring(case.dam(), case.sire(), case.characters),
        offspring(told(case.dams, Role.DAM), sire, case.characters),
    )
    assume(classes(exact) is not None)
    assert not rough.exact
    for one in exact.classes():
        looks = dict(zip(case.characters, one.looks, strict=True))
        assert abs(float(rough.share(looks) - one.share)) < 1e-12
        assert abs(float(rough.at_least(k, 9, looks) - exact.at_least(k, 9, looks))) < 1e-12
        after, slow = rough.given({one.looks: k}), exact.given({one.looks: k})
        assert abs(float(after.share(looks) - slow.share(looks))) < 1e-12
