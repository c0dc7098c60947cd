// The book in the browser's store: what is said to be saved is there after a reload, in every tab, and trouble is told in
// words with nothing lost.

import { readdir, readFile } from "node:fs/promises";
import type { Page } from "@playwright/test";
import { expect, expectAccessible, expectNoSidewaysScroll, test } from "./fixtures.ts";
import { Book } from "./book.ts";
import { DATABASE, Kept, key, make, metas, records, words } from "./kept.ts";

const CASES = "../cases/book";
const DEMO = "../../rider-profiles/books/two-tents.json";
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

test("what is typed and not written down outlives a reload, until it is written down or thrown away", async ({ page }) => {
  const kept = new Kept(page);
  const book = new Book(page);
  await kept.open();
  await kept.take("demo.json", await readFile(DEMO, "utf8"));
  await expect(book.rides.getByRole("button").first()).toBeVisible();
  const typed = (form: RegExp, words: string) => expect.poll(async () => (await metas(page)).find((text) => form.test(text)) ?? "").toContain(words);
  const left = page.getByText("This was typed before and is not written down.");
  const note = page.getByRole("region", { name: "Write a note" });
  const words = note.getByLabel("Anything worth a line");
  await words.pressSequentially("Grips slip when we");
  await typed(/^\["note"/, "Grips slip when we");
  await book.rides.getByRole("button").first().click();
  await book.open("Change something by hand");
  await expect(left).toHaveCount(0);
  await book.part.getByRole("button", { name: "Stirrup: back" }).click();
  const lead = book.part.getByText(/^Stirrup bolt .+ → /);
  const moved = await lead.innerText();
  await book.part.getByLabel(/^Why/).fill("to tr");
  await typed(/^\["change/, "to tr");
  await page.reload();
  await expect(words).toHaveValue("Grips slip when we");
  await expect(note.getByRole("status")).toContainText("not written down");
  await expect(lead).toHaveText(moved);
  await expect(book.part.getByLabel(/^Why/)).toHaveValue("to tr");
  await expect(left).toHaveCount(2);
  await expectAccessible(page);

  // Written down, and thrown away: neither comes back.
  await words.pressSequentially("t");
  await note.getByRole("button", { name: "Put the note into the book" }).click();
  await expect(left).toHaveCount(1);
  await book.open("Throw it away");
  await expect(left).toHaveCount(0);
  await expect.poll(async () => (await metas(page)).filter((text) => text.startsWith("["))).toEqual([]);
  await page.reload();
  await expect(words).toHaveValue("");
  await book.open("Change something by hand");
  await expect(book.part.getByLabel(/^Why/)).toHaveValue("");
  await expect(lead).toHaveCount(0);
  await expect(left).toHaveCount(0);
  expect(await kept.notes()).toContain("Grips slip when wet");
});

test("written down is said when the disk has it, and not before", async ({ page }) => {
  // Every change of what is said, in order.
  await page.addInitScript(() => {
    const said: string[] = [];
    Object.assign(window, { said });
    new MutationObserver(() => {
      const words = document.querySelector(".book-said")?.textContent ?? "";
      const status = document.querySelector("[aria-labelledby=kept-heading] [role=status]")?.textContent ?? "";
      if (words && said.at(-1) !== words) said.push(words + (/Saving/.test(status) ? " (on its way)" : ""));
    }).observe(document, { subtree: true, childList: true, characterData: true });
  });
  const kept = new Kept(page);
  const book = new Book(page);
  await kept.open();
  await kept.take("demo.json", await readFile(DEMO, "utf8"));
  await book.rides.getByRole("button").first().click();
  await book.open("Write something else down");
  await book.open("A note");
  await book.part.getByLabel("Note", { exact: true }).fill("greased the post");
  await book.open("Write it down");
  await expect(book.said).toHaveText("Written down and saved: a note.");
  const said: string[] = await page.evaluate("said");
  expect(said[0]).toMatch(/^Writing …/);
  expect(said.filter((words) => /saved/.test(words) && /on its way/.test(words))).toEqual([]);

  // It cannot be: the trouble is told, and nothing says that it was written down.
  await page.evaluate(() => {
    IDBDatabase.prototype.transaction = () => {
      throw new DOMException("no", "UnknownError");
    };
  });
  await book.open("Write something else down");
  await book.open("A note");
  await book.part.getByLabel("Note", { exact: true }).fill("not on the disk");
  await book.open("Write it down");
  await expect(book.said).toHaveText("Not saved: read above what to do.");
  await expect(kept.trouble).toBeVisible();
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
    [whole.replace('"schema": 1', '"schema": 3'), /newer.*Your book has not changed\./],
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

test("two halves that put the same entry right differently show both, one is kept, and nothing is in doubt after it", async ({ page }) => {
  const whole = JSON.parse(await readFile(DEMO, "utf8"));
  const former = whole.data.entries.find((entry: { what: object }) => "note" in entry.what || "conditions" in entry.what);
  const half = (ms: number, words: string) => {
    // The time stands in the first 48 bits of an identifier (RFC 9562, section 5.7), ms.
    const time = ms.toString(16).padStart(12, "0");
    const id = `${time.slice(0, 8)}-${time.slice(8)}${former.id.slice(13)}`;
    const right = { ...former, id, at_ms: ms, device: words, supersedes: former.id, what: { note: { words } } };
    return JSON.stringify({ ...whole, data: { ...whole.data, entries: [...whole.data.entries, right] } });
  };
  const kept = new Kept(page);
  const book = new Book(page);
  const count = whole.data.entries.length;
  await kept.open();
  await kept.take("left.json", half(1_775_000_000_000, "seen from the left tablet"));
  await kept.saved(count + 1);
  await kept.take("right.json", half(1_775_000_060_000, "seen from the right tablet"));
  await kept.saved(count + 2);
  await book.open("All entries");
  const search = book.part.getByLabel("Search");
  const doubt = book.part.getByText(/^Written at the same time elsewhere:/);
  await search.fill("seen from");
  await expect(doubt).toHaveText(/seen from the left tablet$/);
  await expect(book.part.getByText(/^Note: seen from the right tablet/)).toBeVisible();
  await book.open("Keep this other one");
  await expect(book.part.getByText(/^Note: seen from the left tablet/)).toBeVisible();
  await expect(doubt).toHaveCount(0);
  await kept.saved(count + 3);
  await page.reload();
  await kept.saved(count + 3);
  await search.fill("seen from");
  await expect(book.part.getByText(/^Note: seen from the left tablet/)).toBeVisible();
  await expect(doubt).toHaveCount(0);
  // The other one is not lost.
  await book.part.getByText("What stood there before").click();
  await expect(book.part.getByText(/by seen from the right tablet: seen from the right tablet$/)).toBeVisible();
});

test("a photo's small copy is shown, and goes out and in with the book", async ({ browser, page, site }) => {
  const kept = new Kept(page);
  const book = new Book(page);
  await kept.open();
  await kept.take("demo.json", await readFile(DEMO, "utf8"));
  const picture = await page.evaluate(() => {
    const canvas = document.createElement("canvas");
    [canvas.width, canvas.height] = [48, 32];
    const context = canvas.getContext("2d")!;
    context.fillStyle = "#3a30b8";
    context.fillRect(8, 8, 24, 16);
    return canvas.toDataURL("image/png").split(",")[1]!;
  });
  await book.open("Write something else down");
  await book.open("A photo");
  await book.part.getByLabel("Choose the picture").setInputFiles({ name: "seat.png", mimeType: "image/png", buffer: Buffer.from(picture, "base64") });
  await expect(book.part.getByText(/^A small copy of \d+ kB goes into the book\.$/)).toBeVisible();
  await book.part.getByLabel("What it shows").fill("the seat's front edge");
  await book.open("Write it down");
  await expect(book.said).toContainText("saved");
  const look = async (of: Page) => {
    const other = new Book(of);
    await other.open("All entries");
    await other.part.getByLabel("Search").fill("front edge");
    const image = other.part.getByRole("img", { name: "seat.png, the seat's front edge" });
    await expect(image).toBeVisible();
    expect(await image.evaluate((shown: HTMLImageElement) => shown.decode().then(() => [shown.naturalWidth, shown.naturalHeight]))).toEqual([48, 32]);
    return image.getAttribute("src");
  };
  const source = await look(page);
  expect(source).toMatch(/^data:image\/jpeg;base64,/);
  const context = await browser.newContext({ baseURL: `${site.origin}/`, serviceWorkers: "block" });
  const other = new Kept(await context.newPage());
  await other.open();
  await other.take("book.json", await kept.backup());
  expect(await look(other.page)).toBe(source);
  await context.close();
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
  // Each version so far says all that the one before it said: entries come back as they were.
  for (const entry of all.values()) expect(entries).toContainEqual(entry);
});

for (const version of [1, 2]) test(`a store that version ${version} wrote opens for ever, clashes with it`, async ({ page }) => {
  await blank(page);
  const expected: unknown[] = [];
  const written = new Map<string, string>();
  for (const file of await readdir(CASES)) {
    if (Number(file.split("-")[1]) > version) continue;
    for (const entry of JSON.parse(await readFile(`${CASES}/${file}`, "utf8")).data.entries) {
      const text = JSON.stringify(entry);
      if (!written.has(key(entry.id, text))) expected.push(entry);
      written.set(key(entry.id, text), text);
    }
  }
  await make(page, version, STORES, [...written]);
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
  await make(page, 2, STORES, [["broken", '{"id": "half an ent']]);
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
  await make(other, 99, [], []);
  await expect(kept.alert).toContainText("A newer version of this page was opened in another tab");
  await kept.note("After");
  await expect(kept.status).toContainText("2 entries in the book, 1 not saved.");
  expect(words(JSON.parse(await kept.handedOut("Save it as a file")).data.entries)).toEqual(["After"]);
  expect(await records(other)).toHaveLength(1);
});

test("a tab that holds an older version open is named, and opening goes on when it lets go", async ({ page, context }) => {
  const holder = await blank(await context.newPage());
  await holder.evaluate(async ([name, stores]) => {
    const held = indexedDB.open(name, 1);
    held.onupgradeneeded = () => stores.forEach((store) => held.result.createObjectStore(store));
    await new Promise((resolve) => (held.onsuccess = resolve));
    Object.assign(window, { letGo: () => held.result.close() });
  }, [DATABASE, STORES] as const);
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
