"""A find of which little was said, for the tests to change."""

from datetime import UTC, datetime

from bot.records import FindRow, Sex, Stage

NOW = datetime(2026, 3, 5, 12, tzinfo=UTC)
FIND = FindRow(
    id=1,
    number=1,
    bin_id=1,
    bin_code="B-1",
    bin_name=None,
    species_key="porcellio-scaber",
    trait_id=1,
    trait_name="ember",
    breeders_id=1,
    sex=Sex.FEMALE,
    keeper_id=1,
    keeper_name="Wren",
    found_at=NOW,
    logged_at=NOW,
    stage=Stage.ADULT,
    pouch_filled=None,
    length_mm=None,
    moulted_at=None,
    such=None,
    looked_at=None,
    sheen=None,
    slow=None,
    typed=None,
    note=None,
)
