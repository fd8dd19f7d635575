"""One swap over the kept formulas, accepted one by one or all at once, each with its reason."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from hlbcore.blending.work_out import work_out
from hlbcore.errors import Conflict, HlbError
from hlbcore.formula.formula import Formula
from hlbcore.kept.figures import kept_figures
from hlbcore.kept.kinds import FORMULA, formula_title
from hlbcore.kept.store import Store
from hlbcore.kept.versions import Version
from hlbcore.library import Library
from hlbcore.swapping.exchange import Into
from hlbcore.swapping.many import ManySwaps, swap_many


@dataclass(frozen=True, slots=True)
class AcrossStore:
    """One swap over the kept formulas.

    Parameters
    ----------
    made : ManySwaps
        What it does to each, by identity.
    versions : mapping of str to Version
        The states it was made from.
    """

    made: ManySwaps
    versions: dict[str, Version[Formula]]


def current(store: Store) -> dict[str, Version[Formula]]:
    """The formulas in use as they stand now, the last changed first; one that cannot be read is left out.

    Parameters
    ----------
    store : Store
        Kept work.

    Returns
    -------
    dict
        Identity to version.
    """
    found: dict[str, Version[Formula]] = {}
    for uid in store.formulas()["uid"]:
        try:
            found[str(uid)] = store.open(str(uid), kind=FORMULA)
        except HlbError:
            continue
    return found


def swap_across(
    store: Store, out: str, into: Into, library: Library, *, objective: str = "least change"
) -> AcrossStore:
    """What a swap does to every kept formula that holds what goes out.

    Parameters
    ----------
    store : Store
        Kept work; nothing of it is changed.
    out : str
        What goes out.
    into : str, sequence of str, or mapping of str to float, optional
        What comes in. [parts]
    library : Library
        The tables.
    objective : str
        As `swap` takes it.

    Returns
    -------
    AcrossStore
        For `accept`.

    Examples
    --------
    >>> from hlbcore import example_formula, load_library
    >>> store = Store(in_memory=True)
    >>> kept = store.save(example_formula())
    >>> found = swap_across(store, "shea butter", "mango butter", load_library())
    >>> accept(store, found, [kept.work]), store.open(kept.work).why
    ((), 'over several formulas: shea butter swapped for mango butter; emulsifiers: no change')
    """
    held = current(store)
    names = {uid: formula_title(v.body) for uid, v in held.items()}
    bodies = {uid: v.body for uid, v in held.items()}
    return AcrossStore(swap_many(bodies, out, into, names=names, objective=objective, library=library), held)


def accept(store: Store, found: AcrossStore, uids: Iterable[str], *, who: str = "") -> tuple[str, ...]:
    """Keep the swapped formulas as new versions, each with its reason.

    Parameters
    ----------
    store : Store
        Kept work.
    found : AcrossStore
        What the swap does.
    uids : iterable of str
        Those that are accepted.
    who : str
        Who accepts.

    Returns
    -------
    tuple of str
        A sentence for each that was not kept: moved on in the meantime, or not possible.
    """
    wanted, told = set(uids), []
    for one in found.made.each:
        if one.key not in wanted:
            continue
        if one.swap is None:
            told.append(f"{one.name}: {one.told}")
            continue
        try:
            store.save(
                one.swap.formula,
                on=found.versions[one.key],
                who=who,
                why=f"over several formulas: {one.swap.reason}",
                figures=kept_figures(work_out(one.swap.formula, one.before.library)),
                digest=one.before.library.digest,
            )
        except Conflict:
            told.append(f"{one.name}: it was changed in the meantime; the swap is kept beside it")
        except HlbError as error:
            told.append(f"{one.name}: {error}")
    return tuple(told)
