"""Kinship of groups: laws, the animals they stand for, closed lines, and genes dropped through them."""

from fractions import Fraction
from itertools import permutations

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from genetics import (
    Animal,
    Bred,
    Cloned,
    Drawn,
    Founded,
    GroupKinship,
    KinshipFault,
    KinshipRefused,
    Merged,
    OutOfRange,
    Pedigree,
    Role,
    SexSystem,
    TooLarge,
    Where,
    closed_line,
    effective_breeders,
    effective_size,
    group_kinship,
    harmonic_mean,
    inbreeding_after,
    kinships,
    loss_per_generation,
)
from genetics.kinship import group_kinship as recursion
from genetics.kinship.groups import ANYWHERE, AnyGroup
from tests.support import pedigrees
from tests.support.pedigrees import Family, Genes, families, slow_kinship

REPLICATES = 40_000
ERRORS = 4.5
"""How many of the simulation's standard errors it may lie off; of the 60 or so figures here one in 150,000 would."""


@settings(max_examples=60, deadline=None)
@given(families(10, both_or_none=True))
def test_groups_of_one_are_animals(family: Family) -> None:
    groups: list[AnyGroup] = [
        Bred(a.name, a.dam, a.sire, 1) if a.dam and a.sire else Founded(a.name, 1, a.origin, a.inbreeding)
        for a in family.shuffled
    ]
    kin, slow = group_kinship(groups), slow_kinship(family.animals)
    for one in kin.names:
        assert kin.itself(one) == kin.mean(one, one) == slow(one, one)
        for other in kin.names:
            if one != other:
                assert kin.between(one, other) == kin.between(other, one) == slow(one, other)
        with pytest.raises(KinshipRefused) as refused:
            kin.between(one, one)
        assert refused.value.fault is KinshipFault.ONE_ANIMAL


NUMBERS = st.one_of(st.none(), st.integers(1, 30), st.fractions(1, 12, max_denominator=4))


@st.composite
def colonies(draw: st.DrawFn) -> list[AnyGroup]:
    """Groups of every kind, each made from those before it."""
    groups: list[AnyGroup] = [
        Founded("g0", draw(st.integers(2, 9)), "a hall"),
        Founded("g1", None, "a hall"),
        Founded("g2", 3),
    ]
    for number in range(3, draw(st.integers(4, 12))):
        name, known = f"g{number}", [group.name for group in groups]
        one, other = draw(st.sampled_from(known)), draw(st.sampled_from(known))
        kind = draw(st.sampled_from([Bred, Drawn, Cloned, Merged]))
        if kind is Bred and one != other:
            groups.append(Bred(name, one, other, draw(NUMBERS)))
        elif kind is Drawn:
            groups.append(Drawn(name, one, draw(NUMBERS), draw(st.sampled_from([None, *Role]))))
        elif kind is Cloned:
            groups.append(Cloned(name, one, draw(NUMBERS)))
        elif one == other:
            groups.append(Merged(name, ((one, draw(st.integers(1, 3))),)))
        else:
            groups.append(Merged(name, ((one, draw(st.integers(1, 3))), (other, draw(st.integers(1, 9))))))
    return groups


def answered(groups: list[AnyGroup]) -> GroupKinship:
    """The kinship, of such groups as can be: a group of one has no second animal, and none gives more than it has."""
    impossible = {KinshipFault.ONE_ANIMAL, KinshipFault.TOO_MANY, KinshipFault.PARTS_OVERLAP}
    try:
        return group_kinship(groups)
    except KinshipRefused as error:
        assume(error.fault not in impossible)
        raise


@settings(max_examples=80, deadline=None)
@given(colonies(), st.randoms(use_true_random=False))
def test_laws_of_groups(groups: list[AnyGroup], random: object) -> None:
    """Figures are chances, symmetric, exact; an animal is nearest itself; shares sum to 1; order is irrelevant."""
    kin = answered(groups)
    shuffled = list(groups)
    random.shuffle(shuffled)  # type: ignore[attr-defined]
    again = group_kinship(shuffled)
    for one in kin.names:
        assert Fraction(1, 2) <= kin.itself(one) <= 1
        assert sum(share for _, share in kin.founder_shares(one)) == 1
        for other in kin.names:
            assert isinstance(kin.mean(one, other), Fraction)
            assert 0 <= kin.mean(one, other) == kin.mean(other, one) == again.mean(one, other) <= 1


