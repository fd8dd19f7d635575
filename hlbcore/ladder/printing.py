"""Labels and weighing sheet of a ladder, as tables and as plain pages to print."""

from __future__ import annotations

from html import escape

import pandas as pd

from hlbcore.ladder.kinds import score_table
from hlbcore.ladder.ladder import Ladder

_STYLE = (
    "body{font:12pt sans-serif;color:#000;background:#fff}table{border-collapse:collapse}"
    "td,th{border:1px solid #000;padding:2mm;text-align:left}.g{font-size:14pt;font-weight:bold}"
    ".label{display:inline-block;width:55mm;height:28mm;border:1px dashed #000;margin:1mm;"
    "padding:2mm;overflow:hidden;vertical-align:top}.code{font-size:20pt;font-weight:bold}"
    "@media print{h2{break-after:avoid}tr,.label{break-inside:avoid}}"
)


def label_table(ladder: Ladder, name: str = "") -> pd.DataFrame:
    """One row a vial: what goes on its label.

    Parameters
    ----------
    ladder : Ladder
        A plan.
    name : str
        Name of the trial.

    Returns
    -------
    DataFrame
        trial, label, text, order [-]; a blinded label tells neither HLB nor dose.

    Examples
    --------
    >>> from hlbcore.ladder import plan_ladder
    >>> ladder = plan_ladder("sorbitan oleate", "polysorbate 80", centre=10, half_width=3,
    ...                      oil_phase={"mineral oil": 20})
    >>> sorted(label_table(ladder)["text"])[-1]
    'HLB 9.0'
    """
    rows = []
    known = {r["vial"]: r for r in ladder.table.to_dict("records")}
    for v in sorted(ladder.vials, key=lambda v: v.order):
        text, seen = "", known[v.number]
        if not ladder.blinded:
            hlb, dose = seen["hlb_as_weighed"], seen["emulsifier_of_oil_pct"]
            words = [f"HLB {hlb:.1f}"] if ladder.kind != "clarity" and hlb == hlb else []
            if ladder.kind in ("loading", "rinse", "clarity"):
                words.append(f"{dose:.3g} % of the oil")
            text = ", ".join(words) + (f" ({ladder.vial(v.repeats).label} again)" if v.repeats else "")
        rows.append((name, v.label, text, v.order))
    return pd.DataFrame(rows, columns=["trial", "label", "text", "order"])


def weighing_table(ladder: Ladder) -> pd.DataFrame:
    """One row a vial and ingredient, in the order of making, with room to write.

    Parameters
    ----------
    ladder : Ladder
        A plan.

    Returns
    -------
    DataFrame
        order, label, ingredient, grams [g, as text to the readability], weighed_g (blank).

    Examples
    --------
    >>> from hlbcore.ladder import plan_ladder
    >>> ladder = plan_ladder("sorbitan oleate", "polysorbate 80", centre=10, half_width=3,
    ...                      oil_phase={"mineral oil": 20})
    >>> weighing_table(ladder).columns.tolist()
    ['order', 'label', 'ingredient', 'grams', 'weighed_g']
    """
    digits = _digits(ladder.readability_g)
    return pd.DataFrame(
        [
            (v.order, v.label, n, f"{g:.{digits}f}", "")
            for v in sorted(ladder.vials, key=lambda v: v.order)
            for n, g in v.grams
        ],
        columns=["order", "label", "ingredient", "grams", "weighed_g"],
    )


def _digits(readability_g: float) -> int:
    return len(f"{readability_g:.9f}".rstrip("0").partition(".")[2])


def _cells(cells: list[object], tag: str = "td") -> str:
    return "<tr>" + "".join(f"<{tag}>{escape(str(c))}</{tag}>" for c in cells) + "</tr>"


def _page(title: str, body: str) -> str:
    return (
        f'<!DOCTYPE html><html lang="en"><head><meta charset="utf-8"><title>{escape(title)}</title>'
        f"<style>{_STYLE}</style></head><body>{body}</body></html>"
    )


def labels_page(ladder: Ladder, name: str = "") -> str:
    """Labels for the vials as a page to print and cut.

    Parameters
    ----------
    ladder : Ladder
        A plan.
    name : str
        Name of the trial.

    Returns
    -------
    str
        HTML; everything typed by a user is escaped.

    Examples
    --------
    >>> from hlbcore.ladder import plan_ladder
    >>> ladder = plan_ladder("sorbitan oleate", "polysorbate 80", centre=10, half_width=3,
    ...                      oil_phase={"mineral oil": 20})
    >>> "&lt;b&gt;" in labels_page(ladder, "<b>")
    True
    """
    pieces = [
        f'<div class="label">{escape(str(r["trial"]))}<br><span class="code">'
        f"{escape(str(r['label']))}</span><br>{escape(str(r['text']))}<br>made on: ________</div>"
        for r in label_table(ladder, name).to_dict("records")
    ]
    return _page(f"Labels {name}".strip(), "".join(pieces))


def weighing_page(ladder: Ladder, name: str = "") -> str:
    """Weighing sheet of a ladder as a page to print, vials in the order of making.

    Parameters
    ----------
    ladder : Ladder
        A plan.
    name : str
        Name of the trial.

    Returns
    -------
    str
        HTML with amounts, room for what was weighed, what to hold the same, what to observe and
        the wording of the scores; everything typed by a user is escaped.

    Examples
    --------
    >>> from hlbcore.ladder import plan_ladder
    >>> ladder = plan_ladder("sorbitan oleate", "polysorbate 80", centre=10, half_width=3,
    ...                      oil_phase={"mineral oil": 20})
    >>> weighing_page(ladder).count("<h2>")
    3
    """
    digits = _digits(ladder.readability_g)
    process = ladder.process
    warm = "" if process.temperature_c is None else f"{process.temperature_c:g} °C: "
    same = [f"{warm}{process.reason}" if process.reason else warm, process.stirring, *process.notes]
    if ladder.blinded:
        same.append("The codes hide the HLB: whoever scores the vials must not see this sheet.")
    rows = [_cells(["order", "label", *(f"{n}, g" for n in ladder.ingredients), "done"], "th")]
    for v in sorted(ladder.vials, key=lambda v: v.order):
        held = dict(v.grams)
        amounts = "".join(
            f'<td><span class="g">{held[n]:.{digits}f}</span><br>______</td>' if n in held else "<td></td>"
            for n in ladder.ingredients
        )
        rows.append(f'<tr><td>{v.order}</td><td class="g">{escape(v.label)}</td>{amounts}<td></td></tr>')
    scales = score_table()
    mine = {"rinse": ("milkiness", "oil ring", "film on glass", "hardness"), "clarity": ("clarity",)}.get(
        ladder.kind, ("score",)
    )
    words = "".join(
        _cells([r["kind"], r["score"], r["words"]])
        for r in scales[scales["kind"].isin(mine)].to_dict("records")
    )
    body = (
        f"<h1>{escape(name or 'Bench ladder')}</h1>"
        f"<h2>The same for every vial</h2><ul>{_items(same)}</ul>"
        f"<h2>Weigh</h2><table>{''.join(rows)}</table>"
        f"<h2>Look</h2><ul>{_items(list(ladder.to_observe))}</ul><table>{words}</table>"
    )
    return _page(f"Weighing sheet {name}".strip(), body)


def _items(texts: list[str]) -> str:
    return "".join(f"<li>{escape(t)}</li>" for t in texts if t.strip())
