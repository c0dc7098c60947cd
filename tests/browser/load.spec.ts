// The page as a whole: it comes up, its worker answers, it says so when it cannot, and it talks to nobody else.

import { expect, expectAccessible, expectComplaint, expectNoSidewaysScroll, test } from "./fixtures.ts";

test("comes up with its heading, and its worker answers", async ({ page }) => {
  await page.goto("./");
  await expect(page.getByRole("heading", { level: 1, name: "Sledstance" })).toBeVisible();
  await expect(page.getByRole("contentinfo").getByRole("status")).toHaveText(/^Sledstance \d+\.\d+\.\d+ is ready and computes on this device\.$/);
  await expect(page.getByText("Sledstance is loading")).toHaveCount(0);
});

test("is accessible and fits the window, in both themes", async ({ page }) => {
  for (const colorScheme of ["light", "dark"] as const) {
    await page.emulateMedia({ colorScheme });
    await page.goto("./");
    await expect(page.getByRole("contentinfo").getByRole("status")).toHaveText(/is ready/);
    await expectAccessible(page);
    await expectNoSidewaysScroll(page);
  }
});

test("shows that it is loading before its program is there", async ({ page }) => {
  let release = () => {};
  const held = new Promise<void>((resolve) => (release = resolve));
  await page.route("**/*.wasm", async (route) => {
    await held;
    await route.continue();
  });
  await page.goto("./", { waitUntil: "commit" });
  await expect(page.getByRole("status")).toHaveText("Sledstance is loading …");
  release();
  await expect(page.getByRole("heading", { level: 1 })).toBeVisible();
});

test("says in words when its program does not come", async ({ page, complaints }) => {
  await page.route("**/*.wasm", (route) => route.abort());
  await page.goto("./");
  await expect(page.getByRole("alert")).toHaveText(/could not start: .+ What you saved on this device is untouched\./);
  await expectComplaint(complaints, /\.wasm|Failed to fetch/);
});

test("says in words when its worker does not come", async ({ page, complaints }) => {
  await page.route("**/worker.js", (route) => route.fulfill({ status: 404, body: "" }));
  await page.goto("./");
  await expect(page.getByRole("heading", { level: 1 })).toBeVisible();
  await expect(page.getByRole("contentinfo").getByRole("status")).toHaveText(/cannot compute: its worker did not start \(.+\)/);
});

test("runs no script that its policy does not name", async ({ page, complaints }) => {
  await page.goto("./");
  await expect(page.getByRole("contentinfo").getByRole("status")).toHaveText(/is ready/);
  await page.evaluate(() => {
    const script = document.createElement("script");
    script.textContent = "document.title = 'changed'";
    document.head.append(script);
  });
  await expect(page).toHaveTitle("Sledstance");
  await expectComplaint(complaints, /Content Security Policy/);
});

test("is served as a plain server serves it: right types, and 404 for what is not there", async ({ request }) => {
  const page = await request.get("./");
  expect(page.headers()["content-type"]).toBe("text/html; charset=utf-8");
  const wasm = /href="\.\/([^"]+\.wasm)"/.exec(await page.text())?.[1];
  expect(wasm, "the page names its program").toBeDefined();
  expect((await request.get(wasm!)).headers()["content-type"]).toBe("application/wasm");
  expect((await request.get("manifest.webmanifest")).headers()["content-type"]).toBe("application/manifest+json");
  expect((await request.get("not-here")).status()).toBe(404);
  expect((await request.get("..%2fCargo.toml")).status()).toBe(404);
});
