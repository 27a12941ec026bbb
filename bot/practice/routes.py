"""The HTTP routes of the service, version 10, as far as a bot of commands, forms and pings uses them."""

from collections.abc import Callable

from aiohttp import web

from bot.practice import errors, payloads
from bot.practice.channels import Channels
from bot.practice.commands import Commands
from bot.practice.interactions import Interactions
from bot.practice.requests import Body
from bot.practice.values import Json
from bot.practice.world import World

Answer = Json | list[Json] | None
Handler = Callable[[web.Request, Body], Answer]
PREFIX = "/api/v10"
_TRUE = frozenset({"1", "true", "True"})


class Routes:
    """Maps paths to what they do. A handler returns JSON, or None for "204 no content", or raises a refusal."""

    def __init__(
        self,
        world: World,
        commands: Commands,
        interactions: Interactions,
        channels: Channels,
        gateway_url: Callable[[], str],
    ) -> None:
        self._world = world
        self._commands = commands
        self._interactions = interactions
        self._channels = channels
        self._gateway_url = gateway_url

    def open_table(self) -> list[tuple[str, str, Handler]]:
        """The routes that need no bot token: those whose path carries the token of an interaction."""
        webhook = "/webhooks/{webhook_id}/{webhook_token}"
        return [
            ("POST", "/interactions/{interaction_id}/{interaction_token}/callback", self._answer),
            ("POST", webhook, self._follow_up),
            ("GET", f"{webhook}/messages/{{message_id}}", self._get_answer),
            ("PATCH", f"{webhook}/messages/{{message_id}}", self._edit_answer),
            ("DELETE", f"{webhook}/messages/{{message_id}}", self._delete_answer),
            ("GET", "/gateway", lambda request, body: {"url": self._gateway_url()}),
        ]

    def bot_table(self) -> list[tuple[str, str, Handler]]:
        """The routes for the bot with its token."""
        messages = "/channels/{channel_id}/messages"
        applications = "/applications/{application_id}"
        guild_commands = f"{applications}/guilds/{{guild_id}}/commands"
        return [
            ("GET", "/users/@me", lambda request, body: payloads.bot_user(self._world.application_id)),
            ("GET", "/oauth2/applications/@me", lambda request, body: payloads.application(self._world.application_id)),
            ("GET", "/applications/@me", lambda request, body: payloads.application(self._world.application_id)),
            ("GET", "/gateway/bot", self._gateway_bot),
            ("POST", "/users/@me/channels", self._open_dm),
            (
                "GET",
                "/users/{user_id}",
                lambda request, body: payloads.user(self._world.person(number(request, "user_id"))),
            ),
            ("GET", "/guilds/{guild_id}", self._guild),
            ("GET", "/guilds/{guild_id}/channels", lambda request, body: self._guild(request, body)["channels"]),
            ("GET", "/guilds/{guild_id}/members/{user_id}", self._member),
            ("GET", f"{applications}/commands", lambda request, body: self._commands.listed(None)),
            ("PUT", f"{applications}/commands", lambda request, body: self._commands.put(None, body.value)),
            ("GET", guild_commands, lambda request, body: self._commands.listed(number(request, "guild_id"))),
            ("PUT", guild_commands, lambda request, body: self._commands.put(number(request, "guild_id"), body.value)),
            ("GET", "/channels/{channel_id}", self._channel),
            ("POST", "/channels/{channel_id}/typing", self._typing),
            (
                "GET",
                messages,
                lambda request, body: self._channels.history(number(request, "channel_id"), request.query),
            ),
            ("POST", messages, self._post),
            ("GET", f"{messages}/{{message_id}}", self._get),
            ("PATCH", f"{messages}/{{message_id}}", self._edit),
            ("DELETE", f"{messages}/{{message_id}}", self._delete),
        ]

    def _gateway_bot(self, request: web.Request, body: Body) -> Answer:
        limit = {"total": 1000, "remaining": 1000, "reset_after": 0, "max_concurrency": 1}
        return {"url": self._gateway_url(), "shards": 1, "session_start_limit": limit}

    def _guild(self, request: web.Request, body: Body) -> Json:
        return payloads.guild(self._world, self._world.place(number(request, "guild_id")))

    def _member(self, request: web.Request, body: Body) -> Answer:
        place = self._world.place(number(request, "guild_id"))
        person = self._world.person(number(request, "user_id"))
        if person.id not in {each.id for each in place.people}:
            raise errors.ApiError(404, 10007, "Unknown Member")
        return payloads.member(person)

    def _channel(self, request: web.Request, body: Body) -> Answer:
        channel_id = number(request, "channel_id")
        self._world.seen_by_bot(channel_id)
        return payloads.channel(self._world, channel_id)

    def _typing(self, request: web.Request, body: Body) -> None:
        self._channels.check_writable(number(request, "channel_id"))

    def _open_dm(self, request: web.Request, body: Body) -> Answer:
        recipient = str(body.fields.get("recipient_id"))
        if not recipient.isdigit() or not self._world.knows(int(recipient)):
            raise errors.invalid_recipient()
        return payloads.channel(self._world, self._world.dm_channel(int(recipient)))

    def _post(self, request: web.Request, body: Body) -> Answer:
        message = self._channels.post(number(request, "channel_id"), body.fields, body.uploads)
        return payloads.message(self._world, message)

    def _get(self, request: web.Request, body: Body) -> Answer:
        message = self._channels.get(number(request, "channel_id"), number(request, "message_id"))
        return payloads.message(self._world, message)

    def _edit(self, request: web.Request, body: Body) -> Answer:
        channel_id, message_id = number(request, "channel_id"), number(request, "message_id")
        return payloads.message(self._world, self._channels.edit(channel_id, message_id, body.fields, body.uploads))

    def _delete(self, request: web.Request, body: Body) -> None:
        self._channels.delete(number(request, "channel_id"), number(request, "message_id"))

    def _answer(self, request: web.Request, body: Body) -> Answer:
        token = request.match_info["interaction_token"]
        answer = self._interactions.answer(number(request, "interaction_id"), token, body.fields, body.uploads)
        return answer if request.query.get("with_response") in _TRUE else None

    def _follow_up(self, request: web.Request, body: Body) -> Answer:
        message = self._interactions.follow_up(self._webhook(request), body.fields, body.uploads)
        return payloads.message(self._world, message) if request.query.get("wait", "1") in _TRUE else None

    def _get_answer(self, request: web.Request, body: Body) -> Answer:
        shown = self._interactions.shown(self._webhook(request), request.match_info["message_id"])
        return payloads.message(self._world, shown)

    def _edit_answer(self, request: web.Request, body: Body) -> Answer:
        which = request.match_info["message_id"]
        edited = self._interactions.edit(self._webhook(request), which, body.fields, body.uploads)
        return payloads.message(self._world, edited)

    def _delete_answer(self, request: web.Request, body: Body) -> None:
        self._interactions.delete(self._webhook(request), request.match_info["message_id"])

    def _webhook(self, request: web.Request) -> str:
        """The token of an interaction, whose webhook is named by the application's id."""
        if number(request, "webhook_id") != self._world.application_id:
            raise errors.unknown_webhook()
        return request.match_info["webhook_token"]


def number(request: web.Request, name: str) -> int:
    """An id of the path. Raises the service's refusal (50035) if it is none."""
    text = request.match_info[name]
    if not text.isdigit():
        problems = errors.Problems()
        problems.add((name,), "NUMBER_TYPE_COERCE", f'Value "{text}" is not snowflake.')
        problems.refuse()
    return int(text)
