"""The odds of a cross, from what was typed and what the book says of the bins in it."""

from datetime import timedelta
from fractions import Fraction

import pytest

from bot.services.bins import NewBin, open_bin
from bot.services.drafts import keep
from bot.services.odds import Odds, complete_cross, genes_of, odds_again, odds_of
from bot.services.raising import raising_of
from bot.services.refusals import (
    BinLabel,
    CrossNotRead,
    NoSuchBin,
    NothingStated,
    Outlived,
    Refusal,
    TooCostly,
    TraitOfAnother,
    TwoSpecies,
)
from bot.services.traits import define_trait
from genetics import TooLarge
from tests.support.asking import ELSEWHERE, MOSS, WREN, Asking

F = Fraction
LONG = "het ember, homozygous frost x visual ember, homozygous frost"


async def with_traits(asking: Asking, *more: str) -> None:
    await define_trait(asking.desk, asking.by(), name="ember", dominance="recessive", symbol="e")
    await define_trait(asking.desk, asking.by(), name="frost", dominance="incompletely dominant", symbol="F")
    for name in more:
        await define_trait(asking.desk, asking.by(), name=name, dominance="dominant")


async def with_bin(asking: Asking, holds: str, animals: str = "") -> str:
    new = NewBin(species="Porcellio scaber", holds=holds, animals=animals)
    return (await open_bin(asking.desk, asking.by(), new)).row.code


def shares(odds: Odds) -> dict[tuple[str, ...], Fraction]:
    """The share of each class, by how it looks."""
    return {tuple(look.value for look in c.looks.values()): c.share for c in odds.classes}


async def test_classes_sum_to_one_and_the_target_is_what_shows_most(asking: Asking) -> None:
    await with_traits(asking)
    odds = await odds_of(asking.desk, asking.by(), "het ember x het ember")
    assert sum(c.share for c in odds.classes) == 1
    assert odds.target is not None
    assert odds.target.share == F(1, 4)
    assert odds.see is not None
    assert odds.see.see == 11
    wild = next(c for c in odds.classes if c is not odds.target)
    assert [(t.name, share) for t, share in wild.carriers] == [("ember", F(2, 3))]


async def test_a_bins_code_is_what_its_founders_are(asking: Asking) -> None:
    await with_traits(asking)
    dam, sire = await with_bin(asking, "het ember", "9"), await with_bin(asking, "visual ember")
    odds = await odds_of(asking.desk, asking.by(), f"{dam.lower()} x {sire}")
    typed = await odds_of(asking.desk, asking.by(), "het ember x visual ember")
    assert shares(odds) == shares(typed)
    assert (odds.dam.label, odds.sire.label) == (BinLabel("B-1"), BinLabel("B-2"))
    assert typed.dam.label is None
    assert odds.dam.written == typed.dam.written


async def test_codes_in_a_cross_need_no_hyphen(asking: Asking) -> None:
    await with_traits(asking)
    dam, sire = await with_bin(asking, "het ember"), await with_bin(asking, "visual ember")
    for text in ("b1 x B2", "B-1 x b2", "b-1 x B-2"):
        odds = await odds_of(asking.desk, asking.by(), text)
        assert (odds.dam.label, odds.sire.label) == (BinLabel(dam), BinLabel(sire))
        assert shares(odds)[("full",)] == F(1, 2)
    itself = await odds_of(asking.desk, asking.by(), "b1 x B-1")
    assert shares(itself)[("full",)] == F(1, 4)


async def test_bins_of_two_species_are_not_crossed(asking: Asking) -> None:
    await with_traits(asking)
    dam = await with_bin(asking, "het ember")
    new = NewBin(species="Armadillidium vulgare", holds="het ember")
    other = (await open_bin(asking.desk, asking.by(), new)).row.code
    for text in (f"{dam} x {other}", f"{other} x {dam}"):
        with pytest.raises(TwoSpecies) as caught:
            await odds_of(asking.desk, asking.by(), text)
        assert {caught.value.first, caught.value.second} == {"Porcellio scaber", "Armadillidium vulgare"}
    assert (await odds_of(asking.desk, asking.by(), f"{other} x {other}")).target is not None


