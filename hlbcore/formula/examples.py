"""Bundled formulas of an invented workshop: four that are whole, one with faults to be found."""

from __future__ import annotations

from hlbcore.errors import InvalidInput, clipped
from hlbcore.folders import data_folder
from hlbcore.formula.formula import Formula

EXAMPLES = (
    "winter_hand_cream",
    "garden_hand_scrub",
    "three_scent_lotion",
    "evening_cleansing_balm",
    "faulty_lotion",
)
"""Files in ``data/examples/formulas``, in the order of the app; the last one has faults."""


def example_formulas() -> tuple[str, ...]:
    """Names of the bundled formulas.

    Returns
    -------
    tuple of str
        Each may be given to `example_formula`.

    Examples
    --------
    >>> example_formulas()[0]
    'winter_hand_cream'
    """
    return EXAMPLES


def example_formula(name: str = "winter_hand_cream") -> Formula:
    """A bundled formula.

    Parameters
    ----------
    name : str
        One of `example_formulas`.

    Returns
    -------
    Formula
        As stored; of the faulty one, `Formula.problems` and the checks find the faults.

    Raises
    ------
    InvalidInput
        If there is none of that name; the message lists them.

    Examples
    --------
    >>> example_formula("garden_hand_scrub").product_type
    'wash-off scrub'
    """
    if name not in EXAMPLES:
        raise InvalidInput(
            f"example formula '{clipped(name)}'", "there is none of that name", f"Use {', '.join(EXAMPLES)}."
        )
    path = data_folder() / "examples" / "formulas" / f"{name}.json"
    return Formula.from_json(path.read_text("utf-8"))
