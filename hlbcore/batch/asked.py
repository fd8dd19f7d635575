"""A batch as it is asked for on a page: texts, and the sheet or the sentences that follow."""

from __future__ import annotations

import re
from dataclasses import dataclass

from hlbcore._numbers import checked
from hlbcore.batch.scales import TEN, Scale
from hlbcore.batch.sheet import BatchSheet, batch_sheet
from hlbcore.batch.size import Jars
from hlbcore.blending.worked import Worked
from hlbcore.errors import HlbError, InvalidInput, clipped
from hlbcore.typed import Fields

BY = ("mass", "jars")
"""How the size of a batch is given."""

_WORDS = {"spread": "repeatability_g", "error": "error_g", "vessel": "vessel_g"}
_SCALE = re.compile(r"(?:(?P<name>[^:]*):)?\s*(?P<step>.+?)(?:\s+(?:up to|to|max\.?)\s+(?P<most>.+))?")


@dataclass(frozen=True, slots=True)
class BatchAsked:
    """What is typed for a batch.

    Parameters
    ----------
    by : str
        One of `BY`.
    mass : str
        Mass of the base; the formula's own batch while it is blank. [g, or text with its unit]
    jars, fill, density : str
        How many [-], what goes into each [g or mL], and the measured density [g/mL].
    loss : str
        What stays in vessels and on tools; blank is 0. [% of what is made]
    scales : str
        One scale a line, as `read_scales` reads them; the formula's own while it is blank.
    floor : str
        Smallest weight worth trusting.
    premixes : bool
        Whether small lines go in as premixes.
    """

    by: str = "mass"
    mass: str = ""
    jars: str = ""
    fill: str = ""
    density: str = ""
    loss: str = ""
    scales: str = ""
    floor: str = TEN
    premixes: bool = False


def read_scales(text: str, floor: str = TEN) -> tuple[Scale, ...]:
    """Scales as typed, one a line.

    Parameters
    ----------
    text : str
        ``0.1 g up to 2 kg``; with a name in front, ``pocket: 0.01 g up to 200 g``, and behind it what is
        known: ``vessel 30 g``, ``spread 0.02 g``, ``error 0.05 g``.
    floor : str
        Smallest weight worth trusting.

    Returns
    -------
    tuple of Scale
        In the order typed.

    Raises
    ------
    InvalidInput
        Naming the line that cannot be read.

    Examples
    --------
    >>> [s.label for s in read_scales("pocket: 0.01 g up to 200 g, vessel 30 g; 0.1 g up to 2 kg")]
    ['pocket', '0.1 g']
    """
    found = []
    for number, line in enumerate(re.split(r"[;\n]", text), 1):
        if not line.strip():
            continue
        head, *more = re.split(r",(?=\s*[a-z])", line.strip(), flags=re.IGNORECASE)
        shown = _SCALE.fullmatch(head.strip())
        given: dict[str, str] = {}
        for piece in more:
            word, _, value = piece.strip().partition(" ")
            if word.casefold() not in _WORDS or not value.strip():
                raise InvalidInput(
                    f"scale {number}",
                    f"'{clipped(piece.strip())}' is not understood",
                    "Write vessel, spread or error with a mass, for example vessel 30 g.",
                )
            given[_WORDS[word.casefold()]] = value.strip()
        if shown is None:
            raise InvalidInput(
                f"scale {number}", f"'{clipped(line)}' is no scale", "Write for example: 0.1 g up to 2 kg."
            )
        name, step, most = (shown[part] for part in ("name", "step", "most"))
        try:
            found.append(Scale(step, most, floor, name=(name or "").strip(), **given))  # type: ignore[arg-type]
        except InvalidInput as error:
            raise InvalidInput(f"scale {number}, {error.item}", error.problem, error.mend) from None
    return tuple(found)


@dataclass(frozen=True)
class BatchOutcome:
    """What follows from a batch that is asked for.

    Parameters
    ----------
    sheet : BatchSheet or None
        None where something is in the way.
    errors : dict of str to str
        A sentence beside each field that cannot be used; ``sheet`` for the whole.
    """

    sheet: BatchSheet | None
    errors: dict[str, str]


def work_out_batch(worked: Worked, asked: BatchAsked) -> BatchOutcome:
    """The sheet that is asked for, or what is in its way.

    Parameters
    ----------
    worked : Worked
        The formula, worked out.
    asked : BatchAsked
        As typed.

    Returns
    -------
    BatchOutcome
        Sheet or sentences.

    Examples
    --------
    >>> from hlbcore import example_formula, work_out
    >>> made = work_out_batch(work_out(example_formula()), BatchAsked(mass="1 kg"))
    >>> made.sheet.total_g
    1000.0
    """
    fields = Fields()
    scales = fields.read("scales", lambda: read_scales(asked.scales, asked.floor)) or ()
    if not scales and "scales" not in fields.errors:
        own = worked.made.aims.scales.value
        scales = () if own is None else (Scale(own, floor=asked.floor),)
    size: str | Jars | None = asked.mass.strip() or None
    if asked.by == "jars":
        density = fields.read("density", lambda: _density(asked.density))
        size = fields.read("jars", lambda: _jars(asked, density))
    if fields.errors:
        return BatchOutcome(None, fields.errors)
    try:
        sheet = batch_sheet(
            worked,
            size,
            scales=scales or None,
            loss_pct=asked.loss.strip() or 0.0,
            use_premixes=asked.premixes,
        )
    except HlbError as error:
        item = error.item if isinstance(error, InvalidInput) else ""
        place = {"batch": "mass", "scales": "scales", "loss in the process": "loss"}.get(item, "sheet")
        return BatchOutcome(None, {place: str(error)})
    return BatchOutcome(sheet, {})


def _density(text: str) -> float | None:
    return checked(text.casefold().replace("g/ml", ""), "density") if text.strip() else None


def _jars(asked: BatchAsked, density: float | None) -> Jars:
    count = checked(asked.jars, "jars")
    fill = asked.fill.strip()
    if not fill:
        raise InvalidInput("fill of a jar", "it is blank", "Enter what goes into each, for example 50 g.")
    return Jars(count, fill, density)  # type: ignore[arg-type]  # it says what is wrong
