"""What is said of a bin's message counts at the moment it is noted, not when the sheet was asked for."""

from bot.records import BinMessageRow
from bot.services.bin_messages import Fate, expect_message
from bot.services.bins import NewBin, open_bin
from bot.services.labels import bins_to_label
from bot.services.sharing import set_privacy
from tests.support.asking import TAMSIN, Asking


async def test_a_bin_that_became_private_since_the_sheet_was_asked_for_is_not_shown(asking: Asking) -> None:
    await open_bin(asking.desk, asking.by(), NewBin(species="Porcellio scaber", animals="12"))
    (found,) = (await bins_to_label(asking.desk, asking.by(), bins_text="B-1")).bins
    await set_privacy(asking.desk, asking.by(), bin_text="B-1", private="everything")

    async def noted(who: int | None = None, *, private_too: bool = False) -> BinMessageRow | Fate:
        request = asking.by() if who is None else asking.by(who)
        return await expect_message(asking.desk, request, found, private_too=private_too, room=7, real=request.now)

    assert await noted() is Fate.PRIVATE
    assert await noted(TAMSIN, private_too=True) is Fate.NOT_KEPT
    async with asking.desk.records.read(asking.by().server, asking.by().actor) as book:
        assert await book.messages_of([found.row.id]) == ()
    row = await noted(private_too=True)
    assert isinstance(row, BinMessageRow)
    assert row.channel_id == 7
