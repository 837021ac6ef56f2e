"""Pieces drawn apart, and the scene as a file for other programs: read back and counted."""

from __future__ import annotations

import json
import os
import struct
import subprocess
from dataclasses import replace
from itertools import combinations, pairwise
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
from scipy.spatial import cKDTree

from roomcheck.geometry import Rectangle, Room
from roomcheck.job import Placement
from roomcheck.report import exploded, scene_glb
from roomcheck.report.shop_figures.exploded import apart_m, layers_of
from roomcheck.scene import Furniture, piece_facets, scene
from roomcheck.workshop import build_pieces

SVG = "{http://www.w3.org/2000/svg}"
L_SHAPE = Room(
    corners=((0, 0), (6, 0), (6, 2.6), (3.4, 2.6), (3.4, 5), (0, 5)),
    height_m=2.7,
    wall_names=("south", "east", "inner north", "inner east", "north", "west"),
)
KINDS = (
    "2 in panel",
    "4 in ceiling cloud",
    "felt tile",
    "corner trap",
    "block diffuser",
    "well diffuser",
)


def sheet_of(job, piece):
    return build_pieces(job, [(piece, 1)]).sheets[0]


@pytest.mark.parametrize("piece", KINDS)
def test_no_two_parts_of_a_piece_drawn_apart_are_in_one_place(shop_job, piece):
    layers = layers_of(sheet_of(shop_job, piece))
    moves, start, spans = apart_m(layers), 0, []
    for layer in layers:
        shift = moves[start][2]
        start += len(layer.bodies)
        backs = [body.at_m[2] + shift for body in layer.bodies]
        fronts = [body.at_m[2] + body.size_m[2] + shift for body in layer.bodies]
        spans.append((min(backs), max(fronts)))
    for (_, front), (back, _) in pairwise(spans):
        assert back > front + 0.02


@pytest.mark.parametrize("piece", KINDS)
def test_a_drawing_of_a_piece_names_every_part_with_its_count(shop_job, piece):
    sheet = sheet_of(shop_job, piece)
    svg = exploded(sheet)
    texts = [text.text for text in ElementTree.fromstring(svg).iter(f"{SVG}text")]
    counts = sorted(int(text.rpartition("× ")[2]) for text in texts)
    wrapped = any(cut.part == "fabric" for cut in sheet.cuts)
    assert sum(counts) == len(sheet.solids) + wrapped
    assert len(texts) == len({solid.part for solid in sheet.solids}) + wrapped
    boxes = list(ElementTree.fromstring(svg).iter(f"{SVG}rect"))
    for a, b in combinations(
        [[float(r.get(k)) for k in ("x", "y", "width", "height")] for r in boxes], 2
    ):
        apart_x = a[0] + a[2] <= b[0] + 0.02 or b[0] + b[2] <= a[0] + 0.02
        apart_y = a[1] + a[3] <= b[1] + 0.02 or b[1] + b[3] <= a[1] + 0.02
        assert apart_x or apart_y


def test_the_blocks_of_a_drawing_are_those_of_the_cut_list(shop_job):
    sheet = sheet_of(shop_job, "block diffuser")
    cells = sum(block.cells for block in sheet.blocks)
    svg = exploded(sheet)
    assert f"× {cells}</text>" in svg


# --- glTF


def mixed(job):
    places = [
        ("A1", "block diffuser", "south", (2.0, 0.8, 0.6096, 1.2192)),
        ("A2", "4 in ceiling cloud", "ceiling", (1.1, 2.6, 1.2192, 1.2192)),
        ("A3", "corner trap", "west", (0.0, 0.7, 0.6096, 1.2192)),
        ("A4", "2 in panel", "north", (1.0, 0.9, 1.2192, 0.6096)),
    ]
    pieces = [
        Placement(name=name, piece=piece, face=face, place=Rectangle(*place))
        for name, piece, face, place in places
    ]
    return scene(replace(job, room=L_SHAPE, patches=()), pieces)


def read_back(data: bytes):
    """The JSON and the binary part of a GLB, by the specification's layout."""
    magic, version, length = struct.unpack_from("<4sII", data)
    assert (magic, version, length) == (b"glTF", 2, len(data))
    size, kind = struct.unpack_from("<I4s", data, 12)
    assert kind == b"JSON" and size % 4 == 0
    whole = json.loads(data[20 : 20 + size])
    rest, kind = struct.unpack_from("<I4s", data, 20 + size)
    assert kind == b"BIN\0" and 28 + size + rest == len(data)
    return whole, data[28 + size :]


