// The stage: every handle by mouse, pen, touch and keys; from stance to stance; the best fit behind a change; undo of all.

import type { Locator, Page, TestInfo } from "@playwright/test";
import { expect, expectAccessible, expectNoSidewaysScroll, test } from "./fixtures.ts";
import { Start } from "./start.ts";

const HANDLES = ["Stirrup position", "Riser angle", "Bar roll", "Brake lever roll", "Throttle roll", "Seat"] as const;

type Way = "mouse" | "pen" | "touch";

/** Puts a pointer down on a handle and moves it; what comes back lifts it. */
async function grab(page: Page, handle: Locator, way: Way, by: { x: number; y: number }) {
  await handle.scrollIntoViewIfNeeded();
  const box = (await handle.boundingBox())!;
  const from = { x: box.x + box.width / 2, y: box.y + box.height / 2 };
  const devtools = await page.context().newCDPSession(page);
  const at = (share: number) => ({ x: from.x + share * by.x, y: from.y + share * by.y });
  const shares = [0.2, 0.4, 0.6, 0.8, 1];
  if (way === "touch") {
    const send = (type: "touchStart" | "touchMove" | "touchEnd", point?: { x: number; y: number }) =>
      devtools.send("Input.dispatchTouchEvent", { type, touchPoints: point ? [point] : [] });
    await send("touchStart", from);
    for (const share of shares) await send("touchMove", at(share));
    return () => send("touchEnd");
  }
  const send = (type: "mousePressed" | "mouseMoved" | "mouseReleased", point: { x: number; y: number }) =>
    devtools.send("Input.dispatchMouseEvent", {
      type,
      ...point,
      button: "left",
      buttons: type === "mouseReleased" ? 0 : 1,
      clickCount: 1,
      pointerType: way,
    });
  await send("mousePressed", from);
  for (const share of shares) await send("mouseMoved", at(share));
  return () => send("mouseReleased", at(1));
}

const drag = async (...what: Parameters<typeof grab>) => (await grab(...what))();

const ways = (info: TestInfo): Way[] => (info.project.name === "desktop" ? ["mouse", "pen"] : ["touch"]);

/** Where there is room to move: both ways along what the handle does. */
const moves = (name: (typeof HANDLES)[number]) =>
  name === "Seat" ? [{ x: 0, y: 40 }, { x: 0, y: -40 }] : name.includes("roll") ? [{ x: -6, y: 34 }, { x: -6, y: -34 }] : [{ x: 34, y: 4 }, { x: -34, y: 4 }];

test("every handle is dragged, and a drag is one step back", async ({ page }, info) => {
  const start = new Start(page);
  await start.open();
  await start.rider("178", "80");
  for (const name of HANDLES) {
    const handle = start.stage.getByRole("slider", { name });
    const before = (await handle.getAttribute("aria-valuetext"))!;
    for (const way of ways(info)) {
      let moved = false;
      for (const by of moves(name)) {
        await drag(page, handle, way, by);
        moved = (await handle.getAttribute("aria-valuetext")) !== before;
        if (moved) break;
      }
      expect(moved, `${name} by ${way}`).toBe(true);
      await expect(page.getByRole("heading", { name: "Set by hand" })).toBeVisible();
      await page.getByRole("button", { name: "Undo" }).click();
      await expect(handle, `${name} by ${way}, taken back`).toHaveAttribute("aria-valuetext", before);
      await expect(page.getByRole("heading", { name: "Bolt it on like this", exact: true })).toBeVisible();
    }
  }
});

test("Escape takes a drag back, and a tap moves nothing", async ({ page }, info) => {
  const start = new Start(page);
  await start.open();
  await start.rider("178", "80");
  const way = ways(info)[0]!;
  for (const name of ["Riser angle", "Brake lever roll"] as const) {
    const handle = start.stage.getByRole("slider", { name });
    const before = (await handle.getAttribute("aria-valuetext"))!;
    await drag(page, handle, way, { x: 0, y: 0 });
    await expect(page.getByRole("heading", { name: "Bolt it on like this", exact: true })).toBeVisible();
    const lift = await grab(page, handle, way, { x: -30, y: 24 });
    await expect(handle).not.toHaveAttribute("aria-valuetext", before);
    await page.keyboard.press("Escape");
    await expect(handle).toHaveAttribute("aria-valuetext", before);
    await expect(page.getByRole("heading", { name: "Bolt it on like this", exact: true })).toBeVisible();
    await lift();
    await expect(handle).toHaveAttribute("aria-valuetext", before);
  }
});

