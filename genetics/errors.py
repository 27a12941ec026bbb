"""Everything that `genetics` refuses, as one tree of exceptions that carry facts and no sentences.

    GeneticsError
    ├── TraitRefused        a trait's name or symbol cannot be used
    ├── StateRefused        a trait cannot be in that state (a visual of a dominant trait: one copy or two?)
    ├── SideRefused         one side says what does not go together
    ├── TraitClash          the same trait twice in one question
    ├── TraitMissing        a trait was asked for that these parents say nothing of
    ├── BinUnresolved       a bin's code stands where genotypes are needed
    ├── SharesRefused       the weights of a parent's kinds are not a distribution
    ├── OutOfRange          a number outside what it can be
    ├── ModelRefused        a locus, a linkage group, a character or a genome that cannot be
    ├── CrossRefused        parents, or a question about their young, that this way of inheritance does not allow
    ├── KinshipRefused      a pedigree, or groups of animals, that cannot be, or a question that they do not answer
    ├── NeverHappens        conditioned on something that this cross cannot give
    ├── TooLarge            refused before it runs, with what would fit
    ├── EvidenceRefused     broods and parents that do not hang together, or more of them than can be weighed
    └── NotationError       a cross that cannot be read, with the place

`str()` of each is plain and meant for a log or a Python prompt; what a keeper reads is worded elsewhere.
They survive pickling into another process.
"""

from enum import StrEnum


class GeneticsError(Exception):
    """Root of everything this package refuses."""


class TraitFault(StrEnum):
    """Why a trait cannot be called so."""

    EMPTY = "empty"
    TOO_LONG = "too long"
    CHARACTER = "character not allowed"
    WORD = "word of the notation"
    SYMBOL = "not a gene symbol"


class TraitRefused(GeneticsError):
    """A trait's name or symbol cannot be used: `field` is "name" or "symbol", `culprit` the part that is in the way."""

    def __init__(self, field: str, value: str, fault: TraitFault, culprit: str) -> None:
        super().__init__(field, value, fault, culprit)
        self.field, self.value, self.fault, self.culprit = field, value, fault, culprit

    def __str__(self) -> str:
        return f"trait {self.field} {self.value!r}: {self.fault} ({self.culprit!r})"


class StateFault(StrEnum):
    """Why a trait cannot be stated so."""

    WHICH_DOSE = "it shows with one copy and with two: say het or homozygous"
    SHOWS = "one copy of it shows, so nothing is hidden"
    SAY_VISUAL = "two copies of a recessive are said as visual"
    CHANCE_MISSING = "a possible het needs its chance"
    CHANCE_RANGE = "the chance must lie between 0 and 1, both excluded"
    CHANCE_NEEDLESS = "only a possible het has a chance"


class StateRefused(GeneticsError):
    """A trait cannot be in that state: names of trait and state, and the fault."""

    def __init__(self, trait: str, state: str, fault: StateFault) -> None:
        super().__init__(trait, state, fault)
        self.trait, self.state, self.fault = trait, state, fault

    def __str__(self) -> str:
        return f"{self.state} {self.trait}: {self.fault}"


class SideRefused(GeneticsError):
    """A side states a trait twice, or a bin's code beside something else; `culprit` is the second one."""

    def __init__(self, culprit: str) -> None:
        super().__init__(culprit)
        self.culprit = culprit

    def __str__(self) -> str:
        return f"{self.culprit!r} cannot stand beside the rest of its side"


class TraitClash(GeneticsError):
    """Two traits of one question have the same name."""

    def __init__(self, trait: str) -> None:
        super().__init__(trait)
        self.trait = trait

    def __str__(self) -> str:
        return f"trait {self.trait!r} is given twice"


class TraitMissing(GeneticsError):
    """A trait is asked for, or stated, that is not among the traits of the question."""

    def __init__(self, trait: str) -> None:
        super().__init__(trait)
        self.trait = trait

    def __str__(self) -> str:
        return f"nothing is said of trait {self.trait!r} here"


