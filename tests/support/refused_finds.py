"""A sample of each refusal about odd animals and open traits, with what it must say."""

from datetime import UTC, datetime

from bot.services import refusals_finds as f
from bot.services.refusals import BinLabel, Refusal
from bot.services.refusals_traits import InheritanceOpen

WHEN = datetime(2026, 3, 5, 12, tzinfo=UTC)

SAID: list[tuple[Refusal, str]] = [
    (f.NoSuchFind("9", 4), "Type its number, like 4; `/find list` shows them."),
    (f.NoSuchFind("", 0), "`/find log` logs one"),
    (f.AnimalNotRead("12, female", "12"), "What does `12` say of the animal? Type it like"),
    (f.AnimalContradicts("male", "a filled pouch"), "can't be both `male` and `a filled pouch`. Leave one out."),
    (f.SheenMeant("blue"), "is that an iridescent blue-violet sheen on it, or its colour?"),
    (f.TraitNeeded(), "Type a name of your own"),
    (f.TraitMeant("embr", ("ember",)), "Did you mean ember, or is it a new one?"),
    (f.SameOrAnother("ember"), "A trait ember is in the book. Is this the same"),
    (
        f.SameOrAnother("ember", ((BinLabel("B-4", "mossy"), WHEN),)),
        "It was found in B-4 (mossy) <t:1772712000:D> before.",
    ),
    (f.NameForAnother("ember", ("ember 2",)), "Give it a name of its own."),
    (f.NameForAnother("ember", (), "Porcellio scaber"), "is a trait of *Porcellio scaber*"),
    (f.NobodyToPing(3), "Find 3 asks for nothing any more."),
    (f.PhotoLater(), "Attach it again in a minute, with `/photo file`."),
    (InheritanceOpen(("ember",)), "Nobody knows yet how ember is inherited"),
    (InheritanceOpen(("ember", "frost")), "how ember and frost are inherited"),
]
