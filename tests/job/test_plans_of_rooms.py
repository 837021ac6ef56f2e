"""Floor plans with two walls on one line load; what cannot be said yet is answered with what to do."""

from __future__ import annotations

import pytest

from roomcheck.errors import RoomcheckError
from roomcheck.geometry import simple_polygon
from roomcheck.job import load_job

# Corners in metres, and the floor area worked by hand [m2].
PLANS = {
    "alcove": ([(0, 0), (5, 0), (5, 4), (3, 4), (3, 5), (2, 5), (2, 4), (0, 4)], 21.0),
    "two alcoves": ([(0, 0), (6, 0), (6, 4), (5, 4), (5, 5), (4, 5), (4, 4), (2, 4), (2, 5), (1, 5), (1, 4), (0, 4)], 26.0),
    "chimney breast": ([(0, 0), (2, 0), (2, 0.5), (3, 0.5), (3, 0), (5, 0), (5, 4), (0, 4)], 19.5),
    "L": ([(0, 0), (5, 0), (5, 2), (3, 2), (3, 4), (0, 4)], 16.0),
    "T": ([(0, 2), (2, 2), (2, 0), (3, 0), (3, 2), (5, 2), (5, 4), (0, 4)], 12.0),
    "U": ([(0, 0), (1, 0), (1, 3), (4, 3), (4, 0), (5, 0), (5, 4), (0, 4)], 11.0),
    "bay": ([(0, 0), (5, 0), (5, 4), (4, 4), (3, 5), (2, 5), (1, 4), (0, 4)], 22.0),
    "cross": ([(1, 0), (2, 0), (2, 1), (3, 1), (3, 2), (2, 2), (2, 3), (1, 3), (1, 2), (0, 2), (0, 1), (1, 1)], 5.0),
    "corner on a straight wall": ([(0, 0), (2.5, 0), (5, 0), (5, 4), (0, 4)], 20.0),
}  # fmt: skip
NOT_PLANS = {
    "bow tie": [(0, 0), (4, 4), (4, 0), (0, 4)],
    "touches itself": [(0, 0), (4, 0), (4, 4), (2, 0), (0, 4)],
    "a wall on a wall": [(0, 0), (6, 0), (6, 2), (4, 2), (4, 0), (2, 0), (2, 2), (0, 2)],
    "a corner on a corner": [(0, 0), (2, 0), (2, 2), (4, 2), (4, 4), (2, 4), (2, 2), (0, 2)],
    "no area": [(0, 0), (4, 0), (2, 0)],
}


def typed(corners, story_text):
    """The story room's file with another plan and nothing on its walls."""
    listed = ", ".join(f'["{x} m", "{y} m"]' for x, y in corners)
    names = ", ".join(f'"wall {i}"' for i in range(len(corners)))
    head = story_text[: story_text.index("[room]")].replace('seat = "P1"', "")
    return (
        f'{head}[room]\ncorners = [{listed}]\nwalls = [{names}]\nheight = "2.6 m"\n'
        '[room.materials]\nwalls = "brick"\nfloor = "concrete floor"\nceiling = "smooth concrete"\n'
    )


@pytest.mark.parametrize(("corners", "area_m2"), PLANS.values(), ids=PLANS)
@pytest.mark.parametrize("way", [1, -1])
@pytest.mark.parametrize("shift", [0, 3])
def test_a_plan_with_walls_on_one_line_is_a_plan(corners, area_m2, way, shift):
    turned = (corners[shift:] + corners[:shift])[::way]
    assert simple_polygon(tuple(turned))
    assert simple_polygon(tuple((-y, x) for x, y in turned))


@pytest.mark.parametrize("corners", NOT_PLANS.values(), ids=NOT_PLANS)
@pytest.mark.parametrize("way", [1, -1])
def test_a_plan_that_meets_itself_is_none(corners, way):
    assert not simple_polygon(tuple(corners[::way]))


@pytest.mark.parametrize(("corners", "area_m2"), PLANS.values(), ids=PLANS)
def test_it_loads_with_its_area(folder, story_text, corners, area_m2):
    (folder / "job.toml").write_text(typed(corners, story_text), "utf-8")
    room = load_job(folder).room
    assert room.floor_area_m2 == pytest.approx(area_m2)
    assert room.volume_m3 == pytest.approx(2.6 * area_m2)
    assert len([face for face in room.faces if face.kind == "wall"]) == len(corners)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('height = "2.6 m"', 'height = ["2.2 m", "3.4 m"]', "mean height"),
        ('height = "2.6 m"', 'height = "2.6 m"\nslope = "30 deg"', "mean height"),
        ('height = "2.6 m"', 'height = "2.6 m"\nridge = "3.4 m"', "mean height"),
        ("[room.materials]", '[[column]]\nname = "a"\n[room.materials]', r"\[\[furnishing\]\]"),
        ("[room.materials]", '[[opening]]\nname = "a"\n[room.materials]', "shut the door"),
        ('ceiling = "smooth concrete"', 'ceiling = "open"', "shut the door"),
    ],
)  # fmt: skip
def test_what_cannot_be_said_yet_is_answered(folder, story_text, old, new, said):
    text = typed(PLANS["L"][0], story_text)
    assert old in text
    (folder / "job.toml").write_text(text.replace(old, new, 1), "utf-8")
    with pytest.raises(RoomcheckError, match=f"cannot be described yet.*Meanwhile.*{said}"):
        load_job(folder)
