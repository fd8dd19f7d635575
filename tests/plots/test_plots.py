from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from xml.etree import ElementTree

import pytest
from matplotlib.figure import Figure

from hlbcore import (
    Blend,
    Estimate,
    Formula,
    InvalidInput,
    example_formula,
    plots,
    required_hlb,
    solve_blend,
    work_out,
)

TARGET = Estimate(8, 7, 9)


def pair(name: str = "b") -> Blend:
    return solve_blend({"a": 4.0, name: 16.0}, 10.0, total=(3, 6))


def trio(name: str = "c") -> Blend:
    return solve_blend({"a": 4.0, "b": 16.0, name: 9.0}, 10.0, total=5)


def axis(name: str = "x") -> Figure:
    return plots.hlb_axis(
        TARGET, 1, blend=Estimate(8.4, 8, 9), emulsifiers={name: Estimate(15, 14, 16)}, word="inside"
    )


def bars(name: str = "x") -> Figure:
    return plots.contributions(required_hlb({name: 3, "castor oil": 1}, values={name: 7.0}))


DRAWN: dict[str, Callable[[str], Figure]] = {
    "axis": axis,
    "contributions": bars,
    "ratio": lambda name: plots.ratio(pair(name)),
    "triangle": lambda name: plots.triangle(trio(name)),
    "map": lambda name: plots.ratio_and_total(pair(name), (3, 6)),
}
EACH = pytest.mark.parametrize("draw", DRAWN.values(), ids=DRAWN.keys())


@EACH
def test_each_is_a_figure_of_readable_width(draw: Callable[[str], Figure]) -> None:
    figure = draw("x")
    assert isinstance(figure, Figure)
    assert figure.get_figwidth() == plots.WIDTH_IN


def test_no_figure_needs_pyplot() -> None:
    code = (
        "import sys\n"
        "from hlbcore import example_formula, plots, solve_blend, work_out\n"
        "found = work_out(example_formula())\n"
        "drawn = [plots.of_formula(found, w) for w in ('axis', 'contributions', 'ratio', 'map')]\n"
        "drawn += [plots.triangle(solve_blend({'a': 4.0, 'b': 16.0, 'c': 9.0}, 10, total=5))]\n"
        "files = [f(d) for d in drawn for f in (plots.to_svg, plots.to_png)]\n"
        "print(len(files), 'matplotlib.pyplot' in sys.modules)\n"
    )
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert found.stdout == "10 False\n"


LABELS = {
    "axis": ("HLB, Griffin scale [-]", ""),
    "contributions": ("contribution to the required HLB of 8.8 [HLB]", ""),
    "ratio": ("b [% of the blend]", "HLB of the blend [-]"),
    "map": ("b [% of the two]", "all emulsifiers [% of the formula]"),
}


@pytest.mark.parametrize(("which", "labels"), LABELS.items(), ids=LABELS.keys())
def test_axes_say_what_they_show_and_its_unit(which: str, labels: tuple[str, str]) -> None:
    axes = DRAWN[which]("b").axes[0]
    assert (axes.get_xlabel(), axes.get_ylabel()) == labels
    assert labels[1] or list(axes.get_yticks()) == []  # an axis without a label has no ticks


def test_corners_of_the_triangle_are_named_with_their_hlb() -> None:
    shown = [t.get_text() for t in plots.triangle(trio()).axes[0].texts]
    assert {"a\nHLB 4.0", "b\nHLB 16.0", "c\nHLB 9.0"} <= set(shown)


WORDS = {
    "axis": "Blend 8.4 (8.0 to 9.0): inside. Required HLB 8.0 (7.0 to 9.0), window 7.0 to 9.0. "
    "b: 15.0 (14.0 to 16.0).",
    "contributions": "Required HLB 8.8: b 5.25 (75 % at 7.0), castor oil 3.50 (25 % at 14.0).",
    "ratio": "With 50 % b and 50 % a the blend has HLB 10.0; inside the window from 42 % to 58 % b.",
    "map": "Chosen: 50 % b of a and b, total 3.0 %. Allowed from 42 % to 58 % b and totals of 3.0 to 6.0 %.",
}


@pytest.mark.parametrize(("which", "said"), WORDS.items(), ids=WORDS.keys())
def test_words_hold_the_numbers(which: str, said: str) -> None:
    assert plots.words(DRAWN[which]("b")) == said


def test_words_of_the_triangle_hold_shares_hlb_and_window() -> None:
    blend = trio()
    said = plots.words(plots.triangle(blend))
    for name, share in zip(blend.labels, blend.mixture.fractions, strict=True):
        assert f"{100 * share:.0f} % {name}" in said
    assert said.endswith("HLB 10.0, window 9.0 to 11.0.")


def test_limits_narrow_what_is_allowed() -> None:
    said = plots.words(plots.ratio_and_total(pair(), (3, 6), {"b": (0.0, 2.0)}))
    # at least 5 / 12 of the pair is b, so 2 % b is enough for 4.8 %
    assert said.endswith("totals of 3.0 to 4.8 %.")


def test_bars_add_to_the_required_hlb() -> None:
    bars_drawn = bars().axes[0].patches
    assert sum(p.get_width() for p in bars_drawn) == pytest.approx(8.75)  # type: ignore[attr-defined]


@EACH
def test_svg_is_valid_and_the_same_each_time(draw: Callable[[str], Figure]) -> None:
    figure = draw("x")
    svg = plots.to_svg(figure)
    assert ElementTree.fromstring(svg).tag == "{http://www.w3.org/2000/svg}svg"
    assert svg == plots.to_svg(figure) == plots.to_svg(draw("x"))


