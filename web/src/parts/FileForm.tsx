// Any part of packyard.yaml as a form, made from what the server says of it.

import { useState } from "preact/hooks";
import type { FileReply } from "../api/types";
import type { Resource } from "../state/resource";
import { useResource } from "../state/resource";
import { given, needed, type Section, treeOf } from "./fileTree";
import { LeafGrid } from "./LeafGrid";
import { ListForm } from "./ListForm";
import { Loaded } from "./states";

export function useFile(): Resource<FileReply> {
  return useResource<FileReply>("/api/file", ["change", "mended"]);
}

function SectionForm({ section, all }: { section: Section; all: boolean }) {
  // What a mapping needs is needed only when the mapping is there.
  const there = section.leaves.some(given);
  const leaves = section.leaves.filter((l) => all || given(l) || (there && needed(l)));
  if (leaves.length === 0) return null;
  return (
    <div class="file-section">
      <h3>{section.title === "" ? "project" : section.title}</h3>
      <LeafGrid leaves={leaves} of={section.title} />
    </div>
  );
}

interface Props {
  /** Paths whose values are shown, "road", "donor.ratings". */
  under: readonly string[];
  /** Paths that are shown elsewhere. */
  but?: readonly string[];
}

export function FileForm({ under, but = [] }: Props) {
  const file = useFile();
  const [all, setAll] = useState(false);
  return (
    <Loaded of={file} what="reading the file">
      {(f) => {
        const tree = treeOf(f, under, but);
        const open = tree.sections.flatMap((s) => s.leaves).filter((l) => !given(l)).length;
        return (
          <div class="file-form">
            {tree.sections.map((s) => (
              <SectionForm key={s.path} section={s} all={all} />
            ))}
            {tree.lists.map((l) => (
              <ListForm key={l.path} list={l} />
            ))}
            {open > 0 ? (
              <button type="button" class="take" aria-expanded={all} onClick={() => setAll(!all)}>
                {all ? "Show only what is given" : `Show ${open} values that can be given too`}
              </button>
            ) : null}
          </div>
        );
      }}
    </Loaded>
  );
}
