"""Defining a trait."""

from fractions import Fraction
from typing import Any

import pytest

from bot.records import Dominance
from bot.services.refusals import (
    NoSuchSpecies,
    NotYours,
    Refusal,
    TakenBack,
    TextTooLong,
    TraitNotNamed,
    TraitTaken,
    WordNotKnown,
)
from bot.services.refusals_traits import ModelNotPossible, NoSuchTrait, ShareNotRead
from bot.services.trait_models import TraitModel, Vigour
from bot.services.trait_words import ModelText
from bot.services.traits import (
    change_trait,
    choose_trait,
    choose_traits,
    define_trait,
    list_traits,
    record_instead,
    show_trait,
)
from bot.services.undo import undo
from genetics import Sex, Where
from tests.support.asking import ELSEWHERE, MOSS, WREN, Asking, again


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


async def test_a_trait_is_defined_with_all_that_is_known_of_it(asking: Asking) -> None:
    text = ModelText(place="X or Z", penetrance="70 %", phenocopies="2 %", week="8", survival="two copies lethal")
    view = await define_trait(asking.desk, asking.by(), name="ember", dominance="dominant", model=text)
    wanted = TraitModel(Where.SHARED, Fraction(7, 10), Fraction(1, 50), None, 8, (Vigour(2, Fraction(0)),))
    assert view.model == wanted
    assert view.trait.locus.where is Where.SHARED
    assert (await show_trait(asking.desk, asking.by(MOSS), "Ember")).model == wanted
    (listed,) = await list_traits(asking.desk, asking.by(MOSS))
    assert (listed.row, listed.model) == (view.row, wanted)


async def test_a_change_leaves_what_is_not_named_and_can_be_taken_back(asking: Asking) -> None:
    text = ModelText(penetrance="70 %", week="8")
    await define_trait(asking.desk, asking.by(), name="ember", dominance="recessive", symbol="e", model=text)
    before = await show_trait(asking.desk, asking.by(), "ember")
    changed = await change_trait(
        asking.desk,
        asking.by(),
        name="EMBER",
        dominance="dominant",
        symbol="em",
        species="Porcellio scaber",
        model=ModelText(penetrance="always"),
    )
    assert changed.changed
    assert (changed.row.dominance, changed.row.symbol, changed.row.species_key) == (
        Dominance.DOMINANT,
        "em",
        "porcellio-scaber",
    )
    assert changed.model == TraitModel(week=8)
    assert (await change_trait(asking.desk, asking.by(), name="em", species="Any")).row.species_key is None
    assert (await change_trait(asking.desk, asking.by(), name="em", symbol="q")).row.species_key is None
    assert changed.event is not None
    for seq in (changed.event + 2, changed.event + 1, changed.event):
        await undo(asking.desk, asking.by(), seq)
    assert await show_trait(asking.desk, asking.by(), "ember") == before


async def test_the_same_change_twice_is_one(asking: Asking) -> None:
    await define_trait(asking.desk, asking.by(), name="ember", dominance="recessive")
    request = asking.by()
    first = await change_trait(asking.desk, request, name="ember", dominance="dominant")
    events = await asking.events()
    assert await change_trait(asking.desk, again(request), name="ember", dominance="dominant") == first
    assert await asking.events() == events


async def test_only_who_defined_a_trait_and_stewards_change_it(asking: Asking) -> None:
    await define_trait(asking.desk, asking.by(WREN), name="ember", dominance="recessive")
    with pytest.raises(NotYours) as caught:
        await change_trait(asking.desk, asking.by(MOSS), name="ember", dominance="dominant")
    assert (caught.value.what, caught.value.keeper_name) == ("trait ember", "Wren")
    await change_trait(asking.desk, asking.by(MOSS, steward=True), name="ember", dominance="dominant")


@pytest.mark.parametrize(
    ("fields", "kind"),
    [
        ({"name": "embr"}, NoSuchTrait),
        ({"name": "ember", "dominance": "sometimes"}, WordNotKnown),
        ({"name": "ember", "symbol": "f"}, TraitTaken),
        ({"name": "ember", "symbol": "Z"}, TraitNotNamed),
        ({"name": "ember", "species": "Porcelio"}, NoSuchSpecies),
        ({"name": "ember", "model": ModelText(penetrance="often")}, ShareNotRead),
        ({"name": "ember", "model": ModelText(phenocopies="90 %")}, ModelNotPossible),
    ],
)
async def test_a_change_that_cannot_be_is_refused_and_nothing_is_written(
    asking: Asking, fields: dict[str, Any], kind: type[Refusal]
) -> None:
    await define_trait(asking.desk, asking.by(), name="ember", dominance="recessive")
    await define_trait(asking.desk, asking.by(), name="frost", dominance="dominant")
    before = await asking.events()
    with pytest.raises(kind):
        await change_trait(asking.desk, asking.by(), **fields)
    assert await asking.events() == before


async def test_the_other_of_two_that_are_confused_is_recorded_instead(asking: Asking) -> None:
    limited = ModelText(sex="females only", week="8")
    view = await define_trait(
        asking.desk, asking.by(), name="blush", dominance="recessive", species="Armadillidium vulgare", model=limited
    )
    assert view.contrast is not None
    linked = await record_instead(asking.desk, asking.by(), view.row.id, "X or Z")
    assert linked.model == TraitModel(where=Where.SHARED, week=8)
    back = await record_instead(asking.desk, asking.by(), view.row.id, "male")
    assert back.model == TraitModel(shown_in=Sex.MALE, week=8)
    for trait, instead, kind in ((view.row.id, "Y or W", WordNotKnown), (10**6, "male", NoSuchTrait)):
        with pytest.raises(kind):
            await record_instead(asking.desk, asking.by(), trait, instead)
    with pytest.raises(NoSuchTrait):
        await record_instead(asking.desk, asking.by(server=ELSEWHERE), view.row.id, "male")
    with pytest.raises(NotYours):
        await record_instead(asking.desk, asking.by(MOSS), view.row.id, "male")


async def test_traits_are_found_by_name_or_symbol_and_offered_while_typing(asking: Asking) -> None:
    for name in ("ember", "frost", "white eye"):
        await define_trait(asking.desk, asking.by(), name=name, dominance="recessive")
    desk = asking.desk
    assert (await show_trait(desk, asking.by(), " White  EYE ")).row.name == "white eye"
    assert (await show_trait(desk, asking.by(), "f")).row.name == "frost"
    with pytest.raises(NoSuchTrait) as caught:
        await show_trait(desk, asking.by(), "embr")
    assert caught.value.nearest == ("ember",)
    with pytest.raises(NoSuchTrait):
        await show_trait(desk, asking.by(server=ELSEWHERE), "ember")
    assert await choose_trait(desk, asking.by(), "E") == ("ember", "white eye")
    assert await choose_traits(desk, asking.by(), "ember, ") == ("ember, frost", "ember, white eye")
    assert await choose_traits(desk, asking.by(), "fr") == ("frost",)
    assert await choose_trait(desk, asking.by(server=ELSEWHERE), "") == ()
