"""How it is told in a room that the word of a trait's verdict changed."""

from typing import Final

from bot.cards import verbs, words
from bot.cards.card import Button, Card, Ping, Tone
from bot.cards.verdicts import moved
from bot.records.claims import ToldVerdict, VerdictNews
from bot.services.following import Following
from bot.services.verdicts import Stood
from genetics.evidence.explanations import Cause
from genetics.evidence.findings import Word

MAY_BE_A_REPEAT: Final = "This may be a repeat: I could not see whether it was posted before."


def news_ping(news: VerdictNews, delivery: int, *, maybe_repeat: bool = False) -> Ping:
    """What stands in the room. It mentions nobody."""
    said = [moved(words.plain(news.trait, 60), None if news.before is None else _stood(news.before), _stood(news.now))]
    if maybe_repeat:
        said.append(MAY_BE_A_REPEAT)
    return Ping("\n".join(said), (Button("Evidence", verbs.EVIDENCE_NEWS, f"{news.trait_id}.{delivery}"),))


def _stood(told: ToldVerdict) -> Stood:
    return Stood(Word(told.word), Cause(told.leader) if told.leader else None, told.posterior)


def following_card(following: Following) -> Card:
    """The reply to `/trait follow` and `/trait unfollow`."""
    name = words.plain(following.trait.name, 60)
    lead = (
        f"When the verdict on **{name}** gets another word, I say so once in {words.room(following.room)}. Nobody is pinged."
        if following.room is not None
        else f"What becomes of **{name}** is told in no room any more."
    )
    return Card(
        lead=lead,
        buttons=(
            Button("Evidence", verbs.TRAIT_EVIDENCE, str(following.trait.id)),
            *((Button("Undo", verbs.UNDO, str(following.event)),) if following.event is not None else ()),
        ),
        tone=Tone.GOOD,
    )


def told_in(following: Following) -> str:
    """Where the verdicts of a trait are told, in a line; empty if nowhere."""
    if following.room is None:
        return ""
    room = words.room(following.room)
    if following.refused:
        return (
            f"A new word of its verdict should be told in {room}, but the last one could not be posted there: the room is gone, "
            "or closed to me. `/trait follow`, typed in another room, moves it there."
        )
    return f"A new word of its verdict is told in {room}."
