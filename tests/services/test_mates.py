"""The least related mates on record, and from which inbreeding on a server warns."""

from fractions import Fraction

import pytest

from bot.records import Privacy, Sex, Subject
from bot.services import mates as services
from bot.services.bins import NewBin, open_bin
from bot.services.lineage import Assumed
from bot.services.mates import Warnings, mates_of, set_warnings
from bot.services.refusals import (
    NoSuchBin,
    Refusal,
    StewardsOnly,
    TooCostly,
    WordNotKnown,
)
from bot.services.refusals_kinship import KinshipNotTold, WarningsCrossed
from bot.services.refusals_traits import ShareNotRead
from bot.services.undo import undo
from genetics import KinshipFault, closed_line
from genetics.kinship import group_kinship as recursion
from tests.support.asking import ELSEWHERE, MOSS, SERVER, WREN, Asking

VULGARE = "Armadillidium vulgare"


async def stocked(asking: Asking, who: int = WREN, server: int = SERVER) -> None:
    """Wild stock, a visual, their F1, its F2, unrelated stock, and a bin of another species."""
    for new in (
        NewBin(species=VULGARE, animals="30", origin="old quarry"),
        NewBin(species=VULGARE, animals="1", origin="leaf pile"),
        NewBin(species=VULGARE, animals="14", parents="B-1 x B-2"),
        NewBin(species=VULGARE, animals="20", parents="B-3"),
        NewBin(species=VULGARE, animals="12", origin="another valley", name="far stock"),
        NewBin(species="Porcellio scaber", animals="9", origin="old quarry"),
    ):
        await open_bin(asking.desk, asking.by(who, server=server), new)


async def test_the_least_related_bin_of_the_species_comes_first(asking: Asking) -> None:
    await stocked(asking)
    found = await mates_of(asking.desk, asking.by(), "b4")
    assert (found.label.code, found.species.name) == ("B-4", VULGARE)
    figures = [(mate.label.code, mate.kinship) for mate in found.mates]
    assert [code for code, _ in figures] == ["B-5", "B-1", "B-3", "B-2"]
    assert figures[0][1] == 0
    # The young of the founder's young have a quarter of his genes twice over: half of the F1's kinship with him, 1/4.
    assert dict(figures)["B-2"] == Fraction(1, 4)
    assert found.mates[0].label.name == "far stock"
    assert (found.left_out, found.warnings) == (0, Warnings())


async def test_within_the_bin_and_its_own_inbreeding(asking: Asking) -> None:
    """Of fifteen wild dams, half sibs by origin, and one visual sire; then of seven and seven of their young."""
    await stocked(asking)
    f1, f2 = [await mates_of(asking.desk, asking.by(), code) for code in ("B-3", "B-4")]
    dams = Fraction(1, 15) * Fraction(1, 2) + Fraction(14, 15) * Fraction(1, 8)
    assert f1.within == (dams + Fraction(1, 2)) / 4
    assert (f1.inbreeding, f2.inbreeding) == (0, f1.within)
    alone = await mates_of(asking.desk, asking.by(), "B-2")
    assert (alone.within, alone.inbreeding) == (None, 0)
    one_pair = closed_line(7, 7, 1, f1.within)[0].kinship
    assert f2.within == one_pair


async def test_what_a_figure_rests_on_is_told(asking: Asking) -> None:
    await stocked(asking)
    found = {mate.label.code: mate.assumed for mate in (await mates_of(asking.desk, asking.by(), "B-3")).mates}
    assert found["B-4"] == {Assumed.ONE_ORIGIN, Assumed.BREEDERS}
    await open_bin(asking.desk, asking.by(), NewBin(species=VULGARE, parents="B-4"))
    await open_bin(asking.desk, asking.by(), NewBin(species=VULGARE))
    found = {mate.label.code: mate.assumed for mate in (await mates_of(asking.desk, asking.by(), "B-7")).mates}
    assert found["B-4"] == {Assumed.ONE_ORIGIN, Assumed.BREEDERS}
    assert Assumed.NOTHING in found["B-8"]


async def test_bins_of_one_sex_are_no_mates_for_each_other(asking: Asking) -> None:
    async with asking.desk.records.write(asking.by().stamp) as book:
        for sex in (Sex.FEMALE, Sex.FEMALE, Sex.MALE, Sex.UNKNOWN):
            row = await book.add_bin(species_key="armadillidium-vulgare")
            await book.add_founder(row.id, number=4, sex=sex, origin=f"origin {row.id}")
        await book.log("bin.opened", Subject("bin", row.id))
    found = await mates_of(asking.desk, asking.by(), "B-1")
    assert ([mate.label.code for mate in found.mates], found.left_out) == (["B-3", "B-4"], 1)


