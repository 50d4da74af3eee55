// withoutScript gives a page of a planner, signed in, in a browser that runs no script.
export async function withoutScript(browser, base, password) {
  const context = await browser.newContext({ javaScriptEnabled: false });
  const page = await context.newPage();
  await page.goto(base + "/sign-in");
  await page.fill("input[name=name]", "planner");
  await page.fill("input[name=password]", password);
  await page.click("form.stack button");
  return page;
}
