// @ts-check
// The room in space. The scene comes from the program as it stands in a job; nothing is worked out here but how it looks.
// Without this script, or without WebGL, the still drawing stays where it is.

/** @typedef {typeof import("./vendor/three/three.module.js")} Three */
/** @typedef {[number, number, number]} Triple */
/** @typedef {{origin: Triple, right: Triple, up: Triple, out: Triple}} Axes */
/** @typedef {{part: string, look: string, at_m: Triple, size_m: Triple, wedge: boolean}} Body */
/** @typedef {{piece: string, width_m: number, height_m: number, depth_m: number, outside: Body[], relief: boolean, colours: [string, string][]}} Shape */
/** @typedef {{name: string, piece: string, face: string, axes: Axes}} Standing */
/** @typedef {{u_m: number, v_m: number, width_m: number, height_m: number}} Rectangle */
/** @typedef {{name: string, kind: string, place: Rectangle}} Thing */
/** @typedef {{name: string, kind: string, axes: Axes, outline: [number, number][], things: Thing[]}} Surface */
/** @typedef {{name: string, role: string, point: Triple}} Mark */
/** @typedef {{source: string, seat: string, face: string, points: Triple[]}} Path */
/** @typedef {{eye: Triple, ahead: Triple, up: Triple, half_angle_deg: number}} View */
/** @typedef {{name: string, at_m: Triple, size_m: Triple}} Furniture */
/** @typedef {{surfaces: Surface[], furniture: Furniture[], shapes: Shape[], pieces: Standing[], marks: Mark[], paths: Path[], view: View}} Scene */

const LOOKS = /** @type {Record<string, number>} */ ({
  wood: 0xc8a878, "end grain": 0xd9bd8e, plywood: 0xd3b98f, cloth: 0x8fa0a8, felt: 0x76858c, wool: 0xc9bf8a,
});
const SURFACES = /** @type {Record<string, number>} */ ({ wall: 0xf4f2ee, floor: 0xd8d4cc, ceiling: 0xfbfaf8 });
const THINGS = /** @type {Record<string, number>} */ ({ window: 0xb9d3e0, door: 0xb59a78, patch: 0xc3c9bd, "keep clear": 0xe0c9c0 });
const INK = 0x18242b, FURNITURE = 0xd9d5cd;
const SLOW_MS = 70, REST_MS = 250;
const EYE_M = 1.6, STEP_M = 0.12, CLEAR_M = 0.25;

// --- what stands there

/** A frame of the scene as a matrix. @param {Three} three @param {Axes} axes */
function frame(three, axes) {
  const [right, up, out] = [axes.right, axes.up, axes.out].map((a) => new three.Vector3(...a));
  return new three.Matrix4().makeBasis(right, up, out).setPosition(...axes.origin);
}

/** A unit box from corner to corner, or a wedge with its edge in the middle of its back. @param {Three} three @param {boolean} wedge */
function unit(three, wedge) {
  const box = new three.BoxGeometry(1, 1, 1).translate(0.5, 0.5, 0.5);
  if (!wedge) return box;
  const place = box.getAttribute("position");
  for (let i = 0; i < place.count; i += 1) if (place.getZ(i) < 0.5) place.setX(i, 0.5);
  box.computeVertexNormals();
  return box;
}

/** A side of a body: which axis it looks along, which way, and the rectangle that is seen of it. @typedef {{axis: number, sign: number, at: number, from: [number, number], to: [number, number]}} Side */
const SAME_M = 2e-4;

/** What is seen of a piece's bodies from in front: no back, nothing that a neighbour covers; of a side that a shallower
 * neighbour covers in part, the strip that stands out of it. Wedges are left to be drawn whole.
 * @param {Body[]} bodies @returns {Map<Body, Side[]>} */
