"""Several broods beside one cross, and young of which some may be misread."""

from fractions import Fraction

import pytest

from bot.services.judging import Task
from bot.services.observed import observed_of
from bot.services.observed_text import read_observed
from bot.services.refusals import ObservedNotRead
from bot.services.refusals_traits import ShareNotRead
from genetics import Appearance, Dominance, Trait
from tests.support.asking import Asking
from tests.support.founding import with_recessives

F = Fraction
EMBER, FROST = (Trait(name, name[0], Dominance.RECESSIVE) for name in ("ember", "frost"))
WILD, FULL = Appearance.WILD, Appearance.FULL
EVERY = [(WILD,), (FULL,)]
PLANTS = "round:angular 45:12, 27:8, 24:7, 19:10, 32:11, 26:6, 88:24, 22:10, 28:6, 25:7"
"""Seeds of ten plants of Mendel's first experiment (1866; Bateson 1902, p. 53)."""


@pytest.mark.parametrize(
    "text",
    [
        "6 ember, 17 wild; 4 ember, 12 wild",
        "6 ember, 17 wild\n4 ember, 12 wild",
        "ember 6, wild 17;ember 4, wild 12",
        "ember:wild 6:17, 4:12",
        "ember : wild = 6:17; 4:12",
        "ember:wild 6:17 4:12",
        "ember:wild-looking 6 : 17\n4 : 12",
        " ; 6 ember, 17 wild ; ; 4 ember, 12 wild;",
    ],
)
def test_several_broods_are_read_however_they_are_typed(text: str) -> None:
    found = read_observed(text, [EMBER], EVERY)
    assert [dict(brood) for brood in found.broods] == [{(FULL,): 6, (WILD,): 17}, {(FULL,): 4, (WILD,): 12}]
    assert found.counts == {(FULL,): 10, (WILD,): 29}


@pytest.mark.parametrize("text", ["6 ember; 17 wild", "6 ember\n17 wild", "6 ember, 17 wild;", "ember:wild 6:17"])
def test_parts_of_which_each_has_looks_of_its_own_are_one_brood(text: str) -> None:
    (brood,) = read_observed(text, [EMBER], EVERY).broods
    assert brood == {(FULL,): 6, (WILD,): 17}


@pytest.mark.parametrize("text", ["6:17", "6:17, 4:12", "6 : 17; 4 : 12"])
def test_numbers_of_which_nobody_says_what_they_are_of_are_asked_about(text: str) -> None:
    with pytest.raises(ObservedNotRead) as caught:
        read_observed(text, [EMBER], EVERY)
    assert caught.value.bare


@pytest.mark.parametrize("text", ["ember:wild 6:17:3", "ember:wild 6:17, 4", "embr:wild 6:17, 4:12", "ember 6:17"])
def test_a_heading_that_does_not_fit_its_numbers_is_refused(text: str) -> None:
    with pytest.raises(ObservedNotRead) as caught:
        read_observed(text, [EMBER], EVERY)
    assert not caught.value.bare


def test_looks_of_two_traits_head_their_numbers() -> None:
    found = read_observed("neither:ember:frost:both 9:3:3:1, 18:5:6:3", [EMBER, FROST], [])
    assert [sum(brood.values()) for brood in found.broods] == [16, 32]
    assert found.counts[FULL, FULL] == 4


async def test_mendels_ten_plants_fit_together_and_do_not_differ(asking: Asking) -> None:
    await with_recessives(asking, "angular")
    plants = PLANTS.replace("round", "wild")
    seen = await observed_of(asking.desk, asking.by(), "het angular x het angular", plants)
    assert seen.total == 336 + 101
    assert seen.fit is not None
    assert seen.fit.fits
    assert seen.broods is not None
    assert (len(seen.broods.each), seen.broods.heterogeneity.df) == (10, 9)
    assert seen.broods.heterogeneity.p is not None
    assert seen.broods.by_shuffling is not None
    # The χ² table and the deals, which are exact in kind, agree where the table may be used.
    assert seen.broods.by_shuffling.p == pytest.approx(seen.broods.heterogeneity.p, abs=0.03)
    assert seen.broods.by_shuffling.p > 0.4
    assert seen.each[0] == (45, 12)


