"""The verdict on an emulsifier system, by the role that HLB has in the product type."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from hlbcore._numbers import checked
from hlbcore.blending.candidates import SOLUBILITY, charge_clash, choose_emulsifiers, emulsifier_findings
from hlbcore.blending.dose import dose_finding, solubiliser_ratio
from hlbcore.blending.mixing import system_hlb
from hlbcore.blending.results import Blend, BlendHlb
from hlbcore.blending.solving import solve_blend
from hlbcore.counting.counted import Counted, counted
from hlbcore.counting.required import RequiredHlb
from hlbcore.errors import HlbError, InvalidInput, MissingValue, clipped
from hlbcore.estimate import Estimate, as_estimate, share_in_window, share_text, window_word
from hlbcore.findings import Finding, worst_first
from hlbcore.formula.lines import Line, SupplierRate
from hlbcore.ingredients import fold
from hlbcore.library import Library, load_library
from hlbcore.product_types import PRACTICE, ProductType, product_type


@dataclass(frozen=True, slots=True)
class Beside:
    """The matched pair at the same dose, to set beside a hydrophilic emulsifier used alone.

    Parameters
    ----------
    blend : Blend
        The pair.
    price : str
        What it costs in hardness, rinse and money, in words.
    """

    blend: Blend
    price: str


@dataclass(frozen=True, slots=True)
class Verdict:
    """What can be said of an emulsifier system.

    Parameters
    ----------
    word : str
        ``inside``, ``doubtful``, ``outside``, ``rinse test`` or ``no verdict``.
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
    'rinse test'
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
            supplier_rate=None if rate is None else (rate.low_pct, rate.high_pct),
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
                f"it was computed for {required.emulsion}, a {kind.name} is {kind.emulsion}",
                f'Compute it with emulsion="{kind.emulsion}".',
            )
        if oil is None:
            # plain numbers are per cent where they can be
            oil = required.mass if required.unit != "g" and required.mass <= 100 else None
        target: Estimate | None = required.estimate
        soap = required.soap
    else:
        target = None if required is None else as_estimate(required, "required HLB")
        soap = 0.0
    return judge_system(held, target, kind, oil=oil, soap=soap, window=half, cost=cost or {}, library=library)


def judge_system(
    held: Sequence[Counted],
    target: Estimate | None,
    kind: ProductType,
    *,
    oil: float | None,
    soap: float = 0.0,
    window: float,
    cost: Mapping[str, float],
    library: Library,
) -> Verdict:
    """The verdict on counted emulsifiers.

    Parameters
    ----------
    held : sequence of Counted
        The emulsifiers with their amounts. [% of formula]
    target : Estimate or None
        What the oil phase requires. [HLB]
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

    Returns
    -------
    Verdict
        Word, sentence, dose and findings.
    """
    found: list[Finding] = []
    rated = [x for x in held if x.line.supplier is not None]
    blend, reason = _blend(held, bool(rated))
    found += _supplier_findings(rated, oil)
    used = [x.ingredient for x in held if x.pct > 0]
    found += list(blend.cautions if blend else emulsifier_findings(used))
    if kind.anhydrous and any(x.pct > 0 for x in held):
        found.append(SOLUBILITY)
    if soap > 0:
        clash = charge_clash([i for i in used if i is not None], soap=True)
        found += [] if clash is None else [clash]
    total = math.fsum(x.active for x in held)
    dose = None
    if oil and total > 0 and not (reason and rated):
        dose = (
            solubiliser_ratio(total, oil)
            if kind.dose_basis == "perfume oil"
            else dose_finding(total, oil, kind)
        )
    share = share_in_window(target, blend.estimate, window) if target and blend else None
    beside = None
    if kind.role == "none":
        word, sentence = ("no verdict", f"HLB decides nothing in a {kind.name}. {kind.reason} {kind.decides}")
    elif reason:
        word, sentence = "no verdict", reason[:1].upper() + reason[1:]
    elif target is None or blend is None or share is None:
        word, sentence = ("no verdict", "The required HLB of the oil phase is missing.")
    elif kind.role == "secondary":
        word = "rinse test"
        sentence = _secondary(kind, blend, target, window)
        beside = _beside(held, target, kind, window, cost, library)
    else:
        word = window_word(share)
        sentence = (
            f"The blend has HLB {blend.value:.1f} ({blend.low:.1f} to "
            f"{blend.high:.1f}), the oil phase requires {target.value:.1f} ({target.low:.1f} to "
            f"{target.high:.1f}), window ±{window:g}; {share_text(share)}. "
            "A best estimate to start from."
        )
    return Verdict(word, sentence, kind, blend, target, share, dose, worst_first(found), beside)


