// Drafts under assumptions: made, compared order by order, by load and by cost, filtered and exported, adopted and undone; and
// made without script. The steps are part of e2e.mjs.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { withoutScript } from "./plain.mjs";

export function drafts({ page, base, browser, password }) {
  let number; // of the draft
  const main = () => page.locator("main").textContent();
  const rows = () => page.locator("#list tbody tr").count();

  // add fills the form of one kind of assumption in.
  async function add(on, kind, fields) {
    await on.click(`nav.parts >> text=${kind}`);
    for (const [name, value] of Object.entries(fields)) {
      const field = on.locator(`[name='f.${name}']`);
      if ((await field.evaluate((f) => f.tagName)) === "SELECT") await field.selectOption(value);
      else await field.fill(value);
    }
    await on.click("button[name=add]");
    await on.waitForLoadState();
  }

  return {
    async "a draft is made under assumptions, one of them wrong at first"() {
      await page.goto(base + "/plan");
      await page.click("text=New draft under assumptions");
      const begin = await (async () => {
        await page.click("nav.parts >> text=Station down");
        return page.locator("[name='f.from']").inputValue();
      })();
      const day = (n) => new Date(Date.parse(begin + "Z") + n * 86400e3).toISOString().slice(0, 10);
      await add(page, "Station down", { station: "pallet-mill-1", to: "2020-01-01T06:00", reason: "spindle" });
      assert.match(await page.locator(".cellrow.wrong .why").textContent(), /a time after/);
      await page.fill("[name='f.to']", day(5) + "T14:00");
      await page.click("button[name=add]");
      await page.waitForURL(/\/plan\/new\?a=/);
      await add(page, "Order added", { order: "9001", item: "tine-grab", at: day(60) + "T16:00", customer: "Port of Lindale" });
      await add(page, "Overtime", { station: "assembly-1" });
      assert.equal(await page.locator(".assumes li").count(), 3);
      await page.click(".assumes li:nth-child(3) a");
      assert.equal(await page.locator(".assumes li").count(), 2);
      await page.fill(".planform input[name=name]", "mill stops");
      await page.fill(".planform input[name=seconds]", "1");
      await page.click(".planform button");
      await page.waitForURL(/plan\?plan=\d+/, { timeout: 90_000 });
      number = new URL(page.url()).searchParams.get("plan");
      assert.match(await page.locator(".assumes").textContent(), /Pallet mill 1 is down.*\(spindle\)[\s\S]*Order 9001 comes: 1 Tine grab for Port of Lindale/);
    },
    async "it is compared with the plan in force, filtered, sorted and exported"() {
      await page.click("text=Compare it with another plan");
      assert.match(await page.locator("#differs").textContent(), /1 new.*It costs/);
      const all = await page.locator("#list [data-count]").first().textContent();
      await page.selectOption("[name=change]", "new");
      await page.waitForURL("**change=new**");
      assert.equal(await rows(), 1);
      assert.match(await page.locator("#list tbody").textContent(), /9001-1-1/);
      await page.click("#list >> text=Show all");
      assert.equal(await page.locator("#list [data-count]").first().textContent(), all);
      await page.click("thead >> text=Lateness");
      assert.equal(await page.locator("th[aria-sort]").count(), 1);
      const [file] = await Promise.all([page.waitForEvent("download"), page.click("#list >> text=CSV")]);
      assert.equal(file.suggestedFilename(), "orders-compared.csv");
      assert.match(readFileSync(await file.path(), "utf8"), /^Unit,Customer,Due,"Ships, plan \d+","Ships, plan \d+",Moves/);

      await page.click("nav.parts >> text=Load");
      await page.fill("input[name=q]", "pallet mill 1");
      await page.waitForURL("**q=pallet**");
      assert.ok((await rows()) > 0, "the mill that is down has another load");
      await page.click("nav.parts >> text=Cost");
      assert.match(await page.locator("#list tbody").textContent(), /Lateness[\s\S]*Setups[\s\S]*Cost in all/);
    },
    async "plans kept are found by what they assume"() {
      await page.goto(base + "/plan/kept");
      const all = await rows();
      await page.fill("input[name=q]", "spindle");
      await page.waitForURL("**q=spindle**");
      assert.equal(await rows(), 1);
      assert.ok(all > 1);
    },
    async "adopting the draft writes its assumptions into the shop book, and both are undone"() {
      const before = await page.goto(base + "/book/exceptions?q=spindle").then(rows);
      assert.equal(before, 0);
      await page.goto(`${base}/plan/compare?plan=${number}`);
      page.once("dialog", (d) => d.accept());
      await page.click(`text=Adopt plan ${number}`);
      await page.waitForURL(/\/plan$/);
      assert.match(await page.locator(".titleblock").textContent(), new RegExp(number + ", adopted"));
      assert.equal(await page.goto(base + "/book/exceptions?q=spindle").then(rows), 1);
      assert.equal(await page.goto(base + "/book/orders?q=Lindale").then(rows), 1);

      await page.goto(base + "/plan");
      await page.click("text=Undo its adoption");
      assert.match(await main(), /is in force again[\s\S]*exceptions[\s\S]*taken out again/);
      await page.click("text=Undo the adoption >> nth=-1");
      await page.waitForURL(/\/plan$/);
      assert.doesNotMatch(await page.locator(".titleblock").textContent(), new RegExp(`\\b${number}, adopted`));
      assert.equal(await page.goto(base + "/book/exceptions?q=spindle").then(rows), 0);
      assert.equal(await page.goto(base + "/book/orders?q=Lindale").then(rows), 0);
    },
    async "a draft is made without script"() {
      const plain = await withoutScript(browser, base, password);
      await plain.goto(base + "/plan/new");
      await add(plain, "Order dropped", { order: "1042" });
      assert.match(await plain.locator(".assumes").textContent(), /Order 1042.*is dropped/);
      await plain.fill(".planform input[name=seconds]", "0");
      await plain.click(".planform button");
      assert.match(await plain.locator("main").textContent(), /Planning run \d+/);
      for (let n = 0; n < 60 && /Planning run/.test(await plain.locator("main").textContent()); n++) {
        await plain.waitForTimeout(500);
        await plain.goto(base + "/plan/kept");
        if (/Order 1042/.test(await plain.locator("#list").textContent())) break;
        await plain.goto(base + "/plan");
      }
      await plain.goto(base + "/plan/kept?q=1042");
      await plain.click("text=Beside the plan in force");
      assert.match(await plain.locator("#differs").textContent(), /not in it any more/);
      await plain.context().close();
    },
  };
}
