"""What a person typed of a brood: the line of quick text, and what stands in fields of its own."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from bot.services.refusals_breeding import ScoresNotRead
from bot.services.scored_text import Scored, read_scored
from bot.services.tally import read_tally
from genetics import Trait

_FIELDS = {"dead": "dead", "unsure": "unsure", "unscored": "unscored", "age": "", "size": ""}
"""Each field beside the line, and the word that its value has in a line."""


@dataclass(frozen=True, slots=True)
class NewBrood:
    """What a person typed of a brood. `of` is a pairing, or a bin where young of no pairing were found.

    `scored` is the line; `typed` what stood there before one of its meanings was chosen. `born`, `mothers`, `dead`, `unsure` and
    `unscored` are numbers, `age` and `size` those of the young when they were scored.
    """

    of: str
    scored: str = ""
    born: str = ""
    mothers: str = ""
    why: str = ""
    day: str = ""
    note: str = ""
    dead: str = ""
    unsure: str = ""
    unscored: str = ""
    age: str = ""
    size: str = ""
    typed: str = ""

    @property
    def said(self) -> str:
        """The line as it was typed, with the fields beside it."""
        return ", ".join(part for part in ((self.typed or self.scored).strip(), *self._beside()) if part)

    def _beside(self) -> list[str]:
        values = {name: getattr(self, name).strip() for name in _FIELDS}
        return [f"{value} {_FIELDS[name]}".strip() for name, value in values.items() if value]

    def read(self, traits: Sequence[Trait], about: str = "") -> Scored:
        """The line and the fields together.

        Raises:
            ScoresNotRead: a field is none of its kind, or says what the line says as well.
            ScoresUnclear, LookHasDoses, CountNotRead: as `read_scored`.
        """
        scored = read_scored(self.scored, traits, about) if self.scored.strip() else Scored()
        for part in self._beside():
            scored = _with(scored, part, traits)
        born = read_tally(self.born).total if self.born.strip() else scored.born
        return replace(scored, born=born)


def _with(scored: Scored, part: str, traits: Sequence[Trait]) -> Scored:
    more = read_scored(f"0 dead, {part}" if "dead" not in part else part, traits)
    told = {
        name: getattr(more, name) for name in ("unsure", "unscored", "age_days", "length_mm") if getattr(more, name)
    }
    if "dead" in part:
        told["dead"] = more.dead
    if more.looks or more.born is not None or len(told) > 1 or any(getattr(scored, name) for name in told):
        raise ScoresNotRead(text=part, rest=part, known=tuple(trait.name for trait in traits))
    return replace(scored, **told)
