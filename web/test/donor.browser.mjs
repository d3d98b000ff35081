// The pages of the donor and of the sources.
import assert from "node:assert/strict";
import { ask, budgets, go, settled, type, until } from "./harness.mjs";

const loads = async (page) => (await ask(page, "/api/state")).headline;
const digits = (text) => text.replace(/\s/g, "");

export default {
  "an item added to the ledger moves the axle loads; undo takes it back": async (w) => {
    await w.project("orchard-truck", { only: "closed-nmc" });
    const page = await w.page("/donor");
    await settled(page);
    const was = await loads(page);
    const table = page.getByRole("table", { name: /loads/i }).first();
    const before = await table.textContent();
    const list = "added, without the pack";
    const fill = (key, text) => page.getByLabel(`${key} of a new item ${list}`, { exact: true }).fill(text);
    await fill("name", "winch");
    await fill("mass", "66 lb");
    await fill("x rearward", "-600 mm");
    await fill("y left", "0 mm");
    await fill("z up", "20 in");
    await page.getByRole("button", { name: `Add to ${list}` }).click();
    // 66 lb at 0.6 m before the front axle of a wheelbase of 2.55 m: m·(1 + 0.6/2.55) more on the
    // front axle (moments about the rear axle). Source: statics of a beam on two supports.
    const more = 66 * 0.45359237 * (1 + 0.6 / 2.55);
    const now = await until(
      "the front axle load moved",
      () => loads(page),
      (h) => h.axle_front_kg > was.axle_front_kg + 1,
    );
    assert.ok(
      Math.abs(now.axle_front_kg - was.axle_front_kg - more) < 0.01,
      `front axle +${now.axle_front_kg - was.axle_front_kg}, want +${more}`,
    );
    await until(
      "the table shows it",
      () => table.textContent(),
      (t) => t !== before,
    );
    assert.match(await w.file(), /name: winch, mass: 66 lb, at: \[-600 mm, 0 mm, 20 in\]/);
    await page.getByRole("button", { name: "Undo" }).click();
    await until(
      "undo takes it back",
      () => loads(page),
      (h) => h.axle_front_kg === was.axle_front_kg,
    );
    await page.getByRole("button", { name: "Redo" }).click();
    await until(
      "redo brings it again",
      () => w.file(),
      (t) => t.includes("winch"),
    );
  },

  "a wrong unit in the ledger is refused beside the field": async (w) => {
    await w.project("orchard-truck", { only: "closed-nmc" });
    const page = await w.page("/donor");
    await settled(page);
    const file = await w.file();
    const field = await type(page, "mass of inverter", "14 mm");
    const alert = page.getByRole("alert").filter({ hasText: "mass" });
    await alert.waitFor();
    assert.match(await alert.textContent(), /kg/);
    assert.equal(await field.getAttribute("aria-invalid"), "true");
    await type(page, "mass of inverter", "14");
    await page.getByRole("alert").filter({ hasText: "unit" }).waitFor();
    assert.equal(await w.file(), file, "the file is untouched");
    await field.press("Escape");
    assert.equal(await field.inputValue(), "14 kg");
  },

  "units are shown as preferred, and the file keeps what was written": async (w) => {
    await w.project("orchard-truck", { only: "closed-nmc" });
    const page = await w.page("/donor");
    await settled(page);
    assert.match(await budgets(page), /kg/);
    await page.getByLabel("Units").selectOption("us");
    await until(
      "pounds and miles",
      () => budgets(page),
      (t) => /lb/.test(t) && /mi\b/.test(t),
    );
    assert.equal(await page.getByLabel("mass of inverter", { exact: true }).inputValue(), "14 kg");
  },

  "the price of a lot moves the budget of money": async (w) => {
    await w.project("orchard-truck", { only: "closed-nmc" });
    const page = await w.page("/donor");
    await go(page, "Sources");
    await settled(page);
    const before = (await loads(page)).budgets.find((b) => b.name === "money").used.si;
    await type(page, "price of a piece of closed-nmc", "500 EUR");
    const modules = (await ask(page, "/api/bays")).bays.reduce((n, b) => n + b.places.length, 0);
    const now = await until(
      "money moved",
      async () => (await loads(page)).budgets.find((b) => b.name === "money").used.si,
      (x) => x < before,
    );
    assert.ok(
      Math.abs(before - now - 20 * modules) < 1e-6,
      `${before - now} less, want 20 for each of ${modules}`,
    );
    await until(
      "and is shown",
      async () => digits(await budgets(page)),
      (t) => t.includes(`${Math.round(now)}EUR`),
    );
  },
};
