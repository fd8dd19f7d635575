"""The ladders of a workshop, which of them take part, and which learned figures its formulas use."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import lru_cache

from hlbcore.estimate import HLB_MAX, Estimate
from hlbcore.learning.bench_result import BenchResult
from hlbcore.learning.learn import learn_what_goes
from hlbcore.learning.learned import Learned
from hlbcore.learning.results import provenance
from hlbcore.learning.sharing import result_of, row_of
from hlbcore.library import Library, load_library
from hlbcore.own_items import OwnReading
from hlbcore.saved_text import made, opened, saved
from hlbcore.sheets import Own

SCHEMA, VERSION = "hlbcore bench", 1


@dataclass(frozen=True, slots=True)
class Bench:
    """What a workshop learns from; all of it follows from what stands here and the tables.

    Parameters
    ----------
    ladders : tuple of BenchResult
        All that were taken in.
    out : tuple of str
        Identities of those taken out again; they stay listed.
    used : tuple of str
        Ids of the oils whose learned figure leads in formulas.

    Examples
    --------
    >>> one = BenchResult({"shea butter": 1}, ("sorbitan oleate", "polysorbate 80"), 9.0, name="a")
    >>> bench = Bench().with_ladders([one, one])
    >>> len(bench.ladders), bench.without(one.identity).taking_part
    (1, ())
    """

    ladders: tuple[BenchResult, ...] = ()
    out: tuple[str, ...] = ()
    used: tuple[str, ...] = ()

    def with_ladders(self, found: Iterable[BenchResult]) -> Bench:
        """The bench with more ladders; one of the same identity takes the place of the former.

        Parameters
        ----------
        found : iterable of BenchResult
            From kept ladders or a shared file.

        Returns
        -------
        Bench
            The same ladder twice counts once.
        """
        held = {x.identity: x for x in self.ladders}
        digests = {x.digest: x.identity for x in self.ladders}
        for x in found:
            # from a file it may come without its uid
            held[digests.get(x.digest, x.identity)] = x if x.uid else held.get(digests.get(x.digest, ""), x)
            digests.setdefault(x.digest, x.identity)
        return replace(self, ladders=tuple(held.values()))

    def without(self, identity: str) -> Bench:
        """The bench with one ladder taken out: everything is as if it had never been there."""
        return replace(self, out=tuple(dict.fromkeys((*self.out, identity))))

    def back(self, identity: str) -> Bench:
        """The bench with a ladder that was taken out back in."""
        return replace(self, out=tuple(i for i in self.out if i != identity))

    def using(self, oils: Iterable[str]) -> Bench:
        """The bench with the learned figures of these oils leading in formulas, by id."""
        return replace(self, used=tuple(sorted(set(oils))))

    @property
    def taking_part(self) -> tuple[BenchResult, ...]:
        """The ladders that were not taken out."""
        return tuple(x for x in self.ladders if x.identity not in self.out)

    def to_json(self) -> str:
        """As text, with a schema version."""
        held = {"ladders": [row_of(x) for x in self.ladders], "out": self.out, "used": self.used}
        return saved(SCHEMA, VERSION, held)

    @classmethod
    def from_json(cls, text: str) -> Bench:
        """From its text; InvalidInput for any other."""
        with opened(text, [SCHEMA], VERSION, "bench") as (_, _, raw):
            if set(raw) != {"ladders", "out", "used"}:
                raise ValueError("its fields are not those of a bench")
            return made(cls, {**raw, "ladders": [result_of(r) for r in raw["ladders"]]})


def changed(before: Bench, after: Bench) -> str:
    """What was changed, in words."""
    said = []
    for word, old, new in (
        ("ladder", {x.identity for x in before.ladders}, {x.identity for x in after.ladders}),
        ("ladder taken out", set(before.out), set(after.out)),
        ("figure in use", set(before.used), set(after.used)),
    ):
        for sign, found in (("more", new - old), ("fewer", old - new)):
            if found:
                said.append(f"{len(found)} {sign}: {word}")
    return "; ".join(said) or "a ladder read again"


@dataclass(frozen=True, slots=True, eq=False)
class Reading:
    """What a bench makes of its ladders, and those that cannot be used.

    Parameters
    ----------
    made : Learned
        From all that can be used.
    problems : tuple of (str, str)
        Identity of a ladder that is left out, and why.
    """

    made: Learned
    problems: tuple[tuple[str, str], ...] = ()


@lru_cache(16)
def read_bench(bench: Bench, library: Library, emulsion: str = "o/w") -> Reading:
    """What a bench says; a ladder that cannot be used is left out and told.

    Parameters
    ----------
    bench : Bench
        The ladders.
    library : Library
        The tables, without what was learned.
    emulsion : str
        ``"o/w"`` or ``"w/o"``.

    Returns
    -------
    Reading
        What is learned, and the problems.

    Examples
    --------
    >>> one = BenchResult({"moon butter": 1}, ("sorbitan oleate", "polysorbate 80"), 9.0, name="a")
    >>> read_bench(Bench((one,)), load_library()).problems[0][1][:40]
    "'moon butter' stands in the ladder 'a', "
    """
    return Reading(*learn_what_goes(bench.taking_part, library, emulsion))


def usable(made: Learned, own: Iterable[Own] = ()) -> dict[str, OwnReading]:
    """Learned figures that may lead in formulas, by id.

    Parameters
    ----------
    made : Learned
        What was learned.
    own : iterable of OwnReading and OwnIngredient
        Figures of the user's own: these lead over learned ones.

    Returns
    -------
    dict of str to OwnReading
        Of oils that a ladder holds, once there is enough to learn from (`Learned.ready`); the
        range has the standard deviation of the learned figure.
    """
    if not made.ready:
        return {}
    mine = {
        made.library.key(x.name)
        for x in own
        if isinstance(x, OwnReading) and (x.quantity, x.emulsion) == ("required HLB", made.emulsion)
    }
    found = {}
    for row in made.figures.to_dict("records"):
        if not row["ladders"] or row["id"] in mine:
            continue
        half = math.sqrt(3.0) * row["sd"]  # an even range of this half width has that sd
        tables = Estimate(row["tables_value"], row["tables_low"], row["tables_high"])
        value = round(row["value"], 2)
        found[row["id"]] = OwnReading(
            row["ingredient"],
            value,
            max(round(value - half, 2), 0.0),
            min(round(value + half, 2), HLB_MAX),
            emulsion=made.emulsion,
            method=provenance(len(row["moved_by"]), tables),
        )
    return found


@lru_cache(32)
def in_use(bench: Bench, own: tuple[Own, ...]) -> tuple[OwnReading, ...]:
    """The learned figures that lead in formulas, to be laid over the tables.

    Parameters
    ----------
    bench : Bench
        With the oils that were accepted.
    own : tuple of OwnReading and OwnIngredient
        Figures of the user's own.

    Returns
    -------
    tuple of OwnReading
        Empty while there is too little to learn from.
    """
    if not bench.used:
        return ()
    made = read_bench(bench, load_library(overlay=own)).made
    return tuple(x for key, x in usable(made, own).items() if key in bench.used)
