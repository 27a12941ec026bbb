"""Opening a bin, and what it then says."""

from datetime import timedelta
from fractions import Fraction

import pytest

from bot.records import Exactness, ParentRole
from bot.services.bins import NewBin, choose_bin, label_of, open_bin, show_bin
from bot.services.counts import log_count
from bot.services.refusals import (
    BinLabel,
    CountNotRead,
    HoldingNotRead,
    LengthNotRead,
    NoSuchBin,
    NoSuchSpecies,
    ParentsNotRead,
    Refusal,
    TakenBack,
    TextTooLong,
    TraitOfAnother,
    TwoSpecies,
)
from bot.services.traits import define_trait
from bot.services.undo import undo
from tests.support.asking import ELSEWHERE, MOSS, WREN, Asking, again

EMBER = NewBin(species="Porcellio scaber", name=" ember F2 ", animals="about 2 dozen", holds="66% het ember")


async def with_ember(asking: Asking) -> None:
    await define_trait(asking.desk, asking.by(), name="ember", dominance="recessive")


async def test_an_opened_bin_has_its_founders_its_first_count_and_its_event(asking: Asking) -> None:
    await with_ember(asking)
    view = await open_bin(asking.desk, asking.by(MOSS), EMBER)
    assert (view.row.code, view.row.name, view.row.keeper_id, view.row.keeper_name) == ("B-1", "ember F2", MOSS, "Moss")
    assert view.species.name == "Porcellio scaber"
    (founders,) = view.founders
    assert founders.row.number == 24
    assert founders.row.states[0].chance == Fraction(2, 3)
    assert founders.stated is not None
    assert "het ember" in founders.stated
    assert [(c.total, c.exactness) for c in view.counts] == [(24, Exactness.ESTIMATE)]
    (event,) = [e for e in await asking.events() if e.kind == "bin.opened"]
    assert view.event == event.seq
    assert (event.actor_id, event.subject.kind, event.subject.id) == (MOSS, "bin", view.row.id)


async def test_a_bin_of_which_only_the_species_is_known_has_no_founders(asking: Asking) -> None:
    view = await open_bin(asking.desk, asking.by(), NewBin(species="porcellio-scaber"))
    assert (view.founders, view.counts, view.parents, view.row.name, view.row.note) == ((), (), (), None, None)


async def test_animals_of_which_nothing_is_said_are_not_taken_for_wild(asking: Asking) -> None:
    view = await open_bin(asking.desk, asking.by(), NewBin(species="Porcellio scaber", animals="9"))
    assert view.founders[0].stated is None
    wild = await open_bin(asking.desk, asking.by(), NewBin(species="Porcellio scaber", animals="9", holds="wild"))
    assert wild.founders[0].stated == "wild"


async def test_an_empty_bin_is_counted_as_none_and_has_founders_of_no_number(asking: Asking) -> None:
    view = await open_bin(asking.desk, asking.by(), NewBin(species="Porcellio scaber", animals="0"))
    assert view.counts[0].total == 0
    assert view.founders[0].row.number is None


@pytest.mark.parametrize(
    ("typed", "roles"),
    [
        ("B-1", [("B-1", ParentRole.BOTH)]),
        ("b-1 x b-1", [("B-1", ParentRole.BOTH)]),
        ("B-1 × B-2", [("B-1", ParentRole.DAM), ("B-2", ParentRole.SIRE)]),
    ],
)
async def test_parents_are_read_with_the_dams_first(
    asking: Asking, typed: str, roles: list[tuple[str, ParentRole]]
) -> None:
    for _ in range(2):
        await open_bin(asking.desk, asking.by(), NewBin(species="Porcellio scaber"))
    view = await open_bin(asking.desk, asking.by(), NewBin(species="Porcellio scaber", parents=typed))
    assert [(p.code, p.role) for p in view.parents] == roles


@pytest.mark.parametrize(
    ("wrong", "kind"),
    [
        (NewBin(species="Porcellio scabber"), NoSuchSpecies),
        (NewBin(species=""), NoSuchSpecies),
        (NewBin(species="Porcellio scaber", animals="lots"), CountNotRead),
        (NewBin(species="Porcellio scaber", holds="visual embre"), HoldingNotRead),
        (NewBin(species="Porcellio scaber", parents="B-1 and B-2"), ParentsNotRead),
        (NewBin(species="Porcellio scaber", parents="B-1 x B-1 x B-1"), ParentsNotRead),
        (NewBin(species="Porcellio scaber", parents="B-77"), NoSuchBin),
        (NewBin(species="Porcellio scaber", length="long"), LengthNotRead),
        (NewBin(species="Porcellio scaber", name="n" * 61), TextTooLong),
        (NewBin(species="Porcellio scaber", note="n" * 4001), TextTooLong),
        (NewBin(species="Porcellio scaber", origin="n" * 201), TextTooLong),
    ],
)
async def test_what_cannot_be_read_opens_nothing_and_uses_no_code(
    asking: Asking, wrong: NewBin, kind: type[Refusal]
) -> None:
    await with_ember(asking)
    first = await open_bin(asking.desk, asking.by(), EMBER)
    before = await asking.events()
    with pytest.raises(kind):
        await open_bin(asking.desk, asking.by(), wrong)
    assert await asking.events() == before
    second = await open_bin(asking.desk, asking.by(), EMBER)
    assert (first.row.code, second.row.code) == ("B-1", "B-2")


