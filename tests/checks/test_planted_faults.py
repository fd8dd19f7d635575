"""One fault planted in a sound formula is the first thing that is said."""

from __future__ import annotations

import pytest

import hlbcore as hlb
from hlbcore import Facts, Finding, Line
from hlbcore.findings import first_screen

SUNFLOWER = Line("sunflower oil", 15, phase="oil")
PAIR = (Line("sorbitan stearate", 2.5, phase="oil"), Line("polysorbate 60", 1.0, phase="oil"))
READY = Line("glyceryl stearate (and) PEG-100 stearate", 4, phase="oil")
KEPT = Line("phenoxyethanol (and) ethylhexylglycerin", 0.9, phase="cool-down")
BENZOATE = Line("sodium benzoate", 0.5, phase="cool-down")
CREAM, LOTION = "o/w cream", "light o/w lotion"


def oil(name: str, pct: float) -> Line:
    return Line(name, pct, phase="oil")


def water(name: str, pct: float) -> Line:
    return Line(name, pct, phase="water")


def drops(name: str, pct: float) -> Line:
    return Line(name, pct, phase="cool-down")


def said(kind: str, *lines: Line, **facts: object) -> list[Finding]:
    rest = water("water", 100 - sum(x.pct for x in lines))
    known = Facts(**facts)  # type: ignore[arg-type]
    return hlb.check(hlb.Formula("x", kind, (*lines, rest), facts=known))


def test_the_sound_cream_has_neither_stop_nor_caution() -> None:
    for system in (PAIR, (READY,)):
        assert {f.level for f in first_screen(said(CREAM, SUNFLOWER, *system, KEPT, ph=5.5))} == {"note"}


FAULTS: dict[str, tuple[str, tuple[Line, ...], dict[str, object], str, str]] = {
    "no emulsifier": (CREAM, (oil("shea butter", 29), KEPT), {}, "stop", "No emulsifier"),
    "emulsifier of the other type": (
        LOTION,
        (SUNFLOWER, oil("sorbitan oleate", 4), KEPT),
        {},
        "stop",
        "Only emulsifiers of the other type (w/o)",
    ),
    "half a system": (
        LOTION,
        (SUNFLOWER, oil("glyceryl stearate", 4), KEPT),
        {},
        "caution",
        "Only half of an emulsifier system",
    ),
    "off the window": (
        CREAM,
        (SUNFLOWER, oil("sorbitan stearate", 0.5), oil("polysorbate 60", 4), KEPT),
        {},
        "caution",
        "Emulsifiers: outside",
    ),
    "no preservative": (CREAM, (SUNFLOWER, *PAIR), {}, "stop", "Water and no preservative"),
    "benzoate at pH 7": (
        CREAM,
        (SUNFLOWER, *PAIR, BENZOATE),
        {"ph": 7.0},
        "stop",
        "sodium benzoate: cannot work at pH 7",
    ),
    "hardly any preservative": (
        CREAM,
        (SUNFLOWER, *PAIR, drops("phenoxyethanol", 0.01)),
        {},
        "stop",
        "phenoxyethanol: too little to preserve",
    ),
    "yeast and mould open": (
        CREAM,
        (SUNFLOWER, *PAIR, drops("phenoxyethanol", 1)),
        {},
        "caution",
        "phenoxyethanol alone leaves yeast and mould open",
    ),
    "10 % tea tree oil": (
        CREAM,
        (SUNFLOWER, READY, KEPT, drops("tea tree oil", 10)),
        {},
        "caution",
        "Essential oils: much for a product left on the body",
    ),
    "8 % glycolic acid at pH 3": (
        CREAM,
        (SUNFLOWER, READY, KEPT, water("glycolic acid", 8)),
        {"ph": 3.0},
        "caution",
        "Alpha hydroxy acid left on the skin: strong",
    ),
    "anionic with cationic": (
        CREAM,
        (SUNFLOWER, oil("sodium stearoyl lactylate", 3), oil("cetrimonium chloride", 2), KEPT),
        {},
        "stop",
        "Anionic with cationic",
    ),
    "divalent salt": (
        CREAM,
        (SUNFLOWER, *PAIR, water("magnesium sulfate", 10), KEPT),
        {},
        "caution",
        "Divalent salt in an o/w emulsion",
    ),
    "carbomer without a base": (
        CREAM,
        (SUNFLOWER, *PAIR, water("carbomer", 0.3), KEPT),
        {},
        "caution",
        "carbomer: no base to neutralise it",
    ),
    "little cationic": (
        "conditioner",
        (oil("cetearyl alcohol", 4), oil("jojoba oil", 4), water("cetrimonium chloride", 0.25), KEPT),
        {},
        "caution",
        "Little active cationic: it may not carry the oil",
    ),
    "lye": (
        CREAM,
        (SUNFLOWER, *PAIR, water("sodium hydroxide", 3), KEPT),
        {},
        "stop",
        "Lye beyond setting a pH",
    ),
    "held by the wax": (
        "w/o cream",
        (oil("almond oil", 40), oil("beeswax", 10), KEPT),
        {},
        "caution",
        "No emulsifier: held by the wax, may weep water",
    ),
    "scent without a solubiliser": (
        "clear solubilised product",
        (water("lavender essential oil", 1), KEPT),
        {},
        "stop",
        "No solubiliser",
    ),
    "cold-pressed bergamot left on": (
        CREAM,
        (SUNFLOWER, *PAIR, KEPT, drops("bergamot essential oil", 0.5)),
        {"fragrance_max_pct": 1.0, "fragrance_allergens": (("linalool", 0.1),)},
        "caution",
        "Phototoxic oils in a product left on the skin",
    ),
}


@pytest.mark.parametrize(("kind", "lines", "facts", "level", "title"), FAULTS.values(), ids=FAULTS)
def test_a_planted_fault_is_named_first(
    kind: str, lines: tuple[Line, ...], facts: dict[str, object], level: str, title: str
) -> None:
    first = said(kind, *lines, **facts)[0]
    assert (first.level, first.title) == (level, title)