def values(whole, binary, number):
    accessor = whole["accessors"][number]
    view = whole["bufferViews"][accessor["bufferView"]]
    raw = binary[view["byteOffset"] : view["byteOffset"] + view["byteLength"]]
    if accessor["type"] == "SCALAR":
        return np.frombuffer(raw, "<u4")
    return np.frombuffer(raw, "<f4").reshape(-1, 3)


def test_a_gltf_file_has_every_piece_where_it_hangs(shop_job):
    built = mixed(shop_job)
    whole, binary = read_back(scene_glb(built, "A room"))
    root = whole["nodes"][whole["scenes"][0]["nodes"][0]]
    up = np.array(root["matrix"]).reshape(4, 4).T
    nodes = {whole["nodes"][i]["name"]: whole["nodes"][i] for i in root["children"]}
    for piece in built.pieces:
        node = nodes[piece.name]
        turn = up @ np.array(node["matrix"]).reshape(4, 4).T
        found = []
        for primitive in whole["meshes"][node["mesh"]]["primitives"]:
            places = values(whole, binary, primitive["attributes"]["POSITION"])
            normals = values(whole, binary, primitive["attributes"]["NORMAL"])
            order = values(whole, binary, primitive["indices"]).reshape(-1, 3)
            a, b, c = (places[order[:, k]] for k in range(3))
            turned = np.einsum("ti,ti->t", np.cross(b - a, c - a), normals[order[:, 0]])
            assert (turned > 0).all()  # counter-clockwise from outside
            found.append((turn @ np.c_[places, np.ones(len(places))].T).T[:, :3])
        x, y, z = np.concatenate(found).T
        own = piece_facets(piece, built.shape(piece.piece)).corners.reshape(-1, 3)
        seen = np.c_[x, -z, y]  # the format's y is the room's z
        assert len(seen) == len(own)
        for one, other in ((seen, own), (own, seen)):
            assert cKDTree(one).query(other)[0].max() < 1e-5
    assert {surface.name for surface in built.surfaces} <= set(nodes)


def test_a_gltf_file_says_how_large_its_places_are(shop_job):
    whole, binary = read_back(scene_glb(mixed(shop_job), "A room"))
    for number, accessor in enumerate(whole["accessors"]):
        if accessor["type"] == "VEC3":
            places = values(whole, binary, number)
            assert accessor["min"] == places.min(axis=0).tolist()
            assert accessor["max"] == places.max(axis=0).tolist()
            assert accessor["count"] == len(places)


@pytest.mark.skipif(
    "GLTF_VALIDATOR" not in os.environ, reason="no GLTF_VALIDATOR, the Khronos validator from npm"
)
def test_the_khronos_validator_finds_nothing(shop_job, tmp_path):
    shelf = Furniture(name="shelf", at_m=(1.0, 0.5, 0.0), size_m=(1.2, 0.4, 1.8))
    furnished = replace(mixed(shop_job), furniture=(shelf,))
    (tmp_path / "room.glb").write_bytes(scene_glb(furnished, "A room"))
    script = (
        "const v = require(process.argv[1]), fs = require('fs');"
        "v.validateBytes(new Uint8Array(fs.readFileSync(process.argv[2])))"
        ".then(r => console.log(JSON.stringify(r.issues)))"
    )
    command = ["node", "-e", script, os.environ["GLTF_VALIDATOR"], str(tmp_path / "room.glb")]
    said = json.loads(subprocess.run(command, capture_output=True, text=True, check=True).stdout)
    assert (said["numErrors"], said["numWarnings"]) == (0, 0), said


def test_the_command_writes_the_scene_alone(shop_job, tmp_path):
    from roomcheck.cli import main

    assert Path(shop_job.folder).is_dir()
    assert main(["report", str(shop_job.folder), "--only", "scene", "--json"]) == 0
    data = (shop_job.folder / "documents" / "room-in-space.glb").read_bytes()
    whole, _ = read_back(data)
    names = {node["name"] for node in whole["nodes"]}
    assert {"south", "A1"} <= names