class BinUnresolved(GeneticsError):
    """A bin's code stands where genotypes are needed: read what is recorded of the bin first."""

    def __init__(self, code: str) -> None:
        super().__init__(code)
        self.code = code

    def __str__(self) -> str:
        return f"bin {self.code!r} must be looked up before it can be crossed"


class SharesRefused(GeneticsError):
    """The weights of a parent's kinds are not positive or do not sum to 1, or a kind does not fit the traits."""

    def __init__(self, what: str, found: str) -> None:
        super().__init__(what, found)
        self.what, self.found = what, found

    def __str__(self) -> str:
        return f"{self.what}: {self.found}"


class OutOfRange(GeneticsError):
    """A number outside what it can be; `low` and `high` say the range in words that hold for it ("1", "100000")."""

    def __init__(self, name: str, value: str, low: str, high: str) -> None:
        super().__init__(name, value, low, high)
        self.name, self.value, self.low, self.high = name, value, low, high

    def __str__(self) -> str:
        return f"{self.name} is {self.value}, must lie within {self.low} and {self.high}"


class ModelFault(StrEnum):
    """Why a locus, a linkage group, a character or a genome cannot be so."""

    WILD_FIRST = "a locus has at least two alleles, the wild one, +, first"
    SYMBOL = "not a gene symbol"
    ALLELE_TWICE = "an allele stands twice at one locus"
    NOT_IN_SERIES = "an allele that is not in the series of this locus"
    ORDER = "the dominance order names every allele once"
    NO_ORDER = "no dominance order is known for this locus"
    EMPTY = "it has no locus"
    LOCUS_TWICE = "a locus stands twice"
    SYMBOL_TWICE = "linked loci share a symbol"
    OTHER_CHROMOSOME = "linked loci lie on different kinds of chromosome"
    GAPS = "there is one recombination fraction for each gap between neighbours"
    RECOMBINATION = "a recombination fraction lies between 0 and 1/2"
    NOT_IN_GROUP = "not a locus of this linkage group"
    ONE_GROUP = "a species has one linkage group of this kind"
    CONTRADICTION = "two traits at one locus contradict each other"
    DOMINANCE = "dominance and place in the series contradict each other"
    NEEDS_SERIES = "at a locus of several alleles a trait shows by the dominance order"
    NEEDS_DOMINANCE = "one copy of it shows by itself, so that it cannot be one of two that act together"
    LABELS = "the classes do not fit: how many, or one named twice"
    LABEL_UNKNOWN = "no class of this name"
    TABLE_GAP = "a genotype that the table does not tell"
    TABLE_TWICE = "a genotype that the table tells twice"
    TABLE_SUM = "the chances of a genotype's classes do not sum to 1"
    AGE = "an age in weeks, 0 or more"


class ModelRefused(GeneticsError):
    """A part of a model that cannot be: the name of the part, the fault, and what is in the way."""

    def __init__(self, name: str, fault: ModelFault, culprit: str) -> None:
        super().__init__(name, fault, culprit)
        self.name, self.fault, self.culprit = name, fault, culprit

    def __str__(self) -> str:
        return f"{self.name}: {self.fault} ({self.culprit})"


class CrossFault(StrEnum):
    """Why parents cannot be so, or their young cannot be asked that."""

    SEX_UNKNOWN = "how this species makes its sexes is not known, so nothing sex-linked can be told"
    SHARE_UNKNOWN = "the share of daughters is not stated"
    NO_SEXES = "the young are not told apart by sex here"
    NO_CHROMOSOME = "this species has no such chromosome"
    NOT_PASSED = "the parent does not pass this to young of that sex"
    NOT_CARRIED = "this parent has no chromosome with that locus"
    ONE_COPY = "this parent has a single copy of the locus, so it cannot be het"
    TOO_MANY_COPIES = "more alleles are stated at one locus than an animal has"
    ROLE_MISSING = "dam and sire differ here: say which one this is"
    WRONG_ROLE = "stated as the other parent"
    KARYOTYPE = "sex chromosomes that this parent cannot have"
    CLONAL_MALE = "a clonal species has no males"
    SIRE_MISSING = "this species needs a sire"
    SHAPE = "a genotype that does not fit these loci"
    OTHER_GENOME = "the parents are of different genomes"
    NO_CLASSES = "not a class of this character"


