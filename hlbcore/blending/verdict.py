"""The verdict on an emulsifier system, by the role that HLB has in the product type."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from hlbcore._numbers import checked
from hlbcore.blending.candidates import SOLUBILITY, charge_clash, choose_emulsifiers, emulsifier_findings
from hlbcore.blending.dose import dose_finding, solubiliser_ratio
from hlbcore.blending.results import Blend, BlendHlb
from hlbcore.blending.solving import blend_hlb, solve_blend
from hlbcore.counting.required import RequiredHlb
from hlbcore.errors import HlbError, InvalidInput, MissingValue, UnknownIngredient, clipped
from hlbcore.estimate import Estimate, as_estimate, share_in_window, share_text, window_word
from hlbcore.findings import Finding, worst_first
from hlbcore.ingredients import Ingredient, fold
from hlbcore.library import Library, load_library
from hlbcore.product_types import PRACTICE, ProductType, product_type


@dataclass(frozen=True, slots=True)
class SupplierRate:
    """What a supplier says of an all-in-one wax.

    Parameters
    ----------
    low_pct, high_pct : float
        Rate. [% of formula]
    oil_limit_pct : float, optional
        Most oil it carries. [% of formula]

    Examples
    --------
    >>> SupplierRate(4, 6, oil_limit_pct=25).oil_limit_pct
    25.0
    """

    low_pct: float
    high_pct: float
    oil_limit_pct: float | None = None

    def __post_init__(self) -> None:
        for name in ("low_pct", "high_pct", "oil_limit_pct"):
            value = getattr(self, name)
            if value is not None:
                item = f"supplier's figure, {name.removesuffix('_pct').replace('_', ' ')}"
                object.__setattr__(self, name, checked(value, item, low=0, high=100, unit="%"))
        if self.low_pct > self.high_pct:
            raise InvalidInput("supplier's rate", "the low end lies above the high end", "Swap them.")


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
    supplier = dict(supplier or {})
    masses = {n: checked(v, f"emulsifier '{clipped(n)}'", low=0, unit="%") for n, v in amounts.items()}
    oil = None if oil_pct is None else checked(oil_pct, "oil phase", low=0, high=100, unit="%")
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
    else:
        target = None if required is None else as_estimate(required, "required HLB")
    found: list[Finding] = []
    blend, reason = _blend(masses, values, supplier, library)
    found += _supplier_findings(masses, supplier, oil)
    held = [_held(n, library) for n in masses if masses[n] > 0]
    found += list(blend.cautions if blend else emulsifier_findings(held))
    if kind.anhydrous and any(masses.values()):
        found.append(SOLUBILITY)
    if isinstance(required, RequiredHlb) and required.soap > 0:
        clash = charge_clash([i for i in held if i is not None], soap=True)
        found += [] if clash is None else [clash]
    total = math.fsum(masses.values())
    dose = None
    if oil and total > 0 and not (reason and supplier):
        if kind.dose_basis == "perfume oil":
            dose = solubiliser_ratio(total, oil)
        else:
            dose = dose_finding(total, oil, kind)
    share = share_in_window(target, blend.estimate, half) if target and blend else None
    beside = None
    if kind.role == "none":
        word, sentence = ("no verdict", f"HLB decides nothing in a {kind.name}. {kind.reason} {kind.decides}")
    elif reason:
        word, sentence = "no verdict", reason[:1].upper() + reason[1:]
    elif target is None or blend is None or share is None:
        word, sentence = ("no verdict", "The required HLB of the oil phase is missing.")
    elif kind.role == "secondary":
        word = "rinse test"
        sentence = _secondary(kind, blend, target, half)
        beside = _beside(masses, target, kind, half, cost or {}, library)
    else:
        word = window_word(share)
        sentence = (
            f"The blend has HLB {blend.value:.1f} ({blend.low:.1f} to "
            f"{blend.high:.1f}), the oil phase requires {target.value:.1f} ({target.low:.1f} to "
            f"{target.high:.1f}), window ±{half:g}; {share_text(share)}. "
            "A best estimate to start from."
        )
    return Verdict(word, sentence, kind, blend, target, share, dose, worst_first(found), beside)


def _held(name: str, library: Library) -> Ingredient | None:
    try:
        return library.emulsifier(name)
    except UnknownIngredient:
        return None


def _blend(
    masses: Mapping[str, float],
    values: Mapping[str, float | Estimate] | None,
    supplier: Mapping[str, SupplierRate],
    library: Library,
) -> tuple[BlendHlb | None, str]:
    """The blend's HLB, or the reason why it is not computed."""
    if not any(m > 0 for m in masses.values()):
        return None, "there is no emulsifier."
    try:
        return blend_hlb(masses, values=values, library=library), ""
    except MissingValue as error:
        return None, f"no HLB is known for {', '.join(error.names)}. {_instead(supplier)}"
    except UnknownIngredient as error:
        if fold(error.name) not in {fold(n) for n in supplier}:
            raise
        return None, f"no HLB is known for {clipped(error.name)}. {_instead(supplier)}"


def _instead(supplier: Mapping[str, SupplierRate]) -> str:
    if supplier:
        return "Its supplier's rate and oil limit stand below."
    return "Go by its supplier's rate and oil limit: enter them to have them checked."


def _supplier_findings(
    masses: Mapping[str, float], supplier: Mapping[str, SupplierRate], oil: float | None
) -> list[Finding]:
    found = []
    for name, rate in supplier.items():
        held = math.fsum(m for n, m in masses.items() if fold(n) == fold(name))
        outside = not rate.low_pct <= held <= rate.high_pct
        found.append(
            Finding(
                "caution" if outside else "note",
                f"Supplier's rate of {clipped(name)}",
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
                    f"More oil than {clipped(name)} carries",
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
    masses: Mapping[str, float],
    target: Estimate,
    kind: ProductType,
    half: float,
    cost: Mapping[str, float],
    library: Library,
) -> Beside | None:
    """The matched pair at the same dose; None where no plain pair reaches the target."""
    total = math.fsum(masses.values())
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
    before = _solid(masses, library)
    after = _solid(dict(zip(pair.labels, pair.masses, strict=True)), library)
    hard = after - before
    words = [
        f"{abs(hard):.1f} % of the formula {'more' if hard > 0 else 'less'} solid emulsifier, so "
        f"{'harder' if hard > 0 else 'softer'} in the jar"
        if abs(hard) > 0.05
        else "about the same hardness in the jar",
        f"a blend of HLB {pair.hlb:.1f} rinses less readily and leaves more film than one used "
        f"for dispersal ({PRACTICE}): try both under the tap",
    ]
    now = [(m, cost.get(n)) for n, m in masses.items() if m > 0]
    if pair.cost_per_kg is not None:
        words.append(f"emulsifiers at {pair.cost_per_kg:.2f} per kg of product")
        if all(price is not None for _, price in now):
            current = math.fsum(m * price / 100 for m, price in now if price is not None)
            words[-1] += f", against {current:.2f} now"
    return Beside(pair, "; ".join(words))


def _solid(masses: Mapping[str, float], library: Library) -> float:
    held = ((_held(n, library), m) for n, m in masses.items())
    return math.fsum(m for i, m in held if i is not None and i.form == "solid")
