// The screen on the wall reads itself again when something happens on the floor, and each half minute for the clock. It turns pages: as
// many stations as the screen holds at a time, the worst on the first.
export {};

const wall = () => document.getElementById("wall");
const here = wall()?.dataset.self ?? "";
const turn = 12_000;
let page = 0;

// show shows the rows of a page that fit the screen, and says which page it is.
function show() {
  const rows = [...document.querySelectorAll<HTMLElement>(".wallrows tbody tr")];
  for (const r of rows) r.hidden = false;
  const first = rows[0]?.getBoundingClientRect();
  if (!first || innerWidth <= 700) return; // a phone scrolls
  const fit = Math.max(1, Math.floor((innerHeight - (first.top + scrollY) - 24) / first.height));
  const pages = Math.ceil(rows.length / fit);
  page %= pages;
  rows.forEach((r, i) => (r.hidden = Math.floor(i / fit) !== page));
  const says = document.getElementById("page");
  if (says) says.textContent = pages > 1 ? `page ${page + 1} of ${pages}` : "";
}

async function reread() {
  const answer = await fetch(location.href).catch(() => undefined);
  const off = document.getElementById("off");
  if (!answer?.ok) {
    if (off) off.hidden = false;
    return;
  }
  const fresh = new DOMParser().parseFromString(await answer.text(), "text/html").getElementById("wall");
  if (fresh) wall()?.replaceWith(fresh);
  show();
}

if (here) {
  const live = new EventSource(here + "/live");
  live.addEventListener("floor", () => void reread());
  setInterval(() => void reread(), 30_000);
  setInterval(() => {
    page++;
    show();
  }, turn);
  addEventListener("resize", show);
  void document.fonts.ready.then(show);
  show();
}
