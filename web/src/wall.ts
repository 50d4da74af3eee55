export {};
// The screen on the wall reads itself again when something happens on the floor, and each half minute for the clock.
const wall = () => document.getElementById("wall");
const here = wall()?.dataset.self ?? "";

async function reread() {
  const answer = await fetch(location.href).catch(() => undefined);
  const off = document.getElementById("off");
  if (!answer?.ok) {
    if (off) off.hidden = false;
    return;
  }
  const fresh = new DOMParser().parseFromString(await answer.text(), "text/html").getElementById("wall");
  if (fresh) wall()?.replaceWith(fresh);
}

if (here) {
  const live = new EventSource(here + "/live");
  live.addEventListener("floor", () => void reread());
  setInterval(() => void reread(), 30_000);
}
