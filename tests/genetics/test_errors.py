"""One tree of errors, drawn where it is defined, that carry facts."""

import pickle

import pytest

from genetics import errors
from genetics.errors import (
    BinUnresolved,
    CrossFault,
    CrossRefused,
    EvidenceFault,
    EvidenceRefused,
    GeneticsError,
    KinshipFault,
    KinshipRefused,
    ModelFault,
    ModelRefused,
    NeverHappens,
    NotationError,
    OutOfRange,
    Problem,
    SharesRefused,
    SideRefused,
    StateFault,
    StateRefused,
    TooLarge,
    TraitClash,
    TraitFault,
    TraitMissing,
    TraitRefused,
)

EXAMPLES = [
    TraitRefused("name", "x", TraitFault.WORD, "x"),
    StateRefused("dark", "visual", StateFault.WHICH_DOSE),
    SideRefused("ember"),
    TraitClash("ember"),
    TraitMissing("ember"),
    BinUnresolved("B-12"),
    SharesRefused("shares that sum to 1", "2"),
    OutOfRange("k", "0", "1", "1000"),
    ModelRefused("ember", ModelFault.RECOMBINATION, "3/5"),
    CrossRefused(CrossFault.SEX_UNKNOWN, "ember"),
    KinshipRefused(KinshipFault.OWN_ANCESTOR, "Ash", "Ash ← Birch ← Ash"),
    NeverHappens("ember full"),
    TooLarge("kinds", 8192, 4096, 12, "uncertain traits"),
    EvidenceRefused(EvidenceFault.CIRCLE, "B-12"),
    NotationError("ember xx wild", 6, 2, Problem.REPEATED_TIMES, suggestion="ember x wild", near=("a",)),
]


def test_the_docstring_draws_the_tree() -> None:
    drawn = {line.split("──")[1].split()[0] for line in (errors.__doc__ or "").splitlines() if "──" in line}
    assert drawn == {kind.__name__ for kind in GeneticsError.__subclasses__()}


def test_there_is_an_example_of_each_error() -> None:
    assert {type(example) for example in EXAMPLES} == set(GeneticsError.__subclasses__())


@pytest.mark.parametrize("error", EXAMPLES, ids=lambda error: type(error).__name__)
def test_an_error_says_its_facts_and_survives_a_pickle(error: GeneticsError) -> None:
    copy = pickle.loads(pickle.dumps(error))  # noqa: S301 - its own pickle
    assert (type(copy), vars(copy), str(copy)) == (type(error), vars(error), str(error))
    assert str(error)
