// Parts that are drawn again only when what they are given has changed.

import { Component, type ComponentType, type FunctionComponent, h } from "preact";

function alike(a: Record<string, unknown>, b: Record<string, unknown>): boolean {
  const keys = Object.keys(a);
  return keys.length === Object.keys(b).length && keys.every((k) => Object.is(a[k], b[k]));
}

/** Whether everything but the functions is the same: for parts whose functions depend on nothing that is not given too. */
export function sameData<P extends object>(a: P, b: P): boolean {
  const data = (p: P) => Object.fromEntries(Object.entries(p).filter(([, v]) => typeof v !== "function"));
  return alike(data(a), data(b));
}

/** part, drawn again only when its properties differ; same tells when they do not. */
export function memo<P extends object>(
  part: FunctionComponent<P>,
  same: (a: P, b: P) => boolean = (a, b) => alike(a as Record<string, unknown>, b as Record<string, unknown>),
): ComponentType<P> {
  return class extends Component<P> {
    override shouldComponentUpdate(next: P) {
      return !same(this.props as P, next);
    }
    override render() {
      return h(part, this.props as P);
    }
  };
}
