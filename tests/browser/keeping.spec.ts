// The book in the browser's store: what is said to be saved is there after a reload, in every tab, and trouble is told in
// words with nothing lost.

import { readdir, readFile } from "node:fs/promises";
import type { Page } from "@playwright/test";
import { expect, expectAccessible, expectNoSidewaysScroll, test } from "./fixtures.ts";
import { DATABASE, Kept, key, make, records, words } from "./kept.ts";

const CASES = "../cases/book";
const STORES = ["entries", "meta"];

test("what is saved is there after a reload, and its backup's age too", async ({ page }) => {
  const kept = new Kept(page);
  await kept.open();
  await expect(kept.section.getByText("Last backup: never.")).toBeVisible();
  await kept.note("Riser back by one notch");
  await kept.saved(1);
  await expect(kept.status).toContainText("Note: Riser back by one notch");
  await kept.note("Grips new");
  await kept.saved(2);
  await page.reload();
  await kept.saved(2);
  expect(await kept.notes()).toEqual(["Grips new", "Riser back by one notch"]);
  await expect(kept.section.getByText("Last backup just now.")).toBeVisible();
  await page.clock.setFixedTime(Date.now() + 3 * 86_400_000 + 60_000);
  await page.reload();
  await kept.saved(2);
  await expect(kept.section.getByText("Last backup 3 days ago.")).toBeVisible();
});

test("what cannot be an entry stays typed and says why", async ({ page }) => {
  const kept = new Kept(page);
  await kept.open();
  const long = "snow ".repeat(900);
  await kept.note(long);
  const form = page.getByRole("region", { name: "Write a note" });
  await expect(form.getByRole("alert")).toContainText("what.note.words: 4500 characters; allowed are 1 to 4000");
  await expect(form.getByLabel("Anything worth a line")).toHaveValue(long);
  await kept.saved(0);
});

test("a device keeps its name, and signs with it", async ({ page }) => {
  const kept = new Kept(page);
  await kept.open();
  const name = kept.section.getByLabel("This device is called");
  await name.fill(" ");
  await name.blur();
  await expect(kept.alert).toContainText("device: 0 characters; allowed are 1 to 100");
  await name.fill("Bench tablet");
  await name.blur();
  await expect(kept.alert).toHaveCount(0);
  await kept.note("First");
  await kept.saved(1);
  await page.reload();
  await kept.saved(1);
  await expect(name).toHaveValue("Bench tablet");
  const [entry] = await kept.entries();
  expect(entry).toMatchObject({ device: "Bench tablet" });
});

test("two tabs that write at the same time end with the same book", async ({ context }) => {
  const [a, b] = [new Kept(await context.newPage()), new Kept(await context.newPage())];
  await Promise.all([a.open(), b.open()]);
  const each = 12;
  const write = async (kept: Kept, tab: string) => {
    for (let i = 0; i < each; i++) await kept.note(`${tab} ${i}`);
  };
  await Promise.all([write(a, "left"), write(b, "right")]);
  await a.saved(2 * each);
  await b.saved(2 * each);
  const expected = ["left", "right"].flatMap((tab) => Array.from({ length: each }, (_, i) => `${tab} ${i}`)).sort();
  const [left, right] = [await a.entries(), await b.entries()];
  expect(words(left)).toEqual(expected);
  expect(right).toEqual(left);
  await a.page.reload();
  await a.saved(2 * each);
  expect(await a.entries()).toEqual(left);
});

test("a broken file changes nothing and names the place", async ({ page }) => {
  const kept = new Kept(page);
  const whole = await readFile(`${CASES}/book-1-whole.json`, "utf8");
  await kept.open();
  await kept.note("Before");
  await kept.saved(1);
  const before = await records(page);
  for (const [text, says] of [
    [whole.slice(0, whole.length / 2), /torn\.json cannot be taken in: .*line \d+.*Your book has not changed\./],
    [whole.replace('"temperature_c": -11.5', '"temperature_c": -115'), /line \d+, column \d+: entry \d+: .*temperature_c: -115 is outside/],
    [whole.replace('"schema": 1', '"schema": 2'), /newer.*Your book has not changed\./],
    ["[]", /Your book has not changed\./],
  ] as const) {
    await kept.take("torn.json", text);
    await expect(kept.alert).toHaveText(says);
    await kept.saved(1);
  }
  expect(await records(page)).toEqual(before);
  expect(await kept.notes()).toEqual(["Before"]);
});

