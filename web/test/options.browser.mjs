// The pages of the options and of the run.
import assert from "node:assert/strict";
import { ask, go, settled, until } from "./harness.mjs";

const chosen = async (page) => (await ask(page, "/api/state")).chosen;

export default {
  "an option is chosen, shown everywhere, and left open again by undo": async (w) => {
    await w.project("orchard-truck");
    const page = await w.page("/options");
    const s = await settled(page);
    const { report } = await ask(page, "/api/options");
    const third = report.ranked[2].id;
    assert.notEqual(third, s.headline.option);
    const table = page.getByRole("table", { name: "Packs that fit, ranked" });
    await table.getByRole("button", { name: third, exact: false }).first().click();
    await page.getByRole("button", { name: "Choose this option" }).first().click();
    await until(
      "it is chosen",
      () => chosen(page),
      (id) => id === third,
    );
    await page.getByText("Chosen option").waitFor();
    assert.ok((await w.file()).includes(`option: ${third}`));
    await until(
      "the headline is its own",
      async () => (await ask(page, "/api/state")).headline?.option,
      (id) => id === third,
    );
    await go(page, "Bays");
    await page.getByText(`With ${third} in place, the chosen option.`).waitFor();
    await page.getByRole("button", { name: "Undo" }).click();
    await until(
      "open again",
      () => chosen(page),
      (id) => id === "",
    );

    // What one move of a limit would give, before it is made.
    await go(page, "Options");
    await page
      .getByRole("button", { name: /^What would this give/ })
      .first()
      .click();
    const dialog = page.getByRole("dialog", { name: "What this would give" });
    await dialog.getByText("Packs that fit").waitFor();
    await page.keyboard.press("Escape");
    await dialog.waitFor({ state: "detached" });
    assert.equal(await chosen(page), "");
  },

  "the run is shown, on another schedule too": async (w) => {
    await w.project("orchard-truck", { only: "closed-nmc" });
    const page = await w.page("/drive");
    await settled(page);
    await labelOf(page, "hwfet");
    await page.getByRole("combobox", { name: /^Schedule/ }).selectOption("hwfet");
    await until(
      "the address names it",
      () => page.url(),
      (u) => /schedule=hwfet/.test(u),
    );
    await page.getByRole("heading", { name: "Range on each schedule" }).waitFor();
    await until(
      "traces are drawn",
      () => page.locator("main canvas, main svg[data-picture]").count(),
      (n) => n > 0,
    );
    const { run } = await ask(page, "/api/drive?schedule=hwfet&points=100");
    assert.ok(run.distance_m > 10_000, "it goes somewhere");
  },
};

/** The text of the option of the schedule in the list. */
const labelOf = (page, id) =>
  until(`schedule ${id} is offered`, () =>
    page
      .locator(`option[value="${id}"]`)
      .first()
      .textContent({ timeout: 500 })
      .catch(() => null),
  );
