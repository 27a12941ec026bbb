"""The cross that tells a trait shown in one sex only from one on a sex chromosome."""

from fractions import Fraction

import pytest

from bot.services.telling_apart import Contrast, Shares, contrast_of
from bot.services.trait_models import USUAL, TraitModel
from genetics import Dominance, Sex, SexSystem, Where

F = Fraction
NONE, HALF, ALL = F(0), F(1, 2), F(1)
LIMITED = {sex: TraitModel(shown_in=sex) for sex in Sex}
LINKED = TraitModel(where=Where.SHARED)


def contrast(dominance: Dominance, model: TraitModel, system: SexSystem) -> tuple[bool, Shares, Shares]:
    found = contrast_of(dominance, model, system)
    assert found is not None
    return found.back, found.limited, found.linked


def test_woodlice_with_zw_females_as_the_trait_dam_tells_them() -> None:
    """science.md §5. Recessive: F1 son × trait dam, half of sons and daughters if Z-linked, else half of daughters and no
    sons. Dominant: trait daughters and no trait sons in F1 means sex-limited; Z-linked gives the reverse (by hand)."""
    recessive = contrast(Dominance.RECESSIVE, LIMITED[Sex.FEMALE], SexSystem.ZZ_ZW)
    assert recessive == (True, Shares(HALF, NONE), Shares(HALF, HALF))
    dominant = contrast(Dominance.DOMINANT, LIMITED[Sex.FEMALE], SexSystem.ZZ_ZW)
    assert dominant == (False, Shares(HALF, NONE), Shares(NONE, ALL))


def test_where_males_have_unlike_chromosomes_the_first_cross_tells() -> None:
    """Morgan 1910: white-eyed dams have white-eyed sons; a sex-limited recessive shows in no young of that cross."""
    for model in (LIMITED[Sex.FEMALE], LINKED):
        assert contrast(Dominance.RECESSIVE, model, SexSystem.XX_XY) == (False, Shares(NONE, NONE), Shares(NONE, ALL))


@pytest.mark.parametrize("system", [SexSystem.ZZ_ZW, SexSystem.XX_XY, SexSystem.X0])
@pytest.mark.parametrize("dominance", Dominance)
@pytest.mark.parametrize("sex", Sex)
def test_there_is_always_a_cross_that_tells_and_the_sex_that_hides_it_shows_nothing(
    sex: Sex, dominance: Dominance, system: SexSystem
) -> None:
    found = contrast_of(dominance, LIMITED[sex], system)
    assert isinstance(found, Contrast)
    assert found.limited != found.linked
    assert (found.limited.sons if sex is Sex.FEMALE else found.limited.daughters) == 0


def test_nothing_is_told_of_other_traits_or_without_the_sex_chromosomes() -> None:
    assert contrast_of(Dominance.RECESSIVE, USUAL, SexSystem.ZZ_ZW) is None
    assert contrast_of(Dominance.RECESSIVE, TraitModel(where=Where.LIMITED), SexSystem.ZZ_ZW) is None
    for system in (SexSystem.UNKNOWN, SexSystem.HAPLODIPLOID, SexSystem.THELYTOKOUS):
        assert contrast_of(Dominance.RECESSIVE, LIMITED[Sex.FEMALE], system) is None
