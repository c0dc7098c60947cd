// Prints how long the book's place takes with ten thousand entries. Not a test: it holds nothing.
// Run it on the built page: node tests/browser/measure-book.mjs [entries]

import { readFileSync } from "node:fs";
import { argv } from "node:process";
import { fileURLToPath } from "node:url";
import { begin } from "./own-browser.mjs";

const COUNT = Number(argv[2] ?? 10_000);
const DEMO = fileURLToPath(new URL("../../rider-profiles/books/two-tents.json", import.meta.url));

const table = [];
const put = (what, value, goal = "") => table.push([what, `${Math.round(value)} ms`, goal]);

const { origin, newPage, end } = await begin();
const page = await newPage();
const section = page.getByRole("region", { name: "Kept on this device" });
const status = section.getByRole("status").first();
const saved = (count) => status.getByText(new RegExp(`^${count} entries in the book, all of them saved`)).waitFor({ timeout: 120_000 });
const timed = async (act) => {
  const begun = performance.now();
  await act();
  return performance.now() - begun;
};

const text = season(COUNT);
await page.goto(`${origin}/#book`);
await saved(0);
put(
  `a file of ${COUNT} entries, ${(text.length / 1e6).toFixed(1)} MB, taken in and on the disk`,
  await timed(async () => {
    await section.getByLabel("Take in a book’s file").setInputFiles({ name: "season.json", mimeType: "application/json", buffer: Buffer.from(text) });
    await saved(COUNT);
  }),
);

// The program runs already: what is timed is the book.
await page.goto("about:blank");
await page.goto(`${origin}/`);
await page.getByText(/combinations? looked at closely/).waitFor({ timeout: 60_000 });
await page.evaluate(watchFrames);
put(
  "the place opened, the book read and shown",
  await timed(async () => {
    await page.getByRole("navigation", { name: "Places" }).getByRole("link", { name: /book/i }).click();
    await saved(COUNT);
  }),
  "1 s",
);
put("longest frame meanwhile", await page.evaluate("longestFrame()"));

const note = async (words) => {
  const form = page.getByRole("region", { name: "Write a note" });
  await form.getByLabel("Anything worth a line").fill(words);
  await form.getByRole("button", { name: "Put the note into the book" }).click();
};
await page.evaluate("longestFrame()");
put("a note put in, shown and on the disk", await timed(async () => (await note("One more"), saved(COUNT + 1))));
put("longest frame meanwhile", await page.evaluate("longestFrame()"));

await page.evaluate("longestFrame()");
for (let i = 0; i < 40; i++) await page.mouse.wheel(0, 400);
put("longest frame while scrolling", await page.evaluate("longestFrame()"), "no hitch");

await page.getByRole("button", { name: "All entries" }).first().click();
const search = page.getByRole("searchbox");
await search.waitFor();
await page.evaluate("longestFrame()");
await search.fill("frozen rut");
put("longest frame after typing in the search of all entries", await page.evaluate("settledFrame()"), "100 ms");
for (let i = 0; i < 40; i++) await page.mouse.wheel(0, 400);
put("longest frame while scrolling what was found", await page.evaluate("longestFrame()"), "no hitch");

const download = page.waitForEvent("download");
put("the backup handed out", await timed(async () => (await section.getByRole("button", { name: "Back it up to a file" }).click(), download)));

await end();
const wide = Math.max(...table.map(([what]) => what.length));
for (const [what, value, goal] of table) console.log(`${what.padEnd(wide)}  ${value.padStart(9)}  ${goal}`);

/** In the page: the longest time between two frames since the last look. */
function watchFrames() {
  let longest = 0;
  let before = performance.now();
  const look = (now) => {
    longest = Math.max(longest, now - before);
    before = now;
    requestAnimationFrame(look);
  };
  requestAnimationFrame(look);
  const take = () => new Promise((resolve) => requestAnimationFrame(() => requestAnimationFrame(() => (resolve(longest), (longest = 0)))));
  Object.assign(window, { longestFrame: take, settledFrame: async () => Math.max(await take(), await take(), await take()) });
}

/** The demo's season again and again, as other entries at other times, until there are enough. */
function season(count) {
  const book = JSON.parse(readFileSync(DEMO, "utf8"));
  const demo = book.data.entries;
  const own = new Set(demo.flatMap(({ id, about }) => (about?.rider === id || about?.sled === id ? [id] : [])));
  const entries = [...demo];
  for (let year = 1; entries.length < count; year++) {
    // The time stands in the first 48 bits of an identifier (RFC 9562, section 5.7), ms.
    const moved = (id) => {
      const ms = (parseInt(id.slice(0, 8) + id.slice(9, 13), 16) + year * 600_000_000).toString(16).padStart(12, "0");
      return `${ms.slice(0, 8)}-${ms.slice(8)}${id.slice(13)}`;
    };
    for (const entry of demo) {
      if (own.has(entry.id) || entries.length === count) continue;
      const copy = { ...entry, id: moved(entry.id), at_ms: entry.at_ms + year * 600_000_000 };
      if (entry.happened_ms) copy.happened_ms = entry.happened_ms + year * 600_000_000;
      if (entry.supersedes) copy.supersedes = moved(entry.supersedes);
      entries.push(copy);
    }
  }
  return JSON.stringify({ ...book, data: { ...book.data, entries } });
}
