"""Kinship in pedigrees of animals: laws, the slow way to the same figures, and pedigrees that cannot be."""

import json
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from genetics import (
    Animal,
    KinshipFault,
    KinshipRefused,
    OutOfRange,
    Pedigree,
    SexSystem,
    TooLarge,
    Where,
    founder_shares,
    inbreeding,
    kinship_matrix,
    kinships,
    partial_inbreeding,
)
from genetics.kinship import animals as answers
from genetics.kinship import fronts, schedule
from genetics.kinship.nodes import nodes_of
from tests.support import make_pedigree_golden
from tests.support.pedigrees import Family, families, slow_kinship


@settings(max_examples=80, deadline=None)
@given(families())
def test_every_way_gives_what_the_definition_gives(family: Family) -> None:
    slow = slow_kinship(family.animals)
    pedigree = Pedigree.of(family.shuffled)
    names = pedigree.names
    wanted = np.array([[float(slow(one, other)) for other in names] for one in names])
    assert kinship_matrix(pedigree) == pytest.approx(wanted, abs=1e-12)
    assert inbreeding(pedigree) == pytest.approx(2 * wanted.diagonal() - 1, abs=1e-12)
    pairs = [(one, other) for one in names for other in names]
    assert kinships(pedigree, pairs) == pytest.approx(wanted.ravel().tolist(), abs=1e-12)
    nodes, _ = nodes_of(pedigree)
    plan = schedule.by_generation(nodes)
    assert fronts.by_shares(nodes, plan)[0] == pytest.approx(fronts.by_matrix(nodes, plan), abs=1e-12)


@settings(max_examples=80, deadline=None)
@given(families())
def test_laws_of_the_matrix(family: Family) -> None:
    """Symmetric; with itself at least 1/2; the order of lines is irrelevant; no negative root, for it is a mean of products."""
    pedigree, shuffled = Pedigree.of(family.animals), Pedigree.of(family.shuffled)
    matrix = kinship_matrix(pedigree)
    assert (matrix == matrix.T).all()
    assert (matrix.diagonal() >= 0.5).all()
    assert ((matrix >= 0) & (matrix <= 1)).all()
    assert np.linalg.eigvalsh(matrix).min() > -1e-12
    assert kinship_matrix(shuffled, pedigree.names) == pytest.approx(matrix, abs=1e-15)
    chosen = pedigree.names[::-2]
    at = [pedigree.place(name) for name in chosen]
    assert kinship_matrix(shuffled, chosen) == pytest.approx(matrix[np.ix_(at, at)], abs=1e-15)


@settings(max_examples=80, deadline=None)
@given(families())
def test_what_comes_from_each_founder_sums_to_the_whole(family: Family) -> None:
    pedigree = Pedigree.of(family.shuffled)
    whole = inbreeding(pedigree)
    for place, name in enumerate(pedigree.names):
        shares = founder_shares(pedigree, name)
        assert sum(share for _, share in shares.by_founder) + shares.unknown == 1
        founder = pedigree.dams[place] == pedigree.sires[place] == -1
        parts = partial_inbreeding(pedigree, name)
        if not founder:
            assert sum(part for _, part in parts.by_founder) + parts.before == pytest.approx(whole[place], abs=1e-12)
            assert [one for one, _ in parts.by_founder] == [one for one, _ in shares.by_founder]


def test_partial_inbreeding_names_the_founder_it_comes_through() -> None:
    """Of half sibs by one sire only he can be met twice; in a double loop each founder has his own part."""
    rows = [Animal(n) for n in ("sire", "a", "b")]
    rows += [Animal("x", "a", "sire"), Animal("y", "b", "sire"), Animal("z", "x", "y")]
    parts = partial_inbreeding(Pedigree.of(rows), "z")
    assert dict(parts.by_founder) == {"sire": 0.125, "a": 0.0, "b": 0.0}
    assert parts.before == 0
    deeper = [*rows, Animal("q", "x", "z2"), Animal("z2", "x", "y")]
    with_sons = dict(partial_inbreeding(Pedigree.of(deeper), "q").by_founder)
    assert with_sons == {"sire": 3 / 16, "a": 1 / 8, "b": 0.0}


def test_inbreeding_through_a_parent_not_known_is_told_apart() -> None:
    rows = [Animal("dam"), Animal("x", "dam"), Animal("y", "x"), Animal("z", "x", "son"), Animal("son", "x")]
    parts = partial_inbreeding(Pedigree.of(rows), "z")
    assert dict(parts.by_founder) == {"dam": 0.125}
    assert parts.before == 0.125
    shares = founder_shares(Pedigree.of(rows), "z")
    assert (dict(shares.by_founder), shares.unknown) == ({"dam": Fraction(3, 8)}, Fraction(5, 8))


