// @ts-check
// What a form can do without this script, it still does without it: this one saves each field as it
// becomes valid, draws the room anew, and keeps every window of a job alike.

const body = document.body;
const here = body.dataset.job ?? "";
const note = /** @type {HTMLElement} */ (document.getElementById("note"));
body.classList.add("scripted");
/** Which page has drawings whose parts can be moved: the room's or the plan's. */
const drawnHere = location.pathname.endsWith("/room") ? "room" : location.pathname.endsWith("/plan") ? "plan" : "";

/** @param {string} text */
function say(text) { note.textContent = text; }

// --- parts of the page

/** Parts as the server sent them last: what a script or a person changed in one since is no news.
 * @type {WeakMap<Element, string>} */
const served = new WeakMap();
for (const part of document.querySelectorAll("[data-part]")) served.set(part, part.innerHTML);

/** Put the parts of a new page in the old one's place; what is being typed stays. @param {string} html */
export function takeOver(html) {
  const fresh = new DOMParser().parseFromString(html, "text/html");
  const active = /** @type {HTMLInputElement | null} */ (document.activeElement);
  const id = active?.id ?? "";
  const typed = active && "value" in active ? active.value : "";
  const caret = active && active.tagName === "INPUT" && active.type === "text" ? active.selectionStart : null;
  const open = new Set([...document.querySelectorAll("details[open]")].map((one) => one.querySelector("summary")?.textContent));
  for (const part of document.querySelectorAll("[data-part]")) {
    if (part.querySelector("[data-sent]:not([hidden])")) continue;  // its files are on their way
    const name = /** @type {HTMLElement} */ (part).dataset.part;
    const other = fresh.querySelector(`[data-part="${name}"]`);
    if (!other || other.innerHTML === (served.get(part) ?? part.innerHTML)) continue;
    served.set(part, other.innerHTML);
    part.replaceChildren(...other.childNodes);
  }
  for (const one of document.querySelectorAll("details")) {
    if (open.has(one.querySelector("summary")?.textContent)) one.open = true;
  }
  const space = /** @type {HTMLElement | null} */ (document.querySelector("[data-space]"));
  const other = /** @type {HTMLElement | null} */ (fresh.querySelector("[data-space]"));
  if (space && other) space.dataset.space = other.dataset.space;
  const stamp = fresh.body.dataset.stamp;
  if (stamp) body.dataset.stamp = stamp;
  const again = id ? /** @type {HTMLInputElement | null} */ (document.getElementById(id)) : null;
  if (again && again !== document.activeElement) {
    again.focus();
    if (again.tagName === "INPUT" && typed !== again.value && pending.has(id)) again.value = typed;
    if (caret !== null && again.type === "text") again.setSelectionRange(caret, caret);
  }
  offerKept();
  document.dispatchEvent(new Event("parts"));
}

/** @type {Promise<void> | null} */
let running = null;
let again = false;

/** Fetch the page anew: one request at a time, and once more where something happened meanwhile, so
 * that an older answer never comes after a newer one. */
function refresh() {
  // Each place of a long recording is a change: they are looked at together, when all are there.
  if (document.querySelector("[data-sent]:not([hidden])")) return Promise.resolve();
  again = true;
  running ??= (async () => {
    while (again) {
      again = false;
      try {
        const answer = await fetch(location.href, { headers: { "X-Part": "1" } });
        if (answer.ok) takeOver(await answer.text());
      } catch { gone(true); }
    }
    running = null;
  })();
  return running;
}

// --- forms

/** Fields that hold what is not saved yet. @type {Set<string>} */
const pending = new Set();

