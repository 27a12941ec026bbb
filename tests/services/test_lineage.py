"""From the book to groups whose kinship can be told: who bred, what is drawn from what, and what had to be assumed."""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from datetime import timedelta
from fractions import Fraction

import pytest

from bot.records import (
    BreederRole,
    BroodReason,
    DamHistory,
    Moved,
    ParentRole,
    Privacy,
    Sex,
    SexSystem,
    Subject,
    WriteBook,
)
from bot.services.ancestry import read_ancestry
from bot.services.bin_moves import merge_bins, split_bin
from bot.services.lineage import Assumed, Lineage, lineage_of
from genetics import (
    Bred,
    Drawn,
    Founded,
    GroupKinship,
    KinshipFault,
    KinshipRefused,
    Merged,
    Role,
    closed_line,
    group_kinship,
)
from genetics import SexSystem as System
from tests.support.asking import MOSS, SERVER, WREN, Asking

SPECIES = "porcellio-laevis"
HALF_SIBS, UNRELATED = Fraction(1, 8), Fraction(0)


class Shelf:
    """A keeper who opens bins one after the other, an hour apart, straight into the book."""

    def __init__(self, asking: Asking) -> None:
        self._asking = asking
        self._hours = 0

    @asynccontextmanager
    async def writing(self) -> AsyncIterator[WriteBook]:
        self._hours += 1
        stamp = self._asking.by(WREN, after=timedelta(hours=self._hours)).stamp
        async with self._asking.desk.records.write(stamp) as book:
            yield book
            await book.log("test", Subject("bin", 1))

    async def open(
        self,
        *founders: tuple[int | None, Sex, str | None],
        parents: tuple[tuple[int, ParentRole], ...] = (),
        brood: int | None = None,
    ) -> int:
        async with self.writing() as book:
            row = await book.add_bin(species_key=SPECIES)
            for number, sex, origin in founders:
                await book.add_founder(row.id, number=number, sex=sex, origin=origin, brood_id=brood)
            for parent, role in parents:
                await book.add_parent(row.id, parent, role)
        return row.id

    async def young(self, dams: int, sires: int, number: int | None = None) -> int:
        founders = () if number is None else ((number, Sex.UNKNOWN, None),)
        both = ((dams, ParentRole.BOTH),) if dams == sires else ((dams, ParentRole.DAM), (sires, ParentRole.SIRE))
        return await self.open(*founders, parents=both)

    async def pour(self, source: int, into: int, number: int | None, moved: Moved = Moved.MERGE) -> None:
        async with self.writing() as book:
            await book.add_transfer(source, into, moved=moved, number=number)

    async def pair(self, bin_id: int, *breeders: tuple[BreederRole, int, int | None]) -> int:
        async with self.writing() as book:
            at = book.stamp.now
            pairing = await book.add_pairing(bin_id=bin_id, trait_id=None, note=None, set_up_at=at)
            for role, number, source in breeders:
                sex = Sex.FEMALE if role is BreederRole.DAM else Sex.MALE
                made = await book.add_breeders(sex=sex, number=number, from_bin_id=source, described=False)
                await book.put_in(pairing, made, role, DamHistory.UNMATED if role is BreederRole.DAM else None)
        return pairing

    async def brood(self, bin_id: int, pairing: int | None, born: int = 20) -> int:
        async with self.writing() as book:
            return await book.add_brood(
                bin_id=bin_id,
                pairing_id=pairing,
                why=BroodReason.PLANNED,
                seen_on=book.stamp.now,
                born=born,
                dead=None,
                mothers=None,
                note=None,
            )

    async def lineage(self, system: SexSystem = SexSystem.UNKNOWN, reader: int = WREN) -> Lineage:
        async with self._asking.desk.records.read(SERVER, reader) as book:
            return lineage_of(await read_ancestry(book, SPECIES), system)

    async def kin(self, origin: Fraction = UNRELATED) -> tuple[GroupKinship, dict[int, str]]:
        lineage = await self.lineage()
        return group_kinship(lineage.groups, origin_kinship=origin), dict(lineage.living)


@pytest.fixture
def shelf(asking: Asking) -> Shelf:
    return Shelf(asking)


async def test_sib_mating_from_one_pair_is_the_classical_series(shelf: Shelf) -> None:
    """A male and a female, their young in a bin, two of those in the next: 0, 1/4, 3/8, 1/2 (Wright 1921, from memory)."""
    start = await shelf.open((1, Sex.FEMALE, "a hall"), (1, Sex.MALE, "quarry"))
    bins = [await shelf.young(start, start, 2)]
    for _ in range(3):
        bins.append(await shelf.young(bins[-1], bins[-1], 2))
    kin, living = await shelf.kin()
    assert [kin.inbreeding(living[each]) for each in bins] == [line.inbreeding for line in closed_line(1, 1, 4)]


