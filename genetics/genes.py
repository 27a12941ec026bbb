"""Gene notation of known genotypes: `+/e`, `+/e; f/f`, `+/e (2/3) or +/+`."""

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import NamedTuple

from genetics.errors import Problem
from genetics.figures import read_figure
from genetics.mending import Fault, dropped, instead
from genetics.sides import State, Stated
from genetics.traits import Dominance, Trait
from genetics.words import JOINS, MARKS, WILD_ALLELE, Token

Symbols = Mapping[str, Sequence[Trait]]
"""The traits that use each gene symbol."""


class Genes(NamedTuple):
    """A pair of homologues as read: what it states (None: both alleles wild), the index after it, and a figure."""

    stated: Stated | None
    after: int
    rounded: tuple[str, Fraction] | None = None


def read_genes(text: str, tokens: list[Token], index: int, high: int, symbols: Symbols) -> Genes | None:
    """The pair of homologues that stands at a token, or None if none begins there. Raises Fault."""
    left = _run(tokens, index, high, symbols)
    slash = left if left > index else index + 1
    if tokens[index].word == "/":
        raise Fault(Problem.UNBALANCED, tokens[index].start, tokens[index].end)
    if slash >= high or tokens[slash].word != "/" or tokens[index].word in MARKS.replace(WILD_ALLELE, ""):
        return None
    if left == index:
        raise _unknown_allele(text, tokens[index], symbols)
    right = _run(tokens, slash + 1, high, symbols)
    _check_shape(text, tokens, (index, slash, right, high), symbols)
    trait, copies = _locus(text, tokens[index], tokens[slash + 1], symbols)
    if right < high and tokens[right].word == "(":
        return _maybe(text, tokens, (index, right, high), trait, copies)
    if trait is None:
        return Genes(None, right)
    if copies == 1:
        return Genes(Stated(trait, State.HET), right)
    return Genes(Stated(trait, State.VISUAL if trait.dominance is Dominance.RECESSIVE else State.HOMOZYGOUS), right)


def _run(tokens: list[Token], index: int, high: int, symbols: Symbols) -> int:
    """The index after the alleles that stand here."""
    while index < high and (tokens[index].raw == WILD_ALLELE or tokens[index].raw in symbols):
        index += 1
    return index


def _unknown_allele(text: str, token: Token, symbols: Symbols) -> Fault:
    """No trait has this symbol; another case of the letters, or a trait's name, may be meant."""
    similar = [symbol for symbol in symbols if symbol.casefold() == token.word]
    similar += [symbol for symbol, traits in symbols.items() if any(trait.words == (token.word,) for trait in traits)]
    near = tuple(trait.name for symbol in similar for trait in symbols[symbol])
    rewrites = tuple(instead(text, token.start, token.end, symbol) for symbol in similar)
    return Fault(Problem.UNKNOWN_ALLELE, token.start, token.end, near=near, rewrites=rewrites)


def _check_shape(text: str, tokens: list[Token], places: tuple[int, int, int, int], symbols: Symbols) -> None:
    """One allele on each side of one slash; what else there is gets a Fault that says what it is."""
    first, slash, after, high = places
    if after == slash + 1:
        if after < high and tokens[after].word not in JOINS and tokens[after].word not in MARKS:
            raise _unknown_allele(text, tokens[after], symbols)
        raise Fault(Problem.UNBALANCED, tokens[slash].start, tokens[slash].end)
    if after < high and tokens[after].word == "/":
        last = tokens[after - 1]
        split = f"{text[: last.start].rstrip()}; {text[last.start :]}"
        rewrites = (split,) if after - slash > 2 else ()
        raise Fault(Problem.UNBALANCED, tokens[after].start, tokens[after].end, rewrites=rewrites)
    left, right = tokens[first:slash], tokens[slash + 1 : after]
    if len(left) != len(right):
        raise Fault(Problem.UNBALANCED, left[0].start, right[-1].end)
    if len(left) > 1:
        loci = "; ".join(f"{one.raw}/{other.raw}" for one, other in zip(left, right, strict=True))
        rewrite = instead(text, left[0].start, right[-1].end, loci)
        raise Fault(Problem.UNLINKED, left[0].start, right[-1].end, rewrites=(rewrite,))


def _locus(text: str, one: Token, other: Token, symbols: Symbols) -> tuple[Trait | None, int]:
    """Which trait's locus two alleles stand at (None if both are wild), and the copies of its allele."""
    own = [token for token in (one, other) if token.raw != WILD_ALLELE]
    if not own:
        return None, 0
    if len({token.raw for token in own}) > 1:
        offer = instead(text, one.start, other.end, f"+/{one.raw}; +/{other.raw}")
        raise Fault(Problem.TWO_LOCI, one.start, other.end, offers=(offer,))
    traits = symbols[own[0].raw]
    if len(traits) > 1:
        near = tuple(trait.name for trait in traits)
        raise Fault(Problem.AMBIGUOUS_ALLELE, own[0].start, own[0].end, near=near)
    return traits[0], len(own)


def _maybe(text: str, tokens: list[Token], places: tuple[int, int, int], trait: Trait | None, copies: int) -> Genes:
    """A figure in brackets after a het, with or without the other possibility spelt out."""
    first, opening, high = places
    bracket = tokens[opening]
    figure = read_figure(text, tokens, opening + 1, high) if opening + 1 < high else None
    if figure is None or figure.after >= high or tokens[figure.after].word != ")":
        raise Fault(Problem.FIGURE_UNREADABLE, bracket.start, bracket.end)
    after = figure.after + 1
    end = tokens[figure.after].end
    if trait is None or copies != 1:
        raise Fault(Problem.FIGURE_WITHOUT_HET, bracket.start, end)
    if trait.dominance is not Dominance.RECESSIVE:
        offer = dropped(text, bracket.start, end)
        raise Fault(Problem.SHOWS_AS_HET, tokens[first].start, end, trait=trait.name, offers=(offer,))
    if [token.word for token in tokens[after : min(after + 4, high)]] == ["or", "+", "/", "+"]:
        after += 4
    rounded = (figure.rounded, figure.value) if figure.rounded else None
    if figure.value == 1:
        return Genes(Stated(trait, State.HET), after, rounded)
    return Genes(Stated(trait, State.POSSIBLE_HET, figure.value), after, rounded)


def write_allele_pair(trait: Trait, item: Stated | None) -> str:
    """A statement of one trait (None: wild) in gene notation.

    >>> ember = Trait("ember", "e", Dominance.RECESSIVE)
    >>> write_allele_pair(ember, Stated(ember, State.POSSIBLE_HET, Fraction(2, 3)))
    '+/e (2/3) or +/+'
    """
    symbol = trait.symbol
    if item is None or item.state is State.WILD:
        return "+/+"
    if item.chance is not None:
        return f"+/{symbol} ({item.chance}) or +/+"
    return f"+/{symbol}" if item.state is State.HET else f"{symbol}/{symbol}"
