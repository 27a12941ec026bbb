"""`/bin labels`: the sheet as it arrives, and what it is refused for."""

import pypdfium2
import pytest
import zxingcpp

from bot.practice.outcome import Outcome
from tests.support.chat import CARE, HOLLOW_LOG, MOSS, TAMSIN, WREN, Chat, first_line, only_for


async def sheet_of(outcome: Outcome) -> Outcome:
    """The answer, once it is drawn."""
    assert await outcome.until(lambda it: it.settled and bool(it.messages), 30)
    return outcome


def text_of(outcome: Outcome) -> str:
    """The words on the pages of the PDF that arrived."""
    assert outcome.message is not None
    (file,) = outcome.message.attachments
    assert file.filename == "labels.pdf"
    return "\n".join(page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(file.content))


def links(outcome: Outcome) -> list[str]:
    """Where the codes on the pages lead, as a decoder reads them from a print of 150 dots an inch."""
    (file,) = outcome.messages[-1].attachments
    pages = [page.render(scale=150 / 72).to_pil() for page in pypdfium2.PdfDocument(file.content)]
    return [code.text for page in pages for code in zxingcpp.read_barcodes(page)]


async def test_a_sheet_comes_as_a_pdf_and_says_what_the_book_knows(sqlite_chat: Chat) -> None:
    chat = sqlite_chat
    await chat.type("/bin open species:Porcellio scaber animals:12 females holds:het frost name:frost *girls*", MOSS)
    sheet = await sheet_of(await chat.type("/bin labels bins:B-3, b6 paper:US Letter", MOSS))
    assert first_line(sheet) == "**2 labels** on 1 page: B-3 and B-6."
    assert "US Letter paper. Print at 100" in sheet.text
    words = text_of(sheet)
    for said in (
        "B-3",
        "frost line",
        "Porcellio scaber",
        "B-6",
        "frost *girls*",
        "females: het frost",
        "no males",
        "as of",
    ):
        assert said in words, said
    assert "unmated" not in words


async def test_a_code_leads_to_the_message_of_its_bin_and_a_second_sheet_to_the_same(chat: Chat) -> None:
    bare = await sheet_of(await chat.type("/bin labels bins:B-3", MOSS))
    assert links(bare) == []
    assert "No code yet on B-3" in bare.text
    first = await sheet_of(await chat.type("/bin labels bins:B-3 room:#care", MOSS))
    assert f"Posted in <#{CARE.id}>, one message a bin: B-3." in first.text
    (message,) = chat.service.messages(CARE, WREN)
    assert message.content == "Bin **B-3 (frost line)**\n*Armadillidium nasatum* · kept by Moss"
    assert not message.layout
    assert message.pinged == ()
    link = f"https://discord.com/channels/{HOLLOW_LOG.id}/{CARE.id}/{message.id}"
    assert links(first) == [link]
    again = await sheet_of(await chat.type("/bin labels bins:B-3", TAMSIN))
    assert links(again) == [link]
    assert "Posted" not in again.text
    assert len(chat.service.messages(CARE, WREN)) == 1


async def test_a_picture_of_each_page_has_its_words_beside_it(sqlite_chat: Chat) -> None:
    sheet = await sheet_of(await sqlite_chat.type("/bin labels bins:B-3 file:PNG", TAMSIN))
    assert sheet.message is not None
    (file,) = sheet.message.attachments
    assert file.filename == "labels-1.png"
    assert file.description is not None
    assert file.description.startswith(
        "Page 1 of 1 of bin labels to cut out: B-3, frost line, Armadillidium nasatum, het frost"
    )


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("/bin labels bins:B-3, B-33", "Did you mean B-3 (frost line)"),
        ("/bin labels since:3/5", "I can't read the day `3/5`"),
        ("/bin labels shelf:nowhere", "There is no open bin on shelf nowhere."),
    ],
)
async def test_what_is_not_understood_is_said_to_the_one_who_typed(sqlite_chat: Chat, typed: str, said: str) -> None:
    refused = await sqlite_chat.type(typed)
    only_for(WREN, refused)
    assert said in refused.text


async def test_a_private_bin_has_no_label_for_others(sqlite_chat: Chat) -> None:
    await sqlite_chat.type("/bin privacy bin:B-3 private:everything", MOSS)
    refused = await sqlite_chat.type("/bin labels bins:B-3", TAMSIN)
    only_for(TAMSIN, refused)
    assert "No bin B\\-3 here." in refused.text
