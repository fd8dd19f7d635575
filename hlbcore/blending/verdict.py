"""The verdict on an emulsifier system, by the role that HLB has in the product type."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from hlbcore._numbers import checked
from hlbcore.blending import words
from hlbcore.blending.beside import Beside, pair_beside
from hlbcore.blending.candidates import TRACE
from hlbcore.blending.dose import dose_finding, solubiliser_ratio
from hlbcore.blending.judging import HLB, NONE, RATE, System, rule_of, system_of
from hlbcore.blending.marks import LEFT_OUT, about_findings, charge_clash, mark_findings
from hlbcore.blending.mixing import system_hlb
from hlbcore.blending.rates import Around, Rate, main_of, rate_of
from hlbcore.blending.results import NO_SAY, RINSE_TEST, BlendHlb, within
from hlbcore.blending.sinking import sinking
from hlbcore.blending.words import much_oil, rate_findings, sheet_notes
from hlbcore.counting.counted import Counted, counted
from hlbcore.counting.required import Part, RequiredHlb
from hlbcore.errors import EmptyPhase, InvalidInput, MissingValue, clipped
from hlbcore.estimate import Estimate, as_estimate
from hlbcore.findings import Finding, background, worst_first
from hlbcore.formula.lines import Line, SupplierRate
from hlbcore.library import Library, load_library
from hlbcore.product_types import ProductType, product_type
from hlbcore.shares import share_in_window, share_text
from hlbcore.typed import in_full

FIRM, FAIR = 0.80, 0.40
"""Share of the sources' spread inside the window from which a verdict is firm, and fair. [-]
Our convention."""

UNSURE_MOST = 0.25
"""Where more of the oil phase rests on class ranges, bounds or an open dispute, the verdict is weak.
[-] Our convention."""

MOSTLY = 0.5
"""Where more of the oil phase has neither figure nor class there is no "inside". [-]
Our convention."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """What can be said of an emulsifier system.

    Parameters
    ----------
    word : str
        Begins with ``inside``, ``outside``, ``in its supplier's range``, ``outside its supplier's
        range``, ``no verdict`` or ``cannot say``; never blank.
    sentence : str
        The verdict in words.
    product : ProductType
        The product type that it holds for.
    blend : BlendHlb or None
        HLB of the blend; None where it is not computed.
    target : Estimate or None
        Required HLB. [HLB]
    share : float or None
        Share of the sources' spread inside the window. [-]
    dose : Finding or None
        The finding on the dose, apart from HLB.
    findings : tuple of Finding
        All others, worst first.
    beside : Beside or None
        The matched pair, where HLB is secondary.
    rule : str
        Which rule judges: ``HLB``, ``supplier's rate`` or ``none``.
    doubt : str
        By HLB: ``firm``, ``fair`` or ``weak``, with its reason; blank elsewhere.
    figure : str
        The number that the verdict turns on; blank where there is none.
    """

    word: str
    sentence: str
    product: ProductType
    blend: BlendHlb | None
    target: Estimate | None
    share: float | None
    dose: Finding | None
    findings: tuple[Finding, ...]
    beside: Beside | None = None
    rule: str = NONE
    doubt: str = ""
    figure: str = ""

    @property
    def says_yes(self) -> bool:
        """Whether the system lies inside by the rule that judges it."""
        return self.word.startswith(("inside", "in its"))


def judge(
    amounts: Mapping[str, float | str],
    required: RequiredHlb | Estimate | float | None,
    product: str | ProductType,
    *,
    oil_pct: float | str | None = None,
    window: float | None = None,
    values: Mapping[str, float | Estimate] | None = None,
    supplier: Mapping[str, SupplierRate] | None = None,
    cost: Mapping[str, float] | None = None,
    library: Library | None = None,
) -> Verdict:
    """The verdict on emulsifiers for an oil phase, by the role of HLB of the product type.

    Parameters
    ----------
    amounts : mapping of str to float or str
        The emulsifiers. [% of formula]
    required : RequiredHlb, Estimate, float or None
        What the oil phase requires. [HLB]
    product : str or ProductType
        The product type.
    oil_pct : float, optional
        Oil phase; taken from `required` where its amounts are in per cent or plain. [% of formula]
    window : float, optional
        Half width; that of the product type if left out. [HLB]
    values : mapping of str to float or Estimate, optional
        HLB of emulsifiers, of the user's own. [HLB]
    supplier : mapping of str to SupplierRate, optional
        What suppliers say of all-in-one waxes; such a wax needs no entry in the tables.
    cost : mapping of str to float, optional
        Prices, for the pair beside it. [price unit/kg]
    library : Library, optional
        The built-in tables if left out.

    Returns
    -------
    Verdict
        Word, sentence, dose and findings. Nothing is ever called stable, and a hydrophilic
        emulsifier far above the window is never a stop where HLB is secondary.

    Examples
    --------
    >>> judge({"polysorbate 80": 8}, 8.0, "wash-off scrub", oil_pct=80).word
    'no verdict: the rinse test decides'
    >>> judge({"sorbitan oleate": 2.1, "polysorbate 80": 2.9}, 10.5, "o/w cream", oil_pct=20).word
    'inside'
    """
    library = library or load_library()
    kind = product_type(product)
    half = kind.window if window is None else checked(window, "window", low=0, unit="HLB")
    masses = {n: checked(v, f"emulsifier '{clipped(n)}'", low=0, unit="%") for n, v in amounts.items()}
    oil = None if oil_pct is None else checked(oil_pct, "oil phase", low=0, high=100, unit="%")
    rates = {library.key(n): rate for n, rate in (supplier or {}).items()}
    own = {library.key(n): as_estimate(v, f"HLB of '{clipped(n)}'") for n, v in (values or {}).items()}
    held = []
    for name, mass in masses.items():
        key = library.key(name)
        if key not in own and key not in rates:
            library.emulsifier(name)  # says what it is instead
        rate = rates.get(key)
        line = Line(
            name,
            own=own.get(key),
            supplier_rate=None
            if rate is None
            else f"{in_full(rate.low_pct)} to {in_full(rate.high_pct)} % of the {rate.basis}",
            oil_limit=None if rate is None else rate.oil_limit_pct,
        )
        held.append(replace(counted(line, library, "o/w", pct=mass), side="emulsifier"))
        if key in own:
            held[-1] = replace(held[-1], estimate=own[key])
        elif held[-1].ingredient is not None and not held[-1].is_whole_wax:
            held[-1] = replace(held[-1], estimate=held[-1].ingredient.hlb)
    if isinstance(required, RequiredHlb):
        if kind.emulsion and required.emulsion != kind.emulsion:
            raise InvalidInput(
                "required HLB",
                f"it was computed for {required.emulsion}, {kind.one} is {kind.emulsion}",
                f'Compute it with emulsion="{kind.emulsion}".',
            )
        if oil is None:
            # plain numbers are per cent where they can be
            oil = required.mass if required.unit != "g" and required.mass <= 100 else None
        asked: RequiredHlb | None = required
    else:
        asked = None
        if required is not None:
            target = as_estimate(required, "required HLB")
            asked = RequiredHlb(
                target, kind.phase_emulsion, (Part("oil phase", oil or 1.0, target, "own value"),)
            )
    soap = 0.0 if asked is None else asked.soap
    return judge_system(held, asked, kind, oil=oil, soap=soap, window=half, cost=cost or {}, library=library)


def judge_system(
    held: Sequence[Counted],
    required: RequiredHlb | None,
    kind: ProductType,
    *,
    oil: float | None,
    soap: float = 0.0,
    window: float,
    cost: Mapping[str, float],
    library: Library,
    water: float = 0.0,
    ph: float | None = None,
    reason: str = "",
) -> Verdict:
    """The verdict on counted emulsifiers.

    Parameters
    ----------
    held : sequence of Counted
        The emulsifiers with their amounts. [% of formula]
    required : RequiredHlb or None
        What the oil phase requires.
    kind : ProductType
        The product type.
    oil : float or None
        The oil phase. [% of formula]
    soap : float
        Fatty acid neutralised to soap. [% of formula]
    window : float
        Half width. [HLB]
    cost : mapping of str to float
        Prices by name, for the pair beside it. [price unit/kg]
    library : Library
        The tables.
    water : float
        Water, for rates on the water phase. [% of formula]
    ph : float, optional
        Measured pH. [-]
    reason : str
        Why there is no required HLB.

    Returns
    -------
    Verdict
        Word, sentence, dose and findings.
    """
    used = [x for x in held if x.active > 0]
    system = system_of(used)
    rule = rule_of(system, kind)
    total = math.fsum(x.active for x in used)
    ingredients = [x.ingredient for x in used]
    named = [i for i in ingredients if i is not None]
    clash = charge_clash(named, soap=soap > 0)
    found = [] if clash is None else [clash]
    found += [*about_findings(named), LEFT_OUT]
    if rule == HLB:  # elsewhere the verdict itself says that HLB does not judge
        found += background(mark_findings(named))
    found += sinking(used, kind, oil)
    blend = _blend(used)
    target = None if required is None else required.estimate
    rates, main = _rates(system, kind, library, Around(oil, water, ph, total))
    rule = NONE if rule == RATE and main is None else rule
    found += rate_findings(rates, main if rule == RATE else None)
    found += [*(much_oil(rates) if kind.role == "governs" else []), *sheet_notes(rates)]
    dose = _dose(total, oil, kind, rates)
    share = share_in_window(target, blend.estimate, window) if target and blend else None
    beside, doubt = None, ""
    soap_share = soap / (soap + total) if soap > 0 else 0.0
    if not used:
        word, sentence = "no verdict: no emulsifier", words.no_emulsifier(kind, soap, held)
        word = "no verdict: soap is the emulsifier" if soap > 0 else word
        rule = NONE
    elif rule != RATE and kind.role == "governs" and soap_share > TRACE:
        word, sentence, rule = "cannot say: soap takes part", words.with_soap(system, soap), NONE
    elif rule == RATE:
        assert main is not None
        word, sentence = words.by_rate(main, system)
    elif kind.role == "secondary":
        word, sentence = RINSE_TEST, words.rinse(kind, blend, target, window)
        if target is not None and blend is not None:
            beside = pair_beside(used, target, kind, window, cost, library)
    elif kind.role == "none":
        word, sentence = NO_SAY, words.no_role(kind)
    elif rule == NONE:
        word, sentence = words.neither(system, rates, blend, target)
    elif blend is None:
        word, sentence = "cannot say: part of the emulsifiers has no HLB", words.no_blend(used)
    elif required is None or target is None or share is None:
        word, sentence = "cannot say: the oil phase has no figure", words.no_target(reason)
    elif required.bounded_share > MOSTLY:
        word, sentence = "cannot say: most of the oil phase has no figure", words.unknown_phase(required)
    else:
        word = within(blend.value, target.value, window)
        low, high = required.span_by_class
        if word == "outside" and low - window <= blend.value <= high + window:
            # a class range starts a ladder, it never makes an "outside"
            word = "cannot say: it turns on oils without a figure"
            sentence = words.by_class(blend, required, window)
        else:
            doubt = doubt_of(word, share, required, system)
            sentence = words.by_hlb(blend, target, window, share)
    figure = _figure(rule, blend, target, main)
    return Verdict(
        word, sentence, kind, blend, target, share, dose, worst_first(found), beside, rule, doubt, figure
    )


def _rates(
    system: System, kind: ProductType, library: Library, around: Around
) -> tuple[list[Rate], Rate | None]:
    """The suppliers' rates that hold for a product type, and that of the main emulsifier if it does."""
    rates = [rate_of(x, library, around) for x in system.rated]
    main = rates[system.rated.index(main_of(system.rated))] if rates else None
    if kind.anhydrous:  # a rate for emulsions says nothing of a product without water
        rates = [r for r in rates if r.mine or r.rinses]
    return rates, main if main in rates else None


