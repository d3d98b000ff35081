import { useState } from "preact/hooks";
import type { MissRow, Report } from "../api/types";
import { Split } from "../charts/Split";
import { DataTable } from "../parts/DataTable";
import { CsvLink } from "../parts/Download";
import { memo } from "../parts/memo";
import { Sheet } from "../parts/Sheet";
import * as show from "../units/show";
import { widest } from "./OptionsModel";
import { OptionsRelaxation } from "./OptionsRelaxation";

/** OptionsWhyNot says what fell to which limit, and the smallest change that would let something through. */
export const OptionsWhyNot = memo(({ report }: { report: Report }) => {
  const [asked, setAsked] = useState<MissRow | null>(null);
  const joint = report.joint_miss;
  return (
    <>
      <Sheet
        title="Why not"
        note={`${show.count(report.options_that_fit)} of ${show.count(report.candidates)} candidates fit`}
        tools={<CsvLink table="falls" />}
      >
        <Falls report={report} />
        {report.space_not_proven > 0 && (
          <p class="remark">
            For {show.count(report.space_not_proven)} candidates neither a placing nor a proof against one was
            found; they count under space.
          </p>
        )}
        {report.sources
          .filter((s) => s.not_searched)
          .map((s) => (
            <p class="remark" key={s.name}>
              {s.name} was not searched: {s.not_searched}
            </p>
          ))}
      </Sheet>
      <Sheet
        title="Nearest misses"
        note="the smallest move of one limit that lets a pack through"
        tools={<CsvLink table="misses" />}
        wide
      >
        <div class="misses">
          <Misses list={report.nearest_misses} onAsk={setAsked} />
        </div>
        {joint && (
          <>
            <h3 class="sub">No single limit is enough; these together are</h3>
            <div class="misses">
              <Misses list={[joint]} onAsk={setAsked} />
            </div>
          </>
        )}
      </Sheet>
      {asked && <OptionsRelaxation miss={asked} onClose={() => setAsked(null)} />}
    </>
  );
});

function Falls({ report }: { report: Report }) {
  const most = widest(report.falls);
  return (
    <div class="falls">
      <DataTable
        caption="Candidates that fell to each limit"
        quiet
        rows={report.falls}
        rowKey={(f) => f.rule}
        sorted=""
        empty="nothing fell to any limit"
        columns={[
          {
            key: "subject",
            head: "Limit",
            cell: (f) => <span title={f.rule}>{f.subject}</span>,
            sort: (f) => f.subject,
          },
          {
            key: "alone",
            head: "Alone",
            figure: true,
            cell: (f) => show.count(f.alone),
            sort: (f) => f.alone,
          },
          {
            key: "others",
            head: "With others",
            figure: true,
            cell: (f) => show.count(f.with_others),
            sort: (f) => f.with_others,
          },
          {
            key: "bar",
            head: "Share of the most",
            cell: (f) => <Split shares={[f.alone / most, f.with_others / most]} />,
            sort: (f) => f.alone + f.with_others,
          },
        ]}
      />
      <ul class="key" aria-label="key of the bars">
        <li>
          <svg class="mark-key" width="22" height="12" aria-hidden="true">
            <rect class="dense" width="22" height="12" />
          </svg>{" "}
          fell to this limit alone
        </li>
        <li>
          <svg class="mark-key" width="22" height="12" aria-hidden="true">
            <rect class="light" width="22" height="12" />
          </svg>{" "}
          fell to it with others
        </li>
      </ul>
    </div>
  );
}

function Misses({ list, onAsk }: { list: readonly MissRow[]; onAsk(m: MissRow): void }) {
  return (
    <DataTable
      caption="Nearest misses"
      quiet
      rows={list}
      rowKey={(m) => `${m.option.id} ${m.limits.map((l) => l.rule).join(" ")}`}
      empty="no single move of a limit lets anything more through"
      columns={[
        {
          key: "move",
          head: "What would have to move",
          cell: (m) => <Move miss={m} />,
          sort: (m) => m.limits[0]?.subject ?? "",
        },
        {
          key: "by",
          head: "By",
          figure: true,
          cell: (m) => <By miss={m} />,
          sort: (m) => m.limits[0]?.share ?? 0,
        },
        { key: "option", head: "Lets through", cell: (m) => m.option.id, sort: (m) => m.option.id },
        {
          key: "range",
          head: "Range at most",
          figure: true,
          cell: (m) => show.distance(m.option.range_m),
          sort: (m) => m.option.range_m,
        },
        {
          key: "ask",
          head: "Try",
          cell: (m) => (
            <button
              type="button"
              class="button"
              onClick={() => onAsk(m)}
              aria-label={`What would this give: ${m.limits.map((l) => l.subject).join(" and ")}`}
            >
              What would this give
            </button>
          ),
        },
      ]}
    />
  );
}

function Move({ miss }: { miss: MissRow }) {
  return (
    <ul class="plain">
      {miss.limits.map((l) => {
        const [value, limit] = show.apart(l.value, l.limit);
        return (
          <li key={l.rule}>
            {l.subject}: {value} against {limit}
          </li>
        );
      })}
      {miss.bay_growth && (
        <li>
          {miss.bay_growth.bay}: more {miss.bay_growth.axis}
        </li>
      )}
    </ul>
  );
}

function By({ miss }: { miss: MissRow }) {
  if (miss.bay_growth) return <>{show.length(miss.bay_growth.by_m)}</>;
  return (
    <ul class="plain">
      {miss.limits.map((l) => (
        <li key={l.rule}>
          {show.figure(l.by)} ({show.percent(l.share)})
        </li>
      ))}
    </ul>
  );
}
