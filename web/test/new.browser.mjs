// From an empty folder to a chosen option, without touching a file.
import assert from "node:assert/strict";
import { ask, settled, until } from "./harness.mjs";

export default {
  "a new project is made from a form and ends with a chosen option": async (w) => {
    await w.project();
    const page = await w.page("/");
    await page.getByRole("heading", { level: 1, name: "New project" }).waitFor();
    await page.getByLabel("title", { exact: true }).fill("Post van");
    await page.getByLabel("wheelbase", { exact: true }).fill("110 kg");
    const make = page.getByRole("button", { name: "Make the project and look for packs" });
    await make.click();
    await page.getByRole("alert").filter({ hasText: "cannot be taken" }).waitFor();
    assert.match(await page.getByLabel("wheelbase", { exact: true }).locator("..").textContent(), /length/);
    await page.getByLabel("wheelbase", { exact: true }).fill("8 ft 2 in");
    // A wrong mass in the ledger is said beside it, and so is a currency that is none.
    await page.getByLabel("mass of exhaust", { exact: true }).fill("20 km");
    await make.click();
    const beside = page.getByRole("alert").filter({ hasText: "is not a mass" });
    await beside.waitFor();
    assert.equal(
      await page.getByLabel("mass of exhaust", { exact: true }).getAttribute("aria-invalid"),
      "true",
    );
    await page.getByLabel("mass of exhaust", { exact: true }).fill("44 lb");
    await beside.waitFor({ state: "detached" });
    await page.getByLabel("currency", { exact: true }).fill("euros");
    await make.click();
    await page.getByRole("alert").filter({ hasText: "ISO 4217" }).waitFor();
    await page.getByLabel("currency", { exact: true }).fill("EUR");
    // A bay between the axles that is large enough for a pack.
    const bay = {
      "corner, rearward": "500 mm",
      "corner, left": "-500 mm",
      "corner, up": "300 mm",
      length: "1.5 m",
      width: "1 m",
      height: "400 mm",
    };
    for (const [label, text] of Object.entries(bay)) await page.getByLabel(label, { exact: true }).fill(text);
    await make.click();
    await page.getByRole("heading", { level: 1, name: "Options" }).waitFor();
    const s = await settled(page);
    assert.ok(s.search.options_that_fit > 0, "what the form offers leads to packs that fit");
    await page.getByRole("table", { name: "Packs that fit, ranked" }).getByRole("button").nth(0).waitFor();
    await page.getByRole("button", { name: "Choose this option" }).first().click();
    const id = await until("an option is chosen", async () => (await ask(page, "/api/state")).chosen);
    const file = await w.file();
    assert.match(file, /title: Post van/);
    assert.match(file, /wheelbase: 8 ft 2 in/);
    assert.ok(file.includes(id));
  },
};
