"""Where the bins' own messages stand: one of each bin, for those who may read the bin, and nothing hangs on it."""

from datetime import timedelta

from bot.records import NOBODY, Privacy, Records, Subject
from tests.support.filled import CHANNEL, KEEPER, NOW, SERVER, Stamps, open_bin


async def test_a_bin_has_one_message_and_the_latest_try_counts(records: Records) -> None:
    stamps = Stamps()
    first, second = await open_bin(records, stamps), await open_bin(records, stamps)
    async with records.write(stamps.next()) as book:
        early = await book.expect_message(first.id, CHANNEL, NOW)
        await book.expect_message(second.id, CHANNEL, NOW)
        late = await book.expect_message(first.id, CHANNEL + 1, NOW + timedelta(hours=1))
    assert early.nonce != late.nonce
    async with records.write(stamps.next()) as book:
        await book.message_stands(early.nonce, 1)
    async with records.read(SERVER) as book:
        one, other = await book.messages_of([second.id, first.id])
        assert (one, other.bin_id, other.message_id) == (late, second.id, None)
        assert await book.messages_of([]) == ()
    async with records.write(stamps.next()) as book:
        await book.message_stands(late.nonce, 2)
    async with records.read(SERVER) as book:
        (found,) = await book.messages_of([first.id])
    assert (found.channel_id, found.message_id) == (CHANNEL + 1, 2)
    async with records.read(SERVER + 1) as book:
        assert await book.messages_of([first.id]) == ()


async def test_the_message_of_a_private_bin_is_known_to_its_keepers_alone(records: Records) -> None:
    stamps = Stamps()
    opened = await open_bin(records, stamps)
    async with records.write(stamps.next()) as book:
        await book.expect_message(opened.id, CHANNEL, NOW)
        await book.set_privacy(opened.id, Privacy.BIN)
        await book.log("bin.privacy", Subject("bin", opened.id))
    for reader, known in ((KEEPER, 1), (NOBODY, 0)):
        async with records.read(SERVER, reader) as book:
            assert len(await book.messages_of([opened.id])) == known


async def test_a_message_hinders_no_undo_of_its_bin(records: Records) -> None:
    stamps = Stamps()
    opened = await open_bin(records, stamps)
    async with records.write(stamps.next()) as book:
        await book.expect_message(opened.id, CHANNEL, NOW)
    async with records.write(stamps.next()) as book:
        event = await book.last_event_of(KEEPER)
        assert event is not None
        await book.undo(event)
    async with records.read(SERVER) as book:
        assert await book.bin(opened.id) is None
