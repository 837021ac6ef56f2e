"""What a person typed arrives as typed, in metres and degrees Celsius."""

from __future__ import annotations

from decimal import Decimal
from itertools import combinations

import pytest

import roomcheck
from roomcheck.geometry import Point, Rectangle, distance_m
from roomcheck.job import NoJob, default_shop, load_job

# The international inch is 25.4 mm exactly (international yard and pound agreement, 1959).
IN = 0.0254

L_PLAN = """
corners = [
  ["0 ft", "0 ft"], ["14 ft", "0 ft"], ["14 ft", "6 ft"], ["8 ft", "6 ft"], ["8 ft", "12 ft"], ["0 m", "12 ft"],
]
walls = ["street", "corridor", "niche", "return", "yard", "office"]
height = "8 ft"
[room.materials]
walls = "gypsum board on studs"
floor = "thin carpet on concrete"
ceiling = "gypsum board on studs"
"""


def with_room(text: str, room: str, rest: str = "") -> str:
    """A short job with another room."""
    head = text.partition("[room]")[0].replace('seat = "P1"', "")
    return f"{head}[room]\n{room}\n{rest}"


def load(folder, text):
    (folder / "job.toml").write_text(text, encoding="utf-8")
    return load_job(folder)


def test_the_story_room_arrives_in_metres(folder):
    job = load_job(folder)
    room = job.room
    assert room.volume_m3 == pytest.approx(174 * 142 * 102 * IN**3, rel=1e-12)
    assert (
        job.made_up
        and job.units == "imperial"
        and job.paper == "letter"
        and job.budget == Decimal(2200)
    )
    window = next(patch for patch in job.patches if patch.name == "window")
    assert window.place == Rectangle(
        *(pytest.approx(inches * IN, rel=1e-12) for inches in (50, 36, 60, 48))
    )
    assert window.opening and window.clearance_m == pytest.approx(3 * IN)
    assert job.framing_of("north").first_m == pytest.approx(14.5 * IN)
    assert (
        job.fixing_of("ceiling") == job.fixing_of("south") == "screws"
        and job.fixing_of("floor") == "nothing"
    )
    assert {face for face, _ in job.materials} == {
        "south",
        "east",
        "north",
        "west",
        "floor",
        "ceiling",
    }
    assert job.shop == default_shop()
    assert roomcheck.load_job(folder) == job


def test_the_story_room_is_measured_at_six_pairs_a_metre_off_every_surface(folder):
    job = load_job(folder)
    assert len(job.sources) * len(job.microphones) == 6
    for position in (*job.sources, *job.microphones):
        assert job.room.distance_to_surface_m(position.point) >= 1.0
    for a, b in combinations(job.microphones, 2):
        assert 1.0 <= distance_m(a.point, b.point) <= 2.0


# 70 °F is (70 - 32) * 5/9 °C and 21 °C is itself: the definition of the Fahrenheit scale.
@pytest.mark.parametrize(
    ("typed", "celsius"),
    [
        ("70 °F", 38 * 5 / 9),
        ("70F", 38 * 5 / 9),
        ("21 °C", 21.0),
        ("21 C", 21.0),
        ("-4.5 deg C", -4.5),
        ("32 °f", 0.0),
    ],
)
def test_temperatures_in_both_scales(folder, story_text, typed, celsius):
    job = load(folder, story_text.replace("70 °F", typed))
    assert job.visit("before").temperature_c == pytest.approx(celsius, abs=1e-12)


@pytest.mark.parametrize("typed", ["45 %", "45%", "45 % RH", "45.0 %"])
def test_humidity_in_every_spelling(folder, story_text, typed):
    assert (
        load(folder, story_text.replace('"45 %"', f'"{typed}"')).visit("before").humidity_pct
        == 45.0
    )


@pytest.mark.parametrize(
    "typed", ['"14\' 6\\""', "'14 ft 6 in'", '"14\' 6”"', '"174 in"', '"4.4196 m"', '"441.96cm"']
)
def test_lengths_in_every_spelling(folder, story_text, typed):
    job = load(folder, story_text.replace('length = "14\' 6\\""', f"length = {typed}"))
    assert max(x for x, _ in job.room.corners) == pytest.approx(174 * IN, rel=1e-12)


