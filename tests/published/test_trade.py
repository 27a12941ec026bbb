"""What the trade knows. Each: common practice, no source."""

from genetics import Appearance, Dominance, Trait, offspring, parent, read_cross

ODD = Trait("odd", "o", Dominance.RECESSIVE)


def test_an_odd_animal_crossed_to_wild_stock_gives_no_visuals_at_first_and_all_young_carry() -> None:
    """Common practice, no source: if the trait is recessive, the first generation shows nothing and hides everything."""
    for text in ("odd x wild", "wild x odd"):
        cross = read_cross(text, [ODD])
        first = offspring(parent(cross.dam, [ODD]), parent(cross.sire, [ODD]), [ODD])
        assert first.share({ODD: Appearance.FULL}) == 0
        assert first.ceiling({ODD: Appearance.FULL}) == 0
        assert first.carriers(ODD) == 1


def test_the_first_generation_bred_together_brings_it_back_in_one_of_four() -> None:
    """Common practice, no source; it is also Mendel's F2."""
    cross = read_cross("het odd x het odd", [ODD])
    second = offspring(parent(cross.dam, [ODD]), parent(cross.sire, [ODD]), [ODD])
    assert second.ratio() == (3, 1)
