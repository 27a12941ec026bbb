"""Free text from people: how much of it the book takes."""

from bot.services.refusals import TextTooLong

MOST = {
    "name": 60,
    "shelf": 40,
    "count": 100,
    "brood": 500,
    "animal": 500,
    "reason": 300,
    "note": 4_000,
    "origin": 200,
    "task": 100,
    "photo": 500,
    "batch": 60,
    "source": 200,
    "treatment": 200,
    "caption": 200,
}
"""The longest text of each kind, in characters. A note is as long as a form of the chat allows."""


def checked(what: str, text: str) -> str:
    """`text` without blanks around it; a name, a shelf or a batch also becomes one line.

    Raises:
        TextTooLong: it is longer than the book takes for `what`.
    """
    stripped = " ".join(text.split()) if what in ("name", "shelf", "batch") else text.strip()
    if len(stripped) > MOST[what]:
        raise TextTooLong(what=what, length=len(stripped), most=MOST[what])
    return stripped
