"""The unmodified chat library against the stand-in: what the bot rests on."""

import asyncio
from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager
from typing import Any

import discord
import pytest
import yarl
from discord import app_commands
from pytest_asyncio import fixture as async_fixture

from bot.practice.service import Service
from bot.practice.values import Attachment
from tests.practice.conftest import LOG
from tests.support.wire import HandClock


class CountForm(discord.ui.Modal, title="Count"):
    """Two questions, one under a label and filled in."""

    total: discord.ui.Label["CountForm"] = discord.ui.Label(
        text="How many", component=discord.ui.TextInput(custom_id="total", default="40")
    )
    note: discord.ui.Label["CountForm"] = discord.ui.Label(
        text="Note", component=discord.ui.TextInput(custom_id="note", required=False, style=discord.TextStyle.long)
    )


class Presses(discord.ui.LayoutView):
    """A container with a text and a button."""

    def __init__(self) -> None:
        super().__init__(timeout=None)
        row: discord.ui.ActionRow[Presses] = discord.ui.ActionRow(
            discord.ui.Button(label="Again", custom_id="again"), discord.ui.Button(label="Log", custom_id="log")
        )
        self.add_item(discord.ui.Container(discord.ui.TextDisplay("**1 in 4**"), row, accent_colour=0x336699))


class SmallBot(discord.Client):
    """A bot of a few commands; presses and forms come raw."""

    def __init__(self) -> None:
        super().__init__(intents=discord.Intents(guilds=True), guild_ready_timeout=0)
        self.tree = app_commands.CommandTree(self)
        self.handled: list[int] = []
        self.resumed = asyncio.Event()
        self.errors: asyncio.Queue[BaseException] = asyncio.Queue()

    async def setup_hook(self) -> None:
        add_commands(self.tree)
        await self.tree.sync()

    async def before_identify_hook(self, shard_id: int | None, *, initial: bool = False) -> None:
        """Without the five seconds that the library waits before a second login."""

    async def on_resumed(self) -> None:
        self.resumed.set()

    async def on_interaction(self, interaction: discord.Interaction) -> None:
        self.handled.append(interaction.id)
        data: Any = interaction.data or {}
        custom_id = data.get("custom_id")
        if custom_id == "again":
            await interaction.response.edit_message(view=Presses())
        elif custom_id == "log":
            form = CountForm(custom_id="form")
            form.stop()
            await interaction.response.send_modal(form)
        elif custom_id == "form":
            values = [part["component"]["value"] for part in data["components"]]
            await interaction.response.send_message(f"logged {values}", ephemeral=True)


def add_commands(tree: app_commands.CommandTree[SmallBot]) -> None:
    bins = app_commands.Group(name="bin", description="Bins.", guild_only=True)

    @tree.command(description="Answers.")
    async def ping(interaction: discord.Interaction[SmallBot]) -> None:
        await interaction.response.send_message(f"pong {interaction.permissions.manage_guild}")

    @tree.command(description="Answers later.")
    async def slow(interaction: discord.Interaction[SmallBot]) -> None:
        await interaction.response.defer(ephemeral=True, thinking=True)
        await interaction.edit_original_response(content="here", allowed_mentions=discord.AllowedMentions.none())
        await interaction.followup.send("and more", ephemeral=True)

    @tree.command(description="A layout.")
    async def layout(interaction: discord.Interaction[SmallBot]) -> None:
        view = Presses()
        view.stop()
        await interaction.response.send_message(view=view)

    @tree.command(description="Takes a file and gives one.")
    async def picture(interaction: discord.Interaction[SmallBot], photo: discord.Attachment) -> None:
        content = await photo.read()
        await interaction.response.send_message(file=await photo.to_file(filename=f"{len(content)}.png"))

    @bins.command(name="open", description="Opens.")
    async def open_bin(interaction: discord.Interaction[SmallBot], species: str, size: int = 1) -> None:
        await interaction.response.send_message(f"{species} {size}")

    @open_bin.autocomplete("species")
    async def species(interaction: discord.Interaction[SmallBot], current: str) -> list[app_commands.Choice[str]]:
        return [app_commands.Choice(name=current + end, value=current + end) for end in ("a", "b")]

    @tree.error
    async def failed(interaction: discord.Interaction[SmallBot], error: app_commands.AppCommandError) -> None:
        interaction.client.errors.put_nowait(error)

    tree.add_command(bins)


