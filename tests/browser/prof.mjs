import { chromium } from "@playwright/test";
import { serve } from "./server.mjs";
import { writeFileSync } from "node:fs";
const site = await serve(process.argv[2] ?? "/tmp/pd/");
const what = process.argv[3] ?? "drag";
const browser = await chromium.launch({ executablePath: "/usr/bin/chromium", args: ["--no-sandbox", "--disable-quic", "--disable-background-networking"] });
const context = await browser.newContext({ viewport: { width: 1440, height: 900 }, serviceWorkers: "block" });
const page = await context.newPage();
page.on("console", m => console.log("console", m.text()));
const dev = await context.newCDPSession(page);
await dev.send("Profiler.enable");
await dev.send("Profiler.setSamplingInterval", { interval: 200 });
if (what === "load") { await dev.send("Profiler.start"); }
await page.goto(`${site.origin}/`);
await page.getByText(/combinations? looked at closely/).waitFor({ timeout: 120_000 });
let profile;
if (what === "load") { profile = (await dev.send("Profiler.stop")).profile; }
else {
await page.getByLabel(/^Height/).fill("178");
await page.getByLabel(/^Weight/).fill("80");
await page.getByText(/For your measurements/).waitFor({ timeout: 120_000 });
await page.waitForTimeout(8000);
const handle = page.getByRole("slider", { name: "Riser angle" });
const box = await handle.boundingBox();
const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
await page.mouse.move(x, y);
await page.mouse.down();
if (what === "drag") await dev.send("Profiler.start");
const n=60;
for (let i = 0; i < n; i++) {
  await page.mouse.move(x - 25 + Math.abs(25 - ((i * 3) % 50)), y - 1);
  await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
}
if (what === "drop") await dev.send("Profiler.start");
if (what === "drop") { await page.mouse.up(); await page.waitForTimeout(1500); }
profile = (await dev.send("Profiler.stop")).profile;
}
await browser.close(); await site.stop();
const nodes = new Map(profile.nodes.map(n => [n.id, n]));
const self = new Map();
profile.samples.forEach((id, i) => self.set(id, (self.get(id) ?? 0) + profile.timeDeltas[i] / 1000));
const parent = new Map();
for (const n of profile.nodes) for (const c of n.children ?? []) parent.set(c, n.id);
const incl = new Map(), excl = new Map();
for (const [id, ms] of self) {
  const seen = new Set();
  const nm = k => { const f = nodes.get(k).callFrame; return f.functionName || "(anon " + f.url.slice(-20) + ":" + f.lineNumber + ")"; };
  excl.set(nm(id), (excl.get(nm(id)) ?? 0) + ms);
  for (let k = id; k; k = parent.get(k)) { const s = nm(k); if (!seen.has(s)) { seen.add(s); incl.set(s, (incl.get(s) ?? 0) + ms); } }
}
const top = (m, k, f = () => true) => [...m].filter(([s]) => f(s)).sort((a, b) => b[1] - a[1]).slice(0, k).forEach(([s, v]) => console.log(v.toFixed(1).padStart(8), s.slice(0, 170)));
console.log("— inclusive"); top(incl, 90);
console.log("— self"); top(excl, 45);