def _blend(held: Sequence[Counted], rated: bool) -> tuple[BlendHlb | None, str]:
    """The blend's HLB, or the reason why it is not computed."""
    if not any(x.active > 0 for x in held):
        return None, "there is no emulsifier."
    try:
        return system_hlb(held, [x.active for x in held]), ""
    except MissingValue as error:
        return None, f"no HLB is known for {', '.join(map(clipped, error.names))}. {_instead(rated)}"


def _instead(rated: bool) -> str:
    if rated:
        return "Its supplier's rate and oil limit stand below."
    return "Go by its supplier's rate and oil limit: enter them to have them checked."


def _supplier_findings(rated: Sequence[Counted], oil: float | None) -> list[Finding]:
    found = []
    for x in rated:
        rate, held, name = x.line.supplier, x.pct, clipped(x.name)
        assert rate is not None
        outside = not rate.low_pct <= held <= rate.high_pct
        found.append(
            Finding(
                "caution" if outside else "note",
                f"Supplier's rate of {name}",
                f"{held:g} % of the formula; the supplier says {rate.low_pct:g} to {rate.high_pct:g} %.",
                f"{held:g} % of the formula",
                "supplier's figure, as entered",
                f"Bring it to {min(max(held, rate.low_pct), rate.high_pct):g} %." if outside else "",
            )
        )
        if rate.oil_limit_pct is not None and oil is not None and oil > rate.oil_limit_pct:
            found.append(
                Finding(
                    "caution",
                    f"More oil than {name} carries",
                    f"The oil phase is {oil:g} % of the formula; the supplier's limit is "
                    f"{rate.oil_limit_pct:g} %.",
                    f"{oil - rate.oil_limit_pct:g} points over",
                    "supplier's figure, as entered",
                    f"Bring the oil phase to {rate.oil_limit_pct:g} %, or add a second emulsifier.",
                )
            )
    return found


def _secondary(kind: ProductType, blend: BlendHlb, target: Estimate, half: float) -> str:
    if blend.value > target.value + half:
        where = "above the window on purpose: such a blend disperses under the tap"
    elif blend.value < target.value - half:
        where = "below the window: expect an oily film, a more hydrophilic emulsifier rinses better"
    else:
        where = "inside the window, which need not mean that it rinses"
    return (
        f"The rinse test decides, not the figure. The blend has HLB {blend.value:.1f}, the fats "
        f"would require {target.value:.1f} in an emulsion; it stands {where}. {kind.reason}"
    )


def _beside(
    held: Sequence[Counted],
    target: Estimate,
    kind: ProductType,
    half: float,
    cost: Mapping[str, float],
    library: Library,
) -> Beside | None:
    """The matched pair at the same dose; None where no plain pair reaches the target."""
    total = math.fsum(x.active for x in held)
    choice = choose_emulsifiers(target, "o/w cream", library=library)
    if not choice.names:
        return None
    known = {library.names.get(fold(n), ""): p for n, p in cost.items()}
    prices = {n: known[library.find(n).id] for n in choice.names if library.find(n).id in known}
    try:
        pair = solve_blend(
            choice.names, target, window=half, total=total, cost=prices, product=kind.name, library=library
        )
    except HlbError:
        return None
    before = math.fsum(x.active for x in held if x.ingredient and x.ingredient.is_solid)
    solid = zip(pair.labels, pair.masses, strict=True)
    after = math.fsum(m for n, m in solid if library.find(n).is_solid)
    hard = after - before
    words = [
        f"{abs(hard):.1f} % of the formula {'more' if hard > 0 else 'less'} solid emulsifier, so "
        f"{'harder' if hard > 0 else 'softer'} in the jar"
        if abs(hard) > 0.05
        else "about the same hardness in the jar",
        f"a blend of HLB {pair.hlb:.1f} rinses less readily and leaves more film than one used "
        f"for dispersal ({PRACTICE}): try both under the tap",
    ]
    now = [(x.pct, cost.get(x.name)) for x in held if x.pct > 0]
    if pair.cost_per_kg is not None:
        words.append(f"emulsifiers at {pair.cost_per_kg:.2f} per kg of product")
        if all(price is not None for _, price in now):
            current = math.fsum(m * price / 100 for m, price in now if price is not None)
            words[-1] += f", against {current:.2f} now"
    return Beside(pair, "; ".join(words))
