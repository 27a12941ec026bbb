"""A society small enough to be known by heart: three keepers, two species, five bins, two traits."""

from pathlib import Path

from bot.services.society import Society, read_society

SMALL = Path(__file__).with_name("small_society.toml")


def small_society() -> Society:
    """The Hollow Log Society in its first year, with the ids of the demo's."""
    return read_society(SMALL.read_text("utf-8"))
