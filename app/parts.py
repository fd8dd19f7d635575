"""Repeated pieces of the pages: escaped text, tables, findings, figures, fields."""

from __future__ import annotations

import base64
import html
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

import streamlit as st
from state import library

import hlbcore as hlb
from hlbcore.errors import clipped

LOOK = """
<style>
.verdict {border: 2px solid #222; border-left-width: 14px; border-radius: 4px;
  padding: .6rem .9rem; background: #fff; color: #222}
.verdict b {font-size: 1.25rem}
.verdict.inside {border-color: #0072B2}
.verdict.doubtful {border-style: dashed; border-color: #B37700}
.verdict.outside {border-style: dotted; border-color: #B34700}
.verdict.other {border-color: #4D4D4D}
.wide {overflow-x: auto}
.plain {border-collapse: collapse; width: 100%; font-size: .9rem}
.plain th {text-align: left; border-bottom: 2px solid #888; padding: .25rem .4rem; font-weight: 600}
.plain td {border-bottom: 1px solid #ccc; padding: .25rem .4rem; vertical-align: top;
  overflow-wrap: break-word}
.plain td.number, .plain th.number {text-align: right; white-space: nowrap}
.finding {border-left: 4px solid #888; padding: .2rem .7rem; margin: .45rem 0}
.finding.caution {border-left: 8px double #B37700} .finding.stop {border-left: 10px solid #A00000}
.finding {overflow-wrap: anywhere}
.figure {max-width: 620px; width: 100%; background: #fff}
.steps {margin: .3rem 0; font-size: .9rem; overflow-wrap: anywhere}
.steps ol {margin: .3rem 0; padding-left: 1.6rem}
.steps li {margin-bottom: .35rem}
.steps b {font-weight: 600} .steps span {display: block}
</style>
"""


NO_WIDTH = "\u2060"
"""A sign that is not seen and breaks no line."""

PAUSE = "2s"
"""What is typed is taken after this pause too, so that it outlives a reload without Enter."""


def plain(text: object) -> str:
    """Text with every sign that could act as markup made plain."""
    # what looks like an address becomes a link after all signs are read: a sign of no width parts it
    parted = re.sub(r"(?i)(\bhttps?://|\bwww(?=\.)|(?=@))", f"\\1{NO_WIDTH}", str(text))
    shown = re.sub(r"([\\`*_\[\]<>$~&]|:(?=\S))", r"\\\1", parted)
    return re.sub(r"^(\s*|\s*\d+)([#+\-.)])", r"\1\\\2", shown, flags=re.MULTILINE)


def also(name: str) -> str:
    """The name at the bench, where another of its names was typed."""
    try:
        common = library().find(name).common_name
    except hlb.UnknownIngredient:
        return ""
    return "" if common.casefold() == name.strip().casefold() else f" = {plain(common)}"


def safe(text: object) -> str:
    """Text for use inside HTML."""
    return html.escape(str(text))


def field_error(errors: Mapping[str, str], key: str) -> None:
    """The sentence that belongs to a field, beside it."""
    if key in errors:
        st.markdown(f":material/error: **{plain(errors[key])}**")


def table(columns: Mapping[str, str], rows: Iterable[Sequence[Any]], numbers: Sequence[str] = ()) -> None:
    """A table as people read it; `columns` gives heading and format, numbers stand right."""
    kinds = ["number" if name in numbers else "text" for name in columns]
    heads = "".join(
        f'<th class="{kind}">{safe(name)}</th>' for name, kind in zip(columns, kinds, strict=True)
    )
    lines = []
    for row in rows:
        cells = []
        for value, form, kind in zip(row, columns.values(), kinds, strict=True):
            blank = value is None or value == "" or str(value) == "nan"
            shown = "" if blank else format(value, form) if form else str(value)
            cells.append(f'<td class="{kind}">{safe(shown)}</td>')
        lines.append(f"<tr>{''.join(cells)}</tr>")
    st.html(f'<div class="wide"><table class="plain"><tr>{heads}</tr>{"".join(lines)}</table></div>')


