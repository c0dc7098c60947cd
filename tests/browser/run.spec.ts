// A recorded run in the compare place: opened, mapped, held against an option, and never in the way of a frame.

import { fileURLToPath } from "node:url";
import type { Page } from "@playwright/test";
import { expect, expectAccessible, expectNoSidewaysScroll, test } from "./fixtures.ts";
import { write } from "./shaken.mjs";
import { tasksDuring } from "./tasks.mjs";

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

/** What reaches the page's own thread: calls that read a file or a piece of one, and what the worker sends, in characters. */
interface Seen {
  reads: number;
  messages: number[];
}

/** Watches what reaches the page's own thread; the worker's is its own. */
function watch(page: Page) {
  return page.addInitScript(() => {
    const seen: Seen = { reads: 0, messages: [] };
    const count = (made: object, names: string[]) => {
      for (const name of names) {
        const original: (...given: unknown[]) => unknown = Reflect.get(made, name);
        Reflect.set(made, name, function (this: unknown, ...given: unknown[]) {
          seen.reads += 1;
          return original.apply(this, given);
        });
      }
    };
    count(Blob.prototype, ["arrayBuffer", "slice", "stream", "text"]);
    count(FileReader.prototype, ["readAsArrayBuffer", "readAsBinaryString", "readAsDataURL", "readAsText"]);
    const Plain = Worker;
    window.Worker = class extends Plain {
      constructor(url: string | URL, options?: WorkerOptions) {
        super(url, options);
        this.addEventListener("message", ({ data }) => seen.messages.push(JSON.stringify(data)?.length ?? 0));
      }
    };
    Object.assign(window, { seen });
  });
}

/** Has a run of so many bytes read and held against its options; says what reached the page's own thread meanwhile, and its
 * tasks, in ms of processor time. */
async function hold(page: Page, path: string, bytes: number): Promise<Seen & { tasks: number[] }> {
  await watch(page);
  await write(path, bytes);
  const run = await open(page);
  // The options' own fits and bands are another matter: they end first.
  await expect(page.getByText(/\(60 drawn\)/)).toBeVisible({ timeout: 90_000 });
  await run.getByLabel("Open a run").setInputFiles(path);
  const go = run.getByRole("button", { name: "Hold the run against it" });
  await expect(go).toBeVisible();
  // One read of the test's own, so that it is known that reads are seen.
  const before = await page.evaluate(async () => {
    await new Blob(["own"]).text();
    return Reflect.get(window, "seen").messages.length;
  });
  // Watched from within: a look from outside, again and again, is a task of the page's thread, and the longest of them.
  const tasks = await tasksDuring(page, async () => {
    await go.click();
    if (bytes > 10e6) await run.getByText(/Reading .*long\.csv: [1-9]\d? %/).waitFor();
    await run.getByText(/(long|short)\.csv was read\./).waitFor({ timeout: 120_000 });
  });
  const { reads, messages }: Seen = await page.evaluate(() => Reflect.get(window, "seen"));
  return { reads, messages: messages.slice(before), tasks };
}

test("a run of 50 MB is read without a task over 100 ms on the page's thread, which is told how far it is and no more", async ({
  browser,
  page,
}, info) => {
  test.skip(info.project.name !== "desktop", "one width is enough for the thread");
  test.setTimeout(400_000);
  const other = await browser.newContext();
  const short = await hold(await other.newPage(), info.outputPath("short.csv"), 5e6);
  await other.close();
  const long = await hold(page, info.outputPath("long.csv"), 50e6);
  const longest = (all: number[]) => Math.max(...all);
  for (const [megabytes, { tasks, messages }] of [[5, short], [50, long]] as const) {
    const description = `${megabytes} MB: ${tasks.length} tasks, the longest ${longest(tasks).toFixed(0)} ms; ${messages.length} messages, the longest ${longest(messages)} characters`;
    info.annotations.push({ type: "measured", description });
  }
  expect(long.tasks.length, "tasks were seen").toBeGreaterThan(100);
  expect(longest(long.tasks), "ms of processor time").toBeLessThanOrEqual(100);
  for (const { reads } of [short, long]) expect(reads, "the worker reads, not the page").toBe(1);
  const most = longest(short.messages);
  expect(most, "what is found arrives in a message").toBeGreaterThan(1000);
  expect(longest(long.messages), `a short run's longest is ${most} characters`).toBeLessThanOrEqual(1.5 * most);
  // A run is read twice, and each piece of 2 MiB is told.
  expect(long.messages.length).toBeLessThanOrEqual(2 * Math.ceil(50e6 / 2 ** 21) + 10);
});
