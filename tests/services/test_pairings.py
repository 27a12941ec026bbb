"""Pairings: who goes in, what happens to them, and what cannot be."""

from dataclasses import replace
from datetime import timedelta

import pytest
from pytest_asyncio import fixture as async_fixture

from bot.records import BreederRole, DamHistory, Sex
from bot.services.bins import NewBin, open_bin, show_bin
from bot.services.brood_text import NewBrood
from bot.services.broods import log_brood
from bot.services.pairing_setup import NewPairing, say_history, set_up
from bot.services.pairings import (
    choose_pairing,
    end_pairing,
    gravid_seen,
    list_pairings,
    show_pairing,
    taken_out,
    young_seen,
)
from bot.services.rearing import Mixed
from bot.services.refusals import NoSuchBin, NotYours, Refusal, TakenBack, TraitOfAnother, TwoSpecies, WordNotKnown
from bot.services.refusals_breeding import (
    BreedersLookNotRead,
    BreedersNotRead,
    BreedersProblem,
    ClonalPairing,
    DamElsewhere,
    NobodyOn,
    NoSuchPairing,
    NotInOrder,
    PairingOver,
    SpeciesNotSaid,
)
from bot.services.refusals_days import DayAhead, DayNotRead
from bot.services.sharing import set_privacy
from bot.services.traits import define_trait
from bot.services.undo import undo
from tests.support.asking import ELSEWHERE, MOSS, THURSDAY, WREN, Asking, again

DAY = timedelta(days=1)
ODD = NewPairing(dams="2 from B-1", sires="1 visual ember from B-2", dams_were="isolated unmated", question="ember")


@async_fixture
async def bins(asking: Asking) -> Asking:
    """Two bins of one species, one of another, one of a clonal one, and a trait."""
    await define_trait(asking.desk, asking.by(), name="ember", dominance="recessive")
    for species in ("Porcellio scaber", "Porcellio scaber", "Armadillidium vulgare", "Trichorhina tomentosa"):
        await open_bin(asking.desk, asking.by(), NewBin(species=species, animals="30", holds="wild"))
    return asking


async def test_a_pairing_stands_in_the_book_before_its_result(bins: Asking) -> None:
    view = await set_up(bins.desk, bins.by(), ODD)
    assert (view.code, view.row.bin_code, view.species.name) == ("P-1", "B-5", "Porcellio scaber")
    assert view.trait is not None
    assert view.trait.name == "ember"
    dams, sires = view.placed
    assert (dams.role, dams.breeders.number, dams.breeders.from_code) == (BreederRole.DAM, 2, "B-1")
    assert (dams.history, dams.stated) == (DamHistory.UNMATED, None)
    assert (sires.role, sires.breeders.number, sires.history) == (BreederRole.SIRE, 1, None)
    assert sires.stated == "visual ember"
    assert (view.row.young_at, view.broods) == (None, ())
    (event,) = [e for e in await bins.events() if e.kind == "pairing.set_up"]
    assert view.event == event.seq


async def test_the_bin_of_a_pairing_is_founded_by_its_breeders(bins: Asking) -> None:
    view = await set_up(bins.desk, bins.by(), ODD)
    place = await show_bin(bins.desk, bins.by(), view.row.bin_code)
    assert [(f.row.number, f.row.sex, f.stated) for f in place.founders] == [
        (2, Sex.FEMALE, None),
        (1, Sex.MALE, "visual ember"),
    ]


async def test_a_pairing_can_be_set_up_in_a_bin_that_is_there(bins: Asking) -> None:
    view = await set_up(bins.desk, bins.by(), NewPairing(dams="1 from B-1", sires="1 from B-2", place="B-2"))
    assert view.row.bin_code == "B-2"


async def test_breeders_keep_their_identity_from_one_pairing_to_the_next(bins: Asking) -> None:
    first = await set_up(
        bins.desk, bins.by(), NewPairing(dams="1 from B-1", sires="1 visual ember called Rust from B-2")
    )
    with pytest.raises(DamElsewhere):
        await set_up(bins.desk, bins.by(), NewPairing(dams="dams of P-1", sires="1 from B-2"))
    await taken_out(bins.desk, bins.by(), "P-1")
    second = await set_up(bins.desk, bins.by(), NewPairing(dams="dams of P-1", sires="Rust"))
    assert [p.breeders.id for p in second.placed] == [p.breeders.id for p in first.placed]
    # She was with a male in the first pairing, whatever was said of her then.
    assert second.placed[0].history is DamHistory.HAD_MALES
    assert second.placed[1].stated == "visual ember"


