"""Files of strangers beside a job: pipes, devices, loops, bombs, and drawings that reach out."""

from __future__ import annotations

import os
import struct
import zlib

import pytest

from roomcheck.errors import RoomcheckError
from roomcheck.job import NotDrawn, load_job, logo_data, read_shop
from roomcheck.job.read.shop_file import DEFAULT

PLAIN = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 10 10"><path d="M0 0h10v10z" fill="#123"/></svg>'

SAFE = {
    "plain": PLAIN,
    "with an editor's own things": PLAIN.replace(
        "<path", '<metadata><x xmlns="urn:x">y</x></metadata><path inkscape:label="a" xmlns:inkscape="urn:i"'
    ),
    "with a doctype": '<?xml version="1.0"?><!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd">' + PLAIN,
    "with a gradient": PLAIN.replace("<path", '<defs><linearGradient id="g"><stop offset="0" stop-color="red"/></linearGradient></defs><path').replace("#123", "url(#g)"),
    "with a style": PLAIN.replace("<path", "<style>.a{fill:#123}</style><path"),
    "without a size": PLAIN.replace('viewBox="0 0 10 10"', ""),
    "by its sides": PLAIN.replace('viewBox="0 0 10 10"', 'width="10mm" height="8mm"'),
}  # fmt: skip
UNSAFE = {
    "an entity": ('<!DOCTYPE svg [<!ENTITY a "aaaa">]>' + PLAIN.replace("<path", "<title>&a;</title><path"), "entities"),
    "an outer entity": ('<!DOCTYPE svg [<!ENTITY a SYSTEM "file:///etc/passwd">]>' + PLAIN.replace("<path", "<title>&a;</title><path"), "entities"),
    "an unknown entity": (PLAIN.replace("<path", "<title>&nosuch;</title><path"), "well-formed|entities"),
    "laughter": ('<!DOCTYPE svg [' + "".join(f'<!ENTITY a{i} "{f"&a{i - 1};" * 10}">' for i in range(1, 10)) + "]>" + PLAIN, "entities"),
    "a picture": (PLAIN.replace("<path", '<image href="secret.png" width="5" height="5"/><path'), "another picture"),
    "a picture by its old name": (PLAIN.replace("<path", '<image xlink:href="/etc/passwd" xmlns:xlink="http://www.w3.org/1999/xlink"/><path'), "another picture"),
    "a script": (PLAIN.replace("<path", "<script>alert(1)</script><path"), "a script"),
    "a handler": (PLAIN.replace("<path", '<path onload="alert(1)"'), "a script"),
    "a page": (PLAIN.replace("<path", "<foreignObject><p/></foreignObject><path"), "a page"),
    "a link": (PLAIN.replace("<path", '<a href="https://example.org"><path/></a><path'), "a link"),
    "copies": (PLAIN.replace("<path", '<use href="#a"/><path'), "copies"),
    "a style that reaches out": (PLAIN.replace("<path", "<style>@import url(https://example.org/a.css);</style><path"), "outside"),
    "a fill that reaches out": (PLAIN.replace("#123", "url(https://example.org/#a)"), "outside"),
    "a size of nothing": (PLAIN.replace("viewBox", 'width="0" height="5" viewBox'), "above 0"),
    "a size that is none": (PLAIN.replace("viewBox", 'width="wide" viewBox'), "above 0"),
    "another kind": ("<html><body/></html>", "no SVG"),
    "half of it": (PLAIN[:90], "well-formed"),
    "text": ("just <svg in a text", "well-formed"),
    "too deep": (PLAIN.replace("<path", "<g>" * 100 + "<path").replace("</svg>", "</g>" * 100 + "</svg>"), "more parts"),
    "too many": (PLAIN.replace("<path", "<g/>" * 30_000 + "<path"), "more parts"),
    "an odd encoding": ('<?xml version="1.0" encoding="utf-99"?>' + PLAIN, "encoding"),
}  # fmt: skip


def set_logo(folder, data: bytes, name="mark.svg"):
    """A shop's file beside the job that names this logo."""
    (folder / name).write_bytes(data)
    text = DEFAULT.read_text("utf-8").replace('contact = ""', f'contact = ""\nlogo = "{name}"', 1)
    (folder / "shop.toml").write_text(text, encoding="utf-8")
    return folder / "shop.toml"


