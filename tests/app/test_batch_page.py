"""The page of a batch: the sheet follows what is asked, the record keeps each entry at once."""

from __future__ import annotations

from pathlib import Path

import pytest
from opened_app import everything, field, figures, opened, pressed, said, sentences, typed
from streamlit.testing.v1 import AppTest

import hlbcore as hlb
from hlbcore.batch.record import BatchRecord
from hlbcore.kept.kinds import RECORD

BATCH = "views/batch.py"


@pytest.fixture
def app() -> AppTest:
    return opened().switch_page(BATCH).run()


def entered(app: AppTest, *edits: tuple[str, str, str]) -> AppTest:
    """After edits of the list, entered by the fields behind it: row, field, text."""
    script = app.session_state["batch"]
    for row, name, text in edits:
        planned = script.record.rows[int(row)].text
        kind, value = ("weighed", planned) if name == "done" else (name, text)
        script.record = script.record.enter(kind, value, where=row)
    return app.run()


def kept(path: Path) -> BatchRecord:
    with hlb.Store(path) as store:
        (uid,) = store.listed(RECORD)["uid"]
        return store.open(str(uid), kind=RECORD).body


def test_the_page_opens_with_the_sheet_of_the_open_formula(app: AppTest) -> None:
    assert not app.exception
    sheet = hlb.batch_sheet(hlb.example_formula())
    for grams in sheet.table.grams:
        assert f"{grams:.1f} g" in figures(app)
    assert "500.0 g into the pot" in figures(app)


def test_size_scales_and_premixes_change_the_sheet(app: AppTest) -> None:
    typed(app, "Mass to make", "100 g")
    assert "Slurry: 1.0 g xanthan gum into 16.0 g glycerin" in everything(app)
    field(app, "Weigh small lines in premixes").set_value(True).run()
    assert "slurry of xanthan gum in glycerin" in figures(app)
    field(app, "Your scales, one a line").set_value("0.01 g up to 200 g").run()
    assert "70.15" in figures(app)


@pytest.mark.parametrize("page", ["views/formula.py", BATCH])
def test_a_dose_and_a_size_that_weigh_better_are_taken_by_one_press(page: str) -> None:
    lines = [("water", "71.7", "water"), ("olive oil", "25", "oil")]
    lines += [("sorbitan stearate", "2.5", "oil"), ("polysorbate 60", "0.8", "oil")]
    held = [hlb.Line(name, amount, phase=phase) for name, amount, phase in lines]
    aims = hlb.Aims(batch="150 g", scales="1 g")
    app = opened()
    app.session_state["draft"].put(hlb.Formula("cream", "o/w cream", held, aims=aims))
    app.switch_page(page).run()
    assert "leaves the blend at HLB 5.7 to 7.8; its window is 6.0 to 8.0" in everything(app)
    pressed(app, "Make 230 g")
    assert not app.exception
    assert "230" in field(app, "Batch" if page != BATCH else "Mass to make").value
    assert "Take a dose" not in " ".join(said(b.label) for b in app.button)
    typed(app, "Batch" if page != BATCH else "Mass to make", "150 g")
    pressed(app, "Take a dose of 5.33 %")
    assert not app.exception
    assert [x.amount.text[:4] for x in app.session_state["draft"].formula.lines[2:]] == ["4", "1.33"]
    assert "its window" not in everything(app)


def test_scales_are_those_of_the_workshop_next_time(app: AppTest, own_file: Path) -> None:
    field(app, "Your scales, one a line").set_value("0.01 g up to 2 kg").run()
    again = opened().switch_page(BATCH).run()
    assert field(again, "Your scales, one a line").value == "0.01 g up to 2 kg"


@pytest.mark.parametrize(
    ("label", "text", "message"),
    [
        ("Mass to make", "0", "too small"),
        ("Mass to make", "<b>", "not a number"),
        ("Stays in vessels and on tools [%]", "90", "0 to 50"),
        ("Your scales, one a line", "0.1 g up to 100 g", "more than any scale carries"),
    ],
)
def test_what_cannot_be_is_told_and_stays_typed(app: AppTest, label: str, text: str, message: str) -> None:
    typed(app, label, text)
    assert not app.exception
    assert message in " ".join(sentences(app)) + everything(app)
    assert field(app, label).value == text