async def test_broods_that_fit_together_may_differ_among_each_other(asking: Asking) -> None:
    await with_recessives(asking, "ember")
    text = "ember:wild 0:30, 15:15"
    seen = await observed_of(asking.desk, asking.by(), "het ember x het ember", text)
    assert seen.fit is not None
    assert seen.fit.fits
    assert seen.broods is not None
    assert seen.broods.by_shuffling is not None
    # By Fisher's exact test of 0 of 30 against 15 of 30 (hypergeometric): p = 2·C(30,15)/C(60,15).
    assert seen.broods.by_shuffling.p < 0.001


async def test_what_a_cross_cannot_give_can_be_misread(asking: Asking) -> None:
    await with_recessives(asking, "ember")
    ask = ("visual ember x visual ember", "38 ember, 2 wild")
    strict = await observed_of(asking.desk, asking.by(), *ask)
    assert [one.count for one in strict.impossible] == [2]
    seen = await observed_of(asking.desk, asking.by(), *ask, error="5%")
    assert not seen.impossible
    assert seen.error == F(1, 20)
    assert {one.looks[next(iter(one.looks))]: one.share for one in seen.seen} == {"wild": F(1, 20), "full": F(19, 20)}
    assert seen.fit is not None
    assert seen.fit.fits
    with pytest.raises(ShareNotRead):
        await observed_of(asking.desk, asking.by(), *ask, error="5")


async def test_misread_young_do_not_prove_a_possible_het(asking: Asking) -> None:
    await with_recessives(asking, "ember")
    ask = ("50% het ember x visual ember", "1 ember, 9 wild")
    assert (await observed_of(asking.desk, asking.by(), *ask)).chance == 1
    seen = await observed_of(asking.desk, asking.by(), *ask, error="1/20")
    # Bayes by hand: a carrier gives each young 1/2 to be read either way, a wild dam 1 in 20 to be read as ember.
    carrier, free = F(1, 2) ** 10, F(1, 20) * F(19, 20) ** 9
    assert seen.chance == carrier / (carrier + free)


async def test_broods_of_one_uncertain_pair_are_taken_together(asking: Asking) -> None:
    await with_recessives(asking, "ember")
    cross = "66% het ember x visual ember"
    apart = await observed_of(asking.desk, asking.by(), cross, "4 wild; 3 wild")
    assert len(apart.each) == 2
    assert apart.chance == (await observed_of(asking.desk, asking.by(), cross, "7 wild")).chance
    carrier = F(2, 3) * F(1, 2) ** 7
    assert apart.chance == carrier / (carrier + F(1, 3))


def test_only_what_takes_milliseconds_is_done_beside_everybody_elses_questions() -> None:
    half = (F(1, 2), F(1, 2))
    assert Task(((6, 17),), half).light
    assert not Task(((6, 17), (4, 12)), half).light
    assert not Task(((600, 17),), half).light
    assert not Task(((1, 1, 1),), (F(1, 4), F(1, 2), F(1, 4))).light


async def test_young_of_a_dam_that_had_males_before_say_whether_these_are_fathers(asking: Asking) -> None:
    """Bayes by hand, with the prior of half none, else 46, 72 or 98 % from the store with 1/6, 2/3 and 1/6."""
    await with_recessives(asking, "ember")
    cross = "visual ember had males of wild x visual ember"
    shares = {F(46, 100): F(1, 12), F(72, 100): F(1, 3), F(98, 100): F(1, 12)}
    all_ember = await observed_of(asking.desk, asking.by(), cross, "6 ember")
    stored = sum(chance * (1 - share) ** 6 for share, chance in shares.items())
    assert all_ember.sperm == stored / (stored + F(1, 2))
    assert (await observed_of(asking.desk, asking.by(), cross, "6 ember, 1 wild")).sperm == 1
    known = await observed_of(
        asking.desk, asking.by(), "visual ember had males of wild siring 28% x visual ember", "6 ember, 2 wild"
    )
    assert known.sperm is None
    assert known.fit is not None
