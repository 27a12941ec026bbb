"""Column types: what may stand in a column, checked on the way in and rebuilt on the way out."""

import json
from datetime import UTC, datetime
from enum import StrEnum
from fractions import Fraction
from typing import Any, TypeVar

from sqlalchemy import BigInteger, DateTime, Dialect, Enum, String, Text, TypeDecorator

Word = TypeVar("Word", bound=StrEnum)

LONGEST_WORD = 32
"""Width of a column that holds one word of an enumeration, in characters."""


class Snowflake(TypeDecorator[int]):
    """An id given by the chat service: a 64-bit integer here, text wherever JSON is written."""

    impl = BigInteger
    cache_ok = True


class UtcDateTime(TypeDecorator[datetime]):
    """A moment. Only aware times go in; what comes out is aware and in UTC.

    PostgreSQL keeps `timestamptz`. SQLite has no such type and keeps the UTC reading as text, which sorts by time.
    """

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Turn an aware time into what the driver wants.

        Raises:
            ValueError: the time has no zone.
        """
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError(f"a time without a zone cannot be recorded: {value!r}")
        moment = value.astimezone(UTC)
        return moment.replace(tzinfo=None) if dialect.name == "sqlite" else moment

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Give the time its zone back."""
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


class Rational(TypeDecorator[Fraction]):
    """An exact fraction as `p/q` text in lowest terms: 2/3 stays 2/3."""

    impl = String(64)
    cache_ok = True

    def process_bind_param(self, value: Fraction | None, dialect: Dialect) -> str | None:
        """Write `p/q`.

        Raises:
            TypeError: anything but a `Fraction`; a float would have lost its meaning already.
        """
        if value is None:
            return None
        if not isinstance(value, Fraction):
            raise TypeError(f"a rational column takes a Fraction, not {value!r}")
        return f"{value.numerator}/{value.denominator}"

    def process_result_value(self, value: str | None, dialect: Dialect) -> Fraction | None:
        """Read `p/q`."""
        return None if value is None else Fraction(value)


class Document(TypeDecorator[dict[str, Any]]):
    """A JSON object that says its own version under `v`, stored as canonical text so that its bytes never drift."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: dict[str, Any] | None, dialect: Dialect) -> str | None:
        """Write the object with sorted keys.

        Raises:
            ValueError: the object does not say its version.
        """
        if value is None:
            return None
        if not isinstance(value.get("v"), int):
            raise ValueError("a stored document must carry its version under 'v'")
        return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False)

    def process_result_value(self, value: str | None, dialect: Dialect) -> dict[str, Any] | None:
        """Read the object."""
        if value is None:
            return None
        document: dict[str, Any] = json.loads(value)
        return document


def checked(words: type[Word], name: str) -> Enum:
    """A text column that holds one word of an enumeration; a CHECK of this name makes the database refuse another."""
    return Enum(
        words,
        name=name,
        native_enum=False,
        create_constraint=True,
        length=LONGEST_WORD,
        values_callable=lambda enumeration: [word.value for word in enumeration],
    )
