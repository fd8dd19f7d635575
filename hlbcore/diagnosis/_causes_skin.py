"""Causes that show on the skin and under the tap."""

from __future__ import annotations

from hlbcore.diagnosis import _measures as m
from hlbcore.diagnosis._measures import Row
from hlbcore.product_types import PRACTICE
from hlbcore.rules.safety import SLIP_RULE

_RINSE = "Stir 1 part into 20 parts of warm water: milky, or oil drops? Then rinse a glass slide."

ON_SKIN: dict[str, Row] = {
    "soap": Row(
        "soap emulsifier or stearic acid",
        "stearic acid, soaps, bases",
        m.soap,
        "Rub half a gram into the arm beside a batch without it: does the white go in a minute?",
        "Dimethicone 2 to 3 %, or about 1 % cetyl alcohol with a second emulsifier, or another "
        "emulsifier; the causes are disputed.",
        "A silicone feel, or a thicker cream; the white is a matter of looks.",
        "soapmaking_59359_white; forum_322_whitening",
    ),
    "waxy_alone": Row(
        "one waxy emulsifier alone",
        "emulsifiers",
        m.waxy_alone,
        "The same batch with a second, liquid emulsifier.",
        "Add a second emulsifier of the other side of the target.",
        "One more ingredient.",
        "soapmaking_59359_white; forum_322_whitening",
    ),
    "white_powder": Row(
        "white powder stays on the skin",
        "white powders and pigments",
        m.white_powder,
        "The same batch without it.",
        "Less of it, or a finer grade.",
        "What it was there for grows weaker.",
        PRACTICE,
    ),
    "humectants": Row(
        "too much humectant",
        "humectants together",
        m.humectants,
        "The same batch with half of it, on both arms.",
        "Bring the total to 2 to 3 %, or add a light ester.",
        "Feels drier; less to wet the gum with.",
        "forum_sticky_residue; forum_3604_sticky; natural_bulk_sticky",
    ),
    "gum": Row(
        "gum",
        "gum, of the jar and of the water",
        m.gum,
        "The same batch with half the gum.",
        "Less gum, or another gum.",
        "Thinner; droplets rise sooner.",
        "forum_sticky_residue",
    ),
    "much": Row(
        "more emulsifier than needed",
        "emulsifiers against the oil phase",
        lambda v: m.dose(v, "high"),
        "The same batch with a quarter less.",
        "Bring it to the usual dose.",
        "Nearer to the edge at which it splits.",
        "forum_3604_sticky, which puts it after humectants and gum",
    ),
    "sticky_fats": Row(
        "heavy or sticky ingredients",
        "castor oil, lanolin, honey and the like",
        m.sticky_fats,
        "The same batch with a light oil in their place.",
        "Replace part by a light oil or ester.",
        "Less gloss and cushion.",
        PRACTICE,
    ),
    "slip": Row(
        "oil stays on the tub",
        "oil phase and emulsifiers",
        m.oils,
        "Rub a spoonful on a wet tile, rinse with warm water for half a minute, feel it with a finger.",
        "Less oil, or more emulsifier; print the warning either way.",
        "Emulsified it rinses better and is still a little slippery.",
        f"craftserver_83992_slip; {SLIP_RULE}",
    ),
    "waxes": Row(
        "waxes, fatty alcohols or silicones stay on the skin",
        "their share of the fat base",
        m.waxes,
        "The same base without wax: does the slide come clean?",
        "Replace part by oil, or raise the emulsifier.",
        "Softer in the jar, oil on top in summer.",
        PRACTICE,
    ),
    "rinse_hlb": Row(
        "the emulsifiers are too oil-loving to disperse",
        "blend HLB against required HLB",
        m.rinse_hlb,
        _RINSE,
        "Take a more hydrophilic emulsifier, far above the window on purpose.",
        "It dissolves less well in the fat and may sink; drier skin feel.",
        PRACTICE,
    ),
    "cold_water": Row(
        "rinsed with cold water",
        "temperature of the rinse water",
        m.not_in_formula("not in the formula"),
        "Rinse one slide with water at 20 °C and one at 38 °C.",
        "Say so in the directions, or take less that is hard.",
        "Softer in the jar.",
        PRACTICE,
    ),
}
