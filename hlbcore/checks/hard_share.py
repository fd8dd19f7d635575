"""Hard share of the fat base.

=========  ====================================================================================
inputs     oil side and emulsifiers [% of formula]; form and melting points of the tables [°C]
rule       `texture.hard_share`: butters and oils by melting figure, the rest by form as sold
source     figures of ``data/properties.csv``; the line at 30 °C is our convention
levels     note, always: no threshold of `too hard` is published
mend       set it beside a formula that you know; what has no figure, ask the supplier
=========  ====================================================================================
"""

from __future__ import annotations

from hlbcore.blending.worked import Worked
from hlbcore.findings import Finding
from hlbcore.rules.hard_share import HIGH_MELTING_C, NO_THRESHOLD
from hlbcore.rules.hard_share import hard_share as share_of

POURED = "dispersing bath or cleansing oil"
"""A liquid: what is not known of it is taken for liquid too."""


def hard_share(view: Worked) -> list[Finding]:
    """The hard share as a note.

    Parameters
    ----------
    view : Worked
        A finished product.

    Returns
    -------
    list of Finding
        Empty where nothing in the fat base is hard or unknown, and for a liquid without a hard part.
    """
    share = share_of(view)
    if not share.parts and (not share.unknown or view.product.name == POURED):
        return []
    upto = f", up to {share.of_fat_high_pct:.3g} % with what is not known" if share.unknown else ""
    mend = "Set it beside a formula that you liked or disliked: the difference is what says more."
    if share.unknown:
        names = ", ".join(p.name for p in share.unknown)
        mend += f" Ask the supplier for form and melting point of {names}."
    return [
        Finding(
            "note",
            "Hard share of the fat base",
            f"{share.text}. That is {share.of_fat_pct:.3g} % of the fat base{upto}; the fat base "
            f"is {share.fat_base_pct:.3g} % of the jar. {NO_THRESHOLD}",
            f"{share.of_fat_pct:.3g} % of the fat base = {share.of_jar_pct:.3g} % of the jar",
            "form and melting points of the tables; a fat counts from "
            f"{HIGH_MELTING_C:g} °C up, our convention",
            mend,
            aside=not view.product.anhydrous,
        )
    ]
