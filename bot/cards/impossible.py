"""How a cross that cannot be, and a way of inheritance that cannot be, are said: one sentence for each fault of the science."""

from fractions import Fraction

from bot.cards import words
from genetics import CrossFault, CrossRefused, GeneticsError, ModelFault, ModelRefused, NeverHappens, OutOfRange

_SPECIES = "Name the species with `species:`, or write the chromosomes, like `Z^e/W x Z^+/Z^+`."


def cross_said(error: GeneticsError, species: str | None) -> str:
    """Why parents cannot be so, or young cannot be asked that, and what to type instead.

    Raises:
        KeyError: a fault that nobody worded; a test goes through all of them.
    """
    if isinstance(error, CrossRefused):
        return _cross_fault(error, species)
    if isinstance(error, NeverHappens):
        return (
            "No young of this cross would live: what the book says of these traits kills every one. See `/trait show`."
        )
    return model_said(error)


def _cross_fault(error: CrossRefused, species: str | None) -> str:
    what = words.plain(error.what)
    kind = f"*{species}*" if species is not None else "this species"
    return {
        CrossFault.SEX_UNKNOWN: _sex_unknown(what, species),
        CrossFault.SHARE_UNKNOWN: "Here no chromosome decides the sex. Say how many of the young are daughters, like `daughters:80%`.",
        CrossFault.NO_SEXES: "Daughters and sons are not told apart in this cross.",
        CrossFault.NO_CHROMOSOME: f"{what} lies on a sex chromosome, and {kind} has none of that kind. Look at `/trait show`.",
        CrossFault.NOT_PASSED: _not_passed(what, error.fact),
        CrossFault.NOT_CARRIED: f"This parent has no chromosome on which {what} lies: it is on the one that only the other sex has. Leave it out on that side.",
        CrossFault.ONE_COPY: f"This parent has a single copy of {what}, so it cannot be het: it shows {what} or is free of it. Type `visual` or `homozygous` before one that shows it, or leave it out.",
        CrossFault.TOO_MANY_COPIES: f"That is more than two alleles at {what}. An animal has two; leave one out.",
        CrossFault.ROLE_MISSING: "Dam and sire differ here. Write the dam, an x and the sire, like `het ember x wild`.",
        CrossFault.WRONG_ROLE: "Dam and sire have changed places here. Write the dam first.",
        CrossFault.KARYOTYPE: _karyotype(error, species),
        CrossFault.CLONAL_MALE: f"{_capital(kind)} is clonal: there are no males, and every young is like its mother. Type the mother alone, without an x.",
        CrossFault.SIRE_MISSING: "This species needs a sire. Write the dam, an x and the sire, like `het ember x wild`.",
        CrossFault.SHAPE: f"{words.inline(error.what)} does not fit the loci {words.plain(error.fact)}. Write one allele for each, in this order.",
        CrossFault.OTHER_GENOME: "These parents are not of one species.",
        CrossFault.NO_CLASSES: f"{what} has no such look. `/trait show` lists its looks.",
    }[error.fault]


def _not_passed(what: str, fact: str) -> str:
    parent, _, young = fact.partition(" to ")
    child = {"female": "daughter", "male": "son"}.get(young, "young")
    return f"A {child} does not get {what} from its {parent or 'parent'}: that chromosome does not go that way. Write it on the other side."


def _sex_unknown(what: str, species: str | None) -> str:
    known = "no species is named" if species is None else f"how *{species}* makes its sexes is not known"
    return f"{what} lies on a sex chromosome, and {known}, so I can't tell who passes it to whom. {_SPECIES}"


def _karyotype(error: CrossRefused, species: str | None) -> str:
    kind = f"*{species}*" if species is not None else "this species, as far as I know,"
    if error.what == "Z/Z":
        return f"Mothers with Z/Z are males that bacteria made females, in species with ZW females; {kind} is none. Leave `sexes:` out, or name another species."
    return f"A {error.fact or 'parent'} of {kind} cannot have the chromosomes {words.inline(error.what)}. Write the dam first, then the sire."


