"""What the weighing gives back: figures and facts, no sentences."""

from dataclasses import dataclass
from enum import StrEnum

from genetics.evidence.explanations import Cause


class Word(StrEnum):
    """The verdict word, by the posterior of the leading explanation and what it rests on (science.md §5)."""

    OPEN = "open"
    LEANING = "leaning"
    SUPPORTED = "supported"
    ESTABLISHED = "established"


class Lack(StrEnum):
    """What keeps a verdict from its next word.

    POSTERIOR: the leader's posterior is below `needs`. FIT: the leader fits badly (chance below `needs`), so the word is
    capped at *leaning*. DAMS: young of fewer than two dams were scored. BINS: one substrate only, and no trait family
    with a wild family side by side. PLANNED: no brood was planned before it was scored. SCEPTIC: the sceptic's posterior
    is below `needs`. DROPPED: without the brood `brood` the posterior is below `needs`. ONE_BIN: without the young of the
    bin `bin` it is (NaN: that cannot be weighed).
    """

    POSTERIOR = "posterior"
    FIT = "fit"
    DAMS = "dams"
    BINS = "bins"
    PLANNED = "planned"
    SCEPTIC = "sceptic"
    DROPPED = "dropped"
    ONE_BIN = "one bin"


@dataclass(frozen=True, slots=True)
class Missing:
    """One thing in the way: `found` is what there is, `needs` what the next word needs, `brood` or `bin` which one, if any."""

    lack: Lack
    found: float
    needs: float
    brood: str | None = None
    bin: str | None = None


@dataclass(frozen=True, slots=True)
class Verdict:
    """The word, the word above it (None: there is none), and what is missing for that, in the order of `Lack`."""

    word: Word
    following: Word | None
    missing: tuple[Missing, ...]


@dataclass(frozen=True, slots=True)
class Share:
    """One explanation: its prior, log P(records | explanation), posterior, and the posterior on a sceptic's prior.

    error: standard error of `log_evidence` where it was sampled; 0: exact but for the quadrature.
    """

    cause: Cause
    prior: float
    log_evidence: float
    posterior: float
    sceptic: float
    error: float


@dataclass(frozen=True, slots=True)
class Standing:
    """What is known of one group.

    genotypes: under the leading explanation, (genotype, probability) for one random member; genotypes are named by the
        copies of the trait's allele ("0", "1", "2"; "1/2": one at the first and two at the second locus; "passes it"
        and "does not" for a mother's; the band of the breeding value for a threshold; empty if it knows no genes).
    carries: P(a random member has at least one copy | the leader).
    any_carries: P(at least one member has | the leader); equals `carries` for a single animal.
    overall: P(a random member carries the cause) over all explanations; not inherited and none of these count as no,
        and so does a threshold, which everybody carries in part.
    """

    group: str
    genotypes: tuple[tuple[str, float], ...]
    carries: float
    any_carries: float
    overall: float


@dataclass(frozen=True, slots=True)
class BroodSays:
    """What one brood contributes.

    dropped: posterior of the leader when the brood is left out. weight: log10 of the Bayes factor of the leader over the
    runner-up that the brood adds to all others. fit: chance, under the leader and all other broods, of an outcome no
    likelier than this one.
    """

    brood: str
    dropped: float
    weight: float
    fit: float


@dataclass(frozen=True, slots=True)
class Penetrance:
    """Posterior of penetrance under the leader: mean, and the central 90 % of the grid."""

    mean: float
    low: float
    high: float
    grid: tuple[tuple[float, float], ...]


class LeftOut(StrEnum):
    """Why an explanation was not weighed."""

    NO_PARTIAL = "incompletely dominant needs a partial class that is scored"
    NO_ODD = "two loci, either suffices, cannot be told from recessive without an odd founder"
    NO_CHROMOSOME = "sex-linked needs a species with a known X or Z"


@dataclass(frozen=True, slots=True)
class Supposed:
    """What has to be true of one founder group for an explanation to hold, and nobody has seen.

    cause: the explanation. group: animals that are not odd and of which nobody said that they carry. before: P(a random
    member carries the cause | the explanation, its stock and how it looked); below a half. after: the same by all
    records; a half or more. broods: its broods with young that show, in the programme's order.
    """

    cause: Cause
    group: str
    before: float
    after: float
    broods: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Findings:
    """The answer.

    shares: one for each explanation weighed, the most probable first. left_out: the others, with the reason; the priors
        of those weighed are brought to sum 1.
    bayes_factor: evidence of the leader over that of the runner-up (the second most probable).
    standings: one for each group, in the programme's order. broods: in the programme's order.
    fit: the leader's posterior predictive check: Bonferroni's bound over `broods`' own checks; small means bad.
    sampled: explanations whose evidence was sampled, with the standard error in their share.
    fresh: under a threshold, groups of several whose members were taken as fresh sibs for each brood (its own method).
    supposed: what the more probable explanations need to be true of founders that look as if they had nothing to do with
        the trait: a visual out of a wild dam, under "recessive", says that she carries it. By explanation, the most
        probable first.
    """

    shares: tuple[Share, ...]
    left_out: tuple[tuple[Cause, LeftOut], ...]
    bayes_factor: float
    standings: tuple[Standing, ...]
    broods: tuple[BroodSays, ...]
    penetrance: Penetrance | None
    fit: float
    verdict: Verdict
    sampled: tuple[Cause, ...]
    fresh: tuple[str, ...]
    supposed: tuple[Supposed, ...] = ()

    @property
    def leader(self) -> Share:
        """The most probable explanation."""
        return self.shares[0]

    @property
    def runner_up(self) -> Share:
        """The second most probable one."""
        return self.shares[1]
