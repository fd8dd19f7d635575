"""Labels and weighing sheet of a ladder, as tables and as pages to print."""

from __future__ import annotations

import math

import pandas as pd

from hlbcore.errors import HlbError
from hlbcore.ladder.kinds import ObservationKind, observation_kind
from hlbcore.ladder.ladder import Ladder
from hlbcore.ladder.observations import SCORE_MOST
from hlbcore.ladder.record_cells import NOTE, ready_to_record, record_columns
from hlbcore.ladder.sheet import LadderSheet
from hlbcore.ladder.times import read_hours
from hlbcore.ladder.vial import WATER
from hlbcore.ladder.words import plan_words
from hlbcore.library import Library, load_library
from hlbcore.printed import printed_page
from hlbcore.units import AS_KEPT, Units


def label_table(ladder: Ladder, name: str = "") -> pd.DataFrame:
    """One row a vial: what goes on its label.

    Parameters
    ----------
    ladder : Ladder
        A plan.
    name : str
        Name of the trial.

    Returns
    -------
    DataFrame
        trial, label, text, order [-]; a blinded label tells neither HLB nor dose.

    Examples
    --------
    >>> from hlbcore.ladder import plan_ladder
    >>> ladder = plan_ladder("sorbitan oleate", "polysorbate 80", centre=10, half_width=3,
    ...                      oil_phase={"mineral oil": 20})
    >>> sorted(label_table(ladder)["text"])[-1]
    'HLB 9.0'
    """
    rows = []
    known = {r["vial"]: r for r in ladder.table.to_dict("records")}
    for v in sorted(ladder.vials, key=lambda v: v.order):
        text, seen = "", known[v.number]
        if not ladder.blinded:
            hlb, dose = seen["hlb_as_weighed"], seen["emulsifier_of_oil_pct"]
            words = [f"HLB {hlb:.1f}"] if ladder.kind != "clarity" and hlb == hlb else []
            if ladder.kind in ("loading", "rinse", "clarity"):
                words.append(f"{dose:.3g} % of the oil")
            text = ", ".join(words) + (f" ({ladder.vial(v.repeats).label} again)" if v.repeats else "")
        rows.append((name, v.label, text, v.order))
    return pd.DataFrame(rows, columns=["trial", "label", "text", "order"])


def weighing_table(ladder: Ladder) -> pd.DataFrame:
    """One row a vial and ingredient, in the order of making, with room to write.

    Parameters
    ----------
    ladder : Ladder
        A plan.

    Returns
    -------
    DataFrame
        order, label, ingredient, grams [g, as text to the readability], weighed_g (blank).

    Examples
    --------
    >>> from hlbcore.ladder import plan_ladder
    >>> ladder = plan_ladder("sorbitan oleate", "polysorbate 80", centre=10, half_width=3,
    ...                      oil_phase={"mineral oil": 20})
    >>> weighing_table(ladder).columns.tolist()
    ['order', 'label', 'ingredient', 'grams', 'weighed_g']
    """
    digits = _digits(ladder.readability_g)
    return pd.DataFrame(
        [
            (v.order, v.label, n, f"{g:.{digits}f}", "")
            for v in sorted(ladder.vials, key=lambda v: v.order)
            for n, g in v.grams
        ],
        columns=["order", "label", "ingredient", "grams", "weighed_g"],
    )


def _digits(readability_g: float) -> int:
    return len(f"{readability_g:.9f}".rstrip("0").partition(".")[2])


COLUMNS_MOST = 6
"""Columns of one printed table beside that of the vials: on paper 190 mm wide each has room to write.
[-] Our convention."""

NOT_FOR_SKIN = "Not for skin."
NO_PRESERVATIVE = "Not for skin, no preservative."


def skin_words(ladder: Ladder, library: Library | None = None) -> str:
    """What every label warns of.

    Parameters
    ----------
    ladder : Ladder
        A plan.

    Returns
    -------
    str
        It says that there is no preservative only where none is in the vials.

    Examples
    --------
    >>> from hlbcore.ladder import plan_ladder
    >>> skin_words(plan_ladder("sorbitan oleate", "polysorbate 80", centre=10,
    ...                        oil_phase={"mineral oil": 20}))
    'Not for skin, no preservative.'
    """
    library = library or load_library()
    held = (library.ingredients.get(library.key(n)) for n in ladder.ingredients if n.strip())
    preserved = any(i is not None and i.kind == "preservative" for i in held)
    return NOT_FOR_SKIN if preserved else NO_PRESERVATIVE


def labels_page(
    ladder: Ladder,
    name: str = "",
    *,
    made_on: str = "",
    paper: str = "A4",
    library: Library | None = None,
    units: Units = AS_KEPT,
) -> str:
    """Labels for the vials as a page to print and cut.

    Parameters
    ----------
    ladder : Ladder
        A plan.
    name : str
        Name of the trial.
    made_on : str
        Day of making; blank: room to write it.
    paper : str
        ``"A4"`` or ``"Letter"``.
    units : Units
        How masses, temperatures and numbers are read.

    Returns
    -------
    str
        HTML; everything typed by a user is escaped.

    Examples
    --------
    >>> from hlbcore.ladder import plan_ladder
    >>> ladder = plan_ladder("sorbitan oleate", "polysorbate 80", centre=10, half_width=3,
    ...                      oil_phase={"mineral oil": 20})
    >>> "&lt;b&gt;" in labels_page(ladder, "<b>")
    True
    """
    return printed_page(
        "ladder_labels.html",
        paper=paper,
        units=units,
        title=f"Labels {name}".strip(),
        labels=label_table(ladder, name).to_dict("records"),
        skin=skin_words(ladder, library),
        made_on=made_on.strip(),
    )