class CrossRefused(GeneticsError):
    """Parents or a question that this way of inheritance does not allow: the fault, on what, and a fact about it."""

    def __init__(self, fault: CrossFault, what: str, fact: str = "") -> None:
        super().__init__(fault, what, fact)
        self.fault, self.what, self.fact = fault, what, fact

    def __str__(self) -> str:
        return f"{self.what}: {self.fault}" + (f" ({self.fact})" if self.fact else "")


class KinshipFault(StrEnum):
    """Why a pedigree or groups of animals cannot be so, or a question about them has no answer here."""

    EMPTY = "a name is empty"
    TWICE = "the name stands twice"
    NOT_LISTED = "a parent, or a group, without a line of its own"
    OWN_ANCESTOR = "it is its own ancestor"
    DAM_AND_SIRE = "it is a dam and a sire, and only clonal females need no mate"
    YOUNGER_PARENT = "a parent is younger than its young"
    CLONAL_SIRE = "young of a clonal species have no sire"
    FOUNDERS_ONLY = "only a founder has an origin, or an inbreeding of its own"
    TWINS = "identical twins have the same parents"
    TOO_MANY = "more animals than the group has that they are drawn from"
    PARTS_OVERLAP = "groups that share animals cannot be poured together"
    ONE_ANIMAL = "one animal is no pair"
    HAPLODIPLOID = "kinship where males hatch from unfertilised eggs is not the same by sex, and is not worked out"
    SEX_LINKED = "kinship is worked out for autosomes only"


class KinshipRefused(GeneticsError):
    """A pedigree, or groups of animals, that cannot be: the fault, the name it concerns, and a fact about it.

    For OWN_ANCESTOR the fact is the way back to the animal, each name a parent of the one before it.
    """

    def __init__(self, fault: KinshipFault, name: str, fact: str = "") -> None:
        super().__init__(fault, name, fact)
        self.fault, self.name, self.fact = fault, name, fact

    def __str__(self) -> str:
        return f"{self.name}: {self.fault}" + (f" ({self.fact})" if self.fact else "")


class NeverHappens(GeneticsError):
    """What was conditioned on has probability 0 in this cross: a class no young can be, or counts that cannot occur."""

    def __init__(self, what: str) -> None:
        super().__init__(what)
        self.what = what

    def __str__(self) -> str:
        return f"this cross cannot give {self.what}"


class TooLarge(GeneticsError):
    """Refused before it runs.

    `what` is the thing counted, `cost` how many there would be, `limit` how many may be, and `fits` what would fit:
    the number of `unit` (for example "uncertain traits" or "traits") that stays below the limit.
    """

    def __init__(self, what: str, cost: int, limit: int, fits: int, unit: str) -> None:
        super().__init__(what, cost, limit, fits, unit)
        self.what, self.cost, self.limit, self.fits, self.unit = what, cost, limit, fits, unit

    def __str__(self) -> str:
        return f"{self.cost} {self.what}, at most {self.limit}: {self.fits} {self.unit} would fit"


class EvidenceFault(StrEnum):
    """Why broods and their parents cannot be weighed."""

    NAME_TWICE = "this name stands twice"
    UNKNOWN = "nothing of this name is on record here"
    CIRCLE = "it descends from itself"
    NOT_A_DAM = "a dam is a female"
    NOT_A_SIRE = "a sire is a male"
    NO_PARENT = "a pairing has at least one dam and one sire"
    NOT_A_MOTHER = "not a dam of this pairing"
    UNCOUNTED = "only of counted animals it can be said how they look or what they carry"
    ODD_LOOKS_WILD = "an odd animal shows the trait"
    NO_PARTIAL = "partial is no class of its own in this programme"
    FOUND_WITHOUT = "a brood found because a visual appeared has a visual"
    KEPT_TOO_MANY = "more were kept back than were seen"
    SEXES = "clonal and haplodiploid species are not weighed"
    NO_SCORED = "no brood has a scored young"
    PRIOR = "the priors sum to 1, and so do the weights of a grid"
    GRID = "a grid has one weight for each figure"
    EXPLANATION = "each explanation stands once, with the parameters it needs"
    IMPOSSIBLE = "no explanation can give these records"
    TOO_WIDE = "more unknown animals hang together than can be weighed: leave this out, or mark the animals"


