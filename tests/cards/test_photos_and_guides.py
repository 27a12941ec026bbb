"""How photos, guides and blind scoring are said: what a phone takes, nothing of people's text that works, the answer first."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.cards.guides import error_said, guide_card, opened_card, result_card, step_card
from bot.cards.photos import alternative_of, filed_card, page_card, photo_card, removed_card
from bot.cards.render import SCREEN_CHARACTERS, pages
from bot.records import (
    BlindSetRow,
    Call,
    GuidePhotoRow,
    GuideRow,
    Media,
    PhotoRow,
    Privacy,
    Sex,
    Stage,
    TraitRow,
)
from bot.services.blind import BlindLine, BlindOpened, BlindResult, BlindStep
from bot.services.blind_errors import ScoringError
from bot.services.guides import GuideEntryView, GuideView
from bot.services.photographed import Photographed
from bot.services.photos import PhotoPage, PhotoView
from genetics import Dominance
from genetics.agreement import cohen, misreadings
from tests.support.markup import live_marks
from tests.support.screens import assert_card_fits

NOW = datetime(2026, 3, 5, 12, tzinfo=UTC)
PHOTO = PhotoRow(
    id=12,
    bin_id=3,
    bin_code="B-3",
    bin_name="frost line",
    find_id=5,
    find_number=2,
    trait_id=7,
    trait_name="ember",
    taken_at=NOW,
    alternative="orange edges",
    keeper_id=1,
    keeper_name="Wren",
    added_at=NOW,
    removed_at=None,
    media=Media.PNG,
    width=4,
    height=3,
    size=9,
    sha256="0" * 64,
    privacy=Privacy.OPEN,
)
EMBER = TraitRow(7, "ember", "e", Dominance.RECESSIVE, None, 1, NOW, None)
SET = BlindSetRow(40, 7, "ember", 30, 1, "Wren", NOW)
ROWS = [(1, 1), (1, 0), (0, 0), (0, 0)]
ERRORS = misreadings(ROWS, [1, 1, 0, 0])
ERROR = ScoringError(2, 4, 0.75, cohen(ROWS), 1, 4, ERRORS[1], ERRORS[0], (1, 9))


def guide(*captions: str, error: ScoringError | None = None) -> GuideView:
    """A guide of the same photo under these captions."""
    rows = [
        GuidePhotoRow(
            n, 30, 12 + n, n, Call.UNSURE, 5, Stage.JUVENILE, Sex.FEMALE, moulted=True, caption_id=n, caption=caption
        )
        for n, caption in enumerate(captions, start=1)
    ]
    photos = [replace(PHOTO, id=row.photo_id) for row in rows]
    entries = tuple(GuideEntryView(row, photo) for row, photo in zip(rows, photos, strict=True))
    return GuideView(
        7, "ember", 8, GuideRow(30, 7, 4, 1, "Wren", NOW, tuple(rows)), entries, {p.id: b"PNG" for p in photos}, error
    )


def test_a_photo_says_what_it_is_of_and_has_words_for_those_who_cannot_see_it() -> None:
    card = photo_card(PhotoView(PHOTO, may_change=True, body=b"PNG"))
    assert card.lead.startswith("**Photo 12** of find 2 in B-3 (frost line), kept for ember, taken <t:")
    assert [button.label for button in card.buttons] == ["Describe", "All photos", "Remove"]
    (picture,) = card.pictures
    assert (picture.name, picture.alternative) == ("photo-12.png", "orange edges")
    undescribed = replace(PHOTO, alternative="", bin_name="a *b*")
    assert alternative_of(undescribed).startswith("Photo of find 2 in B-3 (a *b*), kept for ember. Nobody has said")
    assert "a former keeper" in photo_card(PhotoView(replace(PHOTO, keeper_name=""), may_change=False)).blocks[0]
    for made in (filed_card, photo_card, removed_card):
        assert_card_fits(made(PhotoView(PHOTO, may_change=True, event=9)))


@given(st.text(min_size=1, max_size=500), st.text(min_size=1, max_size=60))
def test_words_of_people_do_nothing(words: str, name: str) -> None:
    row = replace(PHOTO, alternative=words, bin_name=name, trait_name=name, keeper_name=name)
    view = PhotoView(row, may_change=False, body=b"PNG")
    shown = replace(guide(words[:200], error=None), name=name)
    for card in (
        filed_card(view),
        photo_card(view),
        guide_card(shown),
        step_card(BlindStep(replace(SET, trait_name=name), 1, {}, 1)),
    ):
        said = "\n".join((card.lead, *card.blocks)).replace("**", "").replace("*Describe*", "")
        said = "\n".join(line for line in said.splitlines())
        assert live_marks(_without_times(said)) == []


def _without_times(text: str) -> str:
    """What the card itself has in it that works: times, and commands to type."""
    parts = text.split("<t:")
    return parts[0] + "".join(part.partition(">")[2] for part in parts[1:])


def test_a_page_of_photos_fits_a_phone_and_turns_both_ways() -> None:
    rows = tuple(replace(PHOTO, id=n, alternative="x" * 500, find_number=None) for n in range(4))
    of = Photographed(trait=EMBER)
    card = page_card(PhotoPage(of, rows, {row.id: b"PNG" for row in rows}, 4, 11))
    assert card.lead == "11 photos of ember, the newest first, 5 to 8 of 11:"
    assert [button.label for button in card.buttons][:2] == ["Newer", "Older"]
    assert [button.argument for button in card.buttons][:2] == ["t7/0", "t7/8"]
    assert len(pages(card)[0]) <= SCREEN_CHARACTERS
    assert len(card.pictures) == 4
    assert_card_fits(card)
    empty = page_card(PhotoPage(of, (), {}, 0, 0))
    assert empty.lead == "No photo of ember is filed yet."
    assert "/photo file" in empty.blocks[0]


def test_a_full_guide_fits_a_phone() -> None:
    card = guide_card(guide(*["look at the edges of the last three plates, in daylight"] * 6, error=ERROR))
    assert card.lead == "**How to score ember.** It can be read from week 8 on."
    assert card.blocks[0].startswith("**1** doubtful, extent 5 of 5 (young female, fresh moult): look at")
    assert len(card.pictures) == 6
    assert len(pages(card)[0]) <= SCREEN_CHARACTERS
    assert_card_fits(card)
    longest = guide_card(guide(*["x" * 200] * 6, error=ERROR))
    assert_card_fits(longest)
    hidden = guide("look")
    gone = replace(hidden, entries=(replace(hidden.entries[0], photo=None),), bodies={})
    assert "(the photo is not shown any more)" in guide_card(gone).blocks[0]
    none = replace(hidden, entries=(), week=0)
    assert "no scoring guide yet" in guide_card(none).lead
    assert "nobody has said yet" in guide_card(replace(hidden, week=0)).lead


def test_a_photo_to_be_scored_tells_nothing_of_itself() -> None:
    card = step_card(BlindStep(SET, 6, {1: Call.SHOWS, 2: Call.NOT}, 2, b"\x89PNG"))
    assert card.private
    assert card.lead == "**Photo 2:** does it show ember?"
    assert card.blocks[0] == "2 of 6 answered. Here you said: does not."
    assert [(b.label, b.argument) for b in card.buttons] == [
        ("Shows it", "40/2/y"),
        ("Does not", "40/2/n"),
        ("Not sure", "40/2/u"),
    ]
    assert card.pictures[0].name == "to-score-2.png"
    done = step_card(BlindStep(SET, 20, dict.fromkeys(range(1, 21), Call.UNSURE)))
    assert done.lead == "You have answered all 20: not sure 20."
    assert len(done.buttons) == 21
    assert_card_fits(done)
    assert_card_fits(opened_card(BlindOpened(SET, 6, 17)))


def test_what_keepers_agree_on_comes_first_and_twenty_photos_are_paged() -> None:
    said = {Call.SHOWS: 3, Call.NOT: 2, Call.UNSURE: 1}
    lines = tuple(BlindLine(n, n, Call.SHOWS, said, Call.NOT) for n in range(1, 21))
    card = result_card(BlindResult(SET, lines, ERROR))
    assert card.lead == "**ember, scored blind:** 2 keepers read 4 photos alike in 75 % of pairs."
    assert all(len(page) <= SCREEN_CHARACTERS for page in pages(card))
    assert "**1** shows it 3, does not 2, not sure 1; you: shows it; guide: does not" in card.blocks[1]
    assert_card_fits(card)
    first = result_card(BlindResult(SET, lines[:1], None))
    assert "the first to be through" in first.lead


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (
            ERROR,
            "about 12 % of readings are wrong. Of those that show it, 1 of 4 readings are wrong (5 to 70 % is likely).",
        ),
        (ERROR, "Of those that don't, 0 of 4 readings are wrong (0 to 49 % is likely)."),
        (ERROR, "kappa): 0.50 (-0.23 to 1.00). So few photos say little yet."),
        (replace(ERROR, photos=30, wrong=0, missed=None, false_alarms=None), "about 0 % of readings are wrong."),
    ],
)
def test_the_error_is_said_with_how_sure_it_is(error: ScoringError, said: str) -> None:
    """Wilson's intervals for 1 and 0 of 4: .046 to .699 and 0 to .490 (Newcombe 1998, method 3, by hand)."""
    assert said in error_said(error)
    assert error.share == Fraction(error.wrong, 2 * error.pairs)
    assert ("So few" in error_said(error)) == (error.photos < 10)


def test_times_are_the_readers_own() -> None:
    later = replace(PHOTO, taken_at=NOW + timedelta(hours=1))
    assert f"<t:{int(later.taken_at.timestamp())}:D>" in filed_card(PhotoView(later, may_change=True)).lead
