"""A book with a row in every table, for tests that go over all of them and for the dump of each revision."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction
from itertools import count

from bot.calendar import Cadence, Rhythm, weekly
from bot.records import (
    Appearance,
    BinRow,
    BreederRole,
    BroodReason,
    Call,
    CareKind,
    CloseReason,
    DamHistory,
    Dominance,
    Exactness,
    GuideEntry,
    HoldCause,
    MarkKind,
    Media,
    Moved,
    OccurrenceRow,
    ParentRole,
    PhotoFile,
    Records,
    RelationKind,
    Seen,
    Sex,
    SexSystem,
    Shown,
    Stage,
    Stamp,
    State,
    Subject,
    Thoroughness,
    Units,
)

NOW = datetime(2026, 3, 1, 12, 0, tzinfo=UTC)
SERVER = 9_007_199_254_740_993
"""The first whole number that a JSON number read as a float loses; every real snowflake is larger."""

KEEPER = SERVER + 10
CHANNEL = SERVER + 20


class Stamps:
    """Makes stamps with a new request id each, for one keeper of one server."""

    def __init__(
        self, server: int = SERVER, actor: int = KEEPER, name: str = "Wren", requests: Iterator[int] | None = None
    ) -> None:
        self.server, self.actor, self.name = server, actor, name
        self._requests = requests or count(server + 1000)

    def next(self, now: datetime = NOW) -> Stamp:
        """A stamp of a request never seen."""
        return Stamp(self.server, self.actor, self.name, next(self._requests), now)


async def open_bin(records: Records, stamps: Stamps, name: str = "mossy") -> BinRow:
    """Open a bin in a unit of its own."""
    async with records.write(stamps.next()) as book:
        opened = await book.add_bin(species_key="porcellio-laevis", name=name)
        await book.log("bin.open", Subject("bin", opened.id))
    return opened


async def fill(records: Records, address: str, stamps: Stamps) -> None:
    """Put something into every table of a server, through the book wherever the book has a way."""
    async with records.write(stamps.next()) as book:
        await book.set_keeper(zone="Europe/Lisbon")
        await book.set_server(zone="Europe/Berlin", bin_prefix="HL-")
        await book.set_kinship(note=Fraction(1, 8), warning=Fraction(1, 4), origin_kinship=Fraction(1, 16))
        await book.log("server.set", Subject("server", stamps.server))
    async with records.write(stamps.next()) as book:
        ember = await book.add_trait(name="ember", symbol="e", dominance=Dominance.RECESSIVE)
        await book.log("trait.define", Subject("trait", ember))
    async with records.write(stamps.next()) as book:
        frost = await book.add_trait(
            name="frost", symbol="f", dominance=Dominance.INCOMPLETE, species_key="porcellio-laevis"
        )
        await book.log("trait.define", Subject("trait", frost))
    await _relate(records, stamps, ember, frost)
    first = await _open_founded(records, stamps, ember)
    async with records.write(stamps.next()) as book:
        second = await book.add_bin(species_key="porcellio-laevis", name="ember F2")
        await book.add_parent(second.id, first.id, ParentRole.BOTH)
        await book.log("bin.open", Subject("bin", second.id))
    async with records.write(stamps.next()) as book:
        await book.change_keeper(quiet_from=1320, quiet_to=420, units=Units.METRIC, channel_id=CHANNEL)
        await book.log("keeper.set", Subject("keeper", stamps.actor))
    async with records.write(stamps.next()) as book:
        await book.add_co_keeper(second.id, KEEPER + 5, "Ash")
        await book.log("bin.keeper_added", Subject("bin", second.id))
    async with records.write(stamps.next()) as book:
        card = await book.set_card(
            "porcellio-laevis", SexSystem.UNKNOWN, {"v": 1, "longest_mm": 20}, "measured at the swap in May"
        )
        await book.log("species.set", Subject("species card", card))
    async with records.write(stamps.next(NOW + timedelta(days=1))) as book:
        counted = await book.add_count(
            first.id, total=40, exactness=Exactness.ESTIMATE, typed="about 40", note="under the bark"
        )
        await book.log("count.log", Subject("count", counted))
    await _sort(records, stamps, first, counted, ember)
    async with records.write(stamps.next()) as book:
        task = await book.add_task(
            bin_id=first.id, kind=CareKind.MOISTURE, cadence=weekly(6, 18 * 60), channel_id=CHANNEL
        )
        await book.add_occurrence(task, first.id, NOW + timedelta(hours=6), "Europe/Lisbon")
        await book.add_task(
            shelf="back shelf",
            kind=CareKind.OTHER,
            text="mist",
            cadence=Cadence(Rhythm.MONTH, (1, 31), 0),
            channel_id=CHANNEL,
        )
        await book.log("care.add", Subject("task", task))
        await book.add_draft("odds", {"cross": "het ember x wild"}, NOW + timedelta(days=1))
    await _breed(records, stamps, first, second, ember)
    await _live(records, stamps, first, second)
    find = await _find(records, stamps, second, ember)
    async with records.write(stamps.next()) as book:
        expected = await book.expect_message(first.id, CHANNEL, NOW)
        await book.message_stands(expected.nonce, SERVER + 40)
    await _weigh(records, stamps, ember)
    odd = await _photograph(records, stamps, second, ember, find)
    await _guide(records, stamps, ember, odd)
    await records.set_synced_hash(SERVER + 1, "0" * 64, NOW)
    await _ask_and_answer(records, stamps, task)


async def _relate(records: Records, stamps: Stamps, ember: int, frost: int) -> None:
    """One trait that shows in one sex only, two that are linked, and two that make a look together."""
    async with records.write(stamps.next()) as book:
        model = {"v": 1, "shown_in": "female", "penetrance": "7/10"}
        ink = await book.add_trait(name="ink", symbol="i", dominance=Dominance.RECESSIVE, model=model)
        await book.log("trait.define", Subject("trait", ink))
    async with records.write(stamps.next()) as book:
        linked = await book.add_relation(RelationKind.LINKED, [ember, ink], {"v": 1, "dam": ["1/10"]})
        await book.add_relation(
            RelationKind.TOGETHER, [ember, ink], {"v": 1, "as": "9:7"}, name="glow", looks=["bright", "dull"]
        )
        await book.log("trait.linked", Subject("relation", linked))
    async with records.write(stamps.next()) as book:
        over = await book.add_relation(RelationKind.SERIES, [frost, ink], {"v": 1, "wild": 1}, name="shade")
        await book.log("trait.series", Subject("relation", over))
    async with records.write(stamps.next()) as book:
        await book.end_relation(over)
        await book.log("trait.parted", Subject("relation", over))


async def _sort(records: Records, stamps: Stamps, sorted_bin: BinRow, counted: int, trait: int) -> None:
    """The count is corrected, by class; a few animals go into a bin of their own, and come back."""
    async with records.write(stamps.next(NOW + timedelta(days=1, hours=1))) as book:
        count = await book.add_count(
            sorted_bin.id,
            total=40,
            exactness=Exactness.RANGE,
            typed="15-25 in half, some ember",
            at=NOW + timedelta(days=1),
            low=30,
            high=50,
            seen=20,
            share=Fraction(1, 2),
            thoroughness=Thoroughness.PART,
            corrects=counted,
        )
        await book.add_count_part(
            count, said=Seen.COUNTED, stage=Stage.ADULT, sex=Sex.FEMALE, number=6, exactness=Exactness.EXACT
        )
        await book.add_count_part(count, said=Seen.SOME, traits=(trait,))
        await book.add_count_part(count, said=Seen.NOT_COUNTED, stage=Stage.MANCA)
        await book.log("count.correct", Subject("count", count))
    async with records.write(stamps.next(NOW + timedelta(days=2))) as book:
        await book.set_shelf(sorted_bin.id, "by the window")
        part = await book.add_bin(species_key="porcellio-laevis")
        await book.add_parent(part.id, sorted_bin.id, ParentRole.PART)
        await book.add_transfer(sorted_bin.id, part.id, moved=Moved.SPLIT, number=6, exactness=Exactness.EXACT)
        await book.log("bin.split", Subject("bin", part.id))
    async with records.write(stamps.next(NOW + timedelta(days=3))) as book:
        await book.add_transfer(part.id, sorted_bin.id, moved=Moved.MERGE)
        await book.close_bin(part.id, reason=CloseReason.MERGED, into=sorted_bin.id, note="too few to breed")
        await book.log("bin.merge", Subject("bin", sorted_bin.id))


async def _open_founded(records: Records, stamps: Stamps, trait: int) -> BinRow:
    async with records.write(stamps.next()) as book:
        opened = await book.add_bin(species_key="porcellio-laevis", name="ember line", note="back shelf, left")
        dams = await book.add_founder(
            opened.id, number=3, sex=Sex.FEMALE, origin="a swap in May", length_mm=Fraction(889, 50), described=True
        )
        await book.add_founder_state(dams, trait, State.POSSIBLE_HET, Fraction(2, 3))
        sires = await book.add_founder(opened.id, number=1, sex=Sex.MALE, described=True)
        await book.add_founder_state(sires, trait, State.VISUAL)
        await book.add_founder(opened.id, number=None, sex=Sex.UNKNOWN)
        await book.log("bin.open", Subject("bin", opened.id))
    return opened


async def _breed(records: Records, stamps: Stamps, origin: BinRow, place: BinRow, trait: int) -> None:
    """A pairing with its breeders, and a brood scored twice, some of it kept back."""
    async with records.write(stamps.next()) as book:
        dams = await book.add_breeders(sex=Sex.FEMALE, number=2, from_bin_id=origin.id, described=True)
        await book.add_breeder_state(dams, trait, State.POSSIBLE_HET, Fraction(1, 2))
        sire = await book.add_breeders(sex=Sex.MALE, number=1, from_bin_id=None, described=False, name="the odd one")
        pairing = await book.add_pairing(bin_id=place.id, trait_id=trait, note="quiet shelf", set_up_at=NOW)
        await book.put_in(pairing, dams, BreederRole.DAM, DamHistory.UNMATED)
        await book.put_in(pairing, sire, BreederRole.SIRE, None)
        await book.log("pairing.set_up", Subject("pairing", pairing))
    async with records.write(stamps.next()) as book:
        await book.set_gravid(pairing, NOW + timedelta(days=20))
        await book.log("pairing.gravid", Subject("pairing", pairing))
    async with records.write(stamps.next()) as book:
        await book.add_dated(
            kind=CareKind.PARENTS_OUT,
            bin_id=place.id,
            keeper_id=stamps.actor,
            channel_id=CHANNEL,
            about=Subject("pairing", pairing),
            day=date(2026, 7, 29),
            minute=18 * 60,
        )
        death = await book.add_death(place.id, note="soft, after a moult")
        await book.tell_death(death, 2, "soft, after a moult")
        await book.log("pairing.dated", Subject("pairing", pairing))
    async with records.write(stamps.next()) as book:
        young = NOW + timedelta(days=50)
        await book.set_young(pairing, young, young + timedelta(days=60), young + timedelta(days=100))
        await book.set_out(pairing, young + timedelta(days=5))
        await book.end_pairing(pairing, young + timedelta(days=6), "moulted badly")
        await book.log("pairing.ended", Subject("pairing", pairing))
    async with records.write(stamps.next()) as book:
        brood = await book.add_brood(
            bin_id=place.id,
            pairing_id=pairing,
            why=BroodReason.PLANNED,
            seen_on=young,
            born=30,
            dead=2,
            mothers=2,
            note="pale at first",
        )
        await book.log("brood.logged", Subject("brood", brood))
    for typed, sex, number in (("6 ember 17 wild", Sex.UNKNOWN, 6), ("7 ember females 16 wild", Sex.FEMALE, 7)):
        async with records.write(stamps.next()) as book:
            scoring = await book.add_scoring(
                brood, age_days=63, length_mm=Fraction(9, 2), unsure=3, unscored=0, typed=typed
            )
            await book.add_score(scoring, sex=sex, number=number, shown=(Shown(trait, Appearance.FULL),))
            await book.add_score(scoring, sex=Sex.UNKNOWN, number=23 - number, shown=())
            await book.log("brood.scored", Subject("scoring", scoring))


async def _find(records: Records, stamps: Stamps, place: BinRow, trait: int) -> int:
    """An odd animal, with all that can be said of one."""
    async with records.write(stamps.next()) as book:
        animal = await book.add_breeders(sex=Sex.FEMALE, number=1, from_bin_id=place.id, described=True)
        await book.add_breeder_state(animal, trait, State.VISUAL)
        find = await book.add_find(
            bin_id=place.id,
            trait_id=trait,
            breeders_id=animal,
            found_at=NOW - timedelta(days=1),
            stage=Stage.ADULT,
            pouch_filled=True,
            length_mm=Fraction(19, 2),
            moulted_at=NOW - timedelta(days=9),
            such=2,
            looked_at=60,
            sheen=False,
            slow=True,
            typed="female, pouch filled, 9.5 mm, 2 of 60",
            note="under the bark, right at the front",
        )
        await book.log("find.logged", Subject("find", find))
    return find


async def _photograph(records: Records, stamps: Stamps, place: BinRow, trait: int, find: int) -> int:
    """Three photos: of the bin, of the odd animal, and one of the trait that was removed again."""
    file = PhotoFile(Media.JPEG, 800, 600, "0" * 64, b"\xff\xd8 no picture, only bytes \x00\xff")
    async with records.write(stamps.next()) as book:
        photo = await book.add_photo(file, taken_at=NOW - timedelta(days=1), alternative="the bin", bin_id=place.id)
        await book.log("photo.filed", Subject("photo", photo))
    async with records.write(stamps.next()) as book:
        odd = await book.add_photo(file, taken_at=NOW, bin_id=place.id, find_id=find, trait_id=trait)
        await book.log("photo.filed", Subject("photo", odd))
    async with records.write(stamps.next()) as book:
        blurred = await book.add_photo(file, taken_at=NOW, alternative="blurred", trait_id=trait)
        await book.log("photo.filed", Subject("photo", blurred))
    async with records.write(stamps.next()) as book:
        await book.remove_photo(blurred)
        await book.log("photo.removed", Subject("photo", blurred))
    return odd


async def _guide(records: Records, stamps: Stamps, trait: int, photo: int) -> None:
    """A guide of one photo, and that photo scored blind."""
    entry = GuideEntry(photo, Call.SHOWS, 4, Stage.ADULT, Sex.FEMALE, moulted=True, caption="look at the edges")
    async with records.write(stamps.next()) as book:
        guide = await book.add_guide(trait, 1, [entry])
        await book.log("guide.changed", Subject("guide", guide))
    async with records.write(stamps.next()) as book:
        blind = await book.add_blind_set(trait, guide, [photo])
        await book.log("blind.opened", Subject("blind set", blind))
    async with records.write(stamps.next()) as book:
        (only,) = await book.blind_photos(blind)
        await book.answer_blind(blind, only.id, Call.NOT)
        await book.log("blind.answered", Subject("blind set", blind))
    async with records.write(stamps.next()) as book:
        await book.finish_blind([answer.id for answer in await book.blind_answers(blind)])
        await book.log("blind.finished", Subject("blind set", blind))


async def _weigh(records: Records, stamps: Stamps, trait: int) -> None:
    """A verdict stands, and a steward has set a prior."""
    async with records.write(stamps.next()) as book:
        await book.set_weighing(trait, {"v": 1, "priors": [], "spans": [["penetrance", "3/5", "1"]]})
        event = await book.log("trait.weighed", Subject("trait", trait))
        verdict = await book.add_verdict(
            trait,
            seq=event.seq,
            word="leaning",
            leader="recessive",
            posterior=Fraction(22, 25),
            sceptic=Fraction(7, 10),
            broods=1,
            young=23,
            body={"v": 1, "shares": [["recessive", "22/25"]], "default": False},
        )
    async with records.write(stamps.next()) as book:
        await book.follow(trait, CHANNEL)
        await book.log("trait.followed", Subject("trait", trait))
        followed = await book.followed(trait)
        if followed is not None:
            await book.tell_verdict(verdict, followed)


async def _ask_and_answer(records: Records, stamps: Stamps, task: int) -> None:
    """A ping goes out for the task and is answered; the next due date waits."""
    later = NOW + timedelta(hours=7)
    dispatch = records.dispatch()
    claimed = await dispatch.claim(now=later, real=later, holder="filling", lease=timedelta(hours=1), limit=100)
    for delivery in claimed:
        due = {item.task_id: item.due_at + timedelta(days=7) for item in delivery.items}
        await dispatch.sent(delivery, holder="filling", now=later, message_id=SERVER + 30, next_due=due)
    await dispatch.room_refused(SERVER, CHANNEL + 1, later)
    occurrence = await _asked(records, stamps, task)
    async with records.write(stamps.next(later)) as book:
        await book.finish_occurrence(occurrence.id)
        await book.log("care.done", Subject("task", task))


async def _asked(records: Records, stamps: Stamps, task: int) -> OccurrenceRow:
    async with records.read(stamps.server) as book:
        occurrence = await book.open_occurrence(task)
    if occurrence is None:
        raise LookupError(f"task {task} was not asked")
    return occurrence


async def _live(records: Records, stamps: Stamps, first: BinRow, second: BinRow) -> None:
    """The first bin was on hold once, and is in quarantine with the second as its backup; both got litter of one batch."""
    async with records.write(stamps.next(NOW + timedelta(days=4))) as book:
        held = await book.add_mark(first.id, MarkKind.HOLD, cause=HoldCause.BLUE_SHEEN, note="one looked violet")
        await book.add_mark(
            first.id,
            MarkKind.QUARANTINE,
            at=NOW + timedelta(days=3),
            until=NOW + timedelta(days=63),
            note="own tweezers",
        )
        await book.add_mark(second.id, MarkKind.LID_OFF)
        await book.log("bin.held", Subject("bin", first.id))
    async with records.write(stamps.next(NOW + timedelta(days=5))) as book:
        await book.end_mark(held)
        await book.add_look(first.id, clean=True, note="all moulted well")
        await book.log("bin.released", Subject("bin", first.id))
    async with records.write(stamps.next(NOW + timedelta(days=5))) as book:
        await book.add_backup(second.id, first.id)
        await book.log("bin.backup", Subject("bin", second.id))
    async with records.write(stamps.next(NOW + timedelta(days=6))) as book:
        await book.add_temperature(first.id, Fraction(200, 9))
        batch = await book.add_batch("oak of November", source="the copse by the mill", treatment="frozen for a week")
        await book.add_litter(first.id, batch)
        await book.add_litter(second.id, batch, NOW + timedelta(days=5))
        await book.log("bin.litter", Subject("bin", first.id))
