// @ts-check
// A signature drawn with finger, pen or mouse: kept as a path of whole numbers in a field of 600 by
// 200, in a hidden field of the form. Without this script the typed name is the signature.

const WIDE = 600, HIGH = 200, MOST = 3900;

/** @param {HTMLElement} place */
function ready(place) {
  const pad = /** @type {SVGSVGElement} */ (place.querySelector("svg"));
  const path = /** @type {SVGPathElement} */ (place.querySelector("path"));
  const kept = /** @type {HTMLInputElement} */ (place.querySelector("input[name=signature]"));
  /** Whole strokes, and the one being drawn. @type {string[][]} */
  let strokes = [];
  let drawing = -1;
  place.hidden = false;

  /** @param {PointerEvent} event @returns {[number, number]} */
  function at(event) {
    const box = pad.getBoundingClientRect();
    const x = Math.round(WIDE * (event.clientX - box.left) / box.width);
    const y = Math.round(HIGH * (event.clientY - box.top) / box.height);
    return [Math.min(Math.max(x, 0), WIDE), Math.min(Math.max(y, 0), HIGH)];
  }

  function show() {
    // A stroke of one point draws nothing, and is none.
    const drawn = strokes.filter((stroke) => stroke.length > 1).map((stroke) => `M${stroke.join("L")}`).join("");
    path.setAttribute("d", drawn);
    kept.value = drawn;
  }

  /** @param {PointerEvent} event */
  function add(event) {
    const [x, y] = at(event);
    const point = `${x} ${y}`;
    const stroke = strokes[strokes.length - 1];
    if (stroke[stroke.length - 1] !== point && strokes.flat().length < MOST) stroke.push(point);
    show();
  }

  pad.addEventListener("pointerdown", (event) => {
    if (event.button !== 0 || drawing !== -1) return;
    event.preventDefault();
    drawing = event.pointerId;
    pad.setPointerCapture(event.pointerId);
    strokes.push([]);
    add(event);
  });
  pad.addEventListener("pointermove", (event) => {
    if (event.pointerId !== drawing) return;
    for (const each of event.getCoalescedEvents?.() ?? []) add(each);
    add(event);
  });
  for (const end of ["pointerup", "pointercancel"]) {
    pad.addEventListener(end, (event) => {
      if (/** @type {PointerEvent} */ (event).pointerId === drawing) drawing = -1;
    });
  }
  place.querySelector("[data-clear]")?.addEventListener("click", () => { strokes = []; drawing = -1; show(); });
}

/** @type {WeakSet<Element>} */
const made = new WeakSet();
function all() {
  for (const place of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll("[data-sign]"))) {
    if (made.has(place)) continue;
    made.add(place);
    ready(place);
  }
}
document.addEventListener("parts", all);
all();
