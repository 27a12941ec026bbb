"""A book's traits as the science has them: loci, the map, what young are scored for, and what cannot be."""

import subprocess
import sys
from datetime import UTC, datetime
from fractions import Fraction
from itertools import product
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.records import Dominance, Heredity, RelationKind, RelationRow, TraitRow
from bot.services.heredity import by_itself, known_of, made_together, require_sound, sexes_matter
from bot.services.refusals_traits import Uneven
from bot.services.trait_models import (
    USUAL,
    Gap,
    Linkage,
    Series,
    Together,
    TraitModel,
    Vigour,
    write_linkage,
    write_model,
    write_series,
    write_together,
)
from genetics import (
    Appearance,
    Character,
    Genome,
    Interaction,
    ModelFault,
    ModelRefused,
    Role,
    Sex,
    SexSystem,
    Side,
    State,
    Stated,
    Trait,
    Where,
    offspring,
    parent,
)
from tests.services.test_trait_models import stored

ROOT = Path(__file__).parents[2]
NOW = datetime(2026, 3, 5, 12, tzinfo=UTC)
F = Fraction
RECESSIVE, DOMINANT = Dominance.RECESSIVE, Dominance.DOMINANT


def row(number: int, name: str, dominance: Dominance = RECESSIVE, model: TraitModel = USUAL) -> TraitRow:
    document = write_model(model)
    return TraitRow(
        number, name, name[0], dominance, None, 1, NOW, None, None if document is None else stored(document)
    )


def relation(
    kind: RelationKind, body: dict[str, Any], members: tuple[int, ...], name: str = "glow", looks: tuple[str, ...] = ()
) -> RelationRow:
    return RelationRow(90 + len(members), kind, name, looks, stored(body), 1, members)


def linked(*members: int) -> RelationRow:
    return relation(RelationKind.LINKED, write_linkage(Linkage((Gap(F(1, 10)),) * (len(members) - 1))), members)


def series(wild: int, *members: int) -> RelationRow:
    return relation(RelationKind.SERIES, write_series(Series(wild)), members, "shade")


def together(kind: str, looks: tuple[str, ...], *members: int) -> RelationRow:
    return relation(RelationKind.TOGETHER, write_together(Together(Interaction(kind))), members, "coat", looks)


ASH, BIRCH, CEDAR = row(1, "ash"), row(2, "birch"), row(3, "cedar", DOMINANT)


def book(*rows: TraitRow, relations: tuple[RelationRow, ...] = ()) -> Heredity:
    return Heredity(rows or (ASH, BIRCH, CEDAR), relations)


def test_a_trait_of_which_no_more_is_said_is_scored_as_it_is() -> None:
    known = known_of(book())
    assert [trait.name for trait in known.traits] == ["ash", "birch", "cedar"]
    assert known.scored(known.traits) == known.traits
    assert not sexes_matter(known.scored(known.traits))
    assert known.groups(known.traits) == ()
    assert known.relations_of(known.traits) == ()


def test_a_place_is_the_trait_s_own() -> None:
    known = known_of(book(row(1, "ash", model=TraitModel(where=Where.SHARED))))
    assert known.traits[0].locus.where is Where.SHARED
    assert sexes_matter(known.scored(known.traits))


def test_members_of_a_series_are_alleles_of_one_locus_and_scored_as_one() -> None:
    known = known_of(book(relations=(series(1, 3, 1),)))
    cedar, ash = known.by_id[3], known.by_id[1]
    assert cedar.locus == ash.locus
    assert cedar.locus.order == ("c", "+", "a")
    (shade,) = known.scored([ash])
    assert isinstance(shade, Character)
    assert (shade.name, sorted(shade.labels)) == ("shade", ["ash", "cedar", "wild"])
    assert [one.name for one in known.concerned([ash])] == ["ash", "cedar"]
    assert shade.chances((("a", "c"),))[shade.label("cedar")] == 1


def test_loci_are_mapped_where_two_of_them_are_asked_about() -> None:
    known = known_of(book(relations=(linked(1, 2, 3),)))
    (group,) = known.groups(known.traits[:2])
    assert [locus.name for locus in group.loci] == ["ash", "birch", "cedar"]
    assert group.between(known.traits[0].locus, known.traits[2].locus, Role.DAM) == F(9, 50)
    assert known.groups(known.traits[:1]) == ()


