"""What was found behind the walls stands on the wall's sheet and on the job's last page."""

from __future__ import annotations

from dataclasses import replace

from roomcheck.job import Behind, Found
from roomcheck.report.pages.certificate import certificate
from roomcheck.report.render.terminal import text_of
from roomcheck.report.shop_pages.shop_walls import wall_pages
from roomcheck.words import Reader, found_text

STUD = Found(
    number=1, face="north", what=Behind.STUD, at_m=0.9652, piece="A1", by="Sam", when="2026-05-04"
)
CABLE = Found(number=2, face="north", what=Behind.CABLE, by="Sam", note="grey, to the outlet")


def test_a_finding_is_one_line():
    reader = Reader("contractor", "imperial")
    said = "Stud or joist, 3'-2\" from the left corner, at A1 (Sam, 2026-05-04)"
    assert found_text(STUD, reader) == said
    assert found_text(replace(STUD, taken_back=True), reader).endswith("counts for nothing")
    assert found_text(CABLE, reader) == "A cable: grey, to the outlet (Sam)"


def test_the_sheet_of_the_wall_and_the_last_page_say_it(story, tmp_path):
    job, known = story(tmp_path)
    sheet, plan = known["sheet"], known["plan"]
    face = sheet.hanging[0].face
    other = next(f.name for f in job.room.faces if f.kind == "wall" and f.name != face)
    found = (replace(STUD, face=face), replace(CABLE, face=other))
    noted = replace(job, found=found)
    walls = text_of(wall_pages(noted, plan, sheet))
    assert "Found behind this wall" in walls
    assert "Sam, 2026-05-04" in " ".join(walls.split())
    assert "Found behind this wall" not in text_of(wall_pages(job, plan, sheet))
    papers = (known["agreement"], known["verification"])
    last = " ".join(text_of(certificate(noted, *papers, hanging=sheet.hanging).blocks).split())
    assert "Found on site" in last
    assert f"1. {face}: Stud or joist" in last
    assert f"2. {other}: A cable: grey, to the outlet" in last
    assert "Found on site" not in text_of(certificate(job, *papers).blocks)
