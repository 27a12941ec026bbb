"""What the broods say: rival explanations of one trait, weighed over every brood on record.

The records are a `Programme`, the explanations a table that a keeper can change, the answer `Findings`:

- `programme`: animals, unmarked bins, pairings, broods, and what was kept back from them
- `explanations`: the twelve explanations, their priors and the grids of their parameters
- `weighing`: the weighing itself, `weigh(programme)`; it loads numpy
- `findings`: what the weighing gives back
- `families`: posterior genotypes of every member of a family, one locus; it loads numpy

Nothing here reads a book, a clock or a file. The values load nothing heavy.
"""