@pytest.fixture
def pointed(service: Service) -> Iterator[None]:
    """The library's two addresses, for the time of a test."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("discord.http.Route.BASE", service.base_url)
        patch.setattr("discord.gateway.DiscordWebSocket.DEFAULT_GATEWAY", yarl.URL(service.gateway_url))
        yield


@asynccontextmanager
async def running(service: Service) -> AsyncIterator[SmallBot]:
    client = SmallBot()
    async with client, asyncio.TaskGroup() as group:
        runner = group.create_task(client.start(service.token))
        await service.wait_ready(5.0)
        yield client
        # Cancelled before the close: a close under the waiting runner makes the library say 4000 and not 1000.
        runner.cancel()


@async_fixture
async def bot(service: Service, pointed: None) -> AsyncIterator[SmallBot]:
    async with running(service) as client:
        yield client


async def test_it_logs_in_syncs_and_leaves_with_1000(service: Service, pointed: None) -> None:
    async with running(service) as client:
        await asyncio.wait_for(client.wait_until_ready(), 2.0)
        assert client.user is not None
        assert client.user.id == service.application_id
        assert [guild.name for guild in client.guilds] == ["Hollow Log"]
        assert {command["name"] for command in service.commands} == {"ping", "slow", "layout", "picture", "bin"}
        sealed, bins = client.get_channel(603), client.get_channel(601)
        assert isinstance(sealed, discord.TextChannel)
        assert isinstance(bins, discord.TextChannel)
        assert not sealed.permissions_for(sealed.guild.me).read_message_history
        assert bins.permissions_for(bins.guild.me).read_message_history
        assert service.gateway.identified[0]["intents"] == 1
    await service.wait_gone(2.0)
    assert service.gateway.closes == [1000]


async def test_a_wrong_token_is_a_failed_login(service: Service, pointed: None) -> None:
    async with discord.Client(intents=discord.Intents.none()) as client:
        with pytest.raises(discord.LoginFailure):
            await client.login("wrong")


async def test_a_command_is_answered(bot: SmallBot, service: Service) -> None:
    outcome = await service.command(700, 601, 501, "ping")
    assert outcome.text == "pong True"
    assert (await service.command(LOG, LOG.rooms[0], LOG.people[1], "ping")).text == "pong False"
    assert (await service.command(700, 601, 501, "bin open", {"species": "x", "size": 3})).text == "x 3"


async def test_a_deferred_answer_and_a_follow_up(bot: SmallBot, service: Service) -> None:
    outcome = await service.command(700, 601, 501, "slow")
    assert await outcome.until(lambda seen: len(seen.messages) == 2, 2.0)
    assert [message.content for message in outcome.messages] == ["here", "and more"]
    assert all(message.ephemeral for message in outcome.messages)


async def test_a_layout_its_buttons_and_a_form(bot: SmallBot, service: Service) -> None:
    shown = (await service.command(700, 601, 501, "layout")).message
    assert shown is not None
    assert shown.layout
    assert shown.text == "**1 in 4**"
    assert (await service.press(shown, shown.button("Again").custom_id, 502)).updated
    form = (await service.press(shown, "log", 502)).form
    assert form is not None
    assert [(field.label, field.value) for field in form.fields] == [("How many", "40"), ("Note", "")]
    outcome = await service.submit(form, {"note": "damp"})
    assert outcome.text == "logged ['40', 'damp']"


async def test_a_form_stays_open_while_the_bot_is_restarted(service: Service, pointed: None) -> None:
    async with running(service):
        shown = (await service.command(700, 601, 501, "layout")).message
        assert shown is not None
        form = (await service.press(shown, "log", 502)).form
    async with running(service):
        assert form is not None
        assert (await service.submit(form)).text == "logged ['40', '']"


async def test_autocomplete_offers(bot: SmallBot, service: Service) -> None:
    choices = await service.complete(700, 601, 501, "bin open", {"species": "em"}, "species")
    assert [choice.value for choice in choices] == ["ema", "emb"]


async def test_a_file_goes_in_and_comes_out(bot: SmallBot, service: Service) -> None:
    outcome = await service.command(700, 601, 501, "picture", {"photo": Attachment("a.png", b"12345")})
    assert outcome.message is not None
    (file,) = outcome.message.attachments
    assert (file.filename, file.content) == ("5.png", b"12345")


async def test_it_resumes_after_a_drop_and_gets_what_it_missed(bot: SmallBot, service: Service) -> None:
    await asyncio.wait_for(bot.wait_until_ready(), 2.0)
    await service.faults.drop_connection()
    outcome = await service.command(700, 601, 501, "ping")
    assert outcome.text == "pong True"
    assert service.gateway.resumed == 1
    assert len(service.gateway.identified) == 1


async def test_it_starts_anew_when_it_cannot_resume(bot: SmallBot, service: Service) -> None:
    await service.faults.drop_connection(resumable=False)
    await service.wait_ready(5.0)
    assert len(service.gateway.identified) == 2
    assert (await service.command(700, 601, 501, "ping")).text == "pong True"


async def test_it_reconnects_when_asked(bot: SmallBot, service: Service) -> None:
    await service.gateway.ask_to_reconnect()
    await asyncio.wait_for(bot.resumed.wait(), 5.0)
    assert service.gateway.resumed == 1
    assert (await service.command(700, 601, 501, "ping")).text == "pong True"


async def test_a_503_after_acceptance_is_tried_again_and_refused(bot: SmallBot, service: Service) -> None:
    service.faults.fail_next("POST", "/interactions/*/callback")
    outcome = await service.command(700, 601, 501, "ping")
    assert outcome.text == "pong True"
    assert await outcome.until(lambda seen: len(seen.refusals) == 1, 5.0)
    assert outcome.refusals[0].code == 40060
    error = await asyncio.wait_for(bot.errors.get(), 2.0)
    assert "40060" in str(error)
    assert len(service.messages(601)) == 1


async def test_a_429_is_waited_out(bot: SmallBot, service: Service) -> None:
    service.faults.rate_limit_next("/interactions/*/callback", 0.05)
    outcome = await service.command(700, 601, 501, "ping")
    assert outcome.text == "pong True"
    assert outcome.latency is not None
    assert outcome.latency >= 0.05
    channel = bot.get_channel(601)
    assert isinstance(channel, discord.TextChannel)
    service.faults.rate_limit_next("/channels/*/messages", 0.05)
    assert (await channel.send("ping")).content == "ping"


async def test_the_same_interaction_twice_is_handled_twice_and_answered_once(bot: SmallBot, service: Service) -> None:
    service.faults.deliver_twice_next()
    outcome = await service.command(700, 601, 501, "ping")
    assert await outcome.until(lambda seen: len(seen.refusals) == 1, 2.0)
    assert outcome.refusals[0].code == 40060
    assert bot.handled.count(outcome.interaction_id) == 2
    await service.redeliver(outcome)
    assert await outcome.until(lambda seen: len(seen.refusals) == 2, 2.0)
    assert len(service.messages(601)) == 1


async def test_a_ping_is_sent_once_for_its_nonce_and_found_in_the_history(bot: SmallBot, service: Service) -> None:
    channel = bot.get_channel(601)
    assert isinstance(channel, discord.TextChannel)
    view = discord.ui.View(timeout=None)
    view.add_item(discord.ui.Button(label="Done", custom_id="m1:done:1"))
    view.stop()
    allowed = discord.AllowedMentions(users=[discord.Object(501)], everyone=False, roles=False)
    sent = [await channel.send("<@501> @everyone", view=view, nonce="n", allowed_mentions=allowed) for _ in range(2)]
    assert sent[0].id == sent[1].id
    (message,) = service.messages(601)
    assert (message.pinged, message.pings_everyone, message.nonce) == ((501,), False, "n")
    history = [each async for each in channel.history(limit=10)]
    assert [each.id for each in history] == [message.id]
    assert isinstance(history[0].components[0], discord.ActionRow)
    with pytest.raises(discord.Forbidden, match="50013"):
        await bot.get_partial_messageable(602).send("x")
    with pytest.raises(discord.NotFound, match="10003"):
        await bot.get_partial_messageable(999).send("x")


async def test_a_direct_message_is_delivered(bot: SmallBot, service: Service) -> None:
    dm = await bot.create_dm(discord.Object(502))
    await dm.send("psst")
    assert [message.content for message in service.direct_messages(502)] == ["psst"]


async def test_a_bot_that_is_away_does_not_answer(service: Service, pointed: None, clock: HandClock) -> None:
    async with running(service):
        pass
    task = asyncio.ensure_future(service.command(700, 601, 501, "ping"))
    await asyncio.sleep(0)
    clock.move(3.1)
    outcome = await task
    assert outcome.failed
    assert not outcome.late
