"""Gene notation of known genotypes: `+/e`, `+/e; f/f`, `+/e (2/3) or +/+`, linked `+ f/e +`, and a haploid male's `e/-`."""

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import NamedTuple

from genetics.chromosomes import read_chromosomes, read_cytoplasm
from genetics.errors import Problem
from genetics.figures import read_figure
from genetics.genome import SexSystem
from genetics.genotypes import ABSENT, Genotype
from genetics.loci import Locus
from genetics.mending import Fault, dropped, instead
from genetics.placing import Known
from genetics.sides import Item, State, Stated
from genetics.traits import Dominance, Trait
from genetics.words import JOINS, MARKS, WILD_ALLELE, Token

Symbols = Mapping[str, Sequence[Trait]]
"""The traits that use each gene symbol."""


class Genes(NamedTuple):
    """What was read: items (none: all alleles wild), the index after them, and a figure taken as thirds."""

    items: tuple[Item, ...]
    after: int
    rounded: tuple[str, Fraction] | None = None


def read_genes(text: str, tokens: list[Token], index: int, high: int, known: Known) -> Genes | None:
    """The genotype that is spelled at a token, or None if none begins there. Raises Fault."""
    symbols = known.symbols
    other = read_chromosomes(text, tokens, index, high, known) or read_cytoplasm(text, tokens, index, high, known)
    if other is not None:
        return Genes((other[0],), other[1])
    left = run(tokens, index, high, symbols)
    slash = left if left > index else index + 1
    if tokens[index].word == "/":
        raise Fault(Problem.UNBALANCED, tokens[index].start, tokens[index].end)
    if slash >= high or tokens[slash].word != "/" or tokens[index].word in MARKS.replace(WILD_ALLELE, ""):
        return None
    if left == index:
        raise unknown_allele(text, tokens[index], symbols)
    if known.genome.system is SexSystem.HAPLODIPLOID and slash + 1 < high and tokens[slash + 1].word == ABSENT:
        return Genes(_haploid(text, tokens[index:slash], known), slash + 2)
    right = run(tokens, slash + 1, high, symbols)
    _check_shape(text, tokens, (index, slash, right, high), symbols)
    if slash - index > 1:
        if right < high and tokens[right].word == "(":
            raise _several_kinds(text, tokens, index, right, high)
        return Genes(_linked(text, tokens[index:slash], tokens[slash + 1 : right], known), right)
    return _one_locus(text, tokens, (index, slash, right, high), symbols)


def run(tokens: list[Token], index: int, high: int, symbols: Symbols) -> int:
    """The index after the alleles that stand here."""
    while index < high and (tokens[index].raw == WILD_ALLELE or tokens[index].raw in symbols):
        index += 1
    return index


def unknown_allele(text: str, token: Token, symbols: Symbols) -> Fault:
    """No trait has this symbol; another case of the letters, or a trait's name, may be meant."""
    similar = [symbol for symbol in symbols if symbol.casefold() == token.word]
    similar += [symbol for symbol, traits in symbols.items() if any(trait.words == (token.word,) for trait in traits)]
    near = tuple(trait.name for symbol in similar for trait in symbols[symbol])
    rewrites = tuple(instead(text, token.start, token.end, symbol) for symbol in similar)
    return Fault(Problem.UNKNOWN_ALLELE, token.start, token.end, near=near, rewrites=rewrites)


def _check_shape(text: str, tokens: list[Token], places: tuple[int, int, int, int], symbols: Symbols) -> None:
    """As many alleles on each side of one slash; what else there is gets a Fault that says what it is."""
    first, slash, after, high = places
    if after == slash + 1:
        if after < high and tokens[after].word not in JOINS and tokens[after].word not in MARKS:
            raise unknown_allele(text, tokens[after], symbols)
        raise Fault(Problem.UNBALANCED, tokens[slash].start, tokens[slash].end)
    if after < high and tokens[after].word == "/":
        last = tokens[after - 1]
        split = f"{text[: last.start].rstrip()}; {text[last.start :]}"
        rewrites = (split,) if after - slash > 2 else ()
        raise Fault(Problem.UNBALANCED, tokens[after].start, tokens[after].end, rewrites=rewrites)
    left, right = tokens[first:slash], tokens[slash + 1 : after]
    if len(left) != len(right):
        if len(left) > len(right) and after < high and tokens[after].word not in (*JOINS, *MARKS):
            raise unknown_allele(text, tokens[after], symbols)
        raise Fault(Problem.UNBALANCED, left[0].start, right[-1].end)


def the_trait(token: Token, symbols: Symbols) -> Trait:
    """The trait whose allele this is; raises Fault where several have the symbol."""
    traits = symbols[token.raw]
    if len(traits) > 1:
        near = tuple(trait.name for trait in traits)
        raise Fault(Problem.AMBIGUOUS_ALLELE, token.start, token.end, near=near)
    return traits[0]


# ---- one locus


