"""A dose or a batch at which the emulsifiers weigh better: shown with its figures, taken by one press."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import streamlit as st
from how import behind, mark
from parts import safe

from hlbcore.blending.offers import WeighingOffer
from hlbcore.lessons.working import weighed_working

NOW = "HLB on this scale"


def weighs_better(offers: Sequence[WeighingOffer], place: str, take: Callable[[WeighingOffer], None]) -> None:
    """What the scale may do to the blend, and what is offered instead; nothing where it does no harm."""
    if not offers:
        return
    figures = {NOW: weighed_working(offers[0].was, {})}
    said = [f"<p class='told'>{safe(offers[0].why)}{mark(NOW, figures)}</p>"]
    for offer in offers:
        name = f"another {offer.kind}"
        figures[name] = weighed_working(offer.weighed, {})
        said.append(f"<p class='told'>{safe(offer.words)}{mark(name, figures)}</p>")
    st.html("".join(said) + behind(figures))
    with st.container(horizontal=True, key=f"{place}_offers"):
        for offer in offers:
            st.button(offer.press, key=f"{place}_offer_{offer.kind}", on_click=take, args=(offer,))
