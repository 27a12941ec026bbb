"""The words and marks of the notation, and how text is cut into them.

Both the values (which names may a trait have?) and the grammar need them, so they stand apart from both.
"""

import re
from typing import NamedTuple

WILD_ALLELE = "+"

HET = frozenset({"het", "hets", "hetero", "heterozygous"})
CARRIER = frozenset({"carrier", "carriers"})
CARRIES = frozenset({"carries", "carrying"})
VISUAL = frozenset({"visual", "visuals", "vis"})
HOMOZYGOUS = frozenset({"homozygous", "hom"})
SUPER = frozenset({"super"})
POSSIBLE = frozenset({"possible", "poss", "pos"})
CODOMINANT = frozenset({"co-dom", "codom", "co-dominant", "codominant"})
WILD = frozenset({"wild", "wildtype", "wild-type", "normal", "wt"})
TIMES = frozenset("×✕✖⨯")
FROM, HAD, OR, NOT, SIRING = "from", "had", "or", "not", "siring"
NOT_VISUAL = frozenset({"wild-looking", "non-visual", "nonvisual", "not-visual"})
MALES = frozenset({"male", "males"})
DAMS = frozenset({"dam", "dams", "female", "females", "mother", "mothers", "sisters"})
SIRES = frozenset({"sire", "sires", "father", "fathers"}) | MALES
JOINS = frozenset({"and", "&", ",", ";"})

MARKS = ",;&/()%+" + "".join(sorted(TIMES))
"""Characters that stand for themselves: no trait name may hold one."""

_TIMES_BEGIN = TIMES | {"x"}
_HARD = HET | VISUAL | HOMOZYGOUS | POSSIBLE | CODOMINANT | frozenset({"and", OR, "for", FROM, HAD})
_SOFT = WILD | SUPER
_TOKEN = re.compile(rf"[{re.escape(MARKS)}]|[^\s{re.escape(MARKS)}]+")


class Token(NamedTuple):
    """A word or mark of a text: how it compares, as typed, and where it stands (`text[start:end] == raw`)."""

    word: str
    raw: str
    start: int
    end: int


def tokens(text: str) -> list[Token]:
    """Cut a text into words and marks; white space only parts them.

    >>> [token.word for token in tokens("66% Het ember×+/e")]
    ['66', '%', 'het', 'ember', '×', '+', '/', 'e']
    """
    return [Token(match[0].casefold(), match[0], match.start(), match.end()) for match in _TOKEN.finditer(text)]


def is_times(word: str) -> bool:
    """Whether a word joins the two sides of a cross: x, × and (to be refused with a hint) xx.

    >>> is_times("x"), is_times("×"), is_times("xx"), is_times("fox")
    (True, True, True, False)
    """
    return word[0] in _TIMES_BEGIN and (word in TIMES or not word.strip("x"))


def reserved_in_name(words: tuple[str, ...]) -> str | None:
    """The first word that a trait's name must not have because the notation uses it, or None.

    Words of a state are refused anywhere in a name; words that stand for a whole animal only as the whole name.

    >>> reserved_in_name(("het", "blue")), reserved_in_name(("wild", "type")), reserved_in_name(("wild", "rose"))
    ('het', 'wild', None)
    """
    for word in words:
        if word in _HARD or is_times(word):
            return word
    if words[0] in _SOFT and words[1:] in ((), ("type",)):
        return words[0]
    return None
