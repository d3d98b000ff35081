// Values of one mapping, one under the other: name, value, meaning.

import { axisNames, isFigure, type Leaf, needed, opsForRow } from "./fileTree";
import { memo } from "./memo";
import { ValueField } from "./ValueField";

interface Props {
  leaf: Leaf;
  of: string;
}

/** What a value means, unless its name says as much; other names as they stand in the form. */
function docOf(name: string, doc = ""): string {
  return doc === name ? "" : doc.replaceAll(/([a-z])_(?=[a-z])/g, "$1 ");
}

const alike = (a: Props, b: Props) =>
  a.of === b.of &&
  a.leaf.key === b.leaf.key &&
  a.leaf.fields.length === b.leaf.fields.length &&
  a.leaf.fields.every((f, i) => f === b.leaf.fields[i]);

const LeafRow = memo(({ leaf, of }: Props) => {
  const one = leaf.fields.length === 1;
  const first = leaf.fields[0];
  return (
    <div class="leaf">
      <span class="leaf-name">
        {leaf.key}
        {needed(leaf) ? <span class="leaf-needed"> needed</span> : null}
      </span>
      <span class="cell-row">
        {leaf.fields.map((f, i) => (
          <ValueField
            key={f.path}
            of={f}
            figure={isFigure(f)}
            label={`${leaf.key}${one ? "" : `, ${axisNames[i] ?? i}`} of ${of}`}
            placeholder="not given"
            {...(one ? {} : { ops: (text: string) => opsForRow(leaf, i, text) })}
          />
        ))}
      </span>
      <span class="leaf-doc">{docOf(leaf.key, first?.doc)}</span>
    </div>
  );
}, alike);

export function LeafGrid({ leaves, of }: { leaves: readonly Leaf[]; of: string }) {
  return (
    <div class="leaf-grid">
      {leaves.map((l) => (
        <LeafRow key={l.path} leaf={l} of={of} />
      ))}
    </div>
  );
}
