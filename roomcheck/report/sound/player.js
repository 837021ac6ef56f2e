// @ts-check
// Rooms heard one against the other: all of them play at once, one is let through, so that a change
// of room is heard without a gap. Without this script the sound files beneath play one by one.
//
// The markup is made by `roomcheck.report.render.player`: an element with `data-player` that holds
//   [data-controls]                  hidden until this script runs
//     input[type=radio][data-room]   which room, value "0", "1", ...
//     input[type=radio][data-sound]  which dry sound, value "0", "1", ...
//     input[type=checkbox][data-even]  whether all are made equally loud
//     button[data-play]              with [data-when=stopped] and [data-when=playing] inside
//   audio[data-room][data-sound][data-even-gain]  one a file, with its address or its data
// Keys within it: 1, 2, 3 choose a room; a space starts and stops.

const CROSSING_S = 0.012;

/** Make one element with `data-player` a player.
 * @param {HTMLElement} root
 * @returns {{ toggle: () => Promise<void>, choose: (room: number) => void, stop: () => void }} */
export function player(root) {
  const controls = /** @type {HTMLElement} */ (root.querySelector("[data-controls]"));
  const button = /** @type {HTMLButtonElement} */ (root.querySelector("[data-play]"));
  const even = /** @type {HTMLInputElement | null} */ (root.querySelector("input[data-even]"));
  const files = /** @type {HTMLAudioElement[]} */ ([...root.querySelectorAll("audio[data-room]")]);
  const inputs = (/** @type {string} */ kind) =>
    /** @type {HTMLInputElement[]} */ ([...root.querySelectorAll(`input[data-${kind}]`)]);
  const chosen = (/** @type {string} */ kind) => inputs(kind).find((one) => one.checked)?.value ?? "0";
  /** @type {AudioContext | null} */
  let context = null;
  /** @type {Map<HTMLAudioElement, Promise<AudioBuffer>>} */
  const decoded = new Map();
  /** @type {{ source: AudioBufferSourceNode, gain: GainNode, file: HTMLAudioElement }[]} */
  let playing = [];
  let asked = 0;

  /** @param {AudioContext} by @param {HTMLAudioElement} file */
  function decode(by, file) {
    const known = decoded.get(file);
    if (known) return known;
    const made = fetch(file.src).then((answer) => answer.arrayBuffer()).then((data) => by.decodeAudioData(data));
    decoded.set(file, made);
    made.catch(() => decoded.delete(file));
    return made;
  }

  /** How loud a file is now: 0 where another room is listened to. @param {HTMLAudioElement} file */
  function gainOf(file) {
    if (file.dataset.room !== chosen("room")) return 0;
    return even?.checked ? Number(file.dataset.evenGain) : 1;
  }

  function levels() {
    if (!context) return;
    const now = context.currentTime;
    for (const { gain, file } of playing) {
      gain.gain.cancelScheduledValues(now);
      gain.gain.setValueAtTime(gain.gain.value, now);
      gain.gain.linearRampToValueAtTime(gainOf(file), now + CROSSING_S);
    }
  }

  /** @param {boolean} on */
  function shown(on) {
    root.dataset.playing = String(on);
    for (const part of /** @type {NodeListOf<HTMLElement>} */ (button.querySelectorAll("[data-when]"))) {
      part.hidden = (part.dataset.when === "playing") !== on;
    }
  }

  function stop() {
    asked += 1;
    for (const { source } of playing) source.stop();
    playing = [];
    shown(false);
  }

  async function start() {
    stop();
    const mine = asked;
    shown(true);
    context ??= new AudioContext();
    const by = context;
    try {
      await by.resume();
      const wanted = files.filter((file) => file.dataset.sound === chosen("sound"));
      const buffers = await Promise.all(wanted.map((file) => decode(by, file)));
      if (mine !== asked) return;
      const at = by.currentTime + 0.05;
      playing = wanted.map((file, i) => {
        const source = new AudioBufferSourceNode(by, { buffer: buffers[i], loop: true });
        const gain = new GainNode(by, { gain: gainOf(file) });
        source.connect(gain).connect(by.destination);
        source.start(at);
        return { source, gain, file };
      });
    } catch (problem) {
      if (mine === asked) stop();
      controls.hidden = true;
      throw problem;
    }
  }

  /** Listen to another room from here on. @param {number} room */
  function choose(room) {
    const input = inputs("room")[room];
    if (!input) return;
    input.checked = true;
    levels();
  }

  const toggle = async () => (root.dataset.playing === "true" ? stop() : start());
  button.addEventListener("click", () => void toggle());
  even?.addEventListener("change", levels);
  for (const input of inputs("room")) input.addEventListener("change", levels);
  for (const input of inputs("sound")) {
    input.addEventListener("change", () => { if (root.dataset.playing === "true") void start(); });
  }
  root.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    const target = /** @type {HTMLElement} */ (event.target);
    if (/^[1-9]$/.test(event.key)) choose(Number(event.key) - 1);
    else if (event.key === " " && target !== button && !(target instanceof HTMLAudioElement) && target !== even) void toggle();
    else return;
    event.preventDefault();
  });
  // One of the files played by itself ends what plays here, and the other way round.
  for (const file of files) file.addEventListener("play", stop);
  button.addEventListener("click", () => { for (const file of files) file.pause(); });
  controls.hidden = false;
  shown(false);
  return { toggle, choose, stop };
}

for (const root of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll("[data-player]"))) player(root);