@given(st.integers(1, 20), st.integers(1, 20), st.integers(1, 5), st.integers(1, 5))
def test_merging_bins_averages(first: int, second: int, dams: int, sires: int) -> None:
    start: list[AnyGroup] = [Founded("a", dams), Founded("b", sires), Founded("c", 2), Founded("outside", 1)]
    bred: list[AnyGroup] = [Bred("x", "a", "b"), Bred("y", "c", "b")]
    kin = group_kinship([*start, *bred, Merged("both", (("x", first), ("y", second)))])
    total = first + second
    for other in ("a", "b", "c", "outside"):
        mean = (first * kin.mean("x", other) + second * kin.mean("y", other)) / total
        assert kin.between("both", other) == mean
    assert kin.itself("both") == (first * kin.itself("x") + second * kin.itself("y")) / total
    among = first * (first - 1) * kin.between("x", "x") + second * (second - 1) * kin.between("y", "y")
    among += 2 * first * second * kin.between("x", "y")
    assert kin.between("both", "both") == among / (total * (total - 1))


def test_a_bin_split_and_poured_together_again_is_the_bin_it_was() -> None:
    kin = group_kinship([Founded("a", 1), Founded("b", 1), Bred("x", "a", "b"), Merged("again", (("x", 30),))])
    assert kin.between("again", "again") == kin.between("x", "x")
    assert kin.inbreeding("again") == kin.inbreeding("x")
    assert kin.founder_shares("again") == kin.founder_shares("x")


def test_two_draws_from_one_bin_poured_together_are_different_animals() -> None:
    groups = [
        Founded("bin", 5, "a hall"),
        Drawn("x", "bin", 2),
        Drawn("y", "bin", 1),
        Merged("both", (("x", 2), ("y", 1))),
    ]
    kin = group_kinship(groups)
    assert kin.between("both", "both") == kin.between("bin", "bin") == Fraction(1, 8)
    assert kin.mean("x", "y") == Fraction(1, 5) * Fraction(1, 2) + Fraction(4, 5) * Fraction(1, 8)


def test_founders_of_an_origin_not_known_may_be_of_any() -> None:
    kin = group_kinship(
        [Founded("a", 2, "a hall"), Founded("b", 2, "quarry"), Founded("c", 2, ANYWHERE), Founded("d", 2)]
    )
    related = {(one, other) for one in "abcd" for other in "abcd" if kin.between(one, other) == Fraction(1, 8)}
    assert related == {("a", "a"), ("b", "b"), ("c", "c"), ("a", "c"), ("c", "a"), ("b", "c"), ("c", "b")}
    assert all(kin.between(one, other) in (0, Fraction(1, 8)) for one in "abcd" for other in "abcd")


def test_a_child_of_a_founder_and_the_founder() -> None:
    """½[s(h) + φ(g,h)] = ¼, and backcrossing gives ¼, ⅜, 7⁄16 (Falconer & Mackay 1996, from memory)."""
    groups = [Founded("h", 1), Founded("g", 9), Bred("o", "g", "h"), Bred("p", "o", "h"), Bred("q", "p", "h")]
    kin = group_kinship([*groups, Bred("r", "q", "h")])
    assert kin.between("o", "h") == Fraction(1, 4)
    assert [kin.inbreeding(name) for name in "pqr"] == [Fraction(1, 4), Fraction(3, 8), Fraction(7, 16)]


def test_dams_and_sires_of_one_bin_are_never_the_same_animals() -> None:
    """In a bin of one dam and one sire each is met by itself; kept apart, their young see both as they are."""
    groups: list[AnyGroup] = [
        Founded("bin", 2, "a hall"),
        Drawn("dam", "bin", 1, Role.DAM),
        Drawn("sire", "bin", 1, Role.SIRE),
    ]
    kin = group_kinship([*groups, Bred("young", "dam", "sire"), Drawn("another", "bin", 1)])
    assert kin.between("dam", "sire") == kin.mean("dam", "sire") == Fraction(1, 8)
    assert kin.inbreeding("young") == Fraction(1, 8)
    assert kin.mean("another", "dam") == (Fraction(1, 2) + Fraction(1, 8)) / 2
    with pytest.raises(KinshipRefused) as refused:
        group_kinship([Founded("one", 1), Drawn("d", "one", 1, Role.DAM), Drawn("s", "one", 1, Role.SIRE)])
    assert refused.value.fault is KinshipFault.ONE_ANIMAL


