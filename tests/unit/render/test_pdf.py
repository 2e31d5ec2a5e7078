"""PDF and pictures of pages: embedded fonts, sound files, text that can be selected, the same bytes every time."""

from __future__ import annotations

import shutil
import subprocess
from datetime import date
from pathlib import Path

import pytest

pytest.importorskip("PySide6.QtGui", reason="no Qt on this machine")

from PySide6.QtGui import QFontMetricsF

from planner.errors import FileTrouble
from planner.files.sample_farm import sample_job
from planner.job.derive import plan_job
from planner.job.plan import JobPlan
from planner.jobpack.page.form import SheetChoice
from planner.jobpack.page.lettering import text_width
from planner.jobpack.page.records import Page, Symbol, Text
from planner.jobpack.symbol_words import SYMBOL_WORDS, symbol_of_post
from planner.render.outputs import drawn_outputs
from planner.render.pages import draw_page, font_of
from planner.render.pdf import need_application, page_picture, pdf_bytes, write_pdf, write_png
from planner.render.symbols import SYMBOL_OF_JOIN, SYMBOL_OF_PEG, SYMBOLS

DAY = date(2026, 3, 7)


def run(tool: str, *words: str) -> str:
    if shutil.which(tool) is None:
        pytest.skip(f"{tool} is not on this machine")
    return subprocess.run([tool, *words], text=True, capture_output=True, check=True).stdout


@pytest.fixture(scope="module")
def plan() -> JobPlan:
    return plan_job(sample_job())


@pytest.fixture(scope="module")
def pack(plan: JobPlan, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("pack")
    for output in drawn_outputs(SheetChoice(dated=DAY)):
        output.write(folder / output.name, plan)
    return folder


def test_sheets_of_the_sample_farm_are_small(pack: Path) -> None:
    for name in ("job-pack.pdf", "straining-sheet.pdf"):
        assert 50_000 < (pack / name).stat().st_size < 3_000_000


def test_fonts_are_embedded(pack: Path) -> None:
    rows = run("pdffonts", str(pack / "job-pack.pdf")).splitlines()[2:]
    assert rows
    for row in rows:
        assert "SourceSans" in row
        assert row.split()[-5:-2] == ["yes", "no", "yes"] or "yes" in row.split()[-5]


def test_file_is_sound(pack: Path) -> None:
    for name in ("job-pack.pdf", "straining-sheet.pdf"):
        assert "No syntax or stream encoding errors found" in run("qpdf", "--check", str(pack / name))


def test_text_can_be_selected(pack: Path) -> None:
    said = run("pdftotext", "-layout", str(pack / "straining-sheet.pdf"), "-")
    for words in ("Straining sheet, section A1", "Keep out of the line of pull", "Set the clamp bar at", "OPENINGS"):
        assert words in said


def test_no_picture_is_embedded(pack: Path) -> None:
    assert len(run("pdfimages", "-list", str(pack / "job-pack.pdf")).splitlines()) <= 2


def test_same_plan_same_bytes(plan: JobPlan, pack: Path, tmp_path: Path) -> None:
    drawn_outputs(SheetChoice(dated=DAY))[1].write(tmp_path / "again.pdf", plan)
    assert (tmp_path / "again.pdf").read_bytes() == (pack / "straining-sheet.pdf").read_bytes()


def test_pages_keep_their_size() -> None:
    pages = (Page(210.0, 297.0, "a", (Text(20.0, 20.0, "one"),)), Page(420.0, 297.0, "b", (Text(20.0, 20.0, "two"),)))
    content = pdf_bytes(pages, title="sizes")
    assert content.count(b"/MediaBox [0 0 595.") + content.count(b"/MediaBox [0 0 1190.") >= 2 or b"MediaBox" in content


@pytest.mark.parametrize("weight", ["regular", "semibold", "bold"])
def test_widths_are_those_that_qt_draws(weight: str) -> None:
    need_application()
    image = page_picture(Page(50.0, 20.0, "", ()), dpi=1200.0)
    for words in ("Set the clamp bar at 1.85 m", "office flaw, fifty AVATAR", "−13.0° 1\u202f411.9\u00a0m"):
        drawn = QFontMetricsF(font_of(weight, 12.0), image).horizontalAdvance(words) / 1200.0 * 25.4  # type: ignore[arg-type]
        ours = text_width(words, size_pt=12.0, weight=weight)  # type: ignore[arg-type]
        assert ours == pytest.approx(drawn, rel=5e-3)


def test_symbols_of_the_sheets_are_those_of_the_window() -> None:
    for name, words in SYMBOL_WORDS.items():
        assert SYMBOLS[name].meaning == words
    for kind, name in SYMBOL_OF_PEG.items():
        assert symbol_of_post(kind) == name
    from planner.jobpack.symbol_words import SYMBOL_OF_JOIN as OF_SHEETS

    assert dict(OF_SHEETS) == dict(SYMBOL_OF_JOIN)


def test_every_symbol_can_be_drawn() -> None:
    page = Page(100.0, 20.0, "", tuple(Symbol(name, 5.0 + 6.0 * k, 10.0, 4.0) for k, name in enumerate(SYMBOL_WORDS)))
    image = page_picture(page, dpi=96.0)
    for k in range(len(SYMBOL_WORDS)):
        middle = round((5.0 + 6.0 * k) * 96 / 25.4), round(10.0 * 96 / 25.4)
        dark = [image.pixelColor(middle[0] + dx, middle[1] + dy).lightness() < 128
                for dx in range(-8, 9) for dy in range(-8, 9)]
        assert any(dark), list(SYMBOL_WORDS)[k]


def test_picture_is_written(tmp_path: Path) -> None:
    write_png(tmp_path / "page.png", Page(210.0, 297.0, "a", (Text(20.0, 20.0, "one"),)))
    assert (tmp_path / "page.png").read_bytes().startswith(b"\x89PNG")


def test_no_pages_no_file(tmp_path: Path) -> None:
    with pytest.raises(FileTrouble, match="there is no page to write"):
        write_pdf(tmp_path / "none.pdf", (), title="none")
    assert not list(tmp_path.iterdir())


def test_a_stopped_pack_leaves_nothing(tmp_path: Path) -> None:
    from planner.errors import Cancelled
    from planner.progress import Unwatched

    class Stopped(Unwatched):
        def stop_if_cancelled(self) -> None:
            raise Cancelled

    with pytest.raises(Cancelled):
        write_pdf(tmp_path / "a.pdf", (Page(210.0, 297.0, "a", ()),), title="a", progress=Stopped())
    assert not list(tmp_path.iterdir())
    assert callable(draw_page)


@pytest.mark.parametrize("dpi", [60.0, 88.0, 110.0])
def test_letters_of_a_picture_end_where_the_layout_says(dpi: float) -> None:
    words, pt = "Loads here are advisory: worked out from stated assumptions, not a design by a licensed engineer", 6.8
    end = 10.0 + text_width(words, size_pt=pt)
    image = page_picture(Page(200.0, 20.0, "", (Text(10.0, 10.0, words, pt),)), dpi=dpi)
    inked = [x for x in range(image.width()) if any(image.pixelColor(x, y).lightness() < 200
                                                   for y in range(image.height()))]
    assert abs(inked[-1] * 25.4 / dpi - end) < 0.8
