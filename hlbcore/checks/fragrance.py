"""Fragrance: supplier's maximum, allergens to name, heat limit, phototoxic oils.

=========  ====================================================================================
inputs     fragrance, essential oils, preservatives [% of formula]; supplier's maximum [% of
           formula], heat limit [°C], allergens [% of the fragrance]; temperatures [°C]
rule       share against maximum; fragrance share times allergen share against the threshold of
           the use; temperature of addition against the heat limit
source     `fragrance`: Reg. (EU) 2023/1545 with its dates, certificate by category
levels     over a maximum, to be named, too hot, phototoxic left on, missing: caution; else note
mend       amount that meets the maximum or the threshold; what to ask the supplier
=========  ====================================================================================
"""

from __future__ import annotations

import math

from hlbcore.blending.worked import Worked, total
from hlbcore.counting.counted import Counted
from hlbcore.findings import Finding
from hlbcore.ingredients import fold
from hlbcore.rules import fragrance as rules
from hlbcore.rules.preservation import split_blends

WORTH_ADDING = 0.05
"""Less fragrance than this is none: a mend never asks for it. [% of formula] Our convention."""

ASSESSOR = "Local law and a qualified safety assessor decide."


def fragrance(view: Worked) -> list[Finding]:
    """What the supplier's papers and the law say of the fragrance.

    Parameters
    ----------
    view : Worked
        A finished product.

    Returns
    -------
    list of Finding
        Empty without fragrance, essential oil and preservative that is an allergen.
    """
    scents, oils = view.of_kind("fragrance"), view.of_kind("essential oil")
    found: list[Finding] = []
    if scents or oils:
        found += [
            *_papers(view, scents or oils, (*scents, *oils)),
            *_maximum(view, scents or oils),
            *_heat(view, (*scents, *oils)),
        ]
        if scents and oils:
            found.append(_oils_beside(oils))
    found += [*_allergens(view, scents or oils), *_oils(view, scents, oils)]
    return [*found, *_phototoxic(view)]


def _oils_beside(oils: tuple[Counted, ...]) -> Finding:
    """Essential oils that the certificate of the fragrance does not cover."""
    return Finding(
        "caution",
        "Essential oils beside the fragrance",
        f"{_names(oils)}: {total(oils):.3g} %. The supplier's maximum of the fragrance does not "
        "count them; each has papers of its own.",
        f"{total(oils):.3g} % of the formula",
        rules.CATEGORY_RULE,
        f"Ask for the certificate of each oil. {ASSESSOR}",
    )


def _names(lines: tuple[Counted, ...]) -> str:
    return ", ".join(dict.fromkeys(s.name for s in lines))


def _papers(view: Worked, lines: tuple[Counted, ...], every: tuple[Counted, ...]) -> list[Finding]:
    """What of the supplier's papers is missing, in one finding."""
    pct = total(lines)
    found = []
    if view.facts.fragrance_max_pct is None:
        where = rules.category(view.product, view.facts.area)
        found.append(
            (
                "maximum",
                "the supplier's maximum is not known: the certificate gives one for each category; here it "
                f"seems to be {where}. No default can stand in for it",
                rules.CATEGORY_RULE,
                "the certificate, its date and amendment (older ones number the categories otherwise)",
            )
        )
    if not view.facts.fragrance_allergens:
        limit = rules.threshold(leave_on=view.product.leave_on)
        use = "left on" if view.product.leave_on else "rinsed off"
        found.append(
            (
                "allergens",
                f"its allergens are not known: at {pct:.3g} % one is above the threshold of a product {use} "
                f"({limit:g} %) from {min(100.0, 100 * limit / pct):.2g} % of the fragrance on",
                rules.ALLERGEN_RULE,
                "the allergen sheet",
            )
        )
    if not found:
        return []
    if missing := _no_heat(view, every):
        found.append(("heat limit", f"{' and '.join(missing)} not known", rules.HEAT_RULE, "the heat limit"))
    what, details, law, asked = (list(column) for column in zip(*found, strict=True))
    return [
        Finding(
            "caution",
            f"Fragrance: papers of the supplier are missing: {', '.join(what)}",
            f"{_names(lines)}: {pct:.3g} %; {'; '.join(details)}.",
            f"{pct:.3g} % of the formula",
            "; ".join(law),
            f"Ask for {', '.join(asked)}, and enter them. {ASSESSOR}",
        )
    ]


