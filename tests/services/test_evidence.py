"""From the book's pairings and broods to a verdict: what is weighed, how it is read, and what is left out."""

from datetime import timedelta
from fractions import Fraction

import pytest
from pytest_asyncio import fixture as async_fixture

from bot.services.bins import NewBin, open_bin
from bot.services.brood_text import NewBrood
from bot.services.broods import log_brood, score_again
from bot.services.evidence import evidence_of
from bot.services.holdbacks import keep_back
from bot.services.pairing_setup import NewPairing, set_up
from bot.services.pairings import young_seen
from bot.services.programme import Omitted
from bot.services.refusals import Refusal
from bot.services.refusals_evidence import NothingToWeigh, RecordsContradict, TooLong
from bot.services.trait_words import ModelText
from bot.services.traits import define_trait
from bot.workers import Overdue, Workers
from genetics import Appearance, Sex
from genetics.evidence.explanations import Cause
from genetics.evidence.findings import Word
from genetics.evidence.programme import (
    Brood,
    Counted,
    Dam,
    Founders,
    Kept,
    Mated,
    Pairing,
    Programme,
    Sharing,
    Stock,
)
from genetics.evidence.weighing import weigh
from genetics.genome import SexSystem
from tests.support.asking import ELSEWHERE, MOSS, Asking

DAY = timedelta(days=1)
FIRST = NewPairing(
    dams="1 unmated wild called Pearl from B-1", sires="1 visual ember called Rust from B-2", question="ember"
)
SECOND = NewPairing(dams="2 unmated wild from B-4", sires="Rust", question="ember")


@async_fixture
async def bred(asking: Asking) -> Asking:
    """A visual male, his wild-looking young by an unmated dam, and two of these put back to him."""
    await define_trait(asking.desk, asking.by(), name="ember", dominance="recessive")
    for _ in range(2):
        await open_bin(asking.desk, asking.by(), NewBin(species="Porcellio scaber", animals="30"))
    await set_up(asking.desk, asking.by(), FIRST)
    await log_brood(asking.desk, asking.by(), NewBrood(of="P-1", scored="24 wild, 9 weeks", born="30"))
    await keep_back(asking.desk, asking.by(), brood_text="P-1.1", keep_text="6 wild")
    await set_up(asking.desk, asking.by(), SECOND)
    await log_brood(
        asking.desk,
        asking.by(),
        NewBrood(of="P-2", scored="6 ember females, 5 ember males, 13 wild, 9 weeks, 2 unsure"),
    )
    return asking


async def test_the_book_is_read_as_it_says(bred: Asking) -> None:
    """The same programme written by hand gives the same findings."""
    evidence = await evidence_of(bred.desk, bred.by(), "ember")
    by_hand = Programme(
        groups=(
            Founders("pearl", Sex.FEMALE, stock=Stock.AWAY, look=Appearance.WILD),
            Founders("rust", Sex.MALE, stock=Stock.HOME, odd=True, look=Appearance.FULL),
            Kept("daughters", Sex.FEMALE, "first", 2, Appearance.WILD),
        ),
        pairings=(
            Pairing("one", (Dam("pearl", Mated.ISOLATED),), ("rust",)),
            Pairing("two", (Dam("daughters", Mated.ISOLATED),), ("rust",), mothers=Sharing.EACH),
        ),
        broods=(
            Brood("first", "one", "B-3", (Counted(Appearance.WILD, 24),), born=30),
            Brood(
                "second",
                "two",
                "B-5",
                (
                    Counted(Appearance.FULL, 6, Sex.FEMALE),
                    Counted(Appearance.FULL, 5, Sex.MALE),
                    Counted(Appearance.WILD, 13),
                ),
                unscored=2,
            ),
        ),
        system=SexSystem.UNKNOWN,
    )
    expected = weigh(by_hand)
    assert [(s.cause, pytest.approx(s.posterior, abs=1e-12)) for s in expected.shares] == [
        (s.cause, s.posterior) for s in evidence.findings.shares
    ]
    assert evidence.findings.verdict == expected.verdict
    assert sorted(evidence.labels.values()) == ["2 dams of P-2 from B-4", "Pearl", "Rust"]
    assert sorted(evidence.codes.values()) == ["P-1.1", "P-2.1"]
    assert (evidence.young, evidence.keepers, evidence.species.name) == (48, 1, "Porcellio scaber")