def test_clonal_groups() -> None:
    """Thelytoky: F_o = F_g and φ(o,g) = s(g)."""
    kin = group_kinship(
        [Founded("g", 1, inbreeding=Fraction(1, 4)), Cloned("o", "g"), Cloned("p", "o", 9)],
        system=SexSystem.THELYTOKOUS,
    )
    assert kin.inbreeding("p") == Fraction(1, 4)
    assert kin.between("o", "g") == kin.between("p", "o") == kin.between("p", "p") == kin.itself("g") == Fraction(5, 8)
    two = group_kinship([Founded("g", 2), Cloned("o", "g")])
    assert two.between("o", "o") == Fraction(1, 4), "half the pairs are of one clone, the others unrelated"


@pytest.mark.parametrize(
    ("groups", "fault", "name"),
    [
        ([Founded("a"), Founded("a")], KinshipFault.TWICE, "a"),
        ([Drawn("a", "b")], KinshipFault.NOT_LISTED, "b"),
        ([Drawn("a", "b"), Drawn("b", "a")], KinshipFault.OWN_ANCESTOR, "a"),
        ([Founded("a", 3), Drawn("b", "a", 4)], KinshipFault.TOO_MANY, "b"),
        ([Founded("a", 3), Merged("b", (("a", 4),))], KinshipFault.TOO_MANY, "b"),
        ([Founded("a", 1), Drawn("b", "a", 1), Merged("c", (("a", 1), ("b", 1)))], KinshipFault.PARTS_OVERLAP, "c"),
        ([Founded("a", 1), Bred("b", "a", "a")], KinshipFault.ONE_ANIMAL, "a"),
    ],
)
def test_groups_that_cannot_be_are_refused_by_name(groups: list[AnyGroup], fault: KinshipFault, name: str) -> None:
    with pytest.raises(KinshipRefused) as refused:
        group_kinship(groups)
    assert (refused.value.fault, refused.value.name) == (fault, name)


def test_what_is_not_worked_out_is_refused_in_words() -> None:
    pair: list[AnyGroup] = [Founded("a", 1), Founded("b", 1), Bred("c", "a", "b")]
    for system, where, fault in (
        (SexSystem.HAPLODIPLOID, Where.AUTOSOME, KinshipFault.HAPLODIPLOID),
        (SexSystem.ZZ_ZW, Where.SHARED, KinshipFault.SEX_LINKED),
        (SexSystem.THELYTOKOUS, Where.AUTOSOME, KinshipFault.CLONAL_SIRE),
    ):
        with pytest.raises(KinshipRefused) as refused:
            group_kinship(pair, system=system, where=where)
        assert refused.value.fault is fault
    with pytest.raises(KinshipRefused) as refused:
        group_kinship(pair).between("a", "zoe")
    assert (refused.value.fault, refused.value.name) == (KinshipFault.NOT_LISTED, "zoe")


def test_values_are_checked_where_they_are_born(monkeypatch: pytest.MonkeyPatch) -> None:
    for wrong in (lambda: Founded("a", 0), lambda: Founded("a", inbreeding=2), lambda: Drawn("a", "b", Fraction(1, 2))):
        with pytest.raises(OutOfRange):
            wrong()
    for empty in (lambda: Founded(""), lambda: Drawn("a", ""), lambda: Merged("a", ())):
        with pytest.raises(KinshipRefused):
            empty()
    with pytest.raises(KinshipRefused):
        Merged("a", (("b", 1), ("b", 2)))
    monkeypatch.setattr(recursion, "GROUPS", 1)
    with pytest.raises(TooLarge):
        group_kinship([Founded("a"), Founded("b")])


# Closed lines.


@given(st.integers(1, 9), st.integers(1, 9), st.integers(1, 5), st.sampled_from([Fraction(0), Fraction(1, 8)]))
def test_a_closed_line_is_a_chain_of_groups(dams: int, sires: int, count: int, related: Fraction) -> None:
    groups: list[AnyGroup] = [Founded("0", None, "a hall")]
    for t in range(1, count + 1):
        groups += [Drawn(f"dams {t}", f"{t - 1}", dams), Drawn(f"sires {t}", f"{t - 1}", sires)]
        groups.append(Bred(f"{t}", f"dams {t}", f"sires {t}"))
    kin = group_kinship(groups, origin_kinship=related)
    line = closed_line(dams, sires, count, related)
    assert [young.inbreeding for young in line] == [kin.inbreeding(f"{t}") for t in range(1, count + 1)]
    assert [young.kinship for young in line] == [kin.between(f"{t}", f"{t}") for t in range(1, count + 1)]


