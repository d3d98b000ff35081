import type { ComponentChildren } from "preact";
import type { Working } from "../api/types";
import { Explained } from "../parts/Explained";

/** Fact is a line of a list of facts. */
export function Fact({ name, children }: { name: string; children: ComponentChildren }) {
  return (
    <>
      <dt>{name}</dt>
      <dd>{children}</dd>
    </>
  );
}

/** Worked is a number that opens its working, when there is one of that name. */
export function Worked({
  name,
  of,
  children,
}: {
  name: string;
  of: readonly Working[];
  children: ComponentChildren;
}) {
  const working = of.find((w) => w.name === name);
  if (!working) return <>{children}</>;
  return <Explained of={{ kind: "given", title: `Working of the ${name}`, working }}>{children}</Explained>;
}
