"""Families as general Bayesian networks of two independent libraries: oracles, never part of the project.

Both libraries warn at import (one of them ends the process if a warning is an error then), so they are imported with
warnings off.
"""

import importlib
import itertools
import random
import warnings
from dataclasses import dataclass
from types import ModuleType
from typing import Any

import numpy as np

Q, PENETRANCE = 0.3, 0.8


@dataclass(frozen=True)
class Known:
    """A family: parents by number (−1: founder), looks (1 shows, 0 does not, None not seen)."""

    dams: tuple[int, ...]
    sires: tuple[int, ...]
    looks: tuple[int | None, ...]
    q: float = Q
    penetrance: float = PENETRANCE

    @property
    def founders(self) -> list[float]:
        return [(1 - self.q) ** 2, 2 * self.q * (1 - self.q), self.q**2]

    @property
    def likelihoods(self) -> list[list[float]]:
        table = {None: [1.0, 1.0, 1.0], 0: [1.0, 1.0, 1 - self.penetrance], 1: [0.0, 0.0, self.penetrance]}
        return [table[look] for look in self.looks]


def quiet(name: str) -> ModuleType:
    """A module imported with its warnings off."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return importlib.import_module(name)


def random_family(rng: random.Random, size: int) -> Known:
    """Three to six founders, matings among everybody before, sibs of the same pair often; genotypes dropped, so possible."""
    founders = min(size - 1, rng.randint(3, 6))
    dams, sires = [-1] * founders, [-1] * founders
    genes = [sorted(rng.random() < Q for _ in range(2)) for _ in range(founders)]
    pair = (0, 1)
    for one in range(founders, size):
        if rng.random() < 0.4:
            # Old animals breed more often than young ones, so that the family does not become one knot.
            oldest = max(founders, one // 2)
            pair = tuple(rng.sample(range(oldest), 2))  # type: ignore[assignment]
        dams.append(pair[0])
        sires.append(pair[1])
        genes.append(sorted((rng.choice(genes[pair[0]]), rng.choice(genes[pair[1]]))))
    looks = [None if rng.random() < 0.25 else int(all(both) and rng.random() < PENETRANCE) for both in genes]
    return Known(tuple(dams), tuple(sires), tuple(looks))


def crossed() -> np.ndarray:
    """P(copies of a young | dam, sire), from gametes one by one."""
    table = np.zeros((3, 3, 3))
    alleles = [(0, 0), (0, 1), (1, 1)]
    for dam, sire in itertools.product(range(3), repeat=2):
        for mine, yours in itertools.product(alleles[dam], alleles[sire]):
            table[dam, sire, mine + yours] += 0.25
    return table


def by_pyagrum(family: Known) -> tuple[np.ndarray, float]:
    """(member, copies) posteriors and log P(looks), by Shafer-Shenoy inference of pyAgrum."""
    gum = quiet("pyagrum")
    net = gum.BayesNet()
    nodes = [net.add(gum.LabelizedVariable(f"g{one}", "", 3)) for one in range(len(family.dams))]
    table = crossed()
    for one, (dam, sire) in enumerate(zip(family.dams, family.sires, strict=True)):
        if dam < 0:
            net.cpt(nodes[one]).fillWith(family.founders)
            continue
        net.addArc(nodes[dam], nodes[one])
        net.addArc(nodes[sire], nodes[one])
        # The member's own axis runs fastest; dam and sire may change places.
        net.cpt(nodes[one]).fillWith(table.ravel().tolist())
    inference = gum.ShaferShenoyInference(net)
    # Evidence for one state only is taken as hard, whatever its height, so heights are brought to 1 and kept apart.
    tops = [max(held) for held in family.likelihoods]
    told = {f"g{one}": [p / tops[one] for p in held] for one, held in enumerate(family.likelihoods) if min(held) < 1}
    inference.setEvidence(told)
    inference.makeInference()
    found = np.array([inference.posterior(node).toarray() for node in nodes])
    return found, float(np.log(inference.evidenceProbability()) + np.log(tops).sum())


def by_pgmpy(family: Known, members: list[int]) -> np.ndarray:
    """(member, copies) posteriors of some members, by variable elimination of pgmpy."""
    models, factors = quiet("pgmpy.models"), quiet("pgmpy.factors.discrete")
    inference = quiet("pgmpy.inference")
    net, table = models.DiscreteBayesianNetwork(), crossed()
    evidence: dict[str, int] = {}
    cpds: list[Any] = []
    for one, (dam, sire) in enumerate(zip(family.dams, family.sires, strict=True)):
        net.add_node(f"g{one}")
        if dam < 0:
            cpds.append(factors.TabularCPD(f"g{one}", 3, [[p] for p in family.founders]))
        else:
            net.add_edges_from([(f"g{dam}", f"g{one}"), (f"g{sire}", f"g{one}")])
            values = table.reshape(9, 3).T
            cpds.append(factors.TabularCPD(f"g{one}", 3, values, [f"g{dam}", f"g{sire}"], [3, 3]))
        look = family.looks[one]
        if look is not None:
            net.add_edge(f"g{one}", f"p{one}")
            shows = [0.0, 0.0, family.penetrance]
            cpds.append(factors.TabularCPD(f"p{one}", 2, [[1 - s for s in shows], shows], [f"g{one}"], [3]))
            evidence[f"p{one}"] = look
    net.add_cpds(*cpds)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        solver = inference.VariableElimination(net)
        return np.array([solver.query([f"g{one}"], evidence=evidence, show_progress=False).values for one in members])
