"""Sugar and humectants of a formula: what dissolves, and the water activity that is left."""

from __future__ import annotations

from dataclasses import dataclass, replace

from hlbcore.blending.worked import Worked
from hlbcore.rules.jar.activity import SOLUTES, WaterActivity, water_activity
from hlbcore.rules.jar.contents import SALTS, Contents, contents_of
from hlbcore.rules.jar.solutions import SOLUBILITY_DOUBT

NOT_FOR = (
    "Shower water and condensation get in, and one splash undoes it: preserve the product all the same. "
    "The list of growth is for foods; not for food or label use."
)
"""What stands beside every water activity."""


@dataclass(frozen=True, slots=True)
class Syrup:
    """The water phase with what is dissolved in it.

    Parameters
    ----------
    contents : Contents
        The phases.
    activity : WaterActivity or None
        Of the water phase; None without water or without a solute.
    """

    contents: Contents
    activity: WaterActivity | None

    @property
    def words(self) -> str:
        """What dissolves and what it means, in sentences."""
        held = self.contents
        if held.water_pct <= 0:
            return "No water is entered: nothing dissolves before water gets in."
        said = []
        if held.sugar_dissolved > 0:
            left = next((c.pct for c in held.grains if c.key == "sucrose"), 0.0)
            said.append(
                f"At most {held.sugar_dissolved:.3g} % of sugar dissolves in {held.water_pct:.3g} % of water "
                f"(tables differ by {SOLUBILITY_DOUBT:g} points; humectants hold water too)"
                + (f", {left:.3g} % stays as grains." if left > 0 else ", so all of it may.")
            )
        if held.salt_dissolved > 0:
            said.append(f"At most {held.salt_dissolved:.3g} % of salt dissolves.")
        if self.activity is None:
            return " ".join(said) or "Nothing of what is dissolved has a constant for water activity."
        a = self.activity
        said.append(
            f"Water activity about {a.value:.2f} ({a.low:.2f} to {a.high:.2f}). May still grow: {a.grows}."
        )
        if a.not_counted:
            said.append(f"Not counted, so the real figure is lower: {', '.join(a.not_counted)}.")
        return " ".join((*said, NOT_FOR))


def syrup_of(worked: Worked, *, contents: Contents | None = None) -> Syrup:
    """Sugar and humectants of a formula.

    Parameters
    ----------
    worked : Worked
        Of a formula with portions, the base.
    contents : Contents, optional
        Its phases, where they are known already.

    Returns
    -------
    Syrup
        With the water activity as a band.

    Examples
    --------
    >>> from hlbcore import Formula, Line, work_out
    >>> f = Formula("x", "wash-off scrub", [Line("water", 10), Line("sugar", 60, phase="solids"),
    ...                                     Line("olive oil", 30)])
    >>> round(syrup_of(work_out(f)).activity.value, 2)
    0.85
    """
    held = contents if contents is not None else contents_of(worked)
    outside = [x for x in worked.base_lines if not x.is_fat and x.pct > 0]
    solutes: dict[str, float] = {}
    others = []
    for x in outside:
        if x.key == "sucrose":
            continue
        if x.key in SOLUTES:
            solutes[x.key] = solutes.get(x.key, 0.0) + x.active
        elif x.key in SALTS or (x.kind in ("humectant", "sugar", "salt") and x.line.phase != "solids"):
            others.append(x.name)
    if held.sugar_dissolved > 0:
        solutes["sucrose"] = held.sugar_dissolved
    return Syrup(held, _activity(held, solutes, tuple(dict.fromkeys(others))))


def _activity(held: Contents, solutes: dict[str, float], others: tuple[str, ...]) -> WaterActivity | None:
    """The band; where crystals stay beside a humectant, up to that of a saturated syrup alone.

    Crystals fix the activity of sugar, so by Gibbs and Duhem a humectant can only lower that of water, but
    it also takes sugar out of solution, and how much nobody knows.
    """
    if held.water_pct <= 0 or not solutes:
        return None
    made = water_activity(solutes, held.water_pct, not_counted=others)
    stays = any(c.key == "sucrose" for c in held.grains)
    if stays and len(solutes) > 1:
        syrup = water_activity({"sucrose": held.sugar_dissolved}, held.water_pct)
        return replace(made, high=max(made.high, syrup.high))
    return made
