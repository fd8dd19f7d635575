"""What the figure of a lesson asks before it answers, and what is said of a guess."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from hlbcore.blending.dose import usual_loading
from hlbcore.blending.mixing import blend_hlb, split_pair
from hlbcore.counting.oil_phase import required_hlb
from hlbcore.errors import InvalidInput
from hlbcore.ladder.next_vials import answers
from hlbcore.lessons._answers import read_answer
from hlbcore.lessons.texts import lesson_text
from hlbcore.library import Library, load_library
from hlbcore.product_types import product_type
from hlbcore.structure import hlb_from_oxyethylene

CREAM = "o/w cream"
OILS = ("castor oil", "soybean oil")  # far apart, so that the line is steep
PAIR = ("sorbitan stearate", "polysorbate 60")
PHASE: Mapping[str, float] = MappingProxyType({"sunflower oil": 60.0, "cocoa butter": 40.0})  # made up
OUT, INTO = "cocoa butter", "castor oil"
DOUBTED = (
    "soybean oil",
    "shea butter",
    "mineral oil",
    "beeswax",
    "lanolin",
    "petrolatum",
    "dimethicone",
    "caprylic/capric triglyceride",
)
"""Oils on which the tables differ more or less."""

OF_MANY = "of 100"


@dataclass(frozen=True, slots=True)
class Question:
    """A question that the figure of a lesson answers.

    Parameters
    ----------
    text : str
        What is asked.
    unit : str
        Unit of a guess.
    answer : float
        What the figure shows. [in `unit`]
    near : float
        A guess so near is called near enough. [in `unit`] Our convention.
    at : float
        Where the slider then stands. [its unit]
    why : str
        What there is to see.
    axis : str
        Along which axis of the figure a guess is drawn: ``"x"``, ``"y"``; blank: not drawn.
    decimals : int
        With how many the answer is told. [-]
    more : mapping
        What else is chosen for the figure.
    """

    text: str
    unit: str
    answer: float
    near: float
    at: float
    why: str
    axis: str = ""
    decimals: int = 1
    more: Mapping[str, int] = field(default_factory=lambda: MappingProxyType({}))

    @property
    def shown(self) -> str:
        """The answer with its unit."""
        number = f"{self.answer:.{self.decimals}f}"
        return f"HLB {number}" if self.unit == "HLB" else f"{number} {self.unit}"


@dataclass(frozen=True, slots=True)
class Told:
    """What is said of a guess.

    Parameters
    ----------
    text : str
        A sentence or two.
    guess : float or None
        As it was read; None where it could not be. [unit of the question]
    near : bool
        Whether it was near enough.
    """

    text: str
    guess: float | None = None
    near: bool = False


def compare_guess(question: Question, typed: str) -> Told:
    """A guess beside what the figure shows; it is never called wrong.

    Parameters
    ----------
    question : Question
        From `lesson_questions`.
    typed : str
        As a person types it: ``about 8``, ``7,5``, ``40/60``.

    Returns
    -------
    Told
        Never an error: what cannot be read gets a sentence, and no guess.

    Examples
    --------
    >>> first = lesson_questions("required")[0]
    >>> compare_guess(first, "about 9").text.partition(":")[0]
    'You said 9. The figure shows HLB 8.0'
    """
    if not typed.strip():
        return Told("Nothing was typed. Type a guess, or show the figure without one.")
    try:
        # a share of so many may be typed as per cent
        unit = "%" if question.unit == OF_MANY else question.unit
        read = read_answer(typed, unit, (OF_MANY, "oils"))
    except InvalidInput as error:
        return Told(str(error))
    if isinstance(read, str):
        return Told(read)
    guess = min(read.values, key=lambda value: abs(value - question.answer))
    off = guess - question.answer
    near = abs(off) <= question.near * (1 + 1e-9)
    by = f"{abs(off):.{question.decimals}f}" if abs(off) < 1e6 else "far"
    how = "near enough" if near else f"you were {by} too {'high' if off > 0 else 'low'}"
    return Told(
        f"You said {guess:.4g}. The figure shows {question.shown}: {how}. {question.why}", guess, near
    )


def lesson_questions(key: str, library: Library | None = None) -> tuple[Question, ...]:
    """What the figure of a lesson asks, one after the other.

    Parameters
    ----------
    key : str
        Short name of the lesson.
    library : Library, optional
        The built-in tables if left out.

    Returns
    -------
    tuple of Question
        Their answers come from the functions that draw the figure.

    Raises
    ------
    InvalidInput
        If there is no such lesson.

    Examples
    --------
    >>> [round(q.answer, 1) for q in lesson_questions("blend")]
    [52.0, 22.5, 91.2]
    """
    return _ASKED[lesson_text(key).key](library or load_library())


def _what(library: Library) -> tuple[Question, ...]:
    def at(pct: float, words: str, why: str) -> Question:
        return Question(words, "HLB", hlb_from_oxyethylene(pct), 0.5, pct, why, "x")

    return (
        at(
            60,
            "Of a nonionic molecule 60 % is hydrophilic, by mass. Which HLB has it?",
            "One fifth of the hydrophilic share is the HLB.",
        ),
        at(
            25,
            "Now only 25 % is hydrophilic. Which HLB has it?",
            "Read beside it what such an HLB is used for.",
        ),
        at(
            100,
            "What is the highest HLB that a nonionic molecule can have?",
            "Nothing is more than all: the scale of nonionic emulsifiers ends at 20.",
        ),
    )


def _required(library: Library) -> tuple[Question, ...]:
    first, second = OILS
    high, low = (required_hlb({name: 1.0}, library=library).value for name in OILS)

    def at(share: float, words: str, why: str) -> Question:
        held = required_hlb({first: share, second: 100 - share}, library=library)
        return Question(words, "HLB", held.value, 0.3, share, why, "y")

    return (
        at(
            25,
            f"A quarter of the oil phase is {first} (required HLB {high:g}), the rest {second} ({low:g}). "
            "Which HLB does it require?",
            "The lesser part pulls less: the result lies a quarter of the way up.",
        ),
        at(50, "Now half of it is castor oil. Which HLB?", "At half and half it is the plain mean."),
        at(90, "And with 90 % castor oil?", "The line never leaves the two ends."),
    )


def _blend(library: Library) -> tuple[Question, ...]:
    low, high = (blend_hlb({n: 1.0}, library=library).value for n in PAIR)

    def at(target: float, words: str, why: str) -> Question:
        share = 100 * split_pair(low, high, target=target)[1]
        return Question(words, "% of the blend", share, 3.0, target, why, "x")

    return (
        at(
            10,
            f"HLB 10 is wanted of {PAIR[0]} ({low:g}) and {PAIR[1]} ({high:g}). How much of the blend is "
            f"{PAIR[1]}?",
            "The target lies about half way between the two.",
        ),
        at(7, f"And for HLB 7: how much is {PAIR[1]}?", "The nearer the lower one, the less of the higher."),
        at(
            14,
            f"And for HLB 14: how much is {PAIR[1]}?",
            "Go on to 15 with the slider, and the pair has ended.",
        ),
    )


def _amount(library: Library) -> tuple[Question, ...]:
    def at(oil: float, words: str, why: str) -> Question:
        return Question(
            words, "% of the formula", usual_loading(oil, CREAM).start_pct or 0.0, 0.5, oil, why, "y"
        )

    start = usual_loading(20.0, CREAM).start_pct or 0.0
    return (
        at(
            40,
            f"With an oil phase of 20 % of the formula one starts at {start:g} % of emulsifier. "
            "With one of 40 %?",
            "In print the dose hardly follows the oil.",
        ),
        at(
            5,
            "And with an oil phase of only 5 %?",
            "With so little oil, a share of the oil phase holds the dose down.",
        ),
    )


def _swap(library: Library) -> tuple[Question, ...]:
    half = product_type(CREAM).window
    old = required_hlb(PHASE, library=library).value
    moved = {**PHASE, INTO: PHASE[OUT], OUT: 0.0}
    new = required_hlb(moved, library=library).value
    share = 100 * half / abs(new - old) if abs(new - old) > half else 100.0
    part = PHASE[OUT] / sum(PHASE.values())
    ends = [required_hlb({n: 1.0}, library=library).value for n in (OUT, INTO)]
    return (
        Question(
            f"{OUT.capitalize()} ({ends[0]:g}) is {100 * part:.0f} % of an oil phase. "
            f"{INTO.capitalize()} ({ends[1]:g}) comes in for part of it. How much of the {OUT} may go "
            f"before the required HLB has moved by {half:g}?",
            "%",
            share,
            5.0,
            30.0,
            "Share of the oil phase times difference: far from all of it.",
            "x",
            0,
        ),
        Question(
            f"All of the {OUT} is swapped. Which HLB does the oil phase require then?",
            "HLB",
            new,
            0.3,
            100.0,
            f"It was {old:.1f}: the old blend would lie far outside.",
            "y",
        ),
    )


def _ladder(library: Library) -> tuple[Question, ...]:
    def at(vials: int, made: int, share: float, words: str, why: str) -> Question:
        chance = 100 * answers(f"{vials} twice" if made == 2 else str(vials), share)
        more = MappingProxyType({"vials": vials, "made": made})
        return Question(words, OF_MANY, chance, 10.0, 100 * share, why, "", 0, more)

    return (
        at(
            7,
            1,
            0.10,
            "Seven single vials; like vials differ by 10 % of the height of the hump. Of 100 such ladders, "
            "how many show a clear optimum?",
            "The others end as an edge, as too noisy or as flat.",
        ),
        at(
            7,
            1,
            0.20,
            "The scatter doubles, to 20 %. How many of 100 now?",
            "Half of the ladders are then made for nothing.",
        ),
        at(
            7,
            2,
            0.20,
            "Still 20 %, but each vial is made twice. How many of 100?",
            "Repeats tell scatter from course.",
        ),
        at(
            9,
            1,
            0.20,
            "Still 20 %: nine single vials. How many of 100?",
            "More rungs alone help less than repeats.",
        ),
    )


def _limits(library: Library) -> tuple[Question, ...]:
    held = [e for n in DOUBTED if (e := library.oil(n).required_hlb("o/w")) is not None]

    def at(window: float, words: str, why: str) -> Question:
        inside = sum(max(e.high - e.value, e.value - e.low) <= window + 1e-9 for e in held)
        return Question(words, "oils", float(inside), 0.5, window, why, "", 0)

    return (
        at(
            1,
            f"Here are {len(held)} oils: {', '.join(DOUBTED)}. For how many does a window of ±1 cover all "
            "that the tables print?",
            "For the others no blend is surely inside: begin with a ladder.",
        ),
        at(
            3, "And a window of ±3, three times as wide?", "A wider window hides a doubt, it does not end it."
        ),
    )


_ASKED: Mapping[str, Callable[[Library], tuple[Question, ...]]] = MappingProxyType(
    {
        "what": _what,
        "required": _required,
        "blend": _blend,
        "amount": _amount,
        "swap": _swap,
        "ladder": _ladder,
        "limits": _limits,
    }
)
