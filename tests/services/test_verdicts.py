"""How verdicts move with broods, and their history."""

from collections.abc import AsyncIterator
from datetime import timedelta
from fractions import Fraction

import pytest
from pytest_asyncio import fixture as async_fixture

from bot.records import Privacy, Records, TraitRow
from bot.services.bins import NewBin, open_bin
from bot.services.brood_text import NewBrood
from bot.services.broods import BroodView, log_brood, score_again
from bot.services.desk import Desk
from bot.services.evidence import Evidence, Weighable, evidence_of, evidence_on
from bot.services.holdbacks import keep_back
from bot.services.pairing_setup import NewPairing, set_up
from bot.services.refusals_traits import NoSuchTrait
from bot.services.sharing import set_privacy
from bot.services.traits import define_trait
from bot.services.undo import undo
from bot.services.verdict_moves import Move, moves_of, moves_of_undo
from bot.services.verdicts import Noted, Stood, history_of, note_verdict
from genetics.evidence.explanations import Cause
from genetics.evidence.findings import Word
from tests.support.asking import ELSEWHERE, MOSS, WREN, Asking, asking_of

DAY = timedelta(days=1)


@async_fixture
async def bred(sqlite_records: Records) -> AsyncIterator[Asking]:
    """A visual male and an unmated dam; their wild-looking daughters are put back to him."""
    asking = asking_of(sqlite_records)
    await define_trait(asking.desk, asking.by(), name="ember", dominance="recessive")
    for _ in range(2):
        await open_bin(asking.desk, asking.by(), NewBin(species="Porcellio scaber", animals="30"))
    first = NewPairing(
        dams="1 unmated wild called Pearl from B-1", sires="1 visual ember called Rust from B-2", question="ember"
    )
    await set_up(asking.desk, asking.by(), first)
    await log_brood(asking.desk, asking.by(), NewBrood(of="P-1", scored="24 wild, 9 weeks", born="30"))
    await keep_back(asking.desk, asking.by(), brood_text="P-1.1", keep_text="6 wild")
    await set_up(asking.desk, asking.by(), NewPairing(dams="2 unmated wild from B-4", sires="Rust", question="ember"))
    yield asking
    await asking.desk.workers.close()


async def brood(asking: Asking, scored: str, of: str = "P-2", who: int = WREN) -> tuple[BroodView, Move]:
    request = asking.by(who)
    view = await log_brood(asking.desk, request, NewBrood(of=of, scored=scored))
    (move,) = await moves_of(asking.desk, request, view)
    return view, move


async def words(asking: Asking) -> list[tuple[str, int]]:
    """Word and broods of each verdict in the history, the newest first."""
    async with asking.desk.records.read(asking.by().server) as book:
        trait = next(row.id for row in await book.traits() if row.name == "ember")
        return [(row.word, row.broods) for row in await book.verdicts(trait, limit=99)]


async def trait_id(asking: Asking) -> int:
    async with asking.desk.records.read(asking.by().server) as book:
        return next(row.id for row in await book.traits() if row.name == "ember")


async def test_a_brood_moves_the_verdict_from_what_it_was_to_what_the_evidence_says(bred: Asking) -> None:
    before = Stood.of(await evidence_of(bred.desk, bred.by(), "ember"))
    _, move = await brood(bred, "11 ember 13 wild, 9 weeks")
    after = Stood.of(await evidence_of(bred.desk, bred.by(), "ember"))
    assert (move.before, move.now) == (before, after)
    assert after.leader is Cause.RECESSIVE
    assert after.posterior > before.posterior
    # Young of a parent that shows a recessive carry it, all of them.
    assert move.carrier is not None
    assert move.carrier.label == "2 dams of P-2 from B-4"
    assert move.carrier.if_so > 0.97 > move.carrier.overall


async def test_a_look_again_moves_it_from_what_the_earlier_look_said(bred: Asking) -> None:
    _, first = await brood(bred, "11 ember 13 wild, 9 weeks")
    request = bred.by(after=DAY)
    view = await score_again(bred.desk, request, "P-2.1", "0 ember 24 wild, 12 weeks")
    (move,) = await moves_of(bred.desk, request, view)
    assert move.before == first.now
    assert move.now is not None
    assert move.now.leader is not Cause.RECESSIVE or move.now.posterior < Fraction(3, 5)


async def test_the_history_has_a_row_for_each_verdict_and_an_undone_brood_makes_another(bred: Asking) -> None:
    view, move = await brood(bred, "11 ember 13 wild, 9 weeks")
    assert move.now is not None
    assert await words(bred) == [(move.now.word, 2)]
    undone = await undo(bred.desk, bred.by(), view.event or 0)
    ((trait, noted),) = await moves_of_undo(bred.desk, bred.by(), undone.event)
    assert trait.name == "ember"
    assert noted.before == move.now
    assert noted.now is not None
    assert noted.new
    assert [count for _, count in await words(bred)] == [1, 2]
    again = await note_verdict(bred.desk, bred.by(), trait.id)
    assert not again.new
    assert len(await words(bred)) == 2
    assert not again.word_changed


