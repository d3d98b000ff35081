// The circuit and the build book.
import assert from "node:assert/strict";
import { ask, go, settled, until } from "./harness.mjs";

export default {
  "the parts of the circuit open their workings, and a safety finding is answered for": async (w, note) => {
    await w.project("orchard-truck", { only: "closed-nmc" });
    const text = await w.file();
    await w.write(text.replace(/^ {2}bleed[^\n]*\n/m, ""));
    const page = await w.page("/circuit");
    await settled(page);
    const parts = page.getByRole("table", { name: /Parts of the circuit/ });
    await parts.waitFor();
    const { circuit } = await ask(page, "/api/circuit");
    assert.equal(
      await parts.locator("tbody > tr").count(),
      circuit.items.length,
      "every question has its row",
    );
    await page.locator(".picture-sheet svg").waitFor();
    assert.equal(
      await page.locator('.picture-sheet [data-kind="curve"]').count(),
      circuit.chart.curves.length,
      "every curve is drawn",
    );
    await parts.locator("summary").first().click();
    await parts.locator(".worked button").first().click();
    await page.getByRole("dialog").waitFor();
    await page.keyboard.press("Escape");

    const open = circuit.safety_open;
    assert.ok(open > 0, "without a bleed resistor a safety finding is open");
    await page.getByLabel("Who answers for it").fill("a test");
    await page.getByLabel("Why it may stand").fill("the inverter discharges by itself: seen");
    await page.getByRole("button", { name: "Acknowledge", exact: true }).click();
    await until(
      "one less is open",
      async () => (await ask(page, "/api/circuit")).circuit.safety_open,
      (n) => n === open - 1,
    );
    assert.match(
      await w.file(),
      /subject: .*by: a test|by: a test.*subject: |subject: [^\n]+\n +by: a test/,
      "one finding is named, not all of its rule",
    );
    await page.getByText("the inverter discharges by itself: seen").waitFor();
    await page.getByRole("button", { name: "Undo" }).click();
    await until(
      "undo opens it again",
      async () => (await ask(page, "/api/circuit")).circuit.safety_open,
      (n) => n === open,
    );
    note(`${circuit.items.length} questions, ${open} safety findings open`);
  },

  "the book says what it holds and what keeps it from being cleared, and hands out its files": async (w) => {
    await w.project("orchard-truck", { only: "closed-nmc" });
    await w.write((await w.file()).replace(/^acknowledged:\n(?: .*\n)+/m, ""));
    const page = await w.page("/options");
    await settled(page);
    await go(page, "Book");
    await page.getByRole("heading", { name: "Not cleared" }).waitFor();
    const book = await ask(page, "/api/book");
    assert.ok(book.open.length > 0);
    assert.equal(await page.locator(".book-contents li").count(), book.chapters.length);
    const download = page.waitForEvent("download");
    await page.getByRole("link", { name: "the book as PDF" }).click();
    assert.equal((await download).suggestedFilename(), "build-book.pdf");
    const [shown] = await Promise.all([
      page.waitForEvent("popup"),
      page.getByRole("link", { name: "the book as a page" }).click(),
    ]);
    await shown.getByRole("heading", { level: 1, name: /^Build book/ }).waitFor();
    assert.equal(await shown.locator("section").count(), book.chapters.length);
    await shown.close();
  },
};
