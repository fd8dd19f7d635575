"""Net contents of a jar in both systems, and what a filling may miss.

- US, 21 CFR 701.13 (`cfr_701_13`): creams, balms and scrubs by weight, liquids by volume, (a); at most
  two decimals, (d); below 4 lb or 1 gal ounces first, from 1 lb or 1 pt with the larger unit beside them,
  (j)(1); from there on pounds or gallons, (k); "Net Wt" is a must with weight, (j)(2).
- Never overstate: rounded down; `nist_sp_1038` 4.4.1.2. Units exact by NIST Handbook 44, appendix C.
- Metric beside it: asked for by the Fair Packaging and Labeling Act as amended in 1992; 701.13(r) only
  permits it, and no section gives it a form.
- EU, Art. 19(1)(b) of Reg. (EC) 1223/2009, `eu_1223_2009`; tolerable negative error: Directive
  76/211/EEC, annex I 2.4, `eu_76_211`.
"""

from __future__ import annotations

import math
import re
from decimal import ROUND_FLOOR, Decimal

from hlbcore._numbers import GRAMS_PER, checked, grams
from hlbcore.batch.declared_names import checked_market
from hlbcore.errors import InvalidInput

ML_PER_FL_OZ = 29.5735295625
"""One US fluid ounce: 1/128 of 231 cubic inches. [ml] NIST Handbook 44, appendix C."""

MOST = 1e7
"""Most that one package is taken to hold. [g or ml] Our convention."""

SLACK = 1e-9
"""Rounding of a conversion there and back, so that 8 oz in grams is 8 oz again. [-]"""

_TNE = (
    (5.0, 50.0, 9.0, None),
    (50.0, 100.0, None, 4.5),
    (100.0, 200.0, 4.5, None),
    (200.0, 300.0, None, 9.0),
    (300.0, 500.0, 3.0, None),
    (500.0, 1000.0, None, 15.0),
    (1000.0, 10000.0, 1.5, None),
)


def _down(value: float, digits: int) -> str:
    step = Decimal(1).scaleb(-digits)
    held = Decimal(repr(value * (1 + SLACK))).quantize(step, ROUND_FLOOR)
    text = f"{held:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _amount(value: float | str, item: str) -> float:
    held = checked(value, item, low=0, high=MOST)
    if held <= 0:
        raise InvalidInput(item, "it is 0", "Enter what one package holds.")
    return held


def _metric(value: float, unit: str) -> str:
    """Grams or millilitres, rounded down: whole ones from 10 up, else one decimal."""
    if value * (1 + SLACK) >= 1000 and unit == "g":
        return f"{_down(value / 1000, 2)} kg"
    if value * (1 + SLACK) >= 1000:
        return f"{_down(value / 1000, 2)} L"
    return f"{_down(value, 0 if value >= 10 else 1)} {unit}"


def net_contents_us(*, g: float | str | None = None, ml: float | str | None = None) -> str:
    """Net contents for a US label, with the metric amount beside it.

    Parameters
    ----------
    g : float or str, optional
        Mass of the product in one package. [g]
    ml : float or str, optional
        Its volume at 20 °C, for what is poured; one of the two. [ml]

    Returns
    -------
    str
        Rounded down, in ounces first below 4 lb or 1 gallon.

    Raises
    ------
    InvalidInput
        Unless one of the two is given, above 0.

    Examples
    --------
    >>> net_contents_us(g=50), net_contents_us(ml=118.3)
    ('Net Wt 1.76 oz (50 g)', '4 fl oz (118 mL)')
    >>> net_contents_us(g=453.59237)
    'Net Wt 16 oz (1 lb) 453 g'
    """
    if (g is None) == (ml is None):
        raise InvalidInput("net contents", "give the mass or the volume, one of them", "Creams: the mass.")
    if g is not None:
        return _by_weight(_amount(g, "net contents"))
    assert ml is not None
    return _by_volume(_amount(ml, "net contents"))


def _by_weight(mass: float) -> str:
    ounces = mass / GRAMS_PER["oz"]
    metric = _metric(mass, "g")
    if ounces * (1 + SLACK) < 16:
        if float(_down(ounces, 2)) == 0:
            raise InvalidInput("net contents", f"{mass:g} g is below 0.01 oz", "Enter a larger amount.")
        return f"Net Wt {_down(ounces, 2)} oz ({metric})"
    pounds = math.floor(ounces * (1 + SLACK) / 16)
    rest = float(_down(ounces - 16 * pounds, 2))
    whole = f"{pounds} lb" + (f" {rest:g} oz" if rest > 0 else "")
    if pounds >= 4:
        return f"Net Wt {whole} ({metric})"
    return f"Net Wt {_down(ounces, 2)} oz ({whole}) {metric}"


