"""Whether a product is preserved at all: presence, pH, amount, and what is left open.

=========  ====================================================================================
inputs     preservatives [% of formula], pH [-], water [% of formula], alcohol [% of formula]
rule       water needs a preservative; an acid one works mainly undissociated; below half of the
           lowest use a preservative is none; one that works on bacteria leaves yeast and mould open
source     use ranges, pH windows and acid constants of ``data/preservatives.csv`` and `preservation`
levels     none, or none that can work: stop, never beside 20 % alcohol or a line that nobody knows;
           cannot tell, boosters only, yeast and mould open, pH of an acid missing: caution
mend       the pH or the amount that the table names, or a partner
=========  ====================================================================================
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from hlbcore.blending.worked import Worked, total
from hlbcore.checks._allergens import names_of
from hlbcore.checks._preservative_law import holds_water
from hlbcore.checks._unknown import SAY, unknown_lines
from hlbcore.counting.counted import Counted
from hlbcore.findings import Finding
from hlbcore.names import is_slip
from hlbcore.product_types import PRACTICE
from hlbcore.rules import preservation
from hlbcore.rules.preservatives import PKA, Preservative, preservatives

TEST = "Have a challenge test made (ISO 11930:2019) and ask a qualified safety assessor."
UNNAMED = "preservative_unspecified"

WET_HANDS = ("wash-off scrub", "cleansing balm")
"""Product types that are taken from an open jar with wet hands. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Held:
    """One substance or bought blend that is there to preserve.

    Parameters
    ----------
    line : Counted
        Its line.
    row : Preservative
        What the table says of it.
    share : float or None
        Amount over the lowest use; None where the amount or the use is not known. [-]
    """

    line: Counted
    row: Preservative
    share: float | None


def held_of(view: Worked) -> list[Held]:
    """Preservatives and boosters of the lines; of a blend without a row of its own, its parts.

    Parameters
    ----------
    view : Worked
        A finished product.

    Returns
    -------
    list of Held
        In the order of the lines.
    """
    table, found = preservatives(), []
    for x in (*view.bought, *(y for y in view.lines if y.is_part)):
        if x.ingredient is None or x.active <= 0:
            continue
        row = table.get(x.ingredient.id)
        if row is not None and x.kind == "preservative":
            found.append(Held(x, row, x.active / row.use_min_pct if row.use_min_pct else None))
        elif x.kind == "preservative" and x.ingredient.id != UNNAMED:
            for part in view.library.parts_of(x.name):
                if (row := table.get(view.library.key(part))) is not None and row.role != "antioxidant":
                    found.append(Held(x, row, None))
    return found


def preserving(view: Worked) -> list[Finding]:
    """Whether the product is preserved.

    Parameters
    ----------
    view : Worked
        A finished product.

    Returns
    -------
    list of Finding
        Empty where nothing is open.
    """
    if not any(x.pct > 0 for x in view.lines):
        return []
    held = held_of(view)
    if view.of_id(UNNAMED):
        return [_not_named(view)]
    if not holds_water(view):
        return _wet_hands(view, held)
    protecting = [h for h in held if h.row.protects]
    if not protecting:
        return [_none(view, held)]
    dead = [h for h in protecting if _cannot_work(h.row, view.facts.ph)]
    working = [h for h in protecting if h not in dead]
    weak = bool(working) and _too_little(working)
    if not working or weak:
        return [_useless(view, dead, weak=weak, working=working)]
    return _open(view, held, working)


def _alcohol(view: Worked) -> float:
    return math.fsum(x.active for x in view.of_id(*preservation.ALCOHOLS))


def _not_named(view: Worked) -> Finding:
    return Finding(
        "caution",
        "The preservative is not named",
        "Limits, pH window and use range cannot be checked.",
        f"{total(view.of_id(UNNAMED)):.3g} % of the formula",
        "each preservative has its own limits",
        "Replace the line by the substance, or by a bought blend with its parts.",
    )


