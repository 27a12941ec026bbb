"""The transport compressions of the gateway: one running stream a connection, flushed after every message."""

import zlib
from typing import Protocol


class Compressor(Protocol):
    """Turns each message into the frame that is sent for it."""

    def frame(self, text: str) -> str | bytes:
        """The frame for a message."""
        ...


class Plain:
    """No compression: text frames."""

    def frame(self, text: str) -> str:
        """The text itself."""
        return text


class ZlibStream:
    """`zlib-stream`: one zlib stream, a sync flush after every message."""

    def __init__(self) -> None:
        self._stream = zlib.compressobj()

    def frame(self, text: str) -> bytes:
        """The compressed bytes up to the flush."""
        return self._stream.compress(text.encode()) + self._stream.flush(zlib.Z_SYNC_FLUSH)


class ZstdStream:
    """`zstd-stream`, written without a compressor: one endless frame of raw blocks (RFC 8878, section 3.1.1).

    The standard library has Zstandard only from Python 3.14 on. Raw blocks are valid Zstandard and save nothing, which
    does not matter between two ends of one machine.
    """

    _HEADER = bytes.fromhex("28b52ffd") + bytes([0x00, 0x38])  # magic; no size, no checksum; a window of 128 KiB
    _BLOCK = 128 * 1024

    def __init__(self) -> None:
        self._begun = False

    def frame(self, text: str) -> bytes:
        """The raw blocks of a message, before the first one the frame's header."""
        data = text.encode()
        parts = [] if self._begun else [self._HEADER]
        self._begun = True
        for start in range(0, len(data), self._BLOCK):
            block = data[start : start + self._BLOCK]
            parts += [(len(block) << 3).to_bytes(3, "little"), block]
        return b"".join(parts)


def compressor(name: str | None) -> Compressor:
    """The compressor that a connection asks for by name. Raises LookupError if there is none of that name."""
    kinds: dict[str | None, type[Compressor]] = {None: Plain, "zlib-stream": ZlibStream, "zstd-stream": ZstdStream}
    return kinds[name]()