def test_founders_of_one_origin_are_half_sibs_unless_said_otherwise() -> None:
    rows = [
        Animal("a", origin="import"),
        Animal("b", origin="import"),
        Animal("c", origin="a hall"),
        Animal("d", "a", "b"),
    ]
    assert kinships(Pedigree.of(rows), [("a", "b"), ("a", "c"), ("d", "c")]) == (0.125, 0, 0)
    assert inbreeding(Pedigree.of(rows)).tolist() == [0, 0, 0, 0.125]
    full_sibs = Pedigree.of(rows, origin_kinship=Fraction(1, 4))
    assert kinships(full_sibs, [("a", "b"), ("d", "a")]) == (0.25, 0.375)
    assert kinships(Pedigree.of(rows, origin_kinship=0), [("a", "b")]) == (0,)
    parts = partial_inbreeding(Pedigree.of(rows), "d")
    assert (dict(parts.by_founder), parts.before) == ({"a": 0, "b": 0}, 0.125)


def test_clones_are_their_mother() -> None:
    """Thelytoky: F of the young is the dam's, and kinship with her is hers with herself."""
    rows = [Animal("d", "c"), Animal("m", inbreeding=Fraction(1, 2)), Animal("c", "m"), Animal("other")]
    clone = Pedigree.of(rows, system=SexSystem.THELYTOKOUS)
    assert inbreeding(clone).tolist() == [0.5, 0.5, 0.5, 0]
    assert kinships(clone, [("d", "m"), ("d", "c"), ("d", "other")]) == (0.75, 0.75, 0)
    assert kinship_matrix(clone)[0].tolist() == [0.75, 0.75, 0.75, 0]
    assert founder_shares(clone, "d").by_founder == (("m", Fraction(1)),)


@pytest.mark.parametrize(
    ("rows", "system", "fault", "name"),
    [
        ([Animal("a"), Animal("a")], SexSystem.UNKNOWN, KinshipFault.TWICE, "a"),
        ([Animal("a", "b")], SexSystem.UNKNOWN, KinshipFault.NOT_LISTED, "b"),
        ([Animal("a", "a")], SexSystem.UNKNOWN, KinshipFault.OWN_ANCESTOR, "a"),
        (
            [Animal("x"), Animal("a", "b"), Animal("b", "c"), Animal("c", "a", "x")],
            SexSystem.UNKNOWN,
            KinshipFault.OWN_ANCESTOR,
            "a",
        ),
        ([Animal("a"), Animal("b", "a", "a")], SexSystem.UNKNOWN, KinshipFault.DAM_AND_SIRE, "a"),
        ([Animal("a"), Animal("b", "a"), Animal("c", None, "a")], SexSystem.UNKNOWN, KinshipFault.DAM_AND_SIRE, "a"),
        ([Animal("a", born=2), Animal("b", "a", born=1)], SexSystem.UNKNOWN, KinshipFault.YOUNGER_PARENT, "b"),
        ([Animal("a"), Animal("b"), Animal("c", "a", "b")], SexSystem.THELYTOKOUS, KinshipFault.CLONAL_SIRE, "c"),
        ([Animal("a"), Animal("b")], SexSystem.HAPLODIPLOID, KinshipFault.HAPLODIPLOID, "haplodiploid"),
        (
            [Animal("a"), Animal("b", "a", twins="1"), Animal("c", twins="1")],
            SexSystem.UNKNOWN,
            KinshipFault.TWINS,
            "c",
        ),
    ],
)
def test_pedigrees_that_cannot_be_are_refused_by_name(
    rows: list[Animal], system: SexSystem, fault: KinshipFault, name: str
) -> None:
    with pytest.raises(KinshipRefused) as refused:
        Pedigree.of(rows, system=system)
    assert (refused.value.fault, refused.value.name) == (fault, name)
    assert name in str(refused.value)


def test_a_loop_is_told_with_the_way_around_it() -> None:
    rows = [Animal("x"), Animal("a", "b"), Animal("b", "c"), Animal("c", "a", "x"), Animal("young", "c")]
    with pytest.raises(KinshipRefused) as refused:
        Pedigree.of(rows)
    assert refused.value.fact == "a ← b ← c ← a"


def test_what_is_said_of_founders_is_said_of_no_other() -> None:
    for wrong in ({"origin": "a hall"}, {"inbreeding": Fraction(1, 2)}):
        with pytest.raises(KinshipRefused) as refused:
            Animal("a", "b", **wrong)  # type: ignore[arg-type]
        assert refused.value.fault is KinshipFault.FOUNDERS_ONLY
    with pytest.raises(KinshipRefused):
        Animal("")
    with pytest.raises(OutOfRange):
        Animal("a", inbreeding=2)
    with pytest.raises(OutOfRange):
        Pedigree.of([], origin_kinship=1)
    with pytest.raises(KinshipRefused):
        Pedigree.of([], where=Where.SHARED)


def test_names_that_are_not_there_are_refused_by_name() -> None:
    pedigree = Pedigree.of([Animal("a")])
    for ask in (
        lambda: kinships(pedigree, [("a", "zoe")]),
        lambda: kinship_matrix(pedigree, ["zoe"]),
        lambda: founder_shares(pedigree, "zoe"),
        lambda: partial_inbreeding(pedigree, "zoe"),
    ):
        with pytest.raises(KinshipRefused) as refused:
            ask()
        assert (refused.value.fault, refused.value.name) == (KinshipFault.NOT_LISTED, "zoe")


