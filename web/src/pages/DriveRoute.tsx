import { useMemo, useRef } from "preact/hooks";
import { address } from "../api/client";
import type { Profile } from "../api/types";
import { standalone } from "../charts/picture";
import { TraceChart } from "../charts/TraceChart";
import { CsvLink, PictureLinks } from "../parts/Download";
import { Sheet } from "../parts/Sheet";
import { Loaded } from "../parts/states";
import { units } from "../state/prefs";
import { useResource } from "../state/resource";
import * as show from "../units/show";
import { flat, profilePanels, reader, traceSet } from "./DriveModel";

/** DriveRoute shows the schedule or route by itself: elevation and speed along the way. */
export function DriveRoute({ schedule }: { schedule: string }) {
  const box = useRef<HTMLDivElement>(null);
  const query = address("", { schedule });
  const reply = useResource<Profile>(`/api/profile${query}`, ["change"]);
  return (
    <Sheet
      title="The way"
      note={reply.data?.schedule.title ?? schedule}
      wide
      tools={
        <>
          <CsvLink table="profile" query={query} />
          <PictureLinks
            svg={() => standalone(box.current?.querySelector("svg[data-picture]") as SVGSVGElement)}
            name="way"
          />
        </>
      }
    >
      <div ref={box}>
        <Loaded of={reply} what="reading the schedule">
          {(p) => <Way p={p} />}
        </Loaded>
      </div>
    </Sheet>
  );
}

function Way({ p }: { p: Profile }) {
  const system = units.value;
  const level = p.columns.some((c) => c.key === "elevation_m" && flat(c));
  const wishes = level ? profilePanels.filter((w) => w.title === "speed") : profilePanels;
  const along = level ? "time" : "distance";
  const set = useMemo(() => traceSet(p.columns, along, wishes, show.scale, "way"), [p, system]);
  const read = useMemo(() => reader(p.columns, show.scale), [p, system]);
  const s = p.schedule;
  return (
    <>
      <p>
        {show.distance(s.distance_m)} in {show.time(s.duration_s)}, {show.speed(s.mean_m_per_s)} on average,{" "}
        {show.speed(s.max_m_per_s)} at most, {s.stops === 1 ? "one stop" : `${show.count(s.stops)} stops`}
        {s.climb_m > 0 ? `, ${show.length(s.climb_m)} of climb` : ", level"}. {s.source_title}
      </p>
      {p.notes.map((n) => (
        <p class="quiet" key={n}>
          {n}
        </p>
      ))}
      {set && <TraceChart title={s.title} set={set} figures={read} />}
    </>
  );
}
