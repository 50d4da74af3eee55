// The station terminal with two browsers at one station: what one does the other sees without reloading; of two who start the same
// operation one is told; pause, resume, count and finish; codes right and wrong; gloves; both themes; and the same without script.
// The steps are part of e2e.mjs.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";

const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const letters = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ";

// code writes a scan code; its check letter is computed here by ISO/IEC 7064, MOD 37-36, apart from the program.
function code(kind, text) {
  const s = kind + ":" + text;
  let p = 36;
  for (const c of s.toUpperCase()) {
    const a = letters.indexOf(c);
    if (a < 0) continue;
    p = (p + a) % 36 || 36;
    p = (p * 2) % 37;
  }
  return s + "~" + letters[(37 - p) % 36];
}

export function onTheFloor({ browser, base, password, trouble }) {
  let left, right; // two terminals
  let station, first; // where they stand, and the operation that comes first there
  const people = [];

  async function terminal(theme, more = {}, user = "operator") {
    const context = await browser.newContext({ viewport: { width: 1024, height: 768 }, colorScheme: theme, ...more });
    const page = await context.newPage();
    page.setDefaultTimeout(15_000);
    page.on("pageerror", (e) => trouble.push(`script on the floor: ${e.message}`));
    page.on("console", (m) => m.type() === "error" && /Content Security Policy|Uncaught/.test(m.text()) && trouble.push(m.text()));
    await page.goto(base + "/sign-in");
    await page.fill("input[name=name]", user);
    await page.fill("input[name=password]", password);
    await page.click("form.stack button");
    await page.waitForLoadState();
    return page;
  }

  // clean asks axe, and looks for targets that gloves would miss, at three widths.
  async function clean(page, what) {
    for (const width of [1440, 1024, 390]) {
      await page.setViewportSize({ width, height: width < 500 ? 844 : 768 });
      const wide = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
      assert.ok(wide <= 0, `${what} is ${wide} px wider than its window of ${width}`);
      const small = await page.evaluate(() =>
        [...document.querySelectorAll("a, button, input:not([type=hidden]), select, summary")]
          .filter((e) => e.checkVisibility({ visibilityProperty: true }) && !e.classList.contains("skip") && e.type !== "checkbox")
          .map((e) => ({ text: (e.textContent || e.name).trim().slice(0, 40), box: e.getBoundingClientRect() }))
          .filter(({ box }) => box.height < 48 || box.width < 48)
          .map(({ text, box }) => `${text}: ${Math.round(box.width)} x ${Math.round(box.height)}`),
      );
      assert.deepEqual(small, [], `${what} at ${width}: targets under 48 px`);
      await page.evaluate(axe);
      const found = await page.evaluate(() => globalThis.axe.run(document, { resultTypes: ["violations"] }));
      assert.deepEqual(found.violations.map((v) => `${v.id}: ${v.nodes[0].target} ${v.nodes[0].any[0]?.message ?? ""}`), [], `${what} at ${width}`);
    }
    await page.setViewportSize({ width: 1024, height: 768 });
  }

  const scan = async (page, text) => {
    await page.keyboard.type(text); // as a scanner does: nothing was tapped before
    await page.keyboard.press("Enter");
  };
  const now = (page) => page.locator("#f-now article.opcard:has(summary)").first();

  // signOn signs on the person at a place among those offered, of whom some may not do the work at hand.
  async function signOn(page, place = 0) {
    if (!(await page.locator("#f-people details[open]").count())) await page.click("#f-people summary:has-text('Sign on')");
    const button = page.locator("#f-people form button.quiet").nth(place);
    people.push({ id: await button.getAttribute("value"), name: (await button.textContent()).trim() });
    await button.click();
    await page.waitForSelector(`.chip[aria-pressed=true]:has-text("${people.at(-1).name}")`);
  }

  async function signOff(page, name) {
    await page.click("#f-people summary:has-text('Sign off')");
    await page.click(`#f-people details[open] button:has-text("${name}")`);
    await page.waitForSelector(`.chip:has-text("${name}")`, { state: "detached" });
  }

  return {
    async "a terminal chooses its station, and finds one that can start work"() {
      left = await terminal("light");
      right = await terminal("dark");
      await left.goto(base + "/floor");
      await clean(left, "the list of stations");
      for (const href of await left.locator("a.tile").evaluateAll((list) => list.map((a) => a.getAttribute("href")))) {
        await left.goto(base + href);
        if (await left.locator("#f-now button.go:has-text('Start')").count()) {
          station = href;
          break;
        }
      }
      assert.ok(station, "no station can start anything");
      await clean(left, "a station where nobody is signed on");
    },
    async "nobody starts work without a name"() {
      await left.click("#f-now button.go:has-text('Start')");
      await left.waitForSelector("#f-now .no");
      assert.match(await left.locator(".no p").textContent(), /Who is it\?/);
      await clean(left, "a refusal");
      await left.click("text=Understood");
      await left.waitForSelector(".no", { state: "detached" });
    },
    async "one starts an operation, and the other sees it without reloading"() {
      for (let place = 0; ; place++) {
        await signOn(left, place);
        if (await left.locator("#f-now button.go:has-text('Start')").count()) break;
        assert.match(await left.locator("#f-now .unfit").textContent(), /expired|does not hold/);
        await signOff(left, people.pop().name);
      }
      await right.goto(base + station);
      await right.waitForSelector(`.chip:has-text("${people[0].name}")`);
      await right.evaluate(() => { globalThis.sameDocument = true; });
      first = await left.locator("#f-now article input[name=job]").first().inputValue();
      // the other terminal's page as it is before, kept from hearing of it: it tries the same
      const late = await terminal("light");
      await late.route("**/live", (r) => r.abort());
      await late.goto(base + station);
      await left.click("#f-now button.go:has-text('Start')");
      await left.waitForSelector("#f-now .opcard.runs");
      await right.waitForSelector("#f-now .opcard.runs", { timeout: 3000 });
      assert.match(await right.locator("#f-now").textContent(), new RegExp(first.replaceAll("+", "\\+")));
      assert.equal(await right.evaluate(() => globalThis.sameDocument), true);
      await late.click("#f-now button.go:has-text('Start')");
      await late.waitForSelector(".no");
      assert.match(await late.locator(".no p").textContent(), /runs already/);
      await late.context().close();
    },
    async "what is being typed stays while others work"() {
      await right.click("#f-now summary:has-text('Pause')");
      await right.fill("#f-now details[open] input[name=note]", "the crane is at bay 2");
      await right.press("#f-now details[open] input[name=note]", "Enter"); // as a scanner ends what it types: sends nothing
      await left.click("#f-more summary:has-text('Trouble')");
      await left.click("#f-more button:has-text('wrong part')");
      await left.waitForSelector(".wrong");
      await right.waitForSelector(".wrong", { timeout: 3000 });
      assert.equal(await right.locator("#f-now details[open] input[name=note]").inputValue(), "the crane is at bay 2");
      await right.click("#f-now details[open] button:has-text('waits for the crane')");
      await left.waitForSelector("#f-now button:has-text('Go on')", { timeout: 3000 });
      assert.match(await left.locator("#f-now").textContent(), /paused[\s\S]*waits for the crane/);
      await left.click("text=It is cleared");
      await right.waitForSelector(".wrong", { state: "detached", timeout: 3000 });
    },
    async "work goes on, a second person joins, pieces are counted, and it is finished"() {
      await left.click("#f-now button:has-text('Go on')");
      await left.waitForSelector("#f-now summary:has-text('Pause')");
      for (let place = 0; ; place++) { // some of those offered may not do this work, and are refused
        await signOn(left, place);
        await left.click("#f-now summary:has-text('People')");
        if (place === 0) await clean(left, "a running operation with its people");
        await left.locator("#f-now details[open] button.quiet").first().click();
        await left.waitForSelector(`#f-now .workers:has-text("${people[0].name}"):has-text("${people[1].name}"), .no`);
        if (!(await left.locator(".no").count())) break;
        assert.match(await left.locator(".no p").textContent(), /expired|does not hold/);
        await left.click("text=Understood");
        await left.waitForSelector(".no", { state: "detached" });
        await signOff(left, people.pop().name);
      }
      const count = now(left).locator("summary:has-text('Count')");
      if (await count.count()) {
        await count.click();
        await now(left).locator("details[open] button:has-text('Count these')").click();
        await right.waitForSelector("#f-now .pieces b:text-is('1')", { timeout: 3000 });
      }
      await now(left).locator("summary:has-text('Finish')").click();
      await clean(left, "the counts of a finish");
      const good = await now(left).locator("details[open] input[name=good]").inputValue();
      const wanted = (await now(left).locator(".pieces").textContent()).match(/(\d+) of (\d+)/);
      assert.equal(Number(good), Number(wanted[2]) - Number(wanted[1]));
      await now(left).locator("details[open] input[name=good]").fill("999");
      await now(left).locator("details[open] button.go").click();
      await left.waitForSelector(".no");
      assert.match(await now(left).locator("details[open] .no p").textContent(), /only \d+ are left/);
      await now(left).locator("details[open] input[name=good]").fill(good);
      await now(left).locator("details[open] button.go").click();
      await right.waitForFunction((job) => !document.querySelector("#f-now").textContent.includes(job) || !document.querySelector(".opcard.runs"), first, { timeout: 3000 });
      assert.equal(await left.locator(".opcard.runs").count(), 0);
    },
    async "the last of it is undone, and done again"() {
      await left.click("text=Undo the last");
      await left.waitForURL("**/past");
      await clean(left, "what was recorded");
      await left.locator("button:has-text('wrong count')").first().click();
      await left.waitForURL((u) => u.pathname === station);
      await left.waitForSelector("#f-now .opcard.runs");
      await now(left).locator("summary:has-text('Finish')").click();
      await now(left).locator("details[open] button.go").click();
      await left.waitForSelector(".opcard.runs", { state: "detached" });
    },
    async "codes are scanned without tapping anything, and a wrong one says what it was"() {
      await right.locator("h1").click();
      await scan(right, "123456789012");
      await right.waitForSelector("#f-scan .no");
      assert.match(await right.locator("#f-scan .no").textContent(), /Scanned: "123456789012"[\s\S]*Expected a traveller/);
      await right.click("text=Understood");
      await right.waitForSelector(".no", { state: "detached" });
      const badge = code("P", people[1].id);
      await scan(right, badge.slice(0, -1) + (badge.endsWith("A") ? "B" : "A"));
      await right.waitForSelector("#f-scan .no");
      assert.match(await right.locator("#f-scan .no").textContent(), /read wrong/);
      await right.click("text=Understood");
      await right.waitForSelector(".no", { state: "detached" });
      await scan(right, badge);
      await right.waitForSelector(`.chip[aria-pressed=true]:has-text("${people[1].name}")`);
      const job = await right.locator("#f-next article.opline .code").first().textContent();
      await scan(right, job);
      await right.waitForSelector("#picked");
      assert.match(await right.locator("article:has(#picked)").textContent(), new RegExp(job.replaceAll("+", "\\+")));
      await clean(right, "an operation that was scanned, by night");
      await scan(right, code("S", "no-such-station"));
      await right.waitForSelector("#f-scan .no");
      await right.click("text=Understood");
    },
    async "who has a PIN is asked for it, at a screen without a keyboard too"() {
      const boss = await terminal("light", {}, "manager");
      await right.goto(base + station);
      await right.click("#f-people summary:has-text('Sign on')");
      const button = right.locator("#f-people form button.quiet").first();
      const [id, name] = [await button.getAttribute("value"), (await button.textContent()).trim()];
      const keep = async (what) => {
        await boss.goto(`${base}/terminals/people/${encodeURIComponent(id)}`);
        if (what === "set") for (const field of ["pin", "again"]) await boss.fill(`input[name=${field}]`, "704913");
        await boss.click(`button[value=${what}]`);
        await boss.waitForLoadState();
      };
      await keep("set");
      await scan(right, code("P", id));
      await right.waitForSelector("form.pin .pad");
      assert.equal(await right.locator(".no").count(), 0);
      await clean(right, "the PIN is asked for");
      await scan(right, code("L", "no-such-lot")); // the field of the PIN has the focus, but this is no PIN
      await right.waitForSelector("#f-scan .no:has-text('no-such-lot')");
      await scan(right, code("P", id));
      await right.waitForSelector("form.pin .pad");
      await scan(right, "704914");
      await right.waitForSelector("#f-people .no");
      await clean(right, "a wrong PIN");
      for (const digit of "704913") await right.click(`.pad button:text-is("${digit}")`);
      await right.click("form.pin button:has-text('Sign on')");
      await right.waitForSelector(`.chip[aria-pressed=true]:has-text("${name}")`);
      people.push({ id, name });
      await keep("clear");
      await boss.context().close();
    },
    async "what was sent without a connection is told, and sent again once"() {
      await left.goto(base + station);
      await left.context().setOffline(true);
      await left.click("#f-more summary:has-text('Trouble')");
      await left.locator(".chip").first().waitFor();
      await left.click("#f-more button:has-text('missing part')");
      await left.waitForSelector(".unsent");
      assert.match(await left.locator(".unsent").textContent(), /There is no connection/);
      await left.context().setOffline(false);
      await left.click("#f-more button:has-text('missing part')");
      await left.waitForSelector("#f-more .no, .wrong");
      if (await left.locator(".no").count()) { // two are signed on, and nobody has tapped his name here
        assert.match(await left.locator(".no").textContent(), /Who is it/);
      } else {
        assert.equal(await left.locator(".wrong").count(), 1);
        await left.click("text=It is cleared");
        await left.waitForSelector(".wrong", { state: "detached" });
      }
    },
    async "the terminal works without script, and people sign off"() {
      const plain = await terminal("light", { javaScriptEnabled: false });
      await plain.goto(base + station);
      for (const one of people) {
        await plain.click("#f-people summary:has-text('Sign off')");
        await plain.click(`#f-people details[open] button:has-text("${one.name}")`);
        assert.match(await plain.locator(".told").textContent(), /Signed off/);
      }
      await plain.context().close();
      await left.context().close();
      await right.context().close();
    },
  };
}