def test_nothing_is_asked_of_nobody() -> None:
    nobody = Pedigree.of([])
    assert inbreeding(nobody).shape == (0,)
    assert kinship_matrix(nobody).shape == (0, 0)
    assert kinships(nobody, []) == ()


def test_places_stand_for_names() -> None:
    young_first = Pedigree.of_places([1, -1, -1], [2, -1, -1])
    assert young_first.generations == (1, 0, 0)
    assert kinships(young_first, [("0", "1")]) == (0.25,)
    with pytest.raises(OutOfRange):
        Pedigree.of_places([3], [-1])
    with pytest.raises(KinshipRefused):
        Pedigree.of_places([1, 0], [-1, -1])


def test_the_too_large_is_refused_before_it_runs(monkeypatch: pytest.MonkeyPatch) -> None:
    many = Pedigree.of_places([-1] * 10_001, [-1] * 10_001)
    with pytest.raises(TooLarge) as refused:
        kinship_matrix(many)
    assert (refused.value.cost, refused.value.fits) == (10_001, 10_000)
    assert kinship_matrix(many, ["0", "10000"]).tolist() == [[0.5, 0], [0, 0.5]]
    monkeypatch.setattr(answers, "PAIRS", 1)
    with pytest.raises(TooLarge):
        kinships(many, [("0", "1"), ("1", "2")])


def test_another_library_finds_the_same() -> None:
    """1,500 animals, overlapping, a tenth of the sires not known; sgkit's figures, made as the golden file's module says."""
    golden = json.loads(make_pedigree_golden.GOLDEN.read_text(encoding="utf-8"))
    pedigree = Pedigree.of_places(*make_pedigree_golden.parents())
    assert inbreeding(pedigree) == pytest.approx(np.array(golden["inbreeding"]), abs=1e-9)
    matrix = kinship_matrix(pedigree)
    assert matrix.sum() == pytest.approx(golden["kinship_sum"], rel=1e-9)
    assert matrix[-20:, -20:] == pytest.approx(np.array(golden["kinship_last"]), abs=1e-9)
    last = pedigree.names[-20:]
    pairs = [(one, other) for one in last for other in last]
    assert kinships(pedigree, pairs) == pytest.approx(matrix[-20:, -20:].ravel().tolist(), abs=1e-9)


def random_mating(count: int, back: int, seed: int) -> Pedigree:
    """Each animal of a dam and a sire among so many before it: places of one parity are females."""
    generator = np.random.default_rng(seed)
    place = np.arange(count)
    first = np.maximum(0, place - back)
    drawn = first + (generator.random((2, count)) * (place - first)).astype(int)
    dams, sires = drawn[0] // 2 * 2, drawn[1] // 2 * 2 + 1
    founders = place < 20
    return Pedigree.of_places(
        np.where(founders | (dams >= place), -1, dams), np.where(founders | (sires >= place), -1, sires)
    )


@pytest.mark.parametrize("back", [30, 300, 3_000])
def test_the_moving_front_agrees_with_the_whole_matrix(back: int) -> None:
    """Overlapping generations, breeders short-lived, long-lived and immortal."""
    pedigree = random_mating(3_000, back, seed=back)
    matrix = kinship_matrix(pedigree)
    assert inbreeding(pedigree) == pytest.approx(2 * matrix.diagonal() - 1, abs=1e-12)
    places = np.random.default_rng(1).integers(0, 3_000, (400, 2))
    pairs = [(str(one), str(other)) for one, other in places]
    assert kinships(pedigree, pairs) == pytest.approx(matrix[places[:, 0], places[:, 1]].tolist(), abs=1e-12)


def test_where_everything_breeds_late_the_shares_of_ancestors_take_over(monkeypatch: pytest.MonkeyPatch) -> None:
    pedigree = random_mating(1_500, 1_500, seed=8)
    matrix = kinship_matrix(pedigree)
    monkeypatch.setattr(fronts, "NARROW", 0)
    assert inbreeding(pedigree) == pytest.approx(2 * matrix.diagonal() - 1, abs=1e-12)
    monkeypatch.setattr(fronts, "WIDEST", 0)
    assert inbreeding(pedigree) == pytest.approx(2 * matrix.diagonal() - 1, abs=1e-12)
    monkeypatch.setattr(fronts, "SHARES", 1_000)
    with pytest.raises(TooLarge) as refused:
        inbreeding(pedigree)
    assert 0 < refused.value.fits < 1_500


@settings(max_examples=30, deadline=None)
@given(st.integers(2, 60), st.integers(0, 10**6))
def test_the_front_and_the_shares_agree_step_by_step(count: int, seed: int) -> None:
    nodes, _ = nodes_of(random_mating(count, count, seed))
    for plan in (schedule.by_generation(nodes), schedule.as_given(nodes)):
        found, done = fronts.by_shares(nodes, plan)
        assert done == count
        assert fronts.by_matrix(nodes, plan) == pytest.approx(found, abs=1e-12)
