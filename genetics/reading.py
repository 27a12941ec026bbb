"""Reading one animal of a cross: the items that a side lists, in words or in gene notation."""

import re
from fractions import Fraction

from genetics import words
from genetics.errors import Problem
from genetics.figures import Figure, read_figure
from genetics.genes import read_genes
from genetics.mending import Fault, dropped, instead, nearest
from genetics.placing import Known, Placed
from genetics.sides import BinCode, Item, Side, State, Stated, overlap
from genetics.traits import Dominance, Trait
from genetics.words import MARKS, reserved_in_name, tokens

TEXT_LIMIT = 500
_CODE = re.compile(r"[^\s,;×✕✖⨯&()]+")
_FIGURES = ("66%", "50%", "100%", "33%")
_STATE_OF = {
    **dict.fromkeys(words.HET, State.HET),
    **dict.fromkeys(words.VISUAL, State.VISUAL),
    **dict.fromkeys(words.HOMOZYGOUS, State.HOMOZYGOUS),
}
_STATES = ("het", "visual", "homozygous", "wild", "possible")
_RUN = 4


class AnimalReader:
    """One reading of one text. Methods take token indexes and give what they read with the index after it."""

    def __init__(self, text: str, known: Known) -> None:
        self.text, self.known = text, known
        if len(text) > TEXT_LIMIT:
            raise Fault(Problem.TOO_LONG, TEXT_LIMIT, len(text))
        self.tokens = tokens(text)
        self.words = [token.word for token in self.tokens]
        self.spelt = any(mark in text for mark in "/[^")
        self.rounded: dict[tuple[str, Fraction], None] = {}

    # ---- a list of items

    def listed(self, low: int, high: int) -> Side:
        """One animal, or one kind of animals: a bin, wild, or the traits listed. Raises Fault."""
        if low == high:
            at = self.start(low)
            raise Fault(Problem.EMPTY_SIDE, at, at, offers=(instead(self.text, at, at, "wild"),))
        placed: list[Placed] = []
        index, loose = low, False
        while True:
            one, index = self._item(index, high, may_be_het=loose and placed[-1].het)
            placed.append(one)
            if index == high:
                break
            index, loose = self.joined(index, high)
        return self._checked(placed)

    def start(self, index: int) -> int:
        """Where the word begins in the text; its end for the index after the last."""
        return self.tokens[index].start if index < len(self.tokens) else len(self.text)

    def word(self, index: int, high: int) -> str:
        """The word at an index below `high`, or nothing."""
        return self.words[index] if index < high else ""

    def joined(self, index: int, high: int) -> tuple[int, bool]:
        """Pass over what joins two items; whether the join is so loose that a het may reach over it."""
        first = self.tokens[index]
        if first.word not in words.JOINS:
            return index, True
        index += 1
        if first.word in (",", ";") and self.word(index, high) == "and":
            index += 1
        if index == high:
            raise Fault(
                Problem.STRAY, first.start, first.end, rewrites=(dropped(self.text, first.start, self.end(index)),)
            )
        return index, first.word in ("and", "&")

    def end(self, index: int) -> int:
        """Where the word before this index ends in the text."""
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
        if token.word in words.CARRIER | words.CARRIES and self.name(index, high) is None:
            # "Carrier of ember"; a trait may have such a word in its name.
            return self._named(index, index + (2 if self.word(index + 1, high) == "of" else 1), high, State.HET)
        figure = read_figure(self.text, self.tokens, index, high)
        if figure is not None:
            return self._possible(index, high, figure)
        if self.spelt and self._code_at(index) is None:
            genes = read_genes(self.text, self.tokens, index, high, self.known)
            if genes is not None:
                if genes.rounded is not None:
                    self.rounded[genes.rounded] = None
                return Placed(genes.items, token.start, self.end(genes.after), genes=True), genes.after
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
            after = index + (2 if self.word(index + 1, high) == "type" else 1)
            return Placed((), token.start, self.end(after), wild=True), after
        raise self._unknown(index, high, states=_STATES)

    def name(self, index: int, high: int) -> tuple[Trait, int] | None:
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
        named = self.name(index, high)
        code = self._code_at(index)
        if code is not None and (named is None or self.end(named[1]) < start + len(code)):
            after = next((later for later in range(index, high) if self.tokens[later].start >= start + len(code)), high)
            return Placed((BinCode(code),), start, start + len(code)), after
        if named is None:
            return None
        trait, after = named
        if self.word(after, high) in words.CARRIER:
            return self._stated(index, after + 1, trait, State.HET), after + 1
        if may_be_het:
            end = self.end(after)
            shown = "visual" if trait.dominance is Dominance.RECESSIVE else "homozygous"
            offers = tuple(instead(self.text, start, end, f"{state} {trait.name}") for state in ("het", shown))
            raise Fault(Problem.WHICH_STATE, start, end, trait=trait.name, offers=offers)
        return self._stated(index, after, trait, State.VISUAL), after

    def _named(
        self, first: int, index: int, high: int, state: State, chance: Fraction | None = None
    ) -> tuple[Placed, int]:
        """A state whose trait must follow; `first` is where the item began."""
        if self.word(index, high) == "for":
            index += 1
        loose = index if self.word(index, high) in words.CODOMINANT else None
        if loose is not None:
            index += 1
        if index == high:
            raise Fault(Problem.NAME_MISSING, self.start(index), self.start(index))
        found = self.name(index, high)
        if found is None:
            raise self._unknown(index, high)
        trait, after = found
        if loose is not None and trait.dominance is not Dominance.INCOMPLETE:
            word = self.tokens[loose]
            rewrite = dropped(self.text, word.start, word.end)
            raise Fault(Problem.NOT_CODOMINANT, word.start, word.end, trait=trait.name, rewrites=(rewrite,))
        return self._stated(first, after, trait, state, chance), after

    def _stated(self, first: int, after: int, trait: Trait, state: State, chance: Fraction | None = None) -> Placed:
        start, end = self.tokens[first].start, self.end(after)
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
        end = self.end(index)
        if rounded is not None:
            self.rounded[rounded, value] = None
        if self.word(index, high) in words.POSSIBLE:
            index += 1
        if self.word(index, high) not in words.HET:
            rewrite = instead(self.text, self.end(index), self.end(index), "het")
            raise Fault(Problem.FIGURE_WITHOUT_HET, self.tokens[first].start, end, rewrites=(rewrite,))
        if value == 1:
            return self._named(first, index + 1, high, State.HET)
        return self._named(first, index + 1, high, State.POSSIBLE_HET, value)

    def _figure_missing(self, index: int, high: int) -> Fault:
        start, end = self.tokens[index].start, self.tokens[index].end
        if self.word(index + 1, high) in words.HET:
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
            if run and self.name(after - 1, high) is not None:
                break
            run.append(following.word)
            close, likeness = nearest(" ".join(run), names)
            if likeness > best[0]:
                best = (likeness, close, after)
        near = tuple(names[name] for name in best[1])
        start, end = token.start, self.end(best[2])
        rewrites = tuple(instead(self.text, start, end, name) for name in near)
        meant, likeness = nearest(token.word, states)
        if meant:
            by_state = instead(self.text, token.start, token.end, meant[0])
            rewrites = (by_state, *rewrites) if likeness > best[0] else (*rewrites[:2], by_state)
        return Fault(Problem.UNKNOWN_TRAIT, start, end, near=near, rewrites=rewrites)