test("two devices that exchange their books both ways end the same", async ({ browser, site }) => {
  const device = async () => {
    const context = await browser.newContext({ baseURL: `${site.origin}/`, serviceWorkers: "block" });
    const kept = new Kept(await context.newPage());
    await kept.open();
    return kept;
  };
  const [a, b] = [await device(), await device()];
  for (const note of ["one", "two"]) await a.note(note);
  await b.note("three");
  await Promise.all([a.saved(2), b.saved(1)]);
  const [fromA, fromB] = [await a.backup(), await b.backup()];
  await a.take("b.json", fromB);
  await b.take("a.json", fromA);
  await Promise.all([a.saved(3), b.saved(3)]);
  await expect(a.section.getByText("b.json: 1 entry new, 0 were here already.")).toBeVisible();
  await a.take("b.json", fromB);
  await expect(a.section.getByText("b.json: 0 entries new, 1 were here already.")).toBeVisible();
  expect(await b.entries()).toEqual(await a.entries());
  for (const kept of [a, b]) {
    await kept.page.reload();
    await kept.saved(3);
    await kept.page.context().close();
  }
});

test("every file of a past version is taken in and kept", async ({ page }) => {
  const kept = new Kept(page);
  const files = await readdir(CASES);
  expect(files.length).toBeGreaterThanOrEqual(3);
  await kept.open();
  const all = new Map<string, unknown>();
  for (const file of files) {
    const text = await readFile(`${CASES}/${file}`, "utf8");
    for (const entry of JSON.parse(text).data.entries) all.set(JSON.stringify(entry), entry);
    await kept.take(file, text);
    await expect(kept.section.getByText(new RegExp(`^${file.replaceAll(".", "\\.")}: \\d+ entr(y|ies) new`))).toBeVisible();
  }
  const count = (await kept.entries()).length;
  await kept.saved(count);
  await page.reload();
  await kept.saved(count);
  const entries = await kept.entries();
  // Past versions' entries are those of the first: as long as it is the newest, they come back as they were.
  for (const entry of all.values()) expect(entries).toContainEqual(entry);
});

test("a store that the first version wrote opens for ever, clashes with it", async ({ page }) => {
  await blank(page);
  const expected: unknown[] = [];
  const written = new Map<string, string>();
  for (const file of await readdir(CASES)) {
    for (const entry of JSON.parse(await readFile(`${CASES}/${file}`, "utf8")).data.entries) {
      const text = JSON.stringify(entry);
      if (!written.has(key(entry.id, text))) expected.push(entry);
      written.set(key(entry.id, text), text);
    }
  }
  await make(page, 1, STORES, [...written]);
  const kept = new Kept(page);
  await kept.open();
  await kept.saved(expected.length);
  const entries = await kept.entries();
  expect(entries).toHaveLength(expected.length);
  for (const entry of expected) expect(entries).toContainEqual(entry);
  // Taking the same in again adds no record: the keys are the same.
  await kept.take("again.json", await kept.backup());
  await expect(kept.section.getByText(`again.json: 0 entries new, ${expected.length} were here already.`)).toBeVisible();
  await kept.note("After");
  await kept.saved(expected.length + 1);
  const stored = await records(page);
  expect(stored).toHaveLength(expected.length + 1);
  for (const [name, text] of stored) expect(name).toBe(key(JSON.parse(text!).id, text!));
});

test("a record that is no entry is left as it is, told, and handed out", async ({ page }) => {
  await blank(page);
  await make(page, 1, STORES, [["broken", '{"id": "half an ent']]);
  const kept = new Kept(page);
  await kept.open();
  await expect(kept.alert).toHaveText("1 record of this browser’s store cannot be read. Nothing of it was touched.");
  expect(await kept.handedOut("Save them as a file")).toBe('{"id": "half an ent');
  await kept.note("Beside it");
  await kept.saved(1);
  expect((await records(page)).map(([name]) => name)).toContain("broken");
});

