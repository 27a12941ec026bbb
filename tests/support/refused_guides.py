"""A sample of each refusal of a guide or of blind scoring, with what it must say."""

from bot.services import refusals_guides as g
from bot.services.refusals import Refusal

SAID: list[tuple[Refusal, str]] = [
    (g.GuideFull(6), "Take one out with `/trait guide remove` first."),
    (g.NoPhotoGiven(), "or attach a picture."),
    (g.PhotoKeptPrivate(12), "Choose another."),
    (g.InGuideAlready(12, 3), "at place 3. Take it out there first, or choose another."),
    (g.NotInGuide("9", 4), "no photo `9`. Type a place from 1 to 4."),
    (g.NotInGuide("1", 0), "Add the first with `/trait guide add`."),
    (g.OrderNotRead("1 1", 3), "Type each place once, like `3 2 1`."),
    (g.OrderNotRead("x", 0), "Type each place once, like `2 1`."),
    (g.ExtentNotRead("9"), "Type a whole number from 0"),
    (g.ExtentNotRead("0", fits=False), "Choose what fits."),
    (g.TooFewToScore(1, 2, 20), "File more for the trait with `/photo file`"),
    (g.TooFewToScore(21, 2, 20), "Type fewer numbers."),
    (g.ScoreFirst(12, 2), "2 photos to go. That is shown once you are through, so go on there first."),
    (g.ScoreFirst(12, 0), "press *Finish*"),
    (g.ThroughAlready(12), "*Results* shows"),
    (g.NoSuchSet(), "Start again with `/trait guide score`."),
]