def model_said(error: GeneticsError) -> str:
    """Why no trait can be inherited or shown so, and what to type instead.

    Raises:
        KeyError: a fault that nobody worded; a test goes through all of them.
    """
    if isinstance(error, OutOfRange):
        return f"The {error.name} cannot be {words.plain(error.value)}: it lies between {error.low} and {error.high}."
    if not isinstance(error, ModelRefused):
        raise KeyError(type(error).__name__)
    name, culprit = words.plain(error.name), words.plain(error.culprit)
    return {
        ModelFault.WILD_FIRST: f"{name} needs at least one allele beside the wild one.",
        ModelFault.SYMBOL: f"{words.inline(error.culprit)} cannot be a gene symbol. Type one to four letters or digits, a letter first.",
        ModelFault.ALLELE_TWICE: f"{culprit} stands twice. Name each trait once.",
        ModelFault.NOT_IN_SERIES: f"{culprit} is no allele of {name}. `/trait show` lists them.",
        ModelFault.ORDER: f"The order of {name} must name every trait once, and wild.",
        ModelFault.NO_ORDER: f"For {name} it is not said which allele shows over which. Say it with `/trait series`.",
        ModelFault.EMPTY: "Name at least two traits.",
        ModelFault.LOCUS_TWICE: f"{name} stands twice, or two of the traits are alleles of one locus. Name traits of different loci, each once.",
        ModelFault.SYMBOL_TWICE: f"Two of these traits share the symbol {words.inline(error.culprit)}. Give one another symbol with `/trait change`.",
        ModelFault.OTHER_CHROMOSOME: f"These traits lie on different chromosomes: {name} on {culprit}. Put that right with `/trait change` first.",
        ModelFault.GAPS: "Give one distance for each pair of neighbours, in map order, like `10 %, 5 cM`.",
        ModelFault.RECOMBINATION: f"A recombination of {_recombination(error.culprit)} cannot be: at most half of the young recombine (50 %, which is as good as unlinked).",
        ModelFault.NOT_IN_GROUP: f"{culprit} is not linked with the others.",
        ModelFault.ONE_GROUP: f"There is one {culprit} only, so its traits stand in one linkage group. Part the other one first, with `/trait part`.",
        ModelFault.CONTRADICTION: f"Two traits say different things of the locus {name}. Look at both with `/trait show`.",
        ModelFault.DOMINANCE: f"{name} stands in the book as {culprit}, and its place in this order says otherwise: before wild it is dominant, after wild recessive. Change the order, or `/trait change` it first.",
        ModelFault.NEEDS_SERIES: f"{name} is one of several alleles, so how it shows is said by `/trait series`.",
        ModelFault.NEEDS_DOMINANCE: f"One copy of {name} looks different from two, so it cannot be one of two that make a look together in this way. Type a table of looks instead.",
        ModelFault.LABELS: f"The looks of {name} do not fit: {culprit or 'none is named'}. Name each look once, and as many as the way of acting together has.",
        ModelFault.LABEL_UNKNOWN: f"{name} has no look called {culprit}.",
        ModelFault.TABLE_GAP: f"The table of {name} says nothing of {words.inline(error.culprit)}. End it with `else = ` and a look.",
        ModelFault.TABLE_TWICE: f"The table of {name} says two things of {words.inline(error.culprit)}.",
        ModelFault.TABLE_SUM: f"The chances that the table of {name} gives for {words.inline(error.culprit)} do not add up to 100 %.",
        ModelFault.AGE: f"{words.inline(error.culprit)} is no age in weeks. Type a whole number, like 8.",
    }[error.fault]


def _recombination(text: str) -> str:
    try:
        return f"{float(Fraction(text)) * 100:.4g} %"
    except ValueError:
        return words.plain(text)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
