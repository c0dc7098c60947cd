// Prints how large the page is, how soon it shows a set-up, and what a dragged frame costs. Not a test: it holds nothing.
// Run it on the built page: node tests/browser/measure.mjs

import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { gzipSync } from "node:zlib";
import { chromium } from "@playwright/test";
import { dist, serve } from "./server.mjs";

const table = [];
const put = (what, value, goal = "") => table.push([what, value, goal]);
const at = (sorted, share) => sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))];

const bytes = readdirSync(dist, { withFileTypes: true })
  .filter((file) => file.isFile())
  .reduce((sum, file) => sum + gzipSync(readFileSync(join(dist, file.name)), { level: 9 }).length, 0);
put("all files, gzip", `${Math.round(bytes / 1000)} kB`, "300 kB");

const site = await serve();
const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
  args: ["--no-sandbox", "--disable-quic", "--disable-background-networking", "--disable-component-update", "--disable-sync"],
});

for (const slower of [1, 4, 6]) {
  const context = await browser.newContext({ viewport: { width: 1440, height: 900 }, serviceWorkers: "block" });
  const page = await context.newPage();
  const devtools = await context.newCDPSession(page);
  await devtools.send("Emulation.setCPUThrottlingRate", { rate: slower });
  await devtools.send("Performance.enable");
  await page.goto(`${site.origin}/`, { waitUntil: "commit" });
  // Looked for seldom and at one place: a search through the whole page, slowed as it is, would be part of what it times.
  const first = await page.waitForFunction(
    () => / looked at closely/.test(document.querySelector(".set-up .progress")?.textContent ?? "") && performance.now(),
    undefined,
    { polling: 20, timeout: 120_000 },
  );
  put(`first set-up, processor ${slower}× slower`, `${Math.round(await first.jsonValue())} ms`, slower === 4 ? "1500 ms" : "");

  const began = Date.now();
  await page.getByLabel(/^Height/).fill("178");
  await page.getByLabel(/^Weight/).fill("80");
  await page.getByText(/For your measurements/).waitFor({ timeout: 120_000 });
  put(`typed to found, ${slower}× slower`, `${Date.now() - began} ms`);

  const handle = page.getByRole("slider", { name: "Riser angle" });
  const box = await handle.boundingBox();
  const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
  const script = async () => {
    const { metrics } = await devtools.send("Performance.getMetrics");
    const of = (name) => metrics.find((m) => m.name === name).value * 1000;
    return { script: of("ScriptDuration"), task: of("TaskDuration") };
  };
  await page.mouse.move(x, y);
  await page.mouse.down();
  const frames = [];
  let last = await handle.getAttribute("aria-valuenow");
  for (let i = 0; i < 60; i++) {
    const before = await script();
    await page.mouse.move(x - 13 + Math.abs(13 - ((i * 2) % 26)), y - 1);
    await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
    const after = await script();
    // At the end of its range a handle stays where it is, and costs nothing.
    const now = await handle.getAttribute("aria-valuenow");
    if (now !== last) frames.push(after.script - before.script);
    last = now;
  }
  put(`frames in which it moved, ${slower}× slower`, `${frames.length}`);
  const drop = await script();
  await page.mouse.up();
  await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
  put(`script on the drop, ${slower}× slower`, `${((await script()).script - drop.script).toFixed(1)} ms`);
  frames.sort((a, b) => a - b);
  const goals = { 1: ["8 ms", "16 ms"], 6: ["33 ms", "33 ms"] }[slower] ?? [];
  put(`pointer move to painted frame, script, median, ${slower}× slower`, `${at(frames, 0.5).toFixed(1)} ms`, goals[0]);
  put(`pointer move to painted frame, script, 95 %, ${slower}× slower`, `${at(frames, 0.95).toFixed(1)} ms`, goals[1]);
  await context.close();
}
await browser.close();
await site.stop();

table.unshift(["", "measured", "goal"]);
const wide = [0, 1].map((column) => Math.max(...table.map((row) => row[column].length)));
for (const [what, value, goal] of table) console.log(`${what.padEnd(wide[0])}  ${value.padStart(wide[1])}  ${goal ?? ""}`);
