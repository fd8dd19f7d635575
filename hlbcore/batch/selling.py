"""Before you sell: the steps of a market, and what the open formula says of each."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from hlbcore.batch.declared_names import checked_market
from hlbcore.batch.selling_steps import CANNOT_KNOW, MARKETS, STEPS, TITLES, Step
from hlbcore.blending.worked import Worked, total
from hlbcore.counting.counted import Counted
from hlbcore.findings import Finding
from hlbcore.rules.safety import NOTICE


@dataclass(frozen=True, slots=True)
class SellingStep:
    """One step with what a formula says of it.

    Parameters
    ----------
    step : Step
        What is asked for.
    here : tuple of str
        What the formula says of it, a sentence each; empty where it says nothing.
    """

    step: Step
    here: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class BeforeYouSell:
    """What stands between a formula and its sale in one market.

    Parameters
    ----------
    market, title : str
        ``"us"``, ``"eu"`` or ``"uk"``, and its name.
    product : str
        Name of the formula; blank where there is none.
    steps : tuple of SellingStep
        In the order of the market's own rules.
    stops : tuple of Finding
        What the checks do not let pass.
    cannot_know : tuple of str
        What this tool cannot know.
    notice : str
        Who decides.
    """

    market: str
    title: str
    product: str
    steps: tuple[SellingStep, ...]
    stops: tuple[Finding, ...] = ()
    cannot_know: tuple[str, ...] = CANNOT_KNOW
    notice: str = NOTICE


def before_you_sell(
    market: str, worked: Worked | None = None, findings: tuple[Finding, ...] = ()
) -> BeforeYouSell:
    """What stands between a formula and its sale in one market.

    Parameters
    ----------
    market : str
        ``"us"``, ``"eu"`` or ``"uk"``.
    worked : Worked, optional
        The formula; without it the steps stand alone.
    findings : tuple of Finding
        What the checks found, so that stops are told first.

    Returns
    -------
    BeforeYouSell
        Never a permission: it defers to local rules and qualified people.

    Examples
    --------
    >>> before_you_sell("uk").title
    'Great Britain'
    """
    place = checked_market(market, MARKETS)
    said = _of_formula(worked, place) if worked is not None else {}
    return BeforeYouSell(
        place,
        TITLES[place],
        worked.made.name.strip() if worked is not None else "",
        tuple(SellingStep(step, tuple(said.get(step.topic, ()))) for step in STEPS[place]),
        tuple(f for f in findings if f.level == "stop"),
    )


def _of_formula(worked: Worked, market: str) -> dict[str, list[str]]:
    """What the formula says, by the topic of the step."""
    said: dict[str, list[str]] = {}

    def add(topic: str, text: str) -> None:
        said.setdefault(topic, []).append(text)

    water = worked.water_pct
    if water > 0:
        add("challenge", f"This formula holds {water:.3g} % water: a challenge test is wanted.")
    elif not worked.product.leave_on:
        add(
            "challenge",
            "No water is in it, yet wet hands and the shower bring some in: say how it is judged.",
        )
    if worked.facts.ph is None and water > 0:
        add("challenge", "Its pH is not entered; most preservatives have a window.")
    if emulsifiers := worked.emulsifiers:
        add("stability", f"Held by {_names(emulsifiers)}: a change of it starts the tests again.")
    colours = worked.of_kind("colour")
    if colours:
        add("colour", f"In this formula: {_names(colours)}.")
        add("annexes", f"Colours in this formula: {_names(colours)}.")
    scents = (*worked.of_kind("fragrance"), *worked.of_kind("essential oil"))
    if scents:
        known = (
            " Its allergen sheet is entered." if worked.facts.fragrance_allergens else " No sheet is entered."
        )
        add("allergens", f"In this formula: {_names(scents)}, {total(scents):.3g} %.{known}")
    ethoxylated = [x for x in worked.lines if x.ingredient and x.ingredient.peg_based and x.pct > 0]
    if ethoxylated and market == "us":
        add("local", f"Ethoxylated: {_names(ethoxylated)}. Ask the supplier for 1,4-dioxane in ppm.")
    if worked.facts.area in ("eye area", "lips"):
        add("notice", f"Its area is {worked.facts.area}: see whether an exemption still holds.")
    unknown = [x for x in worked.lines if x.ingredient is None and x.pct > 0]
    if unknown:
        add("safety", f"Nobody here knows {_names(unknown)}: the assessor will ask for its composition.")
    return said


def _names(lines: Iterable[Counted]) -> str:
    return ", ".join(dict.fromkeys(x.name for x in lines))
