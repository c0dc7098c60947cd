import { existsSync } from "node:fs";
import { join } from "node:path";
import { defineConfig } from "@playwright/test";
import { FLAGS, chromium } from "./chromium.mjs";
import { dist } from "./server.mjs";

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
      args: FLAGS,
    },
  },
  projects: [
    { name: "desktop", use: { viewport: { width: 1440, height: 900 } } },
    // What depends on neither room nor hand is tried on the two others.
    { name: "tablet", testMatch: /(start|stage|book|compare)\.spec\.ts/, use: { viewport: { width: 820, height: 1180 }, hasTouch: true } },
    { name: "phone", use: { viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true, deviceScaleFactor: 3 } },
  ],
});
