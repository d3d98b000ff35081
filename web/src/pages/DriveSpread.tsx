// How sure the range is: P10, P50 and P90 over what was given with a spread, and
// which input makes most of it. A few draws tell it roughly at once; more follow until the shares have settled.

import { useEffect, useRef, useState } from "preact/hooks";
import { aborted, address, type Fault, faultOf, get } from "../api/client";
import type { RangeReport, SpreadReply } from "../api/types";
import { CsvLink } from "../parts/Download";
import { Sheet } from "../parts/Sheet";
import { FaultNote } from "../parts/states";
import { revision } from "../state/store";
import { SpreadFigures } from "./DriveSpreadFigures";

/** Samples asked for one after the other; the last is where shares are usually settled. */
const STEPS = [64, 512];

interface Study {
  report: RangeReport | null;
  samples: number;
  /** what is being drawn now; 0: nothing */
  drawing: number;
  fault: Fault | null;
  of: number;
}

const nothing: Study = { report: null, samples: 0, drawing: 0, fault: null, of: -1 };

interface Props {
  option: string;
  schedule: string;
  life: "new" | "end";
}

/** DriveSpread draws when it is asked to: it is thousands of runs. */
export function DriveSpread(props: Props) {
  return <Study key={`${props.option} ${props.schedule} ${props.life}`} {...props} />;
}

function Study({ option, schedule, life }: Props) {
  const [study, setStudy] = useState(nothing);
  const asked = useRef<AbortController | null>(null);
  useEffect(() => () => asked.current?.abort(), []);
  const query = { option, schedule, life };
  const stop = () => {
    asked.current?.abort();
    setStudy((s) => ({ ...s, drawing: 0 }));
  };
  const draw = async () => {
    asked.current?.abort();
    const mine = new AbortController();
    asked.current = mine;
    const of = revision.value;
    setStudy((s) => ({ ...s, fault: null, drawing: STEPS[0] ?? 0 }));
    for (const samples of STEPS) {
      setStudy((s) => ({ ...s, drawing: samples }));
      try {
        const r = await get<SpreadReply>(address("/api/spread", { ...query, samples }), mine.signal);
        if (mine.signal.aborted) return;
        setStudy((s) => ({ ...s, report: r.report, samples, of }));
        if (!r.report?.spread?.inputs.length) break; // nothing to draw
      } catch (e) {
        if (!aborted(e)) setStudy((s) => ({ ...s, drawing: 0, fault: faultOf(e) }));
        return;
      }
    }
    setStudy((s) => ({ ...s, drawing: 0 }));
  };
  const old = study.report !== null && study.of !== revision.value && study.drawing === 0;
  const last = STEPS.at(-1) ?? 1;
  return (
    <Sheet
      title="How sure the range is"
      note={`${schedule}, ${life === "end" ? "at the end of life" : "as bought"}, every cell alike`}
      wide
      tools={
        study.report?.spread && study.report.spread.inputs.length > 0 ? (
          <CsvLink
            table="spread"
            query={address("", { ...query, samples: study.samples })}
            label="draws as CSV"
          />
        ) : undefined
      }
    >
      <div class="draws" aria-live="polite">
        {study.drawing > 0 ? (
          <>
            <progress max={last} value={study.samples} aria-label="samples drawn" />
            <span>
              drawing {study.drawing} samples of {last} …
            </span>
            <button type="button" class="button" onClick={stop}>
              Stop
            </button>
          </>
        ) : (
          <button type="button" class="button" onClick={() => void draw()}>
            {study.report === null ? "Draw the uncertain inputs" : "Draw anew"}
          </button>
        )}
        {study.report === null && study.drawing === 0 && (
          <span class="quiet">
            Runs the schedule some thousand times, with each input that was given with ± or as a range drawn
            anew.
          </span>
        )}
        {old && <span class="quiet">The project has changed since these were drawn.</span>}
      </div>
      {study.fault && <FaultNote fault={study.fault} again={() => void draw()} />}
      {study.report && <SpreadFigures of={study.report} />}
    </Sheet>
  );
}
