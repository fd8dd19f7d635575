"""Reading a zip of kept work with limits on size, names and contents, one file at a time."""

from __future__ import annotations

import hashlib
import io
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager

from hlbcore.errors import HlbError, InvalidInput, clipped
from hlbcore.kept.saved import MEND, SCHEMA, VERSION, Manifest, read

MOST_BYTES = 50_000_000
"""Largest file that is read. [byte] Our convention, as all limits here."""
MOST_UNPACKED = 400_000_000
MOST_FILES = 20_000
MOST_RATIO = 400
MOST_OF = {"settings.json": 1_000_000, "own.json": 20_000_000, "manifest.json": 5_000_000}
"""Largest of the single files, unpacked. [byte]"""
MOST_OF_ONE = 60_000_000
"""Largest of any other: one formula with some 20,000 versions. [byte]"""
MANIFEST = "manifest.json"


def _no(problem: str) -> InvalidInput:
    return InvalidInput("file", problem, MEND)


def _checked(z: zipfile.ZipFile, packed: int, most: int) -> list[zipfile.ZipInfo]:
    """What the zip says that it holds, once that is within all limits."""
    infos = z.infolist()
    if len(infos) > MOST_FILES:
        raise _no(f"it holds more than {MOST_FILES} files")
    if sum(i.file_size for i in infos) > min(most, MOST_RATIO * packed + 10**6):
        raise _no("it would unpack to more than a file of this tool can hold")
    if len({i.filename for i in infos}) != len(infos):
        raise _no("it holds two files of one name")
    for info in infos:
        if info.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
            raise _no("it is packed in a way that this tool never uses")
        if info.filename.startswith(("/", "\\")) or ".." in info.filename:
            raise _no(f"'{clipped(info.filename)}' is no name of a file of this tool")
        if info.file_size > MOST_OF.get(info.filename, MOST_OF_ONE):
            raise _no(f"'{clipped(info.filename)}' would unpack to more than this tool ever writes there")
    return infos


def _body(z: zipfile.ZipFile, info: zipfile.ZipInfo) -> bytes:
    with z.open(info) as opened:  # sizes in a zip may lie: read no more than promised
        body = opened.read(info.file_size + 1)
    if len(body) != info.file_size:
        raise _no(f"'{clipped(info.filename)}' is larger than it says")
    return body


@contextmanager
def _told() -> Iterator[None]:
    try:
        yield
    except HlbError:
        raise
    except Exception as error:  # zipfile raises many kinds on a damaged file
        raise _no(f"it is no zip that can be read: {clipped(error, 80)}") from None


def unpacked(data: bytes, most: int = MOST_UNPACKED) -> Iterator[tuple[str, bytes]]:
    """Name and contents of each file, one after the other, once sizes, names and checksums are right.

    Nothing of it may be used before the last one has come: it may be the one that was changed.
    """
    if len(data) > MOST_BYTES:
        raise _no(f"it is larger than {MOST_BYTES / 1e6:g} MB")
    with _told():
        z = zipfile.ZipFile(io.BytesIO(data))
        infos = {i.filename: i for i in _checked(z, len(data), most)}
    with z:
        if MANIFEST not in infos:
            raise _no("its list of contents cannot be read: it has none")
        with _told():
            sums = _sums(_body(z, infos.pop(MANIFEST)))
        for name in sorted(set(sums) ^ set(infos)):
            raise _no(f"'{clipped(name)}' is missing, or not in its list of contents")
        for name, info in infos.items():
            with _told():
                body = _body(z, info)
            if hashlib.sha256(body).hexdigest() != sums[name]:
                raise _no(f"'{clipped(name)}' was changed or damaged: its checksum differs")
            yield name, body


def _sums(manifest: bytes) -> dict[str, str]:
    try:
        held = read(manifest, Manifest)
    except InvalidInput as error:
        raise _no(f"its list of contents cannot be read: {error.problem}") from None
    if held.schema != SCHEMA:
        raise _no("its list of contents cannot be read: it is of another kind")
    if held.version > VERSION:
        raise InvalidInput("file", "a later version of this tool wrote it", "Install the later version.")
    return {f.name: f.sha256 for f in held.files}
