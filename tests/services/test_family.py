"""The family of a bin: its ancestors all the way, its young one step, and how each looks for a trait."""

from datetime import timedelta
from fractions import Fraction

import pytest

from bot.records import BreederRole, BroodReason, DamHistory, Privacy, Sex, State, Subject
from bot.services import family as services
from bot.services.bins import NewBin, open_bin
from bot.services.counts import log_count
from bot.services.family import Family, Look, family_of
from bot.services.pairing_setup import NewPairing, set_up
from bot.services.refusals import NoSuchBin
from bot.services.refusals_traits import NoSuchTrait
from bot.services.traits import define_trait
from tests.support.asking import ELSEWHERE, MOSS, WREN, Asking

VULGARE = "Armadillidium vulgare"
HALL = {
    "B-1": NewBin(species=VULGARE, animals="30", holds="wild", origin="old quarry"),
    "B-2": NewBin(species=VULGARE, animals="1", holds="visual ember"),
    "B-3": NewBin(species=VULGARE, animals="14", holds="het ember", parents="B-1 x B-2"),
    "B-4": NewBin(species=VULGARE, animals="20", holds="66% het ember", parents="B-3"),
    "B-5": NewBin(species=VULGARE, parents="B-4 x B-2"),
    "B-6": NewBin(species=VULGARE, animals="8", name="no kin"),
}


async def stocked(asking: Asking) -> None:
    await define_trait(asking.desk, asking.by(), name="ember", dominance="recessive", symbol="e")
    await define_trait(asking.desk, asking.by(), name="dusk", dominance="incomplete", symbol="D")
    for new in HALL.values():
        await open_bin(asking.desk, asking.by(), new)


def codes(family: Family) -> dict[str, str]:
    """The keys by code."""
    return {kin.code or kin.name or "": kin.key for kin in family.kin}


def came_from(family: Family) -> dict[str, tuple[str, ...]]:
    names = {key: name for name, key in codes(family).items()}
    return {names[y]: tuple(names[p] for p in m.parents) for m in family.matings for y in m.young}


async def test_ancestors_all_the_way_and_young_one_step(asking: Asking) -> None:
    await stocked(asking)
    youngest = await family_of(asking.desk, asking.by(), "b5")
    assert came_from(youngest) == {"B-5": ("B-4", "B-2"), "B-4": ("B-3",), "B-3": ("B-1", "B-2")}
    assert (youngest.label.code, youngest.asked, youngest.left_out) == ("B-5", codes(youngest)["B-5"], 0)
    middle = await family_of(asking.desk, asking.by(), "B-3")
    assert came_from(middle) == {"B-3": ("B-1", "B-2"), "B-4": ("B-3",)}
    alone = await family_of(asking.desk, asking.by(), "B-6")
    assert ([kin.code for kin in alone.kin], alone.matings) == (["B-6"], ())


async def test_how_each_looks_for_a_trait(asking: Asking) -> None:
    await stocked(asking)
    family = await family_of(asking.desk, asking.by(), "B-5", "Ember")
    looks = {kin.code: kin.looks for kin in family.kin}
    assert looks == {
        "B-1": (Look(shows=False),),
        "B-2": (Look(shows=True),),
        "B-3": (Look(shows=False, carries=Fraction(1)),),
        "B-4": (Look(shows=False, carries=Fraction(2, 3)),),
        "B-5": (),
    }
    assert family.trait == "ember"
    other = await family_of(asking.desk, asking.by(), "B-2", "D")
    assert next(kin.looks for kin in other.kin if kin.code == "B-2") == (Look(shows=False),)
    plain = await family_of(asking.desk, asking.by(), "B-2")
    assert next(kin.looks for kin in plain.kin if kin.code == "B-2") == (Look(),)


async def test_a_het_of_a_trait_that_shows_with_one_copy_shows_it(asking: Asking) -> None:
    await stocked(asking)
    await open_bin(asking.desk, asking.by(), NewBin(species=VULGARE, animals="3", holds="het dusk"))
    family = await family_of(asking.desk, asking.by(), "B-7", "dusk")
    assert family.kin[0].looks == (Look(shows=True),)


async def test_counts_are_the_latest(asking: Asking) -> None:
    await stocked(asking)
    await log_count(asking.desk, asking.by(after=timedelta(hours=1)), bin_text="B-1", count_text="about 90")
    family = await family_of(asking.desk, asking.by(), "B-1")
    counted = {kin.code: (kin.count, kin.estimate, kin.alone) for kin in family.kin}
    assert counted["B-1"] == (90, True, False)
    single = await family_of(asking.desk, asking.by(), "B-2")
    assert [(kin.count, kin.alone) for kin in single.kin if kin.code == "B-2"] == [(1, True)]


