"""What stands between a formula and its sale in each market: steps with their section.

Read second-hand for the most part; what was not read says so. Laws change: each step defers to the
current text and to qualified people.
"""

from __future__ import annotations

from dataclasses import dataclass

MARKETS = ("us", "eu", "uk")
"""Markets that a page is held for."""

TITLES = {"us": "United States", "eu": "European Union", "uk": "Great Britain"}

SECOND = "seen second-hand"
MEMORY = "from memory"


@dataclass(frozen=True, slots=True)
class Step:
    """One thing to have before a first sale.

    Parameters
    ----------
    topic : str
        Its word for the program; what a formula says of it is found by this.
    title : str
        What it is.
    text : str
        What is asked for, in a sentence or two.
    section : str
        Where, and how that is known.
    who : str
        Who can answer it.
    """

    topic: str
    title: str
    text: str
    section: str
    who: str = ""


_TESTS = (
    Step(
        "challenge",
        "Challenge test",
        "A test of the preservation with microbes added to the finished product in its package. It may be "
        "waived with written reasons for what germs cannot grow in; a product that meets water in use is "
        "judged in use too.",
        f"ISO 11930:2019 (iso_11930_2019); ISO 29621:2017 on low-risk products, {SECOND}",
        "A microbiological laboratory.",
    ),
    Step(
        "stability",
        "Stability in its package",
        "Jars kept warm, cold and at room temperature, looked at and measured over months. No standard "
        "sets the conditions: the maker chooses and justifies them. A shelf life is not read off a "
        "few warm weeks.",
        "ISO/TR 18811:2018, catalogue text and contents seen",
        "A laboratory, or the workshop with a written plan.",
    ),
)

US = (
    Step(
        "safety",
        "Proof of safety",
        "Tests, studies or other evidence that experts would find enough to be reasonably certain that it "
        "is safe. The warning of 21 CFR 740.10, that safety was not determined, is no way out.",
        f"FD&C Act 608 (MoCRA), statute quoted; 21 CFR 740.10, copy seen; the last sentence {MEMORY}",
        "A safety assessor or toxicologist.",
    ),
    Step(
        "notice",
        "Registration and listing",
        "Facility registered within 60 days, each product listed within 120 days, renewed every two "
        "years. A small business, below about 1,000,000 USD a year over three years, is exempt, unless a "
        "product touches the eye, is injected, is for inside the body or alters looks for more than a day.",
        f"FD&C Act 607 and 612 (MoCRA), {SECOND}",
        "FDA, or an adviser.",
    ),
    *_TESTS,
    Step(
        "colour",
        "Colours",
        "Each colour needs its own listing for that use; certified ones only from a lot with an FDA "
        "certificate, its number on record.",
        "FD&C Act 721; 21 CFR Parts 73, 74, 82 (fda_colour_fact_sheet)",
        "The supplier, for the lot.",
    ),
    Step(
        "label",
        "Label",
        "Name and function, net contents, list of ingredients, warnings, name and place of business, and a "
        "US contact for reports of harm.",
        f"21 CFR 701.3 (cfr_701_3), 701.11 to 701.13 (cfr_701_13), 740.1; FD&C Act 609, {SECOND}",
        "A qualified person, before it is printed.",
    ),
    Step(
        "claims",
        "Claims",
        "What says that it treats, heals or prevents, protects from the sun or kills germs makes a drug "
        "of it. Keep proof of every other claim.",
        f"FD&C Act 201(g), {MEMORY}; 21 CFR 700.35 on sunscreens, text seen",
        "A lawyer, where in doubt.",
    ),
    Step(
        "records",
        "Records and complaints",
        "A record of each batch with lots; serious reports of harm to FDA within 15 business days; such "
        "records are kept six years, by a small business three. A way to call a batch back.",
        f"FD&C Act 605, 610, 611 (MoCRA), {SECOND}; ISO 22716:2007 as practice, no US rule yet",
        "",
    ),
    Step(
        "local",
        "State and local rules",
        "States go further: New York limits 1,4-dioxane; others ban ingredients or ask for a licence of "
        "the workshop.",
        f"New York ECL articles 35 and 37 (new_york_dioxane); others {MEMORY}",
        "The state's own pages.",
    ),
)