async def test_founders_whose_sex_is_said_are_the_breeders_they_are(shelf: Shelf) -> None:
    start = await shelf.open((4, Sex.FEMALE, "a hall"), (1, Sex.MALE, "a hall"))
    young = await shelf.young(start, start)
    lineage = await shelf.lineage()
    kin = group_kinship(lineage.groups, origin_kinship=0)
    assert kin.between(lineage.living[young], lineage.living[young]) == closed_line(4, 1, 1)[0].kinship
    assert lineage.behind([lineage.living[young]])[1] == {Assumed.ONE_ORIGIN}


async def test_breeders_not_recorded_are_half_of_the_bin(shelf: Shelf) -> None:
    start = await shelf.open((12, Sex.UNKNOWN, "a hall"))
    young = await shelf.young(start, start, 30)
    lineage = await shelf.lineage()
    kin = group_kinship(lineage.groups, origin_kinship=HALF_SIBS)
    expected = group_kinship(
        [
            Founded("start", 12, "x"),
            Drawn("dams", "start", 6, Role.DAM),
            Drawn("sires", "start", 6, Role.SIRE),
            Bred("young", "dams", "sires"),
        ]
    )
    own, before = lineage.living[young], lineage.living[start]
    assert kin.between(own, own) == expected.between("young", "young")
    assert kin.between(own, before) == expected.between("young", "start")
    assert lineage.behind([own])[1] == {Assumed.ONE_ORIGIN, Assumed.BREEDERS}
    assert lineage.behind([before])[1] == {Assumed.ONE_ORIGIN}


async def test_a_backcross_to_one_visual_is_the_classical_series(shelf: Shelf) -> None:
    wild = await shelf.open((30, Sex.UNKNOWN, "quarry"))
    visual = await shelf.open((1, Sex.UNKNOWN, "a hall"))
    bins = [await shelf.young(wild, visual, 20)]
    for _ in range(3):
        bins.append(await shelf.young(bins[-1], visual, 20))
    kin, living = await shelf.kin()
    found = [kin.inbreeding(living[each]) for each in bins]
    assert found == [0, Fraction(1, 4), Fraction(3, 8), Fraction(7, 16)]


async def test_only_different_origins_make_founders_unrelated(shelf: Shelf) -> None:
    hall, quarry, again = [await shelf.open((9, Sex.UNKNOWN, said)) for said in ("a hall", "Quarry", " quarry ")]
    unsaid = await shelf.open((9, Sex.UNKNOWN, None))
    empty = await shelf.open()
    lineage = await shelf.lineage()
    kin = group_kinship(lineage.groups)
    names = {key: lineage.living[each] for key, each in zip("hqaue", (hall, quarry, again, unsaid, empty), strict=True)}
    pairs = [f"{one}{other}" for one in "hqaue" for other in "hqaue"]
    assert {pair for pair in pairs if kin.between(names[pair[0]], names[pair[1]]) == 0} == {"hq", "ha", "qh", "ah"}
    assert lineage.behind([names["u"]])[1] == {Assumed.ORIGIN}
    assert lineage.behind([names["e"]])[1] == {Assumed.NOTHING}
    assert Assumed.ONE_ORIGIN in lineage.behind([names["q"], names["a"]])[1]


async def test_animals_parted_off_are_no_generation_further(shelf: Shelf) -> None:
    pair = await shelf.open((1, Sex.FEMALE, "a hall"), (1, Sex.MALE, "quarry"))
    bin_id = await shelf.young(pair, pair, 20)
    part = await shelf.open((8, Sex.UNKNOWN, None), parents=((bin_id, ParentRole.PART),))
    await shelf.pour(bin_id, part, 8, Moved.SPLIT)
    kin, living = await shelf.kin()
    assert living[part] == f"{part}"
    assert kin.inbreeding(living[part]) == kin.inbreeding(living[bin_id]) == 0
    assert kin.between(living[part], living[bin_id]) == Fraction(1, 4)


async def test_a_bin_is_a_mixture_from_the_day_another_was_poured_in(shelf: Shelf) -> None:
    one, other = [await shelf.open((10, Sex.UNKNOWN, said)) for said in ("a hall", "quarry")]
    before = await shelf.young(one, one, 10)
    await shelf.pour(other, one, 5)
    after = await shelf.young(one, one, 10)
    kin, living = await shelf.kin(HALF_SIBS)
    assert dict(kin.founder_shares(living[before])) == {f"{one}": 1}
    assert dict(kin.founder_shares(living[after])) == {f"{one}": Fraction(2, 3), f"{other}": Fraction(1, 3)}
    mixed = group_kinship([Founded("a", 10, "a"), Founded("b", 10, "b"), Merged("both", (("a", 10), ("b", 5)))])
    assert kin.between(living[one], living[one]) == mixed.between("both", "both")
    assert kin.inbreeding(living[after]) == kin.between(living[one], living[one])


