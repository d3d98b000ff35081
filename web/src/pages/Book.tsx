// The build book: what it holds, what it lacks, and the files to print and to take along.

import { address } from "../api/client";
import type { BookReply } from "../api/types";
import { DataTable } from "../parts/DataTable";
import { Findings } from "../parts/Findings";
import { Page, Sheet } from "../parts/Sheet";
import { Loaded } from "../parts/states";
import { units } from "../state/prefs";
import { useResource } from "../state/resource";
import { route, setQuery } from "../state/route";
import { leading } from "../state/store";
import { NoOption } from "./Wish";
import "./Drive.css";
import "./Book.css";

const PAPERS = ["A4", "Letter"] as const;

export default function Book() {
  const q = route.value.query;
  const option = q.get("option") ?? "";
  const shown = option || leading.value;
  if (!shown) return <NoOption page="Book" what="written up" />;
  const paper = PAPERS.find((p) => p === q.get("paper")) ?? PAPERS[0];
  const query = { option, system: units.value };
  return (
    <Page title="Book" lead={shown}>
      <fieldset class="chooser">
        <legend class="only-read">What the book is printed on</legend>
        <label>
          Paper
          <select
            value={paper}
            onChange={(e) =>
              setQuery("paper", e.currentTarget.value === PAPERS[0] ? null : e.currentTarget.value)
            }
          >
            {PAPERS.map((p) => (
              <option key={p}>{p}</option>
            ))}
          </select>
        </label>
      </fieldset>
      <Contents key={address("", query)} query={query} paper={paper} />
    </Page>
  );
}

interface ContentsProps {
  query: Record<string, string>;
  paper: string;
}

function Contents({ query, paper }: ContentsProps) {
  const reply = useResource<BookReply>(address("/api/book", query), ["change", "assessed", "options"]);
  return (
    <Loaded of={reply} what="gathering the book">
      {(d) => (
        <div class="book-sheets">
          <Files of={d} query={{ ...query, paper }} />
          <Cleared of={d} />
          <Lacking of={d} />
          <Chapters of={d} />
          <Bill of={d} />
        </div>
      )}
    </Loaded>
  );
}

const files = [
  ["build-book.pdf", "the book as PDF", "to print, with contents and links"],
  ["build-book.html", "the book as a page", "opens beside this one; one file, to read on a tablet"],
  ["bill-of-materials.xlsx", "bill of materials", "workbook, to order from"],
  ["vehicle.glb", "vehicle with its pack", "three dimensions, glTF"],
] as const;

function Files({ of: d, query }: { of: BookReply; query: Record<string, string> }) {
  return (
    <Sheet title="To print and to take along" note={`${d.date}, project ${d.project_hash}`} wide>
      <ul class="book-files">
        {files.map(([name, what, why]) => (
          <li key={name}>
            <a
              href={address(`/api/book/${name}`, query)}
              {...(name.endsWith(".html") ? { target: "_blank", rel: "noreferrer" } : { download: name })}
            >
              {what}
            </a>
            <span>
              {name}: {why}
            </span>
          </li>
        ))}
      </ul>
      <p class="quiet">
        Each is made when it is asked for, from the project as it stands. The command packyard book writes the
        same files into the folder book of the project.
      </p>
    </Sheet>
  );
}

function Cleared({ of: d }: { of: BookReply }) {
  return (
    <Sheet title={d.cleared ? "Cleared" : "Not cleared"} wide>
      {d.cleared ? (
        <p>Every safety finding has been acknowledged.</p>
      ) : (
        <>
          <p>
            “Not cleared” stands on every page until somebody has acknowledged each of these by name and with
            a reason.
          </p>
          <Findings list={d.open} caption="Safety findings that are open" />
        </>
      )}
    </Sheet>
  );
}

function Lacking({ of: d }: { of: BookReply }) {
  if (d.missing.length === 0) return null;
  return (
    <Sheet title="What is missing" wide>
      <DataTable
        caption="Parts that could not be worked out"
        quiet
        rows={d.missing}
        rowKey={(g) => g.part}
        columns={[
          { key: "part", head: "Part", cell: (g) => g.part },
          { key: "why", head: "Why, and what it takes", cell: (g) => g.why },
        ]}
      />
    </Sheet>
  );
}

function Chapters({ of: d }: { of: BookReply }) {
  return (
    <Sheet title="Contents" note={`${d.chapters.filter((c) => !c.deep).length} chapters`}>
      <ol class="book-contents">
        {d.chapters.map((c) => (
          <li key={c.id} class={c.deep ? "deep" : undefined}>
            {c.title}
          </li>
        ))}
      </ol>
    </Sheet>
  );
}

function Bill({ of: d }: { of: BookReply }) {
  const [head, ...rows] = d.bill;
  if (!head) return null;
  return (
    <Sheet title="Bill of materials" wide>
      <DataTable
        caption="Bill of materials"
        quiet
        rows={rows}
        rowKey={(r) => r.cells.join(" ")}
        columns={head.cells.map((text, k) => ({
          key: text || `column ${k}`,
          head: text,
          figure: k >= 2 && k <= 4,
          cell: (r: { cells: string[] }) => r.cells[k] ?? "",
        }))}
      />
    </Sheet>
  );
}
