"""What each kind of change is called: what somebody did, and what a page of changes says of it."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

DONE: Final[Mapping[str, str]] = MappingProxyType(
    {
        "bin.opened": "opened",
        "bin.noted": "noted something of",
        "bin.death_told": "told of dead animals in",
        "bin.shared": "added a co-keeper to",
        "bin.unshared": "took a co-keeper from",
        "bin.privacy": "changed what is private of",
        "bin.split": "split",
        "bin.merged": "merged",
        "bin.moved": "moved",
        "bin.closed": "closed",
        "bin.held": "put on hold",
        "bin.quarantined": "set the quarantine of",
        "bin.looked": "looked over",
        "bin.released": "ended a hold or a quarantine of",
        "bin.accident": "noted a stray or an open lid of",
        "bin.backup": "changed the backup of",
        "bin.temperature": "read the temperature of",
        "bin.litter": "gave litter to",
        "count.logged": "logged a count of",
        "count.corrected": "corrected a count of",
        "find.logged": "logged an odd animal in",
        "find.sheen": "saw a blue sheen in",
        "find.quiet": "stopped the pings of a find in",
        "pairing.set_up": "set up a pairing in",
        "pairing.history": "said what the dams were before, of a pairing in",
        "pairing.gravid": "saw a filled pouch in",
        "pairing.young": "saw young in",
        "pairing.out": "took animals out of",
        "pairing.ended": "ended a pairing in",
        "brood.logged": "logged a brood of",
        "brood.scored": "scored a brood of",
        "brood.kept": "kept young back of",
        "trait.defined": "defined a trait",
        "trait.changed": "changed a trait",
        "trait.followed": "chose a room for the verdicts of a trait",
        "trait.unfollowed": "had the verdicts of a trait told no more",
        "trait.weighed": "set with what to weigh a trait",
        "trait.linked": "linked traits",
        "trait.series": "made traits alleles of one locus",
        "trait.combined": "made traits one look",
        "trait.parted": "parted traits",
        "care.added": "set a care task for",
        "care.ended": "ended a care task of",
        "care.done": "did the care of",
        "care.later": "put off the care of",
        "care.skipped": "left out the care of",
        "care.paused": "let the care rest of",
        "care.resumed": "took up the care again of",
        "care.away": "said that they are away",
        "care.back": "said that they are back",
        "photo.filed": "filed a photo of",
        "photo.described": "described a photo of",
        "photo.removed": "removed a photo of",
        "guide.changed": "changed the scoring guide of a trait",
        "blind.opened": "asked keepers to score photos",
        "blind.answered": "scored a photo",
        "blind.finished": "was through with scoring photos",
        "keeper.set": "changed their own settings",
        "keeper.erased": "erased what they had typed",
        "server.kinship_set": "set the warnings of inbreeding",
        "server.set": "changed the server's settings",
        "species.set": "changed a species card",
        "species.reset": "went back to a shipped species card",
        "undo": "undid",
    }
)
"""What a person did, by the kind of its event; the bins that it changed are named after it."""


def done(kind: str) -> str:
    """What a person did, in words: "logged a count of"."""
    return DONE[kind]
