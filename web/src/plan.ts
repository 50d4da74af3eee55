// The Plan sheet: stations against time, with zoom, pan, find and keyboard.
import { Board } from "./plan/board";
import { duration } from "./plan/clock";
import { atTime, barsOfJob, barsOfUnit, notThere, onStation, PlanData } from "./plan/data";
import { keepView, Mover, Panel } from "./plan/hand";

const canvas = document.querySelector<HTMLCanvasElement>("#board");
const place = document.querySelector<HTMLElement>(".board");
if (canvas && place?.dataset.plan) void start(canvas, place, place.dataset.plan);

async function start(canvas: HTMLCanvasElement, place: HTMLElement, from: string): Promise<void> {
  const answer = await fetch(from, { headers: { Accept: "application/json" } });
  if (!answer.ok) {
    document.getElementById("lit")!.textContent = "The drawing could not be had. Load the page again.";
    return;
  }
  const d = (await answer.json()) as PlanData;
  await document.fonts.ready;
  const board = new Board(canvas, d);
  const light = new Light(board);
  const hands = byHand(board, place);
  if (hands) light.chosen = (bar) => (bar < 0 ? hands.panel.none() : hands.panel.choose(bar));
  pointer(board, light, hands?.mover);
  keyboard(board, light, hands);
  buttons(board);
  finder(d, light);
  new ResizeObserver(() => board.fit()).observe(canvas);
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => board.fit());
  const station = d.stations.findIndex((s) => s.id === place.dataset.station);
  if (station >= 0) board.top = board.rows[station]!.top - 40;
  keepView(board);
  const bar = d.bars.setup?.findIndex((_, i) => d.jobs[d.bars.job[i]!] === place.dataset.job && String(d.bars.seq[i]) === place.dataset.op) ?? -1;
  if (bar >= 0) light.choose(bar);
  document.getElementById("trialtitle")?.focus();
  place.dataset.ready = String(d.bars.setup?.length ?? 0);
}

interface Hands { mover: Mover; panel: Panel }

/** byHand readies what planners do by hand; undefined where nothing can be done. */
function byHand(board: Board, place: HTMLElement): Hands | undefined {
  const form = document.querySelector<HTMLFormElement>("#drop");
  const panel = document.getElementById("hand");
  if (!form || !panel || place.dataset.hand === undefined) return undefined;
  return { mover: new Mover(board, form, say), panel: new Panel(panel, board, place.dataset.hand) };
}

/** Light keeps what is lit up and says it in words. */
class Light {
  private bars: number[] = [];
  chosen: (bar: number) => void = () => {};
  constructor(readonly board: Board) {}

  /** choose lights up everything of the bar's unit, or of its job if it is made to stock. */
  choose(bar: number): void {
    const b = this.board.d.bars;
    this.bars = b.unit[bar]! >= 0 ? barsOfUnit(this.board.d, b.unit[bar]!) : barsOfJob(this.board.d, b.job[bar]!);
    this.set(bar);
  }

  show(bars: number[]): void {
    this.bars = bars;
    if (bars.length > 0) this.set(bars.find((i) => this.board.d.bars.end[i]! > this.board.d.now) ?? bars[0]!);
  }

  /** step goes along what is lit up. */
  step(by: number): void {
    const i = this.bars.indexOf(this.board.at);
    const next = this.bars[Math.min(Math.max(i + by, 0), this.bars.length - 1)];
    if (next !== undefined) this.set(next);
  }

  none(): void {
    this.bars = [];
    this.board.lit.clear();
    this.board.at = -1;
    this.board.ask();
    say("");
    this.chosen(-1);
  }

  private set(bar: number): void {
    this.board.lit = new Set(this.bars);
    this.board.at = bar;
    this.board.show(bar);
    say(words(this.board, bar).join(". "));
    this.chosen(bar);
  }
}

function say(text: string): void { document.getElementById("lit")!.textContent = text; }

/** words describes a bar, a line each. */
function words(board: Board, i: number): string[] {
  const { d, clock } = board;
  const b = d.bars;
  const lines = [`${d.names[b.name[i]!]}, ${d.items[b.item[i]!]}`, `job ${d.jobs[b.job[i]!]}, operation ${b.seq[i]}, ${d.states[b.state[i]!]!.word}`,
    `${d.stations[b.station[i]!]!.name}: ${clock.moment(b.run[i]!)} to ${clock.moment(b.end[i]!)}, ${duration(b.end[i]! - b.run[i]!)}`];
  if (b.run[i]! > b.setup[i]!) lines.push(`setup from ${clock.moment(b.setup[i]!)}, ${duration(b.run[i]! - b.setup[i]!)}`);
  const u = b.unit[i]! >= 0 ? d.units![b.unit[i]!]! : undefined;
  const hand = b.hand[i]!;
  if (hand & (onStation | atTime)) lines.push(`pinned by hand${hand & onStation ? " to its station" : ""}${hand & atTime ? " at its time" : ""}`);
  if (hand & notThere) lines.push("something is forbidden for it by hand");
  if (u) lines.push(`unit ${u.id}: ${u.title}${u.late ? " (late)" : ""}`);
  return lines;
}

