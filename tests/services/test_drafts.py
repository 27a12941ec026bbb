"""What was typed and not taken: kept for a day, for its person alone."""

from datetime import timedelta

import pytest

from bot.services.drafts import KEPT_FOR, keep, take
from bot.services.refusals import Outlived
from tests.support.asking import ELSEWHERE, MOSS, Asking, again

TYPED = {"bin": "B-1", "count": "about fourty", "note": "🪵 @everyone\n" + "n" * 3980}


async def test_a_draft_comes_back_as_it_was_typed(asking: Asking) -> None:
    number = await keep(asking.desk, asking.by(), "count.log", TYPED)
    for _ in range(2):
        draft = await take(asking.desk, asking.by(), str(number))
        assert (draft.id, draft.kind, dict(draft.fields)) == (number, "count.log", TYPED)


async def test_a_draft_is_its_persons_own_in_its_server(asking: Asking) -> None:
    number = await keep(asking.desk, asking.by(), "count.log", TYPED)
    for request in (asking.by(MOSS, steward=True), asking.by(server=ELSEWHERE)):
        with pytest.raises(Outlived) as caught:
            await take(asking.desk, request, str(number))
        assert caught.value.what == "draft"


async def test_a_draft_is_gone_after_a_day(asking: Asking) -> None:
    number = await keep(asking.desk, asking.by(), "count.log", TYPED)
    almost = asking.by(after=KEPT_FOR - timedelta(seconds=1))
    assert (await take(asking.desk, almost, str(number))).id == number
    with pytest.raises(Outlived):
        await take(asking.desk, asking.by(after=KEPT_FOR), str(number))


async def test_a_later_draft_clears_away_those_that_have_expired(asking: Asking) -> None:
    number = await keep(asking.desk, asking.by(), "count.log", TYPED)
    await keep(asking.desk, asking.by(MOSS, after=KEPT_FOR), "count.log", TYPED)
    with pytest.raises(Outlived):
        await take(asking.desk, asking.by(), str(number))


async def test_the_refusal_of_a_request_that_is_in_the_book_already_can_be_kept_as_well(asking: Asking) -> None:
    request = asking.by()
    first = await keep(asking.desk, request, "count.log", TYPED)
    assert await keep(asking.desk, again(request), "count.log", TYPED) != first


@pytest.mark.parametrize("text", ["", "0", "-1", "1.0", "x", "²", "9" * 19, "9" * 60])
async def test_what_is_no_number_of_a_draft_is_none(asking: Asking, text: str) -> None:
    with pytest.raises(Outlived):
        await take(asking.desk, asking.by(), text)
