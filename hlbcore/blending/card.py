"""What follows from a formula in a few words: the answer that stays in sight."""

from __future__ import annotations

from hlbcore.blending.choice import choose_emulsifiers
from hlbcore.blending.evidence import PICKS
from hlbcore.blending.judging import NONE, RATE
from hlbcore.blending.proposal import with_proposal
from hlbcore.blending.weighing import WeighedBlend
from hlbcore.blending.worked import Worked
from hlbcore.counting.counted import Counted
from hlbcore.library import Library


def whose(worked: Worked) -> str:
    """Whose amounts these are, and which rule judges them.

    Parameters
    ----------
    worked : Worked
        A formula, worked out.

    Returns
    -------
    str
        A few words.

    Examples
    --------
    >>> from hlbcore import example_formula, work_out
    >>> whose(work_out(example_formula()))
    'Your amounts, judged by HLB'
    """
    if worked.solved is not None or (worked.choice and worked.emulsifiers):
        who = "Amounts that the tool found"
    elif worked.emulsifiers:
        who = "Your amounts"
    else:
        who = "No emulsifier with an amount yet"
    return f"{who}, {rule_words(worked)}"


def rule_words(worked: Worked) -> str:
    """Which rule judges the emulsifiers of a formula."""
    if worked.verdict.rule != NONE:
        return f"judged by {'the ' if worked.verdict.rule == RATE else ''}{worked.verdict.rule}"
    if worked.product.role == "secondary":
        return "judged by the rinse test"
    return "HLB decides nothing here" if worked.product.role == "none" else "judged by no rule"


def headline(worked: Worked) -> str:
    """The verdict on HLB and on the dose in a few words.

    Parameters
    ----------
    worked : Worked
        A formula, worked out.

    Returns
    -------
    str
        The verdict's word leads.

    Examples
    --------
    >>> from hlbcore import example_formula, work_out
    >>> headline(work_out(example_formula()))
    'Inside, dose usual'
    """
    if (name := alone_without_amount(worked)) is not None:
        return f"No amount yet for {name}"
    if worked.unreachable is not None:
        return "Not reachable"
    word = worked.verdict.word.capitalize()
    if not worked.lines:
        return "Nothing to judge yet"
    if worked.pending and worked.verdict.word == "inside":
        word += " as far as counted"
    return word if worked.dose is None else f"{word}, {dose_word(worked)}"


def alone_without_amount(worked: Worked) -> str | None:
    """The one emulsifier, while its amount is not typed and nothing else was asked for."""
    held = [x for x in worked.bought if x.side == "emulsifier"]
    if worked.unreachable is None or len(held) != 1 or worked.formula.aims.goal or held[0].line.amount:
        return None
    return held[0].name


def dose_word(worked: Worked) -> str:
    """The finding on the dose in two words; blank where there is none."""
    return "" if worked.dose is None else worked.dose.title.replace("Dose is", "dose")


def doubt(worked: Worked) -> str:
    """The doubt of the figures in one line, or what stands in the way of a verdict.

    Parameters
    ----------
    worked : Worked
        A formula, worked out.

    Returns
    -------
    str
        A sentence or two.

    Examples
    --------
    >>> from hlbcore import example_formula, work_out
    >>> doubt(work_out(example_formula())).partition(".")[0]
    "Doubt of the figures: fair: about 70 % of the sources' spread lies inside the window"
    """
    if alone_without_amount(worked) is not None:
        return "Type it, or add a second emulsifier, and the amounts of both are found."
    if worked.unreachable is not None:
        return str(worked.unreachable)
    if worked.product.role == "secondary" and worked.verdict.rule == NONE:
        return worked.product.decides
    if not worked.verdict.doubt:
        known = worked.required is not None or worked.product.role == "none" or not worked.reason
        return worked.verdict.sentence if known and worked.lines else worked.reason
    return f"Doubt of the figures: {worked.verdict.doubt}. {PICKS}."


