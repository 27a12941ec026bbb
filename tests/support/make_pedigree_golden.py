"""A pedigree that any program can be given, and what another library made of it: `python -m tests.support.make_pedigree_golden`.

The figures in `tests/genetics/data/pedigree_golden.json` are those of sgkit 0.10.0, which is no dependency of this project for
it holds numpy back. In an environment of its own: `pip install sgkit==0.10.0`, then this module, run from the project's folder.
"""

import json
import sys
from pathlib import Path
from typing import Any

GOLDEN = Path(__file__).parents[1] / "genetics" / "data" / "pedigree_golden.json"
ANIMALS, FOUNDERS, BACK = 1_500, 30, 60


def parents() -> tuple[list[int], list[int]]:
    """Dams and sires by place, -1 for not known: of each animal two among the sixty before it, females in even places.

    Drawn by a generator of three lines, so that it is the same everywhere; a tenth of the sires are not known.
    """
    state = 20_260_305
    dams, sires = [-1] * ANIMALS, [-1] * ANIMALS
    for place in range(FOUNDERS, ANIMALS):
        drawn = []
        for _ in range(3):
            state = (1_103_515_245 * state + 12_345) % 2**31
            drawn.append(state >> 8)
        first = max(0, place - BACK)
        dams[place] = (first + drawn[0] % (place - first)) // 2 * 2
        sire = (first + drawn[1] % (place - first)) // 2 * 2 + 1
        sires[place] = sire if sire < place and drawn[2] % 10 else -1
    return dams, sires


def by_sgkit() -> dict[str, Any]:
    """F of every animal, the sum of all kinships and those of the last twenty with each other."""
    import numpy as np
    import sgkit  # type: ignore[import-not-found]
    import xarray  # type: ignore[import-not-found]

    data = xarray.Dataset()
    data["sample_id"] = "samples", np.arange(ANIMALS)
    data["parent"] = ("samples", "parents"), np.stack(parents(), axis=1)
    kinship = sgkit.pedigree_kinship(data, method="diploid", allow_half_founders=True).stat_pedigree_kinship.values
    inbreeding = sgkit.pedigree_inbreeding(data, method="diploid", allow_half_founders=True)
    return {
        "made_with": f"sgkit {sgkit.__version__}, pedigree_kinship and pedigree_inbreeding, method diploid",
        "kinship_sum": float(kinship.sum()),
        "kinship_last": kinship[-20:, -20:].tolist(),
        "inbreeding": inbreeding.stat_pedigree_inbreeding.values.tolist(),
    }


if __name__ == "__main__":
    GOLDEN.write_text(json.dumps(by_sgkit()) + "\n", encoding="utf-8")
    sys.stdout.write(f"{GOLDEN}\n")
