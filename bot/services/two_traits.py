"""Two traits read as one look: the records in which a young shows if it shows either, and who is of which line."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import TypeVar

from bot.records import (
    Appearance,
    BreedersRow,
    Dominance,
    FounderRow,
    FounderState,
    PairingRow,
    ScoringRow,
    Shown,
    State,
    TraitRow,
)
from bot.services.programme import Records
from bot.services.trait_models import read_model
from genetics.evidence.complementation import Line, Said

SHOWS = frozenset({State.VISUAL, State.HOMOZYGOUS})
_Told = TypeVar("_Told", BreedersRow, FounderRow)


def either_of(first: TraitRow, second: TraitRow) -> TraitRow:
    """The first trait, standing for the look of either; it can be read when both can."""
    later = max(first, second, key=lambda row: read_model(row.model).week)
    return replace(first, dominance=Dominance.RECESSIVE, model=later.model)


def merged(records: Records, first: TraitRow, second: TraitRow) -> Records:
    """The records with the second trait read as the first, and breeders out of a bin of one kind read as that kind."""
    ids = frozenset({first.id, second.id})
    told = described(records)

    def pairing(row: PairingRow) -> PairingRow:
        return replace(row, trait_id=first.id) if row.trait_id == second.id else row

    def scoring(row: ScoringRow) -> ScoringRow:
        return replace(row, scores=tuple(replace(s, shown=_looks(s.shown, ids, first.id)) for s in row.scores))

    def of_one(row: _Told) -> _Told:
        return replace(row, states=_states(row.states, ids, first.id))

    return replace(
        records,
        breeders=tuple(of_one(row) for row in told),
        founders=tuple(of_one(row) for row in records.founders),
        pairings=tuple(pairing(row) for row in records.pairings),
        scorings=tuple(scoring(row) for row in records.scorings),
    )


def described(records: Records) -> tuple[BreedersRow, ...]:
    """All breeders; those of whom nothing was said are what their bin holds, if it was founded with one kind alone."""
    by_bin: dict[int, list[FounderRow]] = {}
    for founder in records.founders:
        by_bin.setdefault(founder.bin_id, []).append(founder)
    return tuple(_as_held(row, by_bin.get(row.from_bin_id or 0, ())) for row in records.breeders)


def _as_held(row: BreedersRow, founders: Iterable[FounderRow]) -> BreedersRow:
    held = list(founders)
    if row.described or not held or any(one.brood_id is not None or not one.described for one in held):
        return row
    kinds = {frozenset(one.states) for one in held}
    return replace(row, described=True, states=held[0].states) if len(kinds) == 1 else row


def said_of(records: Records, first: TraitRow, second: TraitRow) -> dict[str, Said]:
    """What is said of breeders of either line, by the name of their group in a programme."""
    lines = {first.id: Line.FIRST, second.id: Line.SECOND}
    found: dict[str, Said] = {}
    for row in described(records):
        mine = [state for state in row.states if state.trait_id in lines]
        shows = frozenset(lines[one.trait_id] for one in mine if one.state in SHOWS)
        carries = {lines[one.trait_id]: _chance(one) for one in mine if one.state not in SHOWS | {State.WILD}}
        if shows or carries:
            found[f"g{row.id}"] = Said(shows, carries)
    return found


def species_bred(records: Records, said: Mapping[str, Said]) -> str | None:
    """The species of most pairings in which animals of either line are."""
    mine = {row.pairing_id for row in records.paired if f"g{row.breeders_id}" in said}
    found = Counter(row.species_key for row in records.pairings if row.id in mine)
    return found.most_common(1)[0][0] if found else None


def _chance(state: FounderState) -> float:
    return 1.0 if state.chance is None else float(state.chance)


def _looks(shown: Iterable[Shown], ids: frozenset[int], as_one: int) -> tuple[Shown, ...]:
    mine = {one.look for one in shown if one.trait_id in ids}
    rest = tuple(one for one in shown if one.trait_id not in ids)
    if not mine:
        return rest
    return (Shown(as_one, Appearance.FULL if Appearance.FULL in mine else mine.pop()), *rest)


def _states(states: Iterable[FounderState], ids: frozenset[int], as_one: int) -> tuple[FounderState, ...]:
    """The states with those of both traits as one: it shows if either does, else it carries if either does."""
    mine = [one for one in states if one.trait_id in ids]
    rest = tuple(one for one in states if one.trait_id not in ids)
    if not mine:
        return rest
    order = [*SHOWS, State.HET, State.POSSIBLE_HET, State.WILD]
    return (min(mine, key=lambda one: order.index(one.state))._replace(trait_id=as_one), *rest)