def _one_locus(text: str, tokens: list[Token], places: tuple[int, int, int, int], symbols: Symbols) -> Genes:
    index, slash, right, high = places
    one, other = tokens[index], tokens[slash + 1]
    own = [token for token in (one, other) if token.raw != WILD_ALLELE]
    if len({token.raw for token in own}) > 1:
        both = [the_trait(token, symbols) for token in own]
        if both[0].locus != both[1].locus:
            offer = instead(text, one.start, other.end, f"+/{one.raw}; +/{other.raw}")
            raise Fault(Problem.TWO_LOCI, one.start, other.end, offers=(offer,))
        if right < high and tokens[right].word == "(":
            raise Fault(Problem.FIGURE_WITHOUT_HET, tokens[right].start, tokens[right].end)
        return Genes(tuple(Stated(trait, State.HET) for trait in both), right)
    trait = the_trait(own[0], symbols) if own else None
    if right < high and tokens[right].word == "(":
        return _maybe(text, tokens, (index, right, high), trait, len(own))
    if trait is None:
        return Genes((), right)
    if len(own) == 1:
        return Genes((Stated(trait, State.HET),), right)
    state = State.VISUAL if trait.dominance is Dominance.RECESSIVE else State.HOMOZYGOUS
    return Genes((Stated(trait, state),), right)


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
        return Genes((Stated(trait, State.HET),), after, rounded)
    return Genes((Stated(trait, State.POSSIBLE_HET, figure.value),), after, rounded)


# ---- linked loci


def _several_kinds(text: str, tokens: list[Token], index: int, opening: int, high: int) -> Fault:
    """A figure after linked loci: what else the animal may be is not said, so the kinds must be, with their numbers."""
    bracket = tokens[opening]
    figure = read_figure(text, tokens, opening + 1, high) if opening + 1 < high else None
    if figure is None or figure.after >= high or tokens[figure.after].word != ")":
        return Fault(Problem.FIGURE_UNREADABLE, bracket.start, bracket.end)
    end = tokens[figure.after].end
    spelled, chance = text[tokens[index].start : tokens[opening - 1].end], figure.value
    kinds = f"{chance.numerator} {spelled} or {chance.denominator - chance.numerator} wild"
    offers = (instead(text, tokens[index].start, end, kinds),) if chance < 1 else ()
    return Fault(Problem.FIGURE_WITHOUT_HET, bracket.start, end, offers=offers)


def _haploid(text: str, strand: list[Token], known: Known) -> tuple[Item, ...]:
    """The one set of a haploid male."""
    loci = _loci_of(text, strand, [(token,) for token in strand], known)
    if not loci:
        return ()
    return (known.spelled(loci, Genotype(tuple(token.raw for token in strand), ())),)


def _linked(text: str, left: list[Token], right: list[Token], known: Known) -> tuple[Item, ...]:
    """Several linked loci, homologue by homologue; Fault for loci that are not recorded as linked."""
    loci = _loci_of(text, left, list(zip(left, right, strict=True)), known, right)
    if not loci:
        return ()
    return (known.spelled(loci, Genotype(tuple(token.raw for token in left), tuple(token.raw for token in right))),)


def _loci_of(
    text: str, left: list[Token], columns: Sequence[tuple[Token, ...]], known: Known, right: Sequence[Token] = ()
) -> tuple[Locus, ...]:
    """Which locus each column of alleles stands at; empty if all are wild and it does not matter."""
    start, end = left[0].start, (right or left)[-1].end
    named: list[Locus | None] = []
    for column in columns:
        loci = {the_trait(token, known.symbols).locus for token in column if token.raw != WILD_ALLELE}
        if len(loci) > 1:
            raise Fault(Problem.TWO_LOCI, column[0].start, column[0].end)
        named.append(next(iter(loci), None))
    mentioned = [locus for locus in named if locus is not None]
    if not mentioned:
        return ()
    if len(columns) == 1:
        return (mentioned[0],)
    group = known.group_of(mentioned[0])
    if group is None or any(locus not in group.loci for locus in mentioned):
        pairs = "; ".join("/".join(token.raw for token in column) for column in columns) if right else ""
        rewrites = (instead(text, start, end, pairs),) if right else ()
        raise Fault(Problem.UNLINKED, start, end, rewrites=rewrites)
    whole = group.loci if len(columns) == len(group.loci) else None
    if whole is None and len(mentioned) < len(named):
        raise Fault(Problem.UNBALANCED, start, end)
    expected = whole or tuple(locus for locus in group.loci if locus in mentioned)
    for column, locus, place in zip(columns, named, expected, strict=False):
        if locus is not None and locus != place:
            ways_out = _reordered(text, (start, end), columns, named, expected) if right else ()
            near = tuple(each.alleles[1] for each in expected)
            raise Fault(Problem.MAP_ORDER, column[0].start, column[0].end, near=near, rewrites=ways_out)
    if len(expected) < len(columns):
        raise Fault(Problem.UNBALANCED, start, end)
    return expected


def _reordered(
    text: str,
    place: tuple[int, int],
    columns: Sequence[tuple[Token, ...]],
    named: Sequence[Locus | None],
    expected: Sequence[Locus],
) -> tuple[str, ...]:
    """The text with the columns in map order, if every one of them is named."""
    if None in named or len(set(named)) < len(named):
        return ()
    ordered = [columns[named.index(locus)] for locus in expected if locus in named]
    halves = [" ".join(column[side].raw for column in ordered) for side in (0, 1)]
    return (instead(text, *place, "/".join(halves)),)


def write_allele_pair(item: Stated) -> str:
    """A statement of one trait in gene notation.

    >>> ember = Trait("ember", "e", Dominance.RECESSIVE)
    >>> write_allele_pair(Stated(ember, State.POSSIBLE_HET, Fraction(2, 3)))
    '+/e (2/3) or +/+'
    """
    symbol = item.trait.symbol
    if item.chance is not None:
        return f"+/{symbol} ({item.chance}) or +/+"
    return f"+/{symbol}" if item.state is State.HET else f"{symbol}/{symbol}"
