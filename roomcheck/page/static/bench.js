// @ts-check
// For hands that are busy: the screen stays on where the browser allows it, and clocks run.

/** @type {WakeLockSentinel | null} */
let lock = null;
async function stayOn() {
  if (lock || document.visibilityState !== "visible" || !("wakeLock" in navigator)) return;
  try {
    lock = await navigator.wakeLock.request("screen");
    lock.addEventListener("release", () => { lock = null; });
  } catch { /* the battery is low, or nobody touched the page yet */ }
}
document.addEventListener("visibilitychange", stayOn);
document.addEventListener("pointerdown", stayOn);
stayOn();

/** How long each clock has run, in hours and minutes. */
function clocks() {
  for (const place of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll("[data-since]"))) {
    const minutes = Math.max(Math.floor((Date.now() - new Date(place.dataset.since ?? "").getTime()) / 60_000), 0);
    const text = `${Math.floor(minutes / 60)}:${String(minutes % 60).padStart(2, "0")}`;
    if (place.textContent !== text) place.textContent = text;
  }
}
clocks();
setInterval(clocks, 1000);
