// One duty, for its temperatures: the traces, every group in its place, the way
// of the coolant, and what came out.

import { useMemo, useRef, useState } from "preact/hooks";
import { address } from "../api/client";
import type { HeatReply } from "../api/types";
import { standalone } from "../charts/picture";
import { TraceChart } from "../charts/TraceChart";
import { CsvLink, PictureLinks } from "../parts/Download";
import { Page, Sheet } from "../parts/Sheet";
import { Loaded } from "../parts/states";
import { units } from "../state/prefs";
import { useResource } from "../state/resource";
import { route, setQuery } from "../state/route";
import { leading } from "../state/store";
import * as show from "../units/show";
import { type PanelWish, reader, traceSet } from "./DriveModel";
import { GroupsPicture } from "./GroupsPicture";
import { nearest, row } from "./groupsLayout";
import { HeatCoolant } from "./HeatCoolant";
import { HeatFigures } from "./HeatFigures";
import { Examples, Life, NoOption, Wish } from "./Wish";
import "../charts/charts.css";
import "./Drive.css";
import "./Groups.css";

const DUTIES = [
  "schedule",
  "grade 8 % at 50 km/h",
  "full power",
  "charge 100 A",
  "soak 12 h",
  "soak 12 h, preheat to 10 °C",
];

const panels: readonly PanelWish[] = [
  {
    title: "groups: hottest and coldest in full line, mean in broken line",
    lines: [
      { key: "hottest_k", name: "hottest" },
      { key: "coldest_k", name: "coldest" },
      { key: "mean_k", name: "mean", broken: true },
    ],
  },
  { title: "between hottest and coldest group", lines: [{ key: "spread_k", name: "spread" }] },
  {
    title: "coolant: into the first module in full line, out of the last in broken line",
    lines: [
      { key: "coolant_in_k", name: "in" },
      { key: "coolant_out_k", name: "out", broken: true },
    ],
  },
  { title: "coolant flow", lines: [{ key: "coolant_flow_m3_per_s", name: "flow" }] },
  {
    title: "power at the terminals: given in full line, asked in broken line",
    lines: [
      { key: "given_w", name: "given" },
      { key: "asked_w", name: "asked", broken: true },
    ],
  },
  { title: "pump, fan, heater and chiller", lines: [{ key: "cooling_load_w", name: "load" }] },
];

/** What a duty is asked for with, as the query of the page names it. */
const KEYS = ["duty", "ambient", "cells", "from", "for", "life"] as const;

export default function Heat() {
  const q = route.value.query;
  const option = q.get("option") ?? "";
  const shown = option || leading.value;
  const duty = q.get("duty") || "schedule";
  if (!shown) return <NoOption page="Heat" what="put through a duty" />;
  const query: Record<string, string> = { option };
  for (const k of KEYS) query[k] = q.get(k) ?? "";
  if (duty.startsWith("soak")) query.for = ""; // a soak says itself how long it lasts
  return (
    <Page title="Heat" lead={shown}>
      <fieldset class="chooser">
        <legend class="only-read">What the pack is put through</legend>
        <Examples
          label="Duty"
          now={duty}
          list={DUTIES}
          onPick={(d) => setQuery("duty", d === "schedule" ? null : d)}
        />
        <Wish
          key={duty}
          label="or typed"
          size="long"
          now={duty}
          onSend={(d) => setQuery("duty", d === "schedule" || d === "" ? null : d)}
        />
        {(
          [
            ["ambient", "Outside", duty.startsWith("soak") ? "coldest day" : "hottest day"],
            ["cells", "Pack at the start", duty.startsWith("soak") ? "20 °C" : "as outside"],
            ["from", "Charge at the start", duty.startsWith("charge") ? "10 %" : "full"],
          ] as const
        ).map(([key, label, usual]) => (
          <Wish
            key={`${key} ${q.get(key) ?? ""}`}
            label={label}
            now={q.get(key) ?? ""}
            placeholder={usual}
            onSend={(t) => setQuery(key, t || null)}
          />
        ))}
        {!duty.startsWith("soak") && (
          <Wish
            key={`for ${q.get("for") ?? ""}`}
            label="At most for"
            now={q.get("for") ?? ""}
            placeholder="2 h"
            onSend={(t) => setQuery("for", t || null)}
          />
        )}
        <Life end={query.life === "end"} onEnd={(end) => setQuery("life", end ? "end" : null)} />
      </fieldset>
      <Duty key={address("", query)} query={query} />
    </Page>
  );
}

function Duty({ query }: { query: Record<string, string> }) {
  const reply = useResource<HeatReply>(address("/api/heat", query), ["change", "assessed"]);
  return (
    <Loaded of={reply} what="putting the pack through the duty, every group by itself">
      {(d) => <Found of={d} query={query} />}
    </Loaded>
  );
}

function Found({ of: d, query }: { of: HeatReply; query: Record<string, string> }) {
  const box = useRef<HTMLDivElement>(null);
  const [at, setAt] = useState<number | null>(null);
  const system = units.value;
  const set = useMemo(() => traceSet(d.columns, "time", panels, show.scale, "heat"), [d, system]);
  const read = useMemo(() => reader(d.columns, show.scale), [d, system]);
  const times = d.columns[0]?.values ?? [];
  const time = at === null ? d.run.hottest.at_s : (times[at] ?? 0);
  const view = nearest(d.views.time_s, time);
  const all = d.views.temperature_k ?? [];
  const when = `after ${show.text("time", d.views.time_s[view] ?? 0)}${at === null ? ", at the hottest" : ""}`;
  return (
    <div class="run">
      <HeatFigures run={d.run} />
      <Sheet
        title="The duty over time"
        note={`${d.run.duty}, ${d.run.life}, every group by itself`}
        wide
        tools={
          <>
            <CsvLink table="heat" query={address("", query)} label="duty as CSV" />
            <PictureLinks
              svg={() => standalone(box.current?.querySelector("svg[data-picture]") as SVGSVGElement)}
              name="heat"
            />
          </>
        }
      >
        <div ref={box}>
          {set && (
            <TraceChart
              title={`${d.run.duty}, ${d.run.life}, ${d.run.option}`}
              set={set}
              figures={read}
              onCursor={setAt}
            />
          )}
        </div>
      </Sheet>
      <Sheet
        title="Every group in its place"
        note="follows the cursor on the traces"
        wide
        tools={<CsvLink table="heat-groups" query={address("", query)} label="groups as CSV" />}
      >
        <GroupsPicture
          map={d.map}
          noun="temperature"
          now={row(all, d.views.groups, view)}
          all={all}
          when={when}
        />
      </Sheet>
      <Sheet
        title="The way of the coolant"
        note={d.coolant ? `${d.coolant.fluid}; pump ${d.coolant.pump}` : "passive pack"}
        wide
      >
        {d.coolant ? (
          <HeatCoolant of={d.coolant} view={nearest(d.coolant.time_s, time)} when={when} />
        ) : (
          <p>
            There is none: the modules give their heat to their boxes and these to the air. Plates are stated
            in the project under <code>cooling</code>.
          </p>
        )}
      </Sheet>
    </div>
  );
}
