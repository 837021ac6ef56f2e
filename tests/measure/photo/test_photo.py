"""A wall measured on its photograph, against cameras whose every number is known.

The pictures are computed: a pinhole with square pixels and one coefficient of radial distortion, as
in Hartley and Zisserman, Multiple View Geometry, 2nd ed., sections 6.1 and 7.4.
"""

from __future__ import annotations

import shutil
from pathlib import Path

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

import roomcheck
from roomcheck.cli import main
from roomcheck.job import load_job, undo
from roomcheck.measure import (
    LEFT_EDGE,
    RIGHT_EDGE,
    Camera,
    Frame,
    Mark,
    Marked,
    MarksRefused,
    NoPhotograph,
    ending_of,
    fit_photo,
    frame_of,
    kept_photos,
    pixels_of,
    places_of,
    read_off,
    read_photos,
    rectangle_on,
    shared_corners,
    straightened,
    uncertainty_m,
    upright,
)

STORY_ROOM = Path(roomcheck.__file__).parent / "demo" / "story-room"
WIDE, TALL = 4000, 3000
SIX = [(0.4, 0.2), (3.6, 0.2), (3.6, 2.3), (0.4, 2.3), (2.0, 0.2), (2.0, 2.3)]


def _camera(rng, distance_m=3.0, focal_px=3000.0, bend=None, width_m=4.0, height_m=2.5):
    """Somebody with a telephone before the wall; farther back until all of the marks are seen."""
    stood = np.array([width_m / 2 + rng.uniform(-1, 1), rng.uniform(1.2, 1.8), distance_m])
    aim = np.array([width_m / 2 + rng.uniform(-0.3, 0.3), height_m / 2, 0.0])
    ahead = (aim - stood) / np.linalg.norm(aim - stood)
    right = np.cross(ahead, [0, 1, 0])
    right /= np.linalg.norm(right)
    turn = np.stack([right, np.cross(ahead, right), ahead])
    turn = Rotation.from_rotvec([0, 0, rng.normal(0, 0.02)]).as_matrix() @ turn
    camera = Camera(
        Frame(WIDE, TALL),
        tuple(map(tuple, turn.tolist())),
        tuple((-turn @ stood).tolist()),
        focal_px,
        rng.normal(0, 0.03) if bend is None else bend,
        tuple(rng.normal(0, 50.0, 2).tolist()),
    )
    pixels = pixels_of(camera, np.array(SIX))
    if ((pixels < 0) | (pixels > [WIDE, TALL])).any():
        return _camera(rng, 1.1 * distance_m, focal_px, bend, width_m, height_m)
    return camera


def _marks(pixels, places):
    return [Mark(*map(float, (*a, *b))) for a, b in zip(pixels, places, strict=True)]


def test_straight_before_the_wall_a_metre_is_the_focal_length_over_the_distance():
    turn = ((1.0, 0.0, 0.0), (0.0, -1.0, 0.0), (0.0, 0.0, -1.0))
    # 2 m off, looking at (2, 1.2): 1000 px / 2 m = 500 px a metre, by similar triangles.
    camera = Camera(Frame(1600, 1200), turn, (-2.0, 1.2, 2.0), 1000.0, 0.0, (0.0, 0.0))
    assert camera.place_m == pytest.approx([2.0, 1.2, 2.0])
    seen = pixels_of(camera, np.array([[2.0, 1.2], [3.0, 1.2], [2.0, 2.2]]))
    assert seen == pytest.approx(np.array([[800, 600], [1300, 600], [800, 100]]))
    nearer = pixels_of(camera, np.array([[3.0, 1.2, 1.0]]))  # 1 m off the wall: twice as large
    assert nearer == pytest.approx(np.array([[1800, 600]]))
    assert places_of(camera, seen) == pytest.approx(np.array([[2, 1.2], [3, 1.2], [2, 2.2]]))


