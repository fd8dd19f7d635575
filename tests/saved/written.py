"""How the saved files of today's form came to be, and the figures that follow from all of them.

``python tests/saved/written.py`` writes those that are missing; one that stands is never written
again, for it must be read for ever. Those of form 1, and the workspaces of form 2 without a name
behind the number, were written by versions whose code is gone. A new form gets files of a new name
beside them. Where a figure of the tables is corrected, look at what moved before it is taken over.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import hlbcore as hlb
from hlbcore import Aims, Estimate, Formula, Line
from hlbcore.checks import products_of
from hlbcore.kept.figures import kept_figures
from hlbcore.kept.kinds import LADDER, KeptLadder
from hlbcore.kept.versions import Version
from hlbcore.ladder.sheet import LadderSheet

HERE = Path(__file__).parent
BEFORE = HERE / "figures_before.json"
"""Figures of the files of form 1 and of workspace_v2, by the version that wrote them."""
FIGURES = HERE / "figures_v2.json"
"""Figures of the files of schema 2, by the version that wrote them."""

FORMULAS: dict[str, Formula] = {
    "every_field": Formula(
        "Brook cream, « lot 4 »",
        "o/w cream",
        (
            Line("water", "58,2 %", phase="first water", note="boiled"),
            Line("sunflower oil", "60 g", phase="oil", note="cold pressed"),
            Line("meadow fat", "4", phase="oil", own="9 (8 to 14)"),
            Line("marsh butter", "3,5", phase="oil", own="butter"),
            Line("beeswax", "1.5", phase="oil", own="reading 9"),
            Line("cetyl alcohol", "1", phase="oil", counts="oil"),
            Line("jojoba oil", "1", phase="cool-down", own=6.5),
            Line("house wax", "3", phase="oil", counts="emulsifier", supplier_rate="2 to 4", oil_limit="30"),
            Line("sorbitan stearate", "2", phase="oil", low="1", high="4", price="14", own="4.5 to 5"),
            Line("polysorbate 60", "", phase="first water", low="0.5", high="5", price="11", active="97"),
            Line("reed extract", "2", phase="cool-down", counts="humectant"),
            Line("glycerin", "3", phase="first water", active="86"),
            Line("phenoxyethanol", "0.9", phase="cool-down"),
            Line("lavender oil", "0.4", phase="cool-down", portion="dusk"),
            Line("iron oxides", "0.1", phase="cool-down", portion="dawn"),
            Line("river salt", "lots", phase="cool-down"),
        ),
        phases=("first water", "oil", "cool-down"),
        portions="dawn 45, dusk 55",
        blends="house wax: cetearyl alcohol 78 (70 to 85), ceteareth-20 22 (15 to 30)",
        facts=(
            ("ph", "5.4"),
            ("area", "face"),
            ("cleansing", "no"),
            ("hottest_c", "72"),
            ("cool_down_c", "38"),
            ("fragrance_max_pct", "0.8"),
            ("fragrance_max_c", "45"),
            ("fragrance_allergens", "linalool 30, limonene 2.5"),
            ("dioxane_ppm", "3"),
        ),
        aims=Aims(
            "most tolerant", "3 to 7", "1.5", "1 kg", "0.01 g", "0.2", fragrance_counts=False, ionics=True
        ),
        note="Stirred for 5 min at 70 °C.\nHeld a month.",
    ),
    "plain": Formula(
        "Plain lotion",
        "light o/w lotion",
        (
            Line("water", 81.6, phase="water"),
            Line("soybean oil", 12, phase="oil", own=7.2),
            Line("glyceryl stearate", 0.5, phase="oil", counts="oil"),
            Line("sorbitan oleate", 2.1, phase="oil"),
            Line("polysorbate 80", 0.9, phase="oil", active=97),
            Line(
                "phenoxyethanol, diluted", 0.9, phase="cool-down", note='said "mild"', counts="preservative"
            ),
            Line("glycerin", 2, phase="water"),
        ),
    ),
    "grams": Formula(
        "Lotion in grams",
        "light o/w lotion",
        (
            Line("soybean oil", "20", phase="oil"),
            Line("cocoa butter", "3 %", phase="oil"),
            Line("sorbitan oleate", phase="oil"),
            Line("polysorbate 80", phase="oil"),
            Line("water", "163", phase="water"),
        ),
        aims=Aims(dose="2 to 4", batch="200 g", unit="g"),
    ),
    "jar": Formula(
        "Scrub with what was measured",
        "wash-off scrub",
        (
            Line("sucrose", "60", phase="solids"),
            Line("sunflower oil", "25", phase="oil"),
            Line("shea butter", "12", phase="oil"),
            Line("polysorbate 80", "3", phase="oil"),
        ),
        facts=(
            ("grain_um", "0.5 mm"),
            ("grain_bulk_g", "87"),
            ("yield_pa", "0.4"),
            ("viscosity_mpas", "60"),
            ("outer_phase", "oil"),
            ("solid_fat", "shea butter: N20 45, N25 38,5, N30 22"),
        ),
    ),
}


def recorded_ladder() -> hlb.Trial:
    ladder = hlb.plan_ladder(
        "sorbitan oleate",
        "polysorbate 80",
        centre=9,
        half_width=3,
        steps=7,
        oil_phase={"soybean oil": 16, "beeswax": 2},
        emulsifier_pct=3.5,
        vial_mass_g=40,
        seed=7,
    )
    scores = ((1, 1), (2, 2), (3, 4), (4, 4.5), (5, 4), (6, 2), (7, 1))
    seen = [hlb.Observation(v, 24, "score", s, temperature_c=22, note="") for v, s in scores]
    seen += [hlb.Observation(v, 24, "drop in water", 1) for v in (3, 4, 5)]
    seen.append(hlb.Observation(7, 90, "broken", None, note="cracked"))
    return hlb.Trial(
        ladder,
        name="Soy and wax ladder",
        made_on="2026-05-04",
        note="stirred by hand",
        weighed=((2, (("polysorbate 80", 0.36),)),),
        observations=tuple(seen),
    )


def keep(store: hlb.Store) -> None:
    """Several formulas with several versions, a trial, own ingredients and figures, settings."""
    store.set_setting("who", "bench one")
    overlay = (
        hlb.OwnIngredient("meadow fat", "butter", "Pratum Inventum Butter", "pressed", ("hay fat",)),
        hlb.OwnReading("meadow fat", 9.0, 8.0, 11.0, kind="butter"),
        hlb.OwnReading(
            "soybean oil",
            7.2,
            6.7,
            7.7,
            half_rung=0.5,
            pair="sorbitan oleate with polysorbate 80",
            method="bench ladder",
            dose_pct=3.5,
            temperature_c=22.0,
            on="2026-05-05",
            trial="Soy and wax ladder",
        ),
        hlb.OwnReading("river ester", 12.0, quantity="HLB", kind="emulsifier"),
    )
    store.add_own(*overlay, who="bench one")
    (gone,) = store.add_own(hlb.OwnReading("beeswax", 10.0), who="bench two")
    store.withdraw_own(gone)
    library = hlb.load_library(store.overlay())

    def kept(formula: Formula, on: Version | None = None, **words: str) -> Version:
        figures = kept_figures(hlb.work_out(formula, library))
        return store.save(formula, on=on, figures=figures, digest=library.digest, **words)

    cream = FORMULAS["every_field"]
    first = kept(cream, who="bench one")
    second = kept(replace(cream, aims=replace(cream.aims, dose="5")), first, who="bench two", why="thinner")
    store.point_at(first, on=second)
    kept(replace(cream, aims=replace(cream.aims, window="1")), first, who="bench one")
    old = kept(FORMULAS["grams"])
    store.put_away(old.work)
    typed = LadderSheet(steps="7", name="Soy and wax ladder")
    planned = store.save(KeptLadder(replace(recorded_ladder(), observations=()), typed), who="bench one")
    store.save(KeptLadder(recorded_ladder(), typed), on=planned, who="bench two")


def rounded(value: Any) -> Any:
    """Figures to nine places, so that the file does not hang on the last bit."""
    if isinstance(value, float):
        return round(value, 9)
    if isinstance(value, dict):
        return {k: rounded(v) for k, v in value.items()}
    if isinstance(value, tuple | list):
        return [rounded(v) for v in value]
    return value


def estimate(held: Estimate | None) -> list[float] | None:
    return None if held is None else [held.value, held.low, held.high]


def figures_of_page(formula: Formula, library: hlb.Library | None = None) -> dict[str, Any]:
    """What the page shows: required HLB, blend, amounts [% of formula], grams, what waits."""
    found = hlb.work_out(formula, library)
    return rounded(
        {
            "required": estimate(found.target),
            "oil phase": found.required.mass if found.required else None,
            "blend": found.blend.value if found.blend else None,
            "verdict": found.verdict.word,
            "amounts": dict(found.amounts),
            "total": sum(found.amounts.values()),
            "grams": list(found.weighed.grams) if found.weighed else None,
            "pending": list(found.pending),
        }
    )


def figures_of_formula(formula: Formula) -> dict[str, Any]:
    """What the checks go by, for each finished product."""
    products = {}
    for product in products_of(hlb.work_out(formula)):
        products[product.made.name] = {
            "required": estimate(product.target),
            "oil phase": product.required.mass if product.required else None,
            "emulsifiers": product.emulsifier_pct,
            "fat base": product.fat_base_pct,
            "blend": [] if (b := product.verdict.blend) is None else [f"HLB {b.value:.1f}"],
        }
    return rounded({"total": formula.total_pct, "products": products})


def figures_of_store(store: hlb.Store) -> dict[str, Any]:
    library = hlb.load_library(store.overlay())
    held = {}
    for removed in (False, True):
        for uid in store.formulas(removed=removed)["uid"]:
            for version in store.history(uid)["uid"]:
                found = store.version(version)
                held[f"{found.body.name}, version {found.number}"] = {
                    "then": rounded(dict(found.figures)),
                    "now": figures_of_page(found.body, library),
                }
    for uid in store.listed(LADDER)["uid"]:
        trial = store.open(uid, kind=LADDER).body.trial
        held[trial.name] = {"hlb": rounded([trial.hlb(v.number) for v in trial.ladder.vials])}
    return held


def from_csv(path: Path) -> Formula:
    return Formula.from_csv(path.read_text("utf-8"), name=path.stem, product="o/w cream")


def from_json(path: Path) -> Formula:
    return Formula.from_json(path.read_text("utf-8"))


READ: dict[str, Callable[[Path], dict[str, Any]]] = {
    "sheet_v1_*.json": lambda p: figures_of_page(from_json(p)),
    "formula_v*.json": lambda p: figures_of_formula(from_json(p)),
    "formula_v*.csv": lambda p: figures_of_formula(from_csv(p)),
}


def figures(path: Path) -> dict[str, Any]:
    """The figures that follow from one saved file."""
    (read,) = [how for pattern, how in READ.items() if path.match(pattern)]
    return read(path)


def files(form: int) -> list[Path]:
    """The saved formulas and pages of one form."""
    return sorted(p for pattern in READ for p in HERE.glob(pattern) if f"_v{form}_" in p.name)


def main() -> None:
    def write(name: str, data: str | bytes) -> None:
        path = HERE / name
        if not path.exists():
            path.write_bytes(data.encode() if isinstance(data, str) else data)

    for name, formula in FORMULAS.items():
        write(f"formula_v2_{name}.json", formula.to_json())
        if name != "every_field":  # the CSV form takes no amount that cannot be read
            write(f"formula_v2_{name}.csv", formula.to_csv())
    typed = LadderSheet(steps="7", name="Soy and wax ladder")
    write("trial_v1.json", LADDER.written(KeptLadder(recorded_ladder(), typed)))
    path = HERE / "workspace_v2_formulas.db"
    if not path.exists():
        with hlb.Store(path) as store:
            keep(store)
            write("workspace_v2_formulas.zip", hlb.export_all(store))
    if not FIGURES.exists():
        with hlb.Store(in_memory=True) as store:
            plan = hlb.plan_import(store, (HERE / "workspace_v2_formulas.zip").read_bytes())
            hlb.import_all(store, plan)
            held = {p.name: figures(p) for p in files(2)}
            held["workspace_v2_formulas"] = figures_of_store(store)
        write(FIGURES.name, json.dumps(held, ensure_ascii=False, indent=1, sort_keys=True) + "\n")


if __name__ == "__main__":
    main()
