"""Files named on a typed line, read from disk as the chat's own client would upload them."""

import mimetypes
from collections.abc import Mapping
from pathlib import Path

from bot.practice.typed import LineError, Value
from bot.practice.values import Attachment, Picked

_LARGEST = 10 * 1024 * 1024


def sendable(options: Mapping[str, Value]) -> dict[str, str | int | float | bool | Picked | Attachment]:
    """The options of a typed line with their files read.

    Raises:
        LineError: there is no such file, it cannot be read, or it is over 10 MiB.
    """
    return {name: read_file(value) if isinstance(value, Path) else value for name, value in options.items()}


def read_file(path: Path) -> Attachment:
    """The file at a path.

    Raises:
        LineError: as `sendable`.
    """
    try:
        found = path.expanduser()
        if found.stat().st_size > _LARGEST:
            raise LineError(f"{path} is over 10 MiB, which the chat does not take. Choose a smaller one.")
        content = found.read_bytes()
    except (OSError, ValueError, RuntimeError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise LineError(f"The file {path} cannot be read: {reason}. Type the path of a file that is there.") from error
    return Attachment(found.name, content, mimetypes.guess_type(found.name)[0] or "application/octet-stream")
