"""Repeated pieces of the pages: escaped text, tables, findings, figures, fields."""

from __future__ import annotations

import base64
import html
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any

import streamlit as st
from state import learn, library, units

import hlbcore as hlb
from hlbcore.findings import worst_first
from hlbcore.lessons import lesson_texts
from hlbcore.lessons.of_findings import lesson_of

LOOK = f"<style>{Path(__file__).with_name('look.css').read_text('utf-8')}</style>"


HAS_FIGURE = re.compile(r"\d")
"""Only figures are read in other units."""

NO_WIDTH = "\u2060"
"""A sign that is not seen and breaks no line."""

PAUSE = "2s"
"""What is typed is taken after this pause too, so that it outlives a reload without Enter."""


def plain(text: object) -> str:
    """Text with every sign that could act as markup made plain, its figures in the units of who reads it."""
    return named(as_read(text))


def as_read(text: object) -> str:
    """Text with its figures in the units of who reads it."""
    said = str(text)
    return units().text(said) if HAS_FIGURE.search(said) else said  # the session is slow to ask


def named(text: str) -> str:
    """A name as it was typed, with every sign that could act as markup made plain."""
    # what looks like an address becomes a link after all signs are read: a sign of no width parts it
    parted = re.sub(r"(?i)(\bhttps?://|\bwww(?=\.)|(?=@))", f"\\1{NO_WIDTH}", text)
    shown = re.sub(r"([\\`*_\[\]<>$~&]|:(?=\S))", r"\\\1", parted)
    return re.sub(r"^(\s*|\s*\d+)([#+\-.)])", r"\1\\\2", shown, flags=re.MULTILINE)


def safe(text: object) -> str:
    """Text for use inside HTML, its figures in the units of who reads it."""
    return html.escape(as_read(text))


def verbatim(text: object) -> str:
    """Text for use inside HTML as it stands: what was typed, and where a source prints it."""
    return html.escape(str(text))


def as_summed(text: object) -> str:
    """A step of a working: in grams and °C, since its numbers are."""
    said = str(text)
    return html.escape(units().as_computed.text(said) if HAS_FIGURE.search(said) else said)


def headed(label: str) -> str:
    """A label with the units of who reads it: `[g]`, `[°C]` and `grams`."""
    held = units()
    if held.as_kept:
        return label
    label = label.replace("°C", held.temperature).replace("[g]", f"[{held.mass_head()}]")
    if label == "grams":
        return held.mass_head(long=True)
    return label[:-1] + held.mass_head() if label == "g" or label.endswith(" g") else label


def unit_of(label: str) -> str:
    """What the numbers below a head are in; blank where it names no unit."""
    if "°C" in label:
        return "°C"
    return "g" if label in ("g", "grams") or "[g]" in label or label.endswith(" g") else ""


def vega(chart: Any, *, alt: str, **how: Any) -> Any:
    """A chart that the browser draws, with its numbers as text."""
    return st.vega_lite_chart(charted(chart), alt=units().text(alt), **how)


def charted(chart: Any) -> Any:
    """A chart with its words and numbers as this user reads them."""
    held = units()
    if held.as_kept:
        return chart
    locale = {"decimal": held.decimal, "thousands": "\u202f", "grouping": [3], "currency": ["", ""]}
    said = in_words(chart, held.text)
    if held.temperature != "°C":
        said = in_fahrenheit(said)
    return {**said, "config": {**said.get("config", {}), "locale": {"number": locale}}}


def in_fahrenheit(held: Any) -> Any:
    """The axes in °C with degrees Fahrenheit at their ticks; the browser does the sum."""
    if isinstance(held, list | tuple):
        return [in_fahrenheit(v) for v in held]
    if not isinstance(held, Mapping):
        return held
    made = {k: in_fahrenheit(v) for k, v in held.items()}
    if "°C" in str(made.get("title", "")) and "field" not in made:  # what a mark tells stays as it is
        made |= {"title": made["title"].replace("°C", "°F"), "labelExpr": FAHRENHEIT_TICK}
    return made


def in_words(held: Any, how: Callable[[str], str], inside: bool = False) -> Any:
    """The texts of a chart's data said anew; names of fields and formats stay."""
    if isinstance(held, Mapping):
        return {k: in_words(v, how, inside or k == "values") for k, v in held.items()}
    if isinstance(held, list | tuple):
        return [in_words(v, how, inside) for v in held]
    return how(held) if inside and isinstance(held, str) else held


def as_typed(key: str, *, heat: bool = False, mass: bool = False) -> str:
    """What was typed in a field; its units are learned, and a plain number gets the one it is read in."""
    given = st.session_state[key] or ""
    learn(given, heat=heat)
    if heat or mass:
        given = units().typed_temperature(given) if heat else units().typed_mass(given)
        if given != st.session_state[key]:
            st.session_state[key] = given
    return given


def given_once(key: str, value: str) -> str:
    """What a field starts with; later what was typed and its unit stand there by themselves."""
    return "" if key in st.session_state else value


def field_error(errors: Mapping[str, str], key: str) -> None:
    """The sentence that belongs to a field, beside it."""
    if key in errors:
        st.markdown(f":material/error: **{plain(errors[key])}**")


