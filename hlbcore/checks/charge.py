"""Salt, pH and charge: what HLB leaves out and breaks an emulsion or a gel all the same.

=========  ====================================================================================
inputs     salts, acids, bases, emulsifiers, gums, preservatives [% of formula, active part],
           water [% of formula], emulsion type, pH [-], fatty acid turned to soap
rule       electrolyte against emulsion type; pH against soap, lactylate and what acid or alkali
           spoils; anionic with cationic; carbomer with base and without salt
source     threads of makers and chemists, one abstract; what is general chemistry, from memory,
           says so
levels     cationic preservative with anionic emulsifier: stop; the rest caution; a pH that is
           missing where it matters, a w/o emulsion without salt: note
mend       how much less salt, base for the carbomer; else what to replace or to measure
=========  ====================================================================================
"""

from __future__ import annotations

from hlbcore.blending.worked import Worked
from hlbcore.checks._gels import acrylic, active_sum, alginate, line_names, salt_lines, soap_made
from hlbcore.counting.counted import Counted
from hlbcore.counting.soap import soap_of
from hlbcore.findings import Finding
from hlbcore.rules import electrolytes


def charge(view: Worked) -> list[Finding]:
    """Salt, pH and charges that act against the emulsifiers and the gel.

    Parameters
    ----------
    view : Worked
        A finished product.

    Returns
    -------
    list of Finding
        Empty where nothing of the kind is there; that says nothing of how the emulsion keeps.
    """
    return [
        *_electrolyte(view),
        *_soap(view),
        *_lactylate(view),
        *_spoiled(view),
        *_conflicts(view),
        *acrylic(view),
        *alginate(view),
    ]


def _holding_soap(view: Worked) -> tuple[Counted, ...]:
    return tuple(
        s
        for s in view.emulsifiers
        if s.ingredient
        and (s.ingredient.family in electrolytes.SOAP_FAMILIES or s.ingredient.id in electrolytes.SOAP_IDS)
    )


def _electrolyte(view: Worked) -> list[Finding]:
    """Salt against the emulsion type: it breaks o/w and helps w/o."""
    if view.water_pct < electrolytes.WATER_PCT:
        return []
    salts = salt_lines(view)
    if view.product.emulsion == "w/o":
        if salts or soap_of(view.lines, []) is not None:  # salt works against soap
            return []
        low, high = electrolytes.WO_SALT_PCT
        return [
            Finding(
                "note",
                "A w/o emulsion without salt",
                "Salt in the water helps a w/o emulsion; makers of creams with silicone "
                f"emulsifiers put in {low:g} to {high:g} %.",
                "0 % salt",
                "forum_w_o_silicone_salt",
                f"Try {low:g} to {high:g} % sodium chloride or magnesium sulfate, in the water.",
            )
        ]
    if view.product.emulsion != "o/w" or not salts:
        return []
    divalent = view.of_id(*electrolytes.DIVALENT)
    two, every = active_sum(divalent), active_sum(salts)
    anionic = [s for s in view.emulsifiers if s.ingredient and s.ingredient.charge == "anionic"]
    soap = "the soap made in the pot" if soap_made(view) else ""
    charged = ", ".join(filter(None, (line_names(anionic), soap)))
    worse = f" Anionic emulsifiers bear less salt than nonionics: {charged}." if charged else ""
    found = []
    least = electrolytes.DIVALENT_PCT
    soapy = bool(_holding_soap(view) or soap)
    if two >= least or (two > 0 and soapy):
        rule = "forum_magnesium_sulfate"
        mend = f"Less than {least:g} % is below where that lotion failed; that is no limit."
        if soapy:
            rule += f"; soap with divalent ions: {electrolytes.CHEMISTRY}"
            mend = "Take it out, or replace the soap."
        elif two > least:
            mend = f"Take out more than {two - least:.3g} %. {mend}"
        found.append(
            Finding(
                "caution",
                "Divalent salt in an o/w emulsion",
                f"{line_names(divalent)}: {two:.3g} %, {100 * two / view.water_pct:.3g} % of the "
                "water. One o/w lotion shed its water within a day at 10 % magnesium sulfate and "
                f"did not hold at {least:g} %; HLB does not see it.{worse}",
                f"{two:.3g} % of the formula",
                rule,
                f"{mend} Or make a w/o cream, which salt helps, or ask for an emulsifier that its "
                "supplier rates for salt; then a trial jar.",
            )
        )
    least = electrolytes.SALT_PCT
    if every >= least and every > two:
        single = [s for s in salts if s not in divalent]
        found.append(
            Finding(
                "caution",
                "Salt in an o/w emulsion",
                f"{line_names(single)}: {every - two:.3g} %, all salts {every:.3g} % of the formula. "
                f"One emulsion with {least:g} % sodium lactate and 1 % lactic acid went watery in "
                "days, with emulsifiers that bear little salt; 6 % sodium chloride lowered the HLB "
                f"of one ethoxylate by 0.8 to 1.0.{worse}",
                f"{every:.3g} % of the formula",
                "forum_lactic_acid; salts_hlb_paper (abstract)",
                f"Less than {least:g} % is below where that emulsion failed; that is no limit. "
                f"It takes {every - least:.3g} % less. Or ask for an emulsifier that its supplier "
                "rates for salt and acid; then a trial jar.",
            )
        )
    return found