def _no_heat(view: Worked, lines: tuple[Counted, ...]) -> list[str]:
    """Which temperatures are missing."""
    cool = [s for s in lines if s.line.phase == "cool-down"]
    missing = [] if view.facts.fragrance_max_c is not None else ["the supplier's heat limit"]
    if cool and view.facts.cool_down_c is None:
        missing.append("the cool-down temperature")
    if len(cool) < len(lines) and view.facts.hottest_c is None:
        missing.append("the hottest temperature")
    return missing


def _maximum(view: Worked, lines: tuple[Counted, ...]) -> list[Finding]:
    pct = total(lines)
    most = view.facts.fragrance_max_pct
    where = rules.category(view.product, view.facts.area)
    if most is None:
        return []
    over = pct > most * (1 + 1e-9)
    return [
        Finding(
            "caution" if over else "note",
            f"Fragrance: {'over' if over else 'within'} the supplier's maximum",
            f"{_names(lines)}: {pct:.3g} %; the maximum entered is {most:g} %. See that it is that "
            f"of category {where}.",
            f"{pct:.3g} % of {most:g} %",
            rules.CATEGORY_RULE,
            f"Bring it to {most:g} % of the formula or less: {pct - most:.3g} % less. {ASSESSOR}"
            if over
            else "",
            aside=not over,
        )
    ]


def _amounts(view: Worked, lines: tuple[Counted, ...]) -> tuple[dict[str, float], tuple[str, ...]]:
    """Allergens in the product by name, and preservative blends of unknown shares."""
    pct = total(lines)
    held: dict[str, tuple[str, float]] = {}

    def add(name: str, amount: float) -> None:
        said, so_far = held.get(fold(name), (name, 0.0))
        held[fold(name)] = (said, so_far + amount)

    for name, share in view.facts.fragrance_allergens if lines else ():
        add(name, rules.in_product(pct, share))
    ids = [(s.ingredient.id, s.active) for s in view.lines if s.ingredient and s.pct > 0]
    parts, missing = split_blends(ids)
    for key in rules.PRESERVATIVE_ALLERGENS:
        if parts.get(key, 0.0) > 0:
            add(view.library.ingredients[key].inci.lower(), parts[key])
    unknown = tuple(i for i in missing if any(k in i for k in rules.PRESERVATIVE_ALLERGENS))
    return {name: amount for name, amount in held.values()}, unknown


def _down(amount: float) -> float:
    """An amount above 0, rounded down to two digits."""
    step = 10.0 ** (math.floor(math.log10(amount)) - 1)
    return math.floor(amount / step * (1 + 1e-9)) * step


def _allergens(view: Worked, lines: tuple[Counted, ...]) -> list[Finding]:
    amounts, blends = _amounts(view, lines)
    leave_on = view.product.leave_on
    use, other = ("left on", "rinsed off") if leave_on else ("rinsed off", "left on")
    limit = rules.threshold(leave_on=leave_on)
    found = []
    judged = [rules.named(n, a) for n, a in amounts.items()]
    if above := [n for n in judged if n.to_name(leave_on=leave_on)]:
        said = "; ".join(
            f"{n.pct:.3g} % {n.name}" + ("" if n.to_name(leave_on=not leave_on) else f" (not if {other})")
            for n in above
        )
        shares = {fold(n): p for n, p in view.facts.fragrance_allergens}
        for key in rules.PRESERVATIVE_ALLERGENS:  # the preservative alone may be above
            shares.pop(fold(view.library.ingredients[key].inci), None)
        most = max((shares.get(fold(n.name), 0.0) for n in above), default=0.0)
        least = 100 * limit / most if most > 0 else 0.0
        lower = (
            f" With the fragrance at {_down(least):.2g} % of the formula none from its sheet would be above."
            if least >= WORTH_ADDING
            else ""
        )
        found.append(
            Finding(
                "caution",
                "Allergens to name on an EU label",
                f"Above {limit:g} %, the threshold of a product {use}: {said}.",
                f"{len(above)} above {limit:g} % of the formula",
                rules.ALLERGEN_RULE,
                f"Name them, if they are on the list of the law.{lower} {ASSESSOR}",
            )
        )
    if below := [n for n in judged if not n.to_name(leave_on=leave_on)]:
        said = "; ".join(
            f"{n.pct:.3g} % {n.name}"
            + (f" (to be named if {other})" if n.to_name(leave_on=not leave_on) else "")
            for n in below
        )
        found.append(
            Finding(
                "note",
                "Allergens not above the threshold",
                f"Not above {limit:g} %, the threshold of a product {use}: {said}.",
                f"highest {max(n.pct for n in below):.3g} % of the formula",
                rules.ALLERGEN_RULE,
                "Below it they are still there: say nothing of free of allergens.",
                aside=True,
            )
        )
    if blends:
        found.append(
            Finding(
                "caution",
                "A preservative blend holds a fragrance allergen",
                f"{', '.join(view.library.ingredients[i].common_name for i in blends)}: benzyl "
                "alcohol is a fragrance allergen too; its share of the blend is not known.",
                f"threshold {limit:g} % of the formula",
                rules.ALLERGEN_RULE,
                "Ask the supplier for the shares, and enter the blend with its parts.",
            )
        )
    return found


