// The board draws what is in sight of a plan on a canvas: some thousands of bars, at most a few hundred at a time.
import { PlantClock } from "./clock";
import { atTime, onStation, PlanData, Row, rowsOf } from "./data";
import { Inks, readInks } from "./ink";

export const head = 40; // height of the time scale

/** Ghost is where a bar taken up by hand would go. */
export interface Ghost { bar: number; station: number; run: number }

export class Board {
  readonly clock: PlantClock;
  readonly rows: Row[];
  readonly height: number;
  left: number; // instant at the left edge
  scale: number; // seconds a pixel
  top = 0; // pixels scrolled down
  lit = new Set<number>(); // bars lit up
  at = -1; // bar chosen
  ghost: Ghost | undefined;
  private readonly g: CanvasRenderingContext2D;
  private inks: Inks;
  private asked = false;

  constructor(readonly canvas: HTMLCanvasElement, readonly d: PlanData) {
    this.g = canvas.getContext("2d")!;
    this.inks = readInks(canvas, this.g);
    this.clock = new PlantClock(d.zone);
    ({ rows: this.rows, height: this.height } = rowsOf(d));
    this.left = d.now - 3 * 3600;
    this.scale = 90;
    this.fit();
  }

  /** names is the width of the column of station names. */
  get names(): number { return this.canvas.clientWidth < 600 ? 96 : 178; }
  get width(): number { return Math.max(40, this.canvas.clientWidth - this.names); }
  get view(): number { return this.canvas.clientHeight - head; }
  x(t: number): number { return this.names + (t - this.left) / this.scale; }
  t(x: number): number { return this.left + (x - this.names) * this.scale; }

  /** fit matches the canvas to its place on the page and to the theme. */
  fit(): void {
    const k = devicePixelRatio || 1;
    this.canvas.width = Math.round(this.canvas.clientWidth * k);
    this.canvas.height = Math.round(this.canvas.clientHeight * k);
    this.inks = readInks(this.canvas, this.g);
    this.ask();
  }

  /** ask draws at the next frame, once however often it is asked. */
  ask(): void {
    if (this.asked) return;
    this.asked = true;
    requestAnimationFrame(() => { this.asked = false; this.hold(); this.draw(); });
  }

  /** hold keeps the view on the plan. */
  private hold(): void {
    const longest = (this.d.to - this.d.from) * 1.1 + 86400;
    this.scale = Math.min(Math.max(this.scale, 2), longest / this.width);
    const span = this.width * this.scale;
    this.left = Math.min(Math.max(this.left, this.d.from - span * 0.5), this.d.to - span * 0.5);
    this.top = Math.min(Math.max(this.top, 0), Math.max(0, this.height - this.view));
  }

  zoom(factor: number, aroundX: number): void {
    const t = this.t(aroundX);
    this.scale *= factor;
    this.hold();
    this.left = t - (aroundX - this.names) * this.scale;
    this.ask();
  }

  /** show brings a bar into sight. */
  show(bar: number): void {
    const b = this.d.bars;
    const row = this.rows[b.station[bar]!]!;
    const span = this.width * this.scale;
    if (b.run[bar]! < this.left + span * 0.05 || b.end[bar]! > this.left + span * 0.95) this.left = b.run[bar]! - span * 0.3;
    if (row.top < this.top || row.top + row.height > this.top + this.view) this.top = row.top - this.view / 3;
    this.ask();
  }

  /** barAt finds the bar under a point of the canvas; -1 if there is none. */
  barAt(x: number, y: number): number {
    if (x < this.names || y < head) return -1;
    const yy = y - head + this.top;
    const b = this.d.bars;
    const t = this.t(x);
    const slack = 3 * this.scale;
    for (let s = 0; s < this.rows.length; s++) {
      const row = this.rows[s]!;
      if (yy < row.top || yy >= row.top + row.height) continue;
      const lane = Math.floor((yy - row.top - 4) / row.lane);
      let best = -1;
      for (const i of row.bars) {
        if (b.setup[i]! > t + slack) break;
        if (b.lane[i] === lane && b.end[i]! >= t - slack) best = i;
      }
      return best;
    }
    return -1;
  }

  /** stationAt finds the station whose row lies at a height of the canvas; -1 if there is none. */
  stationAt(y: number): number {
    const yy = y - head + this.top;
    return this.rows.findIndex((r) => yy >= r.top && yy < r.top + r.height);
  }

  /** follow keeps a place in sight. */
  follow(station: number, t: number): void {
    const row = this.rows[station]!;
    const span = this.width * this.scale;
    if (t < this.left + span * 0.05 || t > this.left + span * 0.9) this.left = t - span * 0.4;
    if (row.top < this.top || row.top + row.height > this.top + this.view) this.top = row.top - this.view / 3;
    this.ask();
  }

