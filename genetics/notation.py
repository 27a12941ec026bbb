"""The notation for a cross: reading it, in plain words and in gene notation.

    cross   = side ("x" | "×") side                         the dam first
    side    = bin | wild | item {[join] item}
    join    = "," | ";" | "and" | "&"
    item    = state name | name | genes
    state   = "visual" | "homozygous" | "super" | ["100%"] "het" | figure ["possible"] "het"    ("for" may follow)
    figure  = number "%" | number "/" number | decimal
    wild    = "wild" ["type"] | "normal" | "+"
    genes   = alleles "/" alleles ["(" figure ")" ["or" "+/+"]]            homologues; a space parts linked loci
            | chromosome "/" chromosome | alleles "/" "-" | "[" alleles "]"    sexes; a haploid male; the cytoplasm
    chromosome = ("X" | "Y" | "Z" | "W" | "0") ["^" alleles]
    alleles = ("+" | symbol) {("+" | symbol)}

Names are matched word by word, the longest first, whatever their case. A bare name is a visual, if the trait is
recessive. After a figure in per cent 66 and 67 (66.7, …) mean 2/3 and 33 means 1/3; every other figure is exact.
"""

import re
import unicodedata
from collections.abc import Callable, Iterable
from fractions import Fraction

from genetics import words
from genetics.errors import Problem
from genetics.figures import Figure, read_figure
from genetics.genes import read_genes
from genetics.genome import Genome
from genetics.mending import Fault, dropped, instead, nearest, readable
from genetics.placing import Item, Known, Placed
from genetics.sides import BinCode, CrossText, Side, State, Stated, overlap
from genetics.traits import Dominance, Trait
from genetics.words import MARKS, is_times, reserved_in_name, tokens

TEXT_LIMIT = 500
_CODE = re.compile(r"[^\s,;×✕✖⨯&]+")
_FIGURES = ("66%", "50%", "100%", "33%")
_STATE_OF = {
    **dict.fromkeys(words.HET, State.HET),
    **dict.fromkeys(words.VISUAL, State.VISUAL),
    **dict.fromkeys(words.HOMOZYGOUS, State.HOMOZYGOUS),
}
_STATES = ("het", "visual", "homozygous", "wild", "possible")
_BOUNDARIES = 24
_RUN = 4
_OTHER_TIMES = frozenset({"*", "by", "with", "to", "vs", "х", "χ"})


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
    """Read one side, for example what lives in a bin. As `read_cross`; an x is out of place here.

    >>> ember = Trait("ember", "e", Dominance.RECESSIVE)
    >>> read_side("wild", [ember])
    Side(items=())
    """
    known = Known(traits, bin_code, Genome() if genome is None else genome)
    return readable(unicodedata.normalize("NFC", text), lambda written: _Reader(written, known).lone_side())


