import { useMemo, useRef } from "preact/hooks";
import type { Headline, Report } from "../api/types";
import { standalone } from "../charts/picture";
import { type Dot, Scatter } from "../charts/Scatter";
import { CsvLink, PictureLinks } from "../parts/Download";
import { Sheet } from "../parts/Sheet";
import { route, setQuery } from "../state/route";
import { headline } from "../state/store";
import * as show from "../units/show";
import type { Line } from "./OptionsModel";

interface Props {
  report: Report;
  lines: readonly Line[];
  selected: string;
  marked: readonly string[];
  chosen: string;
  onPick(id: string, also: boolean): void;
}

/** OptionsChart shows range against mass or money. */
export function OptionsChart({ report, lines, selected, marked, chosen, onPick }: Props) {
  const box = useRef<HTMLDivElement>(null);
  const byMoney = route.value.query.get("by") === "money";
  const sources = report.sources.map((s) => s.name);
  const ranges = lines.map((l) => l.row.range_m);
  const across = lines.map((l) => (byMoney ? l.row.price : l.row.mass_kg));
  const far = show.scale("length", ranges);
  const heavy = show.scale("mass", across);
  const dots = useMemo(
    () => lines.map((l): Dot => dotOf(l, byMoney, sources.indexOf(l.source), report.currency)),
    [lines, byMoney, far.unit],
  );
  const xAxis = byMoney
    ? { title: "price of the pack", unit: report.currency, from: (x: number) => x }
    : { title: "mass of the pack", unit: heavy.unit, from: heavy.from };
  const title = `range on ${report.schedule} against ${byMoney ? "price" : "mass"} of the pack`;
  const svg = () => standalone(box.current?.querySelector("svg[data-picture]") as SVGSVGElement);
  return (
    <Sheet
      title={byMoney ? "Range against money" : "Range against mass"}
      note={`${lines.length} options, as bought`}
      tools={
        <>
          <CsvLink table="options" />
          <PictureLinks svg={svg} name={byMoney ? "range-against-money" : "range-against-mass"} />
        </>
      }
    >
      <fieldset class="switch">
        <legend class="only-read">Measure across</legend>
        {[
          { word: "mass", on: !byMoney },
          { word: "money", on: byMoney },
        ].map((s) => (
          <label key={s.word}>
            <input
              type="radio"
              name="across"
              checked={s.on}
              onChange={() => setQuery("by", s.word === "money" ? "money" : null)}
            />
            {s.word}
          </label>
        ))}
      </fieldset>
      <div ref={box}>
        <Scatter
          title={title}
          dots={dots}
          kinds={sources}
          xAxis={xAxis}
          yAxis={{ title: "range as bought", unit: far.unit, from: far.from }}
          xLimit={limitOf(headline.value, byMoney)}
          strongWords="in the Pareto set"
          lineWords={`furthest of the packs shown for that ${byMoney ? "money" : "mass"}`}
          selected={[selected, ...marked].filter(Boolean)}
          chosen={chosen}
          onPick={onPick}
        />
      </div>
    </Sheet>
  );
}

function dotOf(l: Line, byMoney: boolean, kind: number, currency: string): Dot {
  const { row } = l;
  return {
    id: row.id,
    x: byMoney ? row.price : row.mass_kg,
    y: row.range_m,
    kind: Math.max(0, kind),
    strong: row.pareto,
    words: [
      row.id,
      `range ${show.distance(row.range_m)} as bought, ${show.distance(row.range_end_of_life_m)} at the end of life`,
      show.mass(row.mass_kg),
      show.money(row.price, currency),
      row.pareto ? "in the Pareto set" : "not in the Pareto set",
    ].join(", "),
  };
}

/** limitOf returns the stated limit of the measure across; that of mass depends on the placing, so it is that of the option in the bar above. */
function limitOf(h: Headline | null, byMoney: boolean) {
  const b = h?.budgets.find((x) => x.name === (byMoney ? "money" : "mass"));
  if (!b || b.limit.si === 0) return undefined;
  return {
    at: b.limit.si,
    words: byMoney ? "limit of money" : `limit of mass of ${h?.option.split("/").slice(0, 2).join("/")}`,
  };
}
