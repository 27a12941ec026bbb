"""Crosses and ways of inheritance that cannot be: every fault of the science has its sentence, with what to do instead."""

import pytest

from bot.cards.impossible import cross_said, model_said
from genetics import (
    CrossFault,
    CrossRefused,
    GeneticsError,
    ModelFault,
    ModelRefused,
    NeverHappens,
    OutOfRange,
    TraitMissing,
)
from tests.support.markup import live_marks

SPECIES = (None, "Porcellio scaber")


@pytest.mark.parametrize("species", SPECIES)
@pytest.mark.parametrize("fault", CrossFault)
def test_every_fault_of_a_cross_has_its_sentence(fault: CrossFault, species: str | None) -> None:
    for fact in ("", "dam to female", "sire to male"):
        said = cross_said(CrossRefused(fault, "em*ber", fact), species)
        assert said.endswith(".")
        assert len(said) <= 300
        assert "em*ber" not in said.replace("`em*ber`", "")


@pytest.mark.parametrize("fault", ModelFault)
def test_every_fault_of_a_model_has_its_sentence(fault: ModelFault) -> None:
    error = ModelRefused("em*ber", fault, "3/5")
    for said in (model_said(error), cross_said(error, None)):
        assert said.endswith((".", ")."))
        assert len(said) <= 300
        assert "em*ber" not in said


def test_sentences_of_different_faults_differ() -> None:
    crosses = {cross_said(CrossRefused(fault, "ember", "dam"), None) for fault in CrossFault}
    assert len(crosses) == len(CrossFault)
    models = {model_said(ModelRefused("ember", fault, "3/5")) for fault in ModelFault}
    assert len(models) == len(ModelFault)


def test_what_a_figure_may_be_and_that_nobody_lives_are_said() -> None:
    assert model_said(OutOfRange("penetrance", "3/2", "0", "1")) == (
        "The penetrance cannot be 3/2: it lies between 0 and 1."
    )
    assert "No young of this cross would live" in cross_said(NeverHappens("young that live"), None)


def test_an_error_of_another_kind_is_no_fault_of_a_model() -> None:
    other: GeneticsError = TraitMissing("ember")
    with pytest.raises(KeyError):
        model_said(other)


def test_words_of_people_are_escaped() -> None:
    said = cross_said(CrossRefused(CrossFault.ONE_COPY, "@everyone *x*"), None)
    assert live_marks(said) == live_marks(cross_said(CrossRefused(CrossFault.ONE_COPY, "ember"), None))
