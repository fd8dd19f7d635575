"""An exercise, and what is said of an answer to it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from hlbcore.errors import InvalidInput, clipped
from hlbcore.estimate import HLB_MAX
from hlbcore.ingredients import fold
from hlbcore.lessons._answers import read_answer
from hlbcore.lessons._mistakes import Mistake
from hlbcore.lessons._steps import Step, Working, figure

LETTERS = "abcdefgh"

CLOSE = 0.03
"""An answer this near to the right one is called close. [fraction of it] Our convention."""

CLOSE_BY, PLACE, TOO_HIGH = "close", "decimal place", "higher than any HLB"

NEAR = 0.006
"""An answer this near to what a mistake leads to is taken for it. [fraction of it]
Our convention: wide enough for a result rounded to three digits."""


@dataclass(frozen=True, slots=True)
class Exercise:
    """One exercise with its answer.

    Parameters
    ----------
    level : str
        Name of its level.
    seed : str
        What it was made from; the same gives the same exercise.
    question : str
        What is asked.
    given : tuple of (str, str)
        What is known: name, and figures with units.
    answer : float or str
        The right answer, computed by this package; a name where one is to be chosen. [in `unit`]
    unit : str
        Unit of the answer; blank for a name.
    tolerance : float
        How far an answer may be off. [in `unit`]
    steps : tuple of Step
        The way to the answer.
    mistakes : tuple of Mistake
        Wrong answers that usual mistakes lead to.
    choices : tuple of str
        What can be chosen; empty where a number is asked.
    lesson : str
        Key of the lesson that it belongs to.
    """

    level: str
    seed: str
    question: str
    given: tuple[tuple[str, str], ...]
    answer: float | str
    unit: str
    tolerance: float
    steps: tuple[Step, ...]
    mistakes: tuple[Mistake, ...]
    choices: tuple[str, ...] = ()
    lesson: str = ""

    def __post_init__(self) -> None:
        if not isinstance(self.answer, str):
            object.__setattr__(self, "answer", round(self.answer, 9))
        object.__setattr__(self, "tolerance", round(self.tolerance, 9))

    @property
    def answer_text(self) -> str:
        """The answer as printed in a key."""
        if isinstance(self.answer, str):
            return f"{LETTERS[self.choices.index(self.answer)]}) {self.answer}"
        shown = figure(self.answer)
        return f"HLB {shown}" if self.unit == "HLB" else f"{shown} {self.unit}"

    @property
    def choice_lines(self) -> tuple[str, ...]:
        """What can be chosen, a letter before each."""
        return tuple(f"{letter}) {c}" for letter, c in zip(LETTERS, self.choices, strict=False))

    @property
    def working(self) -> Working:
        """The way to the answer."""
        return Working(f"Answer: {self.answer_text}", self.steps)

    @property
    def text(self) -> str:
        """The question with what is given, as text."""
        lines = [self.question, *(f"- {name}: {known}" for name, known in self.given)]
        lines += self.choice_lines
        if not self.choices:
            lines.append(f"Answer in {self.unit}.")
        return "\n".join(lines)


@dataclass(frozen=True, slots=True)
class Feedback:
    """What is said of an answer.

    Parameters
    ----------
    right : bool
        Whether it is right within the tolerance.
    mistake : str
        Name of the mistake recognised; ``"unread"`` where the answer could not be read,
        ``"unit"`` where it has another unit; blank otherwise.
    hint : str
        What helps next; a word of praise where it is right.
    read : float or str or None
        The answer as it was read. [unit of the exercise]
    """

    right: bool
    mistake: str
    hint: str
    read: float | str | None = None


def _reach(exercise: Exercise, value: float) -> float:
    return max(NEAR * abs(value), min(exercise.tolerance, 5 * NEAR * abs(value)))


def tellable(exercise: Exercise) -> bool:
    """Whether every mistake can be told from the right answer and from every other mistake."""
    if isinstance(exercise.answer, str):
        values = [m.value for m in exercise.mistakes]
        return exercise.answer not in values and len(values) == len(set(values))
    held = [(m.name, float(m.value)) for m in exercise.mistakes]
    if not all(math.isfinite(v) and v > 0 for _, v in held):
        return False
    for n, (name, value) in enumerate(held):
        if abs(value - exercise.answer) <= 2 * (exercise.tolerance + _reach(exercise, value)):
            return False
        for other, its in held[:n]:
            apart = _reach(exercise, value) + _reach(exercise, its)
            if other != name and abs(value - its) <= 2 * apart:
                return False
    return True


def mark(exercise: Exercise, typed: str | float | None, *, attempt: int = 1) -> Feedback:
    """Whether an answer is right, and which mistake it looks like where it is not.

    Parameters
    ----------
    exercise : Exercise
        From `make_exercise`.
    typed : str or float
        The answer, as a person types it. [unit of the exercise]
    attempt : int
        Which answer to this exercise it is; a further one gets a further hint. [-]

    Returns
    -------
    Feedback
        Right or not, the mistake recognised, a hint. Never an error: an answer that cannot be
        read gets a sentence.

    Examples
    --------
    >>> from hlbcore.lessons import make_exercise
    >>> e = make_exercise("phase", 1)
    >>> mark(e, e.answer).right, mark(e, "seven or so").mistake
    (True, 'unread')
    """
    text = "" if typed is None else str(typed)
    if not text.strip():
        return Feedback(False, "unread", "Nothing was typed. Type your answer.")
    if isinstance(exercise.answer, str):
        return _mark_choice(exercise, text, attempt)
    try:
        read = read_answer(text, exercise.unit, [name for name, _ in exercise.given])
    except InvalidInput as error:
        return Feedback(False, "unread", str(error))
    if isinstance(read, str):
        return Feedback(False, "unit", _unit_hint(exercise, text, read))
    for value in read.values:
        if abs(value - exercise.answer) <= exercise.tolerance * (1 + 1e-9):
            note = f" {read.note}" if read.note else ""
            return Feedback(True, "", f"Right: {exercise.answer_text}.{note}", value)
    return _wrong(exercise, read.values[0], attempt)


def _wrong(exercise: Exercise, read: float, attempt: int) -> Feedback:
    """The mistake that a number looks like, or the next hint."""
    answer = float(exercise.answer)
    found = _nearest_mistake(exercise, read)
    if found is not None:
        return Feedback(False, found.name, found.hint, read)
    if read < 0 and exercise.level != "groups":
        return Feedback(
            False,
            "",
            "A negative figure cannot be here: an amount and a share are 0 or more, and so is what is "
            "asked. If a formula gave it, the target lies outside the two emulsifiers, or two figures "
            f"are swapped. {_next_step(exercise.steps, attempt)}",
            read,
        )
    for times in (10, 0.1):
        if abs(read - times * answer) <= times * exercise.tolerance:
            return Feedback(False, PLACE, "The digits are right, the decimal point is one place off.", read)
    if exercise.unit == "HLB" and read > HLB_MAX >= answer:
        hint = "No HLB is that high: nearly all lie from 0 to 20. Look at what was divided by what."
        return Feedback(False, TOO_HIGH, f"{hint} {_next_step(exercise.steps, attempt)}", read)
    if abs(read - answer) <= max(3 * exercise.tolerance, CLOSE * abs(answer)):
        hint = "Close. Check the rounding on the way: carry all digits, and round the last result alone."
        return Feedback(False, CLOSE_BY, f"{hint} {_further(exercise, attempt)}".strip(), read)
    return Feedback(False, "", f"Not yet. {_next_step(exercise.steps, attempt)}", read)


def _nearest_mistake(exercise: Exercise, read: float) -> Mistake | None:
    near = [
        (abs(read - float(m.value)), n)
        for n, m in enumerate(exercise.mistakes)
        if abs(read - float(m.value)) <= _reach(exercise, float(m.value))
    ]
    return exercise.mistakes[min(near)[1]] if near else None


def _unit_hint(exercise: Exercise, text: str, said: str) -> str:
    """The slip that the number shows, before the word on its unit."""
    bare = text.strip().rstrip("ghlbkmoz ").replace(",", ".")
    try:
        found = _nearest_mistake(exercise, float(bare))
    except ValueError:
        return said
    return said if found is None else f"{said} {found.hint}"


def _further(exercise: Exercise, attempt: int) -> str:
    return "" if attempt < 2 else _next_step(exercise.steps, attempt)


def _next_step(steps: Sequence[Step], attempt: int) -> str:
    """A step further with each answer; the last one is told with its numbers."""
    if not steps:
        return ""
    if attempt <= 1:
        return f"The first step: {steps[0].text}."
    at = min(attempt, len(steps)) - 1
    if at == 0:
        return f"The only step: {steps[0].line}."
    return (
        f"Step {at + 1}: {steps[at].text}." if attempt <= len(steps) else f"The last step: {steps[at].line}."
    )


def _mark_choice(exercise: Exercise, text: str, attempt: int) -> Feedback:
    bare = text.strip().strip("().").casefold()
    letter, _, rest = bare.partition(" ")
    if letter.strip("().") in LETTERS and rest and any(fold(rest) == fold(c) for c in exercise.choices):
        bare = rest  # "c squalane": the name says more than the letter
    held = [c for c, letter in zip(exercise.choices, LETTERS, strict=False) if bare == letter]
    key = fold(bare[:200])
    held = held or [c for c in exercise.choices if key and key == fold(c)]
    held = held or [c for c in exercise.choices if key and key in fold(c)]
    if len(held) != 1:
        what = "can mean more than one of them" if held else "is none of them"
        last = LETTERS[len(exercise.choices) - 1]
        return Feedback(
            False, "unread", f"'{clipped(text)}' {what}. Type a letter from a to {last}, or the whole name."
        )
    if held[0] == exercise.answer:
        return Feedback(True, "", f"Right: {exercise.answer_text}.", held[0])
    for mistake in exercise.mistakes:
        if mistake.value == held[0]:
            return Feedback(False, mistake.name, mistake.hint, held[0])
    return Feedback(False, "", f"Not yet. {_next_step(exercise.steps, attempt)}", held[0])
