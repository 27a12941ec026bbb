"""Every knob, typed: from the environment (`MANCABOOK_…`), then a file `.env` beside the start, then defaults that work."""

from ipaddress import ip_address
from typing import Annotated, Literal
from urllib.parse import urlsplit

from pydantic import AfterValidator, Field, SecretStr, ValidationInfo, field_validator
from pydantic_settings import BaseSettings, SettingsConfigDict

Seconds = Annotated[float, Field(gt=0, le=3600)]


def _only_this_machine(url: str) -> str:
    host = urlsplit(url).hostname or ""
    if host != "localhost" and not (host.replace(".", "").isdigit() and ip_address(host).is_loopback):
        raise ValueError("the chat service's address can only be moved to this machine (127.0.0.1)")
    return url


class Settings(BaseSettings):
    """What `mancabook serve` reads before it starts."""

    model_config = SettingsConfigDict(
        env_prefix="MANCABOOK_", env_file=".env", extra="ignore", frozen=True, hide_input_in_errors=True
    )

    token: SecretStr = SecretStr("")
    """The bot's token. Kept out of every log line."""

    database: str = "sqlite+aiosqlite:///mancabook.db"
    """The book: an SQLAlchemy address, SQLite (aiosqlite) or PostgreSQL (asyncpg)."""

    service: Annotated[str, AfterValidator(_only_this_machine)] | None = None
    """Where the chat service's HTTP API is, if it is a stand-in on this machine, as `http://127.0.0.1:PORT`."""

    tick: Seconds = 5.0
    """How often the clock looks for pings that are due, in seconds."""

    drain: Seconds = 20.0
    """How long a stop waits for what people are waiting for, in seconds."""

    longest_wait: Seconds = 60.0
    """The longest wait for the chat service's rate limit that is sat out, in seconds; a longer one postpones what was to
    be sent. The chat library sits out half a minute whatever this says; a ping gives up with its lease all the same."""

    lease: Seconds = 180.0
    """How long a process that claimed a ping may take to send it before another process takes over, in seconds; longer
    than `longest_wait`."""

    workers: Annotated[int, Field(ge=1, le=64)] = 2
    """How many processes may work things out or draw at once; each takes some 100 MB once it has drawn."""

    log_level: Literal["DEBUG", "INFO", "WARNING", "ERROR"] = "INFO"
    """The least level that is logged."""

    @field_validator("lease")
    @classmethod
    def _outlives_a_wait(cls, lease: float, info: ValidationInfo) -> float:
        # Absent if it was refused itself.
        wait = info.data.get("longest_wait")
        if wait is not None and lease <= wait:
            raise ValueError(f"a lease of {lease:g} s has to be longer than the longest wait, {wait:g} s")
        return lease