async def test_a_backcross_of_a_recessive_leans_to_recessive(bred: Asking) -> None:
    findings = (await evidence_of(bred.desk, bred.by(), "Ember")).findings
    assert findings.leader.cause is Cause.RECESSIVE
    assert findings.verdict.word in (Word.LEANING, Word.SUPPORTED)
    for _ in range(2):
        await log_brood(bred.desk, bred.by(), NewBrood(of="P-2", scored="12 ember 12 wild, 9 weeks"))
    more = (await evidence_of(bred.desk, bred.by(), "ember")).findings
    assert more.leader.cause is Cause.RECESSIVE
    assert more.leader.posterior > findings.leader.posterior


async def test_the_latest_look_is_what_is_weighed(bred: Asking) -> None:
    before = (await evidence_of(bred.desk, bred.by(), "ember")).findings
    await score_again(bred.desk, bred.by(after=DAY), "P-2.1", "11 ember 13 wild, 12 weeks")
    same = (await evidence_of(bred.desk, bred.by(), "ember")).findings
    assert same.leader.posterior == pytest.approx(before.leader.posterior, abs=0.05)
    await score_again(bred.desk, bred.by(after=2 * DAY), "P-2.1", "0 ember 24 wild, 14 weeks")
    after = (await evidence_of(bred.desk, bred.by(), "ember")).findings
    shares = {share.cause: share.posterior for share in after.shares}
    assert shares[Cause.RECESSIVE] < before.leader.posterior / 2


async def test_what_cannot_speak_is_left_out_and_named(bred: Asking) -> None:
    await log_brood(bred.desk, bred.by(), NewBrood(of="P-2", born="12"))
    await young_seen(bred.desk, bred.by(), "P-2")
    await log_brood(bred.desk, bred.by(after=200 * DAY), NewBrood(of="P-2", scored="9 wild", day="yesterday"))
    evidence = await evidence_of(bred.desk, bred.by(), "ember")
    assert evidence.omitted == (("P-2.2", Omitted.UNSCORED), ("P-2.3", Omitted.MIXED))


async def test_a_brood_too_young_to_be_read_is_left_out(asking: Asking) -> None:
    await define_trait(asking.desk, asking.by(), name="frost", dominance="recessive", model=ModelText(week="8"))
    await open_bin(asking.desk, asking.by(), NewBin(species="Porcellio scaber", animals="30"))
    await set_up(
        asking.desk, asking.by(), NewPairing(dams="1 from B-1", sires="1 visual frost from B-1", question="frost")
    )
    await log_brood(asking.desk, asking.by(), NewBrood(of="P-1", scored="9 wild, 5 weeks"))
    with pytest.raises(NothingToWeigh) as caught:
        await evidence_of(asking.desk, asking.by(), "frost")
    assert caught.value.omitted == (("P-1.1", Omitted.TOO_YOUNG),)


async def test_a_brood_found_in_a_bin_is_weighed_as_found(asking: Asking) -> None:
    await define_trait(asking.desk, asking.by(), name="ember", dominance="recessive")
    await open_bin(asking.desk, asking.by(), NewBin(species="Armadillidium vulgare", animals="60"))
    await log_brood(asking.desk, asking.by(), NewBrood(of="B-1", scored="2 ember 9 wild, 9 weeks"))
    evidence = await evidence_of(asking.desk, asking.by(), "ember")
    by_hand = Programme(
        groups=(
            Founders("f", Sex.FEMALE, number=None, stock=Stock.HOME),
            Founders("m", Sex.MALE, number=None, stock=Stock.HOME),
        ),
        pairings=(Pairing("o", (Dam("f", Mated.ISOLATED),), ("m",), mothers=Sharing.EACH, fathers=Sharing.EACH),),
        broods=(Brood("b", "o", "B-1", (Counted(Appearance.FULL, 2), Counted(Appearance.WILD, 9)), found=True),),
        system=SexSystem.ZZ_ZW,
    )
    assert evidence.findings.leader.posterior == pytest.approx(weigh(by_hand).leader.posterior, abs=1e-12)
    assert evidence.findings.verdict.word is Word.OPEN


