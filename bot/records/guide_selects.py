"""The statements of every read of guides and blind scoring, made once. Each is asked with `server`, and with what its bind parameters name."""

from sqlalchemy import bindparam, select

from bot.records import guide_rows as rows
from bot.records import guide_tables as guides
from bot.records import tables
from bot.records.scoping import pick, same, within

_guide, _photo = guides.guides, guides.guide_photos
_set, _blind, _answer = guides.blind_sets, guides.blind_photos, guides.blind_answers
_caption = tables.texts.alias("caption")
_trait_name = tables.texts.alias("trait_name")

_guides = (
    select(
        *(_guide.c[name] for name in ("id", "trait_id", "number", "keeper_id")), tables.keepers.c.name, _guide.c.made_at
    )
    .select_from(_guide.join(tables.keepers, same(_guide, "keeper_id", tables.keepers)))
    .where(within(_guide))
)
LATEST_GUIDE = _guides.where(_guide.c.trait_id == bindparam("trait_id")).order_by(_guide.c.number.desc()).limit(1)
GUIDE = _guides.where(_guide.c.id == bindparam("id"))
"""The columns of `GuideRow` but its photos."""

GUIDE_PHOTOS = (
    pick(rows.GuidePhotoRow, _photo, caption=_caption.c.body)
    .select_from(_photo.outerjoin(_caption, same(_photo, "caption_id", _caption)))
    .where(within(_photo), _photo.c.guide_id == bindparam("guide_id"))
    .order_by(_photo.c.place)
)

_sets = (
    pick(rows.BlindSetRow, _set, trait_name=_trait_name.c.body, keeper_name=tables.keepers.c.name)
    .select_from(
        _set.join(tables.keepers, same(_set, "keeper_id", tables.keepers))
        .join(tables.traits, same(_set, "trait_id", tables.traits))
        .join(_trait_name, same(tables.traits, "name_id", _trait_name))
    )
    .where(within(_set))
    .order_by(_set.c.id.desc())
)
BLIND_SET = _sets.where(_set.c.id == bindparam("id"))
BLIND_SETS = _sets.where(_set.c.trait_id == bindparam("trait_id"))

BLIND_PHOTOS = (
    pick(rows.BlindPhotoRow, _blind)
    .where(within(_blind), _blind.c.set_id == bindparam("set_id"))
    .order_by(_blind.c.place)
)

_answers = (
    pick(rows.BlindAnswerRow, _answer, photo_id=_blind.c.photo_id, keeper_name=tables.keepers.c.name)
    .select_from(
        _answer.join(_blind, same(_answer, "blind_photo_id", _blind))
        .join(_set, same(_answer, "set_id", _set))
        .join(tables.keepers, same(_answer, "keeper_id", tables.keepers))
    )
    .where(within(_answer))
    .order_by(_answer.c.set_id, _blind.c.place, _answer.c.id)
)
ANSWERS_OF_SET = _answers.where(_answer.c.set_id == bindparam("set_id"))
ANSWERS_FOR_TRAIT = _answers.where(_set.c.trait_id == bindparam("trait_id"))