async def test_a_trait_of_another_species_is_not_crossed_into_a_bin(asking: Asking) -> None:
    await with_traits(asking)
    code = await with_bin(asking, "het ember")
    await define_trait(asking.desk, asking.by(), name="ink", dominance="recessive", species="Armadillidium vulgare")
    with pytest.raises(TraitOfAnother) as caught:
        await odds_of(asking.desk, asking.by(), f"{code} x het ink")
    assert (caught.value.trait, caught.value.species) == ("ink", "Armadillidium vulgare")
    assert (await odds_of(asking.desk, asking.by(), "het ink x het ink")).target is not None


async def test_a_bin_with_itself_is_a_cross(asking: Asking) -> None:
    await with_traits(asking)
    code = await with_bin(asking, "het ember")
    assert shares(await odds_of(asking.desk, asking.by(), f"{code} x {code}"))[("full",)] == F(1, 4)


async def test_a_bin_of_wild_animals_is_wild(asking: Asking) -> None:
    await with_traits(asking)
    code = await with_bin(asking, "wild", "30")
    odds = await odds_of(asking.desk, asking.by(), f"visual ember x {code}")
    assert odds.target is None
    assert odds.see is None
    assert odds.classes[0].carriers[0][1] == 1


async def test_a_bin_of_which_nothing_is_said_stands_for_nothing(asking: Asking) -> None:
    await with_traits(asking)
    code = await with_bin(asking, "", "30")
    empty = await with_bin(asking, "")
    for named in (code, empty):
        with pytest.raises(NothingStated) as caught:
            await odds_of(asking.desk, asking.by(), f"het ember x {named}")
        assert caught.value.label == BinLabel(named)


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("", CrossNotRead),
        ("het ember", CrossNotRead),
        ("het ember xx wild", CrossNotRead),
        ("het emberr x wild", CrossNotRead),
        ("B-1 x B-9", NoSuchBin),
        ("a1, b1 x wild", CrossNotRead),
    ],
)
async def test_what_cannot_be_read_is_refused_and_nothing_is_written(
    asking: Asking, text: str, kind: type[Refusal]
) -> None:
    await with_traits(asking)
    await with_bin(asking, "wild")
    with pytest.raises(kind):
        await odds_of(asking.desk, asking.by(), text)


async def test_a_cross_that_was_not_read_names_the_traits_on_record_and_the_place(asking: Asking) -> None:
    await with_traits(asking)
    with pytest.raises(CrossNotRead) as caught:
        await odds_of(asking.desk, asking.by(), "het emberr x wild")
    assert caught.value.known == ("ember", "frost")
    assert (caught.value.error.position, caught.value.error.found) == (4, "emberr")


async def test_a_question_of_too_many_traits_says_how_many_would_fit(asking: Asking) -> None:
    names = ["ash", "birch", "cedar", "dusk"]
    await with_traits(asking, *names)
    five = ", ".join(["het ember", "het frost", *(f"het {name}" for name in names[:3])])
    assert len((await odds_of(asking.desk, asking.by(), f"{five} x wild")).traits) == 5
    with pytest.raises(TooCostly) as caught:
        await odds_of(asking.desk, asking.by(), f"{five}, het dusk x wild")
    assert isinstance(caught.value.error, TooLarge)
    assert caught.value.error.fits == 5


async def test_another_servers_traits_and_bins_are_unknown(asking: Asking) -> None:
    await with_traits(asking)
    code = await with_bin(asking, "het ember")
    elsewhere = asking.by(server=ELSEWHERE)
    with pytest.raises(CrossNotRead) as caught:
        await odds_of(asking.desk, elsewhere, "het ember x wild")
    assert caught.value.known == ()
    with pytest.raises(NoSuchBin) as missing:
        await odds_of(asking.desk, elsewhere, f"{code} x wild")
    assert missing.value.nearest == ()
    assert await complete_cross(asking.desk, elsewhere, "em") == ()


async def test_a_short_cross_stands_in_its_buttons_and_a_long_one_in_a_draft(asking: Asking) -> None:
    await with_traits(asking)
    short = await odds_of(asking.desk, asking.by(), "het ember x wild")
    assert short.reference == "=het ember x wild"
    long = await odds_of(asking.desk, asking.by(), LONG)
    assert long.reference.startswith("#")
    assert len(long.reference) <= 60
    for ask in (raising_of, odds_again, genes_of):
        assert await ask(asking.desk, asking.by(), long.reference)
        assert await ask(asking.desk, asking.by(), short.reference)
    assert (await odds_again(asking.desk, asking.by(), long.reference)).text == LONG