test("a full store is told, what was written is kept, and trying again works", async ({ page }, info) => {
  test.skip(info.project.name !== "desktop", "the store is the same at every size of the window, and this takes half a minute");
  const kept = new Kept(page);
  await kept.open();
  await kept.note("Before");
  await kept.saved(1);
  const devtools = await page.context().newCDPSession(page);
  const { origin } = new URL(page.url());
  await devtools.send("Storage.overrideQuotaForOrigin", { origin, quotaSize: 1 });
  // Chromium goes by what it knew of the space for up to half a minute.
  await expect.poll(() => page.evaluate(probe), { timeout: 90_000 }).toBe("QuotaExceededError");
  await kept.note("While it is full");
  await expect(kept.alert).toContainText("The browser’s storage is full");
  await expect(kept.status).toContainText("2 entries in the book, 1 not saved.");
  expect(words(JSON.parse(await kept.handedOut("Save it as a file")).data.entries)).toEqual(["While it is full"]);
  await kept.trouble.getByRole("button", { name: "Try again" }).click();
  await expect(kept.alert).toContainText("The browser’s storage is full");
  await kept.note("Still full");
  await expect(kept.status).toContainText("3 entries in the book, 2 not saved.");
  expect(await records(page)).toHaveLength(1);
  await devtools.send("Storage.overrideQuotaForOrigin", { origin });
  await kept.trouble.getByRole("button", { name: "Try again" }).click();
  await kept.saved(3);
  await expect(kept.alert).toHaveCount(0);
  await page.reload();
  await kept.saved(3);
  expect(await kept.notes()).toEqual(["Before", "Still full", "While it is full"]);
});

for (const [how, script] of [
  ["has none", () => Object.defineProperty(window, "indexedDB", { value: undefined })],
  [
    "refuses it",
    () =>
      Object.defineProperty(window, "indexedDB", {
        get: () => {
          throw new DOMException("denied", "SecurityError");
        },
      }),
  ],
  [
    "refuses to open it",
    () => {
      IDBFactory.prototype.open = () => {
        throw new DOMException("denied", "SecurityError");
      };
    },
  ],
] as const) {
  test(`a browser that ${how} says so, and what is written can be taken out`, async ({ page, context }) => {
    await context.grantPermissions(["clipboard-read", "clipboard-write"]);
    await page.addInitScript(script);
    const kept = new Kept(page);
    await kept.open();
    await expect(kept.alert).toContainText("This browser keeps no book for this page");
    await kept.note("Only here");
    await expect(kept.status).toHaveText("1 entry in the book, 1 not saved.");
    await kept.trouble.getByRole("button", { name: "Copy what is not saved" }).click();
    await expect(kept.trouble.getByText("Copied.")).toBeVisible();
    const copied = await page.evaluate(() => navigator.clipboard.readText());
    expect(words(JSON.parse(copied).data.entries)).toEqual(["Only here"]);
    expect(await kept.notes()).toEqual(["Only here"]);
    await expectAccessible(page);
    await expectNoSidewaysScroll(page);
  });
}

test("a newer version's store is refused in words and not touched", async ({ page }) => {
  await blank(page);
  await make(page, 99, STORES, [["a later kind of key", "a later kind of text"]]);
  const kept = new Kept(page);
  await kept.open();
  await expect(kept.alert).toContainText("A newer version of this page has written the book on this device");
  await kept.note("By the old version");
  await expect(kept.status).toHaveText("1 entry in the book, 1 not saved.");
  expect(await records(page)).toEqual([["a later kind of key", "a later kind of text"]]);
});

test("a newer version in another tab takes the store over, and the old one says so", async ({ page, context }) => {
  const kept = new Kept(page);
  await kept.open();
  await kept.note("Before");
  await kept.saved(1);
  const other = await blank(await context.newPage());
  await make(other, 2, [], []);
  await expect(kept.alert).toContainText("A newer version of this page was opened in another tab");
  await kept.note("After");
  await expect(kept.status).toContainText("2 entries in the book, 1 not saved.");
  expect(words(JSON.parse(await kept.handedOut("Save it as a file")).data.entries)).toEqual(["After"]);
  expect(await records(other)).toHaveLength(1);
});

