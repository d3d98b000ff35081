// The pack in time: heat, charge, and a drive group by group.
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { createRequire } from "node:module";
import { ask, settled, unfold, until } from "./harness.mjs";

const axeSource = await readFile(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

const quiet = (page) =>
  page.waitForFunction(
    () =>
      document.querySelector("main h1") !== null &&
      document.querySelector("main .state-busy, main [aria-busy=true]") === null,
  );

/** What axe finds on the page in either theme. */
async function violations(page) {
  const out = [];
  for (const colorScheme of ["light", "dark"]) {
    await page.emulateMedia({ colorScheme });
    await page.waitForFunction((t) => document.documentElement.dataset.theme === t, colorScheme);
    if (!(await page.evaluate(() => "axe" in window))) await page.evaluate(axeSource);
    await unfold(page);
    const found = await page.evaluate(async () =>
      (await window.axe.run(document, { resultTypes: ["violations"] })).violations.map(
        (v) => `${v.id}: ${v.nodes.map((n) => n.target.join(" ")).join("; ")}`,
      ),
    );
    out.push(...found.map((f) => `${colorScheme}: ${f}`));
  }
  await page.emulateMedia({ colorScheme: "light" });
  return out;
}

/** Opens a page of the workbench on the example, its search done. */
async function opened(w, path) {
  await w.project("orchard-truck", { only: "closed-nmc" });
  const page = await w.page("/options");
  await settled(page);
  await page.goto(new URL(path, w.server.url).href);
  await quiet(page);
  return page;
}

const now = (page) => page.locator(".groups-now").first().textContent();

export default {
  "a duty is put to the pack, and every group follows the cursor": async (w, note) => {
    const page = await opened(w, "/heat");
    await page.getByLabel(/^Duty/).selectOption("grade 8 % at 50 km/h");
    await page.getByRole("heading", { name: "Every group in its place" }).waitFor();
    await quiet(page);
    const reply = await ask(page, "/api/heat?duty=grade+8+%25+at+50+km%2Fh");
    assert.match(await now(page), /at the hottest/);
    const slabs = await page.locator(".elevation .slab-line").count();
    assert.equal(slabs, reply.views.groups, "every group is drawn once");
    const hot = String(Number((reply.run.hottest.temperature_k - 273.15).toFixed(1)));
    assert.ok(
      (await page.locator("main .facts").first().textContent()).includes(hot),
      `${hot} °C is among the figures`,
    );
    const before = await now(page);
    await page.locator(".traces").focus();
    await page.keyboard.press("Home");
    for (let i = 0; i < 4; i++) await page.keyboard.press("ArrowRight");
    await until(
      "the groups follow the cursor",
      () => now(page),
      (t) => t !== before && !t.includes("at the hottest"),
    );
    assert.ok((await page.locator(".coolant svg").getAttribute("aria-label")).includes("stage 1"));
    // A duty that does not read is refused with what is accepted.
    w.allow(/status of 400/);
    const typed = page.getByLabel("or typed");
    await typed.fill("uphill");
    await typed.press("Enter");
    const alert = page.getByRole("alert");
    await alert.waitFor();
    assert.match(await alert.textContent(), /are accepted/);
    await typed.fill("full power");
    await typed.press("Enter");
    await page.getByRole("heading", { name: "Every group in its place" }).waitFor();
    await quiet(page);
    assert.deepEqual(await violations(page), []);
    note(`${slabs} groups in their places`);
  },

  "a charge tells times, energy and cost": async (w) => {
    const page = await opened(w, "/charge");
    const supply = page.getByLabel("or typed");
    await supply.fill("230 V 32 A");
    await supply.press("Enter");
    const price = page.getByLabel(/Price of a kWh/);
    await price.fill("0.31");
    await price.press("Enter");
    await page.getByRole("columnheader", { name: "Cost" }).waitFor();
    await quiet(page);
    const reply = await ask(page, "/api/charge?supply=230+V+32+A&price=0.31");
    const rows = await page.getByRole("row").allTextContents();
    const whole = rows.find((r) => r.includes("10\u00a0% to 80\u00a0%"));
    assert.ok(whole, `no row from 10 to 80 %: ${rows.join(" | ")}`);
    assert.ok(whole.includes((reply.run.spans[1].wall_j / 3.6e6).toPrecision(4)), whole);
    assert.ok(whole.includes("EUR"), whole);
    await page.locator(".traces canvas").first().waitFor();
    await page.getByRole("button", { name: "what it gives" }).click();
    await page.getByRole("dialog").waitFor();
    assert.match(await page.getByRole("dialog").textContent(), /P = n·U·I/);
    await page.keyboard.press("Escape");
    assert.deepEqual(await violations(page), []);
  },

  "a drive goes group by group, with its pace and how sure it is": async (w, note) => {
    const page = await opened(w, "/drive?once=1");
    await page.getByLabel("every group by itself").check();
    await page.getByRole("heading", { name: "The run, group by group" }).waitFor();
    await quiet(page);
    const reply = await ask(page, "/api/groups?once=1");
    assert.equal(await page.locator(".elevation .slab-line").count(), reply.report.groups);
    const facts = await page.locator("main .facts").first().textContent();
    assert.ok(facts.includes(reply.report.weakest_group_name), facts);
    const volts = await now(page);
    await page.getByLabel("temperature", { exact: true }).check();
    await until(
      "temperatures",
      () => now(page),
      (t) => t !== volts && t.includes("°C"),
    );
    await page.getByRole("cell", { name: "hill start" }).waitFor();
    await page.getByRole("button", { name: "Draw the uncertain inputs" }).click();
    await page.getByRole("button", { name: "Draw anew" }).waitFor();
    const spread = await ask(page, "/api/spread?samples=512");
    if (spread.report.spread.inputs.length > 0) {
      await page.getByRole("heading", { name: /Where the spread of the range comes from/ }).waitFor();
      assert.ok((await page.locator(".share-bars").count()) > 0);
    }
    assert.deepEqual(await violations(page), []);
    note(`${reply.report.groups} groups, ${spread.report.spread.inputs.length} inputs drawn`);
  },

  "a run of 200 000 steps stays smooth under the hand": async (w, note) => {
    const page = await opened(w, "/donor");
    const text = await w.file();
    await w.write(text.replace(/auxiliaries:\n.*cabin:.*\n/, "auxiliaries: {measured: 20 W}\n"));
    await page.getByText("The file was changed outside").waitFor();
    await page.goto(new URL("/drive?schedule=constant+4+km%2Fh", w.server.url).href);
    await quiet(page);
    await page.locator(".traces canvas").first().waitFor();
    const { rows } = await ask(page, "/api/drive?schedule=constant+4+km%2Fh");
    assert.ok(rows >= 200_000, `${rows} steps`);
    const box = await page.locator(".traces canvas").first().boundingBox();
    await page.evaluate(() => {
      window.frames = [];
      const next = (t) => {
        window.frames.push(t);
        requestAnimationFrame(next);
      };
      requestAnimationFrame(next);
    });
    const across = async (steps) => {
      for (let i = 0; i <= steps; i++)
        await page.mouse.move(box.x + 60 + ((box.width - 80) * i) / steps, box.y + box.height / 2);
    };
    await across(60);
    for (const name of ["zoom in", "zoom in", "later", "earlier", "zoom out"]) {
      await page.getByRole("button", { name, exact: true }).first().click();
      await across(12);
    }
    const frames = await page.evaluate(() => window.frames.slice(1).map((t, i) => t - window.frames[i]));
    const rising = frames.sort((a, b) => a - b);
    const middle = rising[Math.floor(rising.length / 2)];
    note(
      `${rows} steps: ${rising.length} pictures, median ${middle.toFixed(0)} ms, one in twenty above ${rising[Math.floor(0.95 * rising.length)].toFixed(0)} ms`,
    );
    // A screen shows a picture in 17 ms; what takes two of them is still seen as one movement.
    assert.ok(middle <= 34, `median of ${middle} ms`);
  },
};
