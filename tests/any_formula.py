"""Formulas of all sorts for property tests: names known, unknown and own, figures of every form."""

from __future__ import annotations

from hypothesis import strategies as st

from hlbcore import Aims, Composite, Estimate, Facts, Formula, Line, OwnReading, load_library, product_types
from hlbcore.formula.lines import CompositePart

OWN_FAT, OWN_WAX, UNKNOWN, BLEND = "meadow fat", "brook wax", "nobody's oil", "house wax"

LIBRARY = load_library(
    overlay=[
        OwnReading(OWN_FAT, 9.0, kind="butter"),
        OwnReading(OWN_WAX, 14.0, kind="fatty alcohol"),
        OwnReading("jojoba oil", 7.5),
    ]
)
"""The tables with an own butter, an own fatty alcohol and an own figure laid over them."""

OILS = ("sunflower oil", "shea butter", "cocoa butter", "jojoba oil", "mineral oil", "beeswax", "castor oil")
DISPUTED = ("dimethicone", "lanolin")
TWO_SIDED = ("cetyl alcohol", "stearic acid", "glyceryl stearate", OWN_WAX)
EMULSIFIERS = (
    "sorbitan oleate",
    "polysorbate 80",
    "sorbitan stearate",
    "polysorbate 60",
    "lecithin",
    "sodium stearoyl lactylate",
    "emulsifying wax NF",
)
OTHERS = (
    "water",
    "glycerin",
    "xanthan gum",
    "tocopherol",
    "lavender oil",
    "sea salt",
    "triethanolamine",
    "phenoxyethanol with ethylhexylglycerin",
    "sodium hydroxide",
)
NAMES = (*OILS, *DISPUTED, *TWO_SIDED, *EMULSIFIERS, *OTHERS, OWN_FAT, UNKNOWN, BLEND)
PHASES = ("water", "oil", "cool-down", "solids")

numbers = st.integers(1, 400).map(lambda n: n / 100)
hlbs = st.integers(20, 170).map(lambda n: n / 10)


@st.composite
def figures(draw: st.DrawFn) -> object:
    """An own figure in one of its forms."""
    value = draw(hlbs)
    low, high = value - draw(st.integers(0, 15)) / 10, value + draw(st.integers(0, 40)) / 10
    return draw(
        st.sampled_from(
            [
                None,
                None,
                None,
                value,
                f"{value:g}",
                f"{low:g} to {high:g}",
                Estimate(value, low, high),
                "butter",
                " Class range",
                "reading 5",
                "reading 9.5",
                "no such kind",
                "twelve",
            ]
        )
    )


@st.composite
def lines(draw: st.DrawFn) -> Line:
    """One line: any name, any form of its fields."""
    name = draw(
        st.sampled_from((*OILS, *DISPUTED, *TWO_SIDED, *EMULSIFIERS, *OTHERS, OWN_FAT, UNKNOWN, BLEND))
    )
    if draw(st.integers(0, 5)) == 0:
        name = f" {name.upper()} "
    amount = draw(numbers)
    text = draw(
        st.sampled_from([f"{amount:g}", f"{amount:g} %", f"{amount:g} g", f"{amount:g}".replace(".", ",")])
    )
    is_emulsifier = name.strip().casefold() in EMULSIFIERS
    return Line(
        name,
        draw(st.sampled_from([text, text, text, "", "ten"])),
        phase=draw(st.sampled_from(PHASES)),
        counts=draw(st.sampled_from(["auto", "auto", "auto", "oil", "emulsifier", "outside"])),
        own=draw(figures()),  # type: ignore[arg-type]
        active=draw(st.sampled_from([None, None, None, 50, 95])),
        low=draw(st.sampled_from([None, None, 0.2])) if is_emulsifier else None,
        price=draw(st.sampled_from([None, 12.5])),
    )


@st.composite
def formulas(draw: st.DrawFn) -> Formula:
    """A formula of any product type, whole or half-written."""
    held = draw(st.lists(lines(), min_size=1, max_size=12))
    parts = (CompositePart("cetearyl alcohol", 80, 70, 90), CompositePart("polysorbate 60", 20))
    return Formula(
        draw(st.sampled_from(["Cream", "", "Ünï 12 %"])),
        draw(st.sampled_from([t.name for t in product_types()])),
        held,
        blends=draw(st.sampled_from([(), (Composite(BLEND, parts),)])),
        facts=draw(st.sampled_from([Facts(), Facts(ph=5.5, cleansing=True)])),
        aims=Aims(
            draw(st.sampled_from(["", "as typed", "closest", "least total", "most tolerant"])),
            draw(st.sampled_from(["", "3 to 6", "5"])),
            draw(st.sampled_from(["", "1", "2,5"])),
            draw(st.sampled_from(["500 g", "1 kg", "250"])),
            draw(st.sampled_from(["0.1 g", "1 g"])),
            fragrance_counts=draw(st.booleans()),
            ionics=draw(st.booleans()),
            unit=draw(st.sampled_from(["%", "%", "g"])),
        ),
        note=draw(st.sampled_from(["", "soft\nand warm"])),
    )
