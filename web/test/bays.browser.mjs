// The page of the bays.
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { ask, budgets, settled, type, until } from "./harness.mjs";

const bay = (page, look, name) => page.locator(`[data-look="${look}"]`, { hasText: name }).first();
const markOf = (page, look, path) => page.locator(`[data-look="${look}"][data-bay="${path}"]`);

/** The middle of the body of a bay in a view, in px of the window. */
async function middle(page, look, path) {
  const mark = markOf(page, look, path);
  await mark.scrollIntoViewIfNeeded();
  const box = await mark.locator(".box").first().boundingBox();
  return [box.x + box.width / 2, box.y + box.height / 2];
}

const at = async (page, i = 1) => (await ask(page, "/api/bays")).bays[i].at_m;
const scale = (page, look) => page.locator(`[data-view="${look}"]`).getAttribute("data-k").then(Number);

async function drag(page, [x, y], [dx, dy]) {
  await page.mouse.move(x, y);
  await page.mouse.down();
  await page.mouse.move(x + dx / 2, y + dy / 2, { steps: 4 });
  await page.mouse.move(x + dx, y + dy, { steps: 4 });
  await page.mouse.up();
}

export default {
  "dragging a bay writes millimetres and the options follow": async (w) => {
    await w.project("orchard-truck");
    const page = await w.page("/bays");
    const before = await settled(page);
    const was = await ask(page, "/api/options");
    await markOf(page, "side", "bays[3]").waitFor();
    const k = await scale(page, "side");
    // The bay behind the rear axle, 100 mm to the front: weight moves between the axles.
    await drag(page, await middle(page, "side", "bays[3]"), [-0.1 * k, 0]);
    await until(
      "the bay has moved",
      () => at(page, 3),
      (p) => p[0] < 2.78 - 0.05,
    );
    assert.match(await w.file(), /at: \[2\d\d\d mm, -380 mm, 420 mm\]/);
    const after = await settled(page);
    assert.ok(after.revision > before.revision);
    assert.ok(
      Math.abs(after.headline.axle_front_kg - before.headline.axle_front_kg) > 0.5,
      "the front axle load follows",
    );
    const now = await ask(page, "/api/options");
    const margins = (r) => r.report.ranked.map((x) => x.worst_margin);
    assert.notDeepEqual(margins(now), margins(was), "the ranked options follow");
    await page.getByRole("button", { name: "Undo" }).click();
    await until(
      "undo puts it back",
      () => at(page, 3),
      (p) => Math.abs(p[0] - 2.78) < 1e-9,
    );
    assert.match(await w.file(), /at: \[2\.78 m, -380 mm, 420 mm\]/);
  },

  "pulling an end changes the size, and the near end keeps keep-outs in place": async (w) => {
    await w.project("orchard-truck", { only: "closed-nmc" });
    const page = await w.page("/bays");
    await settled(page);
    await markOf(page, "side", "bays[0]").press("Enter");
    const k = await scale(page, "side");
    const knobs = page.locator('[data-view="side"] .handle.across .knob');
    await until(
      "two handles across",
      () => knobs.count(),
      (n) => n === 2,
    );
    const box = await knobs.first().boundingBox(); // the near end comes first
    const from = [box.x + box.width / 2, box.y + box.height / 2];
    const was = (await ask(page, "/api/bays")).bays[0];
    await drag(page, from, [0.08 * k, 0]);
    const now = await until(
      "the engine bay is shorter",
      async () => (await ask(page, "/api/bays")).bays[0],
      (b) => b.size_m[0] < was.size_m[0] - 0.04,
    );
    const cut = was.size_m[0] - now.size_m[0];
    assert.ok(Math.abs(now.at_m[0] - was.at_m[0] - cut) < 1e-9, "its corner moved by as much");
    const keep = (b) => b.keep_outs[0].corners_m[0][0];
    assert.ok(Math.abs(keep(now) - keep(was)) < 1e-9, "the steering column stays where it is");
  },

  "arrow keys move a bay by 5 mm, with Shift by 50 mm, with Alt its end": async (w) => {
    await w.project("orchard-truck", { only: "closed-nmc" });
    const page = await w.page("/bays");
    await settled(page);
    await markOf(page, "side", "bays[1]").focus();
    for (const key of ["ArrowLeft", "ArrowLeft", "Shift+ArrowRight"]) await page.keyboard.press(key);
    await until(
      "moved by 40 mm",
      () => at(page),
      (p) => Math.abs(p[0] - 1.02) < 1e-9,
    );
    await page.keyboard.press("Alt+ArrowRight");
    await until(
      "5 mm longer",
      async () => (await ask(page, "/api/bays")).bays[1].size_m[0],
      (l) => Math.abs(l - 1.125) < 1e-9,
    );
    await page.keyboard.press("Shift+ArrowUp");
    await page.keyboard.press("Escape");
    await new Promise((r) => setTimeout(r, 700));
    assert.ok(Math.abs((await at(page))[2] - 0.27) < 1e-9, "Escape writes nothing");
  },

  "a bay outside the vehicle and one too small are refused in Go's words": async (w) => {
    await w.project("orchard-truck", { only: "closed-nmc" });
    const page = await w.page("/bays");
    await settled(page);
    await bay(page, "top", "right side").waitFor();
    const k = await scale(page, "top");
    await drag(page, await middle(page, "top", "bays[2]"), [0, -0.5 * k]);
    await page.getByRole("alert").filter({ hasText: "outside the vehicle" }).waitFor();
    assert.ok(Math.abs((await at(page, 2))[1] + 0.7) < 1e-9, "nothing is written");
    await markOf(page, "side", "bays[2]").press("Enter");
    await type(page, "right side: height", "60 mm");
    await page.getByRole("alert").filter({ hasText: "too small for every module" }).waitFor();
    assert.match(await w.file(), /size: \[1120 mm, 430 mm, 360 mm\]/);
  },

  "a wrong unit is refused with what is accepted, and Escape brings the text back": async (w) => {
    await w.project("orchard-truck", { only: "closed-nmc" });
    const page = await w.page("/bays");
    await settled(page);
    await markOf(page, "side", "bays[1]").press("Enter");
    const field = await type(page, "left side: length", "1120 kg");
    const alert = page.getByRole("alert").filter({ hasText: "length" });
    await alert.waitFor();
    assert.match(await alert.textContent(), /mm|in\b/, "it names what is accepted");
    await field.press("Escape");
    assert.equal(await field.inputValue(), "1120 mm");
    await type(page, "left side: length", "44 in");
    await until(
      "an inch is a unit like any other",
      async () => (await ask(page, "/api/bays")).bays[1].size_m[0],
      (l) => Math.abs(l - 44 * 0.0254) < 1e-9,
    );
    assert.match(await w.file(), /size: \[44 in, 430 mm, 360 mm\]/);
  },

  "keep-outs are added, typed and removed": async (w) => {
    await w.project("orchard-truck", { only: "closed-nmc" });
    const page = await w.page("/bays");
    await settled(page);
    await markOf(page, "side", "bays[3]").press("Enter");
    await page.getByRole("button", { name: "Add a keep-out" }).click();
    await type(page, "behind the rear axle: keep-out 1, length", "150 mm");
    await until(
      "the keep-out is there",
      async () => (await ask(page, "/api/bays")).bays[3].keep_outs[0]?.size_m[0],
      (l) => l === 0.15,
    );
    await page.getByRole("button", { name: "Remove keep-out 1 of behind the rear axle" }).click();
    await until(
      "it is gone",
      async () => (await ask(page, "/api/bays")).bays[3].keep_outs.length,
      (n) => n === 0,
    );
  },

  "the room table tells what stands, what would fit, the bound and the mass": async (w) => {
    await w.project("orchard-truck", { only: "closed-nmc" });
    const page = await w.page("/bays");
    await settled(page);
    const told = await ask(page, "/api/bays");
    const row = page
      .getByRole("row")
      .filter({ has: page.getByRole("button", { name: "left side", exact: true }) });
    await row.waitFor();
    const text = await row.textContent();
    for (const r of told.bays[1].room) {
      for (const n of [r.placed, r.most, r.bound]) assert.ok(text.includes(String(n)), `${n} in ${text}`);
    }
    assert.match(text, /of\s190\s?kg/);
  },

  "a finger selects a bay, then drags it": async (w) => {
    await w.project("orchard-truck", { only: "closed-nmc" });
    const page = await w.page("/bays", { viewport: { width: 768, height: 1024 }, hasTouch: true });
    await settled(page);
    await markOf(page, "side", "bays[3]").waitFor();
    const [x, y] = await middle(page, "side", "bays[3]");
    await page.touchscreen.tap(x, y);
    await page.getByRole("heading", { name: "Bay: behind the rear axle" }).waitFor();
    const k = await scale(page, "side");
    const [x2, y2] = await middle(page, "side", "bays[3]");
    const cdp = await page.context().newCDPSession(page);
    const touch = (kind, px) =>
      cdp.send("Input.dispatchTouchEvent", {
        type: kind,
        touchPoints: kind === "touchEnd" ? [] : [{ x: px, y: y2 }],
      });
    await touch("touchStart", x2);
    for (let i = 1; i <= 6; i++) await touch("touchMove", x2 - (i / 6) * 0.1 * k);
    await touch("touchEnd", 0);
    await until(
      "it followed the finger",
      () => at(page, 3),
      (p) => p[0] < 2.78 - 0.04,
    );
  },

  "the 3D picture is not blank and shows orange terminals; GLB and PNG are handed out": async (w) => {
    await w.project("orchard-truck");
    const page = await w.page("/bays");
    await settled(page);
    const canvas = page.locator(".bays-canvas canvas");
    await canvas.waitFor();
    const counts = () =>
      page.evaluate(() => {
        const from = document.querySelector(".bays-canvas canvas");
        const c = document.createElement("canvas");
        c.width = from.width;
        c.height = from.height;
        const g = c.getContext("2d");
        g.drawImage(from, 0, 0);
        const p = g.getImageData(0, 0, c.width, c.height).data;
        const ground = [p[0], p[1], p[2]];
        let ink = 0;
        let orange = 0;
        for (let i = 0; i < p.length; i += 4) {
          const d =
            Math.abs(p[i] - ground[0]) + Math.abs(p[i + 1] - ground[1]) + Math.abs(p[i + 2] - ground[2]);
          if (d > 60) ink++;
          if (p[i] > 140 && p[i] - p[i + 2] > 90 && p[i + 1] < p[i]) orange++;
        }
        return { all: p.length / 4, ink, orange };
      });
    const seen = await until(
      "lines and terminals are drawn",
      counts,
      (c) => c.ink > c.all * 0.01 && c.orange > 50,
    );
    assert.ok(seen.ink < seen.all * 0.6, "and ground is left between them");
    assert.match(await page.locator(".scene-labels").textContent(), /front axle\s+[\d,.\u202f]+\s*kg/);
    const view = page.getByRole("application", { name: /three dimensions/ });
    await view.focus();
    const before = await canvas.screenshot();
    await page.keyboard.press("ArrowRight");
    await page.keyboard.press("+");
    await until(
      "the arrow key turns it",
      async () => Buffer.compare(before, await canvas.screenshot()),
      (n) => n !== 0,
    );
    const [png] = await Promise.all([
      page.waitForEvent("download"),
      page.getByRole("button", { name: "3D view as PNG" }).click(),
    ]);
    assert.match(png.suggestedFilename(), /\.png$/);
    const [glb] = await Promise.all([
      page.waitForEvent("download"),
      page.getByRole("link", { name: "3D model as GLB" }).click(),
    ]);
    assert.equal((await readFile(await glb.path())).subarray(0, 4).toString(), "glTF");
  },

  "a project in which nothing fits shows its bays empty": async (w) => {
    await w.project("wishful-roadster");
    const page = await w.page("/bays");
    const s = await settled(page);
    await page.getByRole("heading", { level: 1, name: "Bays" }).waitFor();
    assert.equal(s.search.options_that_fit, 0);
    const told = await ask(page, "/api/bays");
    assert.equal(await page.locator('[data-look="side"]').count(), told.bays.length);
    assert.ok((await budgets(page)).length > 0);
  },
};
