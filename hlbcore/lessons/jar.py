"""The figures of the jar as steps: phases, grains, softness, pouring, syrup, droplets."""

from __future__ import annotations

import math

from hlbcore.lessons._steps import Step, Working, figure
from hlbcore.rules.jar.activity import SOLUTES, norrish
from hlbcore.rules.jar.grains import Grains
from hlbcore.rules.jar.pouring import LOSSES, Pouring
from hlbcore.rules.jar.settling import GRAVITY
from hlbcore.rules.jar.sheet import Jar
from hlbcore.rules.jar.softness import GAS, HEAT_LOW, HEAT_MIDDLE, LOWER_BY, Softness

AT_C = 25.0
"""Temperature at which the softness is worked out. [°C]"""


def softness_working(softness: Softness) -> Working:
    """The band at 25 °C as steps.

    Parameters
    ----------
    softness : Softness
        Of a fat phase.

    Returns
    -------
    Working
        Each family of fats with its share, its shift and its edges.
    """
    steps = []
    fats = max(1 - softness.share("sets"), 1e-12)
    curves = softness.of_group("curve")
    for name in dict.fromkeys(p.family for p in curves):
        same = [p for p in curves if p.family == name]
        of_fats = min(math.fsum(p.share for p in same) / fats, 1.0)
        names = ", ".join(p.name for p in same)
        steps.append(Step(f"{names}, share of what is no wax", "W", f"{of_fats:.3g}", of_fats, "-"))
        for words, heat in (("foot", HEAT_LOW), ("middle", HEAT_MIDDLE)):
            shift = GAS * (AT_C + 273.15) ** 2 / heat * math.log(1 / of_fats)
            steps.append(
                Step(
                    f"Oil dissolves fat: the {words} is read warmer by",
                    "(R T²/dH) ln(1/W)",
                    f"{GAS:.4g} × {AT_C + 273.15:g}² / {heat:g} × ln(1/{of_fats:.3g})",
                    shift,
                    "K",
                )
            )
    for group, words in (
        ("liquid", "Liquid oils count as liquid"),
        ("sets", "Waxes, fatty alcohols and solid emulsifiers count by mass below their melting range"),
        ("unknown", "Without a figure: 0 in the foot of the band, all solid in its top"),
    ):
        parts = softness.of_group(group)
        if parts:
            names = ", ".join(f"{100 * p.share:.3g} % {p.name}" for p in parts)
            steps.append(Step(f"{words}: {names}"))
    made = softness.band([AT_C])
    steps.append(Step(f"Foot of the band at {AT_C:g} °C", "", "sum less its doubt", float(made.low[0]), "%"))
    steps.append(Step(f"Top of the band at {AT_C:g} °C", "", "sum with its doubt", float(made.high[0]), "%"))
    return Working(
        "How soft at 25 °C",
        tuple(steps),
        (
            f"The foot lies {LOWER_BY:g} points lower still, then both edges go apart by 5 points (all "
            "curves from the supplier, one family), else by 10, from 25 to 32 °C by 15. The band was tried "
            "on computed references, not on jars; one that was warmed and cooled slowly lies outside of it.",
        ),
        "limits",
    )


def grains_working(jar: Jar, grains: Grains) -> Working:
    """Volume share, clear layer and yield number as steps.

    Parameters
    ----------
    jar : Jar
        What the jar of a formula does.
    grains : Grains
        Its grains.

    Returns
    -------
    Working
        With the numbers put in.
    """
    steps = []
    for c in jar.contents.grains:
        dense = "density not known" if c.density is None else f"{c.density:.0f} kg/m³"
        steps.append(Step(f"{c.name}: {c.pct:.3g} g stay as grains in 100 g, {dense}"))
    if jar.contents.sugar_dissolved > 0:
        steps.append(Step(f"Sugar that dissolves, at most: {jar.contents.sugar_dissolved:.3g} g"))
    if grains.share is not None and grains.clear is not None:
        phi = grains.share[0]
        steps.append(Step("Volume share of the grains", "V_grains / V", "volumes added", phi, "-"))
        for words, pack in zip(("loosest", "densest"), grains.packing, strict=True):
            clear = max(1 - phi / pack, 0.0)
            steps.append(
                Step(
                    f"Clear layer, {words} bed",
                    "1 - phi/phi_m",
                    f"1 - {phi:.3g}/{pack:.3g}",
                    clear,
                    "of the height",
                )
            )
    if grains.hold is not None:
        h = grains.hold
        weight = h.least_pa / 0.048
        numbers = f"{figure(h.number * weight)} / {figure(weight)}"
        steps.append(Step("Yield number", "tau/(g d drho)", numbers, h.number, "-"))
    return Working(
        "What becomes of the grains",
        tuple(steps),
        (
            f"g is {GRAVITY} m/s². A grain sinks under a yield number of 0.048, is held over 0.2, and "
            "between them nobody knows. A yield value read from two speeds of a spindle is another thing, "
            "40 to 180 times higher.",
        ),
        "limits",
    )


