"""One value set, taken back, looked up: as somebody at a terminal does it."""

from __future__ import annotations

import json
import re

import pytest

from roomcheck.cli import main
from roomcheck.cli.editing.set import way_of
from roomcheck.errors import RoomcheckError
from roomcheck.job import USUAL_CLEARANCE_M, RoomSize, load_job, room_facts
from roomcheck.job.usual import USUAL_ROOMS
from roomcheck.judge import FindingKind
from roomcheck.materials import MATERIALS
from roomcheck.standards import USES
from roomcheck.words import finding_meanings

NEW = ["--use", "podcast room", "--length", "13'4", "--width", "10 ft", "--height", "8 ft"]


@pytest.fixture
def folder(tmp_path, capsys):
    assert main(["new", str(tmp_path / "room"), *NEW]) == 0
    capsys.readouterr()
    return tmp_path / "room"


def asked(capsys, *arguments):
    """Exit code, and the JSON of a command."""
    code = main([*map(str, arguments), "--json"])
    return code, json.loads(capsys.readouterr().out)


def test_a_value_is_set_and_comments_stay(folder, capsys):
    before = (folder / "job.toml").read_text("utf-8")
    code, said = asked(capsys, "set", folder, "room.height", "8' 1\"")
    after = (folder / "job.toml").read_text("utf-8")
    assert code == 0 and said == {"way": "room.height", "was": "8 ft", "now": "8' 1\""}
    assert after == before.replace('height = "8 ft"', 'height = "8\' 1\\""', 1)
    assert load_job(folder).room.height_m == pytest.approx(97 * 0.0254)


def test_it_is_taken_back_and_forth(folder, capsys):
    texts = [(folder / "job.toml").read_bytes()]
    for height in ("8' 1\"", "9 ft"):
        assert main(["set", str(folder), "room.height", height]) == 0
        texts.append((folder / "job.toml").read_bytes())
    for step in (["undo"], ["undo"], ["undo", "--redo"], ["undo", "--redo"]):
        assert main([step[0], str(folder), *step[1:]]) == 0
        texts.append((folder / "job.toml").read_bytes())
    assert texts[3:] == [texts[1], texts[0], texts[1], texts[2]]
    assert main(["undo", str(folder), "--redo"]) == 2
    assert "nothing was changed" in capsys.readouterr().err


@pytest.mark.parametrize(
    "arguments",
    [
        ["room.height", "8 1"],
        ["room.height", "wide"],
        ["room.hight", "8 ft"],
        ["patch.window.left", "8 ft"],
        ["room.height"],
        ["room.height", "8 ft", "--remove"],
        ["..", "8 ft"],
        ["room.corners", "[1, 2"],
        ["room.height", "--remove"],
    ],
)
def test_what_would_spoil_the_file_is_refused_and_changes_nothing(folder, capsys, arguments):
    before = (folder / "job.toml").read_bytes()
    assert main(["set", str(folder), *arguments]) == 2
    assert (folder / "job.toml").read_bytes() == before
    assert "roomcheck:" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("text", "way"),
    [
        ("room.height", ("room", "height")),
        ("patch.tall window.left", ("patch", "tall window", "left")),
        ('patch."no. 2".left', ("patch", "no. 2", "left")),
        ("budget", ("budget",)),
    ],
)
def test_a_way_is_read(text, way):
    assert way_of(text) == way


@pytest.mark.parametrize("text", ["", ".", "a..b", '"a'])
def test_what_is_no_way_is_refused(text):
    with pytest.raises(RoomcheckError, match="no way"):
        way_of(text)


@pytest.mark.parametrize("what", ["materials", "stock", "uses", "findings", "clearances"])
def test_every_list_is_shown_and_searched(tmp_path, monkeypatch, capsys, what):
    monkeypatch.chdir(tmp_path)
    _, whole = asked(capsys, "list", what)
    assert len(whole[what]) >= 8
    name = whole[what][3][0]
    _, found = asked(capsys, "list", what, "--search", name.upper())
    assert name in [row[0] for row in found[what]] and len(found[what]) <= len(whole[what])
    _, nothing = asked(capsys, "list", what, "--search", "xyzzy")
    assert nothing[what] == []
    assert main(["list", what, "--search", "xyzzy"]) == 0
    assert "xyzzy" in capsys.readouterr().out