@pytest.mark.parametrize(
    ("rows", "relations", "fault"),
    [
        ((), (series(1, 1, 2),), ModelFault.DOMINANCE),
        ((), (linked(1, 2), linked(2, 3)), ModelFault.LOCUS_TWICE),
        ((ASH, row(2, "birch", model=TraitModel(where=Where.SHARED))), (linked(1, 2),), ModelFault.OTHER_CHROMOSOME),
        ((ASH, row(2, "birch", model=TraitModel(where=Where.SHARED))), (series(0, 1, 2),), ModelFault.OTHER_CHROMOSOME),
        (
            (ASH, row(2, "birch", Dominance.INCOMPLETE)),
            (together("9:7", ("a", "b"), 1, 2),),
            ModelFault.NEEDS_DOMINANCE,
        ),
        ((), (together("9:3:4", ("a", "b"), 1, 2),), ModelFault.LABELS),
        ((), (together("9:7", ("a", "a"), 1, 2),), ModelFault.LABELS),
    ],
)
def test_what_contradicts_itself_is_refused(
    rows: tuple[TraitRow, ...], relations: tuple[RelationRow, ...], fault: ModelFault
) -> None:
    with pytest.raises(ModelRefused) as caught:
        require_sound(book(*rows, relations=relations), [2])
    assert caught.value.fault is fault


@pytest.mark.parametrize(
    "model", [TraitModel(penetrance=F(1, 2)), TraitModel(phenocopies=F(1, 2)), TraitModel(shown_in=Sex.MALE)]
)
def test_a_look_made_together_is_made_of_traits_that_always_show(model: TraitModel) -> None:
    with pytest.raises(Uneven) as caught:
        require_sound(book(row(1, "ash", model=model), BIRCH, relations=(together("9:7", ("a", "b"), 1, 2),)), [1])
    assert (caught.value.trait, caught.value.name) == ("ash", "coat")


def test_a_series_that_an_undo_has_broken_stops_only_its_own_traits() -> None:
    known = known_of(book(relations=(series(1, 1, 2),)))
    assert known.scored(known.traits[2:]) == known.traits[2:]
    with pytest.raises(ModelRefused) as caught:
        known.scored(known.traits[:1])
    assert caught.value.fault is ModelFault.DOMINANCE
    assert require_sound(book(relations=(series(1, 1, 2),)), [3]).traits == known.traits


models = st.builds(
    TraitModel,
    penetrance=st.fractions(0, 1, max_denominator=12),
    phenocopies=st.fractions(0, F(1, 2), max_denominator=12),
    shown_in=st.sampled_from([None, *Sex]),
    lives=st.lists(
        st.builds(
            Vigour,
            copies=st.integers(0, 2),
            rate=st.fractions(0, 2, max_denominator=6),
            sex=st.sampled_from([None, *Sex]),
        ),
        max_size=3,
        unique_by=lambda one: (one.copies, one.sex),
    ).map(tuple),
)


@given(model=models, dominance=st.sampled_from(Dominance), copies=st.integers(0, 2), sex=st.sampled_from(Sex))
def test_a_trait_shows_as_its_model_says(model: TraitModel, dominance: Dominance, copies: int, sex: Sex) -> None:
    """Looked up again by hand: phenocopies first, then penetrance, and nothing at all in the sex that cannot show it."""
    trait = Trait("ash", "a", dominance)
    scored = by_itself(trait, model)
    if isinstance(scored, Trait):
        assert model.usual_looks
        assert not model.lives
        return
    pair = ("a",) * copies + ("+",) * (2 - copies)
    chances = dict(zip(scored.labels, scored.chances((pair,), sex), strict=True))
    nominal = {0: Appearance.WILD, 1: _one_copy(dominance), 2: Appearance.FULL}[copies]
    shows = F(1) - chances[Appearance.WILD]
    if model.shown_in not in (None, sex):
        assert shows == 0
    elif nominal is Appearance.WILD:
        assert shows == model.phenocopies * model.penetrance
    else:
        assert shows == chances[nominal] == model.penetrance
    told = [one.rate for one in model.lives if one.copies == copies and one.sex is sex]
    told += [one.rate for one in model.lives if one.copies == copies and one.sex is None]
    assert scored.survival((pair,), sex) == (told[0] if told else 1)


def _one_copy(dominance: Dominance) -> Appearance:
    return {
        RECESSIVE: Appearance.WILD,
        DOMINANT: Appearance.FULL,
        Dominance.INCOMPLETE: Appearance.PARTIAL,
    }[dominance]