@pytest.mark.parametrize(("count", "lines", "windows"), [(4, 0, 40), (6, 0, 40), (4, 2, 16)])
def test_sizes_lie_within_what_is_said_of_them(count, lines, windows):
    """Four sizes a window; of 95 in 100, the least here are seldom undercut."""
    rng = np.random.default_rng([7, count, lines])
    inside, errors = [], []
    for _ in range(windows):
        camera = _camera(rng, focal_px=float(np.exp(rng.normal(np.log(3200), 0.25))))
        places = np.array(SIX[:count])
        pixels = pixels_of(camera, places) + rng.normal(0, 3, (count, 2))
        edges = []
        for v_m in (0.2, 2.3)[:lines]:
            along = np.column_stack([np.linspace(0.3, 3.7, 7), np.full(7, v_m)])
            edges.append((pixels_of(camera, along) + rng.normal(0, 3, (7, 2))).tolist())
        marks = _marks(pixels, places + rng.normal(0, 0.003, places.shape))
        photo = fit_photo(Frame(WIDE, TALL), marks, edges)
        left, bottom = rng.uniform(0.6, 2.4), rng.uniform(0.8, 1.1)
        window = np.array([[left, bottom], [left + 1, bottom + 1]])
        found = rectangle_on(photo, (pixels_of(camera, window) + rng.normal(0, 3, (2, 2))).tolist())
        error = np.abs(
            [found.left_m - left, found.bottom_m - bottom, found.width_m - 1, found.height_m - 1]
        )
        said = [found.left_95_m, found.bottom_95_m, found.width_95_m, found.height_95_m]
        inside.append(error <= said)
        errors.append(error[2])
    assert np.mean(inside) >= 0.86
    assert np.median(errors) < (0.012 if (count, lines) == (4, 0) else 0.008)


def test_what_stands_out_of_the_wall_appears_where_the_camera_saw_it():
    """Exact marks, and a camera that recorded its focal length: within 2 pixels."""
    rng = np.random.default_rng(3)
    out = np.array([[0.6, 0.8, 0.1], [1.2, 0.8, 0.1], [1.2, 2.0, 0.1], [2.9, 1.4, 0.1]])
    for _ in range(20):
        camera = _camera(rng, bend=0.0)
        frame = Frame(WIDE, TALL, focal_px=camera.focal_px)
        marks = _marks(pixels_of(camera, np.array(SIX)), SIX)
        photo = fit_photo(frame, marks, mark_px=0.3, tape_m=1e-4)
        off = np.linalg.norm(pixels_of(photo.camera, out) - pixels_of(camera, out), axis=1)
        assert off.max() < 2


def test_fewer_marks_and_farther_places_are_known_less_well():
    rng = np.random.default_rng(5)
    camera = _camera(rng)
    four = fit_photo(camera.frame, _marks(pixels_of(camera, np.array(SIX[:4])), SIX[:4]))
    six = fit_photo(camera.frame, _marks(pixels_of(camera, np.array(SIX)), SIX))
    assert uncertainty_m(six, 2.0, 1.2) < uncertainty_m(four, 2.0, 1.2)
    assert uncertainty_m(four, 2.0, 1.2) < uncertainty_m(four, 5.0, 1.2)


def _refusal(marks, lines=()):
    with pytest.raises(MarksRefused) as caught:
        fit_photo(Frame(WIDE, TALL), marks, lines)
    return str(caught.value)


def test_bad_marks_are_refused_with_the_reason():
    camera = _camera(np.random.default_rng(11))
    places = np.array(SIX[:4])
    pixels = pixels_of(camera, places)
    assert "3 marks are given and 4 are needed" in _refusal(_marks(pixels[:3], places[:3]))
    swapped = pixels[[1, 0, 2, 3]]
    assert "two marks have changed places" in _refusal(_marks(swapped, places))
    mirrored = pixels * [-1, 1] + [WIDE, 0]
    assert "mirrored" in _refusal(_marks(mirrored, places))
    on_line = np.array([(0.4, 0.2), (2.0, 0.2), (3.6, 0.2), (0.4, 2.3)])
    assert "lie on one line" in _refusal(_marks(pixels_of(camera, on_line), on_line))
    outside = pixels.copy()
    outside[2, 0] = WIDE + 200.0
    assert "outside the picture" in _refusal(_marks(outside, places))
    other_wall = places * [1.6, 1.0]  # a wall of another length
    assert "do not fit one flat wall" in _refusal(
        _marks(pixels_of(camera, np.array(SIX)), [*other_wall, *SIX[4:]])
    )
    nowhere = [Mark(float("nan"), 1.0, 0.0, 0.0), *_marks(pixels[1:], places[1:])]
    assert "needed four finite numbers" in _refusal(nowhere)
    assert "three or more" in _refusal(_marks(pixels, places), [[(1.0, 1.0), (5.0, 5.0)]])


