"""What keepers type of a trait's way of inheritance."""

from fractions import Fraction

import pytest

from bot.services.refusals import Refusal, WordNotKnown
from bot.services.refusals_traits import ModelNotPossible, ShareNotRead, TraitTextNotRead
from bot.services.shares import read_share
from bot.services.trait_models import USUAL, Distance, Gap, TraitModel, Vigour
from bot.services.trait_words import ModelText, read_gaps, read_model_text, read_names
from genetics import Sex, Where

F = Fraction


@pytest.mark.parametrize(
    ("text", "share"),
    [
        ("70 %", F(7, 10)),
        ("70%", F(7, 10)),
        ("0.7", F(7, 10)),
        (".7", F(7, 10)),
        ("0,7", F(7, 10)),
        ("7/10", F(7, 10)),
        ("7 in 10", F(7, 10)),
        ("7 out of 10", F(7, 10)),
        ("66.5 percent", F(133, 200)),
        ("all", F(1)),
        ("none", F(0)),
        ("0", F(0)),
        ("100 %", F(1)),
    ],
)
def test_shares_are_read_as_people_type_them(text: str, share: Fraction) -> None:
    assert read_share("penetrance", text) == share


@pytest.mark.parametrize("text", ["", "70", "1", "seven", "7 of", "7/0", "-5 %", "7e2 %"])
def test_what_is_no_share_is_refused(text: str) -> None:
    """A bare 70 or 1 may be per cent or animals."""
    with pytest.raises(ShareNotRead) as caught:
        read_share("penetrance", text)
    assert (caught.value.what, caught.value.over) == ("penetrance", False)


@pytest.mark.parametrize("text", ["170 %", "8 in 7", "100.1 %"])
def test_more_than_all_is_refused_as_such(text: str) -> None:
    with pytest.raises(ShareNotRead) as caught:
        read_share("penetrance", text)
    assert caught.value.over


@pytest.mark.parametrize(
    ("fields", "model"),
    [
        ({"place": "x or z"}, TraitModel(where=Where.SHARED)),
        ({"place": "W"}, TraitModel(where=Where.LIMITED)),
        ({"place": "Mothers alone"}, TraitModel(where=Where.CYTOPLASM)),
        ({"place": "autosomal"}, USUAL),
        ({"sex": "females only"}, TraitModel(shown_in=Sex.FEMALE)),
        ({"sex": "Male"}, TraitModel(shown_in=Sex.MALE)),
        ({"sex": "both"}, USUAL),
        ({"penetrance": "70 %"}, TraitModel(penetrance=F(7, 10))),
        ({"phenocopies": "2 %"}, TraitModel(phenocopies=F(1, 50))),
        ({"week": "8"}, TraitModel(week=8)),
        ({"week": "from week 8 on"}, TraitModel(week=8)),
        ({"week": "8 weeks"}, TraitModel(week=8)),
        ({"survival": "lethal"}, TraitModel(lives=(Vigour(2, F(0)),))),
        ({"survival": "Two copies lethal"}, TraitModel(lives=(Vigour(2, F(0)),))),
        ({"survival": "two copies are dead"}, TraitModel(lives=(Vigour(2, F(0)),))),
        (
            {"survival": "two copies: 50 % live; one copy in males 0.9"},
            TraitModel(lives=(Vigour(1, F(9, 10), Sex.MALE), Vigour(2, F(1, 2)))),
        ),
        ({"survival": "no harm"}, USUAL),
    ],
)
def test_a_model_is_read_from_its_words(fields: dict[str, str], model: TraitModel) -> None:
    assert read_model_text(ModelText(**fields), USUAL) == model


def test_what_is_left_empty_stays_as_it_was() -> None:
    before = TraitModel(Where.SHARED, F(7, 10), F(1, 50), None, 8, (Vigour(2, F(0)),))
    assert read_model_text(ModelText(), before) == before
    after = read_model_text(ModelText(penetrance="all", survival="no harm"), before)
    assert after == TraitModel(Where.SHARED, F(1), F(1, 50), None, 8)


@pytest.mark.parametrize(
    ("fields", "kind"),
    [
        ({"place": "sex-linked"}, WordNotKnown),
        ({"sex": "some"}, WordNotKnown),
        ({"penetrance": "often"}, ShareNotRead),
        ({"penetrance": "170 %"}, ShareNotRead),
        ({"phenocopies": "60 %"}, ModelNotPossible),
        ({"week": "soon"}, TraitTextNotRead),
        ({"week": "-3"}, TraitTextNotRead),
        ({"survival": "some die"}, TraitTextNotRead),
        ({"survival": "three copies lethal"}, TraitTextNotRead),
        ({"survival": "two copies sometimes"}, ShareNotRead),
    ],
)
def test_words_that_mean_nothing_here_are_refused(fields: dict[str, str], kind: type[Refusal]) -> None:
    """The trade says sex-linked of what is sex-limited as often as not (isopods.md §7.6), so it is taken for neither."""
    with pytest.raises(kind):
        read_model_text(ModelText(**fields), USUAL)


@pytest.mark.parametrize(
    ("text", "gaps"),
    [
        ("10 %", (Gap(F(1, 10)),)),
        ("0.1", (Gap(F(1, 10)),)),
        ("0 %", (Gap(F(0)),)),
        ("10 %, 5 cM", (Gap(F(1, 10)), Gap(F(5), Distance.HALDANE))),
        ("12.5 cM Kosambi; 1 in 4", (Gap(F(25, 2), Distance.KOSAMBI), Gap(F(1, 4)))),
        ("12,5 cM (Kosambi)", (Gap(F(25, 2), Distance.KOSAMBI),)),
    ],
)
def test_distances_are_read_as_people_type_them(text: str, gaps: tuple[Gap, ...]) -> None:
    assert read_gaps(text) == gaps


@pytest.mark.parametrize(("text", "kind"), [("far", ShareNotRead), ("60 %", ModelNotPossible), ("12", ShareNotRead)])
def test_distances_that_cannot_be_are_refused(text: str, kind: type[Refusal]) -> None:
    with pytest.raises(kind):
        read_gaps(text)


def test_names_are_parted_by_commas_arrows_and_ands() -> None:
    assert read_names(" ember,  white  eye ") == ("ember", "white eye")
    assert read_names("ember > wild > ash") == ("ember", "wild", "ash")
    assert read_names("ember and ash") == ("ember", "ash")
    assert read_names("") == ()
