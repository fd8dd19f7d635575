"""Anonymous, [paper with a table of two-emulsifier blends by HLB], PMC3969497.

Table I, https://pmc.ncbi.nlm.nih.gov/articles/PMC3969497/table/Tab1 ; weight per cent of the high
and the low member. HLB of each as the end rows of the table imply it.
"""

import pytest
from printed_values import printed, within

import hlbcore as hlb

pytestmark = pytest.mark.published

P20, S20, S80, CO35, HCO40 = 16.7, 8.6, 4.3, 13.0, 15.0
COLUMNS = {
    "P20/S20": (P20, S20),
    "CO35/S20": (CO35, S20),
    "CO35/S80": (CO35, S80),
    "HCO40/S20": (HCO40, S20),
    "HCO40/S80": (HCO40, S80),
}
TABLE = """
8     n/a        n/a        42.5/57.5  n/a        34.6/65.4
8.5   n/a        n/a        48.3/51.7  n/a        39.3/60.9*
8.6   0/100      0/100      49.4/50.6  0/100      40.2/59.8
9     4.9/95.1   9.1/90.9   54.0/46.0  6.3/93.7   43.9/56.1
9.5   11.2/88.9* 20.5/79.5  59.8/40.2  14.1/85.9  48.6/51.4
10    17.3/82.7  31.8/68.2  65.5/34.5  21.9/78.1  53.3/46.7
10.5  23.5/76.5  43.2/56.8  71.3/28.7  29.7/70.3  57.9/42.1
11    29.6/70.4  54.5/45.5  77.0/23.0  37.5/62.5  62.5/37.4*
11.5  35.8/64.2  65.9/34.1  82.8/17.2  45.3/54.7  67.3/32.7
12    42.0/58.0  77.3/22.7  88.5/11.5  53.1/46.9  72.0/28.0
12.5  48.1/51.9  88.6/11.4  94.3/5.7   60.9/39.1  76.6/23.4
13    54.3/45.7  100/0      100/0      68.8/31.2  81.3/18.7
13.5  60.5/39.5  n/a        n/a        76.6/23.4  86.0/14.0
14    66.7/33.3  n/a        n/a        84.4/15.6  90.7/9.3
14.5  72.8/27.2  n/a        n/a        92.2/7.8   95.3/4.7
15    79.0/21.0  n/a        n/a        100/0      100/0
"""
CELLS = [
    (column, row.split()[0], cell)
    for row in TABLE.strip().splitlines()
    for column, cell in zip(COLUMNS, row.split()[1:], strict=True)
]
RIGHT = [c for c in CELLS if "/" in c[2] and c[2] != "n/a" and not c[2].endswith("*")]
OUT_OF_REACH = [c for c in CELLS if c[2] == "n/a"]
STARRED = [c for c in CELLS if c[2].endswith("*")]


def name(cell: object) -> str:
    return str(cell)


@pytest.mark.parametrize(("column", "target", "cell"), RIGHT, ids=name)
def test_table_i_split(column: str, target: str, cell: str) -> None:
    high, low = hlb.split_pair(*COLUMNS[column], target=float(target))
    first, second = (float(part) for part in cell.split("/"))
    assert 100 * high == within(first, 0.06)
    assert 100 * low == within(second, 0.06)


@pytest.mark.parametrize(("column", "target", "cell"), OUT_OF_REACH, ids=name)
def test_table_i_not_available_means_out_of_reach(column: str, target: str, cell: str) -> None:
    with pytest.raises(hlb.UnreachableTarget, match="these emulsifiers reach"):
        hlb.split_pair(*COLUMNS[column], target=float(target))


@pytest.mark.parametrize(
    ("column", "target", "exact", "wrong"),
    [
        pytest.param("HCO40/S80", 8.5, (39.25, 60.75), (None, "60.9"), id="8.5, sums to 100.2"),
        pytest.param("P20/S20", 9.5, (11.11, 88.89), ("11.2", None), id="9.5, sums to 100.1"),
        pytest.param("HCO40/S80", 11, (62.62, 37.38), ("62.5", None), id="11, sums to 99.9"),
    ],
)
def test_table_i_starred_cells_are_slips_of_the_table(
    column: str, target: float, exact: tuple[float, float], wrong: tuple[str | None, str | None]
) -> None:
    # printed 39.3/60.9, 11.2/88.9 and 62.5/37.4: one member of each is not the rounded split
    shares = [100 * share for share in hlb.split_pair(*COLUMNS[column], target=target)]
    assert shares == [within(exact[0], 0.006), within(exact[1], 0.006)]
    for share, page in zip(shares, wrong, strict=True):
        assert page is None or share != printed(page)


def test_the_table_was_read_whole() -> None:
    assert (len(RIGHT), len(OUT_OF_REACH), len(STARRED)) == (63, 14, 3)