def _maybe(view: Worked, held: list[Held]) -> list[Counted]:
    """Lines that may be the preservative: unknown ones, and blends of which no part is known.

    A slip of typing is what it looks like: "beewax" is no preservative.
    """
    told = {h.line.number for h in held}
    kinds = [x for x in view.bought if x.kind == "preservative" and x.active > 0 and x.number not in told]
    return [*(x for x in unknown_lines(view) if not _slip(x, view)), *kinds]


def _slip(x: Counted, view: Worked) -> bool:
    """Whether a name is within a slip or two of a known one that is no preservative."""
    meant = [n for n in view.library.near(x.name) if is_slip(x.name, n)]
    return bool(meant) and all(view.library.find(n).kind != "preservative" for n in meant)


UNPRESERVED = "Water and no preservative"


def _none(view: Worked, held: list[Held]) -> Finding:
    water = (
        f"{view.water_pct:.3g} % of the formula is water."
        if view.water_pct > 0
        else "The product type holds water, or an ingredient brings it."
    )
    figure, rule = f"{view.water_pct:.3g} % water", "good practice, from memory; " + PRACTICE
    if maybe := _maybe(view, held):
        return Finding(
            "caution",
            "Cannot tell whether it is preserved",
            f"{water} No preservative among the lines that are known; these may be one: {names_of(maybe)}.",
            figure,
            rule,
            SAY,
        )
    if (pct := _alcohol(view)) >= preservation.ALCOHOL_PCT:
        return Finding(
            "note",
            "No preservative but alcohol",
            f"{pct:.3g} % alcohol of the formula; from about {preservation.ALCOHOL_PCT:g} % on it may "
            "preserve by itself.",
            f"{pct:.3g} % alcohol",
            rule,
            TEST,
        )
    boosters = [h for h in held if h.row.role == "booster"]
    if len({h.row.id for h in boosters}) > 1 or any(h.row.parts for h in boosters):
        return Finding(
            "caution",
            "Boosters only: no listed preservative",
            f"{names_of([h.line for h in boosters])}: EU law lists them for other functions than "
            "preservation, "
            "though such blends are sold for it.",
            figure,
            "Annex V of Regulation (EC) No 1223/2009 is a positive list, Art. 14(1)(d): eu_1223_2009",
            f"Ask the supplier for test data. {TEST}",
        )
    if boosters:
        water += f" {names_of([h.line for h in boosters])}: a booster, no listed preservative."
    if slow := view.of_kind("antioxidant"):
        water += f" {names_of(slow)}: an antioxidant, no preservative (soapmaking_magazine_2017)."
    if view.of_kind("sugar", "salt", "humectant"):
        water += (
            " Sugar, salt and humectants count only by a measured water activity "
            "(chemists_forum_11575_scrub)."
        )
    return Finding(
        "stop",
        UNPRESERVED,
        f"{water} Not for sale like this: microbes grow in water.",
        figure,
        rule,
        f"Add a preservative that suits the pH. {TEST}",
    )


def _wet_hands(view: Worked, held: list[Held]) -> list[Finding]:
    if view.product.name not in WET_HANDS:
        return []
    wet = "No water in the formula, but wet hands or shower water get into an open jar."
    rule = "barclay_nichols_2015_02_preservative; chemists_forum_11575_scrub"
    if any(h.row.protects for h in held):
        dry = [h.line for h in held if h.row.protects and h.row.phase == "water"]
        grains = (
            f" {names_of(dry)} dissolves in water, not in the fat: it lies there as grains." if dry else ""
        )
        return [
            Finding(
                "note",
                "Opened with wet hands",
                f"{wet} Makers disagree on the kind that serves here.{grains}",
                rule=rule,
                mend=f"Tube, pump or scoop, small jar, `keep water out` on the label. {TEST}",
                aside=not dry,
            )
        ]
    if maybe := _maybe(view, held):
        return [
            Finding(
                "note",
                "Cannot tell whether it is preserved",
                f"{wet} These lines may be a preservative: {names_of(maybe)}.",
                rule=rule,
                mend=SAY,
            )
        ]
    return [
        Finding(
            "caution",
            "No preservative, and opened with wet hands",
            f"{wet} Sugar or salt must not be relied on without a measured water activity.",
            "0 % preservative",
            rule,
            f"Add one that reaches the water that gets in; tube, pump or scoop, small jar. {TEST}",
        )
    ]


