// The start place: two numbers and a sled in, a set-up to bolt on out; wrong input, units, handles, what is kept.

import { expect, expectAccessible, expectNoSidewaysScroll, test } from "./fixtures.ts";
import { Start } from "./start.ts";

test("two numbers and a sled give a set-up to bolt on", async ({ page }, info) => {
  const start = new Start(page);
  await start.open();
  await expect(page.getByRole("heading", { name: "Example: bolt it on like this" })).toBeVisible();
  await page.screenshot({ path: `results/${info.project.name}-example.png` });
  await start.rider("5'11", "82 kg");
  await page.getByRole("radio", { name: /Tall Tern/ }).check();
  await start.settled();
  await expect(start.setting("Riser").locator("strong")).toHaveText(/^\d+ mm$/);
  await expect(start.setting("Riser angle").locator("strong")).toHaveText(/^\d+(\.5)?° (back|forward)$/);
  await expect(start.setting("Stirrup").locator("strong")).toHaveText(/^position \d+$/);
  await expect(start.setting("Brake lever").locator("strong")).toHaveText(/° (down|up)$/);
  await expect(page.getByRole("heading", { name: "Work in this order" })).toBeVisible();
  await expect(page.getByRole("checkbox", { name: /Bolt both stirrups at position \d+/ })).toBeVisible();
  await expect(page.getByText(/short landing/).first()).toBeVisible();
  await expect(page.getByText(/not medical advice/)).toBeVisible();
  await page.screenshot({ path: `results/${info.project.name}-fitted.png` });
});

test("a sled that nobody measured works and says what it assumed", async ({ page }) => {
  const start = new Start(page);
  await start.open();
  await start.rider("165", "60");
  await page.getByRole("radio", { name: /I have not measured mine/ }).check();
  await start.settled();
  const known = page.getByRole("region", { name: "Good to know" });
  await known.getByText("Assumed about the sled").click();
  await expect(known.getByText("steering: post rake")).toBeVisible();
});

test("wrong input is answered beside its field and stays as typed", async ({ page }) => {
  const start = new Start(page);
  await start.open();
  await start.height.fill("5'11");
  await start.weight.fill("820");
  await expect(start.weight).toHaveValue("820");
  await expect(start.weight).toHaveAttribute("aria-invalid", "true");
  await expect(start.weight).toHaveAccessibleDescription(/820(\.0)? kg is outside 30(\.0)? kg to 200(\.0)? kg/);
  await start.weight.fill("82");
  await expect(start.weight).not.toHaveAttribute("aria-invalid", "true");
  await page.getByText("More measurements and gear").click();
  await page.getByText("Legs and feet").click();
  const crotch = page.getByLabel(/^Crotch height/);
  await expect(crotch).toHaveAttribute("placeholder", /^\d{3} mm ± \d+$/);
  await crotch.fill("about 84");
  await expect(page.getByText(/is not a number/)).toBeVisible();
  await expect(crotch).toHaveValue("about 84");
});

test("units switch at once, and back to what was typed", async ({ page }) => {
  const start = new Start(page);
  await start.open();
  await start.rider("180,5", "80");
  const before = await start.value("Riser");
  await page.getByRole("radio", { name: "in, lb" }).check();
  await expect(start.height).toHaveValue("71.1 in");
  await expect(start.weight).toHaveValue("176 lb");
  await expect(start.setting("Riser").locator("strong")).toHaveText(/ in$/);
  await page.getByRole("radio", { name: "mm, kg" }).check();
  await expect(start.height).toHaveValue("180,5");
  expect(await start.value("Riser")).toBe(before);
});

test("the stirrup is dragged along the board and snaps to a position", async ({ page }, info) => {
  const start = new Start(page);
  await start.open();
  await start.rider("178", "80");
  const handle = start.handle("Stirrup position");
  await handle.scrollIntoViewIfNeeded();
  const before = await start.value("Stirrup");
  const from = await start.middle(handle);
  const to = { x: from.x + 24, y: from.y };
  if (info.project.name === "desktop") {
    await page.mouse.move(from.x, from.y);
    await page.mouse.down();
    await page.mouse.move(to.x, to.y, { steps: 6 });
    await page.mouse.up();
  } else {
    const touch = await page.context().newCDPSession(page);
    const send = (type: "touchStart" | "touchMove" | "touchEnd", at?: { x: number; y: number }) =>
      touch.send("Input.dispatchTouchEvent", { type, touchPoints: at ? [at] : [] });
    await send("touchStart", from);
    for (let i = 1; i <= 6; i++) await send("touchMove", { x: from.x + (i * 24) / 6, y: from.y });
    await send("touchEnd");
  }
  await expect(start.setting("Stirrup").locator("strong")).not.toHaveText(before);
  await expect(handle).toHaveAttribute("aria-valuetext", /^position \d+, /);
  await expect(page.getByRole("heading", { name: "Set by hand" })).toBeVisible();
  await page.getByRole("button", { name: "Best fit again" }).click();
  await expect(start.setting("Stirrup").locator("strong")).toHaveText(before);
});