@EACH
def test_png_has_the_fineness_asked_for(draw: Callable[[str], Figure]) -> None:
    raw = plots.to_png(draw("x"), dpi=100)
    assert raw.startswith(b"\x89PNG\r\n\x1a\n")
    assert int.from_bytes(raw[16:20], "big") == round(100 * plots.WIDTH_IN)


UGLY = {
    "dollars": "$x_1$ and $y",
    "tags": "<script>alert(1)</script>",
    "emoji": "😀 oil",
    "backslash": r"\frac{a}{b}",
    "10,000 characters": "n" * 10_000,
}


def _shown(svg: bytes) -> str:
    return " ".join(t.text or "" for t in ElementTree.fromstring(svg).iter() if "text" in t.tag)


@EACH
@pytest.mark.parametrize("name", UGLY.values(), ids=UGLY.keys())
def test_what_people_type_is_drawn_as_text(draw: Callable[[str], Figure], name: str) -> None:
    figure = draw(name)
    svg = plots.to_svg(figure)
    assert b"<script" not in svg
    assert (name if len(name) < 40 else "nnnn") in _shown(svg)
    assert plots.to_png(figure)


@EACH
def test_long_names_are_clipped_in_the_drawing(draw: Callable[[str], Figure]) -> None:
    assert len(max(_shown(plots.to_svg(draw("n" * 10_000))).split(), key=len)) <= 41


@pytest.mark.parametrize(
    ("draw", "said"),
    [
        (lambda: plots.ratio(solve_blend({"a": 10.0}, 10.0, total=5)), "uses 1 .* drawn for 2"),
        (
            lambda: plots.ratio_and_total(solve_blend({"a": 10.0}, 10.0, total=5), (5, 5)),
            "uses 1 .* drawn for 2 or more",
        ),
        (lambda: plots.triangle(pair()), "there are 2 emulsifiers. The triangle shows three"),
    ],
    ids=["ratio", "map", "triangle"],
)
def test_wrong_number_of_emulsifiers_is_refused(draw: Callable[[], Figure], said: str) -> None:
    with pytest.raises(InvalidInput, match=f"^figure: .*{said}"):
        draw()


@pytest.mark.parametrize("which", ["axis", "contributions", "ratio", "triangle", "map"])
def test_a_formula_without_an_oil_phase_has_no_figure(which: str) -> None:
    with pytest.raises(InvalidInput, match=r"^figure: there is no oil phase yet\. Enter one\."):
        plots.of_formula(work_out(Formula()), which)


@pytest.mark.parametrize("which", ["ratio", "triangle", "map"])
def test_a_formula_without_a_blend_has_no_figure_of_it(which: str) -> None:
    formula = replace(example_formula(), product_type="whipped butter")
    with pytest.raises(InvalidInput, match=r"^figure: there is no blend to draw\. Mend the formula"):
        plots.of_formula(work_out(formula), which)


def test_required_hlb_of_0_is_drawn() -> None:
    assert plots.to_svg(plots.contributions(required_hlb({"x": 1}, values={"x": 0.0})))


@pytest.mark.parametrize("window", [0.0, 40.0])
@pytest.mark.parametrize("draw", [plots.ratio, plots.triangle], ids=["ratio", "triangle"])
def test_windows_of_no_width_and_of_the_whole_scale_are_drawn(
    draw: Callable[[Blend, float], Figure], window: float
) -> None:
    assert plots.to_svg(draw(pair() if draw is plots.ratio else trio(), window))


PALETTE = {plots.TARGET, plots.BLEND, plots.EMULSIFIER, plots.INK, plots.WINDOW_FILL, plots.REGION_FILL}


@EACH
def test_only_the_colours_of_the_palette_are_used(draw: Callable[[str], Figure]) -> None:
    used = {c.upper() for c in re.findall(r"#[0-9a-fA-F]{6}\b", plots.to_svg(draw("x")).decode())}
    assert used - {"#000000", "#FFFFFF"} <= {c.upper() for c in PALETTE}


@pytest.mark.parametrize("which", ["axis", "ratio", "triangle", "map"])
def test_window_and_allowed_area_are_hatched(which: str) -> None:
    # the SVG holds a pattern for each hatching that is drawn
    assert b"<pattern" in plots.to_svg(DRAWN[which]("x"))


def test_target_blend_and_emulsifiers_differ_by_shape() -> None:
    marks = {
        line.get_markerfacecolor(): line.get_marker()
        for line in axis().axes[0].lines
        if line.get_marker() in ("o", "D", "s")
    }
    assert marks == {plots.TARGET: "o", plots.BLEND: "D", plots.EMULSIFIER: "s"}


@pytest.mark.parametrize("which", ["ratio", "triangle", "map"])
def test_the_chosen_point_has_the_shape_of_the_blend(which: str) -> None:
    marks = [line.get_marker() for line in DRAWN[which]("x").axes[0].lines]
    assert [m for m in marks if m != "None"] == ["D"]


def test_edges_of_the_window_and_ends_of_the_total_differ_by_their_lines() -> None:
    axes = plots.ratio_and_total(pair(), (3, 6)).axes[0]
    assert {line.get_linestyle() for line in axes.lines[:2]} == {":"}
    assert "dashed: edges of the window" in axes.get_title(loc="left")
