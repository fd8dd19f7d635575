"""Workings of the bench: a swap, the vials of a ladder, an optimum."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from hlbcore._numbers import checked, grams
from hlbcore.blending.results import BlendHlb
from hlbcore.counting.given import Phase
from hlbcore.counting.oil_phase import required_hlb
from hlbcore.counting.required import RequiredHlb
from hlbcore.errors import clipped
from hlbcore.estimate import Estimate, as_estimate
from hlbcore.ladder.back_out import back_out_required_hlb
from hlbcore.ladder.fit_results import TAILS, TrialFit
from hlbcore.ladder.ladder import Ladder, Vial
from hlbcore.lessons._steps import Step, Working, figure, left_side, mass_sum
from hlbcore.library import Library
from hlbcore.swapping.results import Swap


def _blend_step(text: str, blend: BlendHlb) -> Step:
    return Step(text, "sum(share × h)", left_side(blend.working), blend.value, "HLB")


def _distance(text: str, blend: BlendHlb, required: RequiredHlb) -> Step:
    low, high = sorted((blend.value, required.value))
    return Step(text, "|H - R|", f"{figure(high)} - {figure(low)}", high - low, "HLB")


def swap_working(swap: Swap) -> Working:
    """Both required HLBs, the blend against each, and what the chosen option changes."""
    steps = []
    old, new = swap.old_required, swap.new_required
    for text, required in (("before", old), ("after", new)):
        if required is not None:
            steps.append(
                Step(
                    f"Required HLB {text} the swap",
                    "sum(m × R) / sum(m)",
                    left_side(required.working),
                    required.value,
                    "HLB",
                )
            )
    if old is not None and new is not None:
        steps.append(
            Step(
                "So the swap moves it by",
                "R new - R old",
                f"{figure(new.value)} - {figure(old.value)}",
                new.value - old.value,
                "HLB",
            )
        )
    left = swap.choices[0].blend
    if left is not None:
        steps.append(_blend_step("HLB of the emulsifiers as the swap leaves them", left))
        if new is not None:
            steps.append(_distance("Their distance from the new required HLB", left, new))
    option = swap.option
    for name, before, after in option.changes:
        steps.append(
            Step(
                f"{clipped(name)}, changed by",
                "after - before",
                f"{figure(after)} - {figure(before)}",
                after - before,
                "% of the formula",
            )
        )
    if option.blend is not None and option.changes:
        steps.append(_blend_step(f"HLB with the option '{option.key}'", option.blend))
        if new is not None:
            steps.append(_distance("Distance from the new required HLB", option.blend, new))
    window = f"The window is ±{swap.window:g} HLB." if swap.role == "governs" else ""
    return Working("A swap", tuple(steps), tuple(filter(None, (window, swap.answer))), "swap")


def ladder_working(ladder: Ladder) -> Working:
    """The HLB of every vial from its grams, with what the scale leaves open."""
    steps = [step for vial in ladder.vials for step in _vial_steps(ladder, vial)]
    remark = (
        "The weighing error is one standard deviation from reading the scale; the doubt of the "
        "emulsifiers' own HLB is not in it."
    )
    return Working("Vials of a ladder", tuple(steps), (remark,) if steps else (), "ladder")


def _vial_steps(ladder: Ladder, vial: Vial) -> Sequence[Step]:
    hlb, sd = ladder.hlb(vial), ladder.hlb_sd(vial)
    if hlb is None or sd is None or ladder.ready:
        return ()
    held = dict(vial.grams)
    used = [(held[n], e.value) for n, e in ladder.emulsifiers if held.get(n, 0.0) > 0]
    masses, values = [m for m, _ in used], [h for _, h in used]
    whole = figure(sum(masses))
    squares = " + ".join(f"(({figure(h)} - {figure(hlb)}) / {whole})²" for h in values)
    return (
        Step(
            f"Vial {clipped(vial.label, 20)}, HLB of its grams",
            "sum(m × h) / sum(m)",
            mass_sum(masses, values),
            hlb,
            "HLB",
        ),
        Step(
            f"Vial {clipped(vial.label, 20)}, weighing error",
            "d / √12 × √(sum(((h - H) / sum(m))²))",
            f"{figure(ladder.readability_g)} / √(12) × √({squares})",
            sd,
            "HLB",
        ),
    )


def fit_working(fit: TrialFit) -> Working:
    """How the optimum and its interval come about: belief, its mean, its ends, what widens them."""
    number = len(fit.hlb)
    steps = [Step(f"{number} vials were read, from HLB {min(fit.hlb):g} to {max(fit.hlb):g}")]
    remarks = [f"{fit.verdict}."]
    computed = fit.computed
    if computed is not None:
        steps.append(
            Step(
                "Humps with two flanks of their own are tried on a grid of tops; the shape that agrees "
                f"best is '{fit.model}', and a reading scatters by about "
                f"{100 * (fit.scatter or 0):.0f} % of its height"
            )
        )
    if computed is not None and fit.optimum is not None and fit.low is not None and fit.high is not None:
        likely = _likeliest(fit)
        held = sum(w for _, w in likely)
        steps += [
            Step(
                f"The tops that are believed most; together they hold {100 * held:.0f} % of the belief: "
                + ", ".join(f"{figure(round(m, 2))} ({100 * w:.0f} %)" for m, w in likely)
            ),
            Step(
                "Optimum: the mean of all tops, each times its belief",
                "sum(belief × top)",
                figure(computed[1]),
                computed[1],
                "HLB",
            ),
            Step(
                f"{100 * TAILS:g} % of the belief lies below, as much above",
                "low, high",
                f"{figure(computed[0])}, {figure(computed[2])}",
                computed[2] - computed[0],
                "HLB wide",
            ),
            Step(
                "Half a rung, the least half width",
                "step / 2",
                f"{figure(2 * fit.half_rung)} / 2",
                fit.half_rung,
                "HLB",
            ),
        ]
        remarks.append(
            f"Printed to one decimal, never nearer than half a rung, and with the best vial inside: "
            f"{fit.low:.1f} to {fit.high:.1f}."
        )
    elif fit.low is not None and fit.high is not None:
        steps.append(Step("The ends lie halfway between the last vial that is good and the next that is not"))
        remarks.append(f"The interval is never narrower than half a rung, {figure(fit.half_rung)} HLB.")
    return Working("Optimum of a ladder", tuple(steps), tuple(remarks), "ladder")


def _likeliest(fit: TrialFit) -> list[tuple[float, float]]:
    """The five tops believed most, rising."""
    return sorted(sorted(fit.mass, key=lambda p: -p[1])[:5])


def back_out_working(
    measured: float | str | Estimate | TrialFit,
    known_phase: Phase,
    unknown_mass: float | str,
    *,
    emulsion: str = "o/w",
    values: Mapping[str, float | str | Estimate] | None = None,
    library: Library | None = None,
) -> Working:
    """The required HLB worked back from a measured optimum, as steps.

    Parameters
    ----------
    measured : float, str, Estimate or TrialFit
        Optimum of the whole mixture. [HLB]
    known_phase : mapping or sequence
        The other ingredients, as `required_hlb` takes them.
    unknown_mass : float or str
        Mass of the unknown ingredient. [unit of the known masses]
    emulsion : str
        ``"o/w"`` or ``"w/o"``.
    values : mapping, optional
        Figures of the user's own for known ingredients. [HLB]

    Returns
    -------
    Working
        Steps as `back_out_required_hlb` goes, and its range.

    Raises
    ------
    InvalidInput
        As `back_out_required_hlb` does.

    Examples
    --------
    >>> back_out_working(8, [(20, 7)], 10).steps[-2].line
    'Take away what the known ones ask for: (8 × 30 - 7 × 20) / 10 = 10 HLB'
    """
    found = back_out_required_hlb(
        measured, known_phase, unknown_mass, emulsion=emulsion, values=values, library=library
    )
    known = required_hlb(known_phase, emulsion=emulsion, values=values, library=library)
    unit = known.unit or "parts"
    # as the function above has read and checked them
    mass = grams(unknown_mass, "unknown") if known.unit == "g" else checked(unknown_mass, "unknown")
    if isinstance(measured, TrialFit):
        assert measured.estimate is not None
        optimum = measured.estimate.value
    else:
        optimum = as_estimate(measured, "measured optimum").value
    whole, m = figure(known.mass + mass), figure(mass)
    steps = (
        Step(
            "Required HLB of the known ones together",
            "sum(m × R) / sum(m)",
            left_side(known.working),
            known.value,
            "HLB",
        ),
        Step(
            "Add up the oil phase",
            "M = known + unknown",
            f"{figure(known.mass)} + {m}",
            known.mass + mass,
            unit,
        ),
        Step(
            "Take away what the known ones ask for",
            "(R × M - R known × m known) / m unknown",
            f"({figure(optimum)} × {whole} - {figure(known.value)} × {figure(known.mass)}) / {m}",
            found.value,
            "HLB",
        ),
        Step(
            "An error of the ladder comes out so many times as large",
            "M / m unknown",
            f"{whole} / {m}",
            (known.mass + mass) / mass,
            "times",
        ),
    )
    remark = f"Range, with the doubts of the ladder and of the known ones: {found!r} HLB."
    return Working("Required HLB worked back from a ladder", steps, (remark,), "ladder")
