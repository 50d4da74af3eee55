// Bundles the front end from src/ into static/built/, which the program embeds. Run by `npm run build`.
import { build, context } from "esbuild";
import { readdirSync, rmSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

const here = dirname(fileURLToPath(import.meta.url));
const out = join(here, "static", "built");

// Every .ts file directly in src/ is a script of its own: app.ts goes with each sheet, others with the sheet they name.
const scripts = readdirSync(join(here, "src")).filter((f) => f.endsWith(".ts") && !f.endsWith(".d.ts"));

const options = {
  entryPoints: [...scripts, "app.css"].map((f) => join(here, "src", f)),
  outdir: out,
  bundle: true,
  minify: true,
  format: "iife",
  target: ["es2022", "chrome120", "firefox120", "safari17"],
  assetNames: "fonts/[name]-[hash]",
  loader: { ".woff2": "file", ".woff": "empty" },
  legalComments: "none",
  logLevel: "info",
};

rmSync(out, { recursive: true, force: true });
if (process.argv.includes("--watch")) await (await context(options)).watch();
else await build(options);
