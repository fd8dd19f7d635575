"""What the jar does: melting, grains, softness, fats that do not go together, flash points, syrup.

=========  ====================================================================================
inputs     the formula; facts: hottest step [°C], grain size [µm], yield stress [Pa], viscosity
           [mPa s], outer phase, solids from the supplier
rule       `rules.jar`, each equation with its source and range
source     named with each finding
levels     caution where typed figures or a wholly liquid fat phase decide; else background
mend       the temperature, the amount, or the bench test that tells
=========  ====================================================================================
"""

from __future__ import annotations

from hlbcore.blending.worked import Worked, total
from hlbcore.findings import Finding
from hlbcore.product_types import PRACTICE
from hlbcore.rules.jar.families import SOS_BUTTERS
from hlbcore.rules.jar.grains import DOUBTFUL, HELD, JAR_TEST, PACKED, SINKS
from hlbcore.rules.jar.phases import UNDETERMINED
from hlbcore.rules.jar.settling import CLOSE_PACKED
from hlbcore.rules.jar.sheet import Jar, work_out_jar
from hlbcore.rules.jar.softness import CANNOT_SAY

MELT_LEAST_PCT = 0.5
"""A fat under this is no reason to say that the work was too cool. [% of formula] Our convention."""

SOLID_PRODUCTS = ("whipped butter", "cleansing balm")
"""Product types that shall not be liquid in a room, by name."""

WEEPS_FROM = 0.5
"""Share of liquid oil from which it may stand out of what sets it. [fraction] Our convention."""

GRAIN_RULE = (
    "critical yield number 0.048 to 0.2 (tabuteau_2007_page; both recalled); hindered settling "
    "brzinski_durian_2017; packing probstein_value_page, salt_density_page"
)
SOFT_RULE = "band on solids: linear mixing as the top, shifted curves as the foot, our figures; timms_1985"


def jar(view: Worked) -> list[Finding]:
    """What the jar does.

    Parameters
    ----------
    view : Worked
        A finished product.

    Returns
    -------
    list of Finding
        Mostly background; a caution only where the figures say so.
    """
    held = work_out_jar(view)
    return [
        *_hot_enough(view, held),
        *_flash(view, held),
        *_grains(held),
        *_soft(view, held),
        *_together(view, held),
        *_ratio(held),
        *_syrup(held),
    ]


def _hot_enough(view: Worked, held: Jar) -> list[Finding]:
    hottest = view.facts.hottest_c
    if hottest is None:
        return []
    firm = [s for s in held.sets if s.pct >= MELT_LEAST_PCT and s.top_c is not None]
    low = [s for s in firm if s.melts_low_c is not None and s.melts_low_c > hottest]
    if not low:
        return []
    names = ", ".join(s.name for s in low)
    again = (
        " Do not reheat the finished batch: " + ", ".join(held.again) + " would be heated too."
        if held.again
        else ""
    )
    return [
        Finding(
            "caution",
            f"Not hot enough to melt {names}",
            f"The hottest step is {hottest:g} °C; {low[0].name} melts from {low[0].melts_low_c:.3g} °C.",
            f"{hottest:g} °C against {low[0].melts_low_c:.3g} °C",
            f"melting figures of the tables; {PRACTICE}",
            f"Heat the fats to {low[0].top_c:.3g} °C or more.{again}",
        )
    ]


def _flash(view: Worked, held: Jar) -> list[Finding]:
    found = []
    hottest = view.facts.hottest_c
    warm = {x.name for x in view.lines if x.line.phase == "oil"}
    for f in held.flash:
        if f.name not in warm:
            continue
        known = "not in the tables" if f.low_c is None else f"from {f.low_c:g} °C"
        known += " (recalled)" if f.low_c is not None and f.recalled else ""
        over = hottest is not None and f.low_c is not None and hottest >= f.low_c
        found.append(
            Finding(
                "caution" if over else "note",
                f"{f.name}: flash point {known}",
                "It stands in the oil phase, which is heated; its vapour can catch fire near its flash point."
                + (f" The hottest step is {hottest:g} °C." if over else ""),
                known if f.low_c is None else f"flash point {known}",
                "flash points of the tables; section 9 of the supplier's safety data sheet decides",
                "Add it in the cool-down, away from flames and hot plates. Read section 9 of the sheet.",
                aside=not over,
            )
        )
    return found


def _grains(held: Jar) -> list[Finding]:
    g, warm = held.grains, held.warm_grains
    if g is None:
        return []
    titles = {
        PACKED: "Grains: packing holds them",
        HELD: "Grains: your yield stress holds them",
        DOUBTFUL: "Grains: it is doubtful whether they are held",
        SINKS: "Grains sink",
        CANNOT_SAY: "Grains: cannot say whether they are held",
    }
    clear = ""
    if g.clear is not None and g.clear[1] > 0 and g.word != PACKED:
        span = f"{100 * g.clear[0]:.0f} to {100 * g.clear[1]:.0f} %"
        clear = f" If all settles, {span} of the height is clear above."
    summer = (
        " In a warm jar (40 °C) nothing holds them."
        if warm is not None and warm.word == SINKS and g.word not in (SINKS, PACKED)
        else ""
    )
    share = "" if g.share is None else f"{100 * g.share[0]:.0f} % of the volume"
    mend = "" if g.word in (PACKED, HELD) else JAR_TEST
    if g.word == SINKS and g.hold is None:
        mend = f"Add wax, butter or more grains, or thicken with silica. {JAR_TEST}"
    elif g.word in (SINKS, DOUBTFUL) and g.hold is not None:
        mend = f"A yield stress of {g.hold.sure_pa:.2g} Pa would hold them, or finer grains. {JAR_TEST}"
    return [
        Finding(
            "caution" if g.word == SINKS else "note",
            titles[g.word],
            f"{g.why}{clear}{summer}".replace(f" {JAR_TEST}", "") if mend else f"{g.why}{clear}{summer}",
            share,
            GRAIN_RULE,
            mend,
            aside=g.word not in (SINKS, DOUBTFUL),
        )
    ]