  private draw(): void {
    const { g, inks } = this;
    const k = devicePixelRatio || 1;
    const w = this.canvas.clientWidth, h = this.canvas.clientHeight;
    g.setTransform(k, 0, 0, k, 0, 0);
    g.fillStyle = inks.ground;
    g.fillRect(0, 0, w, h);
    g.save();
    g.beginPath();
    g.rect(this.names, head, w - this.names, h - head);
    g.clip();
    this.rows.forEach((row, s) => { if (this.inSight(row)) this.drawClosed(s, row); });
    this.drawTicks(h);
    this.rows.forEach((row) => { if (this.inSight(row)) this.drawRow(row); });
    this.drawNow(h);
    this.drawGhost();
    g.restore();
    this.drawNames(h);
    this.drawScale(w);
  }

  private inSight(row: Row): boolean { return row.top + row.height > this.top && row.top < this.top + this.view; }

  private drawClosed(s: number, row: Row): void {
    const { g, inks } = this;
    const open = this.d.open[this.d.stations[s]!.open]!;
    const y = head + row.top - this.top;
    g.fillStyle = inks.wash;
    g.fillRect(this.names, y, this.width, row.height - 1);
    g.fillStyle = inks.ground;
    const right = this.t(this.names + this.width);
    for (let i = 0; i < open.length; i += 2) {
      if (open[i + 1]! < this.left) continue;
      if (open[i]! > right) break;
      const x = Math.max(this.names, this.x(open[i]!));
      g.fillRect(x, y, this.x(open[i + 1]!) - x, row.height - 1);
    }
    g.fillStyle = inks.line;
    g.fillRect(this.names, y + row.height - 1, this.width, 1);
  }

  private drawRow(row: Row): void {
    const b = this.d.bars;
    const right = this.t(this.names + this.width);
    for (const i of row.bars) {
      if (b.setup[i]! > right) break;
      if (b.end[i]! >= this.left) this.drawBar(i, row);
    }
  }

  private drawBar(i: number, row: Row): void {
    const { g, inks } = this;
    const b = this.d.bars;
    const y = head + row.top - this.top + 4 + b.lane[i]! * row.lane;
    const high = row.lane - (row.lane > 12 ? 4 : 2);
    const x0 = this.x(b.setup[i]!), x1 = this.x(b.run[i]!), x2 = Math.max(this.x(b.end[i]!), x1 + 1.5);
    const lit = this.lit.size === 0 || this.lit.has(i);
    g.globalAlpha = lit ? 1 : 0.22;
    if (x1 - x0 > 1) {
      g.fillStyle = inks.fill("setup");
      g.fillRect(x0, y, x1 - x0, high);
      g.strokeStyle = inks.ink;
      g.lineWidth = 1;
      g.strokeRect(x0 + 0.5, y + 0.5, x1 - x0, high - 1);
    }
    g.fillStyle = inks.fill(this.d.states[b.state[i]!]!.pattern);
    g.fillRect(x1, y, x2 - x1, high);
    const late = b.unit[i]! >= 0 && this.d.units![b.unit[i]!]!.late;
    g.strokeStyle = late ? inks.pencil : inks.ink;
    g.lineWidth = i === this.at ? 3 : this.lit.has(i) ? 2.4 : late ? 1.6 : 1;
    g.strokeRect(x1 + 0.5, y + 0.5, x2 - x1 - 1, high - 1);
    const pinned = (b.hand[i]! & (onStation | atTime)) > 0;
    if (x2 - x1 > 46 && high > 12) this.letter(i, pinned ? x1 + 10 : x1, x2, y, high, pinned ? "pinned " : "");
    if (pinned) this.drawPin(Math.max(x1, this.names) + 1, y, high);
    g.globalAlpha = 1;
  }

  /** drawPin draws the sign of work that is pinned: a drawing pin with its head on the upper edge of the bar. */
  private drawPin(x: number, y: number, high: number): void {
    const { g, inks } = this;
    const r = high > 12 ? 4.5 : 3;
    g.fillStyle = inks.ink;
    g.strokeStyle = inks.ground;
    g.lineWidth = 1.5;
    g.beginPath();
    g.moveTo(x + r - 1.4, y + r);
    g.lineTo(x + r, y + Math.min(high, r * 3.4));
    g.lineTo(x + r + 1.4, y + r);
    g.closePath();
    g.stroke();
    g.fill();
    g.beginPath();
    g.arc(x + r, y + r - 1, r, 0, 2 * Math.PI);
    g.fill();
    g.stroke();
    g.fillStyle = inks.ground;
    g.beginPath();
    g.arc(x + r, y + r - 1, r * 0.34, 0, 2 * Math.PI);
    g.fill();
  }