async def test_a_private_bin_is_a_mate_for_its_keeper_only(asking: Asking) -> None:
    await stocked(asking)
    async with asking.desk.records.write(asking.by().stamp) as book:
        far = await book.bin_by_code("B-5")
        assert far is not None
        await book.set_privacy(far.id, Privacy.BIN)
        await book.log("bin.private", Subject("bin", far.id))
    codes = [{m.label.code for m in (await mates_of(asking.desk, asking.by(who), "B-4")).mates} for who in (WREN, MOSS)]
    assert codes == [{"B-1", "B-2", "B-3", "B-5"}, {"B-1", "B-2", "B-3"}]
    with pytest.raises(NoSuchBin):
        await mates_of(asking.desk, asking.by(MOSS), "B-5")


async def test_nothing_of_another_server_is_found(asking: Asking) -> None:
    await stocked(asking)
    with pytest.raises(NoSuchBin):
        await mates_of(asking.desk, asking.by(server=ELSEWHERE), "B-4")
    await open_bin(asking.desk, asking.by(server=ELSEWHERE), NewBin(species=VULGARE, animals="5"))
    assert (await mates_of(asking.desk, asking.by(server=ELSEWHERE), "B-1")).mates == ()


async def test_many_groups_are_a_workers_to_do_and_too_many_are_refused(
    asking: Asking, monkeypatch: pytest.MonkeyPatch
) -> None:
    await stocked(asking)
    at_once = await mates_of(asking.desk, asking.by(), "B-4")
    monkeypatch.setattr(services, "FEW", 0)
    assert await mates_of(asking.desk, asking.by(), "B-4") == at_once
    monkeypatch.setattr(services, "FEW", 1000)
    monkeypatch.setattr(recursion, "GROUPS", 3)
    with pytest.raises(TooCostly):
        await mates_of(asking.desk, asking.by(), "B-4")


async def test_a_circle_in_the_book_is_told_with_its_bins(asking: Asking) -> None:
    await stocked(asking)
    async with asking.desk.records.write(asking.by().stamp) as book:
        rows = {row.code: row.id for row in await book.bins()}
        await book.add_parent(rows["B-3"], rows["B-4"], (await book.parents(rows["B-4"]))[0].role)
        await book.log("bin.changed", Subject("bin", rows["B-3"]))
    with pytest.raises(KinshipNotTold) as refused:
        await mates_of(asking.desk, asking.by(), "B-4")
    assert refused.value.fault is KinshipFault.OWN_ANCESTOR
    assert {label.code for label in refused.value.culprits} == {"B-3", "B-4"}
    # Bins that have nothing to do with it are told all the same.
    with pytest.raises(NoSuchBin):
        await mates_of(asking.desk, asking.by(), "B-77")
    assert (await mates_of(asking.desk, asking.by(), "B-6")).mates == ()


async def test_a_steward_sets_the_warnings_and_can_take_it_back(asking: Asking) -> None:
    request = asking.by(steward=True)
    set_ = await set_warnings(asking.desk, request, note="6.25 %", warning="0.125", origin="Full sibs")
    assert set_.warnings == Warnings(Fraction(1, 16), Fraction(1, 8), Fraction(1, 4))
    again = await set_warnings(asking.desk, request, note="6.25 %", warning="0.125", origin="Full sibs")
    assert again == set_
    assert len(await asking.events()) == 1
    told = await set_warnings(asking.desk, asking.by(MOSS))
    assert (told.warnings, told.event) == (set_.warnings, None)
    part = await set_warnings(asking.desk, asking.by(steward=True), note="1/10")
    assert part.warnings == Warnings(Fraction(1, 10), Fraction(1, 8), Fraction(1, 4))
    assert part.event is not None
    await undo(asking.desk, asking.by(), part.event)
    assert (await set_warnings(asking.desk, asking.by())).warnings == set_.warnings
    assert (await set_warnings(asking.desk, asking.by(server=ELSEWHERE))).warnings == Warnings()


async def test_the_origin_set_is_the_origin_used(asking: Asking) -> None:
    await stocked(asking)
    await set_warnings(asking.desk, asking.by(steward=True), origin="unrelated")
    found = await mates_of(asking.desk, asking.by(), "B-1")
    assert found.within == 0
    assert found.warnings.origin == 0


@pytest.mark.parametrize(
    ("typed", "steward", "kind"),
    [
        ({"note": "10 %"}, False, StewardsOnly),
        ({"note": "lots"}, True, ShareNotRead),
        ({"warning": "120 %"}, True, ShareNotRead),
        ({"origin": "neighbours"}, True, WordNotKnown),
        ({"note": "30 %"}, True, WarningsCrossed),
        ({"warning": "10 %"}, True, WarningsCrossed),
    ],
)
async def test_warnings_that_cannot_be_are_refused_and_nothing_is_written(
    asking: Asking, typed: dict[str, str], steward: bool, kind: type[Refusal]
) -> None:
    with pytest.raises(kind):
        await set_warnings(asking.desk, asking.by(steward=steward), **typed)
    assert await asking.events() == []
