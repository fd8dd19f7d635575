"""What all figures share: one palette, one size, words and files.

Colours are told apart by shape and hatching too, so that they read the same in grey and for
colour-blind eyes. `words` gives the numbers as text, `to_svg` and `to_png` the files.
"""

from __future__ import annotations

import io
import warnings
from contextlib import AbstractContextManager
from typing import Any

import matplotlib as mpl
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from hlbcore.errors import clipped

# Okabe and Ito 2008, Color Universal Design: told apart by colour-blind eyes
TARGET, BLEND, EMULSIFIER, INK = "#0072B2", "#D55E00", "#4D4D4D", "#222222"
WINDOW_FILL, REGION_FILL = "#CFE5F3", "#BFE5D8"  # tints of the blue and the green

WIDTH_IN = 4.4  # [in] at 390 px a 9 pt letter is then about 11 px high
_LOOK: dict[Any, Any] = {
    "font.size": 9.0,
    "font.family": ["DejaVu Sans"],
    "axes.edgecolor": INK,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.linewidth": 0.8,
    "text.parse_math": False,
    "svg.fonttype": "none",
    "svg.hashsalt": "hlbcore",
    "hatch.linewidth": 0.6,
}


PAD = {"facecolor": "white", "edgecolor": "none", "alpha": 0.75, "pad": 0.8}


def look() -> AbstractContextManager[None]:
    """The look of all figures, for the time of a `with`."""
    return mpl.rc_context(_LOOK)


def new_figure(height_in: float, *, left_in: float = 0.12) -> tuple[Figure, Axes]:
    """A figure with fixed margins: measuring the labels first would double the time to draw."""
    figure = Figure(figsize=(WIDTH_IN, height_in))
    FigureCanvasAgg(figure)
    axes = figure.add_axes(
        (left_in / WIDTH_IN, 0.5 / height_in, 1 - (left_in + 0.12) / WIDTH_IN, 1 - 0.78 / height_in)
    )
    return figure, axes


def short(label: str) -> str:
    """A label that fits into a figure."""
    return clipped(label, 40)


def words(figure: Figure) -> str:
    """The numbers of a figure as text, for those who do not see it.

    Parameters
    ----------
    figure : Figure
        Made by this module.

    Returns
    -------
    str
        One or more sentences.
    """
    return str(figure.get_label())


def _file(figure: Figure, kind: str, dpi: float) -> bytes:
    out = io.BytesIO()
    with warnings.catch_warnings(), look():
        warnings.filterwarnings("ignore", message="Glyph .* missing from font")
        metadata = {"Date": None} if kind == "svg" else None
        figure.savefig(out, format=kind, dpi=dpi, metadata=metadata)
    return out.getvalue()


def to_svg(figure: Figure) -> bytes:
    """The figure as an SVG file.

    Parameters
    ----------
    figure : Figure
        Made by this module.

    Returns
    -------
    bytes
        The same figure gives the same file.
    """
    return _file(figure, "svg", 100)


def to_png(figure: Figure, dpi: float = 200) -> bytes:
    """The figure as a PNG file.

    Parameters
    ----------
    figure : Figure
        Made by this module.
    dpi : float
        Fineness. [dots/in]

    Returns
    -------
    bytes
        The file.
    """
    return _file(figure, "png", dpi)