def _soft(view: Worked, held: Jar) -> list[Finding]:
    if held.softness is None or not view.product.anhydrous:
        return []
    places = held.softness.places
    room = next(p for p in places if p.place == "in a room")
    runs = room.word == "liquid" and view.product.name in SOLID_PRODUCTS
    waxes = [
        f"{p.name}, {100 * p.share:.2g} % of the fats, gels oils from {p.gels_from[0]:g} to "
        f"{p.gels_from[1]:g} %"
        for p in held.softness.of_group("sets")
        if p.gels_from
    ]
    gels = f" Waxes by printed gelling level: {'; '.join(waxes)}." if waxes else ""
    unknown, words = held.softness.share("unknown"), held.softness.words(places)
    return [
        Finding(
            "caution" if runs else "note",
            "Liquid in a room" if runs else "How soft it is, from fridge to hot parcel",
            f"{words[:1].upper()}{words[1:]}. Solids in a room {room.low:.0f} to {room.high:.0f} % of the "
            f"fats.{gels}",
            f"{100 * unknown:.0f} % of the fats without a figure" if unknown > 0 else "",
            SOFT_RULE,
            "Ask the supplier for N20, N25, N30 and N35; press the same cone into this jar and into your "
            "own good batch, at one temperature.",
            aside=not runs,
        )
    ]


def _together(view: Worked, held: Jar) -> list[Finding]:
    found = []
    for pair, keys in held.pairs:
        lines = [x for x in view.lines if x.key in keys and x.pct > 0]
        names = ", ".join(dict.fromkeys(x.name for x in lines))
        found.append(
            Finding(
                "note",
                "Fats that are softer together than either",
                f"{names}: {pair.said}. How much softer is printed nowhere.",
                f"{total(lines):.3g} % of the formula",
                pair.source,
                "Make 50 g without one of the two and set it beside, in the room and in the warm.",
                aside=True,
            )
        )
    if view.product.anhydrous and held.softness is not None and _may_weep(held):
        waxes = ", ".join(dict.fromkeys(p.name for p in held.softness.of_group("sets")))
        found.append(
            Finding(
                "note",
                "Oil may stand out",
                f"{100 * held.softness.share('liquid'):.0f} % of the fats is liquid oil, bound by {waxes}. "
                "No figure decides: in one set of fats solids explained half of the oil lost; of four waxes "
                "candelilla kept most.",
                f"{100 * held.softness.share('liquid'):.0f} % liquid oil",
                "utah_soy_fats; blake_waxes",
                "Lay a full jar on its side at 40 °C for a week: does oil run to the lid?",
                aside=True,
            )
        )
    butters = view.of_id(*SOS_BUTTERS)
    if butters and view.product.anhydrous:
        found.append(
            Finding(
                "note",
                "Butters that may turn grainy",
                f"{', '.join(dict.fromkeys(x.name for x in butters))}: warmed into its melting range and "
                "cooled slowly, such a fat sets in coarse crystals; no figure says how likely or how soon.",
                f"{total(butters):.3g} % of the formula",
                "teachsoap_59620_grainy; shea_oil_mill_questions",
                "Melt it until clear, cool it fast, and keep a jar through two warm days.",
                aside=True,
            )
        )
    return found


def _may_weep(held: Jar) -> bool:
    """Whether much liquid oil stands beside what sets it."""
    assert held.softness is not None
    return held.softness.share("liquid") >= WEEPS_FROM and bool(held.softness.of_group("sets"))


def _ratio(held: Jar) -> list[Finding]:
    r = held.ratio
    if r is None or r.water_pct <= 0 or not r.wanted:
        return []
    if r.word == UNDETERMINED:
        title = "Type undetermined until water is added"
    elif r.inner > CLOSE_PACKED:
        title = "A concentrated emulsion"
    else:
        return []
    return [
        Finding(
            "note",
            title,
            r.words,
            f"{100 * r.oil:.0f} % oil by volume",
            "equal spheres fill 74 % at most, geometry; the 10 % of water is our convention",
            "Try a dilution in water, and in oil.",
            aside=True,
        )
    ]


def _syrup(held: Jar) -> list[Finding]:
    c, a = held.contents, held.syrup.activity
    if c.water_pct <= 0 or (c.sugar_dissolved <= 0 and (a is None or a.high >= 0.95)):
        return []
    return [
        Finding(
            "note",
            "Water activity of the water phase",
            held.syrup.words,
            "" if a is None else f"{a.low:.2f} to {a.high:.2f}",
            "baeza_2010; pmc2836749; beuchat_1981 (foods); sucrose and the rule for mixtures recalled",
            "Preserve it; have it measured where you mean to rely on it.",
            aside=True,
        )
    ]
