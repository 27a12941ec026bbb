"""From the book to the answer whether two traits are one: which records speak, and what keeps the answer back."""

from collections.abc import AsyncIterator
from dataclasses import replace
from textwrap import wrap

import pytest
from pytest_asyncio import fixture as async_fixture

from bot.cards.complementation import comparison_card, grounds_card
from bot.records import Records
from bot.services.bins import NewBin, open_bin
from bot.services.broods import NewBrood, log_brood
from bot.services.complementation import Answer, Comparison, Point, Step, compare_traits
from bot.services.holdbacks import keep_back
from bot.services.pairing_setup import NewPairing, set_up
from bot.services.refusals_complementation import OneTraitTwice, TwoSpeciesTraits
from bot.services.refusals_evidence import NothingToWeigh
from bot.services.refusals_traits import NoSuchTrait
from bot.services.trait_words import ModelText
from bot.services.traits import define_trait
from bot.workers import Workers
from genetics.evidence.complementation import Line, Loci
from tests.support.asking import ELSEWHERE, Asking, asking_of
from tests.support.screens import assert_card_fits


@async_fixture(scope="module")
async def workers() -> AsyncIterator[Workers]:
    """Worker processes that all tests here share: what they start with takes them a second."""
    workers = Workers()
    yield workers
    await workers.close()


async def two_lines(records: Records, workers: Workers) -> Asking:
    """Two traits of like look, each with a bin of those that show it."""
    asking = asking_of(records)
    asking = replace(asking, desk=replace(asking.desk, workers=workers))
    for name in ("ember", "frost"):
        await define_trait(asking.desk, asking.by(), name=name, dominance="recessive")
        bin_ = NewBin(species="Porcellio scaber", animals="30", holds=f"visual {name}")
        await open_bin(asking.desk, asking.by(), bin_)
    return asking


@async_fixture
async def lines(sqlite_records: Records, workers: Workers) -> Asking:
    """The two lines, where one engine is enough."""
    return await two_lines(sqlite_records, workers)


@async_fixture
async def lines_everywhere(records: Records, workers: Workers) -> Asking:
    """The two lines, once per engine."""
    return await two_lines(records, workers)


async def cross(asking: Asking, dams: str, sires: str, *scored: str) -> None:
    view = await set_up(asking.desk, asking.by(), NewPairing(dams=dams, sires=sires, species="Porcellio scaber"))
    for one in scored:
        await log_brood(asking.desk, asking.by(), NewBrood(of=view.code, scored=one))


async def compare(asking: Asking, first: str = "ember", second: str = "frost") -> Comparison:
    found = await compare_traits(asking.desk, asking.by(), first, second)
    card = comparison_card(found)
    for one in (card, grounds_card(found)):
        assert_card_fits(one)
        assert all(one.blocks)
    # The answer is a phone screen of some eighteen lines of forty columns, beside the buttons.
    said = "\n".join((card.lead, *card.blocks)).replace("*", "")
    assert sum(len(wrap(line, 40)) for line in said.split("\n")) <= 18
    return found


def held(found: Comparison, point: Point) -> list[bool | None]:
    return [one.held for one in found.condition(point)]


async def test_wild_looking_young_both_ways_of_unmated_dams_are_two_loci(lines: Asking) -> None:
    await cross(lines, "1 visual ember unmated", "1 visual frost", "12 wild, 9 weeks")
    one_way = await compare(lines)
    assert (one_way.answer, one_way.step) == (Answer.OPEN, (Step.RECIPROCAL, Line.SECOND))
    await cross(lines, "1 visual frost unmated", "1 visual ember", "5 wild, 9 weeks")
    few = await compare(lines)
    assert (few.answer, few.step) == (Answer.OPEN, (Step.MORE, Line.SECOND))
    await log_brood(lines.desk, lines.by(), NewBrood(of="P-2", scored="4 wild, 9 weeks"))
    found = await compare(lines)
    assert (found.answer, found.step) == (Answer.TWO, None)
    assert found.compared is not None
    assert found.compared.of(Loci.TWO) > 0.95
    assert found.compared.young == 21
    assert comparison_card(found).lead.startswith("**Not the same locus**: ember and frost are two traits")


async def test_breeders_out_of_a_bin_of_visuals_are_visuals(lines: Asking) -> None:
    await cross(lines, "1 unmated from B-1", "1 from B-2", "12 wild, 9 weeks")
    assert [(one.dam, one.wild) for one in (await compare(lines)).crosses] == [(Line.FIRST, 12)]


async def test_showing_young_are_one_locus_whichever_trait_they_were_scored_as(lines: Asking) -> None:
    await cross(lines, "1 visual ember unmated", "1 visual frost", "6 ember 5 frost 1 ember frost, 9 weeks")
    found = await compare(lines)
    assert found.answer is Answer.SAME
    assert [(one.wild, one.shown) for one in found.crosses] == [(0, 12)]
    assert comparison_card(found).lead.startswith("**The same locus**")


async def test_a_dam_that_was_not_unmated_proves_nothing(lines: Asking) -> None:
    await cross(lines, "1 visual ember had males", "1 visual frost", "20 wild, 9 weeks")
    await cross(lines, "1 visual frost had males", "1 visual ember", "20 wild, 9 weeks")
    found = await compare(lines)
    assert (found.answer, found.step) == (Answer.OPEN, (Step.UNMATED, Line.FIRST))
    assert held(found, Point.UNMATED) == [False]
    text = comparison_card(found).lead
    assert text.startswith("**Cannot tell yet**: the dams of P-1 and P-2 were not isolated unmated")


