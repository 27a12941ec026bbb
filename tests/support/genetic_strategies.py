"""All hypothesis strategies for genetics, in one place."""

from fractions import Fraction
from string import ascii_letters

from hypothesis import strategies as st

from genetics import (
    Appearance,
    BinCode,
    CrossText,
    Dominance,
    KeptBack,
    MixedKinds,
    Parent,
    Side,
    State,
    Stated,
    Store,
    Trait,
    TraitRefused,
)

DOMINANCES = st.sampled_from(Dominance)
SYMBOLS = st.text(ascii_letters, min_size=1, max_size=4)
FRIENDLY_NAMES = st.sampled_from(
    [
        "ember", "frost", "Blue Moon", "blue", "moon", "wild rose", "super orange", "orange", "🔥", "white-out", "T2",
        "no 7", "7", "Straße", "İnci", "высокий", "het-like", "x-ray", "0.5", "dalmatian II", "👩‍🔬 lab", "B-12", "é",
    ]
)  # fmt: skip
ANY_NAMES = st.one_of(FRIENDLY_NAMES, st.text(min_size=1, max_size=12))
CHANCES = st.integers(2, 1000).flatmap(
    lambda lower: st.integers(1, lower - 1).map(lambda upper: Fraction(upper, lower))
)
CODES = st.sampled_from(["B-1", "B-12", "C7", "b-120"])


def is_code(word: str) -> bool:
    return word in ("B-1", "B-12", "C7", "b-120")


def _possible(name: str, symbol: str) -> bool:
    try:
        Trait(name, symbol, Dominance.RECESSIVE)
    except TraitRefused:
        return False
    return True


TRAITS = st.builds(
    Trait,
    ANY_NAMES.filter(lambda name: _possible(name, "e")),
    SYMBOLS.filter(lambda symbol: _possible("ember", symbol)),
    DOMINANCES,
)


def trait_lists(min_size: int = 1, max_size: int = 3) -> st.SearchStrategy[tuple[Trait, ...]]:
    """Traits with names and symbols of their own."""
    own = (lambda trait: trait.words, lambda trait: trait.symbol)
    return st.lists(TRAITS, min_size=min_size, max_size=max_size, unique_by=own).map(lambda traits: (*traits,))


def statements(trait: Trait) -> st.SearchStrategy[Stated]:
    """Every state that the trait can be in, wild included."""
    if trait.dominance is Dominance.RECESSIVE:
        return st.one_of(
            st.sampled_from([State.WILD, State.HET, State.VISUAL]).map(lambda state: Stated(trait, state)),
            CHANCES.map(lambda chance: Stated(trait, State.POSSIBLE_HET, chance)),
        )
    return st.sampled_from([State.WILD, State.HET, State.HOMOZYGOUS]).map(lambda state: Stated(trait, state))


@st.composite
def stated_sides(draw: st.DrawFn, traits: tuple[Trait, ...]) -> Side:
    """A side in any order of its traits, without a bin."""
    order = draw(st.permutations(traits))
    return Side(tuple(draw(statements(trait)) for trait in order))


def sides(traits: tuple[Trait, ...]) -> st.SearchStrategy[Side]:
    """A side of statements, or a bin."""
    named = {trait.words for trait in traits}
    bins = CODES.filter(lambda code: (code.casefold(),) not in named).map(lambda code: Side((BinCode(code),)))
    return st.one_of(stated_sides(traits), bins)


@st.composite
def crosses(draw: st.DrawFn, *, bins: bool = True) -> tuple[tuple[Trait, ...], CrossText]:
    """Traits, and a cross of them."""
    traits = draw(trait_lists())
    side = sides if bins else stated_sides
    return traits, CrossText(draw(side(traits)), draw(side(traits)))


def looks_of(trait: Trait) -> st.SearchStrategy[tuple[Trait, Appearance]]:
    """A trait and how an animal can look in it."""
    incomplete = trait.dominance is Dominance.INCOMPLETE
    seen = Appearance if incomplete else (Appearance.WILD, Appearance.FULL)
    return st.sampled_from(list(seen)).map(lambda look: (trait, look))


