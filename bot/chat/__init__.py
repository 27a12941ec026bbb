"""Slash commands, presses and forms: thin, a module per subject, one service call each."""