def pouring_working(pouring: Pouring) -> Working:
    """The heat balance as steps.

    Parameters
    ----------
    pouring : Pouring
        Temperature after parts met.

    Returns
    -------
    Working
        With what sets highest.
    """
    m = pouring.mixed
    steps = [
        Step(
            f"{pouring.step}: heat before is heat after, melting included",
            "sum m (c T + L)",
            "with the whole heat of melting",
            m.value,
            "°C",
        )
    ]
    if m.high - m.low >= 0.05:
        steps.append(
            Step(f"With half of it, as on quick setting, up to the whole: {m.low:.1f} to {m.high:.1f} °C")
        )
    if pouring.margin_c is not None and pouring.highest is not None and pouring.highest.top_c is not None:
        top = pouring.highest.top_c
        numbers = f"{figure(m.low)} - {figure(top)}"
        steps.append(Step(f"Above {pouring.highest.name}", "T - T_sets", numbers, pouring.margin_c, "K"))
    for name, c in pouring.least:
        steps.append(Step(f"So that nothing sets, {name} at least", "", "the other as it is", c, "°C"))
    return Working(
        "Temperature after mixing",
        tuple(steps),
        (
            "Specific heat [J/(g K)]: water 4.18, oils 2.0 where the tables have none (printed 1.67 to "
            f"2.24), sugar 1.24, salt 0.88. {LOSSES}",
        ),
        "limits",
    )


def syrup_working(jar: Jar) -> Working:
    """Water activity as steps.

    Parameters
    ----------
    jar : Jar
        What the jar of a formula does.

    Returns
    -------
    Working
        Each solute alone in all the water, and their product.
    """
    held, water = jar.syrup, jar.contents.water_pct
    steps = []
    if held.activity is not None:
        amounts = {c.key: c.pct for c in jar.contents.water if c.key in SOLUTES and c.key != "sucrose"}
        if jar.contents.sugar_dissolved > 0:
            amounts["sucrose"] = jar.contents.sugar_dissolved
        for name, pct in amounts.items():
            s = SOLUTES[name]
            steps.append(
                Step(
                    f"{name}, {pct:.3g} g in {water:.3g} g of water, K {s.k:g}",
                    "X_w exp(-K X_s²)",
                    "mole fractions",
                    norrish(name, pct, water),
                    "-",
                )
            )
        steps.append(Step("Together", "product", "each in all the water", held.activity.value, "-"))
    return Working("Water activity", tuple(steps), ("The band is at least ±0.02.",), "limits")


def droplets_working(jar: Jar) -> Working:
    """Phase ratio and the largest droplet as steps.

    Parameters
    ----------
    jar : Jar
        What the jar of a formula does.

    Returns
    -------
    Working
        With the numbers put in.
    """
    steps = []
    if jar.ratio is not None:
        steps.append(Step("Oil by volume", "V_oil/(V_oil + V_water)", "sugar dissolved", jar.ratio.oil, "-"))
        steps.append(Step("The same without it", "", "before it dissolves", jar.ratio.oil_without_sugar, "-"))
    c = jar.creaming
    if c is not None and c.droplet is not None and math.isfinite(c.droplet.low_um):
        steps.append(
            Step(
                f"Largest droplet for {c.days:g} days at {c.viscosity_mpas:.3g} mPa s, "
                "n = 4.48; with 5.6 it is a little larger",
                "sqrt(18 eta h/(g drho t (1 - phi)^n))",
                "in SI units",
                c.droplet.low_um,
                "µm",
            )
        )
    return Working(
        "Phases and droplets", tuple(steps), ("One sphere in a Newtonian liquid; no coalescence.",), "limits"
    )


def jar_figures(jar: Jar) -> dict[str, Working]:
    """The figures of a jar as steps, by name; only what it holds.

    Parameters
    ----------
    jar : Jar
        What the jar of a formula does.

    Returns
    -------
    dict of str to Working
        Pouring is left out: each meeting has its own.
    """
    made = {}
    if jar.softness is not None:
        made["softness"] = softness_working(jar.softness)
    if jar.grains is not None:
        made["grains"] = grains_working(jar, jar.grains)
    if jar.ratio is not None:
        made["phases and droplets"] = droplets_working(jar)
    if jar.contents.water_pct > 0 and jar.syrup.activity is not None:
        made["water activity"] = syrup_working(jar)
    return made