test("the wrist follows the brake lever in hand, and the drawing is seen from one place meanwhile", async ({ page }, info) => {
  const start = new Start(page);
  await start.open();
  await start.rider("178", "80");
  const handle = start.stage.getByRole("slider", { name: "Brake lever roll" });
  const drawing = page.locator("svg.stage").first();
  const wrist = drawing.locator("text").filter({ hasText: /^Wrist \u2212?[\d.]+°/ });
  const bent = async () => Number(/\u2212?[\d.]+/.exec((await wrist.textContent())!)![0].replace("\u2212", "-"));
  const [before, seen] = [await bent(), (await drawing.getAttribute("viewBox"))!];
  let held = before;
  for (const by of moves("Brake lever roll")) {
    const lift = await grab(page, handle, ways(info)[0]!, by);
    await expect(drawing).toHaveAttribute("viewBox", seen);
    held = await bent();
    if (held !== before) {
      await lift();
      break;
    }
    await page.keyboard.press("Escape");
    await lift();
  }
  expect(held).not.toBe(before);
  await expect(page.getByRole("heading", { name: "Set by hand" })).toBeVisible();
  expect(Math.abs((await bent()) - held)).toBeLessThanOrEqual(0.5);
});

test("the brake goes along with what is dragged, to where it stands once that is let go", async ({ page }, info) => {
  const start = new Start(page);
  await start.open();
  await start.rider("178", "80");
  const riser = start.stage.getByRole("slider", { name: "Riser angle" });
  const brake = start.stage.getByRole("slider", { name: "Brake lever roll" });
  const now = async (handle: Locator) => Number(await handle.getAttribute("aria-valuenow"));
  const wrist = page.locator("svg.stage").first().locator("text").filter({ hasText: /^Wrist / });
  const [angle, roll] = [await now(riser), await now(brake)];
  let moved = false;
  for (const by of moves("Riser angle")) {
    const lift = await grab(page, riser, ways(info)[0]!, by);
    moved = Math.abs((await now(riser)) - angle) >= 3;
    if (!moved) {
      await page.keyboard.press("Escape");
      await lift();
      continue;
    }
    const [held, bent] = [await now(brake), await wrist.textContent()];
    expect(held).not.toBe(roll);
    await lift();
    await expect(page.getByRole("heading", { name: "Set by hand" })).toBeVisible();
    expect(Math.abs((await now(brake)) - held)).toBeLessThanOrEqual(1);
    const degrees = (text: string | null) => Number(/\u2212?[\d.]+/.exec(text!)![0].replace("\u2212", "-"));
    expect(Math.abs(degrees(await wrist.textContent()) - degrees(bent))).toBeLessThanOrEqual(1);
    break;
  }
  expect(moved).toBe(true);
});

test("every handle moves by arrow keys both ways, and Escape takes it back", async ({ page }) => {
  const start = new Start(page);
  await start.open();
  await start.rider("178", "80");
  for (const name of HANDLES) {
    const handle = start.stage.getByRole("slider", { name });
    const before = (await handle.getAttribute("aria-valuetext"))!;
    await handle.focus();
    const seen = new Set([before]);
    for (const key of ["End", "Home", "ArrowLeft", "ArrowRight", "ArrowDown", "ArrowUp"]) {
      await handle.press(key);
      seen.add((await handle.getAttribute("aria-valuetext"))!);
    }
    expect(seen.size, name).toBeGreaterThan(2);
    const [low, now, high] = await Promise.all(["min", "now", "max"].map(async (which) => Number(await handle.getAttribute(`aria-value${which}`))));
    expect(low! <= now! && now! <= high!, `${name}: ${low} ${now} ${high}`).toBe(true);
    await handle.press("Escape");
    await expect(handle).toHaveAttribute("aria-valuetext", before);
  }
});

test("a lever turned by hand has a stepper, is kept, and goes along in the address", async ({ page, context }) => {
  await context.grantPermissions(["clipboard-read", "clipboard-write"]);
  const start = new Start(page);
  await start.open("#start/long-lemming/ready");
  await start.rider("178", "80");
  const placed = await start.value("Brake lever");
  await start.setting("Brake lever").getByRole("button", { name: "Brake lever: down" }).click();
  const turned = await start.value("Brake lever");
  expect(turned).not.toBe(placed);
  const keep = start.setting("Brake lever").getByRole("checkbox");
  await expect(keep).toBeChecked();
  await expect(page.getByRole("checkbox", { name: new RegExp(`brake ${turned.replace(/ (down|up)/, "")}`) }).first()).toBeVisible();
  // Another rider, another search: the lever stays.
  await start.weight.fill("84");
  await start.settled();
  await expect(start.setting("Brake lever").locator("strong")).toHaveText(turned);
  await page.getByRole("button", { name: "Copy the address of this set-up" }).click();
  await expect(page.getByText("Copied: open it on the other device.")).toBeVisible();
  const address = await page.evaluate(() => navigator.clipboard.readText());
  expect(address).toMatch(/;lev=-?\d+(\.\d+)?_x/);
  await page.evaluate(() => localStorage.clear());
  await page.goto("about:blank");
  await page.goto(address);
  await start.settled();
  await expect(start.setting("Brake lever").locator("strong")).toHaveText(turned);
  await start.setting("Brake lever").getByRole("checkbox").uncheck();
  await expect(start.setting("Brake lever").locator("strong")).not.toHaveText(turned);
});