async def test_bins_split_and_merged_by_command_stay_one_stock(asking: Asking, shelf: Shelf) -> None:
    """A merged bin's founders are written down again for the bin it goes to; they are no new animals."""
    pair = await shelf.open((1, Sex.FEMALE, "a hall"), (1, Sex.MALE, "quarry"))
    bin_id = await shelf.young(pair, pair, 20)
    later = asking.by(after=timedelta(days=1))
    split = await split_bin(asking.desk, later, bin_text="B-2", number="8", sure=True)
    kin, living = await shelf.kin()
    part = split.target.id
    assert kin.inbreeding(living[part]) == 0
    assert kin.between(living[part], living[bin_id]) == Fraction(1, 4)
    await merge_bins(asking.desk, asking.by(after=timedelta(days=2)), into_text="B-2", from_text="B-3", sure=True)
    other = await shelf.open((10, Sex.UNKNOWN, "far"))
    await merge_bins(asking.desk, asking.by(after=timedelta(days=3)), into_text="B-4", from_text="B-2", sure=True)
    kin, living = await shelf.kin(HALF_SIBS)
    assert kin.inbreeding(living[other]) == 0
    assert dict(kin.founder_shares(living[other]))[f"{other}"] == Fraction(1, 2)


async def test_recorded_breeders_are_the_parents_of_the_young(shelf: Shelf) -> None:
    """One dam from a bin of twenty and one from another, with one sire; the young kept back, and a bin opened from theirs."""
    first, second = [await shelf.open((20, Sex.UNKNOWN, said)) for said in ("a hall", "quarry")]
    nest = await shelf.open((2, Sex.FEMALE, None), (1, Sex.MALE, None))
    pairing = await shelf.pair(
        nest, (BreederRole.DAM, 1, first), (BreederRole.DAM, 1, second), (BreederRole.SIRE, 1, None)
    )
    brood = await shelf.brood(nest, pairing)
    kept = await shelf.open((6, Sex.UNKNOWN, None), brood=brood)
    opened = await shelf.young(nest, nest, 9)
    lineage = await shelf.lineage()
    kin = group_kinship(lineage.groups, origin_kinship=0)
    expected = group_kinship([Founded("d", 2), Founded("s", 1), Bred("y", "d", "s")]).between("y", "y")
    for each in (kept, opened):
        name = lineage.living[each]
        assert kin.inbreeding(name) == 0
        assert kin.between(name, name) == expected
        assert lineage.behind([name])[1] >= {Assumed.ORIGIN}
        assert Assumed.BREEDERS not in lineage.behind([name])[1]
    assert kin.between(lineage.living[kept], lineage.living[opened]) == expected
    assert dict(kin.founder_shares(lineage.living[nest]))[f"{first}"] == Fraction(1, 3)


async def test_young_of_several_pairings_are_weighed_by_their_broods(shelf: Shelf) -> None:
    """Dams of one pairing do not meet the sires of the other: 30 and 10 young of two unrelated pairs."""
    nest = await shelf.open((2, Sex.FEMALE, None), (2, Sex.MALE, None))
    for born in (10, 30):
        pairing = await shelf.pair(nest, (BreederRole.DAM, 1, None), (BreederRole.SIRE, 1, None))
        await shelf.brood(nest, pairing, born)
    young = await shelf.young(nest, nest, 12)
    lineage = await shelf.lineage()
    kin = group_kinship(lineage.groups, origin_kinship=0)
    same_pair = Fraction(10 * 9 + 30 * 29, 40 * 39)
    assert kin.between(lineage.living[young], lineage.living[young]) == same_pair / 4
    assert sorted(share for _, share in kin.founder_shares(lineage.living[young])) == [
        Fraction(1, 8),
        Fraction(1, 8),
        Fraction(3, 8),
        Fraction(3, 8),
    ]
    assert Assumed.NUMBER not in lineage.behind([lineage.living[young]])[1]
    await shelf.pair(nest, (BreederRole.DAM, 1, None), (BreederRole.SIRE, 1, None))
    later = await shelf.young(nest, nest, 12)
    lineage = await shelf.lineage()
    assert Assumed.NUMBER in lineage.behind([lineage.living[later]])[1]


