"""How an error in a written cross is said: where it is, what is wrong there, and what would be right."""

from bot.cards import words
from genetics import NotationError, Problem

_SHOWN = 200
_NAMES = 12
_WRONG = {
    Problem.TOO_LONG: "the text is too long from here on",
    Problem.MISSING_TIMES: "there is no `x` between two sides; write the dam, an x and the sire, like `het ember x wild`",
    Problem.REPEATED_TIMES: "sides are joined by one `x`",
    Problem.EMPTY_SIDE: "one side is empty; write `wild` for an animal without any trait",
    Problem.STRAY: "this does not belong here",
    Problem.UNKNOWN_TRAIT: "I know no trait of that name",
    Problem.NAME_MISSING: "the name of a trait is missing here",
    Problem.FIGURE_MISSING: "possible het needs a figure, how likely it is a carrier",
    Problem.FIGURE_RANGE: "a chance lies above 0 % and at most at 100 %",
    Problem.FIGURE_UNREADABLE: "I can't read this figure; write it like 66% or 2/3",
    Problem.FIGURE_WITHOUT_HET: "after a figure I need `het` and a trait, like `66% het ember`",
    Problem.WHICH_DOSE: "it shows with one copy and with two; say which, `het` or `homozygous`",
    Problem.SHOWS_AS_HET: "one copy of it shows, so nobody carries it unseen; say `het`, `homozygous` or `wild`",
    Problem.NOT_CODOMINANT: "this word needs an incompletely dominant trait, and the book has it otherwise",
    Problem.WHICH_STATE: "the `het` before it may or may not hold for this one too; say its state as well",
    Problem.STATED_TWICE: "this trait stands twice on one side",
    Problem.CONTRADICTION: "one side says two different things of this trait",
    Problem.WILD_AND_MORE: "`wild` stands alone on its side",
    Problem.BIN_AND_MORE: "a bin's code stands alone on its side",
    Problem.UNKNOWN_ALLELE: "I know no trait with this gene symbol",
    Problem.AMBIGUOUS_ALLELE: "more than one trait has this gene symbol",
    Problem.UNBALANCED: "the two sides of the `/` do not match",
    Problem.TWO_LOCI: "the two sides of a `/` are one trait's; these are of two",
    Problem.UNLINKED: "these traits are not recorded as linked; part them with `;`",
    Problem.MAP_ORDER: "these loci stand in another order on the map",
    Problem.NOT_A_LOOK: "before `from` stands how the animal looks: `wild`, or the trait that it shows",
    Problem.NUMBER_MISSING: "say how many there are of each kind, like `2 visual ember or 7 wild`",
    Problem.NUMBER_RANGE: "I take 1 to 100 dams, up to 5 sires of a brood, and up to a million animals of a kind",
    Problem.CHROMOSOME: "this species or this trait has no such chromosome",
}


def pointed(error: NotationError, what: str) -> str:
    """The sentence: what cannot be read, with a mark at the place, and why."""
    before, found = error.text[: error.position], error.found
    after = error.text[error.position + error.length :]
    marked = f"{before}⟪{found}⟫{after}" if found else f"{before}⟪ ⟫{after}"
    return f"I can't read the {what} at the mark: {words.inline(words.around(marked, error.position, 120))} – {_WRONG[error.problem]}."


def advice(error: NotationError, known: tuple[str, ...]) -> tuple[str, ...]:
    """What would be right: a corrected text, texts to choose from, or the names on record."""
    texts = [text for text in (error.suggestion, *error.offers) if text is not None]
    said = []
    if texts:
        near = (words.inline(words.around(t, error.position, _SHOWN)) for t in dict.fromkeys(texts))
        said.append(f"Did you mean {words.listed(near, 'or')}?")
    if error.problem is Problem.FIGURE_MISSING:
        said.append(
            "A wild-looking one carries it with 2/3 from het × het, 1/2 from het × wild, 1/3 from 2/3 het × wild; "
            "from a visual parent it carries it surely: write `het`."
        )
    if error.problem is Problem.UNKNOWN_TRAIT and not texts:
        names = words.listed([words.plain(name) for name in known[:_NAMES]] + ["more"] * (len(known) > _NAMES))
        said.append(
            f"Traits in this book: {names}." if known else "No trait is in this book yet: `/trait define` makes one."
        )
    return tuple(said)
