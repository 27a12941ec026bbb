"""Counts of a brood: read as people type them, and held against their cross."""

import asyncio
import time
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.services.observed import observed_of
from bot.services.observed_text import MOST_SEEN, Looks, read_observed
from bot.services.refusals import CountNotRead, CountProblem, ObservedNotRead, Refusal, TooCostly
from bot.services.traits import define_trait
from genetics import Appearance, Dominance, Trait
from tests.support.asking import Asking
from tests.support.genetic_strategies import trait_lists

WILD, PARTIAL, FULL = Appearance.WILD, Appearance.PARTIAL, Appearance.FULL
EMBER = Trait("ember", "e", Dominance.RECESSIVE)
FROST = Trait("frost", "f", Dominance.RECESSIVE)
DUSK = Trait("dusk", "d", Dominance.INCOMPLETE)
PALE = Trait("pale", "p", Dominance.DOMINANT)


def named(name: str) -> Trait:
    return Trait(name, "q", Dominance.RECESSIVE)


def looks_of(*traits: Trait) -> list[Looks]:
    """Every look there may be of these traits."""
    shown = [(WILD, PARTIAL, FULL) if t.dominance is Dominance.INCOMPLETE else (WILD, FULL) for t in traits]
    return list(product(*shown))


def counts(text: str, *traits: Trait) -> dict[str, int]:
    """What was read, with looks joined by a slash."""
    read = read_observed(text, traits, looks_of(*traits))
    return {"/".join(looks): number for looks, number in read.counts.items()}


BROOD = {"full": 6, "wild": 17}


@pytest.mark.parametrize(
    "text",
    [
        "6 ember, 17 wild", "17 wild, 6 ember", "17 wild and 6 ember", "6 ember 17 wild", "6 embers, 17 wilds",
        "wild 17, ember 6", "wild 17 ember 6", "wild 17 and ember 6", "ember 6, 17 wild", "17 wild, ember 6",
        "6 Ember; 17 WILD", "6 ember + 17 wild", "6 ember & 17 wild", "6 ember / 17 wild", "6 ember · 17 wild",
        "6 ember\n17 wild", "- 6 ember\n- 17 wild", "ember: 6, wild: 17", "ember:6 wild:17", "ember=6, wild=17",
        "ember - 6, wild - 17", "6x ember, 17x wild", "6 × ember, 17×wild", "ember x6, wild x17", "6ember,17wild",
        "six ember, 17 wild", "6 ember, 17 wild-looking", "6 ember 17 wildtype", "6 ember and 17 wild type ones",
        "6 visual ember, 17 normal", "6 visuals, 17 wild", "6 ember, 17 no ember", "6 ember, 17 not ember",
        "6 of them ember, 17 wild", "6 young were ember, 17 looking wild", "  6   ember ,, 17 wild. ",
        "4 ember, 17 wild, 2 ember", "· wild-looking: **17** seen\n· ember: **6** seen", "6 ember but 17 wild",
        "0 ember, 6 ember, 17 wt", "and 6 ember and 17 wild", "６ ember, １７ wild",
    ],
)  # fmt: skip
def test_a_brood_is_read_however_it_is_typed(text: str) -> None:
    assert counts(text, EMBER) == BROOD


@pytest.mark.parametrize(
    ("text", "read"),
    [
        ("1,200 wild, 380 ember", {"wild": 1200, "full": 380}),
        ("wild 1,200, ember 380", {"wild": 1200, "full": 380}),
        ("1 200 wild 380 ember", {"wild": 1200, "full": 380}),
        ("1'200 wild", {"wild": 1200}),
        ("6 ember", {"full": 6}),
        ("17 wild, no ember", {"wild": 17}),
        ("no ember, 17 wild", {"wild": 17}),
        ("zero ember, twelve wild", {"full": 0, "wild": 12}),
        ("0 ember, 5 wild", {"full": 0, "wild": 5}),
        ("6 ember,17 wild", {"full": 6, "wild": 17}),
    ],
)
def test_numbers_are_read_as_people_write_them(text: str, read: dict[str, int]) -> None:
    assert {look: n for look, n in counts(text, EMBER).items() if n} == {look: n for look, n in read.items() if n}


@pytest.mark.parametrize(
    "text", ["~6 ember, 17 wild", "about 6 ember, 17 wild", "6ish ember 17 wild", "ember 6, wild ca. 17"]
)
def test_estimates_are_counts_that_are_known_as_estimates(text: str) -> None:
    read = read_observed(text, [EMBER], looks_of(EMBER))
    assert dict(read.counts) == {(FULL,): 6, (WILD,): 17}
    assert read.estimated
    assert not read_observed("6 ember", [EMBER], looks_of(EMBER)).estimated


