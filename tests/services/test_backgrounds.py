"""What a cross rests on beside its parents: the species, how the sexes come about, what is taken along and what is not."""

from fractions import Fraction

import pytest

from bot.services.backgrounds import Beside, Grounds, spelled_system
from bot.services.bins import NewBin, open_bin
from bot.services.odds import odds_of
from bot.services.questions import question_of
from bot.services.refusals import NoSuchSpecies, Refusal, TraitOfAnother, TwoSpecies, WordNotKnown
from bot.services.refusals_traits import CrossNotPossible, DaughtersDecided, ShareNotRead
from bot.services.trait_words import ModelText
from bot.services.traits import define_trait
from genetics import CrossFault, CrossRefused, Genome, SexSystem
from tests.support.asking import Asking

VULGARE, NASATUM, SCABER = "Armadillidium vulgare", "Armadillidium nasatum", "Porcellio scaber"
HALF = Fraction(1, 2)


@pytest.mark.parametrize(
    ("text", "system"),
    [
        ("het ember x wild", SexSystem.UNKNOWN),
        ("+/e x e/e", SexSystem.UNKNOWN),
        ("Z^e/W x Z^+/Z^e", SexSystem.ZZ_ZW),
        ("Z/Z x Z/Z", SexSystem.ZZ_ZW),
        ("X^e/X^+ x X^+/Y", SexSystem.XX_XY),
        ("+/e; X/X x e/e; X/Y", SexSystem.XX_XY),
        ("X^e/X^+ x X^+/0", SexSystem.X0),
        ("+/h x h/-", SexSystem.HAPLODIPLOID),
        ("het W-line x wild/wild", SexSystem.UNKNOWN),
        ("visual Zed x +/z", SexSystem.UNKNOWN),
    ],
)
def test_chromosomes_in_a_cross_say_how_the_sexes_come_about(text: str, system: SexSystem) -> None:
    assert spelled_system(text) is system


def test_what_is_beside_a_cross_comes_back_from_its_values() -> None:
    beside = Beside(species=VULGARE, daughters="80 %", sexes="feminised mother")
    assert Beside.of({"cross": "a x b", "observed": "", **beside.values}) == beside
    assert Beside().values == {}


async def background(asking: Asking, cross: str, beside: Beside = Beside()) -> tuple[Genome, Grounds]:  # noqa: B008  # frozen
    found = (await question_of(asking.desk, asking.by(), cross, beside)).background
    return found.genome, found.grounds


async def test_a_plain_cross_knows_nothing_of_sexes_whatever_its_species(asking: Asking) -> None:
    await define_trait(asking.desk, asking.by(), name="ember", dominance="recessive", species=VULGARE)
    genome, grounds = await background(asking, "het ember x het ember")
    assert genome == Genome()
    assert (grounds.system, grounds.daughters, grounds.species) == (None, None, VULGARE)


async def test_the_species_is_the_one_typed_that_of_the_bins_or_that_of_the_traits(asking: Asking) -> None:
    zed = ModelText(place="X or Z")
    await define_trait(asking.desk, asking.by(), name="zed", dominance="recessive", model=zed)
    await define_trait(asking.desk, asking.by(), name="own", dominance="recessive", model=zed, species=NASATUM)
    opened = await open_bin(asking.desk, asking.by(), NewBin(species=VULGARE, holds="visual zed"))
    for cross, beside, system in (
        ("visual zed x wild", Beside(species=VULGARE), SexSystem.ZZ_ZW),
        ("visual own x wild", Beside(), SexSystem.XX_XY),
        (f"{opened.row.code} x wild", Beside(), SexSystem.ZZ_ZW),
    ):
        genome, grounds = await background(asking, cross, beside)
        assert (genome.system, grounds.system, grounds.spelled) == (system, system, False)
    spelled = await background(asking, "Z^z/W x Z^+/Z^+")
    assert (spelled[0].system, spelled[1].spelled) == (SexSystem.ZZ_ZW, True)


async def test_where_no_chromosome_decides_half_are_taken_as_daughters_unless_stated(asking: Asking) -> None:
    await define_trait(asking.desk, asking.by(), name="blush", dominance="recessive", model=ModelText(sex="males only"))
    genome, grounds = await background(asking, "het blush x het blush")
    assert (genome.daughters, grounds.assumed, grounds.system) == (HALF, True, SexSystem.UNKNOWN)
    genome, grounds = await background(asking, "het blush x het blush", Beside(daughters="80 %"))
    assert (genome.daughters, grounds.assumed) == (Fraction(4, 5), False)
    genome, grounds = await background(asking, "het blush x het blush", Beside(species=VULGARE))
    assert (genome.daughters, grounds.daughters, grounds.system) == (None, None, SexSystem.ZZ_ZW)


@pytest.mark.parametrize(
    ("cross", "beside", "kind"),
    [
        ("visual zed x wild", Beside(), CrossNotPossible),
        ("visual zed x wild", Beside(species=SCABER), CrossNotPossible),
        ("visual zed x wild", Beside(species="Porcelio scaber"), NoSuchSpecies),
        ("B-1 x wild", Beside(species=NASATUM), TwoSpecies),
        ("visual own x wild", Beside(species=VULGARE), TraitOfAnother),
        ("visual zed x wild", Beside(species=VULGARE, daughters="80 %"), DaughtersDecided),
        ("visual zed x wild", Beside(species=VULGARE, sexes="strange"), WordNotKnown),
        ("visual zed x wild", Beside(species=NASATUM, sexes="feminised mother"), CrossNotPossible),
        ("visual zed x wild", Beside(species=VULGARE, sexes="feminised mother"), CrossNotPossible),
        ("visual zed x wild", Beside(species=VULGARE, sexes="feminised mother", daughters="lots"), ShareNotRead),
        ("het zed x wild", Beside(species=VULGARE), CrossNotPossible),
    ],
)
async def test_what_does_not_go_together_is_refused(
    asking: Asking, cross: str, beside: Beside, kind: type[Refusal]
) -> None:
    zed = ModelText(place="X or Z")
    await define_trait(asking.desk, asking.by(), name="zed", dominance="recessive", model=zed)
    await define_trait(asking.desk, asking.by(), name="own", dominance="recessive", model=zed, species=NASATUM)
    await open_bin(asking.desk, asking.by(), NewBin(species=VULGARE, holds="visual zed"))
    with pytest.raises(kind):
        await odds_of(asking.desk, asking.by(), cross, beside)


async def test_a_clonal_species_offers_the_mother_alone(asking: Asking) -> None:
    await define_trait(asking.desk, asking.by(), name="ink", dominance="recessive", species="Trichorhina tomentosa")
    with pytest.raises(CrossNotPossible) as caught:
        await odds_of(asking.desk, asking.by(), "het ink x visual ink")
    assert isinstance(caught.value.error, CrossRefused)
    assert caught.value.error.fault is CrossFault.CLONAL_MALE
    assert caught.value.alone == "het ink"
    odds = await odds_of(asking.desk, asking.by(), "het ink")
    assert odds.sire is None
    assert [(trait.name, share) for trait, share in odds.classes[0].carriers] == [("ink", 1)]