function open(board: Board, bar: number): void {
  const b = board.d.bars;
  const u = b.unit[bar]! >= 0 ? board.d.units![b.unit[bar]!]! : undefined;
  if (u) location.href = `/units/${encodeURIComponent(u.id)}`;
  else location.href = `/times?job=${encodeURIComponent(board.d.jobs[b.job[bar]!]!)}&op=${b.seq[bar]}`;
}

function pointer(board: Board, light: Light, mover?: Mover): void {
  const { canvas } = board;
  const tip = document.getElementById("tip")!;
  const down = new Map<number, { x: number; y: number }>();
  let moved = 0;
  let grab: number | undefined; // seconds from the begin of the bar that can be taken up to the pointer
  let taken = false;
  canvas.addEventListener("pointerdown", (e) => {
    mover?.cancel();
    taken = false;
    const bar = board.barAt(e.offsetX, e.offsetY);
    grab = mover && bar >= 0 && bar === board.at && mover.stations(bar).length > 0 ? board.t(e.offsetX) - board.d.bars.run[bar]! : undefined;
    canvas.setPointerCapture(e.pointerId);
    down.set(e.pointerId, { x: e.offsetX, y: e.offsetY });
    moved = 0;
    tip.hidden = true;
  });
  canvas.addEventListener("pointermove", (e) => {
    const was = down.get(e.pointerId);
    if (!was) return hover(board, tip, e, mover);
    const others = [...down].filter(([id]) => id !== e.pointerId).map(([, p]) => p);
    if (others[0]) board.zoom(Math.abs(was.x - others[0].x) / Math.max(8, Math.abs(e.offsetX - others[0].x)), (e.offsetX + others[0].x) / 2);
    else if (mover && grab !== undefined) {
      if (!taken && moved >= 6) taken = mover.take(board.at); // once: Escape lets it go for good
      mover.to(board.stationAt(e.offsetY), board.t(e.offsetX) - grab);
    } else {
      board.left -= (e.offsetX - was.x) * board.scale;
      board.top -= e.offsetY - was.y;
    }
    moved += Math.abs(e.offsetX - was.x) + Math.abs(e.offsetY - was.y);
    down.set(e.pointerId, { x: e.offsetX, y: e.offsetY });
    board.ask();
  });
  const up = (e: PointerEvent) => {
    if (mover?.active) {
      down.delete(e.pointerId);
      if (e.type === "pointerup") mover.drop();
      else mover.cancel();
      return;
    }
    if (down.delete(e.pointerId) && moved < 6 && e.type === "pointerup") {
      const bar = board.barAt(e.offsetX, e.offsetY);
      if (bar >= 0) light.choose(bar);
      else light.none();
    }
  };
  canvas.addEventListener("pointerup", up);
  canvas.addEventListener("pointercancel", up);
  canvas.addEventListener("pointerleave", () => { tip.hidden = true; });
  canvas.addEventListener("dblclick", (e) => { const bar = board.barAt(e.offsetX, e.offsetY); if (bar >= 0) open(board, bar); });
  canvas.addEventListener("wheel", (e) => {
    if (e.ctrlKey || e.metaKey) board.zoom(Math.exp(e.deltaY / 300), e.offsetX);
    else if (e.shiftKey || Math.abs(e.deltaX) > Math.abs(e.deltaY)) board.left += (e.deltaX || e.deltaY) * board.scale;
    else if (board.height > board.view) board.top += e.deltaY;
    else return;
    e.preventDefault();
    board.ask();
  }, { passive: false });
}