def test_a_refusal_names_its_marks():
    camera = _camera(np.random.default_rng(11))
    places = np.array(SIX[:4])
    pixels = pixels_of(camera, places)
    outside = pixels.copy()
    outside[2, 0] = WIDE + 200.0
    for marks, lines, numbers, line in (
        (_marks(outside, places), [], (3,), None),
        (_marks(pixels[[1, 0, 2, 3]], places), [], (1, 2, 3), None),
        (_marks(pixels, places), [[(1.0, 1.0), (5.0, 5.0)]], (), 1),
    ):
        with pytest.raises(MarksRefused) as caught:
            fit_photo(Frame(WIDE, TALL), marks, lines)
        assert (caught.value.marks, caught.value.line) == (numbers, line)


def test_a_rectangle_has_two_corners_or_four():
    camera = _camera(np.random.default_rng(2))
    photo = fit_photo(camera.frame, _marks(pixels_of(camera, np.array(SIX)), SIX))
    corners = pixels_of(camera, np.array([(1, 1), (2, 1), (2, 2), (1, 2)])).tolist()
    found = rectangle_on(photo, corners)
    assert (found.width_m, found.height_m) == pytest.approx((1, 1), abs=0.005)
    with pytest.raises(MarksRefused, match="two opposite ones or four"):
        rectangle_on(photo, corners[:3])
    with pytest.raises(MarksRefused, match="no width or no height"):
        rectangle_on(photo, [corners[0], corners[0]])


def _written(path, array, orientation=1, film_mm=None):
    from PIL import Image

    exif = Image.Exif()
    exif[0x0112] = orientation
    exif[0x0110] = "made up"
    if film_mm is not None:
        exif.get_ifd(0x8769)[0xA405] = film_mm
    Image.fromarray(array).save(path, exif=exif)
    return path


def test_a_picture_is_turned_upright_and_its_focal_length_read(tmp_path):
    array = np.zeros((30, 40, 3), dtype=np.uint8)
    array[:, :20] = 200  # bright to the left as it is stored
    lying = _written(tmp_path / "lying.png", array, orientation=6, film_mm=26)
    frame = frame_of(lying)
    assert (frame.width_px, frame.height_px) == (30, 40)
    # 26 mm of a diagonal of 43.27 mm (Exif 2.32: FocalLengthIn35mmFilm), here of 50 px.
    assert frame.focal_px == pytest.approx(26 / 43.27 * 50)
    standing = upright(lying)  # 6: the stored left is the upper side
    assert standing.shape == (40, 30, 3)
    assert standing[:20].min() == 200 and standing[20:].max() == 0
    assert frame_of(_written(tmp_path / "plain.png", array)).focal_px is None


def test_heic_is_read_where_its_package_is_there(tmp_path):
    heif = pytest.importorskip("pillow_heif", reason="pillow-heif is not installed")
    from PIL import Image

    heif.register_heif_opener()
    wall = tmp_path / "IMG_1.JPG"  # whatever its name
    array = np.zeros((64, 96, 3), dtype=np.uint8)
    array[:, :48] = 220
    Image.fromarray(array).save(wall, "HEIF", quality=95)
    assert ending_of(wall) == ".heic"
    frame = frame_of(wall)
    assert (frame.width_px, frame.height_px) == (96, 64)
    read = upright(wall).astype(float)
    assert read[:, :40].mean() > 200
    assert read[:, 56:].mean() < 30


def test_without_its_package_heic_is_named_with_what_helps(tmp_path, monkeypatch):
    import sys

    monkeypatch.setitem(sys.modules, "pillow_heif", None)
    wall = tmp_path / "IMG_1.JPG"
    wall.write_bytes(b"\0\0\0\x18ftypheic\0\0\0\0mif1heic")
    with pytest.raises(NoPhotograph, match=r"pip install pillow-heif; or set the telephone"):
        frame_of(wall)


def test_what_is_no_picture_is_refused(tmp_path):
    wrong = tmp_path / "wall.heic"
    wrong.write_bytes(b"\0\0\0\x18ftypheic")
    with pytest.raises(NoPhotograph, match="no picture"):
        frame_of(wrong)
    cut = _written(tmp_path / "cut.jpg", np.zeros((300, 400, 3), dtype=np.uint8))
    cut.write_bytes(cut.read_bytes()[:900])
    with pytest.raises(NoPhotograph):
        upright(cut)