def table(
    columns: Mapping[str, str], rows: Iterable[Sequence[Any]], numbers: Sequence[str] = (), says: str = ""
) -> None:
    """A table as people read it; `columns` gives heading and format, numbers stand right.

    `says` is its name for those who do not see it.
    """
    kinds = ["number" if name in numbers else "text" for name in columns]
    held, of = units(), [unit_of(name) for name in columns]
    heads = "".join(
        f'<th class="{kind}" scope="col">{safe(headed(name.strip()))}</th>' if name.strip() else "<td></td>"
        for name, kind in zip(columns, kinds, strict=True)
    )
    lines = []
    for row in rows:
        cells = []
        for value, form, kind, unit in zip(row, columns.values(), kinds, of, strict=True):
            blank = value is None or value == "" or str(value) == "nan"
            shown = "" if blank else format(value, form) if form else str(value)
            if unit or form:  # a number of its own, whose unit stands at the head
                shown = held.bare(shown, unit)
            cells.append(f'<td class="{kind}">{safe(shown)}</td>')
        lines.append(f"<tr>{''.join(cells)}</tr>")
    head = "" if not "".join(columns).strip() else f"<thead><tr>{heads}</tr></thead>"
    st.html(
        f'<div class="wide" tabindex="0" role="region" aria-label="{safe(says or "table")}">'
        f'<table class="plain">{head}<tbody>{"".join(lines)}</tbody></table></div>'
    )


@cache
def lesson_titles() -> dict[str, str]:
    """The lessons by key, as the page Learn calls them."""
    return {held.key: f"{n}. {held.title}" for n, held in enumerate(lesson_texts(), 1)}


def lesson_link(key: str) -> str:
    """The way to a lesson; blank where there is none of that key."""
    if key not in lesson_titles():
        return ""
    return f'<a href="learn?lesson={key}" target="_blank">Lesson {safe(lesson_titles()[key])}</a>'


def finding_line(f: hlb.Finding, tables: hlb.Library, new: bool = False) -> str:
    """One finding as a line that opens: tag, title and figure; detail, mend, rule and lesson below."""
    tag = f'<span class="tag {safe(f.level)}">{safe(f.level)}</span>'
    figure = f' <span class="at">{safe(f.figure)}</span>' if f.figure else ""
    fresh = ' <span class="tag new">new</span>' if new else ""
    inner = [safe(f.detail)] if f.detail else []
    if f.mend:
        inner.append(f"<b>What to do:</b> {safe(f.mend)}")
    if f.rule:
        inner.append(f"<small>Rule: {verbatim(tables.cite(f.rule))}</small>")
    if inner and (lesson := lesson_link(lesson_of(f))):
        inner.append(f"<small>{lesson}</small>")
    line = f"{tag} {safe(f.title)}{figure}{fresh}"
    if not inner:
        return f'<div class="finding {safe(f.level)}">{line}</div>'
    below = "<br>".join(inner)
    return f'<details class="finding {safe(f.level)}"><summary>{line}</summary><div>{below}</div></details>'


def findings_html(found: Iterable[hlb.Finding], new: Sequence[hlb.Finding] = ()) -> str:
    """Findings in the order given, a line each."""
    tables = library()
    return "".join(finding_line(f, tables, f in new) for f in found)


def findings(found: Iterable[hlb.Finding]) -> None:
    """Findings in the order given, each with its rule and mend behind it."""
    if shown := findings_html(found):
        st.html(f'<div class="findings">{shown}</div>')


def findings_by_level(found: Iterable[hlb.Finding]) -> None:
    """Stops and cautions in sight, notes one tap away."""
    ordered = worst_first(found)
    shown = findings_html(f for f in ordered if f.level != "note")
    notes = [f for f in ordered if f.level == "note"]
    if notes:
        shown += (
            f'<details class="more"><summary>Notes ({len(notes)})</summary>{findings_html(notes)}</details>'
        )
    if shown:
        st.html(f'<div class="findings">{shown}</div>')


def verdict_box(word: str, sentence: str) -> None:
    """The verdict: word first, told apart by words and border, not by colour alone."""
    look = word if word in ("inside", "outside") else "other"
    st.html(
        f'<div class="verdict {look}" role="status"><b>{safe(word.capitalize())}</b><br>'
        f"{safe(sentence)}</div>"
    )


def steps(made: Iterable[hlb.lessons.Working]) -> None:
    """Workings as numbered steps, each with its sum."""
    for one in made:
        items = "".join(
            f"<li>{as_summed(s.text)}{f'<span><b>{as_summed(s.sum)}</b></span>' if s.sum else ''}</li>"
            for s in one.steps
        )
        said = "".join(f"<p>{safe(library().cite(remark))}</p>" for remark in one.remarks)
        st.html(f'<div class="steps"><b>{safe(one.title)}</b><ol>{items}</ol>{said}</div>')


def figure(svg: bytes, words: str, name: str, png: Callable[[], bytes]) -> None:
    """A figure with its numbers as text and its downloads."""
    data = base64.b64encode(svg).decode()
    st.html(f'<img class="figure" alt="{safe(words)}" src="data:image/svg+xml;base64,{data}">')
    st.html(f'<p class="told">{safe(words)}</p>')
    with st.container(horizontal=True):
        st.download_button(
            f"Figure {name} as SVG",
            svg,
            f"{name}.svg",
            "image/svg+xml",
            key=f"{name}_svg",
            on_click="ignore",
            help="This figure as a drawing that scales",
        )
        st.download_button(
            f"Figure {name} as PNG",
            png,
            f"{name}.png",
            "image/png",
            key=f"{name}_png",
            on_click="ignore",
            help="This figure as a picture",
        )


FAHRENHEIT_TICK = "format(1.8 * datum.value + 32, '.0f')"

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
