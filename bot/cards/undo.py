"""How an undo is said."""

from collections.abc import Sequence

from bot.cards import verbs
from bot.cards.card import Button, Card, Tone
from bot.cards.verdicts import said_after_undo
from bot.records import TraitRow
from bot.services.undo import Undone
from bot.services.verdicts import Noted

_CHANGES = {
    "bin.opened": "The bin is no longer open. Its code is not given again.",
    "bin.split": "The bins are one again, as before the split. The new code is not given again.",
    "bin.merged": "The bins are two again, each with its care and its counts.",
    "bin.moved": "The bin is where it was, and with whom.",
    "bin.closed": "The bin is open again, with its care.",
    "bin.held": "It is not on hold for that any more.",
    "bin.quarantined": "The quarantine is as it was before.",
    "bin.looked": "The look is taken back.",
    "bin.released": "What was lifted or ended holds again.",
    "bin.accident": "That is taken back; the broods are not in doubt because of it.",
    "bin.backup": "The backups are as they were.",
    "bin.temperature": "The reading is taken back, and the days go by the one before.",
    "bin.litter": "That litter is taken back.",
    "count.logged": "The count is taken back.",
    "count.corrected": "The correction is taken back; the count before it stands again.",
    "trait.defined": "The trait is taken back.",
    "find.logged": "The find is taken back, with the trait it opened, its pings and its hold.",
    "find.sheen": "No sheen after all: the hold that it set is off again.",
    "find.quiet": "I ask about it again after all.",
    "pairing.set_up": "The pairing is taken back.",
    "pairing.history": "What the dams were before is not known again.",
    "pairing.gravid": "It is not noted as gravid any more.",
    "pairing.young": "It is not noted any more that young were seen.",
    "pairing.out": "They are still together.",
    "pairing.ended": "The pairing goes on.",
    "brood.logged": "The brood is taken back.",
    "brood.scored": "The scoring is taken back.",
    "brood.kept": "They are no longer kept back.",
    "bin.noted": "It is not noted any more; I do not ask for the rest.",
    "bin.death_told": "What was told of the dead is taken back.",
    "bin.shared": "They keep that bin no more.",
    "bin.unshared": "They keep that bin again.",
    "bin.privacy": "The bin is as open as it was before.",
    "species.set": "The species card is as it was.",
    "species.reset": "The server's own species card holds again.",
    "photo.filed": "The photo is taken back.",
    "photo.described": "The words on the photo are as they were.",
    "photo.removed": "The photo is shown again.",
    "guide.changed": "The scoring guide is as it was.",
    "blind.opened": "These photos are not up for scoring any more.",
    "blind.answered": "That answer is as it was before.",
    "keeper.set": "Your settings are as they were.",
    "server.kinship_set": "The warnings are as they were.",
    "server.set": "The server's settings are as they were.",
    "trait.changed": "The trait is as it was before.",
    "trait.followed": "It is told there no more.",
    "trait.unfollowed": "It is told in that room again.",
    "trait.weighed": "The trait is weighed as it was before.",
    "trait.linked": "The traits are not linked.",
    "trait.series": "The traits are no alleles of one locus.",
    "trait.combined": "The traits make no look together.",
    "trait.parted": "Not parted after all: the traits belong together again.",
    "care.added": "The care task is taken back; it will not ping.",
    "care.done": "Not done after all: it is open again.",
    "care.later": "Not put off after all: it is open again.",
    "care.skipped": "Not left out after all: it is open again.",
    "care.paused": "It does not rest after all.",
    "care.resumed": "It rests again.",
    "care.ended": "It does not end after all.",
    "care.away": "You are not away after all.",
    "care.back": "You are away again.",
}


def undone_card(undone: Undone, moves: Sequence[tuple[TraitRow, Noted]] = ()) -> Card:
    """The reply to *Undo*; `moves` are the verdicts that rested on what was taken back."""
    moved = [said for trait, noted in moves if (said := said_after_undo(trait, noted))]
    return Card(
        lead="Undone.",
        blocks=(_CHANGES[undone.event.kind], *moved),
        buttons=tuple(
            Button(f"Evidence on {trait.name}"[:34], verbs.TRAIT_EVIDENCE, str(trait.id)) for trait, _ in moves
        ),
        tone=Tone.GOOD,
        private=True,
    )
