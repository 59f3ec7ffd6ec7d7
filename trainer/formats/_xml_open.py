"""Bytes of a MusicXML file, plain or packed, to its element tree, with every trap shut.

Packed files are never unpacked on disk; a name inside can point nowhere but into the same archive. Entities are refused, nothing is
fetched, and sizes are counted while unpacking, whatever the archive claims.

Source: MusicXML 4.0, W3C Community Group Report 2021: an .mxl holds META-INF/container.xml, whose first rootfile is the score.
"""

from __future__ import annotations

import io
import lzma
import struct
import zipfile
import zlib
from typing import TYPE_CHECKING

from trainer.errors import ScoreError
from trainer.formats import LARGEST_BYTES
from trainer.formats.mxl import ZIP_MARK

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

MOST_FILES = 2000
CONTAINER = "META-INF/container.xml"
LARGEST_CONTAINER_BYTES = 100_000

_AGAIN = "export it again from the program that made it"
_BROKEN_ZIP = (
    zipfile.BadZipFile,
    zlib.error,
    lzma.LZMAError,
    struct.error,
    RuntimeError,  # a password is wanted
    NotImplementedError,  # an unknown way of packing
    EOFError,
    OSError,
    ValueError,
    KeyError,
    IndexError,
)


def root_element(content: bytes, path: str) -> Element:
    """The root of the score's document. Raises ScoreError."""
    if content.startswith(ZIP_MARK):
        content = _unpacked(content, path)
    return _parsed(content, path)


class _Declared(Exception):
    """The document declares an entity."""


def _parsed(content: bytes, path: str) -> Element:
    # neither is needed to start, list or sing a shipped drill
    from xml.etree.ElementTree import TreeBuilder
    from xml.parsers import expat

    # expat straight into the tree: ElementTree's own parser keeps the declarations of entities to itself
    builder = TreeBuilder()
    parser = expat.ParserCreate()
    parser.buffer_text = True
    parser.StartElementHandler = builder.start
    parser.EndElementHandler = builder.end
    parser.CharacterDataHandler = builder.data
    # MusicXML names its document type, so that is allowed; what a type could declare is not, and nothing is fetched
    parser.EntityDeclHandler = _refuse_entity
    parser.ExternalEntityRefHandler = _refuse_entity
    try:
        parser.Parse(content, True)
        root = builder.close()
    except _Declared as err:
        raise ScoreError("the file declares XML entities, which no score needs", path, _AGAIN) from err
    except expat.ExpatError as err:
        raise ScoreError(
            f"the file is not well-formed XML: {str(err).split(':')[0]}",
            f"{path}, line {err.lineno}, column {err.offset + 1}",
            _AGAIN,
        ) from err
    except (ValueError, LookupError) as err:
        raise ScoreError("the file's text encoding cannot be read", path, "save it as UTF-8") from err
    if ":" in root.tag:  # a prefix for a namespace, which hardly any program writes
        for element in root.iter():
            element.tag = element.tag.rpartition(":")[2]
    return root


def _refuse_entity(*_: object) -> int:
    raise _Declared


def _unpacked(content: bytes, path: str) -> bytes:
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            if len(archive.infolist()) > MOST_FILES:
                raise ScoreError(f"the packed file holds more than {MOST_FILES} files", path, _AGAIN)
            inside = _root_name(_member(archive, CONTAINER, LARGEST_CONTAINER_BYTES, path), path)
            return _member(archive, inside, LARGEST_BYTES, path)
    except _BROKEN_ZIP as err:
        raise ScoreError(f"the packed file is broken: {_plain(err)}", path, _AGAIN) from err


def _member(archive: zipfile.ZipFile, name: str, limit: int, path: str) -> bytes:
    if name not in archive.namelist():
        raise ScoreError(f"the packed file holds no {name[:80]!r}", path, _AGAIN)
    with archive.open(name) as file:
        found = file.read(limit + 1)
    if len(found) > limit:
        raise ScoreError(f"the packed file is larger than {limit // 1000} kB once unpacked", path, _AGAIN)
    return found


def _root_name(container: bytes, path: str) -> str:
    for element in _parsed(container, f"{path}, {CONTAINER}").iter("rootfile"):
        name = element.get("full-path", "")
        if name:
            return name
    raise ScoreError("the packed file does not say which score it holds", path, _AGAIN)


def _plain(err: Exception) -> str:
    return str(err).lower()[:120] or "it ends too early"
