"""Species cards as a server has them, on both engines."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.records import SexSystem
from bot.services.bins import NewBin, open_bin
from bot.services.pairing_setup import NewPairing, set_up
from bot.services.pairings import young_seen
from bot.services.refusals import FigureNotRead, NoOwnCard, NoSuchSpecies, NothingSet, StewardsOnly, WordNotKnown
from bot.services.species import LIFE, SHARES, Confidence, shipped_species
from bot.services.species_cards import read_figure, reset_card, set_card, show_card
from bot.services.undo import undo
from tests.support.asking import ELSEWHERE, MOSS, WREN, Asking, again

SCABER = "Porcellio scaber"
GROUPS = {
    "Armadillidium vulgare": (15, 40, 100),
    "Porcellio scaber": (15, 40, 110),
    "Porcellionides pruinosus": (5, 20, 50),
    "Trichorhina tomentosa": (4, 8, 18),
    "Cubaris murina": (5, 12, 25),
}
"""Eggs in a brood of each of the five groups: the reviewed figures, of which only the first two rest on counts that were read."""


@pytest.mark.parametrize("card", shipped_species().cards, ids=lambda card: card.key)
def test_every_card_has_every_figure_in_order_with_how_sure_it_is_and_where_it_was_read(card: object) -> None:
    (found,) = [each for each in shipped_species().cards if each == card]
    assert tuple(sorted(found.figures)) == tuple(sorted(LIFE))
    for name, figure in found.figures.items():
        assert figure.low <= figure.usual <= figure.high
        assert figure.source
        assert figure.confidence is not Confidence.OWN
        assert figure.high <= 1 or name not in SHARES
        if "no source" in figure.source:
            assert figure.confidence in (Confidence.LOW, Confidence.MEDIUM)


@pytest.mark.parametrize(("name", "eggs"), GROUPS.items())
def test_the_five_groups_have_their_cards(name: str, eggs: tuple[int, int, int]) -> None:
    figure = shipped_species().named(name).figures["eggs"]
    assert (figure.low, figure.usual, figure.high) == eggs


def test_the_figures_of_a_card_agree_with_each_other() -> None:
    """Mancae in a brood are eggs times those that live; broods a year fit the days between them. Both only roughly."""
    for card in shipped_species().cards:
        eggs, live, mancae = (card.figures[name].usual for name in ("eggs", "live_share", "mancae"))
        assert Fraction(4, 5) < eggs * live / mancae < Fraction(6, 5), card.name
        year = card.figures["interval_days"].low * card.figures["broods_year"].high
        assert year < 400, card.name
        # 315/(22 - 11) days at 22 °C, which is P. scaber's, times the factor.
        factor, pouch = card.figures["pouch_factor"].usual, card.figures["pouch_days"].usual
        assert abs(factor * Fraction(315, 11) - pouch) < Fraction(3, 2), card.name


async def test_a_steward_sets_a_figure_for_this_server_alone_and_it_is_undone(asking: Asking) -> None:
    request = asking.by(WREN, steward=True)
    view = await set_card(
        asking.desk, request, species="porcellio scaber", figure="pouch_days", value="20-26-40", source="our own log"
    )
    figure = view.card.figures["pouch_days"]
    assert (figure.low, figure.usual, figure.high) == (20, 26, 40)
    assert (figure.confidence, figure.source, view.own) == (Confidence.OWN, "our own log", {"pouch_days"})
    repeated = await set_card(
        asking.desk, again(request), species=SCABER, figure="pouch_days", value="20-26-40", source="our own log"
    )
    assert repeated == view
    elsewhere = await show_card(asking.desk, asking.by(WREN, server=ELSEWHERE), SCABER)
    assert elsewhere.card == shipped_species().named(SCABER)
    await set_card(asking.desk, asking.by(WREN, steward=True), species=SCABER, sex="ZZ/ZW")
    both = await show_card(asking.desk, asking.by(MOSS), SCABER)
    assert (both.own, both.card.sex_system) == ({"pouch_days"}, SexSystem.ZW)
    assert view.event is not None
    await undo(asking.desk, asking.by(WREN), (await asking.events())[-1].seq)
    await undo(asking.desk, asking.by(WREN), view.event)
    assert (await show_card(asking.desk, asking.by(MOSS), SCABER)).card == shipped_species().named(SCABER)


async def test_a_card_goes_back_to_the_shipped_one_and_that_is_undone_too(asking: Asking) -> None:
    await set_card(asking.desk, asking.by(WREN, steward=True), species=SCABER, figure="eggs", value="33")
    back = await reset_card(asking.desk, asking.by(WREN, steward=True), SCABER)
    assert back.card == shipped_species().named(SCABER)
    assert back.event is not None
    await undo(asking.desk, asking.by(WREN, steward=True), back.event)
    assert (await show_card(asking.desk, asking.by(MOSS), SCABER)).card.figures["eggs"].usual == 33


async def test_what_a_steward_set_is_what_a_pairing_goes_by(asking: Asking) -> None:
    """Breeders come out before the first young can breed; set later, that day is later."""
    await open_bin(asking.desk, asking.by(WREN), NewBin(SCABER, animals="9", holds="wild"))
    new = NewPairing(dams="1 unmated from B-1", sires="1 from B-1")
    first = await set_up(asking.desk, asking.by(WREN), new)
    second = await set_up(asking.desk, asking.by(WREN), new)
    before = await young_seen(asking.desk, asking.by(WREN), f"P-{first.row.number}")
    value = "300-400-500"
    await set_card(asking.desk, asking.by(WREN, steward=True), species=SCABER, figure="first_brood_days", value=value)
    after = await young_seen(asking.desk, asking.by(WREN), f"P-{second.row.number}")
    assert before.row.parents_out_by is not None
    assert after.row.parents_out_by is not None
    assert after.row.parents_out_by > before.row.parents_out_by


async def test_what_cannot_be_set_is_refused_and_nothing_written(asking: Asking) -> None:
    steward = {"steward": True}
    with pytest.raises(StewardsOnly):
        await set_card(asking.desk, asking.by(WREN), species=SCABER, figure="eggs", value="3")
    with pytest.raises(StewardsOnly):
        await reset_card(asking.desk, asking.by(WREN), SCABER)
    with pytest.raises(NoSuchSpecies):
        await set_card(asking.desk, asking.by(WREN, **steward), species="Porcelio", figure="eggs", value="3")
    with pytest.raises(WordNotKnown):
        await set_card(asking.desk, asking.by(WREN, **steward), species=SCABER, figure="legs", value="14")
    with pytest.raises(WordNotKnown):
        await set_card(asking.desk, asking.by(WREN, **steward), species=SCABER, sex="by vote")
    with pytest.raises(FigureNotRead):
        await set_card(asking.desk, asking.by(WREN, **steward), species=SCABER, figure="eggs", value="many")
    with pytest.raises(NothingSet):
        await set_card(asking.desk, asking.by(WREN, **steward), species=SCABER)
    with pytest.raises(NoOwnCard):
        await reset_card(asking.desk, asking.by(WREN, **steward), SCABER)
    assert await asking.events() == []


@pytest.mark.parametrize(
    ("name", "typed", "meant"),
    [
        ("eggs", "30", (30, 30, 30)),
        ("eggs", "20-30-45", (20, 30, 45)),
        ("eggs", "20, 30, 45", (20, 30, 45)),
        ("eggs", "20 to 30 to 45", (20, 30, 45)),
        ("female_share", "30 %", (Fraction(3, 10),) * 3),
        ("female_share", "0.1-0.3-0.6", (Fraction(1, 10), Fraction(3, 10), Fraction(3, 5))),
        ("female_share", "10 % 30 % 60 %", (Fraction(1, 10), Fraction(3, 10), Fraction(3, 5))),
    ],
)
def test_figures_are_read_as_people_write_them(name: str, typed: str, meant: tuple[Fraction, ...]) -> None:
    figure = read_figure(name, typed, "")
    assert (figure.low, figure.usual, figure.high) == meant


@pytest.mark.parametrize(
    ("name", "typed"),
    [("eggs", ""), ("eggs", "1-2"), ("eggs", "3-2-1"), ("eggs", "-4"), ("eggs", "99999"), ("female_share", "1.2")],
)
def test_what_is_no_figure_is_refused(name: str, typed: str) -> None:
    with pytest.raises(FigureNotRead):
        read_figure(name, typed, "")


@given(
    st.lists(st.integers(0, 5000), min_size=3, max_size=3).map(sorted), st.sampled_from(["-", " ", ", ", " – ", " to "])
)
def test_figures_are_read_as_written(numbers: list[int], between: str) -> None:
    figure = read_figure("eggs", between.join(map(str, numbers)), "")
    assert [figure.low, figure.usual, figure.high] == numbers
