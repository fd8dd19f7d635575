"""The swap as it is being typed."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, field, replace

import streamlit as st

from hlbcore.swapping.sheet import SwapLine, SwapSheet


@dataclass
class SwapDraft:
    """What is to be swapped, as typed, with a stable number for the fields of each line."""

    asked: SwapSheet = field(default_factory=lambda: SwapSheet((SwapLine(""),)))
    numbers: list[int] = field(default_factory=lambda: [0])
    following: int = 1

    def put(self, n: int, **changes: object) -> None:
        """Take what was typed in one line."""
        line = replace(self.asked.lines[n], **changes)
        self.asked = replace(self.asked, lines=(*self.asked.lines[:n], line, *self.asked.lines[n + 1 :]))

    def add(self) -> None:
        """One more line."""
        self.asked = replace(self.asked, lines=(*self.asked.lines, SwapLine("")))
        self.numbers.append(self.following)
        self.following += 1

    def remove(self, n: int) -> None:
        """Take a line out; the last one is emptied."""
        self.asked = replace(self.asked, lines=(*self.asked.lines[:n], *self.asked.lines[n + 1 :]))
        del self.numbers[n]
        if not self.numbers:
            self.add()

    def only_of(self, names: Collection[str]) -> None:
        """Forget what goes out where the open formula does not hold it."""
        lines = (replace(x, out="") if x.out not in names else x for x in self.asked.lines)
        self.asked = replace(self.asked, lines=tuple(lines))

    def afresh(self) -> None:
        """Empty lines: what was asked is done. Wishes and the way to rebalance stay."""
        self.asked = replace(self.asked, lines=(SwapLine(""),))
        self.numbers = [self.following]
        self.following += 1


def swap_draft() -> SwapDraft:
    """The lasting key of the swap."""
    if "swap" not in st.session_state:
        st.session_state["swap"] = SwapDraft()
    return st.session_state["swap"]