test("a tab that holds an older version open is named, and opening goes on when it lets go", async ({ page, context }) => {
  // The page's version is the first: a holder of an older one is made by asking for the next in its place.
  await page.addInitScript(() => {
    const open = IDBFactory.prototype.open;
    IDBFactory.prototype.open = function (name, version) {
      return open.call(this, name, (version ?? 0) + 1);
    };
  });
  const holder = await blank(await context.newPage());
  await holder.evaluate(async (name) => {
    const held = indexedDB.open(name, 1);
    await new Promise((resolve) => (held.onsuccess = resolve));
    Object.assign(window, { letGo: () => held.result.close() });
  }, DATABASE);
  await page.goto("./#book");
  const kept = new Kept(page);
  await expect(kept.alert).toContainText("Another tab with an older version of this page holds the book’s store.");
  await kept.note("While it waits");
  await holder.evaluate("letGo()");
  await kept.saved(1);
  await expect(kept.alert).toHaveCount(0);
});

test("a store that is deleted while the page is open can be saved again whole", async ({ page, context }) => {
  const kept = new Kept(page);
  await kept.open();
  for (const note of ["one", "two"]) await kept.note(note);
  await kept.saved(2);
  const other = await blank(await context.newPage());
  await other.evaluate(async (name) => {
    const gone = indexedDB.deleteDatabase(name);
    await new Promise((resolve) => (gone.onsuccess = resolve));
  }, DATABASE);
  await expect(kept.alert).toContainText("was deleted while the page was open");
  await expect(kept.status).toContainText("2 entries in the book, 2 not saved.");
  await kept.note("three");
  await kept.trouble.getByRole("button", { name: "Try again" }).click();
  await kept.saved(3);
  await page.reload();
  await kept.saved(3);
  expect(await kept.notes()).toEqual(["one", "three", "two"]);
});

test("a store whose records were cleared unseen is noticed when the page is looked at again", async ({ page, context }) => {
  const kept = new Kept(page);
  await kept.open();
  await kept.note("one");
  await kept.saved(1);
  const other = await blank(await context.newPage());
  await other.evaluate(async (name) => {
    const open = indexedDB.open(name);
    await new Promise((resolve) => (open.onsuccess = resolve));
    const transaction = open.result.transaction("entries", "readwrite");
    transaction.objectStore("entries").clear();
    await new Promise((resolve) => (transaction.oncomplete = resolve));
    open.result.close();
  }, DATABASE);
  await page.evaluate(() => document.dispatchEvent(new Event("visibilitychange", { bubbles: true })));
  await expect(kept.alert).toContainText("was deleted while the page was open");
  await kept.trouble.getByRole("button", { name: "Try again" }).click();
  await kept.saved(1);
  expect(await records(page)).toHaveLength(1);
});

test("the browser asks before it closes a page with something that is not saved", async ({ page }) => {
  await page.addInitScript(() => Object.defineProperty(window, "indexedDB", { value: undefined }));
  const kept = new Kept(page);
  await kept.open();
  await kept.note("Only here");
  await expect(kept.status).toHaveText("1 entry in the book, 1 not saved.");
  const asked = page.waitForEvent("dialog");
  await page.close({ runBeforeUnload: true });
  expect((await asked).type()).toBe("beforeunload");
  await (await asked).accept();
});

test("the browser is asked at the first save to keep the store, and its answer is told", async ({ page }) => {
  await page.addInitScript(() => {
    const requests: string[] = [];
    Object.assign(window, { requests });
    StorageManager.prototype.persist = async () => requests.push("persist") > 1;
  });
  const kept = new Kept(page);
  await kept.open();
  expect(await page.evaluate("requests.length")).toBe(0);
  await kept.note("one");
  await expect(kept.section.getByText("The browser may clear the book when the device runs short of space")).toBeVisible();
  await kept.note("two");
  await kept.saved(2);
  expect(await page.evaluate("requests.length")).toBe(1);
});

/** In the page: what stops a write into another database of the same origin; empty where nothing does. */
async function probe() {
  const open = indexedDB.open("probe");
  open.onupgradeneeded = () => open.result.createObjectStore("probe");
  return new Promise<string>((resolve) => {
    open.onerror = () => resolve(open.error?.name ?? "");
    open.onsuccess = () => {
      const transaction = open.result.transaction("probe", "readwrite");
      transaction.objectStore("probe").put("x".repeat(1000), 1);
      transaction.oncomplete = () => resolve("");
      transaction.onabort = () => resolve(transaction.error?.name ?? "");
    };
  });
}

/** A page of the same origin without the program. */
async function blank(page: Page) {
  await page.route("**/blank", (route) => route.fulfill({ contentType: "text/html", body: '<!doctype html><link rel="icon" href="data:,">' }));
  await page.goto("./blank");
  return page;
}
