// @ts-check
// Marks on a photograph by mouse, finger and keys. The form beside it holds every mark as X,Y and works without this script.
import { takeOver } from "./page.js";

/** @typedef {{x: number, y: number}} Point */
const SVG = "http://www.w3.org/2000/svg";
const LOUPE_PX = 240;
const SEEN_PX = 60; // pixels of the photograph that the loupe shows across
const KEPT_MS = 350;

class Photo {
  /** @param {HTMLElement} root */
  constructor(root) {
    this.root = root;
    this.form = /** @type {HTMLFormElement} */ (root.querySelector("[data-marks]"));
    this.stage = /** @type {HTMLElement} */ (root.querySelector("[data-stage]"));
    this.image = /** @type {HTMLImageElement} */ (root.querySelector(".picture img"));
    this.svg = /** @type {SVGSVGElement} */ (root.querySelector(".pins"));
    this.loupe = /** @type {HTMLCanvasElement} */ (root.querySelector(".loupe"));
    this.nudges = /** @type {HTMLElement} */ (root.querySelector("[data-nudges]"));
    this.hint = /** @type {HTMLElement} */ (root.querySelector("[data-hint]"));
    this.wide = this.svg.viewBox.baseVal.width;
    this.high = this.svg.viewBox.baseVal.height;
    this.rows = /** @type {HTMLElement[]} */ ([...root.querySelectorAll("[data-row]")]);
    /** @type {HTMLElement | null} The row that the next mark belongs to. */
    this.active = null;
    /** @type {[HTMLElement, number] | null} The mark that keys and buttons move. */
    this.chosen = null;
    this.saving = false;
    /** @type {ReturnType<typeof setTimeout> | undefined} */
    this.later = undefined;
    this.watch();
    this.next();
    this.draw();
    new ResizeObserver(() => this.draw()).observe(this.image);
  }

  // --- what the rows hold

  /** @param {HTMLElement} row */
  field(row) { return /** @type {HTMLInputElement} */ (row.querySelector("input:not([type=hidden])")); }

  /** @param {HTMLElement} row @returns {Point[]} */
  points(row) {
    return [...this.field(row).value.matchAll(/(-?\d+(?:\.\d+)?)\s*,\s*(-?\d+(?:\.\d+)?)/g)].map((one) => ({ x: Number(one[1]), y: Number(one[2]) }));
  }

  /** @param {HTMLElement} row @param {Point[]} points */
  set(row, points) {
    this.field(row).value = points.map(({ x, y }) => `${x.toFixed(1)},${y.toFixed(1)}`).join(" ");
    this.draw();
    this.save();
  }

  /** @param {HTMLElement} row */
  full(row) { return this.points(row).length >= Number(row.dataset.most); }

  /** The first row without a mark waits for one. */
  next() {
    if (!this.active || this.full(this.active)) this.choose(this.rows.find((row) => this.points(row).length === 0) ?? null);
  }

  /** @param {HTMLElement | null} row */
  choose(row) {
    this.active = row;
    for (const one of this.rows) one.classList.toggle("active", one === row);
    this.root.classList.toggle("marks-now", row !== null);
    const label = row?.querySelector("label")?.textContent ?? "";
    this.hint.textContent = row
      ? `Next: ${label}. Touch it in the picture and slide until the cross in the magnifier is on it; or press Enter in its field and use the arrow keys.`
      : "Drag a mark to move it; with the arrow keys 10 pixels, with Shift 1, with Ctrl 100.";
  }

  // --- drawing

  /** Pixels of the photograph in a pixel of the screen. */
  get scale() { return this.wide / Math.max(this.svg.clientWidth, 1); }

