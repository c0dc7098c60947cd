// Prints how large the page is, how soon it shows a set-up, and what a dragged frame costs. Not a test: it holds nothing.
// Run it on the built page: node tests/browser/measure.mjs

import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { gzipSync } from "node:zlib";
import { begin } from "./own-browser.mjs";
import { dist } from "./server.mjs";

const table = [];
const put = (what, value, goal = "") => table.push([what, value, goal]);
const at = (sorted, share) => sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))];

const bytes = readdirSync(dist, { withFileTypes: true })
  .filter((file) => file.isFile())
  .reduce((sum, file) => sum + gzipSync(readFileSync(join(dist, file.name)), { level: 9 }).length, 0);
put("all files, gzip", `${Math.round(bytes / 1000)} kB`, "300 kB");

const { origin, newPage, end } = await begin();

// Notes when what is looked for is painted. Looking from outside, again and again, would be part of what it times, and late.
const watch = (found) => `{
  const watcher = new MutationObserver(() => {
    if (!(${found})) return;
    watcher.disconnect();
    // Before anything else that waits for its turn once the frame is out.
    const note = () => (window.paintedAt = performance.now());
    requestAnimationFrame(() => scheduler.postTask(note, { priority: "user-blocking" }));
  });
  window.paintedAt = undefined;
  watcher.observe(document, { subtree: true, childList: true, characterData: true });
}`;
const says = (words) => `${words}.test(document.querySelector(".set-up")?.textContent ?? "")`;

for (const slower of [1, 4, 6]) {
  const page = await newPage();
  const devtools = await page.context().newCDPSession(page);
  await devtools.send("Emulation.setCPUThrottlingRate", { rate: slower });
  await devtools.send("Performance.enable");
  const painted = async () => {
    const at = await page.waitForFunction(() => window.paintedAt, undefined, { polling: 200, timeout: 120_000 });
    return at.jsonValue();
  };
  await devtools.send("Page.enable");
  await devtools.send("Page.addScriptToEvaluateOnNewDocument", { source: watch(says("/ looked at closely/")) });
  await devtools.send("Page.navigate", { url: `${origin}/` });
  put(`first set-up, processor ${slower}× slower`, `${Math.round(await painted())} ms`, slower === 4 ? "1500 ms" : "");

  const [height, weight] = [page.getByLabel(/^Height/), page.getByLabel(/^Weight/)];
  await height.fill("178");
  await page.evaluate(watch(says("/For your measurements/")));
  await page.evaluate(() => addEventListener("input", () => (window.typedAt = performance.now()), { once: true, capture: true }));
  await weight.fill("80");
  const found = await painted();
  put(`typed to found, ${slower}× slower`, `${Math.round(found - (await page.evaluate(() => window.typedAt)))} ms`, slower === 1 ? "1000 ms" : "");

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
  const drag = async () => {
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
    return frames.sort((a, b) => a - b);
  };
  const goals = { 1: ["8 ms", "16 ms"], 6: ["33 ms", "33 ms"] }[slower] ?? [];
  // In the first drag of all a browser still runs code that it has not made fast yet.
  for (const which of ["first drag", "later"]) {
    const frames = await drag();
    const what = `pointer move to painted frame, script, ${slower}× slower, ${which}`;
    put(`${what}: median of ${frames.length}`, `${at(frames, 0.5).toFixed(1)} ms`, goals[0]);
    put(`${what}: 95 %`, `${at(frames, 0.95).toFixed(1)} ms`, goals[1]);
  }
  const drop = await script();
  await page.mouse.up();
  await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
  put(`script on the drop, ${slower}× slower`, `${((await script()).script - drop.script).toFixed(1)} ms`);
  await page.context().close();
}
await end();

table.unshift(["", "measured", "goal"]);
const wide = [0, 1].map((column) => Math.max(...table.map((row) => row[column].length)));
for (const [what, value, goal] of table) console.log(`${what.padEnd(wide[0])}  ${value.padStart(wide[1])}  ${goal ?? ""}`);