/** @param {HTMLFormElement} form @param {SubmitEvent["submitter"]} [by] */
async function send(form, by = null) {
  const data = new FormData(form, by);
  const field = /** @type {HTMLInputElement | null} */ (form.querySelector("[name=value]"));
  let answer;
  try {
    answer = form.enctype.startsWith("multipart") ? await sendFiles(form, data)
      : await fetch(form.action, { method: "POST", body: new URLSearchParams(/** @type {any} */ (data)), headers: { "X-Part": "1" } });
  } catch {
    gone(true);
    if (field) keep(form, field);
    return;
  }
  if (!answer) { say("Stopped; nothing was brought in."); return; }
  gone(false);
  const isPage = (answer.headers.get("content-type") ?? "").startsWith("text/html");
  if (answer.ok && isPage) {
    if (field) { pending.delete(field.id); forget(form); }
    const face = /** @type {HTMLInputElement | null} */ (form.querySelector("[name=face]"))?.value;
    if (face && drawnHere) history.replaceState(null, "", `?face=${encodeURIComponent(face)}`);
    takeOver(await answer.text());
    if (form.matches("[data-reset]")) form.reset();
    say("Saved.");
  } else if (answer.ok) {
    const said = await answer.json();
    if (said.became) say(said.became);
    if (said.go) { location.href = said.go; return; }
    if (said.problem) say(said.problem); else refresh();
  } else {
    const said = isPage ? {} : await answer.json();
    if (said.problems) show(form, said.problems);
    else say(said.problem ?? "Not done.");
    if (field) keep(form, field);
  }
}

/** Send a form with its files, and show how much of them is there; `fetch` does not say it. Null where
 * a person stopped it. @param {HTMLFormElement} form @param {FormData} data @returns {Promise<Response | null>} */
function sendFiles(form, data) {
  const request = new XMLHttpRequest();
  const buttons = /** @type {NodeListOf<HTMLButtonElement>} */ (form.querySelectorAll(".buttons button"));
  const stop = /** @type {HTMLButtonElement | null} */ (form.querySelector("[data-sent] button"));
  const began = performance.now();
  request.open("POST", form.action);
  request.setRequestHeader("X-Part", "1");
  request.upload.addEventListener("progress", ({ loaded, total }) => {
    const left = Math.ceil((performance.now() - began) * (total - loaded) / loaded / 1000);
    sent(form, loaded / total, `Sending: ${Math.floor(100 * loaded / total)} % of ${size(total)}, ${left} s left`);
  });
  request.upload.addEventListener("load", () => {
    if (stop) stop.hidden = true;
    sent(form, null, "Sent. Listening …");
  });
  for (const button of buttons) button.disabled = true;
  if (stop) { stop.hidden = false; stop.onclick = () => request.abort(); }
  sent(form, 0, "Sending …");
  return new Promise((resolve, reject) => {
    request.onload = () => resolve(new Response(request.responseText, { status: request.status, headers: { "Content-Type": request.getResponseHeader("content-type") ?? "" } }));
    request.onabort = () => resolve(null);
    request.onerror = reject;
    request.onloadend = () => {
      for (const button of buttons) button.disabled = false;
      const place = /** @type {HTMLElement | null} */ (form.querySelector("[data-sent]"));
      if (place) place.hidden = true;
    };
    request.send(data);
  });
}

/** @param {number} bytes */
function size(bytes) { return bytes < 1e6 ? `${Math.ceil(bytes / 1e3)} kB` : `${Math.round(bytes / 1e6)} MB`; }

/** Show how far a form's files are; null where nobody knows. @param {Element} form @param {number | null} share @param {string} text */
function sent(form, share, text) {
  const place = /** @type {HTMLElement | null} */ (form.querySelector("[data-sent]"));
  if (!place) return;
  place.hidden = false;
  const bar = /** @type {HTMLProgressElement} */ (place.querySelector("progress"));
  if (share === null) bar.removeAttribute("value"); else bar.value = share;
  /** @type {HTMLElement} */ (place.querySelector("span")).textContent = text;
}

/** @param {HTMLFormElement} form @param {Record<string, string>} problems */
function show(form, problems) {
  for (const [way, text] of Object.entries(problems)) {
    const place = form.querySelector(`[data-wrong="${CSS.escape(way)}"]`) ?? document.querySelector(`[data-wrong="${CSS.escape(way)}"]`) ?? form.querySelector("[data-wrong]");
    if (!place) { say(text); continue; }
    place.textContent = text;
    /** @type {HTMLElement} */ (place).hidden = false;
    form.querySelector("[name=value]")?.setAttribute("aria-invalid", "true");
  }
  say("Not saved yet: what is wrong stands at the field.");
}

document.addEventListener("submit", (event) => {
  const form = /** @type {HTMLFormElement} */ (event.target);
  if (!form.matches("[data-save], [data-act], [data-drop]")) return;
  event.preventDefault();
  if (form.matches("[data-drop]")) say(`Bringing the ${form.dataset.drop || "recording"} in …`);
  send(form, event.submitter);
});

