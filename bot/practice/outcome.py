"""What a person got for a command, a press or a form."""

import asyncio
from collections.abc import Callable
from contextlib import suppress

from bot.practice.errors import ApiError
from bot.practice.interactions import Interaction, Interactions
from bot.practice.values import Choice, FormShown, Message
from bot.practice.world import World

_LOOK_AGAIN = 0.05  # seconds; a test may move the clock while nothing else happens


class Outcome:
    """What the person got. It is looked up when asked, so an edit or a follow-up that comes later shows here too."""

    def __init__(self, interaction: Interaction, interactions: Interactions, world: World) -> None:
        self._interaction = interaction
        self._interactions = interactions
        self._world = world

    @property
    def interaction_id(self) -> int:
        """The id of the interaction."""
        return self._interaction.id

    @property
    def token(self) -> str:
        """The token with which the bot answers it."""
        return self._interaction.token

    @property
    def answered(self) -> bool:
        """Whether a first answer was accepted, be it a promise."""
        return self._interaction.answer is not None

    @property
    def failed(self) -> bool:
        """Whether the person read "application did not respond": three seconds without an accepted answer."""
        return self._interaction.answer is None and self._interactions.overdue(self._interaction)

    @property
    def deferred(self) -> bool:
        """Whether the first answer was a promise."""
        return self._interaction.deferred

    @property
    def settled(self) -> bool:
        """Whether there was an answer that is no promise, or the promise was kept."""
        return self._interaction.settled

    @property
    def late(self) -> bool:
        """Whether the bot tried to answer after the three seconds."""
        return self._interaction.answer is None and any(each.code == 10062 for each in self._interaction.refusals)

    @property
    def updated(self) -> bool:
        """Whether the answer changed the message whose button was pressed, instead of a new one."""
        source = self._interaction.source_id
        return source is not None and self._interaction.original_id == source

    @property
    def message(self) -> Message | None:
        """The answer as it stands now (if `updated`, the changed message); None if there is none or no more."""
        number = self._interaction.original_id
        if number is None or not self._world.has_message(number):
            return None
        message = self._world.message(number)
        return None if message.loading else message

    @property
    def followups(self) -> tuple[Message, ...]:
        """The messages after the answer, as they stand now."""
        return tuple(
            self._world.message(number) for number in self._interaction.followup_ids if self._world.has_message(number)
        )

    @property
    def messages(self) -> tuple[Message, ...]:
        """The answer and the messages after it, in order of arrival."""
        return self.followups if self.message is None else (self.message, *self.followups)

    @property
    def form(self) -> FormShown | None:
        """The form that opened, if the answer was one."""
        return self._interaction.form

    @property
    def choices(self) -> tuple[Choice, ...]:
        """The choices of an autocomplete."""
        return self._interaction.choices

    @property
    def refusals(self) -> tuple[ApiError, ...]:
        """What the bot sent for this interaction and the service refused, in order."""
        return tuple(self._interaction.refusals)

    @property
    def latency(self) -> float | None:
        """Seconds of the machine's clock from the dispatch to the accepted first answer; None if there was none."""
        return self._interaction.latency

    @property
    def text(self) -> str:
        """All text that arrived, for a quick look."""
        return "\n".join(message.text for message in self.messages)

    async def until(self, wanted: Callable[["Outcome"], bool], timeout: float) -> bool:  # noqa: ASYNC109 - it answers, and does not raise
        """Wait until `wanted` holds of this outcome, at most `timeout` seconds; says whether it does."""
        loop = asyncio.get_running_loop()
        end = loop.time() + timeout
        while not wanted(self):
            left = end - loop.time()
            if left <= 0:
                return False
            self._interaction.changed.clear()
            with suppress(TimeoutError):
                async with asyncio.timeout(min(left, _LOOK_AGAIN)):
                    await self._interaction.changed.wait()
        return True

    def __repr__(self) -> str:
        state = "failed" if self.failed else "settled" if self.settled else "deferred" if self.deferred else "open"
        return f"<Outcome {state} text={self.text!r} form={self.form!r} refusals={list(self.refusals)!r}>"
