"""What a read of scoring guides and of blind scoring gives back."""

from dataclasses import dataclass
from datetime import datetime

from bot.records.kinds import Call, Sex, Stage


@dataclass(frozen=True, slots=True)
class GuidePhotoRow:
    """A photo of a guide and how it is to be scored.

    Attributes:
        photo_id: the photo; it may be removed, or of a bin that the reader may not read.
        place: 1 to 6.
        call: whether the animal shows the trait.
        extent: how much of it, 0 to 5, where the trait is scored so.
        stage, sex: of the animal, None where that makes no difference.
        moulted: it moulted just before.
        caption: what to look at, in words; `caption_id` is the text that says so.
    """

    id: int
    guide_id: int
    photo_id: int
    place: int
    call: Call
    extent: int | None
    stage: Stage | None
    sex: Sex | None
    moulted: bool
    caption_id: int | None
    caption: str | None


@dataclass(frozen=True, slots=True)
class GuideRow:
    """A version of the guide of a trait, with its photos by place."""

    id: int
    trait_id: int
    number: int
    keeper_id: int
    keeper_name: str
    made_at: datetime
    photos: tuple[GuidePhotoRow, ...] = ()


@dataclass(frozen=True, slots=True)
class BlindSetRow:
    """Photos that keepers score for a trait; `guide_id` is the guide that held then."""

    id: int
    trait_id: int
    trait_name: str
    guide_id: int | None
    keeper_id: int
    keeper_name: str
    opened_at: datetime


@dataclass(frozen=True, slots=True)
class BlindPhotoRow:
    """A photo of a set, at its place from 1 on."""

    id: int
    set_id: int
    photo_id: int
    place: int


@dataclass(frozen=True, slots=True)
class BlindAnswerRow:
    """What a keeper says of a photo of a set; `final` once they are through with the set."""

    id: int
    set_id: int
    blind_photo_id: int
    photo_id: int
    keeper_id: int
    keeper_name: str
    call: Call
    final: bool
    at: datetime
