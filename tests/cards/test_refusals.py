"""Every refusal has its sentence, and every sentence says what would do instead."""

import importlib
import pkgutil
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

import bot.services
from bot.cards import refusals as cards
from bot.cards.card import Tone
from bot.cards.ids import LONGEST_ARGUMENT
from bot.cards.render import pages
from bot.services import refusals as r
from bot.services.refusals import BinLabel, CountProblem, Refusal
from bot.services.refusals_bins import CountUnclear
from bot.services.refusals_crosses import CannotCome, LookNotOwn, NoneOfThatSex, NoRecombination, ParentsApart, Unsuited
from bot.services.refusals_traits import (
    CrossNotPossible,
    DaughtersDecided,
    LooksNotRead,
    ModelNotPossible,
    NoSuchTrait,
    Related,
    ShareNotRead,
    TraitTextNotRead,
    Uneven,
)
from bot.services.tally import read_tally
from genetics import (
    CrossFault,
    CrossRefused,
    GeneticsError,
    ModelFault,
    ModelRefused,
    NeverHappens,
    NotationError,
    OutOfRange,
    Problem,
    Role,
    TooLarge,
    Trait,
    TraitFault,
    TraitRefused,
    read_cross,
)
from tests.support import refusals_bins
from tests.support.crosses import BOOK
from tests.support.genetic_strategies import is_code, scribbles
from tests.support.markup import live_marks
from tests.support.refused_breeding import SAID as SAID_OF_BREEDING
from tests.support.refused_complementation import SAID as SAID_OF_COMPLEMENTATION
from tests.support.refused_evidence import SAID as SAID_OF_EVIDENCE
from tests.support.refused_finds import SAID as SAID_OF_FINDS
from tests.support.refused_guides import SAID as SAID_OF_GUIDES
from tests.support.refused_kinship import SAID as SAID_OF_KINSHIP
from tests.support.refused_labels import SAID as SAID_OF_LABELS
from tests.support.refused_marks import SAID as SAID_OF_MARKS
from tests.support.refused_photos import SAID as SAID_OF_PHOTOS
from tests.support.screens import assert_card_fits

B14 = BinLabel("B-14", "ember F2")
LOST_X = NotationError("het ember xx wild", 10, 2, Problem.REPEATED_TIMES, suggestion="het ember x wild")
UNKNOWN = NotationError("het zzz", 4, 3, Problem.UNKNOWN_TRAIT)
NAMES = tuple(trait.name for trait in BOOK)


def trait_fault(field: str, value: str, fault: TraitFault, culprit: str) -> r.TraitNotNamed:
    return r.TraitNotNamed(value, value, TraitRefused(field, value, fault, culprit))


