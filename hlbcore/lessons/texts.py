"""Short lessons in order, with limits and criticism, and the exercises that belong to each."""

from __future__ import annotations

from hlbcore.blending.evidence import ADDS_UP, EVIDENCE
from hlbcore.errors import InvalidInput, clipped
from hlbcore.lessons._lesson import Lesson, Limit
from hlbcore.product_types import PRACTICE

USES = (
    ("makes water-in-oil (w/o)", 3.0, 6.0),
    ("wets", 7.0, 9.0),
    ("makes oil-in-water (o/w)", 8.0, 18.0),
    ("washes", 13.0, 15.0),
    ("dissolves a little oil", 15.0, 18.0),
)
"""What an HLB is a rough guide to, with its span. [HLB]
Sources: griffin_1949_recalled; the last one also raw_source_solubilizing."""

ARITHMETIC = "arithmetic of weighted means"

_LESSONS = (
    Lesson(
        "what",
        "What HLB is, and what it is not",
        "You can say what the number stands for, and you no longer mix up its two kinds.",
        (
            "Oil and water part. An emulsifier sits where they meet: one end of its molecule "
            "prefers water, the other prefers oil. HLB, the hydrophile-lipophile balance, puts a "
            "number on which end weighs more. Nonionic emulsifiers run from about 1 to 20: low "
            "means at home in oil, high means at home in water. Ionic ones are placed by their "
            "behaviour and may lie beyond, sodium lauryl sulfate at 40.",
            "Why it matters: the liquid in which an emulsifier is more at home tends to become the outer "
            "one, since the film at the border bends round the other. That is a rule with exceptions.",
            "As a rough guide, about 3 to 6 makes water-in-oil (w/o), about 7 to 9 wets, about 8 to 18 "
            "makes oil-in-water (o/w), about 13 to 15 washes, and about 15 to 18 dissolves a little oil "
            "in water. Between neighbouring uses there is no sharp line.",
            "There are two numbers with similar names. An emulsifier has an HLB: what it brings. "
            "An oil has a required HLB: what it asks for, found as the HLB of the blend that "
            "served it best in a trial. An oil has no HLB of its own, and cetyl alcohol's required "
            "HLB of about 15 does not make it an emulsifier of HLB 15.",
        ),
        (
            (
                "HLB = 20 × Mh / M",
                "ethoxylates without charge: hydrophilic part over the whole",
                "primidi_griffin",
            ),
        ),
        (
            Limit(
                "The number describes a balance, not a strength: it says which way an emulsifier "
                "leans, not how much of it is needed nor how long an emulsion lasts.",
                "griffin_1949_recalled; pasquali_2008",
            ),
            Limit(
                "That the outer liquid is the one the emulsifier dissolves in (Bancroft's rule) fails for "
                "some emulsifiers, and where one liquid is much less than the other.",
                "general colloid chemistry, from memory",
            ),
            Limit(
                "The ranges by use are rules of thumb and differ from list to list.", "griffin_1949_recalled"
            ),
        ),
        ("compare",),
    ),
    Lesson(
        "required",
        "What an oil phase requires",
        "You can work out the required HLB of any oil phase and say how firm the result is.",
        (
            "Each oil asks in proportion to its share. Multiply each amount by its required HLB, "
            "add up, and divide by the amount of all oils together. The result always lies between "
            "the lowest and the highest figure that went in; if yours does not, something was "
            "divided by the wrong sum.",
            "Who counts: oils, butters, waxes, esters, silicones, fatty alcohols and acids, "
            "vitamin E, and fragrance, also what is added in the cool-down (counting fragrance is our "
            "convention; a switch leaves it out). Who does not: emulsifiers, water, glycerin, "
            "preservatives, powders, gums, sugar. Fatty "
            "alcohols, stearic acid and glyceryl stearate stand on both sides in the trade: choose "
            "one way of counting and keep to it.",
            "Required HLB depends on the type of emulsion. Mineral oil asks for about 10 in o/w "
            "and about 6 in w/o. Most oils have no w/o figure in these tables, and the o/w figure "
            "must not stand in for it.",
            "The figures come from trials, each with its own emulsifiers, temperature and way of "
            "judging. Lists copy each other, so ten lists with one figure may be one trial. Take "
            "every figure with a range of at least one unit each way.",
        ),
        (
            (
                "R of the phase = sum(m × R) / sum(m)",
                "m: amount of each oil, R: its required HLB; so printed in the worked example of this source",
                "wangpradit_2022",
            ),
        ),
        (
            Limit(f"{ADDS_UP} Published figures are approximate guides.", "pasquali_2008; ohba_1962"),
            Limit(
                "For some materials the sources lie several units apart: beeswax, lanolin, "
                "petrolatum, dimethicone, caprylic/capric triglyceride. Work with both ends.",
                "the tables of this package, all readings side by side",
            ),
            Limit(
                "A worked exercise in print arrives at a required HLB of 57: it was divided by the "
                "wrong sum and an emulsifier was added in; 12.0 is right.",
                "homework_page_101529772",
            ),
        ),
        ("phase", "wo", "formula"),
    ),
    Lesson(
        "blend",
        "A blend that meets it",
        "You can split a pair for any HLB within its reach, and see at once what is out of reach.",
        (
            "The HLB of a blend is the mean of its members, weighted by mass. Two emulsifiers, one "
            "below and one above the required HLB, can be mixed to meet it exactly. The share of "
            "the higher one is the way from the lower to the target, over the whole way from the "
            "lower to the higher. The old name of this sum is alligation.",
            "Always put the shares back into the sum. That catches swapped shares, the most usual slip.",
            "A blend never leaves the span of its members. Two emulsifiers of HLB 4 and 10 do not "
            "add up to 14: they reach 4 to 10 and no further. A negative share in a sum means just "
            "this.",
            "Two blends of one HLB need not behave alike. A pair with the same fatty chain is a "
            "usual first choice.",
        ),
        (
            ("H = sum(share × h)", "h: HLB of each emulsifier", "chinese_textbook_872331"),
            ("share of the higher = (R - low) / (high - low)", "the lower one is the rest", ARITHMETIC),
        ),
        (
            Limit(EVIDENCE, "printed_formulas_2026"),
            Limit(
                "Weighted means are a fair approximation for nonionic emulsifiers. Soaps, "
                "sulfates, cationic, polymeric and lamellar emulsifiers follow them badly or not "
                "at all.",
                "griffin_1949_recalled; pasquali_2008",
            ),
            Limit(
                "At equal HLB, emulsifiers of different families often differ in fineness, feel "
                "and keeping: the number does not choose the family.",
                PRACTICE,
            ),
        ),
        ("blend", "reach", "split"),
    ),
    Lesson(
        "amount",
        "How much of it",
        "You can go from a ratio to per cent of the formula, to grams, and say what the scale misses.",
        (
            "HLB gives the kind of blend, never the amount. Twice the amount has the same HLB. In "
            "print an o/w cream holds 2 to 8 % of emulsifier, or 9 to 32 % of its oil phase, and the "
            "dose hardly follows the oil. Say each time what a percentage is counted on: 20 % of an "
            "oil phase that is 25 % of the formula is 5 % of the formula.",
            "Per cent is not grams. 5 % of a batch of 200 g is 10 g. From the share of the blend "
            "to the formula it is one more step: 40 % of the blend, with 5 % of blend in all, is 2 "
            "% of the formula.",
            "A scale rounds. By rounding alone a reading may be off by half a division, and an amount "
            "in a tared vessel, being two readings, by a whole one: 0.1 g is a fifth of 0.5 g. What a "
            "scale shows is not what it can do: repeat one weight ten times and see how far the readings "
            "spread. Weigh less than ten divisions only if you must (our convention); a larger batch or a "
            "finer scale is the mend.",
        ),
        (
            ("% of the formula = % of the oil phase × oil phase / 100", "oil without emulsifier", ARITHMETIC),
            ("grams = % of the formula × batch / 100", "each ingredient", ARITHMETIC),
            (
                "rounding in % = 100 × division / 2 / amount",
                "one reading; twice that for a tared amount; what the scale does beside comes on top",
                ARITHMETIC,
            ),
            (
                "doubt of a blend = √(sum of ((h - H) / M × u)²)",
                "u is what one weighing may miss; at the worst all errors pull the same way",
                "JCGM 100:2008, 5.1.2, from memory",
            ),
            (
                "cost of a jar = cost of the batch × jar / what is left of the batch + what each jar needs",
                "a line costs grams × price of a kg / 1000; without a price it is 'at least'",
                ARITHMETIC,
            ),
        ),
        (
            Limit(
                "Usual doses are habits: percentiles of printed formulas and rules, not measurements. "
                "Neat emulsifiers and waxes that bring fatty alcohol must be told apart.",
                "data/dose_evidence.csv",
            ),
            Limit(
                "25 % of the oil phase is a rule for one kind of ready emulsifying wax, not for "
                "emulsifiers in general.",
                PRACTICE,
            ),
        ),
        ("amounts", "total", "dose", "grams", "scale", "weighed"),
    ),
    Lesson(
        "swap",
        "Swap an ingredient",
        "You can say what a swap does to the required HLB, and whether the old blend may stay.",
        (
            "A swap changes the weighted mean. Work out the required HLB with the new ingredient; "
            "the amounts of everything else stay. If the old blend still lies inside the window, "
            "usually ±1, it may stay. If not, move the ratio of the pair as little as need be.",
            "Butters are often close to each other: 7.5 % cocoa butter (6) swapped for mango "
            "butter (8) in an oil phase of 25 % moves the required HLB by 0.6. The pair may stay. "
            "What changes is hardness and feel, of which HLB knows nothing.",
            "Adding oil without adding emulsifier lowers the dose: look at both numbers after "
            "every change. With a limit on one emulsifier the ratio sets the most that both "
            "together may be: the limit over its share.",
        ),
        (
            ("change of R = share × (R new - R old)", "share of the oil phase that is swapped", ARITHMETIC),
            ("most of both = limit / share of the limited one", "at a ratio that is fixed", ARITHMETIC),
        ),
        (
            Limit(
                "Equal required HLB does not make two oils equal: melting, spreading, grain and "
                "allergens differ. Make a small batch first, and keep it cold and warm.",
                PRACTICE,
            ),
            Limit(
                "A figure of one list set against a figure of another may differ by the lists "
                "alone. A swap of less than the range of the figures is no change that HLB can "
                "see.",
                "the tables of this package, all readings side by side",
            ),
        ),
        ("swap",),
    ),
    Lesson(
        "ladder",
        "Let the bench decide: the ladder",
        "You can plan a ladder, read it without fooling yourself, and work back an unknown oil.",
        (
            "A ladder is a row of small emulsions, alike in everything but the HLB of the blend: "
            "one pair, one total, one oil phase, one way of making, seven vials or so across the "
            "range in question. The same pair throughout, or the family changes with the HLB.",
            "Make the vials in random order, so that a bath that cools or a hand that tires does not "
            "climb with the HLB. Repeat some: only like vials show how far readings scatter. Hide the "
            "HLB behind codes (blinded vials): whoever knows it sees what is expected.",
            "Score water that separates and oil that separates apart, at set times. The optimum lies "
            "where least separates. The page Ladder lays curves with two flanks of their own through all "
            "readings; by hand, a parabola through the best vial and its neighbours is near enough. "
            "Either is taken to half a rung at best (our convention): nothing was made between the rungs.",
            "Sometimes there is no optimum: all vials alike, or the best one at the end of the "
            "row. Then the answer is another ladder, not a number. Two good places far apart may be "
            "scatter: repeat them before you believe them.",
            "With one oil of known required HLB beside it, an unknown one can be worked back: take "
            "from the optimum what the known oil asks for, and divide by the share of the "
            "unknown. The smaller that share, the more every error is blown up.",
        ),
        (
            ("R unknown = (R optimum × M - sum(m × R known)) / m unknown", "M: all oils", ARITHMETIC),
            (
                "± unknown = (± optimum × M + sum(m × ± known)) / m unknown",
                "the most; so use a large share, and an oil whose figure is firm",
                ARITHMETIC,
            ),
        ),
        (
            Limit(
                "A published ladder with nine rungs 1.07 apart gave emulsions on three "
                "neighbouring rungs only, which supports a window of about one unit each way.",
                "hassan_2018",
            ),
            Limit(
                "An optimum belongs to its pair, dose, temperature and method. Working back an oil "
                "leans on the sum by mass, which was never shown to hold in general.",
                "pasquali_2008",
            ),
            Limit(
                "Small vials are made without preservative for a few days of watching. Do not use "
                "them on skin and throw them away after.",
                PRACTICE,
            ),
        ),
        ("course", "ladder", "unknown"),
    ),
    Lesson(
        "limits",
        "Where HLB fails",
        "You know when to stop trusting the number, and what to ask instead.",
        (
            "HLB knows the molecule and nothing of its surroundings. Temperature, salt, pH, the "
            "amount of emulsifier, the phase volume and the way of mixing all move an emulsion, "
            "and the number stays where it is. An ethoxylate that makes o/w in the cold can "
            "turn to w/o when it is warmed (phase inversion); usual salts such as chlorides and sulfates "
            "drive the same way, a few (iodides, thiocyanates) the other.",
            "Structure gives only an estimate. From the oxyethylene share, fatty alcohol ethers "
            "and PEG esters come out right within a few tenths. Polysorbates come out 0.3 to 1.0 "
            "too high, sorbitan esters 0.9 to 3.4, because what is sold is a mixture of esters. "
            "Davies' groups add contributions instead, with 7 as the start and -0.475 for each "
            "carbon of the chain; they place soaps at about 18 to 20 and sulfates near 40. Use "
            "structure beside a listed value, never in its place.",
            "For some products HLB is not the question. In a scrub or cleansing balm that meets "
            "water only under the tap, the rinse decides. A clear product is a matter of "
            "solubiliser to oil, a conditioner of its cationic gel, a whipped butter has no "
            "emulsion at all, and an all-in-one wax goes by its supplier's rate.",
            "An emulsion that meets its required HLB is a good start and no proof. Time, heat, "
            "cold and a microbiological test of the preserved product come after, and a qualified "
            "safety assessor has the word on what is sold.",
        ),
        (
            ("HLB = (E + P) / 5", "Griffin: per cent oxyethylene and polyol", "physical_pharmacy_2009"),
            (
                "HLB = 20 × (1 - S / A)",
                "Griffin, esters of fatty acids with polyols: saponification number, acid number of the acid",
                "physical_pharmacy_2009",
            ),
            ("HLB = 7 + sum(n × group number)", "Davies", "profilpelajar_davies"),
        ),
        (
            Limit(
                "The system leaves out temperature, electrolytes, pH, concentration and process; "
                "Griffin's figures agree with theory for alkyl ethers and PEG esters, not for "
                "glyceryl stearate, sorbitan esters and polysorbates.",
                "pasquali_2008",
            ),
            Limit(
                "With heat a nonionic with oxyethylene turns from o/w to w/o, at a temperature of its own.",
                "general colloid chemistry, from memory",
            ),
            Limit(
                "6 % of salt in the water acted on one ethoxylate like 0.8 to 1.0 HLB less.",
                "salts_hlb_paper",
            ),
            Limit(
                "Put through Griffin's formula, a triglyceride gives a number too. It is no required HLB.",
                "arithmetic of the formula, see notebook 5",
            ),
            Limit(
                "Davies' groups are counted on an idealised molecule; a name such as lecithin or "
                "sucrose stearate does not fix one.",
                "davies_1957",
            ),
        ),
        ("structure", "masses", "groups", "fault"),
    ),
)


def lesson_texts() -> tuple[Lesson, ...]:
    """All short lessons, in the order of reading.

    Returns
    -------
    tuple of Lesson
        Each with its limits, their sources, and the levels of exercises that belong to it.

    Examples
    --------
    >>> [lesson.key for lesson in lesson_texts()]
    ['what', 'required', 'blend', 'amount', 'swap', 'ladder', 'limits']
    """
    return _LESSONS


def lesson_text(key: str) -> Lesson:
    """One lesson by its short name.

    Parameters
    ----------
    key : str
        As in ``[lesson.key for lesson in lesson_texts()]``.

    Returns
    -------
    Lesson
        The lesson.

    Raises
    ------
    InvalidInput
        If there is none of that name.

    Examples
    --------
    >>> lesson_text("blend").title
    'A blend that meets it'
    """
    for lesson in _LESSONS:
        if lesson.key == str(key).strip().casefold():
            return lesson
    raise InvalidInput(
        f"lesson '{clipped(key)}'",
        "there is none of that name",
        f"Use {', '.join(lesson.key for lesson in _LESSONS)}.",
    )
