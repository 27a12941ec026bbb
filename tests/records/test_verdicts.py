"""Verdicts in the book: they are added and stay, they leave no event, and what is set for a weighing can be undone."""

from fractions import Fraction

from bot.records import Dominance, Records, Subject
from tests.support.filled import SERVER, Stamps


async def trait_of(records: Records, stamps: Stamps) -> int:
    async with records.write(stamps.next()) as book:
        trait = await book.add_trait(name="ember", symbol="e", dominance=Dominance.RECESSIVE)
        await book.log("trait.defined", Subject("trait", trait))
    return trait


async def note(records: Records, stamps: Stamps, trait: int, word: str, share: Fraction) -> None:
    async with records.write(stamps.next()) as book:
        await book.add_verdict(
            trait,
            seq=1,
            word=word,
            leader="recessive",
            posterior=share,
            sceptic=share / 2,
            broods=1,
            young=9,
            body={"v": 1, "shares": [["recessive", str(share)]]},
        )


async def test_verdicts_stay_and_leave_no_event(records: Records) -> None:
    stamps = Stamps()
    trait = await trait_of(records, stamps)
    await note(records, stamps, trait, "leaning", Fraction(22, 25))
    await note(records, stamps, trait, "supported", Fraction(24, 25))
    async with records.read(SERVER) as book:
        newest, first = await book.verdicts(trait, limit=9)
        assert (newest.word, newest.posterior, first.word) == ("supported", Fraction(24, 25), "leaning")
        assert len(await book.verdicts(trait, limit=1)) == 1
        assert await book.verdicts(trait + 99, limit=9) == ()
        assert await book.newest_event() == 1
    async with records.read(SERVER + 1) as book:
        assert await book.verdicts(trait, limit=9) == ()
        assert await book.newest_event() == 0


async def test_a_trait_can_be_taken_back_and_its_verdicts_stay(records: Records) -> None:
    stamps = Stamps()
    trait = await trait_of(records, stamps)
    await note(records, stamps, trait, "open", Fraction(1, 2))
    async with records.write(stamps.next()) as book:
        event = await book.event(1)
        assert event is not None
        await book.undo(event)
    async with records.read(SERVER) as book:
        assert await book.trait(trait) is None
        assert len(await book.verdicts(trait, limit=9)) == 1


async def test_what_is_set_for_a_weighing_can_be_set_again_and_undone(records: Records) -> None:
    stamps = Stamps()
    trait = await trait_of(records, stamps)
    for body in ({"v": 1, "priors": {"recessive": "1/2"}}, None):
        async with records.write(stamps.next()) as book:
            await book.set_weighing(trait, body)
            event = await book.log("trait.weighed", Subject("trait", trait))
    async with records.write(stamps.next()) as book:
        row = await book.weighing(trait)
        assert row is not None
        assert row.body is None
        await book.undo(event)
        row = await book.weighing(trait)
        assert row is not None
        assert row.body == {"v": 1, "priors": {"recessive": "1/2"}}
