"""Breeders as people type them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.records import BreederRole, DamHistory
from bot.services.breeder_text import Again, Called, Fresh, Group, read_breeders
from bot.services.refusals_breeding import BreedersNotRead, BreedersProblem

UNMATED, HAD_MALES, UNKNOWN = DamHistory.UNMATED, DamHistory.HAD_MALES, DamHistory.UNKNOWN


@pytest.mark.parametrize(
    ("typed", "groups"),
    [
        ("", []),
        ("2 from B-3", [Fresh(2, "", "B-3", "", None)]),
        ("2 females from b3", [Fresh(2, "", "b3", "", None)]),
        ("a dam out of B-3", [Fresh(1, "", "B-3", "", None)]),
        ("1 visual ember from B-4 ember F2", [Fresh(1, "visual ember", "B-4 ember F2", "", None)]),
        ("3 66% het ember from B-4", [Fresh(3, "66% het ember", "B-4", "", None)]),
        ("66% het ember from B-4", [Called("66% het ember from B-4")]),
        ("two isolated unmated from B-4", [Fresh(2, "", "B-4", "", UNMATED)]),
        ("1 virgin het ember from B-4", [Fresh(1, "het ember", "B-4", "", UNMATED)]),
        ("4 had males from B-1", [Fresh(4, "", "B-1", "", HAD_MALES)]),
        ("4 unknown history from B-1", [Fresh(4, "", "B-1", "", UNKNOWN)]),
        ("1 wild", [Fresh(1, "wild", "", "", None)]),
        ("1 visual ember called Rust from B-4", [Fresh(1, "visual ember", "B-4", "Rust", None)]),
        ("1 unmated called Old Rust", [Fresh(1, "", "", "Old Rust", UNMATED)]),
        ("Rust", [Called("Rust")]),
        ("Rust unmated", [Called("Rust", UNMATED)]),
        ("B-3", [Called("B-3")]),
        ("dams of P-2", [Again(BreederRole.DAM, "P-2")]),
        ("the sires of p 12", [Again(BreederRole.SIRE, "p 12")]),
        ("1 from B-3; 2 from B-4", [Fresh(1, "", "B-3", "", None), Fresh(2, "", "B-4", "", None)]),
        ("1 from B-3 and two from B-4", [Fresh(1, "", "B-3", "", None), Fresh(2, "", "B-4", "", None)]),
        ("2 from B-3, 1 from B-4", [Fresh(2, "", "B-3", "", None), Fresh(1, "", "B-4", "", None)]),
        ("1 visual ember, 66% het frost from B-3", [Fresh(1, "visual ember, 66% het frost", "B-3", "", None)]),
        ("1 from B-3\n2 from B-4", [Fresh(1, "", "B-3", "", None), Fresh(2, "", "B-4", "", None)]),
    ],
)
def test_groups_are_read(typed: str, groups: list[Group]) -> None:
    assert list(read_breeders(typed, BreederRole.DAM)) == groups


@pytest.mark.parametrize(
    ("typed", "role", "problem"),
    [
        ("1 male from B-3", BreederRole.DAM, BreedersProblem.WRONG_SEX),
        ("2 ember females from B-3", BreederRole.SIRE, BreedersProblem.WRONG_SEX),
        ("2 sisters from B-3", BreederRole.SIRE, BreedersProblem.WRONG_SEX),
        ("0 from B-3", BreederRole.DAM, BreedersProblem.NO_NUMBER),
        ("4000 from B-3", BreederRole.DAM, BreedersProblem.TOO_MANY),
    ],
)
def test_what_cannot_be_is_refused(typed: str, role: BreederRole, problem: BreedersProblem) -> None:
    with pytest.raises(BreedersNotRead) as caught:
        read_breeders(typed, role)
    assert caught.value.problem is problem


@given(st.text(max_size=60), st.sampled_from(BreederRole))
def test_any_text_is_groups_or_a_refusal(text: str, role: BreederRole) -> None:
    try:
        groups = read_breeders(text, role)
    except BreedersNotRead:
        return
    assert all(group.number >= 1 for group in groups if isinstance(group, Fresh))
