"""How much is taken at once: lengths of texts, lists and files, and the time of one computation.

Every limit is our convention: far above what a formula on a bench needs, and low enough that the
largest thing allowed is worked out in a few seconds.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from threading import Lock

from hlbcore.errors import InvalidInput

LINES_MOST = 200
"""Entries of one list: oils, emulsifiers, other lines, facts, phases, bought blends. [-]"""

FORMULA_LINES_MOST = 3 * LINES_MOST
"""Lines of a whole formula, which holds the three lists of a sheet. [-]"""

EMULSIFIERS_MOST = 60
"""Emulsifiers of one blend that is solved. [-]"""

SYSTEMS_MOST = 1_500_000
"""Systems of one screen: all singles, pairs and triples of 200 emulsifiers are 1,333,500. [-]"""

STOCK_MOST = 1_000
"""Packs and lots on a shelf. [-]"""

TARGETS_MOST = 5_000
"""Formulas and oil phases that a shelf is held against at once. [-]"""

PORTIONS_MOST = 20
"""Portions of a base. [-]"""

PARTS_MOST = 30
"""Parts of a bought blend. [-]"""

JARS_LINES_MOST = PORTIONS_MOST * FORMULA_LINES_MOST
"""Lines of all portions together, with every bought blend in its parts. [-]"""

FIELD_MOST = 2_000
"""Characters of a field. [-]"""

TEXT_MOST = 20_000
"""Characters of a note, and of portions or bought blends as typed. [-]"""

SHEET_MOST = 150_000
"""Characters of a whole sheet; then every form of it stays below `FILE_MOST`. [-]"""

FILE_MOST = 2_000_000
"""Characters of a file or a pasted text. [-]"""

SOLVER_SECONDS = 10.0
"""Time that one programme of the blend solver may take. [s]"""

WAIT_SECONDS = 20.0
"""Time that a large file waits until another one has been read. [s]"""

_LARGE = Lock()


def check_count(entries: Sequence[object], item: str, most: int = LINES_MOST) -> None:
    """Refuse a list that is too long.

    Parameters
    ----------
    entries : sequence
        The list.
    item : str
        What it belongs to; stands in the message.
    most : int
        Greatest number of entries. [-]

    Raises
    ------
    InvalidInput
        If there are more.
    """
    if len(entries) > most:
        raise InvalidInput(
            item, f"there are more than {most:,} entries", "Leave some out, or part it in two."
        )


def check_length(text: str, item: str, most: int = FIELD_MOST) -> None:
    """Refuse a text that is too long.

    Parameters
    ----------
    text : str
        The text.
    item : str
        What it belongs to; stands in the message.
    most : int
        Greatest number of characters. [-]

    Raises
    ------
    InvalidInput
        If there are more.
    """
    if len(text) > most:
        raise InvalidInput(item, f"the text has {len(text):,} characters, more than {most:,}", "Shorten it.")


@contextmanager
def one_at_a_time(item: str) -> Iterator[None]:
    """Let one large file be read at a time: a class that brings its files at once must not fill the memory.

    Parameters
    ----------
    item : str
        The file; stands in the message.

    Raises
    ------
    InvalidInput
        If others were still being read after `WAIT_SECONDS`.
    """
    if not _LARGE.acquire(timeout=WAIT_SECONDS):
        raise InvalidInput(item, "other files are still being read", "Bring it again in a moment.")
    try:
        yield
    finally:
        _LARGE.release()
