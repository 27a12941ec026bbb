"""The verdict word: each condition by itself, and what is missing named with its figures (science.md §5)."""

from dataclasses import replace

import pytest

from genetics.errors import EvidenceFault, EvidenceRefused
from genetics.evidence.explanations import Cause, Explanation, default_table, sceptic
from genetics.evidence.findings import BroodSays, Lack, Missing, Share, Word
from genetics.evidence.programme import Brood, Dam, Founders, Kept, Mated, Pairing, Programme, Stock
from genetics.evidence.verdicts import verdict
from genetics.evidence.weighing import weigh
from tests.support.programmes import FULL, WILD, F, M, brood, isolated, programme, unsexed

GROUPS = [Founders("odd", M, odd=True), Founders("a", F, look=WILD), Founders("b", F, look=WILD), Founders("w", M)]


def held(*broods: Brood) -> Programme:
    pairings = [isolated("A", "a", "odd"), isolated("B", "b", "odd"), isolated("clean", "b", "w")]
    return programme(list(GROUPS), pairings, list(broods))


TWO_DAMS = held(brood("1", "A", unsexed(5, 20), "X"), brood("2", "B", unsexed(5, 20), "Y"))


def leader(posterior: float, sceptic: float = 0.99) -> list[Share]:
    return [
        Share(Cause.RECESSIVE, 0.3, -10.0, posterior, sceptic, 0.0),
        Share(Cause.NOT_INHERITED, 0.35, -20.0, 1 - posterior, 1 - sceptic, 0.0),
    ]


def says(*dropped: float) -> list[BroodSays]:
    return [BroodSays(str(at + 1), one, 0.0, 1.0) for at, one in enumerate(dropped)]


@pytest.mark.parametrize(
    ("posterior", "word", "following"),
    [
        (0.79, Word.OPEN, Word.LEANING),
        (0.80, Word.LEANING, Word.SUPPORTED),
        (0.949, Word.LEANING, Word.SUPPORTED),
        (0.95, Word.SUPPORTED, Word.ESTABLISHED),
        (0.989, Word.SUPPORTED, Word.ESTABLISHED),
        (0.99, Word.ESTABLISHED, None),
    ],
)
def test_the_words_by_the_posterior(posterior: float, word: Word, following: Word | None) -> None:
    found = verdict(TWO_DAMS, leader(posterior), says(0.99, 0.99), 1.0, {})
    assert (found.word, found.following) == (word, following)
    assert [one.lack for one in found.missing] == ([] if following is None else [Lack.POSTERIOR])


def lacks(
    programme_of: Programme, bins: dict[str, float] | None = None, **changed: float
) -> dict[Lack, tuple[float, float, str | None]]:
    found = verdict(
        programme_of,
        leader(0.999, changed.get("sceptic", 0.99)),
        says(0.99, changed.get("dropped", 0.99)),
        changed.get("fit", 1.0),
        {} if bins is None else bins,
    )
    return {one.lack: (one.found, one.needs, one.brood) for one in found.missing}


def test_each_condition_of_established_is_named_when_it_fails() -> None:
    assert lacks(TWO_DAMS) == {}
    one_dam = held(brood("1", "A", unsexed(5, 20), "X"), brood("2", "A", unsexed(5, 20), "Y"))
    assert lacks(one_dam) == {Lack.DAMS: (1, 2, None)}
    one_bin = held(brood("1", "A", unsexed(5, 20), "X"), brood("2", "B", unsexed(5, 20), "X"))
    assert lacks(one_bin) == {Lack.BINS: (1, 2, None)}
    found = held(brood("1", "A", unsexed(5, 20), "X", found=True), brood("2", "B", unsexed(5, 20), "Y", found=True))
    assert lacks(found) == {Lack.PLANNED: (0, 1, None)}
    assert lacks(TWO_DAMS, sceptic=0.94) == {Lack.SCEPTIC: (0.94, 0.95, None)}
    assert lacks(TWO_DAMS, dropped=0.9) == {Lack.DROPPED: (0.9, 0.95, "2")}
    unscored = held(brood("1", "A", unsexed(5, 20), "X"), brood("2", "B", (), "Y"))
    assert set(lacks(unscored)) == {Lack.DAMS, Lack.BINS}


def test_a_bad_fit_caps_at_leaning() -> None:
    found = verdict(TWO_DAMS, leader(0.999), says(0.99, 0.99), 0.009, {})
    assert (found.word, found.following) == (Word.LEANING, Word.SUPPORTED)
    assert [(one.lack, one.found, one.needs) for one in found.missing] == [(Lack.FIT, 0.009, 0.01)]