@pytest.mark.parametrize(("dams", "sires"), [(1, 1), (4, 1), (8, 2), (20, 20)])
def test_the_loss_settles_near_the_rule_of_thumb(dams: int, sires: int) -> None:
    """1/(2N_e + 1) (Falconer & Mackay 1996, ch. 4, from memory) is an approximation, a few per cent off in small lines."""
    settled = float(closed_line(dams, sires, 60)[-1].loss)
    assert settled == pytest.approx(float(loss_per_generation(effective_size(sires, dams))), rel=0.06)


def test_numbers_out_of_range_are_refused() -> None:
    for wrong in (
        lambda: effective_size(0, 3),
        lambda: harmonic_mean([]),
        lambda: harmonic_mean([3, 0]),
        lambda: effective_breeders([]),
        lambda: effective_breeders([0, 0]),
        lambda: effective_breeders([3, -1]),
        lambda: inbreeding_after(Fraction(1, 4), 1),
        lambda: inbreeding_after(3, -1),
        lambda: loss_per_generation(0),
        lambda: closed_line(Fraction(1, 2), 1, 3),
        lambda: closed_line(1, 1, 0),
        lambda: closed_line(1, 1, 101),
    ):
        with pytest.raises(OutOfRange):
            wrong()


@given(st.lists(st.integers(0, 40), min_size=1, max_size=9).filter(any))
def test_effective_breeders_are_at_most_those_that_bred(young: list[int]) -> None:
    found = effective_breeders(young)
    assert 1 <= found <= sum(1 for number in young if number)
    assert effective_breeders([7] * len(young)) == len(young)


# Genes dropped.


def near(found: tuple[float, float], expected: Fraction) -> None:
    mean, error = found
    assert abs(mean - float(expected)) < ERRORS * error, (mean, float(expected), error)


@pytest.mark.parametrize(("dams", "sires"), [(1, 1), (4, 1), (8, 2)])
def test_genes_dropped_through_a_closed_line(dams: int, sires: int) -> None:
    """Five generations; young are exchangeable, so the first of them are a random draw."""
    generator = np.random.default_rng(100 * dams + sires)
    mothers = pedigrees.founders(REPLICATES, dams)
    fathers = pedigrees.founders(REPLICATES, sires, first=2 * dams)
    for expected in closed_line(dams, sires, 5):
        born = pedigrees.young(generator, mothers, fathers, dams + sires + 1)
        near(pedigrees.dropped_inbreeding(born), expected.inbreeding)
        near(pedigrees.dropped_kinship(born[:, 0], born[:, 1]), expected.kinship)
        mothers, fathers = born[:, :dams], born[:, dams : dams + sires]


def test_genes_dropped_through_a_backcross_to_a_founder() -> None:
    """Two wild dams × the visual; daughters of every generation go back to him, three at a time."""
    generator = np.random.default_rng(7)
    visual, wild = pedigrees.founders(REPLICATES, 1), pedigrees.founders(REPLICATES, 2, first=2)
    groups: list[AnyGroup] = [Founded("visual", 1), Founded("wild", 2), Bred("0", "wild", "visual")]
    for t in range(1, 5):
        groups += [Drawn(f"dams {t}", f"{t - 1}", 3), Bred(f"{t}", f"dams {t}", "visual")]
    kin, dams = group_kinship(groups), wild
    for t in range(5):
        born = pedigrees.young(generator, dams, visual, 4)
        near(pedigrees.dropped_inbreeding(born), kin.inbreeding(f"{t}"))
        near(pedigrees.dropped_kinship(born[:, 0], born[:, 1]), kin.between(f"{t}", f"{t}"))
        near(pedigrees.dropped_kinship(born[:, 0], visual[:, 0]), kin.between(f"{t}", "visual"))
        dams = born[:, :3]


