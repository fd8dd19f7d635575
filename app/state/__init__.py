"""What lasts between pages and reruns: one class a page, and the store of kept work."""

from __future__ import annotations

from state.batch import BatchDraft, batch
from state.cost import CostDraft, cost_draft, replace_list
from state.formula import FormulaDraft, draft, example_open, replace_draft, started
from state.jar import JarDraft, jar_draft
from state.label import LabelDraft, label_draft, label_words, put_words
from state.ladder import LadderDraft, ladder, new_sheet
from state.learn import Learning, learning
from state.shelf import ShelfDraft, at_hand, follow_shelf, shelf
from state.stores import behind, classroom, file_error, library, opened, store, the_file
from state.swap import SwapDraft, swap_draft
from state.units import as_printed, follow_units, learn, put_units, units, units_asked

__all__ = [
    "BatchDraft",
    "CostDraft",
    "FormulaDraft",
    "JarDraft",
    "LabelDraft",
    "LadderDraft",
    "Learning",
    "ShelfDraft",
    "SwapDraft",
    "as_printed",
    "at_hand",
    "batch",
    "behind",
    "classroom",
    "cost_draft",
    "draft",
    "example_open",
    "file_error",
    "follow_shelf",
    "follow_units",
    "jar_draft",
    "label_draft",
    "label_words",
    "ladder",
    "learn",
    "learning",
    "library",
    "new_sheet",
    "opened",
    "put_units",
    "put_words",
    "replace_draft",
    "replace_list",
    "shelf",
    "started",
    "store",
    "swap_draft",
    "the_file",
    "units",
    "units_asked",
]
