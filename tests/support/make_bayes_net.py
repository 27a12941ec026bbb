"""Makes tests/genetics/data/bayes_net.json: two crosses as Bayesian networks, solved by pyAgrum, which knows no genetics.

    python -m venv oracle && oracle/bin/pip install pyagrum==3.3.1
    oracle/bin/python tests/support/make_bayes_net.py > tests/genetics/data/bayes_net.json

Every node is one fact of the textbook: which kind the parent is, which homologue a gamete has at a locus given the locus
before, which allele that is, how the young looks. The library multiplies and sums; nothing of `genetics` is used.
"""

import itertools
import json
import sys

import pyagrum

R_DAM, R_SIRE = (0.1, 0.2), (0.05, 0.3)
PENETRANCE = 0.7


def linked() -> dict[str, object]:
    """Three linked loci; dam coupling with chance 2/3, else one repulsion; sire coupling; three recessive looks."""
    net = pyagrum.BayesNet("linked")
    dam = net.add(pyagrum.LabelizedVariable("dam", "kind of dam", 2))
    net.cpt(dam)[:] = [2 / 3, 1 / 3]
    # Alleles (1 is the mutation) of the first and second homologue at loci 0, 1, 2 by kind.
    kinds = [((0, 0, 0), (1, 1, 1)), ((0, 1, 0), (1, 0, 1))]
    for locus in range(3):
        for parent, gaps in (("d", R_DAM), ("s", R_SIRE)):
            strand = net.add(pyagrum.LabelizedVariable(f"{parent}{locus}", "homologue", 2))
            if locus == 0:
                net.cpt(strand)[:] = [0.5, 0.5]
            else:
                net.addArc(net.idFromName(f"{parent}{locus - 1}"), strand)
                r = gaps[locus - 1]
                net.cpt(strand)[{f"{parent}{locus - 1}": 0}] = [1 - r, r]
                net.cpt(strand)[{f"{parent}{locus - 1}": 1}] = [r, 1 - r]
    for locus in range(3):
        look = net.add(pyagrum.LabelizedVariable(f"look{locus}", "shows", 2))
        for source in (dam, net.idFromName(f"d{locus}"), net.idFromName(f"s{locus}")):
            net.addArc(source, look)
        for kind, d, s in itertools.product((0, 1), repeat=3):
            both = kinds[kind][d][locus] + kinds[0][s][locus]
            net.cpt(look)[{"dam": kind, f"d{locus}": d, f"s{locus}": s}] = [0, 1] if both == 2 else [1, 0]
    solver = pyagrum.VariableElimination(net)
    names = {"look0", "look1", "look2"}
    solver.addJointTarget(names)
    solver.makeInference()
    joint = solver.jointPosterior(names)
    shares = {
        "".join(map(str, look)): float(joint[{f"look{at}": one for at, one in enumerate(look)}])
        for look in itertools.product((0, 1), repeat=3)
    }
    solver.setEvidence({"look0": 1, "look1": 1, "look2": 0})
    solver.makeInference()
    return {"shares": shares, "coupling_after_110": float(solver.posterior("dam")[0])}


def sex_linked() -> dict[str, object]:
    """A Z-linked recessive at penetrance 0.7: dam +/W, sire 2/3 het, else wild."""
    net = pyagrum.BayesNet("sex-linked")
    sire = net.add(pyagrum.LabelizedVariable("sire", "is het", 2))
    net.cpt(sire)[:] = [1 / 3, 2 / 3]
    for name in ("sperm", "egg"):
        net.add(pyagrum.LabelizedVariable(name, name, 2))
    net.cpt("egg")[:] = [0.5, 0.5]  # 0: Z with the wild allele, a son; 1: W, a daughter
    net.addArc("sire", "sperm")
    net.cpt("sperm")[{"sire": 0}] = [1, 0]
    net.cpt("sperm")[{"sire": 1}] = [0.5, 0.5]
    look = net.add(pyagrum.LabelizedVariable("look", "shows", 2))
    net.addArc("sperm", "look")
    net.addArc("egg", "look")
    for sperm, egg in itertools.product((0, 1), repeat=2):
        shows = PENETRANCE if sperm == 1 and egg == 1 else 0
        net.cpt(look)[{"sperm": sperm, "egg": egg}] = [1 - shows, shows]
    solver = pyagrum.VariableElimination(net)
    solver.addJointTarget({"egg", "look"})
    solver.makeInference()
    joint = solver.jointPosterior({"egg", "look"})
    shares = {
        f"{sex}{one}": float(joint[{"egg": sex, "look": one}]) for sex, one in itertools.product((0, 1), repeat=2)
    }
    solver.setEvidence({"egg": 1, "look": 0})
    solver.makeInference()
    return {"shares": shares, "het_after_wild_daughter": float(solver.posterior("sire")[1])}


if __name__ == "__main__":
    made = {"library": f"pyAgrum {pyagrum.__version__}", "linked": linked(), "sex_linked": sex_linked()}
    sys.stdout.write(json.dumps(made, indent=1) + "\n")