async def test_what_was_read_before_a_newer_brood_is_never_noted(bred: Asking, monkeypatch: pytest.MonkeyPatch) -> None:
    """The newer brood is logged while the older reading is weighed."""
    weighed: list[int] = []

    async def slow(desk: Desk, found: Weighable, trait: TraitRow) -> Evidence:
        if not weighed:
            await log_brood(desk, bred.by(), NewBrood(of="P-2", scored="11 ember 13 wild, 9 weeks"))
        evidence = await evidence_on(desk, found, trait)
        weighed.append(evidence.young)
        return evidence

    monkeypatch.setattr("bot.services.verdicts.evidence_on", slow)
    noted = await note_verdict(bred.desk, bred.by(), await trait_id(bred))
    assert weighed == [24, 48]
    assert noted.new
    assert [count for _, count in await words(bred)] == [2]


async def test_the_last_brood_taken_back_leaves_nothing_to_weigh_and_the_history_says_so(asking: Asking) -> None:
    await define_trait(asking.desk, asking.by(), name="ember", dominance="recessive")
    await open_bin(asking.desk, asking.by(), NewBin(species="Porcellio scaber", animals="30"))
    view, move = await brood(asking, "2 ember 9 wild, 9 weeks", of="B-1")
    assert move.before is None
    undone = await undo(asking.desk, asking.by(), view.event or 0)
    ((trait, noted),) = await moves_of_undo(asking.desk, asking.by(), undone.event)
    assert noted.now == Stood(Word.OPEN, None, Fraction(0))
    assert not noted.word_changed
    history = await history_of(asking.desk, asking.by(), trait.id)
    assert [row.broods for row in history.rows] == [0, 1]
    assert not history.more


async def test_what_a_private_bin_holds_is_in_no_history(bred: Asking) -> None:
    shown = await words(bred)
    await set_privacy(bred.desk, bred.by(), bin_text="B-5", private="everything")
    _, move = await brood(bred, "11 ember 13 wild, 9 weeks")
    assert move.now is not None
    assert move.now.leader is Cause.RECESSIVE
    # Only the first brood, of the open bin, is in what everybody may know.
    assert [count for _, count in await words(bred)] == [1] + [count for _, count in shown]
    async with bred.desk.records.read(bred.by().server, MOSS) as book:
        assert [row.privacy for row in await book.bins()] == [Privacy.OPEN] * 4


async def test_no_history_of_another_servers_trait(bred: Asking) -> None:
    trait = await trait_id(bred)
    with pytest.raises(NoSuchTrait):
        await history_of(bred.desk, bred.by(MOSS, server=ELSEWHERE), trait)
    with pytest.raises(NoSuchTrait):
        await note_verdict(bred.desk, bred.by(MOSS, server=ELSEWHERE), trait)


async def test_a_verdict_that_nobody_works_out_in_time_is_said_to_be_late(
    bred: Asking, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("bot.services.verdict_moves.PATIENCE", 0.0)
    _, move = await brood(bred, "11 ember 13 wild, 9 weeks")
    assert move.late
    monkeypatch.undo()
    assert (await evidence_of(bred.desk, bred.by(), "ember")).young == 48


async def test_a_change_of_the_book_that_bears_on_nothing_is_not_weighed_again(bred: Asking) -> None:
    first = await evidence_of(bred.desk, bred.by(), "ember")
    await open_bin(bred.desk, bred.by(), NewBin(species="Porcellio laevis", animals="30"))
    second = await evidence_of(bred.desk, bred.by(), "ember")
    assert second.seq > first.seq
    assert second.findings is first.findings
    await brood(bred, "11 ember 13 wild, 9 weeks")
    assert (await evidence_of(bred.desk, bred.by(), "ember")).findings is not first.findings


def test_a_first_verdict_beyond_open_is_a_changed_word_and_the_same_again_is_none() -> None:
    still = Stood(Word.OPEN, Cause.DOMINANT, Fraction(1, 2))
    assert not Noted(None, still, new=True).word_changed
    assert not Noted(Stood(Word.OPEN, Cause.RECESSIVE, Fraction(1, 2)), still, new=True).word_changed
    leaning = Stood(Word.LEANING, Cause.RECESSIVE, Fraction(9, 10))
    assert Noted(None, leaning, new=True).word_changed
    assert not Noted(leaning, Stood(Word.LEANING, Cause.RECESSIVE, Fraction(91, 100)), new=True).word_changed
    assert Noted(leaning, Stood(Word.LEANING, Cause.DOMINANT, Fraction(9, 10)), new=True).word_changed
    assert not Noted(leaning, leaning, new=False).word_changed
