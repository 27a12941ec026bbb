"""How many a bin holds, by the items of a typed count; and those items written out so that they can be read in one way."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction

from bot.records import Exactness, Seen, Sex, Stage
from bot.services.count_items import Item
from bot.services.count_words import AnimalClass
from bot.services.figures import Figure


class Several(Exception):
    """The items can be meant in several ways; `readings` are items that can be meant in one."""

    def __init__(self, readings: Sequence[Sequence[Item]]) -> None:
        super().__init__(readings)
        self.readings = readings


class TooFew(Exception):
    """The whole is said to be less than the sum of its classes."""

    def __init__(self, whole: int, classes: int) -> None:
        super().__init__(whole, classes)
        self.whole, self.classes = whole, classes


class Twice(Exception):
    """One class is counted twice."""

    def __init__(self, animals: AnimalClass) -> None:
        super().__init__(animals)
        self.animals = animals


class NoNumber(Exception):
    """No number stands anywhere."""


@dataclass(frozen=True, slots=True)
class Summed:
    """The whole bin, and its classes without what only repeats the whole."""

    whole: Figure
    classes: tuple[Item, ...]


def summed(every: Sequence[Item]) -> Summed:
    """What the items come to.

    Raises:
        Several, TooFew, Twice, NoNumber: they come to nothing certain.
    """
    outer, opened = _opened(every)
    bare = [item for item in outer if item.animals is None]
    classes = [item for item in opened if item.animals is not None]
    _refuse_twice(classes)
    counted = [item for item in outer if item.figure is not None and item.animals is not None]
    if len(bare) > 1 or any(item.figure is None for item in bare):
        raise Several(_of_no_class(bare, classes))
    if not bare:
        if not counted:
            raise NoNumber
        return Summed(_sum(counted, classes), tuple(classes))
    return Summed(_whole(bare[0], counted, classes), tuple(classes))


def _whole(bare: Item, counted: Sequence[Item], classes: Sequence[Item]) -> Figure:
    """The number of no class, if it is of the whole bin."""
    said = bare.figure or Figure(0)
    most = max((_added(group).least for group in _groups(counted)), default=0)
    if bare.whole or not counted or (most == said.total):
        if most > said.most and said.exactness is not Exactness.AT_LEAST:
            raise TooFew(said.total, most)
        known = replace(said, total=max(said.total, most)) if said.exactness is Exactness.AT_LEAST else said
        return _with_unknown(known, classes)
    whole = [replace(bare, whole=True), *classes]
    beside = [*classes, replace(bare, animals=AnimalClass())]
    raise Several([whole, beside] if most <= said.most else [beside])


def _opened(every: Sequence[Item]) -> tuple[list[Item], list[Item]]:
    """The items as they stand beside each other; and the classes, where parts take the place of what they are parts of."""
    outer: list[Item] = []
    classes: list[Item] = []
    parent: Item | None = None
    for item in every:
        joined = (
            parent.animals.joined(item.animals) if item.inside and parent and parent.animals and item.animals else None
        )
        if joined is None or parent is None or parent.figure is None:
            parent = replace(item, inside=False)
            outer.append(parent)
            classes.append(parent)
            continue
        if item.figure is not None:
            left = parent.figure.total - item.figure.total
            if left < 0:
                raise TooFew(parent.figure.total, item.figure.total)
            at = classes.index(parent)
            kind = parent.figure.exactness if parent.figure.exactness is not Exactness.RANGE else Exactness.ESTIMATE
            parent = replace(parent, figure=Figure(left, kind))
            classes[at] = parent
        classes.append(replace(item, animals=joined, inside=False))
    return outer, [item for item in classes if item.figure != Figure(0) or item in every]


def _refuse_twice(classes: Sequence[Item]) -> None:
    seen: list[AnimalClass | None] = []
    for item in classes:
        if item.animals in seen:
            raise Twice(item.animals or AnimalClass())
        seen.append(item.animals)


_ORDERS = (
    (AnimalClass(stage=Stage.ADULT), AnimalClass(stage=Stage.JUVENILE), AnimalClass(stage=Stage.MANCA)),
    (AnimalClass(sex=Sex.MALE), AnimalClass(sex=Sex.FEMALE), AnimalClass(sex=Sex.UNKNOWN)),
)
"""The two orders in which keepers write numbers without words (common practice, no source)."""


def _of_no_class(bare: Sequence[Item], classes: Sequence[Item]) -> list[list[Item]]:
    """What two or three numbers of no class may be."""
    if not 2 <= len(bare) <= 3 or classes:
        return []
    return [[replace(item, animals=meant) for item, meant in zip(bare, order, strict=False)] for order in _ORDERS]


def _groups(counted: Sequence[Item]) -> list[list[Item]]:
    """The classes in groups that speak of the same things, so that no animal stands in two classes of a group."""
    groups: dict[frozenset[str], list[Item]] = {}
    for item in counted:
        groups.setdefault((item.animals or AnimalClass()).said_of(), []).append(item)
    return list(groups.values())


def _sum(counted: Sequence[Item], classes: Sequence[Item]) -> Figure:
    groups = _groups(counted)
    apart = all(_apart(one, other) for i, one in enumerate(counted) for other in counted[i + 1 :])
    totals = {_total(group) for group in groups}
    if apart:
        return _with_unknown(_added(counted), classes)
    if len(totals) == 1:
        return _with_unknown(_added(groups[0]), classes)
    together = _added(counted)
    largest = max(groups, key=_total)
    one = Item(Seen.COUNTED, _added(largest), None, whole=True)
    raise Several([[one, *classes], [Item(Seen.COUNTED, together, None, whole=True), *classes]])


def _apart(one: Item, other: Item) -> bool:
    """Whether no animal can be in both classes."""
    a, b = one.animals or AnimalClass(), other.animals or AnimalClass()
    if not a.said_of() or not b.said_of() or a.said_of() == b.said_of():
        return True
    if (a.stage and b.stage and a.stage is not b.stage) or (a.sex and b.sex and a.sex is not b.sex):
        return True
    # Only grown animals can be sexed by a keeper.
    young = (Stage.JUVENILE, Stage.MANCA)
    return any(x.sex and not x.stage and not x.looked and y.stage in young and not y.sex for x, y in ((a, b), (b, a)))


def _total(group: Sequence[Item]) -> int:
    return sum(item.figure.total for item in group if item.figure is not None)


def _added(counted: Sequence[Item]) -> Figure:
    figures = [item.figure for item in counted if item.figure is not None]
    kinds = {figure.exactness for figure in figures}
    if Exactness.AT_LEAST in kinds:
        return Figure(sum(figure.least for figure in figures), Exactness.AT_LEAST)
    if Exactness.RANGE in kinds:
        low, high = sum(figure.least for figure in figures), sum(figure.most for figure in figures)
        return Figure((low + high) // 2, Exactness.RANGE, low, high)
    total = sum(figure.total for figure in figures)
    return Figure(total, Exactness.ESTIMATE if Exactness.ESTIMATE in kinds else Exactness.EXACT)


def _with_unknown(figure: Figure, classes: Sequence[Item]) -> Figure:
    """A sum without animals that were there or may have been, and that nobody counted, is a least."""
    if all(item.said in (Seen.COUNTED, Seen.NONE) for item in classes):
        return figure
    return Figure(figure.least, Exactness.AT_LEAST)


def scaled(seen: Figure, share: Fraction) -> Figure:
    """How many live in all of a bin, if the rest of it is like the share that was looked through."""
    if share == 1:
        return seen
    total = round(seen.total / share)
    if seen.exactness is Exactness.AT_LEAST:
        return Figure(total, Exactness.AT_LEAST)
    if seen.exactness is Exactness.RANGE:
        low, high = round(seen.least / share), round(seen.most / share)
        return Figure((low + high) // 2, Exactness.RANGE, low, high)
    return Figure(total, Exactness.ESTIMATE)


def written(every: Sequence[Item], on: date | None = None, share: Fraction | None = None) -> str:
    """The items as text that is read as these items again."""
    parts: list[str] = []
    for item in every:
        if item.animals is None:
            said = figure_text(item.figure) if item.figure is not None else "?"
            parts.append(f"{said} in all" if item.whole and len(every) > 1 else said)
        elif item.inside and parts:
            parts[-1] += f" ({_written(item)})"
        else:
            parts.append(_written(item))
    text = ", ".join(parts)
    if share is not None:
        text = f"in {share.numerator}/{share.denominator} of the litter: {text}"
    return f"{text} on {on.isoformat()}" if on is not None else text


def figure_text(figure: Figure) -> str:
    """A figure as it can be typed."""
    if figure.exactness is Exactness.RANGE:
        return f"{figure.low}-{figure.high}"
    before = {Exactness.ESTIMATE: "about ", Exactness.AT_LEAST: "at least "}.get(figure.exactness, "")
    return f"{before}{figure.total}"


def _written(item: Item) -> str:
    animals = class_text(item.animals or AnimalClass(), item.figure.most if item.figure is not None else 2)
    if item.figure is not None:
        return f"{figure_text(item.figure)} {animals}"
    return {Seen.SOME: f"some {animals}", Seen.NONE: f"no {animals} seen"}.get(item.said, f"{animals} not counted")


_STAGE_WORDS = {Stage.ADULT: "adult", Stage.JUVENILE: "juvenile", Stage.MANCA: "manca"}
_PLURALS = {"manca": "mancae"}


def class_text(animals: AnimalClass, number: int = 2) -> str:
    """A class as it can be typed after a number: "ember adult females", "manca", "others"."""
    looks = [*animals.traits, *(["wild"] if animals.wild else [])]
    nouns = [_STAGE_WORDS[animals.stage]] if animals.stage else []
    if animals.sex is Sex.UNKNOWN:
        looks.append("unsexed")
    elif animals.sex is not None:
        nouns.append(animals.sex.value)
    if nouns and number != 1:
        nouns[-1] = _PLURALS.get(nouns[-1], f"{nouns[-1]}s")
    return " ".join([*looks, *nouns]) or "others"
