"""Percentage basis: of the jar, of the fat base, of the water phase, of what is not grains.

=========  ====================================================================================
inputs     every line [% of formula], phases
rule       the same mass as a share of each basis it may be meant of; plain arithmetic
source     definition
levels     note, where the bases differ by more than a tenth of the figure
mend       write the basis beside the figure
=========  ====================================================================================
"""

from __future__ import annotations

from hlbcore.blending.worked import Worked
from hlbcore.findings import Finding

WORTH = 0.1  # [-] bases that differ by less than this share are not worth a line; our convention


def basis(view: Worked) -> list[Finding]:
    """The dose of emulsifier on each basis; preservative and gum say theirs in their own checks.

    Parameters
    ----------
    view : Worked
        A finished product.

    Returns
    -------
    list of Finding
        One a figure; the share of each basis side by side.
    """
    bases = {"the fat base": view.fat_base_pct, "what is not grains": 100 - view.solids_pct}
    figures = {"Emulsifiers": view.emulsifier_pct}
    fitting = {"Emulsifiers": ("the fat base", "what is not grains")}
    found = []
    for name, pct in figures.items():
        said = [
            f"{100 * pct / bases[b]:.3g} % of {b}"
            for b in fitting[name]
            if 0 < bases[b] < 100 * (1 - WORTH) and pct > 0
        ]
        if said:
            found.append(
                Finding(
                    "note",
                    f"{name}: say per cent of what",
                    f"{pct:.3g} % of the jar = {' = '.join(said)}.",
                    f"{pct:.3g} % of the jar",
                    "the same mass on each basis; plain arithmetic",
                    "Write the basis beside the figure; a supplier's rate may mean another one.",
                    aside=True,
                )
            )
    return found
