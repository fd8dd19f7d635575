"""What the ending of a name tells: kind, family, charge and system. common practice, no source."""

from __future__ import annotations

import re

_ALKYL = (
    r"(?:di|tri)?(?:iso)?(?:propyl|butyl|amyl|hexyl|octyl|nonyl|decyl|undecyl|tridecyl|cetyl|cetearyl|stearyl|"
    r"myristyl|lauryl|oleyl|behenyl|heptyl|ethylhexyl|octyldodecyl|hexyldecyl|propylheptyl|caprylyl|coco|ethyl|"
    r"neopentyl glycol|propanediol|propylene glycol|pentaerythrityl|trimethylolpropane|glycol|"
    r"c\d+-\d+ alkyl)"
)
_ACYL = (
    r"(?:\w*stearate|\w*oleate|\w*palmitate|\w*laurate|\w*myristate|\w*caprylate|\w*caprate|\w*behenate|cocoate|"
    r"erucate|linoleate|olivate|ricinoleate|\w*nonanoate|\w*hexanoate|heptanoate|\w*pentanoate|pelargonate|"
    r"dipelargonate|benzoate|adipate|sebacate|malate|citrate|lactate|carbonate|\w*salicylate|"
    r"trimellitate|undecylenate|dicaprylate|dicaprate|triglyceride|octanoate|succinate)"
)
KIND_PATTERNS: tuple[tuple[re.Pattern[str], str, str, str, str], ...] = tuple(
    (re.compile(pattern), kind, family, charge, system)
    for pattern, kind, family, charge, system in (
        (
            r"\b(?:emulsifying|conditioning|cationic|nonionic|non-ionic|anionic|lotion) wax\b",
            "emulsifying wax",
            "all-in-one",
            "",
            "all-in-one wax",
        ),
        (r"\bemulsifier\b", "emulsifier", "", "", "other"),
        (
            r"^peg-\d+ (?:.*dimethicone|methicone)",
            "emulsifier",
            "silicone emulsifier",
            "nonionic",
            "silicone",
        ),
        (r"peg/ppg-.*(?:methicone|siloxane)", "emulsifier", "silicone emulsifier", "nonionic", "silicone"),
        (r"^peg-\d+ (?:hydrogenated )?castor oil$", "emulsifier", "ethoxylated oil", "nonionic", "Griffin"),
        (r"^peg-\d+[ -][a-z]", "emulsifier", "PEG ester", "nonionic", "Griffin"),
        (r"^(?:sodium|ammonium|tea|magnesium) .*sulfate$", "other", "", "", ""),
        (
            r"\b(?:ceteareth|ceteth|steareth|laureth|oleth|trideceth|beheneth|isoceteth|isosteareth|pareth|"
            r"myreth|deceth)-\d+$",
            "emulsifier",
            "ethoxylated alcohol",
            "nonionic",
            "Griffin",
        ),
        (r"^polyglyceryl-\d+ ", "emulsifier", "polyglyceryl ester", "nonionic", "polyglyceryl"),
        (r"^polyglycerin-\d+$|^peg-\d+$", "humectant", "", "", ""),
        (r"^(?:carrier |liquid |plant |base )?oils?$", "oil", "", "", ""),
        (r"^(?:thickener|gelling agent)$", "gum", "", "", ""),
        (r"^polysorbate \d+$", "emulsifier", "polysorbate", "nonionic", "Griffin"),
        (r"^sorbitan \w+ate$", "emulsifier", "sorbitan ester", "nonionic", "Griffin"),
        (r"^sucrose \w+ate$", "emulsifier", "sucrose ester", "nonionic", "sucrose"),
        (r"^glyceryl \w+ate$", "emulsifier", "glycerol ester", "nonionic", "Griffin"),
        (r"glucoside$", "emulsifier", "glucoside", "nonionic", "glucoside"),
        (r"lactylate$", "emulsifier", "lactylate", "anionic", "lactylate"),
        (
            r"^(?:sodium|potassium) \w*(?:stearate|oleate|palmitate|cocoate|tallowate|olivate)$",
            "emulsifier",
            "soap",
            "anionic",
            "soap",
        ),
        (
            r"(?:trimonium|dimonium) (?:chloride|methosulfate|bromide)$|^quaternium-\d+$",
            "emulsifier",
            "quaternary",
            "cationic",
            "cationic",
        ),
        (r"^polyquaternium-\d+$|hydroxypropyltrimonium", "other", "", "", ""),
        (
            r"\b(?:isethionate|taurate|sarcosinate|sulfosuccinate|sulfoacetate|glutamate|betaine|sultaine|"
            r"amphoacetate)$",
            "other",
            "",
            "",
            "",
        ),
        (r"(?:cross|co)polymer(?:-\d+)?$|polyacrylate\b|\bcarbomer$", "gum", "", "", ""),
        (r"(?:methicone|methiconol|siloxanes?|silsesquioxane)$", "silicone", "", "", ""),
        (r"\bfragrance\b|\bflavou?r oil$|\bparfum\b|\bperfume\b|\baroma\b", "fragrance", "", "", ""),
        (r"\bessential oils?(?: blend)?$|\babsolute$", "essential oil", "", "", ""),
        (r"(?:oil[- ]soluble|co2).*extract|extract.*(?:oil[- ]soluble|co2)", "oil", "", "", ""),
        (r"\b(?:infused|macerated) .*oil$|\binfused .+|\bmacerate$|\boil infusion$", "oil", "", "", ""),
        (r"\b(?:leaf|flower|peel|rind|bark|needle|herb|bud|resin|wood) oil$", "essential oil", "", "", ""),
        (
            r"\bhydrogenated .*(?:oil|glycerides?)$|\bcera$|"
            r"\b(?:fruit|seed|kernel|nut|bran|germ|peel|leaf|flower) wax$",
            "wax",
            "",
            "",
            "",
        ),
        (r"\w+ (?:seed|kernel|nut|germ|bran|pulp|pit) oil$", "oil", "", "", ""),
        (r"\w+ (?:seed|kernel|nut|fruit) butter$", "butter", "", "", ""),
        (r"\b(?:cocoglycerides|\w*glycerides|triglycerides?)$", "ester", "", "", ""),
        (rf"^{_ALKYL}(?:/\w+)* (?:\w+/)*{_ACYL}(?:/\w+)*$|^coco-cap", "ester", "", "", ""),
        (r"\b(?:alkanes?|isoparaffin|polyisobutene|polydecene)$", "hydrocarbon", "", "", ""),
        (r"\bextracts?$", "active", "", "", ""),
        (
            r"(?:\b|bio)(?:ferment|filtrate|lysate|proteins?|peptides?|amino acids|collagen|elastin)$"
            r"|^hydroly[sz]ed ",
            "active",
            "",
            "",
            "",
        ),
        (r"\bpeptide(?:-\d+)?$|^vitamin [a-z]\d*$|^ceramide \w+$", "active", "", "", ""),
        (
            r"\b(?:hydrosol|hydrolate|hydrolat|distillate|juice|tea|milk|floral water|flower water|water|"
            r"decoction|infusion|vinegar)$",
            "water",
            "",
            "",
            "",
        ),
        (
            r"\b(?:mica|pigment|dye|lake|colou?rant|glitter|colou?r)s?$|^ci ?\d{5}(?::\d)?$",
            "colour",
            "",
            "",
            "",
        ),
        (
            r"\b(?:powder|clay|starch|flour|meal|charcoal|oats|oatmeal|seeds|husk|shell|loofah|petals|grounds)$",
            "powder",
            "",
            "",
            "",
        ),
        (r"\bgum$", "gum", "", "", ""),
        (r"\b(?:edta|chelator|chelating agent|salts?)$", "salt", "", "", ""),
        (r"\b(?:sugar|honey|syrup|molasses)$", "sugar", "", "", ""),
        (r"\b(?:paraben|preservatives?)$", "preservative", "", "", ""),
        (r"\b(?:glycol|glycerin|diol)$", "humectant", "", "", ""),
        (r"\bacid$", "acid", "", "", ""),
    )
)
"""Pattern, kind, family, charge, system; the first that fits counts."""
