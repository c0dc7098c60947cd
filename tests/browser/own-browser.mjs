// A browser of one's own on the built page, for what is measured by hand: nothing else runs in it.

import * as playwright from "@playwright/test";
import { FLAGS, chromium } from "./chromium.mjs";
import { serve } from "./server.mjs";

/** Serves the built page and begins a browser. Each page is of a laptop's size, and as if it came for the first time. */
export async function begin() {
  const site = await serve();
  const browser = await playwright.chromium.launch({ executablePath: chromium(), args: FLAGS });
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
