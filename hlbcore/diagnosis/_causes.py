"""What goes wrong at the bench: causes, the figure to look at, the test, the mend and its price.

Sources stand for the cause and its mend; amounts and times of a bench test are common practice, no
source.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from hlbcore.blending.worked import Worked
from hlbcore.diagnosis import _jar as jar
from hlbcore.diagnosis import _measures as m
from hlbcore.diagnosis._measures import Look
from hlbcore.product_types import PRACTICE
from hlbcore.rules.safety import SLIP_RULE


@dataclass(frozen=True, slots=True)
class Row:
    """One cause as the trade tells it."""

    cause: str
    figure: str
    measure: Callable[[Worked], Look | None]
    test: str
    mend: str
    trade_off: str
    rule: str


_DOUBLE = "Make 100 g with half as much emulsifier again, all else the same; compare after a day."
_RINSE = "Stir 1 part into 20 parts of warm water: milky, or oil drops? Then rinse a glass slide."

ROWS: dict[str, Row] = {
    "dose": Row(
        "too little emulsifier",
        "emulsifiers against the oil phase",
        lambda v: m.dose(v, "low"),
        _DOUBLE,
        "Raise the emulsifiers in the next batch; do not patch this one by reheating.",
        "Thicker, dearer, may feel sticky; more ethoxylate can weaken the preservative.",
        "craftserver_27092_thin; the usual dose of the product type",
    ),
    "half": Row(
        "only half of an emulsifier system",
        "emulsifiers and their HLB",
        m.half,
        "Read the INCI of what you bought; shake 2 g with 20 g of oil and 70 g of hot water and "
        "look after an hour.",
        "Add the hydrophilic partner; beeswax or glyceryl stearate alone do not carry an o/w emulsion.",
        "One more ingredient, often an ethoxylated one.",
        "barclay_nichols_2013_08_glyceryl_stearate; barclay_nichols_2011_03_beeswax",
    ),
    "hlb": Row(
        "the blend misses the required HLB",
        "blend HLB against required HLB",
        m.hlb_off,
        "Three vials: this HLB, 1 lower, 1 higher; read them after a day.",
        "Split the same total for the required HLB.",
        "The ratio also changes thickness and feel.",
        "hassan_2018",
    ),
    "charge": Row(
        "anionic and cationic together",
        "charges in the formula",
        m.charge,
        "Make it without one of the two.",
        "Take out one of the two.",
        "Another emulsifier, preservative or conditioning agent is needed.",
        "general chemistry, from memory",
    ),
    "fragrance": Row(
        "more fragrance than the pair bears",
        "fragrance and essential oils",
        m.fragrance,
        "The same batch without fragrance, side by side.",
        "Keep it under 0.5 to 1 %, count it in the required HLB, or mix it with a solubiliser first.",
        "Weaker scent; a solubiliser is one more ethoxylate.",
        "forum_6114_essential_oils",
    ),
    "heat": Row(
        "not everything was melted, or the phases met at unlike temperatures",
        "hottest temperature against the highest melting point",
        m.heat,
        "Warm a spoonful gently until it is clear and stir while it cools: if it comes out right, "
        "it had not melted.",
        "Bring both phases 10 °C above the highest melting point, usually 75 to 80 °C.",
        "More water boils off: weigh before and after and make it up.",
        "humblebee_thin_or_split; chemists_scale_up",
    ),
    "cold": Row(
        "the cool-down phase set the wax",
        "temperature of the cool-down phase",
        m.cold,
        "Add it to a small part at a higher temperature.",
        "Warm the cool-down phase, or add it in small parts while stirring.",
        "What is sensitive to heat suffers: keep to its supplier's limit.",
        PRACTICE,
    ),
    "shear": Row(
        "too little mixing, or mixed at the wrong time",
        "mixer, minutes, speed",
        m.shear,
        "The same batch with a stick blender, in bursts while it cools.",
        "Write mixer, time and speed on the batch sheet and keep them.",
        "High shear breaks gums and brings in air.",
        "diycosmetica_forum_split",
    ),
    "salt": Row(
        "salt breaks the emulsion",
        "salts, the divalent ones above all",
        m.salt,
        "The same batch without the salt.",
        "Leave the salt out, or change to salt-tolerant emulsifiers.",
        "The salt's claim goes, or the emulsifiers and the feel change.",
        "forum_magnesium_sulfate",
    ),
    "no_salt": Row(
        "a w/o emulsion without salt",
        "salt",
        m.no_salt,
        "The same batch with magnesium sulfate or sodium chloride in the water.",
        "Add salt to the water phase; the same salt that breaks o/w helps w/o.",
        "Metal parts corrode; the label grows.",
        "forum_magnesium_sulfate",
    ),
    "acid": Row(
        "pH too low for the emulsifier",
        "pH",
        m.acid,
        "Measure the pH; bring half of a fresh batch to pH 6 and compare.",
        "Take acid-tolerant emulsifiers, or a higher pH.",
        "An acid preservative loses its effect as the pH rises: ask a laboratory.",
        "forum_lactic_acid",
    ),
    "thickener": Row(
        "little that thickens",
        "fatty alcohols, gums, emulsifying wax",
        m.thickeners,
        "Stir a gum wetted with glycerin into a small part, or make one with fatty alcohol.",
        "Add a fatty alcohol or a gum in the next batch.",
        "Fatty alcohol goes on thickening for days; gum feels sticky.",
        "forum_creams_thicken",
    ),
    "oil_late": Row(
        "oil stirred in at the cool-down",
        "fats in the cool-down phase",
        m.oil_late,
        "The same batch with all oil in the hot oil phase.",
        "Heat the oils together; keep the cool-down for drops of what heat harms.",
        "What is sensitive to heat suffers a little.",
        PRACTICE,
    ),
    "solubiliser": Row(
        "too little solubiliser for this scent",
        "parts of solubiliser to one part of scent",
        m.solubiliser,
        "Five vials from 1 to 7 parts to 1; clear after a week at 5 and at 40 °C?",
        "Mix scent and solubiliser first, then add the water slowly; each oil asks for its own ratio.",
        "More solubiliser feels sticky, foams, and binds preservative.",
        "raw_source_solubilizing",
    ),
    "salt_haze": Row(
        "salt or acid beside the solubiliser",
        "salts and acids",
        m.salt_haze,
        "The same without it.",
        "Leave it out, or take a solubiliser that its supplier rates for it.",
        "Its effect goes.",
        PRACTICE,
    ),
    "early": Row(
        "judged too early",
        "fatty alcohols, which crystallise slowly",
        m.early,
        "Look again after 24 and 48 hours.",
        "Wait before you judge or fill.",
        "A day or two of waiting.",
        "forum_creams_thicken",
    ),
    "soft": Row(
        "too little that is solid",
        "hard share of the fat base",
        m.soft,
        "Chill a spoonful: if it sets well, warmth is the matter.",
        "Raise the melting solids; in such a jar the emulsifier only thickens.",
        "Harder in the cold, more drag and film.",
        "soapmaking_77198_scrub; barclay_nichols_2014_07_heat",
    ),
    "melted": Row(
        "it melted, it did not separate",
        "hard share and the highest melting point",
        m.melted,
        "Chill a spoonful of the liquid: if it sets, it melted, it did not separate.",
        "Raise the melting solids; emulsifying wax set a balm where stearic acid did not.",
        "Harder in the cold, more film on the skin.",
        "forum_7760_balm; soapmaking_77198_scrub",
    ),
    "undissolved": Row(
        "the emulsifier does not dissolve in the oil",
        "liquid hydrophilic emulsifiers",
        m.undissolved,
        "Only oil and emulsifier in a clear jar for a week: a layer below is the emulsifier.",
        "Take an emulsifier that dissolves in this oil, or an oil that takes it up; a matched HLB "
        "does not see to that.",
        "Another feel and price; the rinse must be tried again.",
        "forum_bath_oil_41595",
    ),
    "creaming": Row(
        "droplets rise because the water phase is thin",
        "gum",
        m.creaming,
        "Turn the jar slowly ten times: what creamed mixes back, what broke does not.",
        "Thicken the water phase, or mix to smaller droplets.",
        "Gum feels sticky and must be wetted well.",
        PRACTICE,
    ),
    "one_alcohol": Row(
        "one fatty alcohol alone crystallises over days",
        "fatty alcohols",
        m.one_alcohol,
        "Press a spoon into a sample jar on days 1, 3 and 7.",
        "Less of it, or two chain lengths together; stir slowly on day 3; fill after 24 to 48 h.",
        "Softer and thinner from the start.",
        "forum_creams_thicken; barclay_nichols_2016_02_thickening",
    ),
    "solid_mix": Row(
        "acid or alcohol, butter and wax with too little liquid oil",
        "hard share of the fat base; no threshold is published",
        m.solid_mix,
        "Melt 50 g, stir in 5 g of the liquid oil, let it stand for three days beside the first.",
        "Turn part of the hardest line into liquid oil; set the share beside a formula you liked.",
        "Softer in summer; the required HLB moves a little.",
        "craftserver_94258_scrub",
    ),
    "wet_grains": Row(
        "water dissolves sugar or salt, which cakes as it dries",
        "water beside grains",
        m.wet_grains,
        "Leave a spoonful without water beside it for three days.",
        "Keep water out, and dry the grains.",
        "A water-soluble part must go in another way.",
        PRACTICE,
    ),
    "water_in": Row(
        "water got in from wet hands or the shower",
        "water in the formula",
        m.water_in,
        "Use one jar with wet hands for a week and keep one closed: water only in the first?",
        "Tube or pump, a scoop, a small jar; have the preservative looked at by a laboratory.",
        "Package and price.",
        PRACTICE,
    ),
    "evaporated": Row(
        "water boiled off",
        "water",
        m.evaporated,
        "Weigh the vessel with the phase before and after heating.",
        "Make up the loss with hot water before the phases meet.",
        "None, but a scale that carries the hot vessel.",
        "barclay_nichols_2011_03_evaporation",
    ),
    "butters": Row(
        "a butter cooled slowly",
        "shea, mango and cocoa butter",
        m.butters,
        "Melt a spoonful, hold it at 77 to 85 °C for 10 to 15 minutes, cool it fast: if it comes "
        "out smooth, it was slow cooling.",
        "Hold the melt at 77 to 85 °C for 10 to 15 minutes and cool it fast.",
        "Fragrance must wait until it is cooler.",
        "teachsoap_59620_grainy; elements_butters",
    ),
    "powder": Row(
        "powder or pigment not ground in",
        "powders and colours outside the grains",
        m.powder,
        "Rub a little between two glass slides: do the grains smear out?",
        "Grind it in a little oil or glycerin first, or sieve it.",
        "One more step, and a loss in the mortar.",
        PRACTICE,
    ),
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
    "gum_wetting": Row(
        "gum went into water dry",
        "gum and what wets it",
        m.gum_wetting,
        "Stir the gum into glycerin or oil first, then into water: smooth?",
        "Wet it with glycerin or glycol, or strew it into the warm oil phase; no high shear after.",
        "Glycerin feels sticky above 2 to 3 %.",
        "chemists_forum_3808_xanthan; chemists_forum_7657_froth",
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
    "loose_grains": Row(
        "nothing holds the grains",
        "volume share of the grains; yield stress where it was measured",
        jar.loose_grains,
        "Fill a clear jar and measure the clear layer after a day in the room and a day at 40 °C.",
        "More grains, so that they touch; finer grains; or a fat network or gum gel, tried in the jar.",
        "Stiffer, or more drag on the skin.",
        "tabuteau_2007_page; brzinski_durian_2017; probstein_value_page",
    ),
    "warm_grains": Row(
        "the fat that held the grains melted in the warm",
        "solids of the fat at 40 °C",
        jar.warm_grains,
        "Keep one jar at 40 °C for a day and one in the room: a clear layer only in the warm one?",
        "Raise what melts higher: wax or fatty alcohol; keep the jar cool.",
        "Harder in the cold, more film on the skin.",
        "soapmaking_77198_scrub",
    ),
    "gum_inside": Row(
        "the gum lies inside, and oil outside",
        "gum and the outer phase",
        jar.gum_inside,
        "Stir a little into water, and a little into oil: it spreads in the one that lies outside.",
        "Bring water outside, or hold the grains with a fat network.",
        "Another emulsifier or another order of work.",
        PRACTICE,
    ),
    "softer_together": Row(
        "fats that are softer together than either",
        "cocoa-like butters beside lauric fats, and other such pairs",
        jar.softer_together,
        "Melt 50 g without one of the two, let both stand for two days, press a spoon into each.",
        "Take one of the two out, or raise the wax.",
        "Another feel and price.",
        "joshi_2020; jopr_24_1349_2012; timms_1985",
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
"""Every cause, by a short key."""

SYMPTOMS: dict[str, tuple[str, ...]] = {
    "thin": ("dose", "thickener", "oil_late", "early", "acid", "salt", "heat", "soft", "shear"),
    "split at once": ("half", "dose", "hlb", "heat", "charge", "fragrance", "shear", "melted"),
    "split next day": ("heat", "dose", "hlb", "shear", "salt", "fragrance", "charge", "acid", "melted"),
    "too soft": ("soft", "melted", "softer_together", "much"),
    "oil on top": ("melted", "undissolved", "hlb", "dose", "fragrance", "creaming"),
    "water below": ("water_in", "wet_grains", "salt", "dose", "creaming", "hlb", "acid", "no_salt"),
    "grains at the bottom": ("loose_grains", "warm_grains", "gum_inside"),
    "hard after days": ("one_alcohol", "solid_mix", "wet_grains", "evaporated"),
    "grainy": ("butters", "heat", "powder", "wet_grains"),
    "white on rubbing": ("soap", "much", "waxy_alone", "white_powder"),
    "cloudy": ("solubiliser", "salt_haze"),
    "sticky": ("humectants", "gum", "much", "sticky_fats"),
    "lumps": ("gum_wetting", "heat", "powder"),
    "crumbs of wax": ("heat", "cold", "shear"),
    "slippery tub": ("slip", "dose", "rinse_hlb"),
    "film left": ("waxes", "dose", "rinse_hlb", "undissolved", "cold_water"),
    "does not rinse": ("dose", "rinse_hlb", "waxes", "undissolved", "cold_water"),
    "not white on rinsing": ("dose", "rinse_hlb", "undissolved", "cold_water"),
}
"""What the maker sees, and its causes in the order of the trade."""
