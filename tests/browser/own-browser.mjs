// A browser of one's own on the built page, for what is measured by hand: nothing else runs in it.

import { chromium } from "@playwright/test";
import { serve } from "./server.mjs";

/** Serves the built page and begins a browser. Each page is of a laptop's size, and as if it came for the first time. */
export async function begin() {
  const site = await serve();
  const browser = await chromium.launch({
    executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
    args: ["--no-sandbox", "--disable-quic", "--disable-background-networking", "--disable-component-update", "--disable-sync"],
  });
  return {
    origin: site.origin,
    newPage: async () => {
      const context = await browser.newContext({ viewport: { width: 1440, height: 900 }, serviceWorkers: "block" });
      return context.newPage();
    },
    end: async () => {
      await browser.close();
      await site.stop();
    },
  };
}
