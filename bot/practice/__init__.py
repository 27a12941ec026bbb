"""A stand-in for the chat service on this machine, and the fronts through which a person talks to the bot.

It speaks the chat service's publicly documented HTTP API and gateway to the unmodified client, and shares no code with
the bot: a stand-in built from the bot's own parts would agree with its mistakes.
"""