def test_dozens_are_read() -> None:
    assert counts("2 dozen wild, half a dozen ember", EMBER) == {"wild": 24, "full": 6}
    assert counts("a dozen wild", EMBER) == {"wild": 12}


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("Blue Moon", "6 blue moon, 17 wild"),
        ("Blue Moon", "6 Blue  Moons 17 wild"),
        ("Blue Moon", "blue moon 6, wild 17"),
        ("wild rose", "6 wild rose, 17 wild"),
        ("wild rose", "17 wild and 6 wild roses"),
        ("🔥", "6 🔥, 17 wild"),
        ("🔥", "🔥6 wild 17"),
        ("👩‍🔬 lab", "6 👩‍🔬 lab 17 wild"),
        ("T2", "6 T2, 17 wild"),
        ("T2", "t2 6, wild 17"),
        ("no 7", "6 no 7, 17 wild"),
        ("7", "6 7, 17 wild"),
        ("17", "6 17, 17 wild"),
        ("200", "6 200, 17 wild"),
        ("±", "6 ±, 17 wild"),
        ("dozen", "6 dozen, 17 wild"),
        ("0.5", "6 0.5 and 17 wild"),
        ("white-out", "6 white-out, 17 wild"),
        ("x-ray", "6 x-ray, 17 wild"),
        ("Straße", "6 STRASSE, 17 wild"),
        ("высокий", "6 высокий, 17 wild"),
        ("het-like", "6 het-like, 17 wild"),
        ("a:b", "6 a:b, 17 wild"),
        ("one", "6 one, 17 wild"),
        ("young", "6 young, 17 wild"),
        ("dalmatian II", "6 dalmatian ii, 17 wild"),
        ("e\u0301toile", "6 étoile, 17 wild"),
    ],
)
def test_the_names_of_traits_go_before_what_words_mean_otherwise(name: str, text: str) -> None:
    assert counts(text, named(name)) == {"full": 6, "wild": 17}


def test_a_longer_name_goes_before_a_shorter_one() -> None:
    blue, moon = Trait("blue", "b", Dominance.RECESSIVE), Trait("blue moon", "m", Dominance.RECESSIVE)
    assert counts("3 blue moon, 4 blue, 1 blue moon and blue", blue, moon) == {
        "wild/full": 3,
        "full/wild": 4,
        "full/full": 1,
    }


@pytest.mark.parametrize(
    "text",
    [
        "9 wild, 3 ember, 4 frost, 1 ember frost",
        "9 wild, 3 ember, 4 frost, 1 ember and frost",
        "9 wild 3 ember 4 frost 1 frost and ember",
        "wild 9 ember 3 frost 4 ember and frost 1",
        "9 wild, 3 ember, 4 frost, 1 both",
        "9 neither, 3 ember only, 4 frost only, 1 both ember and frost",
        "9 wild, 3 ember, no frost, 4 frost, no ember, 1 ember & frost",
        "9 no ember no frost, 3 ember but no frost, 4 not ember but frost, 1 ember + frost",
        "9 no ember or no frost, 3 ember, 4 frost, 1 both",
        "wild-looking 9; ember, no frost 3; frost, no ember 4; ember and frost 1",
    ],
)
def test_young_that_show_two_traits_are_a_class_of_their_own(text: str) -> None:
    read = {"wild/wild": 9, "full/wild": 3, "wild/full": 4, "full/full": 1}
    assert counts(text, EMBER, FROST) == read


@pytest.mark.parametrize(
    "text",
    [
        "5 dusk, 9 het dusk, 6 wild",
        "5 super dusk, 9 het dusk, 6 wild",
        "5 dusk in two doses, 9 dusk in one dose, 6 wild",
        "dusk in two doses: 5, dusk in one dose: 9, wild 6",
        "5 homozygous dusk 9 partial dusk 6 wild",
        "5 double dose dusk, 9 single-dose dusk, 6 wild",
        "9 dusk het, 5 dusk, 6 wild",
    ],
)
def test_doses_of_an_incompletely_dominant_trait_are_told_apart(text: str) -> None:
    assert counts(text, DUSK) == {"full": 5, "partial": 9, "wild": 6}


