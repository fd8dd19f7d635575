"""Preservative: share, use range, EU maximum, pH, what is missing, questions for a laboratory.

=========  ====================================================================================
inputs     lines [% of formula], product type, area, pH [-], portions [% of the base]
rule       shares by plain arithmetic; EU maxima on their own basis, salts of an entry together;
           share of undissociated acid (`preservation.acid_share`); a jar is opened with wet hands
source     Annex V of Regulation (EC) No 1223/2009 (edition of 2015 and later acts); use ranges
           and pH windows of makers' tables, or `from memory`, as each row says
levels     not permitted, or water without a preservative: stop; over a maximum, outside a range,
           only boosters, no pH for an acid: caution; shares and laboratory questions: note
mend       the amount that meets the figure, in the product and in the base of a portion
=========  ====================================================================================
"""

from __future__ import annotations

from hlbcore.blending.worked import Worked, total
from hlbcore.checks._preservative_law import (
    LAW,
    acidity,
    conditions,
    formaldehyde,
    law,
    row_names,
    source_words,
    three_digits,
    unknown_shares,
)
from hlbcore.checks.preserving import TEST
from hlbcore.counting.counted import Counted
from hlbcore.findings import Finding
from hlbcore.rules import preservation
from hlbcore.rules.preservatives import Preservative, preservatives

ETHOXYLATED_LEAST = 1.0
"""Less ethoxylated emulsifier to one part of preservative asks no question. [g/g] Our convention."""


def preservative(view: Worked) -> list[Finding]:
    """Shares, limits, pH and open questions of the preservatives.

    Parameters
    ----------
    view : Worked
        A finished product.

    Returns
    -------
    list of Finding
        None for a product without lines.
    """
    if not any(s.pct > 0 for s in view.lines):
        return []
    table = preservatives()
    bought = [(s, table[s.ingredient.id]) for s in view.bought if _counts(s) and s.ingredient]
    held = [(s, table[s.ingredient.id]) for s in view.lines if _counts(s) and s.ingredient]
    rows = list(dict.fromkeys(row for _, row in (*bought, *held)))
    amounts, missing = preservation.split_blends(
        (s.ingredient.id, s.active) for s in view.lines if s.ingredient and s.pct > 0
    )
    return [
        *(_share(view, s, row) for s, row in bought if row.role != "antioxidant"),
        *_own_blends(view),
        *law(view, amounts),
        *conditions(view, amounts),
        *unknown_shares(view, missing),
        *_boosters(view, rows),
        *_antioxidants(view),
        *acidity(view, rows, amounts),
        *formaldehyde(amounts),
        *_ethoxylates(view, rows),
    ]


def _counts(s: Counted) -> bool:
    """Whether a line stands for its preservation; humectants and the like do not."""
    return (
        s.ingredient is not None
        and s.active > 0
        and s.kind == "preservative"
        and s.ingredient.id in preservatives()
    )


def _on_top(view: Worked) -> float:
    """Mass of a portion with what is added on top, over that of its base. [-]"""
    if not view.base_pcts:
        return 1.0
    now = zip(view.base_pcts, view.made.pcts, strict=False)  # a portion's base stands first
    return next((was / part for was, part in now if part > 0), 1.0)


def _before(view: Worked, s: Counted) -> float | None:
    """Share before a portion gets its colour and fragrance; None where that does not apply."""
    if not view.base_pcts or s.number >= len(view.base_pcts):
        return None
    return s.pct * _on_top(view)


def _to_write(view: Worked, s: Counted, pct: float, *, up: bool = False) -> str:
    """The amount to write so that the finished product holds this much."""
    written = pct * 100 / s.active_pct
    if _before(view, s) is None:
        return f"{three_digits(written, up=up)} % of the formula"
    of_base = three_digits(written * _on_top(view), up=up)
    return f"{of_base} % of the base ({three_digits(written, up=up)} % of the portion)"


