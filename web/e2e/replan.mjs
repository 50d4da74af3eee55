// After a change of the book: the morning proposes to re-plan, the draft says what moves and why. What would make a late unit on
// time is asked, and stopped. The steps are part of e2e.mjs; they begin where the book has changed since the plan in force.
import assert from "node:assert/strict";

export function replanning({ page, base }) {
  return {
    async "the morning proposes to re-plan, and the draft says what moves"() {
      await page.goto(base + "/");
      await page.click("#decide ~ * >> text=Re-plan");
      await page.click("text=Re-plan from this plan");
      await page.waitForURL(/plan\?plan=\d+/, { timeout: 90_000 });
      assert.match(await page.locator("section.moved").textContent(), /Against the plan in force: \d+ operations? moved inside the freeze window|Nothing moved/);
    },
    async "what would make a late unit on time is asked, and stopped"() {
      await page.goto(base + "/orders?slack=late");
      await page.click("table.list tbody th a >> nth=0");
      await page.click("#ontime >> text=Find out");
      await page.waitForSelector("#ontime progress");
      await page.click("#ontime >> text=Stop");
      await page.waitForSelector("#ontime >> text=Ask again");
      assert.equal(await page.locator("#ontime progress").count(), 0);
    },
  };
}
