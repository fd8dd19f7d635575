"""The answer that stays in sight: verdict, doubt, picture, grams, the proposal, and what to mind."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import streamlit as st
from how import behind, mark
from parts import findings_html, headed, safe
from state import FormulaDraft
from weighs_better import weighs_better
from worked import proposed, ranked_findings, worked

import hlbcore as hlb
from hlbcore.blending import card as answer_words
from hlbcore.blending.offers import weighing_offers
from hlbcore.blending.proposal import no_proposal_words
from hlbcore.findings import changes, worst_first
from hlbcore.lessons import Working
from hlbcore.lessons.of_formula import FORMULA_FIGURES, blend_figure
from hlbcore.plots.page import Axis, AxisRow, axis, axis_words

MATERIAL = "About "
"""How the titles of background on a material begin: they share one line."""

FIGURES = ("required HLB", "HLB of the blend", "verdict", "dose", "grams")
"""Figures of the answer, each with its working."""

SHOWN = 4
"""Findings in sight; the rest is one press away."""


def answer(now: FormulaDraft) -> None:
    """All of it: at the right on a wide page, a strip at the foot that opens on a narrow one."""
    outcome = worked(now.formula)
    with st.container(key="foot"):
        strip(outcome)
        with st.container(key="card", gap="small"):
            card(now, outcome)


def strip(outcome: hlb.Worked) -> None:
    """The answer on two lines."""
    with st.container(key="strip", horizontal=True, vertical_alignment="center", gap="small"):
        total = f" · {outcome.emulsifier_pct:.3g} %" if outcome.emulsifiers else ""
        st.html(
            f'<div class="strip"><b>{safe(answer_words.headline(outcome) + total)}</b>'
            f"<small>{safe(answer_words.in_brief(outcome) or outcome.reason)}</small></div>",
            width="stretch",
        )
        st.checkbox("show all", key="strip_open")


def card(now: FormulaDraft, outcome: hlb.Worked) -> None:
    """What is judged, by which rule, and what follows."""
    pending = f"Still open: {', '.join(outcome.pending)}." if outcome.pending else ""
    drawn = axis(outcome)
    made = {name: FORMULA_FIGURES[name](outcome) for name in FIGURES}
    st.html(
        f'<div class="answer"><p class="who">{safe(answer_words.whose(outcome))}</p>'
        f'<h2 role="status" class="verdict-line">{safe(answer_words.headline(outcome))}</h2>'
        f'<p class="doubt">{safe(answer_words.doubt(outcome))}{mark("verdict", made)}</p>'
        + (f'<p class="doubt">{safe(pending)}</p>' if pending else "")
        + (f'<p class="doubt">{safe(outcome.choice)}</p>' if outcome.choice else "")
        + ("" if drawn is None else axis_html(drawn, axis_words(outcome), made))
        + grams_html(outcome, made)
        + f"{behind(made)}</div>"
    )
    weighs_better(weighing_offers(outcome), "card", lambda offer: now.put(offer.formula))
    proposal(now, outcome)
    if outcome.verdict.beside is not None:
        beside(outcome.verdict.beside)
    mind(now)


def axis_html(drawn: Axis, words: str, made: Mapping[str, Working | None]) -> str:
    """The axis as elements of the page; pointing at a mark shows its figures, beside it stands how."""
    window = f'style="left:{drawn.low}%;width:{drawn.width}%" title="{safe(drawn.window)}"'
    edge, place = drawn.words
    rows = "".join(row_html(row, f"{edge}:{place}%") for row in drawn.rows)
    ticks = "".join(f'<i style="left:{at}%">{safe(text)}</i>' for text, at in drawn.ticks)
    asked, brought = mark("required HLB", made), mark("HLB of the blend", made)
    return (
        f'<div class="axis"><div role="img" aria-label="{safe(words)}"><div class="plane">'
        f'<div class="window" {window}></div>'
        f'{rows}</div><div class="scale">{ticks}<b>HLB</b></div></div><div>{asked}{brought}</div></div>'
    )


def row_html(row: AxisRow, side: str) -> str:
    """One figure with its range and words."""
    return (
        f'<div class="row {row.side}" title="{safe(row.says)}">'
        f'<div class="range" style="left:{row.low}%;width:{row.width}%"></div>'
        f'<div class="value" style="left:{row.at}%"></div><span style="{side}">{safe(row.text)}</span></div>'
    )


def grams_html(outcome: hlb.Worked, figures: Mapping[str, Working | None]) -> str:
    """The emulsifiers as the scale shows them."""
    if not outcome.emulsifiers:
        return ""
    made = hlb.tables.blend_table(outcome)
    aims = outcome.formula.aims
    where = f"in {aims.batch.text}, scale {aims.scales.text}" if outcome.weighed else "emulsifier"
    lines = "".join(
        f'<tr><th scope="row">{safe(r.emulsifier)}</th>'
        f'<td class="number">{"" if str(r.grams) == "nan" else safe(f"{r.grams:.9g} g")}</td>'
        f'<td class="number">{safe(f"{r.pct_of_formula:.2f} %")}</td></tr>'
        for r in made.itertuples()
    )
    held = outcome.weighed
    dose = (
        ""
        if outcome.dose is None
        else f'<p class="doubt">{safe(outcome.dose.title)}: {safe(outcome.dose.figure)}.'
        f"{mark('dose', figures)}</p>"
    )
    weighed = (
        f'<p class="doubt">{safe(answer_words.weighed_words(held))}'
        f"{mark('HLB as weighed', figures, of='grams')}</p>"
        if held is not None and outcome.blend is not None
        else ""
    )
    return (
        f'<table class="grams"><thead><tr><th scope="col">{safe(where)}{mark("grams", figures)}</th>'
        f'<th scope="col" class="number">{safe(headed("grams"))}</th>'
        '<th scope="col" class="number">of the formula</th>'
        "</tr></thead>"
        f"<tbody>{lines}</tbody></table>{weighed}{dose}"
    )


def proposal(now: FormulaDraft, outcome: hlb.Worked) -> None:
    """What the tool would take, behind one press, with what it would change."""
    if outcome.solved is not None:
        st.button(
            "Write these amounts into the list", key="card_take", on_click=take, args=(now, outcome.made)
        )
        return
    if outcome.required is None or outcome.product.role == "none":
        return
    if outcome.emulsifiers and not st.toggle("See what the tool would propose", key="card_see"):
        return
    made = proposed(now.formula)
    if made is None:
        st.html(f'<p class="told">Nothing is proposed. {safe(no_proposal_words(outcome))}</p>')
        return
    change = answer_words.proposal_words(outcome)
    said = f"{answer_words.headline(made)}: {change}. In grams {answer_words.in_brief(made)}."
    lead = safe("The tool would take: " if not outcome.emulsifiers else "")
    figures = {"proposal": blend_figure(made)}
    st.html(f'<p class="told">{lead}{safe(said)}{mark("proposal", figures)}</p>{behind(figures)}')
    st.button("Take the proposal", key="card_take", on_click=take, args=(now, made.formula))
    if said := answer_words.shelf_words(outcome):
        st.html(f'<p class="told">{safe(said)}</p>')


def take(now: FormulaDraft, formula: hlb.Formula) -> None:
    """The amounts that were found stand in the list from now on."""
    now.put(replace(formula, aims=replace(formula.aims, goal="")))


def beside(pair: object) -> None:
    """The matched pair at the same dose, where the rinse test decides."""
    listed = ", ".join(f"{pct:.2f} % {name}" for name, pct in pair.blend.amounts.items())
    st.html(
        '<details class="finding note"><summary><span class="tag note">note</span> The matched pair beside it'
        f"</summary><div>{safe(listed)}.<br>{safe(pair.price)}</div></details>"
    )


def mind(now: FormulaDraft) -> None:
    """What to mind: a line each, the worst first; what is new since the last edit is marked."""
    held = ranked_findings(now.formula)
    every = (*held.first, *held.more, *held.always)
    if every != now.now_seen:
        now.seen, now.now_seen = now.now_seen, every
    new = () if now.seen is None else changes(now.seen, every).new
    gone = () if now.seen is None else changes(now.seen, every).gone
    moved = () if now.seen is None else changes(now.seen, every).moved
    fresh = tuple(f for f in new if f.title not in moved)
    lost = [f.title for f in gone if f.title not in moved]
    first = (*[f for f in held.first if f in fresh], *[f for f in held.first if f not in fresh])
    ordered = worst_first(first)
    shown, behind = ordered[:SHOWN], (*ordered[SHOWN:], *held.more)
    parts = [findings_html(shown, fresh)]
    if lost:
        parts.append(f'<p class="told">Gone with the last edit: {safe(", ".join(lost))}.</p>')
    materials = [f for f in behind if f.title.startswith(MATERIAL)]
    rest = [f for f in behind if f not in materials]
    if rest:
        count = f"{len(rest)} more" if shown else f"{len(rest)} to know, nothing pressing"
        parts.append(
            f'<details class="more"><summary>{count}</summary>{findings_html(rest, fresh)}</details>'
        )
    if materials:
        about = ", ".join(f.title.removeprefix(MATERIAL) for f in materials)
        parts.append(
            f'<details class="more"><summary>About {safe(about)}</summary>'
            f"{findings_html(materials, fresh)}</details>"
        )
    if held.always:
        named = ", ".join(f.title[:1].lower() + f.title[1:] for f in held.always)
        parts.append(
            f'<details class="finding note"><summary><span class="tag always">always</span> '
            f"{safe(named)}</summary><div>{findings_html(held.always)}</div></details>"
        )
    if any(parts):
        st.html(f'<div class="findings"><h2 class="mind-title">What to mind</h2>{"".join(parts)}</div>')
