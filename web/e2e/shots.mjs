// Pictures of every sheet in both themes at three widths, with the findings of axe.
//   node web/e2e/shots.mjs BASEURL OUTDIR [--only NAME,NAME] [--user planner --password planner-pass] [--widths 1440,390] [--window]
// --window pictures only what the window shows, not the whole sheet.
// Exits 1 if axe finds anything, if the console shows an error, or if a page is wider than its window.
import { chromium } from "playwright-core";
import { mkdirSync, readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";

const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const [base, out] = process.argv.slice(2);
if (!base || !out) {
  console.error("usage: node web/e2e/shots.mjs BASEURL OUTDIR");
  process.exit(2);
}
const option = (name, fallback) => {
  const i = process.argv.indexOf("--" + name);
  return i < 0 ? fallback : process.argv[i + 1];
};
const only = option("only", "").split(",").filter(Boolean);
const widths = option("widths", "1440,1024,390").split(",").map(Number);
const user = option("user", "planner");
const password = option("password", "planner-pass");

// Sheets by name. A function finds an address on the sheet that is open: the first unit, the first station.
const first = (path, ...selectors) => async (page) => {
  await page.goto(base + path);
  for (const selector of selectors) if (await page.locator(selector).count()) return page.locator(selector).first().getAttribute("href");
};
// A late unit says the most.
const someUnit = first("/orders", "tr:has(time.late) th a", "tr:has(time) th a", "table.list th a");
// The last operation of a unit is still to be planned.
const byHand = async (page) => {
  await page.goto(base + (await someUnit(page)));
  return (await page.locator("#list a[href^='/times?']").last().getAttribute("href"))?.replace("/times?", "/plan/hand?");
};
const sheets = {
  "sign-in": "/sign-in",
  morning: "/",
  orders: "/orders",
  unit: someUnit,
  times: someUnit,
  plan: "/plan",
  hand: byHand,
  draft: "/plan/new?kind=overtime",
  kept: "/plan/kept",
  compare: "/plan/compare",
  "compare-load": "/plan/compare?part=load",
  "compare-cost": "/plan/compare?part=cost",
  stations: "/stations",
  station: first("/stations", "tr:has(td a) th a", "table.list tbody th a[href^='/stations/']"),
  floor: "/floor",
  wall: "/floor/brackwater/wall",
  terminal: first("/floor", "a.tile"),
  kits: "/kits",
  kit: first("/kits", "table.list a[href^='/kit?']"),
  load: "/load",
  "load-operations": first("/load", "table.list a[href^='/load/operations']"),
  materials: "/materials",
  shortages: "/shortages",
  book: "/book",
  account: "/account",
  missing: "/no-such-sheet",
};

const findings = [];
const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", args: ["--no-sandbox", "--disable-gpu", "--disable-background-networking"] });
mkdirSync(out, { recursive: true });

async function address(page, name, where) {
  if (typeof where === "string") return where;
  let at = await where(page);
  if (name === "times" && at) {
    await page.goto(base + at);
    at = await page.locator("a[href^='/times?']").first().getAttribute("href");
  }
  return at;
}

async function look(page, name, theme, width) {
  const wide = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
  if (wide > 0) findings.push(`${name} ${width} ${theme}: the page is ${wide} px wider than its window`);
  await page.evaluate(axe);
  const result = await page.evaluate(() => globalThis.axe.run(document, { resultTypes: ["violations"] }));
  for (const v of result.violations)
    findings.push(`${name} ${width} ${theme}: ${v.id}: ${v.help}: ${v.nodes.slice(0, 3).map((n) => n.target.join(" ") + " " + (n.any[0]?.message ?? "")).join("; ")}`);
}

for (const theme of ["paper", "blueprint"]) {
  for (const width of widths) {
    // axe is put in by the test, which the content policy would refuse; that policy is tested on its own.
    const context = await browser.newContext({ viewport: { width, height: width < 500 ? 844 : 900 }, colorScheme: theme === "paper" ? "light" : "dark", bypassCSP: false });
    const page = await context.newPage();
    page.on("console", (m) => m.type() === "error" && !m.text().includes("404") && findings.push(`${page.url()} console: ${m.text()}`));
    page.on("pageerror", (e) => findings.push(`${page.url()} script: ${e.message}`));
    for (const [name, where] of Object.entries(sheets)) {
      if (only.length && !only.includes(name)) continue;
      if (name !== "sign-in" && !(await context.cookies()).some((c) => c.name === "tackline")) {
        await page.goto(base + "/sign-in");
        await page.fill("input[name=name]", user);
        await page.fill("input[name=password]", password);
        await page.click("form.stack button");
        await page.waitForLoadState();
      }
      const at = await address(page, name, where);
      if (!at) {
        findings.push(`${name}: found no address`);
        continue;
      }
      const answer = await page.goto(base + at);
      if (!answer.ok() && name !== "missing") {
        if (answer.status() === 404) continue; // a sheet that this program does not have
        findings.push(`${name}: status ${answer.status()}`);
      }
      await page.evaluate(() => document.fonts.ready.then(() => true));
      if (name === "plan") await page.waitForTimeout(1000); // its drawing comes after the page
      await page.screenshot({ path: join(out, `${name}-${width}-${theme}.png`), fullPage: !process.argv.includes("--window") });
      await look(page, name, theme, width);
    }
    await context.close();
  }
}
await browser.close();
console.log(findings.length ? findings.join("\n") : "nothing found");
process.exit(findings.length ? 1 : 0);