def test_a_table_of_looks_is_gone_through_from_above() -> None:
    """A keeper's table: both visual is ghost, else either is pale, else grey; every one of the nine genotypes by hand."""
    ash, birch = (known_of(book()).by_id[number] for number in (1, 2))
    rules = (((2, 2), 0), ((2, None), 1), ((None, 2), 1), ((None, None), 2))
    made = made_together("coat", (ash, birch), ("ghost", "pale", "grey"), Together(None, rules), (USUAL, USUAL))
    for one, other in product(range(3), repeat=2):
        pairs = [("+",) * (2 - n) + (s,) * n for n, s in ((one, "a"), (other, "b"))]
        wanted = "ghost" if one == other == 2 else "pale" if 2 in (one, other) else "grey"
        assert made.chances(pairs)[made.label(wanted)] == 1
    with pytest.raises(ModelRefused) as caught:
        made_together("coat", (ash, birch), ("ghost",), Together(None, (((2, 2), 0),)), (USUAL, USUAL))
    assert caught.value.fault is ModelFault.TABLE_GAP


def test_viabilities_of_two_traits_of_one_look_multiply() -> None:
    """Independence of losses, by hand: half of the double recessives survive the one, half of those the other."""
    ash, birch = (known_of(book()).by_id[number] for number in (1, 2))
    weak = TraitModel(lives=(Vigour(2, F(1, 2)),))
    made = made_together("coat", (ash, birch), ("a", "b"), Together(Interaction("9:7")), (weak, weak))
    assert made.survival((("a", "a"), ("b", "b"))) == F(1, 4)
    assert made.survival((("a", "a"), ("+", "b"))) == F(1, 2)
    assert made.survival((("+", "a"), ("+", "b"))) == 1


def test_alleles_of_a_series_show_as_often_as_their_own_models_say() -> None:
    """s/a × +/a by hand: soot shows in half of those that have it, and the rest of them looks wild."""
    rows = (row(1, "ash"), row(3, "cedar", DOMINANT, TraitModel(penetrance=F(1, 2))))
    known = known_of(Heredity(rows, (series(1, 3, 1),)))
    ash, cedar = known.by_id[1], known.by_id[3]
    scored = known.scored([ash, cedar])
    both = Side((Stated(cedar, State.HET), Stated(ash, State.HET)))
    young = offspring(parent(both, scored), parent(Side((Stated(ash, State.HET),)), scored), scored)
    assert {c.looks[0]: c.share for c in young.classes()} == {"wild": F(1, 2), "cedar": F(1, 4), "ash": F(1, 4)}


def test_a_sex_limited_recessive_is_an_eighth_of_all_young_whatever_makes_the_sexes() -> None:
    """science.md §5: 1/8 of unsexed F2 young."""
    known = known_of(book(row(1, "ash", model=TraitModel(shown_in=Sex.FEMALE))))
    (ash,) = known.traits
    scored = known.scored(known.traits)
    for genome in (Genome(system=SexSystem.ZZ_ZW), Genome(system=SexSystem.XX_XY), Genome(daughters=F(1, 2))):
        sides = [parent(Side((Stated(ash, State.HET),)), scored, genome, role) for role in Role]
        assert offspring(sides[0], sides[1], scored).share({scored[0]: Appearance.FULL}) == F(1, 8)


MODELLED = """
import sys
from fractions import Fraction
from bot.services.backgrounds import Background
from bot.services.heredity import by_itself, made_together
from bot.services.otherwise import otherwise_of
from bot.services.questions import young_of
from bot.services.trait_models import Together, TraitModel, USUAL
from genetics import Dominance, Genome, Interaction, LinkageGroup, Side, State, Stated, Trait
ash, birch = Trait("ash", "a", Dominance.RECESSIVE), Trait("birch", "b", Dominance.RECESSIVE)
side = Side((Stated(ash, State.HET), Stated(birch, State.HET)))
shy = by_itself(ash, TraitModel(penetrance=Fraction(7, 10)))
coat = made_together("coat", (ash, birch), ("a", "b"), Together(Interaction("9:7")), (USUAL, USUAL))
genome = Genome((LinkageGroup((ash.locus, birch.locus), Fraction(1, 10)),))
print(len(young_of(side, side, Background((shy, birch, coat), genome)).classes()))
print(sorted({"numpy", "scipy", "matplotlib"} & set(sys.modules)))
"""


def test_models_load_nothing_heavy() -> None:
    found = subprocess.run([sys.executable, "-c", MODELLED], capture_output=True, text=True, check=True, cwd=ROOT)
    assert found.stdout.split("\n")[1] == "[]"
