"""Every press and every form, by the verb of its custom id: the router's dispatch and its error door."""

import logging
from typing import Any

import discord

from bot.cards import faults, verbs
from bot.cards.ids import read
from bot.cards.render import Page
from bot.chat.answer import ASKED, answer, send
from bot.chat.client import Mancabook
from bot.chat.discovery import Abilities
from bot.chat.doors import say_failure
from bot.chat.requests import find_home
from bot.chat.router import Press, Reply, Route
from bot.chat.sheets import Asked, Sheet
from bot.services import drafts
from bot.services.desk import Desk
from bot.services.refusals import Outlived
from bot.services.request import Request

_log = logging.getLogger(__name__)


class Router:
    """Answers presses and forms with the routes and sheets that were found."""

    def __init__(self, abilities: Abilities) -> None:
        self._routes = abilities.routes
        self._sheets = abilities.sheets

    async def handle(self, interaction: discord.Interaction[Mancabook]) -> None:
        """Answer a press or a form. Anything raised on the way reaches the person through the door."""
        data: Any = interaction.data
        custom_id = read(data.get("custom_id", ""))
        if interaction.client.draining:
            await send(interaction, faults.restarting())
            return
        try:
            await find_home(interaction)
            if custom_id is None:
                raise Outlived("button")
            if custom_id.verb == verbs.FILL:
                await self._fill(interaction, custom_id.argument, dict(_values(data.get("components", ()))))
            elif custom_id.verb == verbs.DRAFT_EDIT:
                await answer(interaction, lambda desk, request: self._edit(desk, request, custom_id.argument))
            elif custom_id.verb == verbs.DRAFT_USE:
                await self._use(interaction, custom_id.argument)
            elif custom_id.verb == verbs.PAGE:
                await self._page(interaction, custom_id.argument)
            else:
                await self._press(interaction, self._route(custom_id.verb), custom_id.argument)
        except Exception as error:
            await say_failure(interaction, error)

    def _route(self, verb: str) -> Route:
        if verb not in self._routes:
            raise Outlived("button")
        return self._routes[verb]

    async def _press(self, interaction: discord.Interaction[Mancabook], route: Route, argument: str) -> None:
        press = Press(argument)
        if route.fills is not None:
            sheet, key = route.fills
            interaction.extras[ASKED] = Asked(sheet, {key: argument})
        await answer(
            interaction,
            lambda desk, request: route.handler(desk, request, press),
            replaces=route.replaces,
            private=route.private,
        )

    async def _page(self, interaction: discord.Interaction[Mancabook], argument: str) -> None:
        page = Page.read(argument)
        if page is None:
            raise Outlived("button")
        route, press = self._route(page.verb), Press(argument=page.argument)
        await answer(
            interaction, lambda desk, request: route.handler(desk, request, press), replaces=True, page=page.number
        )

    async def _fill(self, interaction: discord.Interaction[Mancabook], argument: str, values: dict[str, str]) -> None:
        kind, _, draft = argument.partition("/")
        sheet = self._sheet(kind)
        interaction.extras[ASKED] = Asked(sheet, values)

        async def work(desk: Desk, request: Request) -> Reply:
            every = values
            if draft:
                # The form shows five fields at most; what else was typed stands in the draft.
                every = {**(await drafts.take(desk, request, draft)).fields, **values}
                interaction.extras[ASKED] = Asked(sheet, every)
            return await sheet.work(desk, request, every)

        await answer(interaction, work)

    async def _edit(self, desk: Desk, request: Request, argument: str) -> Reply:
        kept = await drafts.take(desk, request, argument)
        return self._sheet(kept.kind).form(kept.fields, draft=kept.id)

    async def _use(self, interaction: discord.Interaction[Mancabook], argument: str) -> None:
        """An answer to a question about what was typed: the draft again, with one field as the button says."""
        draft, key, value = (*argument.split("|", 2), "", "")[:3]

        async def work(desk: Desk, request: Request) -> Reply:
            kept = await drafts.use(desk, request, draft)
            sheet = self._sheet(kept.kind)
            values = sheet.answered(kept.fields, key, value)
            interaction.extras[ASKED] = Asked(sheet, values)
            return await sheet.work(desk, request, values)

        await answer(interaction, work)

    def _sheet(self, kind: str) -> Sheet:
        if kind not in self._sheets:
            raise Outlived("form")
        return self._sheets[kind]


def _values(components: Any) -> list[tuple[str, str]]:
    """The answers of a form, by field key. A form arrives as labels, each around its input, or as rows of inputs."""
    found: list[tuple[str, str]] = []
    for component in components:
        if "value" in component and "custom_id" in component:
            found.append((component["custom_id"], component["value"]))
        elif "values" in component and "custom_id" in component:
            found.append((component["custom_id"], next(iter(component["values"]), "")))
        inner = component.get("components") or ([component["component"]] if "component" in component else [])
        found += _values(inner)
    return found
