// The terminal of a station. The page works without this; with it, nothing blinks: what is tapped is sent in the background, what
// others do shows at once, and what is being typed stays.
const floor = document.getElementById("floor") ?? document.getElementById("floor-list"); // a station, or the list of them
const here = floor?.dataset.self ?? "";

// newID makes a UUID of version 7 (RFC 9562, section 5.7): the time in milliseconds, then random bits.
function newID(): string {
  const b = crypto.getRandomValues(new Uint8Array(16));
  let ms = Date.now();
  for (let i = 5; i >= 0; i--, ms = Math.floor(ms / 256)) b[i] = ms % 256;
  b[6] = (b[6]! & 0x0f) | 0x70;
  b[8] = (b[8]! & 0x3f) | 0x80;
  const h = [...b].map((x) => x.toString(16).padStart(2, "0")).join("");
  return [h.slice(0, 8), h.slice(8, 12), h.slice(12, 16), h.slice(16, 20), h.slice(20)].join("-");
}

const scanBox = () => document.querySelector<HTMLInputElement>("#scan");
const typing = (e: Element | null) => e instanceof HTMLInputElement || e instanceof HTMLSelectElement || e instanceof HTMLTextAreaElement;

// rest gives the focus to the scan box where nothing else has it.
function rest() {
  const at = document.activeElement;
  if (!at || at === document.body || at.id === "main") scanBox()?.focus({ preventScroll: true });
}

// busy says whether somebody is at work in a part: a panel that he opened, something typed, a refusal not yet understood.
function busy(part: Element): boolean {
  if (floor!.id === "floor-list") return part.contains(document.activeElement);
  if (part.querySelector(".no, .pin, details[data-touched][open]")) return true;
  return [...part.querySelectorAll("input")].some((i) => i.type !== "hidden" && i.id !== "scan" && i.value !== i.defaultValue && i.type !== "checkbox");
}

// put takes a part of the page as it is now. A part in which somebody is at work keeps what he is at; its heads are taken over.
function put(old: Element, fresh: Element, force: boolean) {
  if (force || !busy(old)) {
    old.replaceWith(fresh);
    return;
  }
  for (const inner of old.querySelectorAll("[data-part]")) {
    const now = fresh.querySelector("#" + CSS.escape(inner.id));
    if (now) inner.replaceWith(now);
  }
  for (const card of old.querySelectorAll<HTMLElement>("article:has(details[open], .no)")) {
    const now = fresh.querySelector("#" + CSS.escape(card.id));
    const gone = !now || now.querySelector(".bigstate")?.textContent !== (card.dataset.was ??= card.querySelector(".bigstate")?.textContent ?? "");
    if (gone) card.classList.add("changed");
  }
}

// take puts the parts of a page into this one.
function take(text: string, force: boolean) {
  const page = new DOMParser().parseFromString(text, "text/html");
  for (const old of floor!.querySelectorAll("[data-part]:not([data-part] [data-part])")) {
    if (old.id === "f-scan" && !force) continue;
    const fresh = page.getElementById(old.id);
    if (fresh) put(old, fresh, force);
  }
  ready(floor!);
  const no = document.querySelector<HTMLElement>("#floor .no");
  no?.querySelector("a")?.focus({ preventScroll: true });
  no?.scrollIntoView({ block: "center" });
  const pin = document.querySelector<HTMLInputElement>(".pin input[name=pin]");
  pin?.focus();
  pin?.scrollIntoView({ block: "center" });
  rest();
}

// look reads the page again.
async function look(force: boolean) {
  const at = new URL(location.href);
  at.searchParams.delete("told");
  const answer = await fetch(at).catch(() => undefined);
  if (!answer) return offline(true);
  if (new URL(answer.url).pathname !== here) location.assign(answer.url);
  else if (answer.ok) take(await answer.text(), force);
}

function offline(is: boolean) {
  const says = document.getElementById("off");
  if (says) says.hidden = !is;
}

// send posts a form. What it reports keeps its identifier until it is answered, so that sending it again records it once.
async function send(form: HTMLFormElement, by: HTMLElement | null) {
  if (form.dataset.sending) return;
  form.dataset.sending = "yes";
  const data = new FormData(form, by);
  if (data.has("id")) {
    data.set("id", (form.dataset.id ??= newID()));
    data.set("at", String(Math.floor(Date.now() / 1000)));
  }
  const answer = await fetch(form.action, { method: "POST", body: new URLSearchParams(data as unknown as Record<string, string>) }).catch(() => undefined);
  delete form.dataset.sending;
  if (!answer) {
    unsent(form);
    return;
  }
  delete form.dataset.id;
  const at = new URL(answer.url);
  if (at.pathname === here || (!answer.ok && answer.status < 500 && at.pathname.startsWith(here + "/"))) {
    if (at.pathname === here && at.searchParams.has("pick")) history.replaceState(null, "", at.pathname + "?pick=" + encodeURIComponent(at.searchParams.get("pick")!));
    else if (answer.ok) history.replaceState(null, "", here);
    take(await answer.text(), true);
    if (at.searchParams.has("pick")) document.getElementById("picked")?.closest("article")?.scrollIntoView({ block: "nearest" });
  } else if (answer.ok && at.pathname === here + "/scan") {
    take(await answer.text(), true);
  } else {
    location.assign(answer.url);
  }
}

