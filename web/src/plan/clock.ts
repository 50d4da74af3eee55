// Wall clock time in the plant's zone. The browser knows the zone's rules; offsets are looked up once an hour of plan.
export class PlantClock {
  private readonly parts: Intl.DateTimeFormat;
  private readonly shown: Intl.DateTimeFormat;
  private readonly dayShown: Intl.DateTimeFormat;
  private readonly offsets = new Map<number, number>();

  constructor(zone: string) {
    const of = (o: Intl.DateTimeFormatOptions) => new Intl.DateTimeFormat("en-GB", { timeZone: zone, hourCycle: "h23", ...o });
    this.parts = of({ year: "numeric", month: "numeric", day: "numeric", hour: "numeric", minute: "numeric", second: "numeric" });
    this.shown = of({ weekday: "short", day: "numeric", month: "short", hour: "2-digit", minute: "2-digit" });
    this.dayShown = of({ weekday: "short", day: "numeric", month: "short" });
  }

  /** offset gives the seconds by which wall clocks are ahead of UTC at t. */
  offset(t: number): number {
    const hour = Math.floor(t / 3600);
    let o = this.offsets.get(hour);
    if (o === undefined) {
      const p: Record<string, number> = {};
      for (const { type, value } of this.parts.formatToParts(hour * 3600_000)) p[type] = Number(value);
      o = Date.UTC(p.year!, p.month! - 1, p.day, p.hour, p.minute, p.second) / 1000 - hour * 3600;
      this.offsets.set(hour, o);
    }
    return o;
  }

  moment(t: number): string { return this.shown.format(t * 1000).replace(",", ""); }
  day(t: number): string { return this.dayShown.format(t * 1000).replace(",", ""); }
  hour(t: number): string { const s = t + this.offset(t); return String(Math.floor(s / 3600) % 24).padStart(2, "0"); }

  /** ticks gives the instants from a to b at which the wall clock shows a multiple of step seconds since midnight or Monday. */
  ticks(a: number, b: number, step: number): number[] {
    const monday = 4 * 86400; // 1970-01-05
    const out: number[] = [];
    let wall = Math.ceil((a + this.offset(a) - monday) / step) * step + monday;
    for (let n = 0; n < 400; n++, wall += step) {
      let t = wall - this.offset(a);
      t = wall - this.offset(t);
      if (t > b) break;
      if (t >= a) out.push(t);
    }
    return out;
  }
}

/** duration says seconds in the largest unit that suits: "35 min", "9 h", "3.5 days". */
export function duration(s: number): string {
  const tidy = (x: number) => (Math.round(x * 10) / 10).toString();
  if (s < 3600) return `${Math.round(s / 60)} min`;
  if (s < 48 * 3600) return `${tidy(s / 3600)} h`;
  return `${tidy(s / 86400)} days`;
}