def _share(view: Worked, s: Counted, row: Preservative) -> Finding:
    pct = s.active
    bases = {
        "the fat base": view.fat_base_pct,
        "the water": view.water_pct,
        "what is not grains": 100 - view.solids_pct if view.solids_pct > 0 else 0.0,
    }
    said = [f"{pct:.3g} % of the jar"]
    said += [f"{100 * pct / whole:.3g} % of {b}" for b, whole in bases.items() if whole > 0]
    detail = " = ".join(said) + "."
    if s.active_pct < 100:
        detail += f" The active part of {s.pct:.3g} % as bought is counted."
    before = _before(view, s)
    if before is not None:
        detail += (
            f" Before what is added on top of this portion: {before:.3g} % of the base; after it: "
            f"{s.pct:.3g} %."
        )
    level, aside, mend = "note", True, ""
    low, high = row.use_min_pct, row.use_max_pct
    if low is None or high is None:
        detail += " No use range in the tables: the supplier's rate holds."
        rule = "no use range in the tables"
    else:
        detail += f" Usual range {low:g} to {high:g} %"
        detail += ", from memory." if row.use_grade == "memory" else "."
        rule = f"use range: {source_words(row.use_grade, row.use_source)}"
        if pct < low:
            level, aside, mend = "caution", False, f"Raise it to at least {_to_write(view, s, low, up=True)}."
        elif pct > high:
            aside, mend = False, f"Lower it to at most {_to_write(view, s, high)}."
    limit = row.limit_pct(leave_on=view.product.leave_on)
    if limit and row.factor_to_basis is not None:
        detail += f" EU maximum {limit:g} % {row.limit_basis}; here {pct * row.factor_to_basis:.3g} %."
        rule += f"; {LAW}, entry {row.annex_entry}: {source_words(row.limit_grade, row.limit_source)}"
    outside = "share" if aside else "outside its usual range"
    return Finding(
        level,
        f"{s.name}: {outside}",
        detail,
        f"{pct:.3g} % of the jar",
        rule,
        mend or "Compare with the supplier's rate; it may mean another basis.",
        aside=aside,
    )


def _own_blends(view: Worked) -> list[Finding]:
    """Blends that the user entered with their parts: the supplier's rate holds for the whole."""
    table = preservatives()
    counted = [x for x in view.lines if _counts(x)]
    found = []
    for s in view.bought:
        if s.pct <= 0 or (s.ingredient is not None and s.ingredient.id in table):
            continue
        parts = [x for x in counted if x.is_part and x.number == s.number]
        if parts:
            held = ", ".join(f"{x.active:.3g} % {x.name}" for x in parts)
            found.append(
                Finding(
                    "note",
                    f"{s.name}: share",
                    f"{s.pct:.3g} % of the jar, in it {held}.",
                    f"{s.pct:.3g} % of the jar",
                    "no use range in the tables",
                    "Compare with the supplier's rate for the blend.",
                    aside=True,
                )
            )
    return found


def _boosters(view: Worked, rows: list[Preservative]) -> list[Finding]:
    """What Annex V does not list as a preservative, beside one that it lists."""
    held = [r for r in rows if r.role == "booster"]
    if not held or not any(r.protects for r in rows):
        return []
    return [
        Finding(
            "note",
            "Boosters beside a preservative",
            f"{row_names(view, (r.id for r in held))}: not among the preservatives that EU law lists; "
            "boosters are listed for other functions.",
            rule=f"{LAW} is a positive list, Art. 14(1)(d): eu_1223_2009",
            mend=f"Ask the supplier for test data. {TEST}",
            aside=True,
        )
    ]


def _antioxidants(view: Worked) -> list[Finding]:
    """An antioxidant entered as the preservative."""
    slow = [
        s.name
        for s in view.lines
        if s.ingredient
        and s.pct > 0
        and (row := preservatives().get(s.ingredient.id)) is not None
        and row.role == "antioxidant"
        and (s.kind == "preservative" or "preserv" in f"{s.line.note} {s.line.phase}".casefold())
    ]
    if not slow:
        return []
    return [
        Finding(
            "caution",
            "An antioxidant is no preservative",
            f"{', '.join(slow)}: slows rancidity of the oils, does not protect water.",
            rule="soapmaking_magazine_2017",
            mend=f"Add a preservative beside it. {TEST}",
        )
    ]


def _ethoxylates(view: Worked, rows: list[Preservative]) -> list[Finding]:
    """A question, never a verdict."""
    held = [s for s in view.lines if s.ingredient and s.ingredient.peg_based and s.active > 0]
    pct = total(s for s in view.lines if _counts(s))
    if not held or not any(r.role != "antioxidant" for r in rows) or pct <= 0:
        return []
    ethoxylated = sum(s.active for s in held)
    if ethoxylated < ETHOXYLATED_LEAST * pct:
        return []
    names = ", ".join(f"{s.active:.3g} % {s.name}" for s in held)
    upto = "up to " if any(s.is_whole_wax for s in held) else ""
    return [
        Finding(
            "note",
            "Question for a laboratory: preservative and ethoxylated emulsifier",
            f"{names}: {upto}{ethoxylated / pct:.3g} g ethoxylated emulsifier to 1 g preservative. "
            "Such emulsifiers can bind preservatives in micelles: parabens above all, benzyl and "
            "phenethyl alcohol too. One study: "
            f"{preservation.STUDY}. Another reports less loss for phenoxyethanol with benzoic acid "
            "or caprylyl glycol; on phenoxyethanol alone chemists disagree. Neither study tells "
            "about this product.",
            f"{upto}{ethoxylated / pct:.3g} g/g",
            preservation.STUDY_SOURCES,
            TEST,
            aside=True,
        )
    ]
