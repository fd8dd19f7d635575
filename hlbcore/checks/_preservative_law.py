"""What law and pH say of preservatives: maxima, conditions, the part of an acid that works."""

from __future__ import annotations

import math
from collections.abc import Iterable

from hlbcore.blending.worked import Worked
from hlbcore.findings import Finding
from hlbcore.rules import preservation
from hlbcore.rules.preservatives import BODY_LEAVE_ON, PKA, Preservative, preservatives

LAW = "Annex V of Regulation (EC) No 1223/2009"


def row_name(view: Worked, key: str) -> str:
    """Name of an ingredient by its id."""
    return view.library.ingredients[key].common_name


def row_names(view: Worked, keys: Iterable[str]) -> str:
    """Names of ingredients by their ids."""
    return ", ".join(row_name(view, k) for k in keys)


def source_words(grade: str, source: str) -> str:
    """The source, or that a figure is from memory."""
    return "from memory" if grade == "memory" else source


def holds_water(view: Worked) -> bool:
    """Whether microbes find water: a water line, what brings water, or the product type."""
    return bool(view.water_pct > 0 or view.of_id(*preservation.WATERY) or not view.product.anhydrous)


def three_digits(value: float, *, up: bool = False) -> str:
    """Three significant digits, rounded so that the limit is kept. [as value]"""
    if value <= 0:
        return "0"
    step = 10.0 ** (math.floor(math.log10(value)) - 2)
    whole = math.ceil(value / step - 1e-9) if up else math.floor(value / step + 1e-9)
    return f"{whole * step:.3g}"


def law(view: Worked, amounts: dict[str, float]) -> list[Finding]:
    """Prohibited, not for this use, or over a maximum."""
    leave_on, table = view.product.leave_on, preservatives()
    use = "leave-on" if leave_on else "rinse-off"
    found = []
    for one in preservation.legal_sums(amounts, leave_on=leave_on):
        if not one.over:
            continue
        names = row_names(view, one.ids)
        rule = f"{LAW}, entry {one.entry}: {source_words(one.grade, one.source)}"
        if table[one.ids[0]].prohibited:
            rule = f"prohibited, {one.entry}: {source_words(one.grade, one.source)}"
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
                f"{row_name(view, i)} to at most {three_digits(amounts[i] * one.max_pct / one.pct)} %"
                for i in one.ids
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
                f"{row_names(view, preservation.NEVER_TOGETHER)}: never both in one product.",
                rule=f"{LAW}, entries 39 and 57: eu_2014_1003",
                mend="Keep one of them, in rinse-off products only.",
            )
        )
    return found


def conditions(view: Worked, amounts: dict[str, float]) -> list[Finding]:
    found = []
    for key, pct in amounts.items():
        row = preservatives().get(key)
        if row is None or pct <= 0 or not row.conditions:
            continue
        if row.limit_pct(leave_on=view.product.leave_on) == 0:
            continue  # said as a stop
        left_on = view.product.leave_on and view.facts.area == "body"
        barred = view.facts.area in row.not_for or (left_on and BODY_LEAVE_ON in row.not_for)
        found.append(
            Finding(
                "stop" if barred else "note",
                f"EU: conditions for {row_name(view, key)}"
                + (f", not for {view.facts.area}" if barred else ""),
                f"{row.conditions}.",
                f"{pct:.3g} %",
                f"{LAW}, entry {row.annex_entry}: {source_words(row.limit_grade, row.limit_source)}",
                "Replace it." if barred else "Read them against this product and its label.",
                aside=not barred,
            )
        )
    return found


def unknown_shares(view: Worked, missing: Iterable[str]) -> list[Finding]:
    return [
        Finding(
            "note",
            f"{row_name(view, key)}: the shares of its parts are missing",
            f"Its parts ({row_names(view, (p.id for p in preservatives()[key].parts))}) each have "
            "their own figures; without shares no maximum can be checked.",
            rule=f"{LAW}: each part against its own limit",
            mend="Enter the blend with its parts, as the supplier declares them.",
            aside=True,
        )
        for key in missing
    ]


def _window(row: Preservative) -> str:
    return f"pH {row.ph_min:g} to {row.ph_max:g}, {source_words(row.ph_grade, row.ph_source)}"


def _acid_text(ph: float, acid: str) -> str:
    share = 100 * preservation.acid_share(ph, PKA[acid])
    return f"{share:.2g} % of the {acid} acid is undissociated at pH {ph:g}"


def acidity(view: Worked, rows: list[Preservative], amounts: dict[str, float]) -> list[Finding]:
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
        said = "; ".join(f"{row_name(view, r.id)}: {_window(r)}" for r in windows)
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
    known = [_acid_text(ph, a) for a in acids if a in PKA]
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
                f"{row_name(view, row.id)}: pH outside its window",
                f"pH {ph:g}; window {_window(row)}. {text}".strip(),
                f"pH {ph:g}",
                f"pH window: {source_words(row.ph_grade, row.ph_source)}"
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


def formaldehyde(amounts: dict[str, float]) -> list[Finding]:
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
