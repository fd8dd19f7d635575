"""What lasts between pages and reruns: one class a page, and the store of kept work."""

from __future__ import annotations

from state.formula import FormulaDraft, draft, example_open, replace_draft, started
from state.ladder import LadderDraft, ladder
from state.learn import Learning, learning
from state.stores import classroom, file_error, library, opened, store, the_file
from state.swap import SwapDraft, swap_draft

__all__ = [
    "FormulaDraft",
    "LadderDraft",
    "Learning",
    "SwapDraft",
    "classroom",
    "draft",
    "example_open",
    "file_error",
    "ladder",
    "learning",
    "library",
    "opened",
    "replace_draft",
    "started",
    "store",
    "swap_draft",
    "the_file",
]
