"""How the distance of two traits is said: linked or not first, then the figure, its error, and what was taken for granted."""

from bot.cards import words
from bot.cards.card import Card
from bot.cards.models import name_of
from bot.services.linkage import Counted, Distance
from genetics import Role
from genetics.linkage_estimate import Edge, Recombination

_SETTLED, _LIKELY = 3, 1
"""Of the LOD: a thousand times likelier than unlinked is the usual bar (Morton 1955, from memory); ten is a hint."""
_MISFIT = 0.05


def distance_card(distance: Distance) -> Card:
    """The reply to a question of linkage."""
    return Card(lead=_lead(distance), blocks=(_figures(distance), "\n".join(_rests_on(distance))))


def _lead(distance: Distance) -> str:
    found = distance.found
    both = f"{name_of(distance.traits[0])} and {name_of(distance.traits[1])}"
    among = f"{_percent(found.interval.low)} to {_percent(found.interval.high)} %"
    young = words.plural(distance.total, "young", "young")
    if found.lod >= _SETTLED:
        return f"**{both} are linked**: about **{_percent(found.r)} %** of gametes recombine (95 % sure: {among})."
    if found.lod >= _LIKELY and found.interval.high < 1 / 2:
        return (
            f"{both} **look linked, but it is not settled**: about {_percent(found.r)} % of gametes recombine "
            f"(95 % sure: {among}). Score more young of such a cross."
        )
    return f"These {young} **show no linkage** of {both}: {among} of gametes may recombine, and 50 % means unlinked."


def _percent(r: float) -> str:
    return f"{r * 100:.0f}" if r >= 0.1 or r == 0 else f"{r * 100:.1f}"


def _figures(distance: Distance) -> str:
    found = distance.found
    lines = [f"· r = {_with_error(found)} · LOD {found.lod:.1f}"]
    lines += [f"· {_family(one)}" for one in distance.families]
    if distance.dams is not None and distance.sires is not None and distance.differ is not None:
        said = "differ" if distance.differ < _MISFIT else "do not differ more than chance makes them"
        lines.append(
            f"· through dams r = {_with_error(distance.dams)}, through sires r = {_with_error(distance.sires)}: they {said} "
            f"(p = {distance.differ:.2g})"
        )
    return "\n".join(lines)


def _with_error(found: Recombination) -> str:
    if found.edge is Edge.COMPLETE:
        return "0, no recombinant seen"
    if found.edge is Edge.FREE:
        return "0.5, as if unlinked"
    error = "" if found.error_expected is None else f" ± {found.error_expected:.3f}"
    return f"{found.r:.3f}{error}"


def _family(one: Counted) -> str:
    kind = "F2" if one.het is None else f"test cross, {'dam' if one.het is Role.DAM else 'sire'} double het"
    origin = "both traits from one parent" if one.together else "one trait from each parent"
    taken = "" if one.stated else " (taken, since likelier)"
    return f"{words.number(one.data.total)} young, {kind}, {origin}{taken}"


def _rests_on(distance: Distance) -> list[str]:
    found = distance.found
    said = ["By maximum likelihood (Fisher & Balmukand 1928), all crosses together; ± is the standard error."]
    if distance.other is not None:
        said.append(
            f"Nobody said how the traits came into the double hets. The next best way is {_times(distance.other)} less "
            "likely; say it with `phase:` if you know."
            if distance.other >= 1 / 3
            else "Nobody said how the traits came into the double hets, and the other way fits about as well: say it with `phase:`."
        )
    if found.misfit.p is not None and found.misfit.p < _MISFIT:
        said.append(
            f"The classes fit this badly (χ² {found.misfit.value:.1f}, p = {found.misfit.p:.2g}): one look may survive less "
            "well or be misread, or a parent is not as stated."
        )
    if distance.dams is None:
        said.append("One r is taken for both sexes.")
    said.append("To have crosses reckon with it, write it down with `/trait link`.")
    return said


def _times(log: float) -> str:
    return f"{words.number(round(10**log))} times" if log < 6 else "over a million times"
