"""What a swap says: the first answer, and its findings."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from hlbcore.blending.dose import dose_finding
from hlbcore.blending.judging import RATE
from hlbcore.blending.words import MIXTURE
from hlbcore.blending.worked import Worked
from hlbcore.counting.counted import Counted
from hlbcore.findings import Finding
from hlbcore.product_types import PRACTICE
from hlbcore.swapping._members import active, solid_pct
from hlbcore.swapping.exchange import Exchanged
from hlbcore.swapping.rebalance import Rebalance
from hlbcore.swapping.results import FOLLOWS, NO_CHANGE, Option, window_sentence
from hlbcore.swapping.shifts import fat_findings
from hlbcore.swapping.substitutes import origin_notes


def answer(bench: Rebalance, choices: Sequence[Option], chosen: str, objective: str) -> str:
    """The first answer: whether the emulsifiers may stay."""
    first, required, kind = choices[0], bench.plain.required, bench.plain.product
    if kind.role == "none":
        return f"HLB has no say here: {kind.reason} {kind.decides}"
    if required is None:
        return f"The new required HLB cannot be computed: {bench.plain.reason}"
    if required.soap > 0:
        return "A soap forms in this formula: there is no HLB verdict, the bench trial decides."
    if not bench.held:
        return "There are no emulsifiers left: take one of the options, or name others."
    if first.blend is None:
        return (
            "There is no HLB verdict: an emulsifier has no figure. Go by the supplier's rate and oil limit."
        )
    verdict = bench.plain.verdict
    if kind.role == "governs" and (verdict.rule == RATE or MIXTURE in verdict.word):
        return f"HLB alone does not judge it then. {verdict.sentence}"
    held = window_sentence(first.share or 0.0, first.blend.estimate, required.estimate, bench.window)
    if kind.role == "secondary":
        return f"The emulsifiers may stay: here the rinse test decides, not the window. Beside it: {held}."
    if first.inside:
        said = f"The emulsifiers still sit in the new window: {held}. No change is the least change"
        if chosen == NO_CHANGE:
            same = bench.plain.required == bench.before.required
            return said + ("." if same else "; the texture is the thing to look at.")
        return f"{said}; asked for {objective}: see the option {chosen}."
    if chosen == NO_CHANGE:
        return (
            f"The emulsifiers no longer sit in the window: {held}. None of the ways asked for "
            "leads back: see what could be added."
        )
    option = next(o for o in choices if o.key == chosen)
    return f"The emulsifiers no longer sit in the window: {held}. {chosen}: {option.change_text}."


def swap_findings(
    bench: Rebalance,
    choices: Sequence[Option],
    option: Option,
    after: Worked,
    objective: str,
    gone: Exchanged,
) -> list[Finding]:
    """What to mind: fats, what was not possible, texture, dose, and notes on what comes in."""
    found = fat_findings(bench.before, after, _fats(gone.went), _fats(gone.came))
    asked = next((o for o in choices if o.key == objective), None)
    if asked is not None and asked.formula is None:
        found.append(
            Finding(
                "caution",
                f"Not possible with these emulsifiers: {objective}",
                asked.remark,
                rule="all limits, the window and the total are kept",
                mend="Take an option that adds one, relax a limit, or name another substitute.",
            )
        )
    solids = [solid_pct(w.emulsifiers, active(w.emulsifiers)) for w in (bench.before, after)]
    if solids[1] < solids[0] - 0.1:
        found.append(
            Finding(
                "caution",
                "It may come out thinner",
                "Emulsifiers that are sold as solids thicken the product, and there are fewer now.",
                f"solid emulsifiers {solids[0]:.2f} to {solids[1]:.2f} % of the formula",
                PRACTICE,
                "Make 50 g and judge after a day or two; a fatty alcohol thickens.",
            )
        )
    if any(o.key == FOLLOWS and o.formula is not None for o in choices) and option.key != FOLLOWS:
        offer = next(o for o in choices if o.key == FOLLOWS)
        found.append(
            Finding(
                "note",
                "The dose can follow the oil phase",
                f"The oil phase changed. {offer.remark[0].upper()}{offer.remark[1:]}.",
                f"{offer.total_pct:.3g} % of the formula",
                PRACTICE,
                f"Take the option '{FOLLOWS}'.",
            )
        )
    if bench.plain.required is not None and bench.governs and option.total_pct > 0:
        found.append(dose_finding(option.total_pct, bench.plain.required.mass, bench.plain.product))
    for x in gone.came:
        if x.ingredient is not None and (note := origin_notes(x.ingredient)):
            found.append(
                Finding(
                    "caution",
                    f"{x.name}: {note}",
                    "It comes in with the swap.",
                    rule="notes of the tables",
                    mend="Name it clearly; ask the supplier, and a qualified safety assessor.",
                )
            )
    return found


def _fats(lines: Iterable[Counted]) -> dict[str, float]:
    """What of these lines stands in the fat phase. [% of formula]"""
    found: dict[str, float] = {}
    for x in lines:
        if x.is_fat and not x.is_emulsifier and x.pct > 0:
            found[x.name] = found.get(x.name, 0.0) + x.pct
    return found
