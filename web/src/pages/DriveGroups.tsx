// One run with every series group by itself: who is weakest, who limited what and
// when, and all groups in their places.

import { useMemo, useRef, useState } from "preact/hooks";
import { address } from "../api/client";
import type { GroupsReply } from "../api/types";
import { standalone } from "../charts/picture";
import { TraceChart } from "../charts/TraceChart";
import { bucketsFor } from "../charts/windows";
import { CsvLink, PictureLinks } from "../parts/Download";
import { Sheet } from "../parts/Sheet";
import { Loaded } from "../parts/states";
import { units } from "../state/prefs";
import { useLast, useResource } from "../state/resource";
import { route, setQuery } from "../state/route";
import * as show from "../units/show";
import { GroupRunFigures } from "./DriveGroupsFigures";
import { type PanelWish, reader, traceSet } from "./DriveModel";
import { BUCKETS, BUCKETS_MOST, useSettled } from "./DriveTraces";
import { GroupsPicture } from "./GroupsPicture";
import { ends, nearest, row } from "./groupsLayout";
import { Wish } from "./Wish";
import "./Groups.css";

const panels: readonly PanelWish[] = [
  {
    title: "speed: driven in full line, wanted in broken line",
    lines: [
      { key: "speed_m_per_s", name: "driven" },
      { key: "speed_wanted_m_per_s", name: "wanted", broken: true },
    ],
  },
  { title: "power at the terminals", lines: [{ key: "terminal_power_w", name: "power" }] },
  {
    title: "voltage of the groups: weakest in full line, strongest in broken line",
    lines: [
      { key: "weakest_group_v", name: "weakest" },
      { key: "strongest_group_v", name: "strongest", broken: true },
    ],
  },
  {
    title: "temperature of the groups: hottest in full line, coldest in broken line",
    lines: [
      { key: "hottest_k", name: "hottest" },
      { key: "coldest_k", name: "coldest", broken: true },
    ],
  },
  { title: "heat of the cells", lines: [{ key: "cell_heat_w", name: "heat" }] },
  { title: "state of charge", lines: [{ key: "state_of_charge", name: "charge" }] },
];

/** V: voltages move together over a run by far more than groups differ, so ink shows the groups against one another, no finer than this. */
const VOLTAGE_LEAST = 0.01;

/** DriveGroups drives the wish group by group. */
export function DriveGroups({ query }: { query: Record<string, string> }) {
  const q = route.value.query;
  const asked: Record<string, string> = { ...query };
  const draw = q.get("draw");
  if (draw !== null) asked.draw = draw;
  if (q.get("still") === "1") asked.still = "1";
  const [points, setPoints] = useState(BUCKETS);
  const reply = useLast(
    useResource<GroupsReply>(address("/api/groups", { ...asked, points }), ["change", "assessed"]),
  );
  return (
    <>
      <fieldset class="chooser">
        <legend class="only-read">How the groups are taken</legend>
        <label>
          Groups
          <select
            value={draw === null ? "alike" : "drawn"}
            onChange={(e) => setQuery("draw", e.currentTarget.value === "drawn" ? "1" : null)}
          >
            <option value="alike">all alike at the start</option>
            <option value="drawn">drawn from what was stated of the source</option>
          </select>
        </label>
        {draw !== null && (
          <Wish key={draw} label="Seed" now={draw} onSend={(t) => setQuery("draw", t || null)} />
        )}
        <label>
          Temperatures
          <select
            value={asked.still ?? "0"}
            onChange={(e) => setQuery("still", e.currentTarget.value === "1" ? "1" : null)}
          >
            <option value="0">stepped along</option>
            <option value="1">stay at the ambient</option>
          </select>
        </label>
      </fieldset>
      <Loaded of={reply} what="driving every group by itself">
        {(d) => (
          <Found of={d} query={address("", asked)} onBuckets={(n) => setPoints((p) => Math.max(p, n))} />
        )}
      </Loaded>
    </>
  );
}

interface FoundProps {
  of: GroupsReply;
  query: string;
  onBuckets(n: number): void;
}

function Found({ of: d, query, onBuckets }: FoundProps) {
  const box = useRef<HTMLDivElement>(null);
  const [at, setAt] = useState<number | null>(null);
  const [noun, setNoun] = useState<"voltage" | "temperature">("voltage");
  const system = units.value;
  const set = useMemo(() => traceSet(d.columns, "time", panels, show.scale, "groups"), [d, system]);
  const read = useMemo(() => reader(d.columns, show.scale), [d, system]);
  const all = (noun === "voltage" ? d.views.voltage_v : d.views.temperature_k) ?? [];
  const lowest = useMemo(() => lowestView(d), [d]);
  const finer = useSettled<number>(onBuckets);
  const times = d.columns[0]?.values ?? [];
  const view = at === null ? lowest : nearest(d.views.time_s, times[at] ?? 0);
  const now = useMemo(() => row(all, d.views.groups, view), [all, view]);
  const when = `after ${show.text("time", d.views.time_s[view] ?? 0)}`;
  return (
    <div class="run">
      <GroupRunFigures of={d.report} query={query} />
      <Sheet
        title="The run, group by group"
        note={`${show.count(d.rows)} steps${d.buckets > 0 ? `, least and greatest of each of ${show.count(d.buckets)} parts` : ""}`}
        wide
        tools={
          <>
            <CsvLink table="groups" query={query} label="groups as CSV" />
            <PictureLinks
              svg={() => standalone(box.current?.querySelector("svg[data-picture]") as SVGSVGElement)}
              name={`groups-${d.report.run.schedule}`}
            />
          </>
        }
      >
        <div ref={box}>
          {set && (
            <TraceChart
              title={`${d.report.run.schedule}, ${d.report.run.life}, ${d.report.run.option}, group by group`}
              set={set}
              figures={read}
              onCursor={setAt}
              onSpan={(span, whole) => {
                if (d.buckets > 0) finer(bucketsFor(span, whole, BUCKETS, Math.min(BUCKETS_MOST, d.rows)));
              }}
            />
          )}
        </div>
      </Sheet>
      <Sheet title="Every group in its place" note="follows the cursor on the traces" wide>
        <fieldset class="switch">
          <legend class="only-read">Figure of each group</legend>
          {(["voltage", "temperature"] as const).map((n) => (
            <label key={n}>
              <input type="radio" name="group-figure" checked={noun === n} onChange={() => setNoun(n)} />
              {n}
            </label>
          ))}
        </fieldset>
        <GroupsPicture
          map={d.map}
          noun={noun}
          now={now}
          {...(noun === "voltage" ? { least: VOLTAGE_LEAST } : { all })}
          when={when}
        />
      </Sheet>
    </div>
  );
}

/** The view in which a group is lowest: what is shown before a cursor says otherwise. */
function lowestView(d: GroupsReply): number {
  const list = d.views.voltage_v ?? [];
  const [lo] = ends(list);
  return Math.max(0, Math.floor(list.indexOf(lo) / Math.max(1, d.views.groups)));
}