def test_a_batch_is_started_filled_in_closed_and_corrected(app: AppTest, own_file: Path) -> None:
    pressed(app, "Start this batch")
    assert not app.exception
    record = kept(own_file)
    assert record.number.endswith("-1")
    typed(app, "Made by", "Ana")
    edits = [(str(n), name, f"L{n}") for n in range(len(record.rows)) for name in ("done", "lot")]
    entered(app, *edits)
    typed(app, "Vessel before [g]", "812")
    typed(app, "Vessel after [g]", "798")
    assert "Add 14 g of hot water" in everything(app)
    typed(app, "Water added [g]", "14")
    typed(app, "pH measured", "5,4")
    typed(app, "Not as planned", "the bath was cold")
    typed(app, "Best before, months after making", "12")
    pressed(app, "Close the record")
    record = kept(own_file)
    assert record.closed is not None
    assert record.value("ph") == "5,4"
    assert record.as_weighed.total_pct == pytest.approx(100)
    field(app, "What").set_value(("ph", "")).run()
    typed(app, "Right is", "5.6")
    typed(app, "Who corrects", "Ben")
    typed(app, "Why", "meter was off")
    pressed(app, "Add the correction")
    assert kept(own_file).corrections[0].text == "5.6"
    assert "meter was off" in figures(app)


def test_a_correction_without_a_reason_is_told(app: AppTest, own_file: Path) -> None:
    pressed(app, "Start this batch")
    entered(app, ("0", "done", "yes"))
    typed(app, "Made by", "Ana")
    typed(app, "Why it is closed with open points", "a trial")
    pressed(app, "Close the record")
    field(app, "What").set_value(("weighed", "0")).run()
    typed(app, "Right is", "351")
    pressed(app, "Add the correction")
    assert any("Add a correction with your name and the reason" in s for s in sentences(app))
    assert kept(own_file).corrections == ()


def test_open_points_keep_a_record_open_until_a_reason_is_given(app: AppTest, own_file: Path) -> None:
    pressed(app, "Start this batch")
    entered(app, ("0", "done", "yes"))
    typed(app, "Made by", "Ana")
    pressed(app, "Close the record")
    assert any("points are open" in s for s in sentences(app))
    assert kept(own_file).closed is None


def test_an_entry_that_cannot_be_read_is_told_beside_it(app: AppTest, own_file: Path) -> None:
    pressed(app, "Start this batch")
    typed(app, "pH measured", "sour")
    assert sentences(app) == [
        "pH measured: 'sour' is not a number. Write a plain number such as 12.5 or 12,5."
    ]
    assert kept(own_file).value("ph") == ""


def test_what_another_window_entered_is_taken_along(app: AppTest, own_file: Path) -> None:
    pressed(app, "Start this batch")
    with hlb.Store(own_file) as store:
        first = store.open(store.listed(RECORD)["uid"][0], kind=RECORD)
        store.save(first.body.enter("weighed", "351", where="0"), on=first)
    typed(app, "Vessel before [g]", "800")
    record = kept(own_file)
    assert (record.value("weighed", "0"), record.value("vessel before")) == ("351", "800")


def test_a_stability_log_is_started_and_dated(app: AppTest, own_file: Path) -> None:
    pressed(app, "Start this batch")
    typed(app, "Days after making", "0, 7")
    pressed(app, "Start the log")
    assert not app.exception
    assert kept(own_file).value("stability plan") == "room, cold, warm | 0, 7"
    assert any(said(b.label) == "Dates as a calendar file" for b in app.get("download_button"))


def test_batches_are_listed_found_and_opened(app: AppTest) -> None:
    pressed(app, "Start this batch")
    pressed(app, "Plan another batch")
    assert "Start this batch" in [said(b.label) for b in app.button]
    typed(app, "Search by product, number or lot", "beeswax")
    pressed(app, "Open")
    assert app.session_state["batch"].record is not None


def test_a_record_is_found_again_by_its_address(app: AppTest, own_file: Path) -> None:
    pressed(app, "Start this batch")
    with hlb.Store(own_file) as store:
        uid = store.listed(RECORD)["uid"][0]
    again = opened()
    again.query_params["batch"] = uid
    again.switch_page(BATCH).run()
    assert again.session_state["batch"].kept.work == uid
    lost = opened()
    lost.query_params["batch"] = "<b>no</b>"
    lost.switch_page(BATCH).run()
    assert not lost.exception


def test_a_batch_is_taken_from_the_shelf_once(app: AppTest, own_file: Path) -> None:
    from hlbcore.kept.kinds import STOCK
    from hlbcore.shelf.packs import StockItem
    from hlbcore.shelf.stock import Stock

    with hlb.Store(own_file) as store:
        store.save(Stock((StockItem("shea butter", "100 g", "SB1"),)))
    app.run()
    pressed(app, "Start this batch")
    pressed(app, "Take it from the shelf")
    assert not app.exception
    assert app.session_state["shelf"].stock.items[0].amount.value == 75.0
    assert "25 g shea butter of lot SB1" in kept(own_file).all_of("note")[-1].text
    assert "Take it from the shelf" not in [b.label for b in app.button]
    with hlb.Store(own_file) as store:
        assert store.open(store.listed(STOCK)["uid"][0]).body.items[0].amount.value == 75.0
