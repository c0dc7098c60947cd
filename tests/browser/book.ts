// The book's place as a person sees it.

import { expect, type Locator, type Page } from "@playwright/test";

export class Book {
  /** The part that is shown. */
  readonly part: Locator;
  readonly rides: Locator;
  readonly said: Locator;

  constructor(readonly page: Page) {
    this.part = page.locator(".book-main").getByRole("region");
    this.rides = page.getByRole("region", { name: "Who rides what" });
    this.said = page.locator(".book-said");
  }

  async demo() {
    await this.page.goto("./#book");
    await this.page.getByRole("button", { name: "Look at the demo" }).click();
    await expect(this.rides.getByRole("button", { name: /Max Midpack on Long Lemming/ })).toBeVisible();
  }

  async open(name: string) {
    await this.part.getByRole("button", { name, exact: true }).click();
  }

  heading(name: string | RegExp) {
    return this.part.getByRole("heading", { level: 2, name });
  }

  /** The lines of what stands now. */
  row(name: RegExp) {
    return this.part.getByRole("row", { name });
  }
}
