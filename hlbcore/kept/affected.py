"""Which kept formulas a new figure of the user's own would move, and by how much."""

from __future__ import annotations

import pandas as pd

from hlbcore.kept.benches import compared, with_learned
from hlbcore.kept.kinds import LADDER
from hlbcore.kept.store import Store
from hlbcore.library import Library, load_library
from hlbcore.own_items import OwnReading


def own_label(store: Store, name: str, work: str) -> str:
    """The name that the figures of one kept ladder carry: two ladders of one name stay apart.

    Parameters
    ----------
    store : Store
        Kept work.
    name : str
        Name of the ladder.
    work : str
        Its identity; blank where it is not kept.

    Returns
    -------
    str
        The name alone where a figure was kept under it before and no other ladder has it.

    Examples
    --------
    >>> own_label(Store(in_memory=True), "March ladder", "3f2a91")
    'March ladder (3f2a)'
    """
    if not work:
        return name
    label = f"{name} ({work[:4]})"
    kept = {getattr(own, "trial", "") for own in store.overlay()}
    alone = (store.listed(LADDER)["name"] == name).sum() < 2
    return name if alone and name in kept and label not in kept else label


def library_without(store: Store, item: OwnReading | None = None, *, trial: str = "") -> Library:
    """The tables with the user's own figures, but for one figure or those of one trial.

    Parameters
    ----------
    store : Store
        Kept work.
    item : OwnReading, optional
        Left out wherever it is laid over.
    trial : str
        Name of a trial whose figures are left out.

    Returns
    -------
    Library
        As it stood before.

    Examples
    --------
    >>> library_without(Store(in_memory=True)) is load_library()
    True
    """
    kept = (
        own for own in store.overlay() if own != item and not (trial and getattr(own, "trial", "") == trial)
    )
    return load_library(overlay=with_learned(store, kept))


def affected(store: Store, item: OwnReading, library: Library | None = None) -> pd.DataFrame:
    """The kept formulas that use an ingredient, with what a figure of it would move.

    Parameters
    ----------
    store : Store
        Kept work; nothing of it is changed.
    item : OwnReading
        The figure, in use already or not.
    library : Library, optional
        The tables before it; left out: those in use without it.

    Returns
    -------
    DataFrame
        Columns name, required_before, required_after [HLB], verdict_before, verdict_after (word;
        the amounts of the formula stay as they are now where the tool does not work them out),
        moves (whether anything that is printed changes), uid; what moves most first.

    Examples
    --------
    >>> from hlbcore import example_formula
    >>> store = Store(in_memory=True)
    >>> kept = store.save(example_formula())
    >>> moved = affected(store, OwnReading("shea butter", 11.0))
    >>> bool(moved["required_after"][0] > moved["required_before"][0])
    True
    """
    before = library_without(store, item) if library is None else library
    after = load_library(overlay=with_learned(store, [*(o for o in store.overlay() if o != item), item]))
    return compared(store, before, after, [item.name])
