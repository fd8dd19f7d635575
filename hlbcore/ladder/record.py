"""The trial of what was typed at the bench, and what of it cannot be used."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from hlbcore._numbers import MASS_MAX, checked
from hlbcore.cells import whole_signs
from hlbcore.errors import InvalidInput, clipped
from hlbcore.ladder import OBSERVATION_KINDS, Ladder, Trial, read_hours, read_observations
from hlbcore.ladder.record_cells import NOTE, TYPE_KINDS, column_heading, read_places, record_columns
from hlbcore.ladder.sheet import LadderSheet, parted
from hlbcore.ladder.words import usual_name
from hlbcore.typed import Fields

PROBLEM_COLUMNS = ("vial", "column", "problem")


@dataclass(frozen=True, slots=True, eq=False)
class Recorded:
    """What was recorded on a ladder.

    Parameters
    ----------
    trial : Trial
        The ladder with everything that can be used.
    problems : DataFrame
        Columns vial, column, problem: what cannot be used; it stays as typed.
    read, asked : int
        Readings that can be used, and cells that are asked for, without the test of the emulsion type
        and notes. [-]
    """

    trial: Trial
    problems: pd.DataFrame
    read: int = 0
    asked: int = 0

    @property
    def words(self) -> str:
        """How much of what was asked for is read."""
        wrong = len(self.problems)
        cannot = f"; {wrong} {'cells' if wrong != 1 else 'cell'} cannot be used" if wrong else ""
        return f"{self.read} of {self.asked} read{cannot}"


def record_of(ladder: Ladder, sheet: LadderSheet) -> Recorded:
    """The trial of what was typed, and what of it cannot be used.

    Parameters
    ----------
    ladder : Ladder
        The ladder that is recorded.
    sheet : LadderSheet
        What was typed.

    Returns
    -------
    Recorded
        With everything that can be read; one bad cell never stops the rest.

    Examples
    --------
    >>> from hlbcore import plan_ladder
    >>> from hlbcore.ladder.sheet import Cell
    >>> ladder = plan_ladder("sorbitan oleate", "polysorbate 80", centre=10,
    ...                      oil_phase={"mineral oil": 20})
    >>> typed = LadderSheet(cells=(Cell("1", "score", "1 h", "", "3"),
    ...                            Cell("2", "score", "1 h", "", "9")))
    >>> made = record_of(ladder, typed)
    >>> len(made.trial.observations), made.problems["problem"][0]
    (1, 'vial 2, score: 9 is outside the scale. Scores run from 0 to 5.')
    """
    numbers = {str(v.number): v for v in ladder.vials}
    cells = [c for c in sheet.cells if c.vial in numbers and c.kind in OBSERVATION_KINDS]
    read = read_observations(
        [
            {
                "vial": numbers[c.vial].label,
                "time": c.time,
                "temperature": c.temperature,
                "kind": c.kind,
                "value": c.text,
            }
            for c in cells
        ],
        ladder,
    )
    problems = []
    for p in read.problems:
        c = cells[p.row - 1]
        problems.append(
            (numbers[c.vial].label, column_heading(c.kind, c.time, c.temperature), whole_signs(p.problem))
        )
    f = Fields()
    weighed: dict[int, list[tuple[str, float]]] = {}
    for vial, name, text in sheet.weighed:
        if vial not in numbers or name not in ladder.ingredients:
            continue
        v = numbers[vial]
        key = f"{vial} {name}"
        item = f"vial {v.label}, '{clipped(name)}'"
        g = f.read(key, lambda t=text, i=item: checked(t, i, low=0, high=MASS_MAX, unit="g"))  # type: ignore[misc]
        if g is None:
            problems.append((v.label, f"{name} [g]", whole_signs(f.errors[key])))
        else:
            weighed.setdefault(v.number, []).append((name, g))
    notes = [
        f"vial {numbers[c.vial].label}: {c.text.strip()}"
        for c in sheet.cells
        if c.kind == NOTE and c.vial in numbers and c.text.strip()
    ]
    name = sheet.name.strip() or usual_name(ladder)
    trial = Trial(
        ladder,
        tuple((v, tuple(rows)) for v, rows in sorted(weighed.items())),
        read.observations,
        name,
        sheet.made_on.strip(),
        "\n".join([*([sheet.note] if sheet.note else []), *notes]),
    )
    asked = [c for c in record_columns(ladder, sheet) if c.kind not in (NOTE, *TYPE_KINDS)]
    places = {(c.kind, c.time, c.temperature) for c in asked}
    bad = {p.row - 1 for p in read.problems}
    filled = sum(
        (c.kind, c.time, c.temperature) in places and n not in bad
        for n, c in enumerate(cells)
        if c.text.strip()
    )
    table = pd.DataFrame(problems, columns=list(PROBLEM_COLUMNS))
    return Recorded(trial, table, filled, len(asked) * len(ladder.vials))


def check_times(sheet: LadderSheet) -> dict[str, str]:
    """A sentence beside times and temperatures that cannot be read.

    Parameters
    ----------
    sheet : LadderSheet
        What was typed.

    Returns
    -------
    dict of str to str
        By field.

    Examples
    --------
    >>> check_times(LadderSheet(times="soon"))
    {'times': "time: 'soon' is no time. Write for example 15 min, 1 h, 2 days or 1 week."}
    """
    f = Fields()
    for t in parted(sheet.times):
        f.read("times", lambda t=t: read_hours(t, plain=""))  # type: ignore[misc]
    if wrong := read_places(sheet.temperatures)[1]:
        f.errors["temperatures"] = wrong
    if not parted(sheet.times):
        f.errors["times"] = str(
            InvalidInput("times", "none is given", "Write for example 1 h, 1 day, 1 week.")
        )
    return f.errors