SAID: list[tuple[Refusal, str]] = [
    *refusals_bins.SAID,
    (r.NoSuchBin("B-41", (B14,)), "No bin B\\-41 here. Did you mean B-14 (ember F2)?"),
    (r.NoSuchBin("B-41"), "Type the code on its lid"),
    (r.NoSuchBin(""), "Type its code, like B-3."),
    (r.NoSuchSpecies("scabber", ("Porcellio scaber",)), "Did you mean Porcellio scaber?"),
    (r.NoSuchSpecies("moss"), "pick one of the names offered"),
    (r.NoSuchZone("Lisbo", ("Europe/Lisbon",)), "Did you mean Europe/Lisbon?"),
    (r.NoSuchZone("moss"), "Type a continent and city, like Europe/Lisbon."),
    (r.CrossNotRead(LOST_X), "`het ember ⟪xx⟫ wild` – sides are joined by one `x`"),
    (r.HoldingNotRead(UNKNOWN, NAMES), "I can't read the animals at the mark: `het ⟪zzz⟫`"),
    (r.CountNotRead("lots", CountProblem.NO_NUMBER), "no number in `lots`. Type one, like 40"),
    (r.CountNotRead("4.5", CountProblem.NOT_WHOLE), "not a whole number of animals. Type one"),
    (r.CountNotRead("-3", CountProblem.NEGATIVE), "below zero. Type how many"),
    (r.CountNotRead("10000000", CountProblem.TOO_MANY, most=100_000), "Type at most 100,000"),
    (r.CountNotRead("40 adults", CountProblem.LEFT_OVER, "adults"), "can't read `adults` in `40 adults`. Type numbers"),
    (
        r.ObservedNotRead("6 embrr, 17 wild", "embrr", ("ember",)),
        "I can't read `embrr` as young of this cross. Type each number with its look, like `6 ember, 17 wild`.",
    ),
    (r.ObservedNotRead("6 ember", "ember", ()), "this cross names no trait, so its young can only be wild. Type"),
    (
        r.ObservedNotRead("6 dusk", "dusk", ("dusk",), doses=True),
        "with one dose or with two? Type `6 het dusk` for one dose, `3 super dusk` for two.",
    ),
    (r.LengthNotRead("long"), "Type a number and a unit, like 1.2 cm"),
    (r.DaysNotRead("someday"), "Type them like Monday, Mon and Thu, every 3 days, or 1st and 15th"),
    (r.DateNotRead("someday"), "is no day I can read. Type it like tomorrow, Friday, 3 Dec, or in 2 weeks."),
    (r.DateNotRead("3 Dec 2020", past=True), "is past. Type a day to come, like Friday, 3 Dec or in 2 weeks."),
    (r.NoSuchShelf("window", ("by the window", "attic")), "Your shelves: by the window or attic."),
    (r.NoSuchShelf("window"), "Put a bin on one with `/bin move`."),
    (r.NoSuchTask(), "`/care list` shows those you have."),
    (r.NotAway(), "You are not away."),
    (r.TaskThere(None), "That has that task already, on that day at that time."),
    (r.TimeNotRead("evening"), "Type it like 18:00 or 6pm"),
    (
        r.WordNotKnown("care task", "wash", ("moisture", "leaf litter", "recount")),
        "Type moisture, leaf litter or recount.",
    ),
    (r.ParentsNotRead("B-1 B-2", "B-1 B-2"), "Type one bin, like B-1, or"),
    (r.TextTooLong("name", 72, 60), "72 characters; I take 60. Please shorten"),
    (r.TraitTaken("Ember", False, "ember"), "The name `Ember` is taken already. Use that one, or choose another name."),
    (r.TraitTaken("e", True, "ember"), "The symbol `e` belongs to ember already. Choose another symbol"),
    (trait_fault("name", "", TraitFault.EMPTY, ""), "needs a name, like ember"),
    (trait_fault("name", "m" * 72, TraitFault.TOO_LONG, "m" * 12), "12 characters too long; use at most 60"),
    (trait_fault("name", "a/b", TraitFault.CHARACTER, "/"), "cannot hold `/`. Leave it out"),
    (trait_fault("name", "het blue", TraitFault.WORD, "het"), "`het` means something in a cross"),
    (trait_fault("symbol", "x", TraitFault.WORD, "x"), "`x` cannot be a gene symbol. Type one to four letters"),
    (trait_fault("symbol", "12", TraitFault.SYMBOL, "12"), "`12` cannot be a gene symbol. Type one to four letters"),
    (trait_fault("name", "12", TraitFault.SYMBOL, "12"), "Choose another"),
    (r.TraitNotNamed("moss", "m", GeneticsError()), "cannot be a trait's name. Choose another"),
    (
        r.TwoSpecies("Porcellio laevis", "Porcellio scaber"),
        "*Porcellio laevis* and *Porcellio scaber* are different species. Choose bins of one species.",
    ),
    (
        r.TraitOfAnother("dusk*", "Porcellio laevis", "Porcellio scaber"),
        "dusk\\* stands in the book as a trait of *Porcellio laevis*, and this is *Porcellio scaber*. If it is another "
        "trait, define it under another name",
    ),
    (r.TaskThere(B14), "B-14 (ember F2) has that task already, on that day at that time. Choose another day or time"),
    (r.NoRoomToPost(), "Ask me in a room where I may, or ask a steward to let me."),
    (r.NothingStated(B14), "does not say what lives in B-14 (ember F2). Type it out instead of the code"),
    (
        r.MixedStated(B14, (("het ember", 3), ("visual ember", None))),
        "different animals: het ember (3) and visual ember. The book does not say how many of each. Type the kind you mean "
        "instead of the code, or all with their numbers",
    ),
    (NoneOfThatSex(B14, Role.DAM), "founded with males only, so no dam comes from it. Name it second, as the sire"),
    (NoneOfThatSex(B14, Role.SIRE), "founded with females only, so no sire comes from it. Name it first, as the dam"),
    (
        CannotCome("ember full, frost wild"),
        "No such animal comes of that cross: ember showing, frost not showing. Check",
    ),
    (LookNotOwn("ember"), "Type what the animal carries instead, like `het ember`."),
    (NoRecombination(Unsuited.PARENTS, "het ember x wild"), "one parent must be het for both traits"),
    (ParentsApart(), "Ask about each dam's brood by itself"),
    (r.TooCostly(TooLarge("traits in one question", 6, 5, 5, "traits")), "at most 5 traits. Ask in parts."),
    (r.TooCostly(OutOfRange("young to see", "more than 100000", "1", "100000")), "Ask with fewer traits."),
    (CrossNotPossible(CrossRefused(CrossFault.CLONAL_MALE, "sire"), "Trichorhina tomentosa"), "the mother alone"),
    (CrossNotPossible(NeverHappens("young that live")), "See `/trait show`."),
    (CrossNotPossible(CrossRefused(CrossFault.SEX_UNKNOWN, "ember"), "Porcellio scaber"), "`species:`"),
    (
        CrossNotPossible(CrossRefused(CrossFault.NOT_PASSED, "ember", "dam to female")),
        "A daughter does not get ember",
    ),
    (DaughtersDecided("XX/XY", "Armadillidium nasatum"), "Leave `daughters:` out"),
    (ModelNotPossible(OutOfRange("penetrance", "3/2", "0", "1")), "it lies between 0 and 1"),
    (ModelNotPossible(ModelRefused("ember", ModelFault.RECOMBINATION, "3/5")), "recombination of 60 % cannot be"),
    (ShareNotRead("penetrance", "some"), "Type it like 70 %, 0.7 or 7 in 10."),
    (ShareNotRead("recombination", "20"), "Type it like 20 cM, 20 % or 2 in 10."),
    (ShareNotRead("penetrance", "170 %", over=True), "Type less, like 70 %."),
    (NoSuchTrait("embr", ("ember",)), "Did you mean ember?"),
    (NoSuchTrait("zzz"), "`/trait list` shows all"),
    (NoSuchTrait(""), "Type its name, like ember."),
    (TraitTextNotRead("age in weeks", "soon", "soon"), "Type a whole number, like 8."),
    (TraitTextNotRead("survival", "some die", "some die"), "Type it like `two copies lethal`"),
    (Related("linked", ("ember", "ink")), "ember and ink are linked already. Part them first, with `/trait part`."),
    (Related("series", ("ember", "ink")), "are alleles of one locus already"),
    (Related("together", ("ember", "ink")), "make a look together already"),
    (Related("several", ("linked (4)", "together (5)")), "Pick one of those offered while you type."),
    (LooksNotRead("ember ghost", "ember ghost"), "end with `else = wild`"),
    (LooksNotRead("a, b, c, d", "c, d", most=3), "Leave out c, d."),
    (Uneven("ember", "coat"), "`/trait change` ember first, or part them."),
    (r.Outlived("relation"), "`/trait list` shows which do"),
    (r.NotYours("bin", "Wren"), "belongs to Wren. Ask them, or a steward."),
    (r.NotYours("bin", ""), "belongs to another keeper. Ask them"),
    (r.NotYourChange("Wren"), "done by Wren. Ask them to undo it, or a steward."),
    (r.NotYourChange(""), "done by another keeper. Ask them"),
    (r.NotYours("bin", "Wren", stewards=False), "belongs to Wren. Ask them."),
    (r.StewardsOnly("change the server's settings"), "Only stewards, who may manage this server, can change"),
    (r.KeepsAlready(r.BinLabel("B-3", "ember"), "Moss"), "Moss keeps B-3 (ember) already."),
    (r.KeepsNot(r.BinLabel("B-3"), "Moss"), "Moss is no co-keeper of B-3."),
    (r.QuietNotRead("night"), "`night` as quiet hours. Type when they begin and end, like 22:00-07:00, or off."),
    (r.PrefixNotTaken("12", most=8), "can't begin with `12`. Type letters, at most 8"),
    (r.NothingSet(), "nothing to change"),
    (r.FigureNotRead("lots", share=False), "I can't read `lots` as a figure. Type the usual one"),
    (r.FigureNotRead("lots", share=True), "like 0.3, 30 % or 0.1-0.3-0.6"),
    (r.NoOwnCard("Porcellio scaber"), "no card of its own for *Porcellio scaber*"),
    (r.NoZoneYet(), "as a continent and city: Europe/Lisbon"),
    (r.ServersOnly(), "Ask me there."),
    (r.Superseded(), "A newer ping asks for that. Answer the newest one."),
    (r.Outlived("ping"), "it was answered, or its task was taken back. To log a count, type `/count log`"),
    (r.Outlived("button"), "Type the command again."),
    (r.Outlived("draft"), "over a day old, it was used already, or another person typed it. Type the command again."),
    (r.TakenBack("count"), "type the command again"),
    (r.NothingToUndo(), "`/records audit` lists them"),
    (r.ChangedSince(), "Undo the later one first."),
    (r.BuiltUpon(), "Undo the later thing first."),
    *SAID_OF_BREEDING,
    *SAID_OF_COMPLEMENTATION,
    *SAID_OF_EVIDENCE,
    *SAID_OF_FINDS,
    *SAID_OF_GUIDES,
    *SAID_OF_KINSHIP,
    *SAID_OF_LABELS,
    *SAID_OF_PHOTOS,
    *SAID_OF_MARKS,
]