  draw() {
    const focused = /** @type {SVGElement | null} */ (document.activeElement?.closest(".pin"));
    const key = focused?.dataset.key;
    this.svg.replaceChildren();
    const size = 11 * this.scale;
    this.rows.forEach((row, number) => {
      const points = this.points(row);
      if (points.length > 1) {
        const line = document.createElementNS(SVG, row.dataset.kind === "thing" && points.length > 2 ? "polygon" : "polyline");
        line.setAttribute("class", "joined");
        line.setAttribute("points", points.map(({ x, y }) => `${x},${y}`).join(" "));
        if (row.dataset.kind !== "mark") this.svg.append(line);
      }
      points.forEach((point, i) => this.svg.append(this.pin(row, number, i, point, size)));
    });
    if (key) /** @type {SVGElement | null} */ (this.svg.querySelector(`[data-key="${key}"]`))?.focus();
    this.nudges.hidden = this.chosen === null;
    if (!this.chosen) this.loupe.hidden = true;
  }

  /** @param {HTMLElement} row @param {number} number @param {number} i @param {Point} point @param {number} size */
  pin(row, number, i, { x, y }, size) {
    const pin = document.createElementNS(SVG, "g");
    const label = (row.querySelector("label")?.textContent ?? "").trim();
    const here = this.chosen && this.chosen[0] === row && this.chosen[1] === i;
    pin.setAttribute("class", here ? "pin chosen" : "pin");
    pin.setAttribute("tabindex", "0");
    pin.setAttribute("role", "button");
    pin.setAttribute("aria-label", `${label}${Number(row.dataset.most) > 1 ? `, point ${i + 1}` : ""}: ${x.toFixed(0)}, ${y.toFixed(0)}. Arrow keys move it, Delete takes it away.`);
    pin.dataset.key = `${number}-${i}`;
    for (const [tag, classes, radius] of /** @type {[string, string, number][]} */ ([["circle", "grip", 2], ["circle", "round", 1], ["circle", "ring", 1]])) {
      const circle = document.createElementNS(SVG, tag);
      circle.setAttribute("class", classes);
      circle.setAttribute("cx", String(x));
      circle.setAttribute("cy", String(y));
      circle.setAttribute("r", String(radius * size));
      pin.append(circle);
    }
    const cross = document.createElementNS(SVG, "path");
    cross.setAttribute("d", `M${x - size / 2},${y}H${x + size / 2}M${x},${y - size / 2}V${y + size / 2}`);
    const text = document.createElementNS(SVG, "text");
    text.textContent = String(number + 1);
    text.setAttribute("font-size", String(1.3 * size));
    const right = x < this.wide - 4 * size;
    text.setAttribute("x", String(right ? x + 1.2 * size : x - 1.2 * size));
    text.setAttribute("y", String(y > 3 * size ? y - 0.8 * size : y + 1.8 * size));
    if (!right) text.setAttribute("text-anchor", "end");
    pin.append(cross, text);
    pin.addEventListener("focus", () => { this.pick(row, i); });
    return pin;
  }

  /** @param {HTMLElement} row @param {number} i */
  pick(row, i) {
    if (this.chosen && this.chosen[0] === row && this.chosen[1] === i) return;
    this.chosen = [row, i];
    for (const pin of this.svg.querySelectorAll(".pin")) pin.classList.toggle("chosen", /** @type {SVGElement} */ (pin).dataset.key === `${this.rows.indexOf(row)}-${i}`);
    this.nudges.hidden = false;
    this.magnify(this.points(row)[i]);
  }

