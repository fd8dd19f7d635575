"""What was learned: figures, pairs, ladders with their surprise, and the required HLB of any phase."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from hlbcore.counting.counted import Counted
from hlbcore.counting.given import Phase, phase_lines
from hlbcore.counting.oil_phase import phase_of
from hlbcore.errors import EmptyPhase
from hlbcore.estimate import HLB_MAX
from hlbcore.learning.bench_result import Z_95, BenchResult
from hlbcore.learning.equations import Equations
from hlbcore.learning.next_bench import NextBench, Phases, next_bench
from hlbcore.learning.prior import Prior, Start, oil_start
from hlbcore.learning.results import FIGURE_COLUMNS, PAIR_COLUMNS, LearnedHlb, interval
from hlbcore.learning.solving import Array, likeness
from hlbcore.library import Library

MOVES = 0.05
"""A ladder that moves a figure by less is not named for it. [HLB] Our convention: what is printed."""

MIXTURES_LEAST = 3
"""Mixtures that must have been laddered before anything is learned from them. [-] Our convention."""


@dataclass(frozen=True, slots=True, eq=False)
class Learned:
    """What all ladders together say; beside the tables, never in their place.

    Parameters
    ----------
    given : tuple of BenchResult
        All ladders, each once.
    library : Library
        The tables.
    emulsion : str
        ``"o/w"`` or ``"w/o"``.
    pair_sd : float
        Standard deviation of the effects of pairs. [HLB]
    departure_sd : float
        By how much phases depart from adding up, as estimated. [HLB]
    prior : Prior
        What the oils start from.
    equations : Equations
        The ladders that say something.
    """

    given: tuple[BenchResult, ...]
    library: Library
    emulsion: str
    pair_sd: float
    departure_sd: float
    prior: Prior
    equations: Equations

    # oils and pairs

    @property
    def _towards_oils(self) -> Array:
        """(oils, ladders) covariance of each oil with each optimum. [HLB²]"""
        return self.prior.between(np.eye(len(self.prior.starts)), self.equations.shares)

    def _moments(self, towards: Array, variance: Array) -> tuple[Array, Array]:
        """By how much quantities move, and their standard deviations. [HLB]"""
        left = variance - ((towards @ self.equations.solved.inverse) * towards).sum(axis=1)
        return towards @ self.equations.solved.pull, np.sqrt(np.maximum(left, 0.0))

    def _movers(self, towards: Array, held: Iterable[int] = ()) -> tuple[str, ...]:
        """The ladders behind one quantity, the strongest first."""
        off = self.equations.solved.read - self.equations.mean
        each = [float(m) for m in (towards @ self.equations.solved.inverse) * off]
        keep = {n for n, m in enumerate(each) if abs(m) >= MOVES} | set(held)
        return tuple(
            self.equations.used[n].label for n in sorted(keep, key=lambda n: (-abs(round(each[n], 9)), n))
        )

    @property
    def figures(self) -> pd.DataFrame:
        """One row an oil of the tables or the ladders, those in ladders first; as in `FIGURE_COLUMNS`."""
        towards = self._towards_oils
        variance = self.prior.variance
        moved, sd = self._moments(towards, variance)
        rows = []
        for n, s in enumerate(self.prior.starts):
            held = np.flatnonzero(self.equations.shares[:, n])
            value = min(max(float(self.prior.mean[n] + moved[n]), 0.0), HLB_MAX)
            rows.append(
                (
                    s.id,
                    s.name,
                    value,
                    *interval(value, float(sd[n])),
                    s.estimate.value,
                    s.estimate.low,
                    s.estimate.high,
                    value - s.estimate.value,
                    float(sd[n]),
                    s.estimate.sd,
                    self._movers(towards[n], held),
                    len(held),
                )
            )
        rows.sort(key=lambda r: (-r[-1], r[1]))
        return pd.DataFrame(rows, columns=list(FIGURE_COLUMNS))

    def figure(self, name: str) -> tuple[float, float, float]:
        """The learned figure of one oil with its 95 % interval. [HLB]

        Parameters
        ----------
        name : str
            Id or any name of an oil in `figures`.

        Returns
        -------
        tuple of float
            Value, low end, high end.
        """
        n = self.prior.index[self.library.key(name)]
        moved, sd = self._moments(self._towards_oils[n : n + 1], self.prior.variance[n : n + 1])
        value = min(max(float(self.prior.mean[n] + moved[0]), 0.0), HLB_MAX)
        return value, *interval(value, float(sd[0]))

    @property
    def pairs(self) -> pd.DataFrame:
        """One row a pair that was told, the best known first; columns as in `PAIR_COLUMNS`."""
        effects = self.equations.effects
        moved, sd = self._moments(self.pair_sd**2 * effects.T, np.full(effects.shape[1], self.pair_sd**2))
        rows = [
            (
                " with ".join(p),
                float(moved[n]),
                *_both(float(moved[n]), float(sd[n])),
                int(effects[:, n].sum()),
            )
            for n, p in enumerate(self.equations.pairs)
            if p
        ]
        rows.sort(key=lambda r: (-r[-1], r[0]))
        return pd.DataFrame(rows, columns=list(PAIR_COLUMNS))

    # phases

    def required(self, phase: Phase, pair: Iterable[str] | None = None) -> LearnedHlb:
        """The required HLB of a phase, from the tables and all ladders.

        Parameters
        ----------
        phase : mapping of str to float
            Names and masses, as `required_hlb` takes them; what is no oil is left out. [any one unit]
        pair : iterable of str, optional
            The emulsifiers that it holds for. None, or a pair that no ladder was made with: any, with
            the doubt of the pair.

        Returns
        -------
        LearnedHlb
            Value and 95 % interval, what the tables say, which ladders moved it.

        Raises
        ------
        UnknownIngredient
            For a name that the tables do not know.
        EmptyPhase
            If nothing counts.

        Examples
        --------
        >>> from hlbcore import BenchResult, learn
        >>> pair = ("sorbitan oleate", "polysorbate 80")
        >>> made = learn([BenchResult({"mineral oil": 1}, pair, 11.0, 10.4, 11.6)])
        >>> made.required({"mineral oil": 3, "shea butter": 1}).provenance
        'learned here from 1 ladder; tables say 9.5 (8.0 to 10.5)'
        """
        lines, _ = phase_lines(phase, {}, {}, self.emulsion, self.library)
        tables = phase_of(lines, emulsion=self.emulsion, library=self.library).estimate
        asked = tuple(pair or ())
        starts, weights = self.weights(lines)
        value, sd = self.foretold(starts, weights, asked)
        movers = self._movers(self.towards(starts, weights, asked)[0])
        known = asked if self.column(asked) is not None else ()
        return LearnedHlb(value, *interval(value, sd), sd, tables, movers, known)

    def foretold(
        self, starts: Sequence[Start], weights: Array, pair: Iterable[str] = ()
    ) -> tuple[float, float]:
        """The required HLB of what counts in a phase, and its standard deviation. [HLB]

        Parameters
        ----------
        starts : sequence of Start
            What counts in the phase.
        weights : ndarray
            Their shares, adding to 1. [-]
        pair : iterable of str
            The pair; empty: any.

        Returns
        -------
        tuple of float
            Value and standard deviation. [HLB]
        """
        towards, variance, start = self.towards(starts, weights, pair)
        moved, sd = self._moments(towards[None, :], np.array([variance]))
        return min(max(start + float(moved[0]), 0.0), HLB_MAX), float(sd[0])

    def weights(self, lines: Iterable[Counted]) -> tuple[tuple[Start, ...], Array]:
        """What counts in a phase, and its shares.

        Parameters
        ----------
        lines : iterable of Counted
            As `hlbcore.counting` gives them.

        Returns
        -------
        tuple
            What each oil starts from, and its share. [-]

        Raises
        ------
        EmptyPhase
            If nothing counts.
        """
        told = self.equations.told
        held: dict[str, Start] = {}
        shares: dict[str, float] = {}
        for x in lines:
            if x.side not in ("oil", "unknown") or x.pct <= 0:
                continue
            if x.ingredient is not None:
                start = oil_start(x.ingredient, self.emulsion, self.library, told)
            elif x.estimate is not None:
                start = Start(x.key, x.name, x.estimate, x.basis)
            else:
                continue
            held.setdefault(start.id, start)
            shares[start.id] = shares.get(start.id, 0.0) + x.pct
        whole = math.fsum(shares.values())
        if whole <= 0:
            raise EmptyPhase("The oil phase", "Enter an amount for at least one oil.")
        return tuple(held.values()), np.array([shares[k] / whole for k in held])

    def column(self, pair: Iterable[str] | None) -> int | None:
        """Which pair of the ladders this is; None where no ladder was made with it."""
        wanted = frozenset(self.library.key(p) for p in pair or ())
        for n, held in enumerate(self.equations.pairs):
            if wanted and frozenset(self.library.key(p) for p in held) == wanted:
                return n
        return None

    def towards(
        self, starts: Sequence[Start], weights: Array, pair: Iterable[str]
    ) -> tuple[Array, float, float]:
        """Covariance of a phase's optimum with those of the ladders, its variance, where it starts.

        Parameters
        ----------
        starts : sequence of Start
            What counts in the phase.
        weights : ndarray
            Their shares. [-]
        pair : iterable of str
            The pair; empty: any.

        Returns
        -------
        tuple
            (ladders,) covariances [HLB²], the variance [HLB²], and the mean before any ladder [HLB].
        """
        known = self.prior.index
        added = tuple(s for s in starts if s.id not in known)
        prior = Prior.of((*self.prior.starts, *added)) if added else self.prior
        at = prior.index
        row = np.zeros((1, len(prior.starts)))
        for s, w in zip(starts, weights, strict=True):
            row[0, at[s.id]] += w
        shares = np.pad(self.equations.shares, ((0, 0), (0, len(added))))
        departs = self.departure_sd**2
        with_ladders = prior.between(row, shares)[0] + departs * likeness(row, shares)[0]
        if (column := self.column(pair)) is not None:
            with_ladders = with_ladders + self.pair_sd**2 * self.equations.effects[:, column]
        variance = float(prior.between(row, row)[0, 0] + departs * likeness(row, row)[0, 0])
        return with_ladders, variance + self.pair_sd**2, float(row[0] @ prior.mean)

    # ladders

    def oil_without(self, ladder: int) -> tuple[float, float]:
        """The figure of the only oil of a ladder, and its sd, as the other ladders make it. [HLB]

        Parameters
        ----------
        ladder : int
            Its row in the equations. [-]

        Returns
        -------
        tuple of float
            Value and standard deviation, with the departures as all ladders give them. [HLB]
        """
        oil = int(np.argmax(self.equations.shares[ladder]))
        solved = self.equations.solved
        inverse = solved.inverse
        gone = inverse[:, ladder] / math.sqrt(inverse[ladder, ladder])
        left = inverse - np.outer(gone, gone)
        pull = solved.pull - inverse[:, ladder] * solved.pull[ladder] / inverse[ladder, ladder]
        towards = self._towards_oils[oil]
        variance = float(self.prior.variance[oil])
        return (
            float(self.prior.mean[oil] + towards @ pull),
            math.sqrt(max(variance - float(towards @ left @ towards), 0.0)),
        )

    @property
    def ladders(self) -> pd.DataFrame:
        """All ladders with their surprise, the most surprising first; columns as in `LADDER_COLUMNS`."""
        return self.equations.table(self.given)

    def next_ladder(
        self,
        phases: Phases,
        *,
        pair: Iterable[str] | None = None,
        matter: Phases | None = None,
        read_sd: float | None = None,
    ) -> NextBench:
        """Which of these phases to ladder next, and how sure it would make us.

        Parameters
        ----------
        phases, pair, matter, read_sd
            As in `hlbcore.learning.next_bench.next_bench`. [HLB]

        Returns
        -------
        NextBench
            The choice with `phase`, `now` and `after` [HLB each way], the table, and `plan` for
            vials and grams.

        Examples
        --------
        >>> from hlbcore import learn
        >>> found = learn([]).next_ladder([{"shea butter": 1}, {"sunflower oil": 1}])
        >>> found.phase, found.after < found.now
        ({'shea butter': 1.0}, True)
        """
        return next_bench(self, phases, pair=pair, matter=matter, read_sd=read_sd)

    @property
    def own_phases(self) -> tuple[tuple[BenchResult, LearnedHlb], ...]:
        """Each ladder with what it makes of its own phase and pair, beside the tables."""
        return tuple((x, self.required(dict(x.phase), pair=x.pair)) for x in self.equations.used)

    # whether there is enough

    @property
    def ready(self) -> bool:
        """Whether there is enough to learn from: three mixtures, foretold better than by the tables."""
        errors = self.equations.left_out_errors
        return errors is not None and self.equations.mixtures >= MIXTURES_LEAST and errors[0] < errors[1]

    @property
    def word(self) -> str:
        """Whether anything was learned, in a few words."""
        if self.equations.left_out_errors is None:
            return "nothing learned yet"
        if self.equations.mixtures < MIXTURES_LEAST:
            return "too few to learn from"
        return "learned" if self.ready else "nothing to learn yet"

    @property
    def words(self) -> str:
        """What can be said of it in two sentences."""
        errors = self.equations.left_out_errors
        if errors is None:
            return "No ladder has an optimum yet. The tables' figures stand."
        own = "Each ladder speaks for its own phase only."
        if self.equations.mixtures < MIXTURES_LEAST:
            held = ("No mixture has", "1 mixture has", "2 mixtures have")[self.equations.mixtures]
            return f"{held} been laddered, 3 are needed. {own}"
        told = f"{errors[0]:.1f} HLB, by the tables to {errors[1]:.1f}"
        if not self.ready:
            return f"With a phase left out, the others foretell it to {told}. {own}"
        return (
            f"With a phase left out, the others foretell it to {told}. "
            f"Your phases depart by about {self.departure_sd:.1f} from adding up."
        )


def _both(value: float, sd: float) -> tuple[float, float]:
    return value - Z_95 * sd, value + Z_95 * sd
