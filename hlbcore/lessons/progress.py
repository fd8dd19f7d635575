"""What a student has done: kept as text, taken along as a file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Annotated

import msgspec
import pandas as pd

from hlbcore._numbers import checked_word
from hlbcore.errors import InvalidInput
from hlbcore.lessons._exercise import Exercise, Feedback
from hlbcore.lessons.course_test import WHEN, Sitting
from hlbcore.lessons.exercises import LEVELS
from hlbcore.lessons.texts import lesson_texts
from hlbcore.limits import check_length
from hlbcore.saved_text import in_words

SCHEMA = 2  # 1 held no tests
MOST = 5_000  # exercises that are remembered
TEXT_MOST = 500_000  # signs of a file
NOT_TAKEN = Sitting()
_SAVED = "Choose the file saved here."

_Key = Annotated[str, msgspec.Meta(max_length=120)]


@dataclass(frozen=True, slots=True)
class Done:
    """How one exercise went.

    Parameters
    ----------
    tries : int
        Answers given. [-]
    right : bool
        Whether one of them was right.
    first : bool
        Whether the first was.
    slip : str
        The last mistake that was recognised; blank for none.
    """

    tries: Annotated[int, msgspec.Meta(ge=1, le=10_000)] = 1
    right: bool = False
    first: bool = False
    slip: Annotated[str, msgspec.Meta(max_length=80)] = ""


@dataclass(frozen=True, slots=True)
class Progress:
    """Exercises done, by level and seed.

    Parameters
    ----------
    done : mapping of str to Done
        The key is ``level/seed``.
    before, after : Sitting
        The test before and after the course; without marks where it was not taken.
    """

    done: Mapping[str, Done] = field(default_factory=lambda: MappingProxyType({}))
    before: Sitting = NOT_TAKEN
    after: Sitting = NOT_TAKEN

    def with_test(self, when: str, sitting: Sitting) -> Progress:
        """With a test as it was taken, or to be taken anew.

        Parameters
        ----------
        when : str
            ``"before"`` or ``"after"``.
        sitting : Sitting
            From `mark_test`; without marks to begin anew.

        Returns
        -------
        Progress
            Another.

        Raises
        ------
        InvalidInput
            For another word.
        """
        checked_word(when, WHEN, "when")
        return replace(self, before=sitting) if when == "before" else replace(self, after=sitting)

    def solved(self, level: str) -> int:
        """How many exercises of a kind were answered right. [-]"""
        return sum(d.right for k, d in self.done.items() if k.partition("/")[0] == level)

    def with_answer(self, exercise: Exercise, said: Feedback) -> Progress:
        """After one more answer; one that could not be read counts as none.

        Parameters
        ----------
        exercise : Exercise
            That was answered.
        said : Feedback
            What was said of it.

        Returns
        -------
        Progress
            Another.
        """
        if said.mistake in ("unread", "unit"):
            return self
        key = f"{exercise.level}/{exercise.seed}"
        before = self.done.get(key)
        if before is not None and before.right:
            return self
        slip = said.mistake or (before.slip if before else "")
        now = Done((before.tries if before else 0) + 1, said.right, before is None and said.right, slip)
        held = {**self.done, key: now}
        while len(held) > MOST:
            del held[next(iter(held))]
        return replace(self, done=MappingProxyType(held))

    @property
    def table(self) -> pd.DataFrame:
        """A row a lesson: exercises answered, right, right at once; and the slip met most."""
        rows = []
        for n, lesson in enumerate(lesson_texts(), 1):
            held = [d for k, d in self.done.items() if k.partition("/")[0] in lesson.levels]
            slips = [d.slip for d in held if d.slip]
            most = max(slips, key=slips.count) if slips else ""
            rows.append(
                (
                    f"{n}. {lesson.title}",
                    len(held),
                    sum(d.right for d in held),
                    sum(d.first for d in held),
                    most,
                )
            )
        return pd.DataFrame(rows, columns=["lesson", "answered", "right", "right at once", "usual slip"])

    def to_json(self) -> str:
        """As a file that a student takes along."""
        held = _File(SCHEMA, dict(self.done), self.before, self.after)
        return msgspec.json.encode(held).decode()

    @classmethod
    def from_json(cls, text: str) -> Progress:
        """Read such a file.

        Parameters
        ----------
        text : str
            As `to_json` wrote it.

        Returns
        -------
        Progress
            As it was.

        Raises
        ------
        InvalidInput
            If it is something else.
        """
        check_length(text, "progress", TEXT_MOST)
        try:
            held = msgspec.json.decode(text.encode("utf-8", "replace"), type=_File)
        except (msgspec.MsgspecError, RecursionError) as error:
            raise InvalidInput(
                "progress", f"it cannot be read: {in_words(error)}", "Choose the file saved here."
            ) from None
        levels = [k.partition("/")[0] for k in held.done]
        levels += [m.level for s in (held.before, held.after) for m in s.marks]
        if len(held.done) > MOST or not LEVELS.keys() >= set(levels):
            raise InvalidInput("progress", "it holds exercises unknown here", _SAVED)
        return cls(MappingProxyType(held.done), held.before, held.after)


class _File(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    schema: Annotated[int, msgspec.Meta(ge=1, le=SCHEMA)]
    done: dict[_Key, Done]
    before: Sitting = NOT_TAKEN
    after: Sitting = NOT_TAKEN
