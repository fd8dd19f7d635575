"""Emulsifier systems by the HLB method.

The rooms, in order; each imports only rooms above it:

- `errors`, `_numbers`: what can go wrong, and the reading of numbers that people type
- `estimate`: a value with its doubt; share of the spread inside a window
- `findings`: what stands out, with level, rule and mend
- `product_types`: what HLB is for in each product type, and the usual dose
- `ingredients`, `_tables`, `library`: the tables as objects, and look-up by any name
- `structure`: HLB from structure (Griffin, Davies)
- `_phase`, `soap`, `oil_phase_results`, `oil_phase`: who counts, and the required HLB
- `loading`: how much emulsifier
- `emulsifiers`: what marks them, and the tool's own choice
- `_programmes`, `_request`, `blend_results`, `blend`: HLB of a blend, and the solver
- `weighing`: a blend in grams on a real scale
- `verdict`: what can be said, by the role of HLB in the product type
- `formula_parts`, `sheet`, `_fields`, `worksheet`: everything typed on one page, and what follows
- `lists`: lists pasted from a spreadsheet or a text file
- `report`: tables and files for reading and for spreadsheets
- `formula`, `seen`, `sheet_formula`: the whole formula as one object, and a sheet as a formula
- `preservation`, `thickening`, `electrolytes`, `colours`, `fragrance`, `safety`, `texture`: rules
- `checks`: one file a check of a whole formula
- `_measures`, `_causes`, `diagnosis`, `formula_examples`: causes by symptom; bundled formulas
- `plots`: figures
"""

from importlib import import_module
from types import ModuleType

from hlbcore import report, structure
from hlbcore._request import Group
from hlbcore.blend import blend_hlb, solve_blend, split_pair
from hlbcore.blend_results import Blend, BlendHlb
from hlbcore.checks import check
from hlbcore.diagnosis import Diagnosis, diagnose, symptoms
from hlbcore.emulsifiers import choose_emulsifiers, emulsifier_findings
from hlbcore.errors import (
    EmptyPhase,
    HlbError,
    InvalidInput,
    MissingValue,
    TableError,
    UnknownIngredient,
    UnreachableTarget,
)
from hlbcore.estimate import Estimate, Reading, share_in_window
from hlbcore.findings import Changes, Finding, changes, worst_first
from hlbcore.formula import Formula
from hlbcore.formula_examples import example_formula, example_formulas
from hlbcore.formula_parts import Composite, CompositePart, Facts, Line, Portion, Problem
from hlbcore.ingredients import Ingredient, OwnReading
from hlbcore.library import Library, load_library
from hlbcore.lists import (
    ListRow,
    from_water,
    read_list,
    recipe_grams,
    rescaled,
    total_finding,
)
from hlbcore.loading import Coverage, Loading, dose_finding, usual_loading
from hlbcore.oil_phase import required_hlb
from hlbcore.oil_phase_results import RequiredHlb
from hlbcore.product_types import ProductType, product_type, product_types
from hlbcore.sheet import Outcome, Sheet, SheetEmulsifier, SheetLine, SheetOther, example_sheet
from hlbcore.sheet_formula import SheetFormula, formula_of, formula_table, sheet_of, with_amounts
from hlbcore.texture import compare_hard_share, hard_share
from hlbcore.verdict import SupplierRate, Verdict, judge
from hlbcore.weighing import WeighedBlend, weigh_blend
from hlbcore.worksheet import readings_to_choose, work_out

__version__ = "0.1.0"

__all__ = [
    "Blend",
    "BlendHlb",
    "Changes",
    "Composite",
    "CompositePart",
    "Coverage",
    "Diagnosis",
    "EmptyPhase",
    "Estimate",
    "Facts",
    "Finding",
    "Formula",
    "Group",
    "HlbError",
    "Ingredient",
    "InvalidInput",
    "Library",
    "Line",
    "ListRow",
    "Loading",
    "MissingValue",
    "Outcome",
    "OwnReading",
    "Portion",
    "Problem",
    "ProductType",
    "Reading",
    "RequiredHlb",
    "Sheet",
    "SheetEmulsifier",
    "SheetFormula",
    "SheetLine",
    "SheetOther",
    "SupplierRate",
    "TableError",
    "UnknownIngredient",
    "UnreachableTarget",
    "Verdict",
    "WeighedBlend",
    "blend_hlb",
    "changes",
    "check",
    "choose_emulsifiers",
    "compare_hard_share",
    "diagnose",
    "dose_finding",
    "emulsifier_findings",
    "example_formula",
    "example_formulas",
    "example_sheet",
    "formula_of",
    "formula_table",
    "from_water",
    "hard_share",
    "judge",
    "load_library",
    "plots",
    "product_type",
    "product_types",
    "read_list",
    "readings_to_choose",
    "recipe_grams",
    "report",
    "required_hlb",
    "rescaled",
    "share_in_window",
    "sheet_of",
    "solve_blend",
    "split_pair",
    "structure",
    "symptoms",
    "total_finding",
    "usual_loading",
    "weigh_blend",
    "with_amounts",
    "work_out",
    "worst_first",
]


def __getattr__(name: str) -> ModuleType:
    """`plots` on first use: most uses need no matplotlib."""
    if name == "plots":
        return import_module("hlbcore.plots")
    raise AttributeError(f"module 'hlbcore' has no attribute '{name}'")
