// The high-voltage circuit: what was chosen and why, who opens what, and what is open.

import { address } from "../api/client";
import type { Cable, Choice, CircuitReply, CircuitReport, FaultSpan } from "../api/types";
import { DataTable } from "../parts/DataTable";
import { Explained } from "../parts/Explained";
import { Findings } from "../parts/Findings";
import { Picture, pictureAddress } from "../parts/Picture";
import { Page, Sheet } from "../parts/Sheet";
import { Loaded } from "../parts/states";
import { useResource } from "../state/resource";
import { route } from "../state/route";
import { leading } from "../state/store";
import * as show from "../units/show";
import { Acknowledge } from "./CircuitAcknowledge";
import { NoOption } from "./Wish";
import "./Drive.css";
import "./Circuit.css";

export default function Circuit() {
  const option = route.value.query.get("option") ?? "";
  const shown = option || leading.value;
  if (!shown) return <NoOption page="Circuit" what="wired" />;
  return (
    <Page title="Circuit" lead={shown}>
      <Wired key={option} option={option} />
    </Page>
  );
}

function Wired({ option }: { option: string }) {
  const reply = useResource<CircuitReply>(address("/api/circuit", { option }), ["change", "assessed"]);
  return (
    <Loaded of={reply} what="choosing the parts of the circuit">
      {({ circuit }) =>
        circuit && (
          <div class="run">
            <Parts of={circuit} />
            <Sheet
              title="Who opens what"
              note="one string"
              wide
              tools={
                <>
                  <a
                    class="take"
                    href={pictureAddress("time-current", { option })}
                    download="time-current.svg"
                  >
                    SVG
                  </a>
                  <a
                    class="take"
                    href={address("/api/pictures/time-current.pdf", { option })}
                    download="time-current.pdf"
                  >
                    PDF
                  </a>
                </>
              }
            >
              <Picture
                name="time-current"
                query={{ option }}
                label="Time over current of fuse, cable and contactor, with what flows in service and the range of faults"
              />
            </Sheet>
            <Said of={circuit} />
            <Faults list={circuit.faults} />
            <Cables list={circuit.cables} />
            <Sheet title="Cautions" wide>
              <ul class="cautions">
                {circuit.cautions.map((c) => (
                  <li key={c}>{c}</li>
                ))}
              </ul>
            </Sheet>
          </div>
        )
      }
    </Loaded>
  );
}

/** The margins of the findings about a choice: the least says how near it is. */
function least(c: Choice): string {
  const held = c.findings.filter((f) => f.limit.si !== 0);
  if (held.length === 0) return "";
  const m = Math.min(...held.map((f) => f.margin));
  return m < 0 ? `${show.percent(-m)} beyond` : `${show.percent(m)} left`;
}

function Workings({ of: c }: { of: Choice }) {
  if (c.workings.length === 0) return null;
  return (
    <ul class="worked">
      {c.workings.map((w) => (
        <li key={w.name}>
          <span>{w.name}</span>
          <Explained of={{ kind: "given", title: `${c.subject}: ${w.name}`, working: w }}>
            {show.figure(w.result)}
          </Explained>
        </li>
      ))}
    </ul>
  );
}

function Parts({ of: c }: { of: CircuitReport }) {
  return (
    <Sheet title="Parts" note={`${c.topology}, ${c.verdict}`} wide>
      <DataTable
        caption="Parts of the circuit, each with how it was worked out"
        quiet
        rows={c.items}
        rowKey={(x) => x.subject}
        rowClass={(x) => (x.none ? "finding-failure" : "")}
        columns={[
          { key: "for", head: "For", cell: (x) => x.subject },
          { key: "part", head: "Part", cell: (x) => x.none || x.title || "–" },
          {
            key: "count",
            head: "Number",
            figure: true,
            cell: (x) => (x.count > 0 ? show.count(x.count) : ""),
          },
          { key: "by", head: "Chosen by", cell: (x) => x.chosen_by },
          { key: "margin", head: "Least margin", figure: true, cell: least },
          {
            key: "worked",
            head: "How",
            cell: (x) =>
              x.workings.length === 0 ? (
                ""
              ) : (
                <details>
                  <summary>
                    {x.workings.length === 1 ? "1 working" : `${x.workings.length} workings`}
                    <span class="only-read"> of {x.subject}</span>
                  </summary>
                  <Workings of={x} />
                </details>
              ),
          },
        ]}
      />
    </Sheet>
  );
}

function Said({ of: c }: { of: CircuitReport }) {
  const open = c.findings.filter((f) => f.severity === "safety" && !f.acknowledged?.by);
  const answered = c.findings.filter((f) => f.acknowledged?.by);
  return (
    <Sheet
      title="Findings"
      note={c.safety_open > 0 ? `${show.count(c.safety_open)} of safety open` : ""}
      wide
    >
      <Findings list={c.findings} caption="Findings about the circuit" />
      {open.length > 0 && <Acknowledge list={open} />}
      {answered.length > 0 && (
        <>
          <h3 class="sub">Acknowledged</h3>
          <ul class="cautions">
            {answered.map((f) => (
              <li key={f.rule + f.subject}>
                {f.subject}: {f.acknowledged?.by}, {f.acknowledged?.date || "no date"}:{" "}
                {f.acknowledged?.reason}
              </li>
            ))}
          </ul>
        </>
      )}
    </Sheet>
  );
}

function Faults({ list }: { list: readonly FaultSpan[] }) {
  return (
    <Sheet title="Prospective fault currents" wide>
      <DataTable
        caption="Prospective fault currents"
        quiet
        rows={list}
        rowKey={(x) => x.place}
        columns={[
          { key: "place", head: "Place", cell: (x) => x.place },
          {
            key: "most",
            head: "Highest",
            figure: true,
            cell: (x) => show.current(x.highest_a),
            hint: "full, warm, as bought",
          },
          {
            key: "least",
            head: "Lowest",
            figure: true,
            cell: (x) => show.current(x.lowest_a),
            hint: "at the charge floor, cold, at the end of life",
          },
          {
            key: "fuse",
            head: "Through a fuse",
            figure: true,
            cell: (x) => show.current(x.highest_through_fuse_a),
          },
          { key: "tau", head: "Time constant", figure: true, cell: (x) => show.time(x.time_constant_s) },
        ]}
      />
    </Sheet>
  );
}

function Cables({ list }: { list: readonly Cable[] }) {
  return (
    <Sheet title="Cables" note="lengths with * follow from the places of the bays" wide>
      <DataTable
        caption="Cables"
        quiet
        rows={list}
        rowKey={(x) => x.id}
        empty="no cable leaves a box"
        columns={[
          { key: "id", head: "Cable", cell: (x) => x.id },
          { key: "run", head: "Run", cell: (x) => x.label },
          { key: "section", head: "Section", figure: true, cell: (x) => show.text("area", x.section_m2) },
          {
            key: "length",
            head: "Length",
            figure: true,
            cell: (x) => show.length(x.length_m) + (x.estimated ? " *" : ""),
          },
          { key: "carries", head: "Carries", figure: true, cell: (x) => show.current(x.current_a) },
          { key: "may", head: "May carry", figure: true, cell: (x) => show.current(x.ampacity_a) },
          { key: "ohm", head: "Resistance", figure: true, cell: (x) => show.resistance(x.resistance_ohm) },
        ]}
      />
    </Sheet>
  );
}
