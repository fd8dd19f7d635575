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

import math
from collections.abc import Iterable

from hlbcore.blending.worked import Worked, total
from hlbcore.checks.preserving import TEST, holds_water
from hlbcore.counting.counted import Counted
from hlbcore.findings import Finding
from hlbcore.rules import preservation
from hlbcore.rules.preservation import Preservative, preservatives

ETHOXYLATED_LEAST = 1.0
"""Less ethoxylated emulsifier to one part of preservative asks no question. [g/g] Our convention."""

LAW = "Annex V of Regulation (EC) No 1223/2009"


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
        *_law(view, amounts),
        *_conditions(view, amounts),
        *_unknown_shares(view, missing),
        *_boosters(rows, view),
        *_antioxidants(view),
        *_ph(view, rows, amounts),
        *_formaldehyde(amounts),
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


def _name(view: Worked, key: str) -> str:
    return view.library.ingredients[key].common_name


def _names(view: Worked, keys: Iterable[str]) -> str:
    return ", ".join(_name(view, k) for k in keys)


def _source(grade: str, source: str) -> str:
    return "from memory" if grade == "memory" else source


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


def _three(value: float, *, up: bool = False) -> str:
    """Three significant digits, rounded so that the limit is kept. [as value]"""
    if value <= 0:
        return "0"
    step = 10.0 ** (math.floor(math.log10(value)) - 2)
    whole = math.ceil(value / step - 1e-9) if up else math.floor(value / step + 1e-9)
    return f"{whole * step:.3g}"


def _to_write(view: Worked, s: Counted, pct: float, *, up: bool = False) -> str:
    """The amount to write so that the finished product holds this much."""
    written = pct * 100 / s.active_pct
    if _before(view, s) is None:
        return f"{_three(written, up=up)} % of the formula"
    of_base = _three(written * _on_top(view), up=up)
    return f"{of_base} % of the base ({_three(written, up=up)} % of the portion)"


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
        rule = f"use range: {_source(row.use_grade, row.use_source)}"
        if pct < low:
            level, aside, mend = "caution", False, f"Raise it to at least {_to_write(view, s, low, up=True)}."
        elif pct > high:
            aside, mend = False, f"Lower it to at most {_to_write(view, s, high)}."
    limit = row.limit_pct(leave_on=view.product.leave_on)
    if limit and row.factor_to_basis is not None:
        detail += f" EU maximum {limit:g} % {row.limit_basis}; here {pct * row.factor_to_basis:.3g} %."
        rule += f"; {LAW}, entry {row.annex_entry}: {_source(row.limit_grade, row.limit_source)}"
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
            held = ", ".join(f"{x.name} {x.active:.3g} %" for x in parts)
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


def _law(view: Worked, amounts: dict[str, float]) -> list[Finding]:
    """Prohibited, not for this use, or over a maximum."""
    leave_on, table = view.product.leave_on, preservatives()
    use = "leave-on" if leave_on else "rinse-off"
    found = []
    for one in preservation.legal_sums(amounts, leave_on=leave_on):
        if not one.over:
            continue
        names = _names(view, one.ids)
        rule = f"{LAW}, entry {one.entry}: {_source(one.grade, one.source)}"
        if table[one.ids[0]].prohibited:
            rule = f"prohibited, {one.entry}: {_source(one.grade, one.source)}"
            found.append(
                Finding(
                    "stop",
                    f"EU: {names} is prohibited",
                    table[one.ids[0]].note,
                    f"{one.pct:.3g} %",
                    rule,
                    "Replace it. Elsewhere see the local law.",
                )
            )
        elif one.max_pct == 0:
            found.append(
                Finding(
                    "stop",
                    f"EU: {names} not in {use} products",
                    f"{table[one.ids[0]].conditions}. Here {one.pct:.3g} %.",
                    f"{one.pct:.3g} %",
                    rule,
                    "Replace it. Elsewhere see the local law.",
                )
            )
        else:
            each = ", ".join(
                f"{_name(view, i)} to at most {_three(amounts[i] * one.max_pct / one.pct)} %" for i in one.ids
            )
            base = " of the finished portion" if view.base_pcts else ""
            found.append(
                Finding(
                    "caution",
                    f"EU: {names} above the maximum",
                    f"{one.pct:.3g} % {one.basis}; EU maximum for {use} products {one.max_pct:g} %.",
                    f"{one.pct:.3g} %",
                    rule,
                    f"Lower {each}{base}. Check the current text and the local law.",
                )
            )
    if all(amounts.get(i, 0) > 0 for i in preservation.NEVER_TOGETHER):
        found.append(
            Finding(
                "stop",
                "EU: both isothiazolinone entries together",
                f"{_names(view, preservation.NEVER_TOGETHER)}: never both in one product.",
                rule=f"{LAW}, entries 39 and 57: eu_2014_1003",
                mend="Keep one of them, in rinse-off products only.",
            )
        )
    return found


