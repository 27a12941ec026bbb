"""How it is said that kinship cannot be told, and what to do."""

from bot.cards import words
from bot.cards.leads import lead
from bot.services import refusals_kinship as r
from genetics import KinshipFault


@lead.register
def _(refusal: r.KinshipNotTold) -> str:
    if refusal.fault is KinshipFault.HAPLODIPLOID:
        return f"*{refusal.species}* makes males from unfertilised eggs. There kinship differs between the sexes, and I don't work that out; ask me about species with two parents."
    bins = words.listed(words.bin_name(each.code, each.name) for each in refusal.culprits)
    if refusal.fault is KinshipFault.OWN_ANCESTOR:
        return f"The book goes round in a circle: {bins or 'a bin'} would come from itself. Look at the parents with `/bin show` and correct one."
    where = f" at {bins}" if bins else ""
    return f"The records contradict each other{where}: one animal would be both parents, or more animals left a bin than were in it. Look at the parents and numbers with `/bin show`."


@lead.register
def _(refusal: r.WarningsCrossed) -> str:
    note, warning = words.fine_percent(refusal.note), words.fine_percent(refusal.warning)
    return (
        f"The remark would come at {note}, after the warning at {warning}. Type a `note` that is no higher than `warn`."
    )
