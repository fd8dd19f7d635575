"""Emulsifier systems by the HLB method.

Words used everywhere stay flat, the stages of the job are folders; each imports only what stands
above it:

- `errors`, `limits`, `saved_text`, `_numbers`, `quantities`, `units`, `cells`, `calendars`, `printed`,
  `typed`, `readings`, `estimate`, `shares`, `findings`: what can go wrong, what is round everything
  saved, numbers that people type, with units, and the units they read, cells of files, dated tasks, pages
  to print, readings and their roots, a value with its doubt, how much lies inside, what stands out
- `product_types`, `sources`, `ingredients`, `own_items`, `classes`, `sheets`, `ready`, `_sorting`,
  `_tables`, `_class_tables`, `_name_kinds`, `names`, `lookup`, `overlay`, `folders`, `library`, `own`,
  `structure`: the tables as objects, class ranges, suppliers' rates and sheets, look-up by name, the
  user's own items, HLB from structure
- `intake`: rows of CSV and XLSX, own ingredients from them
- `formula`: the whole formula as typed, its files, pasted lists
- `counting`: who counts where, soap, and the required HLB of an oil phase
- `blending`: dose, choice of emulsifiers, the solver, grams on a scale, the verdict, and all that
  follows from a formula
- `shelf`: every small system of a shelf, what to buy, the shelf itself
- `rules`: rules of the trade and of the law, with their sources; `rules/jar` the physics of the jar
- `checks`: one file a check of a whole formula
- `diagnosis`: causes of a failed jar by symptom
- `swapping`: an ingredient goes out, others come in, the emulsifiers follow
- `ladder`: bench ladders: plan, weigh, record, fit, back out
- `learning`: what all ladders together say about oils, pairs and phases, beside the tables
- `batch`: from formula to jar: scales, sheet, record, cost, prices, label
- `kept`: every version of the work in one file, and as one open file
- `lessons`: workings as steps, exercises with feedback, short texts
- `plots`: figures, one file a stage
- `report`, `commands`: what the tables hold, the command `hlbcore`
"""

from importlib import import_module
from typing import TYPE_CHECKING

from hlbcore import structure
from hlbcore.blending import tables
from hlbcore.blending.dose import usual_loading
from hlbcore.blending.mixing import blend_hlb, split_pair
from hlbcore.blending.request import Group
from hlbcore.blending.results import Blend, BlendHlb
from hlbcore.blending.solving import solve_blend
from hlbcore.blending.verdict import Verdict, judge
from hlbcore.blending.weighing import weigh_blend
from hlbcore.blending.work_out import work_out
from hlbcore.blending.worked import Worked
from hlbcore.counting.oil_phase import required_hlb
from hlbcore.counting.required import RequiredHlb
from hlbcore.errors import (
    HlbError,
    InvalidInput,
    MissingValue,
    StoreError,
    UnknownIngredient,
    UnreachableTarget,
)
from hlbcore.estimate import Estimate
from hlbcore.findings import Finding
from hlbcore.formula.aims import Aims
from hlbcore.formula.examples import example_formula, example_formulas
from hlbcore.formula.facts import Facts
from hlbcore.formula.formula import Formula
from hlbcore.formula.lines import Composite, Line, Portion, SupplierRate
from hlbcore.formula.reading import read_list
from hlbcore.ingredients import Ingredient
from hlbcore.library import Library, load_library
from hlbcore.own_items import OwnIngredient, OwnReading
from hlbcore.product_types import product_types
from hlbcore.readings import Reading
from hlbcore.sheets import OwnSheet

