"""How it is said that no labels are printed."""

from bot.cards import words
from bot.cards.leads import lead
from bot.services import refusals_labels as r


@lead.register
def _(refusal: r.NothingToLabel) -> str:
    where = f" on shelf {words.plain(refusal.shelf, 60)}" if refusal.shelf else ""
    since = f" that was opened on {words.when(refusal.since, 'D')} or later" if refusal.since else ""
    if not where and not since:
        return "You keep no open bin yet. Type the codes of the bins, like bins:B-1, B-3."
    return f"There is no open bin{where}{since}. Leave that out, or type the codes of the bins, like bins:B-1, B-3."


@lead.register
def _(refusal: r.RoomNotYours) -> str:
    return f"You may not write in {words.room(refusal.room)}, so I post nothing there for you. Choose a room in which you may."


@lead.register
def _(refusal: r.TooManyLabels) -> str:
    return (
        f"That would be {words.number(refusal.number)} labels, and one sheet has {refusal.most}. "
        "Print one shelf at a time, like shelf:window, or type the codes, like bins:B-1, B-3."
    )
