import { useState } from "preact/hooks";
import type { Finding, Severity } from "../api/types";
import { DataTable } from "../parts/DataTable";
import { Explained } from "../parts/Explained";
import { marginWords } from "../parts/WorkingSheet";
import * as show from "../units/show";

const order: Record<Severity, number> = { failure: 0, safety: 1, warning: 2, note: 3 };

/** Words for what holds over the stated spread of the inputs. */
const spread = {
  always: "over the whole spread",
  partly: "over a part of the spread only",
  never: "broken over the whole spread",
};

/** OptionsFindings shows what is broken, near or dangerous with its remedy; what merely holds on request. */
export function OptionsFindings({ list }: { list: readonly Finding[] }) {
  const [all, setAll] = useState(false);
  const pressing = list.filter((f) => f.severity !== "note");
  const rows = all ? list : pressing;
  return (
    <>
      <DataTable
        caption="Findings about this option"
        quiet
        rows={[...rows].sort((a, b) => order[a.severity] - order[b.severity] || a.margin - b.margin)}
        rowKey={(f, i) => `${f.rule} ${i}`}
        rowClass={(f) => `finding-${f.severity}`}
        empty="every limit is kept with room to spare"
        columns={[
          { key: "severity", head: "Severity", cell: (f) => f.severity, sort: (f) => order[f.severity] },
          {
            key: "subject",
            head: "About",
            cell: (f) => <Explained of={{ kind: "finding", finding: f }}>{f.subject}</Explained>,
            sort: (f) => f.subject,
          },
          {
            key: "value",
            head: "Found",
            figure: true,
            cell: (f) => (blank(f) ? "" : show.apart(f.value, f.limit)[0]),
          },
          {
            key: "limit",
            head: "Limit",
            figure: true,
            cell: (f) => (bare(f) ? "" : show.apart(f.value, f.limit)[1]),
          },
          {
            key: "margin",
            head: "Margin",
            figure: true,
            cell: (f) => (bare(f) ? "" : marginWords(f)),
            sort: (f) => f.margin,
          },
          {
            key: "remedy",
            head: "What helps",
            cell: (f) => (
              <>
                {f.remedy ?? ""}
                {f.over_spread && <span class="quiet"> {spread[f.over_spread]}</span>}
              </>
            ),
          },
        ]}
      />
      <button type="button" class="button button-plain" aria-expanded={all} onClick={() => setAll(!all)}>
        {all
          ? "Only what needs attention"
          : `Show also the ${list.length - pressing.length} that merely hold`}
      </button>
    </>
  );
}

/** A figure without symbol is none. */
const blank = (f: Finding) => f.value.symbol === "";
const bare = (f: Finding) => f.limit.symbol === "";