async def test_recorded_breeders_stand_between_their_bin_and_their_young(asking: Asking) -> None:
    await stocked(asking)
    async with asking.desk.records.write(asking.by().stamp) as book:
        rows = {row.code: row.id for row in await book.bins()}
        nest = await book.add_bin(species_key="armadillidium-vulgare")
        pairing = await book.add_pairing(bin_id=nest.id, trait_id=None, note=None, set_up_at=book.stamp.now)
        dam = await book.add_breeders(sex=Sex.FEMALE, number=1, from_bin_id=rows["B-3"], described=True, name="Ash")
        trait = (await book.traits())[1]
        await book.add_breeder_state(dam, trait.id, State.HET)
        sire = await book.add_breeders(sex=Sex.MALE, number=2, from_bin_id=None, described=False, name="two guests")
        await book.put_in(pairing, dam, BreederRole.DAM, DamHistory.UNMATED)
        await book.put_in(pairing, sire, BreederRole.SIRE, None)
        brood = await book.add_brood(
            bin_id=nest.id,
            pairing_id=pairing,
            why=BroodReason.PLANNED,
            seen_on=book.stamp.now,
            born=9,
            dead=None,
            mothers=None,
            note=None,
        )
        kept = await book.add_bin(species_key="armadillidium-vulgare")
        await book.add_founder(kept.id, number=5, sex=Sex.FEMALE, brood_id=brood)
        await book.log("pairing", Subject("bin", nest.id))
    family = await family_of(asking.desk, asking.by(), "B-8", "ember")
    found = came_from(family)
    assert found["B-8"] == ("Ash", "two guests")
    assert found["Ash"] == ("B-3",)
    assert found["B-3"] == ("B-1", "B-2")
    kin = {each.name or each.code: each for each in family.kin}
    assert (kin["Ash"].sex, kin["Ash"].alone, kin["Ash"].looks) == (Sex.FEMALE, True, (Look(False, Fraction(1)),))
    assert (kin["two guests"].sex, kin["two guests"].count, kin["two guests"].alone) == (Sex.MALE, 2, False)
    assert kin["B-8"].sex is Sex.FEMALE
    assert kin["two guests"].looks == (Look(),)


async def test_breeders_of_whom_nothing_was_said_are_what_their_bin_holds(asking: Asking) -> None:
    await stocked(asking)
    new = NewPairing(dams="2 from B-4", sires="1 from B-2", species=VULGARE)
    await set_up(asking.desk, asking.by(), new)
    family = await family_of(asking.desk, asking.by(), "B-7", "ember")
    looks = {kin.sex: kin.looks for kin in family.kin if kin.code is None}
    assert looks == {
        Sex.FEMALE: (Look(shows=False, carries=Fraction(2, 3)),),
        Sex.MALE: (Look(shows=True),),
    }


async def test_a_private_ancestor_has_no_code(asking: Asking) -> None:
    await stocked(asking)
    async with asking.desk.records.write(asking.by().stamp) as book:
        row = await book.bin_by_code("B-1")
        assert row is not None
        await book.set_privacy(row.id, Privacy.BIN)
        await book.log("bin.private", Subject("bin", row.id))
    for who, hidden in ((WREN, []), (MOSS, [None])):
        family = await family_of(asking.desk, asking.by(who), "B-3")
        assert [kin.code for kin in family.kin if kin.hidden] == hidden
        assert all(kin.count is None and not kin.looks for kin in family.kin if kin.hidden)


async def test_what_has_no_room_is_counted(asking: Asking, monkeypatch: pytest.MonkeyPatch) -> None:
    await stocked(asking)
    monkeypatch.setattr(services, "MOST_KIN", 3)
    family = await family_of(asking.desk, asking.by(), "B-5")
    assert {kin.code for kin in family.kin} == {"B-5", "B-4", "B-2"}
    assert family.left_out == 1


async def test_what_is_not_there_is_refused_with_the_nearest(asking: Asking) -> None:
    await stocked(asking)
    with pytest.raises(NoSuchTrait) as refused:
        await family_of(asking.desk, asking.by(), "B-5", "embr")
    assert refused.value.nearest == ("ember",)
    with pytest.raises(NoSuchBin):
        await family_of(asking.desk, asking.by(), "B-77")
    with pytest.raises(NoSuchBin):
        await family_of(asking.desk, asking.by(server=ELSEWHERE), "B-5")
