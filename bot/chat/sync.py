"""Telling the chat service which commands there are: only when they have changed."""

import hashlib
import json
import logging

from discord import app_commands

from bot.chat.client import Mancabook

_log = logging.getLogger(__name__)


def fingerprint(tree: app_commands.CommandTree[Mancabook]) -> str:
    """A hash of everything the service would be told."""
    payload = [command.to_dict(tree) for command in tree.get_commands()]
    return hashlib.sha256(json.dumps(payload, sort_keys=True, ensure_ascii=False).encode()).hexdigest()


async def sync_if_changed(client: Mancabook, tree: app_commands.CommandTree[Mancabook]) -> bool:
    """Send the commands if they are not those that were sent last; returns whether they were sent."""
    application = client.application_id
    if application is None:
        raise RuntimeError("the client is not logged in")
    now, known = fingerprint(tree), await client.desk.records.synced_hash(application)
    if now == known:
        return False
    await tree.sync()
    await client.desk.records.set_synced_hash(application, now, client.clocks.real())
    _log.info("told the chat service of %d commands", len(tree.get_commands()))
    return True