def test_a_list_holds_every_material_use_and_finding(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    _, materials = asked(capsys, "list", "materials")
    assert {row[0] for row in materials["materials"]} == set(MATERIALS)
    _, uses = asked(capsys, "list", "uses")
    assert {row[0] for row in uses["uses"]} == set(USES)
    assert [kind for kind, _ in finding_meanings()] == [kind.value for kind in FindingKind]


@pytest.mark.parametrize("what", ["materials", "stock", "uses", "findings", "clearances"])
def test_no_list_is_longer_than_a_screen_unless_it_is_asked_for(
    tmp_path, monkeypatch, capsys, what
):
    monkeypatch.chdir(tmp_path)
    assert main(["list", what]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert 8 <= len(lines) <= 40 and max(map(len, lines)) <= 80
    _, known = asked(capsys, "list", what)
    assert main(["list", what, "--all"]) == 0
    whole = capsys.readouterr().out
    assert all(row[0].split()[0] in whole for row in known[what])
    if what == "materials":
        assert len(whole.splitlines()) > 200
        assert re.search(rf"\d\d of {len(MATERIALS)} materials: .* --all", " ".join(lines))


def test_no_line_of_a_command_s_help_is_wider_than_a_terminal(monkeypatch, capsys):
    monkeypatch.setenv("COLUMNS", "80")
    names = re.findall(r"^    ([a-z]+)(?=\s|$)", helped(capsys), re.M)
    assert len(names) > 20
    for line in "\n".join([helped(capsys), *(helped(capsys, name) for name in names)]).splitlines():
        assert len(line) <= 80, line


def helped(capsys, *command) -> str:
    with pytest.raises(SystemExit):
        main([*command, "--help"])
    return capsys.readouterr().out


def test_a_misspelt_word_is_found(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    _, found = asked(capsys, "list", "materials", "--search", "plasterbord")
    assert any(row[0].startswith("plasterboard") for row in found["materials"])


def test_the_room_is_echoed_with_what_is_odd(folder, capsys):
    assert main(["check", str(folder)]) == 0
    shown = capsys.readouterr().out
    # 13 1/3 x 10 x 8 ft = 1066.7 cubic feet.
    assert "13'-4\" × 10'-0\" × 8'-0\", 1,067 cu ft" in shown and "odd" not in shown
    main(["set", str(folder), "room.height", "81 ft"])
    kinds = [one.kind for one in room_facts(load_job(folder))]
    assert kinds == [
        RoomSize.ROOM_IS,
        RoomSize.ODD_VOLUME,
        RoomSize.ODD_HEIGHT,
        RoomSize.HIGHER_THAN_LONG,
    ]
    capsys.readouterr()
    assert main(["check", str(folder)]) == 0
    assert "81'-0\" is odd for a podcast room" in " ".join(capsys.readouterr().out.split())


def test_every_use_has_a_usual_size():
    assert set(USUAL_ROOMS) == set(USES)
    for (small_m3, large_m3), (low_m, high_m) in USUAL_ROOMS.values():
        assert 0 < small_m3 < large_m3 and 0 < low_m < high_m


@pytest.mark.parametrize(("kind", "offered"), [("sprinkler", "18"), ("smoke detector", "36")])
def test_a_usual_clearance_is_offered_by_kind(folder, capsys, kind, offered):
    """18 in below a sprinkler and 36 in around a detector, as the new job's file says."""
    zone = f'[[keep_clear]]\nname = "a"\nface = "ceiling"\nkind = "{kind}"\nleft = "1 ft"\nbottom = "1 ft"\nwidth = "4 in"\nheight = "4 in"\n'
    with (folder / "job.toml").open("a", encoding="utf-8") as file:
        file.write(f"\n{zone}")
    assert main(["check", str(folder)]) == 2
    assert (
        f'usual for {kind}: {USUAL_CLEARANCE_M[kind]:.4f} m ({offered}")' in capsys.readouterr().err
    )


@pytest.mark.parametrize(
    "arguments",
    [
        ["recommend", "--keep"],
        ["recommend", "--move", "A1", "nowhere", "1 ft", "1 ft"],
        ["recommend", "--move", "A1", "north", "1", "1 ft"],
        ["recommend", "--move", "first", "north", "1 ft", "1 ft"],
        ["recommend", "--pin", "nowhere"],
        ["recommend", "--explain", "the left one"],
        ["recommend", "--explain", "A1", "--pin", "A1"],
        ["recommend", "--plan", "7"],
        ["quote", "--plan", "7"],
        ["quote", "--sign", " "],
        ["quote", "--date", "yesterday"],
        ["predict", "1", "--plan", "2"],
        ["report", "--plan", "0"],
        ["build", "--plan", "99"],
    ],
)
def test_arguments_are_checked_before_anything_is_computed(folder, capsys, monkeypatch, arguments):
    def never(*_, **__):
        raise AssertionError("computed")

    monkeypatch.setattr("roomcheck.chain.results.Chain._analysis", never)
    monkeypatch.setattr("roomcheck.chain.results.Chain._takes", never)
    assert main([arguments[0], str(folder), *arguments[1:]]) == 2
    assert "roomcheck:" in capsys.readouterr().err


@pytest.mark.parametrize("command", ["check", "analyse", "predict", "quote", "verify", "report"])
def test_a_name_longer_than_any_disk_takes_is_refused(command, capsys):
    assert main([command, "A" * 600]) == 2
    said = capsys.readouterr().err
    assert "a name of 600 signs" in said and "Traceback" not in said


def test_a_cloth_is_chosen_for_a_piece_or_for_all_and_taken_back(folder, capsys):
    code, said = asked(capsys, "set", folder, "look", "charcoal")
    assert code == 0 and said == {"way": "look", "was": None, "now": "charcoal"}
    for name in ("walnut", "light oak"):  # wood, whose second choice replaces the first
        assert main(["set", str(folder), "look.block diffuser", name]) == 0
    job = load_job(folder)
    assert [(one.piece, one.look.name) for one in job.looks] == [
        ("", "charcoal"),
        ("block diffuser", "light oak"),
    ]
    assert job.look_of("block diffuser").name == "light oak"
    assert main(["set", str(folder), "look.block diffuser", "navy"]) == 2
    assert "shows stain or paint" in capsys.readouterr().err
    assert main(["set", str(folder), "look.block diffuser", "--remove"]) == 0
    assert main(["set", str(folder), "look.block diffuser", "--remove"]) == 2
    assert [one.look.name for one in load_job(folder).looks] == ["charcoal"]