def _cannot_work(row: Preservative, ph: float | None) -> bool:
    """Whether an acid preservative has hardly any undissociated acid left at this pH."""
    if ph is None or not row.acid or row.ph_max is None or ph <= row.ph_max:
        return False
    if row.acid in PKA:
        return preservation.acid_share(ph, PKA[row.acid]) < preservation.ACID_LEAST
    return ph > row.ph_max + preservation.PH_BEYOND


def _too_little(working: list[Held]) -> bool:
    """Whether all that works together is below half of its lowest use."""
    if any(h.share is None for h in working):
        return False
    return math.fsum(h.share or 0.0 for h in working) < preservation.HALF_OF_LEAST


def _useless(view: Worked, dead: list[Held], *, weak: bool, working: list[Held]) -> Finding:
    ph = view.facts.ph
    said = []
    for h in dead:
        share = ""
        if h.row.acid in PKA and ph is not None:
            part = 100 * preservation.acid_share(ph, PKA[h.row.acid])
            share = f", {part:.2g} % of the acid is undissociated"
        said.append(f"{h.line.name} works up to pH {h.row.ph_max:g}, here pH {ph:g}{share}")
    for h in working:
        said.append(f"{h.line.active:.3g} % {h.line.name}, in use from {h.row.use_min_pct:g} % on")
    detail = f"{'; '.join(said)}."
    names = names_of([h.line for h in (working if weak else dead)])
    if weak:
        title, figure = f"{names}: too little to preserve", _amounts(working)
        mend = f"Raise it to at least {working[0].row.use_min_pct:g} %. {TEST}"
        rule = "below half of the lowest use of the tables; our convention"
    else:
        title, figure = f"{names}: cannot work at pH {ph:g}", f"pH {ph:g}"
        mend = f"Bring the pH to {dead[0].row.ph_max:g} or lower, or choose one that works here. {TEST}"
        rule = "jscc_18_4_benzoic; liquisearch_sorbic_acid; pH windows of the tables"
    doubt = [f"{x.name} is unknown" for x in unknown_lines(view)]
    if (pct := _alcohol(view)) >= preservation.ALCOHOL_PCT:
        doubt.append(f"{pct:.3g} % alcohol may preserve")
    if doubt:
        detail += f" Not certain, since {'; '.join(doubt)}."
    return Finding("caution" if doubt else "stop", title, detail, figure, rule, mend)


def _amounts(held: list[Held]) -> str:
    return ", ".join(f"{h.line.active:.3g} %" for h in held)


def _open(view: Worked, held: list[Held], working: list[Held]) -> list[Finding]:
    """What a product that is preserved leaves open."""
    parts = {p.id for h in held for p in h.row.parts} | {h.row.id for h in held if not h.row.parts}
    others = parts - set(preservation.BACTERIA_ONLY)
    if others or _maybe(view, held):
        return []
    return [
        Finding(
            "caution",
            f"{names_of([h.line for h in working])} alone leaves yeast and mould open",
            "It works mainly on bacteria; the tables say that it needs a partner for yeast and mould.",
            f"{_amounts(working)} of the formula",
            "notes of data/preservatives.csv, from memory",
            "Add a partner, such as ethylhexylglycerin, caprylyl glycol or potassium sorbate at low "
            f"pH. {TEST}",
        )
    ]
