// Inks and section-lining for the canvas, read from the theme, so that the board looks like the rest of the sheet.
export interface Inks {
  ground: string; raise: string; wash: string; ink: string; soft: string; line: string; hair: string; pencil: string; focus: string;
  font: string; fill: (pattern: string) => CanvasPattern | string;
}

export function readInks(el: HTMLElement, g: CanvasRenderingContext2D): Inks {
  const css = getComputedStyle(el);
  const v = (name: string) => css.getPropertyValue(name).trim();
  const inks: Inks = {
    ground: v("--ground"), raise: v("--raise"), wash: v("--wash"), ink: v("--ink"), soft: v("--soft"), line: v("--line"),
    hair: v("--hair"), pencil: v("--pencil"), focus: v("--focus"), font: css.fontFamily, fill: () => v("--raise"),
  };
  const made = new Map<string, CanvasPattern | string>();
  inks.fill = (pattern) => {
    let f = made.get(pattern);
    if (f === undefined) {
      f = lining(pattern, inks, g);
      made.set(pattern, f);
    }
    return f;
  };
  return inks;
}

type Stroke = (c: CanvasRenderingContext2D) => void;
const diagonal: Stroke = (c) => { c.moveTo(-2, 10); c.lineTo(10, -2); c.moveTo(-2, 2); c.lineTo(2, -2); c.moveTo(6, 10); c.lineTo(10, 6); };
const other: Stroke = (c) => { c.moveTo(-2, -2); c.lineTo(10, 10); };
const strokes: Record<string, { w: number; h: number; draw: Stroke; width: number }> = {
  run: { w: 8, h: 8, draw: diagonal, width: 1.5 },
  held: { w: 8, h: 8, draw: (c) => { diagonal(c); other(c); }, width: 1.1 },
  setup: { w: 6, h: 5, draw: (c) => { c.moveTo(0, 2.5); c.lineTo(6, 2.5); }, width: 1 },
  frozen: { w: 5, h: 6, draw: (c) => { c.moveTo(2.5, 0); c.lineTo(2.5, 6); }, width: 1 },
  away: { w: 12, h: 6, draw: (c) => { c.moveTo(0, 3); c.lineTo(5, 3); c.moveTo(8, 3); c.lineTo(9.5, 3); }, width: 1.2 },
  dry: { w: 12, h: 6, draw: (c) => { c.moveTo(0, 3); c.quadraticCurveTo(3, -0.5, 6, 3); c.quadraticCurveTo(9, 6.5, 12, 3); }, width: 1.1 },
};

function lining(pattern: string, inks: Inks, g: CanvasRenderingContext2D): CanvasPattern | string {
  if (pattern === "done") return inks.ink;
  const s = strokes[pattern];
  if (!s) return inks.raise;
  const tile = document.createElement("canvas");
  const k = Math.max(1, Math.round(devicePixelRatio));
  tile.width = s.w * k;
  tile.height = s.h * k;
  const c = tile.getContext("2d")!;
  c.scale(k, k);
  c.fillStyle = inks.raise;
  c.fillRect(0, 0, s.w, s.h);
  c.strokeStyle = inks.ink;
  c.lineWidth = s.width;
  c.beginPath();
  s.draw(c);
  c.stroke();
  const p = g.createPattern(tile, "repeat")!;
  p.setTransform(new DOMMatrix().scale(1 / k));
  return p;
}