def kinds_under(kind: type[Refusal]) -> Iterator[type[Refusal]]:
    for below in kind.__subclasses__():
        yield below
        yield from kinds_under(below)


def every_kind() -> set[type[Refusal]]:
    for module in pkgutil.walk_packages(bot.services.__path__, "bot.services."):
        importlib.import_module(module.name)
    return {kind for kind in kinds_under(Refusal) if kind.__module__.startswith("bot.")}


def test_every_refusal_has_a_sentence() -> None:
    assert every_kind() <= set(cards.worded())


def test_a_refusal_without_a_sentence_is_found_out() -> None:
    class Unworded(Refusal):
        pass

    with pytest.raises(NotImplementedError, match="Unworded"):
        cards.lead(Unworded())


def test_every_kind_and_every_reason_has_its_sample_here() -> None:
    assert {type(refusal) for refusal, _ in SAID} == every_kind()
    assert {s.problem for s, _ in SAID if isinstance(s, r.CountNotRead)} == set(CountProblem)
    named = [s.error for s, _ in SAID if isinstance(s, r.TraitNotNamed) and isinstance(s.error, TraitRefused)]
    assert {error.fault for error in named} == set(TraitFault)


@pytest.mark.parametrize(("refusal", "instead"), SAID, ids=lambda value: type(value).__name__)
async def test_a_refusal_says_what_to_do_instead(refusal: Refusal, instead: str) -> None:
    card = cards.card(refusal, {}, None)
    assert instead in "\n".join((card.lead, *card.blocks))
    assert (card.tone, card.private) == (Tone.REFUSAL, True)
    assert len(card.lead) <= 300
    assert_card_fits(card)


