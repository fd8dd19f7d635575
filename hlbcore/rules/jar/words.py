"""The first answers on a jar, a line each."""

from __future__ import annotations

from hlbcore.rules.jar.grains import SINKS
from hlbcore.rules.jar.sheet import Jar
from hlbcore.rules.jar.softness import CANNOT_SAY


def answers(jar: Jar) -> list[tuple[str, str]]:
    """What a maker asks of a jar, and the answers in a few words.

    Parameters
    ----------
    jar : Jar
        What the jar of a formula does.

    Returns
    -------
    list of (str, str)
        Only what applies.

    Examples
    --------
    >>> from hlbcore import Formula, Line, work_out
    >>> from hlbcore.rules.jar.sheet import work_out_jar
    >>> f = Formula("x", "wash-off scrub", [Line("sugar", 66, phase="solids"), Line("olive oil", 34)])
    >>> [answer for _, answer in answers(work_out_jar(work_out(f)))][:2]
    ['room: liquid; warm shelf: liquid', 'packed']
    """
    said = []
    if jar.softness is not None and (jar.contents.water_pct < 10 or jar.grains is not None):
        held = {p.place: p for p in jar.softness.places}
        room, warm = held["in a room"], held["on a warm shelf"]
        text = f"room: {room.word}; warm shelf: {warm.word}"
        if room.word == CANNOT_SAY:
            text = f"cannot say: {room.why}"
        said.append(("Does it stay soft?", text))
    if jar.grains is not None:
        text = jar.grains.word
        if jar.warm_grains is not None and jar.warm_grains.word == SINKS != text:
            text += "; in a warm jar they sink"
        said.append(("Do the grains stay up?", text))
    if jar.creaming is not None and jar.contents.water_pct >= 10:
        d = jar.creaming.droplet
        text = (
            jar.creaming.why.partition(":")[0].casefold()
            if d is None
            else f"up to {d.low_um:.2g} µm they stay"
        )
        said.append(("Do droplets rise?", text))
    for p in (p for p in jar.pourings if not p.apart):
        said.append((f"{p.step}?", f"{p.mixed.value:.0f} °C: {p.word}"))
    a = jar.syrup.activity
    if a is not None and (jar.contents.sugar_dissolved > 0 or a.high < 0.95):
        said.append(
            ("Does sugar keep it?", f"water activity {a.low:.2f} to {a.high:.2f}: preserve it all the same")
        )
    return said