  private drawGhost(): void {
    if (!this.ghost) return;
    const { g, inks } = this;
    const { bar, station, run } = this.ghost;
    const b = this.d.bars;
    const row = this.rows[station]!;
    const y = head + row.top - this.top + 4 + (station === b.station[bar] ? b.lane[bar]! * row.lane : 0);
    const high = row.lane - (row.lane > 12 ? 4 : 2);
    const x = this.x(run), w = Math.max((b.end[bar]! - b.run[bar]!) / this.scale, 3);
    g.fillStyle = inks.ground;
    g.globalAlpha = 0.72;
    g.fillRect(x, y, w, high);
    g.globalAlpha = 1;
    g.strokeStyle = inks.focus;
    g.lineWidth = 2.5;
    g.setLineDash([6, 3]);
    g.strokeRect(x, y, w, high);
    g.setLineDash([]);
    g.fillStyle = inks.focus;
    g.fillRect(x - 1, head, 2, row.top - this.top + 4 + high);
    const text = this.clock.moment(run);
    g.font = `700 12px ${inks.font}`;
    g.textBaseline = "middle";
    const wide = g.measureText(text).width + 8;
    const ty = Math.max(y - 11, head + 9);
    g.fillStyle = inks.ground;
    g.fillRect(x + 2, ty - 8, wide, 16);
    g.fillStyle = inks.focus;
    g.fillText(text, x + 6, ty);
  }

  /** letter writes unit or job on a bar that has room for it. */
  private letter(i: number, x1: number, x2: number, y: number, high: number, before: string): void {
    const { g, inks } = this;
    const b = this.d.bars;
    const left = Math.max(x1, this.names) + 4;
    const pattern = this.d.states[b.state[i]!]!.pattern;
    if (pattern !== "plain" && pattern !== "done") return;
    const text = before + (b.unit[i]! >= 0 ? this.d.units![b.unit[i]!]!.id : this.d.jobs[b.job[i]!]!);
    g.save();
    g.beginPath();
    g.rect(left, y, x2 - left - 3, high);
    g.clip();
    g.font = `12px ${inks.font}`;
    g.textBaseline = "middle";
    g.fillStyle = pattern === "done" ? inks.ground : inks.ink;
    g.fillText(text, left, y + high / 2 + 0.5);
    g.restore();
  }

  private get step(): number {
    const want = this.scale * 90;
    for (const s of [900, 1800, 3600, 2 * 3600, 4 * 3600, 6 * 3600, 12 * 3600, 86400, 2 * 86400, 7 * 86400]) if (s >= want) return s;
    return 28 * 86400;
  }

  private drawTicks(h: number): void {
    const { g, inks } = this;
    g.fillStyle = inks.hair;
    const right = this.t(this.names + this.width);
    for (const t of this.clock.ticks(this.left, right, this.step)) g.fillRect(Math.round(this.x(t)), head, 1, h);
    g.fillStyle = inks.line;
    for (const t of this.clock.ticks(this.left, right, this.step > 86400 ? 7 * 86400 : 86400)) g.fillRect(Math.round(this.x(t)), head, 1, h);
  }

  private drawScale(w: number): void {
    const { g, inks } = this;
    const right = this.t(this.names + this.width);
    g.save();
    g.fillStyle = inks.ground;
    g.fillRect(0, 0, w, head);
    g.fillStyle = inks.ink;
    g.fillRect(0, head - 1, w, 1.5);
    g.beginPath();
    g.rect(this.names, 0, w - this.names, head);
    g.clip();
    g.textBaseline = "alphabetic";
    g.font = `12px ${inks.font}`;
    const step = this.step;
    if (step < 86400) {
      g.fillStyle = inks.soft;
      for (const t of this.clock.ticks(this.left, right, step)) {
        g.fillText(step < 3600 ? this.clock.moment(t).slice(-5) : this.clock.hour(t), this.x(t) + 3, head - 7);
      }
    }
    g.fillStyle = inks.ink;
    const days = this.clock.ticks(this.left - 86400, right, Math.max(step, 86400));
    days.forEach((t, i) => {
      const next = days[i + 1] ?? right;
      const x = Math.max(this.x(t), this.names) + 3;
      if (this.x(next) - x > 84 || i === days.length - 1) g.fillText(this.clock.day(t), x, step < 86400 ? 16 : head - 12);
    });
    g.restore();
  }

  private drawNow(h: number): void {
    const { g, inks } = this;
    g.fillStyle = inks.pencil;
    g.fillRect(this.x(this.d.now) - 1, head, 2, h - head);
  }

  private drawNames(h: number): void {
    const { g, inks } = this;
    g.save();
    g.fillStyle = inks.ground;
    g.fillRect(0, head, this.names, h - head);
    g.beginPath();
    g.rect(0, head, this.names, h - head);
    g.clip();
    g.font = `13px ${inks.font}`;
    g.textBaseline = "middle";
    this.rows.forEach((row, s) => {
      if (!this.inSight(row)) return;
      const y = head + row.top - this.top;
      g.fillStyle = inks.line;
      g.fillRect(0, y + row.height - 1, this.names, 1);
      g.fillStyle = inks.ink;
      g.fillText(this.d.stations[s]!.name, 4, y + Math.min(row.height / 2, 15), this.names - 10);
    });
    g.restore();
    g.fillStyle = inks.ink;
    g.fillRect(this.names - 1, 0, 1.5, h);
  }
}