async def test_a_trait_that_is_no_recessive_is_named(lines: Asking) -> None:
    await define_trait(lines.desk, lines.by(), name="dusk", dominance="dominant")
    await cross(lines, "1 visual ember unmated", "1 homozygous dusk", "12 dusk, 9 weeks")
    found = await compare(lines, "ember", "dusk")
    assert held(found, Point.RECESSIVE) == [True, False]
    assert (found.answer, found.step) == (Answer.OPEN, None)
    assert "dusk is written down as dominant" in comparison_card(found).lead


async def test_a_trait_shown_in_one_sex_is_named(lines: Asking) -> None:
    model = ModelText(sex="females only")
    await define_trait(lines.desk, lines.by(), name="dusk", dominance="recessive", model=model)
    await cross(lines, "1 visual ember unmated", "1 visual dusk", "12 wild, 9 weeks")
    found = await compare(lines, "ember", "dusk")
    assert held(found, Point.ORDINARY) == [True, False]
    assert found.answer is Answer.OPEN


async def test_a_line_that_has_not_bred_true_is_named(lines: Asking) -> None:
    await cross(lines, "1 visual ember unmated", "1 visual frost", "12 frost, 9 weeks")
    await cross(lines, "1 visual frost unmated", "1 visual frost", "9 frost 3 wild, 9 weeks")
    found = await compare(lines)
    assert held(found, Point.TRUE) == [None, False]
    assert (found.answer, found.step) == (Answer.OPEN, (Step.TRUE, Line.SECOND))
    assert "frost has not bred true: wild-looking young in P-2" in comparison_card(found).lead


async def test_ages_that_nobody_wrote_down_are_named_and_too_young_ones_left_out(lines: Asking) -> None:
    late = ModelText(week="8")
    await define_trait(lines.desk, lines.by(), name="dusk", dominance="recessive", model=late)
    await cross(lines, "1 visual ember unmated", "1 visual dusk", "12 wild", "9 wild, 5 weeks")
    found = await compare(lines, "ember", "dusk")
    assert held(found, Point.AGE) == [None]
    assert found.condition(Point.AGE)[0].codes == ("P-1.1",)
    assert [code for code, _ in found.omitted] == ["P-1.2"]
    assert found.crosses[0].wild == 12


async def test_a_second_generation_speaks_too(lines_everywhere: Asking) -> None:
    """Wild-looking young of a dam that had males: their own young tell two loci from stored sperm."""
    lines = lines_everywhere
    await cross(lines, "1 visual ember had males", "1 visual frost", "20 wild females, 20 wild males, 9 weeks")
    before = await compare(lines)
    await keep_back(lines.desk, lines.by(), brood_text="P-1.1", keep_text="2 wild females, 2 wild males")
    await cross(lines, "2 unmated wild from B-4", "2 wild from B-4", "45 wild 20 ember 15 frost, 9 weeks")
    after = await compare(lines)
    assert before.compared is not None
    assert after.compared is not None
    assert after.compared.young == 120
    assert after.compared.of(Loci.TWO) > max(0.95, before.compared.of(Loci.TWO))
    assert after.answer is Answer.OPEN, "the dam was not unmated, and it was crossed one way only"


async def test_before_any_cross_the_first_one_is_asked_for(lines: Asking) -> None:
    await cross(lines, "1 visual ember unmated", "1 wild", "9 wild, 9 weeks")
    found = await compare(lines)
    assert (found.answer, found.compared, found.step) == (Answer.OPEN, None, (Step.FIRST, Line.FIRST))
    card = comparison_card(found)
    assert card.lead == "**Cannot tell yet**: no visual ember was paired with a visual frost in this book."
    assert "/pair setup dams:1 visual ember unmated" in card.blocks[0]


async def test_what_cannot_be_compared_is_refused(lines: Asking) -> None:
    by = lines.by()
    with pytest.raises(OneTraitTwice):
        await compare_traits(lines.desk, by, "ember", "Ember")
    with pytest.raises(NoSuchTrait):
        await compare_traits(lines.desk, by, "ember", "embr")
    with pytest.raises(NothingToWeigh):
        await compare_traits(lines.desk, by, "ember", "frost")
    for name, species in (("dusk", "Porcellio scaber"), ("fog", "Armadillidium vulgare")):
        await define_trait(lines.desk, lines.by(), name=name, dominance="recessive", species=species)
    with pytest.raises(TwoSpeciesTraits):
        await compare_traits(lines.desk, by, "dusk", "fog")


async def test_another_server_sees_none_of_it(lines_everywhere: Asking) -> None:
    lines = lines_everywhere
    await cross(lines, "1 visual ember unmated", "1 visual frost", "12 frost, 9 weeks")
    for name in ("ember", "frost"):
        await define_trait(lines.desk, lines.by(server=ELSEWHERE), name=name, dominance="recessive")
    with pytest.raises(NothingToWeigh):
        await compare_traits(lines.desk, lines.by(server=ELSEWHERE), "ember", "frost")
