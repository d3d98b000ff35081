// How many modules stand in each bay, how many would fit, what is proven, and the
// mass in it against its limit.

import type { Bays, BayView, ModuleLine } from "../api/types";
import { DataTable } from "../parts/DataTable";
import { CsvLink } from "../parts/Download";
import { count, length, mass, percent } from "../units/show";
import { selected } from "./baysState";

const lines = (b: BayView, of: (r: BayView["room"][number]) => number) =>
  b.room.length === 0 ? "–" : b.room.map((r) => count(of(r))).join(" + ");

function moduleWords(m: ModuleLine): string {
  return `${m.series}S${m.parallel}P, ${length(m.length_m)} × ${length(m.width_m)} × ${length(m.height_m)}, ${mass(m.mass_kg)}`;
}

function massWords(b: BayView): string {
  if (b.places.length === 0) return "empty";
  return b.mass_limit_kg > 0 ? `${mass(b.mass_kg)} of ${mass(b.mass_limit_kg)}` : mass(b.mass_kg);
}

export function BaysRoom({ d }: { d: Bays }) {
  const several = d.modules.length > 1;
  return (
    <>
      <DataTable<BayView>
        caption="Room in the bays"
        quiet
        rows={d.bays}
        rowKey={(b) => b.path}
        onPick={(b) => {
          selected.value = b.path;
        }}
        picked={(b) => b.path === selected.value}
        columns={[
          { key: "name", head: "bay", cell: (b) => b.name },
          { key: "placed", head: "stand there", figure: true, cell: (b) => lines(b, (r) => r.placed) },
          {
            key: "most",
            head: "would fit",
            hint: "modules of this length alone, found by placing them",
            figure: true,
            cell: (b) => lines(b, (r) => r.most),
          },
          {
            key: "bound",
            head: "proven bound",
            hint: "no way of placing can hold more",
            figure: true,
            cell: (b) => lines(b, (r) => r.bound),
          },
          {
            key: "gap",
            head: "gap",
            hint: "between what was found and what is proven; none: nothing better exists",
            figure: true,
            cell: (b) => (b.room.every((r) => r.gap === 0) ? "none" : lines(b, (r) => r.gap)),
          },
          { key: "mass", head: "mass with box", figure: true, cell: (b) => massWords(b) },
          {
            key: "space",
            head: "space used",
            hint: "volume of the modules over that of the bay",
            figure: true,
            cell: (b) => (b.volume_m3 > 0 ? percent(b.used_m3 / b.volume_m3) : "–"),
          },
        ]}
      />
      {d.modules.length === 0 ? (
        <p class="small">No option is worked out, so no modules stand in the bays.</p>
      ) : (
        <p class="small">
          {several ? "Figures are for each length of module in turn: " : "The module: "}
          {d.modules.map(moduleWords).join("; ")}. <CsvLink table="places" label="Places as CSV" />
        </p>
      )}
    </>
  );
}