@pytest.mark.parametrize("drawing", SAFE.values(), ids=SAFE)
def test_a_plain_drawing_is_taken_and_set(folder, drawing):
    import typst

    shop = read_shop(set_logo(folder, drawing.encode()))
    data = logo_data(shop.logo)
    assert b"M0 0h10v10z" in data
    assert b"inkscape" not in data and b"DOCTYPE" not in data
    page = '#image(bytes(sys.inputs.logo), format: "svg")'
    assert typst.compile(page.encode(), sys_inputs={"logo": data.decode()}).startswith(b"%PDF")


@pytest.mark.parametrize(("drawing", "why"), UNSAFE.values(), ids=UNSAFE)
def test_a_drawing_that_reaches_out_is_refused_when_it_is_set(folder, drawing, why):
    with pytest.raises(RoomcheckError, match=f"logo.*({why})"):
        read_shop(set_logo(folder, drawing.encode()))


def png(width=4, height=4, rows=None, mend=True) -> bytes:
    def chunk(name: bytes, body: bytes) -> bytes:
        check = zlib.crc32(name + body) if mend else 0
        return struct.pack(">I", len(body)) + name + body + struct.pack(">I", check)

    body = b"".join(b"\0" + bytes(3 * width) for _ in range(rows if rows is not None else height))
    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(body)) + chunk(b"IEND", b"")  # fmt: skip


def test_a_picture_is_taken_whole(folder):
    shop = read_shop(set_logo(folder, png(), "mark.png"))
    assert logo_data(shop.logo) == png()


@pytest.mark.parametrize(
    "data",
    [b"", b"\x89PNG\r\n\x1a\n", png()[:-20], png(mend=False), png(rows=2), png(100_000, 100_000, rows=1), png().replace(b"IDAT", b"IDBT")],
)  # fmt: skip
def test_a_damaged_picture_is_refused_when_it_is_set(folder, data):
    with pytest.raises(RoomcheckError, match="logo"):
        read_shop(set_logo(folder, data, "mark.png"))


def test_a_logo_that_became_another_is_refused_before_it_is_drawn(folder):
    shop = read_shop(set_logo(folder, PLAIN.encode()))
    (folder / "mark.svg").write_text(UNSAFE["a script"][0])
    with pytest.raises(NotDrawn):
        logo_data(shop.logo)


@pytest.mark.parametrize("name", ["../mark.svg", "/etc/hostname.svg", "..", "a\\u0000.svg"])
def test_a_logo_elsewhere_is_refused(folder, name):
    (folder.parent / "mark.svg").write_text(PLAIN)
    text = DEFAULT.read_text("utf-8").replace('contact = ""', f'contact = ""\nlogo = "{name}"', 1)
    (folder / "shop.toml").write_text(text, encoding="utf-8")
    with pytest.raises(RoomcheckError, match="logo"):
        read_shop(folder / "shop.toml")


def pipe(path):
    if not hasattr(os, "mkfifo"):
        pytest.skip("this system has no pipes with names")
    os.mkfifo(path)


ODD = {
    "a pipe": pipe,
    "a loop": lambda path: path.symlink_to(path),
    "a link to nothing": lambda path: path.symlink_to("nothing"),
    "a folder": lambda path: path.mkdir(),
    "a device": lambda path: path.symlink_to("/dev/zero"),
}


@pytest.mark.parametrize("make", ODD.values(), ids=ODD)
@pytest.mark.parametrize("name", ["shop.toml", "../shop.toml", "job.toml", "mark.svg"])
def test_what_is_no_file_is_refused_at_once(folder, name, make):
    """Also the shop's: never the default shop's prices in place of one that cannot be read."""
    if name == "mark.svg":
        set_logo(folder, PLAIN.encode())
    (folder / name).unlink(missing_ok=True)
    make(folder / name)
    with pytest.raises(RoomcheckError):
        load_job(folder)


BOMBS = {
    "a text without end": "x = 1\n" * 300_000,
    "a long line": 'x = "' + "a" * 20_000 + '"',
    "a deep key": ".".join("a" * 20_000) + " = 1",
    "deep brackets": "x = " + "[" * 4_000,
    "many patches": "\n".join('[[patch]]\nname = "a"' for _ in range(20_000)),
    "many keys": "\n".join(f"k{i} = 1" for i in range(60_000)),
    "a long number": "x = " + "9" * 9_000,
}


@pytest.mark.parametrize("text", BOMBS.values(), ids=BOMBS)
def test_a_file_that_no_person_types_is_refused_early(folder, text):
    (folder / "job.toml").write_text(text)
    with pytest.raises(RoomcheckError) as caught:
        load_job(folder)
    assert len(str(caught.value)) < 20_000