export function exposed(bodies) {
  const boxes = bodies.filter((body) => !body.wedge);
  /** Boxes by where their low and their high side lies: neighbours are found there. @type {Map<string, Body[]>} */
  const ends = new Map();
  const key = (/** @type {number} */ axis, /** @type {number} */ sign, /** @type {number} */ at) => `${axis} ${sign} ${Math.round(at / SAME_M)}`;
  for (const body of boxes) {
    for (const axis of [0, 1, 2]) {
      for (const sign of [-1, 1]) {
        const at = body.at_m[axis] + (sign > 0 ? body.size_m[axis] : 0);
        ends.set(key(axis, sign, at), [...(ends.get(key(axis, sign, at)) ?? []), body]);
      }
    }
  }
  /** Those whose opposite side lies at a place, rounding either way. @param {number} axis @param {number} sign @param {number} at */
  const touching = (axis, sign, at) => [-1, 0, 1].flatMap((off) => ends.get(key(axis, -sign, at + off * SAME_M)) ?? []);
  const low = (/** @type {Body} */ body, /** @type {number} */ axis) => body.at_m[axis];
  const high = (/** @type {Body} */ body, /** @type {number} */ axis) => body.at_m[axis] + body.size_m[axis];
  const found = new Map();
  for (const body of boxes) {
    /** @type {Side[]} */
    const sides = [];
    for (const axis of [0, 1, 2]) {
      for (const sign of axis === 2 ? [1] : [-1, 1]) {
        const at = sign > 0 ? high(body, axis) : low(body, axis);
        const [p, q] = axis === 2 ? [0, 1] : [1 - axis, 2];
        const from = /** @type {[number, number]} */ ([low(body, p), low(body, q)]), to = /** @type {[number, number]} */ ([high(body, p), high(body, q)]);
        for (const other of touching(axis, sign, at)) {
          if (other === body || low(other, p) > from[0] + SAME_M || high(other, p) < to[0] - SAME_M) continue;
          // Covered over its whole width: from its back up to here.
          if (low(other, q) <= from[1] + SAME_M) from[1] = Math.max(from[1], Math.min(high(other, q), to[1]));
        }
        if (to[1] - from[1] > SAME_M) sides.push({ axis, sign, at, from, to });
      }
    }
    found.set(body, sides);
  }
  return found;
}

/** Sides as one geometry, each darker the deeper its body's front lies, so that heights are seen from straight ahead too.
 * @param {Three} three @param {Shape} shape @param {Map<Body, Side[]>} sides @param {Body[]} bodies @param {Record<string, any>} shared */
function surfaceOf(three, shape, sides, bodies, shared) {
  /** @type {number[]} */
  const places = [], normals = [], colours = [];
  const tone = (/** @type {Body} */ body) => {
    const front = (body.at_m[2] + body.size_m[2]) / Math.max(shape.depth_m, 1e-6);
    return shape.relief ? 0.55 + 0.45 * Math.min(Math.max(front, 0), 1) : 1;
  };
  /** @param {number[][]} corners @param {number[]} normal @param {number} shade */
  const quad = (corners, normal, shade) => {
    for (const i of [0, 1, 2, 0, 2, 3]) {
      places.push(...corners[i]);
      normals.push(...normal);
      colours.push(shade, shade, shade);
    }
  };
  for (const body of bodies) {
    for (const { axis, sign, at, from, to } of sides.get(body) ?? []) {
      const [p, q] = axis === 2 ? [0, 1] : [1 - axis, 2];
      const corners = [[from[0], from[1]], [to[0], from[1]], [to[0], to[1]], [from[0], to[1]]].map(([a, b]) => {
        const corner = [0, 0, 0];
        corner[axis] = at;
        corner[p] = a;
        corner[q] = b;
        return corner;
      });
      // Counter-clockwise seen from outside.
      const right = axis === 1 ? sign < 0 : sign > 0;
      quad(right ? corners : corners.reverse(), [0, 1, 2].map((i) => (i === axis ? sign : 0)), tone(body));
    }
    if (!body.wedge) continue;
    const whole = shared.true.toNonIndexed(), place = whole.getAttribute("position"), normal = whole.getAttribute("normal");
    for (let i = 0; i < place.count; i += 1) {
      places.push(...[place.getX(i), place.getY(i), place.getZ(i)].map((share, k) => body.at_m[k] + share * body.size_m[k]));
      normals.push(normal.getX(i), normal.getY(i), normal.getZ(i));
      colours.push(1, 1, 1);
    }
  }
  const geometry = new three.BufferGeometry();
  for (const [name, values] of /** @type {[string, number[]][]} */ ([["position", places], ["normal", normals], ["color", colours]])) {
    geometry.setAttribute(name, new three.Float32BufferAttribute(values, 3));
  }
  return geometry;
}

/** From so far that a block is smaller than this, its sides inside the piece are left out. [px] */
const SMALL_PX = 2.5;

/** Sides that are still seen from afar: fronts, and what bounds the piece. @param {Shape} shape @param {Map<Body, Side[]>} sides */
function fromAfar(shape, sides) {
  const size = [shape.width_m, shape.height_m];
  const bounds = (/** @type {Side} */ side) => side.axis === 2 || (side.sign < 0 ? side.at <= SAME_M : side.at >= size[side.axis] - SAME_M);
  return new Map([...sides].map(([body, all]) => [body, all.filter(bounds)]));
}

/** All pieces of one kind: what is seen of it near and from afar, and the box round it, each drawn in one go for all of them.
 * Frames on a ceiling are left-handed: three turns sides round by the mesh's own frame alone, so theirs is mirrored.
 * @param {Three} three @param {Shape} shape @param {Standing[]} pieces @param {boolean} mirrored @param {Record<string, any>} shared */
