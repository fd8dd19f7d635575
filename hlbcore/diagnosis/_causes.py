"""What goes wrong at the bench: causes, the figure to look at, the test, the mend and its price.

Sources stand for the cause and its mend; amounts and times of a bench test are common practice, no
source.
"""

from __future__ import annotations

from hlbcore.diagnosis import _measures as m
from hlbcore.diagnosis._causes_jar import IN_THE_JAR
from hlbcore.diagnosis._causes_skin import ON_SKIN
from hlbcore.diagnosis._measures import Row
from hlbcore.product_types import PRACTICE

_DOUBLE = "Make 100 g with half as much emulsifier again, all else the same; compare after a day."

_EMULSION: dict[str, Row] = {
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
    "gum_wetting": Row(
        "gum went into water dry",
        "gum and what wets it",
        m.gum_wetting,
        "Stir the gum into glycerin or oil first, then into water: smooth?",
        "Wet it with glycerin or glycol, or strew it into the warm oil phase; no high shear after.",
        "Glycerin feels sticky above 2 to 3 %.",
        "chemists_forum_3808_xanthan; chemists_forum_7657_froth",
    ),
}

ROWS = {**_EMULSION, **IN_THE_JAR, **ON_SKIN}
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