def _oils(view: Worked, scents: tuple[Counted, ...], oils: tuple[Counted, ...]) -> list[Finding]:
    """Essential oils that no sheet covers, or one sheet for several oils."""
    if not oils or not view.facts.fragrance_allergens:
        return []
    pct = total(oils)
    if scents:
        return [
            Finding(
                "caution",
                "Essential oils without a sheet",
                f"{_names(oils)}: the allergens entered are taken as those of {_names(scents)}; "
                "those of the oils are not known and are not counted.",
                f"{pct:.3g} % of the formula",
                rules.ALLERGEN_RULE,
                "Ask for the sheet of each oil, and enter one for the whole mixture. Some "
                "essential oils are themselves on the list of the law (from memory).",
            )
        ]
    if len({s.name for s in oils}) > 1:
        return [
            Finding(
                "caution",
                "One allergen sheet for several essential oils",
                f"{_names(oils)}: the sheet entered is taken as that of their mixture.",
                f"{pct:.3g} % of the formula",
                rules.ALLERGEN_RULE,
                "If it is the sheet of one oil, work out that of the mixture: share times share, added up.",
            )
        ]
    return []


def _heat(view: Worked, lines: tuple[Counted, ...]) -> list[Finding]:
    most = view.facts.fragrance_max_c
    cool = {s for s in lines if s.line.phase == "cool-down"}
    temperatures = []
    if cool:
        temperatures.append(("cool-down", view.facts.cool_down_c))
    if len(cool) < len(lines):
        temperatures.append(("hottest", view.facts.hottest_c))
    missing = _no_heat(view, lines)
    found = []
    known = [(name, c) for name, c in temperatures if c is not None]
    if most is not None and known:
        name, highest = max(known, key=lambda t: t[1])
        over = highest > most
        found.append(
            Finding(
                "caution" if over else "note",
                f"Fragrance: {'above' if over else 'not above'} its heat limit",
                f"It meets {highest:g} °C ({name} temperature); the supplier's limit is {most:g} °C.",
                f"{highest - most:+.3g} °C against the limit",
                rules.HEAT_RULE,
                f"Add it in the cool-down, at {most:g} °C or less, and away from flames." if over else "",
                aside=not over,
            )
        )
    if missing:
        found.append(
            Finding(
                "note",
                "Fragrance: heat cannot be compared in full",
                f"{_names(lines)}: {' and '.join(missing)} not known.",
                rule=rules.HEAT_RULE,
                mend="Ask the supplier for the heat limit or flash point, and enter the "
                "temperatures of the process.",
                aside=True,
            )
        )
    return found


def _phototoxic(view: Worked) -> list[Finding]:
    if not view.product.leave_on:
        return []
    held = tuple(
        s
        for s in view.lines
        if s.pct > 0
        and (s.kind == "essential oil" or (not s.kind and "oil" in s.name.casefold()))
        and rules.phototoxic(f"{s.name} {s.line.note} {s.ingredient.common_name if s.ingredient else ''}")
    )
    if not held:
        return []
    pct = math.fsum(s.pct for s in held)
    return [
        Finding(
            "caution",
            "Phototoxic oils in a product left on the skin",
            f"{_names(held)}: cold-pressed, they hold furocoumarins, which burn skin in sunlight.",
            f"{pct:.3g} % of the formula",
            rules.PHOTOTOXIC_RULE,
            "Use a grade free of furocoumarins, or stay under the figure of the supplier's "
            f"certificate for this oil. {ASSESSOR}",
        )
    ]
