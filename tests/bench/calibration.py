"""How often what the broods are said to prove is so: `python -m tests.bench.calibration [--programmes N] [--world NAME]`.

With `--keep FILE` each programme is written down when it is done, and a run that was broken off goes on from there.
`--from` is the number of the first programme: what was used to improve the weighing is not used to judge it.

Simulation-based calibration (Talts et al. 2018). From the priors, a posterior of 80 % has to come true in 80 % of the
programmes; bounds are stated in `reliability`, with an error of 1 % over the ten bins of a table. Of the verdicts
*established*, at most 1 % may be wrong from the priors and at most 5 % in each world outside the model.
"""

import argparse
import json
import multiprocessing
import os
import resource
import sys
from collections import Counter
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path
from statistics import median
from typing import Any

from genetics.evidence.explanations import Cause
from genetics.evidence.findings import Word
from tests.support.breeding_world_programmes import World
from tests.support.calibrating import OUTSIDE, PRIORS, Bin, Weighed, of_cause, of_leaders, reliability, weighed

ERROR = 0.01 / 10
"""Of each bin, so that a table of ten is left by chance once in a hundred."""
MILLISECONDS = 50.0
MEMORY = 5 * 2**30
"""Bytes of one process."""
WORLDS = {world.name: world for world in (PRIORS, *OUTSIDE)}


def say(line: str = "") -> None:
    """A line of the tables."""
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


def table(title: str, bins: Sequence[Bin]) -> bool:
    """A reliability table; whether all of it is inside its bounds."""
    say(title)
    say("  posterior    claims  mean    true  share   bounds")
    for one in bins:
        outside = "" if one.inside else "  OUTSIDE"
        say(
            f"  {one.low:.1f} to {one.high:.1f} {one.claims:8d}  {one.mean:.3f} {one.true:6d}  "
            f"{one.true / one.claims:.3f}  {one.least} to {one.most}{outside}"
        )
    return all(one.inside for one in bins)


def words(every: Sequence[Weighed], allowed: float) -> bool:
    """How often each word was wrong; whether *established* was wrong no more often than allowed."""
    met = True
    for word in Word:
        held = [one for one in every if one.word is word]
        wrong = [one for one in held if not one.right]
        share = len(wrong) / len(held) if held else 0.0
        say(f"  {word:12s} {len(held):5d}, wrong {len(wrong):4d} ({share:.1%})")
        if word is Word.ESTABLISHED:
            met = share <= allowed
            for (truth, said), times in Counter((one.cause, one.leader) for one in wrong).most_common():
                say(f"    truth {truth}, said {said}: {times}")
    say(f"  established wrong at most {allowed:.0%}: {'met' if met else 'NOT MET'}")
    return met


def pace(every: Sequence[Weighed]) -> bool:
    """Milliseconds of processor for each programme; whether the mean is within the goal."""
    taken = [one.seconds * 1000 for one in every]
    mean = sum(taken) / len(taken)
    say(
        f"  {mean:.0f} ms of processor for each (median {median(taken):.0f}, most {max(taken):.0f}; goal {MILLISECONDS:.0f})"
    )
    refused = Counter(one.refused for one in every if one.refused)
    say(f"  refused: {dict(refused) or 'none'}")
    return mean <= MILLISECONDS


def bounded() -> None:
    """A process that may hold no more than `MEMORY`, so that one programme does not end the run."""
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))


def written(one: Weighed) -> dict[str, object]:
    """A programme's outcome as it is kept."""
    return {
        "cause": one.cause,
        "shares": one.shares,
        "word": one.word,
        "seconds": one.seconds,
        "refused": one.refused,
    }


def read(kept: dict[str, Any]) -> Weighed:
    """The outcome that was kept."""
    shares = tuple((Cause(cause), posterior) for cause, posterior in kept["shares"])
    word = None if kept["word"] is None else Word(kept["word"])
    return Weighed(Cause(kept["cause"]), shares, word, kept["seconds"], kept["refused"])


def kept_of(world: World, keep: Path | None) -> dict[int, Weighed]:
    """Programmes of a world that are done, by their numbers."""
    if keep is None or not keep.exists():
        return {}
    lines = [json.loads(line) for line in keep.read_text("utf-8").splitlines()]
    return {line["number"]: read(line["outcome"]) for line in lines if line["world"] == world.name}


def run(world: World, numbers: range, processes: int, keep: Path | None = None) -> bool:
    """Weigh the programmes of a world with these numbers and say what came of it. Whether all goals are met."""
    # Each process computes with one thread of its own.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    done = kept_of(world, keep)
    left = [number for number in numbers if number not in done]
    with ProcessPoolExecutor(processes, multiprocessing.get_context("spawn"), bounded) as pool:
        for number, one in zip(left, pool.map(partial(weighed, world), left, chunksize=5), strict=True):
            done[number] = one
            if keep is not None:
                with keep.open("a", encoding="utf-8") as file:
                    file.write(json.dumps({"world": world.name, "number": number, "outcome": written(one)}) + "\n")
    every = [done[number] for number in numbers]
    say(f"\n{world.name}: {len(every)} programmes, from number {numbers.start}")
    met = [pace(every)]
    if world == PRIORS:
        met.append(words(every, 0.01))
        met.append(table("the leader", reliability(of_leaders(every), ERROR)))
        every_claim = [claim for cause in Cause for claim in of_cause(every, cause)]
        met.append(table("all explanations pooled", reliability(every_claim, ERROR)))
        for cause in Cause:
            claims = of_cause(every, cause)
            if claims:
                expected, true = sum(p for p, _ in claims), sum(came for _, came in claims)
                met.append(table(f"{cause}: {expected:.1f} expected, {true} true", reliability(claims, ERROR)))
    else:
        met.append(words(every, 0.05))
    return all(met)


def main() -> int:
    """The command."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--programmes", type=int, help="2,000 from the priors and 500 of each other world if not said")
    asked.add_argument("--world", choices=sorted(WORLDS), help="all if not said")
    asked.add_argument("--from", type=int, default=0, dest="first", help="number of the first programme")
    asked.add_argument("--keep", type=Path, help="where outcomes are written down, and read if they are there")
    asked.add_argument("--processes", type=int, default=2)
    held = asked.parse_args()
    met = [
        run(
            world,
            range(held.first, held.first + (held.programmes or (2000 if world == PRIORS else 500))),
            held.processes,
            held.keep,
        )
        for name, world in WORLDS.items()
        if held.world in (None, name)
    ]
    return 0 if all(met) else 1


if __name__ == "__main__":
    sys.exit(main())
