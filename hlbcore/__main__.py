"""``python -m hlbcore``: the same as the command ``hlbcore``."""

from __future__ import annotations

import sys

from hlbcore.commands import main

if __name__ == "__main__":
    sys.exit(main())