function kindOf(three, shape, pieces, mirrored, shared) {
  const sides = exposed(shape.outside), far = fromAfar(shape, sides);
  const looks = new Map(shape.outside.map((body) => [body.look, /** @type {Body[]} */ ([])]));
  for (const body of shape.outside) looks.get(body.look)?.push(body);
  const many = (/** @type {any} */ geometry, /** @type {any} */ material) => {
    const mesh = new three.InstancedMesh(geometry, material, pieces.length);
    if (mirrored) mesh.scale.z = -1;
    mesh.count = 0;
    mesh.frustumCulled = false;
    mesh.name = shape.piece;
    return mesh;
  };
  const near = [...looks].map(([look, bodies]) => many(surfaceOf(three, shape, sides, bodies, shared), shared.material(shape, look)));
  const afar = [...looks].map(([look, bodies]) => many(surfaceOf(three, shape, far, bodies, shared), shared.material(shape, look)));
  if (shape.relief) afar.push(many(ground(three, shape), shared.material(shape, shape.outside[0].look)));
  const box = shared.false.clone().scale(shape.width_m, shape.height_m, shape.depth_m);
  const tones = new three.Float32BufferAttribute(new Float32Array(3 * box.getAttribute("position").count).fill(1), 3);
  box.setAttribute("color", tones);
  const plain = [many(box, shared.material(shape, shape.outside[0]?.look ?? "wood"))];
  const cells = shape.outside.filter((body) => !body.wedge).map((body) => Math.min(body.size_m[0], body.size_m[1]));
  const own = new three.Matrix4().makeScale(1, 1, mirrored ? -1 : 1);
  const standing = pieces.map((piece) => ({ piece, matrix: own.clone().multiply(frame(three, piece.axes)) }));
  return { shape, near, afar, plain, cell_m: Math.min(...cells, shape.width_m), standing };
}

/** What is seen between fronts from afar: as dark as the deepest of them. @param {Three} three @param {Shape} shape */
function ground(three, shape) {
  const deep = Math.min(...shape.outside.map((body) => body.at_m[2] + body.size_m[2]));
  const flat = new three.PlaneGeometry(shape.width_m, shape.height_m).translate(shape.width_m / 2, shape.height_m / 2, deep - SAME_M);
  flat.setAttribute("color", new three.Float32BufferAttribute(new Float32Array(12).fill(0.55), 3));
  return flat;
}

/** Edges of the boxes round all pieces, as one drawing. @param {Three} three @param {Standing[]} pieces @param {Map<string, Shape>} shapes @param {Record<string, any>} shared */
function edgesOf(three, pieces, shapes, shared) {
  const unitEdges = shared.edges.getAttribute("position"), place = new three.Vector3();
  /** @type {number[]} */
  const ends = [];
  for (const piece of pieces) {
    const { width_m, height_m, depth_m } = /** @type {Shape} */ (shapes.get(piece.piece));
    const matrix = frame(three, piece.axes).scale(new three.Vector3(width_m, height_m, depth_m));
    for (let i = 0; i < unitEdges.count; i += 1) ends.push(...place.fromBufferAttribute(unitEdges, i).applyMatrix4(matrix).toArray());
  }
  const geometry = new three.BufferGeometry();
  geometry.setAttribute("position", new three.Float32BufferAttribute(ends, 3));
  return new three.LineSegments(geometry, shared.line);
}

/** A face, seen from inside alone, with what lies on it. @param {Three} three @param {Surface} surface */
function face(three, surface) {
  const group = new three.Group();
  group.matrixAutoUpdate = false;
  group.matrix.copy(frame(three, surface.axes));
  const outline = surface.outline.map(([u, v]) => new three.Vector2(u, v));
  const plane = new three.ShapeGeometry(new three.Shape(outline));
  const paint = (/** @type {number} */ colour, /** @type {number} */ nearer) =>
    new three.MeshLambertMaterial({ color: colour, polygonOffset: true, polygonOffsetFactor: 2 - nearer, polygonOffsetUnits: 2 - nearer });
  const wall = new three.Mesh(plane, paint(SURFACES[surface.kind], 0));
  wall.name = surface.name;
  group.add(wall);
  for (const thing of surface.things) {
    const { u_m, v_m, width_m, height_m } = thing.place;
    const flat = new three.Mesh(new three.PlaneGeometry(width_m, height_m), paint(THINGS[thing.kind], 1));
    flat.position.set(u_m + width_m / 2, v_m + height_m / 2, 0);
    group.add(flat);
  }
  const ring = new three.LineLoop(new three.BufferGeometry().setFromPoints(outline.map((p) => new three.Vector3(p.x, p.y, 0))),
    new three.LineBasicMaterial({ color: INK }));
  group.add(ring);
  return group;
}

