"""The jar as it is asked for: temperatures and times."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import streamlit as st

from hlbcore.rules.jar.sheet import JarSheet


@dataclass
class JarDraft:
    """What is asked of the jar, as typed; what was measured is kept with the formula."""

    sheet: JarSheet = field(default_factory=JarSheet)

    def put(self, name: str, text: str) -> None:
        """Take what was typed or set in one field."""
        self.sheet = replace(self.sheet, **{name: text})


def jar_draft() -> JarDraft:
    """The lasting key of the jar."""
    if "jar" not in st.session_state:
        st.session_state["jar"] = JarDraft()
    return st.session_state["jar"]