  /** What is under a point, four screen pixels for each of the photograph's. @param {Point | undefined} point */
  magnify(point) {
    const context = this.loupe.getContext("2d");
    if (!point || !context || !this.image.complete) { this.loupe.hidden = true; return; }
    const real = this.image.naturalWidth / this.wide;
    const seen = SEEN_PX * Math.max(1, this.scale / 6);
    context.imageSmoothingEnabled = false;
    context.fillStyle = "#888";
    context.fillRect(0, 0, LOUPE_PX, LOUPE_PX);
    context.drawImage(this.image, (point.x - seen / 2) * real, (point.y - seen / 2) * real, seen * real, seen * real, 0, 0, LOUPE_PX, LOUPE_PX);
    for (const [width, colour] of /** @type {[number, string][]} */ ([[5, "#fff"], [2, "#000"]])) {
      context.lineWidth = width;
      context.strokeStyle = colour;
      context.beginPath();
      for (const [from, to] of [[20, 105], [135, 220]]) {
        context.moveTo(from, LOUPE_PX / 2);
        context.lineTo(to, LOUPE_PX / 2);
        context.moveTo(LOUPE_PX / 2, from);
        context.lineTo(LOUPE_PX / 2, to);
      }
      context.stroke();
    }
    this.loupe.classList.toggle("right", point.x < this.wide / 2);
    this.loupe.hidden = false;
  }

  // --- hands

  /** @param {PointerEvent} event @returns {Point} */
  at(event) {
    const box = this.svg.getBoundingClientRect();
    const x = ((event.clientX - box.left) / box.width) * this.wide;
    const y = ((event.clientY - box.top) / box.height) * this.high;
    return { x: Math.min(Math.max(x, 0), this.wide), y: Math.min(Math.max(y, 0), this.high) };
  }

  watch() {
    this.svg.addEventListener("pointerdown", (event) => this.down(event));
    this.svg.addEventListener("keydown", (event) => {
      if (/** @type {Element} */ (event.target).closest(".pin") && this.key(event)) event.preventDefault();
    });
    for (const row of this.rows) {
      const field = this.field(row);
      field.addEventListener("focus", () => { if (!this.full(row)) this.choose(row); });
      field.addEventListener("input", () => { this.draw(); this.save(); });
      field.addEventListener("keydown", (event) => {
        if (event.key !== "Enter") return;
        event.preventDefault();
        this.byKeys(row);
      });
    }
    this.form.addEventListener("submit", (event) => { event.preventDefault(); this.send(); });
    this.nudges.addEventListener("click", (event) => {
      const one = /** @type {HTMLElement} */ (event.target).closest("button");
      if (one?.dataset.x) this.move(Number(one.dataset.x), Number(one.dataset.y));
      else if (one) this.away();
    });
    // Another window marked the same photograph: what is seen here is no longer how it is.
    const said = document.querySelector("[data-part=said]");
    if (said) new MutationObserver(() => { if (!this.saving && this.now() !== this.root.dataset.digest) location.reload(); }).observe(said, { childList: true });
  }

  /** The digest of the marks as the program has them. */
  now() { return /** @type {HTMLElement | null} */ (document.querySelector("[data-now]"))?.dataset.now ?? ""; }

  /** @param {PointerEvent} event */
  down(event) {
    if (event.button !== 0) return;
    const pin = /** @type {SVGElement | null} */ (/** @type {Element} */ (event.target).closest(".pin"));
    let row = this.active, i = -1;
    if (pin && !(row && event.shiftKey)) {
      const [number, index] = (pin.dataset.key ?? "").split("-").map(Number);
      row = this.rows[number];
      i = index;
    }
    if (!row) return;
    event.preventDefault();
    const points = this.points(row);
    const start = this.at(event);
    const off = i >= 0 ? { x: points[i].x - start.x, y: points[i].y - start.y } : { x: 0, y: 0 };
    if (i < 0) { points.push(start); i = points.length - 1; }
    const [mine, index] = [row, i];
    this.chosen = [mine, index];
    /** @param {PointerEvent} moved */
    const move = (moved) => {
      const to = this.at(moved);
      points[index] = { x: to.x + off.x, y: to.y + off.y };
      this.field(mine).value = points.map(({ x, y }) => `${x.toFixed(1)},${y.toFixed(1)}`).join(" ");
      this.draw();
      this.magnify(points[index]);
    };
    const end = () => {
      for (const [name, act] of /** @type {[string, any][]} */ ([["pointermove", move], ["pointerup", end], ["pointercancel", end]])) removeEventListener(name, act);
      this.set(mine, points);
      this.next();
      /** @type {SVGElement | null} */ (this.svg.querySelector(`[data-key="${this.rows.indexOf(mine)}-${index}"]`))?.focus({ preventScroll: true });
    };
    move(event);
    addEventListener("pointermove", move);
    addEventListener("pointerup", end);
    addEventListener("pointercancel", end);
  }