async def test_a_bin_opened_for_a_pairing_is_founded_by_its_breeders(shelf: Shelf) -> None:
    """`/pair setup` enters the breeders as founders of the bin; they are no new stock."""
    pair = await shelf.open((1, Sex.FEMALE, "a hall"), (1, Sex.MALE, "quarry"))
    stock = await shelf.young(pair, pair, 20)
    nest = await shelf.open((1, Sex.FEMALE, None), (1, Sex.MALE, None))
    await shelf.pair(nest, (BreederRole.DAM, 1, stock), (BreederRole.SIRE, 1, stock))
    young = await shelf.young(nest, nest, 9)
    # Stock in which some were paired off without leaving it stays what it was.
    await shelf.pair(stock, (BreederRole.DAM, 1, stock))
    kin, living = await shelf.kin()
    assert kin.between(living[nest], living[nest]) == kin.between(living[stock], living[stock]) == Fraction(1, 4)
    assert kin.inbreeding(living[young]) == Fraction(1, 4)


async def test_a_brood_found_in_a_bin_is_of_that_bin(shelf: Shelf) -> None:
    bin_id = await shelf.open((10, Sex.UNKNOWN, "a hall"))
    brood = await shelf.brood(bin_id, None)
    kept = await shelf.open((6, Sex.UNKNOWN, None), brood=brood)
    lineage = await shelf.lineage()
    kin = group_kinship(lineage.groups, origin_kinship=HALF_SIBS)
    assert kin.inbreeding(lineage.living[kept]) == HALF_SIBS
    assert Assumed.BREEDERS in lineage.behind([lineage.living[kept]])[1]


async def test_a_parent_not_recorded_may_be_anybody(shelf: Shelf) -> None:
    alone = await shelf.open((1, Sex.UNKNOWN, "a hall"))
    young = await shelf.young(alone, alone, 12)
    lineage = await shelf.lineage()
    kin = group_kinship(lineage.groups, origin_kinship=HALF_SIBS)
    name = lineage.living[young]
    assert kin.inbreeding(name) == HALF_SIBS
    assert kin.between(name, lineage.living[alone]) == Fraction(1, 4) + HALF_SIBS / 2
    assert Assumed.MATE in lineage.behind([name])[1]
    only_dams = await shelf.open(parents=((young, ParentRole.DAM),))
    lineage = await shelf.lineage()
    assert Assumed.MATE in lineage.behind([lineage.living[only_dams]])[1]


async def test_a_private_ancestor_counts_as_founders(shelf: Shelf) -> None:
    pair = await shelf.open((1, Sex.FEMALE, "a hall"), (1, Sex.MALE, "quarry"))
    young = await shelf.young(pair, pair, 12)
    async with shelf.writing() as book:
        await book.set_privacy(pair, Privacy.BIN)
    for reader, hidden in ((WREN, False), (MOSS, True)):
        lineage = await shelf.lineage(reader=reader)
        assert (pair in lineage.living) is not hidden
        assert (Assumed.HIDDEN in lineage.behind([lineage.living[young]])[1]) is hidden
        kin = group_kinship(lineage.groups, origin_kinship=HALF_SIBS)
        assert kin.inbreeding(lineage.living[young]) == (HALF_SIBS if hidden else 0)


async def test_clonal_young_are_their_mothers(shelf: Shelf) -> None:
    start = await shelf.open((1, Sex.FEMALE, "a hall"))
    young = await shelf.young(start, start, 40)
    further = await shelf.young(young, young, 40)
    lineage = await shelf.lineage(SexSystem.THELYTOKOUS)
    kin = group_kinship(lineage.groups, system=System.THELYTOKOUS)
    assert kin.inbreeding(lineage.living[further]) == 0
    assert kin.between(lineage.living[further], lineage.living[young]) == Fraction(1, 2)


async def test_more_animals_than_were_there_are_taken_for_all(shelf: Shelf) -> None:
    small = await shelf.open((3, Sex.UNKNOWN, "a hall"))
    nest = await shelf.open()
    await shelf.pair(nest, (BreederRole.DAM, 5, small), (BreederRole.SIRE, 1, None))
    await shelf.pour(small, nest, 50)
    lineage = await shelf.lineage()
    drawn = {group.name: group for group in lineage.groups if isinstance(group, Drawn)}
    assert sorted(group.number or 0 for group in drawn.values() if group.of == f"{small}") == [3, 3]
    assert group_kinship(lineage.groups).names


async def test_a_book_that_goes_round_in_a_circle_is_refused_by_the_science(shelf: Shelf) -> None:
    one, other = await shelf.open(), await shelf.open()
    async with shelf.writing() as book:
        await book.add_parent(one, other, ParentRole.BOTH)
        await book.add_parent(other, one, ParentRole.BOTH)
    lineage = await shelf.lineage()
    with pytest.raises(KinshipRefused) as refused:
        group_kinship(lineage.groups)
    assert refused.value.fault is KinshipFault.OWN_ANCESTOR
