"""Reading a zip of kept work with limits on size, names and contents."""

from __future__ import annotations

import hashlib
import io
import json
import zipfile
from typing import Any

from hlbcore.errors import HlbError, InvalidInput, clipped

SCHEMA, VERSION = "hlbcore kept work", 1
MOST_BYTES = 50_000_000
"""Largest file that is read. [byte] Our convention, as the three below."""
MOST_UNPACKED = 400_000_000
MOST_FILES = 20_000
MOST_RATIO = 400
MANIFEST = "manifest.json"
MEND = "Choose a file that this tool wrote with Export of everything."


def unpacked(data: bytes, most: int = MOST_UNPACKED) -> dict[str, bytes]:
    """The files of the zip in memory, once sizes, names and checksums are in order."""

    def no(problem: str) -> InvalidInput:
        return InvalidInput("file", problem, MEND)

    if len(data) > MOST_BYTES:
        raise no(f"it is larger than {MOST_BYTES / 1e6:g} MB")
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as z:
            infos = z.infolist()
            if len(infos) > MOST_FILES:
                raise no(f"it holds more than {MOST_FILES} files")
            if sum(i.file_size for i in infos) > min(most, MOST_RATIO * len(data) + 10**6):
                raise no("it would unpack to more than a file of this tool can hold")
            if len({i.filename for i in infos}) != len(infos):
                raise no("it holds two files of one name")
            if any(i.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED) for i in infos):
                raise no("it is packed in a way that this tool never uses")
            held = {}
            for info in infos:
                if info.filename.startswith(("/", "\\")) or ".." in info.filename:
                    raise no(f"'{clipped(info.filename)}' is no name of a file of this tool")
                with z.open(info) as opened:  # sizes in a zip may lie: read no more than promised
                    body = opened.read(info.file_size + 1)
                if len(body) != info.file_size:
                    raise no(f"'{clipped(info.filename)}' is larger than it says")
                held[info.filename] = body
    except HlbError:
        raise
    except Exception as error:  # zipfile raises many kinds on a damaged file
        raise no(f"it is no zip that can be read: {clipped(error, 80)}") from None
    try:
        manifest = parsed(held.pop(MANIFEST))
        if manifest["schema"] != SCHEMA:
            raise ValueError("it is of another kind")
        version = manifest["version"]
        if type(version) is not int or version < 1:
            raise ValueError("its version is no number")
        if version > VERSION:
            raise InvalidInput("file", "a later version of this tool wrote it", "Install the later version.")
        sums = {str(f["name"]): str(f["sha256"]) for f in manifest["files"]}
    except HlbError:
        raise
    except (KeyError, TypeError, ValueError, RecursionError) as error:
        raise no(f"its list of contents cannot be read: {clipped(error, 80)}") from None
    for name in sorted(set(sums) ^ set(held)):
        raise no(f"'{clipped(name)}' is missing, or not in its list of contents")
    for name, body in held.items():
        if hashlib.sha256(body).hexdigest() != sums[name]:
            raise no(f"'{clipped(name)}' was changed or damaged: its checksum differs")
    return held


def parsed(body: bytes) -> Any:
    def refuse(word: str) -> float:
        raise ValueError(f"{word} is no number")

    value = json.loads(body.decode("utf-8"), parse_constant=refuse)
    if b"\\u" in body:  # half a sign, which no file could keep
        json.dumps(value, ensure_ascii=False).encode()
    return value
