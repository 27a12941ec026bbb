"""Defining a trait."""

import pytest

from bot.records import Dominance
from bot.services.refusals import (
    NoSuchSpecies,
    Refusal,
    TakenBack,
    TextTooLong,
    TraitNotNamed,
    TraitTaken,
    WordNotKnown,
)
from bot.services.traits import define_trait
from bot.services.undo import undo
from tests.support.asking import ELSEWHERE, MOSS, Asking, again


async def test_a_trait_is_written_with_its_name_its_symbol_and_how_it_shows(asking: Asking) -> None:
    defined = await define_trait(
        asking.desk,
        asking.by(MOSS),
        name="  Pale   edge ",
        dominance="recessive",
        symbol="pe",
        species="Porcellio scaber",
    )
    row = defined.row
    assert (row.name, row.symbol, row.dominance) == ("Pale edge", "pe", Dominance.RECESSIVE)
    assert (row.species_key, row.author_id) == ("porcellio-scaber", MOSS)
    assert [e.seq for e in await asking.events()] == [defined.event]


async def test_symbols_are_the_shortest_free_beginnings_of_names_and_then_numbers(asking: Asking) -> None:
    names = ["ash", "aspen", "as", "aspect", "aspens", "🔥", "日"]
    chosen = [
        (await define_trait(asking.desk, asking.by(), name=name, dominance="recessive")).row.symbol for name in names
    ]
    assert chosen == ["a", "as", "t1", "asp", "aspe", "t2", "t3"]


@pytest.mark.parametrize(
    ("fields", "kind"),
    [
        ({"name": "EMBER", "dominance": "recessive"}, TraitTaken),
        ({"name": "coal", "dominance": "recessive", "symbol": "E"}, TraitTaken),
        ({"name": "coal", "dominance": "sometimes"}, WordNotKnown),
        ({"name": "coal", "dominance": "recessive", "symbol": "too long"}, TraitNotNamed),
        ({"name": "", "dominance": "recessive"}, TraitNotNamed),
        ({"name": "het", "dominance": "recessive"}, TraitNotNamed),
        ({"name": "coal", "dominance": "recessive", "species": "Porcelio"}, NoSuchSpecies),
        ({"name": "c" * 61, "dominance": "recessive"}, TextTooLong),
    ],
)
async def test_what_cannot_be_a_trait_is_refused_and_nothing_is_written(
    asking: Asking, fields: dict[str, str], kind: type[Refusal]
) -> None:
    await define_trait(asking.desk, asking.by(), name="ember", dominance="recessive", symbol="e")
    before = await asking.events()
    with pytest.raises(kind):
        await define_trait(asking.desk, asking.by(), **fields)
    assert await asking.events() == before


async def test_a_taken_symbol_is_refused_with_the_trait_that_holds_it(asking: Asking) -> None:
    await define_trait(asking.desk, asking.by(), name="ember", dominance="recessive", symbol="e")
    with pytest.raises(TraitTaken) as caught:
        await define_trait(asking.desk, asking.by(), name="coal", dominance="recessive", symbol="E")
    assert (caught.value.is_symbol, caught.value.holder, caught.value.text) == (True, "ember", "E")


async def test_servers_do_not_share_traits(asking: Asking) -> None:
    await define_trait(asking.desk, asking.by(), name="ember", dominance="recessive")
    there = await define_trait(asking.desk, asking.by(server=ELSEWHERE), name="ember", dominance="dominant")
    assert there.row.dominance is Dominance.DOMINANT


async def test_a_request_that_comes_again_defines_one_trait_and_answers_the_same(asking: Asking) -> None:
    request = asking.by()
    first = await define_trait(asking.desk, request, name="ember", dominance="recessive")
    await define_trait(asking.desk, asking.by(), name="frost", dominance="dominant")
    before = await asking.events()
    assert await define_trait(asking.desk, again(request), name="ember", dominance="recessive") == first
    assert await asking.events() == before


async def test_a_request_that_comes_again_after_its_undo_is_told_so(asking: Asking) -> None:
    request = asking.by()
    defined = await define_trait(asking.desk, request, name="ember", dominance="recessive")
    await undo(asking.desk, asking.by(), defined.event)
    with pytest.raises(TakenBack) as caught:
        await define_trait(asking.desk, again(request), name="ember", dominance="recessive")
    assert caught.value.what == "trait"


async def test_the_name_of_a_trait_that_was_taken_back_is_free_again(asking: Asking) -> None:
    defined = await define_trait(asking.desk, asking.by(), name="ember", dominance="recessive")
    await undo(asking.desk, asking.by(), defined.event)
    assert (await define_trait(asking.desk, asking.by(), name="ember", dominance="dominant")).row.symbol == "e"
