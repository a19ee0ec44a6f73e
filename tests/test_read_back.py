"""Readers of SVG, PDF and STEP text: on files written by hand or by another library, and on the program's own."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from reportlab.pdfgen.canvas import Canvas
from round_walls import cylinders

from generator.base.contours2d import Circle
from generator.base.contours2d import Path as Line
from generator.base.errors import OutputError
from generator.base.points2d import P2
from generator.base.shapes2d import rectangle
from generator.drawing.page import sheet_page
from generator.drawing.sheet import SheetBuilder
from generator.drawing.style import Role
from generator.formats.pdf.read import read_pdf
from generator.formats.pdf.write import pdf_bytes
from generator.formats.step.read import read_step
from generator.formats.step.text import read_step_text
from generator.formats.step.write import part_step
from generator.formats.svg.read import read_svg
from generator.formats.svg.write import write_svg
from generator.jig.build import build_jig
from generator.job.load import load_job
from generator.job.shop import Shop
from generator.joint.solution import solve

MM = 72.0 / 25.4


def written(folder: Path, text: str) -> Path:
    path = folder / "drawing.svg"
    path.write_text(f'<svg xmlns="http://www.w3.org/2000/svg" {text}</svg>')
    return path


def test_svg_arcs_come_back_as_arcs(tmp_path: Path) -> None:
    """A half disc of radius 10, 40 mm from the left and 20 up on a sheet 60 high: area 50π, its arc one arc."""
    body = '<g id="cut"><path stroke="#000" stroke-width="0.35" fill="none" d="M 30 40 A 10 10 0 0 1 50 40 Z"/></g>'
    drawing = read_svg(written(tmp_path, f'width="100mm" height="60mm" viewBox="0 0 100 60">{body}'))
    (shape,) = drawing.shapes("cut")
    assert isinstance(shape, Line)
    assert (drawing.width, drawing.height) == pytest.approx((100.0, 60.0))
    assert shape.area == pytest.approx(50.0 * math.pi, abs=1e-6)
    assert [segment.is_arc for segment in shape.segments()] == [True, False]
    # On the page the arc lies over the chord: y grows upwards.
    assert tuple(shape.box()) == pytest.approx((30.0, 20.0, 50.0, 30.0))
    assert (drawing.strokes[0].pen, drawing.strokes[0].dashed) == (0.35, False)


def test_a_sheet_at_another_scale_comes_back_as_it_prints(tmp_path: Path) -> None:
    """A view box of twice the size, or inches in place of millimetres, changes every length that is read."""
    line = '<g id="cut"><circle stroke="#000" cx="50" cy="30" r="10" fill="none"/></g>'
    small = read_svg(written(tmp_path, f'width="50mm" height="30mm" viewBox="0 0 100 60">{line}'))
    inch = read_svg(written(tmp_path, f'width="100in" height="60in" viewBox="0 0 100 60">{line}'))
    assert [circle.radius for circle in small.shapes("cut")] == pytest.approx([5.0])  # type: ignore[union-attr]
    assert [circle.radius for circle in inch.shapes("cut")] == pytest.approx([254.0], rel=1e-6)  # type: ignore[union-attr]


@pytest.mark.parametrize(
    "text",
    [
        "plain words",
        "<svg",
        '<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm" viewBox="0 0 9 9"><g id="cut">'
        '<ellipse stroke="#000" cx="5" cy="5" rx="3" ry="2"/></g></svg>',
        '<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm" viewBox="0 0 9 9"><g id="cut">'
        '<path stroke="#000" d="M 1 1 C 2 2 3 2 4 1"/></g></svg>',
    ],
)
def test_what_is_no_drawing_of_lines_and_arcs_is_refused(text: str, tmp_path: Path) -> None:
    """Words, half a file, an ellipse and a spline name the file."""
    path = tmp_path / "odd.svg"
    path.write_text(text)
    with pytest.raises(OutputError, match=r"odd\.svg"):
        read_svg(path)


def test_pdf_strokes_of_another_program_come_back_in_millimetres(tmp_path: Path) -> None:
    """A line of 100 mm, a circle of radius 20 and a square under a turned frame, drawn by reportlab alone."""
    path = tmp_path / "page.pdf"
    canvas = Canvas(str(path), pagesize=(210.0 * MM, 297.0 * MM))
    canvas.setTitle("A page")
    canvas.setSubject("job sample")
    canvas.setLineWidth(0.35 * MM)
    canvas.line(20 * MM, 30 * MM, 120 * MM, 30 * MM)
    canvas.circle(100 * MM, 100 * MM, 20 * MM)
    canvas.saveState()
    canvas.translate(50 * MM, 200 * MM)
    canvas.rotate(90)
    canvas.setDash([3, 3])
    canvas.rect(0, 0, 30 * MM, 10 * MM)
    canvas.restoreState()
    canvas.drawString(20 * MM, 20 * MM, "words on the page")
    canvas.save()
    document = read_pdf(path)
    (page,) = document.pages
    line, circle, square = page.strokes
    assert (document.title, document.subject) == ("A page", "job sample")
    assert (page.width, page.height) == pytest.approx((210.0, 297.0), abs=0.01)
    assert line.points[0].distance(line.points[1]) == pytest.approx(100.0, abs=0.001)
    assert (line.pen, line.dashed) == (0.35, False)
    assert all(point.distance(P2(100.0, 100.0)) == pytest.approx(20.0, abs=0.01) for point in circle.points)
    xs, ys = [p.x for p in square.points], [p.y for p in square.points]
    assert (min(xs), max(xs), min(ys), max(ys)) == pytest.approx((40.0, 50.0, 200.0, 230.0), abs=0.001)
    assert square.dashed
    assert page.text == ("words on the page",)


def test_what_is_no_pdf_is_refused(tmp_path: Path) -> None:
    """A file of words names itself."""
    path = tmp_path / "odd.pdf"
    path.write_text("words")
    with pytest.raises(OutputError, match=r"odd\.pdf"):
        read_pdf(path)


def test_one_sheet_reads_alike_from_svg_and_pdf(tmp_path: Path) -> None:
    """The same sheet by both writers: rounded rectangle and circle have one box in either file."""
    builder = SheetBuilder("sample", "A sample")
    builder.stroke(rectangle(20, 30, 90, 70, 8.0), Role.CUT)
    builder.stroke(Circle(P2(50, 50), 6.35), Role.CUT)
    sheet = builder.sheet(120, 100, job="sample-job")
    write_svg(sheet, tmp_path / "a.svg")
    (tmp_path / "a.pdf").write_bytes(pdf_bytes([sheet_page(sheet)], "A sample", "sample-job"))
    drawing, document = read_svg(tmp_path / "a.svg"), read_pdf(tmp_path / "a.pdf")
    boxes = [shape.box() for shape in drawing.shapes("cut")]
    for stroke, box in zip(document.pages[0].strokes, boxes, strict=True):
        xs, ys = [p.x for p in stroke.points], [p.y for p in stroke.points]
        assert (min(xs), min(ys), max(xs), max(ys)) == pytest.approx(tuple(box), abs=0.01)
    assert drawing.title == "A sample (sample-job)"
    assert "job sample-job" in drawing.description


def test_step_text_says_what_the_kernel_says(tmp_path: Path) -> None:
    """Corners, bores, product and unit read as text are those of the solid that the kernel reads."""
    part = build_jig(solve(load_job("orchestra-14", Shop()))).part("bracket_left")
    path = tmp_path / f"{part.name}.step"
    path.write_bytes(part_step(part))
    text, solid = read_step_text(path), read_step(path).only
    assert (text.metric, text.solids, text.products) == (True, 1, (part.name,))
    assert text.program.startswith("Heelwright ")
    low, high = solid.bounds.low, solid.bounds.high
    assert text.low.z == pytest.approx(low.z, abs=1e-6)
    assert text.high.z == pytest.approx(high.z, abs=1e-6)
    assert sorted(wall.radius for wall in text.walls) == pytest.approx([wall.radius for wall in cylinders(solid.shape)])


@pytest.mark.parametrize("text", ["", "solid", "ISO-10303-21;\nHEADER;\nENDSEC;\nDATA;\nENDSEC;\n"])
def test_what_is_no_step_model_is_refused(text: str, tmp_path: Path) -> None:
    """Nothing, words, and a file without a corner name themselves."""
    path = tmp_path / "odd.step"
    path.write_text(text)
    with pytest.raises(OutputError, match=r"odd\.step"):
        read_step_text(path)
