"""How it is said that a bin is on hold or in quarantine, and how its backups, warmth and litter are."""

from datetime import UTC, datetime, timedelta
from fractions import Fraction

import pytest

from bot.cards.bin_life import backup_card, backups_of, batch_card, temperature_card
from bot.cards.bin_marks import accident_card, marked_card
from bot.cards.bin_state import accidents, looked, standing
from bot.cards.card import Card
from bot.records import (
    BackupRow,
    BatchRow,
    HoldCause,
    LitterRow,
    LookRow,
    MarkKind,
    MarkRow,
    TemperatureRow,
    Units,
)
from bot.services.accidents import AccidentLogged
from bot.services.backups import BackupSet
from bot.services.bin_marks import HELD, LOOKED, QUARANTINED, RELEASED, BinMarked
from bot.services.bin_state import BinState, state_of
from bot.services.litter import BatchTraced
from bot.services.refusals import BinLabel
from bot.services.species import shipped_species
from bot.services.temperature_log import TemperatureLogged
from tests.support.screens import assert_card_fits

NOW = datetime(2026, 3, 1, 12, tzinfo=UTC)
DAY = timedelta(days=1)
SCABER = shipped_species().named("Porcellio scaber")
B3 = BinLabel("B-3", "*pale*")
BATCH = BatchRow(5, "oak *of* May", "the [copse](x)", None, 1, "Wren", NOW)


def mark(
    kind: MarkKind, cause: HoldCause | None = None, *, days: int = 10, until: int | None = None, note: str | None = None
) -> MarkRow:
    """A mark of so many days ago, a quarantine until so many days from now."""
    end = NOW + until * DAY if until is not None else None
    return MarkRow(1, 3, kind, cause, NOW - days * DAY, end, 1, "Wren", note, None)


def look(days: int, clean: bool = True) -> LookRow:
    return LookRow(2, 3, NOW - days * DAY, clean, "Wren", None)


def test_what_stands_in_the_way_is_said_in_words() -> None:
    sheen = state_of([mark(MarkKind.HOLD, HoldCause.BLUE_SHEEN)], [], NOW)
    assert "a blue or violet sheen was seen. A steward lifts it." in standing(sheen)
    other = state_of([mark(MarkKind.HOLD, HoldCause.OTHER)], [], NOW)
    assert "steward" not in standing(other)
    running = state_of([mark(MarkKind.QUARANTINE, until=5)], [look(1)], NOW)
    assert standing(running).endswith("own tools, last in the round.")
    assert looked(running).endswith("clean.")
    overdue = state_of([mark(MarkKind.QUARANTINE, until=-1)], [look(20), look(30)], NOW)
    assert standing(overdue).endswith("and it ends with one clean look.")
    assert looked(overdue) == "Nobody has noted a look at it yet."
    can_end = state_of([mark(MarkKind.QUARANTINE, until=-1)], [look(2)], NOW)
    assert standing(can_end).endswith("and it can end now.")
    saw = state_of([mark(MarkKind.QUARANTINE, until=-1)], [look(1, clean=False), look(2)], NOW)
    assert standing(saw).endswith("and it ends with one clean look.")
    assert standing(BinState()) == looked(BinState()) == accidents(()) == ""


CARDS: list[Card] = [
    marked_card(BinMarked(B3, SCABER, state_of(marks, [], NOW), kind, ended, 7))
    for kind, marks, ended in (
        (HELD, [mark(MarkKind.HOLD, HoldCause.BLUE_SHEEN), mark(MarkKind.QUARANTINE, until=60)], ()),
        (QUARANTINED, [mark(MarkKind.QUARANTINE, until=60, note="a *note*")], ()),
        (LOOKED, [mark(MarkKind.QUARANTINE, until=60)], ()),
        (RELEASED, [], (MarkKind.HOLD, MarkKind.QUARANTINE)),
    )
] + [
    accident_card(AccidentLogged(B3, mark(MarkKind.STRAY, note="big"), (), 7)),
    backup_card(BackupSet(B3, BinLabel("B-1"), True, 7)),
    batch_card(
        BatchTraced(
            BATCH,
            tuple(LitterRow(n, 5, n, f"B-{n}", "*x*", NOW - n * DAY, NOW if n == 2 else None) for n in range(1, 40)),
            (),
        )
    ),
]


@pytest.mark.parametrize("card", CARDS, ids=lambda card: card.lead[:30])
def test_a_reply_fits_and_nothing_typed_works_in_it(card: Card) -> None:
    assert_card_fits(card)
    text = "\n".join((card.lead, *card.blocks))
    for typed in ("*pale*", "*note*", "*x*", "*of*", "[copse](x)"):
        assert typed not in text


def test_a_batch_in_many_bins_says_how_many_more() -> None:
    card = CARDS[-1]
    assert card.lead.endswith("went into **39 bins**.")
    assert card.blocks[0].endswith("and 14 more")


@pytest.mark.parametrize(
    ("celsius", "said"),
    [(29, "**Too warm**"), (27, "Warmer than it is usually kept: 64 °F to 79 °F"), (22, ""), (15, "Cooler")],
)
def test_a_reading_outside_of_how_warm_a_species_is_kept_is_warned_of(celsius: int, said: str) -> None:
    """18 to 26 °C are common practice, and not above 28 °C (no source)."""
    reading = TemperatureRow(1, 3, NOW, Fraction(celsius), "Wren")
    card = temperature_card(TemperatureLogged(B3, reading, None, SCABER.figures["celsius"], (), Units.IMPERIAL, 7))
    assert "\n".join(card.blocks).startswith(said)
    assert bool(card.blocks) == bool(said)


def test_a_bin_that_may_not_be_read_is_no_code_among_backups() -> None:
    rows = (BackupRow(1, 3, "B-3", 9, "", NOW), BackupRow(2, 8, "B-8", 3, "B-3", NOW))
    assert backups_of(3, rows) == ["Backup of a bin that is kept private.", "Its backup: B-8."]
