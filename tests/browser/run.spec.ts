// A recorded run in the compare place: opened, mapped, held against an option, and never in the way of a frame.

import { createWriteStream } from "node:fs";
import { fileURLToPath } from "node:url";
import type { Page } from "@playwright/test";
import { expect, expectAccessible, expectNoSidewaysScroll, test } from "./fixtures.ts";

const DEMO = fileURLToPath(new URL("../../rider-profiles/runs/invented-loop.csv", import.meta.url));

/** Two set-ups by hand of one invented rider: they stand without a search. */
const TWO =
  "#compare/ready/sled/" +
  "long-lemming/1;r.measurements.body_mass=79%20kg;r.measurements.stature=179%20cm;set=3_0_0_0_0_12_0;x.name=in%20front/" +
  "long-lemming/1;r.measurements.body_mass=79%20kg;r.measurements.stature=179%20cm;set=3_0_0_0_-60_12_0;x.name=further%20back";

/** The compare place. */
async function open(page: Page) {
  await page.goto(`./${TWO}`);
  const run = page.getByRole("region", { name: "A recorded run" });
  await expect(run).toBeVisible();
  return run;
}

test("a run is mapped, judged and drawn, and the mapping is kept", async ({ page }) => {
  const run = await open(page);
  await run.getByLabel("Open a run").setInputFiles(DEMO);
  await run.getByText("Which column is which", { exact: true }).click();
  await expect(run.getByLabel(/^Forward acceleration/)).toHaveValue("acc x");
  await expect(run.getByLabel("Unit of Brake")).toHaveValue("bar");
  await run.getByLabel("Held against").selectOption("ready");
  await run.getByLabel("Whose set-up").selectOption({ label: "A, in front" });
  await run.getByRole("button", { name: "Hold the run against it" }).click();
  await expect(run.getByText("Held against: ready.")).toBeVisible();
  await expect(run.getByRole("img", { name: /where the run's time went/ })).toBeVisible();
  await expect(run.getByRole("img", { name: /The track from above, north up, 2 laps/ })).toBeVisible();
  await expect(run.getByText(/in 6 flights/)).toBeVisible();
  await expect(run.getByText(/sensor tilted 4\.0° nose up/)).toBeVisible();
  await expectNoSidewaysScroll(page);
  await expectAccessible(page);
  await page.reload();
  await expect(run).toBeVisible();
  await run.getByLabel("Open a run").setInputFiles(DEMO);
  await expect(run.getByText("as last time")).toBeVisible();
});

test("an invented run is at hand, says what it is, and is not remembered", async ({ page }) => {
  const run = await open(page);
  await expect(run.getByRole("note")).toHaveCount(0);
  await run.getByRole("button", { name: "Try an invented run" }).click();
  await expect(run.getByRole("note")).toHaveText(/This run is invented/);
  await run.getByText("Which column is which", { exact: true }).click();
  await expect(run.getByLabel(/^Sideways acceleration/)).toHaveValue("acc y");
  await run.getByRole("button", { name: "Hold the run against it" }).click();
  await expect(run.getByText("invented-loop.csv was read.")).toBeVisible();
  for (const name of [/hardest moments$/, /^Single changes for these moments/, /^Sideways/, "Laps"]) {
    await expect(run.getByRole("heading", { name })).toBeVisible();
  }
  await expect(run.getByText(/judged by a moment's whole load/)).toBeVisible();
  await expect(run.getByRole("note")).toBeVisible();
  await expectNoSidewaysScroll(page);
  await expectAccessible(page);
  expect(await page.evaluate(() => localStorage.getItem("sledstance-columns"))).toBeNull();
  const rows = Array.from({ length: 400 }, (_, i) => `${(i / 100).toFixed(2)},0.01,1.0`).join("\n");
  await run.getByLabel("Open a run").setInputFiles({
    name: "own.csv",
    mimeType: "text/csv",
    buffer: Buffer.from(`time [s],acc x [g],acc z [g]\n${rows}\n`),
  });
  await expect(run.getByText("guessed from names: look it over")).toBeVisible();
  await expect(run.getByRole("note")).toHaveCount(0);
});

test("what is wrong with a file or a mapping is said", async ({ page }) => {
  const run = await open(page);
  const file = (name: string, text: string) => ({ name, mimeType: "text/csv", buffer: Buffer.from(text) });
  await run.getByLabel("Open a run").setInputFiles(file("letter.csv", "Dear rider,\nhere is your run.\n"));
  await expect(run.getByRole("alert")).toHaveText(/letter\.csv: no table was found in the first 2 lines/);
  const rows = Array.from({ length: 400 }, (_, i) => `${(i / 100).toFixed(2)},0.01,-9.81`).join("\n");
  await run.getByLabel("Open a run").setInputFiles(file("odd.csv", `t,p,q\n${rows}\n`));
  await expect(run.getByRole("alert")).toHaveText(/No column is chosen for longitudinal, vertical/);
  await run.getByText("Which column is which", { exact: true }).click();
  await run.getByLabel(/^Forward acceleration/).selectOption("p");
  await run.getByLabel("Unit of Forward acceleration").selectOption("m/s2");
  await run.getByLabel(/^Upward acceleration/).selectOption("q");
  await run.getByLabel("Unit of Upward acceleration").selectOption("m/s2");
  await run.getByRole("button", { name: "Hold the run against it" }).click();
  await expect(run.getByRole("alert")).toHaveText(/odd\.csv: vertical: reads -1\.00 g while the sled stands still/);
  await run.locator(".run-column").filter({ hasText: "Upward acceleration" }).getByLabel("counts the other way").check();
  await run.getByRole("button", { name: "Hold the run against it" }).click();
  await expect(run.getByText("Nothing that lasted 0.1 s or longer lay outside")).toBeVisible();
});

/** Writes a run of so many bytes: a sled that shakes, invented. */
async function write(path: string, bytes: number) {
  const out = createWriteStream(path);
  out.write("time,acc x [g],acc z [g],speed [km/h]\n");
  let size = 0;
  for (let i = 0; size < bytes; ) {
    let chunk = "";
    for (let k = 0; k < 20_000; k += 1, i += 1) {
      const still = i < 600;
      const x = still ? 0 : 0.4 * Math.sin(i / 37) + (i % 9000 < 30 ? -2.5 : 0);
      const z = still ? 1 : 1 + 0.5 * Math.sin(i / 23);
      chunk += `${(i / 100).toFixed(2)},${x.toFixed(5)},${z.toFixed(5)},${still ? "0.00" : "45.25"}\n`;
    }
    size += chunk.length;
    if (!out.write(chunk)) await new Promise((go) => out.once("drain", go));
  }
  await new Promise<void>((go) => out.end(() => go()));
}

/** An event of the browser's trace; times in microseconds. */
interface Traced {
  name: string;
  pid: number;
  tid: number;
  /** Processor time. */
  tdur?: number;
  args?: { name?: string };
}

/** Processor time of the page's own thread, task by task, ms, while a run is read and held against its options. */
async function tasksOfReading(page: Page, path: string, size: number): Promise<number[]> {
  const run = await open(page);
  // The options' own fits and bands are another matter: they end first.
  await expect(page.getByText(/\(60 drawn\)/)).toBeVisible({ timeout: 90_000 });
  await run.getByLabel("Open a run").setInputFiles(path);
  const go = run.getByRole("button", { name: "Hold the run against it" });
  await expect(go).toBeVisible();
  const browser = page.context().browser();
  if (!browser) throw new Error("there is no browser to trace");
  await browser.startTracing(page, { categories: ["toplevel", "disabled-by-default-devtools.timeline"] });
  await go.click();
  if (size > 10e6) await expect(run.getByText(/Reading .*long\.csv: [1-9]\d? %/)).toBeVisible();
  await expect(run.getByText(/long\.csv was read\./)).toBeVisible({ timeout: 120_000 });
  const trace = JSON.parse((await browser.stopTracing()).toString()) as { traceEvents: Traced[] };
  // Processor time of each task: what else the machine does meanwhile is not the page's.
  const main = trace.traceEvents.filter((e) => e.name === "thread_name" && e.args?.name === "CrRendererMain");
  const on = new Set(main.map((e) => `${e.pid}/${e.tid}`));
  const tasks = trace.traceEvents.filter((e) => e.tdur !== undefined && on.has(`${e.pid}/${e.tid}`));
  return tasks.map((e) => (e.tdur ?? 0) / 1000);
}

test("a run fifty times as long asks for no longer task of the page's thread", async ({ browser, page }, info) => {
  test.skip(info.project.name !== "desktop", "one width is enough for the thread");
  test.setTimeout(400_000);
  // How long a task takes is the machine's; that it does not grow with the run is the page's.
  const longest = async (page: Page, size: number): Promise<number> => {
    const path = info.outputPath(`${size}-long.csv`);
    await write(path, size);
    const tasks = await tasksOfReading(page, path, size);
    expect(tasks.length, "tasks were seen").toBeGreaterThan(100);
    const most = Math.max(...tasks);
    const description = `${size / 1e6} MB: ${tasks.length} tasks, the longest ${most.toFixed(0)} ms of processor time`;
    info.annotations.push({ type: "measured", description });
    return most;
  };
  const other = await browser.newContext();
  const short = await longest(await other.newPage(), 1e6);
  await other.close();
  const long = await longest(page, 50e6);
  expect(long, `the longest task of a short run took ${short} ms`).toBeLessThanOrEqual(1.5 * short);
});
