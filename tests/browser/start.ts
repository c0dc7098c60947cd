// The start place as a person sees it: fields by label, settings by name, the stage's handles as sliders.

import { expect, type Locator, type Page } from "@playwright/test";

export class Start {
  readonly height: Locator;
  readonly weight: Locator;
  readonly setUp: Locator;
  readonly stage: Locator;

  constructor(readonly page: Page) {
    this.height = page.getByLabel(/^Height/);
    this.weight = page.getByLabel(/^Weight/);
    this.setUp = page.getByRole("region", { name: /bolt it on like this|set by hand/i });
    this.stage = page.getByRole("region", { name: "The rider on the sled" });
  }

  async open(hash = "") {
    await this.page.goto(`./${hash}`);
    await this.settled();
  }

  /** A search has answered, for the example or for the rider. */
  async settled() {
    await expect(this.setUp.getByRole("status")).toHaveText(/combinations? looked at closely/);
  }

  async rider(height: string, weight: string) {
    await this.height.fill(height);
    await this.weight.fill(weight);
    await expect(this.setUp.getByRole("status")).toHaveText(/For your measurements/);
    await expect(this.page.getByRole("heading", { name: "Bolt it on like this", exact: true })).toBeVisible();
  }

  handle(name: "Stirrup position" | "Riser angle" | "Bar roll" | "Seat") {
    return this.stage.getByRole("slider", { name });
  }

  /** A setting's row, by its name. */
  setting(name: string) {
    return this.setUp.locator(".setting").filter({ has: this.page.getByText(name, { exact: true }) });
  }

  async value(name: string) {
    return (await this.setting(name).locator("strong").innerText()).trim();
  }

  async middle(handle: Locator) {
    const box = await handle.boundingBox();
    if (!box) throw new Error("the handle is not on the screen");
    return { x: box.x + box.width / 2, y: box.y + box.height / 2 };
  }
}
