"""Emulsifier systems by the HLB method.

Words used everywhere stay flat, the stages of the job are folders; each imports only what stands
above it:

- `errors`, `limits`, `_numbers`, `cells`, `calendars`, `typed`, `readings`, `estimate`, `findings`: what can
  go wrong, numbers that people type, cells of files, dated tasks, readings and their roots, a value with
  its doubt, what stands out
- `product_types`, `ingredients`, `classes`, `ready`, `_sorting`, `_tables`, `_class_tables`, `names`,
  `lookup`, `overlay`, `library`, `own`, `structure`: the tables as objects, class ranges, suppliers'
  rates, look-up by name, the user's own items, HLB from structure
- `intake`: rows of CSV and XLSX, own ingredients from them
- `formula`: the whole formula as typed, its files, pasted lists
- `counting`: who counts where, soap, and the required HLB of an oil phase
- `blending`: dose, choice of emulsifiers, the solver, grams on a scale, the verdict, and all that
  follows from a formula
- `rules`: rules of the trade and of the law, with their sources; `rules/jar` the physics of the jar
- `checks`: one file a check of a whole formula
- `diagnosis`: causes of a failed jar by symptom
- `swapping`: an ingredient goes out, others come in, the emulsifiers follow
- `ladder`: bench ladders: plan, weigh, record, fit, back out
- `batch`: from formula to jar: scales, sheet, record
- `kept`: every version of the work in one file, and as one open file
- `lessons`: workings as steps, exercises with feedback, short texts
- `plots`: figures, one file a stage
"""

from importlib import import_module
from types import ModuleType