/** Everything of the scene. @param {Three} three @param {Scene} scene */
export function build(three, scene) {
  const world = new three.Scene();
  const box = unit(three, false);
  /** @type {Record<string, any>} */
  const materials = {};
  const shared = {
    false: box, true: unit(three, true), edges: new three.EdgesGeometry(box), line: new three.LineBasicMaterial({ color: INK }),
    material: (/** @type {Shape} */ shape, /** @type {string} */ look) => {
      const colour = new Map(shape.colours).get(look) ?? LOOKS[look] ?? 0xcccccc;
      return (materials[colour] ??= new three.MeshLambertMaterial({ color: colour, vertexColors: true }));
    },
  };
  const shapes = new Map(scene.shapes.map((shape) => [shape.piece, shape]));
  const room = new three.Group();
  for (const surface of scene.surfaces) room.add(face(three, surface));
  const pieces = new three.Group();
  const kinds = scene.shapes.flatMap((shape) => [false, true].flatMap((mirrored) => {
    const some = scene.pieces.filter((piece) => piece.piece === shape.piece && (frame(three, piece.axes).determinant() < 0) === mirrored);
    return some.length ? [kindOf(three, shape, some, mirrored, shared)] : [];
  }));
  for (const kind of kinds) pieces.add(...kind.near, ...kind.afar, ...kind.plain);
  const edges = edgesOf(three, scene.pieces, shapes, shared);
  const furniture = new three.Group();
  const grey = new three.MeshLambertMaterial({ color: FURNITURE, polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1 });
  for (const one of scene.furniture ?? []) {
    for (const stands of [new three.Mesh(box, grey), new three.LineSegments(shared.edges, shared.line)]) {
      stands.name = one.name;
      stands.scale.set(...one.size_m);
      stands.position.set(...one.at_m);
      furniture.add(stands);
    }
  }
  const marks = new three.Group();
  for (const mark of scene.marks) {
    const ball = mark.role === "source" ? new three.ConeGeometry(0.07, 0.16, 4) : new three.SphereGeometry(0.04, 16, 12);
    const sign = new three.Mesh(ball, new three.MeshLambertMaterial({ color: mark.role === "microphone" ? 0xffffff : INK }));
    if (mark.role === "source") sign.rotation.x = Math.PI / 2;
    sign.position.set(...mark.point);
    marks.add(sign);
    const foot = [new three.Vector3(...mark.point), new three.Vector3(mark.point[0], mark.point[1], 0)];
    marks.add(dashed(three, foot, 0.03));
  }
  const paths = new three.Group();
  for (const path of scene.paths) paths.add(dashed(three, path.points.map((p) => new three.Vector3(...p)), 0.12));
  paths.visible = !scene.pieces.length;
  const low = new three.HemisphereLight(0xffffff, 0xf2efe9, 2.1);
  low.position.set(0, 0, 1);
  const sun = new three.DirectionalLight(0xffffff, 1.1);
  world.add(room, furniture, pieces, edges, marks, paths, low, sun, sun.target);
  const built = { world, room, furniture, pieces, edges, kinds, marks, paths, sun };
  cutAway(built, scene, scene.view.eye);
  return built;
}

/** @param {Three} three @param {import("three").Vector3[]} points @param {number} dash */
function dashed(three, points, dash) {
  const line = new three.Line(new three.BufferGeometry().setFromPoints(points), new three.LineDashedMaterial({ color: 0x4a5a63, dashSize: dash, gapSize: dash * 0.7 }));
  return line.computeLineDistances();
}

/** The camera of the still drawing. @param {Three} three @param {View} view @param {number} aspect */
export function still(three, view, aspect) {
  const camera = new three.PerspectiveCamera(2 * view.half_angle_deg, aspect, 0.05, 400);
  camera.up.set(0, 0, 1);
  camera.position.set(...view.eye);
  camera.lookAt(view.eye[0] + view.ahead[0], view.eye[1] + view.ahead[1], view.eye[2] + view.ahead[2]);
  camera.updateMatrixWorld();
  return camera;
}

/** Pieces whose back is turned to the eye are shown as outlines where the eye stands outside: they hang on walls that are left out.
 * Those that are far away are drawn without what is too small to be seen of them.
 * @param {{room: any, kinds: ReturnType<typeof kindOf>[]}} built @param {Scene} scene @param {Triple} eye @param {boolean} [plain] Boxes alone, for a while.
 * @param {number} [focal] Pixels of a metre one metre away; everything is near without it. */
