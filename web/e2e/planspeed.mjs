// How fast the Plan sheet of the demo is in Chromium: from the click to a drawn board, and frames while panning.
//   node web/e2e/planspeed.mjs BASEURL [--password P]   prints one line of figures
import { chromium } from "playwright-core";

const base = process.argv[2];
const i = process.argv.indexOf("--password");
const password = i < 0 ? "drawing-board" : process.argv[i + 1];
const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", args: ["--no-sandbox", "--disable-gpu", "--disable-background-networking"] });
const page = await browser.newPage({ viewport: { width: 1440, height: 900 } });
await page.goto(base + "/sign-in");
await page.fill("input[name=name]", "planner");
await page.fill("input[name=password]", password);
await Promise.all([page.waitForNavigation(), page.click("main button")]);

const opened = [];
let bars = 0;
for (let n = 0; n < 5; n++) {
  const began = performance.now();
  await page.goto(base + "/plan");
  await page.waitForSelector(".board[data-ready]");
  bars = Number(await page.getAttribute(".board", "data-ready"));
  await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
  opened.push(performance.now() - began);
}
await page.click("[data-do=week]");
const frames = await page.evaluate(async () => {
  const canvas = document.querySelector("#board");
  const times = [];
  let last = performance.now();
  for (let n = 0; n < 90; n++) {
    canvas.dispatchEvent(new KeyboardEvent("keydown", { key: n % 30 < 15 ? "ArrowRight" : "ArrowLeft" }));
    await new Promise((done) => requestAnimationFrame(done));
    const now = performance.now();
    times.push(now - last);
    last = now;
  }
  return times.sort((a, b) => a - b);
});
const middle = (list) => [...list].sort((a, b) => a - b)[Math.floor(list.length / 2)];
console.log(`${bars} bars: open to drawn median ${middle(opened).toFixed(0)} ms, worst of ${opened.length} ${Math.max(...opened).toFixed(0)} ms; panning frame median ${middle(frames).toFixed(1)} ms, p95 ${frames[Math.floor(frames.length * 0.95)].toFixed(1)} ms`);
await browser.close();
