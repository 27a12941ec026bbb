"""A small bot of the unmodified library that answers in every way a front has to show."""

import asyncio
import io
import time
from dataclasses import dataclass
from typing import Any

import discord
from discord import app_commands, ui

REFUSAL = 0xB3541E


@dataclass
class Clock:
    """The stand-in's clock; the bot of these tests jumps over the three seconds with it."""

    ahead: float = 0.0

    def __call__(self) -> float:
        return time.time() + self.ahead


def card(text: str, *buttons: tuple[str, str], accent: int = 1) -> ui.LayoutView:
    view = ui.LayoutView(timeout=None)
    view.add_item(ui.Container(ui.TextDisplay(text), accent_colour=accent))
    if buttons:
        view.add_item(ui.ActionRow(*(ui.Button(label=label, custom_id=custom_id) for label, custom_id in buttons)))
    view.stop()
    return view


def count_form() -> ui.Modal:
    modal = ui.Modal(title="Log a count", custom_id="count")
    modal.add_item(
        ui.Label(
            text="How many",
            description="About 40 is fine",
            component=ui.TextInput(custom_id="total", default="40", max_length=9),
        )
    )
    modal.add_item(ui.Label(text="Note", component=ui.TextInput(custom_id="note", required=False)))
    modal.stop()
    return modal


class Bot(discord.Client):
    """Answers presses by custom id, and forms by what was filled in."""

    def __init__(self, clock: Clock) -> None:
        super().__init__(intents=discord.Intents(guilds=True), guild_ready_timeout=0.0)
        self.tree = app_commands.CommandTree(self)
        self.clock = clock
        self.go_on = asyncio.Event()

    async def on_interaction(self, interaction: discord.Interaction[Any]) -> None:
        data: Any = interaction.data or {}
        if interaction.type is discord.InteractionType.modal_submit:
            answers = [part["component"]["value"] for part in data["components"]]
            await interaction.response.send_message(view=card(f"{interaction.user.name} sent {answers}"))
        elif data.get("custom_id") == "form":
            await interaction.response.send_modal(count_form())
        elif data.get("custom_id") == "done":
            await interaction.response.edit_message(view=card("It is **done**.", ("Undo", "again")))
        elif data.get("custom_id") == "again":
            await interaction.response.send_message(f"pressed by {interaction.user.name}")


def add_commands(bot: Bot) -> None:
    pond = app_commands.Group(name="pond", description="About ponds")

    @bot.tree.command(name="odds", description="What comes out of a cross")
    @app_commands.describe(cross="The cross", young="How many young")
    async def odds(interaction: discord.Interaction[Bot], cross: str, young: int = 20) -> None:
        buttons = (("How many to raise", "again"), ("Log count", "form"), ("Done", "done"))
        await interaction.response.send_message(view=card(f"**{cross}** in {young}", *buttons))

    @bot.tree.context_menu(name="Look at it")
    async def look(interaction: discord.Interaction[Bot], message: discord.Message) -> None:
        sizes = [f"{each.filename}: {len(await each.read())} bytes" for each in message.attachments]
        said = f"{message.author.name} said {message.content!r}, {sizes}"
        await interaction.response.send_message(view=card(said))

    @odds.autocomplete("cross")
    async def offer(_: discord.Interaction[Bot], current: str) -> list[app_commands.Choice[str]]:
        if current == "late":
            bot.clock.ahead += 4
            await asyncio.sleep(0.2)
        return [app_commands.Choice(name=f"{current}ber", value=f"{current}ber")] if current.endswith("em") else []

    @pond.command(name="refuse", description="Says no")
    async def refuse(interaction: discord.Interaction[Bot]) -> None:
        view = card("No bin B-41. Did you mean B-14?", ("Edit", "form"), accent=REFUSAL)
        await interaction.response.send_message(view=view, ephemeral=True)

    @pond.command(name="silent", description="Says nothing")
    async def silent(_: discord.Interaction[Bot]) -> None:
        bot.clock.ahead += 4

    @pond.command(name="slow", description="Takes its time")
    async def slow(interaction: discord.Interaction[Bot]) -> None:
        await interaction.response.defer(thinking=True)
        await bot.go_on.wait()
        await interaction.followup.send(view=card("At last"))

    @pond.command(name="draw", description="Draws")
    async def draw(interaction: discord.Interaction[Bot]) -> None:
        await interaction.response.send_message("a chart", file=discord.File(io.BytesIO(b"PNG"), "chart.png"))

    @pond.command(name="photo", description="Takes a photo")
    async def photo(interaction: discord.Interaction[Bot], file: discord.Attachment) -> None:
        await interaction.response.send_message(f"{file.filename}: {len(await file.read())} bytes")

    @pond.command(name="count", description="Opens the form")
    async def count(interaction: discord.Interaction[Bot]) -> None:
        await interaction.response.send_modal(count_form())

    bot.tree.add_command(pond)