def test_a_day_may_be_tomls_own(folder, story_text):
    assert (
        load(folder, story_text.replace('"2026-05-04"', "2026-05-04")).visit("before").date
        == "2026-05-04"
    )


def test_an_own_target_needs_its_reason_and_keeps_it(folder, story_text):
    target = '[target]\nlow = "200 ms"\nhigh = "0.35 s"\nfrom = "125 Hz"\nto = "4 kHz"\nreason = "asked for"\n[room]\n'
    own = load(folder, story_text.replace("[room]\n", target)).own_target
    assert (own.low_s, own.high_s, own.from_hz, own.to_hz) == (0.2, 0.35, 125.0, 4000.0)


def test_a_polygon_has_its_own_walls_and_area(folder, story_text):
    job = load(folder, with_room(story_text, L_PLAN))
    # A 14 x 12 ft rectangle without a 6 x 6 ft corner: 132 ft2.
    assert job.room.floor_area_m2 == pytest.approx(132 * (12 * IN) ** 2, rel=1e-12)
    assert job.room.face("niche").area_m2 == pytest.approx(6 * 8 * (12 * IN) ** 2, rel=1e-12)


def test_a_clockwise_plan_is_turned_and_its_walls_keep_their_places(folder, story_text):
    anticlockwise = load(folder, with_room(story_text, L_PLAN)).room
    backwards = L_PLAN.replace(
        '["0 ft", "0 ft"], ["14 ft", "0 ft"], ["14 ft", "6 ft"], ["8 ft", "6 ft"], ["8 ft", "12 ft"], ["0 m", "12 ft"]',
        '["0 ft", "0 ft"], ["0 m", "12 ft"], ["8 ft", "12 ft"], ["8 ft", "6 ft"], ["14 ft", "6 ft"], ["14 ft", "0 ft"]',
    ).replace(
        '"street", "corridor", "niche", "return", "yard", "office"',
        '"office", "yard", "return", "niche", "corridor", "street"',
    )
    assert backwards != L_PLAN
    turned = load(folder, with_room(story_text, backwards)).room
    assert turned == anticlockwise


def test_walls_of_a_rectangle_may_have_names_of_their_own(folder, story_text):
    room = (
        'length = "4 m"\nwidth = "3 m"\nheight = "2.5 m"\nwalls = ["street", "hall", "yard", "office"]\n'
        + L_PLAN[L_PLAN.index("[room.materials]") :].replace(
            "[room.materials]", '[room.materials]\nyard = "double glazing"'
        )
    )
    job = load(folder, with_room(story_text, room))
    assert job.room.face("street").origin == Point(4.0, 0.0, 0.0)
    assert job.material_of("yard") == "double glazing" != job.material_of("street")


def test_one_shop_file_above_serves_all_jobs_and_the_jobs_copy_comes_first(folder):
    from roomcheck.job.read.shop_file import DEFAULT

    text = DEFAULT.read_text(encoding="utf-8")
    (folder.parent / "shop.toml").write_text(
        text.replace('hour = "65.00"', 'hour = "70.00"'), encoding="utf-8"
    )
    assert load_job(folder).shop.rates.hour == Decimal("70.00")
    (folder / "shop.toml").write_text(
        text.replace('hour = "65.00"', 'hour = "80.50"'), encoding="utf-8"
    )
    assert load_job(folder).shop.rates.hour == Decimal("80.50")


@pytest.mark.parametrize("end", ["\r\n", "\n"])
def test_files_of_other_editors_load(folder, story_text, end):
    (folder / "job.toml").write_bytes(b"\xef\xbb\xbf" + story_text.replace("\n", end).encode())
    assert load_job(folder).title == "Story room"


def test_what_is_no_job_says_what_to_do(folder, tmp_path):
    with pytest.raises(NoJob, match=r"no such folder.*roomcheck new"):
        load_job(tmp_path / "nowhere")
    with pytest.raises(NoJob, match=r"holds no job\.toml.*roomcheck new"):
        load_job(tmp_path)
    with pytest.raises(NoJob, match="name its folder"):
        load_job(folder / "job.toml")


def test_how_many_people_the_room_holds_may_be_said(folder, story_text):
    assert load(folder, story_text).people_in_use is None
    said = story_text.replace('seat = "P1"', 'people_in_use = 6\nseat = "P1"', 1)
    assert said != story_text
    assert load(folder, said).people_in_use == 6
