"""Gene notation of what lies on sex chromosomes (`Z^e/W`, `X^+ f/Y`) and in the cytoplasm (`[e]`)."""

from collections.abc import Sequence
from typing import NamedTuple

from genetics.errors import Problem
from genetics.genotypes import CYTOPLASM, Genotype, Homologue
from genetics.loci import Locus, Where
from genetics.mending import Fault
from genetics.placing import Known
from genetics.sides import Spelled
from genetics.words import WILD_ALLELE, Token

_LETTERS = "XYZW0"


def read_chromosomes(text: str, tokens: list[Token], index: int, high: int, known: Known) -> tuple[Spelled, int] | None:
    """The pair of sex chromosomes that stands at a token and the index after it, or None. Raises Fault."""
    if not _is_chromosome(tokens[index]) or any(words[0] == tokens[index].word for words in known.by_words):
        return None
    slash = _after_strand(tokens, index, high)
    if not known.letters:
        if "^" in tokens[index].raw and slash < high and tokens[slash].word == "/":
            raise Fault(Problem.CHROMOSOME, tokens[index].start, tokens[index].end)
        return None
    if slash >= high or tokens[slash].word != "/":
        if "^" in tokens[index].raw:
            raise Fault(Problem.UNBALANCED, tokens[index].start, tokens[min(slash, high) - 1].end)
        return None
    if slash + 1 >= high or not _is_chromosome(tokens[slash + 1]):
        raise Fault(Problem.UNBALANCED, tokens[slash].start, tokens[slash].end)
    first = _alleles(tokens, index, slash)
    alike = tokens[index].raw[0] == tokens[slash + 1].raw[0]
    end = _after_strand(tokens, slash + 1, high, known, len(first) if alike else None)
    second = _alleles(tokens, slash + 1, end)
    letters = tokens[index].raw[0] + tokens[slash + 1].raw[0]
    if any(letter not in known.letters for letter in letters) or letters in ("YY", "00"):
        raise Fault(Problem.CHROMOSOME, tokens[index].start, tokens[end - 1].end)
    if alike:
        if len(first) != len(second):
            raise Fault(Problem.UNBALANCED, tokens[index].start, tokens[end - 1].end)
        loci = _placed(letters[0], list(zip(first, second, strict=True)), known)
        halves = [_strand(letters[0], own, loci) for own in (first, second)]
    else:
        each = [
            _placed(letter, [(one,) for one in own], known)
            for letter, own in zip(letters, (first, second), strict=True)
        ]
        halves = [_strand(*both) for both in zip(letters, (first, second), each, strict=True)]
        loci = (*each[0], *each[1])
    ordered = sorted(loci, key=lambda locus: locus.where is Where.LIMITED)
    return known.spelled(tuple(ordered), Genotype(halves[0], halves[1])), end


class _Allele(NamedTuple):
    """An allele as written on a chromosome, and where."""

    symbol: str
    start: int
    end: int


def _alleles(tokens: list[Token], low: int, high: int) -> list[_Allele]:
    """The alleles of the chromosome that stands at a token; the first may be part of the chromosome's own word."""
    first = tokens[low]
    own = [_Allele(first.raw[2:], first.start + 2, first.end)] if len(first.raw) > 2 else []
    found = own + [_Allele(token.raw, token.start, token.end) for token in tokens[low + 1 : high]]
    if "^" in first.raw and not found:
        raise Fault(Problem.UNBALANCED, first.start, first.end)
    return found


def _strand(letter: str, alleles: list[_Allele], loci: tuple[Locus, ...]) -> Homologue:
    """The chromosome; wild alleles alone, which say nothing, are left out."""
    return (letter, *(one.symbol for one in alleles)) if loci else (letter,)


def _is_chromosome(token: Token) -> bool:
    return token.raw[0] in _LETTERS and (len(token.raw) == 1 or token.raw[1] == "^")


