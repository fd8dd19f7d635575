"""Emulsifier systems by the HLB method.

The rooms, in order; each imports only rooms above it:

- `errors`, `limits`, `_numbers`: what can go wrong, and the reading of numbers that people type
- `estimate`: a value with its doubt; share of the spread inside a window
- `findings`: what stands out, with level, rule and mend
- `product_types`: what HLB is for in each product type, and the usual dose
- `ingredients`, `_tables`, `library`, `own`: the tables as objects, look-up, the user's own items
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
- `_uploads`, `_workbooks`, `_intake_rows`, `intake`: ingredients from CSV and XLSX
- `formula`, `seen`, `sheet_formula`: the whole formula as one object, and a sheet as a formula
- `preservation`, `thickening`, `electrolytes`, `colours`, `fragrance`, `safety`, `texture`: rules
- `physics`: equations with their sources: solids and other figures of fats
- `checks`: one file a check of a whole formula
- `_measures`, `_causes`, `diagnosis`, `formula_examples`: causes by symptom; bundled formulas
- `trials`: bench ladders: plan, weigh, record, fit, back out
- `ladder_words`, `ladder_sheet`, `ladder_record`, `ladder_result`, `ladder_value`: its page
- `sheet_changes`, `moved`: what differs between two states of a sheet
- `store_file`, `_archive`, `_store_base`, `store`, `bundle`: kept work, and as one open file
- `affected`: kept formulas that a figure of the user's own would move
- `substitutes`: substitutes for an oil or an emulsifier, ranked, with reasons
- `_exchange`, `swap_results`, `_shifts`: what goes out and in, and what else shifts
- `_members`, `_rebalance`, `proposals`, `_ways`, `swapping`, `swap_sheet`: a swap
- `plots`, `plots_swap`, `plots_ladder`: figures
- `lessons`: workings as steps, exercises with feedback, short texts
- `plots_lessons`: figures of the lessons
"""

from importlib import import_module
from types import ModuleType

from hlbcore import report, structure
from hlbcore._exchange import Exchange
from hlbcore._request import Group
from hlbcore._store_base import checked_uid, local_time, today
from hlbcore.affected import affected, library_without
from hlbcore.blend import blend_hlb, solve_blend, split_pair
from hlbcore.blend_results import Blend, BlendHlb
from hlbcore.bundle import ImportPlan, export_all, import_all, own_table, plan_import
from hlbcore.checks import check
from hlbcore.diagnosis import Diagnosis, diagnose, symptoms
from hlbcore.emulsifiers import choose_emulsifiers, emulsifier_findings
from hlbcore.errors import (
    Conflict,
    DamagedFile,
    EmptyPhase,
    HlbError,
    InvalidInput,
    MissingValue,
    NewerFile,
    NotSaved,
    StoreError,
    TableError,
    TimeLimitReached,
    UnknownIngredient,
    UnreachableTarget,
)
from hlbcore.estimate import Estimate, Reading, share_in_window
from hlbcore.findings import Changes, Finding, changes, worst_first
from hlbcore.formula import Formula
from hlbcore.formula_examples import example_formula, example_formulas
from hlbcore.formula_parts import Composite, CompositePart, Facts, Line, Portion, Problem
from hlbcore.ingredients import Ingredient, OwnIngredient, OwnReading
from hlbcore.intake import Intake, Rows, match_columns, read_rows, take_rows
from hlbcore.ladder_record import (
    Recorded,
    check_times,
    ready_to_record,
    record_columns,
    record_of,
    record_table,
    weighed_table,
    with_record,
    with_upload,
    with_weighed,
)
from hlbcore.ladder_result import LadderResult, NextLadder, next_ladders, read_ladder, stepped
from hlbcore.ladder_sheet import Cell, LadderOutcome, LadderSheet, work_out_ladder
from hlbcore.ladder_value import Measured, measured_value, oils_of, phase_estimate
from hlbcore.ladder_words import plan_table, plan_words, same_grams, usual_name
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
from hlbcore.moved import compare_figures, kept_figures, what_moved
from hlbcore.oil_phase import required_hlb
from hlbcore.oil_phase_results import RequiredHlb
from hlbcore.own import own_from_json, own_in_words, own_items, own_to_json
from hlbcore.physics import FatPhase, fat_phase
from hlbcore.product_types import ProductType, product_type, product_types
from hlbcore.proposals import Proposal, propose
from hlbcore.sheet import Outcome, Sheet, SheetEmulsifier, SheetLine, SheetOther, example_sheet
from hlbcore.sheet_changes import SheetChange, changes_in_words, compare_sheets, sheet_changes
from hlbcore.sheet_formula import SheetFormula, formula_of, formula_table, sheet_of, with_amounts
from hlbcore.store import Store, TrialVersion, Version
from hlbcore.store_file import default_path, from_backup
from hlbcore.substitutes import rank_substitutes
from hlbcore.swap_results import Option, Swap
from hlbcore.swap_sheet import (
    SwapLine,
    SwapOutcome,
    SwapSheet,
    amounts_table,
    sheet_after,
    span_text,
    swappable,
    work_out_swap,
)
from hlbcore.swapping import swap
from hlbcore.texture import compare_hard_share, hard_share
from hlbcore.trials import (
    BackOut,
    Ladder,
    Observation,
    ObservationKind,
    Process,
    ReadObservations,
    Responses,
    Stocks,
    Trial,
    TrialFit,
    TrialMixture,
    Vial,
    back_out_mixtures,
    back_out_required_hlb,
    clarity_ladder,
    family_ladder,
    fine_ladder,
    fit_kinds,
    fit_trial,
    fit_trials,
    kind_findings,
    label_findings,
    layer_findings,
    loading_ladder,
    plan_ladder,
    premixed_stocks,
    read_observations,
    recorded_ladder,
    responses,
    rinse_ladder,
    score_table,
)
from hlbcore.verdict import SupplierRate, Verdict, judge
from hlbcore.weighing import WeighedBlend, weigh_blend
from hlbcore.worksheet import readings_to_choose, work_out