def _dose(total: float, oil: float | None, kind: ProductType, rates: Sequence[Rate]) -> Finding | None:
    """The dose against what is usual; a supplier's rate that is kept says it already."""
    if not oil or total <= 0:
        return None
    if kind.dose_basis == "perfume oil":
        return solubiliser_ratio(total, oil)
    if any(r.stated and not r.outside for r in rates):
        return None
    dose = dose_finding(min(total, 100.0), oil, kind, neat=not rates)
    # in a conditioner the active cationic decides
    return background([dose])[0] if kind.name == "conditioner" else dose


def _figure(rule: str, blend: BlendHlb | None, target: Estimate | None, main: Rate | None) -> str:
    """The number that the verdict turns on; blank where there is none."""
    if rule == HLB and blend is not None and target is not None:
        return f"HLB {blend.value:.1f}, {target.value:.1f} required"
    return words.rate_figure(main) if rule == RATE and main is not None else ""


def doubt_of(word: str, share: float, required: RequiredHlb, system: System) -> str:
    """How firm a verdict by HLB is, with its reason.

    Parameters
    ----------
    word : str
        ``inside`` or ``outside``.
    share : float
        Share of the sources' spread inside the window. [-]
    required : RequiredHlb
        What the oil phase requires.
    system : System
        The emulsifiers.

    Returns
    -------
    str
        Begins with ``firm``, ``fair`` or ``weak``.
    """
    if required.unsure_share > UNSURE_MOST:
        pct = 100 * required.unsure_share
        return f"weak: {pct:.0f} % of the oil phase rests on class ranges, bounds or an open dispute"
    agrees = share if word == "inside" else 1 - share
    if agrees < FAIR:
        return f"weak: {share_text(share)}"
    if system.rated:
        return f"fair: {', '.join(clipped(x.name) for x in system.rated)} counts as a trace"
    return f"{'firm' if agrees >= FIRM else 'fair'}: {share_text(share)}"


def _blend(used: Sequence[Counted]) -> BlendHlb | None:
    """The blend's HLB; None where more than a trace has no figure."""
    try:
        return system_hlb(used, [x.active for x in used])
    except (MissingValue, EmptyPhase):
        return None
