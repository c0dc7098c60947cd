// Prints how long the compare place takes with a recorded run of 50 MB, and the longest tasks of the page's own thread
// meanwhile. Not a test: it holds nothing. Run it on the built page: node tests/browser/measure-run.mjs [MB]

import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { argv } from "node:process";
import { chromium } from "@playwright/test";
import { serve } from "./server.mjs";
import { write } from "./shaken.mjs";

const MEGABYTES = Number(argv[2] ?? 50);
const RIDER = "long-lemming/1;r.measurements.body_mass=79%20kg;r.measurements.stature=179%20cm;set=3_0_0_0_0_12_0";
const OTHER = RIDER.replace("=3_0_0_0_0_12_0", "=3_0_0_0_-60_12_0");

const folder = mkdtempSync(join(tmpdir(), "shaken-"));
const path = join(folder, "long.csv");
await write(path, MEGABYTES * 1e6);
const site = await serve();
const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
  args: ["--no-sandbox", "--disable-quic", "--disable-background-networking", "--disable-component-update", "--disable-sync"],
});
const context = await browser.newContext({ viewport: { width: 1440, height: 900 }, serviceWorkers: "block" });
const page = await context.newPage();
await page.goto(`${site.origin}/#compare/ready/sled/${RIDER}/${OTHER}`);
await page.getByText(/\(60 drawn\)/).waitFor({ timeout: 90_000 });
const run = page.getByRole("region", { name: "A recorded run" });
await run.getByLabel("Open a run").setInputFiles(path);
const go = run.getByRole("button", { name: "Hold the run against it" });
await go.waitFor();
await browser.startTracing(page, { categories: ["toplevel", "disabled-by-default-devtools.timeline"] });
const begun = performance.now();
await go.click();
// Watched from within: a look from outside is a task of the page's thread, and the longest of them.
await run.getByText(/long\.csv was read\./).waitFor({ timeout: 300_000 });
const read = performance.now() - begun;
// What the result asks of the page, too.
await page.waitForTimeout(2000);
const { traceEvents } = JSON.parse((await browser.stopTracing()).toString());
await browser.close();
await site.stop();
rmSync(folder, { recursive: true });

// Processor time: what else the machine does meanwhile is not the page's.
const threads = traceEvents.filter((e) => e.name === "thread_name" && e.args?.name === "CrRendererMain");
const on = new Set(threads.map((e) => `${e.pid}/${e.tid}`));
const tasks = traceEvents.filter((e) => e.name === "RunTask" && e.tdur !== undefined && on.has(`${e.pid}/${e.tid}`));
const longest = tasks.map((e) => e.tdur / 1000).sort((a, b) => b - a);
console.log(`${MEGABYTES} MB read and held against its options in ${Math.round(read)} ms`);
console.log(`${tasks.length} tasks on the page's own thread, the longest ${longest.slice(0, 5).map((t) => t.toFixed(0)).join(", ")} ms (goal: none over 100)`);
