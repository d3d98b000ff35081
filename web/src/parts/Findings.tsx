import type { ComponentChildren } from "preact";
import type { Finding, Severity } from "../api/types";
import * as show from "../units/show";
import { DataTable } from "./DataTable";
import { Explained } from "./Explained";

const rank: Record<Severity, number> = { failure: 0, safety: 1, warning: 2, note: 3 };

function margin(f: Finding): string {
  const size = show.percent(Math.abs(f.margin));
  return f.margin < 0 ? `${size} beyond` : `${size} left`;
}

interface Props {
  list: readonly Finding[];
  caption: string;
  /** What a finding is about, in short. */
  about?: (f: Finding) => ComponentChildren;
}

/** Findings as a table, the worst first; each opens its rule and source. */
export function Findings({ list, caption, about = (f) => f.subject }: Props) {
  return (
    <DataTable
      caption={caption}
      quiet
      rows={[...list].sort((a, b) => rank[a.severity] - rank[b.severity] || a.margin - b.margin)}
      rowKey={(f, i) => `${f.rule} ${i}`}
      rowClass={(f) => `finding-${f.severity}`}
      empty="nothing to say"
      columns={[
        { key: "severity", head: "Says", cell: (f) => f.severity, sort: (f) => rank[f.severity] },
        {
          key: "subject",
          head: "About",
          cell: (f) => <Explained of={{ kind: "finding", finding: f }}>{about(f)}</Explained>,
          sort: (f) => f.subject,
        },
        { key: "value", head: "Found", figure: true, cell: (f) => show.apart(f.value, f.limit)[0] },
        { key: "limit", head: "Limit", figure: true, cell: (f) => show.apart(f.value, f.limit)[1] },
        { key: "margin", head: "Margin", figure: true, cell: margin, sort: (f) => f.margin },
      ]}
    />
  );
}
