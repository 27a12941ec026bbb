"""What a pedigree of single animals answers: F, kinship of pairs, the whole matrix."""

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from genetics.errors import TooLarge
from genetics.kinship.pedigree import Pedigree

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

MATRIX_ANIMALS = 10_000
"""The most animals of a whole matrix: 800 MB."""
PAIRS = 1_000_000
"""The most pairs of one question."""


def inbreeding(pedigree: Pedigree) -> "NDArray[np.float64]":
    """F of every animal, 0 to 1, in the order of the pedigree; shape (animals,). No matrix of all animals is made.

    Errors are those of adding halves in double precision, below 1e-12. Meuwissen & Luo 1992 and Sargolzaei et al. 2005 have
    other ways to the same figures. Raises TooLarge where tens of thousands breed at once, each with thousands of ancestors.

    >>> from genetics import Animal
    >>> sibs = [Animal("C", "A", "B"), Animal("D", "A", "B"), Animal("A"), Animal("B"), Animal("E", "C", "D")]
    >>> inbreeding(Pedigree.of(sibs)).tolist()
    [0.0, 0.0, 0.0, 0.0, 0.25]
    """
    from genetics.kinship import fronts, nodes  # noqa: PLC0415 - a plain question of odds must not wait for numpy

    form, places = nodes.nodes_of(pedigree)
    own = fronts.selves(form.fixed, fronts.parents_kinship(form))
    found: NDArray[np.float64] = 2 * own[places] - 1
    return found


def kinships(pedigree: Pedigree, pairs: Iterable[tuple[str, str]]) -> tuple[float, ...]:
    """The kinship of chosen pairs, 0 to 1, without a matrix of all animals. An animal with itself has (1 + F)/2.

    Each is found as F of a young that the two would have, so it is also the F to expect of theirs.
    Raises KinshipRefused for a name that has no line in the pedigree, TooLarge as `inbreeding`, or beyond a million pairs.

    >>> from genetics import Animal
    >>> family = Pedigree.of([Animal("A"), Animal("B"), Animal("C", "A", "B"), Animal("D", "A", "B")])
    >>> kinships(family, [("C", "D"), ("A", "C"), ("A", "B"), ("A", "A")])
    (0.25, 0.25, 0.0, 0.5)
    """
    asked = tuple(pairs)
    if len(asked) > PAIRS:
        raise TooLarge("pairs", len(asked), PAIRS, PAIRS, "pairs")
    if not asked:
        return ()
    import numpy as np  # noqa: PLC0415 - a plain question of odds must not wait for numpy

    from genetics.kinship import fronts, nodes  # noqa: PLC0415

    form, places = nodes.nodes_of(pedigree)
    ones, others = (places[list(pedigree.places(side))] for side in zip(*asked, strict=True))
    part, kept = form.of(np.concatenate([ones, others]))
    extended = part.with_young(np.searchsorted(kept, ones), np.searchsorted(kept, others))
    return tuple(fronts.parents_kinship(extended)[len(part.dam) :].tolist())


def kinship_matrix(pedigree: Pedigree, names: Sequence[str] | None = None) -> "NDArray[np.float64]":
    """The kinship of every two animals, in the order of the pedigree or of `names`; shape (animals, animals), symmetric.

    The diagonal is (1 + F)/2. By the tabular method (Emik & Terrill 1949; Henderson 1976), a step of animals at a time.
    Raises TooLarge beyond `MATRIX_ANIMALS` animals, with `names` counting them and their ancestors; KinshipRefused for a
    name that has no line in the pedigree.

    >>> from genetics import Animal
    >>> kinship_matrix(Pedigree.of([Animal("A"), Animal("B"), Animal("C", "A", "B")])).tolist()
    [[0.5, 0.0, 0.25], [0.0, 0.5, 0.25], [0.25, 0.25, 0.5]]
    """
    _refuse_large(len(pedigree.names) if names is None else len(names))
    import numpy as np  # noqa: PLC0415 - a plain question of odds must not wait for numpy

    from genetics.kinship import nodes, tabular  # noqa: PLC0415

    form, places = nodes.nodes_of(pedigree)
    if names is not None:
        wanted = places[list(pedigree.places(names))]
        form, kept = form.of(wanted)
        places = np.searchsorted(kept, wanted)
        _refuse_large(len(form.dam))
    whole = tabular.matrix(form)
    straight = len(places) == len(whole) and bool(np.all(places == np.arange(len(places))))
    return whole if straight else whole[np.ix_(places, places)]


def _refuse_large(animals: int) -> None:
    if animals > MATRIX_ANIMALS:
        raise TooLarge("animals in one matrix", animals, MATRIX_ANIMALS, MATRIX_ANIMALS, "animals")
