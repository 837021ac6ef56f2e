"""How many frames a second the room in space reaches here: 60 block diffusers of 400 blocks each.

Each frame turns the camera a little, is drawn whole and read back, so that nothing is counted before
it is done. Without a graphics card chromium draws with the processor (SwiftShader); that is said.

    python benchmarks/space_frames.py
"""

from __future__ import annotations

import http.server
import json
import shutil
import threading
from functools import partial
from pathlib import Path

import roomcheck
from roomcheck.geometry import Room
from roomcheck.plain import to_plain
from roomcheck.scene import HALF_ANGLE_DEG, Axes, Body, Scene, Shape, Standing, Surface, best_view

STATIC = Path(roomcheck.__file__).parent / "page" / "static"
PIECES, SIDE, CELL_M = 60, 20, 0.03
FRAMES = """async ([scene, frames, wide, high, afar]) => {
  const three = await import('/vendor/three/three.module.js');
  const { build, still, cutAway } = await import('/space.js');
  const built = build(three, scene);
  const renderer = new three.WebGLRenderer({ antialias: true });
  renderer.setSize(wide, high, false);
  const camera = still(three, scene.view, wide / high), gl = renderer.getContext();
  const focal = high / 2 / Math.tan(camera.fov * Math.PI / 360);
  cutAway(built, scene, camera.position.toArray(), false, afar ? focal : Infinity);
  const info = gl.getExtension('WEBGL_debug_renderer_info');
  const one = new Uint8Array(4);
  const shown = () => { renderer.render(built.world, camera); gl.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, one); };
  shown();
  const start = performance.now();
  for (let i = 0; i < frames; i += 1) { camera.rotateY(0.002); camera.updateMatrixWorld(); shown(); }
  const seconds = (performance.now() - start) / 1000;
  return { fps: frames / seconds, calls: renderer.info.render.calls, triangles: renderer.info.render.triangles,
           by: info ? gl.getParameter(info.UNMASKED_RENDERER_WEBGL) : '' };
}"""


def crowded() -> Scene:
    """A hall whose long walls are full of diffusers."""
    room = Room.box(20.0, 8.0, 4.0)
    blocks = [
        Body(
            part="block",
            look="end grain",
            at_m=(CELL_M * (i % SIDE), CELL_M * (i // SIDE), 0.02),
            size_m=(CELL_M, CELL_M, 0.02 * (1 + (i * i) % 7)),
        )
        for i in range(SIDE * SIDE)
    ]
    size = SIDE * CELL_M
    shape = Shape(
        piece="diffuser",
        width_m=size,
        height_m=size,
        depth_m=0.16,
        off_m=0.0,
        outside=tuple(blocks),
        inside=(),
        relief=True,
    )
    pieces, surfaces = [], []
    for face in room.faces:
        axes = Axes(origin=face.origin, right=face.u_axis, up=face.v_axis, out=face.normal)
        surfaces.append(Surface(name=face.name, kind=face.kind, axes=axes, outline=face.outline))
    for number in range(PIECES):
        face = room.faces[0 if number < PIECES // 2 else 2]
        u, v = 0.6 + 1.25 * (number % 15), 0.6 + 1.2 * (number // 15 % 2)
        origin = face.to_room(u, v)
        axes = Axes(origin=origin, right=face.u_axis, up=face.v_axis, out=face.normal)
        pieces.append(Standing(name=f"A{number + 1}", piece="diffuser", face=face.name, axes=axes))
    return Scene(
        surfaces=tuple(surfaces), shapes=(shape,), pieces=tuple(pieces), marks=(), paths=()
    )


def run(
    frames: int = 60, wide: int = 960, high: int = 640, *, afar: bool = True
) -> dict[str, object]:
    """Frames a second, triangles and draw calls of one frame, and by what they were drawn.

    Parameters
    ----------
    afar : bool
        Whether what is too small to be seen is left out, as the page does.
    """
    from playwright.sync_api import sync_playwright

    scene = crowded()
    plain = to_plain(scene)
    plain["view"] = to_plain(best_view(scene)) | {"half_angle_deg": HALF_ANGLE_DEG}
    quiet = type("Quiet", (http.server.SimpleHTTPRequestHandler,), {"log_message": lambda *_: None})
    server = http.server.ThreadingHTTPServer(
        ("127.0.0.1", 0), partial(quiet, directory=str(STATIC))
    )
    threading.Thread(target=server.serve_forever, daemon=True).start()
    with sync_playwright() as playwright:
        drawn = ["--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader"]
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=drawn)
        page = browser.new_page()
        page.goto(f"http://127.0.0.1:{server.server_port}/page.css")
        found = page.evaluate(FRAMES, [plain, frames, wide, high, afar])
        browser.close()
    server.shutdown()
    return dict(found)


if __name__ == "__main__":
    for afar in (False, True):
        print(json.dumps({"afar": afar} | run(20, afar=afar), indent=1))