def weighing_page(
    ladder: Ladder,
    name: str = "",
    *,
    sheet: LadderSheet | None = None,
    formula: str = "",
    paper: str = "A4",
    library: Library | None = None,
    units: Units = AS_KEPT,
) -> str:
    """Weighing sheet of a ladder as pages to print: what to weigh, and a cell for every reading.

    Parameters
    ----------
    ladder : Ladder
        A plan.
    name : str
        Name of the trial.
    sheet : LadderSheet, optional
        What was typed: times, places and kinds of the readings, day of making; left out: the usual.
    formula : str
        Name of the formula that the ladder was planned for.
    paper : str
        ``"A4"`` or ``"Letter"``.
    units : Units
        How masses, temperatures and numbers are read.

    Returns
    -------
    str
        HTML; vials to weigh in the order of making, to read as they are listed at the bench;
        everything typed by a user is escaped.

    Examples
    --------
    >>> from hlbcore.ladder import plan_ladder
    >>> ladder = plan_ladder("sorbitan oleate", "polysorbate 80", centre=10, half_width=3,
    ...                      oil_phase={"mineral oil": 20})
    >>> weighing_page(ladder).count('<td class="cell">') > 3 * 7
    True
    """
    asked = ready_to_record(sheet or LadderSheet(), ladder)
    process = ladder.process
    warm = "" if process.temperature_c is None else f"{process.temperature_c:g} °C: "
    same = [f"{warm}{process.reason}" if process.reason else warm, process.stirring, *process.notes]
    readings = _readings(ladder, asked)
    columns = record_columns(ladder, asked)
    kinds = [n for n in dict.fromkeys(c.kind for c in columns if c.kind != NOTE) if _steps(n)]
    scales = [observation_kind(n) for n in kinds]
    return printed_page(
        "ladder_sheet.html",
        paper=paper,
        units=units,
        title=name or "Bench ladder",
        head=[
            {"label": "Formula", "text": formula.strip()},
            {"label": "Date", "text": asked.made_on.strip()},
            {"label": "Made by", "text": ""},
            {"label": f"{'Both phases' if _has_water(ladder) else 'Melt'}, {units.temperature}", "text": ""},
        ],
        plan=plan_words(ladder),
        blinded="The codes hide the HLB: whoever scores the vials must not see this sheet, only the readings."
        if ladder.blinded
        else "",
        same=[t for t in same if t.strip()],
        weigh=_weigh(ladder, units),
        skin=f"{skin_words(ladder, library)} Throw the vials away after the last reading.",
        look=[t for t in ladder.to_observe if t.strip()],
        vials=[v.label for v in ladder.at_bench],
        readings=readings,
        scales=scales,
        steps=[{"score": n, "words": [k.words[n] for k in scales]} for n in range(SCORE_MOST + 1) if scales],
    )


def _has_water(ladder: Ladder) -> bool:
    return any(n == WATER for n in ladder.ingredients)


def _steps(kind: str) -> bool:
    return observation_kind(kind).form == "score"


def _weigh(ladder: Ladder, units: Units) -> list[dict[str, object]]:
    """Tables of grams, each with as many ingredients as the paper is wide."""
    digits = _digits(ladder.readability_g)
    names = ladder.ingredients
    blocks: list[dict[str, object]] = []
    for start in range(0, len(names), COLUMNS_MOST):
        part = names[start : start + COLUMNS_MOST]
        rows = []
        for v in sorted(ladder.vials, key=lambda v: v.order):
            held = dict(v.grams)
            rows.append(
                {
                    "label": v.label,
                    "grams": [units.bare(f"{held[n]:.{digits}f}", "g") if n in held else "" for n in part],
                }
            )
        blocks.append({"names": part, "rows": rows})
    return blocks


def _readings(ladder: Ladder, sheet: LadderSheet) -> list[dict[str, object]]:
    """One table for each time and place of reading."""
    held: dict[tuple[str, str], list[str]] = {}
    for c in record_columns(ladder, sheet):
        if c.kind != NOTE:
            held.setdefault((c.time, c.temperature), []).append(c.kind)
    blocks: list[dict[str, object]] = []
    for (time, warm), kinds in sorted(held.items(), key=lambda p: _hours(p[0][0])):
        for start in range(0, len(kinds), COLUMNS_MOST):
            part = kinds[start : start + COLUMNS_MOST]
            unit = {n: observation_kind(n) for n in part}
            blocks.append(
                {
                    "title": time + (f", {warm} °C" if warm else ""),
                    "names": [n + _how(k) for n, k in unit.items()],
                }
            )
    return blocks


def _hours(time: str) -> float:
    """Hours of a time as typed; what cannot be read comes last. [h]"""
    try:
        return read_hours(time, plain="")
    except HlbError:
        return math.inf


def _how(kind: ObservationKind) -> str:
    """What is written into a cell, in a word."""
    return {
        "score": ", 0 to 5",
        "layer": ", mm of the height in mm",
        "number": f", {kind.unit}" if kind.unit else "",
    }.get(kind.form, "")
