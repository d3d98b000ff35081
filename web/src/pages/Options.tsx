import { Page } from "../parts/Sheet";
import { Empty } from "../parts/states";

export default function Options() {
  return (
    <Page title="Options">
      <Empty title="being built" />
    </Page>
  );
}
