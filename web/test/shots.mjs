// Takes a picture of every page: node test/shots.mjs FOLDER [EXAMPLE]. In paper and
// dark, 1440, 1024 and 768 wide, as FOLDER/page-width-theme.png. For the README and
// for looking at.
import { mkdir } from "node:fs/promises";
import { join } from "node:path";
import { go, launch, settled, unfold, World } from "./harness.mjs";

const [into, example = "orchard-truck"] = process.argv.slice(2);
if (!into) {
  console.error("usage: node test/shots.mjs FOLDER [EXAMPLE]");
  process.exit(2);
}
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
const WIDTHS = { 1440: 900, 1024: 768, 768: 1024 };
const THEMES = ["light", "dark"];

/** Waits until nothing is on its way and the pictures are drawn. */
async function still(page) {
  await page.waitForFunction(() => !document.querySelector("main .state-busy, main [aria-busy=true]"));
  await page.evaluate(() => document.fonts.ready);
  await unfold(page);
  await page.waitForTimeout(600);
}

async function shoot(page, name) {
  for (const colorScheme of THEMES) {
    await page.emulateMedia({ colorScheme });
    for (const [width, height] of Object.entries(WIDTHS)) {
      await page.setViewportSize({ width: Number(width), height });
      await still(page);
      const path = join(into, `${name}-${width}-${colorScheme}.png`);
      await page.screenshot({ path, fullPage: true });
      const over = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
      if (over > 0) console.log(`${path}: ${over} px wider than the window`);
    }
  }
  await page.setViewportSize({ width: 1440, height: 900 });
}

await mkdir(into, { recursive: true });
const browser = await launch();
const world = new World(browser);
await world.project(example);
const page = await world.page("/options");
await settled(page);
for (const name of PAGES) {
  await go(page, name);
  await shoot(page, name.toLowerCase());
}
const empty = new World(browser);
await empty.project();
const form = await empty.page("/");
await form.getByRole("heading", { level: 1, name: "New project" }).waitFor();
await shoot(form, "new");
const seen = [...(await world.close()), ...(await empty.close())];
await browser.close();
for (const s of seen) console.log(s);
process.exitCode = seen.length > 0 ? 1 : 0;
