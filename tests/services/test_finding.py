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


def test_a_code_without_its_hyphen_is_as_near_as_one_with_it() -> None:
    shelf = [bin_of(number) for number in (1, 20)]
    assert codes(nearest("b9", shelf)) == ["B-1"]
    assert codes(nearest("b11", shelf))[0] == "B-1"


def test_a_bins_name_typed_for_its_code_finds_the_bin() -> None:
    assert nearest("ember f2", SHELF)[0] == BinLabel("B-14", "ember F2")
    assert codes(nearest("embr F2", SHELF))[0] == "B-14"


def test_a_name_that_is_exactly_or_nearly_so_comes_before_a_code_that_has_the_same_digits() -> None:
    shelf = (bin_of(2), bin_of(22), bin_of(7, "ember F2"))
    for text in ("ember F2", "EMBER f2 ", "embr F2"):
        assert nearest(text, shelf)[0] == BinLabel("B-7", "ember F2")


def test_a_name_that_is_only_a_little_alike_is_not_offered() -> None:
    assert nearest("mossy dell", (bin_of(3, "the dusk ones"),)) == ()


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
    assert codes(matching("b1", SHELF, WREN)) == ["B-14", "B-15"]
    assert codes(matching("B 40", SHELF, WREN)) == ["B-40"]
    assert codes(matching("-", SHELF, WREN)) == ["B-3", "B-14", "B-15", "B-40"]
    assert matching("zzz", SHELF, WREN) == ()
    assert matching("!", SHELF, WREN) == ()


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


@pytest.mark.parametrize("text", ["b3", "B3", "b 3", " B - 3 ", "3", "b3 pale one", "pale one", " PALE One "])
async def test_a_bin_is_found_without_the_hyphen_by_its_number_alone_and_by_its_name(
    records: Records, text: str
) -> None:
    stamps = Stamps()
    for name in ("one", "one pale", "pale one", "one"):
        await open_bin(records, stamps, name=name)
    async with records.read(SERVER) as book:
        assert (await bin_named(book, text)).code == "B-3"


@pytest.mark.parametrize("text", ["two", "TWO", "3", "03", "b", "-"])
async def test_what_may_mean_several_bins_or_means_none_is_not_guessed(records: Records, text: str) -> None:
    """Two bins are named "two", and the number 3 is the name of one bin and the code of another."""
    stamps = Stamps()
    for name in ("3", "two", "two"):
        await open_bin(records, stamps, name=name)
    async with records.read(SERVER) as book:
        with pytest.raises(NoSuchBin) as caught:
            await bin_named(book, text)
    assert caught.value.code == text
    if text == "3":
        assert {label.code for label in caught.value.nearest[:2]} == {"B-1", "B-3"}


async def test_the_number_of_a_bin_is_what_follows_its_prefix(sqlite_records: Records) -> None:
    stamps = Stamps()
    async with sqlite_records.write(stamps.next()) as book:
        await book.set_server(zone=None, bin_prefix="R2D-")
        await book.log("server.set", Subject("server", SERVER))
    opened = await open_bin(sqlite_records, stamps)
    async with sqlite_records.read(SERVER) as book:
        assert (await bin_named(book, "1")).id == opened.id
        with pytest.raises(NoSuchBin):
            await bin_named(book, "21")


@pytest.mark.parametrize(("text", "near"), [("B-9", True), ("ember F3", True), ("", False), ("zzzzzz", False)])
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
