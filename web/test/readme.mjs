// Takes the pictures of the workbench that the README shows: node test/readme.mjs.
// Into docs/pictures; look at them before they are committed.
import { dirname, join, resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { go, launch, settled, World } from "./harness.mjs";

const into = process.argv[2] ?? resolve(dirname(fileURLToPath(import.meta.url)), "../../docs/pictures");
const SHOTS = [
  { page: "Options", name: "workbench-options", colorScheme: "light" },
  { page: "Bays", name: "workbench-bays", colorScheme: "dark" },
  { page: "Donor", name: "workbench-donor", colorScheme: "light" },
];

const browser = await launch();
const world = new World(browser);
await world.project("orchard-truck");
const page = await world.page("/options", { viewport: { width: 1280, height: 800 } });
await settled(page);
for (const s of SHOTS) {
  await page.emulateMedia({ colorScheme: s.colorScheme });
  await go(page, s.page);
  await page.waitForFunction(() => !document.querySelector("main .state-busy, main [aria-busy=true]"));
  await page.evaluate(() => document.fonts.ready);
  await page.waitForTimeout(1500);
  await page.screenshot({ path: join(into, `${s.name}.png`) });
}
const seen = await world.close();
await browser.close();
for (const s of seen) console.log(s);
process.exitCode = seen.length > 0 ? 1 : 0;