def _conditions(view: Worked, amounts: dict[str, float]) -> list[Finding]:
    found = []
    for key, pct in amounts.items():
        row = preservatives().get(key)
        if row is None or pct <= 0 or not row.conditions:
            continue
        if row.limit_pct(leave_on=view.product.leave_on) == 0:
            continue  # said as a stop
        left_on = view.product.leave_on and view.facts.area == "body"
        barred = view.facts.area in row.not_for or (left_on and preservation.BODY_LEAVE_ON in row.not_for)
        found.append(
            Finding(
                "stop" if barred else "note",
                f"EU: conditions for {_name(view, key)}" + (f", not for {view.facts.area}" if barred else ""),
                f"{row.conditions}.",
                f"{pct:.3g} %",
                f"{LAW}, entry {row.annex_entry}: {_source(row.limit_grade, row.limit_source)}",
                "Replace it." if barred else "Read them against this product and its label.",
                aside=not barred,
            )
        )
    return found


def _unknown_shares(view: Worked, missing: Iterable[str]) -> list[Finding]:
    return [
        Finding(
            "note",
            f"{_name(view, key)}: the shares of its parts are missing",
            f"Its parts ({_names(view, (p.id for p in preservatives()[key].parts))}) each have "
            "their own figures; without shares no maximum can be checked.",
            rule=f"{LAW}: each part against its own limit",
            mend="Enter the blend with its parts, as the supplier declares them.",
            aside=True,
        )
        for key in missing
    ]


def _boosters(rows: list[Preservative], view: Worked) -> list[Finding]:
    """What Annex V does not list as a preservative, beside one that it lists."""
    held = [r for r in rows if r.role == "booster"]
    if not held or not any(r.protects for r in rows):
        return []
    return [
        Finding(
            "note",
            "Boosters beside a preservative",
            f"{_names(view, (r.id for r in held))}: not among the preservatives that EU law lists; "
            "boosters are "
            "listed for other functions.",
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


def _window(row: Preservative) -> str:
    return f"pH {row.ph_min:g} to {row.ph_max:g}, {_source(row.ph_grade, row.ph_source)}"


def _acid_text(ph: float, acid: str) -> str:
    share = 100 * preservation.acid_share(ph, preservation.PKA[acid])
    return f"{share:.2g} % of the {acid} acid is undissociated at pH {ph:g}"


def _ph(view: Worked, rows: list[Preservative], amounts: dict[str, float]) -> list[Finding]:
    """The pH window, and the share of undissociated acid."""
    windows = [r for r in rows if r.ph_max is not None]
    table = preservatives()
    # parts whose share only the supplier knows count here too
    ids = [*amounts, *(p.id for r in rows for p in r.parts)]
    acids = dict.fromkeys(table[i].acid for i in ids if i in table and table[i].acid)
    if not holds_water(view) or not (windows or acids):
        return []
    ph = view.facts.ph
    others = [r for r in rows if r.protects and not r.acid]  # these do their work at any usual pH
    if ph is None:
        said = "; ".join(f"{_name(view, r.id)}: {_window(r)}" for r in windows)
        return [
            Finding(
                "caution" if acids and not others else "note",
                "pH is missing",
                f"{said}."
                + (" An acid preservative works mainly undissociated, at low pH." if acids else ""),
                rule="jscc_18_4_benzoic" if acids else "pH windows as each row says",
                mend="Measure the pH of the finished product and enter it.",
                aside=not acids,
            )
        ]
    known = [_acid_text(ph, a) for a in acids if a in preservation.PKA]
    text = "; ".join(known) + "." if known else ""
    if "other" in acids:
        text += " No acid constant in the tables for the other acids: the pH window holds."
    found = []
    for row in windows:
        assert row.ph_min is not None
        assert row.ph_max is not None
        if row.ph_min <= ph <= row.ph_max:
            continue
        way = (
            f"Bring it to {row.ph_max:g} or lower"
            if ph > row.ph_max
            else (f"Bring it to {row.ph_min:g} or higher")
        )
        found.append(
            Finding(
                "caution",
                f"{_name(view, row.id)}: pH outside its window",
                f"pH {ph:g}; window {_window(row)}. {text}".strip(),
                f"pH {ph:g}",
                f"pH window: {_source(row.ph_grade, row.ph_source)}"
                + ("; acid constants: jscc_18_4_benzoic, liquisearch_sorbic_acid" if known else ""),
                f"{way} after the last addition, or choose another preservative; measure again.",
            )
        )
    if known and not found:
        found.append(
            Finding(
                "note",
                "Share of undissociated acid",
                text.strip(),
                f"pH {ph:g}",
                "jscc_18_4_benzoic; liquisearch_sorbic_acid",
                "The ion has some activity too; a drift of the pH upwards costs share.",
                aside=True,
            )
        )
    return found


def _formaldehyde(amounts: dict[str, float]) -> list[Finding]:
    """The words that an EU label needs; free formaldehyde is seldom known."""
    table = preservatives()
    held = [i for i, p in amounts.items() if p > 0 and i in table and table[i].releases_formaldehyde]
    if not held:
        return []
    return [
        Finding(
            "note",
            "Releases formaldehyde",
            f"Free formaldehyde in the product is missing. Above "
            f"{preservation.FREE_FORMALDEHYDE_PPM:g} ppm (0.001 %) an EU label says `releases "
            "formaldehyde`; stock older than 31 July 2024 could be sold to 31 July 2026.",
            f"{preservation.FREE_FORMALDEHYDE_PPM:g} ppm",
            f"{LAW}, preamble as amended 2022: echa_annex_v_preamble; eu_2022_1181_recalled",
            "Have free formaldehyde measured, or write the words on the label.",
            aside=True,
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
    names = ", ".join(f"{s.name} {s.active:.3g} %" for s in held)
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