export function cutAway(built, scene, eye, plain = false, focal = Infinity) {
  const outside = !within(scene, eye);
  scene.surfaces.forEach((surface, i) => {
    const { origin, out } = surface.axes;
    const seen = out[0] * (eye[0] - origin[0]) + out[1] * (eye[1] - origin[1]) + out[2] * (eye[2] - origin[2]) > 0;
    built.room.children[i].visible = seen;
  });
  for (const kind of built.kinds) {
    const groups = [kind.near, kind.afar, kind.plain], counts = [0, 0, 0];
    for (const { matrix, piece } of kind.standing) {
      const { origin, out } = piece.axes;
      const [x, y, z] = [0, 1, 2].map((i) => eye[i] - origin[i]);
      const front = out[0] * x + out[1] * y + out[2] * z > 0;
      if (outside && !front) continue;
      const small = kind.cell_m * focal < SMALL_PX * Math.hypot(x, y, z);
      const to = plain ? 2 : small ? 1 : 0;
      for (const mesh of groups[to]) mesh.setMatrixAt(counts[to], matrix);
      counts[to] += 1;
    }
    groups.forEach((meshes, i) => {
      for (const mesh of meshes) {
        mesh.count = counts[i];
        mesh.visible = counts[i] > 0;
        mesh.instanceMatrix.needsUpdate = true;
      }
    });
  }
}

