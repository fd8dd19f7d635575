"""Worked examples with the numbers of a formula: its results as steps, and one example a lesson."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from hlbcore.blending.dose import usual_loading
from hlbcore.blending.results import Blend, BlendHlb
from hlbcore.blending.work_out import work_out
from hlbcore.blending.worked import Worked
from hlbcore.errors import HlbError, InvalidInput, clipped
from hlbcore.estimate import Estimate, Mixture
from hlbcore.formula.examples import example_formula
from hlbcore.ladder.plan import plan_ladder
from hlbcore.lessons._steps import Step, Working, figure, left_side, range_steps
from hlbcore.lessons.texts import lesson_text
from hlbcore.lessons.working import working
from hlbcore.library import Library, load_library
from hlbcore.shares import share_text
from hlbcore.swapping.results import Swap
from hlbcore.swapping.substitutes import rank_substitutes
from hlbcore.swapping.swap import swap

VIALS = 5
"""Vials of the ladder that is written out. [-] Our convention: enough to see the pattern."""


@dataclass(frozen=True, slots=True)
class LessonExample:
    """A worked example for a lesson.

    Parameters
    ----------
    own : bool
        Whether the numbers are those of the formula that was given.
    told : str
        Whose numbers they are, and what was assumed, in a sentence or two.
    workings : tuple of Working
        The steps.
    """

    own: bool
    told: str
    workings: tuple[Working, ...]


def formula_workings(worked: Worked) -> tuple[Working, ...]:
    """What a formula gave, as steps: required HLB, blend, usual dose, grams.

    Parameters
    ----------
    worked : Worked
        A formula, worked out.

    Returns
    -------
    tuple of Working
        Only what there is.

    Examples
    --------
    >>> from hlbcore import example_formula, work_out
    >>> [w.title for w in formula_workings(work_out(example_formula()))][-2:]
    ['Usual dose, o/w cream', 'Grams on the scale']
    """
    made = []
    if worked.required is not None:
        made.append(working(worked.required))
    blend = _blend_of(worked)
    if blend is not None:
        made.append(working(blend))
    return (*made, *_amount(worked))


def _blend_of(worked: Worked) -> Blend | BlendHlb | None:
    """The blend that was worked out, or the one that was judged."""
    return worked.solved or worked.blend


def _amount(worked: Worked) -> tuple[Working, ...]:
    made = []
    if worked.required is not None:
        try:
            dose = working(usual_loading(worked.required, worked.product))
        except HlbError:  # the oil phase is no share of a formula
            dose = None
        if dose is not None and dose.steps:
            made.append(dose)
    if worked.weighed is not None:
        made.append(working(worked.weighed, blend=worked.solved))
    return tuple(made)


def _members(blend: Blend | BlendHlb) -> list[tuple[str, Estimate]]:
    """Emulsifiers that are used, with their HLB."""
    parts = zip(blend.labels, blend.mixture.parts, blend.mixture.fractions, strict=True)
    return [(label, estimate) for label, estimate, fraction in parts if fraction > 0]


def _figures(blend: Blend | BlendHlb) -> tuple[Mixture, Estimate, float]:
    value = blend.hlb if isinstance(blend, Blend) else blend.value
    return blend.mixture, blend.estimate, value


# --- one example a lesson; each gives what was assumed, and steps, or none where it cannot


def _what(worked: Worked, wanted: Swap | None, library: Library) -> tuple[str, list[Working]]:
    required, blend = worked.required, _blend_of(worked)
    if required is None or blend is None:
        return "", []
    steps = [
        Step(f"{clipped(p.name)} asks for HLB {figure(p.estimate.value)}, its required HLB")
        for p in required.parts
    ]
    steps.append(
        Step(
            "The oils together ask for",
            "sum(m × R) / sum(m)",
            left_side(required.working),
            required.value,
            "HLB",
        )
    )
    steps += [
        Step(f"{clipped(label)} brings HLB {figure(own.value)}, its own HLB")
        for label, own in _members(blend)
    ]
    value = _figures(blend)[2]
    steps.append(
        Step("The emulsifiers together bring", "sum(share × h)", left_side(blend.working), value, "HLB")
    )
    steps.append(
        Step(
            "How far what is brought lies from what is asked for",
            "|H - R|",
            f"abs({figure(value)} - {figure(required.value)})",
            abs(value - required.value),
            "HLB",
        )
    )
    return "", [Working("What the oils ask for, and what the emulsifiers bring", tuple(steps))]


def _required(worked: Worked, wanted: Swap | None, library: Library) -> tuple[str, list[Working]]:
    return "", [working(worked.required)] if worked.required is not None else []


def _blend(worked: Worked, wanted: Swap | None, library: Library) -> tuple[str, list[Working]]:
    blend = _blend_of(worked)
    return "", [working(blend)] if blend is not None else []


def _amounts(worked: Worked, wanted: Swap | None, library: Library) -> tuple[str, list[Working]]:
    return "", list(_amount(worked))


MOVES = 1.0
"""A swap that teaches something moves the required HLB of its oil by this at least. [HLB] Our convention."""


def _apart(out: str, into: str, worked: Worked, library: Library) -> bool:
    """Whether two oils ask for HLBs that differ enough to show what a swap does."""
    emulsion = worked.product.phase_emulsion
    asked = [library.find(name).required_hlb(emulsion) for name in (out, into)]
    values = [e.value for e in asked if e is not None]
    return len(values) == 2 and abs(values[0] - values[1]) >= MOVES


def _swap(worked: Worked, wanted: Swap | None, library: Library) -> tuple[str, list[Working]]:
    if wanted is not None:
        return "The swap is the one on the page Swap.", [working(wanted)]
    if worked.required is None:
        return "", []
    out = max(worked.required.parts, key=lambda p: p.mass).name
    emulsion = worked.product.phase_emulsion
    near = rank_substitutes(out, side="oil", emulsion=emulsion, library=library)
    held = {library.key(p.name) for p in worked.required.parts}
    into = next(
        n for n in near["ingredient"] if library.key(n) not in held and _apart(out, n, worked, library)
    )
    made = swap(worked, out=out, into=into)
    told = f"Nothing is chosen on the page Swap, so {clipped(out)} goes out and {into} comes in."
    return told, [working(made)]


def _ladder(worked: Worked, wanted: Swap | None, library: Library) -> tuple[str, list[Working]]:
    required, blend = worked.required, worked.proposal
    if required is None:
        return "", []
    pair = [label for label, _ in _members(blend)] if blend is not None else []
    oils = {p.name: p.mass for p in required.parts}
    told = f"A plan of {VIALS} vials around the required HLB, nothing weighed yet."
    for names in ([pair] if len(pair) == 2 else []) + [[]]:
        try:
            made = plan_ladder(
                *names,
                oil_phase=oils,
                centre=required,
                steps=VIALS,
                emulsifier_pct=blend.total if blend is not None else None,
                emulsion=required.emulsion,
                seed=1,  # the same example each time
                library=library,
            )
        except HlbError:  # this pair does not reach, or is not in the tables
            continue
        return told, [working(made)]
    return "", []


def _limits(worked: Worked, wanted: Swap | None, library: Library) -> tuple[str, list[Working]]:
    required, blend = worked.required, _blend_of(worked)
    if required is None or blend is None:
        return "", []
    mixture, estimate, _ = _figures(blend)
    window = worked.window
    steps: list[Step] = []
    for what, of, total in (
        ("Required HLB", required.mixture, required.estimate),
        ("HLB of the blend", mixture, estimate),
    ):
        steps += [replace(s, text=f"{what}: {s.text[0].lower()}{s.text[1:]}") for s in range_steps(of, total)]
        steps.append(
            Step(
                f"{what}: from the low to the high end",
                "high - low",
                f"{figure(total.high)} - {figure(total.low)}",
                total.high - total.low,
                "HLB",
            )
        )
    steps.append(Step("The window, from edge to edge", "2 × w", f"2 × {figure(window)}", 2 * window, "HLB"))
    share = worked.verdict.share
    text = share_text(share) if share is not None else ""
    remarks = (f"{text[0].upper()}{text[1:]}.",) if text else ()
    return "", [Working("How far the tables leave it open", tuple(steps), remarks)]


_MAKERS: Mapping[str, Callable[[Worked, Swap | None, Library], tuple[str, list[Working]]]] = MappingProxyType(
    {
        "what": _what,
        "required": _required,
        "blend": _blend,
        "amount": _amounts,
        "swap": _swap,
        "ladder": _ladder,
        "limits": _limits,
    }
)


def lesson_example(
    key: str, worked: Worked, *, wanted: Swap | None = None, library: Library | None = None
) -> LessonExample:
    """The worked example of a lesson, with the numbers of a formula where it has them.

    Parameters
    ----------
    key : str
        Short name of the lesson.
    worked : Worked
        The formula whose numbers are wanted.
    wanted : Swap, optional
        A swap of that formula; left out: its largest oil for the nearest substitute that moves something.

    Returns
    -------
    LessonExample
        With the numbers of the bundled example where the sheet lacks what the lesson needs.

    Raises
    ------
    InvalidInput
        If there is no such lesson.

    Examples
    --------
    >>> from hlbcore import Formula, work_out
    >>> lesson_example("required", work_out(Formula())).own
    False
    """
    library = library or load_library()
    name = lesson_text(key).key
    for own in (True, False):
        held = worked if own else work_out(example_formula(), library)
        try:
            assumed, made = _MAKERS[name](held, wanted if own else None, library)
        except (HlbError, StopIteration):  # nothing that stands in is known
            continue
        if made:
            whose = (
                f"With the numbers of {clipped(held.formula.name) or 'the open formula'}."
                if own
                else "The open formula does not hold what this needs, so these are the numbers of "
                f"the bundled example, {held.formula.name}."
            )
            return LessonExample(own, " ".join(filter(None, (whose, assumed))), tuple(made))
    raise InvalidInput(
        f"lesson '{name}'", "these tables hold too little for its example", "Use the built-in tables."
    )
