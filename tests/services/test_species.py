"""The species cards that come with the bot, and finding one by what was typed."""

import pytest

from bot.records import SexSystem
from bot.services.refusals import NoSuchSpecies
from bot.services.species import shipped_species

SPECIES = shipped_species()


@pytest.mark.parametrize("card", SPECIES.cards, ids=lambda card: card.key)
def test_every_figure_of_a_card_names_where_it_was_read(card: object) -> None:
    (found,) = [c for c in SPECIES.cards if c is card]
    assert found.sex_system_source
    assert found.longest_source
    assert 1 <= found.longest_mm <= 60
    genus, epithet = found.name.split()
    assert found.key == f"{genus}-{epithet}".casefold()
    assert SPECIES.of(found.key) is found


def test_sex_is_inherited_as_the_sources_say_and_is_unknown_where_none_was_read() -> None:
    """A. vulgare: Rigaud, Juchault & Mocquard, abstract. A. nasatum: Becking et al. 2019, PLoS Biology 17:e3000438."""
    systems = {card.key: card.sex_system for card in SPECIES.cards}
    assert systems["armadillidium-vulgare"] is SexSystem("ZZ/ZW")
    assert systems["armadillidium-nasatum"] is SexSystem("XX/XY")
    assert systems["porcellio-scaber"] is SexSystem("unknown")
    assert systems["trichorhina-tomentosa"] is SexSystem("thelytokous")


def test_no_two_cards_share_a_key_or_a_name() -> None:
    assert len({card.key for card in SPECIES.cards}) == len({card.name for card in SPECIES.cards}) == len(SPECIES.cards)


@pytest.mark.parametrize("text", ["Porcellio scaber", "porcellio scaber", " PORCELLIO SCABER ", "porcellio-scaber"])
def test_a_species_is_found_by_its_name_in_any_case(text: str) -> None:
    assert SPECIES.named(text).key == "porcellio-scaber"


@pytest.mark.parametrize(
    ("text", "near"),
    [
        ("scaber", "Porcellio scaber"),
        ("Porcelio scaber", "Porcellio scaber"),
        ("armadillidium", "Armadillidium vulgare"),
        ("Armadilidium vulgaris", "Armadillidium vulgare"),
    ],
)
def test_a_part_or_a_slip_of_a_name_is_answered_with_the_species(text: str, near: str) -> None:
    with pytest.raises(NoSuchSpecies) as caught:
        SPECIES.named(text)
    assert caught.value.text == text
    assert near in caught.value.nearest
    assert len(caught.value.nearest) == len(set(caught.value.nearest)) <= 3


@pytest.mark.parametrize("text", ["", "  ", "moss", "@everyone"])
def test_what_is_like_no_species_has_no_nearest_one(text: str) -> None:
    with pytest.raises(NoSuchSpecies) as caught:
        SPECIES.named(text)
    assert caught.value.nearest == ()


def test_a_key_that_the_book_cannot_hold_is_a_fault_and_no_refusal() -> None:
    with pytest.raises(KeyError, match="porcellio-nemo"):
        SPECIES.of("porcellio-nemo")


def test_species_are_offered_by_any_part_of_their_name() -> None:
    assert SPECIES.matching("armad") == ("Armadillidium maculatum", "Armadillidium nasatum", "Armadillidium vulgare")
    assert SPECIES.matching("SCABER") == ("Porcellio scaber",)
    assert set(SPECIES.matching("")) == {card.name for card in SPECIES.cards}
    assert SPECIES.matching("moss") == ()
