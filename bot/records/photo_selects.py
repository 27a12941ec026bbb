"""The statements of every read of photos, made once. Each is asked with `server` and `reader`, and with what its bind parameters name."""

from sqlalchemy import ColumnElement, bindparam, or_, select
from sqlalchemy import exists as there_is

from bot.records import find_tables, tables
from bot.records import photo_tables as photos
from bot.records.photo_rows import PhotoRow
from bot.records.scoping import pick, reads, same, within

_photo, _file = photos.photos, photos.photo_files
_name = tables.texts.alias("name")
_trait_name = tables.texts.alias("trait_name")
_alternative = tables.texts.alias("alternative")
_find = find_tables.finds

_kept = there_is().where(_file.c.server_id == _photo.c.server_id, _file.c.photo_id == _photo.c.id)


def _seen() -> ColumnElement[bool]:
    """The photos that the reader may see: of no bin, or of one that they may read."""
    return or_(_photo.c.bin_id.is_(None), reads(tables.bins))


_photos = (
    pick(
        PhotoRow,
        _photo,
        bin_code=tables.bins.c.code,
        bin_name=_name.c.body,
        find_number=_find.c.number,
        trait_name=_trait_name.c.body,
        alternative=_alternative.c.body,
        keeper_name=tables.keepers.c.name,
        privacy=tables.bins.c.privacy,
    )
    .select_from(
        _photo.join(tables.keepers, same(_photo, "keeper_id", tables.keepers))
        .outerjoin(tables.bins, same(_photo, "bin_id", tables.bins))
        .outerjoin(_name, same(tables.bins, "name_id", _name))
        .outerjoin(_find, same(_photo, "find_id", _find))
        .outerjoin(tables.traits, same(_photo, "trait_id", tables.traits))
        .outerjoin(_trait_name, same(tables.traits, "name_id", _trait_name))
        .outerjoin(_alternative, same(_photo, "alternative_id", _alternative))
    )
    .where(within(_photo), _kept, _seen())
)
_standing = _photos.where(_photo.c.removed_at.is_(None)).order_by(_photo.c.taken_at.desc(), _photo.c.id.desc())

PHOTO = _photos.where(_photo.c.id == bindparam("id"))
PHOTOS = _standing.where(_photo.c.id.in_(bindparam("ids", expanding=True)))
PHOTOS_OF_BIN = _standing.where(_photo.c.bin_id == bindparam("id"))
PHOTOS_OF_FIND = _standing.where(_photo.c.find_id == bindparam("id"))
PHOTOS_OF_TRAIT = _standing.where(_photo.c.trait_id == bindparam("id"))
PHOTOS_ALIKE = _standing.where(_photo.c.sha256 == bindparam("sha256"))

BODIES = (
    select(_file.c.photo_id, _file.c.body)
    .select_from(
        _file.join(_photo, same(_file, "photo_id", _photo)).outerjoin(tables.bins, same(_photo, "bin_id", tables.bins))
    )
    .where(within(_file), _seen(), _file.c.photo_id.in_(bindparam("ids", expanding=True)))
)
"""The bytes of photos, the only statement that loads any."""
