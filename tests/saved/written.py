"""How the saved files of this form came to be, and the figures that follow from them.

``python tests/saved/written.py`` writes those that are missing; one that stands is never written
again, for it must be read for ever. A new form gets files of a new name beside them. Where a
figure of the tables is corrected, delete ``figures_before.json``, write it anew, and look at what
moved in it.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

from hlbcore.checks._product import look

import hlbcore as hlb
from hlbcore import Composite, CompositePart, Estimate, Facts, Formula, Line, Portion, Sheet
from hlbcore import SheetEmulsifier as Emulsifier
from hlbcore import SheetLine as Oil
from hlbcore import SheetOther as Other

HERE = Path(__file__).parent
FIGURES = HERE / "figures_before.json"

EVERY_FIELD = Sheet(
    title="Herb cream, « trial 3 »",
    product="o/w cream",
    objective="check my amounts",
    lines=(
        Oil("sunflower oil", "8 %", note="cold pressed"),
        Oil("meadow fat", "4", own="8 to 14"),
        Oil("marsh butter", "3,5", own="butter"),
        Oil("shea butter", "2", own="class range"),
        Oil("beeswax", "1.5", own="reading 9"),
        Oil("olive oil", "2", own="9"),
        Oil("cetyl alcohol", "1", side="oil"),
        Oil("jojoba oil", "1", own="6.5", phase="cool-down", note="kept from heat"),
        Oil("lavender oil", "0.4", phase="cool-down"),
    ),
    emulsifiers=(
        Emulsifier("sorbitan stearate", "2", "1", "4", "14", "4.5 to 5", note="flakes"),
        Emulsifier("polysorbate 60", "2,5", "0.5", "5", "11", phase="water"),
    ),
    total="3 to 7",
    window="1.5",
    batch="1 kg",
    scale="0.01 g",
    smallest="0.2",
    count_fragrance=False,
    ionics=True,
    others=(
        Other("water", "69.1"),
        Other("glycerin", "3", active="86", note="86 %"),
        Other("phenoxyethanol", "0.9", phase="cool-down"),
    ),
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
    phases=("water", "oil", "cool-down"),
    note="Stirred for 5 min at 70 °C.\nHeld a month.",
)

SHEETS: dict[str, Sheet] = {
    "example": hlb.example_sheet(),
    "every_field": EVERY_FIELD,
    "asked_for": replace(
        EVERY_FIELD,
        title="Herb cream, amounts asked for",
        objective="cheapest",
        count_fragrance=True,
        ionics=False,
    ),
    "grams": Sheet(
        title="Lotion in grams",
        product="light o/w lotion",
        unit="grams",
        batch="200 g",
        lines=(
            Oil("soybean oil", "20"),
            Oil("cocoa butter", "6 g"),
            Oil("dimethicone", "2", own="reading 5"),
        ),
        emulsifiers=(Emulsifier("sorbitan oleate"), Emulsifier("polysorbate 80")),
        others=(Other("water", "81.5"), Other("glycerin", "5 g")),
        total="2 to 4",
        objective="most tolerant",
    ),
    "two_portions": Sheet(
        title="Scrub in two portions",
        product="wash-off scrub",
        objective="check my amounts",
        lines=(
            Oil("sunflower oil", "28"),
            Oil("stearic acid", "2"),
            Oil("glyceryl stearate", "1", side="emulsifier"),
        ),
        emulsifiers=(Emulsifier("polysorbate 80", "3.5"), Emulsifier("sorbitan stearate", "2")),
        others=(
            Other("sugar", "61.5", "solids"),
            Other("phenoxyethanol", "0.9", "cool-down"),
            Other("bamboo powder", "0.1", "solids"),
            Other("iron oxides", "0.1", "cool-down", portion="brick"),
            Other("ultramarines", "0.2", "cool-down", portion="sky"),
        ),
        portions="brick 35, sky 65",
    ),
    "bought_wax": Sheet(
        title="Cream with a bought wax",
        product="o/w cream",
        objective="check my amounts",
        lines=(Oil("olive oil", "15"), Oil("mango butter", "3")),
        emulsifiers=(Emulsifier("house wax", "5", rate="4 to 6", oil_limit="25"),),
        others=(Other("water", "77"),),
        blends="house wax: cetearyl alcohol 78 (70 to 85), ceteareth-20 22 (15 to 30)",
    ),
    "own_emulsifier": Sheet(
        title="Water in oil",
        product="w/o cream",
        objective="closest",
        window="0.5",
        lines=(Oil("mineral oil", "20"), Oil("lanolin, anhydrous", "4", own="5")),
        emulsifiers=(Emulsifier("river ester", hlb="3.5", high="4.8"), Emulsifier("polysorbate 80")),
        others=(Other("water", "70"), Other("magnesium sulfate", "0.7", active="49")),
        total="5",
    ),
    "half_written": Sheet(
        title="Half written",
        product="o/w cream",
        window="wide",
        lines=(
            Oil("olive oil", "12"),
            Oil("brook fat", "3"),
            Oil("cetyl alcohol", "", own="15"),
            Oil(" shea butter ", "5", own="15"),
        ),
        emulsifiers=(Emulsifier("sorbitan oleate", "2"), Emulsifier("nobody's ester", "1")),
        others=(Other("lecithin", "1", active="50"),),
        objective="check my amounts",
    ),
}

FORMULAS: dict[str, Formula] = {
    "every_field": Formula(
        "Hedge balm, every field",
        "cleansing balm",
        (
            Line("sunflower oil", 45.25, phase="oil", note="two lots, « a » and b"),
            Line("meadow fat", 12, phase="oil", own=Estimate(9, 8, 14)),
            Line("house wax", 8, phase="oil", supplier=hlb.SupplierRate(4, 9, 60)),
            Line("cetyl alcohol", 4, phase="oil", role="oil"),
            Line("glyceryl stearate", 3, phase="oil", role="emulsifier", active_pct=90),
            Line("sorbeth-30 tetraoleate", 14, phase="oil", own=Estimate(11.5, 11, 12)),
            Line("caprylic/capric triglyceride", 13, phase="oil"),
            Line("tocopherol", 0.25, phase="cool-down"),
            Line("jojoba oil", 0.5, phase="cool-down"),
            Line("lavender oil", 0.6, phase="cool-down", portion="dusk"),
            Line("iron oxides", 0.1, phase="cool-down", portion="dawn"),
        ),
        phases=("oil", "cool-down", "filling"),
        portions=(Portion("dawn", 45), Portion("dusk", 55)),
        composites=(
            Composite(
                "house wax",
                (CompositePart("cetearyl alcohol", 78, 70, 85), CompositePart("ceteareth-20", 22)),
            ),
        ),
        facts=Facts(
            ph=6.5,
            area="eye area",
            cleansing=True,
            hottest_c=78,
            cool_down_c=42,
            fragrance_max_pct=0.5,
            fragrance_max_c=50,
            fragrance_allergens=(("linalool", 32.5),),
            dioxane_ppm=4,
        ),
        note="Poured at 45 °C.",
    ),
    "plain": Formula(
        "Plain lotion",
        "light o/w lotion",
        (
            Line("water", 81.6, phase="water"),
            Line("soybean oil", 12, phase="oil"),
            Line("sorbitan oleate", 2.6, phase="oil"),
            Line("polysorbate 80", 0.9, phase="oil", active_pct=97),
            Line("phenoxyethanol, diluted", 0.9, phase="cool-down", note='said "mild"'),
            Line("glycerin", 2, phase="water"),
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

    def kept(sheet: Sheet, on: hlb.Version | None = None, **words: str) -> hlb.Version:
        figures = hlb.kept_figures(hlb.work_out(sheet, library))
        return store.save(sheet, on=on, figures=figures, digest=library.digest, **words)

    first = kept(EVERY_FIELD, who="bench one")
    second = kept(replace(EVERY_FIELD, total="5"), first, who="bench two", why="thinner")
    store.point_at(first, on=second)
    kept(replace(EVERY_FIELD, window="1"), first, who="bench one")
    scrub = kept(SHEETS["two_portions"])
    kept(replace(SHEETS["two_portions"], note="gritty"), scrub, why="feels rough")
    old = kept(SHEETS["own_emulsifier"])
    store.put_away(old.formula)
    plain = replace(recorded_ladder(), observations=())
    planned = store.save_trial(plain, sheet='{"steps":"7"}', who="bench one")
    store.save_trial(recorded_ladder(), sheet='{"steps":"7"}', on=planned, who="bench two")


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


def figures_of_sheet(sheet: Sheet, library: hlb.Library | None = None) -> dict[str, Any]:
    """What the page shows: required HLB, blend, amounts [% of formula], grams, sentences."""
    out = hlb.work_out(sheet, library)
    blend = out.verdict.blend if out.verdict else None
    return rounded(
        {
            "required": estimate(out.required.estimate if out.required else None),
            "oil phase": out.required.mass if out.required else None,
            "blend": blend.value if blend else None,
            "verdict": out.verdict.word if out.verdict else None,
            "amounts": dict(out.amounts),
            "total": sum(out.amounts.values()),
            "grams": list(out.weighed.grams) if out.weighed else None,
            "errors": sorted(out.errors),
            "pending": list(out.pending),
        }
    )


def figures_of_formula(formula: Formula) -> dict[str, Any]:
    """What the checks go by, for each finished product."""
    products = {}
    for product in formula.finished():
        view = look(product)
        products[product.name] = {
            "required": estimate(view.required.estimate if view.required else None),
            "oil phase": view.required.mass if view.required else None,
            "emulsifiers": view.emulsifier_pct,
            "fat base": view.fat_base_pct,
            "blend": [f.figure for f in hlb.check(product) if f.title.startswith("Emulsifiers: ")],
        }
    return rounded({"total": formula.total_pct, "products": products})


def figures_of_store(store: hlb.Store) -> dict[str, Any]:
    library = hlb.load_library(store.overlay())
    held = {}
    for removed in (False, True):
        for uid in store.formulas(removed=removed)["uid"]:
            for version in store.history(uid)["uid"]:
                found = store.version(version)
                held[f"{found.sheet.title}, version {found.number}"] = {
                    "then": rounded(dict(found.figures)),
                    "now": figures_of_sheet(found.sheet, library),
                }
    for uid in store.trials()["uid"]:
        trial = store.open_trial(uid).trial
        held[trial.name] = {"hlb": rounded([trial.hlb(v.number) for v in trial.ladder.vials])}
    return held


READ: dict[str, Callable[[Path], dict[str, Any]]] = {
    "sheet_v1_*.json": lambda p: figures_of_sheet(Sheet.from_json(p.read_text("utf-8"))),
    "formula_v1_*.json": lambda p: figures_of_formula(Formula.from_json(p.read_text("utf-8"))),
    "formula_v1_*.csv": lambda p: figures_of_formula(
        Formula.from_csv(p.read_text("utf-8"), name=p.stem, product="o/w cream")
    ),
}


def figures(path: Path) -> dict[str, Any]:
    """The figures that follow from one saved file."""
    (read,) = [how for pattern, how in READ.items() if path.match(pattern)]
    return read(path)


def files() -> list[Path]:
    return sorted(p for pattern in READ for p in HERE.glob(pattern))


def main() -> None:
    def write(name: str, data: str | bytes) -> None:
        path = HERE / name
        if not path.exists():
            path.write_bytes(data.encode() if isinstance(data, str) else data)

    for name, sheet in SHEETS.items():
        write(f"sheet_v1_{name}_full.json", sheet.to_json())
        write(f"sheet_v1_{name}_compact.json", sheet.to_json(compact=True))
    for name, formula in FORMULAS.items():
        write(f"formula_v1_{name}.json", formula.to_json())
        write(f"formula_v1_{name}.csv", formula.to_csv())
    path = HERE / "workspace_v2.db"
    if not path.exists():
        with hlb.Store(path) as store:
            keep(store)
            write("workspace_v2.zip", hlb.export_all(store))
    if not FIGURES.exists():
        with hlb.Store(in_memory=True) as store:
            plan = hlb.plan_import(store, (HERE / "workspace_v2.zip").read_bytes())
            hlb.import_all(store, plan)
            held = {p.name: figures(p) for p in files()}
            held["workspace_v2"] = figures_of_store(store)
        write(FIGURES.name, json.dumps(held, ensure_ascii=False, indent=1, sort_keys=True) + "\n")


if __name__ == "__main__":
    main()