async def test_breeders_from_a_bin_that_is_private_are_not_known_to_others_by_name(bins: Asking) -> None:
    await open_bin(bins.desk, bins.by(MOSS), NewBin(species="Porcellio scaber", animals="9"))
    await set_up(
        bins.desk,
        bins.by(MOSS),
        NewPairing(dams="1 from B-5", sires="1 visual ember called Soot from B-5", place="B-5"),
    )
    assert (await set_up(bins.desk, bins.by(), NewPairing(dams="1 from B-1", sires="Soot"))).code == "P-2"
    await set_privacy(bins.desk, bins.by(MOSS), bin_text="B-5", private="everything")
    with pytest.raises(BreedersNotRead):
        await set_up(bins.desk, bins.by(), NewPairing(dams="1 from B-1", sires="Soot"))


async def test_what_is_said_of_one_group_of_dams_goes_before_what_is_said_of_all(bins: Asking) -> None:
    view = await set_up(
        bins.desk,
        bins.by(),
        NewPairing(dams="1 unmated from B-1; 2 from B-2", sires="1 from B-2", dams_were="had males"),
    )
    assert [p.history for p in view.placed] == [DamHistory.UNMATED, DamHistory.HAD_MALES, None]


async def test_dams_of_which_nothing_is_said_are_of_unknown_history(bins: Asking) -> None:
    view = await set_up(bins.desk, bins.by(), NewPairing(dams="1 from B-1", sires="1 from B-2"))
    assert view.placed[0].history is DamHistory.UNKNOWN


async def test_a_clonal_species_needs_no_sire_and_takes_none(bins: Asking) -> None:
    assert (await set_up(bins.desk, bins.by(), NewPairing(dams="3 from B-4"))).code == "P-1"
    with pytest.raises(ClonalPairing):
        await set_up(bins.desk, bins.by(), NewPairing(dams="3 from B-4", sires="1 from B-4"))


async def test_dams_that_had_males_may_be_set_up_alone(bins: Asking) -> None:
    view = await set_up(bins.desk, bins.by(), NewPairing(dams="1 from B-1", dams_were="had males"))
    assert [p.role for p in view.placed] == [BreederRole.DAM]


@pytest.mark.parametrize(
    ("new", "kind"),
    [
        (NewPairing(dams=""), NobodyOn),
        (NewPairing(dams="1 from B-1"), NobodyOn),
        (NewPairing(dams="B-1", sires="1 from B-2"), BreedersNotRead),
        (NewPairing(dams="1 male from B-1", sires="1 from B-2"), BreedersNotRead),
        (NewPairing(dams="1", sires="1 from B-2"), BreedersNotRead),
        (NewPairing(dams="1 from B-1", sires="1 unmated from B-2"), BreedersNotRead),
        (NewPairing(dams="1 visual embre from B-1", sires="1 from B-2"), BreedersLookNotRead),
        (NewPairing(dams="1 from B-9", sires="1 from B-2"), NoSuchBin),
        (NewPairing(dams="1 from B-1", sires="1 from B-3"), TwoSpecies),
        (NewPairing(dams="1 from B-1", sires="1 from B-2", place="B-3"), TwoSpecies),
        (NewPairing(dams="1 wild", sires="1 wild"), SpeciesNotSaid),
        (NewPairing(dams="dams of P-7", sires="1 from B-2"), NoSuchPairing),
        (NewPairing(dams="1 from B-1", sires="1 from B-2", question="frost"), WordNotKnown),
        (NewPairing(dams="1 from B-1", sires="1 from B-2", dams_were="tired"), WordNotKnown),
        (NewPairing(dams="1 from B-1", sires="1 from B-2", day="someday"), DayNotRead),
        (NewPairing(dams="1 from B-1", sires="1 from B-2", day="2099-01-01"), DayAhead),
    ],
)
async def test_what_cannot_be_set_up_is_refused_and_nothing_is_written(
    bins: Asking, new: NewPairing, kind: type[Refusal]
) -> None:
    before = await bins.events()
    with pytest.raises(kind):
        await set_up(bins.desk, bins.by(), new)
    assert await bins.events() == before
    assert await list_pairings(bins.desk, bins.by(), ended=True) == ()


