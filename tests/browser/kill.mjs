// Kills the browser while the page saves, opens it again, and looks whether anything that was said to be saved is missing.
// A hundred times: node tests/browser/kill.mjs 100 (a few run in kill.spec.ts). It holds the process's end: a power cut,
// where the disk's own memory is lost too, is beyond what a program can stage.

import { spawn } from "node:child_process";
import { once } from "node:events";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { argv, exit } from "node:process";
import { fileURLToPath } from "node:url";
import * as playwright from "@playwright/test";
import { FLAGS, chromium } from "./chromium.mjs";
import { serve } from "./server.mjs";

/** Kills on one profile, so that a book that grows with every round stays small enough to save quickly. */
const PER_PROFILE = 10;
/** A round is killed after at most so many ms of saving. */
const LONGEST = 1500;
/** What every note ends with: one that lacks it is half there. */
const END = `${" and what was felt on the way".repeat(8)}, the end`;

async function launch(executable, profile) {
  const browser = spawn(
    executable,
    [
      ...FLAGS,
      "--headless=new",
      "--remote-debugging-port=0",
      `--user-data-dir=${profile}`,
      "about:blank",
    ],
    // A process group of its own: all of it is killed.
    { detached: true, stdio: ["ignore", "ignore", "pipe"] },
  );
  const ended = once(browser, "exit");
  let words = "";
  const endpoint = await new Promise((resolve, reject) => {
    browser.stderr.on("data", (chunk) => {
      words += chunk;
      const found = /DevTools listening on (ws:\S+)/.exec(words);
      if (found) resolve(found[1]);
    });
    browser.once("exit", () => reject(new Error(`the browser ended: ${words}`)));
  });
  const connection = await playwright.chromium.connectOverCDP(endpoint);
  const kill = async () => {
    process.kill(-browser.pid, "SIGKILL");
    await ended;
    await connection.close().catch(() => {});
  };
  return { context: connection.contexts()[0], kill };
}

/** Opens the book's place and waits until it says how many entries are saved. */
async function open(context, origin) {
  const page = await context.newPage();
  await page.goto(`${origin}/#book`);
  const section = page.getByRole("region", { name: "Kept on this device" });
  const status = section.getByRole("status").first();
  await status.getByText(/in the book, all of them saved/).waitFor({ timeout: 60_000 });
  const count = Number(/^(\d+) /.exec(await status.innerText())?.[1]);
  return { page, status, count, alerts: await page.getByRole("alert").allInnerTexts() };
}

/** The notes in the store, read beside the page. */
function stored(page) {
  return page.evaluate(async () => {
    const open = indexedDB.open("sledstance-book");
    await new Promise((resolve, reject) => ((open.onsuccess = resolve), (open.onerror = reject)));
    const all = open.result.transaction("entries").objectStore("entries").getAll();
    await new Promise((resolve, reject) => ((all.onsuccess = resolve), (all.onerror = reject)));
    open.result.close();
    return all.result;
  });
}

/** Saves notes through the page's own form, without end, and tells of every one that the page says is saved. */
async function saveOn(page, status, round, heard) {
  await page.exposeFunction("heard", (text) => {
    const said = /Saved at \S+: Note: (kill \d+ \d+) /.exec(text);
    if (said) heard(said[1]);
  });
  const form = page.getByRole("region", { name: "Write a note" });
  const handles = await Promise.all(
    [status, form.getByLabel("Anything worth a line"), form.getByRole("button", { name: "Put the note into the book" })].map(
      (locator) => locator.elementHandle(),
    ),
  );
  await page.evaluate(
    ([status, words, put, round, end]) => {
      const watch = new MutationObserver(() => window.heard(status.textContent));
      watch.observe(status, { childList: true, characterData: true, subtree: true });
      let i = 0;
      const next = () => {
        words.value = `kill ${round} ${i++} ${end}`;
        words.dispatchEvent(new Event("input", { bubbles: true }));
        put.click();
        setTimeout(next, Math.random() * 12);
      };
      next();
    },
    [...handles, round, END],
  );
}

/** Kills the browser so many times. Resolves to what was said and what was found. */
export async function kill(executable, kills, say = () => {}) {
  const site = await serve();
  const total = { kills: 0, said: 0, found: 0, unsaid: 0, missing: [], broken: [] };
  try {
    while (total.kills < kills) {
      const profile = await mkdtemp(join(tmpdir(), "sledstance-kill-"));
      const said = new Set();
      let found = new Set();
      for (let round = 0; round <= PER_PROFILE; round++) {
        const { context, kill } = await launch(executable, profile);
        try {
          const { page, status, count, alerts } = await open(context, site.origin);
          const texts = await stored(page);
          found = new Set();
          for (const text of texts) {
            const words = whole(text);
            if (words) found.add(words.slice(0, words.indexOf(END)).trim());
            else total.broken.push(text);
          }
          if (count !== texts.length || alerts.length > 0) total.broken.push(`${texts.length} records, ${count} read: ${alerts}`);
          for (const note of said) if (!found.has(note)) total.missing.push(note);
          if (round === PER_PROFILE || total.kills === kills) break;
          await saveOn(page, status, total.kills, (note) => said.add(note));
          await new Promise((resolve) => setTimeout(resolve, Math.random() * LONGEST));
          total.kills += 1;
        } finally {
          await kill();
        }
        say(`kill ${total.kills}: ${said.size} said to be saved on this profile, ${found.size} found before`);
      }
      total.said += said.size;
      total.found += found.size;
      total.unsaid += [...found].filter((note) => !said.has(note)).length;
      await rm(profile, { recursive: true, force: true, maxRetries: 5 });
    }
  } finally {
    await site.stop();
  }
  return total;
}

/** A note's words, where the whole of it is there. */
function whole(text) {
  try {
    const { words } = JSON.parse(text).what.note;
    return words.endsWith(END) ? words : null;
  } catch {
    return null;
  }
}

if (argv[1] === fileURLToPath(import.meta.url)) {
  const total = await kill(chromium(), Number(argv[2] ?? 100), (line) => console.log(line));
  console.log(
    `${total.kills} kills: ${total.said} said to be saved, ${total.found} found, of which ${total.unsaid} had not been said yet; ` +
      `${total.missing.length} missing, ${total.broken.length} half there`,
  );
  if (total.missing.length + total.broken.length > 0) {
    console.log(total.missing.slice(0, 20), total.broken.slice(0, 20));
    exit(1);
  }
}