def _by_volume(volume: float) -> str:
    ounces = volume / ML_PER_FL_OZ
    metric = _metric(volume, "mL")
    if ounces * (1 + SLACK) < 16:
        if float(_down(ounces, 2)) == 0:
            raise InvalidInput("net contents", f"{volume:g} ml is below 0.01 fl oz", "Enter a larger amount.")
        return f"{_down(ounces, 2)} fl oz ({metric})"
    whole = _largest_units(ounces)
    if ounces * (1 + SLACK) >= 128:
        return f"{whole} ({metric})"
    return f"{_down(ounces, 2)} fl oz ({whole}) {metric}"


def _largest_units(ounces: float) -> str:
    """Gallons, quarts, pints and the rest in fluid ounces; 2 gal 2 qt, not 2 gal 4 pt."""
    left, parts = ounces * (1 + SLACK), []
    for unit, size in (("gal", 128), ("qt", 32), ("pt", 16)):
        count = math.floor(left / size)
        if count:
            parts.append(f"{count} {unit}")
            left -= count * size
    rest = float(_down(left, 2))
    return " ".join(parts + ([f"{rest:g} fl oz"] if rest > 0.005 else []))


def net_contents_eu(*, g: float | str | None = None, ml: float | str | None = None) -> str:
    """Net contents for an EU label.

    Parameters
    ----------
    g : float or str, optional
        Mass of the product in one package. [g]
    ml : float or str, optional
        Its volume; one of the two. [ml]

    Returns
    -------
    str
        Metric.

    Raises
    ------
    InvalidInput
        Unless one of the two is given, above 0.

    Examples
    --------
    >>> net_contents_eu(g=50), net_contents_eu(ml=250)
    ('50 g', '250 ml')
    """
    if (g is None) == (ml is None):
        raise InvalidInput("net contents", "give the mass or the volume, one of them", "Creams: the mass.")
    value, unit = (
        (_amount(g, "net contents"), "g") if g is not None else (_amount(ml or 0, "net contents"), "ml")
    )
    return _metric(value, unit).replace("mL", "ml")


def tolerable_negative_error(nominal: float | str) -> float:
    """What a single package may lack of its nominal content in the EU.

    Parameters
    ----------
    nominal : float or str
        Nominal content. [g or ml, 5 to 10,000]

    Returns
    -------
    float
        Tolerable negative error; the average of a batch may lack nothing. [g or ml]

    Raises
    ------
    InvalidInput
        Outside 5 to 10,000, where the directive does not hold.

    Examples
    --------
    >>> tolerable_negative_error(50), tolerable_negative_error(250)
    (4.5, 9.0)
    """
    value = checked(nominal, "nominal content", low=5, high=10000, unit="g or ml")
    _, _, share, fixed = next(row for row in _TNE if value <= row[1])
    held = fixed if fixed is not None else value * (share or 0.0) / 100
    return float(Decimal(repr(held)).quantize(Decimal("0.1"), rounding="ROUND_CEILING"))


def net_contents(amount: float | str, market: str, *, by_volume: bool = False) -> str:
    """Net contents as the label of a market writes them.

    Parameters
    ----------
    amount : float or str
        What one package holds. [g, or ml by volume]
    market : str
        ``"us"`` or ``"eu"``.
    by_volume : bool
        For what is poured; creams, balms and scrubs go by weight.

    Returns
    -------
    str
        Rounded down.

    Examples
    --------
    >>> net_contents("50 g", "us"), net_contents(50, "eu")
    ('Net Wt 1.76 oz (50 g)', '50 g')
    """
    write = net_contents_us if checked_market(market) == "us" else net_contents_eu
    if not by_volume:
        return write(g=grams(amount, "net contents") if isinstance(amount, str) else amount)
    text = re.sub(r"\s*ml\s*$", "", amount, flags=re.I) if isinstance(amount, str) else amount
    return write(ml=text)


def tolerable_error_words(amount: float | str, market: str) -> str:
    """What one package may lack in the EU, in a sentence; blank for the US and outside 5 g to 10 kg."""
    value = grams(
        re.sub(r"\s*ml\s*$", "", amount, flags=re.I) if isinstance(amount, str) else amount, "net contents"
    )
    if checked_market(market) != "eu" or not 5 <= value <= 10000:
        return ""
    lacks = f"{tolerable_negative_error(value):g} g or ml"
    return (
        f"The average of a batch is at least what is written; one package may lack {lacks}, few may lack "
        "more, none twice that (Directive 76/211/EEC, annex I)."
    )