function unsent(form: HTMLFormElement) {
  offline(true);
  let says = form.querySelector<HTMLElement>(".unsent");
  if (!says) {
    says = document.createElement("p");
    says.className = "unsent refused";
    says.setAttribute("role", "alert");
    form.append(says);
  }
  says.textContent = "There is no connection: this may not have been sent. Tap again when it is back; it is recorded once.";
}

// ready adds what needs script: minus and plus beside the counts, and the keyboard of a touch screen on demand.
function ready(root: Element) {
  for (const step of root.querySelectorAll(".step:not(.stepped)")) {
    step.classList.add("stepped");
    for (const [sign, by] of [["\u2212", -1], ["+", 1]] as const) {
      const b = document.createElement("button");
      b.type = "button";
      b.className = "big quiet";
      b.textContent = sign;
      b.setAttribute("aria-label", by < 0 ? "one less" : "one more");
      b.addEventListener("click", () => {
        const field = step.querySelector("input")!;
        field.value = String(Math.max(0, (Number(field.value) || 0) + by));
      });
      if (by < 0) step.prepend(b);
      else step.append(b);
    }
  }
  const pin = root.querySelector<HTMLFormElement>("form.pin:not(.padded)");
  if (pin) pad(pin);
  const box = scanBox();
  const keys = document.getElementById("keys");
  if (box && keys && matchMedia("(pointer: coarse)").matches) {
    box.inputMode = "none"; // a scanner types; the keyboard would cover half of the page
    keys.hidden = false;
    keys.onclick = () => {
      box.inputMode = "text";
      box.blur();
      box.focus();
    };
  }
}

// pad gives a screen without a keyboard the digits of a PIN.
function pad(form: HTMLFormElement) {
  form.classList.add("padded");
  const keys = document.createElement("div");
  keys.className = "pad";
  const field = form.querySelector<HTMLInputElement>("input[name=pin]")!;
  for (const key of ["1", "2", "3", "4", "5", "6", "7", "8", "9", "\u232b", "0"]) {
    const b = document.createElement("button");
    b.type = "button";
    b.className = "big quiet";
    b.textContent = key;
    if (key === "\u232b") b.setAttribute("aria-label", "wipe out the last digit");
    b.addEventListener("click", () => { field.value = key === "\u232b" ? field.value.slice(0, -1) : field.value + key; });
    keys.append(b);
  }
  form.append(keys);
}

// listen hears of what changes, and reads the page again.
function listen() {
  const source = new EventSource(floor!.dataset.live!);
  let was = false;
  source.onopen = () => {
    offline(false);
    if (was) void look(false);
    was = true;
  };
  let soon = 0;
  source.addEventListener("floor", () => {
    clearTimeout(soon);
    soon = window.setTimeout(() => void look(false), 100);
  });
  source.onerror = () => {
    offline(true);
    if (source.readyState === EventSource.CLOSED) {
      setTimeout(() => void look(false).then(listen), 3000);
      source.close();
    }
  };
  addEventListener("pagehide", () => source.close(), { once: true });
}

if (floor?.dataset.live) {
  document.addEventListener("submit", (e) => {
    const form = e.target as HTMLFormElement;
    if (!floor.contains(form)) return;
    e.preventDefault();
    void send(form, e.submitter);
  });
  document.addEventListener("click", (e) => {
    const on = e.target as HTMLElement;
    on.closest("summary")?.closest("details")?.setAttribute("data-touched", "yes");
    if (on.closest("[data-understood]")) {
      e.preventDefault();
      if (on.closest(".inside")) on.closest(".no")!.remove(); // what was typed beside it stays
      else void look(true);
    }
    setTimeout(rest, 50);
  });
  // A code that was scanned into another field belongs into the scan box, and must not count as a PIN.
  document.addEventListener("keydown", (e) => {
    const field = e.target;
    const box = scanBox();
    if (e.key !== "Enter" || !(field instanceof HTMLInputElement) || !box || field === box || !/^[A-Za-z]:.+~.$/.test(field.value)) return;
    e.preventDefault();
    box.value = field.value;
    field.value = field.defaultValue;
    box.form!.requestSubmit();
  }, true);
  document.addEventListener("toggle", (e) => {
    const panel = e.target as HTMLDetailsElement;
    if (panel.open && panel.dataset.touched) panel.scrollIntoView({ block: "nearest" });
  }, true);
  document.addEventListener("focusout", () => setTimeout(rest, 50));
  document.addEventListener("keydown", (e) => {
    if (e.key.length === 1 && e.key !== " " && !e.ctrlKey && !e.metaKey && !e.altKey && !typing(document.activeElement)) scanBox()?.focus();
  });
  ready(floor);
  rest();
  listen();
}
if (floor) setInterval(() => void look(false), floor.dataset.live ? 60_000 : 15_000);
