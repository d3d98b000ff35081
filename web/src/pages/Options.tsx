// The main act: which packs fit, which are best, why the others do not, and
// the choice of one.

import { useMemo, useState } from "preact/hooks";
import { address } from "../api/client";
import type { AssessmentReply, Options as Reply, Report } from "../api/types";
import { Page } from "../parts/Sheet";
import { Empty, Loaded } from "../parts/states";
import { useResource } from "../state/resource";
import { route, setQuery } from "../state/route";
import { chosen as chosenOption, failed, leading } from "../state/store";
import * as show from "../units/show";
import { OptionsAssessment } from "./OptionsAssessment";
import { OptionsChart } from "./OptionsChart";
import { OptionsCompare } from "./OptionsCompare";
import { type Filter, kept, linesOf, noFilter, picked } from "./OptionsModel";
import { OptionsSearch } from "./OptionsSearch";
import { OptionsTable } from "./OptionsTable";
import { OptionsWhyNot } from "./OptionsWhyNot";
import "../charts/charts.css";
import "./Options.css";

const assessed = ["change", "assessed"] as const;

export default function Options() {
  const reply = useResource<Reply>("/api/options", ["options"]);
  const report = reply.data?.report;
  return (
    <Page title="Options" lead={report ? leadOf(report) : undefined}>
      <OptionsSearch of={report ? (reply.data?.search.revision ?? 0) : 0} />
      {failed.value && !report ? (
        <Empty title={failed.value} />
      ) : (
        <Loaded of={reply} what="asking for the options">
          {(r) => (r.report ? <Found report={r.report} /> : <Empty title="no search has finished yet" />)}
        </Loaded>
      )}
    </Page>
  );
}

function leadOf(r: Report): string {
  return (
    `${show.count(r.candidates)} ways of making a pack from ${show.count(r.sources.length)} sources were looked at; ` +
    `${show.count(r.options_that_fit)} fit, ${show.count(r.packs_that_fit)} packs in different cuts, ranked by ${r.rank_by} on ${r.schedule}.`
  );
}

function Found({ report }: { report: Report }) {
  const [filter, setFilter] = useState<Filter>(noFilter);
  const [marked, setMarked] = useState<string[]>([]);
  const lines = useMemo(() => linesOf(report), [report]);
  const shown = useMemo(() => kept(lines, filter), [lines, filter]);
  const chosen = chosenOption.value;
  const lead = leading.value || (lines[0]?.row.id ?? "");
  const selected = route.value.query.get("option") || chosen || lead;
  const bays = useResource<AssessmentReply>(
    selected ? address("/api/assessment", { option: selected }) : null,
    assessed,
  );
  const found = bays.data?.assessment?.bays.map((b) => b.name) ?? [];
  const names = useMemo(() => found, [found.join("\n")]);
  const select = (id: string) => setQuery("option", id);
  const mark = (id: string) => setMarked(picked(marked, id));
  const [a, b] = marked;
  return (
    <div class="options">
      {lines.length === 0 ? (
        <Empty title="no pack fits">
          <p>Why not says what stands in the way, and the nearest misses how little would have to move.</p>
        </Empty>
      ) : (
        <OptionsChart
          report={report}
          lines={shown}
          selected={selected}
          marked={marked}
          chosen={chosen}
          onPick={(id, also) => (also ? mark(id) : select(id))}
        />
      )}
      <OptionsWhyNot report={report} />
      {lines.length > 0 && (
        <OptionsTable
          report={report}
          lines={lines}
          filter={filter}
          onFilter={setFilter}
          selected={selected}
          marked={marked}
          chosen={chosen}
          bays={names}
          onSelect={select}
          onMark={mark}
        />
      )}
      {a && b && (
        <div id="compare" class="sheet-wide">
          <OptionsCompare a={a} b={b} onClear={() => setMarked([])} />
        </div>
      )}
      {a && !b && (
        <p class="remark sheet-wide">One option is marked; mark a second in the table to compare the two.</p>
      )}
      {selected && <OptionsAssessment option={selected} chosen={chosen} />}
    </div>
  );
}
