"""Changes by hand: pieces pinned to a place, and what is not wanted, as tables of the job file."""

from __future__ import annotations

from roomcheck.geometry import Rectangle, Room
from roomcheck.job.model.job import Forbid, Pin
from roomcheck.job.model.shop import Shop
from roomcheck.job.read.places import read_place
from roomcheck.job.toml.reader import TomlTable

AREA = ("left", "bottom", "width", "height")


def read_pin(table: TomlTable, room: Room | None, shop: Shop) -> Pin:
    """A piece of the stock at a place that a person chose."""
    name = table.choice("piece", (piece.name for piece in shop.stock))
    face = (
        table.choice("face", (f.name for f in room.faces))
        if room is not None
        else table.text("face")
    )
    left, bottom = table.length("left", least=0.0), table.length("bottom", least=0.0)
    turned = table.flag("turned", False)
    if table.spoiled:
        return Pin(piece=name, face=face, place=Rectangle(left, bottom, 0.0, 0.0))
    piece = shop.piece(name)
    size = (piece.height_m, piece.width_m) if turned else (piece.width_m, piece.height_m)
    place = Rectangle(left, bottom, *size)
    if turned and not piece.turns:
        table.note("turned", f"a {name} hangs one way up only")
    if room is not None and not room.face(face).holds(place):
        table.note(None, f"the {name} does not lie wholly on the {face} there")
    return Pin(piece=name, face=face, place=place)


def read_forbid(table: TomlTable, room: Room | None, shop: Shop) -> Forbid:
    """A piece, a face or a part of a face that a person does not want to be used."""
    piece = table.choice("piece", (piece.name for piece in shop.stock), "")
    faces = [f.name for f in room.faces] if room is not None else []
    face = table.choice("face", faces, "") if faces else table.text("face", "")
    area = any(table.has(key) for key in AREA)
    place = read_place(table, room, face) if area else None
    table.known += AREA
    if not (table.has("piece") or table.has("face")) and not table.spoiled:
        table.note(None, "[[forbid]] needs a `piece`, a `face` or both")
    if area and not table.has("face"):
        table.note("left", "a part of which face? [[forbid]] with `left` needs a `face`")
    return Forbid(piece=piece, face=face, place=place)