def _soap(view: Worked) -> list[Finding]:
    """PH against emulsifiers that are soap, hold it, or become it in the pot."""
    holding = _holding_soap(view)
    made = soap_made(view)
    if not holding and not made:
        return []
    names = ", ".join(filter(None, (line_names(holding), "the soap made in the pot" if made else "")))
    ph = view.facts.ph
    acids = view.of_kind("acid")
    rule = (
        "pH 8 or more: forum_stearic_triethanolamine; acid turns soap to fatty acid: "
        f"{electrolytes.CHEMISTRY}"
    )
    blends = [s for s in holding if s.ingredient and s.ingredient.family != "soap"]
    ask = (
        f" {line_names(blends)} holds soap beside other things: the supplier's pH range decides."
        if blends
        else ""
    )
    amount = f"{active_sum(holding):.3g} % of the formula" if holding else ""
    found = []
    if ph is not None and ph < electrolytes.SOAP_PH:
        low = ph < electrolytes.SOAP_PH_LEAST
        found.append(
            Finding(
                "caution" if low else "note",
                "pH below what a soap emulsifier needs",
                f"{names}: below a pH of about {electrolytes.SOAP_PH:g} soap turns back to fatty "
                f"acid, more the lower, and emulsifies less; the pH is {ph:g}. Tested creams that hold "
                f"some soap stand at pH 5 to 6.5 all the same.{ask}",
                f"pH {ph:g}, {electrolytes.SOAP_PH - ph:.2g} below {electrolytes.SOAP_PH:g}",
                rule,
                "Replace it by a nonionic emulsifier, or leave the pH at about "
                f"{electrolytes.SOAP_PH:g} and choose a preservative that works there.",
                aside=not low,
            )
        )
    if ph is None:
        found.append(
            Finding(
                "note",
                "pH is missing, and a soap emulsifier turns on it",
                f"{names}: needs a pH of about {electrolytes.SOAP_PH:g} or more.{ask}",
                amount,
                rule,
                "Measure the pH of the finished product and enter it.",
                aside=True,
            )
        )
    if active_sum(acids) >= electrolytes.ACID_WORTH_PCT and (ph is None or ph < electrolytes.SOAP_PH_LEAST):
        found.append(
            Finding(
                "caution",
                "Acid with a soap emulsifier",
                f"{line_names(acids)}: {active_sum(acids):.3g} %. Acid turns soap back to fatty acid: "
                f"{names}.",
                f"{active_sum(acids):.3g} % of the formula",
                electrolytes.CHEMISTRY,
                "Leave the acid out, or replace the soap emulsifier by a nonionic one.",
            )
        )
    return found


def _lactylate(view: Worked) -> list[Finding]:
    held = tuple(s for s in view.emulsifiers if s.ingredient and "lactylate" in s.ingredient.inci.casefold())
    if not held:
        return []
    ph = view.facts.ph
    said = (
        f"{line_names(held)}: the HLB of a lactylate moves with pH and maker; 8.3, 10 to 14 and 17 are "
        "told of sodium stearoyl lactylate, and near 4 at low pH."
    )
    if ph is None:
        return [
            Finding(
                "note",
                "pH is missing, and a lactylate turns on it",
                said,
                f"{active_sum(held):.3g} % of the formula",
                "forum_lactylate_ph",
                "Measure the pH and enter it; ask the supplier for the pH range.",
                aside=True,
            )
        ]
    low = ph < electrolytes.LACTYLATE_PH
    return [
        Finding(
            "caution" if low else "note",
            "Low pH with a lactylate" if low else "A lactylate: its HLB moves with pH",
            said,
            f"pH {ph:g}",
            f"forum_lactylate_ph; low taken as below {electrolytes.LACTYLATE_PH:g}, our convention",
            "Raise the pH, or replace it by a nonionic emulsifier; the supplier's pH range decides."
            if low
            else "Ask the supplier for the pH range.",
            aside=not low,
        )
    ]


