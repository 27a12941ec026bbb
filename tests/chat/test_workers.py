"""What a person reads when a worker did not get done what was asked."""

from typing import Any

import pytest

from bot.services.desk import Desk
from bot.workers import AllBusy, Overdue, WorkerLost
from tests.support.chat import MOSS, Chat, only_for


@pytest.mark.parametrize(
    ("fault", "said"),
    [
        (Overdue(10.0), "I stopped after 10 seconds"),
        (WorkerLost(), "Try again in a minute"),
        (AllBusy(32), "Try again in a minute"),
    ],
)
async def test_a_job_that_was_not_done_is_said_in_plain_words_and_nothing_typed_is_lost(
    sqlite_chat: Chat, monkeypatch: pytest.MonkeyPatch, fault: Exception, said: str
) -> None:
    async def not_done(*_: Any) -> Any:
        raise fault

    monkeypatch.setattr("bot.chat.odds.odds_of", not_done)
    outcome = await sqlite_chat.type("/odds cross:het ember x wild", MOSS)
    message = only_for(MOSS, outcome)
    assert said in message.text
    assert "het ember x wild" in message.text
    monkeypatch.undo()
    form = (await sqlite_chat.press(message, "Edit", MOSS)).form
    assert form is not None
    assert form.fields[0].value == "het ember x wild"


async def test_the_bot_has_workers_that_start_with_the_first_job(sqlite_chat: Chat) -> None:
    desk: Desk = sqlite_chat.bot.client.desk
    assert await desk.workers.run(max, 3, 5) == 5