function hover(board: Board, tip: HTMLElement, e: PointerEvent, mover?: Mover): void {
  const bar = board.barAt(e.offsetX, e.offsetY);
  board.canvas.classList.toggle("overbar", bar >= 0);
  board.canvas.classList.toggle("movable", bar >= 0 && bar === board.at && (mover?.stations(bar).length ?? 0) > 0);
  tip.hidden = bar < 0;
  if (bar < 0) return;
  tip.replaceChildren(...words(board, bar).map((line) => { const p = document.createElement("p"); p.textContent = line; return p; }));
  const right = e.offsetX > board.canvas.clientWidth / 2;
  tip.style.left = `${right ? Math.max(4, e.offsetX - tip.offsetWidth - 14) : e.offsetX + 14}px`;
  tip.style.top = `${Math.min(e.offsetY + 14, board.canvas.clientHeight - tip.offsetHeight - 4)}px`;
}

/** moving gives what the keys do while a bar is taken up. */
function moving(mover: Mover): Record<string, (e: KeyboardEvent) => void> {
  return {
    ArrowLeft: (e) => mover.later(e.shiftKey ? -3600 : -900),
    ArrowRight: (e) => mover.later(e.shiftKey ? 3600 : 900),
    ArrowUp: () => mover.hop(-1),
    ArrowDown: () => mover.hop(1),
    PageUp: () => mover.later(-86400),
    PageDown: () => mover.later(86400),
    Enter: () => mover.drop(),
    Escape: () => mover.cancel(),
  };
}

function keyboard(board: Board, light: Light, hands?: Hands): void {
  const span = () => board.width * board.scale;
  const keys: Record<string, (e: KeyboardEvent) => void> = {
    ArrowLeft: () => { board.left -= span() / 8; },
    ArrowRight: () => { board.left += span() / 8; },
    ArrowUp: () => { board.top -= 60; },
    ArrowDown: () => { board.top += 60; },
    PageUp: () => { board.top -= board.view * 0.9; },
    PageDown: () => { board.top += board.view * 0.9; },
    Home: () => { board.left = board.d.now - span() * 0.1; },
    "+": () => board.zoom(0.7, board.names + board.width / 2),
    "=": () => board.zoom(0.7, board.names + board.width / 2),
    "-": () => board.zoom(1.4, board.names + board.width / 2),
    n: () => light.step(1),
    b: () => light.step(-1),
    Escape: () => light.none(),
    Enter: () => { if (board.at >= 0) open(board, board.at); },
    m: () => { if (hands && board.at >= 0 && hands.mover.take(board.at)) hands.mover.tell(); },
    p: () => { if (hands && board.at >= 0) void hands.panel.enter(board.at); },
  };
  const moves = hands ? moving(hands.mover) : {};
  board.canvas.addEventListener("keydown", (e) => {
    const act = hands?.mover.active ? moves[e.key] : keys[e.key] ?? keys[e.key.toLowerCase()];
    if (!act || e.ctrlKey || e.metaKey || e.altKey) return;
    e.preventDefault();
    act(e);
    board.ask();
  });
}

function buttons(board: Board): void {
  const middle = () => board.names + board.width / 2;
  const show = (seconds: number) => { board.scale = seconds / board.width; board.left = board.d.now - seconds * 0.06; };
  const acts: Record<string, () => void> = {
    shift: () => show(8 * 3600),
    day: () => show(30 * 3600),
    week: () => show(8 * 86400),
    all: () => { board.scale = (board.d.to - board.d.from) / board.width; board.left = board.d.from; },
    in: () => board.zoom(0.6, middle()),
    out: () => board.zoom(1.6, middle()),
    now: () => { board.left = board.d.now - board.width * board.scale * 0.1; },
  };
  for (const button of document.querySelectorAll<HTMLButtonElement>("[data-do]")) {
    button.addEventListener("click", () => { acts[button.dataset.do!]?.(); board.ask(); });
  }
}

function finder(d: PlanData, light: Light): void {
  const input = document.querySelector<HTMLInputElement>("#find")!;
  const list = document.querySelector("#units")!;
  list.replaceChildren(...(d.units ?? []).map((u) => { const o = document.createElement("option"); o.value = u.id; o.label = u.title; return o; }));
  const find = () => {
    const q = input.value.trim().toLowerCase();
    if (!q) return light.none();
    let unit = (d.units ?? []).findIndex((u) => u.id.toLowerCase() === q);
    if (unit < 0) unit = (d.units ?? []).findIndex((u) => u.id.toLowerCase().startsWith(q));
    if (unit >= 0) return light.show(barsOfUnit(d, unit));
    const job = d.jobs.findIndex((j) => j.toLowerCase().includes(q));
    if (job >= 0) light.show(barsOfJob(d, job));
    else say(`Nothing is called ${input.value.trim()}.`);
  };
  input.addEventListener("input", find);
  input.addEventListener("change", find);
  if (input.value) find();
}

