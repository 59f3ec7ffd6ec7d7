"""Packed MusicXML (.mxl): a zip archive with a container that names the score.

Source: MusicXML 4.0, W3C Community Group Report 2021, "Compressed .mxl files": the media type stands first and unpacked.
"""

from __future__ import annotations

import io

from trainer.formats import FORMATS, Format
from trainer.formats.musicxml import read
from trainer.formats.musicxml import write as write_plain
from trainer.score.model import Score

__all__ = ["read", "write"]

ZIP_MARK = b"PK\x03\x04"

MEDIA_TYPE = "application/vnd.recordare.musicxml"
INSIDE = "score.musicxml"

_CONTAINER_TEXT = (
    '<?xml version="1.0" encoding="UTF-8"?>\n<container><rootfiles>'
    f'<rootfile full-path="{INSIDE}" media-type="{MEDIA_TYPE}+xml"/></rootfiles></container>\n'
)


def write(score: Score) -> bytes:
    """The bytes of *score*; the same score gives the same bytes. Raises ScoreError."""
    import zipfile

    from trainer.formats._xml_open import CONTAINER

    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name, content, packing in (
            ("mimetype", MEDIA_TYPE.encode(), zipfile.ZIP_STORED),
            (CONTAINER, _CONTAINER_TEXT.encode(), zipfile.ZIP_DEFLATED),
            (INSIDE, write_plain(score), zipfile.ZIP_DEFLATED),
        ):
            # a ZipInfo made by hand carries the zip era's first day instead of the clock
            archive.writestr(zipfile.ZipInfo(name), content, compress_type=packing)
    return out.getvalue()


def _sniff(content: bytes) -> bool:
    return content.startswith(ZIP_MARK)


FORMATS.add("mxl", Format("packed MusicXML", (".mxl",), _sniff, read, write), __name__)