EU = (
    Step(
        "person",
        "Responsible person",
        "A person or company within the Union answers for the product; without one nothing is placed on "
        "the market.",
        f"Reg. (EC) 1223/2009 Art. 4, {MEMORY}",
        "",
    ),
    Step(
        "safety",
        "Safety report",
        "A report by a qualified assessor: composition, stability, microbiology, impurities, package, use, "
        "exposure, toxicology, and a reasoned conclusion with warnings.",
        f"Art. 10 and Annex I (eu_1223_2009), contents seen; degree of the assessor {MEMORY}",
        "A safety assessor with a degree in pharmacy, toxicology, medicine or the like.",
    ),
    Step(
        "notice",
        "Notice",
        "The product is notified in the portal of the Union (CPNP) before it is first sold.",
        f"Art. 13 (eu_1223_2009), {SECOND}",
        "The responsible person.",
    ),
    Step(
        "records",
        "Product file and good practice",
        "A file with safety report, method of making, proof of claims and of good manufacturing practice; "
        "kept ten years after the last batch.",
        f"Art. 11 (eu_1223_2009), {SECOND}; ten years and Art. 8 with EN ISO 22716 {MEMORY}",
        "",
    ),
    *_TESTS,
    Step(
        "annexes",
        "Annexes",
        "Prohibited and restricted substances, and closed lists of colours, preservatives and UV filters. "
        "A permission elsewhere proves nothing here.",
        f"Art. 14 and Annexes II to VI (eu_1223_2009), {SECOND}",
        "The assessor, by the text in force.",
    ),
    Step(
        "allergens",
        "Fragrance",
        "The supplier's certificate by category, and the allergen sheet: 80 names from 31 July 2026 on new "
        "products, on stock from 31 July 2028.",
        f"Reg. (EU) 2023/1545 (eu_2023_1545), {SECOND}",
        "The supplier of the fragrance.",
    ),
    Step(
        "label",
        "Label",
        "Responsible person, content, durability or period after opening, precautions, batch number, "
        "function and list of ingredients, in the languages that the country asks for.",
        f"Art. 19 (eu_1223_2009), {SECOND}; languages {MEMORY}",
        "A qualified person, before it is printed.",
    ),
    Step(
        "claims",
        "Claims",
        "True, proved and fair; nothing that makes a medicine of it.",
        f"Art. 20; Reg. (EU) 655/2013, {MEMORY}",
        "The responsible person.",
    ),
    Step(
        "harm",
        "Reports of harm",
        "Serious undesirable effects are reported to the authority at once; the file keeps them all.",
        f"Art. 23, {MEMORY}",
        "The responsible person.",
    ),
)

UK = (
    Step(
        "person",
        "Responsible person",
        "A responsible person within the United Kingdom, beside the one in the Union if both are sold to.",
        f"UK cosmetics regulation as kept from 1223/2009, {SECOND}",
        "",
    ),
    Step(
        "safety",
        "Safety report",
        "A report by a qualified assessor, as in the Union.",
        f"Art. 10 and Annex I as kept, {SECOND}",
        "A safety assessor.",
    ),
    Step(
        "notice",
        "Notice",
        "Notified in the service for Great Britain (SCPN) before it is placed on the market. Northern "
        "Ireland follows the portal of the Union.",
        f"Art. 13 as kept, {SECOND}",
        "The responsible person.",
    ),
    Step(
        "records",
        "Product file",
        "A file as in the Union, held in the United Kingdom.",
        f"{SECOND}; where it is held {MEMORY}",
        "",
    ),
    *_TESTS,
    Step(
        "annexes",
        "Annexes and allergens",
        "The annexes have had versions of their own since 2021: do not take a change of the Union for one "
        "here. Ask the assessor which list of allergens is in force.",
        "note of legislation.gov.uk seen",
        "The assessor, by the text in force.",
    ),
    Step(
        "label",
        "Label",
        "As in the Union, with the name and address of the responsible person in the United Kingdom.",
        f"Art. 19 as kept, {SECOND}",
        "A qualified person, before it is printed.",
    ),
    Step(
        "claims",
        "Claims",
        "True, proved and fair; nothing that makes a medicine of it.",
        f"{MEMORY}",
        "The responsible person.",
    ),
)

STEPS = {"us": US, "eu": EU, "uk": UK}

CANNOT_KNOW = (
    "whether this jar keeps: no sum stands in for a challenge test and months on the shelf",
    "what is in a bought material beyond what its supplier says, nor whether the sheet is of your lot",
    "how clean workshop, water and jars are",
    "who uses it, on which skin, how often, and what they are allergic to",
    "what your label, shop and advertising say beside the list",
    "which rules hold in your state or country today, and which have changed since these were read",
)
"""What no arithmetic tells of a product."""
