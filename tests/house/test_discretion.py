"""What is private is heard by whoever listens, in the same task and in those it starts, and by nobody else."""

import asyncio

from bot.discretion import listening, say_private


async def test_what_is_said_while_somebody_listens_is_heard() -> None:
    with listening() as heard:
        assert not heard.private
        await asyncio.create_task(said())
        assert heard.private


async def said() -> None:
    say_private()


async def test_it_is_heard_from_a_thread_too() -> None:
    with listening() as heard:
        await asyncio.to_thread(say_private)
    assert heard.private


async def test_two_who_listen_at_once_hear_their_own() -> None:
    async def listen(speak: bool) -> bool:
        with listening() as heard:
            await asyncio.sleep(0)
            if speak:
                say_private()
            await asyncio.sleep(0)
        return heard.private

    assert await asyncio.gather(listen(True), listen(False), listen(True)) == [True, False, True]


def test_where_nobody_listens_nothing_happens() -> None:
    say_private()
    with listening() as heard:
        pass
    say_private()
    assert not heard.private