@st.composite
def animals(draw: st.DrawFn, traits: tuple[Trait, ...], depth: int = 2) -> Side:
    """One animal: as listed, a bin, drawn from several kinds, or kept back from a cross; these within each other."""
    kind = draw(st.sampled_from(["listed", "mixed", "kept"])) if depth else "listed"
    if kind == "listed":
        return draw(sides(traits))
    inner = animals(traits, depth - 1)
    if kind == "mixed":
        kinds = draw(st.lists(st.tuples(st.integers(1, 1_000_000), inner), min_size=2, max_size=3))
        return Side((MixedKinds(tuple(kinds)),))
    looks = [draw(looks_of(trait)) for trait in draw(st.permutations(traits))]
    dam = draw(inner)
    dam = Side(dam.items, 1, draw(stores(traits, depth - 1)))
    return Side((KeptBack(tuple(looks), dam, draw(inner)),))


def stores(traits: tuple[Trait, ...], depth: int = 1) -> st.SearchStrategy[Store | None]:
    """What a dam may carry of males before; often nothing."""
    shares = st.one_of(st.none(), CHANCES, st.just(Fraction(1)))
    return st.one_of(st.none(), st.builds(Store, animals(traits, depth), shares))


@st.composite
def rich_crosses(draw: st.DrawFn) -> tuple[tuple[Trait, ...], CrossText]:
    """Traits, and a cross of parents as keepers know them: several, kept back, mixed, with sperm of males before."""
    traits = draw(trait_lists())
    dam = Side(draw(animals(traits)).items, draw(st.integers(1, 100)), draw(stores(traits)))
    return traits, CrossText(dam, Side(draw(animals(traits)).items, draw(st.integers(1, 5))))


@st.composite
def weighted_kinds(draw: st.DrawFn, traits: tuple[Trait, ...]) -> list[tuple[Fraction, tuple[int, ...]]]:
    """Up to four kinds of whole animals with shares that sum to 1: traits may be associated in any way."""
    copies = draw(st.lists(st.tuples(*(st.integers(0, 2) for _ in traits)), min_size=1, max_size=4, unique=True))
    weights = [draw(st.integers(1, 5)) for _ in copies]
    return [(Fraction(weight, sum(weights)), kind) for weight, kind in zip(weights, copies, strict=True)]


@st.composite
def mixed_pairs(
    draw: st.DrawFn, max_size: int = 2
) -> tuple[tuple[Trait, ...], list[tuple[Fraction, tuple[int, ...]]], list[tuple[Fraction, tuple[int, ...]]]]:
    """Traits, and two parents given as kinds of whole animals."""
    traits = draw(trait_lists(max_size=max_size))
    return traits, draw(weighted_kinds(traits)), draw(weighted_kinds(traits))


def parents_of(
    traits: tuple[Trait, ...],
    dams: list[tuple[Fraction, tuple[int, ...]]],
    sires: list[tuple[Fraction, tuple[int, ...]]],
) -> tuple[Parent, Parent]:
    return Parent.of(traits, dams), Parent.of(traits, sires)


@st.composite
def scribbles(draw: st.DrawFn) -> str:
    """Text near the notation: its own words and marks thrown together, or any text at all."""
    pieces = st.sampled_from(
        [
            "het", "visual", "wild", "x", "×", "xx", "ember", "embr", "frost", "blue", "moon", "66%", "67", "%", "2/3",
            "1/0", "e/e", "+/e", "+", "/", "e", "f", "q", ";", ",", "and", "&", "(", ")", "(2/3)", "or", "+/+",
            "from", "had", "males", "of", "siring", "28%", "3", "dams", "sires", "not", "(", ")", "x",
            "possible", "super", "co-dom", "homozygous", "for", "B-12", "150%", "0.5", "12,5%", "type", "*", "🔥", "İ",
        ]
    )  # fmt: skip
    words = st.lists(pieces, max_size=9).flatmap(
        lambda chosen: st.lists(st.sampled_from(["", " ", "  "]), min_size=len(chosen), max_size=len(chosen)).map(
            lambda gaps: "".join(piece + gap for piece, gap in zip(chosen, gaps, strict=True))
        )
    )
    return draw(st.one_of(words, st.text(max_size=40)))
