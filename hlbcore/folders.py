"""Where the tables, the pages and the templates lie."""

from __future__ import annotations

from pathlib import Path


def packed_folder(name: str, holds: str) -> Path:
    """A folder beside the code: the packed copy of an installed wheel, else the checkout's.

    Parameters
    ----------
    name : str
        Its name.
    holds : str
        A file that stands in it.

    Returns
    -------
    Path
        An existing folder.

    Raises
    ------
    FileNotFoundError
        If neither is there.
    """
    here = Path(__file__).resolve().parent
    for folder in (here / name, here.parent / name):
        if (folder / holds).is_file():
            return folder
    raise FileNotFoundError(f"No folder {name} beside {here}: install the package again.")


def data_folder() -> Path:
    """The folder of the tables.

    Returns
    -------
    Path
        An existing folder.
    """
    return packed_folder("data", "ingredients.csv")
