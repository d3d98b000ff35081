import { Page } from "../parts/Sheet";
import { Empty } from "../parts/states";

export default function NewProject() {
  return (
    <Page title="New project">
      <Empty title="being built" />
    </Page>
  );
}
