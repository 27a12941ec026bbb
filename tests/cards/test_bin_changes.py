"""How splits, merges, moves, closings, lists and histories are said."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from bot.cards import cautions
from bot.cards.bin_changes import closed_card, merged_card, moved_card, split_card
from bot.cards.bin_lists import history_card, list_card
from bot.cards.changes import DONE
from bot.cards.refusals import card as refused_card
from bot.cards.refusals_bins import SURE
from bot.cards.render import pages
from bot.records import BinRow, CloseReason, ClosingRow, CountRow, Exactness, Moved, TransferRow
from bot.services.bin_changes import BinClosed, BinMoved
from bot.services.bin_lists import BinList, Happened, History, Listed
from bot.services.bin_moves import BinsMerged, BinSplit
from bot.services.refusals import BinLabel, CountNotRead, CountProblem
from bot.services.refusals_bins import CountUnclear, Disturb, LookFirst
from bot.services.species import shipped_species
from tests.support.markup import live_marks
from tests.support.refusals_bins import QUIET, SIFTED
from tests.support.screens import assert_card_fits

NOW = datetime(2026, 3, 1, 12, tzinfo=UTC)
SCABER = shipped_species().named("Porcellio scaber")
LOUD = "@everyone **x** <@1>"
B1, B2 = BinLabel("B-1", "big"), BinLabel("B-2", LOUD)


def row(code: str = "B-4", name: str | None = "small", closed: bool = False, shelf: str | None = None) -> BinRow:
    return BinRow(4, code, SCABER.key, name, None, 1, "Wren", NOW, NOW if closed else None, shelf)


def transfer(number: int | None, exactness: Exactness | None = Exactness.EXACT) -> TransferRow:
    return TransferRow(9, NOW, Moved.SPLIT, 1, "B-1", 4, "B-4", number, exactness if number is not None else None)


def counted(total: int) -> CountRow:
    return CountRow(8, 1, NOW, 1, "Wren", total, Exactness.WORKED_OUT, None, None)


def body(card_blocks: tuple[str, ...]) -> str:
    return "\n".join(card_blocks)


async def test_a_split_says_the_code_for_the_lid_and_what_is_left() -> None:
    card = split_card(BinSplit(B1, row(), transfer(12), counted(28), 7))
    assert card.lead == "Bin **B-4** (small) is open with 12 from B-1 (big). Write B-4 on its lid."
    assert "That leaves about 28 in B-1, worked out from its last count." in card.blocks
    assert [(b.label, b.verb, b.argument) for b in card.buttons] == [
        ("Undo", "records.undo", "7"),
        ("Show B-4", "bin.show", "B-4"),
        ("Show B-1", "bin.show", "B-1"),
    ]
    assert_card_fits(card)


async def test_a_split_that_nobody_counted_says_so() -> None:
    card = split_card(BinSplit(B1, row(), transfer(None), None, 7))
    assert "with uncounted animals from" in card.lead
    assert "leaves" not in body(card.blocks)
    assert "no count that covers this, so what is left is not known: count it again" in body(
        split_card(BinSplit(B1, row(), transfer(50), None, 7)).blocks
    )


async def test_a_merge_says_how_many_that_makes_and_that_both_histories_stay() -> None:
    card = merged_card(BinsMerged(B1, BinLabel("B-4"), transfer(12), counted(40), 2, 7))
    assert card.lead == "B-1 (big) was emptied into **B-4**: 12 went."
    assert card.blocks == (
        "B-1 (big) is closed; both keep their histories.",
        "That makes about 40 in B-4, worked out from the last counts.",
        "Its 2 care tasks ended with it; nothing pings for it any more.",
    )
    uncounted = merged_card(BinsMerged(B1, BinLabel("B-4"), transfer(None), None, 0, 7))
    assert "count B-4 when it has settled" in body(uncounted.blocks)
    assert_card_fits(card)


async def test_a_move_says_the_shelf_and_the_keeper_and_the_caution_only_where_hands_change() -> None:
    shelf = moved_card(BinMoved(B1, "window", "Wren", None, 0, 7))
    assert (shelf.lead, shelf.blocks) == ("B-1 (big) stands on shelf **window**.", ())
    given = moved_card(BinMoved(B1, "window", "Moss", "Wren", 1, 7))
    assert given.lead == "B-1 (big) is now kept by **Moss** and stands on shelf **window**."
    assert given.blocks[-1] == cautions.SENDING
    assert "Its 1 care task ended" in body(given.blocks)
    assert moved_card(BinMoved(B1, None, "Wren", None, 0, 7)).lead == "B-1 (big) stands on no shelf now."
    assert_card_fits(given)


@pytest.mark.parametrize("reason", [reason for reason in CloseReason if reason is not CloseReason.MERGED])
async def test_a_bin_that_is_closed_is_no_failure_and_what_is_left_is_not_thrown_outdoors(reason: CloseReason) -> None:
    closed = BinClosed(row(closed=True), ClosingRow(5, 4, reason, None, None, None), 0, 7)
    card = closed_card(closed)
    assert card.lead.startswith("B-4 (small) is closed since <t:")
    assert card.blocks[-1] == (cautions.SENDING if reason is CloseReason.MOVED_ON else cautions.RELEASE)
    words = (card.lead + body(card.blocks)).casefold()
    assert not any(word in words for word in ("fail", "sorry", "unfortunately", "lost"))
    assert_card_fits(card)


def test_cautions_defer_to_the_authority_and_are_short() -> None:
    for caution in (cautions.SENDING, cautions.RELEASE):
        assert "authority" in caution
        assert len(caution) < 250


def listed(*rows: BinRow, whose: str = "all") -> BinList:
    return BinList(tuple(Listed(each, SCABER, None) for each in rows), whose, None, None, None)


async def test_a_list_stands_by_shelf_and_its_pages_carry_its_filter() -> None:
    found = listed(row("B-4", shelf="door"), row("B-5", None, shelf="Door"), row("B-6", LOUD))
    card = list_card(found)
    assert card.lead == "**3 bins**."
    assert card.blocks[0].splitlines()[0] == "**door**"
    assert card.blocks[0].splitlines()[2] == "· B-5, not counted yet, *Porcellio scaber*, Wren"
    assert card.page == ("bin.list", "all//")
    assert live_marks(card.blocks[1].replace("*Porcellio scaber*", "")) == []
    assert_card_fits(card)


async def test_a_list_too_long_to_be_turned_is_still_a_list() -> None:
    far = replace(SCABER, key="k" * 60)
    card = list_card(replace(listed(row()), species=far))
    assert card.page is None
    assert_card_fits(card)


async def test_an_empty_list_says_what_to_type() -> None:
    card = list_card(listed(whose="mine"))
    assert card.lead == "There are no bins of yours."
    assert "`/bin open` opens one" in card.blocks[0]


def happened(kind: str, **facts: object) -> Happened:
    plain: dict[str, object] = {
        **{"seq": 41, "at": NOW, "keeper_name": LOUD, "kind": kind, "undone": False, "undid": None, "other": None},
        **{"came": False, "number": None, "exactness": None, "low": None, "high": None, "reason": None},
    }
    return Happened(**{**plain, **facts})  # type: ignore[arg-type]  # the fields of a row by name


@pytest.mark.parametrize(
    ("event", "said"),
    [
        (happened("bin.opened", number=40, exactness=Exactness.ESTIMATE), "opened it with about 40"),
        (happened("bin.opened"), "opened it"),
        (happened("bin.split", number=6, exactness=Exactness.EXACT, other="B-9"), "split 6 off into B-9"),
        (happened("bin.split", other="B-9", came=True), "put some from B-9 into it"),
        (happened("bin.merged", other="B-9", came=True), "emptied B-9 into it"),
        (happened("bin.merged", other="", came=False), "emptied it into a bin that is kept private"),
        (happened("bin.closed", reason="line ended"), "closed it: its line ended"),
        (happened("count.logged", number=35, exactness=Exactness.RANGE, low=30, high=40), "counted 30 to 40"),
        (happened("count.corrected", number=9, exactness=Exactness.EXACT), "corrected a count to 9"),
        (happened("undo", undid=7), "took #7 back"),
    ],
)
async def test_each_event_of_a_history_is_told(event: Happened, said: str) -> None:
    card = history_card(History(4, B1, (event,), None))
    assert card.blocks[0].endswith(said)
    assert live_marks(card.blocks[0].replace("<t:1772366400:d>", "")) == []
    assert_card_fits(card)


@pytest.mark.parametrize("kind", sorted(DONE))
def test_a_history_has_words_for_every_kind_of_change(kind: str) -> None:
    assert history_card(History(4, B1, (happened(kind, number=3, exactness=Exactness.EXACT),), None)).blocks[0]


def test_a_full_page_of_a_history_fits_a_screen() -> None:
    events = tuple(
        happened("bin.split", seq=10_000 + n, number=6, exactness=Exactness.EXACT, other="B-9") for n in range(12)
    )
    (page,) = pages(history_card(History(4, B1, events, 10_000)))
    assert len(page) <= 1_400


def test_what_to_look_at_first_has_a_button_to_go_on_only_where_what_was_typed_was_kept() -> None:
    asked = LookFirst(Disturb.SPLIT, ((B1, SIFTED), (B2, QUIET)))
    assert [b.label for b in refused_card(asked, {"bin": "B-1"}, None).buttons] == []
    going_on = refused_card(asked, {"bin": "B-1"}, 12).buttons[0]
    assert (going_on.label, going_on.verb, going_on.argument) == ("All well: split", "draft.use", f"12|{SURE}|yes")


def test_readings_of_a_count_are_buttons_of_their_field() -> None:
    unclear = CountUnclear("7 m", ("7 males", "7 mancae", "7 " + "m" * 60))
    buttons = refused_card(unclear, {"bin": "B-1", "number": "7 m"}, 12).buttons
    assert [(b.label, b.argument) for b in buttons] == [
        ("7 males", "12|number|7 males"),
        ("7 mancae", "12|number|7 mancae"),
        ("Edit", "12"),
    ]
    not_whole = CountNotRead("7.12", CountProblem.NOT_WHOLE, "7.12", readings=("7 males, 12 females",))
    assert [b.label for b in refused_card(not_whole, {"count": "7.12"}, 12).buttons] == ["7 males, 12 females", "Edit"]


def test_a_history_tells_of_times_as_the_chat_shows_them() -> None:
    later = happened("bin.moved", at=NOW + timedelta(days=1))
    assert "<t:1772452800:d>" in history_card(History(4, B1, (later,), None)).blocks[0]