def _spoiled(view: Worked) -> list[Finding]:
    """Colours and powders that acid or alkali spoils."""
    if view.water_pct <= 0:
        return []
    ph = view.facts.ph
    acids = view.of_kind("acid")
    found = []
    for spoiled, word, wrong in (
        (electrolytes.SPOILED_BY_ACID, "acid", ph is not None and ph < electrolytes.NEUTRAL_PH),
        (electrolytes.SPOILED_BY_ALKALI, "alkali", ph is not None and ph > electrolytes.ALKALI_PH),
    ):
        held = view.of_id(*spoiled)
        if not held:
            continue
        why = "; ".join(dict.fromkeys(spoiled[s.ingredient.id] for s in held if s.ingredient))
        if ph is None:
            there = f" {line_names(acids)} is there." if acids and word == "acid" else ""
            found.append(
                Finding(
                    "caution" if there else "note",
                    f"pH is missing, and {word} spoils {held[0].name}",
                    f"{why[0].upper()}{why[1:]}.{there}",
                    f"{active_sum(held):.3g} % of the formula",
                    "from memory",
                    "Measure the pH of the finished product and enter it.",
                    aside=not there,
                )
            )
        elif wrong:
            found.append(
                Finding(
                    "caution",
                    f"{held[0].name}: spoiled by {word}",
                    f"{why[0].upper()}{why[1:]}; the pH is {ph:g}.",
                    f"pH {ph:g}",
                    "from memory",
                    "Replace it, or change the pH; smell and look at a jar kept warm.",
                )
            )
    return found


def _conflicts(view: Worked) -> list[Finding]:
    """Anionic with cationic, beyond two emulsifiers of which the verdict tells already."""
    emulsifiers = [s for s in view.emulsifiers if s.ingredient]
    anionic = [s for s in emulsifiers if s.ingredient and s.ingredient.charge == "anionic"]
    cationic = [s for s in emulsifiers if s.ingredient and s.ingredient.charge == "cationic"]
    preserving = list(view.of_id(*electrolytes.CATIONIC_PRESERVATIVES))
    combing = list(view.of_id(*electrolytes.CATIONIC_POLYMERS))
    thickening = list(view.of_id(*electrolytes.ANIONIC_POLYMERS))
    soap = "the soap made in the pot" if soap_made(view) else ""
    against = ", ".join(filter(None, (line_names(anionic), soap)))
    found = []
    if preserving and against:
        found.append(
            _conflict(
                "stop",
                "Cationic preservative with an anionic emulsifier",
                preserving,
                against,
                "they salt each other out, and both are lost",
                f"Replace {line_names(preserving)} by a preservative without charge, or the "
                "emulsifier by a nonionic one; then a challenge test.",
            )
        )
    # where the required HLB is computed, the verdict tells of emulsifiers and of soap already
    if cationic and against and view.required is None:
        found.append(
            _conflict(
                "stop",
                "Cationic emulsifier with soap or another anionic",
                cationic,
                against,
                "they precipitate each other",
                "Keep one charge; nonionics go with both.",
            )
        )
    if combing and against:
        found.append(
            _conflict(
                "caution",
                "Cationic polymer with an anionic emulsifier",
                combing,
                against,
                "they may precipitate each other",
                "Use a nonionic emulsifier or gum, or prove it in a trial jar.",
            )
        )
    if thickening and (charged := [*cationic, *preserving, *combing]):
        lost = " The preservative may be bound." if preserving else ""
        found.append(
            _conflict(
                "caution",
                "Anionic gum or polymer with a cationic ingredient",
                charged,
                line_names(thickening),
                f"they may form lumps or strings, and the gum thins.{lost}".rstrip("."),
                "Use a gum without charge, such as hydroxyethylcellulose; test the preservation "
                "of the finished product.",
            )
        )
    return found


def _conflict(
    level: str, title: str, positive: list[Counted], negative: str, what: str, mend: str
) -> Finding:
    return Finding(
        level,
        title,
        f"Positive: {line_names(positive)}; negative: {negative}: {what}.",
        f"{active_sum(positive):.3g} % of the formula cationic",
        electrolytes.CHEMISTRY,
        mend,
    )
