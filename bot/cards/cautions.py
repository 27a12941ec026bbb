"""Cautions, each worded once: information where it matters, which defers to the local authority and to licensed advisers."""

from typing import Final

SENDING: Final = (
    "Before live animals change hands: moving, selling or posting isopods may need a permit where you or the receiver live. "
    "Ask your plant-health or wildlife authority."
)
"""Where animals go to somebody else."""

RELEASE: Final = (
    "Never release stock or compost it outdoors; freezing the substrate first is the usual way (72 hours is the figure in circulation). "
    "Your local authority decides."
)
"""Where a bin and what is left in it are disposed of."""

ALLERGY: Final = (
    "Isopods are crustaceans. They and their dust can set off a shellfish, dust-mite or cockroach allergy: wear gloves, sort damp, "
    "and get medical help for wheeze or swelling."
)
"""Where people handle animals and old substrate."""

LITTER: Final = "Never heat leaf litter unattended, nor dry in a microwave: it can burn. Boiling or freezing is safer."
"""Where litter is prepared."""

ADVISERS: Final = "The local authority and a licensed adviser decide, not the bot."
"""Under all of them."""