class _Reader:
    """One reading of one text. Methods take token indexes and give what they read with the index after it."""

    def __init__(self, text: str, known: Known) -> None:
        self.text, self.known = text, known
        if len(text) > TEXT_LIMIT:
            raise Fault(Problem.TOO_LONG, TEXT_LIMIT, len(text))
        self.tokens = tokens(text)
        self.words = [token.word for token in self.tokens]
        self.spelt = any(mark in text for mark in "/[^")
        self.rounded: dict[tuple[str, Fraction], None] = {}

    # ---- the whole

    def cross(self) -> CrossText:
        times = [index for index in range(len(self.words)) if self._is_times(index)]
        if len(times) != 1 or len(self.tokens[times[0]].raw) > 1:
            raise self._times_fault(times)
        dam = self.side(0, times[0])
        sire = self.side(times[0] + 1, len(self.tokens))
        return CrossText(dam, sire, tuple(self.rounded))

    def lone_side(self) -> Side:
        for index, token in enumerate(self.tokens):
            if self._is_times(index):
                raise Fault(Problem.STRAY, token.start, token.end)
        return self.side(0, len(self.tokens))

    def _is_times(self, index: int) -> bool:
        """Whether a word joins the sides; an X beside a slash is a chromosome, where the species has one."""
        if self.tokens[index].raw == "X" and "X" in self.known.letters:
            return "/" not in self.words[max(index - 1, 0) : index + 2]
        return is_times(self.words[index])

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
                self.side(0, index)
                self.side(index, len(self.tokens))
            except Fault:
                continue
            found.append(instead(self.text, token.start, token.start, "x"))
        return found if len(found) == 1 else []

    # ---- one side

    def side(self, low: int, high: int) -> Side:
        if low == high:
            at = self._start(low)
            raise Fault(Problem.EMPTY_SIDE, at, at, offers=(instead(self.text, at, at, "wild"),))
        placed: list[Placed] = []
        index, loose = low, False
        while True:
            one, index = self._item(index, high, may_be_het=loose and placed[-1].het)
            placed.append(one)
            if index == high:
                break
            index, loose = self._join(index, high)
        return self._checked(placed)

    def _start(self, index: int) -> int:
        return self.tokens[index].start if index < len(self.tokens) else len(self.text)

    def _word(self, index: int, high: int) -> str:
        return self.words[index] if index < high else ""

    def _join(self, index: int, high: int) -> tuple[int, bool]:
        """Pass over what joins two items; whether the join is so loose that a het may reach over it."""
        first = self.tokens[index]
        if first.word not in words.JOINS:
            return index, True
        index += 1
        if first.word in (",", ";") and self._word(index, high) == "and":
            index += 1
        if index == high:
            raise Fault(
                Problem.STRAY, first.start, first.end, rewrites=(dropped(self.text, first.start, self._end(index)),)
            )
        return index, first.word in ("and", "&")

    def _end(self, index: int) -> int:
        return self.tokens[index - 1].end

    def _checked(self, placed: list[Placed]) -> Side:
        for one in placed if len(placed) > 1 else ():
            if one.wild:
                raise Fault(Problem.WILD_AND_MORE, one.start, one.end, rewrites=(self._without(placed, one),))
            if one.bin is not None:
                second = placed[1] if one is placed[0] else one
                alone = instead(self.text, placed[0].start, placed[-1].end, one.bin.code)
                offers = (alone, self._without(placed, one))
                raise Fault(Problem.BIN_AND_MORE, second.start, second.end, offers=offers)
        for at, one in enumerate(placed):
            for before in placed[:at]:
                clash = next((item for item in one.items if any(overlap(item, other) for other in before.items)), None)
                if clash is not None:
                    raise self._twice(placed, before, one, clash)
        return Side(tuple(item for one in placed for item in one.items))

    def _twice(self, placed: list[Placed], before: Placed, one: Placed, clash: Item) -> Fault:
        """Two items of a side speak of the same: the second is too much, or one of the two is wrong."""
        either = (self._without(placed, one), self._without(placed, before))
        same = before.items == one.items
        return Fault(
            Problem.STATED_TWICE if same else Problem.CONTRADICTION,
            one.start,
            one.end,
            trait=clash.trait.name if isinstance(clash, Stated) else None,
            rewrites=either[:1] if same else (),
            offers=() if same else either,
        )

    def _without(self, placed: list[Placed], left_out: Placed) -> str:
        kept = ", ".join(self.text[one.start : one.end] for one in placed if one is not left_out)
        return instead(self.text, placed[0].start, placed[-1].end, kept)

    # ---- one item

    def _item(self, index: int, high: int, *, may_be_het: bool) -> tuple[Placed, int]:
        token = self.tokens[index]
        state = _STATE_OF.get(token.word)
        if state is not None:
            return self._named(index, index + 1, high, state)
        figure = read_figure(self.text, self.tokens, index, high)
        if figure is not None:
            return self._possible(index, high, figure)
        if self.spelt and self._code_at(index) is None:
            genes = read_genes(self.text, self.tokens, index, high, self.known)
            if genes is not None:
                if genes.rounded is not None:
                    self.rounded[genes.rounded] = None
                return Placed(genes.items, token.start, self._end(genes.after), genes=True), genes.after
        bare = self._bare(index, high, may_be_het=may_be_het)
        return self._by_word(index, high) if bare is None else bare

    def _by_word(self, index: int, high: int) -> tuple[Placed, int]:
        """An item that begins with a word of the notation."""
        token = self.tokens[index]
        word = token.word
        if word in words.SUPER:
            return self._named(index, index + 1, high, State.HOMOZYGOUS)
        if word in words.CODOMINANT:
            return self._named(index, index, high, State.VISUAL)
        if word in words.POSSIBLE:
            raise self._figure_missing(index, high)
        if word in words.WILD or word == "+":
            after = index + (2 if self._word(index + 1, high) == "type" else 1)
            return Placed((), token.start, self._end(after), wild=True), after
        raise self._unknown(index, high, states=_STATES)

    def _name(self, index: int, high: int) -> tuple[Trait, int] | None:
        """The trait with the longest name that stands here."""
        for count in range(min(self.known.longest, high - index), 0, -1):
            trait = self.known.by_words.get(tuple(self.words[index : index + count]))
            if trait is not None:
                return trait, index + count
        return None

    def _code_at(self, index: int) -> str | None:
        match = _CODE.match(self.text, self.tokens[index].start)
        return match[0] if match is not None and self.known.bin_code(match[0]) else None

    def _bare(self, index: int, high: int, *, may_be_het: bool) -> tuple[Placed, int] | None:
        """A name or a bin's code without a state before it; the longer of the two, a name if they are equal."""
        start = self.tokens[index].start
        named = self._name(index, high)
        code = self._code_at(index)
        if code is not None and (named is None or self._end(named[1]) < start + len(code)):
            after = next((later for later in range(index, high) if self.tokens[later].start >= start + len(code)), high)
            return Placed((BinCode(code),), start, start + len(code)), after
        if named is None:
            return None
        trait, after = named
        if may_be_het:
            end = self._end(after)
            shown = "visual" if trait.dominance is Dominance.RECESSIVE else "homozygous"
            offers = tuple(instead(self.text, start, end, f"{state} {trait.name}") for state in ("het", shown))
            raise Fault(Problem.WHICH_STATE, start, end, trait=trait.name, offers=offers)
        return self._stated(index, after, trait, State.VISUAL), after

    def _named(
        self, first: int, index: int, high: int, state: State, chance: Fraction | None = None
    ) -> tuple[Placed, int]:
        """A state whose trait must follow; `first` is where the item began."""
        if self._word(index, high) == "for":
            index += 1
        loose = index if self._word(index, high) in words.CODOMINANT else None
        if loose is not None:
            index += 1
        if index == high:
            raise Fault(Problem.NAME_MISSING, self._start(index), self._start(index))
        found = self._name(index, high)
        if found is None:
            raise self._unknown(index, high)
        trait, after = found
        if loose is not None and trait.dominance is not Dominance.INCOMPLETE:
            word = self.tokens[loose]
            rewrite = dropped(self.text, word.start, word.end)
            raise Fault(Problem.NOT_CODOMINANT, word.start, word.end, trait=trait.name, rewrites=(rewrite,))
        return self._stated(first, after, trait, state, chance), after

    def _stated(self, first: int, after: int, trait: Trait, state: State, chance: Fraction | None = None) -> Placed:
        start, end = self.tokens[first].start, self._end(after)
        if trait.dominance is Dominance.RECESSIVE:
            if state is State.HOMOZYGOUS:
                state = State.VISUAL
        elif state in (State.VISUAL, State.POSSIBLE_HET):
            problem = Problem.WHICH_DOSE if state is State.VISUAL else Problem.SHOWS_AS_HET
            offers = tuple(instead(self.text, start, end, f"{dose} {trait.name}") for dose in ("het", "homozygous"))
            raise Fault(problem, start, end, trait=trait.name, offers=offers)
        return Placed((Stated(trait, state, chance),), start, end)

    # ---- figures

    def _possible(self, first: int, high: int, figure: Figure) -> tuple[Placed, int]:
        """What a figure belongs to: a het."""
        value, index, rounded = figure
        end = self._end(index)
        if rounded is not None:
            self.rounded[rounded, value] = None
        if self._word(index, high) in words.POSSIBLE:
            index += 1
        if self._word(index, high) not in words.HET:
            rewrite = instead(self.text, self._end(index), self._end(index), "het")
            raise Fault(Problem.FIGURE_WITHOUT_HET, self.tokens[first].start, end, rewrites=(rewrite,))
        if value == 1:
            return self._named(first, index + 1, high, State.HET)
        return self._named(first, index + 1, high, State.POSSIBLE_HET, value)

    def _figure_missing(self, index: int, high: int) -> Fault:
        start, end = self.tokens[index].start, self.tokens[index].end
        if self._word(index + 1, high) in words.HET:
            end = self.tokens[index + 1].end
        offers = tuple(instead(self.text, start, end, f"{figure} het") for figure in _FIGURES)
        return Fault(Problem.FIGURE_MISSING, start, end, offers=offers)

    def _unknown(self, index: int, high: int, states: tuple[str, ...] = ()) -> Fault:
        """Nothing known stands here: point at the words most like a trait's name, or (`states`) a state's."""
        token = self.tokens[index]
        if token.word in MARKS:
            rewrites: tuple[str, ...] = (dropped(self.text, token.start, token.end),)
            if token.word == "+":
                rewrites = (f"{self.text[: token.start].rstrip()}, {self.text[token.end :].lstrip()}", *rewrites)
            return Fault(Problem.STRAY, token.start, token.end, rewrites=rewrites)
        names = {" ".join(trait.words): trait.name for trait in self.known.traits}
        best: tuple[float, tuple[str, ...], int] = (0.0, (), index + 1)
        run: list[str] = []
        for after, following in enumerate(self.tokens[index : min(high, index + _RUN)], index + 1):
            if following.word in MARKS or reserved_in_name((following.word,)):
                break
            if run and self._name(after - 1, high) is not None:
                break
            run.append(following.word)
            close, likeness = nearest(" ".join(run), names)
            if likeness > best[0]:
                best = (likeness, close, after)
        near = tuple(names[name] for name in best[1])
        start, end = token.start, self._end(best[2])
        rewrites = tuple(instead(self.text, start, end, name) for name in near)
        meant, likeness = nearest(token.word, states)
        if meant:
            by_state = instead(self.text, token.start, token.end, meant[0])
            rewrites = (by_state, *rewrites) if likeness > best[0] else (*rewrites[:2], by_state)
        return Fault(Problem.UNKNOWN_TRAIT, start, end, near=near, rewrites=rewrites)