def _after_strand(
    tokens: list[Token], index: int, high: int, known: Known | None = None, limit: int | None = None
) -> int:
    """The index after a chromosome and its alleles: as many as can stand there, or as `limit` says."""
    raw = tokens[index].raw
    if "^" not in raw:
        return index + 1
    after = index + 1
    count = int(len(raw) > 2)
    while after < high and (limit is None or count < limit):
        token = tokens[after]
        if token.raw != WILD_ALLELE and (token.word == "/" or (known is not None and token.raw not in known.symbols)):
            break
        if known is None and token.word in ",;&(":
            break
        if known is not None and count >= len(known.loci(_where(raw[0]))):
            break
        after, count = after + 1, count + 1
    return after


def _where(letter: str) -> Where:
    return Where.SHARED if letter in "XZ" else Where.LIMITED


def _placed(letter: str, columns: Sequence[tuple[_Allele, ...]], known: Known) -> tuple[Locus, ...]:
    """The locus of each column of alleles: by a symbol in it, or by its place where all loci are spelled.

    Empty if all alleles are wild and nothing tells which loci are meant.
    """
    places = known.loci(_where(letter))
    named = [_named(column, places, known) for column in columns]
    if len(named) == len(places):
        chosen = places
    elif not any(named):
        return ()
    else:
        chosen = tuple(place for place in places if place in named)
        if len(chosen) != len(named):
            raise Fault(Problem.UNBALANCED, columns[0][0].start, columns[-1][-1].end)
    for column, locus, place in zip(columns, named, chosen, strict=True):
        if locus is not None and locus != place:
            near = tuple(one.alleles[1] for one in chosen)
            raise Fault(Problem.MAP_ORDER, column[0].start, column[0].end, near=near)
    return chosen


def _named(column: tuple[_Allele, ...], places: tuple[Locus, ...], known: Known) -> Locus | None:
    """The locus that the symbols of a column belong to, or None if all are wild."""
    found: list[Locus] = []
    for one in column:
        if one.symbol == WILD_ALLELE:
            continue
        traits = [trait for trait in known.symbols.get(one.symbol, []) if trait.locus in places]
        if not traits:
            problem = Problem.CHROMOSOME if one.symbol in known.symbols else Problem.UNKNOWN_ALLELE
            raise Fault(problem, one.start, one.end)
        if len({trait.locus.name for trait in traits}) > 1:
            raise Fault(Problem.AMBIGUOUS_ALLELE, one.start, one.end, near=tuple(each.name for each in traits))
        if found and found[0] != traits[0].locus:
            raise Fault(Problem.TWO_LOCI, one.start, one.end)
        found.append(traits[0].locus)
    return found[0] if found else None


def read_cytoplasm(text: str, tokens: list[Token], index: int, high: int, known: Known) -> tuple[Spelled, int] | None:
    """What the cytoplasm carries, in square brackets, and the index after it, or None. Raises Fault."""
    first = tokens[index]
    places = known.loci(Where.CYTOPLASM)
    if not first.raw.startswith("[") or not places:
        return None
    closing = next((at for at in range(index, high) if tokens[at].raw.endswith("]")), None)
    if closing is None:
        raise Fault(Problem.UNBALANCED, first.start, first.end)
    inside = text[first.start + 1 : tokens[closing].end - 1].replace(WILD_ALLELE, f" {WILD_ALLELE} ").split()
    if len(inside) != len(places):
        raise Fault(Problem.UNBALANCED, first.start, tokens[closing].end)
    for allele, locus in zip(inside, places, strict=True):
        if allele not in locus.alleles:
            elsewhere = any(trait.locus not in places for trait in known.symbols.get(allele, []))
            problem = Problem.CHROMOSOME if elsewhere else Problem.MAP_ORDER
            problem = problem if allele in known.symbols else Problem.UNKNOWN_ALLELE
            raise Fault(problem, first.start, tokens[closing].end, near=tuple(one.alleles[1] for one in places))
    return known.spelled(places, Genotype((CYTOPLASM, *inside), ())), closing + 1
