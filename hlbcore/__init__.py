"""Emulsifier systems by the HLB method.

Words used everywhere stay flat, the stages of the job are folders; each imports only what stands
above it:

- `errors`, `limits`, `_numbers`, `cells`, `estimate`, `findings`: what can go wrong, numbers that
  people type, cells of files, a value with its doubt, what stands out
- `product_types`, `ingredients`, `_tables`, `library`, `own`, `structure`: the tables as objects,
  look-up, the user's own items, HLB from structure
- `counting`: who counts where, soap, and the required HLB of an oil phase
- `blending`: dose, choice of emulsifiers, the solver, grams on a scale, the verdict
- `formula`: the whole formula as one object, its files, pasted lists
- `intake`: rows of CSV and XLSX, own ingredients from them
- `sheets`: the page as typed, and what follows from it
- `rules`: rules of the trade and of the law, with their sources
- `checks`: one file a check of a whole formula
- `diagnosis`: causes of a failed jar by symptom
- `swapping`: an ingredient goes out, others come in, the emulsifiers follow
- `ladder`: bench ladders: plan, weigh, record, fit, back out
- `kept`: every version of the work in one file, and as one open file
- `lessons`: workings as steps, exercises with feedback, short texts
- `plots`: figures, one file a stage
"""

from importlib import import_module
from types import ModuleType

from hlbcore import structure
from hlbcore.blending.candidates import choose_emulsifiers, emulsifier_findings
from hlbcore.blending.dose import Coverage, Loading, dose_finding, usual_loading
from hlbcore.blending.request import Group
from hlbcore.blending.results import Blend, BlendHlb
from hlbcore.blending.solving import blend_hlb, solve_blend, split_pair
from hlbcore.blending.verdict import SupplierRate, Verdict, judge
from hlbcore.blending.weighing import WeighedBlend, weigh_blend
from hlbcore.checks import check
from hlbcore.counting.oil_phase import required_hlb
from hlbcore.counting.required import RequiredHlb
from hlbcore.diagnosis.diagnose import Diagnosis, diagnose, symptoms
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
from hlbcore.formula.examples import example_formula, example_formulas
from hlbcore.formula.formula import Formula
from hlbcore.formula.lines import Composite, CompositePart, Facts, Line, Portion, Problem
from hlbcore.formula.reading import ListRow, from_water, read_list, recipe_grams, rescaled, total_finding
from hlbcore.ingredients import Ingredient, OwnIngredient, OwnReading
from hlbcore.intake.ingredients import Intake, Rows, match_columns, read_rows, take_rows
from hlbcore.kept.affected import affected, library_without
from hlbcore.kept.bundle import ImportPlan, export_all, import_all, own_table, plan_import
from hlbcore.kept.changes import SheetChange, changes_in_words, compare_sheets, sheet_changes
from hlbcore.kept.figures import compare_figures, kept_figures, what_moved
from hlbcore.kept.file import default_path, from_backup
from hlbcore.kept.store import Store, TrialVersion, Version
from hlbcore.kept.versions import checked_uid, local_time, today
from hlbcore.ladder import (
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
    fit_ladders,
    fit_trial,
    fit_trials,
    goes_with,
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
from hlbcore.ladder.record import (
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
from hlbcore.ladder.result import LadderResult, NextLadder, next_ladders, read_ladder, stepped
from hlbcore.ladder.sheet import Cell, LadderOutcome, LadderSheet, work_out_ladder
from hlbcore.ladder.value import Measured, measured_value, oils_of, phase_estimate
from hlbcore.ladder.words import plan_table, plan_words, same_grams, usual_name
from hlbcore.library import Library, load_library
from hlbcore.own import own_from_json, own_in_words, own_items, own_to_json
from hlbcore.product_types import ProductType, product_type, product_types
from hlbcore.rules.fats import FatPhase, fat_phase
from hlbcore.rules.hard_share import compare_hard_share, hard_share
from hlbcore.sheets import report
from hlbcore.sheets.sheet import Outcome, Sheet, SheetEmulsifier, SheetLine, SheetOther, example_sheet
from hlbcore.sheets.sheet_formula import SheetFormula, formula_of, formula_table, sheet_of, with_amounts
from hlbcore.sheets.worksheet import readings_to_choose, work_out
from hlbcore.swapping.exchange import Exchange
from hlbcore.swapping.proposals import Proposal, propose
from hlbcore.swapping.results import Option, Swap
from hlbcore.swapping.sheet import (
    SwapLine,
    SwapOutcome,
    SwapSheet,
    amounts_table,
    sheet_after,
    span_text,
    swappable,
    work_out_swap,
)
from hlbcore.swapping.substitutes import rank_substitutes
from hlbcore.swapping.swap import swap

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
    "fit_ladders",
    "fit_trial",
    "fit_trials",
    "formula_of",
    "formula_table",
    "from_backup",
    "from_water",
    "goes_with",
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
    if name in ("lessons", "plots"):
        return import_module(f"hlbcore.{name}")
    raise AttributeError(f"module 'hlbcore' has no attribute '{name}'")
