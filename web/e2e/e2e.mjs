// What a person does, in a real browser: sign in, look, filter, plan, adopt, edit a calendar, plan again, import.
//   node web/e2e/run.mjs web/e2e/e2e.mjs
// Steps run in order; the first that fails stops the run with exit code 1 and a picture in test-results/.
import assert from "node:assert/strict";
import { mkdirSync } from "node:fs";
import { chromium } from "playwright-core";
import { byHand } from "./byhand.mjs";
import { drafts } from "./drafts.mjs";
import { onTheFloor } from "./floor.mjs";
import { replanning } from "./replan.mjs";

const base = process.argv[2];
const password = process.env.PASSWORD ?? "drawing-board";
const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", args: ["--no-sandbox", "--disable-gpu", "--disable-background-networking"] });
const context = await browser.newContext({ viewport: { width: 1440, height: 900 }, acceptDownloads: true });
const page = await context.newPage();
page.setDefaultTimeout(20_000);
const trouble = [];
page.on("pageerror", (e) => trouble.push(`script: ${e.message}`));
page.on("console", (m) => m.type() === "error" && /Content Security Policy|Uncaught/.test(m.text()) && trouble.push(m.text()));

const heading = () => page.locator("h1").textContent();
const rows = () => page.locator("#list tbody tr").count();

async function signIn(name, word = password) {
  await page.goto(base + "/sign-in");
  await page.fill("input[name=name]", name);
  await page.fill("input[name=password]", word);
  await page.click("form.stack button");
}

async function signOut() {
  await page.click("text=Sign out");
  await page.waitForURL("**/sign-in");
}

// plan starts a run from the Plan sheet and waits for the draft that it makes.
async function plan(name) {
  await page.goto(base + "/plan");
  await page.fill(".planform input[name=name]", name);
  await page.fill(".planform input[name=seconds]", "1");
  await page.click(".planform button");
  await page.waitForURL(/plan\?plan=\d+/, { timeout: 90_000 }); // the sheet goes to the draft by itself
}

const steps = {
  async "a wrong password is refused in words"() {
    await signIn("planner", "not the password");
    assert.match(await page.locator("[role=alert]").textContent(), /do not fit/);
  },
  async "an operator may not open the load"() {
    await signIn("operator");
    assert.equal((await page.goto(base + "/load")).status(), 403);
    assert.match(await page.locator("main").textContent(), /This sheet is for/);
    await signOut();
  },
  async "a planner signs in and sees the morning"() {
    await signIn("planner");
    assert.match(await heading(), /day .*\d\d:\d\d/);
    assert.ok((await page.locator("#ships").count()) === 1);
  },
  async "orders filter while typing, and the list leads back"() {
    await page.goto(base + "/orders");
    const all = await page.locator("#list [data-count]").first().textContent();
    await page.fill("input[name=q]", "grapple");
    await page.waitForURL("**q=grapple**");
    assert.notEqual(await page.locator("#list [data-count]").first().textContent(), all);
    await page.click("#list >> text=Show all");
    assert.equal(await page.locator("#list [data-count]").first().textContent(), all);
  },
  async "a unit shows its map, an explanation that adds up, and its arithmetic"() {
    await page.click("table.list tbody th a >> nth=0");
    assert.ok((await page.locator("figure.figure svg a").count()) > 3);
    const minutes = (s) => [...s.matchAll(/(\d+) (h|min)/g)].reduce((sum, m) => sum + Number(m[1]) * (m[2] === "h" ? 60 : 1), 0);
    const parts = await page.locator("table.why tbody td:nth-of-type(2)").allTextContents();
    const total = await page.locator("table.why tfoot td").first().textContent();
    assert.equal(parts.reduce((sum, s) => sum + minutes(s), 0), minutes(total));
    await page.click("#list a[href^='/times?'] >> nth=0");
    assert.ok((await page.locator("section.sum code").count()) > 0);
  },
  async "an export holds the filtered rows"() {
    await page.goto(base + "/orders?q=grapple");
    const [download] = await Promise.all([page.waitForEvent("download"), page.click("#list >> text=CSV")]);
    assert.equal(download.suggestedFilename(), "orders.csv");
  },
  async "planning makes a draft, which is adopted"() {
    await plan("first try");
    await page.click("text=Adopt this draft");
    await page.waitForLoadState();
    await page.goto(base + "/");
    assert.match(await page.locator(".titleblock").textContent(), /adopted/);
  },
  ...byHand({ page, base, browser, password }),
  ...drafts({ page, base, browser, password }),
  async "a changed calendar is kept in the history and taken into the next plan"() {
    await page.goto(base + "/book/shifts");
    await page.click("table.list tbody th a >> nth=0");
    const until = page.locator("[name='c.to']");
    const before = await until.inputValue();
    await until.fill(before === "13:30" ? "13:00" : "13:30");
    await page.click("button[value=save]");
    await page.waitForLoadState();
    await page.goto(base + "/book/history?table=shifts");
    assert.match(await page.locator("main").textContent(), /13:[03]0/);
    await plan("after the shift changed");
    assert.match(await heading(), /\S/);
  },
  ...replanning({ page, base }),
  ...onTheFloor({ browser, base, password, trouble }),
  async "the exported workbook is imported again"() {
    await page.goto(base + "/book");
    const [download] = await Promise.all([page.waitForEvent("download"), page.click("a[href='/book/export.xlsx']")]);
    const path = await download.path();
    await page.setInputFiles("input[type=file]", { name: "plant.xlsx", mimeType: "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", buffer: (await import("node:fs")).readFileSync(path) });
    const send = page.locator("form:has(input[type=file]) button").first();
    if (await send.isVisible()) await send.click();
    await page.waitForLoadState();
    assert.equal(await page.locator(".faults").count(), 0);
  },
};

let failed = false;
for (const [name, step] of Object.entries(steps)) {
  try {
    await step();
    assert.deepEqual(trouble, []);
    console.log("ok    " + name);
  } catch (e) {
    failed = true;
    mkdirSync("test-results", { recursive: true });
    await page.screenshot({ path: "test-results/failed.png", fullPage: true });
    console.error(`FAIL  ${name}\n      at ${page.url()}\n      ${e.message}`);
    break;
  }
}
await browser.close();
process.exit(failed ? 1 : 0);