def test_a_bare_name_means_the_one_dose_that_the_cross_can_give() -> None:
    for look in (PARTIAL, FULL):
        assert dict(read_observed("6 dusk, 5 wild", [DUSK], [(WILD,), (look,)]).counts) == {(look,): 6, (WILD,): 5}
    with pytest.raises(ObservedNotRead) as caught:
        counts("6 dusk, 5 wild", DUSK)
    assert caught.value.doses
    assert caught.value.rest == "dusk"


def test_a_trait_called_like_a_number_is_never_taken_for_one() -> None:
    for text in ("1 frost and 7 no ember", "1 frost 7 ember", "17 wild and 7 7"):
        with pytest.raises(ObservedNotRead):
            counts(text, EMBER, FROST, named("7"))
    assert counts("1 frost, 7 ember, 7 7", EMBER, FROST, named("7")) == {
        "wild/full/wild": 1,
        "full/wild/wild": 7,
        "wild/wild/full": 7,
    }


def test_doses_beside_another_trait_are_read_as_the_reply_says_them() -> None:
    text = "4 ember and dusk in one dose, 3 dusk in two doses, no ember, 2 ember, no dusk, 1 wild-looking"
    assert counts(text, EMBER, DUSK) == {"full/partial": 4, "wild/full": 3, "full/wild": 2, "wild/wild": 1}


def test_a_dominant_trait_shows_or_does_not() -> None:
    assert counts("12 pale, 4 wild", PALE) == {"full": 12, "wild": 4}
    assert counts("pales 12, wild 4", PALE) == {"full": 12, "wild": 4}


@pytest.mark.parametrize(
    ("text", "rest"),
    [
        ("6 embrr, 17 wild", "embrr"),
        ("6, 17", "6"),
        ("6", "6"),
        ("ember", "ember"),
        ("ember, wild", "ember"),
        ("6 ember 17", "6 ember 17"),
        ("ember 6 wild", "ember 6 wild"),
        ("wild 17 380 ember", "wild 17 380 ember"),
        ("6 het ember", "het ember"),
        ("6 super ember", "super ember"),
        ("6 wild ember", "wild ember"),
        ("6 ember ember", "ember ember"),
        ("6 no", "no"),
        ("no, 6 ember", "no"),
        ("6 male ember", "male ember"),
        ("25% ember", "% ember"),
        ("6 young", "6"),
        ("23 total: 6 ember 17 wild", "total"),
        ("6 ember, frost, 17 wild", "frost"),
        ("6 frost", "frost"),
        ("6 both", "both"),
        ("6 ember (isolated)", "ember (isolated)"),
        ("6 emberish", "emberish"),
        ("6 ember or wild", "ember or wild"),
        ("6 het", "het"),
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_refused_with_the_part(text: str, rest: str) -> None:
    with pytest.raises(ObservedNotRead) as caught:
        counts(text, EMBER)
    assert (caught.value.text, caught.value.rest, caught.value.known) == (text, rest, ("ember",))
    assert not caught.value.doses


@pytest.mark.parametrize(
    "text",
    [
        "6 no ember and frost",
        "6 no ember frost",
        "6 both ember",
        "6 neither ember",
        "6 visuals",
        "6 both wild",
        "6 ember or frost",
        "6 ember or",
    ],
)
def test_what_may_mean_two_things_is_refused(text: str) -> None:
    with pytest.raises(ObservedNotRead):
        counts(text, EMBER, FROST)


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("", CountProblem.NO_NUMBER),
        (" , ", CountProblem.NO_NUMBER),
        ("0 ember, 0 wild", CountProblem.NO_NUMBER),
        ("no ember", CountProblem.NO_NUMBER),
        ("-6 ember, 17 wild", CountProblem.NEGATIVE),
        ("6.5 ember, 17 wild", CountProblem.NOT_WHOLE),
        ("10,001 wild", CountProblem.TOO_MANY),
        ("6000 wild, 6000 ember", CountProblem.TOO_MANY),
        (f"{'9' * 250} wild", CountProblem.TOO_MANY),
    ],
)
def test_numbers_that_cannot_be_are_refused_as_numbers(text: str, problem: CountProblem) -> None:
    with pytest.raises(CountNotRead) as caught:
        counts(text, EMBER)
    assert caught.value.problem is problem


def test_a_cross_that_names_no_trait_has_wild_young_only() -> None:
    assert counts("17 wild") == {"": 17}
    with pytest.raises(ObservedNotRead) as caught:
        counts("6 ember, 17 wild")
    assert caught.value.known == ()


