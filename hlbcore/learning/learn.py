"""One linear model over the tables and all bench ladders together, in closed form."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from hlbcore._numbers import checked, checked_word
from hlbcore.counting.given import phase_lines
from hlbcore.counting.words import left_out
from hlbcore.errors import EmptyPhase, HlbError, InvalidInput, UnknownIngredient, clipped
from hlbcore.ingredients import EMULSIONS, fold
from hlbcore.learning.bench_result import BenchResult
from hlbcore.learning.equations import Equations
from hlbcore.learning.learned import Learned
from hlbcore.learning.prior import Prior, Start, oil_start, starts_of
from hlbcore.learning.solving import PAIR_SD, Array, departure_sd, likeness, one_sided, solve
from hlbcore.library import Library, load_library


def learn(
    ladders: Iterable[BenchResult],
    library: Library | None = None,
    *,
    emulsion: str = "o/w",
    pair_sd: float = PAIR_SD,
    departure: float | None = None,
) -> Learned:
    """What all ladders together say about every oil, every pair and every phase.

    Parameters
    ----------
    ladders : iterable of BenchResult
        In any order; the same ladder twice counts once, a flat one says nothing.
    library : Library, optional
        The built-in tables if left out. Own figures that came from ladders are left out of what an
        oil starts from, as are measured readings of sources whose ladders are given.
    emulsion : str
        ``"o/w"`` or ``"w/o"``; ladders of the other type are left out.
    pair_sd : float
        Standard deviation of the effects of pairs. [HLB]
    departure : float, optional
        Standard deviation of the departures from adding up; estimated if left out. [HLB]

    Returns
    -------
    Learned
        Figures, pairs, ladders with their surprise, the required HLB of any phase, the next ladder.

    Raises
    ------
    UnknownIngredient
        Where an oil of a ladder is not in the tables; it names the ladder.
    EmptyPhase
        Where nothing of a ladder's phase counts as oil.
    InvalidInput
        For two unlike ladders under one name, and for a learned figure entered as a ladder.

    Notes
    -----
    Each ladder is one equation: ``optimum = sum of w_i R_i + effect of the pair + departure of the
    phase + reading error``. The required HLB of each oil starts from the tables (mean: the figure;
    variance: that of its range, a quarter of it shared by all figures of its roots); effects and
    departures start from 0. All is normal, so the answer is a closed form. Departures of like phases
    are alike. Their size is estimated on a grid by marginal likelihood, starting from 0.5.

    Examples
    --------
    >>> pair = ("sorbitan stearate", "polysorbate 60")
    >>> made = learn([BenchResult({"sunflower oil": 10, "shea butter": 5}, pair, 8.9, 8.3, 9.5)])
    >>> made.required({"sunflower oil": 10, "shea butter": 5}, pair=pair)
    8.8 (8.2 to 9.3)
    """
    library = library or load_library()
    word = checked_word(emulsion, EMULSIONS, "emulsion")
    pair_sd = checked(pair_sd, "pair_sd", low=0, high=20, unit="HLB")
    if departure is not None:
        departure = checked(departure, "departure", low=0, high=20, unit="HLB")
    given = list(ladders)
    for x in given:
        if not isinstance(x, BenchResult):
            raise InvalidInput("ladders", f"a {type(x).__name__} is no result", "Give BenchResult objects.")
    made = fitted(each_once(given), library, word, pair_sd, departure)
    back = circular(made, departure)
    if back is not None:
        raise _twice(back)
    return made


def each_once(ladders: Sequence[BenchResult]) -> tuple[BenchResult, ...]:
    """The ladders in an order of their own, each once.

    Parameters
    ----------
    ladders : sequence of BenchResult
        In any order.

    Returns
    -------
    tuple of BenchResult
        By name, phase and identity.

    Raises
    ------
    InvalidInput
        If two unlike ladders have one name.
    """
    digests = {id(x): x.digest for x in ladders}
    ordered = sorted(ladders, key=lambda x: (x.label, digests[id(x)], x.uid))
    held = {x.uid or digests[id(x)]: x for x in ordered}
    kept: dict[str, BenchResult] = {}
    for x in held.values():  # one that came in from a file again may have lost or won its uid
        kept.setdefault(digests[id(x)], x)
    named: dict[str, BenchResult] = {}
    for x in kept.values():
        if x.name and named.setdefault(fold(x.name), x) is not x:
            raise InvalidInput(
                f"ladder '{clipped(x.name)}'",
                "two ladders that differ have this name",
                "Rename one of them, or take one out.",
            )
    return tuple(kept.values())


def fitted(
    ladders: Sequence[BenchResult], library: Library, emulsion: str, pair_sd: float, departure: float | None
) -> Learned:
    """The model of ladders that are each there once; nothing is checked for circles."""
    used = [x for x in ladders if x.emulsion == emulsion and x.kind != "flat"]
    told = frozenset(x.source for x in used if x.source)
    found = _parts(used, library, emulsion, told)
    starts = {s.id: s for s in starts_of(library, emulsion, told)}
    starts |= {s.id: s for parts in found for s, _ in parts}
    prior = Prior.of([starts[k] for k in sorted(starts)])
    shares = np.zeros((len(used), len(prior.starts)))
    index = prior.index
    for row, parts in enumerate(found):
        for start, share in parts:
            shares[row, index[start.id]] += share
    pairs, columns = _pairs(used, library)
    effects = np.zeros((len(used), len(pairs)))
    effects[np.arange(len(used)), columns] = 1.0
    additive = prior.between(shares, shares) + pair_sd**2 * effects @ effects.T
    alike = likeness(shares, shares)
    mean = shares @ prior.mean
    closed = np.array([x.kind == "closed" for x in used], bool)
    read = np.array([x.value if x.kind == "closed" else x.edge for x in used])
    variance = np.array([x.sd**2 if x.kind == "closed" else np.inf for x in used])
    if departure is None:
        both = np.ix_(closed, closed)
        departure = departure_sd(additive[both], alike[both], (read - mean)[closed], variance[closed])
    whole = additive + departure**2 * alike
    precision = 1 / variance
    if not closed.all():
        read, precision = _with_open_ends(whole, mean, read, precision, closed, used)
    solved = solve(whole, mean, read, precision)
    equations = Equations(tuple(used), tuple(found), shares, effects, pairs, mean, whole, solved)
    return Learned(tuple(ladders), library, emulsion, pair_sd, departure, prior, equations)


def _with_open_ends(
    whole: Array,
    mean: Array,
    read: Array,
    precision: Array,
    closed: NDArray[np.bool_],
    used: Sequence[BenchResult],
) -> tuple[Array, Array]:
    """Readings and precisions where open ends have become the Gaussians that stand for them."""
    first = solve(whole, mean, np.where(closed, read, mean), precision)
    gap = ~closed
    after = whole - whole @ first.inverse @ whole
    at = mean + whole @ first.pull
    above = [x.kind == "above" for x in used if x.kind != "closed"]
    effect, weight = one_sided(after[np.ix_(gap, gap)], at[gap], read[gap], above)
    read, precision = read.copy(), precision.copy()
    read[gap], precision[gap] = effect, weight
    return read, precision


def _parts(
    ladders: Sequence[BenchResult], library: Library, emulsion: str, told: frozenset[str]
) -> list[list[tuple[Start, float]]]:
    """What counts in each phase, as shares that add to 1."""
    known: dict[str, Start | None] = {}
    found = []
    for x in ladders:
        held = []
        for name, mass in x.phase:
            if name not in known:
                known[name] = counted_oil(name, library, emulsion, told, f"stands in the {_named(x)}")
            start = known[name]
            if start is not None and mass > 0:
                held.append((start, mass))
        whole = sum(m for _, m in held)
        if whole <= 0:
            raise EmptyPhase(
                f"The oil phase of the {_named(x)}", "Nothing in it counts as oil: take the ladder out."
            )
        found.append([(s, m / whole) for s, m in held])
    return found


def _named(ladder: BenchResult) -> str:
    return f"ladder '{clipped(ladder.name)}'" if ladder.name else f"ladder of {ladder.label}"


def counted_oil(name: str, library: Library, emulsion: str, told: frozenset[str], where: str) -> Start | None:
    """What an oil starts from; None where the name is known and never counts in an oil phase.

    Parameters
    ----------
    name : str
        Any name.
    library : Library
        The tables.
    emulsion : str
        ``"o/w"`` or ``"w/o"``.
    told : frozenset of str
        Keys of sources whose ladders are given as ladders.
    where : str
        Where it stands, for the message.

    Returns
    -------
    Start or None
        A two-sided ingredient counts where it usually does.

    Raises
    ------
    UnknownIngredient
        If the tables do not know the name.
    """
    ingredient = library.known(name)
    if ingredient is None:
        raise UnknownIngredient(
            name,
            (),
            f"{where}, but is not in the tables, or no longer. Add it under own values, mend its name, or "
            "take the ladder out.",
        )
    if left_out(ingredient):
        return None
    lines, _ = phase_lines([(name, 1.0)], {}, {}, emulsion, library)
    if lines[0].side not in ("oil", "unknown"):
        return None
    return oil_start(ingredient, emulsion, library, told)


def _pairs(ladders: Sequence[BenchResult], library: Library) -> tuple[tuple[tuple[str, ...], ...], list[int]]:
    """The pairs, and the pair of each ladder; where none was told, each ladder has one of its own."""
    keys: dict[object, int] = {}
    pairs: list[tuple[str, ...]] = []
    columns = []
    for n, x in enumerate(ladders):
        key: object = pair_key(x.pair, library) or n
        if key not in keys:
            keys[key] = len(pairs)
            pairs.append(x.pair)
        columns.append(keys[key])
    return tuple(pairs), columns


def pair_key(pair: Iterable[str], library: Library) -> frozenset[str]:
    """A pair without order and spelling; empty where none is told."""
    return frozenset(library.key(p) for p in pair)


def circular(made: Learned, departure: float | None = None) -> BenchResult | None:
    """The ladder of a single oil whose optimum and ends are what the other ladders made of it.

    Parameters
    ----------
    made : Learned
        From all ladders.
    departure : float, optional
        As in `learn`. [HLB]

    Returns
    -------
    BenchResult or None
        None where each was read at the bench, as far as its figures tell.
    """
    for n, x in enumerate(made.equations.used):
        if len(made.equations.parts[n]) > 1 or x.optimum is None or x.low is None or x.high is None:
            continue
        figure, sd = made.oil_without(n)
        if abs(figure - x.value) > 0.5 or not 0.5 < (x.sd + 0.1) / (sd + 0.1) < 2:
            continue
        others = [y for y in made.given if y is not x]
        rest = fitted(others, made.library, made.emulsion, made.pair_sd, departure)
        value, low, high = rest.figure(made.equations.parts[n][0][0].id)
        apart = max(abs(value - x.optimum), abs(low - x.low), abs(high - x.high))
        # what is told with its day was read, unless no bench could read it so finely
        if apart < (1e-6 if x.made_on or x.uid else 0.051):
            return x
    return None


def _twice(ladder: BenchResult) -> InvalidInput:
    return InvalidInput(
        _named(ladder),
        "its figures are those that the other ladders make of this oil, so it would count them twice",
        "Enter only what was read at the bench, with its day.",
    )


def learn_what_goes(
    ladders: Sequence[BenchResult], library: Library, emulsion: str = "o/w"
) -> tuple[Learned, tuple[tuple[str, str], ...]]:
    """What the ladders that go together say, and why others are left out.

    Parameters
    ----------
    ladders : sequence of BenchResult
        In the order they were taken in: of two under one name the first stays.
    library : Library
        The tables.
    emulsion : str
        ``"o/w"`` or ``"w/o"``.

    Returns
    -------
    tuple
        What was learned; identity and sentence of each ladder that is left out.
    """
    problems, kept, named = [], list[BenchResult](), dict[str, BenchResult]()
    for x in ladders:
        first = named.setdefault(fold(x.name), x) if x.name else x
        try:
            each_once([first, x])
            if x.emulsion == emulsion and x.kind != "flat":
                _parts([x], library, emulsion, frozenset([x.source]))
        except HlbError as error:
            problems.append((x.identity, str(error)))
        else:
            kept.append(x)
    while True:
        made = fitted(each_once(kept), library, emulsion, PAIR_SD, None)
        found = circular(made)
        if found is None:
            return made, tuple(problems)
        problems.append((found.identity, str(_twice(found))))
        kept = [x for x in kept if x.identity != found.identity]