class EvidenceRefused(GeneticsError):
    """Records that cannot be weighed: the fault, the name of the group or brood in the way, and a fact about it."""

    def __init__(self, fault: EvidenceFault, what: str, fact: str = "") -> None:
        super().__init__(fault, what, fact)
        self.fault, self.what, self.fact = fault, what, fact

    def __str__(self) -> str:
        return f"{self.what}: {self.fault}" + (f" ({self.fact})" if self.fact else "")


class Problem(StrEnum):
    """What is wrong with a written cross."""

    TOO_LONG = "text too long"
    MISSING_TIMES = "no x between the sides"
    REPEATED_TIMES = "more than one x"
    EMPTY_SIDE = "nothing on one side"
    STRAY = "character out of place"
    UNKNOWN_TRAIT = "unknown trait"
    NAME_MISSING = "a state without its trait"
    FIGURE_MISSING = "possible het without a figure"
    FIGURE_RANGE = "figure out of range"
    FIGURE_UNREADABLE = "figure that cannot be read"
    FIGURE_WITHOUT_HET = "a figure that no het follows"
    WHICH_DOSE = "shows with one copy and with two"
    SHOWS_AS_HET = "possible het of a trait that shows with one copy"
    NOT_CODOMINANT = "not an incompletely dominant trait"
    WHICH_STATE = "a het before may or may not reach to this trait"
    STATED_TWICE = "trait stated twice on one side"
    CONTRADICTION = "trait stated in two ways on one side"
    WILD_AND_MORE = "wild beside something else"
    BIN_AND_MORE = "a bin beside something else"
    UNKNOWN_ALLELE = "unknown allele symbol"
    AMBIGUOUS_ALLELE = "symbol of more than one trait"
    UNBALANCED = "homologues that do not match"
    TWO_LOCI = "alleles of two loci as one pair"
    UNLINKED = "linked loci written for unlinked traits"
    MAP_ORDER = "loci in another order than on the map"
    NOT_A_LOOK = "not how a young can look"
    NUMBER_MISSING = "a kind of animal without its number"
    NUMBER_RANGE = "more or fewer animals than can be"
    CHROMOSOME = "a chromosome that this species or this trait does not have"


class NotationError(GeneticsError):
    """A written cross or side that cannot be read.

    text: what was read (in Unicode form NFC); `position` and `length` point into it. `position` is the 0-based index of
        the first character not understood; it equals `len(text)` when something is missing at the end.
    problem: the kind of mistake. found: the slice pointed at. trait: the name of the trait concerned, or None.
    near: names of known traits closest to what was typed, nearest first.
    suggestion: the whole text put right, if one repair is likely; it can be read.
    offers: whole texts to choose from where only the keeper knows which is meant; each can be read.

    >>> NotationError("ember xx wild", 6, 2, Problem.REPEATED_TIMES, suggestion="ember x wild").found
    'xx'
    """

    def __init__(
        self,
        text: str,
        position: int,
        length: int,
        problem: Problem,
        *,
        trait: str | None = None,
        near: tuple[str, ...] = (),
        suggestion: str | None = None,
        offers: tuple[str, ...] = (),
    ) -> None:
        super().__init__(text, position, length, problem)
        self.text, self.position, self.length, self.problem = text, position, length, problem
        self.trait, self.near, self.suggestion, self.offers = trait, near, suggestion, offers
        self.found = text[position : position + length]

    def __str__(self) -> str:
        return f"{self.problem} at {self.position} in {self.text!r}: {self.found!r}"
