import type { Drawn, Figure, RangeReport, SpreadOutcome, SpreadResult, SpreadShare } from "../api/types";
import { DataTable } from "../parts/DataTable";
import { Findings } from "../parts/Findings";
import * as show from "../units/show";

/** A figure of a run, distances as distances. */
const text = (f: Figure) => show.figure(f);

/** A share of the variance; less than none is the error of the estimate. */
const share = (x: number) => show.fixed(100 * Math.max(0, x), 1);

/** The largest standard error; that of a temperature is a difference. */
const error = (o: SpreadOutcome) => {
  const si = Math.max(o.p10.standard_error_si, o.p50.standard_error_si, o.p90.standard_error_si);
  if (o.p50.value.noun === "temperature") return show.text("temperature difference", si);
  return text({ ...o.p50.value, si });
};

/** Figures with what they are as stated. */
const rows = (s: SpreadResult | null | undefined, stated: readonly Figure[] | undefined) =>
  (s?.figures ?? []).map((o, i) => ({ o, stated: stated?.[i] }));

/** SpreadFigures is what a study found. */
export function SpreadFigures({ of: r }: { of: RangeReport }) {
  const s = r.spread;
  if (!s || s.inputs.length === 0) {
    return (
      <>
        <p>
          No input of this run was given with a spread. Write one as 0.42 ± 0.03, 142 kg ± 2 kg max or 10…18
          °C in any field, and it is drawn.
        </p>
        <NotDrawn of={r} />
      </>
    );
  }
  return (
    <div class="spread">
      <p class="quiet">
        {show.count(s.runs_count)} runs of {s.inputs.length} inputs, seed {s.seed}. P10 is not exceeded in 10
        of 100 draws, P90 in 90; ± is the largest standard error of the three.
      </p>
      <DataTable
        caption="How sure the figures are"
        quiet
        rows={[...rows(s, r.at_stated_values), ...rows(r.pack?.spread, r.pack?.at_stated_values)]}
        rowKey={({ o }) => o.figure}
        columns={[
          { key: "figure", head: "Figure", cell: ({ o }) => o.figure },
          {
            key: "stated",
            head: "As stated",
            figure: true,
            cell: ({ stated }) => (stated ? text(stated) : "–"),
          },
          { key: "p10", head: "P10", figure: true, cell: ({ o }) => text(o.p10.value) },
          { key: "p50", head: "P50", figure: true, cell: ({ o }) => text(o.p50.value) },
          { key: "p90", head: "P90", figure: true, cell: ({ o }) => text(o.p90.value) },
          { key: "error", head: "±", figure: true, cell: ({ o }) => error(o) },
        ]}
      />
      {r.target && (
        <p>
          The wanted {show.distance(r.target.wanted_m)} are reached in {show.percent(r.target.reached_share)}{" "}
          of the draws.
        </p>
      )}
      {r.pack?.spread && (
        <p class="quiet">
          Hottest cell and charge, from {r.pack.supply}, in {show.count(r.pack.spread.runs_count)} runs:{" "}
          {r.pack.fidelity}.
        </p>
      )}
      {r.pack?.left_out.map((why) => (
        <p class="quiet" key={why}>
          Left out: {why}
        </p>
      ))}
      <Causes of={s.figures[0]} inputs={s.inputs} />
      {r.pack?.spread?.figures.map((o) => (
        <Causes key={o.figure} of={o} inputs={s.inputs} />
      ))}
      {[s.figures[0], ...(r.pack?.spread?.figures ?? [])].map((o) => (
        <Settled key={o?.figure} of={o} />
      ))}
      <NotDrawn of={r} />
      {r.findings.length > 0 && <Findings list={r.findings} caption="Findings on the spread" />}
    </div>
  );
}

const stated = (d: Drawn | undefined) =>
  !d ? "" : d.measured_count ? `${show.count(d.measured_count)} measured values` : d.text;

