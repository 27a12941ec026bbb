"""Finding a bin by its code, and the nearest ones when there is none."""

from datetime import UTC, datetime

import pytest

from bot.records import BinRow, Records, Subject
from bot.services.finding import MOST_CHOICES, bin_named, matching, nearest, row_id
from bot.services.refusals import BinLabel, NoSuchBin
from tests.support.filled import SERVER, Stamps, open_bin

NOW = datetime(2026, 3, 1, 12, 0, tzinfo=UTC)
WREN, MOSS = 1, 2


def bin_of(number: int, name: str | None = None, keeper: int = WREN) -> BinRow:
    return BinRow(number, f"B-{number}", "porcellio-scaber", name, None, keeper, "Wren", NOW, None)


SHELF = (bin_of(3, "mossy"), bin_of(14, "ember F2"), bin_of(15), bin_of(40, "frost", MOSS))


def codes(labels: tuple[BinLabel, ...]) -> list[str]:
    return [label.code for label in labels]


def test_swapped_digits_find_the_bin_that_was_meant_first() -> None:
    assert codes(nearest("B-41", SHELF))[0] == "B-14"
    assert codes(nearest("b41", SHELF))[0] == "B-14"


def test_a_bins_name_typed_for_its_code_finds_the_bin() -> None:
    assert nearest("ember f2", SHELF)[0] == BinLabel("B-14", "ember F2")
    assert codes(nearest("embr F2", SHELF))[0] == "B-14"


def test_a_bare_number_finds_its_bin() -> None:
    assert codes(nearest("3", SHELF))[0] == "B-3"


def test_three_bins_at_most_are_offered_and_none_that_is_unlike() -> None:
    assert len(nearest("B-1", [bin_of(number) for number in range(10, 30)])) == 3
    assert nearest("zzzzzz", SHELF) == ()
    assert nearest("B-3", ()) == ()


def test_while_typing_a_persons_own_bins_come_first() -> None:
    assert codes(matching("", SHELF, MOSS)) == ["B-40", "B-3", "B-14", "B-15"]
    assert codes(matching("b-1", SHELF, WREN)) == ["B-14", "B-15"]
    assert codes(matching(" FROST ", SHELF, WREN)) == ["B-40"]
    assert matching("zzz", SHELF, WREN) == ()


def test_no_more_bins_are_offered_than_the_platform_lists() -> None:
    assert len(matching("", [bin_of(number) for number in range(60)], WREN)) == MOST_CHOICES == 25


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("17", 17),
        (str(2**63 - 1), 2**63 - 1),
        (str(2**63), 0),
        ("9" * 5000, 0),
        ("", 0),
        ("-1", 0),
        ("B-3", 0),
        ("²", 0),
    ],
)
def test_a_forged_number_in_a_button_is_the_number_of_no_row(text: str, number: int) -> None:
    """Both databases hold whole numbers of 64 bits with a sign."""
    assert row_id(text) == number


async def test_an_open_bin_is_found_by_its_code_in_any_case_and_by_what_autocomplete_shows(
    sqlite_records: Records,
) -> None:
    opened = await open_bin(sqlite_records, Stamps(), name="ember F2")
    async with sqlite_records.read(SERVER) as book:
        for text in (opened.code, opened.code.lower(), f" {opened.code} ", f"{opened.code} ember F2"):
            assert (await bin_named(book, text)).id == opened.id


@pytest.mark.parametrize(("text", "near"), [("B-9", True), ("ember F2", True), ("", False), ("zzzzzz", False)])
async def test_a_code_of_no_bin_is_refused_with_the_nearest(sqlite_records: Records, text: str, near: bool) -> None:
    opened = await open_bin(sqlite_records, Stamps(), name="ember F2")
    async with sqlite_records.read(SERVER) as book:
        with pytest.raises(NoSuchBin) as caught:
            await bin_named(book, text)
    assert caught.value.code == text
    assert caught.value.nearest == ((BinLabel(opened.code, "ember F2"),) if near else ())


async def test_a_bin_of_another_server_is_no_bin_here(sqlite_records: Records) -> None:
    opened = await open_bin(sqlite_records, Stamps())
    async with sqlite_records.read(SERVER + 1) as book:
        with pytest.raises(NoSuchBin) as caught:
            await bin_named(book, opened.code)
    assert caught.value.nearest == ()


async def test_a_bin_that_was_taken_back_is_no_longer_found(sqlite_records: Records) -> None:
    stamps = Stamps()
    async with sqlite_records.write(stamps.next()) as book:
        opened = await book.add_bin(species_key="porcellio-scaber", name="ember F2")
        event = await book.log("bin.opened", Subject("bin", opened.id))
    async with sqlite_records.write(stamps.next()) as book:
        await book.undo(event)
    async with sqlite_records.read(SERVER) as book:
        with pytest.raises(NoSuchBin):
            await bin_named(book, opened.code)