SCRIBBLES = st.lists(
    st.one_of(
        st.text(max_size=6),
        st.sampled_from(
            [" ", ", ", "6", "17 ", "1,200", "-", "~", "about ", "dozen", "one", "ember", "frost", "dusk", "pale", "wild", "no ",
             "het ", "super ", "both", "in one dose", "and", "x", "×", ":", "**", "\n", "·", "½", "²", "٣", "🔥", "a doz"]
        ),
    ),
    max_size=14,
).map("".join)  # fmt: skip


@given(SCRIBBLES)
def test_whatever_is_typed_is_read_or_refused_in_kind(text: str) -> None:
    traits = (EMBER, FROST, DUSK, PALE)
    try:
        read = read_observed(text, traits, looks_of(*traits))
    except (ObservedNotRead, CountNotRead):
        return
    assert 0 < sum(read.counts.values()) <= MOST_SEEN
    assert set(read.counts) <= set(looks_of(*traits))


@given(trait_lists(), st.data())
def test_what_is_written_with_every_trait_named_reads_back(traits: tuple[Trait, ...], data: st.DataObject) -> None:
    """Names of any script. What looks like a number or a mark may be refused, and is never read as something else."""
    state = {WILD: "without", PARTIAL: "het", FULL: "homozygous"}
    looks = data.draw(st.lists(st.sampled_from(looks_of(*traits)), min_size=1, max_size=4, unique=True))
    numbers = data.draw(st.lists(st.integers(1, 999), min_size=len(looks), max_size=len(looks)))
    written = []
    for number, look in zip(numbers, looks, strict=True):
        said = [
            trait.name if one is FULL and trait.dominance is not Dominance.INCOMPLETE else f"{state[one]} {trait.name}"
            for trait, one in sorted(zip(traits, look, strict=True), key=lambda pair: pair[1] is WILD)
        ]
        written.append(f"{number} {' and '.join(said)}")
    try:
        read = read_observed("\n".join(written), traits, looks_of(*traits))
    except (ObservedNotRead, CountNotRead):
        read = None
    if read is None:
        assert not all(trait.name.replace(" ", "").isalpha() for trait in traits)
    else:
        assert dict(read.counts) == dict(zip(looks, numbers, strict=True))


# ---- beside the cross


async def with_traits(asking: Asking, *names: str, dominance: str = "recessive") -> None:
    for name in names:
        await define_trait(asking.desk, asking.by(), name=name, dominance=dominance)


async def test_counts_stand_in_the_order_of_the_classes(asking: Asking) -> None:
    await with_traits(asking, "ember")
    observed = await observed_of(asking.desk, asking.by(), "het ember x het ember", "6 ember, 17 wild")
    assert [(one.count, str(one.share)) for one in observed.seen] == [(17, "3/4"), (6, "1/4")]
    assert observed.fit is not None
    assert observed.fit.fits
    assert (observed.total, observed.impossible, observed.chance) == (23, (), None)


async def test_a_class_that_nobody_saw_counts_as_none(asking: Asking) -> None:
    await with_traits(asking, "ember")
    observed = await observed_of(asking.desk, asking.by(), "het ember x het ember", "40 wild")
    assert [one.count for one in observed.seen] == [40, 0]
    assert observed.fit is not None
    assert not observed.fit.fits


async def test_a_bins_code_stands_for_its_animals_beside_counts_too(asking: Asking) -> None:
    await with_traits(asking, "ember")
    with pytest.raises(Refusal):
        await observed_of(asking.desk, asking.by(), "B-9 x het ember", "6 ember")


async def test_more_looks_than_a_test_takes_are_refused(asking: Asking) -> None:
    names = ("amber", "brick", "coral", "dune")
    await with_traits(asking, *names, dominance="incompletely dominant")
    side = ", ".join(f"het {name}" for name in names)
    with pytest.raises(TooCostly):
        await observed_of(asking.desk, asking.by(), f"{side} x {side}", "6 wild")


async def test_a_slow_test_keeps_nobody_else_waiting(asking: Asking) -> None:
    """The worst that may be asked takes over a second; meanwhile the loop is not held for a quarter of that."""
    names = ("amber", "brick", "coral", "dune", "fern")
    await with_traits(asking, *names)
    side = ", ".join(f"het {name}" for name in names)
    seen = ", ".join(f"300 {name}" for name in names)
    asked = asyncio.create_task(observed_of(asking.desk, asking.by(), f"{side} x {side}", f"{seen}, 800 wild"))
    longest, before = 0.0, time.perf_counter()
    while not asked.done():
        await asyncio.sleep(0.001)
        longest, before = max(longest, time.perf_counter() - before), time.perf_counter()
    assert (await asked).fit is not None
    assert longest < 0.25