def findings(found: Iterable[hlb.Finding]) -> None:
    """Findings in the order given, each with its rule and mend."""
    boxes = []
    tables = library()
    for f in found:
        lines = [f"<b>{safe(f.level.capitalize())}: {safe(f.title)}</b>", safe(f.detail)]
        if f.figure:
            lines.append(f"<i>{safe(f.figure)}</i>")
        if f.mend:
            lines.append(f"What to do: {safe(f.mend)}")
        if f.rule:
            lines.append(f"<small>Rule: {safe(tables.cite(f.rule))}</small>")
        shown = "<br>".join(line for line in lines if line)
        boxes.append(f'<div class="finding {safe(f.level)}">{shown}</div>')
    if boxes:
        st.html("".join(boxes))


def findings_by_level(found: Iterable[hlb.Finding]) -> None:
    """Stops and cautions in sight, notes one tap away."""
    ordered = hlb.worst_first(found)
    findings(f for f in ordered if f.level != "note")
    notes = [f for f in ordered if f.level == "note"]
    if notes:
        with st.expander(f"Notes ({len(notes)})"):
            findings(notes)


def verdict_box(word: str, sentence: str) -> None:
    """The verdict: word first, told apart by words and border, not by colour alone."""
    look = word if word in ("inside", "doubtful", "outside") else "other"
    st.html(
        f'<div class="verdict {look}" role="status"><b>{safe(word.capitalize())}</b><br>'
        f"{safe(sentence)}</div>"
    )


def steps(made: Iterable[hlb.lessons.Working]) -> None:
    """Workings as numbered steps, each with its sum."""
    for one in made:
        items = "".join(
            f"<li>{safe(s.text)}{f'<span><b>{safe(s.sum)}</b></span>' if s.sum else ''}</li>"
            for s in one.steps
        )
        said = "".join(f"<p>{safe(library().cite(remark))}</p>" for remark in one.remarks)
        st.html(f'<div class="steps"><b>{safe(one.title)}</b><ol>{items}</ol>{said}</div>')


def figure(svg: bytes, words: str, name: str, png: Callable[[], bytes]) -> None:
    """A figure with its numbers as text and its downloads."""
    data = base64.b64encode(svg).decode()
    st.html(f'<img class="figure" alt="{safe(words)}" src="data:image/svg+xml;base64,{data}">')
    st.caption(plain(words))
    with st.container(horizontal=True):
        st.download_button(
            "SVG",
            svg,
            f"{name}.svg",
            "image/svg+xml",
            key=f"{name}_svg",
            on_click="ignore",
            help="This figure as a drawing that scales",
        )
        st.download_button(
            "PNG",
            png,
            f"{name}.png",
            "image/png",
            key=f"{name}_png",
            on_click="ignore",
            help="This figure as a picture",
        )


def name_with_hlb(name: str) -> str:
    """An emulsifier's name with its HLB, as a label."""
    try:
        found = library().emulsifier(name)
    except hlb.HlbError:
        return plain(clipped(name))
    return f"{plain(name)} · HLB {plain(repr(found.hlb))}" if found.hlb else f"{plain(name)} · no HLB"


BY_TABLES = {hlb.Library: lambda tables: tables.digest}
"""How a cache tells libraries apart."""


@st.cache_data(max_entries=12, hash_funcs=BY_TABLES, show_spinner=False)
def picker_options(side: str, tables: hlb.Library) -> dict[str, str]:
    """Names to pick from: each common name with all its other names, so that any can be typed."""
    held = {"oil": tables.oils, "emulsifier": tables.emulsifiers}.get(side, tables)
    return {
        i.common_name: " · ".join(dict.fromkeys(n for n in (i.common_name, i.inci, *i.aliases) if n))
        for i in held
    }
