"""Readers of the forms that earlier versions wrote: formulas of schema 1, and pages as typed.

They stay for ever; each gives a formula of today with every figure as it stood.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from hlbcore._numbers import read_amount
from hlbcore.errors import HlbError, UnknownIngredient
from hlbcore.estimate import Estimate
from hlbcore.formula.aims import AS_TYPED, Aims
from hlbcore.formula.facts import Facts
from hlbcore.formula.formula import Formula
from hlbcore.formula.lines import PHASES, Composite, CompositePart, Line, Portion
from hlbcore.formula.named import blends_text, portions_text
from hlbcore.library import load_library


def _known(raw: object, *names: str) -> dict[str, Any]:
    """A mapping with these names only."""
    if not isinstance(raw, Mapping):
        raise ValueError("a part of it is no list of fields")
    if odd := sorted(set(raw) - set(names)):
        raise ValueError(f"'{odd[0]}' is not a field of it")
    return dict(raw)


LINE_1 = ("name", "pct", "phase", "role", "active_pct", "portion", "note", "own", "supplier")
FORMULA_1 = ("name", "product_type", "lines", "phases", "portions", "composites", "facts", "note")


def old_formula(raw: dict[str, Any]) -> Formula:
    """A formula of schema 1: figures as numbers."""
    held = _known(raw, "schema", "version", *FORMULA_1)
    facts = dict(held.get("facts", {}))
    facts["fragrance_allergens"] = tuple((n, p) for n, p in facts.get("fragrance_allergens", ()))
    return Formula(
        held.get("name", ""),
        held["product_type"],
        [_line_1(x) for x in held.get("lines", ())],
        held.get("phases", PHASES),
        # as texts: one that no text can say, such as a blend without parts, is kept with its sentence
        portions_text(Portion(**_known(p, "name", "share_pct")) for p in held.get("portions", ())),
        blends_text(_composite(c) for c in held.get("composites", ())),
        Facts(**facts),
        note=held.get("note", ""),
    )


def _composite(raw: object) -> Composite:
    held = _known(raw, "name", "parts")
    parts = tuple(CompositePart(**_known(p, "name", "pct", "low", "high")) for p in held["parts"])
    return Composite(held["name"], parts)


def _line_1(raw: object) -> Line:
    held = _known(raw, *LINE_1)
    own, supplier = held.get("own"), held.get("supplier")
    if own is not None:
        figure = _known(own, "value", "low", "high", "sources", "grade", "alternatives")
        own = Estimate(figure["value"], figure["low"], figure["high"])
    rate: dict[str, Any] = {}
    if supplier is not None:
        known = _known(supplier, "low_pct", "high_pct", "oil_limit_pct")
        rate["supplier_rate"] = (known["low_pct"], known["high_pct"])
        rate["oil_limit"] = known.get("oil_limit_pct")
    active = held.get("active_pct", 100.0)
    return Line(
        held["name"],
        held["pct"],
        phase=held.get("phase", ""),
        counts=held.get("role", "auto"),
        active=None if active == 100 else active,
        portion=held.get("portion"),
        note=held.get("note", ""),
        own=own,
        **rate,
    )


GRAMS = "grams"
OIL_FIELDS = ("name", "amount", "side", "own", "phase", "note")
EMULSIFIER_FIELDS = ("name", "now", "low", "high", "price", "hlb", "rate", "oil_limit", "phase", "note")
OTHER_FIELDS = ("name", "amount", "phase", "active", "portion", "note")
LISTS = ("lines", "emulsifiers", "others")
TEXTS = {
    "title": "",
    "product": "o/w cream",
    "unit": "% of the formula",
    "objective": "closest",
    "total": "3 to 6",
    "window": "1",
    "batch": "500 g",
    "scale": "0.1 g",
    "smallest": "",
    "portions": "",
    "blends": "",
    "note": "",
}  # fields of a page that hold one text, with what they were where they are left out
FLAGS = {"count_fragrance": True, "ionics": False}


def old_sheet(raw: object) -> Formula:
    """A page as typed: oils, emulsifiers and the rest in three lists."""
    held = _known(raw, *TEXTS, *FLAGS, *LISTS, "facts", "phases")
    texts = {name: _text(held.get(name, blank), name) for name, blank in TEXTS.items()}
    flags = {name: held.get(name, default) for name, default in FLAGS.items()}
    if not all(isinstance(flag, bool) for flag in flags.values()):
        raise ValueError("count_fragrance and ionics are true or false")
    in_grams = texts["unit"] == GRAMS
    if not in_grams and texts["unit"] != TEXTS["unit"]:
        raise ValueError("its unit is neither % nor grams")
    lines = [_oil(_texts(x, OIL_FIELDS)) for x in held.get("lines", ())]
    lines += [_emulsifier(_texts(x, EMULSIFIER_FIELDS), in_grams) for x in held.get("emulsifiers", ())]
    lines += [_other(_texts(x, OTHER_FIELDS), in_grams) for x in held.get("others", ())]
    goal = texts["objective"]
    aims = Aims(
        AS_TYPED if goal == "check my amounts" else goal,
        texts["total"],
        texts["window"],
        texts["batch"],
        texts["scale"],
        texts["smallest"],
        fragrance_counts=flags["count_fragrance"],
        ionics=flags["ionics"],
        unit="g" if in_grams else "%",
    )
    named = held.get("phases", PHASES)
    if isinstance(named, str):
        raise ValueError("'phases' is no list")
    phases = tuple(_text(p, "phases") for p in named)
    phases += tuple(dict.fromkeys(x.phase for x in lines if x.phase and x.phase not in phases))
    return Formula(
        texts["title"],
        texts["product"],
        lines,
        phases,
        texts["portions"],
        texts["blends"],
        tuple((_text(n, "facts"), _text(v, "facts")) for n, v in held.get("facts", ())),
        aims,
        texts["note"],
    )


def _text(value: object, name: str) -> str:
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise ValueError(f"'{name}' is not text")
    return str(value)


def _texts(raw: object, names: tuple[str, ...]) -> dict[str, str]:
    return {name: _text(value, name) for name, value in _known(raw, *names).items()}


def _oil(x: dict[str, str]) -> Line:
    name, phase = x["name"], x.get("phase", "oil")
    counts = x.get("side", "").strip() or "auto"
    if counts not in ("auto", "oil", "emulsifier"):
        raise ValueError(f"'{counts}' is no side")
    if counts == "auto" and phase != "oil" and not _is_known(name):
        counts = "oil"  # it stood in the list of oils
    return Line(
        name, x.get("amount", ""), phase=phase, counts=counts, own=x.get("own", ""), note=x.get("note", "")
    )


def _emulsifier(x: dict[str, str], in_grams: bool) -> Line:
    return Line(
        x["name"],
        _in_pct(x.get("now", ""), in_grams),
        phase=x.get("phase", "oil"),
        counts="emulsifier",
        own=x.get("hlb", ""),
        low=x.get("low", ""),
        high=x.get("high", ""),
        price=x.get("price", ""),
        supplier_rate=x.get("rate", ""),
        oil_limit=x.get("oil_limit", ""),
        note=x.get("note", ""),
    )


def _other(x: dict[str, str], in_grams: bool) -> Line:
    return Line(
        x["name"],
        _in_pct(x.get("amount", ""), in_grams),
        phase=x.get("phase", "water"),
        active=x.get("active", ""),
        portion=x.get("portion", "").strip() or None,
        note=x.get("note", ""),
    )


def _in_pct(text: str, in_grams: bool) -> str:
    """A plain number meant % in these two lists, also where the oils were in grams."""
    if not in_grams:
        return text
    try:
        plain = read_amount(text, "amount").unit == ""
    except HlbError:
        return text
    return f"{text.strip()} %" if plain else text


def _is_known(name: str) -> bool:
    try:
        load_library().find(name)
    except UnknownIngredient:
        return False
    return True