/** Bars of the first-order and total share of each input. */
function Causes({ of: range, inputs }: { of: SpreadOutcome | undefined; inputs: readonly Drawn[] }) {
  if (!range || range.shares.length === 0) return null;
  const together = 1 - range.shares.reduce((sum, x) => sum + x.first_order_share, 0);
  return (
    <>
      <h3 class="sub">Where the spread of the {range.figure} comes from</h3>
      <DataTable
        caption={`Shares of the variance of the ${range.figure}`}
        quiet
        rows={range.shares}
        rowKey={(x) => x.input}
        most={12}
        columns={[
          { key: "input", head: "Input", cell: (x) => x.input },
          { key: "text", head: "Stated", cell: (x) => stated(inputs.find((i) => i.input === x.input)) },
          { key: "bars", head: "Filled: first-order, outlined: total", cell: (x) => <Bars of={x} /> },
          {
            key: "first",
            head: "First-order",
            unit: "%",
            figure: true,
            cell: (x) => share(x.first_order_share),
            sort: (x) => x.first_order_share,
          },
          {
            key: "total",
            head: "Total",
            unit: "%",
            figure: true,
            cell: (x) => share(x.total_share),
            sort: (x) => x.total_share,
          },
          {
            key: "error",
            head: "± error",
            unit: "%",
            figure: true,
            cell: (x) => share(Math.max(x.error_of_first_order_share, x.error_of_total_share)),
          },
        ]}
      />
      <p class="quiet">
        First-order: what knowing the input would take away of the variance. Total: what would be left if all
        the others were known. What inputs do together only: {share(together)} %.
      </p>
    </>
  );
}

function Bars({ of: x }: { of: SpreadShare }) {
  const width = (v: number) => `${100 * Math.min(1, Math.max(0, v))}%`;
  return (
    <svg class="share-bars" height="22" aria-hidden="true">
      <rect class="first" x="0" y="2" height="8" width={width(x.first_order_share)} />
      <rect class="total" x="0.5" y="12.5" height="7" width={width(x.total_share)} />
      <line class="scale" x1="0.5" x2="0.5" y1="0" y2="22" />
    </svg>
  );
}

/** How the figures moved while the samples were doubled. */
function Settled({ of: range }: { of: SpreadOutcome | undefined }) {
  const first = range?.shares[0];
  if (!range || !first || range.convergence.length < 2) return null;
  return (
    <details>
      <summary>How the {range.figure} settled</summary>
      <DataTable
        caption={`How the ${range.figure} settled`}
        quiet
        rows={range.convergence}
        rowKey={(x) => String(x.samples_count)}
        columns={[
          { key: "samples", head: "Samples", figure: true, cell: (x) => show.count(x.samples_count) },
          { key: "p10", head: "P10", figure: true, cell: (x) => text(x.p10) },
          { key: "p50", head: "P50", figure: true, cell: (x) => text(x.p50) },
          { key: "p90", head: "P90", figure: true, cell: (x) => text(x.p90) },
          {
            key: "first",
            head: `First-order share of ${first.input}`,
            unit: "%",
            figure: true,
            cell: (x) => share(x.first_order_share[0] ?? 0),
          },
          { key: "total", head: "Total", unit: "%", figure: true, cell: (x) => share(x.total_share[0] ?? 0) },
        ]}
      />
    </details>
  );
}

function NotDrawn({ of: r }: { of: RangeReport }) {
  if (r.stated_spreads_not_drawn.length === 0) return null;
  return (
    <details>
      <summary>
        {r.stated_spreads_not_drawn.length === 1
          ? "1 stated spread does not enter this run"
          : `${r.stated_spreads_not_drawn.length} stated spreads do not enter this run`}
      </summary>
      <DataTable
        caption="Stated, and not drawn"
        quiet
        rows={r.stated_spreads_not_drawn}
        rowKey={(u) => u.input}
        columns={[
          { key: "input", head: "Input", cell: (u) => u.input },
          { key: "text", head: "Stated", cell: (u) => u.text },
          { key: "why", head: "Why not", cell: (u) => u.why },
        ]}
      />
    </details>
  );
}
