// What a planner does by hand on the Plan sheet: bars moved by keyboard and by mouse, tried, taken back, kept, undone; and the same
// without script. The steps are part of e2e.mjs.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { withoutScript } from "./plain.mjs";

const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

export function byHand({ page, base, browser, password }) {
  let chosen; // the bar that the steps move

  const ready = () => page.waitForSelector(".board[data-ready]");
  const lit = () => page.locator("#lit").textContent();

  // clean asks axe about the sheet at three widths.
  async function clean(what) {
    const { width, height } = page.viewportSize();
    for (const w of [width, 1024, 390]) {
      await page.setViewportSize({ width: w, height });
      const wide = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
      assert.ok(wide <= 0, `${what} is ${wide} px wider than its window of ${w}`);
      await page.evaluate(axe);
      const found = await page.evaluate(() => globalThis.axe.run(document, { resultTypes: ["violations"] }));
      assert.deepEqual(found.violations.map((v) => `${v.id}: ${v.nodes[0].target}`), [], what);
    }
    await page.setViewportSize({ width, height });
  }

  // choose opens the Plan sheet on a bar that can go to several stations, some days ahead.
  async function choose() {
    await page.goto(base + "/plan");
    await ready();
    chosen ??= await page.evaluate(async () => {
      const d = await (await fetch(document.querySelector(".board").dataset.plan)).json();
      const b = d.bars;
      const i = b.able.findIndex((a, k) => a >= 0 && d.able[a].length > 1 && b.run[k] > d.now + 2 * 86400 && b.end[k] - b.run[k] > 2 * 3600 && b.hand[k] === 0 && !d.stations[b.station[k]].load);
      return { job: d.jobs[b.job[i]], op: b.seq[i], station: d.stations[b.station[i]].name, stations: d.able[b.able[i]].map((s) => d.stations[s].name) };
    });
    await page.goto(`${base}/plan?job=${encodeURIComponent(chosen.job)}&op=${chosen.op}`);
    await ready();
    await page.waitForSelector("#hand:not([hidden]) form");
  }

  // find looks for the chosen bar on the board with the mouse, as a person does, and gives its place.
  async function find() {
    await page.locator("#board").evaluate((e) => window.scrollTo(0, e.getBoundingClientRect().top + window.scrollY - 8));
    const box = await page.locator("#board").boundingBox();
    const panel = await page.locator("#hand").boundingBox();
    const whole = box.width + (panel.y < box.y + box.height ? panel.width + 14 : 0); // when the bar was chosen, before the panel came
    const left = box.x + 178 + (whole - 178) * 0.3; // the board shows a chosen bar there
    const step = 7;
    for (const x of [left + 12, left + 4, left + 2]) { // a bar may be narrow
      for (let y = box.y + 46; y < Math.min(box.y + box.height, page.viewportSize().height); y += step) {
        await page.mouse.move(x, y);
        if ((await page.locator("#tip").isVisible()) && (await page.locator("#tip").textContent()).includes(`job ${chosen.job}, operation ${chosen.op},`)) return { x, y };
      }
    }
    throw new Error("the chosen bar is not on the board");
  }

  return {
    async "a bar is moved by keyboard, tried and taken back"() {
      await choose();
      await clean("the Plan sheet with its panel");
      await page.focus("#board");
      await page.keyboard.press("m");
      for (let i = 0; i < 4; i++) await page.keyboard.press("Shift+ArrowRight");
      assert.match(await lit(), /4 h later\. Enter drops it here, Escape leaves it/);
      await page.keyboard.press(chosen.stations.at(-1) === chosen.station ? "ArrowUp" : "ArrowDown");
      const where = await lit();
      assert.ok(chosen.stations.some((s) => s !== chosen.station && where.startsWith(s + ",")), where);
      await page.keyboard.press("Escape");
      assert.match(await lit(), /Left where it is/);
      assert.doesNotMatch(page.url(), /try=/);
      await page.keyboard.press("m");
      await page.keyboard.press("PageDown");
      await page.keyboard.press("Enter");
      await page.waitForURL(/try=\d+/);
      await ready();
      assert.match(await page.locator("h1").textContent(), /^Tried: Pin operation/);
      assert.match(await page.locator(".says").textContent(), /^It costs .* plan \d+ /);
      await clean("a trial");
      await page.click("text=Take it back");
      await page.waitForURL(/told=back/);
      await page.goto(base + "/book/pins");
      assert.equal(await page.locator("#list tbody tr").count(), 0);
    },
    async "a bar is dragged by mouse, kept, marked, and unpinned again"() {
      await choose();
      const at = await find();
      await page.mouse.down();
      for (let i = 1; i <= 8; i++) await page.mouse.move(at.x + i * 15, at.y);
      await page.mouse.up();
      await page.waitForURL(/try=\d+/);
      await page.click("text=Keep as a draft");
      await page.waitForURL(/told=kept/);
      await ready();
      assert.match(await lit(), /pinned by hand to its station at its time/);
      assert.match(await page.locator(".hands").textContent(), new RegExp(`${chosen.op} .* of job ${chosen.job.replaceAll("+", "\\+")}: pinned on`));
      await page.click(".hands button:has-text('Unpin')");
      await page.waitForURL(/try=\d+/);
      assert.equal(await page.locator(".hands").count(), 0);
      await page.click("text=Keep as a draft");
      await page.waitForURL(/told=kept/);
      await page.goto(base + "/book/history?table=pins");
      assert.equal(await page.locator("main").getByText(chosen.job).count() > 1, true);
    },
    async "a pointer that only clicks moves nothing, and Escape lets a drag go"() {
      await choose();
      const at = await find();
      await page.mouse.down();
      await page.mouse.up();
      assert.doesNotMatch(page.url(), /try=/);
      await page.mouse.down();
      await page.mouse.move(at.x + 60, at.y, { steps: 4 });
      await page.keyboard.press("Escape");
      await page.mouse.up();
      await page.waitForTimeout(300);
      assert.doesNotMatch(page.url(), /try=/);
    },
    async "what is done by hand works without script"() {
      const plain = await withoutScript(browser, base, password);
      await plain.goto(`${base}/times?job=${encodeURIComponent(chosen.job)}&op=${chosen.op}`);
      await plain.click("text=by hand");
      await plain.selectOption("select[name=station]", { label: chosen.stations.find((s) => s !== chosen.station) });
      await plain.fill("input[name=note]", "without script");
      await plain.click("button[value=pin]");
      assert.match(await plain.locator("h1").textContent(), /^Tried: Pin operation/);
      await plain.click("text=Take it back");
      assert.match(await plain.locator("main").textContent(), /Taken back/);
      await plain.context().close();
    },
    async "the form of what is done by hand is clean and says what is wrong"() {
      await page.goto(`${base}/plan/hand?job=${encodeURIComponent(chosen.job)}&op=${chosen.op}`);
      await page.locator("form.handform").evaluate((f) => { f.noValidate = true; });
      await page.fill("input[name=at]", "2020-01-01T06:00");
      await page.click("button[value=pin]");
      assert.match(await page.locator(".faults").textContent(), /a time from now on/);
      await clean("the form with a fault");
    },
  };
}
