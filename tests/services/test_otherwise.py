"""What would change an answer: each assumption by a cross worked out by hand."""

from fractions import Fraction

import pytest

from bot.services.backgrounds import Beside
from bot.services.odds import odds_of
from bot.services.otherwise import Instead, Otherwise
from bot.services.relations import link_traits
from bot.services.trait_words import ModelText
from bot.services.traits import define_trait
from tests.support.asking import Asking

F = Fraction
HALF = F(1, 2)
VULGARE = "Armadillidium vulgare"


async def asked(asking: Asking, cross: str, shows: str = "recessive", **model: str) -> Otherwise | None:
    """What would change the answer to a cross of a trait called ash."""
    await define_trait(asking.desk, asking.by(), name="ash", dominance=shows, species=VULGARE, model=ModelText(**model))
    return (await odds_of(asking.desk, asking.by(), cross)).otherwise


@pytest.mark.parametrize(
    ("shows", "cross", "instead", "shares", "same"),
    [
        ("recessive", "visual ash x het ash", Instead.DOMINANT, (HALF, F(1)), True),
        ("recessive", "het ash x het ash", Instead.DOMINANT, (F(0),), False),
        ("recessive", "visual ash x wild", Instead.DOMINANT, (HALF, F(1)), False),
        ("recessive", "visual ash x visual ash", Instead.DOMINANT, (F(3, 4), F(1)), True),
        ("dominant", "het ash x wild", Instead.RECESSIVE, (F(0), HALF), True),
        ("dominant", "homozygous ash x wild", Instead.RECESSIVE, (F(0), HALF), False),
        ("inc dom", "het ash x het ash", Instead.DOSES_ALIKE, (F(3, 4),), False),
    ],
)
async def test_parents_of_the_same_looks_under_another_dominance(
    asking: Asking, shows: str, cross: str, instead: Instead, shares: tuple[Fraction, ...], same: bool
) -> None:
    """chat.md: "If it were dominant, half would show it or all would, depending on the visual parent"."""
    assert await asked(asking, cross, shows) == Otherwise(instead, ("ash",), shares, same)


@pytest.mark.parametrize(
    ("model", "shows", "instead", "share"),
    [
        ({"penetrance": "70 %"}, "recessive", Instead.ALWAYS_SHOWN, F(1, 4)),
        ({"phenocopies": "10 %"}, "recessive", Instead.ALWAYS_SHOWN, F(1, 4)),
        ({"survival": "two copies lethal"}, "dominant", Instead.HARMLESS, F(3, 4)),
    ],
)
async def test_the_same_genotypes_under_another_model(
    asking: Asking, model: dict[str, str], shows: str, instead: Instead, share: Fraction
) -> None:
    assert await asked(asking, "het ash x het ash", shows, **model) == Otherwise(instead, ("ash",), (share,), False)


async def test_a_trait_of_one_sex_is_held_against_the_sex_chromosome_where_these_parents_can_have_it_there(
    asking: Asking,
) -> None:
    """Z-linked recessive, visual dam × het sire: half of daughters and of sons; het dams do not exist there."""
    other = await asked(asking, "visual ash x het ash", sex="females only")
    assert other == Otherwise(Instead.SEX_CHROMOSOME, ("ash",), (), False, (HALF, HALF))
    het = (await odds_of(asking.desk, asking.by(), "het ash x het ash")).otherwise
    assert het == Otherwise(Instead.BOTH_SEXES, ("ash",), (F(1, 4),), False)


async def test_a_trait_on_the_sex_chromosome_is_held_against_one_sex_only(asking: Asking) -> None:
    other = await asked(asking, "visual ash x het ash", place="X or Z")
    assert other == Otherwise(Instead.ONE_SEX, ("ash",), (), False, (HALF, F(0)))


async def test_two_traits_are_held_against_lying_together_and_linked_ones_against_lying_apart(asking: Asking) -> None:
    """Double het × double het, by hand: unlinked 1/16; without recombination 1/4 in coupling, none in repulsion."""
    desk = asking.desk
    for name in ("ash", "soot"):
        await define_trait(desk, asking.by(), name=name, dominance="recessive")
    both = "het ash, het soot x het ash, het soot"
    apart = (await odds_of(desk, asking.by(), both)).otherwise
    assert apart == Otherwise(Instead.LINKED, ("ash", "soot"), (F(0), F(1, 4)), False)
    await link_traits(desk, asking.by(), traits="ash, soot", distance="10 %")
    tied = (await odds_of(desk, asking.by(), "+ +/a s x a s/a s")).otherwise
    assert tied == Otherwise(Instead.UNLINKED, ("ash", "soot"), (F(1, 4),), False)


@pytest.mark.parametrize(
    "cross", ["wild x wild", "2 het ash or 3 wild x het ash", "wild from (het ash x het ash) x het ash"]
)
async def test_nothing_is_supposed_of_parents_that_are_several_or_of_nothing(asking: Asking, cross: str) -> None:
    assert await asked(asking, cross) is None


async def test_a_share_of_daughters_stays_what_it_is(asking: Asking) -> None:
    await define_trait(asking.desk, asking.by(), name="ash", dominance="recessive", model=ModelText(sex="females only"))
    beside = Beside(daughters="80 %")
    odds = await odds_of(asking.desk, asking.by(), "het ash x het ash", beside)
    assert odds.otherwise == Otherwise(Instead.BOTH_SEXES, ("ash",), (F(1, 4),), False)
    assert (odds.grounds.daughters, odds.grounds.assumed) == (F(4, 5), False)
