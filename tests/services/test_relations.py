"""What traits are to each other: recorded, refused, parted, undone."""

from fractions import Fraction

import pytest

from bot.services.odds import odds_of
from bot.services.refusals import (
    BuiltUpon,
    NotYours,
    Outlived,
    Refusal,
    TakenBack,
    TraitTaken,
    WordNotKnown,
)
from bot.services.refusals_traits import (
    LooksNotRead,
    ModelNotPossible,
    NoSuchTrait,
    Related,
    ShareNotRead,
    Uneven,
)
from bot.services.relations import choose_relation, combine_traits, link_traits, part_traits, series_of
from bot.services.trait_models import Distance, Gap, Linkage, Series, Together
from bot.services.trait_words import ModelText
from bot.services.traits import change_trait, define_trait, list_traits, show_trait
from bot.services.undo import undo
from genetics import Interaction
from tests.support.asking import ELSEWHERE, MOSS, WREN, Asking, again

F = Fraction


async def with_traits(asking: Asking) -> None:
    for name, dominance in (("ash", "recessive"), ("birch", "recessive"), ("cedar", "dominant"), ("dew", "inc dom")):
        await define_trait(asking.desk, asking.by(), name=name, dominance=dominance)


async def test_traits_are_linked_in_the_order_typed_with_their_distances(asking: Asking) -> None:
    await with_traits(asking)
    tied = await link_traits(
        asking.desk, asking.by(), traits="cedar, ash and birch", distance="10 %, 5 cM Kosambi", sires="0 %, 0 %"
    )
    assert [trait.name for trait in tied.relation.traits] == ["cedar", "ash", "birch"]
    gaps = (Gap(F(1, 10)), Gap(F(5), Distance.KOSAMBI))
    assert tied.relation.says == Linkage(gaps, (Gap(F(0)), Gap(F(0))))
    view = await show_trait(asking.desk, asking.by(), "ASH")
    assert [one.id for one in view.relations] == [tied.relation.id]


async def test_alleles_stand_in_a_series_with_wild_where_it_is_typed_or_where_dominance_puts_it(asking: Asking) -> None:
    await with_traits(asking)
    first = await series_of(asking.desk, asking.by(), order="cedar > wild > ash", name="shade")
    assert (first.relation.says, first.relation.name) == (Series(1), "shade")
    await undo(asking.desk, asking.by(), first.event)
    second = await series_of(asking.desk, asking.by(), order="cedar, ash, birch")
    assert (second.relation.says, second.relation.name) == (Series(1), "cedar and ash and birch")


async def test_a_look_is_made_in_a_known_way_or_by_a_table(asking: Asking) -> None:
    await with_traits(asking)
    known = await combine_traits(
        asking.desk, asking.by(), name="coat", traits="ash, birch", way="9:3:4", looks="grey, brown, white"
    )
    assert (known.relation.says, known.relation.looks) == (
        Together(Interaction("9:3:4")),
        ("grey", "brown", "white"),
    )
    table = await combine_traits(
        asking.desk,
        asking.by(),
        name="glow",
        traits="ash, dew",
        looks="",
        table="visual ash + het dew = dim; visual ash = dark\nelse = bright",
    )
    assert table.relation.looks == ("dim", "dark", "bright")
    assert table.relation.says == Together(None, (((2, 1), 0), ((2, None), 1), ((None, None), 2)))


@pytest.mark.parametrize(
    ("fields", "kind"),
    [
        ({"traits": "ash, elm", "distance": "10 %"}, NoSuchTrait),
        ({"traits": "ash", "distance": "10 %"}, ModelNotPossible),
        ({"traits": "ash, birch", "distance": "60 %"}, ModelNotPossible),
        ({"traits": "ash, birch", "distance": "far"}, ShareNotRead),
        ({"traits": "ash, birch", "distance": "10 %, 5 %"}, ModelNotPossible),
        ({"traits": "ash, birch, cedar", "distance": "10 %"}, ModelNotPossible),
        ({"traits": "ash, ash", "distance": "10 %"}, ModelNotPossible),
    ],
)
async def test_a_linkage_that_cannot_be_is_refused_and_nothing_is_written(
    asking: Asking, fields: dict[str, str], kind: type[Refusal]
) -> None:
    await with_traits(asking)
    before = await asking.events()
    with pytest.raises(kind):
        await link_traits(asking.desk, asking.by(), **fields)
    assert await asking.events() == before


