"""What print shows of HLB, said in one place: where HLB is judged and where it is taught."""

from __future__ import annotations

PICKS = "HLB picks a start, a few vials decide"
"""What the printed evidence allows to be said of HLB."""

TOLD_APART = (
    "Of 124 printed formulas and ladder rungs that were read, those that failed lay farther from the "
    "required HLB than those that held with an AUC of 0.48 (95 % interval 0.18 to 0.75) among rungs of "
    "ladders, and of 0.79 (0.48 to 1.00) among whole o/w formulas; 0.5 is a coin."
)
"""The figures of the study (printed_formulas_2026); half of the formulas stand in ``tests/corpus``."""

EVIDENCE = f"{TOLD_APART} That neither shows nor excludes that the distance predicts: {PICKS}."

ADDS_UP = (
    "That required HLBs of oils add up by mass is a convention: Griffin could not show it, and it was "
    "doubted in print."
)
"""Sources: pasquali_2008; ohba_1962 (abstract)."""
