"""Essential oils and alpha hydroxy acids that stay on the skin.

=========  ====================================================================================
inputs     essential oils, alpha hydroxy acids [% of formula], pH [-], area, product type
rule       sums against `safety`: 3 % on the body and 1 % on the face; 10 % and pH 3.5
source     essential oils: common practice, no source; acids: from memory
levels     over: caution that names the assessor; pH missing with an acid: note
mend       the amount or pH that meets the figure
=========  ====================================================================================
"""

from __future__ import annotations

import math

from hlbcore.blending.worked import Worked, total
from hlbcore.checks._allergens import names_of
from hlbcore.findings import Finding
from hlbcore.rules import safety

ASSESSOR = "A qualified safety assessor decides on the product."


def skin(view: Worked) -> list[Finding]:
    """What stays on the skin in more than the usual amount.

    Parameters
    ----------
    view : Worked
        A finished product.

    Returns
    -------
    list of Finding
        Empty for what is rinsed off.
    """
    if not view.product.leave_on:
        return []
    return [*_essential_oils(view), *_acids(view)]


def _essential_oils(view: Worked) -> list[Finding]:
    held = list(view.of_kind("essential oil"))
    pct = total(held)
    body = view.facts.area == "body"
    most = safety.ESSENTIAL_OILS_BODY_PCT if body else safety.ESSENTIAL_OILS_FACE_PCT
    if pct <= most:
        return []
    return [
        Finding(
            "caution",
            f"Essential oils: much for a product left on the {view.facts.area}",
            f"{names_of(held)}: {pct:.3g} %; usual is at most {most:g} %. Undiluted or strong they "
            "irritate and "
            "sensitise; some need far less.",
            f"{pct:.3g} % of the formula",
            safety.ESSENTIAL_OILS_RULE,
            f"Bring them to {most:g} % or less, or to the figure of the supplier's certificate where that is "
            f"lower. {ASSESSOR}",
        )
    ]


def _acids(view: Worked) -> list[Finding]:
    held = list(view.of_id(*safety.ALPHA_HYDROXY_ACIDS))
    pct = math.fsum(x.active for x in held)
    if pct < safety.AHA_WORTH_PCT:
        return []
    ph, most, least = view.facts.ph, safety.AHA_MAX_PCT, safety.AHA_LEAST_PH
    wrong = [f"{pct:.3g} %, usual is at most {most:g} %"] if pct > most else []
    if ph is not None and ph < least:
        wrong.append(f"pH {ph:g}, usual is {least:g} or more")
    if wrong:
        ways = [f"at most {most:g} %"] if pct > most else []
        ways += [f"a pH of {least:g} or more"] if ph is not None and ph < least else []
        return [
            Finding(
                "caution",
                "Alpha hydroxy acid left on the skin: strong",
                f"{names_of(held)}: {'; '.join(wrong)}. It can burn, and makes skin sensitive to the sun.",
                "; ".join(wrong),
                safety.AHA_RULE,
                f"Bring it to {' and '.join(ways)}, with a caution on sun. {ASSESSOR}",
            )
        ]
    if ph is None:
        return [
            Finding(
                "note",
                f"pH is missing, and {names_of(held)} left on the skin turns on it",
                f"{pct:.3g} % alpha hydroxy acid; below pH {least:g} it is strong.",
                f"{pct:.3g} % of the formula",
                safety.AHA_RULE,
                "Measure the pH of the finished product and enter it.",
            )
        ]
    return []