@pytest.mark.parametrize(
    ("fields", "kind"),
    [
        ({"order": "ash > wild > birch"}, ModelNotPossible),
        ({"order": "dew > wild > ash"}, ModelNotPossible),
        ({"order": "ash"}, ModelNotPossible),
        ({"order": "cedar > wild > ash", "name": "birch"}, TraitTaken),
    ],
)
async def test_a_series_that_cannot_be_is_refused_and_nothing_is_written(
    asking: Asking, fields: dict[str, str], kind: type[Refusal]
) -> None:
    await with_traits(asking)
    before = await asking.events()
    with pytest.raises(kind):
        await series_of(asking.desk, asking.by(), **fields)
    assert await asking.events() == before


@pytest.mark.parametrize(
    ("fields", "kind"),
    [
        ({"way": "9:4:3", "looks": "a, b, c"}, WordNotKnown),
        ({"way": "9:3:4", "looks": "a, b"}, ModelNotPossible),
        ({"way": "9:7", "looks": "a, b", "traits": "ash, birch, cedar"}, LooksNotRead),
        ({"way": "9:7", "looks": "a, b", "traits": "ash, dew"}, ModelNotPossible),
        ({"way": "9:7", "looks": "a, b", "name": "cedar"}, TraitTaken),
        ({"way": "9:7", "looks": "a, b", "name": " "}, ModelNotPossible),
        ({"table": "visual ash"}, LooksNotRead),
        ({"table": "visual elm = a; else = b"}, LooksNotRead),
        ({"table": "66% het ash = a; else = b"}, LooksNotRead),
        ({"table": "visual ash = a"}, ModelNotPossible),
    ],
)
async def test_a_look_that_cannot_be_made_so_is_refused_and_nothing_is_written(
    asking: Asking, fields: dict[str, str], kind: type[Refusal]
) -> None:
    await with_traits(asking)
    before = await asking.events()
    with pytest.raises(kind):
        await combine_traits(
            asking.desk, asking.by(), **{"name": "coat", "traits": "ash, birch", "looks": "", **fields}
        )
    assert await asking.events() == before


async def test_a_trait_stands_on_one_map_in_one_series_and_the_same_traits_make_one_look(asking: Asking) -> None:
    await with_traits(asking)
    desk = asking.desk
    await link_traits(desk, asking.by(), traits="ash, birch", distance="10 %")
    with pytest.raises(Related) as caught:
        await link_traits(desk, asking.by(), traits="birch, cedar", distance="10 %")
    assert (caught.value.kind, caught.value.names) == ("linked", ("ash", "birch"))
    await series_of(desk, asking.by(), order="cedar > wild > ash")
    with pytest.raises(Related):
        await series_of(desk, asking.by(), order="ash > birch")
    await combine_traits(desk, asking.by(), name="coat", traits="ash, birch", way="9:7", looks="a, b")
    with pytest.raises(Related):
        await combine_traits(desk, asking.by(), name="more", traits="birch, ash", way="9:7", looks="a, b")
    await combine_traits(desk, asking.by(), name="other", traits="birch, cedar", way="9:7", looks="a, b")


async def test_the_same_request_twice_is_one_relation(asking: Asking) -> None:
    await with_traits(asking)
    request = asking.by()
    first = await link_traits(asking.desk, request, traits="ash, birch", distance="10 %")
    events = await asking.events()
    assert await link_traits(asking.desk, again(request), traits="ash, birch", distance="10 %") == first
    assert await asking.events() == events
    parting = asking.by()
    parted = await part_traits(asking.desk, parting, relation="ash, birch")
    assert await part_traits(asking.desk, again(parting), relation="ash, birch") == parted
    with pytest.raises(TakenBack):
        await link_traits(asking.desk, again(request), traits="ash, birch", distance="10 %")


async def test_parted_traits_are_taken_each_by_itself_and_an_undo_ties_them_again(asking: Asking) -> None:
    await with_traits(asking)
    desk = asking.desk
    tied = await link_traits(desk, asking.by(), traits="ash, birch", distance="10 %")
    cross = "het ash, het birch x visual ash, visual birch"
    assert (await odds_of(desk, asking.by(), cross)).phase_unknown
    parted = await part_traits(desk, asking.by(), relation=str(tied.relation.id))
    assert parted.traits == ("ash", "birch")
    assert not (await odds_of(desk, asking.by(), cross)).phase_unknown
    await undo(desk, asking.by(), parted.event)
    assert (await odds_of(desk, asking.by(), cross)).phase_unknown