async def test_the_draft_of_a_cross_is_everybodys_in_its_server_and_lasts_a_day(asking: Asking) -> None:
    await with_traits(asking)
    reference = (await odds_of(asking.desk, asking.by(), LONG)).reference
    for ask in (raising_of, odds_again, genes_of):
        assert await ask(asking.desk, asking.by(MOSS), reference)
    assert (await odds_again(asking.desk, asking.by(MOSS), reference)).text == LONG
    for request in (asking.by(after=timedelta(hours=25)), asking.by(MOSS, server=ELSEWHERE)):
        with pytest.raises(Outlived) as caught:
            await odds_again(asking.desk, request, reference)
        assert caught.value.what == "cross"


async def test_what_was_refused_of_a_question_stays_its_persons_own(asking: Asking) -> None:
    await with_traits(asking)
    number = await keep(asking.desk, asking.by(), "odds", {"cross": "het ember x wild"})
    for person in (WREN, MOSS):
        with pytest.raises(Outlived):
            await odds_again(asking.desk, asking.by(person), f"#{number}")


@pytest.mark.parametrize("reference", ["", "#", "#x", "#-1", "#0", "#" + "9" * 59, "nonsense"])
async def test_a_reference_to_nothing_is_outlived(asking: Asking, reference: str) -> None:
    with pytest.raises(Outlived):
        await odds_again(asking.desk, asking.by(), reference)


async def test_a_draft_of_something_else_is_no_cross(asking: Asking) -> None:
    number = await keep(asking.desk, asking.by(), "count.log", {"bin": "B-1"})
    with pytest.raises(Outlived):
        await odds_again(asking.desk, asking.by(), f"#{number}")


async def test_raising_counts_for_one_two_and_five_at_three_certainties(asking: Asking) -> None:
    await with_traits(asking)
    raising = await raising_of(asking.desk, asking.by(), "=het ember x het ember")
    assert [k for k, _ in raising.rows] == [1, 2, 5]
    assert [h.see for h in raising.rows[0][1]] == [9, 11, 17]
    assert (await raising_of(asking.desk, asking.by(), "=het ember x wild")).rows == ()


async def test_raising_from_a_possible_carrier_says_that_it_may_never_come(asking: Asking) -> None:
    await with_traits(asking)
    raising = await raising_of(asking.desk, asking.by(), "=66% het ember x visual ember")
    usual = raising.rows[0][1][1]
    assert usual.see is None
    assert usual.ceiling == F(2, 3)
    assert usual.see_if_possible == 5
    assert raising.odds.uncertain
    assert raising.odds.read_as


async def test_genes_are_written_for_both_parents_and_every_genotype_of_the_young(asking: Asking) -> None:
    await with_traits(asking)
    genes = await genes_of(asking.desk, asking.by(), "=het ember x visual ember")
    assert (genes.dam, genes.sire) == ("+/e", "e/e")
    assert dict(genes.young) == {"+/e": F(1, 2), "e/e": F(1, 2)}


async def test_words_are_completed_to_traits_states_and_bins(asking: Asking) -> None:
    await with_traits(asking)
    await with_bin(asking, "het ember")
    complete = [
        ("em", ("ember",)),
        ("het em", ("het ember",)),
        ("ember x B", ("ember x B-1",)),
        ("ember x b1", ("ember x B-1",)),
        ("ember x b2", ()),
        ("ember x -", ()),
        ("h", ("het ",)),
        ("wild fr", ("wild frost", "wild from ")),
        ("visual ember ha", ("visual ember had males of ",)),
        ("ember x ha", ()),
        ("wild ×fro", ("wild ×frost",)),
        ("ember,fro", ("ember,frost",)),
    ]
    for text, offered in complete:
        assert await complete_cross(asking.desk, asking.by(), text) == offered
    assert "het ember x " in await complete_cross(asking.desk, asking.by(), "het ember ")
    assert "het ember x visual " in await complete_cross(asking.desk, asking.by(), "het ember x")
    assert "B-1" in await complete_cross(asking.desk, asking.by(), "")
    assert "B-1" not in await complete_cross(asking.desk, asking.by(MOSS), "")