  /** A mark in the middle of the picture, to be moved by keys; or the one that is there. @param {HTMLElement} row */
  byKeys(row) {
    const points = this.points(row);
    if (!this.full(row)) {
      points.push({ x: this.wide / 2, y: this.high / 2 });
      this.set(row, points);
    }
    this.next();
    /** @type {SVGElement | null} */ (this.svg.querySelector(`[data-key="${this.rows.indexOf(row)}-${points.length - 1}"]`))?.focus();
  }

  /** @param {KeyboardEvent} event */
  key(event) {
    const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
    const far = event.ctrlKey ? 100 : event.shiftKey ? 1 : 10;
    if (way) this.move(way[0] * far, way[1] * far);
    else if (event.key === "Delete" || event.key === "Backspace") this.away();
    else if (event.key === "Enter" && this.active) this.field(this.active).focus();
    else return false;
    return true;
  }

  /** @param {number} x @param {number} y */
  move(x, y) {
    if (!this.chosen) return;
    const [row, i] = this.chosen;
    const points = this.points(row);
    if (!points[i]) return;
    points[i] = { x: Math.min(Math.max(points[i].x + x, 0), this.wide), y: Math.min(Math.max(points[i].y + y, 0), this.high) };
    this.set(row, points);
    this.magnify(points[i]);
  }

  away() {
    if (!this.chosen) return;
    const [row, i] = this.chosen;
    this.chosen = null;
    this.set(row, this.points(row).filter((_, index) => index !== i));
    this.choose(row);
    this.field(row).focus();
  }

  // --- keeping them

  save() {
    clearTimeout(this.later);
    this.later = setTimeout(() => this.send(), KEPT_MS);
  }

  async send() {
    if (this.saving) { this.save(); return; }
    this.saving = true;
    const note = /** @type {HTMLElement} */ (document.getElementById("note"));
    try {
      const answer = await fetch(this.form.action, { method: "POST", body: new URLSearchParams(/** @type {any} */ (new FormData(this.form))), headers: { "X-Part": "1" } });
      if (!answer.ok) {
        note.textContent = (await answer.json()).problem ?? "Not kept.";
        return;
      }
      const html = await answer.text();
      takeOver(html);
      this.root.dataset.digest = this.now();
      /** @type {HTMLInputElement} */ (this.form.querySelector("[name=seen]")).value = this.now();
      this.tell(new DOMParser().parseFromString(html, "text/html"));
      note.textContent = "Saved.";
    } catch {
      note.textContent = "Not kept: the program does not answer.";
    } finally {
      this.saving = false;
    }
  }

  /** What is wrong, at its mark: rows are found again by what they hold. @param {Document} fresh */
  tell(fresh) {
    /** @type {Map<string, string>} */
    const wrong = new Map();
    for (const row of fresh.querySelectorAll("[data-row]")) wrong.set(keyOf(row), row.querySelector(".wrong")?.textContent ?? "");
    for (const row of this.rows) {
      const text = wrong.get(keyOf(row)) ?? "";
      const place = /** @type {HTMLElement} */ (row.querySelector(".wrong"));
      place.textContent = text;
      place.hidden = text === "";
      this.field(row).toggleAttribute("aria-invalid", text !== "");
    }
  }
}

/** @param {Element} row */
function keyOf(row) {
  const values = [...row.querySelectorAll("input")].map((one) => one.value);
  return values.join("|").replace(/\.0\b/g, "");
}

for (const root of document.querySelectorAll("[data-photo]")) new Photo(/** @type {HTMLElement} */ (root));
