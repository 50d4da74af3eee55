// Starts the demo on a folder of its own and a free port, runs a script against it, and stops it.
//   node web/e2e/run.mjs SCRIPT [ARGS...]     the script gets the address as its first argument
// BASE_URL in the environment takes a running demo instead.
import { spawn } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

const [script, ...args] = process.argv.slice(2);
if (!script) {
  console.error("usage: node web/e2e/run.mjs SCRIPT [ARGS...]");
  process.exit(2);
}

function run(base) {
  return new Promise((ended) => spawn(process.execPath, [script, base, ...args], { stdio: "inherit" }).on("exit", (code) => ended(code ?? 1)));
}

if (process.env.BASE_URL) process.exit(await run(process.env.BASE_URL));

const data = mkdtempSync(join(tmpdir(), "tackline-e2e-"));
const demo = spawn(process.env.TACKLINE ?? "bin/tackline", ["demo", "--data", data, "--addr", "127.0.0.1:0", "--seconds", "1"], { stdio: ["ignore", "pipe", "inherit"] });
const stopped = new Promise((ended) => demo.on("exit", ended));

// The demo prints its address when it is ready.
const base = await new Promise((ready, fail) => {
  let said = "";
  demo.stdout.on("data", (part) => {
    said += part;
    const at = said.match(/serving at (http:\S+)/);
    if (at) ready(at[1]);
  });
  demo.on("exit", () => fail(new Error("the demo ended before it served:\n" + said)));
  setTimeout(() => fail(new Error("the demo did not serve within 2 minutes:\n" + said)), 120_000).unref();
});
const code = await run(base);
demo.kill("SIGTERM");
await stopped;
rmSync(data, { recursive: true, force: true });
process.exit(code);