/** @type {Map<HTMLFormElement, number>} */
const waiting = new Map();
document.addEventListener("input", (event) => {
  const field = /** @type {HTMLInputElement} */ (event.target);
  const form = field.form;
  if (field.dataset.filter) filter(field);
  const shown = field.type === "range" ? field.form?.querySelector(`label[for="${field.id}"] output`) : null;
  if (shown) shown.textContent = (shown.textContent ?? "").replace(/[0-9.]+/, field.value);
  if (!form?.matches("[data-save]") || field.name !== "value") return;
  pending.add(field.id);
  clearTimeout(waiting.get(form));
  waiting.set(form, setTimeout(() => send(form), field.tagName === "SELECT" ? 0 : 700));
});
document.addEventListener("change", (event) => {
  const field = /** @type {HTMLInputElement} */ (event.target);
  const form = field.form;
  if (form?.matches("[data-slide]")) {
    history.replaceState(null, "", `?${new URLSearchParams(/** @type {any} */ (new FormData(form)))}`);
    refresh();
  }
  if (form?.matches("[data-tick]")) send(form);
  if (!form?.matches("[data-save]") || !pending.has(field.id)) return;
  clearTimeout(waiting.get(form));
  send(form);
});

/** @param {HTMLInputElement} field */
function filter(field) {
  const words = field.value.toLowerCase();
  for (const row of document.querySelectorAll(`#${field.dataset.filter} tbody tr`)) {
    /** @type {HTMLElement} */ (row).hidden = !(row.textContent ?? "").toLowerCase().includes(words);
  }
}

// --- what is typed and not valid yet: kept in this browser, offered again

/** @param {HTMLFormElement} form */
function keyOf(form) {
  const way = /** @type {HTMLInputElement | null} */ (form.querySelector("[name=way]"))?.value;
  return `roomcheck ${here} ${way}`;
}
/** @param {HTMLFormElement} form @param {HTMLInputElement} field */
function keep(form, field) { localStorage.setItem(keyOf(form), field.value); }
/** @param {HTMLFormElement} form */
function forget(form) { localStorage.removeItem(keyOf(form)); }

function offerKept() {
  for (const form of /** @type {NodeListOf<HTMLFormElement>} */ (document.querySelectorAll("form[data-save]"))) {
    const kept = localStorage.getItem(keyOf(form));
    const field = /** @type {HTMLInputElement} */ (form.querySelector("[name=value]"));
    if (kept === null || field === document.activeElement || form.querySelector(".kept")) continue;
    if (kept === field.value) { forget(form); continue; }
    const button = document.createElement("button");
    button.type = "button";
    button.className = "quiet kept";
    button.textContent = `You typed “${kept}”, not saved: put it back`;
    button.addEventListener("click", () => { field.value = kept; button.remove(); pending.add(field.id); field.focus(); send(form); });
    form.append(button);
  }
}

// --- choosing and dragging on the drawings

document.addEventListener("click", (event) => {
  const link = /** @type {Element} */ (event.target).closest("svg a, a[data-face]");
  if (!link || !drawnHere) return;
  event.preventDefault();
  if (dragged) { dragged = false; return; }
  const href = link.getAttribute("href") ?? "";
  history.pushState(null, "", href);
  refresh().then(() => {
    const query = new URLSearchParams(href);
    const thing = query.get("thing") ?? (query.has("piece") ? `piece.${query.get("piece")}` : null);
    const open = thing && document.querySelector(`details[data-thing="${CSS.escape(thing)}"]`);
    if (open) { /** @type {HTMLDetailsElement} */ (open).open = true; open.scrollIntoView({ block: "nearest" }); }
  });
});
addEventListener("popstate", () => refresh());

