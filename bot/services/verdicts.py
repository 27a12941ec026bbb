"""Verdicts as they were reached: noted when they change, never edited, and read as a history."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from bot.records import TraitRow, VerdictRow
from bot.services.desk import Desk
from bot.services.evidence import Evidence, evidence_on, weighable
from bot.services.refusals_evidence import NothingToWeigh, RecordsContradict
from bot.services.refusals_traits import NoSuchTrait
from bot.services.request import Request
from genetics.evidence.explanations import Cause
from genetics.evidence.findings import Word

MOST_SHOWN = 60
_FINE = 10_000
_SHARES = 4
_VERSION = 1
_READINGS = 4


@dataclass(frozen=True, slots=True)
class Stood:
    """A verdict: the word, the likeliest explanation (None where no brood was left to weigh), and its posterior."""

    word: Word
    leader: Cause | None
    posterior: Fraction

    @classmethod
    def of(cls, evidence: Evidence) -> "Stood":
        """What evidence comes to."""
        leader = evidence.findings.leader
        return cls(evidence.findings.verdict.word, leader.cause, fine(leader.posterior))

    @classmethod
    def in_row(cls, row: VerdictRow) -> "Stood":
        """What a row of the history says."""
        return cls(Word(row.word), Cause(row.leader) if row.leader else None, row.posterior)


@dataclass(frozen=True, slots=True)
class Noted:
    """A verdict of the history, with the one before it: None if it is the first. `new`: it was noted now."""

    before: Stood | None
    now: Stood | None
    new: bool

    @property
    def word_changed(self) -> bool:
        """Whether the word, or the explanation it is said of, is another than before.

        Without a verdict all is *open*; and of what is open no explanation is said yet.
        """
        if not self.new or self.now is None:
            return False
        word, leader = (self.before.word, self.before.leader) if self.before is not None else (Word.OPEN, None)
        return self.now.word is not word or (word is not Word.OPEN and self.now.leader is not leader)


@dataclass(frozen=True, slots=True)
class History:
    """How the verdict on a trait changed, the newest first; `more`: older ones are not among them."""

    trait: TraitRow
    rows: tuple[VerdictRow, ...]
    more: bool


def fine(share: float) -> Fraction:
    """A probability as it is kept: to a ten-thousandth."""
    return Fraction(round(share * _FINE), _FINE)


async def note_verdict(desk: Desk, request: Request, trait: int) -> Noted:
    """Note what everybody may know of a trait, if that is another verdict than the last; have a new word told where it is followed.

    Whoever reads while others write reads again: what is noted rests on the whole book. Broods of private bins are not in it. What cannot be weighed is not noted; where no scored brood is left any more, that
    is.

    Raises:
        NoSuchTrait: there is none with this id.
        TooLong, WorkerLost, AllBusy: there is no answer in time.
    """
    for _ in range(_READINGS):
        found = await weighable(desk, request, lambda rows: _only(trait, rows), for_all=True)
        evidence: Evidence | None = None
        try:
            evidence = await evidence_on(desk, found, found.traits[0])
        except RecordsContradict:
            break
        except NothingToWeigh:
            pass
        noted = await _note(desk, request, trait, found.seq, evidence)
        if noted is not None:
            return noted
    return Noted(None, None, new=False)


async def _note(desk: Desk, request: Request, trait: int, seq: int, evidence: Evidence | None) -> Noted | None:
    """Note a verdict that rests on the book as it was at an event; None if the book is another by now."""
    async with desk.records.write(request.stamp) as book:
        last = next(iter(await book.verdicts(trait, limit=1)), None)
        before = None if last is None else Stood.in_row(last)
        now = None if evidence is None else Stood.of(evidence)
        if await book.newest_event() != seq:
            return None
        if _same(last, evidence):
            return Noted(before, now, new=False)
        verdict = await book.add_verdict(
            trait,
            seq=seq,
            word=(Word.OPEN if now is None else now.word).value,
            leader="" if now is None or now.leader is None else now.leader.value,
            posterior=Fraction(0) if now is None else now.posterior,
            sceptic=Fraction(0) if evidence is None else fine(evidence.findings.leader.sceptic),
            broods=0 if evidence is None else _broods(evidence),
            young=0 if evidence is None else evidence.young,
            body=_body(evidence),
        )
        noted = Noted(before, now or Stood(Word.OPEN, None, Fraction(0)), new=True)
        followed = await book.followed(trait)
        if followed is not None and noted.word_changed:
            await book.tell_verdict(verdict, followed)
    return noted


async def history_of(desk: Desk, request: Request, trait: int) -> History:
    """How the verdict on a trait changed.

    Raises:
        NoSuchTrait: there is none with this id in this server.
    """
    async with desk.records.read(request.server, request.actor) as book:
        row = _only(trait, await book.traits())[0]
        rows = await book.verdicts(trait, limit=MOST_SHOWN + 1)
    return History(row, rows[:MOST_SHOWN], len(rows) > MOST_SHOWN)


def _only(trait: int, rows: Sequence[TraitRow]) -> tuple[TraitRow, ...]:
    found = tuple(row for row in rows if row.id == trait)
    if not found:
        raise NoSuchTrait("")
    return found


def _broods(evidence: Evidence) -> int:
    return sum(bool(brood.scored) for brood in evidence.programme.broods)


def _same(last: VerdictRow | None, evidence: Evidence | None) -> bool:
    """Whether the last verdict says what the evidence does; without either there is nothing to note."""
    if evidence is None:
        return last is None or not last.leader
    if last is None:
        return False
    weighed = (_broods(evidence), evidence.young)
    return Stood.in_row(last) == Stood.of(evidence) and (last.broods, last.young) == weighed


def _body(evidence: Evidence | None) -> dict[str, object]:
    shares = () if evidence is None else evidence.findings.shares[:_SHARES]
    return {
        "v": _VERSION,
        "shares": [[share.cause.value, str(fine(share.posterior))] for share in shares],
        "default": evidence is None or evidence.tuning.is_default,
    }