def in_brief(worked: Worked) -> str:
    """What is asked, what is brought, and the grams, on one short line.

    Parameters
    ----------
    worked : Worked
        A formula, worked out.

    Returns
    -------
    str
        Parts that are not known are left out.

    Examples
    --------
    >>> from hlbcore import example_formula, work_out
    >>> in_brief(work_out(example_formula()))
    'oils ask 8.2 · blend brings 8.2 · 14.8 + 7.7 g'
    """
    parts = []
    if worked.required is not None:
        parts.append(f"oils ask {worked.required.value:.1f}")
    if worked.blend is not None:
        parts.append(f"blend brings {worked.blend.value:.1f}")
    if worked.weighed is not None:
        parts.append(f"{' + '.join(f'{g:.9g}' for g in worked.weighed.grams)} g")
    return " · ".join(parts)


def weighed_words(weighed: WeighedBlend) -> str:
    """What the scale makes of the emulsifiers, in a sentence."""
    return f"As weighed: HLB {weighed.hlb.value:.1f}, {weighed.total_g:.9g} g together."


def figure_words(x: Counted, library: Library) -> str:
    """The figure of a line and where it comes from, in a sentence; blank where there is none.

    Parameters
    ----------
    x : Counted
        A line, counted.
    library : Library
        The tables.

    Returns
    -------
    str
        Figure with range, grade, and the first source.

    Examples
    --------
    >>> from hlbcore import example_formula, work_out
    >>> made = work_out(example_formula())
    >>> cocoa = next(x for x in made.lines if x.name == "cocoa butter")
    >>> figure_words(cocoa, made.library).partition(" First source")[0]
    '6.0 (5.0 to 7.0; 2 independent roots (3 pages)), primary, recalled.'
    """
    e = x.estimate
    if e is None:
        return ""
    if x.basis != "table":
        return f"{e!r}, {x.basis}."
    first = f" First source: {library.cite(e.sources[0])}." if e.sources else ""
    return f"{e!r}, {e.grade}.{first}"


def proposal_words(worked: Worked) -> str:
    """What taking the proposal would change, in a sentence; blank where there is none."""
    made = with_proposal(worked)
    if made is None or worked.proposal is None:
        return ""
    before = {x.label: x.pct for x in worked.emulsifiers}
    parts = []
    for label, mass in zip(worked.proposal.labels, worked.proposal.masses, strict=True):
        now = before.get(label)
        parts.append(f"{label}: {mass:.2f} %" if now is None else f"{label}: {now:.2f} % → {mass:.2f} %")
    return "; ".join(parts)


def shelf_words(worked: Worked) -> str:
    """What the shelf has for a formula, and which one emulsifier more would make a pair.

    Parameters
    ----------
    worked : Worked
        A formula, worked out with a shelf.

    Returns
    -------
    str
        Blank without a shelf, and where HLB has no say.

    Examples
    --------
    >>> from hlbcore import example_formula, work_out
    >>> shelf_words(work_out(example_formula(), shelf=("sorbitan oleate",)))
    'One emulsifier more opens HLB 8.2: polysorbate 80, with sorbitan oleate from your shelf.'
    """
    if not worked.shelf or worked.required is None:
        return ""
    library = worked.library
    choice = choose_emulsifiers(
        worked.required,
        worked.product,
        at_hand=worked.shelf,
        ionics=worked.formula.aims.ionics,
        library=library,
    )
    held = {library.key(n) for n in worked.shelf}
    there = [n for n in choice.names if library.key(n) in held]
    missing = [n for n in choice.names if library.key(n) not in held]
    target = f"HLB {worked.required.value:.1f}"
    if not choice.names:
        return ""
    if not missing:
        return f"Your shelf has what it takes: {' with '.join(there)}."
    if there:
        return f"One emulsifier more opens {target}: {missing[0]}, with {there[0]} from your shelf."
    if len(missing) == 1:
        return f"Not on your shelf: {missing[0]}, which is usual here."
    return f"Nothing on your shelf makes a pair for {target}: {' with '.join(missing)} would."
