// One run, step by step: what the vehicle did, what the pack gave, where the
// energy went, and how far the other schedules would take it.

import { useState } from "preact/hooks";
import { address } from "../api/client";
import type { Drive as Reply, Schedules } from "../api/types";
import { Page } from "../parts/Sheet";
import { Loaded } from "../parts/states";
import { useLast, useResource } from "../state/resource";
import { route, setQuery } from "../state/route";
import { headline, leading, notice, schedule } from "../state/store";
import { DriveChooser, type Wish } from "./DriveChooser";
import { DriveFigures } from "./DriveFigures";
import { DriveFlow } from "./DriveFlow";
import { DriveGroups } from "./DriveGroups";
import type { Along } from "./DriveModel";
import { DrivePace } from "./DrivePace";
import { DriveRanges } from "./DriveRanges";
import { DriveRoute } from "./DriveRoute";
import { DriveSpread } from "./DriveSpread";
import { BUCKETS, DriveTraces } from "./DriveTraces";
import { NoOption } from "./Wish";
import "../charts/charts.css";
import "./Options.css";
import "./Drive.css";

export default function Drive() {
  const q = route.value.query;
  const wanted = schedule.value;
  const option = q.get("option") ?? "";
  const wish: Wish = {
    schedule: q.get("schedule") || wanted,
    life: q.get("life") === "end" ? "end" : "new",
    once: q.get("once") === "1",
  };
  const along: Along = q.get("along") === "distance" ? "distance" : "time";
  const groups = q.get("groups") === "1";
  const schedules = useResource<Schedules>("/api/schedules", ["change"]);
  const set = (w: Partial<Wish>) => {
    if (w.schedule !== undefined) setQuery("schedule", w.schedule === wanted ? null : w.schedule);
    if (w.life !== undefined) setQuery("life", w.life === "end" ? "end" : null);
    if (w.once !== undefined) setQuery("once", w.once ? "1" : null);
  };
  const shown = option || leading.value;
  if (!shown) return <NoOption page="Drive" what="driven" />;
  return (
    <Page title="Drive" lead={<Which option={option} shown={shown} />}>
      <DriveChooser
        wish={wish}
        wanted={wanted}
        lines={schedules.data?.schedules ?? []}
        onWish={set}
        onUploaded={(id) => {
          schedules.reload();
          set({ schedule: id });
          notice.value = `${id} is among the routes`;
        }}
      />
      <Fidelity groups={groups} />
      <Run
        key={`${shown} ${wish.schedule} ${wish.life} ${wish.once}`}
        option={shown}
        wish={wish}
        along={along}
        groups={groups}
      />
      <DriveRanges
        option={shown}
        life={wish.life}
        now={wish.schedule}
        onPick={(schedule) => set({ schedule })}
      />
      <DriveSpread option={shown} schedule={wish.schedule} life={wish.life} />
      <DrivePace option={shown} life={wish.life} />
    </Page>
  );
}

function Which({ option, shown }: { option: string; shown: string }) {
  if (!option) return <>{shown}</>;
  return (
    <>
      {shown}, asked for by name;{" "}
      <a href="/drive">drive the {headline.value?.chosen ? "chosen" : "leading"} option</a> instead
    </>
  );
}

/** Fidelity is the choice between one cell for the whole pack and every group by itself. */
function Fidelity({ groups }: { groups: boolean }) {
  return (
    <fieldset class="switch">
      <legend class="only-read">How the pack is computed</legend>
      {(["every cell alike", "every group by itself"] as const).map((name, i) => (
        <label key={name}>
          <input
            type="radio"
            name="fidelity"
            checked={groups === (i === 1)}
            onChange={() => setQuery("groups", i === 1 ? "1" : null)}
          />
          {name}
        </label>
      ))}
    </fieldset>
  );
}

interface RunProps {
  option: string;
  wish: Wish;
  along: Along;
  groups: boolean;
}

function Run({ option, wish, along, groups }: RunProps) {
  const query: Record<string, string> = { option, schedule: wish.schedule };
  if (wish.life === "end") query.life = "end";
  if (wish.once) query.once = "1";
  if (groups) return <DriveGroups query={query} />;
  return <Lumped query={query} wish={wish} along={along} />;
}

function Lumped({ query, wish, along }: { query: Record<string, string>; wish: Wish; along: Along }) {
  const [points, setPoints] = useState(BUCKETS);
  const reply = useLast(
    useResource<Reply>(address("/api/drive", { ...query, points }), ["change", "assessed"]),
  );
  return (
    <Loaded of={reply} what="driving">
      {(d) => (
        <div class="run">
          <DriveTraces
            drive={d}
            query={query}
            along={along}
            onAlong={(a) => setQuery("along", a === "distance" ? "distance" : null)}
            onBuckets={(n) => setPoints((p) => Math.max(p, n))}
          />
          <DriveFlow drive={d} />
          <DriveFigures run={d.run} once={wish.once} />
          <DriveRoute schedule={wish.schedule} />
        </div>
      )}
    </Loaded>
  );
}
