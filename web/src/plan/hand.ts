// Moving bars by hand: a bar is taken up with the mouse or the key M, moved in time or to another of its stations, and dropped.
// The drop is an ordinary form: the server tries it and shows what it would cost before anything is kept.
import { Board } from "./board";
import { duration } from "./clock";

const snap = 300; // seconds: begins by hand are whole five minutes

export class Mover {
  private bar = -1;
  private station = -1;
  private run = 0;

  constructor(private readonly board: Board, private readonly form: HTMLFormElement, private readonly say: (text: string) => void) {}

  get active(): boolean { return this.bar >= 0; }

  /** stations gives the stations that a bar can be moved to; none if it stays where it is. */
  stations(bar: number): number[] {
    const able = this.board.d.bars.able[bar] ?? -1;
    return able < 0 ? [] : this.board.d.able?.[able] ?? [];
  }

  take(bar: number): boolean {
    const b = this.board.d.bars;
    if (this.stations(bar).length === 0) {
      this.say(`It stays where it is: ${this.board.d.states[b.state[bar]!]!.word}.`);
      return false;
    }
    this.bar = bar;
    this.station = b.station[bar]!;
    this.run = b.run[bar]!;
    this.show();
    return true;
  }

  /** to moves what was taken up to a station, if it can be done there, and to a time, not before now. */
  to(station: number, run: number): void {
    if (!this.active) return;
    const able = this.stations(this.bar);
    if (able.includes(station)) this.station = station;
    const own = this.board.d.bars.run[this.bar]!;
    const near = Math.abs(run - own) < Math.max(snap, 4 * this.board.scale); // straight up or down is no change of time
    this.run = near ? own : Math.max(Math.round(run / snap) * snap, Math.ceil(this.board.d.now / 60) * 60);
    this.show();
  }

  later(seconds: number): void {
    const now = Math.ceil(this.board.d.now / 60) * 60;
    this.run = Math.max(Math.round((this.run + seconds) / snap) * snap, now);
    this.tell();
  }

  /** hop goes to the next of its stations up or down. */
  hop(by: number): void {
    const able = this.stations(this.bar);
    this.station = able[Math.min(Math.max(able.indexOf(this.station) + by, 0), able.length - 1)] ?? this.station;
    this.tell();
  }

  /** tell shows and says where it would go. */
  tell(): void {
    this.show();
    this.board.follow(this.station, this.run);
    const own = this.board.d.bars.run[this.bar]!;
    const by = this.run === own ? "" : `, ${duration(Math.abs(this.run - own))} ${this.run > own ? "later" : "earlier"}`;
    this.say(`${this.board.d.stations[this.station]!.name}, ${this.board.clock.moment(this.run)}${by}. Enter drops it here, Escape leaves it where it is.`);
  }

  cancel(): void {
    if (!this.active) return;
    this.bar = -1;
    this.board.ghost = undefined;
    this.board.ask();
    this.say("Left where it is.");
  }

  drop(): void {
    if (!this.active) return;
    const { d } = this.board;
    const b = d.bars;
    const moved = this.run !== b.run[this.bar]!;
    if (!moved && this.station === b.station[this.bar]!) return this.cancel();
    const set = (name: string, value: string) => { (this.form.elements.namedItem(name) as HTMLInputElement).value = value; };
    set("job", d.jobs[b.job[this.bar]!]!);
    set("op", String(b.seq[this.bar]));
    set("station", d.stations[this.station]!.id);
    set("instant", moved ? String(this.run) : "");
    this.bar = -1;
    this.say("Working out what it would cost.");
    this.form.requestSubmit();
  }

  private show(): void {
    this.board.ghost = { bar: this.bar, station: this.station, run: this.run };
    this.board.ask();
  }
}

/** Panel shows what can be done by hand with the bar chosen. */
export class Panel {
  private asked = 0;
  private due = 0;

  constructor(private readonly place: HTMLElement, private readonly board: Board, private readonly plan: string) {
    place.addEventListener("keydown", (e) => { if (e.key === "Escape") board.canvas.focus(); });
  }

  choose(bar: number): void {
    clearTimeout(this.due);
    this.due = window.setTimeout(() => void this.load(bar), 150);
  }

  none(): void {
    clearTimeout(this.due);
    this.asked++;
    this.place.hidden = true;
  }

  /** enter goes into the panel; it is loaded first if need be. */
  async enter(bar: number): Promise<void> {
    clearTimeout(this.due);
    await this.load(bar);
    this.place.querySelector<HTMLElement>("h2")?.focus();
  }

  private async load(bar: number): Promise<void> {
    const { d } = this.board;
    const mine = ++this.asked;
    const q = new URLSearchParams({ part: "panel", plan: this.plan, job: d.jobs[d.bars.job[bar]!]!, op: String(d.bars.seq[bar]) });
    const answer = await fetch(`/plan/hand?${q}`);
    const text = await answer.text();
    if (mine !== this.asked) return; // another bar was chosen meanwhile
    if (answer.ok) this.place.innerHTML = text;
    else this.place.textContent = "What can be done by hand could not be had. Load the page again.";
    this.place.hidden = false;
  }
}

const kept = "tackline-board";

/** keepView remembers what is in sight when a form leads away, so that the next sheet shows the same. */
export function keepView(board: Board): void {
  document.addEventListener("submit", (e) => {
    if ((e.target as HTMLElement).closest("#drop, [data-tries], .trial, .hand")) {
      sessionStorage.setItem(kept, JSON.stringify([board.left, board.scale, board.top]));
    }
  });
  const text = sessionStorage.getItem(kept);
  sessionStorage.removeItem(kept);
  if (!text) return;
  const [left, scale, top] = JSON.parse(text) as number[];
  if (Number.isFinite(left) && Number.isFinite(scale) && Number.isFinite(top)) Object.assign(board, { left, scale, top });
}