async def test_an_animal_stands_on_one_side_and_once(bins: Asking) -> None:
    await set_up(bins.desk, bins.by(), NewPairing(dams="1 called Pearl from B-1", sires="1 called Rust from B-2"))
    for dams, sires in (("Rust", "1 from B-2"), ("Pearl; Pearl", "Rust")):
        with pytest.raises(BreedersNotRead) as caught:
            await set_up(bins.desk, bins.by(), NewPairing(dams=dams, sires=sires))
        assert caught.value.problem in (BreedersProblem.WRONG_SEX, BreedersProblem.TWICE)


async def test_a_trait_of_another_species_is_not_stated_of_breeders(bins: Asking) -> None:
    await define_trait(bins.desk, bins.by(), name="ink", dominance="recessive", species="Armadillidium vulgare")
    with pytest.raises(TraitOfAnother):
        await set_up(bins.desk, bins.by(), NewPairing(dams="1 visual ink from B-1", sires="1 from B-2"))


async def test_what_happens_is_written_down_with_its_day(bins: Asking) -> None:
    await set_up(bins.desk, bins.by(), ODD)
    seen = await gravid_seen(bins.desk, bins.by(after=20 * DAY), "P-1", "yesterday")
    assert seen.row.gravid_at is not None
    assert seen.row.gravid_at.date() == (THURSDAY + 19 * DAY).date()
    young = await young_seen(bins.desk, bins.by(after=50 * DAY), "p1")
    assert young.row.young_at == THURSDAY + 50 * DAY
    assert young.row.separate_by == THURSDAY + (50 + 56) * DAY
    assert young.row.parents_out_by == THURSDAY + (50 + 91) * DAY
    out = await taken_out(bins.desk, bins.by(after=60 * DAY), "1")
    assert out.row.out_at == THURSDAY + 60 * DAY
    ended = await end_pairing(bins.desk, bins.by(after=61 * DAY), "P-1", reason="the sire died")
    assert (ended.row.ended_at, ended.row.reason) == (THURSDAY + 61 * DAY, "the sire died")
    assert [e.kind for e in (await bins.events())[-4:]] == [
        "pairing.gravid",
        "pairing.young",
        "pairing.out",
        "pairing.ended",
    ]


async def test_warmer_bins_bring_the_dates_forward(bins: Asking) -> None:
    await set_up(bins.desk, bins.by(), ODD)
    young = await young_seen(bins.desk, bins.by(after=50 * DAY), "P-1", temperature="25 C")
    assert young.row.separate_by == THURSDAY + (50 + 44) * DAY


async def test_nothing_comes_before_what_it_follows(bins: Asking) -> None:
    await set_up(bins.desk, bins.by(), ODD)
    with pytest.raises(NotInOrder):
        await young_seen(bins.desk, bins.by(after=2 * DAY), "P-1", day="5 days ago")
    await gravid_seen(bins.desk, bins.by(after=20 * DAY), "P-1")
    with pytest.raises(NotInOrder):
        await young_seen(bins.desk, bins.by(after=30 * DAY), "P-1", day="15 days ago")
    await end_pairing(bins.desk, bins.by(after=40 * DAY), "P-1")
    with pytest.raises(PairingOver):
        await gravid_seen(bins.desk, bins.by(after=41 * DAY), "P-1")


async def test_only_those_who_may_write_in_it_write_in_it(bins: Asking) -> None:
    await set_up(bins.desk, bins.by(), ODD)
    with pytest.raises(NotYours):
        await gravid_seen(bins.desk, bins.by(MOSS), "P-1")
    with pytest.raises(NotYours):
        await set_up(bins.desk, bins.by(MOSS), NewPairing(dams="1 from B-1", sires="1 from B-2", place="B-2"))
    assert (await gravid_seen(bins.desk, bins.by(MOSS, steward=True), "P-1")).row.gravid_at is not None


async def test_another_server_sees_nothing_of_it(bins: Asking) -> None:
    await set_up(bins.desk, bins.by(), ODD)
    with pytest.raises(NoSuchPairing) as caught:
        await show_pairing(bins.desk, bins.by(server=ELSEWHERE), "P-1")
    assert caught.value.last == 0
    assert await list_pairings(bins.desk, bins.by(server=ELSEWHERE), ended=True) == ()
    assert await choose_pairing(bins.desk, bins.by(server=ELSEWHERE), "") == ()