@pytest.mark.parametrize(("refusal", "_"), SAID, ids=lambda value: type(value).__name__)
async def test_what_was_typed_is_shown_and_can_be_edited(refusal: Refusal, _: str) -> None:
    card = cards.card(refusal, {"bin": "B-3", "count": "40 adults", "note": "under ```the``` bark"}, draft=12)
    assert "bin: B-3\ncount: 40 adults\nnote: under ˋˋˋtheˋˋˋ bark" in card.blocks[-1]
    assert [(b.label, b.verb, b.argument) for b in card.buttons][-1] == ("Edit", "draft.edit", "12")
    assert_card_fits(card)


async def test_each_bin_that_may_be_meant_is_a_button_where_nothing_was_filled_in() -> None:
    near = (B14, BinLabel("B-4"), BinLabel("B-1", "*old*"))
    card = cards.card(r.NoSuchBin("B-41", near), {}, None)
    assert [(b.label, b.verb, b.argument) for b in card.buttons] == [
        ("Show B-14", "bin.show", "B-14"),
        ("Show B-4", "bin.show", "B-4"),
        ("Show B-1", "bin.show", "B-1"),
    ]
    assert_card_fits(card)
    assert cards.card(r.NoSuchBin("B-41"), {}, None).buttons == ()
    filled_in = cards.card(r.NoSuchBin("B-41", near), {"bin": "B-41", "count": "40"}, draft=12)
    assert [b.label for b in filled_in.buttons] == ["Edit"]


def test_a_short_cross_is_not_shown_a_second_time_below_its_mark() -> None:
    card = cards.card(r.CrossNotRead(LOST_X), {"cross": "het ember xx wild"}, draft=12)
    assert not any("You typed" in block for block in card.blocks)
    assert [b.label for b in card.buttons] == ["Use that", "Edit"]


def test_use_that_asks_the_corrected_cross() -> None:
    (use, _) = cards.card(r.CrossNotRead(LOST_X), {}, draft=12).buttons
    assert (use.verb, use.argument) == ("odds.ask", "=het ember x wild")


def test_a_corrected_cross_is_no_button_where_it_would_lose_what_was_seen() -> None:
    typed = {"cross": "het ember xx wild", "observed": "17 wild"}
    card = cards.card(r.CrossNotRead(LOST_X), typed, draft=12)
    assert [b.label for b in card.buttons] == ["Edit"]
    assert "het ember x wild" in "\n".join((card.lead, *card.blocks))


