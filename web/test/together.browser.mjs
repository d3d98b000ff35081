// Several pages, other programs, and a server that comes and goes.
import assert from "node:assert/strict";
import { ask, budgets, serve, settled, type, until } from "./harness.mjs";

const massOf = (page, name) => page.getByLabel(`mass of ${name}`, { exact: true });

export default {
  "two pages at once: other values are merged, the same value is asked for": async (w) => {
    await w.project("orchard-truck", { only: "closed-nmc" });
    const a = await w.page("/donor");
    await settled(a);
    const b = await w.page("/donor");
    await massOf(b, "inverter").waitFor();
    await massOf(a, "inverter").waitFor();

    // b has begun to type when a writes the same value.
    await massOf(b, "inverter").fill("16 kg");
    await type(a, "mass of inverter", "15 kg");
    await until(
      "a has written",
      () => w.file(),
      (t) => t.includes("name: inverter, mass: 15 kg"),
    );
    await massOf(b, "inverter").press("Enter");
    const dialog = b.getByRole("dialog", { name: "Changed in two places at once" });
    const row = dialog.getByRole("row").filter({ hasText: "donor.added[1].mass" });
    await row.waitFor();
    const said = await row.textContent();
    for (const text of ["14 kg", "15 kg", "16 kg"]) assert.ok(said.includes(text), `${text} in ${said}`);
    await dialog.getByRole("button", { name: "Write mine" }).click();
    await until(
      "mine is written",
      () => w.file(),
      (t) => t.includes("name: inverter, mass: 16 kg"),
    );
    await until(
      "and a shows it",
      () => massOf(a, "inverter").inputValue(),
      (t) => t === "16 kg",
    );

    // Theirs.
    await massOf(b, "inverter").fill("18 kg");
    await type(a, "mass of inverter", "17 kg");
    await until(
      "a has written",
      () => w.file(),
      (t) => t.includes("name: inverter, mass: 17 kg"),
    );
    await massOf(b, "inverter").press("Enter");
    await dialog.getByRole("button", { name: "Keep theirs" }).click();
    await until(
      "theirs is shown",
      () => massOf(b, "inverter").inputValue(),
      (t) => t === "17 kg",
    );
    assert.ok((await w.file()).includes("name: inverter, mass: 17 kg"));

    // Different values: nobody is asked.
    await massOf(b, "radiator and pumps").fill("10 kg");
    await type(a, "mass of inverter", "14 kg");
    await until(
      "a has written",
      () => w.file(),
      (t) => t.includes("name: inverter, mass: 14 kg"),
    );
    await massOf(b, "radiator and pumps").press("Enter");
    await until(
      "both are written",
      () => w.file(),
      (t) => /inverter, mass: 14 kg/.test(t) && /radiator and pumps, mass: 10 kg/.test(t),
    );
    assert.equal(await dialog.count(), 0);
  },

  "the file changed outside is followed, broken and mended": async (w) => {
    await w.project("orchard-truck", { only: "closed-nmc" });
    const page = await w.page("/donor");
    await settled(page);
    const text = await w.file();
    await w.write(text.replace("name: inverter, mass: 14 kg", "name: inverter, mass: 21 kg"));
    await until(
      "the page shows it",
      () => massOf(page, "inverter").inputValue(),
      (t) => t === "21 kg",
    );
    await page.getByText("The file was changed outside").waitFor();

    await w.write(text.replace("name: inverter, mass: 14 kg", "name: inverter, mass: 14 furlongs"));
    const banner = page.getByRole("alert").filter({ hasText: "cannot be read" });
    await banner.waitFor();
    assert.match(await banner.textContent(), /packyard\.yaml:\d+:\d+/, "it says where");
    assert.equal(await massOf(page, "inverter").inputValue(), "21 kg", "the last good state stays");
    await w.write(text);
    await banner.waitFor({ state: "detached" });
    await until(
      "mended",
      () => massOf(page, "inverter").inputValue(),
      (t) => t === "14 kg",
    );
  },

  "the server is stopped and started again, and the open page goes on": async (w) => {
    await w.project("orchard-truck", { only: "closed-nmc" });
    w.allow(
      /ERR_CONNECTION_REFUSED|ERR_INCOMPLETE_CHUNKED_ENCODING|ERR_EMPTY_RESPONSE|ERR_CONNECTION_RESET|status of 401/,
    );
    const page = await w.page("/donor");
    await settled(page);
    await page.locator("table.loads tbody tr").nth(1).waitFor();
    const { port } = w.server;
    await w.server.stop();
    await page.getByRole("alert").filter({ hasText: "goes on by itself" }).waitFor();
    // One banner says it; the tables keep what they showed.
    assert.equal(await page.getByText(/does not answer/).count(), 1);
    assert.equal(await page.getByRole("alert").count(), 1);
    assert.ok((await page.locator("table.loads tbody tr").count()) > 1);
    w.server = await serve(w.dir, port);
    assert.equal(w.server.port, port);
    await page.getByRole("alert").filter({ hasText: "Open the address that it prints" }).waitFor();
    const second = await w.tab(page.context(), "/donor");
    await settled(second);
    await page
      .getByRole("alert")
      .filter({ hasText: "Open the address that it prints" })
      .waitFor({ state: "detached" });
    await type(page, "mass of inverter", "15 kg");
    await until(
      "an edit goes through",
      () => w.file(),
      (t) => t.includes("name: inverter, mass: 15 kg"),
    );
    await page.getByRole("button", { name: "Undo" }).click();
    await until(
      "and undo, across the start",
      () => w.file(),
      (t) => t.includes("name: inverter, mass: 14 kg"),
    );
    await until(
      "budgets are shown",
      () => budgets(page),
      (t) => /kg/.test(t),
    );
    assert.equal((await ask(page, "/api/state")).present, true);
    await w.server.stop();
    w.server = { port, stop: async () => undefined };
  },
};