def test_wild_and_trait_families_side_by_side_stand_for_two_bins() -> None:
    beside = held(
        brood("1", "A", unsexed(5, 20), "X"),
        brood("2", "B", unsexed(5, 20), "X"),
        brood("3", "clean", unsexed(0, 20), "X", beside="1"),
    )
    assert lacks(beside) == {}
    both_trait = held(brood("1", "A", unsexed(5, 20), "X"), brood("2", "B", unsexed(5, 20), "X", beside="1"))
    assert Lack.BINS in lacks(both_trait)


def test_sisters_count_as_two_dams_and_two_possible_mothers_as_none() -> None:
    groups = [*GROUPS, Kept("s1", F, "1", look=WILD), Kept("s2", F, "1", look=WILD)]
    sisters = programme(
        groups,
        [isolated("A", "a", "odd"), isolated("S1", "s1", "odd"), isolated("S2", "s2", "odd")],
        [brood("1", "A", ((*unsexed(0, 0), *unsexed(5, 20))), "X"), brood("2", "S1", unsexed(9, 20), "Y")],
    )
    assert lacks(sisters) == {}
    open_bin = programme(
        GROUPS,
        [Pairing("P", (Dam("a", Mated.ISOLATED), Dam("b", Mated.ISOLATED)), ("odd",))],
        [brood("1", "P", unsexed(5, 20), "X"), brood("2", "P", unsexed(5, 20), "Y")],
    )
    assert lacks(open_bin) == {Lack.DAMS: (1, 2, None)}


def strong() -> Programme:
    return programme(
        [
            Founders("odd", M, odd=True, stock=Stock.HOME),
            *GROUPS[1:3],
            Kept("d", F, "F1a", look=WILD),
            Kept("s", M, "F1b", look=WILD),
            Kept("v", F, "BC", look=FULL),
        ],
        [
            isolated("A", "a", "odd"),
            isolated("B", "b", "odd"),
            isolated("back", "d", "odd"),
            isolated("sibs", "d", "s"),
            isolated("visuals", "v", "odd"),
        ],
        [
            brood("F1a", "A", unsexed(0, 30), "A"),
            brood("F1b", "B", unsexed(0, 30), "B"),
            brood("BC", "back", unsexed(20, 40), "A"),
            brood("BC2", "back", unsexed(19, 38), "B"),
            brood("F2", "sibs", unsexed(10, 40), "A"),
            brood("F2b", "sibs", unsexed(9, 37), "B"),
            brood("VV", "visuals", unsexed(30, 30), "A"),
            brood("VV2", "visuals", unsexed(26, 26), "B"),
        ],
    )


def test_a_clean_recessive_is_established_and_everything_told() -> None:
    found = weigh(strong())
    assert found.leader.cause is Cause.RECESSIVE
    assert found.verdict.word is Word.ESTABLISHED
    assert found.bayes_factor > 20
    assert all(one.dropped > 0.95 and one.fit > 0.05 for one in found.broods)
    assert found.fit > 0.05
    standing = {one.group: one for one in found.standings}
    assert standing["d"].carries == pytest.approx(1, abs=1e-6)
    assert standing["a"].carries < 0.01
    # No figure that rests on records is certain: the explanation itself may be wrong.
    assert standing["d"].overall < standing["d"].carries
    assert found.penetrance is not None
    assert found.penetrance.low <= found.penetrance.mean <= found.penetrance.high
    assert sum(weight for _, weight in found.penetrance.grid) == pytest.approx(1, abs=1e-12)


def test_a_brood_that_contradicts_the_leader_fits_badly_and_caps_the_word() -> None:
    """Visual × visual once gives two of 30: spoilt, or not what it is called. The leader stays, the word does not."""
    whole = strong()
    broods = tuple(replace(b, seen=unsexed(2, 30)) if b.name == "VV" else b for b in whole.broods)
    found = weigh(replace(whole, broods=broods))
    assert found.leader.cause is Cause.RECESSIVE
    assert min(found.broods, key=lambda one: one.fit).brood == "VV"
    assert found.fit < 0.01
    assert found.verdict.word in (Word.OPEN, Word.LEANING)