test("arrow keys move a grabbed handle, Escape takes it back, undo too", async ({ page }) => {
  const start = new Start(page);
  await start.open();
  await start.rider("178", "80");
  for (const [name, setting] of [
    ["Riser angle", "Riser angle"],
    ["Bar roll", "Bar roll"],
    ["Stirrup position", "Stirrup"],
  ] as const) {
    const handle = start.handle(name);
    const before = await start.value(setting);
    const spoken = await handle.getAttribute("aria-valuetext");
    await handle.focus();
    await handle.press("ArrowLeft");
    await handle.press("ArrowLeft");
    await expect(handle).not.toHaveAttribute("aria-valuetext", spoken!);
    await expect(handle).toBeFocused();
    await handle.press("Escape");
    await expect(start.setting(setting).locator("strong")).toHaveText(before);
  }
  const before = await start.value("Riser angle");
  await start.handle("Riser angle").press("ArrowLeft");
  await expect(start.setting("Riser angle").locator("strong")).not.toHaveText(before);
  await page.getByRole("button", { name: "Undo" }).click();
  await expect(start.setting("Riser angle").locator("strong")).toHaveText(before);
  await page.getByRole("button", { name: "Redo" }).click();
  await expect(start.setting("Riser angle").locator("strong")).not.toHaveText(before);
});

test("what is kept stays through another search", async ({ page }) => {
  const start = new Start(page);
  await start.open();
  await start.rider("178", "80");
  const step = start.setting("Riser").getByRole("button", { name: /Riser: (lower|higher)/ });
  await step.and(page.locator(":enabled")).first().click();
  const chosen = await start.value("Riser");
  await start.setting("Riser").getByRole("checkbox", { name: "keep Riser" }).check();
  await page.getByRole("button", { name: "Best fit again" }).click();
  await start.weight.fill("90");
  await expect(start.setUp).toContainText("1 kept");
  await expect(start.setting("Riser").locator("strong")).toHaveText(chosen);
});

test("every dimension of a sled can be edited on one's own", async ({ page }) => {
  const start = new Start(page);
  await start.open();
  await start.rider("178", "80");
  const sled = page.getByRole("region", { name: "The sled" });
  await sled.getByText("Dimensions and parts in stock").click();
  await sled.getByText("Steering post").click();
  const height = sled.getByLabel(/^Riser base, over the board/);
  await height.fill("28 in");
  await expect(sled.getByRole("radio", { name: /My own/ })).toBeChecked();
  await height.fill("28 m");
  await expect(height).toHaveAccessibleDescription(/28000 mm is outside 300 mm to 1200 mm/);
  await height.fill("710");
  await sled.getByText("Risers in stock").click();
  await sled.getByRole("button", { name: "Remove riser 1" }).click();
  await expect(start.setting("Riser")).toContainText("of 4 in stock");
});