/** Whether a place is in the room. @param {Scene} scene @param {number[]} at @param {number} [clear] */
export function within(scene, at, clear = 0) {
  const floor = scene.surfaces.find((one) => one.kind === "floor");
  const ceiling = scene.surfaces.find((one) => one.kind === "ceiling");
  if (!floor || at[2] < 0 || (ceiling && at[2] > ceiling.axes.origin[2])) return false;
  const x = at[0] - floor.axes.origin[0], y = at[1] - floor.axes.origin[1];
  let inside = false;
  for (let i = 0, j = floor.outline.length - 1; i < floor.outline.length; j = i, i += 1) {
    const [[ax, ay], [bx, by]] = [floor.outline[i], floor.outline[j]];
    if (ay > y !== by > y && x < ((bx - ax) * (y - ay)) / (by - ay) + ax) inside = !inside;
    const t = Math.min(Math.max(((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / ((bx - ax) ** 2 + (by - ay) ** 2), 0), 1);
    if (Math.hypot(x - ax - t * (bx - ax), y - ay - t * (by - ay)) < clear) return false;
  }
  return inside;
}

// --- how one looks

/** One figure with a room in it. */
export class Space {
  /** @param {HTMLElement} figure @param {Three} three @param {Scene} scene */
  constructor(figure, three, scene) {
    this.figure = figure;
    this.three = three;
    this.scene = scene;
    this.stage = /** @type {HTMLElement} */ (figure.querySelector(".stage"));
    this.canvas = document.createElement("canvas");
    this.renderer = new three.WebGLRenderer({ canvas: this.canvas, antialias: true, preserveDrawingBuffer: figure.dataset.keep === "yes" });
    this.renderer.setClearColor(0xffffff);
    this.built = build(three, scene);
    this.middle = new three.Vector3();
    const bounds = new three.Box3().setFromObject(this.built.room);
    bounds.getCenter(this.middle);
    this.radius = bounds.getSize(new three.Vector3()).length() / 2;
    this.camera = still(three, scene.view, 1);
    this.turn = 0; this.tilt = 0; this.far = 1;
    this.inside = false;
    this.wanted = false;
    this.frames = 0;
    this.slow = false;
    /** @type {ReturnType<typeof setTimeout> | undefined} */
    this.rest = undefined;
    this.tags = scene.pieces.map((piece) => this.tag(piece.name));
    this.frames_of = scene.pieces.map((piece) => frame(three, piece.axes));
    this.controls();
    this.watch();
    this.whole();
  }

  /** @param {string} text */
  tag(text) {
    const tag = document.createElement("span");
    tag.className = "tag";
    tag.textContent = text;
    tag.setAttribute("aria-hidden", "true");
    this.stage.append(tag);
    return tag;
  }

  controls() {
    this.canvas.tabIndex = 0;
    this.canvas.setAttribute("role", "application");
    this.canvas.setAttribute("aria-label", "The room in space. Arrow keys turn or walk, plus and minus come nearer and go back, Home shows the whole room.");
    this.stage.prepend(this.canvas);
    const bar = document.createElement("div");
    bar.className = "buttons looks";
    bar.setAttribute("role", "group");
    bar.setAttribute("aria-label", "How to look at the room");
    bar.append(button("Whole room", () => this.whole()), button("Walk in", () => this.walkIn()));
    if (this.scene.marks.some((mark) => mark.role === "seat")) bar.append(button("At the seat", () => this.atSeat()));
    const walls = document.createElement("select");
    walls.setAttribute("aria-label", "Look straight at");
    walls.append(new Option("Look straight at …", ""), ...this.scene.surfaces.map((one) => new Option(one.name)));
    walls.addEventListener("change", () => { if (walls.value) this.straightAt(walls.value); walls.value = ""; });
    bar.append(walls);
    if (this.scene.paths.length) {
      const ways = button("First reflections", () => {
        this.built.paths.visible = !this.built.paths.visible;
        ways.setAttribute("aria-pressed", String(this.built.paths.visible));
        this.draw();
      });
      ways.setAttribute("aria-pressed", String(this.built.paths.visible));
      bar.append(ways);
    }
    this.pad = document.createElement("div");
    this.pad.className = "buttons pad";
    this.pad.hidden = true;
    for (const [sign, name, key] of [["↑", "Forward", "ArrowUp"], ["↓", "Back", "ArrowDown"], ["←", "Turn left", "ArrowLeft"], ["→", "Turn right", "ArrowRight"]]) {
      const one = button(sign, () => this.key(key, false));
      one.setAttribute("aria-label", name);
      this.pad.append(one);
    }
    this.figure.insertBefore(bar, this.stage.nextSibling);
    this.figure.insertBefore(this.pad, bar.nextSibling);
    this.bar = bar;
  }

  watch() {
    /** @type {Map<number, {x: number, y: number}>} */
    const fingers = new Map();
    let apart = 0;
    this.canvas.addEventListener("pointerdown", (event) => {
      fingers.set(event.pointerId, { x: event.clientX, y: event.clientY });
      this.canvas.setPointerCapture(event.pointerId);
      apart = 0;
    });
    this.canvas.addEventListener("pointermove", (event) => {
      const was = fingers.get(event.pointerId);
      if (!was) return;
      const dx = event.clientX - was.x, dy = event.clientY - was.y;
      fingers.set(event.pointerId, { x: event.clientX, y: event.clientY });
      if (fingers.size === 1) return this.drag(dx, dy);
      const [a, b] = [...fingers.values()];
      const now = Math.hypot(a.x - b.x, a.y - b.y);
      if (apart) this.nearer(now / apart);
      apart = now;
    });
    for (const end of ["pointerup", "pointercancel"]) {
      this.canvas.addEventListener(end, (event) => { fingers.delete(/** @type {PointerEvent} */ (event).pointerId); apart = 0; });
    }
    // The wheel scrolls the page until the room is chosen by a click or by keys.
    this.canvas.addEventListener("wheel", (event) => {
      if (document.activeElement !== this.canvas) return;
      event.preventDefault();
      this.nearer(Math.exp(-event.deltaY / 600));
    }, { passive: false });
    this.canvas.addEventListener("keydown", (event) => {
      if (event.ctrlKey || event.altKey || event.metaKey) return;
      if (this.key(event.key, event.shiftKey)) event.preventDefault();
    });
    this.canvas.addEventListener("webglcontextlost", (event) => { event.preventDefault(); this.end(); });
    this.sized = new ResizeObserver(() => this.size());
    this.sized.observe(this.stage);
  }

  /** The still drawing again. */
  end() {
    this.sized?.disconnect();
    this.canvas.remove();
    this.bar?.remove();
    this.pad?.remove();
    for (const tag of this.tags) tag.remove();
    this.renderer.dispose();
    this.figure.classList.remove("drawn");
  }

  size() {
    const { clientWidth: wide, clientHeight: high } = this.stage;
    if (!wide || !high) return;
    this.renderer.setPixelRatio(Math.min(devicePixelRatio, 2));
    this.renderer.setSize(wide, high, false);
    const before = this.camera.aspect;
    this.camera.aspect = wide / high;
    if (!this.inside && Math.abs(before - this.camera.aspect) > 0.01) this.whole();
    this.draw();
  }

  whole() {
    const { view } = this.scene;
    const [x, y, z] = view.ahead.map((a) => -a);
    this.inside = false;
    this.turn = Math.atan2(y, x);
    this.tilt = Math.asin(z);
    this.far = this.radius / Math.tan((view.half_angle_deg * Math.PI) / 180);
    this.camera.fov = 2 * view.half_angle_deg;
    this.place();
    // As near as everything that is seen still fits, however narrow the screen.
    const corners = this.scene.surfaces.filter((_, i) => this.built.room.children[i].visible).flatMap((surface) =>
      surface.outline.map(([u, v]) => new this.three.Vector3(u, v, 0).applyMatrix4(frame(this.three, surface.axes))));
    this.camera.clearViewOffset();
    for (let i = 0; i < 5; i += 1) {
      this.camera.updateProjectionMatrix();
      this.camera.updateMatrixWorld();
      const seen = corners.map((corner) => corner.clone().project(this.camera));
      const [xs, ys] = [seen.map(({ x }) => x), seen.map(({ y }) => y)];
      const [wide, high] = [xs, ys].map((all) => (Math.max(...all) - Math.min(...all)) / 2);
      if (i === 4) {
        // The picture is moved, not the eye: what is left of the room stands in the middle.
        const [x, y] = [xs, ys].map((all) => (Math.max(...all) + Math.min(...all)) / 2);
        const { aspect } = this.camera;
        this.camera.setViewOffset(aspect, 1, (x / 2) * aspect, -y / 2, aspect, 1);
      } else {
        this.far *= Math.max(wide, high) / 0.95;
      }
      this.place();
    }
  }

  walkIn() {
    const spots = [[this.middle.x, this.middle.y, EYE_M], ...this.scene.marks.map((mark) => [mark.point[0], mark.point[1], EYE_M])];
    this.stand(/** @type {Triple} */ (spots.find((spot) => within(this.scene, spot, CLEAR_M)) ?? spots[0]));
    this.place();
  }

  atSeat() {
    const seat = this.scene.marks.find((mark) => mark.role === "seat");
    if (!seat) return;
    this.stand(seat.point);
    const sources = this.scene.marks.filter((mark) => mark.role === "source");
    const [x, y] = [0, 1].map((i) => sources.reduce((sum, one) => sum + one.point[i] / sources.length, 0));
    if (sources.length) this.turn = Math.atan2(y - seat.point[1], x - seat.point[0]);
    this.place();
  }

  /** @param {Triple} at */
  stand(at) {
    this.inside = true;
    this.at = new this.three.Vector3(...at);
    this.tilt = 0;
    this.camera.clearViewOffset();
    this.camera.fov = 65;
  }

  /** @param {string} name */
  straightAt(name) {
    const surface = this.scene.surfaces.find((one) => one.name === name);
    if (!surface) return;
    const [us, vs] = [0, 1].map((i) => surface.outline.map((corner) => corner[i]));
    const wide = Math.max(...us), high = Math.max(...vs);
    const half = Math.tan((12 * Math.PI) / 180);
    const far = 1.08 * Math.max(high / 2 / half, wide / 2 / half / this.camera.aspect);
    const middle = new this.three.Vector3(wide / 2, high / 2, 0).applyMatrix4(frame(this.three, surface.axes));
    const out = new this.three.Vector3(...surface.axes.out);
    this.inside = false;
    this.camera.clearViewOffset();
    this.camera.fov = 24;
    this.camera.up.set(...(surface.kind === "wall" ? surface.axes.up : /** @type {Triple} */ ([0, 1, 0])));
    this.camera.position.copy(middle).addScaledVector(out, far);
    this.camera.lookAt(middle);
    this.turn = Math.atan2(out.y, out.x);
    this.tilt = Math.asin(Math.max(-1, Math.min(1, out.z)));
    this.far = far;
    this.shown();
  }

  /** Put the camera where turn, tilt and distance have it. */
  place() {
    const { camera } = this;
    const way = new this.three.Vector3(Math.cos(this.tilt) * Math.cos(this.turn), Math.cos(this.tilt) * Math.sin(this.turn), Math.sin(this.tilt));
    camera.up.set(0, 0, 1);
    if (this.inside && this.at) {
      camera.position.copy(this.at);
      camera.lookAt(this.at.clone().add(way));
    } else {
      camera.position.copy(this.middle).addScaledVector(way, this.far);
      camera.lookAt(this.middle);
    }
    this.shown();
  }

  /** Pixels of the canvas that a metre takes one metre away. */
  get focal() { return this.canvas.height / 2 / Math.tan((this.camera.fov * Math.PI) / 360); }

  shown() {
    if (this.pad) this.pad.hidden = !this.inside;
    this.figure.dataset.at = this.inside ? "inside" : "outside";
    // Where a processor has to draw, pieces are plain boxes as long as one moves.
    const plain = this.slow === true;
    cutAway(this.built, this.scene, /** @type {Triple} */ (this.camera.position.toArray()), plain, this.focal);
    this.draw();
    if (!plain) return;
    clearTimeout(this.rest);
    this.rest = setTimeout(() => {
      cutAway(this.built, this.scene, /** @type {Triple} */ (this.camera.position.toArray()), false, this.focal);
      this.draw();
    }, REST_MS);
  }

  /** @param {number} dx @param {number} dy */
  drag(dx, dy) {
    const each = this.inside ? 0.004 : 0.008;
    this.turn += (this.inside ? 1 : -1) * dx * each;
    this.tilt += dy * each;
    this.bound();
    this.place();
  }

  bound() {
    const most = this.inside ? 1.3 : 1.5;
    this.tilt = Math.min(Math.max(this.tilt, -most), most);
    this.far = Math.min(Math.max(this.far, this.radius * 0.6), this.radius * 12);
  }

  /** @param {number} times */
  nearer(times) {
    if (this.inside) return this.walk(Math.log(times) * 2);
    this.far /= times;
    this.bound();
    this.place();
  }

  /** @param {number} far */
  walk(far, aside = 0) {
    if (!this.at) return;
    const x = this.at.x + far * Math.cos(this.turn) + aside * Math.sin(this.turn);
    const y = this.at.y + far * Math.sin(this.turn) - aside * Math.cos(this.turn);
    if (within(this.scene, [x, y, this.at.z], CLEAR_M)) this.at.set(x, y, this.at.z);
    this.place();
  }

  /** @param {string} key @param {boolean} aside */
  key(key, aside) {
    const turn = { ArrowLeft: 1, a: 1, ArrowRight: -1, d: -1 }[key];
    const walk = { ArrowUp: 1, w: 1, ArrowDown: -1, s: -1 }[key];
    if (key === "Home") this.whole();
    else if (key === "+" || key === "=") this.nearer(1.15);
    else if (key === "-") this.nearer(1 / 1.15);
    else if (turn && this.inside && aside) this.walk(0, -turn * STEP_M);
    else if (turn) { this.turn += (this.inside ? 0.06 : -0.1) * turn; this.place(); }
    else if (walk && this.inside) this.walk(walk * STEP_M);
    else if (walk) { this.tilt += 0.08 * walk; this.bound(); this.place(); }
    else return false;
    return true;
  }

  draw() {
    if (this.wanted) return;
    this.wanted = true;
    requestAnimationFrame(() => { this.wanted = false; this.render(); });
  }

  render() {
    const { camera, three } = this;
    camera.updateProjectionMatrix();
    camera.updateMatrixWorld();
    const e = camera.matrixWorld.elements;
    const axis = (/** @type {number} */ i) => new three.Vector3(e[i], e[i + 1], e[i + 2]);
    this.built.sun.target.position.copy(camera.position);
    this.built.sun.position.copy(camera.position).addScaledVector(axis(0), -0.62).addScaledVector(axis(4), 0.62).addScaledVector(axis(8), 0.48);
    const start = performance.now();
    this.renderer.render(this.built.world, camera);
    this.setTags();
    if (this.frames < 0) return;
    // The first frame sets everything up; the second is timed to its end.
    this.frames += 1;
    if (this.frames === 1) return this.draw();
    const gl = this.renderer.getContext();
    gl.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, new Uint8Array(4));
    this.slow = performance.now() - start > SLOW_MS;
    this.frames = -1;
  }

  /** Names over the pieces' fronts; none over those behind the eye. */
  setTags() {
    for (const sign of this.built.marks.children) sign.visible = sign.position.lengthSq() === 0 || sign.position.distanceTo(this.camera.position) > 0.3;
    const { clientWidth: wide, clientHeight: high } = this.stage;
    const place = new this.three.Vector3();
    const shapes = new Map(this.scene.shapes.map((shape) => [shape.piece, shape]));
    this.scene.pieces.forEach((piece, i) => {
      const shape = /** @type {Shape} */ (shapes.get(piece.piece));
      place.set(shape.width_m / 2, shape.height_m / 2, shape.depth_m).applyMatrix4(this.frames_of[i]).project(this.camera);
      const tag = this.tags[i];
      tag.hidden = Math.abs(place.x) > 1 || Math.abs(place.y) > 1 || Math.abs(place.z) > 1;
      tag.style.transform = `translate(-50%, -50%) translate(${((place.x + 1) * wide) / 2}px, ${((1 - place.y) * high) / 2}px)`;
    });
  }
}

/** @param {string} text @param {() => void} act */
function button(text, act) {
  const one = document.createElement("button");
  one.type = "button";
  one.className = "quiet";
  one.textContent = text;
  one.addEventListener("click", act);
  return one;
}

// --- on the page

/** @param {HTMLElement} figure */
async function show(figure) {
  try {
    const [three, answer] = await Promise.all([import("./vendor/three/three.module.js"), fetch(figure.dataset.space ?? "")]);
    if (!answer.ok) return null;
    const space = new Space(figure, three, await answer.json());
    figure.classList.add("drawn");
    space.size();
    return space;
  } catch (problem) {
    // No WebGL, or no answer: the still drawing stays.
    figure.classList.remove("drawn");
    return null;
  }
}

/** Drawn anew with the eye where it was; one after the other, for two changes may come at once.
 * @param {HTMLElement} figure @param {Space} old */
async function again(figure, old) {
  const { turn, tilt, far, at, inside, camera: { fov } } = old;
  old.end();
  const fresh = await show(figure);
  if (!fresh) return fresh;
  Object.assign(fresh, { turn, tilt, far, at, inside });
  fresh.camera.fov = fov;
  fresh.place();
  return fresh;
}

const seen = new IntersectionObserver((entries) => {
  for (const entry of entries) {
    if (!entry.isIntersecting) continue;
    seen.unobserve(entry.target);
    const figure = /** @type {HTMLElement} */ (entry.target);
    let drawn = show(figure);
    // What was typed since: the scene is fetched again, the eye stays where it was.
    new MutationObserver(() => { drawn = drawn.then((old) => old && again(figure, old)); }).observe(document.body, { attributeFilter: ["data-stamp"] });
  }
}, { rootMargin: "200px" });
for (const figure of document.querySelectorAll("[data-space]")) seen.observe(figure);
