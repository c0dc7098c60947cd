// The page without a network, and when a new version of it is there. Each test serves a copy of the built page, so that it
// can stop the server and change files.

import { execFileSync } from "node:child_process";
import { cp, mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { expect, expectAccessible, test as base } from "./fixtures.ts";
import { dist, serve } from "./server.mjs";

type Copy = { folder: string; stop(): Promise<void>; restart(): Promise<void> };

const test = base.extend<{ copy: Copy }>({
  // Its own server in the place of the shared one: the watch over foreign requests follows `site`.
  copy: async ({ site }, use) => {
    const folder = await mkdtemp(join(tmpdir(), "sledstance-"));
    await cp(dist, folder, { recursive: true });
    let server = await serve(folder);
    const port = Number(new URL(server.origin).port);
    const shared = site.origin;
    site.origin = server.origin;
    await use({
      folder,
      stop: () => server.stop(),
      restart: async () => {
        server = await serve(folder, port);
      },
    });
    site.origin = shared;
    await server.stop();
    await rm(folder, { recursive: true });
  },
});
test.use({ serviceWorkers: "allow", baseURL: async ({ copy, site }, use) => use(copy && `${site.origin}/`) });

/** A new build, as far as a browser can tell: another title, and a list of files that goes with it. */
async function release(folder: string, title: string) {
  const page = join(folder, "index.html");
  const text = await readFile(page, "utf8");
  const next = text.replace(/<title>.*<\/title>/, `<title>${title}</title>`);
  expect(next).not.toBe(text);
  await writeFile(page, next);
  execFileSync("bash", [fileURLToPath(new URL("../../www/seal", import.meta.url)), folder]);
}

const ready = /is ready and computes on this device/;

test("opens, computes and keeps what was typed with the server gone", async ({ page, copy }) => {
  await page.goto("./");
  await expect(page.getByText("This page now opens without a network, too.")).toBeVisible();
  await page.getByLabel(/^Height/).fill("1,91 m");
  await copy.stop();
  await page.reload();
  await expect(page.getByRole("contentinfo").getByRole("status")).toHaveText(ready);
  await expect(page.getByLabel(/^Height/)).toHaveValue("1,91 m");
  await expectAccessible(page);
  await page.goto("./#start/tall-tern/attack");
  await page.reload();
  await expect(page.getByRole("radio", { name: /^Attack/ })).toBeChecked();
});

test("offers a new version and waits until it is asked for", async ({ page, copy }) => {
  await page.goto("./");
  await expect(page.getByText("This page now opens without a network, too.")).toBeVisible();
  await release(copy.folder, "Sledstance, next");
  await page.reload();
  await expect(page.getByText("A new version is ready. What you entered stays.")).toBeVisible();
  await expect(page).toHaveTitle("Sledstance");
  await page.reload();
  await expect(page).toHaveTitle("Sledstance");
  await expectAccessible(page);
  await page.getByRole("button", { name: "Use the new version" }).click();
  await expect(page).toHaveTitle("Sledstance, next");
  await expect(page.getByRole("contentinfo").getByRole("status")).toHaveText(ready);
  await expect(page.getByText("A new version is ready")).toHaveCount(0);
  // The old version's files are gone, and the new one's open without a network.
  expect(await page.evaluate(() => caches.keys())).toHaveLength(1);
  await copy.stop();
  await page.reload();
  await expect(page).toHaveTitle("Sledstance, next");
});

test("keeps the old version whole when a new one comes in pieces", async ({ page, copy, complaints }) => {
  await page.goto("./");
  await expect(page.getByText("This page now opens without a network, too.")).toBeVisible();
  await release(copy.folder, "Sledstance, next");
  // After the list was made the page changed again: what arrives is not what was promised.
  const text = await readFile(join(copy.folder, "index.html"), "utf8");
  await writeFile(join(copy.folder, "index.html"), text.replace("Sledstance, next", "Sledstance, torn"));
  const settled = page.evaluate(async () => {
    const registration = await navigator.serviceWorker.ready;
    const coming = new Promise<string>((resolve) =>
      registration.addEventListener("updatefound", () => {
        const worker = registration.installing!;
        worker.addEventListener("statechange", () => {
          if (worker.state === "redundant" || worker.state === "installed") resolve(worker.state);
        });
      }),
    );
    await registration.update();
    return coming;
  });
  expect(await settled).toBe("redundant");
  await copy.stop();
  await page.reload();
  await expect(page).toHaveTitle("Sledstance");
  await expect(page.getByRole("contentinfo").getByRole("status")).toHaveText(ready);
  complaints.splice(0, complaints.length, ...complaints.filter((c) => !/integrity|Failed to find a valid digest/.test(c)));
});
