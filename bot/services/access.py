"""Who may change what. Everyone in a server reads; the keeper of a bin and the stewards write."""

from bot.records import BinRow
from bot.services.refusals import NotYours
from bot.services.request import Request, Role


def require_keeper(request: Request, row: BinRow) -> None:
    """Let the bin's keeper and stewards pass.

    Raises:
        NotYours: the person is neither.
    """
    if request.actor != row.keeper_id and Role.STEWARD not in request.roles:
        raise NotYours(what=f"bin {row.code}", keeper_name=row.keeper_name)
