// Which browser is driven, and how it is begun: it talks to nobody of its own accord.

import { accessSync, constants } from "node:fs";
import { delimiter, join } from "node:path";

export const FLAGS = [
  "--no-sandbox",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
];

/** The distribution's Chromium, or the one that CHROMIUM names. */
export function chromium() {
  const named = process.env.CHROMIUM;
  const folders = (process.env.PATH ?? "").split(delimiter);
  const candidates = named
    ? [named]
    : ["chromium", "chromium-browser", "google-chrome"].flatMap((name) => folders.map((folder) => join(folder, name)));
  const found = candidates.find((path) => {
    try {
      accessSync(path, constants.X_OK);
      return true;
    } catch {
      return false;
    }
  });
  if (!found) {
    throw new Error(
      named
        ? `CHROMIUM names ${named}, which cannot be run.`
        : "Chromium is missing. Install your distribution's package (Debian: apt-get install chromium), " +
            "or name an installed one: CHROMIUM=/path/to/chromium.",
    );
  }
  return found;
}
