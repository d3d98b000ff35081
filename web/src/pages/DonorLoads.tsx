// Axle and wheel loads in every state of the vehicle, against its ratings.

import type { ComponentChildren } from "preact";
import { useRef } from "preact/hooks";
import type { Donor, Finding, StateLine } from "../api/types";
import { CsvLink } from "../parts/Download";
import { explain } from "../parts/Explained";
import { Sheet } from "../parts/Sheet";
import * as show from "../units/show";

type LoadKey = Exclude<keyof StateLine, "name" | "cg_m">;

interface LoadColumn {
  key: LoadKey;
  head: string;
  rating: (d: Donor) => number;
  /** Rule and subject of the finding that is about this column. */
  rule: RegExp;
}

const columns: readonly LoadColumn[] = [
  { key: "mass_kg", head: "Mass", rating: (d) => d.ratings.gross_kg, rule: /^mass\.gross/ },
  {
    key: "axle_front_kg",
    head: "Front axle",
    rating: (d) => d.ratings.axle_front_kg,
    rule: /^mass\.axle\.front/,
  },
  {
    key: "axle_rear_kg",
    head: "Rear axle",
    rating: (d) => d.ratings.axle_rear_kg,
    rule: /^mass\.axle\.rear/,
  },
  {
    key: "wheel_front_left_kg",
    head: "Front left",
    rating: (d) => d.ratings.tyre_front_kg,
    rule: /^mass\.tyre\.front.*left tyre/,
  },
  {
    key: "wheel_front_right_kg",
    head: "Front right",
    rating: (d) => d.ratings.tyre_front_kg,
    rule: /^mass\.tyre\.front.*right tyre/,
  },
  {
    key: "wheel_rear_left_kg",
    head: "Rear left",
    rating: (d) => d.ratings.tyre_rear_kg,
    rule: /^mass\.tyre\.rear.*left tyre/,
  },
  {
    key: "wheel_rear_right_kg",
    head: "Rear right",
    rating: (d) => d.ratings.tyre_rear_kg,
    rule: /^mass\.tyre\.rear.*right tyre/,
  },
];

/** The value before the last change of it, to show how far it moved. */
function useBefore(states: readonly StateLine[], revision: number): Map<string, number> {
  const kept = useRef<{ revision: number; now: Map<string, number>; before: Map<string, number> }>({
    revision: -1,
    now: new Map(),
    before: new Map(),
  });
  if (kept.current.revision !== revision) {
    const now = new Map<string, number>();
    for (const s of states) for (const c of columns) now.set(`${s.name} ${c.key}`, s[c.key]);
    kept.current = { revision, now, before: kept.current.now };
  }
  return kept.current.before;
}

function Bar({ share }: { share: number }) {
  return (
    <svg class="bar" viewBox="0 0 100 6" preserveAspectRatio="none" aria-hidden="true">
      <rect class="bar-limit" x="0" y="0" width="100" height="6" />
      <rect class="bar-used" x="0" y="0" width={Math.min(share, 1) * 100} height="6" />
      {share > 1 ? (
        <rect class="bar-beyond" x={100 / share} y="0" width={100 - 100 / share} height="6" />
      ) : null}
    </svg>
  );
}

interface CellProps {
  value: number;
  rating: number;
  moved: string;
  finding: Finding | undefined;
  children: ComponentChildren;
}

function LoadCell({ value, rating, moved, finding, children }: CellProps) {
  const broken = finding?.severity === "failure";
  return (
    <td class={broken ? "figure is-beyond" : "figure"}>
      {finding ? (
        <button type="button" class="explained" onClick={() => explain({ kind: "finding", finding })}>
          {children}
        </button>
      ) : (
        children
      )}
      <span class="moved">{broken ? "over its rating" : moved}</span>
      {rating > 0 ? <Bar share={value / rating} /> : <span class="bar" />}
    </td>
  );
}

export function DonorLoads({ donor }: { donor: Donor }) {
  const before = useBefore(donor.states, donor.revision);
  const m = show.scale(
    "mass",
    donor.states.map((s) => s.mass_kg),
  );
  const x = show.scale(
    "length",
    donor.states.flatMap((s) => s.cg_m),
    4,
  );
  const moved = (s: StateLine, c: LoadColumn) => {
    const was = before.get(`${s.name} ${c.key}`);
    if (was === undefined) return "";
    const text = show.signed(m.text(s[c.key] - was));
    return Number.isFinite(was) && m.text(s[c.key]) !== m.text(was) ? text : "";
  };
  return (
    <Sheet
      title="Loads"
      note={
        donor.option === "" ? "no option yet: the vehicle without a pack" : `with the pack ${donor.option}`
      }
      tools={
        <CsvLink
          table="states"
          query={donor.option === "" ? "" : `?option=${encodeURIComponent(donor.option)}`}
        />
      }
      wide
    >
      <div class="table-wrap">
        <table class="table loads">
          <caption class="only-read">Axle and wheel loads of each state, with the ratings</caption>
          <thead>
            <tr>
              <th scope="col">State</th>
              {columns.map((c) => (
                <th key={c.key} scope="col" class="figure">
                  {c.head}
                  <span class="unit">{m.unit}</span>
                </th>
              ))}
              {["x", "y", "z"].map((a) => (
                <th key={a} scope="col" class="figure" title="centre of gravity">
                  CG {a}
                  <span class="unit">{x.unit}</span>
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {donor.states.map((s) => {
              const findings = donor.findings.find((f) => f.state === s.name)?.findings ?? [];
              return (
                <tr key={s.name}>
                  <th scope="row">{s.name}</th>
                  {columns.map((c) => (
                    <LoadCell
                      key={c.key}
                      value={s[c.key]}
                      rating={c.rating(donor)}
                      moved={moved(s, c)}
                      finding={findings.find((f) => c.rule.test(`${f.rule} ${f.subject}`))}
                    >
                      {m.text(s[c.key])}
                    </LoadCell>
                  ))}
                  {s.cg_m.map((v, i) => (
                    <td key={["x", "y", "z"][i]} class="figure">
                      {x.text(v)}
                    </td>
                  ))}
                </tr>
              );
            })}
          </tbody>
          <tfoot>
            <tr>
              <th scope="row">rating</th>
              {columns.map((c) => (
                <td key={c.key} class="figure">
                  {c.rating(donor) > 0 ? m.text(c.rating(donor)) : "not stated"}
                </td>
              ))}
              <td colSpan={3} />
            </tr>
          </tfoot>
        </table>
      </div>
    </Sheet>
  );
}
