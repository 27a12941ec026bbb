"""A sample of each refusal about pairings, broods and days, with what it must say."""

from datetime import UTC, date, datetime

from bot.services import refusals_breeding as b
from bot.services import refusals_days as d
from bot.services.refusals import Refusal
from genetics import NotationError, Problem

WHEN = datetime(2026, 3, 5, 12, tzinfo=UTC)
UNKNOWN = NotationError("1 visual zzz", 9, 3, Problem.UNKNOWN_TRAIT)

SAID: list[tuple[Refusal, str]] = [
    (d.DayNotRead("someday"), "Type today, yesterday, 3 days ago, 3 May, or 2026-05-03."),
    (d.DayNotRead("old", age=True), "Type it like 9 weeks, or 60 days."),
    (d.DayAhead("1 Jan 2099", date(2099, 1, 1), ahead=True), "has not come yet. Type the day on which it was"),
    (d.DayAhead("1 Jan 1999", date(1999, 1, 1), ahead=False), "Type the day with its year"),
    (d.DatedRests(), "Later puts it off; `/care end` ends it."),
    (d.TemperatureNotRead("warm"), "Type it like 22 C or 72 F."),
    (b.BreedersNotRead("dam", "B-3", b.BreedersProblem.NO_NUMBER), "Type the number first, like: 2 from B-3"),
    (b.BreedersNotRead("sire", "1", b.BreedersProblem.NO_STOCK), "Type it like: 1 from B-5"),
    (b.BreedersNotRead("dam", "1 male", b.BreedersProblem.WRONG_SEX), "said to be a male"),
    (b.BreedersNotRead("sire", "9999 from B-3", b.BreedersProblem.TOO_MANY), "at most 1,000"),
    (b.BreedersNotRead("sire", "Rust", b.BreedersProblem.TWICE), "Name each group once"),
    (b.BreedersLookNotRead(UNKNOWN, ("ember",)), "I can't read the breeders at the mark"),
    (b.NoSuchPairing("P-9", 4), "P-1 to P-4"),
    (b.NoSuchPairing("", 0), "`/pair setup` sets one up"),
    (b.NoSuchBrood("P-1.9", ("P-1.1", "P-1.2")), "Type one of P-1.1 or P-1.2."),
    (b.NoSuchBrood("P-1.9"), "`/brood log` logs one"),
    (b.ClonalPairing("Trichorhina tomentosa"), "Leave the sires out."),
    (b.DamElsewhere("P-2", "Pearl"), "Pearl is in P-2"),
    (b.DamElsewhere("P-2", None), "Take her out there first with `/pair out`"),
    (b.NobodyOn("dam"), "needs a dam. Type them like"),
    (b.NobodyOn("sire"), "unless the dams had males before"),
    (b.SpeciesNotSaid(), "choose the species"),
    (b.PairingOver("P-2", WHEN), "Undo that first, or set up a new pairing"),
    (b.NotedAlready("Taking out the breeders", "P-2", WHEN), "Type the day if it was another."),
    (b.NotInOrder("Young", "the filled pouch", WHEN), "Type a later day."),
    (b.ScoresNotRead("6 embr", "embr", ("ember",)), "Traits on record: ember."),
    (b.ScoresNotRead("6", ""), "Type each number with its look"),
    (b.ScoresUnclear("4 of 20 ember", ("4 ember, 16 wild", "4 ember, 20 born")), "`4 ember, 20 born`. Which is it?"),
    (b.ScoresUnclear("6 embr", ("6 ember",)), "Do you mean `6 ember` by `6 embr`?"),
    (b.LookHasDoses("3 dusk", "dusk"), "Type `6 het dusk` for one"),
    (b.MoreThanBorn(20, 23), "Correct one of the numbers"),
    (b.NothingScored(), "Type each number with its look"),
    (b.MoreThanScored(7, 6), "Score the brood again first, or keep fewer."),
]