test("the slider goes from stance to stance, and a stance that is picked ends the way", async ({ page }) => {
  const start = new Start(page);
  await start.open("#start/long-lemming/seated");
  await start.rider("178", "80");
  const slider = page.getByRole("slider", { name: "From stance to stance" });
  await expect(slider).toHaveValue("0");
  await slider.fill("1.4");
  await expect(slider).toHaveAttribute("aria-valuetext", "between ready and attack");
  await expect(start.stage.getByRole("group", { name: /^between ready and attack/ })).toBeVisible();
  await expect(page.getByRole("radio", { name: /^Ready/ })).toBeChecked();
  await slider.focus();
  const outline = () => start.stage.locator("svg.stage .layer-rider").first().innerHTML();
  const before = await outline();
  await slider.press("ArrowRight");
  await expect.poll(outline).not.toBe(before);
  await page.getByRole("radio", { name: /^Braced/ }).check();
  await expect(slider).toHaveValue("3");
  await expect(slider).toHaveAttribute("aria-valuetext", "braced");
});

test("after a change by hand the best fit stands behind it, with the differences", async ({ page }) => {
  const start = new Start(page);
  await start.open();
  await start.rider("178", "80");
  const since = start.stage.getByText(/(Stirrup|Grip) since the best fit/);
  await expect(since).toHaveCount(0);
  await start.setting("Stirrup").getByRole("button", { name: "Stirrup: back" }).click();
  await start.setting("Riser angle").getByRole("button", { name: "Riser angle: back" }).click({ clickCount: 8, delay: 30 });
  await expect(since.first()).toBeVisible();
  const show = page.getByRole("checkbox", { name: "show the best fit as a dashed outline" });
  await show.uncheck();
  await expect(since).toHaveCount(0);
  await show.check();
  await expect(since.first()).toBeVisible();
  await page.getByRole("button", { name: "Best fit again" }).click();
  await expect(since).toHaveCount(0);
});

test("a no at the try-on picks its complaint", async ({ page }) => {
  const start = new Start(page);
  await start.open();
  await start.rider("178", "80");
  await page.getByText("Try on", { exact: true }).click();
  await page.getByRole("button", { name: "No: My wrist is sore on the brake" }).click();
  const picked = page.getByRole("checkbox", { name: "My wrist is sore on the brake" });
  await expect(picked).toBeVisible();
  await expect(picked).toBeChecked();
  await expect(page.getByText("1 picked")).toBeInViewport();
});

test("seats, holding times and vibration are said", async ({ page }) => {
  const start = new Start(page);
  await start.open("#start/long-lemming/ready");
  await start.rider("178", "80");
  await page.getByText("Seats and their bounce").click();
  await expect(page.getByText(/force reaches the tunnel after \d+ ms/)).toHaveCount(4);
  await page.getByText("What tires first").click();
  await expect(page.getByText(/Holding times are those of a steady hold/)).toBeVisible();
  await page.getByText("Vibration at the grips").click();
  const field = page.getByLabel(/^Acceleration at the grip/);
  await field.fill("3,5");
  await expect(page.getByText("Action value of 2.5 m/s²: after 4.1 hours a day")).toBeVisible();
  await field.fill("a lot");
  await expect(field).toHaveAttribute("aria-invalid", "true");
  await expect(field).toHaveValue("a lot");
  await expectAccessible(page);
});

/** All that a person entered and sees set, as text. */
async function state(page: Page, start: Start) {
  const values = await start.setUp.locator(".setting strong").allInnerTexts();
  const checked = await page.locator("input:checked").evaluateAll((all) => all.map((e) => e.id || e.parentElement!.textContent));
  return JSON.stringify([await start.height.inputValue(), await start.weight.inputValue(), values, checked]);
}

