"""Bench ladders: plan, weigh, record, fit, and back out a required HLB.

- `ladder`, `bench`, `finish`: a ladder as an object, one vial on the scale, order and labels
- `blur`: steps that blur on the scale, and premixed stocks
- `plan`, `fine`, `families`, `rinse`: HLB steps, wide and fine; families and doses; rinse and
  clarity ladders
- `times`, `kinds`, `observations`, `record_table`: when and what is seen, one reading, and the reading of
  a table filled in at the bench
- `saved`, `trial`, `arrays`, `doubts`: ladder, grams and observations in one, its file form, its
  arrays for the fit, and what does not fit together
- `printing`, `when`: labels and weighing sheet, reading times as dated tasks
- `curves`, `evidence`, `readings`, `duplicates`, `verdicts`: humps on a grid, how well they agree
  with what was read, readings as arrays, what duplicates say by their scatter, words
- `fit_results`, `fit_findings`, `fit`, `bands`, `fit_kinds`: the optimum of one or more ladders
- `next_vials`: the one proposal; `other_fits`: doses, families
- `back_out`: required HLB of an ingredient from mixtures with it
- `own_system`, `cost`: what is taken over from the formula, and what a ladder costs
- `sheet`, `planner`: a ladder as typed, and the plan that follows
- `record_cells`, `record_upload`, `record`, `elsewhere`: tables of what was weighed and seen, readings of
  a file, the trial that follows, and a ladder weighed elsewhere
- `drifts`, `next_ladder`, `result`, `changes`: readings that move with time, what could follow, all that
  a recorded ladder says, and what differs between two states of one
"""

from hlbcore.ladder.arrays import Responses, responses
from hlbcore.ladder.back_out import BackOut, TrialMixture, back_out_mixtures, back_out_required_hlb
from hlbcore.ladder.blur import Stocks, premixed_stocks
from hlbcore.ladder.doubts import label_findings, layer_findings, recorded_ladder
from hlbcore.ladder.families import family_ladder, loading_ladder
from hlbcore.ladder.fine import fine_ladder
from hlbcore.ladder.fit import LadderReadings, fit_ladders, fit_trials
from hlbcore.ladder.fit_kinds import fit_kinds, fit_trial, goes_with, kind_findings
from hlbcore.ladder.fit_results import TrialFit
from hlbcore.ladder.kinds import OBSERVATION_KINDS, ObservationKind, observation_kind, score_table
from hlbcore.ladder.ladder import Ladder, Process, Vial
from hlbcore.ladder.observations import Observation, after_words, time_words
from hlbcore.ladder.other_fits import OtherFit, fit_choices, fit_doses, ready_doses
from hlbcore.ladder.plan import plan_ladder
from hlbcore.ladder.printing import label_table, labels_page, weighing_page, weighing_table
from hlbcore.ladder.record_table import ReadObservations, RowProblem, read_observations
from hlbcore.ladder.rinse import clarity_ladder, rinse_ladder
from hlbcore.ladder.times import read_hours
from hlbcore.ladder.trial import Trial

__all__ = [
    "OBSERVATION_KINDS",
    "BackOut",
    "Ladder",
    "LadderReadings",
    "Observation",
    "ObservationKind",
    "OtherFit",
    "Process",
    "ReadObservations",
    "Responses",
    "RowProblem",
    "Stocks",
    "Trial",
    "TrialFit",
    "TrialMixture",
    "Vial",
    "after_words",
    "back_out_mixtures",
    "back_out_required_hlb",
    "clarity_ladder",
    "family_ladder",
    "fine_ladder",
    "fit_choices",
    "fit_doses",
    "fit_kinds",
    "fit_ladders",
    "fit_trial",
    "fit_trials",
    "goes_with",
    "kind_findings",
    "label_findings",
    "label_table",
    "labels_page",
    "layer_findings",
    "loading_ladder",
    "observation_kind",
    "plan_ladder",
    "premixed_stocks",
    "read_hours",
    "read_observations",
    "ready_doses",
    "recorded_ladder",
    "responses",
    "rinse_ladder",
    "score_table",
    "time_words",
    "weighing_page",
    "weighing_table",
]
