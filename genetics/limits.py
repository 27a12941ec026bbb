"""What one question may cost; everything above is refused before it runs (TooLarge, OutOfRange).

Judgement: each limit keeps the slowest permitted question below about a second of one processor.
"""

KINDS = 4096
"""Kinds of one parent: 12 uncertain traits."""

PART_GROUPS = 50_000
"""Pairs of parent kinds × linkage groups of a cross."""

CLASSES = 60_000
"""Joint classes (or genotypes) × distinct pairs of parents."""

YOUNG = 100_000
"""Young of one question: how many to see, at least k in n, counts given."""

WANTED = 1_000
"""The k of "at least k"."""

DAMS = 100
"""Dams that the young of one question may come from."""

SIRES = 5
"""Sires of one brood; A. vulgare has up to five (doi 10.1016/j.beproc.2019.104030, read as an abstract)."""
