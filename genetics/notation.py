"""The notation for a cross: reading it, in plain words and in gene notation.

    cross   = dam ("x" | "×") sire
    dam     = [number ("dams" | "females" | …)] animal [[","] "had" ["a"] "males" ["of" | "from"] animal ["siring" figure]]
    sire    = [number ("sires" | "males" | …)] animal
    animal  = kind | number kind "or" number kind {"or" number kind}        one of several kinds, drawn by their numbers
    kind    = list | looks "from" cross | "(" animal ")"                    a young kept back, by how it looks
    looks   = wild | "wild-looking" | ["not"] "visual" | [state] name {[join] [state] name}       the rest looks wild
    list    = bin | wild | item {[join] item}
    join    = "," | ";" | "and" | "&"
    item    = state name | name | name "carrier" | genes
    state   = "visual" | "homozygous" | "super" | ["100%"] "het" | figure ["possible"] "het"    ("for" may follow)
            | "carrier" ["of"] | "carries" | "carrying"                     another word for "het"
    figure  = number "%" | number "/" number | decimal
    wild    = "wild" ["type"] | "normal" | "+"
    genes   = alleles "/" alleles ["(" figure ")" ["or" "+/+"]]            homologues; a space parts linked loci
            | chromosome "/" chromosome | alleles "/" "-" | "[" alleles "]"    sexes; a haploid male; the cytoplasm
    chromosome = ("X" | "Y" | "Z" | "W" | "0") ["^" alleles]
    alleles = ("+" | symbol) {("+" | symbol)}

A cross after "from" ends with its sire; brackets make it end elsewhere: "wild from het ember x het ember x visual ember"
is a wild-looking dam from two hets, and a visual sire. The parents there are one dam and one sire.
Names are matched word by word, the longest first, whatever their case. A bare name is a visual, if the trait is
recessive. After a figure in per cent 66 and 67 (66.7, …) mean 2/3 and 33 means 1/3; every other figure is exact.
"""

import re
import unicodedata
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from fractions import Fraction

from genetics import words
from genetics.errors import Problem
from genetics.figures import read_figure
from genetics.genome import Genome
from genetics.limits import DAMS, SIRES
from genetics.loci import Role
from genetics.mending import Fault, dropped, instead, readable
from genetics.placing import Known
from genetics.reading import AnimalReader
from genetics.sides import MOST_OF_A_KIND, CrossText, KeptBack, MixedKinds, Side, Store
from genetics.traits import Appearance, Dominance, Trait
from genetics.words import is_times

_BOUNDARIES = 24
_OTHER_TIMES = frozenset({"*", "by", "with", "to", "vs", "х", "χ"})
_NUMBER = re.compile(r"[0-9]{1,9}")
_MOST = {Role.DAM: DAMS, Role.SIRE: SIRES}
_NOUNS = {Role.DAM: words.DAMS, Role.SIRE: words.SIRES}
_LEADING = frozenset({",", "and", "that", "who", "which"})


def no_bins(code: str) -> bool:
    """The test for bin codes where there are no bins."""
    return False


def read_cross(
    text: str, traits: Iterable[Trait], bin_code: Callable[[str], bool] = no_bins, genome: Genome | None = None
) -> CrossText:
    """Read a cross, dam first.

    traits: those that may be named. bin_code: whether a word is the code of a bin. genome: the map and the sex system,
    without which no linked loci, chromosomes or haploid males can be spelled out.
    Raises NotationError for every text that cannot be read, with place, problem and, if one can be guessed, the text
    put right; TraitClash for two traits of one name.

    >>> ember = Trait("ember", "e", Dominance.RECESSIVE)
    >>> cross = read_cross("66% het Ember x e/e", [ember])
    >>> cross.dam.stated[0].chance, cross.sire.stated[0].state.value
    (Fraction(2, 3), 'visual')
    >>> from genetics import NotationError
    >>> try:
    ...     read_cross("het ember xx wild", [ember])
    ... except NotationError as error:
    ...     print(error.position, error.suggestion)
    10 het ember x wild
    """
    known = Known(traits, bin_code, Genome() if genome is None else genome)
    return readable(unicodedata.normalize("NFC", text), lambda written: _Reader(written, known).cross())