__version__ = "0.1.0"

__all__ = [
    "BackOut",
    "Blend",
    "BlendHlb",
    "Cell",
    "Changes",
    "Composite",
    "CompositePart",
    "Conflict",
    "Coverage",
    "DamagedFile",
    "Diagnosis",
    "EmptyPhase",
    "Estimate",
    "Exchange",
    "Facts",
    "FatPhase",
    "Finding",
    "Formula",
    "Group",
    "HlbError",
    "ImportPlan",
    "Ingredient",
    "Intake",
    "InvalidInput",
    "Ladder",
    "LadderOutcome",
    "LadderResult",
    "LadderSheet",
    "Library",
    "Line",
    "ListRow",
    "Loading",
    "Measured",
    "MissingValue",
    "NewerFile",
    "NextLadder",
    "NotSaved",
    "Observation",
    "ObservationKind",
    "Option",
    "Outcome",
    "OwnIngredient",
    "OwnReading",
    "Portion",
    "Problem",
    "Process",
    "ProductType",
    "Proposal",
    "ReadObservations",
    "Reading",
    "Recorded",
    "RequiredHlb",
    "Responses",
    "Rows",
    "Sheet",
    "SheetChange",
    "SheetEmulsifier",
    "SheetFormula",
    "SheetLine",
    "SheetOther",
    "Stocks",
    "Store",
    "StoreError",
    "SupplierRate",
    "Swap",
    "SwapLine",
    "SwapOutcome",
    "SwapSheet",
    "TableError",
    "TimeLimitReached",
    "Trial",
    "TrialFit",
    "TrialMixture",
    "TrialVersion",
    "UnknownIngredient",
    "UnreachableTarget",
    "Verdict",
    "Version",
    "Vial",
    "WeighedBlend",
    "affected",
    "amounts_table",
    "back_out_mixtures",
    "back_out_required_hlb",
    "blend_hlb",
    "changes",
    "changes_in_words",
    "check",
    "check_times",
    "checked_uid",
    "choose_emulsifiers",
    "clarity_ladder",
    "compare_figures",
    "compare_hard_share",
    "compare_sheets",
    "default_path",
    "diagnose",
    "dose_finding",
    "emulsifier_findings",
    "example_formula",
    "example_formulas",
    "example_sheet",
    "export_all",
    "family_ladder",
    "fat_phase",
    "fine_ladder",
    "fit_kinds",
    "fit_trial",
    "fit_trials",
    "formula_of",
    "formula_table",
    "from_backup",
    "from_water",
    "hard_share",
    "import_all",
    "judge",
    "kept_figures",
    "kind_findings",
    "label_findings",
    "layer_findings",
    "lessons",
    "library_without",
    "load_library",
    "loading_ladder",
    "local_time",
    "match_columns",
    "measured_value",
    "next_ladders",
    "oils_of",
    "own_from_json",
    "own_in_words",
    "own_items",
    "own_table",
    "own_to_json",
    "phase_estimate",
    "plan_import",
    "plan_ladder",
    "plan_table",
    "plan_words",
    "plots",
    "plots_ladder",
    "plots_lessons",
    "plots_swap",
    "premixed_stocks",
    "product_type",
    "product_types",
    "propose",
    "rank_substitutes",
    "read_ladder",
    "read_list",
    "read_observations",
    "read_rows",
    "readings_to_choose",
    "ready_to_record",
    "recipe_grams",
    "record_columns",
    "record_of",
    "record_table",
    "recorded_ladder",
    "report",
    "required_hlb",
    "rescaled",
    "responses",
    "rinse_ladder",
    "same_grams",
    "score_table",
    "share_in_window",
    "sheet_after",
    "sheet_changes",
    "sheet_of",
    "solve_blend",
    "span_text",
    "split_pair",
    "stepped",
    "structure",
    "swap",
    "swappable",
    "symptoms",
    "take_rows",
    "today",
    "total_finding",
    "usual_loading",
    "usual_name",
    "weigh_blend",
    "weighed_table",
    "what_moved",
    "with_amounts",
    "with_record",
    "with_upload",
    "with_weighed",
    "work_out",
    "work_out_ladder",
    "work_out_swap",
    "worst_first",
]


def __getattr__(name: str) -> ModuleType:
    """Figures and lessons on first use: most uses need neither, and no matplotlib."""
    if name in ("lessons", "plots", "plots_ladder", "plots_lessons", "plots_swap"):
        return import_module(f"hlbcore.{name}")
    raise AttributeError(f"module 'hlbcore' has no attribute '{name}'")