if TYPE_CHECKING:
    from hlbcore.batch.declaration import Declaration, declare
    from hlbcore.batch.scales import Scale
    from hlbcore.batch.sheet import BatchSheet, batch_sheet
    from hlbcore.batch.size import Jars
    from hlbcore.checks import check
    from hlbcore.diagnosis.diagnose import diagnose, symptoms
    from hlbcore.kept.bundle import import_all, plan_import
    from hlbcore.kept.export import export_all
    from hlbcore.kept.store import Store
    from hlbcore.ladder import (
        Ladder,
        Observation,
        Trial,
        TrialFit,
        back_out_required_hlb,
        fit_ladders,
        fit_trials,
        plan_ladder,
    )
    from hlbcore.learning.bench_result import BenchResult
    from hlbcore.learning.learn import learn
    from hlbcore.rules.hard_share import hard_share
    from hlbcore.shelf.buying import what_to_buy
    from hlbcore.shelf.screening import screen
    from hlbcore.swapping.results import Swap
    from hlbcore.swapping.swap import swap

_LATE = {
    "hlbcore.batch.declaration": ("Declaration", "declare"),
    "hlbcore.batch.scales": ("Scale",),
    "hlbcore.batch.sheet": ("BatchSheet", "batch_sheet"),
    "hlbcore.batch.size": ("Jars",),
    "hlbcore.checks": ("check",),
    "hlbcore.diagnosis.diagnose": ("diagnose", "symptoms"),
    "hlbcore.kept.bundle": ("import_all", "plan_import"),
    "hlbcore.kept.export": ("export_all",),
    "hlbcore.kept.store": ("Store",),
    "hlbcore.ladder": (
        "Ladder",
        "Observation",
        "Trial",
        "TrialFit",
        "back_out_required_hlb",
        "fit_ladders",
        "fit_trials",
        "plan_ladder",
    ),
    "hlbcore.learning.bench_result": ("BenchResult",),
    "hlbcore.learning.learn": ("learn",),
    "hlbcore.rules.hard_share": ("hard_share",),
    "hlbcore.shelf.buying": ("what_to_buy",),
    "hlbcore.shelf.screening": ("screen",),
    "hlbcore.swapping.results": ("Swap",),
    "hlbcore.swapping.swap": ("swap",),
}
"""What stands behind the answer, loaded on first use: most scripts need little of it."""

__version__ = "0.1.0"

__all__ = [
    "Aims",
    "BatchSheet",
    "BenchResult",
    "Blend",
    "BlendHlb",
    "Composite",
    "Declaration",
    "Estimate",
    "Facts",
    "Finding",
    "Formula",
    "Group",
    "HlbError",
    "Ingredient",
    "InvalidInput",
    "Jars",
    "Ladder",
    "Library",
    "Line",
    "MissingValue",
    "Observation",
    "OwnIngredient",
    "OwnReading",
    "OwnSheet",
    "Portion",
    "Reading",
    "RequiredHlb",
    "Scale",
    "Store",
    "StoreError",
    "SupplierRate",
    "Swap",
    "Trial",
    "TrialFit",
    "UnknownIngredient",
    "UnreachableTarget",
    "Verdict",
    "Worked",
    "back_out_required_hlb",
    "batch_sheet",
    "blend_hlb",
    "check",
    "declare",
    "diagnose",
    "example_formula",
    "example_formulas",
    "export_all",
    "fit_ladders",
    "fit_trials",
    "hard_share",
    "import_all",
    "judge",
    "learn",
    "lessons",
    "load_library",
    "plan_import",
    "plan_ladder",
    "plots",
    "product_types",
    "read_list",
    "required_hlb",
    "screen",
    "solve_blend",
    "split_pair",
    "structure",
    "swap",
    "symptoms",
    "tables",
    "usual_loading",
    "weigh_blend",
    "what_to_buy",
    "work_out",
]


def __getattr__(name: str) -> object:
    """Later stages, figures and lessons on first use."""
    for module, names in _LATE.items():
        if name in names:
            globals()[name] = found = getattr(import_module(module), name)
            return found
    if name in ("lessons", "plots"):
        return import_module(f"hlbcore.{name}")
    raise AttributeError(f"module 'hlbcore' has no attribute '{name}'")


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
