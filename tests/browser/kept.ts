// The book that the browser keeps, as a person sees it: the section that tells of keeping, the note's form, and the backup.

import { readFile } from "node:fs/promises";
import { expect, type Locator, type Page } from "@playwright/test";

/** The database and its stores, by the names that every later version must still open. */
export const DATABASE = "sledstance-book";

type Written = { id: string; what: Record<string, { words?: string }> };

export class Kept {
  readonly section: Locator;
  readonly status: Locator;
  /** What is not kept, and what to do about it. */
  readonly trouble: Locator;
  readonly alert: Locator;
  readonly picker: Locator;

  constructor(readonly page: Page) {
    this.section = page.getByRole("region", { name: "Kept on this device" });
    this.status = this.section.getByRole("status").first();
    this.trouble = page.getByRole("region", { name: "Trouble with keeping the book" });
    this.alert = this.section.or(this.trouble).getByRole("alert");
    this.picker = this.section.getByLabel("Take in a book’s file");
  }

  async open() {
    await this.page.goto("./#book");
    await expect(this.status).not.toHaveText("Opening the book …");
  }

  async note(words: string) {
    const form = this.page.getByRole("region", { name: "Write a note" });
    await form.getByLabel("Anything worth a line").fill(words);
    await form.getByRole("button", { name: "Put the note into the book" }).click();
  }

  /** All of so many entries are said to be saved. */
  async saved(count: number) {
    await expect(this.status).toHaveText(new RegExp(`^${count} entr(y|ies) in the book, all of them saved\\.`));
  }

  async take(name: string, text: string) {
    await this.picker.setInputFiles({ name, mimeType: "application/json", buffer: Buffer.from(text) });
  }

  /** The text of the file that a button hands out. */
  async handedOut(button: string) {
    const download = this.page.waitForEvent("download");
    await this.section.or(this.trouble).getByRole("button", { name: button }).click();
    return readFile(await (await download).path(), "utf8");
  }

  async backup() {
    return this.handedOut("Back it up to a file");
  }

  async entries(): Promise<Written[]> {
    return JSON.parse(await this.backup()).data.entries;
  }

  /** Words of all notes, in order. */
  async notes() {
    return words(await this.entries());
  }
}

export function words(entries: Written[]) {
  return entries.flatMap((entry) => entry.what.note?.words ?? []).sort();
}

/** A record's key: the identifier and FNV-1a of the text with 64 bits (RFC 9923). */
export function key(id: string, text: string) {
  let hash = 0xcbf29ce484222325n;
  for (const byte of Buffer.from(text)) hash = ((hash ^ BigInt(byte)) * 0x100000001b3n) & 0xffffffffffffffffn;
  return `${id} ${hash.toString(16).padStart(16, "0")}`;
}

/** The entries of the store with their keys, read beside the page. */
export function records(page: Page) {
  return stored(page, "entries");
}

/** What belongs to the device, as texts. */
export async function metas(page: Page) {
  return (await stored(page, "meta")).map(([, text]) => text!);
}

function stored(page: Page, store: string) {
  return page.evaluate(async ([name, of]) => {
    const open = indexedDB.open(name);
    const database = await new Promise<IDBDatabase>((resolve, reject) => {
      open.onsuccess = () => resolve(open.result);
      open.onerror = () => reject(open.error);
    });
    const store = database.transaction(of).objectStore(of);
    const [keys, texts] = [store.getAllKeys(), store.getAll()];
    await new Promise((resolve) => (store.transaction.oncomplete = resolve));
    database.close();
    return keys.result.map((key, i) => [String(key), String(texts.result[i])]);
  }, [DATABASE, store] as const);
}

/** Makes the database without the page: a version, its stores, records of entries. */
export function make(page: Page, version: number, stores: string[], records: string[][]) {
  return page.evaluate(
    async ([name, version, stores, records]) => {
      const open = indexedDB.open(name, version);
      open.onupgradeneeded = () => stores.forEach((store) => open.result.createObjectStore(store));
      await new Promise((resolve, reject) => {
        open.onsuccess = resolve;
        open.onerror = () => reject(open.error);
      });
      if (records.length > 0) {
        const transaction = open.result.transaction("entries", "readwrite");
        for (const [key, text] of records) transaction.objectStore("entries").put(text, key);
        await new Promise((resolve) => (transaction.oncomplete = resolve));
      }
      open.result.close();
    },
    [DATABASE, version, stores, records] as const,
  );
}
