"""Traits: what is inherited and how it shows."""

import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import StrEnum

from genetics.errors import ModelFault, ModelRefused, TraitClash, TraitFault, TraitRefused
from genetics.loci import Locus, Where, is_symbol, is_taken
from genetics.words import CODOMINANT, MARKS, WILD_ALLELE, reserved_in_name, tokens

NAME_LIMIT = 60
# Emoji of several parts are held together by this one; other invisible characters can turn a line of text round.
_JOINER = "\u200d"


class Dominance(StrEnum):
    """How one copy of the allele shows beside the wild one.

    >>> Dominance("incompletely dominant") is Dominance.INCOMPLETE
    True
    """

    RECESSIVE = "recessive"
    DOMINANT = "dominant"
    INCOMPLETE = "incompletely dominant"


class Appearance(StrEnum):
    """How an animal looks with respect to one trait. PARTIAL: one dose of an incompletely dominant allele.

    >>> [look.value for look in Appearance]
    ['wild', 'partial', 'full']
    """

    WILD = "wild"
    PARTIAL = "partial"
    FULL = "full"


@dataclass(frozen=True, slots=True)
class Trait:
    """A trait of one allele: the wild type at its locus is written "+", its own allele by a symbol.

    name: what keepers call it, 1 to 60 characters of any script, emoji included. White space is squeezed and Unicode
        brought to form NFC. Refused: the marks and words of the notation, and invisible characters.
    symbol: the gene symbol of its allele, a letter and up to three letters or digits; upper and lower case differ.
    at: where its locus lies, if it has a locus with two alleles of its own (on an autosome, unless said otherwise), or
        the locus itself, if several traits are alleles of one series.
    words: the name as it is compared, in lower case and cut at spaces (made from the name).

    Raises TraitRefused, and ModelRefused for an allele that is not in the series or contradicts its dominance order.

    >>> Trait("  Ember ", "e", Dominance.RECESSIVE)
    Trait(name='Ember', symbol='e', dominance=<Dominance.RECESSIVE: 'recessive'>)
    >>> Trait("het blue", "b", Dominance.RECESSIVE)
    Traceback (most recent call last):
    genetics.errors.TraitRefused: trait name 'het blue': word of the notation ('het')
    """

    name: str
    symbol: str
    dominance: Dominance
    at: Locus | Where = field(default=Where.AUTOSOME, repr=False)
    words: tuple[str, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        name = " ".join(unicodedata.normalize("NFC", self.name).split())
        if not name:
            raise TraitRefused("name", self.name, TraitFault.EMPTY, "")
        if len(name) > NAME_LIMIT:
            raise TraitRefused("name", name, TraitFault.TOO_LONG, name[NAME_LIMIT:])
        self._check_characters(name)
        words = tuple(token.word for token in tokens(name))
        culprit = reserved_in_name(words)
        if culprit is not None:
            raise TraitRefused("name", name, TraitFault.WORD, culprit)
        if not is_symbol(self.symbol):
            raise TraitRefused("symbol", self.symbol, TraitFault.SYMBOL, self.symbol)
        if is_taken(self.symbol):
            raise TraitRefused("symbol", self.symbol, TraitFault.WORD, self.symbol)
        if isinstance(self.at, Locus):
            self._check_series(self.at)
        object.__setattr__(self, "name", name)
        object.__setattr__(self, "words", words)

    def __hash__(self) -> int:
        # Traits are the keys of most tables here, and hashing a member of an enumeration is slow.
        return hash(self.name)

    @property
    def locus(self) -> Locus:
        """The locus of its allele; one of its own bears the trait's name.

        >>> Trait("ember", "e", Dominance.RECESSIVE, Where.SHARED).locus.where.value
        'X or Z'
        """
        if isinstance(self.at, Locus):
            return self.at
        return Locus(self.name, (WILD_ALLELE, self.symbol), self.at)

    def _check_series(self, locus: Locus) -> None:
        locus.check(self.symbol)
        if locus.order:
            before_wild = locus.order.index(self.symbol) < locus.order.index(WILD_ALLELE)
            if self.dominance is not (Dominance.DOMINANT if before_wild else Dominance.RECESSIVE):
                raise ModelRefused(self.name, ModelFault.DOMINANCE, self.dominance)

    @staticmethod
    def _check_characters(name: str) -> None:
        if name.isascii() and name.isalnum():
            return
        for character in name:
            hidden = unicodedata.category(character)[0] == "C" and character != _JOINER
            if character in MARKS or hidden:
                raise TraitRefused("name", name, TraitFault.CHARACTER, character)
        if not any(unicodedata.category(character)[0] in "LNS" for character in name):
            raise TraitRefused("name", name, TraitFault.CHARACTER, name[0])


def distinct(traits: Iterable[Trait]) -> tuple[Trait, ...]:
    """The traits as a tuple; raises TraitClash if two have the same name."""
    known = tuple(traits)
    if len({trait.words for trait in known}) < len(known):
        seen: set[tuple[str, ...]] = set()
        for trait in known:
            if trait.words in seen:
                raise TraitClash(trait.name)
            seen.add(trait.words)
    return known


def read_dominance(text: str) -> Dominance | None:
    """How a trait shows, from a keeper's word for it, the trade's loose ones included; None if it is none of them.

    >>> read_dominance("rec"), read_dominance("Co-dom")
    (<Dominance.RECESSIVE: 'recessive'>, <Dominance.INCOMPLETE: 'incompletely dominant'>)
    """
    word = " ".join(text.casefold().split())
    if word in ("recessive", "rec"):
        return Dominance.RECESSIVE
    if word in ("dominant", "dom"):
        return Dominance.DOMINANT
    if word in CODOMINANT or word in ("incomplete", "incomplete dominant", "incompletely dominant", "inc dom"):
        return Dominance.INCOMPLETE
    return None
