"""Which ladder to make next: the one after which the required HLB of the phases that matter is surest."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from statistics import median
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from hlbcore._numbers import checked
from hlbcore.blending.worked import Worked
from hlbcore.counting.given import phase_lines
from hlbcore.errors import EmptyPhase, InvalidInput, clipped
from hlbcore.estimate import HLB_MAX, Estimate
from hlbcore.formula.named import named_text
from hlbcore.ladder import Ladder, plan_ladder
from hlbcore.ladder.sheet import LadderSheet
from hlbcore.learning.bench_result import Z_95, phase_words
from hlbcore.learning.prior import Prior, Start
from hlbcore.learning.solving import Array, likeness

if TYPE_CHECKING:
    from hlbcore.learning.learned import Learned

READ_SD = 0.35
"""Standard deviation of a ladder's optimum while no ladder is there to take it from. [HLB] Our
convention: seven vials at ordinary scatter end with about 0.7 each way."""

OIL_PCT = 20.0
"""Oil phase of a ladder that is proposed. [% of the vial] Our convention: that of a usual cream."""

CANDIDATES_MOST = 400
"""Phases that are compared at most; single oils and formulas come first. [-]"""

NEXT_COLUMNS = {
    "phase": "name, or the oil phase in words",
    "pair": "the emulsifiers that it would be made with",
    "value": "HLB expected",
    "low": "HLB, 95 % interval now",
    "high": "HLB, 95 % interval now",
    "now": "HLB each way, of the phases that matter, now (mean of the 95 % intervals)",
    "after": "HLB each way, of the phases that matter, after this ladder",
    "own_after": "HLB each way, of this phase, after this ladder",
}
"""Columns of `NextBench.table` with unit or meaning."""


@dataclass(frozen=True, slots=True)
class BenchPhase:
    """An oil phase that could be laddered, or whose required HLB matters.

    Parameters
    ----------
    phase : tuple of (str, float)
        Names and masses. [any one unit]
    pair : tuple of str
        The emulsifiers; empty: not settled.
    name : str
        For example that of a formula.
    """

    phase: tuple[tuple[str, float], ...]
    pair: tuple[str, ...] = ()
    name: str = ""

    @property
    def label(self) -> str:
        """Its name, else the phase in words."""
        return self.name or phase_words(self.phase)


def phase_of_worked(worked: Worked) -> BenchPhase | None:
    """The oil phase of a formula, with its pair where it has two emulsifiers.

    Parameters
    ----------
    worked : Worked
        A formula, worked out.

    Returns
    -------
    BenchPhase or None
        None where it is no o/w formula that requires an HLB.
    """
    required = worked.required
    if required is None or required.emulsion != "o/w":
        return None
    phase = tuple((p.name, p.mass) for p in required.parts if p.mass > 0)
    named = tuple(x.name for x in worked.emulsifiers)
    name = worked.formula.name or "the open formula"
    return BenchPhase(phase, named if len(named) == 2 else (), name)


Phases = Sequence[Mapping[str, float] | BenchPhase] | Mapping[str, Mapping[str, float] | BenchPhase]


@dataclass(frozen=True, slots=True, eq=False)
class NextBench:
    """The next ladder, and how sure it would make us before it is made.

    Parameters
    ----------
    choice : BenchPhase
        What to ladder.
    value, low, high : float
        What is expected of it, with the 95 % interval. [HLB]
    now, after : float
        Mean half width of the 95 % intervals of the phases that matter, now and after it. [HLB]
    read_sd : float
        Standard deviation that its optimum is taken to have. [HLB]
    table : DataFrame
        All phases compared, the best first; columns as in `NEXT_COLUMNS`.
    emulsion : str
        ``"o/w"`` or ``"w/o"``.
    """

    choice: BenchPhase
    value: float
    low: float
    high: float
    now: float
    after: float
    read_sd: float
    table: pd.DataFrame
    emulsion: str = "o/w"

    @property
    def phase(self) -> dict[str, float]:
        """The oil phase to ladder. [as given]"""
        return dict(self.choice.phase)

    @property
    def words(self) -> str:
        """What to make and what it would bring, in a sentence."""
        pair = f" with {' and '.join(self.choice.pair)}" if self.choice.pair else ""
        return (
            f"{self.choice.label}{pair}, round HLB {self.value:.1f}. What your phases require is known "
            f"to {self.now:.1f} HLB each way now, and would be to {self.after:.1f}."
        )

    def sheet(self, *, oil_pct: float = OIL_PCT) -> LadderSheet:
        """The same as it would be typed on the page of a ladder; nothing is weighed yet.

        Parameters
        ----------
        oil_pct : float
            Oil phase in every vial. [% of the vial]

        Returns
        -------
        LadderSheet
            HLB steps round what is expected, over its interval.
        """
        oil = checked(oil_pct, "next ladder, oil", above=0, high=95, unit="%")
        whole = sum(self.phase.values())
        pair = self.choice.pair if len(self.choice.pair) == 2 else ("", "")
        return LadderSheet(
            kind="coarse",
            oils=named_text((n, round(oil * m / whole, 3)) for n, m in self.phase.items() if m > 0),
            first=pair[0],
            second=pair[1],
            centre=f"{max(self.low, 0.0):.1f} to {min(self.high, HLB_MAX):.1f}",
        )

    def plan(self, *, oil_pct: float = OIL_PCT, **options: Any) -> Ladder:
        """The ladder in vials and grams.

        Parameters
        ----------
        oil_pct : float
            Oil phase in every vial. [% of the vial]
        **options
            As `plan_ladder` takes them: vial_mass_g, readability_g, steps, emulsifier_pct, seed,
            blinded, library and the like.

        Returns
        -------
        Ladder
            Round the HLB that is expected, over the interval.
        """
        low, high = max(self.low, 0.0), min(self.high, HLB_MAX)
        middle = Estimate(min(max(self.value, low), high), low, high)
        pair: tuple[str | None, ...] = self.choice.pair if len(self.choice.pair) == 2 else (None, None)
        asked = {"centre": middle, "emulsion": self.emulsion, **options}
        oil = checked(oil_pct, "next ladder, oil", above=0, high=95, unit="%")
        whole = sum(self.phase.values())
        phase = {n: oil * m / whole for n, m in self.phase.items()}
        return plan_ladder(*pair, oil_phase=phase, **asked)


def bench_phases(phases: Phases, item: str) -> list[BenchPhase]:
    """Phases as given: a list, or a mapping from names.

    Parameters
    ----------
    phases : sequence or mapping
        Oil phases ``{name: mass}`` or `BenchPhase`.
    item : str
        What they are; stands in the message.

    Returns
    -------
    list of BenchPhase
        Those without an amount left out.

    Raises
    ------
    InvalidInput
        If none is given, or one cannot be read.
    """
    rows = list(phases.items()) if isinstance(phases, Mapping) else [("", p) for p in phases]
    found = []
    for name, phase in rows:
        if isinstance(phase, BenchPhase):
            found.append(phase)
            continue
        if not isinstance(phase, Mapping):
            raise InvalidInput(
                item, f"'{clipped(phase)}' is no oil phase", "Give a list of phases, each {name: mass}."
            )
        masses = {n: checked(m, f"{item}, '{clipped(n)}'", low=0) for n, m in phase.items()}
        if any(m > 0 for m in masses.values()):
            found.append(BenchPhase(tuple(masses.items()), name=str(name)))
    if not found:
        raise InvalidInput(item, "there is none with an amount", "Give at least one oil phase.")
    return found


def candidates(formulas: Sequence[BenchPhase]) -> tuple[BenchPhase, ...]:
    """Phases that could be laddered for these: themselves, their single oils, two of these by halves.

    Parameters
    ----------
    formulas : sequence of BenchPhase
        The phases that matter, with their pairs.

    Returns
    -------
    tuple of BenchPhase
        Single oils and halves with each pair that is there; at most `CANDIDATES_MOST`.

    Examples
    --------
    >>> held = BenchPhase((("jojoba oil", 3.0), ("shea butter", 1.0)), name="balm")
    >>> [c.label for c in candidates([held])]
    ['balm', 'jojoba oil', 'shea butter', 'jojoba oil 50 %, shea butter 50 %']
    """
    oils = list(dict.fromkeys(n for f in formulas for n, m in f.phase if m > 0))
    pairs = list(dict.fromkeys(f.pair for f in formulas)) or [()]
    singles = [BenchPhase(((o, 1.0),), p) for p in pairs for o in oils]
    halves = [
        BenchPhase(((a, 1.0), (b, 1.0)), p) for p in pairs for n, a in enumerate(oils) for b in oils[n + 1 :]
    ]
    found = dict.fromkeys((*formulas, *singles, *halves))
    return tuple(found)[:CANDIDATES_MOST]


def next_bench(
    made: Learned,
    phases: Phases,
    *,
    pair: Iterable[str] | None = None,
    matter: Phases | None = None,
    read_sd: float | None = None,
) -> NextBench:
    """The phase whose ladder would narrow the required HLB of what matters most.

    Parameters
    ----------
    made : Learned
        All ladders so far.
    phases : sequence or mapping of phases
        What could be laddered.
    pair : iterable of str, optional
        The emulsifiers, where a phase brings none; left out: the pair with the most ladders.
    matter : sequence or mapping of phases, optional
        The phases that shall be known, for example those of the kept formulas; left out: `phases`.
    read_sd : float, optional
        Standard deviation of the optimum to come; left out: the median of the ladders so far. [HLB]

    Returns
    -------
    NextBench
        The choice, and all phases compared.

    Raises
    ------
    InvalidInput
        If there is no phase.
    EmptyPhase
        Where nothing of a phase counts as oil.

    Notes
    -----
    All is normal, so the doubt after a ladder does not depend on what it will show: the variance of a
    phase t after a ladder of c is ``V_t - C_tc² / (V_c + s²)``, with all variances after the ladders so
    far.
    """
    usual = tuple(pair) if pair is not None else _usual_pair(made)
    tried = [_with_pair(p, usual) for p in bench_phases(phases, "phases")]
    wanted = [_with_pair(p, usual) for p in bench_phases(phases if matter is None else matter, "matter")]
    closed = [x.sd for x in made.equations.used if x.kind == "closed"]
    sd = median(closed) if closed else READ_SD
    if read_sd is not None:
        sd = checked(read_sd, "read_sd", above=0, high=20, unit="HLB")
    mean, covariance = _together(made, [*tried, *wanted])
    n = len(tried)
    variance = np.diag(covariance)
    cross = covariance[n:, :n]  # (wanted, tried)
    left = np.maximum(variance[n:, None] - cross**2 / (variance[:n] + sd * sd), 0.0)
    now = Z_95 * float(np.sqrt(variance[n:]).mean())
    after = Z_95 * np.sqrt(left).mean(axis=0)
    own = Z_95 * np.sqrt(variance[:n] * sd * sd / (variance[:n] + sd * sd))
    half = Z_95 * np.sqrt(variance[:n])
    rows = [
        (
            p.label,
            " with ".join(p.pair),
            mean[k],
            max(mean[k] - half[k], 0.0),
            min(mean[k] + half[k], HLB_MAX),
            now,
            float(after[k]),
            float(own[k]),
        )
        for k, p in enumerate(tried)
    ]
    order = sorted(range(n), key=lambda k: (round(rows[k][6], 9), k))
    best = order[0]
    table = pd.DataFrame([rows[k] for k in order], columns=list(NEXT_COLUMNS))
    _, _, value, low, high, _, gain, _ = rows[best]
    return NextBench(tried[best], value, low, high, now, gain, sd, table, made.emulsion)


def _usual_pair(made: Learned) -> tuple[str, ...]:
    counts = made.equations.effects.sum(axis=0)
    told = [(-int(c), n) for n, c in enumerate(counts) if made.equations.pairs[n]]
    return made.equations.pairs[min(told)[1]] if told else ()


def _with_pair(phase: BenchPhase, pair: tuple[str, ...]) -> BenchPhase:
    return phase if phase.pair else BenchPhase(phase.phase, pair, phase.name)


def _together(made: Learned, phases: Sequence[BenchPhase]) -> tuple[list[float], Array]:
    """What is expected of phases, and the covariance of their optima after all ladders. [HLB, HLB²]"""
    read: list[tuple[tuple[Start, ...], Array]] = []
    for p in phases:
        lines, _ = phase_lines(dict(p.phase), {}, {}, made.emulsion, made.library)
        try:
            read.append(made.weights(lines))
        except EmptyPhase:
            raise EmptyPhase(
                f"The oil phase of '{clipped(p.label)}'", "Nothing in it counts as oil: leave it out."
            ) from None
    starts = {s.id: s for s in made.prior.starts}
    for held, _ in read:
        starts |= {s.id: s for s in held if s.id not in starts}
    prior = Prior.of(tuple(starts.values()))  # those of the ladders first
    shares, index = np.zeros((len(read), len(starts))), prior.index
    for row, (held, weights) in zip(shares, read, strict=True):
        row[[index[s.id] for s in held]] = weights
    before = np.pad(made.equations.shares, ((0, 0), (0, len(starts) - len(made.prior.starts))))
    names = [frozenset(made.library.key(e) for e in p.pair) for p in phases]
    alike = np.array([[bool(a) and a == b for b in names] for a in names]) | np.eye(len(names), dtype=bool)
    known = [made.column(p.pair) for p in phases]
    effects = np.zeros((len(phases), made.equations.effects.shape[1]))
    for row, column in zip(effects, known, strict=True):
        if column is not None:
            row[column] = 1.0
    departs, pairs = made.departure_sd**2, made.pair_sd**2
    with_ladders = prior.between(shares, before) + departs * likeness(shares, before)
    with_ladders = with_ladders + pairs * effects @ made.equations.effects.T
    whole = prior.between(shares, shares) + departs * likeness(shares, shares) + pairs * alike
    solved = made.equations.solved
    mean = shares @ prior.mean + with_ladders @ solved.pull
    left = whole - with_ladders @ solved.inverse @ with_ladders.T
    return [min(max(float(m), 0.0), HLB_MAX) for m in mean], np.asarray(left)
