"""The command ``hlbcore``, also as ``python -m hlbcore``."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence

from hlbcore.commands import asked_for
from hlbcore.errors import HlbError


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command.

    Parameters
    ----------
    arguments : sequence of str, optional
        What stands behind ``hlbcore``; that of the shell if left out.

    Returns
    -------
    int
        0, or 1 where a file, a formula or a table cannot be used: the sentence goes to stderr. A
        command that is not known ends with 2.
    """
    asked = asked_for(arguments)
    try:
        if "work" not in asked:
            return int(asked.start(asked))
        print(asked.work(asked))
        sys.stdout.flush()
    except HlbError as error:
        print(error, file=sys.stderr)
        return 1
    except BrokenPipeError:  # the reader has seen enough
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return 0


if __name__ == "__main__":
    sys.exit(main())
