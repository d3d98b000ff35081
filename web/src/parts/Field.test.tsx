// @vitest-environment happy-dom
import { fireEvent, render, screen, waitFor } from "@testing-library/preact";
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import type { State } from "../api/types";
import { conflict, state } from "../state/store";
import { Field } from "./Field";

interface Sent {
  base: number;
  ops: unknown[];
  force?: boolean;
}
let sent: Sent[] = [];
let answers: { status: number; body: unknown }[] = [];
const good = { status: 200, body: { revision: 8, merged: false, undo: 1, redo: 0 } };

beforeEach(() => {
  sent = [];
  answers = [];
  state.value = { revision: 7, undo: 0, redo: 0 } as State;
  vi.stubGlobal("fetch", (_: string, init: RequestInit) => {
    sent.push(JSON.parse(String(init.body)) as Sent);
    const a = answers.shift() ?? good;
    return Promise.resolve(new Response(JSON.stringify(a.body), { status: a.status }));
  });
});
afterEach(() => {
  vi.unstubAllGlobals();
  document.body.replaceChildren();
});

const mass = (text = "14 kg") => <Field path="donor.added[1].mass" text={text} label="mass" required />;
const box = () => screen.getByLabelText("mass") as HTMLInputElement;
const type = (text: string) => {
  fireEvent.focus(box());
  fireEvent.input(box(), { target: { value: text } });
};

describe("a value edited in its place", () => {
  it("sends the text as typed, with the revision in which it was seen", async () => {
    render(mass());
    type("31 lb");
    // Another page wrote meanwhile; the base stays that of the first key.
    state.value = { ...(state.value as State), revision: 9 };
    fireEvent.keyDown(box(), { key: "Enter" });
    await waitFor(() => expect(sent).toHaveLength(1));
    expect(sent[0]).toMatchObject({
      base: 7,
      ops: [{ op: "set", path: "donor.added[1].mass", text: "31 lb" }],
    });
  });

  it("sends nothing when nothing was changed", () => {
    render(mass());
    fireEvent.focus(box());
    fireEvent.blur(box());
    expect(sent).toHaveLength(0);
  });

  it("shows the problem and keeps what was typed; Escape brings the text of the file back", async () => {
    const problem = { pos: {}, path: "donor.added[1].mass", message: '"14 mm" is a length', hint: "kg, lb" };
    answers = [
      { status: 422, body: { error: { kind: "problems", message: "1 problem", problems: [problem] } } },
    ];
    render(mass());
    type("14 mm");
    fireEvent.keyDown(box(), { key: "Enter" });
    expect((await screen.findByRole("alert")).textContent).toContain("is a length");
    expect(box().value).toBe("14 mm");
    expect(box().getAttribute("aria-invalid")).toBe("true");
    fireEvent.keyDown(box(), { key: "Escape" });
    expect(box().value).toBe("14 kg");
    expect(screen.queryByRole("alert")).toBeNull();
  });

  it("does not lose what is being typed when the file changes", () => {
    const { rerender } = render(mass());
    type("15 k");
    rerender(mass("16 kg"));
    expect(box().value).toBe("15 k");
    fireEvent.keyDown(box(), { key: "Escape" });
    expect(box().value).toBe("16 kg");
  });

  it("asks the user when both changed it, and writes mine with force", async () => {
    const clash = { path: "donor.added[1].mass", base: "14 kg", theirs: "15 kg", yours: "16 kg" };
    answers = [
      {
        status: 409,
        body: { error: { kind: "conflict", message: "changed", conflicts: [clash], revision: 9 } },
      },
      good,
    ];
    render(mass());
    type("16 kg");
    fireEvent.keyDown(box(), { key: "Enter" });
    await waitFor(() => expect(conflict.value?.conflicts).toEqual([clash]));
    conflict.value?.settle(true);
    await waitFor(() => expect(sent).toHaveLength(2));
    expect(sent[1]).toMatchObject({ base: 9, force: true });
    expect(conflict.value).toBeNull();
  });

  it("shows theirs when it came while the user was choosing", async () => {
    const clash = { path: "donor.added[1].mass", base: "14 kg", theirs: "15 kg", yours: "16 kg" };
    const error = { kind: "conflict", message: "changed", conflicts: [clash], revision: 9 };
    answers = [{ status: 409, body: { error } }];
    const { rerender } = render(mass());
    type("16 kg");
    fireEvent.keyDown(box(), { key: "Enter" });
    await waitFor(() => expect(conflict.value?.conflicts).toEqual([clash]));
    rerender(mass("15 kg"));
    expect(box().value).toBe("16 kg");
    conflict.value?.settle(false);
    await waitFor(() => expect(box().value).toBe("15 kg"));
    expect(sent).toHaveLength(1);
  });

  it("takes an emptied value out of the file when it need not be there", async () => {
    render(<Field path="road.headwind" text="2 m/s" label="mass" />);
    type("");
    fireEvent.blur(box());
    await waitFor(() => expect(sent[0]?.ops).toEqual([{ op: "delete", path: "road.headwind" }]));
  });
});
