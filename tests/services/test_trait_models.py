"""How traits are inherited and what they are to each other, as values and as the documents that the book keeps."""

import json
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.services.trait_models import (
    USUAL,
    Distance,
    Gap,
    Linkage,
    Series,
    Together,
    TraitModel,
    Vigour,
    read_linkage,
    read_model,
    read_series,
    read_together,
    write_linkage,
    write_model,
    write_series,
    write_together,
)
from genetics import Interaction, ModelFault, ModelRefused, OutOfRange, Sex, Where

shares = st.fractions(0, 1, max_denominator=1000)
vigours = st.builds(
    Vigour,
    copies=st.integers(0, 2),
    rate=st.fractions(0, 3, max_denominator=100),
    sex=st.sampled_from([None, *Sex]),
)
models = st.builds(
    TraitModel,
    where=st.sampled_from(Where),
    penetrance=shares,
    phenocopies=st.fractions(0, Fraction(1, 2), max_denominator=1000),
    shown_in=st.sampled_from([None, *Sex]),
    week=st.integers(0, 200),
    lives=st.lists(vigours, max_size=3).map(tuple),
)
gaps = st.builds(Gap, figure=st.fractions(0, Fraction(1, 2), max_denominator=400)) | st.builds(
    Gap,
    figure=st.fractions(0, 200, max_denominator=50),
    by=st.sampled_from([Distance.HALDANE, Distance.KOSAMBI]),
)
several = st.lists(gaps, min_size=1, max_size=4).map(tuple)
linkages = st.builds(Linkage, dam=several, sire=st.none() | several)
doses = st.lists(st.none() | st.integers(0, 2), min_size=1, max_size=3).map(tuple)
tables = st.lists(st.tuples(doses, st.integers(0, 5)), min_size=1, max_size=4).map(tuple)
together = st.builds(Together, kind=st.sampled_from(Interaction)) | st.builds(Together, kind=st.none(), rules=tables)


def stored(document: object) -> str:
    """The document as the book's column has it."""
    return json.dumps(document, sort_keys=True, separators=(",", ":"))


@given(models)
def test_a_model_comes_back_from_its_document(model: TraitModel) -> None:
    document = write_model(model)
    assert read_model(None if document is None else stored(document)) == model
    assert (document is None) == model.plain


@given(linkages)
def test_a_linkage_comes_back_from_its_document(linkage: Linkage) -> None:
    assert read_linkage(stored(write_linkage(linkage))) == linkage


@given(st.integers(0, 20))
def test_a_series_comes_back_from_its_document(wild: int) -> None:
    assert read_series(stored(write_series(Series(wild)))) == Series(wild)


@given(together)
def test_a_look_made_together_comes_back_from_its_document(made: Together) -> None:
    assert read_together(stored(write_together(made))) == made


def test_documents_say_their_version_and_hold_only_what_is_not_as_usual() -> None:
    assert write_model(USUAL) is None
    assert write_model(TraitModel(penetrance=Fraction(7, 10))) == {"v": 1, "penetrance": "7/10"}
    assert write_linkage(Linkage((Gap(Fraction(1, 10)),))) == {"v": 1, "dam": ["1/10"]}


def test_a_document_of_a_later_version_is_not_guessed_at() -> None:
    with pytest.raises(ValueError, match="version 2"):
        read_model('{"v":2}')


@pytest.mark.parametrize(
    ("fields", "name"),
    [
        ({"penetrance": Fraction(3, 2)}, "penetrance"),
        ({"phenocopies": Fraction(-1, 2)}, "share of look-alikes"),
        ({"phenocopies": Fraction(2, 3)}, "share of look-alikes"),
    ],
)
def test_figures_outside_what_they_can_be_are_refused(fields: dict[str, Fraction], name: str) -> None:
    with pytest.raises(OutOfRange) as caught:
        TraitModel(**fields)  # type: ignore[arg-type]  # one field at a time
    assert caught.value.name == name


def test_other_figures_outside_what_they_can_be_are_refused_too() -> None:
    with pytest.raises(OutOfRange):
        Vigour(3, Fraction(1))
    with pytest.raises(OutOfRange):
        Vigour(2, Fraction(-1))
    with pytest.raises(OutOfRange):
        Gap(Fraction(-5), Distance.HALDANE)
    with pytest.raises(ModelRefused) as caught:
        Gap(Fraction(3, 5))
    assert caught.value.fault is ModelFault.RECOMBINATION
    with pytest.raises(ModelRefused) as caught:
        TraitModel(week=-1)
    assert caught.value.fault is ModelFault.AGE


def test_map_distances_become_recombination_fractions() -> None:
    """Haldane 1919: r = (1 - e^(-2d))/2; Kosambi 1944: r = tanh(2d)/2; by hand at d = 0.1 and far away."""
    assert Gap(Fraction(10), Distance.HALDANE).rate == pytest.approx(0.090635, abs=1e-6)
    assert Gap(Fraction(10), Distance.KOSAMBI).rate == pytest.approx(0.098688, abs=1e-6)
    assert Gap(Fraction(1000), Distance.HALDANE).rate == pytest.approx(0.5)
    assert Gap(Fraction(1, 10)).rate == Fraction(1, 10)