def test_genes_dropped_into_two_bins_of_the_same_dams() -> None:
    """Three dams, first by one sire and then by another; the bins are then crossed, and poured together."""
    generator = np.random.default_rng(11)
    dams = pedigrees.founders(REPLICATES, 3)
    sires = [pedigrees.founders(REPLICATES, 1, first=6), pedigrees.founders(REPLICATES, 1, first=8)]
    bins = [pedigrees.young(generator, dams, sire, 4) for sire in sires]
    crossed = pedigrees.young(generator, bins[0][:, :2], bins[1][:, :2], 2)
    kin = group_kinship(
        [
            *(Founded(name, number) for name, number in (("dams", 3), ("one", 1), ("other", 1))),
            Bred("first", "dams", "one"),
            Bred("second", "dams", "other"),
            Drawn("from first", "first", 2),
            Drawn("from second", "second", 2),
            Bred("crossed", "from first", "from second"),
            Merged("poured", (("first", 4), ("second", 4))),
        ]
    )
    near(pedigrees.dropped_kinship(bins[0][:, 0], bins[1][:, 0]), kin.between("first", "second"))
    near(pedigrees.dropped_kinship(bins[0][:, 0], dams[:, 0]), kin.between("first", "dams"))
    near(pedigrees.dropped_inbreeding(crossed), kin.inbreeding("crossed"))
    near(pedigrees.dropped_kinship(crossed[:, 0], crossed[:, 1]), kin.between("crossed", "crossed"))
    near(pedigrees.dropped_kinship(crossed[:, 0], dams[:, 0]), kin.between("crossed", "dams"))
    near(pedigrees.dropped_kinship(*pair_of(generator, np.concatenate(bins, axis=1))), kin.between("poured", "poured"))


def pair_of(generator: np.random.Generator, genes: Genes) -> tuple[Genes, Genes]:
    """Two different animals drawn at random in each replicate."""
    first = generator.integers(0, genes.shape[1], len(genes))
    second = (first + generator.integers(1, genes.shape[1], len(genes))) % genes.shape[1]
    every = np.arange(len(genes))
    return genes[every, first], genes[every, second]


def test_genes_dropped_through_a_mixed_bin() -> None:
    """Breeders drawn unrecorded from one bin of six sibs, twice: two bins that may share dams and sires."""
    generator = np.random.default_rng(13)
    parents = pedigrees.young(
        generator, pedigrees.founders(REPLICATES, 2), pedigrees.founders(REPLICATES, 1, first=4), 6
    )
    every = np.arange(REPLICATES)[:, None]
    broods = []
    for _ in range(2):
        females = generator.permuted(np.tile(np.arange(3), (REPLICATES, 1)), axis=1)[:, :2]
        males = 3 + generator.integers(0, 3, (REPLICATES, 1))
        broods.append(pedigrees.young(generator, parents[every, females], parents[every, males], 2))
    groups: list[AnyGroup] = [Founded("d", 2), Founded("s", 1), Bred("six", "d", "s", 6)]
    # The six are three of each sex: a dam is one of three, which the groups of females and males say.
    groups += [Drawn("females", "six", 3, Role.DAM), Drawn("males", "six", 3, Role.SIRE)]
    for name in ("x", "y"):
        groups += [Drawn(f"dams {name}", "females", 2, Role.DAM), Drawn(f"sire {name}", "males", 1, Role.SIRE)]
        groups.append(Bred(name, f"dams {name}", f"sire {name}"))
    kin = group_kinship(groups)
    near(pedigrees.dropped_inbreeding(broods[0]), kin.inbreeding("x"))
    near(pedigrees.dropped_kinship(broods[0][:, 0], broods[0][:, 1]), kin.between("x", "x"))
    near(pedigrees.dropped_kinship(broods[0][:, 0], broods[1][:, 0]), kin.between("x", "y"))


def test_animals_and_bins_mix() -> None:
    """A marked pair of animals from two bins, and the same two as a pedigree once the bins are single animals."""
    kin = group_kinship(
        [Founded("a", 1), Founded("b", 1), Bred("bin", "a", "b"), Drawn("she", "bin", 1), Bred("young", "she", "a", 1)]
    )
    rows = [Animal("a"), Animal("b"), Animal("she", "b", "a"), Animal("sib", "b", "a"), Animal("young", "she", "a")]
    slow = kinships(Pedigree.of(rows), [("young", "sib"), ("young", "she"), ("young", "young")])
    assert kin.mean("young", "she") == slow[1]
    assert kin.itself("young") == slow[2]


def test_a_sire_is_none_of_the_dams_of_his_bin_in_whatever_order_they_are_listed() -> None:
    """One of two strangers is drawn as a dam, one moved away and drawn there as a sire: so he is no parent of her young."""
    listed: list[AnyGroup] = [
        Founded("bin", 2),
        Merged("moved", (("bin", 1),)),
        Founded("guest", 1),
        Drawn("dam", "bin", 1, Role.DAM),
        Bred("young", "dam", "guest"),
        Drawn("sire", "moved", 1, Role.SIRE),
    ]
    for order in permutations(listed):
        assert group_kinship(order).mean("sire", "young") == 0