async def test_only_who_recorded_it_and_stewards_part_it(asking: Asking) -> None:
    await with_traits(asking)
    await link_traits(asking.desk, asking.by(WREN), traits="ash, birch", distance="10 %")
    with pytest.raises(NotYours) as caught:
        await part_traits(asking.desk, asking.by(MOSS), relation="ash, birch")
    assert caught.value.keeper_name == "Wren"
    await part_traits(asking.desk, asking.by(MOSS, steward=True), relation="ash, birch")


async def test_what_is_to_be_parted_is_found_by_number_name_or_traits(asking: Asking) -> None:
    await with_traits(asking)
    desk = asking.desk
    coat = await combine_traits(desk, asking.by(), name="coat", traits="ash, birch", way="9:7", looks="a, b")
    linked = await link_traits(desk, asking.by(), traits="ash, birch", distance="10 %")
    assert await choose_relation(desk, asking.by(), "ASH") == (
        ("together: ash, birch", str(coat.relation.id)),
        ("linked: ash, birch", str(linked.relation.id)),
    )
    with pytest.raises(Related) as caught:
        await part_traits(desk, asking.by(), relation="ash, birch")
    assert caught.value.kind == "several"
    await part_traits(desk, asking.by(), relation="Coat")
    await part_traits(desk, asking.by(), relation="birch, ash")
    with pytest.raises(Outlived):
        await part_traits(desk, asking.by(), relation="ash, birch")
    with pytest.raises(NoSuchTrait):
        await part_traits(desk, asking.by(), relation="elm")


async def test_another_server_s_relations_are_not_found(asking: Asking) -> None:
    await with_traits(asking)
    tied = await link_traits(asking.desk, asking.by(), traits="ash, birch", distance="10 %")
    there = asking.by(server=ELSEWHERE)
    assert await choose_relation(asking.desk, there, "") == ()
    assert await list_traits(asking.desk, there) == ()
    for text in (str(tied.relation.id), "ash, birch"):
        with pytest.raises((NoSuchTrait, Outlived)):
            await part_traits(asking.desk, asking.by(server=ELSEWHERE), relation=text)


async def test_a_trait_that_belongs_to_others_is_neither_taken_back_nor_changed_against_them(asking: Asking) -> None:
    desk = asking.desk
    ash = await define_trait(desk, asking.by(), name="ash", dominance="recessive")
    await define_trait(desk, asking.by(), name="birch", dominance="recessive")
    assert ash.event is not None
    coat = await combine_traits(desk, asking.by(), name="coat", traits="ash, birch", way="9:7", looks="a, b")
    with pytest.raises(BuiltUpon):
        await undo(desk, asking.by(), ash.event)
    with pytest.raises(Uneven):
        await change_trait(desk, asking.by(), name="ash", model=ModelText(penetrance="70 %"))
    with pytest.raises(ModelNotPossible):
        await change_trait(desk, asking.by(), name="ash", dominance="incompletely dominant")
    await undo(desk, asking.by(), coat.event)
    await change_trait(desk, asking.by(), name="ash", model=ModelText(penetrance="70 %"))


async def test_a_series_broken_by_an_undo_is_refused_in_words_and_can_be_parted(asking: Asking) -> None:
    """An undo puts rows back as they were; what was built on the change by its words alone is found out when asked."""
    desk = asking.desk
    await define_trait(desk, asking.by(), name="ash", dominance="recessive")
    await define_trait(desk, asking.by(), name="cedar", dominance="recessive")
    changed = await change_trait(desk, asking.by(), name="cedar", dominance="dominant")
    assert changed.event is not None
    tied = await series_of(desk, asking.by(), order="cedar > wild > ash")
    await undo(desk, asking.by(), changed.event)
    with pytest.raises(ModelNotPossible):
        await odds_of(desk, asking.by(), "het ash x het ash")
    await define_trait(desk, asking.by(), name="birch", dominance="recessive")
    await part_traits(desk, asking.by(), relation=str(tied.relation.id))
    assert (await odds_of(desk, asking.by(), "het ash x het ash")).target is not None