test("\"Where?\" shows where the tape goes, in a picture and in words, and hides it again", async ({ page }, info) => {
  const start = new Start(page);
  await start.open();
  await start.rider("178", "80");
  await expect(page.getByText("2 of 28 measured")).toBeVisible();
  await page.getByText("More measurements and gear").click();
  await page.getByText("Legs and feet").click();
  await page.getByText("Dimensions and parts in stock").click();
  await page.getByText("Steering post").click();
  for (const [name, words] of [
    ["Crotch height", /spine pulled up firmly into the crotch/],
    ["Riser base, over the board", /from the board's top at the foremost bolt/],
  ] as const) {
    const where = page.getByRole("button", { name: `Where? ${name}` });
    const picture = page.getByRole("img", { name: `Where the tape goes: ${name}` });
    await expect(where).toHaveAttribute("aria-expanded", "false");
    await expect(picture).toHaveCount(0);
    const size = await where.boundingBox();
    expect(size!.height).toBeGreaterThanOrEqual(44);
    await where.click();
    await expect(where).toHaveAttribute("aria-expanded", "true");
    await expect(picture).toBeVisible();
    await expect(picture.locator(".guide-tape").first()).toBeVisible();
    await expect(page.getByText(words)).toBeVisible();
    await picture.screenshot({ path: `results/${info.project.name}-where-${name.split(" ")[0]!.toLowerCase()}.png` });
  }
  for (const theme of ["Day", "Night"]) {
    await page.getByRole("radio", { name: theme }).check();
    await expectAccessible(page);
    await expectNoSidewaysScroll(page);
    await page.screenshot({ path: `results/${info.project.name}-where-${theme.toLowerCase()}.png`, fullPage: true });
  }
  const where = page.getByRole("button", { name: "Where? Crotch height" });
  await where.press("Enter");
  await expect(where).toHaveAttribute("aria-expanded", "false");
  await expect(page.getByRole("img", { name: "Where the tape goes: Crotch height" })).toHaveCount(0);
});

test("a reload, a link and the back button show what was there", async ({ page }) => {
  const start = new Start(page);
  await start.open();
  await start.rider("5'11", "82");
  await page.getByRole("radio", { name: /Tall Tern/ }).check();
  await start.settled();
  await page.getByRole("radio", { name: /^Attack/ }).check();
  await expect(page).toHaveURL(/#start\/tall-tern\/attack$/);
  const riser = await start.value("Riser");
  await page.reload();
  await start.settled();
  await expect(start.height).toHaveValue("5'11");
  await expect(page.getByRole("radio", { name: /^Attack/ })).toBeChecked();
  await expect(start.setting("Riser").locator("strong")).toHaveText(riser);
  await page.getByRole("radio", { name: /^Seated/ }).check();
  await expect(page).toHaveURL(/seated$/);
  await page.goBack();
  await expect(page.getByRole("radio", { name: /^Attack/ })).toBeChecked();
});

test("a browser that keeps nothing is told, and the page works all the same", async ({ page }) => {
  await page.addInitScript(() => {
    Storage.prototype.setItem = () => {
      throw new DOMException("full", "QuotaExceededError");
    };
  });
  const start = new Start(page);
  await start.open();
  await start.rider("178", "80");
  await expect(page.getByRole("alert").filter({ hasText: "not kept" })).toBeVisible();
});

test("is accessible, opened and closed, by day and by night, and never wider than the window", async ({ page }, info) => {
  const start = new Start(page);
  await start.open();
  await start.rider("178", "80");
  await page.getByText("More measurements and gear").click();
  await page.getByText("Legs and feet").click();
  await page.getByText("Dimensions and parts in stock").click();
  await page.getByText("Bars in stock").click();
  await page.getByText("As tables").click();
  await page.getByText("Check with tape and level").click();
  for (const theme of ["Day", "Night"]) {
    await page.getByRole("radio", { name: theme }).check();
    await expectAccessible(page);
    await expectNoSidewaysScroll(page);
    await page.screenshot({ path: `results/${info.project.name}-${theme.toLowerCase()}.png`, fullPage: true });
  }
});

test("the stage says in words what it shows, and says it again when it changes", async ({ page }) => {
  const start = new Start(page);
  await start.open();
  await start.rider("178", "80");
  const spoken = page.locator("#stage-words");
  await expect(spoken).toHaveText(/^ready\. /i);
  const before = await spoken.textContent();
  await page.getByRole("radio", { name: /^Braced/ }).check();
  await expect(spoken).not.toHaveText(before!);
});

test("says how sure it is, what to measure next, what a step would change, and what to change for what was felt", async ({ page }) => {
  const start = new Start(page);
  await start.open("#start/bare-bones/ready");
  await start.rider("183 cm", "82 kg");
  // Bands stand beside the settings, and come better as riders are drawn.
  await expect(start.setUp.getByText(/of 60 riders with these measurements drawn|come out \(\d+ drawn\)/)).toBeVisible({ timeout: 120_000 });
  await expect(start.setting("Riser angle").locator(".setting-band")).toHaveText(/^90\s%: .*°.*(back|forward)/);
  await expect(start.setting("Stirrup").locator(".setting-band")).toHaveText(/odds: position \d+ \d+\s%/);
  await page.getByText("Pick what was felt").click();
  await page.getByRole("checkbox", { name: "I get pitched over the bars on short landings" }).check();
  const advice = page.getByRole("region", { name: "What did the rider say?" });
  await expect(advice.getByRole("heading", { name: /Change one thing, best first|none of the cockpit/ }).first()).toBeVisible();
  await expect(advice.getByText(/licensed clinician/).first()).toBeVisible();
  await advice.getByText("What if: one step either way").click();
  const attempt = advice.getByRole("button", { name: /^Try it: .*stirrup/i }).first();
  await expect(attempt).toBeVisible();
  const before = await start.value("Stirrup");
  await attempt.click();
  await expect(page.getByRole("heading", { name: "Set by hand" })).toBeVisible();
  expect(await start.value("Stirrup")).not.toBe(before);
  await page.getByRole("button", { name: "Undo" }).click();
  expect(await start.value("Stirrup")).toBe(before);
  await advice.getByText("Why these settings").click();
  await expect(advice.getByText(/Riser angle .+(back|forward|upright)/).first()).toBeVisible();
});