def test_priors_are_a_keepers_to_change() -> None:
    """By Bayes: odds of two explanations move by the ratio of their priors."""
    table = default_table()
    changed = {Cause.RECESSIVE: 0.10, Cause.NOT_INHERITED: 0.55}
    other = tuple(Explanation(r.cause, changed.get(r.cause, r.prior), r.grids, r.predicts) for r in table)
    whole = TWO_DAMS

    def odds(rows: tuple[Explanation, ...]) -> float:
        shares = {share.cause: share.posterior for share in weigh(whole, rows).shares}
        return shares[Cause.RECESSIVE] / shares[Cause.NOT_INHERITED]

    assert odds(other) / odds(table) == pytest.approx((0.10 / 0.55) / (0.30 / 0.35), rel=1e-9)


def test_the_sceptics_posterior_is_bayes_with_the_sceptics_prior() -> None:
    table = default_table()
    doubting = tuple(
        Explanation(row.cause, prior, row.grids, row.predicts) for row, prior in zip(table, sceptic(table), strict=True)
    )
    plain = {share.cause: share.sceptic for share in weigh(TWO_DAMS).shares}
    assert {share.cause: share.posterior for share in weigh(TWO_DAMS, doubting).shares} == pytest.approx(
        plain, abs=1e-12
    )


def test_nothing_scored_is_nothing_to_weigh() -> None:
    with pytest.raises(EvidenceRefused) as refused:
        weigh(held(brood("1", "A", ())))
    assert refused.value.fault is EvidenceFault.NO_SCORED


def test_records_that_nothing_can_give_are_refused() -> None:
    """Only the explanation for daughters is weighed, and the odd one is a son."""
    rows = tuple(
        Explanation(r.cause, float(r.cause is Cause.SEX_LIMITED), r.grids, r.predicts) for r in default_table()
    )
    both = programme(
        [Founders("odd", M, odd=True), Founders("odder", F, odd=True), Founders("a", F)],
        [isolated("P", "a", "odd")],
        [brood("1", "P", unsexed(1, 5))],
    )
    with pytest.raises(EvidenceRefused) as refused:
        weigh(both, rows)
    assert refused.value.fault is EvidenceFault.IMPOSSIBLE


def test_a_verdict_that_hangs_on_one_bin_is_not_established() -> None:
    """Without bin X it would be .6: two bins on record are not two bins that say so."""
    assert lacks(TWO_DAMS, {"X": 0.99, "Y": 0.96}) == {}
    found = verdict(TWO_DAMS, leader(0.999), says(0.99, 0.99), 1.0, {"X": 0.6, "Y": 0.99})
    assert (found.word, found.following) == (Word.SUPPORTED, Word.ESTABLISHED)
    assert found.missing == (Missing(Lack.ONE_BIN, 0.6, 0.95, bin="X"),)
    # What cannot be weighed does not count as enough.
    assert lacks(TWO_DAMS, {"X": float("nan"), "Y": 0.99}).keys() == {Lack.ONE_BIN}


def test_families_side_by_side_stand_for_two_bins_where_genes_are_said_and_nowhere_else() -> None:
    beside = held(
        brood("1", "A", unsexed(5, 20), "X"),
        brood("2", "B", unsexed(5, 20), "X"),
        brood("3", "clean", unsexed(0, 20), "X", beside="1"),
    )
    assert lacks(beside, {"X": 0.3}) == {}
    plain = replace(leader(0.999)[0], cause=Cause.NOT_INHERITED)
    found = verdict(beside, [plain, leader(0.999)[1]], says(0.99, 0.99), 1.0, {"X": 0.3})
    assert {one.lack for one in found.missing} == {Lack.BINS}


def test_the_posterior_without_a_bin_is_that_of_the_other_bins() -> None:
    """One warm bin shows in every family, and a cool one in none: without it nothing says "not inherited" firmly."""
    pairs = [isolated("A", "a", "odd"), isolated("B", "b", "odd"), isolated("clean", "b", "w")]
    broods = [brood("1", "A", unsexed(22, 40), "X"), brood("2", "clean", unsexed(20, 40), "X")]
    broods += [brood("3", "B", unsexed(19, 38), "X"), brood("4", "clean", unsexed(21, 40), "X")]
    cool = (brood("5", "A", unsexed(0, 20), "Y"), brood("6", "A", unsexed(0, 25), "Y"))
    whole = programme(list(GROUPS), pairs, [*broods, *cool])
    found = weigh(whole)
    assert found.leader.cause is Cause.NOT_INHERITED
    assert found.verdict.word is Word.SUPPORTED
    (missing,) = found.verdict.missing
    assert (missing.lack, missing.bin) == (Lack.ONE_BIN, "X")
    other = weigh(replace(whole, broods=cool))
    expected = next(share.posterior for share in other.shares if share.cause is Cause.NOT_INHERITED)
    assert missing.found == pytest.approx(expected, abs=1e-9)