@pytest.mark.parametrize("parents", ["B-1", "B-1 x B-2", "B-2 x b1"])
async def test_parents_of_another_species_are_refused_and_nothing_is_opened(asking: Asking, parents: str) -> None:
    await open_bin(asking.desk, asking.by(), NewBin(species="Armadillidium vulgare"))
    await open_bin(asking.desk, asking.by(), NewBin(species="Porcellio scaber"))
    before = await asking.events()
    with pytest.raises(TwoSpecies) as caught:
        await open_bin(asking.desk, asking.by(), NewBin(species="Porcellio scaber", parents=parents))
    assert (caught.value.first, caught.value.second) == ("Porcellio scaber", "Armadillidium vulgare")
    assert await asking.events() == before


async def test_a_trait_of_another_species_is_not_stated_of_a_bin_and_one_of_any_species_is(asking: Asking) -> None:
    await with_ember(asking)
    for name, species in (("frost", "Porcellio scaber"), ("dusk", "Armadillidium vulgare")):
        await define_trait(asking.desk, asking.by(), name=name, dominance="recessive", species=species)
    before = await asking.events()
    with pytest.raises(TraitOfAnother) as caught:
        await open_bin(
            asking.desk, asking.by(), NewBin(species="Porcellio scaber", animals="3", holds="het ember, het dusk")
        )
    assert (caught.value.trait, caught.value.species, caught.value.other) == (
        "dusk",
        "Armadillidium vulgare",
        "Porcellio scaber",
    )
    assert await asking.events() == before
    view = await open_bin(asking.desk, asking.by(), NewBin(species="Porcellio scaber", holds="het ember, het frost"))
    assert view.row.code == "B-1"
    assert view.founders[0].stated == "het ember, het frost"


async def test_a_refused_species_names_the_nearest(asking: Asking) -> None:
    with pytest.raises(NoSuchSpecies) as caught:
        await open_bin(asking.desk, asking.by(), NewBin(species="Porcelio scaber"))
    assert caught.value.text == "Porcelio scaber"
    assert "Porcellio scaber" in caught.value.nearest


async def test_a_request_that_comes_again_opens_one_bin_and_answers_the_same(asking: Asking) -> None:
    await with_ember(asking)
    request = asking.by()
    first = await open_bin(asking.desk, request, EMBER)
    await open_bin(asking.desk, asking.by(), EMBER)
    before = await asking.events()
    second = await open_bin(asking.desk, again(request), EMBER)
    assert second == first
    assert await asking.events() == before


async def test_a_request_that_comes_again_after_its_undo_is_told_so_and_opens_nothing(asking: Asking) -> None:
    await with_ember(asking)
    request = asking.by()
    view = await open_bin(asking.desk, request, EMBER)
    assert view.event is not None
    await undo(asking.desk, asking.by(), view.event)
    before = await asking.events()
    with pytest.raises(TakenBack) as caught:
        await open_bin(asking.desk, again(request), EMBER)
    assert caught.value.what == "bin"
    assert await asking.events() == before


async def test_a_bin_is_shown_by_its_code_in_any_case_and_with_its_name_behind_it(asking: Asking) -> None:
    await with_ember(asking)
    opened = await open_bin(asking.desk, asking.by(), EMBER)
    for text in ("B-1", " b-1 ", "B-1 ember F2"):
        assert (await show_bin(asking.desk, asking.by(), text)).row == opened.row
        assert await label_of(asking.desk, asking.by(), text) == BinLabel("B-1", "ember F2")


async def test_a_bin_shows_its_counts_newest_first(asking: Asking) -> None:
    await open_bin(asking.desk, asking.by(), NewBin(species="Porcellio scaber"))
    for day in range(1, 8):
        await log_count(asking.desk, asking.by(after=timedelta(days=day)), bin_text="B-1", count_text=str(day), note="")
    view = await show_bin(asking.desk, asking.by(), "B-1")
    assert [c.total for c in view.counts] == [7, 6, 5, 4, 3, 2, 1]


async def test_a_bin_that_is_not_there_is_refused_with_the_nearest(asking: Asking) -> None:
    await with_ember(asking)
    await open_bin(asking.desk, asking.by(), EMBER)
    for ask in (show_bin, label_of):
        with pytest.raises(NoSuchBin) as caught:
            await ask(asking.desk, asking.by(), "B-11")
        assert (caught.value.code, caught.value.nearest) == ("B-11", (BinLabel("B-1", "ember F2"),))


async def test_another_servers_bins_are_not_found_and_have_codes_of_their_own(asking: Asking) -> None:
    await open_bin(asking.desk, asking.by(), NewBin(species="Porcellio scaber", name="here"))
    with pytest.raises(NoSuchBin) as caught:
        await show_bin(asking.desk, asking.by(server=ELSEWHERE), "B-1")
    assert caught.value.nearest == ()
    there = await open_bin(asking.desk, asking.by(server=ELSEWHERE), NewBin(species="Porcellio scaber"))
    assert there.row.code == "B-1"
    assert there.row.name is None


async def test_bins_are_chosen_from_by_code_or_name_the_persons_own_first(asking: Asking) -> None:
    for who, name in ((WREN, "ember one"), (MOSS, "ember two"), (WREN, "frost")):
        await open_bin(asking.desk, asking.by(who), NewBin(species="Porcellio scaber", name=name))
    assert [b.code for b in await choose_bin(asking.desk, asking.by(MOSS), "")] == ["B-2", "B-1", "B-3"]
    assert [b.code for b in await choose_bin(asking.desk, asking.by(MOSS), "EMBER")] == ["B-2", "B-1"]
    assert [b.code for b in await choose_bin(asking.desk, asking.by(), "b-3")] == ["B-3"]
    assert await choose_bin(asking.desk, asking.by(server=ELSEWHERE), "") == ()