let dragged = false;
document.addEventListener("pointerdown", (event) => {
  const part = /** @type {SVGElement | null} */ (/** @type {Element} */ (event.target).closest("svg [data-way]"));
  const svg = part?.closest("svg");
  if (!part || !svg || event.button !== 0 || !drawnHere || "phone" in body.dataset) return;
  const matrix = svg.getScreenCTM();
  if (!matrix) return;
  const scale = 1000;
  const from = { x: event.clientX, y: event.clientY };
  const start = { u: Number(part.dataset.u ?? part.dataset.x), v: Number(part.dataset.v ?? part.dataset.y) };
  let by = { x: 0, y: 0 };
  dragged = false;
  /** @param {PointerEvent} moved */
  const move = (moved) => {
    by = { x: (moved.clientX - from.x) / matrix.a, y: (moved.clientY - from.y) / matrix.d };
    if (Math.hypot(moved.clientX - from.x, moved.clientY - from.y) < 4) return;
    dragged = true;
    part.classList.add("dragged");
    part.setAttribute("transform", `translate(${by.x} ${by.y})`);
    if (drawnHere === "plan") attempt(part, start.u + by.x / scale, start.v - by.y / scale);
    moved.preventDefault();
  };
  const end = async () => {
    removeEventListener("pointermove", move);
    removeEventListener("pointerup", end);
    removeEventListener("pointercancel", end);
    if (!dragged) return;
    setTimeout(() => { dragged = false; }, 50);
    await put(part, start.u + by.x / scale, start.v - by.y / scale);
  };
  addEventListener("pointermove", move);
  addEventListener("pointerup", end);
  addEventListener("pointercancel", end);
});
document.addEventListener("dragstart", (event) => {
  if (/** @type {Element} */ (event.target).closest?.("svg")) event.preventDefault();
});

/** @param {SVGElement} part @param {number} u @param {number} v */
function placeOf(part, u, v) {
  const way = part.dataset.way ?? "";
  const drawn = /** @type {HTMLElement | null} */ (document.querySelector("[data-base]"));
  const face = drawn?.dataset.face ?? new URLSearchParams(location.search).get("face") ?? "";
  return new URLSearchParams({ way, thing: way, name: way.replace("piece.", ""), base: drawn?.dataset.base ?? "", u: String(u), v: String(v), face });
}

/** What a piece would do there: asked while it is dragged, one question at a time. @type {[SVGElement, number, number] | null} */
let wanted = null;
let asking = false;
/** @param {SVGElement} part @param {number} u @param {number} v */
async function attempt(part, u, v) {
  wanted = [part, u, v];
  if (asking) return;
  asking = true;
  try {
    while (wanted) {
      const [piece, left, bottom] = wanted;
      wanted = null;
      const answer = await fetch(`${here}/plan/try`, { method: "POST", body: placeOf(piece, left, bottom), headers: { "X-Part": "1" } });
      if (!answer.ok || !dragged) continue;
      const effect = /** @type {HTMLElement} */ (document.getElementById("effect"));
      effect.innerHTML = await answer.text();
      served.delete(effect);
      const refused = /** @type {HTMLElement | null} */ (effect.querySelector("[data-refused]"))?.dataset.refused ?? "";
      piece.classList.toggle("refused", refused.split(" ").includes((piece.dataset.way ?? "").replace("piece.", "")));
    }
  } catch { gone(true); } finally { asking = false; }
}

/** @param {SVGElement} part @param {number} u @param {number} v */
async function put(part, u, v) {
  const answer = await fetch(`${here}/${drawnHere}/move`, { method: "POST", body: placeOf(part, u, v), headers: { "X-Part": "1" } });
  if (answer.ok) {
    if (drawnHere === "plan") history.replaceState(null, "", `?face=${encodeURIComponent(/** @type {HTMLElement} */ (document.querySelector("[data-base]")).dataset.face ?? "")}`);
    takeOver(await answer.text());
    say("Moved.");
    return;
  }
  const said = await answer.json();
  if (drawnHere === "plan") refresh();
  say(said.problem ?? Object.values(said.problems ?? {}).join("; "));
  part.removeAttribute("transform");
  part.classList.remove("dragged", "refused");
}
document.addEventListener("keydown", (event) => {
  const part = /** @type {SVGElement | null} */ (/** @type {Element} */ (event.target).closest?.("svg a[data-way]"));
  const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key];
  if (!part || !way || "phone" in body.dataset) return;
  event.preventDefault();
  const [small, large] = body.dataset.units === "metric" ? [0.01, 0.1] : [0.0254, 0.3048];
  const step = event.shiftKey ? large : small;
  const name = part.dataset.way;
  put(part, Number(part.dataset.u) + way[0] * step, Number(part.dataset.v) + way[1] * step).then(() => {
    /** @type {SVGElement | null} */ (document.querySelector(`svg a[data-way="${CSS.escape(name ?? "")}"]`))?.focus();
  });
});

