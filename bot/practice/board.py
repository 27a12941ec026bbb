"""What has been shown in a practice room, and what on it can be pressed.

A number belongs to one button for good: a ping that arrives while somebody types cannot change what a number means.
"""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from bot.practice.text import Press, show
from bot.practice.values import Attachment, Message
from bot.practice.words import Screen, printable


@dataclass(frozen=True, slots=True)
class Pressed:
    """A button that was shown, with the message it stands on."""

    message: Message
    press: Press


class Board:
    """Writes messages as text and remembers their buttons. `pictures` is the folder in which attachments are saved."""

    def __init__(self, write: Callable[[str], None], pictures: Path) -> None:
        self._write = write
        self._pictures = pictures
        self._pressable: dict[int, Pressed] = {}
        self._shown: set[int] = set()

    def shown(self, message: Message) -> bool:
        """Whether the message has been written before."""
        return message.id in self._shown

    def pressed(self, number: int) -> Pressed | None:
        """The button with this number, or None."""
        return self._pressable.get(number)

    def put(self, message: Message, screen: Screen, where: str = "") -> None:
        """Write a message, and save what is attached to it. `where` is said in the heading."""
        first = len(self._pressable) + 1
        speaker = f"Mancabook {where}".rstrip()
        shown = show(
            message.content, message.components, screen, first=first, speaker=speaker, private=message.ephemeral
        )
        self._shown.add(message.id)
        self._pressable |= {press.number: Pressed(message, press) for press in shown.presses}
        self._write(shown.text)
        for attachment in message.attachments:
            self._write(self._saved(attachment))

    def _saved(self, attachment: Attachment) -> str:
        try:
            self._pictures.mkdir(parents=True, exist_ok=True)
            path = self._free(Path(printable(attachment.filename)).name or "file")
            path.write_bytes(attachment.content)
        except OSError as error:
            return f"The file {printable(attachment.filename)} could not be saved: {error.strerror}"
        return f"{'picture' if attachment.content_type.startswith('image/') else 'file'} saved: {path}"

    def _free(self, name: str) -> Path:
        """A path in the folder that no file has yet: `odds.png`, then `odds-2.png`."""
        path = self._pictures / name
        number = 2
        while path.exists():
            path = self._pictures / f"{Path(name).stem}-{number}{Path(name).suffix}"
            number += 1
        return path