def test_where_only_the_keeper_knows_each_reading_is_a_button() -> None:
    with pytest.raises(NotationError) as caught:
        read_cross("dusk x wild", BOOK)
    card = cards.card(r.CrossNotRead(caught.value), {}, None)
    assert [b.label for b in card.buttons] == ["het dusk x wild", "homozygous dusk x wild"]


def test_a_correction_too_long_for_a_button_is_only_shown() -> None:
    long = "het ember, het frost, het pale x visual ember, visual frost, wild"
    error = NotationError(long, 0, 3, Problem.STRAY, suggestion=long)
    card = cards.card(r.CrossNotRead(error), {}, None)
    assert card.buttons == ()
    assert long in card.blocks[0]


@given(scribbles())
async def test_whatever_is_typed_for_a_cross_its_refusal_fits_and_its_corrections_are_read(text: str) -> None:
    try:
        read_cross(text, BOOK, is_code)
    except NotationError as error:
        card = cards.card(r.CrossNotRead(error, NAMES), {"cross": text}, draft=7)
        assert_card_fits(card)
        assert all(len(button.argument) <= LONGEST_ARGUMENT for button in card.buttons)
        for button in card.buttons[:-1]:
            read_cross(button.argument.removeprefix("="), BOOK, is_code)


PIECES = st.lists(
    st.one_of(st.text(max_size=20), st.sampled_from(["@everyone ", "# big\n", "```\n", "`", "<@1>", "🐚", "\\"]))
)


def of_text(text: str) -> list[Any]:
    """Refusals that say back what a person typed, however much of it."""
    label = BinLabel("B-14", text[:60])
    return [
        r.NoSuchBin(text, (label, label, label)),
        r.NoSuchSpecies(text),
        r.NoSuchZone(text),
        r.CountNotRead(text, CountProblem.LEFT_OVER, text),
        CountUnclear(text, (text, text[:20])),
        r.ObservedNotRead(text, text, (text[:60],)),
        r.ObservedNotRead(text, text, (text[:60],), doses=True),
        r.LengthNotRead(text),
        r.TimeNotRead(text),
        r.DaysNotRead(text),
        r.DateNotRead(text),
        r.DateNotRead(text, past=True),
        r.NoSuchShelf(text, (text,) * 40),
        r.WordNotKnown("care task", text, ("moisture",)),
        r.ParentsNotRead(text, text),
        r.TraitTaken(text, True, text[:60]),
        r.TraitNotNamed(text, text, TraitRefused("name", text, TraitFault.CHARACTER, text)),
        r.MixedStated(label, ((text, 3),) * 30),
        NoneOfThatSex(label, Role.DAM),
        CannotCome(text),
        *(NoRecombination(why, text) for why in Unsuited),
        r.NotYours("bin", text[:32]),
        r.TraitOfAnother(text[:60], "Porcellio laevis", "Porcellio scaber"),
        r.TaskThere(label),
        r.CrossNotRead(
            NotationError(text, len(text) // 2, 3, Problem.UNKNOWN_TRAIT, suggestion=text + "x", offers=(text + "y",)),
        ),
        r.HoldingNotRead(NotationError(text, 0, 3, Problem.UNKNOWN_TRAIT), (text[:60],) * 40),
    ]


@given(PIECES, st.integers(1, 300))
async def test_nothing_that_was_typed_works_in_the_refusal_of_it(pieces: list[str], times: int) -> None:
    text = "".join(pieces) * times
    for refusal in of_text(text):
        card = cards.card(refusal, {"bin": text, "note": text}, draft=7)
        (page,) = pages(card)
        # The names of species are the bot's own, and set as such names are.
        own = page.replace("*Porcellio laevis*", "").replace("*Porcellio scaber*", "")
        assert live_marks(own) == [], type(refusal).__name__
        assert_card_fits(card)


def test_counts_are_refused_in_the_words_of_what_was_typed() -> None:
    with pytest.raises(r.CountNotRead) as caught:
        read_tally("40 adults and 12 mancae")
    said = cards.card(caught.value, {}, None).lead
    assert said == (
        "I can't read `adults and 12 mancae` in `40 adults and 12 mancae`. Type numbers with adults, juveniles, mancae, males, "
        "females, wild or a trait, like `12 adults, 30 juveniles`; the rest goes into the note."
    )


def test_a_trait_refused_by_the_science_is_refused_in_words() -> None:
    for name, symbol in (("het blue", "b"), ("blue", "x"), ("blue, pale", "b"), ("m" * 61, "m")):
        with pytest.raises(TraitRefused) as caught:
            Trait(name, symbol, BOOK[0].dominance)
        assert cards.lead(r.TraitNotNamed(name, symbol, caught.value))
