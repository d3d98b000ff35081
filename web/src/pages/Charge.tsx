// One charge: what the supply gives, what the pack takes, how long and for how much.

import { useMemo, useRef } from "preact/hooks";
import { address } from "../api/client";
import type { ChargeReply } from "../api/types";
import { standalone } from "../charts/picture";
import { TraceChart } from "../charts/TraceChart";
import { CsvLink, PictureLinks } from "../parts/Download";
import { Page, Sheet } from "../parts/Sheet";
import { Loaded } from "../parts/states";
import { units } from "../state/prefs";
import { useResource } from "../state/resource";
import { route, setQuery } from "../state/route";
import { currency, leading } from "../state/store";
import * as show from "../units/show";
import { ChargeFigures } from "./ChargeFigures";
import { type PanelWish, reader, traceSet } from "./DriveModel";
import { Examples, Life, NoOption, Wish } from "./Wish";
import "../charts/charts.css";
import "./Drive.css";
import "./Groups.css";

const SUPPLIES = [
  "230 V 10 A",
  "230 V 16 A",
  "230 V 32 A",
  "3 x 230 V 16 A",
  "3 x 230 V 32 A",
  "dc 50 kW 500 V 125 A",
];

const panels: readonly PanelWish[] = [
  {
    title: "power: from the supply in full line, into the pack in broken line",
    lines: [
      { key: "supply_power_w", name: "supply" },
      { key: "pack_power_w", name: "pack", broken: true },
    ],
  },
  { title: "current into the pack", lines: [{ key: "current_a", name: "current" }] },
  { title: "voltage of the pack", lines: [{ key: "voltage_v", name: "voltage" }] },
  { title: "voltage of the strongest group", lines: [{ key: "strongest_group_v", name: "strongest group" }] },
  { title: "charge of the group that empties first", lines: [{ key: "state_of_charge", name: "charge" }] },
  { title: "hottest group", lines: [{ key: "hottest_k", name: "hottest" }] },
];

const KEYS = ["supply", "from", "to", "cells", "price", "life", "still"] as const;
const USUAL = "230 V 16 A";

export default function Charge() {
  const q = route.value.query;
  const option = q.get("option") ?? "";
  const shown = option || leading.value;
  const supply = q.get("supply") || USUAL;
  if (!shown) return <NoOption page="Charge" what="charged" />;
  const query: Record<string, string> = { option };
  for (const k of KEYS) query[k] = q.get(k) ?? "";
  const want = (t: string) => setQuery("supply", t === USUAL || t === "" ? null : t);
  return (
    <Page title="Charge" lead={shown}>
      <fieldset class="chooser">
        <legend class="only-read">What is charged from, and how far</legend>
        <Examples label="Supply" now={supply} list={SUPPLIES} onPick={want} />
        <Wish key={supply} label="or typed" size="long" now={supply} onSend={want} />
        {(
          [
            ["from", "From", "0 %"],
            ["to", "To", "100 %"],
            ["cells", "Cells at the start", "ambient"],
            ["price", `Price of a kWh, ${currency.value || "money"}`, "none"],
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
        <Life end={query.life === "end"} onEnd={(end) => setQuery("life", end ? "end" : null)} />
        <label>
          Temperatures
          <select
            value={query.still === "1" ? "still" : "along"}
            onChange={(e) => setQuery("still", e.currentTarget.value === "still" ? "1" : null)}
          >
            <option value="along">stepped along</option>
            <option value="still">stay as they are</option>
          </select>
        </label>
      </fieldset>
      <p class="quiet">
        Charges are shares of what you use: 0 % is the charge floor, 100 % the charge to which the pack is
        filled. A supply is volts to neutral and amperes, three phases with “3 x” in front, or a station with
        direct current as power, highest voltage and current.
      </p>
      <Fill key={address("", query)} query={query} />
    </Page>
  );
}

function Fill({ query }: { query: Record<string, string> }) {
  const reply = useResource<ChargeReply>(address("/api/charge", query), ["change", "assessed"]);
  return (
    <Loaded of={reply} what="filling the pack">
      {(d) => (
        <div class="run">
          <ChargeFigures run={d.run} />
          {d.run.ran && <Traces of={d} query={query} />}
        </div>
      )}
    </Loaded>
  );
}

function Traces({ of: d, query }: { of: ChargeReply; query: Record<string, string> }) {
  const box = useRef<HTMLDivElement>(null);
  const system = units.value;
  const set = useMemo(() => traceSet(d.columns, "time", panels, show.scale, "charge"), [d, system]);
  const read = useMemo(() => reader(d.columns, show.scale), [d, system]);
  return (
    <Sheet
      title="The charge over time"
      note={`${show.count(d.rows)} steps`}
      wide
      tools={
        <>
          <CsvLink table="charge" query={address("", query)} label="charge as CSV" />
          <PictureLinks
            svg={() => standalone(box.current?.querySelector("svg[data-picture]") as SVGSVGElement)}
            name="charge"
          />
        </>
      }
    >
      <div ref={box}>
        {set && (
          <TraceChart title={`${d.run.supply}, ${d.run.life}, ${d.run.option}`} set={set} figures={read} />
        )}
      </div>
    </Sheet>
  );
}