@pytest.fixture
def job(tmp_path):
    folder = tmp_path / "job"
    shutil.copytree(STORY_ROOM, folder)
    return folder


def _photograph(job, face_name, path):
    """A photograph of a bare wall, white on grey; its camera."""
    from PIL import Image, ImageDraw

    face = load_job(job).room.face(face_name)
    rng = np.random.default_rng(17)
    camera = _camera(rng, 4.2, 2600.0, 0.0, face.width_m, face.height_m)
    picture = Image.new("RGB", (WIDE, TALL), (120, 120, 120))
    corners = np.array([(0, 0), (1, 0), (1, 1), (0, 1)]) * [face.width_m, face.height_m]
    outline = [tuple(point) for point in pixels_of(camera, corners).tolist()]
    ImageDraw.Draw(picture).polygon(outline, fill=(255, 255, 255))
    picture.save(path, quality=90)
    names = ("bottom left", "bottom right", "top right", "top left")
    marks = [f"{x:.1f},{y:.1f} = {name}" for (x, y), name in zip(outline, names, strict=True)]
    return face, camera, marks


def test_the_command_measures_adds_and_keeps(job, tmp_path, capsys):
    file = tmp_path / "IMG 1.JPG"
    face, camera, marks = _photograph(job, "north", file)
    taped = next(zone for zone in load_job(job).keep_clear if zone.face == "north").place
    places = [(taped.u_m, taped.v_m), (taped.right_m, taped.top_m)]
    new = [(2.5, 1.1), (2.58, 1.22)]
    things = []
    for name, corners in (("outlet north", places), ("second switch", new)):
        pixels = pixels_of(camera, np.array(corners)).tolist()
        things += ["--thing", f"{name} = " + " ".join(f"{x:.1f},{y:.1f}" for x, y in pixels)]
    command = ["photo", str(job), "north", str(file), *things]
    command += [word for mark in marks for word in ("--mark", mark)]
    flat = tmp_path / "flat.jpg"
    assert main([*command, "--add", "switch", "--straight", str(flat)]) == 0
    said = capsys.readouterr().out
    assert "as in the job" in said and "Added to job.toml: second switch" in said
    assert max(map(len, said.splitlines())) <= 80
    added = next(zone for zone in load_job(job).keep_clear if zone.name == "second switch")
    assert (added.place.u_m, added.place.v_m) == pytest.approx((2.5, 1.1), abs=0.01)
    assert 0 < added.within_m < 0.02
    assert added.zone.width_m == pytest.approx(
        added.place.width_m + 2 * (added.clearance_m + added.within_m)
    )
    (kept,) = kept_photos(load_job(job))
    assert kept.face == "north" and kept.file.read_bytes() == file.read_bytes()
    assert [name for name, _ in kept.marked.things] == ["outlet north", "second switch"]
    from PIL import Image

    with Image.open(flat) as straight:
        assert not straight.getexif()
        assert straight.width / straight.height == pytest.approx(
            face.width_m / face.height_m, rel=0.01
        )
        assert np.asarray(straight)[20:-20, 20:-20].min() > 230  # the wall alone
    assert main([*command, "--straight", str(flat)]) == 2  # never overwritten


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (["photo", "{job}", "attic", "{file}"], "there is no wall 'attic'"),
        (["photo", "{job}", "north", "{file}", "--mark", "1,2"], "needed X,Y = PLACE"),
        (["photo", "{job}", "north", "{file}", "--mark", "1;2 = top left"], "needed one point"),
        (["photo", "{job}", "north", "{file}", "--mark", "1,2 = attic"], "is no place on north"),
        (["photo", "{job}", "north", "{file}", "--thing", "3,4 5,6"], "needed NAME = X,Y"),
        (["photo", "{job}", "north", "{job}", "--mark", "1,2 = top left"], "folder"),
    ],
)
def test_wrong_words_are_named_and_nothing_is_kept(job, tmp_path, capsys, change, said):
    file = tmp_path / "wall.jpg"
    _photograph(job, "north", file)
    assert main([word.format(job=job, file=file) for word in change]) == 2
    assert said in capsys.readouterr().err
    assert not (job / "photos").exists()


