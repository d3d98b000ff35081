import { useEffect, useMemo, useRef, useState } from "preact/hooks";
import { address } from "../api/client";
import type { Drive } from "../api/types";
import { standalone } from "../charts/picture";
import { TraceChart } from "../charts/TraceChart";
import { bucketsFor, type Span } from "../charts/windows";
import { CsvLink, PictureLinks } from "../parts/Download";
import { Sheet } from "../parts/Sheet";
import { units } from "../state/prefs";
import * as show from "../units/show";
import { type Along, reader, runPanels, traceSet } from "./DriveModel";

interface Props {
  drive: Drive;
  query: Record<string, string>;
  along: Along;
  onAlong(a: Along): void;
  /** told how many buckets the part on the sheet needs */
  onBuckets(n: number): void;
}

/** about one bucket per px of a wide sheet */
export const BUCKETS = 1500;
export const BUCKETS_MOST = 20_000;

/** DriveTraces shows a run step by step, over time or distance; what is zoomed in on is fetched finer. */
export function DriveTraces({ drive, query, along, onAlong, onBuckets }: Props) {
  const box = useRef<HTMLDivElement>(null);
  const system = units.value;
  const set = useMemo(
    () => traceSet(drive.columns, along, runPanels, show.scale, `run-${along}`),
    [drive, along, system],
  );
  const read = useMemo(() => reader(drive.columns, show.scale), [drive, system]);
  const finer = useSettled<number>(onBuckets);
  const onSpan = (span: Span, whole: Span) => {
    if (drive.buckets > 0) finer(bucketsFor(span, whole, BUCKETS, Math.min(BUCKETS_MOST, drive.rows)));
  };
  const title = `${drive.run.schedule}, ${drive.run.life}, ${drive.run.option}`;
  return (
    <Sheet
      title="The run"
      note={`${show.count(drive.rows)} steps${drive.buckets > 0 ? `, least and greatest of each of ${show.count(drive.buckets)} parts` : ""}`}
      wide
      tools={
        <>
          <CsvLink table="trace" query={address("", query)} label="trace as CSV" />
          <PictureLinks
            svg={() => standalone(box.current?.querySelector("svg[data-picture]") as SVGSVGElement)}
            name={`run-${drive.run.schedule}`}
          />
        </>
      }
    >
      <fieldset class="switch">
        <legend class="only-read">Drawn along</legend>
        {(["time", "distance"] as const).map((a) => (
          <label key={a}>
            <input type="radio" name="along" checked={along === a} onChange={() => onAlong(a)} />
            along the {a}
          </label>
        ))}
      </fieldset>
      <div ref={box}>{set && <TraceChart title={title} set={set} figures={read} onSpan={onSpan} />}</div>
      <p class="quiet">
        Speed: driven in full line, wanted in broken line. Power and current are negative while braking
        charges the pack.
      </p>
    </Sheet>
  );
}

/** useSettled calls back with the last value once nothing new came for a quarter of a second. */
export function useSettled<T>(call: (value: T) => void): (value: T) => void {
  const [value, setValue] = useState<{ of: T } | null>(null);
  useEffect(() => {
    if (!value) return;
    const timer = setTimeout(() => call(value.of), 250);
    return () => clearTimeout(timer);
  }, [value]);
  return (of) => setValue({ of });
}