from hlbcore import structure
from hlbcore.blending import tables
from hlbcore.blending.candidates import choose_emulsifiers, emulsifier_findings
from hlbcore.blending.coverage import Coverage
from hlbcore.blending.dose import Loading, dose_finding, usual_loading
from hlbcore.blending.mixing import blend_hlb, split_pair
from hlbcore.blending.request import Group
from hlbcore.blending.results import Blend, BlendHlb
from hlbcore.blending.solving import solve_blend
from hlbcore.blending.verdict import Verdict, judge
from hlbcore.blending.weighing import WeighedBlend, weigh_blend
from hlbcore.blending.work_out import work_out
from hlbcore.blending.worked import Worked
from hlbcore.checks import check
from hlbcore.counting.counted import Counted, readings_to_choose
from hlbcore.counting.oil_phase import required_hlb
from hlbcore.counting.required import RequiredHlb
from hlbcore.diagnosis.diagnose import Diagnosis, diagnose, symptoms
from hlbcore.errors import (
    Conflict,
    DamagedFile,
    DamagedWork,
    EmptyPhase,
    HlbError,
    InvalidInput,
    LostFile,
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
from hlbcore.formula.aims import Aims
from hlbcore.formula.examples import example_formula, example_formulas
from hlbcore.formula.facts import Facts
from hlbcore.formula.formula import Formula
from hlbcore.formula.lines import Composite, CompositePart, Line, Portion, Problem, SupplierRate
from hlbcore.formula.reading import ListRow, from_water, read_list, recipe_grams, rescaled, total_finding
from hlbcore.ingredients import Ingredient, OwnIngredient, OwnReading
from hlbcore.intake.ingredients import Intake, Rows, match_columns, read_rows, take_rows
from hlbcore.kept.affected import affected, library_without
from hlbcore.kept.bundle import ImportPlan, import_all, plan_import
from hlbcore.kept.changes import FormulaChange, changes_in_words, compare_formulas, formula_changes
from hlbcore.kept.export import export_all, own_table, unreadable
from hlbcore.kept.figures import compare_figures, kept_figures, what_moved
from hlbcore.kept.file import default_path
from hlbcore.kept.kinds import FORMULA, LADDER, KeptLadder, Kind, Listed, formula_title
from hlbcore.kept.recovery import beside, from_backup, from_damaged
from hlbcore.kept.salvage import LeftOut
from hlbcore.kept.store import Store
from hlbcore.kept.versions import Version, checked_uid, local_time, today
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
from hlbcore.ladder.planner import LadderOutcome, work_out_ladder
from hlbcore.ladder.record import Recorded, check_times, record_of
from hlbcore.ladder.record_cells import (
    ready_to_record,
    record_columns,
    record_table,
    weighed_table,
    with_record,
    with_upload,
    with_weighed,
)
from hlbcore.ladder.result import LadderResult, NextLadder, next_ladders, read_ladder, stepped
from hlbcore.ladder.sheet import Cell, LadderSheet
from hlbcore.ladder.value import Measured, measured_value, oils_of, phase_estimate
from hlbcore.ladder.words import plan_table, plan_words, same_grams, usual_name
from hlbcore.library import Library, load_library
from hlbcore.own import own_from_json, own_in_words, own_items, own_to_json
from hlbcore.product_types import ProductType, product_type, product_types
from hlbcore.rules import jar
from hlbcore.rules.fats import FatPhase, fat_phase
from hlbcore.rules.hard_share import compare_hard_share, hard_share
from hlbcore.swapping.exchange import Exchange
from hlbcore.swapping.proposals import Proposal, propose
from hlbcore.swapping.results import Option, Swap
from hlbcore.swapping.sheet import (
    SwapLine,
    SwapOutcome,
    SwapSheet,
    amounts_table,
    span_text,
    swappable,
    work_out_swap,
)
from hlbcore.swapping.substitutes import rank_substitutes
from hlbcore.swapping.swap import swap
from hlbcore.typed import Typed

__version__ = "0.1.0"

__all__ = [
    "FORMULA",
    "LADDER",
    "Aims",
    "BackOut",
    "Blend",
    "BlendHlb",
    "Cell",
    "Changes",
    "Composite",
    "CompositePart",
    "Conflict",
    "Counted",
    "Coverage",
    "DamagedFile",
    "DamagedWork",
    "Diagnosis",
    "EmptyPhase",
    "Estimate",
    "Exchange",
    "Facts",
    "FatPhase",
    "Finding",
    "Formula",
    "FormulaChange",
    "Group",
    "HlbError",
    "ImportPlan",
    "Ingredient",
    "Intake",
    "InvalidInput",
    "KeptLadder",
    "Kind",
    "Ladder",
    "LadderOutcome",
    "LadderResult",
    "LadderSheet",
    "LeftOut",
    "Library",
    "Line",
    "ListRow",
    "Listed",
    "Loading",
    "LostFile",
    "Measured",
    "MissingValue",
    "NewerFile",
    "NextLadder",
    "NotSaved",
    "Observation",
    "ObservationKind",
    "Option",
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
    "Typed",
    "UnknownIngredient",
    "UnreachableTarget",
    "Verdict",
    "Version",
    "Vial",
    "WeighedBlend",
    "Worked",
    "affected",
    "amounts_table",
    "back_out_mixtures",
    "back_out_required_hlb",
    "beside",
    "blend_hlb",
    "changes",
    "changes_in_words",
    "check",
    "check_times",
    "checked_uid",
    "choose_emulsifiers",
    "clarity_ladder",
    "compare_figures",
    "compare_formulas",
    "compare_hard_share",
    "default_path",
    "diagnose",
    "dose_finding",
    "emulsifier_findings",
    "example_formula",
    "example_formulas",
    "export_all",
    "family_ladder",
    "fat_phase",
    "fine_ladder",
    "fit_kinds",
    "fit_ladders",
    "fit_trial",
    "fit_trials",
    "formula_changes",
    "formula_title",
    "from_backup",
    "from_damaged",
    "from_water",
    "goes_with",
    "hard_share",
    "import_all",
    "jar",
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
    "required_hlb",
    "rescaled",
    "responses",
    "rinse_ladder",
    "same_grams",
    "score_table",
    "share_in_window",
    "solve_blend",
    "span_text",
    "split_pair",
    "stepped",
    "structure",
    "swap",
    "swappable",
    "symptoms",
    "tables",
    "take_rows",
    "today",
    "total_finding",
    "unreadable",
    "usual_loading",
    "usual_name",
    "weigh_blend",
    "weighed_table",
    "what_moved",
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