def read_side(
    text: str, traits: Iterable[Trait], bin_code: Callable[[str], bool] = no_bins, genome: Genome | None = None
) -> Side:
    """Read one animal as a list of traits, for example what lives in a bin. As `read_cross`; an x is out of place here.

    >>> ember = Trait("ember", "e", Dominance.RECESSIVE)
    >>> read_side("wild", [ember]).items
    ()
    """
    known = Known(traits, bin_code, Genome() if genome is None else genome)
    return readable(unicodedata.normalize("NFC", text), lambda written: _Reader(written, known).lone_side())


class _Reader(AnimalReader):
    """One reading of one cross."""

    def __init__(self, text: str, known: Known) -> None:
        super().__init__(text, known)
        self.closing = dict(self._brackets())

    # ---- the whole

    def cross(self) -> CrossText:
        times = [index for what, index in self._parting(0, len(self.words)) if what == "x"]
        if len(times) != 1 or len(self.tokens[times[0]].raw) > 1:
            raise self._times_fault(times)
        dam = self._side(0, times[0], Role.DAM)
        sire = self._side(times[0] + 1, len(self.tokens), Role.SIRE)
        return CrossText(dam, sire, tuple(self.rounded))

    def lone_side(self) -> Side:
        for index, token in enumerate(self.tokens):
            if self._is_times(index):
                raise Fault(Problem.STRAY, token.start, token.end)
        return self.listed(0, len(self.tokens))

    def _is_times(self, index: int) -> bool:
        """Whether a word joins the sides; an X beside a slash is a chromosome, where the species has one."""
        if self.tokens[index].raw == "X" and "X" in self.known.letters:
            return "/" not in self.words[max(index - 1, 0) : index + 2]
        return is_times(self.words[index])

    def _brackets(self) -> Iterator[tuple[int, int]]:
        """Every opening bracket that is closed, with its closing one."""
        opened: list[int] = []
        for index, word in enumerate(self.words):
            if word == "(":
                opened.append(index)
            elif word == ")" and opened:
                yield opened.pop(), index

    def _outside(self, low: int, high: int) -> Iterator[int]:
        """The words of this stretch that stand in no brackets within it."""
        index = low
        while index < high:
            close = self.closing.get(index, high)
            if close >= high:
                yield index
            index = index + 1 if close >= high else close + 1

    def _parting(self, low: int, high: int) -> Iterator[tuple[str, int]]:
        """The words that part this stretch, outside brackets and outside the cross after a "from": x, from, had, or."""
        within = 0
        for index in self._outside(low, high):
            word = self.words[index]
            if self._is_times(index):
                if not within:
                    yield "x", index
                within = max(within - 1, 0)
            elif word == words.FROM and (index == low or self.words[index - 1] not in words.MALES):
                if not within:
                    yield words.FROM, index
                within += not self._is_bracketed_cross(index + 1, high)
            elif not within and (word == words.HAD or (word == words.OR and not self._is_of_genes(index))):
                yield word, index

    def _is_bracketed_cross(self, index: int, high: int) -> bool:
        """Whether brackets that open here hold a whole cross, and not its dam alone."""
        close = self.closing.get(index, high)
        return close < high and any(what == "x" for what, _ in self._parting(index + 1, close))

    def _is_of_genes(self, index: int) -> bool:
        """Whether this "or" is the one of "+/e (2/3) or +/+"."""
        return self.words[index - 1 : index] == [")"] and self.words[index + 1 : index + 4] == ["+", "/", "+"]

    def _times_fault(self, times: list[int]) -> Fault:
        if not times:
            return Fault(Problem.MISSING_TIMES, len(self.text), len(self.text), rewrites=tuple(self._with_times()))
        doubled = next((index for index in times if len(self.tokens[index].raw) > 1), None)
        if doubled is not None:
            token = self.tokens[doubled]
            return Fault(
                Problem.REPEATED_TIMES,
                token.start,
                token.end,
                rewrites=(instead(self.text, token.start, token.end, "x"),),
            )
        first, second = self.tokens[times[0]], self.tokens[times[1]]
        rewrites: tuple[str, ...] = ()
        if times[1] == times[0] + 1:
            rewrites = (instead(self.text, first.start, second.end, "x"),)
        elif times[1] == len(self.tokens) - 1:
            rewrites = (dropped(self.text, second.start, second.end),)
        return Fault(Problem.REPEATED_TIMES, second.start, second.end, rewrites=rewrites)

    def _with_times(self) -> list[str]:
        """The text with an x put in, if there is one place only where it can go."""
        for token in self.tokens:
            if token.word in _OTHER_TIMES:
                return [instead(self.text, token.start, token.end, "x")]
        found = []
        for index, token in enumerate(self.tokens[1:_BOUNDARIES], 1):
            try:
                self._side(0, index, Role.DAM)
                self._side(index, len(self.tokens), Role.SIRE)
            except Fault:
                continue
            found.append(instead(self.text, token.start, token.start, "x"))
        return found if len(found) == 1 else []

    # ---- one side

    def _side(self, low: int, high: int, role: Role, *, several: bool = True) -> Side:
        """A dam or a sire, with how many there are (where there may be several) and what a dam may carry."""
        had = next((index for what, index in self._parting(low, high) if what == words.HAD), None)
        store = None
        if had is not None:
            if role is Role.SIRE:
                raise Fault(Problem.STRAY, self.tokens[had].start, self.tokens[had].end)
            store = self._store(had, high)
            high = had
            while high > low and self.words[high - 1] in _LEADING:
                high -= 1
        number = 1
        noun = self.word(low + 1, high) if self._is_number(low, high) else ""
        if noun in words.DAMS | words.SIRES and self.name(low, high) is None:
            if noun not in _NOUNS[role] or not several:
                raise Fault(Problem.STRAY, self.tokens[low].start, self.tokens[low + 1].end)
            number, low = self._number(low, _MOST[role]), low + 2
        animal = self._animal(low, high)
        return replace(animal, number=number, store=store) if number > 1 or store else animal

    def _is_number(self, index: int, high: int) -> bool:
        return index < high and _NUMBER.fullmatch(self.words[index]) is not None

    def _number(self, index: int, most: int) -> int:
        token = self.tokens[index]
        if not 1 <= int(token.word) <= most:
            raise Fault(Problem.NUMBER_RANGE, token.start, token.end)
        return int(token.word)

    def _store(self, had: int, high: int) -> Store:
        """What stands after "had"."""
        index = had + 1
        if self.word(index, high) == "a":
            index += 1
        if self.word(index, high) not in words.MALES:
            raise Fault(Problem.STRAY, self.tokens[had].start, self.tokens[had].end)
        index += 1
        if self.word(index, high) in ("of", words.FROM):
            index += 1
        share: Fraction | None = None
        siring = next((at for at in self._outside(index, high) if self.words[at] == words.SIRING), None)
        if siring is not None:
            figure = read_figure(self.text, self.tokens, siring + 1, high) if siring + 1 < high else None
            if figure is None or figure.after != high:
                raise Fault(Problem.FIGURE_UNREADABLE, self.tokens[siring].start, self.end(high))
            if figure.rounded is not None:
                self.rounded[figure.rounded, figure.value] = None
            share, high = figure.value, siring
        return Store(self._animal(index, high), share)

    def _animal(self, low: int, high: int) -> Side:
        """One animal, of one kind or drawn from several."""
        if low < high and self.closing.get(low) == high - 1:
            return self._animal(low + 1, high - 1)
        parting = list(self._parting(low, high))
        for what, index in parting:
            if what in ("x", words.HAD):
                raise Fault(Problem.STRAY, self.tokens[index].start, self.tokens[index].end)
        cuts = [index for what, index in parting if what == words.OR]
        if not cuts:
            return self._kind(low, high, next((index for what, index in parting if what == words.FROM), None))
        kinds = []
        for start, end in zip([low, *(cut + 1 for cut in cuts)], [*cuts, high], strict=True):
            if not self._is_number(start, end) or self.word(start + 1, end) in ("%", "/"):
                at = self.start(start)
                raise Fault(Problem.NUMBER_MISSING, at, max(at, self.end(end)) if end > start else at)
            kinds.append((self._number(start, MOST_OF_A_KIND), self._animal(start + 1, end)))
        return Side((MixedKinds(tuple(kinds)),))

    def _kind(self, low: int, high: int, origin: int | None) -> Side:
        if origin is None:
            return self.listed(low, high)
        start, end = origin + 1, high
        if start < end and self.closing.get(start) == end - 1 and self._is_bracketed_cross(start, high):
            start, end = start + 1, end - 1
        times = [index for what, index in self._parting(start, end) if what == "x"]
        if not times:
            raise Fault(Problem.MISSING_TIMES, self.tokens[origin].start, self.end(high))
        if len(times) > 1 or len(self.tokens[times[0]].raw) > 1:
            token = self.tokens[times[-1]]
            rewrite = instead(self.text, token.start, token.end, "x")
            raise Fault(Problem.REPEATED_TIMES, token.start, token.end, rewrites=(rewrite,) * (len(times) == 1))
        looks = tuple(self._looks(low, origin))
        dam = self._side(start, times[0], Role.DAM, several=False)
        return Side((KeptBack(looks, dam, self._side(times[0] + 1, end, Role.SIRE, several=False)),))

    # ---- how a young looks

    def _looks(self, low: int, high: int) -> Iterator[tuple[Trait, Appearance]]:
        if self._looks_wild(self.words[low:high]) and self.name(low, high) is None:
            return
        if low == high:
            raise Fault(Problem.NOT_A_LOOK, self.start(low), self.start(low))
        index, told = low, set[tuple[str, ...]]()
        while True:
            first = index
            trait, look, index = self._look(index, high)
            if trait.words in told:
                raise Fault(Problem.STATED_TWICE, self.tokens[first].start, self.end(index), trait=trait.name)
            told.add(trait.words)
            yield trait, look
            if index == high:
                return
            index, _ = self.joined(index, high)

    @staticmethod
    def _looks_wild(said: list[str]) -> bool:
        if said[:1] == [words.NOT]:
            return len(said) == 2 and said[1] in words.VISUAL
        return (len(said) == 1 and said[0] in words.WILD | words.NOT_VISUAL) or said == ["wild", "type"]

    def _look(self, index: int, high: int) -> tuple[Trait, Appearance, int]:
        first, state = index, ""
        word = self.words[index]
        states = words.VISUAL | words.HET | words.HOMOZYGOUS
        if word in states or (word in words.SUPER and self.name(index, high) is None):
            state, index = word, index + 1
        found = self.name(index, high) if index < high else None
        if found is None:
            raise Fault(Problem.NOT_A_LOOK, self.tokens[first].start, self.end(high))
        trait, after = found
        start, end = self.tokens[first].start, self.end(after)
        doses = state in words.HET | words.HOMOZYGOUS | words.SUPER
        if trait.dominance is Dominance.INCOMPLETE:
            if not doses:
                offers = tuple(instead(self.text, start, end, f"{dose} {trait.name}") for dose in ("het", "homozygous"))
                raise Fault(Problem.WHICH_DOSE, start, end, trait=trait.name, offers=offers)
            return trait, Appearance.PARTIAL if state in words.HET else Appearance.FULL, after
        if state in words.HET or (doses and trait.dominance is Dominance.DOMINANT):
            # Nobody sees how many copies it has.
            raise Fault(Problem.NOT_A_LOOK, start, end, trait=trait.name)
        return trait, Appearance.FULL, after