def test_a_straightened_wall_shows_each_place_where_it_is():
    camera = _camera(np.random.default_rng(23), bend=0.02)
    face = load_job(STORY_ROOM).room.face("north")
    columns, rows = np.meshgrid(np.arange(WIDE) + 0.5, np.arange(TALL) + 0.5)
    places = places_of(camera, np.column_stack([columns.ravel(), rows.ravel()]))
    on_spot = np.hypot(*(places - [1.5, 1.0]).T) < 0.1  # a spot of 0.1 m at (1.5, 1.0)
    picture = np.full((TALL, WIDE, 3), 255, dtype=np.uint8)
    picture[on_spot.reshape(TALL, WIDE)] = 0
    flat = straightened(picture, camera, face, px_a_metre=200.0)
    dark = np.argwhere(flat[:, :, 0] < 128)
    row, column = dark.mean(axis=0) + 0.5
    assert (column / 200, face.height_m - row / 200) == pytest.approx((1.5, 1.0), abs=0.003)
    assert len(dark) / 200**2 == pytest.approx(np.pi * 0.1**2, rel=0.02)


def _read(job, name, camera, height_m, rng):
    """A photograph of a wall by its taped door alone, whose edges are seen `height_m` high."""
    face = job.room.face(name)
    taped = [(0.5, 0.1), (2.5, 0.1), (2.5, 2.0), (0.5, 2.0), (1.5, 0.1), (1.5, 2.0)]
    pixels = pixels_of(camera, np.array(taped)) + rng.normal(0, 1, (6, 2))
    marks = [
        (tuple(pixel), f"{u} m, {v} m")
        for pixel, (u, v) in zip(pixels.tolist(), taped, strict=True)
    ]
    edges = []
    for edge, u_m in ((LEFT_EDGE, 0.0), (RIGHT_EDGE, face.width_m)):
        ends = pixels_of(camera, np.array([(u_m, 0.0), (u_m, height_m)])) + rng.normal(0, 1, (2, 2))
        edges.append((edge, tuple(map(tuple, ends.tolist()))))
    return read_off(job, face, camera.frame, Marked(marks=tuple(marks), things=tuple(edges)))


def test_two_walls_share_a_corner_whose_heights_must_agree():
    """Edges 0.2 m higher on one photograph are one corner of two heights."""
    job = load_job(STORY_ROOM)
    rng = np.random.default_rng(31)
    walls = job.room.wall_names[:2]
    faces = [job.room.face(name) for name in walls]
    cameras = [_camera(rng, 4.5, 2600.0, 0.0, face.width_m, face.height_m) for face in faces]
    high = job.room.height_m
    true = [_read(job, w, c, high, rng) for w, c in zip(walls, cameras, strict=True)]
    (corner,) = shared_corners(job.room, dict(zip(walls, true, strict=True)))
    assert corner.walls == walls and corner.agrees
    assert np.abs(np.array(corner.heights_m) - high).max() <= max(corner.heights_95_m)
    other = _read(job, walls[1], cameras[1], high + 0.2, rng)
    (corner,) = shared_corners(job.room, {walls[0]: true[0], walls[1]: other})
    assert not corner.agrees
    assert corner.heights_m[1] - corner.heights_m[0] == pytest.approx(0.2, abs=0.05)
    # The left end of a wall is where the plan's next wall begins, seen from inside.
    assert faces[0].to_room(0, 0) == pytest.approx(faces[1].to_room(faces[1].width_m, 0))


def test_a_window_is_added_with_its_uncertainty_and_people_are_asked_about(job, tmp_path, capsys):
    file = tmp_path / "wall.jpg"
    _, camera, marks = _photograph(job, "south", file)
    corners = pixels_of(camera, np.array([(0.3, 0.3), (0.5, 0.5)])).tolist()
    things = ["--thing", "small window = " + " ".join(f"{x:.1f},{y:.1f}" for x, y in corners)]
    command = ["photo", str(job), "south", str(file), *things]
    command += [word for mark in marks for word in ("--mark", mark)]
    assert main([*command, "--add", "window", "--people", "no"]) == 0
    capsys.readouterr()
    window = next(patch for patch in load_job(job).patches if patch.name == "small window")
    assert window.opening and window.material == "double glazing"
    assert window.within_m > 0 and window.zone.u_m < window.place.u_m - window.clearance_m
    read = read_photos(load_job(job))["south"]
    assert read[0].marked.people is False
    assert main(command) == 0  # marked again, nothing said of people: the answer stays
    assert read_photos(load_job(job))["south"][0].marked.people is False
    assert "as in the job" in capsys.readouterr().out
    undo(job)
    assert not any(patch.name == "small window" for patch in load_job(job).patches)
