"""How photos are said and shown: filed, listed, one by one."""

from bot.cards import verbs, words
from bot.cards.card import Button, Card, Picture, Tone, Weight
from bot.records import Media, PhotoRow
from bot.services.photographed import Photographed
from bot.services.photos import A_PAGE, PhotoPage, PhotoView

ENDING = {Media.JPEG: "jpg", Media.PNG: "png"}
"""What the name of a picture ends in."""


def filed_card(view: PhotoView) -> Card:
    """The reply to `/photo file` and *File this photo*: where it stands now, and what is still missing."""
    row = view.row
    said = row.alternative and f"It shows: {words.plain(row.alternative, 300)}"
    return Card(
        lead=f"**Filed** as photo {row.id} of {said_of(row)}, taken {words.when(row.taken_at, 'D')}.",
        blocks=(said or "Nobody has said what it shows, for those who can't see it. *Describe* takes a sentence.",),
        buttons=(
            Button("Describe", verbs.PHOTO_DESCRIBE, str(row.id), Weight.SIDE if said else Weight.MAIN),
            Button("All photos", verbs.PHOTO_LIST, _key(row)),
            *_undo(view),
        ),
        tone=Tone.GOOD,
    )


def page_card(page: PhotoPage) -> Card:
    """The reply to `/photo list`: some photos with what is said of each, and how to see the others."""
    of = said_target(page.of)
    if not page.total:
        return Card(
            lead=f"No photo of {of} is filed yet.",
            blocks=("File one with `/photo file`, or from a message's menu: Apps, then *File this photo*.",),
        )
    last = page.start + len(page.rows)
    which = "" if page.total == len(page.rows) else f", {page.start + 1} to {last} of {page.total}"
    turns = [("Newer", page.start - A_PAGE)] * (page.start > 0) + [("Older", last)] * (last < page.total)
    return Card(
        lead=f"{words.plural(page.total, 'photo')} of {of}, the newest first{which}:",
        blocks=("\n".join(_line(row, page.of) for row in page.rows),),
        buttons=(
            *(Button(label, verbs.PHOTO_TURN, f"{page.of.key}/{max(0, start)}") for label, start in turns),
            *(Button(f"Photo {row.id}", verbs.PHOTO_SHOW, str(row.id)) for row in page.rows),
        ),
        pictures=tuple(picture_of(row, page.bodies[row.id]) for row in page.rows if row.id in page.bodies),
    )


def photo_card(view: PhotoView) -> Card:
    """The reply to `/photo show`: one photo, what it shows, and what can be done with it."""
    row = view.row
    lines = [words.plain(row.alternative, 500) if row.alternative else "Nobody has said in words what it shows."]
    lines.append(f"Filed by {words.plain(row.keeper_name) or 'a former keeper'} {words.when(row.added_at)}.")
    buttons = [Button("All photos", verbs.PHOTO_LIST, _key(row))]
    if view.may_change:
        buttons.insert(0, Button("Describe", verbs.PHOTO_DESCRIBE, str(row.id)))
        buttons.append(Button("Remove", verbs.PHOTO_REMOVE, str(row.id)))
    return Card(
        lead=f"**Photo {row.id}** of {said_of(row)}, taken {words.when(row.taken_at, 'D')}.",
        blocks=("\n".join(lines),),
        buttons=(*buttons, *_undo(view)),
        pictures=(picture_of(row, view.body),) if view.body else (),
        tone=Tone.PLAIN if view.event is None else Tone.GOOD,
    )


def removed_card(view: PhotoView) -> Card:
    """The reply to *Remove*."""
    return Card(
        lead=f"Photo {view.row.id} of {said_of(view.row)} is removed: it is no longer shown.",
        buttons=_undo(view),
        tone=Tone.GOOD,
        private=True,
    )


def picture_of(row: PhotoRow, body: bytes) -> Picture:
    """A photo as an attachment, with words for those who can't see it."""
    return Picture(f"photo-{row.id}.{ENDING[row.media]}", body, alternative_of(row))


def alternative_of(row: PhotoRow) -> str:
    """What a photo shows in words, for where no markup is read; where nobody said, what it is of."""
    if row.alternative and row.alternative.strip():
        return row.alternative
    return f"Photo of {words.unescaped(said_of(row))}. Nobody has said in words what it shows."


def said_of(row: PhotoRow) -> str:
    """What a photo is of, as it stands with it."""
    parts = [f"find {row.find_number}"] if row.find_number is not None else []
    if row.bin_code is not None:
        parts.append(words.bin_name(row.bin_code, row.bin_name))
    said = " in ".join(parts)
    if row.trait_name is None:
        return said
    trait = words.plain(row.trait_name, 60)
    return f"{said}, kept for {trait}" if said else trait


def said_target(of: Photographed) -> str:
    """What photos are asked for, in words."""
    if of.find is not None:
        return f"find {of.find.number} ({words.plain(of.find.trait_name, 60)})"
    if of.bin is not None:
        return words.bin_name(of.bin.code, of.bin.name)
    return words.plain(of.trait.name, 60) if of.trait is not None else ""


def _line(row: PhotoRow, of: Photographed) -> str:
    plainly = row.find_number is None and (of.bin is not None or row.bin_code is None)
    about = "" if plainly else f" {said_of(row)};"
    shows = f": {words.plain(row.alternative, 120)}" if row.alternative else ""
    who = words.plain(row.keeper_name) or "a former keeper"
    return f"**{row.id}**{about} {words.when(row.taken_at, 'D')}, {who}{shows}"


def _key(row: PhotoRow) -> str:
    ids = {"f": row.find_id, "b": row.bin_id, "t": row.trait_id}
    return next(f"{kind}{number}" for kind, number in ids.items() if number is not None)


def _undo(view: PhotoView) -> tuple[Button, ...]:
    return () if view.event is None else (Button("Undo", verbs.UNDO, str(view.event)),)