test("twenty mixed actions are undone to the first state, and made again", async ({ page }) => {
  const start = new Start(page);
  await start.open("#start/long-lemming/ready");
  await start.rider("178", "80");
  const first = await state(page, start);
  const undo = page.getByRole("button", { name: "Undo" });
  const undone = async () => {
    let count = 0;
    while ((await state(page, start)) !== first && (await undo.isEnabled()) && count < 60) {
      await undo.click();
      await start.settled();
      count++;
    }
    return count;
  };
  const step = (name: string) => start.setting(name).getByRole("button").and(page.locator(":enabled")).first().click();
  const actions: (() => Promise<unknown>)[] = [
    () => step("Riser"),
    () => start.handle("Riser angle").press("ArrowLeft"),
    () => step("Stirrup"),
    () => page.getByRole("radio", { name: /^Attack/ }).check(),
    () => start.setting("Stirrup").getByRole("checkbox").check(),
    () => page.getByRole("radio", { name: "in, lb" }).check(),
    () => step("Bar roll"),
    () => step("Brake lever"),
    () => start.setting("Throttle").getByRole("checkbox").check(),
    () => step("Seat"),
    () => page.getByRole("button", { name: "Best fit again" }).click(),
    () => start.weight.fill("190 lb"),
    () => page.getByRole("radio", { name: /Tall Tern/ }).check(),
    () => step("Riser angle"),
    () => page.getByRole("radio", { name: "mm, kg" }).check(),
    () => start.height.fill("5'11"),
    () => start.setting("Seat").getByRole("checkbox").check(),
    () => page.getByRole("radio", { name: /^Seated/ }).check(),
    () => start.handle("Stirrup position").press("ArrowRight"),
    () => page.getByRole("radio", { name: /I have not measured mine/ }).check(),
  ];
  expect(actions).toHaveLength(20);
  for (const action of actions) {
    await action();
    await start.settled();
  }
  const last = await state(page, start);
  expect(last).not.toBe(first);
  const count = await undone();
  expect(await state(page, start)).toBe(first);
  expect(count, "steps back").toBeGreaterThanOrEqual(20);
  const redo = page.getByRole("button", { name: "Redo" });
  while (await redo.isEnabled()) {
    await redo.click();
    await start.settled();
  }
  expect(await state(page, start)).toBe(last);
});

test("nothing shifts after the first paint", async ({ page }) => {
  await page.addInitScript(() => {
    const list: { value: number; what: string }[] = [];
    (window as unknown as { shifts: typeof list }).shifts = list;
    new PerformanceObserver((entries) => {
      for (const entry of entries.getEntries()) {
        const shift = entry as PerformanceEntry & { value: number; hadRecentInput: boolean; sources: { node?: Element }[] };
        if (shift.hadRecentInput) continue;
        const what = shift.sources.map((s) => s.node?.className || s.node?.nodeName || "?").join(", ");
        list.push({ value: shift.value, what });
      }
    }).observe({ type: "layout-shift", buffered: true });
  });
  const start = new Start(page);
  await start.open();
  await expect(page.getByRole("contentinfo").getByRole("status")).toHaveText(/is ready/);
  await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
  const shifts = await page.evaluate(() => (window as unknown as { shifts: { value: number; what: string }[] }).shifts);
  const sum = shifts.reduce((all, shift) => all + shift.value, 0);
  expect(sum, JSON.stringify(shifts)).toBeLessThan(0.01);
});

test("stands in forced colours and without motion, and at twice the size", async ({ page }, info) => {
  await page.emulateMedia({ forcedColors: "active", reducedMotion: "reduce" });
  const start = new Start(page);
  await start.open();
  await start.rider("178", "80");
  await expectAccessible(page);
  await expectNoSidewaysScroll(page);
  expect(await page.evaluate(() => document.getAnimations().length), "nothing moves").toBe(0);
  await page.screenshot({ path: `results/${info.project.name}-forced.png` });
  await page.emulateMedia({ forcedColors: "none", reducedMotion: null });
  // Zoomed to 200 %, a window has half as many pixels of the page; on a phone the narrowest that WCAG 2.2 names.
  const { width, height } = page.viewportSize()!;
  await page.setViewportSize({ width: Math.max(320, Math.round(width / 2)), height: Math.max(420, Math.round(height / 2)) });
  await expectNoSidewaysScroll(page);
  await page.screenshot({ path: `results/${info.project.name}-zoomed.png`, fullPage: true });
});

test("on a phone the buttons move to the left thumb", async ({ page }, info) => {
  const start = new Start(page);
  await start.open();
  const left = page.getByRole("checkbox", { name: "buttons for the left thumb" });
  if (info.project.name !== "phone") {
    await expect(left).toBeHidden();
    return;
  }
  const places = async () => {
    const row = start.setting("Riser angle");
    const [button, value] = [await row.locator(".stepper").boundingBox(), await row.locator(".setting-value").boundingBox()];
    return button!.x < value!.x;
  };
  expect(await places()).toBe(false);
  await left.check();
  expect(await places()).toBe(true);
  await expectNoSidewaysScroll(page);
  await page.reload();
  await start.settled();
  expect(await places()).toBe(true);
});
