"""An exercise, and what is said of an answer to it."""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass

from hlbcore._numbers import GRAMS_PER, read_amount
from hlbcore.errors import InvalidInput, clipped
from hlbcore.ingredients import fold
from hlbcore.lessons._mistakes import Mistake
from hlbcore.lessons._steps import Step, Working, figure

LETTERS = "abcdefgh"

TYPED_MOST = 200  # characters of an answer that are read

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


def mark(exercise: Exercise, typed: str | float | None) -> Feedback:
    """Whether an answer is right, and which mistake it looks like where it is not.

    Parameters
    ----------
    exercise : Exercise
        From `make_exercise`.
    typed : str or float
        The answer, as a person types it. [unit of the exercise]

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
        return _mark_choice(exercise, text)
    try:
        read = _number(exercise, text)
    except InvalidInput as error:
        return Feedback(False, "unread", str(error))
    if isinstance(read, str):
        return Feedback(False, "unit", read)
    if abs(read - exercise.answer) <= exercise.tolerance * (1 + 1e-9):
        return Feedback(True, "", f"Right: {exercise.answer_text}.", read)
    near = [
        (abs(read - float(m.value)), n)
        for n, m in enumerate(exercise.mistakes)
        if abs(read - float(m.value)) <= _reach(exercise, float(m.value))
    ]
    if near:
        found = exercise.mistakes[min(near)[1]]
        return Feedback(False, found.name, found.hint, read)
    if read < 0:
        return Feedback(
            False,
            "",
            "A negative figure cannot be: an amount, a share and an HLB are 0 or more. "
            "If a formula gave it, the target lies outside the two emulsifiers, or two figures "
            f"are swapped. {_start(exercise.steps)}",
            read,
        )
    return Feedback(False, "", f"Not yet. {_start(exercise.steps)}", read)


def _start(steps: Sequence[Step]) -> str:
    return f"The first step: {steps[0].text}." if steps else ""


def _number(exercise: Exercise, text: str) -> float | str:
    """The number typed, in the unit of the exercise, or a sentence on the unit."""
    if len(text) > TYPED_MOST:
        raise InvalidInput("your answer", f"it is longer than {TYPED_MOST} characters", "Type one number.")
    folded = " ".join(unicodedata.normalize("NFKC", text).casefold().split())
    for word in ("hlb", "of the formula", "of the blend", "of the emulsifiers", "="):
        if exercise.unit == "HLB" or word != "hlb":
            folded = folded.removeprefix(word).removesuffix(word).strip()
    amount = read_amount(folded or text, "your answer")
    if not math.isfinite(amount.number):
        raise InvalidInput("your answer", "it is no finite number", "Type a plain number.")
    asked = exercise.unit[:1] if exercise.unit[:1] == "%" else exercise.unit
    if not amount.unit or amount.unit == asked:
        return amount.number
    if asked == "g" and amount.unit in GRAMS_PER:
        return amount.number * GRAMS_PER[amount.unit]
    return f"The answer is asked in {exercise.unit}, and you typed {amount.unit}."


def _mark_choice(exercise: Exercise, text: str) -> Feedback:
    bare = text.strip().strip("().").casefold()
    held = [c for c, letter in zip(exercise.choices, LETTERS, strict=False) if bare == letter]
    key = fold(text[:200])
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
    return Feedback(False, "", f"Not yet. {_start(exercise.steps)}", held[0])
