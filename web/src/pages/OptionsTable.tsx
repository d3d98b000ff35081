import type { Report } from "../api/types";
import { DataTable } from "../parts/DataTable";
import { CsvLink } from "../parts/Download";
import { memo, sameData } from "../parts/memo";
import { Sheet } from "../parts/Sheet";
import { columnsOf } from "./OptionsColumns";
import { type Filter, kept, type Line, noFilter, rulesOf } from "./OptionsModel";

interface Props {
  report: Report;
  lines: readonly Line[];
  filter: Filter;
  onFilter(f: Filter): void;
  selected: string;
  marked: readonly string[];
  chosen: string;
  bays: readonly string[];
  onSelect(id: string): void;
  onMark(id: string): void;
}

/** OptionsTable is every ranked pack with its figures; the first cell selects, the box beside it picks two to compare. */
export const OptionsTable = memo((p: Props) => {
  const rows = kept(p.lines, p.filter);
  return (
    <Sheet
      title="Ranked packs"
      note={`${rows.length === p.lines.length ? "" : `${rows.length} of `}${p.lines.length} lines: ${p.report.ranked.length} packs in their best cut, by ${p.report.rank_by}, and the Pareto set`}
      wide
      tools={
        <>
          <CsvLink table="options" label="options as CSV" />
          <CsvLink table="pareto" label="pareto as CSV" />
        </>
      }
    >
      <Filters {...p} />
      <div class="packs">
        <DataTable
          caption="Packs that fit, ranked"
          quiet
          columns={columnsOf(p, rows)}
          rows={rows}
          rowKey={(l) => l.row.id}
          onPick={(l) => p.onSelect(l.row.id)}
          picked={(l) => l.row.id === p.selected}
          rowClass={(l) => (l.row.id === p.chosen ? "is-chosen" : "")}
          sorted="rank"
          most={20}
          empty="no pack is left by this filter"
        />
      </div>
    </Sheet>
  );
}, sameData);

function Filters({ lines, report, filter, onFilter, marked }: Props) {
  const set = (part: Partial<Filter>) => onFilter({ ...filter, ...part });
  return (
    <search class="filters" aria-label="Filter the packs">
      <label>
        Worst margin of
        <select value={filter.rule} onChange={(e) => set({ rule: e.currentTarget.value })}>
          <option value="">any limit</option>
          {rulesOf(lines).map((r) => (
            <option key={r} value={r}>
              {r}
            </option>
          ))}
        </select>
      </label>
      <label>
        Source
        <select value={filter.source} onChange={(e) => set({ source: e.currentTarget.value })}>
          <option value="">any</option>
          {report.sources.map((s) => (
            <option key={s.name} value={s.name}>
              {s.name}
            </option>
          ))}
        </select>
      </label>
      <label>
        Name holds
        <input
          type="search"
          value={filter.text}
          placeholder="76S6P"
          onInput={(e) => set({ text: e.currentTarget.value })}
        />
      </label>
      <label class="tick-box">
        <input
          type="checkbox"
          checked={filter.paretoOnly}
          onChange={(e) => set({ paretoOnly: e.currentTarget.checked })}
        />
        Pareto set only
      </label>
      <button type="button" class="button button-plain" onClick={() => onFilter(noFilter)}>
        No filter
      </button>
      {marked.length === 2 && <a href="#compare">To the two side by side</a>}
    </search>
  );
}
