// For those who do not see well, or use no mouse.
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { createRequire } from "node:module";
import { ask, go, settled, unfold, until } from "./harness.mjs";

const axeSource = await readFile(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const PAGES = [
  "Donor",
  "Bays",
  "Sources",
  "Options",
  "Drive",
  "Heat",
  "Charge",
  "Circuit",
  "Monitor",
  "Bench",
  "Book",
];

/** What axe finds; only the rule of contrast where nothing but the theme has changed. */
async function violations(page, where, contrastOnly = false) {
  if (!(await page.evaluate(() => "axe" in window))) await page.evaluate(axeSource);
  await unfold(page);
  const found = await page.evaluate(
    async (rules) => {
      const runOnly = rules ? { runOnly: rules } : {};
      const { violations } = await window.axe.run(document, { resultTypes: ["violations"], ...runOnly });
      return violations.map(
        (v) =>
          `${v.id}: ${v.help} (${v.nodes.length}×, ${v.nodes
            .slice(0, 3)
            .map((n) => n.target.join(" "))
            .join("; ")})`,
      );
    },
    contrastOnly ? ["color-contrast"] : null,
  );
  return found.map((f) => `${where}: ${f}`);
}

async function quiet(page) {
  await page.waitForFunction(
    () => document.querySelector("main .state-busy, main [aria-busy=true]") === null,
  );
}

/** Presses Tab until the focus is on what matches; that it can be reached is the point. */
async function tabTo(page, selector, most = 400) {
  for (let i = 0; i < most; i++) {
    const there = await page.evaluate((s) => document.activeElement?.matches(s) ?? false, selector);
    if (there) return;
    await page.keyboard.press("Tab");
  }
  const on = await page.evaluate(() => document.activeElement?.outerHTML.slice(0, 200));
  assert.fail(`${selector} is not reached by ${most} times Tab; the focus is on ${on}`);
}

export default {
  "axe finds no violation on any page in either theme": async (w, note) => {
    await w.project("orchard-truck", { only: "closed-nmc" });
    const page = await w.page("/options");
    await settled(page);
    const found = [];
    for (const name of PAGES) {
      await go(page, name);
      await quiet(page);
      for (const colorScheme of ["light", "dark"]) {
        await page.emulateMedia({ colorScheme });
        await page.waitForFunction((t) => document.documentElement.dataset.theme === t, colorScheme);
        found.push(...(await violations(page, `${name}, ${colorScheme}`, colorScheme === "dark")));
      }
      await page.emulateMedia({ colorScheme: "light" });
    }
    await page.goto(new URL("/assumptions", w.server.url).href);
    await quiet(page);
    found.push(...(await violations(page, "Assumptions")));
    await go(page, "Options");
    await quiet(page);
    await page.getByRole("region", { name: "Budgets and range" }).getByRole("button").first().click();
    await page.getByRole("dialog").waitFor();
    found.push(...(await violations(page, "working of a number")));
    assert.deepEqual(found, []);
    note(`${PAGES.length} pages in two themes, the assumptions and a working`);
  },

  "axe finds no violation in the form of a new project": async (w) => {
    await w.project();
    const page = await w.page("/");
    await page.getByRole("heading", { level: 1, name: "New project" }).waitFor();
    await quiet(page);
    const found = await violations(page, "New project, light");
    await page.emulateMedia({ colorScheme: "dark" });
    found.push(...(await violations(page, "New project, dark", true)));
    assert.deepEqual(found, []);
  },

  "no page is wider than a tablet, nor a table than a sheet of paper": async (w) => {
    await w.project("orchard-truck", { only: "closed-nmc" });
    const page = await w.page("/options", { colorScheme: "dark" });
    await settled(page);
    const found = [];
    const wider = async (what, selector) => {
      await unfold(page);
      const over = await page.evaluate(
        (s) =>
          [...document.querySelectorAll(s)]
            .filter((e) => e.scrollWidth > e.clientWidth + 1)
            .map((e) => `${e.scrollWidth} px in ${e.clientWidth} px: ${e.textContent.slice(0, 40)}`),
        selector,
      );
      found.push(...over.map((o) => `${what}: ${o}`));
    };
    for (const name of PAGES) {
      await page.setViewportSize({ width: 768, height: 1024 });
      await go(page, name);
      await quiet(page);
      await wider(`${name}, 768 px`, "html, .nav");
      // A4 with margins of 12 mm is 186 mm wide, 703 px of 1/96 in.
      await page.setViewportSize({ width: 703, height: 1000 });
      await page.emulateMedia({ media: "print" });
      await wider(`${name} on paper`, "html, .table-wrap");
      const ground = await page.evaluate(() => getComputedStyle(document.body).backgroundColor);
      if (ground !== "rgb(255, 255, 255)") found.push(`${name} on paper stands on ${ground}`);
      await page.emulateMedia({ media: "screen" });
    }
    assert.deepEqual(found, []);
  },

  "everything on the way can be done by keyboard": async (w) => {
    await w.project("orchard-truck", { only: "closed-nmc" });
    const page = await w.page("/options");
    await settled(page);
    await quiet(page);
    const press = (...keys) => keys.reduce((p, k) => p.then(() => page.keyboard.press(k)), Promise.resolve());

    // The first stop leads past everything that is on every page.
    await press("Tab");
    assert.equal(await page.evaluate(() => document.activeElement.textContent.trim()), "To the page");
    await press("Enter");
    assert.equal(await page.evaluate(() => document.activeElement.id), "main");

    // Choose the option, and think better of it.
    await tabTo(page, "table .pick");
    await press("Enter");
    await until(
      "a choice is offered",
      () => page.getByRole("button", { name: "Choose this option" }).count(),
      (n) => n > 0,
    );
    await tabTo(page, ".choose .button");
    await press("Enter");
    await until("chosen", async () => (await ask(page, "/api/state")).chosen);
    await page.locator("body").click({ position: { x: 2, y: 2 }, trial: true });
    await press("Control+z");
    await until(
      "undone",
      async () => (await ask(page, "/api/state")).chosen,
      (id) => id === "",
    );

    // The working of a number, and back.
    await page.reload();
    await settled(page);
    await tabTo(page, '[aria-label="Budgets and range"] button');
    await press("Enter");
    await page.getByRole("dialog").waitFor();
    await press("Escape");
    await page.getByRole("dialog").waitFor({ state: "detached" });

    // To the donor; a mass.
    await tabTo(page, 'nav a[href="/donor"]');
    await press("Enter");
    await page.getByRole("heading", { level: 1, name: "Donor" }).waitFor();
    await page.getByLabel("mass of inverter", { exact: true }).waitFor();
    await tabTo(page, '[aria-label="mass of inverter"]');
    await press("Control+a");
    await page.keyboard.type("15 kg");
    await press("Enter");
    await until(
      "written",
      () => w.file(),
      (t) => t.includes("name: inverter, mass: 15 kg"),
    );

    // To the bays; move one, turn the picture.
    await page.evaluate(() => document.querySelector("a.skip").focus());
    await tabTo(page, 'nav a[href="/bays"]');
    await press("Enter");
    await page.locator('[data-look="side"][data-bay="bays[1]"]').waitFor();
    await tabTo(page, '[data-look="side"][data-bay="bays[1]"]');
    await press("ArrowLeft", "ArrowLeft");
    await until(
      "moved by 10 mm",
      () => w.file(),
      (t) => t.includes("at: [970 mm, 270 mm, 270 mm]"),
    );
    await tabTo(page, ".bays-canvas");
    await press("ArrowRight", "Home");
    await tabTo(page, '[aria-label="left side: wall and insulation"]');
    await press("Control+a");
    await page.keyboard.type("1/4 in");
    await press("Enter");
    await until(
      "written",
      () => w.file(),
      (t) => t.includes("wall: 1/4 in"),
    );

    // Units and ground are ordinary lists.
    await page.evaluate(() => document.querySelector("a.skip").focus());
    await tabTo(page, ".preference select");
    await press("u");
    await until(
      "US units",
      () => page.getByLabel("Units").inputValue(),
      (v) => v === "us",
    );
  },
};
