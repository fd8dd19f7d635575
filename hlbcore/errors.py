"""The errors a caller can meet; each text names the item, what is right, and the mend."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path


def clipped(text: object, length: int = 60) -> str:
    """Return the text in one line, at most `length` characters, for use in a message."""
    line = " ".join(str(text).split())
    return line if len(line) <= length else line[: length - 1] + "…"


class HlbError(ValueError):
    """Base of every error of this package: the input was wrong, the message says how."""


class InvalidInput(HlbError):
    """A number, word or option that cannot be used.

    Attributes
    ----------
    item : str
        What the value belongs to, for example ``oil phase, 'shea butter'``.
    problem : str
        What is wrong with it.
    mend : str
        What to do.
    """

    def __init__(self, item: str, problem: str, mend: str) -> None:
        super().__init__(item, problem, mend)
        self.item, self.problem, self.mend = item, problem, mend

    def __str__(self) -> str:
        return f"{self.item}: {self.problem}. {self.mend}"


class EmptyPhase(HlbError):
    """There is nothing to compute with: no line, or every amount is zero."""

    def __init__(self, item: str, mend: str) -> None:
        super().__init__(item, mend)
        self.item, self.mend = item, mend

    def __str__(self) -> str:
        return f"{self.item} has no amount above 0. {self.mend}"


class UnknownIngredient(HlbError, LookupError):
    """A name that the tables do not hold on the side asked for.

    Attributes
    ----------
    name : str
        The name as given.
    close : tuple of str
        Names that look like it.
    remark : str
        Set where the name is known but stands on another side.
    """

    def __init__(self, name: str, close: Sequence[str] = (), remark: str = "") -> None:
        super().__init__(name, tuple(close), remark)
        self.name, self.close, self.remark = name, tuple(close), remark

    def __str__(self) -> str:
        if self.remark:
            return f"'{clipped(self.name)}' {self.remark}"
        if self.close:
            near = "Did you mean " + " or ".join(f"'{c}'" for c in self.close) + "? Otherwise give"
        else:
            near = "Check the spelling, or give"
        return (
            f"'{clipped(self.name)}' is not in the tables. {near} "
            "it a value of your own (a number, a range, or the range of its kind)."
        )


class MissingValue(HlbError, LookupError):
    """Ingredients that are known but have no figure for what is asked.

    Attributes
    ----------
    names : tuple of str
        The ingredients without a figure.
    quantity : str
        What is missing, for example ``w/o required HLB``.
    mend : str
        What to do.
    """

    def __init__(self, names: Sequence[str], quantity: str, mend: str) -> None:
        super().__init__(tuple(names), quantity, mend)
        self.names, self.quantity, self.mend = tuple(names), quantity, mend

    def __str__(self) -> str:
        listed = ", ".join(f"'{clipped(n)}'" for n in self.names)
        return f"No {self.quantity} is known for {listed}. {self.mend}"


class UnreachableTarget(HlbError):
    """No blend meets what was asked.

    Attributes
    ----------
    target : float
        HLB asked for.
    reachable : tuple of float or None
        Lowest and highest HLB that the emulsifiers reach under the limits;
        None where the limits contradict each other.
    relaxation : tuple of str
        The smallest change of what was asked that makes it possible, one sentence each.
    openers : tuple of str
        Emulsifiers of the tables that would open the way.
    """

    def __init__(
        self,
        target: float,
        reachable: tuple[float, float] | None,
        relaxation: Sequence[str] = (),
        openers: Sequence[str] = (),
    ) -> None:
        super().__init__(target, reachable, tuple(relaxation), tuple(openers))
        self.target, self.reachable = target, reachable
        self.relaxation, self.openers = tuple(relaxation), tuple(openers)

    def __str__(self) -> str:
        if self.reachable is None:
            text = "The limits contradict each other, so no blend exists."
        else:
            low, high = self.reachable
            text = (
                f"HLB {self.target:.4g} cannot be reached: these emulsifiers reach {low:.1f} to {high:.1f}."
            )
        if self.openers:
            text += " Emulsifiers that would open the way: " + ", ".join(self.openers) + "."
        if self.relaxation:
            without = " without one" if self.openers else ""
            text += f" Smallest change that makes it possible{without}: " + "; ".join(self.relaxation) + "."
        return text


class TimeLimitReached(HlbError):
    """A computation that took too long and was stopped.

    Attributes
    ----------
    item : str
        What was computed.
    seconds : float
        Time that it was given. [s]
    mend : str
        What to do.
    """

    def __init__(self, item: str, seconds: float, mend: str) -> None:
        super().__init__(item, seconds, mend)
        self.item, self.seconds, self.mend = item, seconds, mend

    def __str__(self) -> str:
        return f"{self.item} was not done within {self.seconds:g} s and was stopped. {self.mend}"


class TableError(HlbError):
    """A table file that cannot be read; names file, line and column."""

    def __init__(self, file: str, line: int, column: str, problem: str) -> None:
        super().__init__(file, line, column, problem)
        self.file, self.line, self.column, self.problem = file, line, column, problem

    def __str__(self) -> str:
        return f"{self.file}, line {self.line}, column '{self.column}': {self.problem}"


class StoreError(HlbError):
    """Kept work that could not be read or written."""


class NotSaved(StoreError):
    """The file could not be opened or written; nothing that is typed is lost.

    Attributes
    ----------
    path, problem, mend : str
        The file, what is wrong, what to do.
    """

    def __init__(self, path: str, problem: str, mend: str) -> None:
        super().__init__(path, problem, mend)
        self.path, self.problem, self.mend = path, problem, mend

    def __str__(self) -> str:
        return f"Not saved in {self.path}: {self.problem}. {self.mend}"


class LostFile(NotSaved):
    """The open file is no longer the file that stands at its path; what is open can be written out.

    Attributes
    ----------
    copy : bool
        Whether another whole file stands there: it is left as it is.
    """

    def __init__(self, path: str, problem: str, copy: bool = False) -> None:
        mend = "What is open here can be put back in its place, or written out elsewhere."
        super().__init__(path, problem, mend)
        self.args = (path, problem, copy)
        self.copy = copy


class DamagedWork(StoreError):
    """Some of the kept work that cannot be read; the rest of it can.

    Attributes
    ----------
    item, problem : str
        What it is, and what is wrong with it.
    """

    def __init__(self, item: str, problem: str) -> None:
        super().__init__(item, problem)
        self.item, self.problem = item, problem

    def __str__(self) -> str:
        return f"{self.item} is damaged in the file: {self.problem} Open an earlier version of it."


class NewerFile(StoreError):
    """A file that a later version of this tool wrote; it is left as it is."""

    def __init__(self, path: str, form: int, known: int) -> None:
        super().__init__(path, form, known)
        self.path, self.form, self.known = path, form, known

    def __str__(self) -> str:
        return (
            f"{self.path} was written by a later version of this tool (form {self.form}; this one "
            f"reads up to {self.known}). It was not touched. Install the later version, or name "
            "another file."
        )


class DamagedFile(StoreError):
    """A file that is damaged or gone; a damaged one is moved aside, never deleted.

    Attributes
    ----------
    path : str
        The file.
    moved_to, backup : Path or None
        Where it lies now (None: it is not there), and the last backup.
    """

    def __init__(self, path: str, moved_to: Path | None = None, backup: Path | None = None) -> None:
        super().__init__(path, moved_to, backup)
        self.path, self.moved_to, self.backup = path, moved_to, backup

    def __str__(self) -> str:
        text = f"{self.path} is not there, or could not be read."
        if self.moved_to is not None:
            text = f"{self.path} is damaged. It now lies at {self.moved_to}; nothing was deleted."
        if self.backup is not None:
            return f"{text} The last backup is {self.backup}. Start from it, or with an empty file."
        return f"{text} There is no backup. Start with an empty file."


class Conflict(StoreError):
    """Somebody else changed the formula in the meantime; both states are kept.

    Attributes
    ----------
    mine, theirs : str
        The two versions, by their uid.
    """

    def __init__(self, mine: str, theirs: str) -> None:
        super().__init__(mine, theirs)
        self.mine, self.theirs = mine, theirs

    def __str__(self) -> str:
        return (
            "This formula was changed in another window in the meantime. Both states are kept: "
            "take theirs, put yours on top, or keep yours as a formula of its own."
        )
