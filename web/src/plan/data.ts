// The Plan sheet's drawing as the server sends it: see planData in plandata.go.
export interface Station { id: string; name: string; centre: string; open: number; lanes: number; load: boolean }
export interface Unit { id: string; late: boolean; title: string }
export interface Bars {
  station: number[]; lane: number[]; state: number[]; name: number[]; item: number[]; job: number[]; unit: number[]; seq: number[];
  setup: number[]; run: number[]; end: number[]; able: number[]; hand: number[];
}
// What Bars.hand adds up.
export const onStation = 1, atTime = 2, notThere = 4;
export interface PlanData {
  zone: string; now: number; from: number; to: number;
  stations: Station[]; open: number[][]; states: { pattern: string; word: string }[];
  names: string[]; items: string[]; jobs: string[]; units: Unit[] | null; able: number[][] | null; bars: Bars;
}

/** Row is a station's place on the board, in pixels from the top of the scrolled content. */
export interface Row { top: number; height: number; lane: number; bars: number[] }

export const laneHigh = 22;
export const laneThin = 9;

/** rowsOf places the stations below each other and gives each its bars in order of their begin. */
export function rowsOf(d: PlanData): { rows: Row[]; height: number } {
  let top = 0;
  const rows = d.stations.map((s) => {
    const lane = s.load ? laneThin : laneHigh;
    const height = Math.max(s.lanes * lane + 8, 30);
    const row: Row = { top, height, lane, bars: [] };
    top += height;
    return row;
  });
  const n = d.bars.setup?.length ?? 0;
  for (let i = 0; i < n; i++) rows[d.bars.station[i]!]?.bars.push(i);
  for (const r of rows) r.bars.sort((a, b) => d.bars.setup[a]! - d.bars.setup[b]!);
  return { rows, height: top };
}

/** barsOfUnit gives the bars of one unit in order of their begin. */
export function barsOfUnit(d: PlanData, unit: number): number[] {
  const out: number[] = [];
  d.bars.unit.forEach((u, i) => { if (u === unit) out.push(i); });
  return out.sort((a, b) => d.bars.run[a]! - d.bars.run[b]!);
}

/** barsOfJob gives the bars of one job in order of their begin. */
export function barsOfJob(d: PlanData, job: number): number[] {
  const out: number[] = [];
  d.bars.job.forEach((j, i) => { if (j === job) out.push(i); });
  return out.sort((a, b) => d.bars.run[a]! - d.bars.run[b]!);
}