// --- recordings and photographs dropped onto their place

for (const kind of ["dragover", "dragleave", "drop"]) {
  document.addEventListener(kind, (event) => {
    const form = /** @type {HTMLFormElement | null} */ (document.querySelector("form[data-drop]"));
    const files = /** @type {DragEvent} */ (event).dataTransfer?.files;
    if (!form) return;
    event.preventDefault();
    form.classList.toggle("over", kind === "dragover");
    if (kind !== "drop" || !files?.length) return;
    /** @type {HTMLInputElement} */ (form.querySelector("[type=file]")).files = files;
    form.scrollIntoView({ block: "nearest" });
    const kindOf = /** @type {HTMLElement | null} */ (form.querySelector("[name=kind]"));
    if (!kindOf) { form.requestSubmit(); return; }
    kindOf.focus();
    say(`${files[0].name}: say what it is, then bring it in.`);
  });
}

// --- the level at the microphone

for (const place of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll("[data-meter]"))) {
  place.hidden = false;
  const bar = /** @type {HTMLMeterElement} */ (place.querySelector("meter"));
  const text = /** @type {HTMLOutputElement} */ (place.querySelector("output"));
  place.querySelector("button")?.addEventListener("click", () => {
    const levels = new EventSource(`${here}/visit/meter`);
    bar.hidden = false;
    levels.onmessage = (message) => {
      const level = JSON.parse(message.data);
      if (level.problem) text.textContent = level.problem;
      if (level.problem || level.end) { levels.close(); return; }
      bar.value = level.peak;
      text.textContent = level.peak > -1 ? "too loud for the input" : `${level.peak.toFixed(0)} dB at most, ${level.rms.toFixed(0)} dB on the mean`;
    };
    levels.onerror = () => levels.close();
  });
}

// --- every window of a job alike; the server gone and come back

/** @param {boolean} is */
function gone(is) {
  const place = /** @type {HTMLElement} */ (document.getElementById("gone"));
  place.hidden = !is;
}

function listen() {
  const events = new EventSource(`${here}/events`);
  let away = false;
  events.onopen = () => { gone(false); if (away) { away = false; refresh(); } };
  events.onerror = () => {
    away = true;
    gone(true);
    if (events.readyState === EventSource.CLOSED) setTimeout(listen, 1500);
  };
  events.onmessage = (message) => {
    const event = JSON.parse(message.data);
    if (event.hello && event.hello !== body.dataset.stamp) refresh();
    if (event.changed && (event.changed !== body.dataset.stamp || event.takes)) refresh();
    if (event.ended && event.ended !== "planner" && document.querySelector("[data-waits]")) location.reload();
    else if (event.ended) refresh();
    if (event.step) for (const place of document.querySelectorAll("[data-step]")) place.textContent = event.step;
    if (event.adding) for (const place of document.querySelectorAll("form:has([data-sent]:not([hidden]))")) sent(place, event.share, event.adding);
    if (event.recorder) recorder(event);
  };
}
/** @param {any} event */
function recorder(event) {
  if (event.recorder === "records") count(event.wait_s, event.seconds);
  if (event.recorder === "said") say(event.text);
  refresh();
}

/** @param {number} wait @param {number} seconds */
function count(wait, seconds) {
  const until = Date.now() + 1000 * wait;
  const end = until + 1000 * seconds;
  const tick = () => {
    const now = Date.now();
    if (now < until) say(`Step back: ${Math.ceil((until - now) / 1000)} …`);
    else if (now < end) say(`Playing and recording: ${Math.ceil((end - now) / 1000)} s. Stand still.`);
    else { say("Listening to the take …"); return; }
    setTimeout(tick, 200);
  };
  tick();
}

if (here) { offerKept(); listen(); }
// A page of all jobs hears no job's events: while something is worked out it looks again.
if (!here && document.querySelector("[data-waits]")) setTimeout(() => location.reload(), 1500);
