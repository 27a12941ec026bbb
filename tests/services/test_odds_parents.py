"""The odds of parents as they are known: mixed bins, young kept back, several dams, sperm of males before."""

from fractions import Fraction
from math import comb

import pytest

from bot.records import Sex
from bot.services.observed import observed_of
from bot.services.odds import Odds, genes_of, odds_of, swapped
from bot.services.parentage import Leaning
from bot.services.raising import raising_of
from bot.services.refusals import BinLabel, MixedStated, NothingStated, TooCostly
from bot.services.refusals_crosses import CannotCome, NoneOfThatSex, ParentsApart
from genetics import Role, TooLarge
from tests.support.asking import Asking
from tests.support.founding import with_mixed_bin, with_recessives

F = Fraction


async def ask(asking: Asking, text: str) -> Odds:
    return await odds_of(asking.desk, asking.by(), text)


def shares(odds: Odds) -> dict[tuple[str, ...], Fraction]:
    return {tuple(look.value for look in c.looks.values()): c.share for c in odds.classes}


async def test_the_trap_of_a_mixed_bin(asking: Asking) -> None:
    """science.md §2: dams and sires half e/e F/F, half +/+ f/f give no double visual; the product of shares says 1/16."""
    await with_recessives(asking, "ember", "frost")
    code = await with_mixed_bin(asking, ("visual ember", 10), ("visual frost", 10))
    odds = await ask(asking, f"{code} x {code}")
    assert shares(odds) == {("wild", "wild"): F(1, 2), ("wild", "full"): F(1, 4), ("full", "wild"): F(1, 4)}
    assert odds.leaning == Leaning(one_sire=False, mixed=True)
    assert odds.dam.label == BinLabel(code)
    assert odds.dam.written == "10 visual ember or 10 visual frost"


async def test_a_bin_of_several_kinds_is_drawn_from_by_their_numbers(asking: Asking) -> None:
    await with_recessives(asking, "ember")
    code = await with_mixed_bin(asking, ("visual ember", 2), ("het ember", 3), ("wild", 1), ("het ember", 4))
    odds = await ask(asking, f"{code} x visual ember")
    assert odds.dam.written == "2 visual ember or 7 het ember or 1 wild"
    assert odds.target is not None
    assert odds.target.share == F(2, 10) + F(7, 10) / 2
    # One brood is a draw from a kind: none of them shows with the chance of a wild dam, at least.
    assert odds.see is not None
    assert odds.see.ceiling == F(9, 10)
    typed = await ask(asking, "2 visual ember or 7 het ember or 1 wild x visual ember")
    assert shares(typed) == shares(odds)


async def test_kinds_of_which_nobody_says_how_many_are_each_named(asking: Asking) -> None:
    await with_recessives(asking, "ember")
    code = await with_mixed_bin(asking, ("visual ember", 2), ("het ember", None))
    with pytest.raises(MixedStated) as caught:
        await ask(asking, f"{code} x wild")
    assert caught.value.label == BinLabel(code)
    assert caught.value.kinds == (("visual ember", 2), ("het ember", None))


async def test_founders_that_are_alike_are_one_kind_however_many_groups_they_came_in(asking: Asking) -> None:
    await with_recessives(asking, "ember", "frost")
    code = await with_mixed_bin(asking, ("het ember, visual frost", 2), ("visual frost, het ember", None))
    odds = await ask(asking, f"{code} x wild")
    assert odds.dam.written == "het ember, visual frost"
    assert odds.leaning == Leaning()


async def test_founders_of_the_other_sex_are_no_parents(asking: Asking) -> None:
    await with_recessives(asking, "ember")
    code = await with_mixed_bin(asking, ("visual ember", 2, Sex.FEMALE), ("wild", 5, Sex.MALE))
    assert (await ask(asking, f"{code} x het ember")).dam.written == "visual ember"
    odds = await ask(asking, f"het ember x {code}")
    assert odds.sire.written == "wild"
    # The reciprocal cross has other parents, so there is something to swap.
    assert odds.swaps
    only = await with_mixed_bin(asking, ("visual ember", 1, Sex.MALE))
    with pytest.raises(NoneOfThatSex) as caught:
        await ask(asking, f"{only} x wild")
    assert (caught.value.label, caught.value.role) == (BinLabel(only), Role.DAM)
    assert not (await ask(asking, f"wild x {only}")).swaps


