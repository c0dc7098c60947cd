// What every browser test stands on: the built page on its own plain server, and a watch over the page.

import AxeBuilder from "@axe-core/playwright";
import { test as base, expect, type Page } from "@playwright/test";
import { serve } from "./server.mjs";

type Site = Awaited<ReturnType<typeof serve>>;

export const test = base.extend<{ complaints: string[] }, { site: Site }>({
  site: [
    async ({}, use) => {
      const site = await serve();
      await use(site);
      await site.stop();
    },
    { scope: "worker" },
  ],

  baseURL: async ({ site }, use) => use(`${site.origin}/`),

  // Whatever the page complains about fails the test, unless the test provoked it and says so with `expectComplaint`.
  complaints: [
    async ({ context, site }, use) => {
      const complaints: string[] = [];
      context.on("console", (message) => {
        if (message.type() === "error") complaints.push(`console error: ${message.text()} (${message.location().url})`);
      });
      context.on("weberror", (error) => complaints.push(`page error: ${error.error().message}`));
      context.on("request", (request) => {
        const { protocol, origin } = new URL(request.url());
        if (protocol !== "data:" && protocol !== "blob:" && origin !== site.origin) {
          complaints.push(`request to another origin: ${request.url()}`);
        }
      });
      await use(complaints);
      expect(complaints, "the page stays quiet and talks to its own origin alone").toEqual([]);
    },
    { auto: true },
  ],
});

/** Takes the complaints that a test provoked off the list; there must be one. */
export async function expectComplaint(complaints: string[], about: RegExp) {
  await expect.poll(() => complaints.some((complaint) => about.test(complaint)), { message: `a complaint about ${about}` }).toBe(true);
  complaints.splice(0, complaints.length, ...complaints.filter((complaint) => !about.test(complaint)));
}

/** Holds WCAG 2.2 A and AA, and axe's own good practice, on the page as it stands. */
export async function expectAccessible(page: Page) {
  const { violations } = await new AxeBuilder({ page }).setLegacyMode().options({ resultTypes: ["violations"] }).analyze();
  const words = violations.map((v) => `${v.id}: ${v.help}: ${v.nodes.map((node) => node.target.join(" ")).join(", ")}`);
  expect(words, "axe finds nothing").toEqual([]);
}

/** Holds that nothing is wider than the window. */
export async function expectNoSidewaysScroll(page: Page) {
  const { content, window } = await page.evaluate(() => ({
    content: document.documentElement.scrollWidth,
    window: document.documentElement.clientWidth,
  }));
  expect(content, "the page is no wider than the window").toBeLessThanOrEqual(window);
}

export { expect };
