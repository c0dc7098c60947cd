// Prints how long the compare place takes with a recorded run of 50 MB, and the longest tasks of the page's own thread
// meanwhile. Not a test: it holds nothing. Run it on the built page: node tests/browser/measure-run.mjs [MB]

import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { argv } from "node:process";
import { begin } from "./own-browser.mjs";
import { write } from "./shaken.mjs";
import { tasksDuring } from "./tasks.mjs";

const MEGABYTES = Number(argv[2] ?? 50);
const RIDER = "long-lemming/1;r.measurements.body_mass=79%20kg;r.measurements.stature=179%20cm;set=3_0_0_0_0_12_0";
const OTHER = RIDER.replace("=3_0_0_0_0_12_0", "=3_0_0_0_-60_12_0");

const folder = mkdtempSync(join(tmpdir(), "shaken-"));
const path = join(folder, "long.csv");
await write(path, MEGABYTES * 1e6);
const { origin, newPage, end } = await begin();
const page = await newPage();
await page.goto(`${origin}/#compare/ready/sled/${RIDER}/${OTHER}`);
await page.getByText(/\(60 drawn\)/).waitFor({ timeout: 90_000 });
const run = page.getByRole("region", { name: "A recorded run" });
await run.getByLabel("Open a run").setInputFiles(path);
const go = run.getByRole("button", { name: "Hold the run against it" });
await go.waitFor();
let took = 0;
const tasks = await tasksDuring(page, async () => {
  const begun = performance.now();
  await go.click();
  // Watched from within: a look from outside is a task of the page's thread, and the longest of them.
  await run.getByText(/long\.csv was read\./).waitFor({ timeout: 300_000 });
  took = performance.now() - begun;
  // What the result asks of the page, too.
  await page.waitForTimeout(2000);
});
await end();
rmSync(folder, { recursive: true });

const longest = tasks.sort((a, b) => b - a).slice(0, 5);
console.log(`${MEGABYTES} MB read and held against its options in ${Math.round(took)} ms`);
console.log(`${tasks.length} tasks on the page's own thread, the longest ${longest.map((t) => t.toFixed(0)).join(", ")} ms (goal: none over 100)`);