async def test_a_young_kept_back_from_recorded_bins(asking: Asking) -> None:
    await with_recessives(asking, "ember")
    hets = await with_mixed_bin(asking, ("het ember", 14))
    odds = await ask(asking, f"wild from {hets} x {hets} x visual ember")
    assert odds.target is not None
    assert odds.target.share == F(1, 3)
    assert odds.see is not None
    assert (odds.see.ceiling, odds.see.see_if_possible) == (F(2, 3), 5)
    (kept,) = odds.leaning.kept_as
    assert odds.leaning == Leaning(kept=True, kept_as=(kept,))
    assert (kept.role, kept.trait.name, kept.once, kept.twice) == (Role.DAM, "ember", F(2, 3), 0)
    assert odds.uncertain
    genes = await genes_of(asking.desk, asking.by(), "=wild from het ember x het ember x visual ember")
    assert dict(genes.young) == {"+/e": F(2, 3), "e/e": F(1, 3)}
    assert genes.dam == "+/e (2/3) or +/+ (1/3)"
    with pytest.raises(CannotCome) as caught:
        await ask(asking, "ember from wild x het ember x wild")
    assert caught.value.what == "ember full"


async def test_sperm_of_males_before_and_the_answer_without_it(asking: Asking) -> None:
    await with_recessives(asking, "ember")
    wild = await with_mixed_bin(asking, ("wild", 30), name="wild stock")
    odds = await ask(asking, f"visual ember had males of {wild} x visual ember")
    stored = odds.leaning.stored
    assert stored is not None
    assert (stored.share, stored.without, stored.males.label) == (None, 1, BinLabel(wild, "wild stock"))
    assert odds.target is not None
    # Half the dams have none left; otherwise the later male has 28 % (doi 10.1651/S-2752.1).
    assert odds.target.share == F(1, 2) + F(1, 2) * F(28, 100)
    assert odds.swaps
    known = await ask(asking, f"visual ember had males of {wild} siring 28% x visual ember")
    assert known.target is not None
    assert (known.target.share, known.leaning.stored and known.leaning.stored.share) == (F(72, 100), F(28, 100))
    empty = await with_mixed_bin(asking)
    with pytest.raises(NothingStated):
        await ask(asking, f"visual ember had males of {empty} x visual ember")


async def test_several_dams_share_one_sire_that_is_stated_and_have_their_own_from_a_bin(asking: Asking) -> None:
    await with_recessives(asking, "ember")
    code = await with_mixed_bin(asking, ("het ember", 2), ("wild", 1))
    one = await ask(asking, "3 dams visual ember x 66% het ember")
    many = await ask(asking, f"3 dams visual ember x {code}")
    assert (one.leaning.dams, one.leaning.one_sire, many.leaning.one_sire) == (3, True, False)
    assert one.see is not None
    assert many.see is not None
    assert (one.see.ceiling, many.see.ceiling) == (F(2, 3), 1 - F(1, 3) ** 3)

    def chance(young: int) -> Fraction:
        """At least one of so many shows: of three dams, each a carrier with 2/3, k are, and each has a third of the young."""
        return 1 - sum(comb(3, k) * F(2, 3) ** k * F(1, 3) ** (3 - k) * (1 - F(k, 6)) ** young for k in range(4))

    apart = await ask(asking, "3 dams 66% het ember x visual ember")
    assert apart.see is not None
    assert apart.see.see == next(young for young in range(1, 99) if chance(young) >= F(95, 100)) == 16
    raising = await raising_of(asking.desk, asking.by(), f"=3 dams visual ember x {code}")
    assert [h.ceiling for h in raising.rows[0][1]] == [F(26, 27)] * 3
    with pytest.raises(ParentsApart):
        await observed_of(asking.desk, asking.by(), "3 dams 66% het ember x visual ember", "3 ember, 20 wild")


async def test_only_what_tells_dam_from_sire_is_worth_a_swap(asking: Asking) -> None:
    await with_recessives(asking, "ember")
    for text in ("het ember x visual ember", "66% het ember x visual ember", "wild x wild"):
        assert not (await ask(asking, text)).swaps
    several = await ask(asking, "3 dams 66% het ember x visual ember")
    assert several.swaps
    other = await swapped(asking.desk, asking.by(), several.reference)
    assert (other.dam.written, other.sire.written) == ("3 dams visual ember", "66% het ember")
    assert other.text == "3 dams visual ember x 66% het ember"
    assert other.swaps
    assert other.see is not None
    assert other.see.ceiling == F(2, 3)


async def test_more_dams_than_can_be_reckoned_with_are_refused_with_how_many_would_do(asking: Asking) -> None:
    names = ("ember", "frost", "ink", "kite", "ash")
    await with_recessives(asking, *names)
    side = ", ".join(f"66% het {name}" for name in names)
    with pytest.raises(TooCostly) as caught:
        await ask(asking, f"100 dams {side} x {side}")
    assert isinstance(caught.value.error, TooLarge)
    fits = caught.value.error.fits
    assert caught.value.error.unit == "dams"
    assert 1 < fits < 100
    assert (await ask(asking, f"{fits} dams {side} x {side}")).leaning.dams == fits
    assert (await ask(asking, "100 dams 66% het ember x 66% het ember")).leaning.dams == 100
