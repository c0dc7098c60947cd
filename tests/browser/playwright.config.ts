import { accessSync, constants, existsSync } from "node:fs";
import { delimiter, join } from "node:path";
import { defineConfig } from "@playwright/test";
import { dist } from "./server.mjs";

/** The distribution's Chromium, or the one that CHROMIUM names. */
function chromium(): string {
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

if (!existsSync(join(dist, "index.html"))) {
  throw new Error("The page is not built. Run ./www/serve --build first.");
}

export default defineConfig({
  testDir: ".",
  outputDir: "results",
  fullyParallel: true,
  forbidOnly: !!process.env.CI,
  retries: 0,
  workers: 2,
  // Two cores, shared with whatever else runs: generous limits, no sleeps anywhere.
  timeout: 180_000,
  expect: { timeout: 40_000 },
  reporter: [["list"], ["json", { outputFile: "results/report.json" }]],
  use: {
    serviceWorkers: "block",
    // Screenshots and snapshots at every step would take a quarter of the time.
    trace: { mode: "retain-on-failure", screenshots: false, snapshots: false },
    screenshot: "only-on-failure",
    launchOptions: {
      executablePath: chromium(),
      args: [
        "--no-sandbox",
        "--disable-quic",
        "--no-first-run",
        "--disable-background-networking",
        "--disable-component-update",
        "--disable-sync",
      ],
    },
  },
  projects: [
    { name: "desktop", use: { viewport: { width: 1440, height: 900 } } },
    // What depends on neither room nor hand is tried on the two others.
    { name: "tablet", testMatch: /(start|stage|book|compare)\.spec\.ts/, use: { viewport: { width: 820, height: 1180 }, hasTouch: true } },
    { name: "phone", use: { viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true, deviceScaleFactor: 3 } },
  ],
});
