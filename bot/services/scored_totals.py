"""What totals say of young whose looks were not told: wild ones, unscored ones, or either."""

from dataclasses import dataclass, replace

from bot.records import Sex
from bot.services.scored_values import Look, Scored


@dataclass(frozen=True, slots=True)
class Totals:
    """Numbers of young whatever their looks, None where not said.

    Attributes:
        group: so many young were there: "23 mancae".
        of: so many of which those with the look are a part: "4 of 20 ember".
        looked: so many were scored.
        rest_wild: it is said that the rest is wild.
        dead_within, dead_beside: it is said that the dead are among the group, or beside it.
        estimated: the group is a judgement.
    """

    group: int | None = None
    of: int | None = None
    looked: int | None = None
    rest_wild: bool = False
    dead_within: bool = False
    dead_beside: bool = False
    estimated: bool = False


def accounted(base: Scored, totals: Totals) -> list[Scored]:
    """The readings of looks and totals together, the likeliest first; none if they do not go together."""
    base = replace(base, estimated=base.estimated or totals.estimated)
    if not base.looks:
        return _without_looks(base, totals)
    whole = totals.of if totals.of is not None else totals.group
    born = base.born if base.born is not None else whole
    left = base.total + base.unsure + base.unscored
    wild_told = any(not look.shown for look in base.looks)
    if totals.rest_wild:
        total = totals.looked if totals.looked is not None else born
        return [] if total is None or total < left or wild_told else [replace(_wild(base, total - left), born=born)]
    if totals.looked is not None:
        return _looked(base, totals.looked, born, wild_told=wild_told)
    if whole is None or wild_told or whole <= left:
        return [replace(base, born=born)]
    if not base.total:
        return [_wild(replace(base, looks=()), whole - left)]
    other = replace(base, born=whole) if totals.of is not None else replace(base, unscored=base.unscored + whole - left)
    return [_wild(base, whole - left), other]


def _looked(base: Scored, looked: int, born: int | None, *, wild_told: bool) -> list[Scored]:
    """So many were scored: where the wild ones are not told they are the rest, else the numbers have to agree."""
    left = base.total + base.unsure
    if wild_told or looked <= left:
        return [replace(base, born=born)] if looked in (base.total, left) else []
    return [replace(_wild(base, looked - left), born=born)]


def _without_looks(base: Scored, totals: Totals) -> list[Scored]:
    if totals.looked is not None or totals.of is not None or totals.rest_wild:
        return []
    group = totals.group
    if group is None:
        return [base] if _says_something(base) else []
    if base.unscored:
        return [replace(base, born=group)] if base.born is None else []
    return _group(base, totals, group)


def _group(base: Scored, totals: Totals, group: int) -> list[Scored]:
    """Young of whom nothing is said but that some of them, or beside them some, are dead."""
    alive = group - base.unsure
    within, beside = alive - (base.dead or 0), alive
    if alive < 0 or (totals.dead_within and within < 0):
        return []
    if totals.dead_within:
        return [replace(base, unscored=within)]
    if not group and not _says_something(base):
        return []
    readings = [replace(base, unscored=beside)]
    if base.dead and not totals.dead_beside and within >= 0:
        readings.append(replace(base, unscored=within))
    return readings


def _says_something(base: Scored) -> bool:
    return bool(base.unsure or base.unscored) or base.dead is not None or base.born is not None


def _wild(base: Scored, number: int) -> Scored:
    return replace(base, looks=(*base.looks, Look(number, Sex.UNKNOWN, ())))
