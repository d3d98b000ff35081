// Banners: what the user must know before anything else on the page.

import type { ComponentChildren } from "preact";
import type { Problem } from "../api/types";
import { broken, failed, foreign, link, notice, undo } from "../state/store";

function Banner({ bad, children }: { bad?: boolean; children: ComponentChildren }) {
  return (
    <div class={bad ? "banner banner-bad" : "banner"} role={bad ? "alert" : "status"}>
      {children}
    </div>
  );
}

const place = (p: Problem) =>
  p.pos.line ? `${p.pos.file ?? "packyard.yaml"}:${p.pos.line}:${p.pos.col ?? 1}` : "";

export function ProblemList({ problems, more = 0 }: { problems: readonly Problem[]; more?: number }) {
  return (
    <ul class="problems">
      {problems.map((p) => (
        <li key={`${p.path} ${p.message}`}>
          {place(p) === "" ? null : <span class="place">{place(p)}</span>}{" "}
          {p.path === "" ? "" : `${p.path}: `}
          {p.message}
          {p.hint ? <span class="field-hint">{p.hint}</span> : null}
        </li>
      ))}
      {more > 0 ? <li>and {more} more</li> : null}
    </ul>
  );
}

function LinkBanner() {
  if (link.value === "lost") {
    return (
      <Banner bad>
        packyard does not answer. What is shown may be old; this page goes on by itself when it answers again.
      </Banner>
    );
  }
  if (link.value === "refused") {
    return (
      <Banner bad>
        packyard was stopped and started anew. Open the address that it prints; this page then goes on.
      </Banner>
    );
  }
  return null;
}

function BrokenBanner() {
  const b = broken.value;
  if (!b) return null;
  return (
    <Banner bad>
      <p>
        <strong>packyard.yaml was changed outside and cannot be read.</strong> The last state that could be
        read is shown; nothing can be changed here until the file is mended.
      </p>
      <ProblemList problems={b.problems} more={b.more} />
      <button type="button" class="button" onClick={() => void undo()}>
        Bring back the last good state
      </button>
    </Banner>
  );
}

const doers = {
  edit: "Another page changed",
  undo: "Another page undid a change of",
  redo: "Another page did anew a change of",
  outside: "The file was changed outside:",
  new: "Another page made the project:",
};

function ForeignBanner() {
  const c = foreign.value;
  if (!c) return null;
  const what = c.paths.length > 0 ? c.paths : c.parts;
  const named = what.slice(0, 3).join(", ") + (what.length > 3 ? ` and ${what.length - 3} more` : "");
  return (
    <Banner>
      {doers[c.by]} {named}.
      <button
        type="button"
        class="button button-plain"
        onClick={() => {
          foreign.value = null;
        }}
      >
        Noted
      </button>
    </Banner>
  );
}

export function Banners() {
  return (
    <>
      <LinkBanner />
      <BrokenBanner />
      {failed.value !== "" && !broken.value ? (
        <Banner bad>The project reads, but cannot be computed with: {failed.value}</Banner>
      ) : null}
      <ForeignBanner />
      <p class="only-read" role="status">
        {notice.value}
      </p>
    </>
  );
}