async def test_what_the_keeper_was_told_of_a_founder_is_taken_along(bred: Asking) -> None:
    await set_up(
        bred.desk, bred.by(), NewPairing(dams="1 unmated 66% het ember from B-1", sires="Rust", question="ember")
    )
    await log_brood(bred.desk, bred.by(), NewBrood(of="P-3", scored="7 wild, 9 weeks"))
    evidence = await evidence_of(bred.desk, bred.by(), "ember")
    carriers = {evidence.labels[one.group]: one.carries for one in evidence.findings.standings}
    # Seven wild-looking young of a mate that shows: 2/3 x 2^-7 against 1/3, a little more as not every one must show.
    assert float(Fraction(1, 65)) < carriers["dam of P-3 from B-1"] < 0.1


async def test_without_broods_there_is_no_verdict(bred: Asking) -> None:
    await define_trait(bred.desk, bred.by(), name="ink", dominance="recessive")
    with pytest.raises(NothingToWeigh):
        await evidence_of(bred.desk, bred.by(), "ink")
    with pytest.raises(Refusal):
        await evidence_of(bred.desk, bred.by(), "no such trait")


async def test_broods_of_a_clonal_species_are_not_weighed(asking: Asking) -> None:
    await define_trait(asking.desk, asking.by(), name="ember", dominance="recessive")
    await open_bin(asking.desk, asking.by(), NewBin(species="Trichorhina tomentosa", animals="60"))
    await log_brood(asking.desk, asking.by(), NewBrood(of="B-1", scored="2 ember 9 wild, 9 weeks"))
    with pytest.raises(RecordsContradict):
        await evidence_of(asking.desk, asking.by(), "ember")


async def test_another_server_is_not_weighed(bred: Asking) -> None:
    await define_trait(bred.desk, bred.by(server=ELSEWHERE), name="ember", dominance="recessive")
    with pytest.raises(NothingToWeigh):
        await evidence_of(bred.desk, bred.by(MOSS, server=ELSEWHERE), "ember")


async def test_a_weighing_that_takes_too_long_is_given_up_and_says_what_makes_it_long(
    bred: Asking, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def late(*_: object, deadline: float, **__: object) -> None:
        raise Overdue(deadline)

    monkeypatch.setattr(Workers, "run", late)
    with pytest.raises(TooLong) as caught:
        await evidence_of(bred.desk, bred.by(), "ember")
    assert (caught.value.seconds, caught.value.most) == (60.0, "2 dams of P-2 from B-4")


async def test_a_parent_with_one_copy_of_what_shows_in_part_is_read_as_showing_it(asking: Asking) -> None:
    """A het of an incompletely dominant trait is an odd animal that shows in part, and no wild-looking carrier."""
    await define_trait(asking.desk, asking.by(), name="frost", dominance="incompletely dominant")
    await open_bin(asking.desk, asking.by(), NewBin(species="Porcellio scaber", animals="30"))
    new = NewPairing(dams="1 unmated het frost from B-1", sires="1 wild from B-1", question="frost")
    await set_up(asking.desk, asking.by(), new)
    await log_brood(asking.desk, asking.by(), NewBrood(of="P-1", scored="4 het frost 5 wild, 9 weeks"))
    groups = (await evidence_of(asking.desk, asking.by(), "frost")).programme.groups
    dam = next(group for group in groups if group.sex is Sex.FEMALE)
    assert isinstance(dam, Founders)
    assert (dam.odd, dam.look) == (True, Appearance.PARTIAL)
