"""Mancabook: a shared colony book in a chat server, with exact odds and care pings."""