async def test_a_list_holds_what_runs_and_on_request_what_ended(bins: Asking) -> None:
    for _ in range(2):
        await set_up(bins.desk, bins.by(), ODD)
    await end_pairing(bins.desk, bins.by(), "P-1")
    assert [line.row.number for line in await list_pairings(bins.desk, bins.by())] == [2]
    assert [line.row.number for line in await list_pairings(bins.desk, bins.by(), ended=True)] == [2, 1]
    assert [row.number for row in await choose_pairing(bins.desk, bins.by(), "p-")] == [2]


async def test_the_same_request_twice_is_one_pairing(bins: Asking) -> None:
    request = bins.by()
    first = await set_up(bins.desk, request, ODD)
    assert await set_up(bins.desk, again(request), ODD) == first
    assert len(await list_pairings(bins.desk, bins.by())) == 1


async def test_a_pairing_can_be_undone_and_its_number_is_not_given_again(bins: Asking) -> None:
    request = bins.by()
    view = await set_up(bins.desk, request, ODD)
    assert view.event is not None
    await undo(bins.desk, bins.by(WREN), view.event)
    with pytest.raises(NoSuchPairing):
        await show_pairing(bins.desk, bins.by(), "P-1")
    with pytest.raises(TakenBack):
        await set_up(bins.desk, again(request), ODD)
    assert (await set_up(bins.desk, bins.by(), ODD)).code == "P-2"


async def test_generations_are_mixed_by_the_day_alone_and_their_later_broods_say_nothing(bins: Asking) -> None:
    await set_up(bins.desk, bins.by(), ODD)
    seen = await young_seen(bins.desk, bins.by(), "P-1")
    assert seen.row.parents_out_by is not None
    last = seen.row.parents_out_by - THURSDAY
    assert (await show_pairing(bins.desk, bins.by(after=last), "P-1")).mixed is None
    late = bins.by(after=last + DAY)
    view = await show_pairing(bins.desk, late, "P-1")
    assert view.mixed == Mixed(1, seen.row.parents_out_by, out=False)
    assert (await show_bin(bins.desk, late, "B-5")).mixed == (view.mixed,)
    early, later = [
        await log_brood(bins.desk, bins.by(after=last + DAY), NewBrood("P-1", "3 ember 9 wild", day=day))
        for day in ("20 Mar", "today")
    ]
    assert (early.mixed, later.mixed) == (False, True)
    assert early.ratios is not None
    assert later.ratios is None
    out = await taken_out(bins.desk, bins.by(after=last + 2 * DAY), "P-1")
    assert out.mixed == replace(view.mixed, out=True)
    in_time = await taken_out(bins.desk, bins.by(after=last + 2 * DAY), "P-1", day="1 Jun")
    assert in_time.mixed is None


async def test_what_the_dams_were_can_be_said_after_and_is_taken_back(bins: Asking) -> None:
    await set_up(bins.desk, bins.by(), NewPairing(dams="1 unmated from B-1; 2 from B-1", sires="1 from B-2"))
    said = await say_history(bins.desk, bins.by(), "P-1", "had males")
    assert [p.history for p in said.placed] == [DamHistory.UNMATED, DamHistory.HAD_MALES, None]
    with pytest.raises(WordNotKnown):
        await say_history(bins.desk, bins.by(), "P-1", "shy")
    with pytest.raises(NotYours):
        await say_history(bins.desk, bins.by(MOSS), "P-1", "unknown")
    assert said.event is not None
    await undo(bins.desk, bins.by(), said.event)
    view = await show_pairing(bins.desk, bins.by(), "P-1")
    assert [p.history for p in view.placed] == [DamHistory.UNMATED, DamHistory.UNKNOWN, None]


@pytest.mark.parametrize(
    ("day", "kind"),
    [
        ("1 Mar", NotInOrder),
        # The year is no leap year: the last such day lies two years back, before the pairing; and none is to come.
        ("29 Feb", NotInOrder),
        ("2027-02-29", DayNotRead),
        ("2028-02-29", DayAhead),
        ("2027-03-05", DayAhead),
    ],
)
async def test_nothing_of_a_pairing_comes_before_it_or_lies_ahead(bins: Asking, day: str, kind: type[Refusal]) -> None:
    await set_up(bins.desk, bins.by(), replace(ODD, day="4 Mar"))
    before = await bins.events()
    for change in (gravid_seen, young_seen, taken_out, end_pairing):
        with pytest.raises(kind):
            await change(bins.desk, bins.by(), "P-1", day=day)
    with pytest.raises(kind):
        await log_brood(bins.desk, bins.by(), NewBrood("P-1", "3 ember 9 wild", day=day))
    assert await bins.events() == before
